"""Random questions: the fixture's and the demonstration's flights with everything about them that is a number moved.

Aircraft and house limits are moved too, so that what is asked is not only what somebody thought of. A question is drawn
from a seed alone: the same seed draws the same question.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from functools import cache
from pathlib import Path
from random import Random
from typing import Any

from gyrewright.fact import Doubt, Fact, Origin, doubted
from gyrewright.finding import Limit
from gyrewright.people.person import No
from gyrewright.release.files import read_fleet_of, read_question
from gyrewright.release.flight import EMPTY, WeatherRow
from gyrewright.release.question import Aircraft, Question
from kit.files import DEMO
from scenarios import fixture

KT = 1852.0 / 3600.0


@dataclass(frozen=True)
class Base:
    """A flight that questions are drawn from, and the aircraft that there are beside its own."""

    name: str
    question: Question
    fleet: tuple[Aircraft, ...]


@cache
def bases() -> tuple[Base, ...]:
    """Return the flights that questions are drawn from."""
    in_g1 = fixture.question(fixture.Flight())
    seats = {"left": "S1", "right": "I1"}
    in_g2 = fixture.question(fixture.Flight(aircraft="G2", seats=seats))
    alone = fixture.question(
        fixture.Flight(
            purpose="student alone",
            seats={"front": "S2", "rear": "empty"},
            parts={"commander": "S2", "student": "S2", "instructor": "I1"},
        )
    )
    fleet = (in_g1.aircraft, in_g2.aircraft)
    found = [Base("F dual", in_g1, fleet), Base("F other", in_g2, fleet), Base("F alone", alone, fleet)]

    def fetch(path: str) -> str:
        return Path(path).read_text(encoding="utf-8")

    for name in ("0630-sunde-halloran", "1330-sunde-halloran", "1900-halloran-alone"):
        path = (DEMO / "flights" / f"{name}.toml").as_posix()
        found.append(Base(name, read_question(path, fetch), tuple(read_fleet_of(path, fetch))))
    return tuple(found)


def question(seed: int) -> tuple[Question, tuple[Aircraft, ...]]:
    """Return a random question, and the aircraft of its operation."""
    random = Random(seed)
    base = random.choice(bases())
    fleet = tuple(aircraft(random, each) for each in base.fleet)
    own = next(each for each in fleet if each.definition.id == base.question.definition.id)
    drawn = replace(base.question, aircraft=own)
    if random.random() < 0.3:
        limits = tuple(limit(random, each) for each in drawn.operation.limits)
        drawn = replace(drawn, operation=replace(drawn.operation, limits=limits))
    changes = (timed, weathered, fueled, loaded, seated, told)
    chosen = random.sample(changes, random.randrange(1, len(changes)))
    for change in changes:
        if change in chosen:
            drawn = change(random, drawn)
    return drawn, fleet


def aircraft(random: Random, made: Aircraft) -> Aircraft:
    """Return an aircraft like another: sometimes heavier, its arms and limits moved."""
    if random.random() < 0.7:
        return made
    definition = made.definition
    empty_kg = definition.empty_mass.value * random.uniform(0.95, 1.05)
    stations = tuple(
        replace(each, arm=replace(each.arm, value=each.arm.value + random.uniform(-0.05, 0.05)))
        for each in definition.stations
    )
    changed = replace(
        definition,
        empty_mass=replace(definition.empty_mass, value=empty_kg),
        empty_arm=replace(definition.empty_arm, value=definition.empty_arm.value + random.uniform(-0.03, 0.03)),
        stations=stations,
        limits=tuple(limit(random, each) for each in definition.limits),
    )
    return replace(made, definition=changed)


def limit(random: Random, written: Limit) -> Limit:
    """Return a limit like another: sometimes moved, sometimes not verified by anybody."""
    moved = written
    if written.value is not None and random.random() < 0.3:
        factor = random.uniform(0.98, 1.01) if "temperature" in written.of else random.uniform(0.7, 1.3)
        moved = replace(moved, value=written.value * factor)
    return replace(moved, verified_by="") if random.random() < 0.03 else moved


def timed(random: Random, asked: Question) -> Question:
    """Return the question with another start and length, in whole minutes."""
    assert asked.asked_at is not None
    depart_at = asked.asked_at + timedelta(minutes=random.choice((0, 20, random.randrange(0, 14 * 60))))
    block_min = random.randrange(10, 150)
    flight = replace(
        asked.flight,
        depart_at=depart_at,
        block=replace(asked.flight.block, value=block_min / 60.0, typed=f"{block_min} min"),
        take_offs=Fact("take_offs", random.choice(("first only", "throughout"))),
        runway=Fact("runway_name", random.choice(asked.field.runways).name),
    )
    return replace(asked, flight=flight)


def weathered(random: Random, asked: Question) -> Question:
    """Return the question with typed weather, at several hours of the day."""
    assert asked.asked_at is not None
    seen = asked.asked_at - timedelta(minutes=random.choice((5, 10, random.randrange(0, 70))))
    hours = [*sorted(random.sample(range(1, 16), random.randrange(1, 4))), 18]
    rows = tuple(row(random, asked.asked_at + timedelta(hours=hour)) for hour in hours)
    flight = replace(asked.flight, observation=row(random, seen), rows=rows)
    return replace(asked, flight=flight, metars=(), tafs=())


def row(random: Random, at: datetime) -> WeatherRow:
    """Return typed weather, most of it fit to fly in."""
    wind = random.choice((0.0, 3.0, 6.0, random.uniform(0.0, 20.0))) * KT
    gust = wind + random.choice((0.0, 0.0, random.uniform(0.0, 10.0))) * KT

    def fact(name: str, value: Any) -> Fact:
        made = Fact(name, value, str(value), Origin.OBSERVED, at)
        return doubted(made, Doubt.MISSING) if random.random() < 0.01 else made

    return WeatherRow(
        at=at,
        by="",
        wind_from=fact("wind_from_deg", random.choice(("variable", float(random.randrange(0, 360))))),
        reference="true",
        wind=fact("wind_m_s", wind),
        gust=fact("gust_m_s", gust),
        visibility=fact("visibility_m", random.choice((20_000.0, 20_000.0, random.uniform(2_000.0, 12_000.0)))),
        cloud_base=fact("cloud_base_m", random.choice((30_000.0, 30_000.0, random.uniform(200.0, 2_000.0)))),
        temperature=fact("air_temperature_k", 273.15 + random.uniform(0.0, 32.0)),
        dew_point=fact("dew_point_k", 273.15 + random.uniform(-8.0, 5.0)),
        altimeter=fact("altimeter_pa", random.uniform(99_500.0, 103_000.0)),
        phenomena=fact("phenomena", ()),
    )


def fueled(random: Random, asked: Question) -> Question:
    """Return the question with other readings of the tank, sometimes apart, old or missing, or with fuel planned."""
    assert asked.asked_at is not None
    full_l = asked.definition.fuel[0].value
    gauge_l = random.uniform(0.3 * full_l, full_l) if random.random() < 0.8 else random.uniform(0.0, full_l)
    stick_l = gauge_l if random.random() < 0.6 else gauge_l + random.uniform(-8.0, 8.0)
    read_at = asked.asked_at - timedelta(minutes=random.choice((0, 10, random.randrange(0, 300))))
    gauge = Fact("fuel_gauge_l", gauge_l, f"{gauge_l} L", Origin.OBSERVED)
    stick = Fact("fuel_stick_l", max(stick_l, 0.0), f"{stick_l} L", Origin.OBSERVED, read_at)
    none = Fact("fuel_planned_l", doubt=Doubt.MISSING)
    if random.random() < 0.03:
        gauge = doubted(gauge, Doubt.MISSING)
    planned = Fact("fuel_planned_l", gauge_l, f"{gauge_l} L", Origin.PLANNED)
    return replace(asked, flight=replace(asked.flight, fuel=(gauge, stick, planned if random.random() < 0.1 else none)))


def loaded(random: Random, asked: Question) -> Question:
    """Return the question with something in its lockers and ballast places, or not said."""
    loads = []
    for station in asked.definition.stations:
        if station.kind != "seat":
            kg = random.choice((0.0, 0.0, random.uniform(0.0, 10.0)))
            made = Fact(f"load_kg:{station.id}", kg, f"{kg} kg", Origin.OBSERVED)
            loads.append(doubted(made, Doubt.MISSING) if random.random() < 0.02 else made)
    return replace(asked, flight=replace(asked.flight, loads=tuple(loads)))


def seated(random: Random, asked: Question) -> Question:
    """Return the question with people of other masses, none of them changed in anything else."""
    people = dict(asked.people)
    for _, id in asked.flight.seats:
        if id != EMPTY and random.random() < 0.5:
            mass = people[id].mass
            people[id] = replace(people[id], mass=replace(mass, value=random.uniform(60.0, 110.0)))
    return replace(asked, people=people)


def told(random: Random, asked: Question) -> Question:
    """Return the question with a word that counts: now and then somebody says no, or has taught much today."""
    people = dict(asked.people)
    assert asked.asked_at is not None
    aboard = [id for _, id in asked.flight.seats if id != EMPTY]
    if random.random() < 0.03:
        id = random.choice(aboard)
        people[id] = replace(people[id], noes=(No(asked.asked_at - timedelta(minutes=5), ""),))
    instructor = dict(asked.flight.parts).get("instructor", "")
    if instructor and random.random() < 0.2:
        began = asked.asked_at - timedelta(hours=random.uniform(8.0, 23.0))
        taught = ((began, began + timedelta(hours=random.uniform(3.0, 8.0))),)
        people[instructor] = replace(people[instructor], taught=taught)
    return replace(asked, people=people)
