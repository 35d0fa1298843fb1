"""[RFH21] The rotorcraft handbook's loading examples."""

import inspect

import pytest

from gyrewright.aircraft.envelope import from_sides
from gyrewright.aircraft.fuel import fuel_mass_kg
from gyrewright.aircraft.loading import Load, burn_path, hang_angles, total
from gyrewright.aircraft.loading_edges import most_fuel
from gyrewright.arrays import at_most

BOOK = "FAA-H-8083-21, Rotorcraft Flying Handbook (2000)"
LB, IN, GAL = 0.45359237, 0.0254, 3.785411784
KLBIN = 1000.0 * LB * IN
EXACT = 1e-9

# The book reads moments from a loading graph, in thousands of lb-in; an arm is moment over weight.
GYROPLANE = [(1315.0, 153.9), (175.0, 9.1), (160.0, 13.4)]


def loaded(rows):
    return total((weight * LB, moment * KLBIN / (weight * LB)) for weight, moment in rows)


@pytest.mark.source(BOOK, "ch. 19, sample problem, Figs 19-2 and 19-3")
def test_the_gyroplane_with_two_aboard_and_no_fuel():
    load = loaded(GYROPLANE)
    assert load.mass_kg / LB == pytest.approx(1650.0, rel=EXACT)
    assert load.moment_kg_m / KLBIN == pytest.approx(176.4, abs=0.05)
    assert load.cg_m / IN == pytest.approx(106.91, abs=0.05)  # moment over weight, not printed
    room = most_fuel(load, fuel_arm_m=2.8, envelope=None, most_mass_kg=1800.0 * LB, end_fuel_kg=0.0, tank_kg=1000.0)
    assert room.fuel_kg / LB == pytest.approx(150.0, rel=EXACT)


@pytest.mark.source(BOOK, "ch. 19, sample problem, Figs 19-2 to 19-4")
def test_the_same_gyroplane_with_eighteen_gallons():
    fuel_kg = fuel_mass_kg(volume_l=18.0 * GAL, density_kg_per_l=6.0 * LB / GAL)
    assert fuel_kg / LB == pytest.approx(108.0, rel=EXACT)
    load = loaded([*GYROPLANE, (108.0, 11.9)])
    assert load.mass_kg / LB == pytest.approx(1758.0, rel=EXACT)
    assert load.moment_kg_m / KLBIN == pytest.approx(188.3, abs=0.05)
    assert load.cg_m / IN == pytest.approx(107.11, abs=0.05)  # moment over weight, not printed
    assert at_most(load.mass_kg, 1800.0 * LB)


@pytest.mark.source(BOOK, "ch. 7, Fig. 7-5 and computational method")
def test_a_helicopter_empty_moment():
    empty = total([(1700.0 * LB, 116.5 * IN)])
    assert empty.moment_kg_m / (LB * IN) == pytest.approx(198_050.0, rel=EXACT)
    # Its limits, 106.0 to 114.2 in, are for the loaded machine: empty, and below any mass flown, it is aft of them.
    envelope, _ = from_sides(
        forward=[(0.0, 106.0 * IN), (3200.0 * LB, 106.0 * IN)], aft=[(0.0, 114.2 * IN), (3200.0 * LB, 114.2 * IN)]
    )
    path = burn_path(empty, fuel_arm_m=0.0, take_off_fuel_kg=0.0, end_fuel_kg=0.0, envelope=envelope)
    assert path.aft_margin_m / IN == pytest.approx(-2.3, abs=EXACT)


@pytest.mark.source(BOOK, "ch. 7, sample problem 1, Fig. 7-6")
def test_a_helicopter_loading_chart_in_loading_order():
    items = [1040.0, 135.0, 200.0, 25.0, fuel_mass_kg(volume_l=30.0 * GAL, density_kg_per_l=6.0 * LB / GAL) / LB]
    assert items[-1] == pytest.approx(180.0, rel=EXACT)
    points = [total((weight * LB, 0.0) for weight in items[:count]).mass_kg / LB for count in (3, 4, 5)]
    assert points == pytest.approx([1375.0, 1400.0, 1580.0], rel=EXACT)
    assert at_most(points[-1], 1600.0)


@pytest.mark.source(BOOK, "ch. 7, sample problem 3, Figs 7-7 and 7-8")
def test_moments_read_from_a_station_graph():
    fuel, occupants = total([(211.0 * LB, 108.5 * IN)]), total([(340.0 * LB, 83.2 * IN)])
    assert fuel.moment_kg_m / KLBIN == pytest.approx(22.9, abs=0.05)
    assert occupants.moment_kg_m / KLBIN == pytest.approx(28.3, abs=0.05)


@pytest.mark.source(BOOK, "ch. 7, combination method and lateral CG, Figs 7-9 to 7-11")
def test_a_helicopter_along_and_across():
    along = Load(2399.0 * LB, 225_022.0 * LB * IN)
    across = Load(2399.0 * LB, -3_837.0 * LB * IN)
    assert along.cg_m / IN == pytest.approx(93.8, abs=0.05)
    assert across.cg_m / IN == pytest.approx(-1.6, abs=0.05)
    seats = [
        total([(weight * LB, arm * IN)]).moment_kg_m / (LB * IN) for weight, arm in ((170.0, 12.2), (250.0, -10.4))
    ]
    assert seats == pytest.approx([2074.0, -2600.0], rel=EXACT)


@pytest.mark.source(BOOK, "ch. 19, hang test: two fuel states, with the pilot's actual weight")
def test_the_hang_test_asks_for_both_fuel_states_and_the_makers_band():
    asked = inspect.signature(hang_angles).parameters
    assert [name for name, each in asked.items() if each.default is inspect.Parameter.empty] == [
        "full_deg",
        "empty_deg",
        "least_deg",
        "most_deg",
    ]
    # The book prints no band; these numbers are made up.
    assert hang_angles(full_deg=9.0, empty_deg=11.0, least_deg=8.0, most_deg=12.0).inside
    assert not hang_angles(full_deg=9.0, empty_deg=13.0, least_deg=8.0, most_deg=12.0).inside
