"""Counting time as law counts it: calendar months, days, rolling hours, three kinds of night.

Dates are local dates of the place of the flight; moments carry their offset. Nothing here knows a rule.
"""

from __future__ import annotations

import calendar
from collections.abc import Iterable
from datetime import date, datetime, timedelta


def last_day(day: date) -> date:
    """Return the last day of the month of `day`."""
    return day.replace(day=calendar.monthrange(day.year, day.month)[1])


def add_months(day: date, months: int) -> date:
    """Return the same day of the month `months` later, or that month's last day where it is shorter."""
    index = day.year * 12 + day.month - 1 + months
    year, month = divmod(index, 12)
    return date(year, month + 1, min(day.day, calendar.monthrange(year, month + 1)[1]))


def good_through(done_on: date, months: int) -> date:
    """Return the last day on which something done on a day is still good for a number of calendar months.

    Counting runs from the month of the event: done in month M, good through the last day of month M + `months`.

    Source: the customary reading of 14 CFR 61.56(c) and 61.39; the formula is practice, not text.
    """
    return last_day(add_months(done_on.replace(day=1), months))


def within_days(done_on: date, on: date, days: int) -> bool:
    """Return whether `done_on` is no later than `on` and at most `days` days before it; day `days` counts."""
    return 0 <= (on - done_on).days <= days


def age_on(born_on: date, on: date) -> int:
    """Return completed years of age; somebody born on 29 February completes a year on 1 March of a common year."""
    return on.year - born_on.year - ((on.month, on.day) < (born_on.month, born_on.day))


def hours_between(start: datetime, end: datetime) -> float:
    """Return elapsed time between two moments, whatever their offsets. [h]"""
    return (end - start) / timedelta(hours=1)


def hours_in_window(spans: Iterable[tuple[datetime, datetime]], *, end: datetime, window_h: float) -> float:
    """Return how much of the spans lies in the window that ends at `end`. [h]

    Spans that overlap one another count twice: two entries for the same hour are two claims, and the careful reading
    takes both.
    """
    begin = end - timedelta(hours=window_h)
    return sum(max(0.0, hours_between(max(start, begin), min(stop, end))) for start, stop in spans)


def first_to_leave(spans: Iterable[tuple[datetime, datetime]], *, end: datetime, window_h: float) -> datetime | None:
    """Return when the earliest span in the window that ends at `end` begins to drop out of it, or None."""
    begin = end - timedelta(hours=window_h)
    starts = [max(start, begin) for start, stop in spans if stop > begin and start < end]
    return min(starts) + timedelta(hours=window_h) if starts else None


def touches_dark(*, depart_at: datetime, land_at: datetime, dark_from: datetime, light_from: datetime) -> bool:
    """Return whether any part of a flight lies in the dark.

    `light_from` and `dark_from` belong to the local date of the start: before the first and after the second it is
    dark. At either moment itself it is still light. A flight over midnight is dark by its landing.
    """
    return depart_at < light_from or land_at > dark_from
