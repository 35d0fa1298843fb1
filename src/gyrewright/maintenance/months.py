"""Counting by the calendar as maintenance papers do: to a date, to the end of a month, in days."""

from __future__ import annotations

from calendar import monthrange
from datetime import UTC, date, datetime

NEVER = datetime.max.replace(tzinfo=UTC)
"""Stands in for a moment that a file lacks, where that is noted as a problem already."""


def add_months(day: date, months: int) -> date:
    """Return the same day of the month `months` later, or that month's last day where it is shorter."""
    year, month = divmod(day.year * 12 + day.month - 1 + months, 12)
    return date(year, month + 1, min(day.day, monthrange(year, month + 1)[1]))


def month_end(day: date) -> date:
    """Return the last day of the month of `day`."""
    return day.replace(day=monthrange(day.year, day.month)[1])


def through_calendar_months(day: date, months: int) -> date:
    """Return the last day that counts: the end of the month `months` after the month of `day`.

    Source: common practice, no source, for the formula; the rules that use it say "calendar months".
    """
    return month_end(add_months(day.replace(day=1), months))


def last_day_of_flight(*, flight_on: date, depart_at: datetime, land_at: datetime | None) -> date:
    """Return the local date on which a flight ends; an open end counts as the date of its start.

    `depart_at` carries the local offset of the place; `land_at` is brought to it.
    """
    if land_at is None:
        return flight_on
    return max(flight_on, land_at.astimezone(depart_at.tzinfo).date())
