"""Every fact of a question under its name, the missing ones included."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import datetime
from functools import lru_cache
from typing import Any

from gyrewright import maintenance, people, rules
from gyrewright.aircraft.definition import TABLES, Definition
from gyrewright.fact import Fact, Origin, missing
from gyrewright.finding import Limit
from gyrewright.inspection import lists
from gyrewright.inspection import state as inspection
from gyrewright.inspection.items import Item
from gyrewright.inspection.read_off import Figure, Figures
from gyrewright.inspection.walk_rules import WalkRules
from gyrewright.release import recipes
from gyrewright.release.flight import EMPTY
from gyrewright.release.question import Aircraft, Question
from gyrewright.release.reported import weather_facts
from gyrewright.rules.said import all_said


def said(name: str, value: Any, typed: str = "") -> Fact:
    return Fact(name, value, typed or str(value))


def facts_of(question: Question, limits: tuple[Limit, ...]) -> Iterator[Fact]:
    """Yield every fact of the question under its name, the missing ones included."""
    yield from _flight_facts(question)
    yield from aircraft_facts(question.definition)
    yield from _field_facts(question)
    yield from question.operation.counting
    yield from _load_facts(question)
    yield from weather_facts(question)
    yield from _standing_facts(question)
    yield said("all_limits", limits, "every limit")
    yield said("planned_facts", tuple(_planned(question)), "what is planned")


def _standing_facts(question: Question) -> Iterator[Fact]:
    """Yield what is known of the people's standing, of the machine's state, and of what only the law asks about."""
    flight, aircraft, operation = question.flight, question.aircraft, question.operation
    yield from all_said(flight.law, aircraft.law, question.field_law, operation.law).values()
    yield from rules.pack_facts(question.pack).values()
    yield people.people_rules_fact(operation.people_rules)
    yield from operation.upkeep
    yield from book_facts(aircraft, operation.walk_rules)
    yield said("entitled", question.entitled, "the table of roles")
    parts = dict(flight.parts)
    if flight.depart_at is None or parts.get("commander") not in question.people:
        return
    local = flight.depart_at.astimezone(question.field.zone)
    yield from people.crew_facts(
        question.people,
        commander=parts["commander"],
        instructor=parts.get("instructor", ""),
        student=parts.get("student", ""),
        examiner=parts.get("examiner", ""),
        passenger=parts.get("passenger", ""),
        aboard=[person for _, person in flight.seats if person in question.people],
        present=flight.present,
        named=flight.named,
        aircraft_id=question.definition.id,
        make_model=question.definition.make_model,
        alone=flight.purpose.value == "student alone",
        flight_on=local.date(),
        depart_at=local,
        asked_at=question.asked_at,
        mass_rule=operation.people_rules.mass,
        insurance=question.insurance,
    ).values()
    yield people.caution_fact(
        question.people,
        commander=parts["commander"],
        instructor=parts.get("instructor", ""),
        student=parts.get("student", ""),
        flight_on=local.date(),
        depart_at=local,
        asked_at=question.asked_at,
        rule=operation.caution_rule,
    )


@lru_cache(maxsize=64)
def book_facts(aircraft: Aircraft, walk_rules: WalkRules | None) -> tuple[Fact, ...]:
    """Return every fact of an aircraft's books; the flights of a day share them."""
    where = aircraft.definition.file
    restore = restore_items(aircraft.definition.equipment)
    if walk_rules is not None:
        walk_rules = inspection.for_list(walk_rules, walk_round())
    return (
        *maintenance.facts(aircraft.program, aircraft.records, where=where).values(),
        *inspection.facts(
            aircraft.walks,
            walk_rules,
            restore_items=restore,
            items=walk_items(aircraft.definition.equipment),
            figures=walk_figures(aircraft.definition),
            where=where,
        ).values(),
    )


@lru_cache(maxsize=1)
def walk_round() -> lists.WalkList:
    """Return the shipped walk-round; it is read once."""
    return lists.shipped_list("walk-round")


@lru_cache(maxsize=64)
def restore_items(equipment: frozenset[str]) -> tuple[str, ...]:
    """Return the things that are put back by touch before the start, from the shipped walk-round."""
    return lists.restore_items(walk_items(equipment))


@lru_cache(maxsize=64)
def walk_items(equipment: frozenset[str]) -> tuple[Item, ...]:
    """Return the items of the shipped walk-round that an aircraft has."""
    return lists.items_for(walk_round(), event="first of the day", equipment=equipment)


@lru_cache(maxsize=64)
def walk_figures(definition: Definition) -> Figures:
    """Return an aircraft's own figures by which the readings of a walk are judged."""
    card = {
        fact.name.removeprefix("card:"): Figure(fact.value, fact.typed) for fact in definition.card if fact.is_known
    }
    counts = {name: Figure(float(count), str(count)) for name, count in definition.counts}
    papers = {"manual_revision": Figure(definition.manual.revision, definition.manual.revision)}
    if definition.weighed_on is not None:
        papers["weighed_on"] = Figure(definition.weighed_on, definition.weighed_on.isoformat())
    return card | counts | papers


def _flight_facts(question: Question) -> Iterator[Fact]:
    flight, zone = question.flight, question.field.zone
    depart_at, asked_at = flight.depart_at, question.asked_at
    where = flight.file
    yield Fact("asked_at", asked_at, str(asked_at)) if asked_at else missing("asked_at", where=where)
    if depart_at is None:
        yield from (missing(name, where=f"{where}: time.depart") for name in ("depart_at", "flight_on"))
    else:
        local = depart_at.astimezone(zone)
        yield said("depart_at", local)
        yield said("flight_on", local.date())
    yield from (flight.purpose, flight.lesson, flight.block, flight.take_offs)
    aboard = [person for _, person in flight.seats if person and person != EMPTY]
    empty_seats = {station.id for station in question.definition.stations if station.kind == "seat"} - dict(
        flight.seats
    ).keys()
    unsaid = next((seat for seat, person in flight.seats if not person), "") or next(iter(sorted(empty_seats)), "")
    if unsaid:
        yield missing("aboard_count", where=f"{where}: seats.{unsaid}")
        yield missing("aboard", where=f"{where}: seats.{unsaid}")
    else:
        yield said("aboard_count", len(aboard))
        yield said("aboard", tuple(aboard))
    parts = dict(flight.parts)
    for part in ("commander", "instructor", "student", "examiner", "passenger"):
        person = parts.get(part, "")
        if part == "commander" and not person:
            yield missing("commander", where=f"{where}: parts.commander")
        else:
            yield said(part, person, person or "nobody")
    configuration = flight.configuration
    yield (
        missing("configuration", where=f"{where}: configuration")
        if configuration is None
        else Fact("configuration", configuration, ", ".join(sorted(configuration)) or "nothing changed")
    )
    yield from (flight.runway, flight.runway_state)
    yield said("machine_clock_doubt", question.clock_doubt, question.clock_doubt or "none")
    newest = _newest(question)
    yield missing("newest_fact", where=where) if newest is None else Fact("newest_fact", newest, newest[0])


@lru_cache(maxsize=64)
def aircraft_facts(definition: Definition) -> tuple[Fact, ...]:
    """Return every fact of an aircraft's file; the flights of a day share them."""
    return tuple(_aircraft_facts(definition))


def _aircraft_facts(definition: Definition) -> Iterator[Fact]:
    yield from (definition.empty_mass, definition.empty_arm, definition.fuel_arm, *definition.fuel)
    for station in definition.stations:
        yield from (station.arm, station.lateral_arm)
    yield from (definition.empty_lateral_arm, definition.fuel_lateral_arm, definition.lateral_envelope)
    yield from (definition.envelope, definition.corrections, definition.landing_corrections, definition.surfaces)
    yield from definition.hang
    yield from definition.card
    for name in TABLES:
        printed = definition.table(name)
        if printed.table is None:
            yield missing(
                f"table:{name}", where=printed.where or f"{definition.file}: table.{name}", why=printed.absent
            )
        else:
            yield Fact(f"table:{name}", printed.table, printed.conditions, Origin.MANUAL, where=printed.where)
    yield said("manual", definition.manual, definition.manual.title)
    yield said("envelope_source", replace(definition.manual, section=definition.envelope_page))
    yield said("verified_by", definition.verified_by, definition.verified_by or "nobody")
    yield said("manual_verified_by", definition.verified_by, definition.verified_by or "nobody")
    yield (
        said("weighing_used", definition.weighed_on.isoformat())
        if definition.weighed_on
        else missing("weighing_used", where=f"{definition.file}: weighing.on")
    )
    yield said("aircraft_id", definition.id)
    yield said("make_model", definition.make_model)
    yield (
        said("certificate", definition.certificate)
        if definition.certificate
        else missing("certificate", where=f"{definition.file}: certificate")
    )
    for axis in ("mass", "pressure altitude", "density altitude", "air temperature"):
        ends = (*recipes.table_ends(definition, axis, upper=True), *recipes.table_ends(definition, axis, upper=False))
        yield said(f"limits:table {axis}", ends, "where the tables end")
    avoided = definition.avoid_weather
    yield (
        missing("avoided_by_maker", where=f"{definition.file}: avoid_weather")
        if avoided is None
        else Fact("avoided_by_maker", avoided, ", ".join(sorted(avoided)), Origin.MANUAL)
    )


def _field_facts(question: Question) -> Iterator[Fact]:
    place = question.field
    yield said("field", place.identifier or place.name)
    yield from (place.elevation, place.latitude, place.longitude)
    yield said("zone", place.zone.key)
    if not place.variation_by_model:
        yield place.variation
    yield from runway_facts(question)
    avoided = question.operation.avoid_weather
    yield (
        missing("avoided_by_house", where=f"{question.operation.file}: house.avoid_weather")
        if avoided is None
        else Fact("avoided_by_house", avoided, ", ".join(sorted(avoided)), Origin.HOUSE)
    )


def runway_facts(question: Question) -> Iterator[Fact]:
    """Yield what rests on the choice of the runway."""
    field, flight = question.field, question.flight
    runway = field.runway(flight.runway.value) if flight.runway.is_known else None
    if runway is None:
        names = ", ".join(each.name for each in field.runways)
        why = f"{flight.runway.typed} is not one of {names}" if flight.runway.is_known else ""
        for name in ("runway", "runway_length_m", "slope_ratio", "runway_source"):
            yield missing(name, where=flight.runway.where, why=why)
        return
    yield Fact("runway", runway, runway.name, Origin.RECORD, where=runway.where)
    yield from (runway.length, runway.slope)
    yield said("runway_source", replace(field.source, section=f"runway {runway.name}"))


def _load_facts(question: Question) -> Iterator[Fact]:
    flight = question.flight
    seats, loads = dict(flight.seats), {fact.name: fact for fact in flight.loads}
    for station in question.definition.stations:
        name = f"load_kg:{station.id}"
        if station.kind != "seat":
            section = f"{flight.file}: loads.{station.id}"
            yield loads.get(name) or missing(name, where=section)
            continue
        occupant = seats.get(station.id, "")
        if occupant == EMPTY:
            yield Fact(name, 0.0, "empty", where=f"{flight.file}: seats.{station.id}")
        elif occupant in question.people:
            yield replace(question.people[occupant].mass, name=name)
        else:
            why = f"nobody is called {occupant!r}" if occupant else ""
            yield missing(name, where=f"{flight.file}: seats.{station.id}", why=why)
    yield said("seated", seats)
    for occupant in seats.values():
        if occupant in question.people:
            mass = question.people[occupant].mass
            name = f"weighed_on:{occupant}"
            if mass.at is None or mass.origin is not Origin.WEIGHED:
                yield missing(name, where=mass.where)
            else:
                yield said(name, mass.at.astimezone(question.field.zone).date())
    yield from flight.fuel
    readings = question.operation.readings
    where = f"{question.operation.file}: house.fuel_readings"
    yield said("fuel_readings", readings, " and ".join(readings)) if readings else missing("fuel_readings", where=where)
    stick = next((fact for fact in flight.fuel if fact.name == "fuel_stick_l"), None)
    at = stick.at if stick else None
    yield Fact("stick_at", at, str(at)) if at else missing("stick_at", where=f"{flight.file}: fuel.stick.at")


def _planned(question: Question) -> Iterator[Fact]:
    for fact in (*question.flight.fuel, *question.flight.loads):
        if fact.origin is Origin.PLANNED and fact.is_known:
            yield fact


def _newest(question: Question) -> tuple[str, datetime] | None:
    """Return name and time of the newest thing that is said to have happened already."""
    flight = question.flight
    told = [
        (fact.name, fact.at)
        for fact in (*flight.fuel, *flight.loads, *(person.mass for person in question.people.values()))
        if fact.at is not None and fact.origin is not Origin.PLANNED
    ]
    told += [("observation", metar.observed_at) for metar in question.metars if metar.observed_at]
    if flight.observation:
        told.append(("observation", flight.observation.at))
    return max(told, key=lambda each: each[1]) if told else None
