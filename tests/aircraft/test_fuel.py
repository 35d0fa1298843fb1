"""Fuel: need, endurance, reserve, mass, and two readings of one tank."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from gyrewright.aircraft.fuel import (
    endurance_min,
    fuel_mass_kg,
    fuel_needed,
    fuel_readings,
    fuel_volume_l,
    loaded_fuel_l,
    longest_flight_h,
    readings_agree,
    reserve_left_min,
    usable_fuel_l,
)

AMOUNTS = st.floats(0.0, 120.0)
BURNS = st.floats(5.0, 40.0)


@given(BURNS, st.floats(0.0, 4.0), st.floats(0.0, 60.0), st.floats(0.0, 4.0))
def test_the_need_is_just_enough(burn_l_per_h, flight_h, reserve_min, unusable_l):
    need = fuel_needed(burn_l_per_h=burn_l_per_h, flight_h=flight_h, reserve_min=reserve_min, unusable_l=unusable_l)
    assert need.total_l == pytest.approx(need.trip_l + need.reserve_l + need.unusable_l)
    usable_l = usable_fuel_l(aboard_l=need.total_l, unusable_l=unusable_l)
    left_min = reserve_left_min(usable_l=usable_l, burn_l_per_h=burn_l_per_h, flight_h=flight_h)
    assert left_min == pytest.approx(reserve_min, abs=1e-9)
    assert longest_flight_h(usable_l=usable_l, burn_l_per_h=burn_l_per_h, reserve_min=reserve_min) == pytest.approx(
        flight_h, abs=1e-9
    )


def test_fuel_that_ends_before_the_flight_shows_as_less_than_nothing():
    assert reserve_left_min(usable_l=10.0, burn_l_per_h=20.0, flight_h=1.0) == -30.0
    assert longest_flight_h(usable_l=10.0, burn_l_per_h=20.0, reserve_min=60.0) == -0.5


def test_the_engine_never_reaches_less_than_nothing():
    assert usable_fuel_l(aboard_l=1.0, unusable_l=2.0) == 0.0
    assert usable_fuel_l(aboard_l=40.0, unusable_l=2.0) == 38.0


def test_unusable_fuel_is_weighed_once():
    assert loaded_fuel_l(aboard_l=40.0, unusable_l=2.0, unusable_in_empty_mass=True) == 38.0
    assert loaded_fuel_l(aboard_l=40.0, unusable_l=2.0, unusable_in_empty_mass=False) == 40.0


@given(AMOUNTS, st.floats(0.68, 0.80))
def test_volume_and_mass_go_back_and_forth(volume_l, density_kg_per_l):
    mass_kg = fuel_mass_kg(volume_l=volume_l, density_kg_per_l=density_kg_per_l)
    assert fuel_volume_l(mass_kg=mass_kg, density_kg_per_l=density_kg_per_l) == pytest.approx(volume_l, abs=1e-9)


@given(AMOUNTS, AMOUNTS)
def test_the_lower_reading_is_flown_and_the_higher_one_weighed(gauge_l, stick_l):
    readings = fuel_readings(gauge_l=gauge_l, stick_l=stick_l)
    assert readings.for_endurance_l == min(gauge_l, stick_l)
    assert readings.for_mass_l == max(gauge_l, stick_l)
    assert readings.apart_l == readings.for_mass_l - readings.for_endurance_l
    assert readings == fuel_readings(gauge_l=stick_l, stick_l=gauge_l)


def test_readings_just_as_far_apart_as_allowed_agree():
    assert readings_agree(fuel_readings(gauge_l=40.0, stick_l=35.0), most_apart_l=5.0) is True
    assert readings_agree(fuel_readings(gauge_l=40.1, stick_l=35.0), most_apart_l=5.0) is False


def test_many_tanks_get_the_answers_of_one():
    fuel = np.array([0.0, 20.0, 62.0])
    many = endurance_min(usable_l=fuel, burn_l_per_h=17.0)
    assert many.tolist() == [endurance_min(usable_l=float(each), burn_l_per_h=17.0) for each in fuel]
    readings = fuel_readings(gauge_l=fuel, stick_l=20.0)
    assert readings.for_endurance_l.tolist() == [0.0, 20.0, 20.0]
    assert readings.for_mass_l.tolist() == [20.0, 20.0, 62.0]
