"""A09: a renter with a friend. One landing is missing for the friend, and none for the renter alone."""

from dataclasses import replace

import pytest

from gyrewright.finding import Verdict
from scenarios.fixture import CG_M, MASS_KG, Flight, Row, all_against, answer, finding

PEOPLE = "people.toml"


def landings(*rows):
    """Return the renter's landings: how many days ago, how many, and in which class."""
    text = "".join(
        f"""
[[person.landings]]
on = DAY_AGO_{days}
aircraft = "G2"
aircraft_class = "{group}"
take_offs = {count}
landings = {count}
sole = true
night = false
full_stop = true
"""
        for days, count, group in rows
    )
    n1 = """
[[person.landings]]
on = DAY_AGO_12
aircraft = "G2"
aircraft_class = "rotorcraft gyroplane"
take_offs = 3
landings = 3
sole = true
night = false
full_stop = true
"""
    return (PEOPLE, n1, text)


GYRO, PLANE = "rotorcraft gyroplane", "airplane single-engine land"
# 17 July is day 90 from 18 April and day 106 from 2 April.
HELD = landings((90, 2, GYRO), (106, 1, GYRO))
WITH_FRIEND = Flight(
    asked_at="2027-07-17T09:00:00-05:00",
    aircraft="G2",
    purpose="rental",
    lesson="none",
    seats={"left": "N1", "right": "F1"},
    parts={"commander": "N1", "passenger": "F1"},
    observed=Row("2027-07-17T08:50:00-05:00"),
    take_offs="first only",
    edits=(HELD,),
    law={"training_is_paid": "false", "instruction_for_hire": "false", "training_authority_relied_on": "false"},
)
ALONE = replace(WITH_FRIEND, seats={"left": "N1", "right": "empty"}, parts={"commander": "N1"})


def test_with_the_passenger_the_flight_is_stopped_by_recency_alone():
    asked = answer(WITH_FRIEND)
    assert asked.verdict is Verdict.STOP
    assert all_against(asked) == {"rule.us.61.57.day"}


def test_alone_nothing_stands_against_it():
    asked = answer(ALONE)
    assert asked.verdict is Verdict.GO
    assert asked.situation.sheet.value("take_off_mass_kg") == pytest.approx(450.8, abs=MASS_KG)
    assert asked.situation.sheet.value("cg_path").take_off_cg_m == pytest.approx(-0.040, abs=CG_M)


def test_two_of_three_count_and_exactly_one_is_missing():
    recency = finding(answer(WITH_FRIEND), "rule.us.61.57.day")
    assert (recency.params["landings"], recency.params["need_landings"], recency.params["missing"]) == (2, 3, 1)


def test_the_cheapest_cure_is_one_landing_alone():
    (cure,) = finding(answer(WITH_FRIEND), "rule.us.61.57.day").cures
    assert (cure.id, cure.who, cure.params["count"]) == ("people.land_alone", "N1", 1)
    after = landings((90, 2, GYRO), (106, 1, GYRO), (0, 1, GYRO))
    assert answer(replace(WITH_FRIEND, edits=(after,))).verdict is Verdict.GO


@pytest.mark.parametrize(("days", "verdict"), [(90, "GO"), (91, "STOP")])
def test_day_90_counts_and_day_91_does_not(days, verdict):
    assert answer(replace(WITH_FRIEND, edits=(landings((days, 3, GYRO)),))).verdict.code == verdict


def test_landings_in_another_category_do_not_count():
    more = landings((90, 2, GYRO), (1, 5, PLANE))
    recency = finding(answer(replace(WITH_FRIEND, edits=(more,))), "rule.us.61.57.day")
    assert (recency.verdict, recency.params["landings"]) == (Verdict.STOP, 2)


def test_the_insurer_names_the_renter_for_this_aircraft():
    assert finding(answer(ALONE), "people.insured").params["who"] == "N1"
    unnamed = (PEOPLE, 'named = ["I1", "I2", "N1"]', 'named = ["I1", "I2"]')
    asked = answer(replace(ALONE, edits=(HELD, unnamed)))
    assert all_against(asked) == {"people.insured"}
    assert asked.verdict is Verdict.STOP
