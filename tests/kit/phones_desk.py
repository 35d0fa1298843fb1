"""A desk that answers phones as well, on free ports of this machine; and a phone that asks for it by its name."""

from __future__ import annotations

import http.client
import os
import shutil
import signal
import socket
import ssl
import subprocess
import sys
import time
from collections.abc import Mapping
from contextlib import suppress
from pathlib import Path

from cryptography.hazmat.primitives.serialization import Encoding

from gyrewright.desk.phones.authority import Files, files_in, leaf_in
from kit.desk_process import COMMAND, RunningDesk, free_port, plain_environ

NAME = "gyrewright.local"
LONGEST_S = 60.0


class _Named(http.client.HTTPSConnection):
    """Asks this machine for the desk by its name, as if a name server had said that it is here."""

    def connect(self) -> None:
        plain = socket.create_connection(("127.0.0.1", self.port), LONGEST_S)
        self.sock = self._context.wrap_socket(plain, server_hostname=self.host)  # type: ignore[attr-defined]


class PhonesDesk(RunningDesk):
    """A desk started with `--phones`."""

    def __init__(self, folder: Path, *, is_demo: bool = True, environ: Mapping[str, str] | None = None) -> None:
        self.https, self.plain = free_port(), free_port()
        given = {
            "GYREWRIGHT_PHONES": "yes",
            "GYREWRIGHT_PHONES_ADDRESS": "127.0.0.1",
            "GYREWRIGHT_PHONES_PORT": str(self.https),
            "GYREWRIGHT_PLAIN_PORT": str(self.plain),
        }
        super().__init__(folder, is_demo=is_demo, environ=given | dict(environ or {}))

    @property
    def files(self) -> Files:
        """Where its authority lies."""
        return files_in(self.folder)

    @property
    def phone_address(self) -> str:
        """Where phones that trust it reach it, without a slash at the end."""
        return f"https://{NAME}:{self.https}"

    def ask(
        self,
        where: str,
        path: str,
        *,
        method: str = "GET",
        host: str = NAME,
        headers: Mapping[str, str] | None = None,
        body: str | None = None,
    ) -> tuple[int, list[tuple[str, str]], str]:
        """Ask one of its listeners ("https", "plain", "here"); return status, headers and page."""
        line: http.client.HTTPConnection
        if where == "https":
            trusting = ssl.create_default_context(cafile=str(self.files.authority))
            line = _Named(NAME, self.https, context=trusting, timeout=LONGEST_S)
        else:
            port = {"plain": self.plain, "here": self.port}[where]
            line = http.client.HTTPConnection("127.0.0.1", port, timeout=LONGEST_S)
        try:
            line.request(method, path, body, {"Host": host, **(headers or {})})
            answer = line.getresponse()
            return answer.status, answer.getheaders(), answer.read().decode("utf-8", "replace")
        finally:
            line.close()

    def show_new_certificate(self) -> None:
        """Make the listener show the certificate that lies there now, as the desk does after making one."""
        there = leaf_in(self.files)
        assert there is not None
        wanted = there.public_bytes(Encoding.PEM).decode()
        before = self._listeners("worker")
        (main,) = self._listeners("main")
        os.kill(main, signal.SIGHUP)
        until = time.monotonic() + LONGEST_S
        while set(before) & set(self.members()) or self._shown() != wanted:
            assert time.monotonic() < until, "the old certificate is still shown"
            time.sleep(0.1)

    def _shown(self) -> str:
        try:
            return ssl.get_server_certificate(("127.0.0.1", self.https))
        except OSError:
            return ""

    def _listeners(self, which: str) -> list[int]:
        found = []
        for pid in self.members():
            with suppress(OSError):
                words = Path(f"/proc/{pid}/cmdline").read_bytes().decode()
                if f":{self.https} " in words and ("worker" in words) == (which == "worker"):
                    found.append(pid)
        return found

    def members(self) -> list[int]:
        """Return the processes of its group."""
        assert self.process is not None
        found = []
        for each in Path("/proc").iterdir():
            with suppress(OSError):
                if each.name.isdigit() and os.getpgid(int(each.name)) == self.process.pid:
                    found.append(int(each.name))
        return found


def copied(source: Path, target: Path) -> Path:
    """Return a new data folder with a copy of another's book."""
    target.mkdir(parents=True)
    for name in ("book.sqlite3", "head"):
        shutil.copyfile(source / name, target / name)
    return target


def passing_word(folder: Path, name: str) -> str:
    """Return a password for one log-in, as the command on the laptop gives it."""
    ran = subprocess.run(
        [sys.executable, "-c", COMMAND, "password", "--data", str(folder), name],
        env=plain_environ(),
        capture_output=True,
        text=True,
        check=False,
    )
    assert ran.returncode == 0, ran.stderr
    return ran.stdout.strip().rpartition(": ")[2]
