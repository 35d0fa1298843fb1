"""How long an interval is and on what it counts: hours, counts, days, months to the date or to the month's end."""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import date, timedelta

from gyrewright.errors import shown
from gyrewright.maintenance.months import add_months, through_calendar_months
from gyrewright.reading import Section

HOURS = "hours"
COUNT = "count"
DAYS = "days"
MONTHS = "months"
CALENDAR_MONTHS = "calendar months"

ON_A_METER = (HOURS, COUNT)
ACCEPTED = (
    "'100 h', '500 landings', '90 days', '3 months' (to the date), '12 calendar months' (to the month's end), '5 years'"
)

_DIMENSIONS = (
    (re.compile(r"\b(h|hours?|min)\s*\Z"), "time", HOURS, 1),
    (re.compile(r"\b(landings?|times)\s*\Z"), "count", COUNT, 1),
    (re.compile(r"\bdays?\s*\Z"), "days", DAYS, 1),
    (re.compile(r"\bmonths?\s*\Z"), "months", MONTHS, 1),
    (re.compile(r"\byears?\s*\Z"), "years", MONTHS, 12),
)


@dataclass(frozen=True, slots=True)
class Span:
    """The length of an interval; `kind` is one of the words above, `value` is in it."""

    kind: str
    value: float
    typed: str

    @property
    def on_a_meter(self) -> bool:
        """Whether it counts on a meter and not by the calendar."""
        return self.kind in ON_A_METER

    def after(self, day: date) -> date:
        """Return the last day that counts when the span starts on a day; only for spans by the calendar."""
        if self.kind == CALENDAR_MONTHS:
            return through_calendar_months(day, round(self.value))
        if self.kind == MONTHS:
            return add_months(day, round(self.value))
        return day + timedelta(days=round(self.value))


def read_span(section: Section, key: str) -> Span | None:
    """Return the span that a key spells, or None where it is absent or wrong (which is noted)."""
    text = section.raw(key)
    if text is None:
        return None
    if not isinstance(text, str):
        section.wrong(key, f"{shown(text)} has no unit; write a length such as {ACCEPTED}")
        return None
    to_month_end = "calendar " in text
    plain = text.replace("calendar ", "")
    for pattern, dimension, kind, factor in _DIMENSIONS:
        if pattern.search(plain):
            quantity = section.parsed(key, plain, dimension, 0.0)
            if quantity is None:
                return None
            value = quantity.value * factor
            if kind not in ON_A_METER and value != round(value):
                section.wrong(key, f"{text!r} is no whole number; dates are counted in whole days, months or years")
                return None
            if to_month_end and kind != MONTHS:
                section.wrong(key, f"{text!r} mixes 'calendar' with another unit; write '12 calendar months'")
                return None
            return Span(CALENDAR_MONTHS if to_month_end else kind, value, text)
    section.wrong(key, f"{text!r} is no length of an interval; write one such as {ACCEPTED}")
    return None


def read_hours(section: Section, key: str, *, required: bool = False) -> float | None:
    """Return a length of time in hours, from hours, days or minutes, or None."""
    span = read_span(section, key)
    if span is None:
        if required and key not in section:
            section.wrong(key, "is missing; write a time such as '24 h' or '7 days'")
        return None
    if span.kind == HOURS:
        return span.value
    if span.kind == DAYS:
        return span.value * 24.0
    section.wrong(key, f"{span.typed!r} is no time in hours or days")
    return None
