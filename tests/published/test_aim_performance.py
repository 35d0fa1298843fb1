"""[AIM2023] What thin air does to a take-off."""

import pytest

from gyrewright.aircraft.tables import Axis, build_table, lookup

FT = 0.3048


@pytest.mark.source(
    "Aeronautical Information Manual, basic effective 20 April 2023", "7-6-7 i: 1,000 ft doubled at 5,000 ft"
)
def test_a_take_off_distance_doubles_at_five_thousand_feet():
    table, problems = build_table(
        axes=[Axis("elevation", (0.0, 5000.0 * FT), "linear", "first")], values=[1000.0 * FT, 2.0 * 1000.0 * FT]
    )
    assert problems == ()
    distance_m, inside = lookup(table, 5000.0 * FT)
    assert distance_m / FT == pytest.approx(2000.0, abs=200.0)  # an approximate statement
    assert inside
    assert lookup(table, 5100.0 * FT)[1] is False
