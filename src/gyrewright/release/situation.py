"""A question becomes a sheet: every fact under its name, every recipe that this aircraft and this house call for."""

from __future__ import annotations

import dataclasses
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from functools import lru_cache
from typing import Any

from gyrewright import maintenance, people, rules
from gyrewright.air import magnetism, weather
from gyrewright.air.course import minutes
from gyrewright.air.field import Field
from gyrewright.air.reports import Metar, Taf
from gyrewright.air.weather import Sample, Spells
from gyrewright.aircraft.definition import TABLES, Definition
from gyrewright.arrays import Num
from gyrewright.check import Aging, Check, Comparison
from gyrewright.fact import Doubt, Fact, Origin, missing
from gyrewright.finding import NOTHING, Limit
from gyrewright.inspection import lists
from gyrewright.inspection import state as inspection
from gyrewright.inspection.walk import Book
from gyrewright.inspection.walk_rules import WalkRules
from gyrewright.maintenance import Program, Records
from gyrewright.people import Insurance, Person
from gyrewright.release import recipes
from gyrewright.release.checks import CHECKS, agings, comparisons
from gyrewright.release.flight import EMPTY, Flight, WeatherRow
from gyrewright.release.operation import Operation
from gyrewright.release.standing import standing_recipes
from gyrewright.rules.pack import Pack
from gyrewright.rules.said import all_said
from gyrewright.sheet import Partial, Plan, Recipe, Sheet, recipe


@dataclass(frozen=True, slots=True, eq=False)
class Aircraft:
    """One aircraft: its definition, what a law asks about it, and its books, None where its file names none."""

    definition: Definition
    law: tuple[Fact, ...] = ()
    program: Program | None = None
    records: Records | None = None
    walks: Book | None = None


@dataclass(frozen=True, slots=True)
class Question:
    """Everything that one answer rests on. Nothing here has been computed yet."""

    operation: Operation
    field: Field
    aircraft: Aircraft
    people: Mapping[str, Person]
    flight: Flight
    pack: Pack
    field_law: tuple[Fact, ...] = ()
    metars: tuple[Metar, ...] = ()
    tafs: tuple[Taf, ...] = ()
    asked_at: datetime | None = None
    clock_doubt: str = ""
    insurance: tuple[Insurance, ...] = ()
    entitled: Mapping[str, frozenset[str]] = dataclasses.field(default_factory=lambda: NOTHING)

    @property
    def definition(self) -> Definition:
        """The aircraft as its manual describes it."""
        return self.aircraft.definition


@dataclass(frozen=True, slots=True)
class Shape:
    """What the wiring of a question depends on: which stations, axes and readings there are, never their values."""

    stations: tuple[str, ...]
    groups: tuple[tuple[str, ...], ...]
    aboard: tuple[str, ...]
    readings: tuple[str, ...]
    axes: tuple[tuple[str, tuple[str, ...]], ...]
    has_arms: bool
    moist_air: bool
    variation_by_model: bool


@dataclass(frozen=True, slots=True)
class Layout:
    """What a shape calls for: the plan of its numbers, and its comparisons. Many questions share it."""

    plan: Plan
    comparisons: tuple[Comparison, ...]
    agings: tuple[Aging, ...]


@dataclass(frozen=True, slots=True)
class Situation:
    """A question laid out: its sheet, and the checks to be made on it in their order."""

    question: Question
    sheet: Sheet
    comparisons: tuple[Comparison, ...]
    agings: tuple[Aging, ...]
    checks: tuple[Check, ...]


def situation_of(question: Question) -> Situation:
    """Return the sheet and the checks of a question."""
    limits = all_limits(question)
    layout = layout_of(shape_of(question, limits))
    facts = {fact.name: fact for fact in facts_of(question, limits)}
    # The law's part depends on the flight's own words, one of which (its light) is worked out first.
    words = law_words(question, Sheet(facts, layout.plan))
    on = facts["flight_on"].value
    law: tuple[Check, ...] = ()
    if on is not None:
        law = rules.checks_in_force(question.pack, on, words)
        limits += rules.limits_in_force(question.pack, on, words)
        facts["all_limits"] = _said("all_limits", limits, "every limit")
    asked_of_people = people.checks_for(words.purpose, question.operation.people_rules)
    checks = (*CHECKS, *asked_of_people, *maintenance.CHECKS, *inspection.CHECKS, *law)
    return Situation(question, Sheet(facts, layout.plan), layout.comparisons, layout.agings, checks)


def law_words(question: Question, sheet: Sheet) -> rules.Flight:
    """Return the words of a flight by which rules are picked; an empty one is a word that nobody has said."""
    parts = dict(question.flight.parts)
    commander = question.people.get(parts.get("commander", ""))
    instructor = question.people.get(parts.get("instructor", ""))
    return rules.Flight(
        purpose=sheet.value("purpose") or "",
        aboard=sheet.value("aboard_count") or 0,
        lesson=sheet.value("lesson") or "",
        configuration=sheet.value("configuration") or frozenset(),
        certificate=question.definition.certificate,
        privileges=commander.privileges if commander else "",
        teaching=instructor.teaching.privileges if instructor else "none",
        airspace=sheet.value("flight_airspace") or "",
        surface=sheet.value("flight_surface") or "",
        light=_light(sheet),
    )


def _light(sheet: Sheet) -> str:
    """Return the darkest that any part of the flight meets; empty where that is not known."""
    start, end = sheet.value("depart_at"), sheet.value("land_at")
    rise, fall, dawn, dusk = (sheet.value(name) for name in ("sunrise_at", "sunset_at", "dawn_at", "dusk_at"))
    if None in (start, end, rise, fall, dawn, dusk):
        return ""
    if start >= rise and end <= fall:
        return "day"
    return "twilight" if start >= dawn and end <= dusk else "night"


def shape_of(question: Question, limits: tuple[Limit, ...]) -> Shape:
    """Return the shape of a question."""
    definition, flight = question.definition, question.flight
    counting = {fact.name: fact.value for fact in question.operation.counting}
    planned = any(fact.name == "fuel_planned_l" and fact.is_known for fact in flight.fuel)
    tables = ((name, definition.table(name).table) for name in TABLES)
    return Shape(
        stations=tuple(station.id for station in definition.stations),
        groups=load_groups(question.definition, limits),
        aboard=tuple(person for _, person in flight.seats if person and person != EMPTY),
        readings=("planned",) if planned else question.operation.readings,
        axes=tuple((name, tuple(axis.name for axis in table.axes) if table else ()) for name, table in tables),
        has_arms=not definition.no_arms,
        moist_air=counting["density_altitude_by"] == "moist air",
        variation_by_model=question.field.variation_by_model,
    )


@lru_cache(maxsize=256)
def layout_of(shape: Shape) -> Layout:
    """Return what a shape calls for."""
    return Layout(Plan(recipes_of(shape)), tuple(comparisons_of(shape)), agings(shape.readings))


def load_groups(definition: Definition, limits: tuple[Limit, ...]) -> tuple[tuple[str, ...], ...]:
    """Return the groups of stations that the load is limited on, each once, single stations of every aircraft first."""
    single = [(station.id,) for station in definition.stations]
    written = [limit.on for limit in limits if limit.of == "load" and limit.on]
    return tuple(dict.fromkeys([*single, *written]))


def all_limits(question: Question) -> tuple[Limit, ...]:
    """Return every limit that maker, house, endorsement, insurer, pilot and a deferral have written.

    Whether a limit applies to this flight is told later, from the flight's own words.
    """
    flight, records = question.flight, question.aircraft.records
    parts = dict(flight.parts)
    limits = [*question.definition.limits, *question.operation.limits]
    on = flight.depart_at.astimezone(question.field.zone).date() if flight.depart_at else None
    student = parts.get("student", "")
    if student in question.people and flight.purpose.value == "student alone" and on is not None:
        model = question.definition.make_model
        limits += people.endorsement_limits(question.people, student=student, make_model=model, on=on)
    if parts.get("commander") in question.people:
        limits += people.own_limits(question.people, commander=parts["commander"])
    for insurer in question.insurance:
        if insurer.aircraft == question.definition.id:
            limits += insurer.limits
    if records is not None and records.defects is not None and question.asked_at is not None:
        limits += maintenance.limits_in_force(records.defects, entitled=question.entitled, at=question.asked_at)
    return tuple(limits)


# --- facts ------------------------------------------------------------------------------------------------------------


def _said(name: str, value: Any, typed: str = "") -> Fact:
    return Fact(name, value, typed or str(value))


def facts_of(question: Question, limits: tuple[Limit, ...]) -> Iterator[Fact]:
    """Yield every fact of the question under its name, the missing ones included."""
    yield from _flight_facts(question)
    yield from aircraft_facts(question.definition)
    yield from _field_facts(question)
    yield from question.operation.counting
    yield from _load_facts(question)
    yield from _weather_facts(question)
    yield from _standing_facts(question)
    yield _said("all_limits", limits, "every limit")
    yield _said("planned_facts", tuple(_planned(question)), "what is planned")


def _standing_facts(question: Question) -> Iterator[Fact]:
    """Yield what is known of the people's standing, of the machine's state, and of what only the law asks about."""
    flight, aircraft, operation = question.flight, question.aircraft, question.operation
    yield from all_said(flight.law, aircraft.law, question.field_law, operation.law).values()
    yield from rules.pack_facts(question.pack).values()
    yield people.people_rules_fact(operation.people_rules)
    yield from operation.upkeep
    yield from book_facts(aircraft, operation.walk_rules)
    yield _said("entitled", question.entitled, "the table of roles")
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
        mass_rule=operation.people_rules.mass,
        insurance=question.insurance,
    ).values()


@lru_cache(maxsize=64)
def book_facts(aircraft: Aircraft, walk_rules: WalkRules | None) -> tuple[Fact, ...]:
    """Return every fact of an aircraft's books; the flights of a day share them."""
    where = aircraft.definition.file
    restore = restore_items(aircraft.definition.equipment)
    return (
        *maintenance.facts(aircraft.program, aircraft.records, where=where).values(),
        *inspection.facts(aircraft.walks, walk_rules, restore_items=restore, where=where).values(),
    )


@lru_cache(maxsize=64)
def restore_items(equipment: frozenset[str]) -> tuple[str, ...]:
    """Return the things that are put back by touch before the start, from the shipped walk-round."""
    walk_round = next(each for each in lists.shipped_lists() if each.id == "walk-round")
    items = lists.items_for(walk_round, event="first of the day", equipment=equipment)
    return lists.restore_items(items)


def _flight_facts(question: Question) -> Iterator[Fact]:
    flight, zone = question.flight, question.field.zone
    depart_at, asked_at = flight.depart_at, question.asked_at
    where = flight.file
    yield Fact("asked_at", asked_at, str(asked_at)) if asked_at else missing("asked_at", where=where)
    if depart_at is None:
        yield from (missing(name, where=f"{where}: time.depart") for name in ("depart_at", "flight_on"))
    else:
        local = depart_at.astimezone(zone)
        yield _said("depart_at", local)
        yield _said("flight_on", local.date())
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
        yield _said("aboard_count", len(aboard))
        yield _said("aboard", tuple(aboard))
    parts = dict(flight.parts)
    for part in ("commander", "instructor", "student", "examiner", "passenger"):
        person = parts.get(part, "")
        if part == "commander" and not person:
            yield missing("commander", where=f"{where}: parts.commander")
        else:
            yield _said(part, person, person or "nobody")
    configuration = flight.configuration
    yield (
        missing("configuration", where=f"{where}: configuration")
        if configuration is None
        else Fact("configuration", configuration, ", ".join(sorted(configuration)) or "nothing changed")
    )
    yield from (flight.runway, flight.runway_state)
    yield _said("machine_clock_doubt", question.clock_doubt, question.clock_doubt or "none")
    newest = _newest(question)
    yield missing("newest_fact", where=where) if newest is None else Fact("newest_fact", newest, newest[0])


@lru_cache(maxsize=64)
def aircraft_facts(definition: Definition) -> tuple[Fact, ...]:
    """Return every fact of an aircraft's file; the flights of a day share them."""
    return tuple(_aircraft_facts(definition))


def _aircraft_facts(definition: Definition) -> Iterator[Fact]:
    yield from (definition.empty_mass, definition.empty_arm, definition.fuel_arm, *definition.fuel)
    for station in definition.stations:
        yield station.arm
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
    yield _said("manual", definition.manual, definition.manual.title)
    yield _said("envelope_source", replace(definition.manual, section=definition.envelope_page))
    yield _said("verified_by", definition.verified_by, definition.verified_by or "nobody")
    yield _said("manual_verified_by", definition.verified_by, definition.verified_by or "nobody")
    yield _said("aircraft_id", definition.id)
    yield _said("make_model", definition.make_model)
    yield (
        _said("certificate", definition.certificate)
        if definition.certificate
        else missing("certificate", where=f"{definition.file}: certificate")
    )
    for axis in ("mass", "pressure altitude", "density altitude", "air temperature"):
        ends = (*recipes.table_ends(definition, axis, upper=True), *recipes.table_ends(definition, axis, upper=False))
        yield _said(f"limits:table {axis}", ends, "where the tables end")
    avoided = definition.avoid_weather
    yield (
        missing("avoided_by_maker", where=f"{definition.file}: avoid_weather")
        if avoided is None
        else Fact("avoided_by_maker", avoided, ", ".join(sorted(avoided)), Origin.MANUAL)
    )


def _field_facts(question: Question) -> Iterator[Fact]:
    place = question.field
    yield from (place.elevation, place.latitude, place.longitude)
    yield _said("zone", place.zone.key)
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
    yield _said("runway_source", replace(field.source, section=f"runway {runway.name}"))


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
    for occupant in seats.values():
        if occupant in question.people:
            mass = question.people[occupant].mass
            name = f"weighed_on:{occupant}"
            if mass.at is None:
                yield missing(name, where=mass.where)
            else:
                yield _said(name, mass.at.astimezone(question.field.zone).date())
    yield from flight.fuel
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


# --- weather ----------------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Reported:
    """What was observed last, and what is forecast."""

    observed_min: float
    observed: Sample
    observed_by: str
    rows: tuple[tuple[float, Sample, str], ...]
    row_subjects: frozenset[str]
    forecasts: Spells


def _weather_facts(question: Question) -> Iterator[Fact]:
    flight = question.flight
    dated = [(each.observed_at, each) for each in question.metars if each.observed_at is not None]
    metar = max(dated, key=lambda pair: pair[0])[1] if dated else None
    typed = flight.observation
    if typed is not None and (metar is None or metar.observed_at is None or typed.at >= metar.observed_at):
        at, observed, by = typed.at, sample_of_row(typed), typed.by or "own reading"
    elif metar is not None and metar.observed_at is not None:
        at, observed, by = metar.observed_at, weather.sample_of(metar.conditions), metar.text
    else:
        for name in ("reported", "observed_at", "unread"):
            yield missing(name, where=f"{flight.file}: weather")
        return
    rows = tuple((minutes(row.at), sample_of_row(row), row.by or "typed forecast") for row in flight.rows)
    reported = Reported(
        observed_min=minutes(at),
        observed=observed,
        observed_by=by,
        rows=rows,
        row_subjects=_row_subjects(flight.rows),
        forecasts=(
            *(spell for taf in question.tafs for spell in weather.forecast(taf)),
            *(weather.trends(metar) if metar is not None and metar.observed_at == at else ()),
        ),
    )
    yield Fact("reported", reported, by, Origin.OBSERVED, at)
    yield Fact("observed_at", at, str(at), Origin.OBSERVED, at)
    reports: tuple[Metar | Taf, ...] = (*question.metars, *question.tafs)
    unread = tuple(
        (report.text.partition(" ")[0], each.text, each.may_have_carried)
        for report in reports
        for each in report.unread
    )
    yield Fact("unread", unread, f"{len(unread)} groups")


_ROW_FACTS = {
    "wind": ("wind_from", "wind", "gust"),
    "visibility": ("visibility",),
    "cloud": ("cloud_base",),
    "temperature": ("temperature",),
    "dew_point": ("dew_point",),
    "altimeter": ("altimeter",),
}


def _row_subjects(rows: tuple[WeatherRow, ...]) -> frozenset[str]:
    """Return what a typed forecast speaks of: a fact that no row gives is not its subject."""
    return frozenset(
        subject
        for subject, names in _ROW_FACTS.items()
        if any(getattr(row, name).doubt is not Doubt.MISSING for row in rows for name in names)
    )


def sample_of_row(row: WeatherRow) -> Sample:
    """Return the sample that a typed row gives; what it does not give is unknown."""

    def value(fact: Fact) -> Any:
        return fact.value if fact.is_known else None

    direction = value(row.wind_from)
    return Sample(
        wind_from_deg=None if direction == "variable" else direction,
        is_true=row.reference != "magnetic",
        variable=direction == "variable",
        wind_m_s=value(row.wind),
        gust_m_s=value(row.gust) if value(row.gust) != "none" else value(row.wind),
        visibility_m=value(row.visibility),
        cloud_base_m=value(row.cloud_base),
        air_temperature_k=value(row.temperature),
        dew_point_k=value(row.dew_point),
        altimeter_pa=value(row.altimeter),
        phenomena=value(row.phenomena),
    )


def spells(reported: Reported, observation_stands_h: float, between_forecasts: str, asked_at: datetime) -> Spells:
    """Return the spells of the flight's weather: the observation as long as it stands, and every forecast beside it.

    A typed forecast begins with the observation; where the house reads straight lines, they start from the time asked,
    until when what was observed is taken to hold.
    """
    stands = weather.Spell(
        reported.observed_min,
        reported.observed_min + observation_stands_h * 60.0,
        reported.observed,
        reported.observed,
        reported.observed_by,
        weather.ALL_SUBJECTS - reported.row_subjects,
    )
    if not reported.rows:
        return (stands, *reported.forecasts)
    now = [(reported.observed_min, reported.observed, reported.observed_by)]
    asked_min = minutes(asked_at)
    if between_forecasts == "straight" and reported.observed_min < asked_min < min(row[0] for row in reported.rows):
        now.append((asked_min, reported.observed, reported.observed_by))
    later = [row for row in reported.rows if row[0] >= reported.observed_min]
    typed = weather.rows([*now, *later], straight=between_forecasts == "straight", subjects=reported.row_subjects)
    return (stands, *typed, *reported.forecasts)


def weather_codes(spells: Spells, depart_min: float, land_min: float) -> Any:
    """Return the weather codes of every spell that the flight meets, each with its report."""
    met = []
    for spell in spells:
        if "weather" not in spell.subjects or spell.start_min > land_min or spell.end_min <= depart_min:
            continue
        for sample in (spell.first, spell.last):
            if sample.phenomena is None:
                return Partial(None, False, "weather:weather")
            met += [(code, spell.by) for code in sample.phenomena]
    return tuple(dict.fromkeys(met))


# --- recipes ----------------------------------------------------------------------------------------------------------


def recipes_of(shape: Shape) -> Iterator[Recipe]:
    """Yield the recipes that an aircraft, a house and a crew of this shape call for."""
    for function in (
        recipes.depart_min,
        recipes.land_min,
        recipes.last_take_off_min,
        recipes.sun,
        recipes.before_sunset_h,
        recipes.after_sunrise_h,
        spells,
        weather_codes,
    ):
        yield recipe(function)
    if shape.variation_by_model:
        yield recipe(_variation, name="variation_deg", dimension="angle")
    yield Recipe("land_at", ("depart_at", "block_h"), lambda at, hours: at + timedelta(hours=hours))
    yield Recipe("asked_min", ("asked_at",), minutes)
    yield Recipe("observation_age_h", ("depart_min", "observed_at"), _hours_since, "time")
    yield Recipe("stick_age_h", ("depart_min", "stick_at"), _hours_since, "time")
    yield Recipe("avoided_weather", ("avoided_by_maker", "avoided_by_house"), frozenset.union)
    for person in shape.aboard:
        yield Recipe(f"weighing_age_days:{person}", ("flight_on", f"weighed_on:{person}"), _days_between, "days")
    yield from recipes.limit_recipes(shape.groups)
    yield from recipes.weather_recipes(moist=shape.moist_air)
    yield from recipes.loading_recipes(shape.stations, shape.readings, shape.groups)
    yield from recipes.performance_recipes(shape.axes)
    yield from maintenance.RECIPES
    yield from standing_recipes(shape.stations)


def comparisons_of(shape: Shape) -> Iterator[Comparison]:
    """Yield the comparisons that an aircraft and a crew of this shape call for."""
    lands = bool(dict(shape.axes)["landing_distance"])
    return comparisons(shape.groups, shape.aboard, has_arms=shape.has_arms, has_landing_table=lands)


def _variation(latitude_deg: float, longitude_deg: float, elevation_m: float, flight_on: date) -> float:
    return magnetism.variation(
        latitude_deg=latitude_deg, longitude_deg=longitude_deg, height_m=elevation_m, on=flight_on
    )


def _hours_since(later_min: Num, earlier: datetime) -> Num:
    return (later_min - minutes(earlier)) / 60.0


def _days_between(later: date, earlier: date) -> float:
    return float((later - earlier).days)
