"""The desk as its user starts it, on a port of this machine, with the processes that it is made of."""

from __future__ import annotations

import http.client
import os
import re
import signal
import socket
import subprocess
import sys
import tempfile
import time
import urllib.parse
from contextlib import suppress
from pathlib import Path
from types import TracebackType

LONGEST_S = 60.0
_COMMAND = "import sys; from gyrewright.cli import main; sys.exit(main(sys.argv[1:]))"


class Desk:
    """A running desk of the demonstration; `first_answer_s` is how long it took from start to its first answer."""

    def __init__(self, folder: Path) -> None:
        with socket.socket() as probe:
            probe.bind(("127.0.0.1", 0))
            self.port = int(probe.getsockname()[1])
        self.folder, self.first_answer_s = folder, 0.0

    def __enter__(self) -> Desk:
        """Start it and wait for its first answer."""
        environ = {name: value for name, value in os.environ.items() if not name.startswith("GYREWRIGHT_")}
        words = ["desk", "--demo", "--data", str(self.folder), "--port", str(self.port)]
        self._log = tempfile.TemporaryFile()
        begun = time.perf_counter()
        self.process = subprocess.Popen(
            [sys.executable, "-c", _COMMAND, *words],
            env=environ,
            stdout=self._log,
            stderr=subprocess.STDOUT,
            start_new_session=True,
        )
        while True:
            with suppress(OSError, http.client.HTTPException):
                line = http.client.HTTPConnection("127.0.0.1", self.port, timeout=LONGEST_S)
                line.request("GET", "/door")
                line.getresponse().read()
                line.close()
                break
            if self.process.poll() is not None or time.perf_counter() - begun > LONGEST_S:
                self._log.seek(0)
                raise RuntimeError(self._log.read().decode())
            time.sleep(0.002)
        self.first_answer_s = time.perf_counter() - begun
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        """End it as its user would."""
        self.process.send_signal(signal.SIGTERM)
        with suppress(subprocess.TimeoutExpired):
            self.process.wait(LONGEST_S)
        with suppress(ProcessLookupError):
            os.killpg(self.process.pid, signal.SIGKILL)
        self._log.close()

    def memory_mb(self) -> float:
        """Return the proportional set size of the whole process group. [MB]"""
        total_kb = 0
        for each in Path("/proc").iterdir():
            with suppress(OSError, ValueError):
                if os.getpgid(int(each.name)) == self.process.pid:
                    rollup = (each / "smaps_rollup").read_text()
                    total_kb += int(re.search(r"^Pss:\s+(\d+)", rollup, re.MULTILINE).group(1))  # type: ignore[union-attr]
        return total_kb / 1024.0

    def processor_s(self) -> float:
        """Return the processor time that the process group has used so far. [s]"""
        ticks = 0
        for each in Path("/proc").iterdir():
            with suppress(OSError, ValueError):
                if os.getpgid(int(each.name)) == self.process.pid:
                    fields = (each / "stat").read_text().rpartition(")")[2].split()
                    ticks += int(fields[11]) + int(fields[12])
        return ticks / os.sysconf("SC_CLK_TCK")


class Client:
    """One person's browser as far as the server can tell: one connection that stays open, and its cookies."""

    def __init__(self, desk: Desk, person: str) -> None:
        self._line = http.client.HTTPConnection("127.0.0.1", desk.port, timeout=LONGEST_S)
        self._cookies: dict[str, str] = {}
        page = self.ask("/door").decode()
        token = re.search(r'csrfmiddlewaretoken" value="([^"]+)', page).group(1)  # type: ignore[union-attr]
        self.ask("/demo-door", {"person": person, "csrfmiddlewaretoken": token})

    def ask(self, path: str, form: dict[str, str] | None = None) -> bytes:
        """Return the answer's body; anything but a page or a redirect is an error."""
        headers = {"Cookie": "; ".join(f"{name}={value}" for name, value in self._cookies.items())}
        if form is not None:
            headers["Content-Type"] = "application/x-www-form-urlencoded"
        body = urllib.parse.urlencode(form) if form is not None else None
        self._line.request("POST" if form is not None else "GET", path, body, headers)
        answer = self._line.getresponse()
        content = answer.read()
        if answer.status not in (200, 302):
            raise RuntimeError(f"{path}: {answer.status}")
        for name, value in answer.getheaders():
            if name.lower() == "set-cookie":
                key, _, rest = value.partition("=")
                self._cookies[key] = rest.partition(";")[0]
        return content

    def close(self) -> None:
        """Close the connection."""
        self._line.close()
