"""[FAAKT] A knowledge-test item on the rotorcraft reserve."""

import pytest

from gyrewright.aircraft.fuel import fuel_needed, reserve_left_min


@pytest.mark.source("FAA airman knowledge test, gyroplane bank (public sample)", "rotorcraft visual flight: 20 min")
def test_the_reserve_of_the_knowledge_test_is_what_is_left_at_landing():
    need = fuel_needed(burn_l_per_h=17.0, flight_h=1.1, reserve_min=20.0, unusable_l=0.0)
    left_min = reserve_left_min(usable_l=need.total_l, burn_l_per_h=17.0, flight_h=1.1)
    assert left_min == pytest.approx(20.0, rel=1e-9)
