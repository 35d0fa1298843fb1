"""Counting time as law counts it: calendar months, days, rolling hours, three kinds of night.

Dates are local dates of the place of the flight; moments carry their offset. Nothing here knows a rule.
"""

from __future__ import annotations

import calendar
from collections.abc import Iterable
from datetime import UTC, date, datetime, timedelta


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
    """Return elapsed time between two moments, whatever their offsets. [h]

    Both are taken to UTC first: two moments of one zone would else be subtracted as clock faces, and the hour that
    daylight saving skips or repeats would be lost or won.
    """
    return (end.astimezone(UTC) - start.astimezone(UTC)) / timedelta(hours=1)


def later(moment: datetime, hours: float) -> datetime:
    """Return the moment so many elapsed hours later, in the zone it was given in."""
    return (moment.astimezone(UTC) + timedelta(hours=hours)).astimezone(moment.tzinfo)


def hours_in_window(spans: Iterable[tuple[datetime, datetime]], *, end: datetime, window_h: float) -> float:
    """Return how much of the spans lies in the window that ends at `end`. [h]

    Spans that overlap one another count twice: two entries for the same hour are two claims, and the careful reading
    takes both.
    """
    begin = later(end, -window_h).astimezone(UTC)
    stop = end.astimezone(UTC)
    return sum(
        max(0.0, hours_between(max(first.astimezone(UTC), begin), min(last.astimezone(UTC), stop)))
        for first, last in spans
    )


def first_to_leave(spans: Iterable[tuple[datetime, datetime]], *, end: datetime, window_h: float) -> datetime | None:
    """Return when the earliest span in the window that ends at `end` begins to drop out of it, or None."""
    begin = later(end, -window_h).astimezone(UTC)
    inside = [(first.astimezone(UTC), last.astimezone(UTC)) for first, last in spans]
    starts = [max(first, begin) for first, last in inside if last > begin and first < end]
    return later(min(starts), window_h).astimezone(end.tzinfo) if starts else None


def touches_dark(*, depart_at: datetime, land_at: datetime, dark_from: datetime, light_from: datetime) -> bool:
    """Return whether any part of a flight lies in the dark.

    `light_from` and `dark_from` belong to the local date of the start: before the first and after the second it is
    dark. At either moment itself it is still light. A flight over midnight is dark by its landing.
    """
    return hours_between(light_from, depart_at) < 0.0 or hours_between(dark_from, land_at) > 0.0
