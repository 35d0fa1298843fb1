"""One flight, cold: a new process for each answer, beside one that does nothing but import NumPy."""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Iterator, Sequence
from statistics import median

from bench import demo

_RUNS = 5
_SMALL = """
import os, sys, time
begun = time.perf_counter()
out = os.open(os.devnull, os.O_WRONLY)
child = os.posix_spawn(sys.executable, [sys.executable, *sys.argv[1:]], os.environ,
                       file_actions=[(os.POSIX_SPAWN_DUP2, out, 1)])
_, status, used = os.wait4(child, 0)
wall = time.perf_counter() - begun
print(os.waitstatus_to_exitcode(status), wall, used.ru_utime + used.ru_stime, used.ru_maxrss)
"""
"""Starts the process from a small one, for a new process begins with the memory mark of the one that started it."""

_COMMAND = "from gyrewright.cli import main; raise SystemExit(main())"


def lines() -> Iterator[str]:
    """Yield what new processes take, by the wall, and the memory that they had resident at most."""
    for name, arguments in (
        ('python -c "import numpy"', ["-c", "import numpy"]),
        ("gyrewright decide", ["-c", _COMMAND, "decide", demo.ASKED]),
        ("gyrewright ways, the flight that passes", ["-c", _COMMAND, "ways", demo.ASKED]),
        ("gyrewright ways, the flight that does not", ["-c", _COMMAND, "ways", demo.STOPPED]),
    ):
        runs = [_run(arguments) for _ in range(_RUNS)]
        wall_s, cpu_s, most_mb = (median(each) for each in zip(*runs, strict=True))
        yield f"{name}: {wall_s:.3f} s (median of {_RUNS}; {cpu_s:.3f} s of processor time), {most_mb:.0f} MB at most"


def _run(arguments: Sequence[str]) -> tuple[float, float, float]:
    told = subprocess.run([sys.executable, "-c", _SMALL, *arguments], capture_output=True, text=True, check=True)
    code, *numbers = (float(each) for each in told.stdout.split())
    if code not in (0.0, 1.0):
        raise SystemExit(f"{' '.join(arguments[2:])} left with {code:g}: {told.stderr.strip()}")
    wall_s, cpu_s, most_kb = numbers
    return wall_s, cpu_s, most_kb / 1024.0
