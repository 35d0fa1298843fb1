"""[HFH21B] The helicopter handbook's height-velocity chart: how far it reaches."""

import pytest

from gyrewright.aircraft.tables import Axis, build_table, lookup

LB, FT = 0.45359237, 0.3048


@pytest.mark.source("FAA-H-8083-21B, Helicopter Flying Handbook (2019)", "ch. 7: at 8,500 ft valid up to 2,500 lb")
def test_a_height_velocity_chart_holds_up_to_its_weight():
    chart, problems = build_table(
        axes=[Axis("density altitude", (8500.0 * FT,), "linear", "no data")], values=[2500.0 * LB]
    )
    assert problems == ()
    most_kg, inside = lookup(chart, 8500.0 * FT)
    assert most_kg / LB == pytest.approx(2500.0, abs=50.0)
    assert inside
    assert lookup(chart, 8600.0 * FT)[1] is False
