"""Numbers solved for backwards: how much fuel, how much in a locker, how hot the air may be."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

from gyrewright.aircraft.definition import Definition
from gyrewright.release import choices
from gyrewright.release.edges import Span, careful, spans
from gyrewright.release.grid import Survey
from gyrewright.release.question import Question
from gyrewright.release.situation import Situation, situation_of

STEP_L = 0.1
STEP_KG = 0.1
COLDEST_K, HOTTEST_K = 230.0, 330.0


@dataclass(frozen=True, slots=True)
class Tank:
    """What the tank of one aircraft would have to hold, whatever the weather: what is needed, and what can be carried.

    Attributes:
        aircraft_id: The aircraft.
        needs_l: Least that the flight needs: trip, reserve and what cannot be used; None where nobody can say.
        binds_needs: The check that asks for it.
        most_l: Most with which mass and balance hold with this pair; None where they hold with none.
        binds_most: The check that allows no more.
    """

    aircraft_id: str
    needs_l: float | None
    binds_needs: str
    most_l: float | None
    binds_most: str

    @property
    def has_answer(self) -> bool:
        """Whether there is an amount of fuel that both is enough and can be carried."""
        return self.needs_l is not None and self.most_l is not None and self.needs_l <= self.most_l


def fuel_numbers(points: Any) -> Mapping[str, Any]:
    """Return the fuel readings for litres."""
    return {"fuel_lowest_l": points, "fuel_highest_l": points}


def heat_numbers(points: Any) -> Mapping[str, Any]:
    """Return the highest temperature of the flight for kelvins."""
    return {"hottest_k": points, "hottest_at_take_off_k": points}


def capacity_l(question: Question) -> float | None:
    """Return what a reading of the full tank shows. [L]"""
    limits = situation_of(question).sheet.value("limits:fuel capacity")
    return float(limits[0].value) if limits else None


def fuel_spans(question: Question, known: Survey | None = None) -> tuple[Span, ...]:
    """Return the stretches of fuel, in litres that both readings show, with which the flight passes.

    `known` is a survey of a neighboring question over no axis, here and below: what was found of it is not asked again.
    """
    full_l = capacity_l(question)
    return () if full_l is None else _fuel_spans(_survey(_with_fuel(question, full_l), known), full_l)


def tank_of(question: Question) -> Tank:
    """Return what this flight needs of the tank, and what it can carry."""
    full_l = capacity_l(question)
    id = question.definition.id
    if full_l is None:
        return Tank(id, None, "", None, "")
    situation = _with_fuel(question, full_l)
    needed = [careful(each, STEP_L) for each in _fuel_spans(_only(situation, "fuel."), full_l)]
    carried = [careful(each, STEP_L) for each in _fuel_spans(_only(situation, "loading."), full_l)]
    least = next((each for each in needed if each is not None), None)
    most = next((each for each in reversed(carried) if each is not None), None)
    return Tank(
        id,
        least.low if least else None,
        least.binds_low if least else "",
        most.high if most else None,
        most.binds_high if most else "",
    )


def load_spans(question: Question, station: str, most_kg: float, known: Survey | None = None) -> tuple[Span, ...]:
    """Return the stretches of mass in a locker or a ballast place with which the flight passes. [kg]"""
    planned = choices.with_load(question, station, 0.0)
    name = f"load_kg:{station}"
    return spans(
        _survey(situation_of(choices.started_in_time(planned)), known),
        lambda points: {name: points},
        low=0.0,
        high=most_kg,
    )


def highest_temperature(question: Question, known: Survey | None = None) -> tuple[float, str] | None:
    """Return the highest temperature at which the flight would pass, all else alike, and what binds above it. [K]"""
    situation = situation_of(choices.started_in_time(question))
    if situation.sheet.value("hottest_k") is None:
        return None
    bends = _printed(question.definition, "air temperature")
    found = spans(_survey(situation, known), heat_numbers, low=COLDEST_K, high=HOTTEST_K, bends=bends)
    return (found[-1].high, found[-1].binds_high) if found else None


def _with_fuel(question: Question, fuel_l: float) -> Situation:
    planned = choices.with_fuel(question, fuel_l)
    return situation_of(choices.started_in_time(planned))


def _survey(situation: Situation, known: Survey | None) -> Survey:
    return known.moved(situation) if known else Survey(situation, ())


def _fuel_spans(survey: Survey, full_l: float) -> tuple[Span, ...]:
    return spans(survey, fuel_numbers, low=0.0, high=full_l, bends=_fuel_bends(survey.situation))


def _only(situation: Situation, room: str) -> Survey:
    """Return the survey of no other checks than the comparisons of a room."""
    kept = tuple(each for each in situation.comparisons if each.id.startswith(room))
    return Survey(replace(situation, checks=(), agings=(), comparisons=kept), ())


def _fuel_bends(situation: Situation) -> list[float]:
    """Return the litres at which the mass meets a printed row or a corner of the envelope."""
    sheet, definition = situation.sheet, situation.question.definition
    dry_kg, density = sheet.value("zero_fuel_mass_kg"), sheet.value("fuel_density_kg_per_l")
    if dry_kg is None or density is None:
        return []
    masses = _printed(definition, "mass")
    envelope = definition.envelope.value
    if envelope is not None:
        masses += [*envelope.forward.masses_kg, *envelope.aft.masses_kg]
    unusable_l = definition.fuel[1].value or 0.0
    return [(mass - dry_kg) / density + shift for mass in masses for shift in (0.0, unusable_l, -unusable_l)]


def _printed(definition: Definition, axis_name: str) -> list[float]:
    return [
        point
        for _, printed in definition.tables
        for axis in (printed.table.axes if printed.table else ())
        if axis.name == axis_name
        for point in axis.points
    ]
