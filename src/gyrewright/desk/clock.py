"""The one place where the desk reads a clock.

The demonstration has a clock of its own: it starts on its day, runs on with the machine, and resumes at its last
record. An operation's own data use the machine's clock, and doubt it where it contradicts the records.
"""

from __future__ import annotations

import time
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta

DEMO_START = datetime(2027, 6, 12, 13, 10, tzinfo=UTC)
"""12 June 2027, 06:10 on the demonstration field's clock."""

JUMP = timedelta(minutes=5)
"""How far the wall clock may drift from the machine's uptime before it is a jump that nobody explained."""


def _uptime_s() -> float:
    # Counts time asleep where the system offers it: a closed lid is no jump.
    return time.clock_gettime(getattr(time, "CLOCK_BOOTTIME", time.CLOCK_MONOTONIC))


@dataclass(frozen=True, slots=True)
class Clock:
    """Where a clock was set: this wall time at this uptime. `is_own` marks one that runs from its start alone."""

    wall: datetime
    uptime_s: float
    is_own: bool

    def now(self) -> datetime:
        """Return the time that this clock shows."""
        return self.run() if self.is_own else datetime.now(UTC)

    def run(self) -> datetime:
        """Return the time this clock was set to plus what has passed since."""
        return self.wall + timedelta(seconds=_uptime_s() - self.uptime_s)

    def as_text(self) -> str:
        """Return the clock as a text by which another process of this machine can go on with it."""
        return f"{self.wall.isoformat()} {self.uptime_s} {'own' if self.is_own else 'machine'}"

    def jump(self) -> timedelta:
        """Return how far the machine's wall clock has moved against its uptime since this clock was set."""
        return timedelta(0) if self.is_own else datetime.now(UTC) - self.run()


_clock: list[Clock] = []


def start(*, demo_at: datetime | None = None) -> Clock:
    """Set the clock of this process: to a moment of the demonstration, or to the machine's."""
    clock = Clock(demo_at or datetime.now(UTC), _uptime_s(), demo_at is not None)
    _clock[:] = [clock]
    return clock


def go_on_with(text: str) -> Clock:
    """Set the clock of this process to that of another one of this machine."""
    wall, uptime_s, whose = text.split()
    clock = Clock(datetime.fromisoformat(wall), float(uptime_s), whose == "own")
    _clock[:] = [clock]
    return clock


def clock() -> Clock:
    """Return the clock of this process, set to the machine's where nothing was started."""
    return _clock[0] if _clock else start()


def now() -> datetime:
    """Return the desk's time."""
    return clock().now()
