"""The whole day at once agrees with decide, cell by cell, for crews that differ in more than their mass."""

from dataclasses import replace
from datetime import timedelta
from functools import cache
from random import Random

import numpy as np
import pytest

from gyrewright.air.course import minutes
from gyrewright.finding import Verdict
from gyrewright.people.person import No
from gyrewright.release.blocks import Crew, Day, Load
from gyrewright.release.day import day_grids
from gyrewright.release.decide import decide
from kit import draw
from kit.agree import failing

SHAPE = (40, 6, 3, 4)


def crew(student, instructor):
    return Crew((student, instructor), (("commander", instructor), ("instructor", instructor), ("student", student)))


def day_of(base, crews, purpose_of=lambda question: question):
    asked = purpose_of(base.question)
    first = minutes(asked.asked_at)
    return Day(
        question=asked,
        fleet=base.fleet,
        runways=[runway.name for runway in asked.field.runways],
        starts_min=first + 30.0 * np.arange(SHAPE[0]),
        fuel_l=lambda aircraft: np.linspace(5.0, aircraft.definition.fuel[0].value, SHAPE[1]),
        load=lambda aircraft: Load(
            next(station.id for station in aircraft.definition.stations if station.kind != "seat"),
            np.array([0.0, 4.0, 9.0]),
        ),
        crews=crews,
    )


def in_fixture():
    """Four crews: one ordinary, one whose student says no, one whose instructor has taught much, one too heavy."""
    base = next(each for each in draw.bases() if each.name == "F dual")

    def told(question):
        now = question.asked_at
        people = dict(question.people)
        people["S2"] = replace(people["S2"], noes=(No(now - timedelta(minutes=5)),))
        began = now - timedelta(hours=20)
        people["I2"] = replace(people["I2"], taught=((began, began + timedelta(hours=7.5)),))
        return replace(draw.weathered(Random(4), question), people=people)

    return day_of(base, [crew("S1", "I1"), crew("S2", "I1"), crew("S4", "I2"), crew("S3", "I1")], told)


def in_demo():
    base = next(each for each in draw.bases() if each.name == "0630-sunde-halloran")
    pairs = (("halloran", "sunde"), ("castellane", "okafor-lind"), ("eklund", "sunde"), ("weatherby", "okafor-lind"))
    return day_of(base, [crew(*pair) for pair in pairs])


@cache
def made(name):
    day = {"fixture": in_fixture, "demonstration": in_demo}[name]()
    return day, day_grids(day)


@pytest.mark.parametrize("name", ["fixture", "demonstration"])
def test_every_cell_has_the_verdict_of_decide_and_a_binding_check_that_decide_fails_by(name):
    day, grids = made(name)
    random = Random(7)
    fleet = {aircraft.definition.id: aircraft for aircraft in day.fleet}
    for _ in range(120):
        id, runway = random.choice(list(grids))
        at = tuple(random.randrange(length) for length in SHAPE)
        grid = grids[id, runway]
        code = int(np.broadcast_to(grid.codes, SHAPE)[at])
        answer = decide(day.question_at(fleet[id], runway, *at))
        assert grid.verdict(code) is answer.verdict, (id, runway, at, grid.binding(code), failing(answer))
        if answer.verdict >= Verdict.UNKNOWN:
            assert grid.binding(code) in failing(answer)


def test_the_cells_that_pass_are_found_as_well():
    day, grids = made("demonstration")
    fleet = {aircraft.definition.id: aircraft for aircraft in day.fleet}
    passing = [(key, at) for key, grid in grids.items() for at in np.argwhere(np.broadcast_to(grid.passes, SHAPE))]
    assert passing
    for (id, runway), at in Random(8).sample(passing, min(40, len(passing))):
        assert decide(day.question_at(fleet[id], runway, *(int(index) for index in at))).verdict <= Verdict.JUDGE


def test_a_crew_of_which_one_says_no_is_stopped_everywhere():
    _, grids = made("fixture")
    for grid in grids.values():
        refused = np.unique(np.broadcast_to(grid.codes, SHAPE)[..., 1])
        assert {grid.verdict(int(code)) for code in refused} == {Verdict.STOP}
