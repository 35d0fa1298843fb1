"""Whole dates for the day, hour and minute that a report prints."""

from __future__ import annotations

from datetime import UTC, date, datetime, time, timedelta

from gyrewright.errors import ReportError

_HOUR = timedelta(hours=1)
_DAY = timedelta(days=1)
_HALF_MONTH = timedelta(days=14)  # half the shortest: no other month can bring the day nearer
MIDNIGHT_AS_END_H = 24


def latest_moment(received_on: date | datetime) -> datetime:
    """Return the last moment, UTC, at which the report can have been received: of a date, its last.

    Raises:
        ReportError: A time of day without a time zone.
    """
    if isinstance(received_on, datetime):
        if received_on.tzinfo is None:
            raise ReportError(
                f"received_on={received_on.isoformat()} has no time zone; give a UTC time, or a date alone"
            )
        return received_on.astimezone(UTC)
    return datetime.combine(received_on, time.max, UTC)


def nearest(*, day: int, hour: int, minute: int, to: datetime) -> datetime | None:
    """Return the moment with this day of the month that lies nearest to another; None where there is none.

    The report does not print its month. Taken as the nearest, a report a little ahead of the clock stays ahead of it,
    where it can be seen to be; it does not become one a month old. Hour 24 is the midnight that ends the day.
    """
    if minute > 59 or hour > MIDNIGHT_AS_END_H or (hour == MIDNIGHT_AS_END_H and minute):
        return None
    best: datetime | None = None
    # The month itself first; from the first of March, the last 31st may be that of January.
    for months in (0, -1, 1, -2):
        month = to.year * 12 + to.month - 1 + months
        try:
            found = datetime(month // 12, month % 12 + 1, day, tzinfo=UTC) + hour * _HOUR + timedelta(minutes=minute)
        except (ValueError, OverflowError):
            continue  # no such day in that month, or beyond the calendar
        if best is None or abs(found - to) < abs(best - to):
            best = found
        if abs(best - to) < _HALF_MONTH:
            break
    return best


def next_at(*, hour: int, minute: int, after: datetime) -> datetime | None:
    """Return the first moment at this time of day, at or after another; None where there is no such time."""
    if minute > 59 or hour > MIDNIGHT_AS_END_H or (hour == MIDNIGHT_AS_END_H and minute):
        return None
    found = after.replace(hour=hour % MIDNIGHT_AS_END_H, minute=minute, second=0, microsecond=0)
    return found if found >= after else shifted(found, _DAY)


def last_at(*, hour: int | None, minute: int, before: datetime) -> datetime | None:
    """Return the last moment at this minute, and hour if given, at or before another; None where there is none."""
    if minute > 59 or (hour is not None and hour >= MIDNIGHT_AS_END_H):
        return None
    found = before.replace(hour=before.hour if hour is None else hour, minute=minute, second=0, microsecond=0)
    return found if found <= before else shifted(found, -_HOUR if hour is None else -_DAY)


def shifted(moment: datetime, by: timedelta) -> datetime | None:
    """Return a moment so much later, None beyond the end of the calendar."""
    try:
        return moment + by
    except OverflowError:
        return None
