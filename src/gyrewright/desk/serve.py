"""The desk's server: one process that answers on localhost until a signal ends it, and one worker that goes with it."""

from __future__ import annotations

import fcntl
import os
import socket
import sys
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from gyrewright.desk import start
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


def _port_is_free(port: int) -> None:
    with socket.socket() as probe:
        probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            probe.bind((ADDRESS, port))
        except OSError:
            raise Refused(f"port {port} is taken by another program; give another with --port") from None


def serve(*, data_dir: Path | None = None, port: int | None = None, is_demo: bool | None = None) -> None:
    """Answer on localhost on a data folder until SIGINT or SIGTERM; what is not given comes from the environment.

    Raises:
        Refused: A setting is not accepted, the port is taken, or the folder is open in another desk.
        DiskFull: The data folder takes no more.
    """
    folder = start.set_up(data_dir=data_dir, is_demo=is_demo, port=port)
    from django.conf import settings

    with sole_desk(folder):
        _port_is_free(settings.PORT)
        start.say(start.make_ready())
        # A worker compares this with its parent and ends when that is gone.
        os.environ["DESK_SERVER_PID"] = str(os.getpid())
        _run(settings.PORT)


def _run(port: int) -> None:
    from granian import Granian
    from granian.constants import Interfaces
    from granian.log import LogLevels

    server = Granian(
        "gyrewright.desk.wsgi:application",
        address=ADDRESS,
        port=port,
        interface=Interfaces.WSGI,
        workers=1,
        blocking_threads=4,
        websockets=False,
        log_enabled=True,
        log_level=LogLevels.warning,
        workers_kill_timeout=5,
        static_path_route=["/static"],
        static_path_mount=[Path(__file__).parent / "static"],
        static_path_expires=31_536_000,
    )
    # The worker is still to come up then: the address is told once it answers.
    server.on_startup(threading.Thread(target=_tell, args=(port,), daemon=True).start)
    server.serve()


def _tell(port: int) -> None:
    while True:
        with suppress(OSError), socket.create_connection((ADDRESS, port), timeout=1.0):
            break
        time.sleep(0.05)
    sys.stdout.write(f"the desk answers at http://{ADDRESS}:{port}/ until you press Ctrl-C\n")
    sys.stdout.flush()
