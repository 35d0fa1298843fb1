"""Times of a call, by the wall and by the processor, and the memory of this process."""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from statistics import median


@dataclass(frozen=True)
class Times:
    """Medians over several calls: by the wall, and by the processor on all cores. [s]"""

    wall_s: float
    cpu_s: float
    calls: int

    def __str__(self) -> str:
        """Return both medians as a person reads them."""
        return f"{_said(self.wall_s)} (median of {self.calls}; {_said(self.cpu_s)} of processor time)"


def _said(seconds: float) -> str:
    return f"{seconds * 1e3:.2f} ms" if seconds < 0.1 else f"{seconds:.3f} s"


def timed(call: Callable[[], object], calls: int) -> Times:
    """Return the times of a call that has been made once before, so that what is kept is there."""
    call()
    walls, cpus = [], []
    for _ in range(calls):
        cpu, wall = time.process_time(), time.perf_counter()
        call()
        walls.append(time.perf_counter() - wall)
        cpus.append(time.process_time() - cpu)
    return Times(median(walls), median(cpus), calls)


def memory_mb() -> tuple[float, float]:
    """Return the proportional set size of this process now, and the most that it ever had resident. [MB], [MB]"""
    rows = Path("/proc/self/smaps_rollup").read_text().splitlines()
    status = Path("/proc/self/status").read_text().splitlines()
    now = next(int(row.split()[1]) for row in rows if row.startswith("Pss:"))
    most = next(int(row.split()[1]) for row in status if row.startswith("VmHWM:"))
    return now / 1024.0, most / 1024.0
