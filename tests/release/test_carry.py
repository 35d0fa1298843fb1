"""The numbers to carry away for each runway, each an edge of decide's own answer."""

from dataclasses import replace
from datetime import datetime, timedelta
from functools import cache

import pytest

from gyrewright.air.course import minutes
from gyrewright.finding import Verdict
from gyrewright.release import choices
from gyrewright.release.carry import numbers_to_carry
from gyrewright.release.decide import decide
from kit.agree import failing
from scenarios.fixture import KT, Flight, Row, question

NOW = datetime.fromisoformat(Flight().asked_at)
SEEN = (NOW - timedelta(minutes=12)).isoformat()
C0_K = 273.15


@cache
def carried():
    return {carry.runway: carry for carry in numbers_to_carry(question(Flight()))}


def answer(**changes):
    return decide(question(replace(Flight(), **changes)))


def test_there_is_one_set_for_every_runway_of_the_field():
    assert list(carried()) == [runway.name for runway in question(Flight()).field.runways]


def test_the_most_wind_is_the_strictest_figure_of_house_and_maker():
    here = carried()["27"]
    assert here.most_wind_m_s == pytest.approx(20.0 * KT)
    assert here.most_spread_m_s == pytest.approx(10.0 * KT)
    assert here.most_crosswind_m_s == pytest.approx(12.0 * KT)


def test_the_least_fuel_passes_and_a_tenth_less_does_not():
    least = carried()["27"].least_fuel_l
    assert least == pytest.approx(29.5, abs=1e-6)
    assert answer(fuel_l=29.5).verdict is Verdict.GO
    assert "fuel.enough" in failing(answer(fuel_l=29.4))


def test_the_most_fuel_passes_and_a_tenth_more_does_not():
    # The tank holds 68 L; 500 kg less 451 kg without fuel are 68.06 L.
    assert carried()["27"].most_fuel_l == pytest.approx(68.0)
    heavy = question(
        Flight(seats={"front": "S1", "rear": "I2"}, parts={**Flight().parts, "commander": "I2", "instructor": "I2"})
    )
    most = next(each.most_fuel_l for each in numbers_to_carry(heavy) if each.runway == "27")
    assert most == pytest.approx((500.0 - 459.0) / 0.72, abs=1e-6)


def test_the_highest_temperature_passes_and_a_tenth_more_does_not():
    highest = carried()["27"].highest_k - C0_K
    for celsius, passes in ((highest - 0.1, True), (highest + 0.1, False)):
        warm = answer(observed=Row(SEEN, temperature=f"{celsius:.2f} C"))
        assert (warm.verdict <= Verdict.JUDGE) is passes


def test_the_least_headwind_passes_and_a_tenth_of_a_knot_less_does_not():
    # On 27 a wind from 090 is a tailwind; nothing else about the day changes with it.
    tailwind = -carried()["27"].least_headwind_m_s / KT
    for knots, passes in ((tailwind - 0.1, True), (tailwind + 0.1, False)):
        behind = replace(Flight(), observed=Row(SEEN, wind=(90, round(knots, 3), None)))
        assert (decide(question(behind)).verdict <= Verdict.JUDGE) is passes


def test_the_window_holds_the_start_asked_for():
    here = carried()["27"]
    assert here.earliest_at == NOW
    late = decide(choices.with_start(question(Flight()), minutes(here.latest_at) + 1.0))
    assert late.verdict > Verdict.JUDGE
    assert decide(choices.with_start(question(Flight()), minutes(here.latest_at))).verdict <= Verdict.JUDGE


def test_a_runway_from_which_nothing_passes_has_no_number_to_reach():
    short = carried()["18"]
    assert (short.earliest_at, short.latest_at) == (None, None)
