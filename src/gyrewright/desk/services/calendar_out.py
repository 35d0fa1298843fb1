"""The day's flights as a calendar file (RFC 5545): when, which aircraft, what for. No person, no mass, no answer."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import UTC, datetime, timedelta

from gyrewright.desk.fold.asked import Asked
from gyrewright.desk.services.bookings import OWN
from gyrewright.errors import UnitError
from gyrewright.units import parse_quantity

PRODUCT = "-//Gyrewright//the day's flights//EN"


def calendar_of(flights: Iterable[Asked], *, released: Iterable[str], names: Mapping[str, str]) -> bytes:
    """Return flights as a calendar file.

    Args:
        flights: The flights, dropped ones included: a calendar that took them in before learns that they are off.
        released: Ids of those that hold a release.
        names: What each aircraft is called, by id.
    """
    from icalendar import Calendar, Event

    done = frozenset(released)
    calendar = Calendar()
    calendar.add("prodid", PRODUCT)
    calendar.add("version", "2.0")
    calendar.add("method", "PUBLISH")
    for asked in flights:
        act, event = asked.act, Event()
        start, end = _span(asked)
        event.add("uid", f"{asked.id}{OWN}")
        event.add("dtstamp", asked.record.entered_at.astimezone(UTC))
        event.add("dtstart", start)
        if end is not None:
            event.add("dtend", end)
        what = ", ".join(each for each in (act.purpose, act.lesson) if each)
        event.add("summary", f"{names.get(asked.aircraft, '')} {asked.aircraft}: {what}".strip())
        event.add("status", _status(asked, done))
        # A later record of the same flight has a higher number: the file that was given out last is the newest.
        event.add("sequence", asked.record.seq + (asked.dropped_at is not None))
        event.add("class", "PRIVATE")
        calendar.add_component(event)
    text: bytes = calendar.to_ical()
    return text


def _span(asked: Asked) -> tuple[datetime, datetime | None]:
    """Return begin and end: as flown once it is flown, else as asked for; no end where it was left open."""
    if asked.done is not None:
        return asked.done.act.began_at.astimezone(UTC), asked.done.act.ended_at.astimezone(UTC)
    start = asked.act.depart_at.astimezone(UTC)
    try:
        hours = parse_quantity("time", asked.act.block).value
    except UnitError:
        return start, None
    return start, start + timedelta(hours=hours)


def _status(asked: Asked, released: frozenset[str]) -> str:
    if asked.dropped_at is not None and asked.done is None:
        return "CANCELLED"
    return "CONFIRMED" if asked.done is not None or asked.id in released else "TENTATIVE"
