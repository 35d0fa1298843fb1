"""A01: a heavy student on a hot afternoon. G1 is too small for the pair; G2 carries them, but not in this heat."""

from dataclasses import replace

import pytest

from gyrewright.finding import Verdict
from scenarios.fixture import (
    CG_M,
    CLIMB_FT_MIN,
    DENSITY_ALTITUDE_FT,
    DISTANCE_M,
    MASS_KG,
    Flight,
    Row,
    against,
    answer,
    finding,
    value,
    verdict_of,
)

HOT = Row("2027-07-13T13:55:00-05:00", wind=(270, 8, None), temperature="34 C", altimeter="1013 hPa")
IN_G1 = Flight(
    asked_at="2027-07-13T14:00:00-05:00",
    block_h=0.8,
    seats={"front": "S3", "rear": "I1"},
    parts={"commander": "I1", "instructor": "I1", "student": "S3"},
    fuel_l=20.0,
    observed=HOT,
)
IN_G2 = replace(IN_G1, aircraft="G2", seats={"left": "S3", "right": "I1"}, fuel_l=30.0)


def at_temperature(flight, celsius):
    return answer(replace(flight, observed=replace(HOT, temperature=f"{celsius} C")))


def test_the_pair_is_too_heavy_for_g1():
    asked = answer(IN_G1)
    assert verdict_of(asked) is Verdict.STOP
    mass = finding(asked, "loading.take_off_mass")
    assert mass.verdict is Verdict.STOP
    assert mass.value == pytest.approx(508.4, abs=MASS_KG)
    assert mass.limit == 500.0
    assert mass.margin == pytest.approx(-8.4, abs=MASS_KG)


def test_the_flight_needs_more_fuel_than_is_aboard():
    fuel = finding(answer(IN_G1), "fuel.enough")
    assert fuel.verdict is Verdict.STOP
    assert fuel.value == 20.0
    assert fuel.limit == pytest.approx(13.6 + 8.5 + 4.0)


def test_no_amount_of_fuel_helps_in_g1():
    light = answer(replace(IN_G1, fuel_l=8.3))
    assert finding(light, "loading.take_off_mass").verdict is Verdict.GO
    assert finding(light, "fuel.enough").verdict is Verdict.STOP
    assert finding(answer(replace(IN_G1, fuel_l=8.4)), "loading.take_off_mass").verdict is Verdict.STOP
    enough = answer(replace(IN_G1, fuel_l=26.1))
    assert finding(enough, "fuel.enough").verdict is Verdict.GO
    assert finding(enough, "loading.take_off_mass").verdict is Verdict.STOP


def test_the_density_altitude_is_shown_even_so():
    shown = value(answer(IN_G1), "density_altitude_m", "length", "ft")
    assert shown == pytest.approx(4780.0, abs=DENSITY_ALTITUDE_FT)


def test_g2_carries_them_with_30_to_33_liters():
    asked = answer(IN_G2)
    assert finding(asked, "loading.take_off_mass").value == pytest.approx(557.6, abs=MASS_KG)
    center = finding(asked, "loading.cg")
    assert center.verdict is Verdict.GO
    assert asked.situation.sheet.value("cg_path").take_off_cg_m == pytest.approx(-0.157, abs=CG_M)
    assert finding(asked, "fuel.enough").limit == pytest.approx(20.0 * 0.8 + 10.0 + 4.0)
    for litres, mass, fuel in ((29.9, "GO", "STOP"), (30.0, "GO", "GO"), (33.3, "GO", "GO"), (33.4, "STOP", "GO")):
        carried = answer(replace(IN_G2, fuel_l=litres))
        assert finding(carried, "loading.take_off_mass").verdict.code == mass
        assert finding(carried, "fuel.enough").verdict.code == fuel


def test_but_not_in_this_heat():
    asked = answer(IN_G2)
    assert verdict_of(asked) is Verdict.STOP
    assert against(asked) == {"performance.climb", "performance.take_off_distance"}
    assert value(asked, "climb_m_s", "climb", "ft/min") == pytest.approx(369.0, abs=CLIMB_FT_MIN)
    distance = finding(asked, "performance.take_off_distance")
    assert distance.value * 1.33 == pytest.approx(795.0, abs=DISTANCE_M)
    assert distance.limit * 1.33 == pytest.approx(760.0)


def test_g2_passes_in_the_cool_and_stops_passing_just_under_30_degrees():
    cool = at_temperature(IN_G2, 28)
    assert verdict_of(cool) is Verdict.GO
    assert value(cool, "climb_m_s", "climb", "ft/min") == pytest.approx(413.0, abs=CLIMB_FT_MIN)
    assert finding(cool, "performance.take_off_distance").value * 1.33 == pytest.approx(740.0, abs=DISTANCE_M)
    # The scenario's boundary by the exact gas law is 29.8 C, to half its last digit.
    assert verdict_of(at_temperature(IN_G2, 29.75)) is Verdict.GO
    assert verdict_of(at_temperature(IN_G2, 29.85)) is Verdict.STOP


def test_a_mass_that_passes_does_not_make_the_answer_pass():
    asked = answer(IN_G2)
    assert finding(asked, "loading.take_off_mass").verdict is Verdict.GO
    assert asked.verdict is Verdict.STOP
    assert asked.binding.id in {"performance.climb", "performance.take_off_distance"}
