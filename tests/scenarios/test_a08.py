"""A08: a light student alone. Without ballast the front station is too light and the balance too far aft."""

from dataclasses import replace

import pytest

from gyrewright.finding import Verdict
from scenarios.fixture import CG_M, MASS_KG, Flight, Row, against, answer, finding, verdict_of

FLIGHT = Flight(
    purpose="student alone",
    seats={"front": "S5", "rear": "empty"},
    parts={"commander": "S5", "student": "S5", "instructor": "I1"},
    observed=Row("2027-07-14T08:18:00-05:00", wind=(270, 4, None)),
)
STATION = "front+ballast"


def with_ballast(mass, fuel_l=40.0, **changes):
    return answer(replace(FLIGHT, loads={"ballast": mass}, fuel_l=fuel_l, **changes))


def take_off_cg_m(asked):
    return asked.situation.sheet.value("cg_path").take_off_cg_m


def test_without_ballast_two_limits_are_broken():
    asked = with_ballast("0 kg")
    assert verdict_of(asked) is Verdict.STOP
    assert against(asked) == {"loading.load", "loading.cg"}
    station = finding(asked, "loading.load", STATION)
    assert (station.verdict, station.value, station.limit) == (Verdict.STOP, 55.0, 60.0)
    center = finding(asked, "loading.cg")
    assert center.value == pytest.approx(-0.041, abs=CG_M)
    assert center.limit == pytest.approx(-0.050)
    assert center.margin < 0.0


def test_five_kilograms_are_the_least_that_pass():
    asked = with_ballast("5 kg")
    assert verdict_of(asked) is Verdict.GO
    assert take_off_cg_m(asked) == pytest.approx(-0.055, abs=CG_M)
    less = with_ballast("4.9 kg")
    assert against(less) == {"loading.load"}
    assert finding(less, "loading.load", STATION).verdict is Verdict.STOP
    assert finding(less, "loading.cg").verdict is Verdict.GO


def test_the_operations_block_passes():
    asked = with_ballast("10 kg")
    assert verdict_of(asked) is Verdict.GO
    assert finding(asked, "loading.take_off_mass").value == pytest.approx(381.8, abs=MASS_KG)
    assert take_off_cg_m(asked) == pytest.approx(-0.069, abs=CG_M)


def test_five_kilograms_are_too_little_with_full_tanks():
    asked = with_ballast("5 kg", fuel_l=64.0)
    assert verdict_of(asked) is Verdict.STOP
    assert against(asked) == {"loading.cg"}
    center = finding(asked, "loading.cg")
    # -0.0495 m against -0.0500 m: rounded to the centimeter, or to the limit's own digits, it would pass.
    assert center.value == pytest.approx(-0.0495, abs=0.00005)


def test_ballast_that_is_still_to_be_fitted_is_a_condition():
    planned = '{ value = "10 kg", origin = "planned", by = "S5" }'
    asked = with_ballast(planned, depart="2027-07-14T08:45:00-05:00")
    assert verdict_of(asked) is Verdict.GO_IF
    (condition,) = finding(asked, "acts.planned").conditions
    assert condition.owner == "S5"
    assert condition.until.isoformat() == "2027-07-14T08:45:00-05:00"
    assert condition.params["place"] == "ballast"


def test_ballast_that_is_not_there_at_the_start_is_a_stop():
    asked = with_ballast('{ value = "10 kg", origin = "planned", by = "S5" }')
    assert finding(asked, "acts.planned").verdict is Verdict.STOP


def test_both_ends_of_the_fuel_are_checked():
    # Aft at take-off, inside once fuel is burned.
    full = with_ballast("5 kg", fuel_l=64.0).situation.sheet.value("cg_path")
    assert full.take_off_cg_m > -0.050 > full.end_cg_m
    # Inside at take-off, forward once fuel is burned: the heavy solo with full ballast.
    heavy = 'mass = { value = "105 kg"'
    asked = with_ballast("20 kg", people=('mass = { value = "55 kg"', heavy))
    path = asked.situation.sheet.value("cg_path")
    assert path.take_off_cg_m > -0.210 > path.end_cg_m
    center = finding(asked, "loading.cg")
    assert (center.verdict, center.limit) == (Verdict.STOP, pytest.approx(-0.210))


def test_ballast_left_in_counts_for_the_next_flight():
    heavier = Flight(
        seats={"front": "S3", "rear": "I1"},
        parts={"commander": "I1", "instructor": "I1", "student": "S3"},
        loads={"ballast": "10 kg"},
    )
    station = finding(answer(heavier), "loading.load", STATION)
    assert (station.verdict, station.value, station.limit) == (Verdict.STOP, 128.0, 125.0)
