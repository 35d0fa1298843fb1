"""Recurrence rules of RFC 5545 section 3.3.10, from daily to yearly, worked out over a bounded stretch of days.

The calendar library reads a rule but does not work it out, and the one that does goes on looking for a day that never
comes (the 30th of February) until the year 9999. A file from outside may hold any number of such rules, so here every
day that is looked at is counted, and a rule that asks for too many is refused.
"""

from __future__ import annotations

import calendar
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date, datetime, time, timedelta
from typing import Any

from gyrewright.desk.refusal import Refused

FREQUENCIES = ("DAILY", "WEEKLY", "MONTHLY", "YEARLY")
WEEKDAYS = ("MO", "TU", "WE", "TH", "FR", "SA", "SU")
_KNOWN = {
    "FREQ", "UNTIL", "COUNT", "INTERVAL", "WKST", "BYMONTH", "BYMONTHDAY", "BYYEARDAY", "BYWEEKNO", "BYDAY", "BYHOUR",
    "BYMINUTE", "BYSECOND", "BYSETPOS",
}  # fmt: skip
_RANGES = {
    "BYMONTH": (1, 12), "BYMONTHDAY": (-31, 31), "BYYEARDAY": (-366, 366), "BYWEEKNO": (-53, 53), "BYHOUR": (0, 23),
    "BYMINUTE": (0, 59), "BYSECOND": (0, 60), "BYSETPOS": (-366, 366),
}  # fmt: skip


class TooMuch(Refused):
    """More days would have to be looked at than a file may ask for. Nothing of it counts."""


@dataclass(slots=True)
class Budget:
    """How many days may still be looked at."""

    days: int = 400_000

    def spend(self, days: int) -> None:
        """Take days off.

        Raises:
            TooMuch: None are left.
        """
        self.days -= days
        if self.days < 0:
            raise TooMuch("its repeated entries take too long to work out: give them an end, or a later beginning")


@dataclass(frozen=True, slots=True)
class Rule:
    """One recurrence rule. A day of the week has its number within the month or year, 0 for every one."""

    freq: str
    interval: int = 1
    count: int | None = None
    until: datetime | date | None = None
    week_start: int = 0
    months: frozenset[int] = frozenset()
    month_days: frozenset[int] = frozenset()
    year_days: frozenset[int] = frozenset()
    week_numbers: frozenset[int] = frozenset()
    weekdays: frozenset[tuple[int, int]] = frozenset()
    times: Mapping[str, Sequence[int]] = field(default_factory=dict)
    positions: tuple[int, ...] = ()

    @property
    def is_endless(self) -> bool:
        """Whether nothing ends it."""
        return self.count is None and self.until is None


def rule_of(parts: Mapping[str, Any]) -> Rule:
    """Return the rule that a property holds, its parts by name, each a list of values.

    Raises:
        Refused: It repeats more often than daily, or a part is unknown or outside its range.
    """
    given = {name.upper(): value if isinstance(value, list) else [value] for name, value in parts.items()}
    unknown = sorted(set(given) - _KNOWN)
    if unknown:
        raise Refused(f"it repeats by {unknown[0]}, which is not understood here")
    freq = str(given.get("FREQ", [""])[0]).upper()
    if freq not in FREQUENCIES:
        raise Refused(f"it repeats {freq.lower() or 'by no frequency'}: an aircraft is booked daily at the most often")
    for name, (low, high) in _RANGES.items():
        for value in given.get(name, ()):
            if not low <= int(value) <= high or (low < 0 and int(value) == 0):
                raise Refused(f"it repeats by {name} {value}, which does not exist")
    interval, count = int(given.get("INTERVAL", [1])[0]), given.get("COUNT", [None])[0]
    if interval < 1 or (count is not None and int(count) < 1):
        raise Refused("it repeats every 0 times or never; both are no rule")
    return Rule(
        freq=freq,
        interval=interval,
        count=None if count is None else int(count),
        until=given.get("UNTIL", [None])[0],
        week_start=WEEKDAYS.index(str(given.get("WKST", ["MO"])[0])),
        months=_numbers(given, "BYMONTH"),
        month_days=_numbers(given, "BYMONTHDAY"),
        year_days=_numbers(given, "BYYEARDAY"),
        week_numbers=_numbers(given, "BYWEEKNO"),
        weekdays=frozenset(_weekday(str(each)) for each in given.get("BYDAY", ())),
        times={name: sorted(_numbers(given, name)) for name in ("BYHOUR", "BYMINUTE", "BYSECOND")},
        positions=tuple(int(each) for each in given.get("BYSETPOS", ())),
    )


def _numbers(given: Mapping[str, list[Any]], name: str) -> frozenset[int]:
    return frozenset(int(each) for each in given.get(name, ()))


def _weekday(text: str) -> tuple[int, int]:
    name, number = text[-2:].upper(), text[:-2]
    try:
        return WEEKDAYS.index(name), int(number or 0)
    except ValueError:
        raise Refused(f"it repeats on {text!r}, which is no day of the week") from None


def occurrences(rule: Rule, start: datetime, *, before: date, budget: Budget) -> Iterator[datetime]:
    """Yield the moments of a rule on the clock that `start` is read from, `start` included, up to a day left out.

    Args:
        rule: The rule.
        start: The first moment, without an offset: local time is what repeats.
        before: The first day that is not wanted.
        budget: How many days may be looked at.

    Raises:
        TooMuch: The budget is spent.

    Source: RFC 5545, sections 3.3.10 and 3.8.5.3.
    """
    made = 0
    for moments in _sets(rule, start, before, budget):
        for moment in moments:
            if moment < start:
                continue
            if _is_after(moment, rule.until) or moment.date() >= before:
                return
            made += 1
            yield moment
            if rule.count is not None and made >= rule.count:
                return


def _is_after(moment: datetime, until: datetime | date | None) -> bool:
    if until is None:
        return False
    return moment > until if isinstance(until, datetime) else moment.date() > until


def _sets(rule: Rule, start: datetime, before: date, budget: Budget) -> Iterator[list[datetime]]:
    """Yield the moments of one day, week, month or year after the other, those that BYSETPOS leaves."""
    rule = _with_day_of(rule, start)
    times = [
        time(hour, minute, min(second, 59))
        for hour in rule.times["BYHOUR"] or [start.hour]
        for minute in rule.times["BYMINUTE"] or [start.minute]
        for second in rule.times["BYSECOND"] or [start.second]
    ]
    for days in _periods(rule, start.date(), before, budget):
        found = [datetime.combine(day, each) for day in days if _fits(rule, day) for each in times]
        if rule.positions:
            found = sorted({found[at] for each in rule.positions if -len(found) <= (at := _index(each)) < len(found)})
        yield found


def _index(position: int) -> int:
    return position - 1 if position > 0 else position


def _with_day_of(rule: Rule, start: datetime) -> Rule:
    """Return the rule with the day of its first moment where it names none itself."""
    if rule.freq == "DAILY" or rule.month_days or rule.year_days or rule.weekdays:
        return rule
    if rule.freq == "WEEKLY" or rule.week_numbers:
        return replace(rule, weekdays=frozenset({(start.weekday(), 0)}))
    if rule.freq == "YEARLY" and not rule.months:
        return replace(rule, months=frozenset({start.month}), month_days=frozenset({start.day}))
    return replace(rule, month_days=frozenset({start.day}))


def _periods(rule: Rule, start: date, before: date, budget: Budget) -> Iterator[Sequence[date]]:
    if rule.freq in ("DAILY", "WEEKLY"):
        length = 1 if rule.freq == "DAILY" else 7
        first = start if length == 1 else start - timedelta(days=(start.weekday() - rule.week_start) % 7)
        while first < before:
            budget.spend(length)
            yield [first + timedelta(days=number) for number in range(length)]
            first += timedelta(days=length * rule.interval)
        return
    step = rule.interval * (1 if rule.freq == "MONTHLY" else 12)
    month = start.year * 12 + (start.month - 1 if rule.freq == "MONTHLY" else 0)
    while date(month // 12, month % 12 + 1, 1) < before:
        first = date(month // 12, month % 12 + 1, 1)
        length = calendar.monthrange(first.year, first.month)[1]
        if rule.freq == "YEARLY":
            length = 366 if calendar.isleap(first.year) else 365
        budget.spend(length)
        yield [first + timedelta(days=number) for number in range(length)]
        month += step


def _fits(rule: Rule, day: date) -> bool:
    length = calendar.monthrange(day.year, day.month)[1]
    year = 366 if calendar.isleap(day.year) else 365
    of_year = day.timetuple().tm_yday
    return (
        (not rule.months or day.month in rule.months)
        and (not rule.month_days or _either(day.day, length, rule.month_days))
        and (not rule.year_days or _either(of_year, year, rule.year_days))
        and (not rule.week_numbers or _in_week(day, rule))
        and (not rule.weekdays or _on_weekday(day, rule, length, of_year, year))
    )


def _either(number: int, length: int, wanted: Iterable[int]) -> bool:
    """Return whether a number counted from the front or from the back is wanted."""
    return number in wanted or number - length - 1 in wanted


def _on_weekday(day: date, rule: Rule, length: int, of_year: int, year: int) -> bool:
    if (day.weekday(), 0) in rule.weekdays:
        return True
    if rule.freq in ("DAILY", "WEEKLY"):
        return any(weekday == day.weekday() for weekday, _ in rule.weekdays)
    in_month = rule.freq == "MONTHLY" or bool(rule.months)
    at, of = (day.day, length) if in_month else (of_year, year)
    numbers = ((at - 1) // 7 + 1, -((of - at) // 7 + 1))
    return any((day.weekday(), number) in rule.weekdays for number in numbers)


def _in_week(day: date, rule: Rule) -> bool:
    """Return whether a day lies in a wanted week; week 1 is the first with four days in its year."""
    shift = (day.weekday() - rule.week_start) % 7
    middle = day - timedelta(days=shift) + timedelta(days=3)
    if middle.year != day.year:
        # RFC 5545 counts the weeks of the year of the period; a day over its edge is in the other year's week.
        number = (middle.timetuple().tm_yday - 1) // 7 + 1
        return number in rule.week_numbers
    number = (middle.timetuple().tm_yday - 1) // 7 + 1
    last = date(day.year, 12, 28)
    last_middle = last - timedelta(days=(last.weekday() - rule.week_start) % 7) + timedelta(days=3)
    weeks = (last_middle.timetuple().tm_yday - 1) // 7 + 1
    return number in rule.week_numbers or number - weeks - 1 in rule.week_numbers
