"""A desk as its user starts it: the command, in a process group of its own, on a free port of this machine."""

from __future__ import annotations

import os
import signal
import socket
import subprocess
import sys
import tempfile
import time
from collections.abc import Mapping
from contextlib import suppress
from pathlib import Path

LONGEST_S = 60.0
COMMAND = "import sys; from gyrewright.cli import main; sys.exit(main(sys.argv[1:]))"


def free_port() -> int:
    """Return a port of this machine that nothing listens on."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


def plain_environ() -> dict[str, str]:
    """Return this process's environment without any setting of the desk."""
    return {name: value for name, value in os.environ.items() if not name.startswith("GYREWRIGHT_")}


class RunningDesk:
    """A desk on a data folder. `said` is everything that it has written so far."""

    def __init__(self, folder: Path, *, is_demo: bool, environ: Mapping[str, str] | None = None) -> None:
        self.folder, self.is_demo, self.port = folder, is_demo, free_port()
        self.environ = {**plain_environ(), **(environ or {})}
        self.process: subprocess.Popen[bytes] | None = None
        self._log = tempfile.NamedTemporaryFile(prefix="desk-", suffix=".log")  # noqa: SIM115 - closed by `stop`

    @property
    def address(self) -> str:
        """Where it answers, without a slash at the end."""
        return f"http://127.0.0.1:{self.port}"

    @property
    def said(self) -> str:
        """What it has written."""
        return Path(self._log.name).read_text(encoding="utf-8", errors="replace")

    def start(self) -> RunningDesk:
        """Start it and wait until it says where it answers."""
        words = ["desk", "--data", str(self.folder), "--port", str(self.port), *(["--demo"] if self.is_demo else [])]
        self.process = subprocess.Popen(
            [sys.executable, "-c", COMMAND, *words],
            env=self.environ,
            stdout=self._log,
            stderr=subprocess.STDOUT,
            start_new_session=True,
        )
        until = time.monotonic() + LONGEST_S
        while "the desk answers at" not in self.said:
            assert self.process.poll() is None, self.said
            assert time.monotonic() < until, f"the desk did not answer: {self.said}"
            time.sleep(0.02)
        return self

    def stop(self) -> int:
        """End it by a signal as its user would, and return how it ended."""
        assert self.process is not None
        if self.process.poll() is None:
            self.process.send_signal(signal.SIGTERM)
        try:
            return self.process.wait(LONGEST_S)
        finally:
            self.kill()
            self._log.close()

    def kill(self) -> None:
        """End the whole group at once."""
        if self.process is not None:
            with suppress(ProcessLookupError):
                os.killpg(self.process.pid, signal.SIGKILL)
            self.process.wait(LONGEST_S)
