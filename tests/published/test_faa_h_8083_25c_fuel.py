"""[PHAK25C] The pilot's handbook's fuel and endurance figures."""

import pytest

from gyrewright.aircraft.fuel import endurance_min, fuel_burned_l, longest_flight_h, reserve_left_min

BOOK = "FAA-H-8083-25C, Pilot's Handbook of Aeronautical Knowledge (2023)"
GAL = 3.785411784


@pytest.mark.source(BOOK, "ch. 11, sample problem 6, Fig. 11-27: 38 gal at 6.9 gal/h and 116 mph")
def test_endurance_and_range_of_a_cruise_row():
    endurance_h = endurance_min(usable_l=38.0 * GAL, burn_l_per_h=6.9 * GAL) / 60.0
    assert endurance_h == pytest.approx(5.5, abs=0.05)
    assert endurance_h == pytest.approx(5.507, abs=0.0005)  # worked out
    assert 116.0 * endurance_h == pytest.approx(635.0, abs=5.0)  # 638.8; the table rounds
    assert 116.0 * endurance_h == pytest.approx(638.8, abs=0.1)  # worked out


@pytest.mark.source(BOOK, "ch. 16: 400 NM at 100 kt and 5 gal/h")
def test_time_and_fuel():
    flight_h = 400.0 / 100.0
    assert fuel_burned_l(burn_l_per_h=5.0 * GAL, flight_h=flight_h) / GAL == pytest.approx(20.0, rel=1e-9)


@pytest.mark.source(BOOK, "ch. 11, sample problem 6: 38 gal usable; endurance at 8 gal/h is worked out")
def test_endurance_and_what_is_left_of_it_for_a_reserve():
    fuel = {"usable_l": 38.0 * GAL, "burn_l_per_h": 8.0 * GAL}
    assert endurance_min(**fuel) == pytest.approx(285.0, rel=1e-9)
    assert longest_flight_h(**fuel, reserve_min=20.0) * 60.0 == pytest.approx(265.0, rel=1e-9)
    assert reserve_left_min(**fuel, flight_h=265.0 / 60.0) == pytest.approx(20.0, rel=1e-9)
