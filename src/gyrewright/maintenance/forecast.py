"""When an interval will be reached: from the hours flown lately, and from what is booked."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Protocol

from gyrewright.maintenance.meters import Meter

LATELY_DAYS = 90
"""How far back flown hours are averaged; a choice of display that decides nothing."""


class Booked(Protocol):
    """Flying planned."""

    @property
    def at(self) -> datetime: ...
    @property
    def block_h(self) -> float: ...


def hours_a_day(meter: Meter, *, on: date) -> float | None:
    """Return the hours a meter ran on an average day of the last 90 days; None without two readings. [h/day]"""
    since = on - timedelta(days=LATELY_DAYS)
    readings = [reading for reading in meter.readings if since <= reading.at.date() <= on]
    if len(readings) < 2:
        return None
    days = (on - readings[0].at.date()).days
    return (readings[-1].total - readings[0].total) / days if days > 0 else None


def booked_before_h(bookings: Iterable[Booked], *, since: datetime | None, depart_at: datetime) -> float:
    """Return the flying booked from the last meter reading until before a start. [h]

    A booking that starts with the flight itself is not counted: it is the flight.
    """
    return sum(one.block_h for one in bookings if (since is None or one.at >= since) and one.at < depart_at)


@dataclass(frozen=True, slots=True)
class RunsOut:
    """The first booking that does not fit any more, and what is left before it. [h]"""

    at: datetime
    block_h: float
    left_h: float


def runs_out(
    bookings: Iterable[Booked], *, left_h: float, since: datetime | None, allowance_h: float
) -> RunsOut | None:
    """Return the first booking after which an interval would be flown over, or None where all fit.

    Args:
        bookings: Planned flying.
        left_h: Hours left on the tightest clock now. [h]
        since: When that was read; earlier bookings are on the meter already.
        allowance_h: What a plan must leave over. [h]
    """
    flown = 0.0
    for one in sorted(bookings, key=lambda each: each.at):
        if since is not None and one.at < since:
            continue
        if flown + one.block_h + allowance_h > left_h + 1e-9:
            return RunsOut(one.at, one.block_h, left_h - flown)
        flown += one.block_h
    return None


def reached_on(
    bookings: Iterable[Booked], *, left_h: float, since: datetime | None, on: date, a_day_h: float | None
) -> date | None:
    """Return the date on which the hours left are flown: booked flying first, then the daily average; or None."""
    flown, last = 0.0, on
    for one in sorted(bookings, key=lambda each: each.at):
        if since is not None and one.at < since:
            continue
        flown += one.block_h
        last = max(last, one.at.date())
        if flown >= left_h:
            return one.at.date()
    if not a_day_h or a_day_h <= 0.0:
        return None
    return last + timedelta(days=int((left_h - flown) / a_day_h))
