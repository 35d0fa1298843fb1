"""One definition of a check, for one flight and for a million: the grid and decide agree on every alternative."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import timedelta

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from gyrewright.air.course import minutes
from gyrewright.finding import Verdict
from gyrewright.release import choices
from gyrewright.release.answer import Answer
from gyrewright.release.decide import answer_of
from gyrewright.release.grid import Grid, grid
from gyrewright.release.question import Question
from gyrewright.release.situation import Situation, situation_of
from kit.alternatives import ASKED, BALLAST, BLOCK, FUEL, HEAT, START, Varied, days
from scenarios.fixture import ROOMS, Flight, question


def of_rooms(asked: Question) -> Situation:
    """Return the situation with the checks of the numbers alone: what law and people ask of another hour is theirs."""
    whole = situation_of(asked)
    return replace(whole, checks=tuple(each for each in whole.checks if each.id.partition(".")[0] in ROOMS))


def compare(
    asked: Question, varied: list[Varied], points: list[list[float]], laid: Callable[[Question], Situation]
) -> int:
    """Compare grid and decide on every alternative; return how many verdicts there were."""
    for each, values in zip(varied, points, strict=True):
        asked = each.asked(asked, values[0])
    axes = [each.axis(values) for each, values in zip(varied, points, strict=True)]
    with np.errstate(all="raise", under="ignore"):
        found = grid(laid(asked), axes)
    codes = np.broadcast_to(found.codes, [len(values) for values in points])
    seen = set()
    for place in np.ndindex(*codes.shape):
        alternative = asked
        for each, values, index in zip(varied, points, place, strict=True):
            alternative = each.asked(alternative, values[index])
        agrees(found, int(codes[place]), answer_of(laid(alternative)))
        seen.add(int(codes[place]) // 4096)
    return len(seen)


def agrees(found: Grid, code: int, answer: Answer) -> None:
    verdict = found.verdict(code)
    against = [(each.id, each.verdict) for each in answer.findings if each.verdict]
    assert verdict is answer.verdict, (verdict, answer.verdict, against)
    if verdict > Verdict.GO:
        id, _, about = found.binding(code).partition(":")
        named = [each for each in answer.findings if each.id == id and each.about == about]
        if not named:  # a check that speaks of several names them itself
            named = [each for each in answer.findings if each.id == id]
        assert verdict in {each.verdict for each in named}, (found.binding(code), [e.id for e in answer.findings])


@settings(max_examples=80)
@given(days(), st.data())
def test_grid_and_decide_agree_on_every_number(day, data):
    varied = data.draw(st.lists(st.sampled_from([FUEL, BALLAST, BLOCK, START]), min_size=1, max_size=3, unique=True))
    points = [data.draw(each.points) for each in varied]
    compare(question(day), varied, points, of_rooms)


@settings(max_examples=40)
@given(days(), HEAT.points, FUEL.points)
def test_grid_and_decide_agree_on_temperature(day, kelvins, litres):
    compare(question(replace(day, rows=[])), [HEAT, FUEL], [kelvins, litres], of_rooms)


@settings(max_examples=25)
@given(days(), FUEL.points, BALLAST.points)
def test_grid_and_decide_agree_with_every_room_asked(day, litres, kilograms):
    compare(question(day), [FUEL, BALLAST], [litres, kilograms], situation_of)


def test_one_question_has_all_kinds_of_answers_over_a_grid():
    day = Flight(depart=(ASKED + timedelta(minutes=20)).isoformat(), block_h=0.5)
    litres = [float(each) for each in np.linspace(0.0, 70.0, 15)]
    hours = [minutes(ASKED) + 60.0 * each for each in (0.4, 2.0, 6.0, 12.0)]
    assert compare(question(day), [FUEL, START], [litres, hours], of_rooms) >= 3


def test_a_check_is_evaluated_on_no_more_axes_than_it_rests_on():
    asked = choices.with_load(choices.with_fuel(question(Flight(block_h=0.5)), 40.0), "ballast", 0.0)
    axes = [FUEL.axis([30.0, 40.0, 50.0]), BALLAST.axis([0.0, 5.0])]
    situation = situation_of(asked)
    wind = [each for each in situation.comparisons if each.id.startswith("wind.")]
    assert wind
    alone = replace(situation, comparisons=tuple(wind), agings=(), checks=())
    assert grid(alone, axes).codes.size == 1
    fuel = tuple(each for each in situation.comparisons if each.id == "fuel.enough")
    assert grid(replace(alone, comparisons=fuel), axes).codes.shape == (3, 1)
    mass = tuple(each for each in situation.comparisons if each.id == "loading.take_off_mass")
    assert grid(replace(alone, comparisons=mass), axes).codes.shape == (3, 2)


@pytest.mark.parametrize("name", ["first", "last"])
def test_the_names_of_a_grid_are_those_of_the_checks(name):
    situation = situation_of(question(Flight()))
    found = grid(situation, [FUEL.axis([40.0])])
    assert {each.partition(":")[0] for each in found.names} >= {each.id for each in situation.comparisons}
    code = int(np.max(found.codes)) if name == "first" else int(np.min(found.codes))
    assert found.binding(code) in found.names
