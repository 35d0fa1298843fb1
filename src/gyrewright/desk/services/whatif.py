"""A flight asked again with something else chosen: fuel, start, length, runway, aircraft, seats, ballast, people.

What-if never changes a fact. Its words are those of the address, so that every alternative has one and can be asked
for with one touch; asking for it in earnest records it.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from datetime import datetime, timedelta
from typing import Any

from gyrewright.air.course import minutes
from gyrewright.desk.book.kinds.flight import FlightAsked
from gyrewright.desk.fold.asked import Asked
from gyrewright.desk.refusal import Refused
from gyrewright.desk.services import state
from gyrewright.errors import UnitError
from gyrewright.fact import Fact
from gyrewright.release import choices
from gyrewright.release.flight import EMPTY, OPEN, Flight
from gyrewright.release.question import Question
from gyrewright.units import parse_quantity

KEYS = ("aircraft", "fuel", "start", "block", "runway", "seats", "instructor", "lesson", "dual")
LOAD = "load."
"""How the name of a load begins: the station follows."""


def chosen(given: Mapping[str, str]) -> dict[str, str]:
    """Return what was chosen, by name; what was left empty is not."""
    return {
        key: value.strip()[:60]
        for key, value in given.items()
        if value.strip() and (key in KEYS or key.startswith(LOAD))
    }


def _amount(dimension: str, text: str) -> float:
    try:
        return parse_quantity(dimension, text).value
    except UnitError as error:
        raise Refused(str(error)) from None


def start_of(text: str, asked: Asked) -> datetime:
    """Return the start that a text gives: a clock time of the flight's local day, or a whole moment.

    Raises:
        Refused: It is neither.
    """
    zone = state.zone()
    try:
        if "T" in text:
            moment = datetime.fromisoformat(text)
            if moment.tzinfo is not None:
                return moment
            return moment.replace(tzinfo=zone)
        clock = datetime.strptime(text.replace(".", ":"), "%H:%M").time()  # noqa: DTZ007 - only its time counts
    except ValueError:
        raise Refused(f"{text!r} is no time; write it such as 13:30") from None
    return datetime.combine(asked.act.depart_at.astimezone(zone).date(), clock, tzinfo=zone)


def applied(question: Question, asked: Asked, wanted: Mapping[str, str], at: datetime) -> Question:
    """Return the question with what was chosen.

    Raises:
        Refused: A choice does not read, or is none here.
        UnknownName: There is no such aircraft.
    """
    fuel = _amount("volume", wanted["fuel"]) if "fuel" in wanted else None
    if "aircraft" in wanted and wanted["aircraft"] != question.definition.id:
        here = [fact.value for fact in question.flight.fuel if fact.is_known]
        planned = fuel if fuel is not None else min(here, default=0.0)
        question = choices.with_aircraft(question, state.machine(wanted["aircraft"], at).aircraft, planned)
    elif fuel is not None:
        question = choices.with_fuel(question, fuel)
    if "start" in wanted:
        question = choices.with_start(question, minutes(start_of(wanted["start"], asked)))
    if wanted.get("block") == OPEN:
        question = choices.with_open_end(question)
    elif "block" in wanted:
        question = choices.with_block(question, _amount("time", wanted["block"]))
    if "runway" in wanted:
        names = [runway.name for runway in question.field.runways]
        if wanted["runway"] not in names:
            raise Refused(f"there is no runway {wanted['runway']!r}; use {', '.join(names)}")
        question = choices.with_runway(question, wanted["runway"])
    if wanted.get("seats") == "swapped":
        swapped = choices.with_seats_swapped(question)
        if swapped is None:
            raise Refused("there are not two people aboard to swap seats")
        question = swapped
    if "instructor" in wanted:
        if wanted["instructor"] not in question.people:
            raise Refused(f"nobody is called {wanted['instructor']!r}")
        question = choices.with_instructor(question, wanted["instructor"])
    if "dual" in wanted:
        dual = choices.with_instructor_aboard(question, wanted["dual"]) if wanted["dual"] in question.people else None
        if dual is None:
            raise Refused(f"{wanted['dual']!r} cannot go along: this is no student's flight alone with one seat free")
        question = dual
    if "lesson" in wanted:
        question = choices.with_lesson(question, wanted["lesson"])
    for key, text in wanted.items():
        if key.startswith(LOAD):
            station = key.removeprefix(LOAD)
            if station not in {each.id for each in question.definition.stations if each.kind != "seat"}:
                raise Refused(f"{question.definition.id} has no place {station!r} for load")
            question = choices.with_load(question, station, _amount("mass", text))
    return question


def difference(asked: Question, offered: Question) -> dict[str, str]:
    """Return the choices that make one question the other, in the words of an address."""
    out: dict[str, str] = {}
    before, after = asked.flight, offered.flight
    if offered.definition.id != asked.definition.id:
        out["aircraft"] = offered.definition.id
    fuel = next((fact for fact in after.fuel if fact.name == "fuel_planned_l" and fact.is_known), None)
    if fuel is not None and fuel not in before.fuel:
        out["fuel"] = f"{fuel.value:g} L"
    if after.depart_at is not None and after.depart_at != before.depart_at:
        out["start"] = after.depart_at.astimezone(asked.field.zone).strftime("%Y-%m-%dT%H:%M")
    if after.block.value != before.block.value:
        out["block"] = OPEN if after.block.value == OPEN else f"{after.block.value:g} h"
    if after.runway.value != before.runway.value:
        out["runway"] = str(after.runway.value)
    parts, now = dict(before.parts), dict(after.parts)
    if after.purpose.value != before.purpose.value:
        out["dual"] = now.get("instructor", "")
    elif parts.get("instructor") != now.get("instructor"):
        out["instructor"] = now.get("instructor", "")
    elif "aircraft" not in out and after.seats != before.seats:
        out["seats"] = "swapped"
    if after.lesson.value != before.lesson.value:
        out["lesson"] = str(after.lesson.value)
    if "aircraft" not in out:
        loads = _loads(before)
        for station, fact in _loads(after).items():
            if station not in loads or fact.value != loads[station].value:
                out[f"{LOAD}{station}"] = f"{fact.value:g} kg"
    return out


def _loads(flight: Flight) -> dict[str, Fact]:
    """Return what lies at each station; a flight keeps other plans beside its loads."""
    found = (fact.name.partition(":") for fact in flight.loads)
    return {station: fact for (kind, _, station), fact in zip(found, flight.loads, strict=True) if kind == "load_kg"}


def in_earnest(asked: Asked, offered: Question, wanted: Mapping[str, str]) -> tuple[str, FlightAsked]:
    """Return aircraft and act by which what was chosen is asked for."""
    flight = offered.flight
    fuel = next((fact for fact in flight.fuel if fact.name == "fuel_planned_l" and fact.is_known), None)
    fuel_text = f"{fuel.value:g} L" if fuel is not None else ""
    if not {"fuel", "aircraft"} & set(wanted):
        # Readings that count go on counting: a plan written now would take their place.
        fuel_text = "" if any(fact.is_known for fact in flight.fuel if fact is not fuel) else fuel_text
    parts: dict[str, Any] = {
        part: dict(flight.parts).get(part, "")
        for part in ("commander", "instructor", "student", "examiner", "passenger")
    }
    block = flight.block.value
    act = replace(
        asked.act,
        depart_at=(flight.depart_at or asked.act.depart_at) + timedelta(0),
        block=asked.act.block if "block" not in wanted else (OPEN if block == OPEN else f"{block:g} h"),
        runway=str(flight.runway.value or ""),
        purpose=str(flight.purpose.value or ""),
        lesson=str(flight.lesson.value or ""),
        seats={seat: person or EMPTY for seat, person in flight.seats},
        loads={station: fact.typed for station, fact in _loads(flight).items() if fact.is_known},
        fuel=fuel_text,
        configuration=tuple(sorted(flight.configuration)) if flight.configuration is not None else None,
        **parts,
    )
    return offered.definition.id, act
