"""After a flight: its numbers entered in one act, corrected later, and what belongs to them found again.

What was read off the machine (meters, stick, gauge) and what happened to it (events, something to look at) are records
of their own, so that they travel with the aircraft and count like any other. Their ids are made from the flight's, so
that two people who enter the same flight never count it twice: the same numbers are kept once, others become one
question to a person.
"""

from __future__ import annotations

import uuid
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.db.models import Q

from gyrewright.desk import clock
from gyrewright.desk.book.kinds.flight import FlightDone, FlightPersonal
from gyrewright.desk.book.kinds.operation import Withdrawn
from gyrewright.desk.book.kinds.upkeep import DefectReported, EventReported, FuelMeasured, MeterRead, Touched
from gyrewright.desk.book.models import Record
from gyrewright.desk.book.reading import read_rows
from gyrewright.desk.book.record import Entry, Kept, Outcome, Recorded
from gyrewright.desk.book.writing import append
from gyrewright.desk.fold.asked import Asked
from gyrewright.desk.fold.standing import Standing, standing
from gyrewright.desk.refusal import Refused
from gyrewright.desk.services import state
from gyrewright.desk.services.entitling import require_reach
from gyrewright.desk.services.flights import is_of
from gyrewright.desk.services.flown_text import Around, Written, event_questions, night_rule
from gyrewright.desk.services.people import all_people
from gyrewright.desk.services.records import new_id
from gyrewright.desk.services.releases import supersede
from gyrewright.desk.services.trying import aircraft_with
from gyrewright.rules.pack import pack_named
from gyrewright.units import parse_quantity

FELT = "felt in flight"
"""What a report is about that a crew makes with the numbers of a flight."""


TRIES = 5
"""How often a flight's numbers may be entered anew after they were taken back or called untrue."""


def id_of(flight: str, what: str) -> str:
    """Return the id of a record that belongs to a flight's numbers."""
    return str(uuid.uuid5(uuid.UUID(flight), what))


def _tries(flight: str, what: str) -> list[str]:
    """Return the ids under which something may stand, the first try first."""
    return [id_of(flight, what if number == 1 else f"{what} {number}") for number in range(1, TRIES + 1)]


def ids_of(asked: Asked, at: datetime) -> tuple[str, ...]:
    """Return the ids under which two people may have entered a flight's numbers differently."""
    records = state.machine(asked.aircraft, at).tables.books.get("meter", ())
    meters = [f"meter {each['name']}" for each in records]
    names = ("flown", *meters, "fuel stick", "fuel gauge", "oil", "felt")
    events = [f"event {kind}" for each in event_questions(None) for kind in each.on]
    return tuple(id for name in (*names, *events) for id in _tries(asked.id, name))


@dataclass(frozen=True, slots=True)
class Beside:
    """What counts now of the records that were entered with the numbers of a flight."""

    meters: Mapping[str, Recorded]
    fuel: Mapping[str, Recorded]
    oil: Recorded | None
    events: Mapping[str, Recorded]
    felt: Recorded | None


def around(asked: Asked, at: datetime) -> Around:
    """Return what the numbers of a flight are read against."""
    house, made = state.house(at), state.machine(asked.aircraft, at)
    records = made.aircraft.records
    return Around(
        asked=asked,
        definition=made.aircraft.definition,
        program=made.aircraft.program,
        meters=records.history.meters if records else {},
        field=house.field,
        night=night_rule(pack_named(house.operation.rule_pack), asked.act.depart_at),
        volume_unit=dict(house.operation.units).get("volume", "L"),
        now=at,
    )


def _counting(asked: Asked) -> Standing:
    where = Q(about=asked.aircraft, kind__in=_KINDS) | Q(kind__in=("withdrawn", "clash", "clash-settled"))
    return standing(state.records_of(("beside", asked.aircraft), where))


def beside(asked: Asked) -> Beside:
    """Return the records that belong to a flight's numbers, as they count now."""
    counting = _counting(asked)
    by_first = {counting.first.get(each.id, each.id): each for each in counting.records}

    def mine(what: str) -> Recorded | None:
        return next((by_first[id] for id in _tries(asked.id, what) if id in by_first), None)

    def several(names: Iterable[str], word: str) -> dict[str, Recorded]:
        found = {name: mine(f"{word} {name}") for name in names}
        return {name: each for name, each in found.items() if each is not None}

    meters = {each.act.meter for each in counting.records if isinstance(each.act, MeterRead)}
    events = {each.act.kind for each in counting.records if isinstance(each.act, EventReported)}
    return Beside(
        meters=several(sorted(meters), "meter"),
        fuel=several(("stick", "gauge"), "fuel"),
        oil=mine("oil"),
        events=several(sorted(events), "event"),
        felt=mine("felt"),
    )


def _slots(asked: Asked) -> Callable[[str], str]:
    """Return a function that gives the id under which something of a flight stands or may be entered.

    An id whose record was taken back, or called untrue, is used up: what is entered after it gets the next one.
    """
    counting = _counting(asked)
    alive = {counting.first.get(each.id, each.id) for each in counting.records}
    alive |= {each.of for each in counting.conflicts}

    def slot(what: str) -> str:
        tries = _tries(asked.id, what)
        used = set(Record.objects.filter(id__in=tries).values_list("id", flat=True))
        found = next((id for id in tries if id not in used or id in alive), None)
        if found is None:
            raise Refused("these numbers were taken back too often; correct what stands")
        return found

    return slot


_KINDS = ("flight-done", "meter-read", "fuel-measured", "touched", "event-reported", "defect-reported")


def enter_flight(*, flight: str, written: Written, by: str) -> Kept:
    """Record the numbers of a flight.

    The same numbers entered again are kept once. Other numbers for a flight that has its own already become a clash:
    both are kept, neither counts, and a person is asked.

    Raises:
        NotAllowed: The flight is another's.
        Refused: The flight was dropped, or the numbers contradict the book.
    """
    now = clock.now()
    asked = state.flight(flight, now)
    require_reach("flight-after-enter", person=by, is_own=is_of(asked, by))
    if asked.dropped_at is not None and asked.done is None:
        raise Refused("this flight was dropped; if it was flown after all, withdraw on Records that it was dropped")
    entries = list(_new(asked, written, by))
    there = {each.id: each for each in read_rows(Record.objects.filter(id__in=[each.id for each in entries]))}
    mine = there.get(entries[0].id)
    if mine is not None and mine.act == entries[0].act and _same_beside(entries[1:], there):
        return Kept(Outcome.AGAIN, mine)
    if mine is not None:
        # The flight's own record comes along, so that one question holds all that differs.
        entries = [each for each in entries if each.id not in there or there[each.id].act != each.act]
    _fits(asked, written, entries, now)
    kept = append(entries)
    supersede(by=by)
    return kept[0]


def _same_beside(entries: Iterable[Entry], there: Mapping[str, Recorded]) -> bool:
    return all(each.id in there and there[each.id].act == each.act for each in entries)


def _new(asked: Asked, written: Written, by: str) -> Iterable[Entry]:
    act, about, slot = written.act, asked.aircraft, _slots(asked)

    def entry(what: str, made: Any, at: datetime) -> Entry:
        return Entry(slot(what), made, at, by, about)

    yield _flight_entry(slot("flown"), written, asked, by)
    for name, shows in written.meters.items():
        yield entry(f"meter {name}", MeterRead(meter=name, shows=shows), act.ended_at)
    for by_what, aboard in written.fuel.items():
        yield entry(f"fuel {by_what}", FuelMeasured(by_what=by_what, aboard=aboard), act.ended_at)  # type: ignore[arg-type]
    if written.oil_added:
        yield entry("oil", Touched(what="oil added", oil=written.oil_added), act.ended_at)
    for kind, words in written.events.items():
        yield entry(f"event {kind}", EventReported(kind=kind, words=words), act.on_at)
    if written.needs_look:
        report = DefectReported(item=FELT, symptom=FELT, words=written.felt)
        yield entry("felt", report, act.on_at)


def _flight_entry(id: str, written: Written, asked: Asked, by: str, corrects: str = "") -> Entry:
    felt = FlightPersonal(felt=written.felt) if written.felt else None
    return Entry(id, written.act, written.act.ended_at, by, asked.aircraft, corrects, felt, asked.act.commander)


def correct_flight(*, id: str, flight: str, written: Written, by: str) -> Kept:
    """Record other numbers in the place of those that count now; each correction points at what it corrects.

    An event that was reported stays: only its inspection clears it.

    Raises:
        NotAllowed: The flight is another's.
        Refused: The flight has no numbers yet, or two truths about them are open.
    """
    now = clock.now()
    asked = state.flight(flight, now)
    require_reach("flight-after-enter", person=by, is_own=is_of(asked, by))
    if asked.done is None:
        raise Refused("this flight has no numbers yet; enter them first")
    if asked.in_question:
        raise Refused("two truths about this flight are open; say first which of them is true")
    entries = list(_corrections(id, asked, written, by, now))
    if not entries:
        raise Refused("nothing was changed")
    _fits(asked, written, entries, now)
    kept = append(entries)
    supersede(by=by)
    return kept[0]


def _corrections(id: str, asked: Asked, written: Written, by: str, now: datetime) -> Iterable[Entry]:
    done = asked.done
    assert done is not None
    before, act, about, slot = beside(asked), written.act, asked.aircraft, _slots(asked)
    felt = done.personal.felt if done.personal else ""
    if done.act != act or felt != written.felt:
        yield _flight_entry(id, written, asked, by, corrects=done.id)
    wanted = {entry.id: entry for entry in list(_new(asked, written, by))[1:]}
    standing_now = {slot(f"meter {name}"): record for name, record in before.meters.items()}
    standing_now |= {slot(f"fuel {name}"): record for name, record in before.fuel.items()}
    if before.oil is not None:
        standing_now[slot("oil")] = before.oil
    for key, record in standing_now.items():
        new = wanted.pop(key, None)
        if new is None:
            yield Entry(new_id(), Withdrawn(), now, by, about, record.id)
        elif (new.act, new.done_at) != (record.act, record.done_at):
            yield Entry(new_id(), new.act, new.done_at, by, about, record.id)
    # Events and reports stay as they were: their id is used while they stand.
    used = set(Record.objects.filter(id__in=list(wanted)).values_list("id", flat=True))
    yield from (entry for entry in wanted.values() if entry.id not in used)


# --- does it fit what the book holds ---


def _fits(asked: Asked, written: Written, entries: list[Entry], now: datetime) -> None:
    _overlaps(asked, written.act, now)
    made = state.machine(asked.aircraft, now)
    records = made.aircraft.records
    changed = {each["name"] for each in made.tables.books.get("meter", ()) if each.get("replaced")}
    mine = {each.id for each in beside(asked).meters.values()}
    names = {id: known.name or id for id, known in all_people().items()}
    zone = state.zone()
    for name, shows in written.meters.items():
        meter = records.history.meters.get(name) if records else None
        readings = meter.readings if meter and name not in changed else ()
        earlier = [each for each in readings if each.id not in mine and each.at <= written.act.ended_at]
        if not earlier:
            continue
        last, value = earlier[-1], parse_quantity("time" if shows.split()[-1] in _HOURS else "count", shows).value
        if value < last.shows - 1e-9:
            raise Refused(
                f"{name}: {shows} is less than the {last.typed} read on"
                f" {last.at.astimezone(zone):%-d %b %Y %H:%M} by {names.get(last.by, last.by) or 'somebody'}; read it"
                " again; if the earlier one was wrong, or the meter was replaced, put that right first"
            )
    known = set(Record.objects.filter(id__in=[each.id for each in entries]).values_list("id", flat=True))
    new = [each for each in entries if each.id not in known]
    if new:
        aircraft_with(new, aircraft=asked.aircraft)


_HOURS = ("h", "min")


def _overlaps(asked: Asked, act: FlightDone, now: datetime) -> None:
    zone = state.zone()
    for other in state.flights(now).values():
        if other.id == asked.id or other.aircraft != asked.aircraft or other.done is None:
            continue
        theirs: FlightDone = other.done.act
        if act.off_at < theirs.on_at and theirs.off_at < act.on_at:
            raise Refused(
                f"{asked.aircraft} is down as flying from {theirs.off_at.astimezone(zone):%H:%M} to"
                f" {theirs.on_at.astimezone(zone):%H:%M} already; correct the times of whichever flight is wrong"
            )
