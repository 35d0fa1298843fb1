"""The desk's processes are one family: none outlives the one that started it."""

from __future__ import annotations

import ctypes
import os
import signal
import sys

PARENT = "DESK_SERVER_PID"
"""The variable under which a process tells those it starts who it is."""

_SET_DEATH_SIGNAL = 1
"""PR_SET_PDEATHSIG of Linux."""


def be_parent() -> None:
    """Tell every process that is started from here on whose child it is."""
    os.environ[PARENT] = str(os.getpid())


def end_with_parent() -> None:
    """Make this process end when the one that started it is killed; otherwise it would go on answering alone."""
    if not sys.platform.startswith("linux") or os.environ.get(PARENT) is None:
        return
    ctypes.CDLL(None).prctl(_SET_DEATH_SIGNAL, signal.SIGTERM)
    if os.getppid() != int(os.environ[PARENT]):
        os.kill(os.getpid(), signal.SIGTERM)
