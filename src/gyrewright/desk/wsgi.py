"""What the server calls."""

from __future__ import annotations

import ctypes
import os
import signal
import sys

from django.core.handlers.wsgi import WSGIHandler

from gyrewright.desk import start


def _end_with_parent() -> None:
    """Make a worker end when the process that started it is killed; otherwise it would go on answering alone."""
    if not sys.platform.startswith("linux") or os.environ.get("DESK_SERVER_PID") is None:
        return
    set_death_signal = 1
    ctypes.CDLL(None).prctl(set_death_signal, signal.SIGTERM)
    if os.getppid() != int(os.environ["DESK_SERVER_PID"]):
        os.kill(os.getpid(), signal.SIGTERM)


start.set_up()
start.start_clock()
_end_with_parent()
application = WSGIHandler()
