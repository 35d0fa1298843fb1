"""From the scales to the empty mass, and on through later changes."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gyrewright.aircraft.weighing import Change, ScaleRow, empty_load, revised, weighed
from gyrewright.errors import OutOfRange

ROWS = [ScaleRow("nose", 18.73, 8.0, 0.400), ScaleRow("mains", 291.27, 16.0, 2.480)]


def test_tare_is_taken_off_each_scale():
    load = weighed(ROWS)
    assert load.mass_kg == pytest.approx(286.0, abs=1e-9)
    assert load.moment_kg_m == pytest.approx(10.73 * 0.4 + 275.27 * 2.48, abs=1e-9)


def test_fuel_aboard_is_taken_off_at_its_own_arm():
    load = empty_load(ROWS, fuel_aboard_kg=10.0, fuel_arm_m=2.15)
    assert load.mass_kg == pytest.approx(276.0, abs=1e-9)
    assert load.moment_kg_m == pytest.approx(10.73 * 0.4 + 275.27 * 2.48 - 21.5, abs=1e-9)


@given(st.floats(0.0, 40.0), st.floats(1.0, 3.0))
def test_fuel_put_in_before_weighing_and_taken_off_again_changes_nothing(fuel_kg, arm_m):
    # The fuel's weight goes to the wheels by its lever between them.
    on_mains_kg = fuel_kg * (arm_m - 0.4) / (2.48 - 0.4)
    fueled = [
        ScaleRow("nose", 18.73 + fuel_kg - on_mains_kg + 30.0, 38.0, 0.400),
        ScaleRow("mains", 291.27 + on_mains_kg, 16.0, 2.480),
    ]
    load = empty_load(fueled, fuel_aboard_kg=fuel_kg, fuel_arm_m=arm_m)
    assert load.mass_kg == pytest.approx(286.0, abs=1e-9)
    assert load.cg_m == pytest.approx(weighed(ROWS).cg_m, abs=1e-9)


def test_a_scale_below_its_tare_is_named():
    with pytest.raises(OutOfRange, match="nose: the scale shows 7 kg, less than its tare of 8 kg; read both again"):
        weighed([ScaleRow("nose", 7.0, 8.0, 0.4)])


def test_a_point_that_bears_nothing_counts_nothing():
    load = weighed([*ROWS, ScaleRow("tail", 8.0, 8.0, 5.0)])
    assert load == weighed(ROWS)


def test_a_weighing_without_scales_is_refused():
    with pytest.raises(OutOfRange, match="no scale rows"):
        weighed([])


def test_more_fuel_than_aircraft_is_refused():
    with pytest.raises(OutOfRange, match="300 kg of fuel in an aircraft weighed at 286 kg"):
        empty_load(ROWS, fuel_aboard_kg=300.0, fuel_arm_m=2.15)
    with pytest.raises(OutOfRange, match="10 kg of fuel in an aircraft weighed at 10 kg"):
        empty_load([ScaleRow("all", 10.0, 0.0, 2.0)], fuel_aboard_kg=10.0, fuel_arm_m=2.15)


def test_every_change_leaves_its_own_record():
    before = weighed(ROWS)
    loads = revised(before, [Change("old radio", -2.0, 1.0), Change("new radio", 1.2, 1.1)])
    assert [load.mass_kg for load in loads] == pytest.approx([284.0, 285.2], abs=1e-9)
    assert loads[-1].moment_kg_m == pytest.approx(before.moment_kg_m - 2.0 + 1.32, abs=1e-9)
    assert revised(before, []) == ()


def test_taking_out_the_whole_aircraft_is_refused():
    with pytest.raises(OutOfRange, match="everything: taking out 286 kg leaves nothing"):
        revised(weighed(ROWS), [Change("everything", -286.0, 1.0)])
