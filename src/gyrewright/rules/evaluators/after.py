"""After the flight: what must be written, and what must be told to whom."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from datetime import date

from gyrewright.finding import Condition
from gyrewright.rules.calendar import add_months
from gyrewright.rules.registry import TEXTS, WHOLE, Found, evaluator, only_if, passes, stops


@evaluator("entry", fields=TEXTS)
def entry(*, fields: Sequence[str], entry_fields: Collection[str]) -> Found:
    """Return what an entry lacks."""
    absent = tuple(each for each in fields if each not in entry_fields)
    return stops(items=absent, count=len(absent)) if absent else passes(count=len(fields))


@evaluator("keep records", years=WHOLE)
def keep_records(
    *, years: int, endorsements_recorded: bool, endorsement_records_kept_until_on: date, flight_on: date
) -> Found:
    """Return whether an instructor's own record of endorsements exists and will be kept long enough."""
    until = add_months(flight_on, 12 * years)
    if not endorsements_recorded:
        return stops(until=until)
    return passes(until=until) if endorsement_records_kept_until_on >= until else stops("short", until=until)


@evaluator("notify", events=TEXTS)
def notify(
    *,
    events: Sequence[str],
    event_kinds: Collection[str],
    authority_notified: bool,
    records_frozen: bool,
    commander: str,
) -> Found:
    """Return whether an event that must be told at once has been told, and the records of the flight are frozen."""
    met = tuple(each for each in events if each in event_kinds)
    if not met:
        return passes()
    if not authority_notified:
        return stops(items=met, count=len(met))
    if not records_frozen:
        return only_if(Condition("rules.freeze_records", commander, None, {"items": met}), items=met)
    return passes("told", items=met)
