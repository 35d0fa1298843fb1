"""A08, backwards: how much ballast the light student needs, and what is still to do before the start."""

from dataclasses import replace
from datetime import datetime
from functools import cache

import pytest

from gyrewright.finding import Verdict
from gyrewright.release.choices import started_in_time, with_load
from gyrewright.release.decide import decide
from gyrewright.release.ways import ways
from kit.agree import failing
from scenarios.fixture import CG_M, MASS_KG, finding, question
from scenarios.test_a08 import FLIGHT

READY = datetime.fromisoformat("2027-07-14T08:45:00-05:00")


def asked(fuel_l=40.0, ballast="0 kg"):
    return question(replace(FLIGHT, loads={"ballast": ballast}, fuel_l=fuel_l))


@cache
def offers(fuel_l, ballast):
    found = ways(asked(fuel_l, ballast), fleet=(asked().aircraft,))
    assert found.asked.verdict is Verdict.STOP
    return found.offers


def ballast_offer(fuel_l, ballast="0 kg"):
    return next(each for each in offers(fuel_l, ballast) if [change.kind for change in each.changes] == ["load"])


def test_five_kilograms_are_the_least_for_40_liters_and_the_station_binds():
    offer = ballast_offer(40.0)
    params = offer.changes[0].params
    assert (params["mass_kg"], params["low_kg"], params["high_kg"]) == (5.0, 5.0, 20.0)
    assert params["binds_low"] == "loading.load:front+ballast"
    assert offer.answer.situation.sheet.value("cg_path").take_off_cg_m == pytest.approx(-0.055, abs=CG_M)


def test_the_offer_holds_only_if_the_ballast_is_fitted_and_in_time():
    offer = ballast_offer(40.0)
    assert offer.answer.verdict is Verdict.GO_IF
    (condition,) = finding(offer.answer, "acts.planned").conditions
    assert condition.params["place"] == "ballast"
    assert (condition.owner, condition.until) == ("S5", READY)


def test_the_operations_block_of_ten_kilograms_passes():
    answer = decide(started_in_time(with_load(asked(), "ballast", 10.0)))
    assert answer.verdict is Verdict.GO_IF
    assert finding(answer, "loading.take_off_mass").value == pytest.approx(381.8, abs=MASS_KG)
    assert answer.situation.sheet.value("cg_path").take_off_cg_m == pytest.approx(-0.069, abs=CG_M)


def test_with_full_tanks_five_kilograms_are_too_little_and_a_little_more_is_offered():
    short = decide(started_in_time(with_load(asked(64.0), "ballast", 5.0)))
    assert "loading.cg" in failing(short)
    assert finding(short, "loading.cg").value == pytest.approx(-0.0495, abs=0.00005)
    offer = ballast_offer(64.0, "5 kg")
    assert offer.changes[0].params["mass_kg"] == 5.2
    assert offer.changes[0].params["binds_low"] == "loading.cg"


def test_less_fuel_is_offered_before_more_ballast():
    kinds = [[change.kind for change in each.changes] for each in offers(64.0, "5 kg")]
    assert kinds[:2] == [["fuel"], ["load"]]
    assert offers(64.0, "5 kg")[0].changes[0].params["fuel_l"] == 61.8
