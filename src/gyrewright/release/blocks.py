"""A day cut into blocks: a crew over a run of starts in which the same checks are asked of the same facts."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date
from typing import Any

import numpy as np
from numpy.typing import NDArray

from gyrewright import rules
from gyrewright.air.course import moment_of
from gyrewright.check import Check
from gyrewright.fact import Fact
from gyrewright.release import choices
from gyrewright.release.axes import runs
from gyrewright.release.facts import said
from gyrewright.release.grid import Asked, Codes
from gyrewright.release.question import Aircraft, Question
from gyrewright.release.situation import Situation, law_words, situation_of
from gyrewright.release.stretches import alike
from gyrewright.sheet import Sheet

OWN = frozenset({"depart_at"})
"""What differs from start to start inside a block, and is nothing but the start."""


@dataclass(frozen=True, slots=True)
class Crew:
    """People by the order of the seats, and the parts that they take."""

    seats: tuple[str, ...]
    parts: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class Load:
    """A place for load, and the masses that it may hold. [kg]"""

    station: str
    masses_kg: NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Day:
    """Everything that a day may vary; the axes of its grids are starts, fuel, load and crews, in this order.

    Attributes:
        question: The flight that stands for the day: its field, weather, purpose and length.
        fleet: The aircraft.
        runways: Names of the runways.
        starts_min: The starts, rising.
        fuel_l: Returns the fuel states of an aircraft.
        load: Returns the loads of an aircraft.
        crews: Who could fly.
    """

    question: Question
    fleet: Sequence[Aircraft]
    runways: Sequence[str]
    starts_min: NDArray[np.float64]
    fuel_l: Callable[[Aircraft], NDArray[np.float64]]
    load: Callable[[Aircraft], Load]
    crews: Sequence[Crew]

    def question_at(self, aircraft: Aircraft, runway: str, start: int, fuel: int, load: int, crew: int) -> Question:
        """Return the question of one alternative."""
        place, who = self.load(aircraft), self.crews[crew]
        asked = choices.with_aircraft(self.question, aircraft, float(self.fuel_l(aircraft)[fuel]))
        asked = choices.with_crew(choices.with_runway(asked, runway), who.seats, who.parts)
        asked = choices.with_load(asked, place.station, float(place.masses_kg[load]))
        return choices.with_start(asked, float(self.starts_min[start]))


@dataclass(frozen=True, slots=True)
class Block:
    """One crew over a run of starts, from `first` up to `end`: its sheet at the first of them, and its checks."""

    crew: int
    first: int
    end: int
    sheet: Sheet
    asked: frozenset[Asked]
    situation: Situation


class Shared:
    """What aircraft and crews have in common: equal facts and checks as one, and what was found from them."""

    def __init__(self, day: Day) -> None:
        self.found: dict[Any, dict[Any, Codes]] = {}
        self._facts: dict[tuple[str, str, str], list[Fact]] = {}
        self._checks: dict[Any, Check] = {}
        self._sheets: dict[tuple[int, int], tuple[Sheet, Sheet]] = {}
        self._situations: dict[tuple[str, int, int], Situation] = {}
        self._day = day
        zone = day.question.field.zone
        moments = [moment_of(float(minute)).astimezone(zone) for minute in day.starts_min]
        self.departs = [said("depart_at", moment) for moment in moments]
        self.dates = [moment.date() for moment in moments]
        first = situation_of(choices.with_start(day.question, float(day.starts_min[0])))
        days = [said("flight_on", on) for on in self.dates]
        self.lights = [
            law_words(first.question, first.sheet.with_facts({"depart_at": depart, "flight_on": on})).light
            for depart, on in zip(self.departs, days, strict=True)
        ]

        # What turns with the start about people turns with it in every aircraft: it is looked for in the first.
        self.begins = [self._turns(crew) for crew in range(len(day.crews))]

    def situation(self, aircraft: Aircraft, crew: int, start: int) -> Situation:
        """Return the situation of a crew in an aircraft at a start, whatever fuel and load."""
        key = (aircraft.definition.id, crew, start)
        if key not in self._situations:
            asked = self._day.question_at(aircraft, self._day.runways[0], start, -1, 0, crew)
            self._situations[key] = situation_of(asked)
        return self._situations[key]

    def _turns(self, crew: int) -> list[int]:
        """Return the starts at which the date or a fact about a crew turns, looked for from end to end of each date."""
        dates, first = self.dates, self._day.fleet[0]
        turns = [place for place in range(1, len(dates)) if dates[place] != dates[place - 1]]

        def same(one: int, other: int) -> bool:
            return alike(self.situation(first, crew, one), self.situation(first, crew, other), OWN | {"all_limits"})

        return runs(same, sorted({0, len(dates) - 1, *turns, *(place - 1 for place in turns)}))

    def sheet_at(self, block: Block, start: int) -> Sheet:
        """Return a block's sheet at one of its starts; all checks share it."""
        key = (id(block.sheet), start)
        if key not in self._sheets:
            self._sheets[key] = (block.sheet.with_facts({"depart_at": self.departs[start]}), block.sheet)
        return self._sheets[key][0]

    def fact(self, fact: Fact) -> Fact:
        """Return the same object for every fact that is the same."""
        known = self._facts.setdefault((fact.name, fact.typed, fact.where), [])
        for each in known:
            if each is fact or each == fact:
                return each
        known.append(fact)
        return fact

    def check(self, check: Check, on: date) -> Check:
        """Return the same object for every check that a rule gives on a date, whatever words of a flight called it."""
        return self._checks.setdefault((check.id, check.inputs, on), check)


def blocks_of(day: Day, aircraft: Aircraft, shared: Shared) -> Iterator[Block]:
    """Yield the blocks of every crew: a new one where the date, the light or a fact about the people turns."""
    for crew, begins in enumerate(shared.begins):
        for first, end in zip(begins, [*begins[1:], len(day.starts_min)], strict=True):
            situation = shared.situation(aircraft, crew, first)
            facts = {name: shared.fact(fact) for name, fact in situation.sheet.facts.items()}
            lit = [place for place in range(first + 1, end) if shared.lights[place] != shared.lights[place - 1]]
            for begin, until in zip([first, *lit], [*lit, end], strict=True):
                there = _in_light(situation, shared.lights[begin], shared.dates[begin])
                own = {**facts, "all_limits": shared.fact(there.sheet.facts["all_limits"])}
                checks = tuple(shared.check(each, shared.dates[begin]) for each in there.checks)
                yield Block(
                    crew,
                    begin,
                    until,
                    Sheet(own, there.sheet.plan),
                    frozenset((*checks, *there.comparisons, *there.agings)),
                    replace(there, checks=checks),
                )


def _in_light(situation: Situation, light: str, on: date) -> Situation:
    """Return the situation with the checks and limits that the law has for flights in a light."""
    pack = situation.question.pack
    old = law_words(situation.question, situation.sheet)
    if old.light == light:
        return situation
    new = replace(old, light=light)
    limits = situation.sheet.facts["all_limits"].value
    # The law comes last in both lists; see situation_of.
    checks = situation.checks[: len(situation.checks) - len(rules.checks_in_force(pack, on, old))]
    limits = limits[: len(limits) - len(rules.limits_in_force(pack, on, old))]
    every = said("all_limits", (*limits, *rules.limits_in_force(pack, on, new)), "every limit")
    return replace(
        situation,
        checks=(*checks, *rules.checks_in_force(pack, on, new)),
        sheet=situation.sheet.with_facts({"all_limits": every}),
    )
