"""A question becomes a sheet: every fact under its name, every recipe that this aircraft and this house call for."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from functools import lru_cache

from gyrewright import maintenance, people, rules
from gyrewright.air import magnetism
from gyrewright.air.course import minutes
from gyrewright.aircraft.definition import TABLES, Definition
from gyrewright.arrays import Num
from gyrewright.check import Aging, Check, Comparison
from gyrewright.finding import Limit
from gyrewright.inspection import state as inspection
from gyrewright.release import recipes
from gyrewright.release.checks import CHECKS, agings, comparisons
from gyrewright.release.ending import with_ending
from gyrewright.release.facts import facts_of, said
from gyrewright.release.flight import EMPTY
from gyrewright.release.question import Question
from gyrewright.release.reported import spells, weather_codes
from gyrewright.release.standing import standing_recipes
from gyrewright.sheet import Plan, Recipe, Sheet, recipe


@dataclass(frozen=True, slots=True)
class Shape:
    """What the wiring of a question depends on: which stations, axes and readings there are, never their values."""

    stations: tuple[str, ...]
    groups: tuple[tuple[str, ...], ...]
    aboard: tuple[str, ...]
    readings: tuple[str, ...]
    axes: tuple[tuple[str, tuple[str, ...]], ...]
    has_arms: bool
    has_lateral: bool
    has_landing_table: bool
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
    first = Sheet(facts, layout.plan)
    words = law_words(question, first)
    on = facts["flight_on"].value
    law: tuple[Check, ...] = ()
    if on is not None:
        law = rules.checks_in_force(question.pack, on, words)
        limits += rules.limits_in_force(question.pack, on, words)
        if "crew_cautions" in facts:
            facts["crew_cautions"] = with_ending(facts["crew_cautions"], question, law, first)
        facts["all_limits"] = said("all_limits", limits, "every limit")
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
        has_lateral=definition.balances_across,
        has_landing_table=not definition.table("landing_distance").absent,
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
    if shape.has_lateral:
        yield from recipes.lateral_recipes(shape.stations)
    yield from recipes.performance_recipes(shape.axes)
    yield from standing_recipes(shape.stations)


def comparisons_of(shape: Shape) -> Iterator[Comparison]:
    """Yield the comparisons that an aircraft and a crew of this shape call for."""
    return comparisons(
        shape.groups,
        shape.aboard,
        has_arms=shape.has_arms,
        has_lateral=shape.has_lateral,
        has_landing_table=shape.has_landing_table,
    )


def _variation(latitude_deg: float, longitude_deg: float, elevation_m: float, flight_on: date) -> float:
    return magnetism.variation(
        latitude_deg=latitude_deg, longitude_deg=longitude_deg, height_m=elevation_m, on=flight_on
    )


def _hours_since(later_min: Num, earlier: datetime) -> Num:
    return (later_min - minutes(earlier)) / 60.0


def _days_between(later: date, earlier: date) -> float:
    return float((later - earlier).days)
