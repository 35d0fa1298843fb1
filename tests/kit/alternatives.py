"""What may vary about a flight of the scenarios' fixture, drawn at random: choices, their axes, and days to vary."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from typing import Any

import numpy as np
from hypothesis import strategies as st

from gyrewright.air.course import minutes, moment_of
from gyrewright.release import choices
from gyrewright.release.grid import Axis
from gyrewright.release.question import Question
from scenarios.fixture import Flight, Row

ASKED = datetime.fromisoformat("2027-07-14T08:30:00-05:00")
HOURS = [ASKED + timedelta(hours=number) for number in (2, 5, 9)]


@dataclass(frozen=True)
class Varied:
    """Something that varies: its axis on the grid, and the question that one of its points stands for."""

    name: str
    points: st.SearchStrategy[list[float]]
    numbers: Callable[[Any], dict[str, Any]]
    facts: Callable[[float], dict[str, Any]]
    asked: Callable[[Question, float], Question]

    def axis(self, points: list[float]) -> Axis:
        return Axis(self.name, np.array(points, float), self.numbers, self.facts)


def several(values: st.SearchStrategy[float]) -> st.SearchStrategy[list[float]]:
    return st.lists(values, min_size=1, max_size=6)


def depart_facts(minute: float) -> dict[str, Any]:
    local = moment_of(minute).astimezone(ASKED.tzinfo)
    day: date = local.date()
    return {"depart_at": local, "flight_on": day}


def at_temperature(asked: Question, kelvin: float) -> Question:
    observation = asked.flight.observation
    assert observation is not None
    fact = replace(observation.temperature, value=kelvin, typed="varied")
    return replace(asked, flight=replace(asked.flight, observation=replace(observation, temperature=fact)))


FUEL = Varied(
    "fuel",
    several(st.floats(0.0, 80.0)),
    lambda at: {"fuel_lowest_l": at, "fuel_highest_l": at},
    lambda at: {"fuel_lowest_l": at, "fuel_highest_l": at},
    choices.with_fuel,
)
BALLAST = Varied(
    "ballast",
    several(st.floats(0.0, 30.0)),
    lambda at: {"load_kg:ballast": at},
    lambda at: {"load_kg:ballast": at},
    lambda asked, kg: choices.with_load(asked, "ballast", kg),
)
BLOCK = Varied(
    "block",
    several(st.floats(0.05, 6.0)),
    lambda at: {"block_h": at},
    lambda at: {"block_h": at},
    choices.with_block,
)
START = Varied(
    "start",
    several(st.floats(minutes(ASKED) + 20.0, minutes(ASKED) + 12.5 * 60.0).map(round).map(float)),
    lambda at: {"depart_min": at},
    depart_facts,
    choices.with_start,
)
HEAT = Varied(
    "temperature",
    several(st.floats(262.0, 325.0)),
    lambda at: {"hottest_k": at, "hottest_at_take_off_k": at},
    lambda at: {"hottest_k": at, "hottest_at_take_off_k": at},
    at_temperature,
)


@st.composite
def days(draw: st.DrawFn) -> Flight:
    """Draw a flight with a forecast: winds, temperatures and pressures that rise and fall, some of them unknown."""
    known = st.booleans() if draw(st.booleans()) else st.just(True)

    def row(at: datetime) -> Row:
        mean = draw(st.integers(0, 22))
        wind = (draw(st.integers(1, 360)), mean, draw(st.none() | st.integers(mean, mean + 12)))
        return Row(
            at.isoformat(),
            wind=wind if draw(known) else None,
            temperature=f"{draw(st.integers(-5, 40))} C",
            altimeter=f"{draw(st.integers(990, 1030))} hPa" if draw(known) else None,
            cloud=f"{draw(st.integers(500, 5000))} ft" if draw(known) else None,
        )

    alone = draw(st.booleans())
    return Flight(
        depart=(ASKED + timedelta(minutes=20)).isoformat(),
        block_h=0.7,
        purpose="student alone" if alone else "instruction",
        seats={"front": "S2", "rear": "empty" if alone else "I1"},
        parts={"commander": "S2" if alone else "I1", "student": "S2", "instructor": "I1"},
        runway=draw(st.sampled_from(["09", "27", "18", "36"])),
        take_offs=draw(st.sampled_from(["first only", "throughout"])),
        observed=row(ASKED - timedelta(minutes=12)),
        rows=[row(at) for at in HOURS] if draw(st.booleans()) else [],
    )
