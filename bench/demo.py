"""The demonstration's flights, fleet and day, as the measurements ask about them."""

from __future__ import annotations

from pathlib import Path

import numpy as np

import gyrewright
from gyrewright.air.course import minutes
from gyrewright.release.day import Crew, Day, Load
from gyrewright.release.files import read_fleet_of, read_question
from gyrewright.release.question import Aircraft, Question

FLIGHTS = Path(gyrewright.__file__).parent / "data" / "demo" / "flights"
ASKED = (FLIGHTS / "0630-sunde-halloran.toml").as_posix()
STOPPED = (FLIGHTS / "1330-sunde-halloran.toml").as_posix()

_STARTS, _QUARTER_MIN, _FUELS, _LOADS_KG = 96, 15.0, 60, (0.0, 2.0, 4.0, 6.0, 8.0)
_INSTRUCTORS = ("sunde", "okafor-lind")
_STUDENTS = ("halloran", "castellane", "weatherby", "eklund", "dunmore")


def fetch(path: str) -> str:
    """Return the text of a file."""
    return Path(path).read_text(encoding="utf-8")


def question(path: str = ASKED) -> Question:
    """Return the question of a flight file."""
    return read_question(path, fetch)


def fleet() -> list[Aircraft]:
    """Return the demonstration's aircraft with their books."""
    return read_fleet_of(ASKED, fetch)


def day() -> Day:
    """Return the day: 3 aircraft, 4 runway directions, 96 quarter hours, 60 fuel states, 5 loads, 10 crews."""
    asked = question()
    assert asked.asked_at is not None
    return Day(
        question=asked,
        fleet=fleet(),
        runways=[runway.name for runway in asked.field.runways],
        starts_min=np.array([minutes(asked.asked_at) + 14.0 + _QUARTER_MIN * number for number in range(_STARTS)]),
        fuel_l=lambda aircraft: np.linspace(1.0, float(aircraft.definition.fuel[0].value), _FUELS),
        load=lambda aircraft: Load(
            next(station.id for station in aircraft.definition.stations if station.kind != "seat"),
            np.array(_LOADS_KG),
        ),
        crews=[
            Crew((student, teacher), (("commander", teacher), ("instructor", teacher), ("student", student)))
            for teacher in _INSTRUCTORS
            for student in _STUDENTS
        ],
    )
