"""The loading numbers of scenarios whose verdict rests on law, records or people."""

from dataclasses import replace

import pytest

from gyrewright.finding import Verdict
from scenarios.fixture import CG_M, MASS_KG, Flight, answer, finding

RENTAL = Flight(
    asked_at="2027-07-17T09:00:00-05:00",
    aircraft="G2",
    purpose="rental",
    lesson="local flight",
    seats={"left": "N1", "right": "F1"},
    parts={"commander": "N1", "passenger": "F1"},
)


def loaded(flight, mass_kg, cg_m=None):
    asked = answer(flight)
    mass = finding(asked, "loading.take_off_mass")
    assert mass.verdict is Verdict.GO
    assert mass.value == pytest.approx(mass_kg, abs=MASS_KG)
    assert finding(asked, "loading.cg").verdict is Verdict.GO
    if cg_m is not None:
        assert asked.situation.sheet.value("cg_path").take_off_cg_m == pytest.approx(cg_m, abs=CG_M)


def test_a09_the_renter_with_a_friend_and_alone():
    loaded(RENTAL, 528.8, -0.122)
    loaded(replace(RENTAL, seats={"left": "N1", "right": "empty"}, parts={"commander": "N1"}), 450.8, -0.040)


def test_a10_the_test_flight():
    test = Flight(
        asked_at="2027-07-31T08:00:00-05:00",
        purpose="test",
        lesson="practical test",
        seats={"front": "S4", "rear": "E1"},
        parts={"commander": "S4", "examiner": "E1"},
        fuel_l=50.0,
    )
    loaded(test, 476.0)


def test_a11_the_check_flight_after_work_on_the_controls():
    check = Flight(
        purpose="check flight",
        lesson="check flight",
        seats={"front": "I1", "rear": "empty"},
        parts={"commander": "I1"},
    )
    loaded(check, 404.8)
