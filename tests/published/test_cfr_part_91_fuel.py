"""[CFR14-91] The day reserve of rotorcraft, worked into a fuel need."""

import pytest

from gyrewright.aircraft.fuel import fuel_needed

GAL = 3.785411784


@pytest.mark.source(
    "14 CFR part 91, edition of 1 January 2025", "91.151(b): 20 min at normal cruise; flight and consumption made up"
)
def test_the_fuel_for_a_flight_and_the_rotorcraft_reserve():
    need = fuel_needed(burn_l_per_h=5.0 * GAL, flight_h=1.5, reserve_min=20.0, unusable_l=0.0)
    assert need.trip_l / GAL == pytest.approx(7.5, rel=1e-9)
    assert need.reserve_l / GAL == pytest.approx(1.67, abs=0.005)
    assert need.total_l / GAL == pytest.approx(9.17, abs=0.005)
