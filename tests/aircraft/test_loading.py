"""Mass, balance and the whole burn: properties, and the burn path against a dense scan."""

import math
import subprocess
import sys

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from gyrewright.aircraft.envelope import from_sides, lateral_envelope, limits_at
from gyrewright.aircraft.loading import (
    Load,
    arm_at_percent,
    burn_path,
    center_of_gravity,
    hang_angles,
    percent_of_chord,
    total,
    with_mass,
    with_mass_moved,
)
from gyrewright.errors import OutOfRange

MASSES = st.floats(0.0, 150.0)
ARMS = st.floats(-1.5, 3.0)
ITEMS = st.lists(st.tuples(MASSES, ARMS), min_size=0, max_size=5)


@st.composite
def envelopes(draw):
    """Envelopes with sides that slope either way, up to three pieces each."""

    def side(low_m, high_m):
        inner = sorted(draw(st.sets(st.integers(310, 590), max_size=2)))
        return [(float(mass), draw(st.floats(low_m, high_m))) for mass in (300, *inner, 600)]

    envelope, problems = from_sides(forward=side(-0.3, -0.01), aft=side(0.0, 0.3))
    assert problems == ()
    return envelope


LOADS = st.builds(
    lambda mass_kg, arm_m: Load(mass_kg, mass_kg * arm_m), st.floats(310.0, 450.0), st.floats(-0.25, 0.25)
)


@given(ITEMS, ITEMS)
def test_loading_is_linear(first, second):
    whole = total([*first, *second])
    one, other = total(first), total(second)
    assert whole.mass_kg == pytest.approx(one.mass_kg + other.mass_kg, abs=1e-9)
    assert whole.moment_kg_m == pytest.approx(one.moment_kg_m + other.moment_kg_m, abs=1e-9)


@given(ITEMS, st.floats(-5.0, 5.0))
def test_the_center_of_gravity_moves_with_the_datum_and_not_otherwise(items, shift_m):
    here = total([(300.0, 2.4), *items])
    there = total([(300.0, 2.4 + shift_m), *((mass, arm + shift_m) for mass, arm in items)])
    assert there.mass_kg == here.mass_kg
    assert there.cg_m == pytest.approx(here.cg_m + shift_m, abs=1e-9)


@given(ITEMS)
def test_the_center_of_gravity_lies_between_the_outermost_arms(items):
    arms = [2.4, *(arm for mass, arm in items if mass > 0.0)]
    assert min(arms) - 1e-9 <= total([(300.0, 2.4), *items]).cg_m <= max(arms) + 1e-9


@given(MASSES, ARMS, ARMS)
def test_moving_is_taking_off_and_putting_on(mass_kg, from_m, to_m):
    load = total([(300.0, 2.4), (mass_kg, from_m)])
    moved = with_mass_moved(load, mass_kg=mass_kg, from_m=from_m, to_m=to_m)
    other = with_mass(with_mass(load, mass_kg=-mass_kg, arm_m=from_m), mass_kg=mass_kg, arm_m=to_m)
    assert moved.mass_kg == pytest.approx(other.mass_kg, abs=1e-9)
    assert moved.moment_kg_m == pytest.approx(other.moment_kg_m, abs=1e-9)


def test_nothing_aboard_has_no_center_of_gravity():
    with pytest.raises(OutOfRange, match="total mass is not above zero; check the signs"):
        _ = total([]).cg_m
    with pytest.raises(OutOfRange, match="total mass is not above zero"):
        center_of_gravity(mass_kg=np.array([300.0, 0.0]), moment_kg_m=np.array([1.0, 1.0]))


def test_any_mass_above_zero_has_a_center_of_gravity():
    assert center_of_gravity(mass_kg=0.005, moment_kg_m=0.01) == 2.0


def test_one_load_stays_a_plain_number():
    load = total([(286.0, 2.402), (88, 1.312)])
    assert type(load.mass_kg) is float
    assert type(load.cg_m) is float


def test_percent_of_chord_and_back():
    assert percent_of_chord(cg_m=2.5, leading_edge_m=2.0, chord_m=2.0) == 25.0
    assert arm_at_percent(chord_percent=25.0, leading_edge_m=2.0, chord_m=2.0) == 2.5


@settings(max_examples=150)
@given(envelopes(), LOADS, st.floats(-0.6, 0.6), st.floats(0.0, 140.0), st.floats(0.0, 140.0))
def test_the_burn_path_finds_the_worst_point_of_a_dense_scan(envelope, load, fuel_arm_m, full_kg, end_kg):
    path = burn_path(load, fuel_arm_m=fuel_arm_m, take_off_fuel_kg=full_kg, end_fuel_kg=end_kg, envelope=envelope)
    fuel = np.linspace(min(full_kg, end_kg), full_kg, 2001)
    mass = load.mass_kg + fuel
    cg = (load.moment_kg_m + fuel_arm_m * fuel) / mass
    forward_m, aft_m = limits_at(envelope, mass)
    assert path.forward_margin_m <= (cg - forward_m).min() + 1e-12
    assert path.aft_margin_m <= (aft_m - cg).min() + 1e-12
    for margin_m, mass_kg, sign in (
        (path.forward_margin_m, path.forward_mass_kg, 1.0),
        (path.aft_margin_m, path.aft_mass_kg, -1.0),
    ):
        assert path.end_mass_kg - 1e-9 <= mass_kg <= path.take_off_mass_kg + 1e-9
        here = (load.moment_kg_m + fuel_arm_m * (mass_kg - load.mass_kg)) / mass_kg
        limit_m = limits_at(envelope, mass_kg)[0 if sign > 0 else 1]
        assert sign * (here - limit_m) == pytest.approx(margin_m, abs=1e-12)
    assert path.take_off_cg_m == pytest.approx(cg[-1], abs=1e-12)
    assert path.end_cg_m == pytest.approx(cg[0], abs=1e-12)
    assert path.covered == bool((mass <= 600.0 + 1e-6).all())
    for margin_m, passes in ((path.forward_margin_m, path.forward_ok), (path.aft_margin_m, path.aft_ok)):
        if abs(margin_m) > 1e-8:
            assert passes == (margin_m > 0.0)


@settings(max_examples=40)
@given(envelopes(), st.floats(-0.6, 0.6), st.floats(0.0, 100.0))
def test_a_million_burn_paths_are_the_one_repeated(envelope, fuel_arm_m, end_kg):
    front = np.array([[0.0], [60.0], [119.0]])
    fuel = np.array([0.0, 20.0, 44.64, 100.0])
    load = Load(320.0 + front, -0.1 * 320.0 + front * 0.5)
    many = burn_path(load, fuel_arm_m=fuel_arm_m, take_off_fuel_kg=fuel, end_fuel_kg=end_kg, envelope=envelope)
    for row, front_kg in enumerate(front[:, 0]):
        for column, fuel_kg in enumerate(fuel):
            one = burn_path(
                Load(320.0 + float(front_kg), -0.1 * 320.0 + float(front_kg) * 0.5),
                fuel_arm_m=fuel_arm_m,
                take_off_fuel_kg=float(fuel_kg),
                end_fuel_kg=end_kg,
                envelope=envelope,
            )
            for name in ("forward_margin_m", "aft_margin_m", "take_off_cg_m", "end_cg_m"):
                each = np.broadcast_to(getattr(many, name), (3, 4))[row, column]
                assert each == pytest.approx(getattr(one, name), abs=1e-12), name
            for name in ("forward_ok", "aft_ok", "covered"):
                assert np.broadcast_to(getattr(many, name), (3, 4))[row, column] == getattr(one, name), name
            assert isinstance(one.forward_ok, bool)


def test_the_worst_point_may_lie_inside_a_sloping_side():
    # Forward limit 0.0430 - 0.0001 (m - 430): the margin c/m - p - q m is least at m = sqrt(-c/q).
    envelope, _ = from_sides(forward=[(300.0, 0.056), (600.0, 0.026)], aft=[(300.0, 1.0), (600.0, 1.0)])
    load = Load(380.0, 18.49)
    path = burn_path(load, fuel_arm_m=0.0, take_off_fuel_kg=100.0, end_fuel_kg=0.0, envelope=envelope)
    assert path.forward_mass_kg == pytest.approx(math.sqrt(18.49 / 0.0001), rel=1e-9)
    assert path.forward_mass_kg == pytest.approx(430.0, rel=1e-9)
    assert path.forward_margin_m == pytest.approx(0.0, abs=1e-12)
    assert path.forward_ok is True


def test_a_limit_at_the_datum_that_is_met_exactly_is_met():
    # 0.1 + 0.2 - 0.3 is not zero in floating point; a limit of exactly zero must still be met.
    envelope, _ = from_sides(forward=[(0.0, 0.0), (500.0, 0.0)], aft=[(0.0, 0.2), (500.0, 0.2)])
    load = total([(100.0, 0.1), (100.0, 0.2), (100.0, -0.3)])
    path = burn_path(load, fuel_arm_m=0.0, take_off_fuel_kg=30.0, end_fuel_kg=0.0, envelope=envelope)
    assert path.forward_ok is True


def test_a_limit_missed_by_a_thousandth_of_a_millimeter_is_missed():
    envelope, _ = from_sides(forward=[(0.0, 2.0), (500.0, 2.0)], aft=[(0.0, 2.2), (500.0, 2.2)])
    path = burn_path(
        Load(400.0, 400.0 * 1.999999), fuel_arm_m=2.1, take_off_fuel_kg=0.0, end_fuel_kg=0.0, envelope=envelope
    )
    assert path.forward_ok is False


def test_fuel_below_the_end_of_the_path_stays_aboard():
    envelope, _ = from_sides(forward=[(0.0, 2.0), (500.0, 2.0)], aft=[(0.0, 2.2), (500.0, 2.2)])
    path = burn_path(total([(400.0, 2.1)]), fuel_arm_m=2.1, take_off_fuel_kg=2.0, end_fuel_kg=3.0, envelope=envelope)
    assert path.take_off_mass_kg == path.end_mass_kg == 402.0


def test_two_side_by_side_balance_and_one_alone_does_not():
    envelope, _ = lateral_envelope(left=[(0.0, -0.04), (560.0, -0.04)], right=[(0.0, 0.04), (560.0, 0.04)])
    both = total([(330.0, 0.0), (88.0, -0.3), (75.0, 0.3)])
    alone = total([(330.0, 0.0), (88.0, -0.3)])
    keywords = {"fuel_arm_m": 0.1, "take_off_fuel_kg": 40.0, "end_fuel_kg": 0.0, "envelope": envelope}
    two, one = burn_path(both, **keywords), burn_path(alone, **keywords)
    assert two.forward_ok
    assert two.aft_ok
    assert one.forward_ok is False  # forward reads left in a lateral envelope
    assert one.forward_margin_m == pytest.approx(0.04 - 26.4 / 418.0, abs=1e-12)
    assert one.forward_mass_kg == 418.0  # worst with the tank empty


def test_hang_angles_are_judged_full_and_empty_and_both_are_needed():
    angles = hang_angles(full_deg=9.0, empty_deg=12.5, least_deg=8.0, most_deg=12.0)
    assert (angles.full_over_least_deg, angles.full_under_most_deg) == (1.0, 3.0)
    assert (angles.empty_over_least_deg, angles.empty_under_most_deg) == (4.5, -0.5)
    assert angles.inside is False
    assert hang_angles(full_deg=8.0, empty_deg=12.0, least_deg=8.0, most_deg=12.0).inside is True
    assert hang_angles(full_deg=7.9, empty_deg=12.0, least_deg=8.0, most_deg=12.0).inside is False
    assert hang_angles(full_deg=12.1, empty_deg=12.0, least_deg=8.0, most_deg=12.0).inside is False
    assert hang_angles(full_deg=12.0, empty_deg=7.9, least_deg=8.0, most_deg=12.0).inside is False
    with pytest.raises(TypeError, match="empty_deg"):
        hang_angles(full_deg=9.0, least_deg=8.0, most_deg=12.0)


def test_a_single_flight_never_imports_numpy():
    code = """
import sys
from gyrewright.aircraft import envelope, fuel, loading, loading_edges, performance, tables, weighing
limits, _ = envelope.from_polygon([(300., 2.), (500., 2.), (500., 2.2), (300., 2.3)])
load = weighing.empty_load([weighing.ScaleRow("all", 300., 0., 2.1)], fuel_aboard_kg=0., fuel_arm_m=2.1)
loading.burn_path(load, fuel_arm_m=2.1, take_off_fuel_kg=40., end_fuel_kg=0., envelope=limits)
loading.hang_angles(full_deg=9., empty_deg=10., least_deg=8., most_deg=12.)
common = dict(fuel_arm_m=2.1, envelope=limits, most_mass_kg=500.)
loading_edges.most_fuel(load, end_fuel_kg=0., tank_kg=60., **common)
loading_edges.fuel_for_burn(load, burn_kg=10., least_fuel_kg=0., tank_kg=60., **common)
loading_edges.mass_at_station(
    load, arm_m=1.3, take_off_fuel_kg=40., end_fuel_kg=0., least_kg=0., most_kg=100., **common)
axis = tables.Axis("mass", (400., 500.), "linear", "first")
table, _ = tables.build_table(axes=[axis], values=[100., 200.])
tables.lookup(table, 450.)
tables.explain(table, 450.)
tables.highest_coordinate(table, along="mass", target=150., sense="at most")
corrections = performance.Corrections(None, None, (("hard", 1.),), 5., False)
performance.corrected_distance(
    table_distance_m=300., corrections=corrections, headwind_m_s=3., surface="hard", adverse_slope_ratio=0.)
fuel.fuel_needed(burn_l_per_h=17., flight_h=1., reserve_min=30., unusable_l=2.)
fuel.fuel_readings(gauge_l=40., stick_l=41.)
assert "numpy" not in sys.modules
"""
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
