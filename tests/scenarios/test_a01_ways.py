"""A01, backwards: what can be done today for the heavy student on the hot afternoon."""

from dataclasses import replace
from datetime import datetime
from functools import cache

import pytest

from gyrewright.air.atmosphere import standard_temperature_k
from gyrewright.finding import Verdict
from gyrewright.release.choices import with_fuel
from gyrewright.release.decide import decide
from gyrewright.release.edges import spans
from gyrewright.release.grid import Survey
from gyrewright.release.situation import situation_of
from gyrewright.release.solved import COLDEST_K, HOTTEST_K, heat_numbers
from gyrewright.release.ways import ways
from kit.agree import failing
from scenarios.fixture import FT, Row, question
from scenarios.test_a01 import IN_G1, IN_G2, at_temperature

C0_K = 273.15
FEET_PER_DEGREE = 118.8  # the common rule, as the fixture writes it


@cache
def found():
    asked = question(IN_G1)
    return ways(asked, fleet=(asked.aircraft, question(IN_G2).aircraft))


def tank(id):
    return next(each for each in found().tanks if each.aircraft_id == id)


def test_nothing_is_offered_today_and_it_is_said_why():
    assert found().asked.verdict is Verdict.STOP
    assert found().offers == ()
    assert {"loading.take_off_mass", "fuel.enough"} <= set(found().stands_against)


def test_no_amount_of_fuel_answers_in_g1():
    g1 = tank("G1")
    assert (g1.most_l, g1.binds_most) == (8.3, "loading.take_off_mass")
    assert (g1.needs_l, g1.binds_needs) == (26.1, "fuel.enough")
    assert not g1.has_answer


def test_g2_carries_the_pair_with_30_to_33_liters():
    g2 = tank("G2")
    assert (g2.needs_l, g2.most_l) == (30.0, 33.3)
    assert (g2.binds_needs, g2.binds_most) == ("fuel.enough", "loading.take_off_mass")
    assert g2.has_answer


def test_g2_passes_below_29_8_degrees_with_30_liters():
    (need,) = found().needs
    assert (need.aircraft_id, need.fuel_l) == ("G2", 30.0)
    assert need.highest_k - C0_K == pytest.approx(29.8, abs=0.05)
    assert need.binds == "performance.climb"
    assert at_temperature(IN_G2, 28).verdict <= Verdict.JUDGE
    assert at_temperature(IN_G2, round(need.highest_k - C0_K - 0.01, 2)).verdict <= Verdict.JUDGE
    assert at_temperature(IN_G2, round(need.highest_k - C0_K + 0.01, 2)).verdict is Verdict.STOP


def test_by_the_common_rule_the_boundary_would_be_29_degrees():
    situation = situation_of(question(IN_G2))
    high_m = situation.sheet.value("pressure_altitude_m")

    def numbers(at):
        warmer = at - standard_temperature_k(geopotential_altitude_m=high_m)
        return {**heat_numbers(at), "density_altitude_m": high_m + FEET_PER_DEGREE * FT * warmer}

    by_rule = spans(Survey(situation, ()), numbers, low=COLDEST_K, high=HOTTEST_K)[-1]
    assert by_rule.high - C0_K == pytest.approx(29.0, abs=0.05)


def test_a_cool_evening_offers_g2_with_its_fuel_and_what_is_still_to_do():
    evening = Row("2027-07-13T18:30:00-05:00", wind=(270, 8, None), temperature="26 C", altimeter="1013 hPa")
    late = Row("2027-07-13T21:30:00-05:00", wind=(270, 6, None), temperature="24 C", altimeter="1013 hPa")
    asked = question(replace(IN_G1, rows=[evening, late]))
    offered = ways(asked, fleet=(asked.aircraft, question(IN_G2).aircraft)).offers
    offer = next(each for each in offered if [change.kind for change in each.changes] == ["aircraft", "start"])
    assert offer.answer.verdict is Verdict.GO_IF
    assert offer.question.definition.id == "G2"
    assert offer.changes[0].params["fuel_l"] == 30.0
    assert offer.question.flight.depart_at > datetime.fromisoformat("2027-07-13T15:00:00-05:00")
    todo = {condition.id for finding in offer.answer.findings for condition in finding.conditions}
    assert {"acts.fuel_planned_l", "acts.nothing_there", "acts.configuration", "weather.observation_age.renew"} <= todo


def test_nothing_shorter_than_the_reserve_allows_is_offered():
    # With what the mass allows, 8.3 L, and the end left open: the reserve stands against every length.
    little = decide(replace(question(IN_G1), flight=with_fuel(question(replace(IN_G1, block_h="open")), 8.3).flight))
    assert "fuel.enough" in failing(little)


def test_where_cooler_air_would_do_the_hot_flight_itself_is_told_so():
    asked = question(IN_G2)
    (need,) = ways(asked, fleet=(asked.aircraft,)).needs
    assert need.fuel_l is None
    assert need.highest_k - C0_K == pytest.approx(29.8, abs=0.05)
