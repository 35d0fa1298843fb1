"""Questions of one shape that any jurisdiction asks: does it hold, is it in date, has it been declared."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, datetime

from gyrewright.arrays import at_most
from gyrewright.finding import Condition
from gyrewright.rules.calendar import add_months, good_through, hours_between, later
from gyrewright.rules.registry import (
    DAY,
    FLAG,
    TEXT,
    WHOLE,
    Found,
    Params,
    evaluator,
    measured,
    only_if,
    passes,
    stops,
    unknown,
)
from gyrewright.rules.shapes import Due


@evaluator("all hold")
def all_hold(**things: bool) -> Found:
    """Return STOP naming every thing that does not hold."""
    broken = tuple(name.replace("_", " ") for name, holds in things.items() if not holds)
    return stops(broken=broken, count=len(broken)) if broken else passes(count=len(things))


@evaluator("none hold")
def none_hold(**things: bool) -> Found:
    """Return STOP naming every thing that holds although it must not."""
    met = tuple(name.replace("_", " ") for name, holds in things.items() if holds)
    return stops(broken=met, count=len(met)) if met else passes(count=len(things))


@evaluator("none open")
def none_open(*, items: Sequence[str]) -> Found:
    """Return STOP naming what is open."""
    return stops(items=tuple(items), count=len(items)) if items else passes(count=0)


@evaluator("months since", months=WHOLE)
def months_since(*, months: int, done_on: date, flight_on: date) -> Found:
    """Return whether something is still good, counted in calendar months; the last day is the end of a month."""
    until = good_through(done_on, months)
    params: Params = {"done_on": done_on, "until": until, "months": months}
    if done_on > flight_on:
        return stops("later", **params)
    if flight_on > until:
        return stops(**params)
    return passes(ends_this_month=until.replace(day=1) == flight_on.replace(day=1), **params)


@evaluator("months of its own since")
def months_of_its_own_since(*, months: int, done_on: date, flight_on: date) -> Found:
    """Return the same where the number of months is the aircraft's own (its operating limitations say it)."""
    return months_since(months=months, done_on=done_on, flight_on=flight_on)


@evaluator("same day months later", months=WHOLE)
def same_day_months_later(*, months: int, done_on: date, flight_on: date) -> Found:
    """Return whether something is still good, where the clock ends on the same day of the month."""
    until = add_months(done_on, months)
    params: Params = {"done_on": done_on, "until": until, "months": months}
    return passes(**params) if done_on <= flight_on <= until else stops(**params)


@evaluator("nothing due")
def nothing_due(*, items: Sequence[Due], flight_on: date, block_h: float) -> Found:
    """Return STOP where a thing falls due before the engine stops, UNKNOWN where nobody knows when it is due."""
    late: list[str] = []
    unsure: list[str] = []
    for item in items:
        by_day = item.due_on is not None
        by_hour = item.due_h is not None
        if (item.due_on is not None and flight_on > item.due_on) or (
            item.due_h is not None and item.now_h is not None and not at_most(item.now_h + block_h, item.due_h)
        ):
            late.append(item.name)
        elif not (by_day or by_hour) or (by_hour and item.now_h is None):
            unsure.append(item.name)
    if late:
        return stops(items=tuple(late), count=len(late))
    if unsure:
        return unknown("items", why="unsure", items=tuple(unsure), count=len(unsure))
    return passes(count=len(items))


@evaluator("declared", lifetime=measured("time"), owner=TEXT, act=FLAG)
def declared(
    *,
    lifetime: float,
    owner: str,
    act: bool | None = None,
    said: bool,
    said_at: datetime,
    asked_at: datetime,
    depart_at: datetime,
) -> Found:
    """Return what a named person's declaration is worth at the start: good for its lifetime, and not before it is made.

    `act` marks something that can still be done before the start; said not to be done yet, it is a condition.
    """
    params: Params = {"said_at": said_at, "lifetime_h": lifetime, "who": owner}
    if not said:
        if act and asked_at < depart_at:
            return only_if(Condition("rules.declare", owner, depart_at, params), **params)
        return stops(**params)
    age_h = hours_between(said_at, depart_at)
    if age_h < 0.0 or not at_most(age_h, lifetime):
        return unknown("said", why="old", **params)
    return passes(holds_until=later(said_at, lifetime), **params)


@evaluator("noted", lifetime=measured("time"), owner=TEXT, binding=FLAG)
def noted(
    *,
    lifetime: float,
    owner: str,
    binding: bool | None = None,
    said: bool | None = None,
    said_at: datetime | None = None,
    asked_at: datetime,
    depart_at: datetime,
) -> Found:
    """Return the same for something that restricts or only informs: unsaid, it is a condition, or a note.

    `binding` makes the condition. Said not to be so, it stops like any other declaration.
    """
    if said is None or said_at is None:
        params: Params = {"who": owner, "lifetime_h": lifetime}
        return only_if(Condition("rules.declare", owner, depart_at, params), **params) if binding else passes("note")
    return declared(
        lifetime=lifetime,
        owner=owner,
        act=True,
        said=said,
        said_at=said_at,
        asked_at=asked_at,
        depart_at=depart_at,
    )


@evaluator("pack age", months=WHOLE)
def pack_age(*, months: int, pack_read_on: date, pack_begins: date, flight_on: date) -> Found:
    """Return UNKNOWN where a pack is too old for the flight, or the flight too early for the pack."""
    until = good_through(pack_read_on, months)
    params: Params = {"read_on": pack_read_on, "until": until, "begins": pack_begins}
    if flight_on < pack_begins:
        return unknown("pack_begins", why="early", **params)
    return passes(**params) if flight_on <= until else unknown("pack_read_on", why="old", **params)


@evaluator("ends on", issued_before=DAY, ends_on=DAY)
def ends_on(
    *, issued_before: date, ends_on: date, relied_on: bool, issued_on: date | None = None, flight_on: date
) -> Found:
    """Return whether an authority issued before a day still holds; on the day on which it ends it does not."""
    if not relied_on:
        return None
    if issued_on is None:
        return unknown("issued_on")
    params: Params = {"issued_on": issued_on, "ends_on": ends_on, "issued_before": issued_before}
    if issued_on > flight_on:
        return stops("later", **params)
    if issued_on >= issued_before:
        return passes("later_kind", **params)
    return stops(**params) if flight_on >= ends_on else passes(**params)
