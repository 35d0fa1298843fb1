"""The desk's server: one family of processes that answers until a signal ends it.

This process answers on localhost, through one worker. Where phones are answered as well, it starts a listener for each
way in which they come, watches over the certificate, and ends them with itself.
"""

from __future__ import annotations

# Looking a name up imports this. A worker that is forked while a thread imports it would wait for it for ever.
import encodings.idna  # noqa: F401
import fcntl
import os
import socket
import sys
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import Any

from gyrewright.desk import clock, start
from gyrewright.desk.family import be_parent
from gyrewright.desk.refusal import Refused

ADDRESS = "127.0.0.1"


@contextmanager
def sole_desk(data_dir: Path) -> Iterator[None]:
    """Hold the data folder for this desk alone; the lock goes with the process, however it ends.

    Raises:
        Refused: Another desk has the folder open.
    """
    data_dir.mkdir(parents=True, exist_ok=True, mode=0o700)
    with (data_dir / "desk.lock").open("a") as lock:
        try:
            fcntl.flock(lock, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except OSError:
            raise Refused(f"another desk has {data_dir} open; use that one or end it first") from None
        yield


def _is_free(address: str, port: int, *, give: str) -> None:
    with socket.socket() as probe:
        probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            probe.bind((address, port))
        except OSError:
            raise Refused(f"port {port} is taken by another program; give another with {give}") from None


def serve(
    *,
    data_dir: Path | None = None,
    port: int | None = None,
    is_demo: bool | None = None,
    has_phones: bool | None = None,
) -> None:
    """Answer on a data folder until SIGINT or SIGTERM; what is not given comes from the environment.

    Raises:
        Refused: A setting is not accepted, a port is taken, or the folder is open in another desk.
        DiskFull: The data folder takes no more.
    """
    folder = start.set_up(data_dir=data_dir, is_demo=is_demo, port=port, has_phones=has_phones)
    from django.conf import settings

    with sole_desk(folder):
        _is_free(ADDRESS, settings.PORT, give="--port")
        start.say(start.make_ready())
        be_parent()
        os.environ[start.CLOCK] = clock.clock().as_text()
        _notice_lost()
        if not settings.HAS_PHONES:
            run(ADDRESS, settings.PORT, told=(f"http://{ADDRESS}:{settings.PORT}/",))
            return
        from gyrewright.desk.listener import listening

        _is_free(settings.PHONES_ADDRESS, settings.PHONES_PORT, give="GYREWRIGHT_PHONES_PORT")
        _is_free(settings.PHONES_ADDRESS, settings.PLAIN_PORT, give="GYREWRIGHT_PLAIN_PORT")
        with listening() as told:
            run(ADDRESS, settings.PORT, told=(f"http://{ADDRESS}:{settings.PORT}/", *told))


def _notice_lost() -> None:
    from django.db import connection

    from gyrewright.desk.services.authority import notice_lost

    if notice_lost():
        sys.stderr.write(
            "this book was put back from a copy: phones that opened a walk-round since are not in it;"
            " say on the Phones page that each was asked\n"
        )
    connection.close()


def run(address: str, port: int, *, told: tuple[str, ...] = (), **more: Any) -> None:
    """Answer at one address until a signal ends it; `told` is said once it answers."""
    from granian import Granian
    from granian.constants import Interfaces
    from granian.log import LogLevels

    server = Granian(
        "gyrewright.desk.wsgi:application",
        address=address,
        port=port,
        interface=Interfaces.WSGI,
        workers=1,
        blocking_threads=4,
        websockets=False,
        log_enabled=True,
        log_level=LogLevels.warning,
        workers_kill_timeout=5,
        # A new worker stands beside the old one for as long as it may take to come up.
        respawn_interval=3.0,
        static_path_route=["/static"],
        static_path_mount=[Path(__file__).parent / "static"],
        static_path_expires=31_536_000,
        **more,
    )
    if told:
        # The worker is still to come up then: the address is told once it answers.
        server.on_startup(threading.Thread(target=_tell, args=(port, told), daemon=True).start)
    server.serve()


def _tell(port: int, told: tuple[str, ...]) -> None:
    while not is_answered(ADDRESS, port):
        time.sleep(0.05)
    first, *others = told
    sys.stdout.write(f"the desk answers at {first} until you press Ctrl-C\n")
    for each in others:
        sys.stdout.write(f"{each}\n")
    sys.stdout.flush()


def is_answered(address: str, port: int) -> bool:
    """Return whether something listens at an address of this machine."""
    with socket.socket() as probe, suppress(OSError):
        probe.settimeout(1.0)
        probe.connect((address, port))
        return True
    return False
