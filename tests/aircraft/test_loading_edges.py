"""The backward questions: every edge is an edge, and nothing that passes is kept back."""

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from gyrewright.aircraft.envelope import covers, from_sides
from gyrewright.aircraft.loading import Load, burn_path, total, with_mass
from gyrewright.aircraft.loading_edges import ballast, fuel_for_burn, mass_at_station, most_fuel

STEP_KG = 0.05  # below one step of what anybody loads (0.1 kg, 0.1 L)
SAME_KG = 1e-6  # two masses nearer than this are the same: a billionth of the aircraft
NEARLY_M = 1e-8  # a margin this small is a limit that is touched, and may count as met


@st.composite
def envelopes(draw):
    def side(low_m, high_m):
        inner = sorted(draw(st.sets(st.integers(320, 580), max_size=2)))
        return [(float(mass), draw(st.floats(low_m, high_m))) for mass in (310, *inner, 600)]

    envelope, problems = from_sides(forward=side(-0.30, -0.02), aft=side(0.0, 0.30))
    assert problems == ()
    return envelope


LOADS = st.builds(lambda mass_kg, arm_m: Load(mass_kg, mass_kg * arm_m), st.floats(300.0, 480.0), st.floats(-0.3, 0.3))


def worst(envelope, load, *, fuel_arm_m, low_kg, high_kg, most_mass_kg):
    """The least margin over a path, in m; a mass outside its limits counts as far outside."""
    if load.mass_kg + high_kg > most_mass_kg + 1e-6 or not covers(envelope, load.mass_kg + high_kg):
        return -1.0
    if not covers(envelope, load.mass_kg + low_kg):
        return -1.0
    path = burn_path(load, fuel_arm_m=fuel_arm_m, take_off_fuel_kg=high_kg, end_fuel_kg=low_kg, envelope=envelope)
    return min(path.forward_margin_m, path.aft_margin_m)


def longest_run(scan, passes):
    best, start = None, None
    for x, ok in zip(scan, passes, strict=True):
        start = (start if start is not None else x) if ok else None
        if start is not None and (best is None or x - start > best):
            best = x - start
    return best


@settings(max_examples=150)
@given(envelopes(), LOADS, st.floats(-0.5, 0.5), st.floats(450.0, 600.0), st.floats(0.0, 20.0), st.floats(20.0, 90.0))
def test_the_most_fuel_is_an_edge(envelope, load, fuel_arm_m, most_mass_kg, end_kg, tank_kg):
    answer = most_fuel(
        load,
        fuel_arm_m=fuel_arm_m,
        envelope=envelope,
        most_mass_kg=most_mass_kg,
        end_fuel_kg=end_kg,
        tank_kg=tank_kg,
    )

    def over_path(fuel_kg):
        return worst(envelope, load, fuel_arm_m=fuel_arm_m, low_kg=end_kg, high_kg=fuel_kg, most_mass_kg=most_mass_kg)

    if answer.exists:
        assert end_kg <= answer.fuel_kg <= tank_kg + SAME_KG
        assert over_path(answer.fuel_kg) >= -NEARLY_M
        assert answer.fuel_kg == min(answer.by_tank_kg, answer.by_mass_kg, answer.by_forward_kg, answer.by_aft_kg)
        if answer.fuel_kg + STEP_KG < tank_kg:
            assert over_path(answer.fuel_kg + STEP_KG) < NEARLY_M
    else:
        assert over_path(end_kg) < NEARLY_M


@settings(max_examples=150)
@given(
    envelopes(),
    LOADS,
    st.floats(-1.5, 1.5),
    st.floats(-0.5, 0.5),
    st.floats(450.0, 600.0),
    st.floats(0.0, 60.0),
    st.floats(0.0, 60.0),
    st.floats(0.0, 20.0),
    st.floats(10.0, 120.0),
)
def test_the_least_and_most_mass_at_a_station_are_edges(
    envelope, load, arm_m, fuel_arm_m, most_mass_kg, fuel_kg, end_kg, least_kg, most_kg
):
    answer = mass_at_station(
        load,
        arm_m=arm_m,
        fuel_arm_m=fuel_arm_m,
        take_off_fuel_kg=fuel_kg,
        end_fuel_kg=end_kg,
        envelope=envelope,
        most_mass_kg=most_mass_kg,
        least_kg=least_kg,
        most_kg=most_kg,
    )

    def with_added(added_kg):
        return worst(
            envelope,
            with_mass(load, mass_kg=added_kg, arm_m=arm_m),
            fuel_arm_m=fuel_arm_m,
            low_kg=min(fuel_kg, end_kg),
            high_kg=fuel_kg,
            most_mass_kg=most_mass_kg,
        )

    scan = np.linspace(least_kg, max(most_kg, least_kg), 40).tolist()
    margins = [with_added(added_kg) for added_kg in scan]
    if answer.exists:
        assert least_kg - SAME_KG <= answer.low_kg <= answer.high_kg <= most_kg + SAME_KG
        for share in (0.0, 0.3, 0.7, 1.0):
            assert with_added(answer.low_kg + share * (answer.high_kg - answer.low_kg)) >= -NEARLY_M
        if answer.low_kg - STEP_KG > least_kg:
            assert with_added(answer.low_kg - STEP_KG) < NEARLY_M
        if answer.high_kg + STEP_KG < most_kg:
            assert with_added(answer.high_kg + STEP_KG) < NEARLY_M
        run = longest_run(scan, [margin > NEARLY_M for margin in margins])
        # A scan cannot see a dip between two of its points, so it may join what the answer keeps apart.
        assert run is None or answer.high_kg - answer.low_kg >= min(run, scan[1] - scan[0]) - 1e-9
    elif most_kg > least_kg:
        assert all(margin < NEARLY_M for margin in margins)


@settings(max_examples=100)
@given(envelopes(), LOADS, st.floats(-0.5, 0.5), st.floats(450.0, 600.0), st.floats(0.0, 30.0), st.floats(10.0, 90.0))
def test_fuel_for_a_burn_is_an_edge_on_both_sides(envelope, load, fuel_arm_m, most_mass_kg, burn_kg, tank_kg):
    answer = fuel_for_burn(
        load,
        fuel_arm_m=fuel_arm_m,
        envelope=envelope,
        most_mass_kg=most_mass_kg,
        burn_kg=burn_kg,
        least_fuel_kg=0.0,
        tank_kg=tank_kg,
    )

    def over_flight(fuel_kg):
        return worst(
            envelope,
            load,
            fuel_arm_m=fuel_arm_m,
            low_kg=fuel_kg - burn_kg,
            high_kg=fuel_kg,
            most_mass_kg=most_mass_kg,
        )

    if answer.exists:
        assert burn_kg - SAME_KG <= answer.low_kg <= answer.high_kg <= tank_kg + SAME_KG
        for fuel_kg in (answer.low_kg, (answer.low_kg + answer.high_kg) / 2, answer.high_kg):
            assert over_flight(fuel_kg) >= -NEARLY_M
        if answer.low_kg - STEP_KG > burn_kg:
            assert over_flight(answer.low_kg - STEP_KG) < NEARLY_M
        if answer.high_kg + STEP_KG < tank_kg:
            assert over_flight(answer.high_kg + STEP_KG) < NEARLY_M
    elif tank_kg > burn_kg:
        assert all(over_flight(float(fuel_kg)) < NEARLY_M for fuel_kg in np.linspace(burn_kg, tank_kg, 40))


@settings(max_examples=30)
@given(envelopes(), st.floats(-0.5, 0.5), st.floats(-1.5, 1.5))
def test_many_questions_get_the_answers_of_one(envelope, fuel_arm_m, arm_m):
    front = np.array([[55.0], [80.0], [119.0], [170.0]])
    fuel = np.array([0.0, 20.0, 44.64])
    moment = 320.0 * 0.1 - 0.5 * front
    common = {"envelope": envelope, "fuel_arm_m": fuel_arm_m, "most_mass_kg": 500.0}
    station = {"arm_m": arm_m, "end_fuel_kg": 0.0, "least_kg": 0.0, "most_kg": 60.0}
    fuels = most_fuel(Load(320.0 + front, moment), end_fuel_kg=0.0, tank_kg=60.0, **common)
    masses = mass_at_station(Load(320.0 + front, moment), take_off_fuel_kg=fuel, **station, **common)
    for row in range(4):
        load = Load(320.0 + float(front[row, 0]), float(moment[row, 0]))
        one = most_fuel(load, end_fuel_kg=0.0, tank_kg=60.0, **common)
        assert bool(fuels.exists[row, 0]) is one.exists
        for name in ("fuel_kg", "by_mass_kg", "by_forward_kg", "by_aft_kg"):
            if one.exists:
                assert getattr(fuels, name)[row, 0] == pytest.approx(getattr(one, name), abs=1e-9), name
        for column, fuel_kg in enumerate(fuel):
            single = mass_at_station(load, take_off_fuel_kg=float(fuel_kg), **station, **common)
            assert bool(masses.exists[row, column]) is single.exists
            if single.exists:
                assert masses.low_kg[row, column] == pytest.approx(single.low_kg, abs=1e-9)
                assert masses.high_kg[row, column] == pytest.approx(single.high_kg, abs=1e-9)


def dipping(fuel_arm_m, first_kg, second_kg, curve_m_per_kg, sign):
    """An envelope and a line of loads whose margin is negative only between two masses.

    The moment gap to the limit is curve x (m - first) x (m - second).
    """
    intercept_m = fuel_arm_m + sign * curve_m_per_kg * (first_kg + second_kg)
    slope = -sign * curve_m_per_kg

    def line(masses):
        return [(mass, intercept_m + slope * mass) for mass in masses]

    far = [(100.0, -sign * 9.0 + fuel_arm_m), (900.0, -sign * 9.0 + fuel_arm_m)]
    limit = line((100.0, 900.0))
    far = [(mass, fuel_arm_m + sign * 9.0) for mass, _ in far]
    envelope, problems = from_sides(forward=limit, aft=far) if sign > 0 else from_sides(forward=far, aft=limit)
    assert problems == ()
    lever = sign * curve_m_per_kg * first_kg * second_kg
    return envelope, lambda mass_kg: Load(mass_kg, fuel_arm_m * mass_kg + lever)


@pytest.mark.parametrize("sign", [1, -1], ids=["forward", "aft"])
def test_a_dip_between_two_fuel_states_is_found_however_narrow(sign):
    envelope, load_at = dipping(0.2, 430.0, 434.0, 1e-4, sign)
    answer = most_fuel(
        load_at(130.0), fuel_arm_m=0.2, envelope=envelope, most_mass_kg=900.0, end_fuel_kg=0.0, tank_kg=500.0
    )
    assert answer.exists
    assert answer.fuel_kg == pytest.approx(300.0, abs=1e-6)
    upper = most_fuel(
        load_at(130.0), fuel_arm_m=0.2, envelope=envelope, most_mass_kg=900.0, end_fuel_kg=304.0, tank_kg=500.0
    )
    assert upper.exists
    assert upper.fuel_kg == 500.0


@pytest.mark.parametrize("sign", [1, -1], ids=["forward", "aft"])
def test_a_burn_fits_beside_a_dip_and_the_longer_side_is_offered(sign):
    envelope, load_at = dipping(0.2, 430.0, 434.0, 1e-4, sign)
    keywords = {"fuel_arm_m": 0.2, "envelope": envelope, "most_mass_kg": 900.0, "least_fuel_kg": 0.0}
    below = fuel_for_burn(load_at(130.0), burn_kg=10.0, tank_kg=400.0, **keywords)
    assert (below.low_kg, below.high_kg) == pytest.approx((10.0, 300.0), abs=1e-6)
    above = fuel_for_burn(load_at(130.0), burn_kg=10.0, tank_kg=700.0, **keywords)
    assert (above.low_kg, above.high_kg) == pytest.approx((314.0, 700.0), abs=1e-6)


@pytest.mark.parametrize("sign", [1, -1], ids=["forward", "aft"])
def test_a_narrow_window_of_mass_is_found_at_full_width(sign):
    # With the fuel arm as the station's arm the added mass runs along the same line: it passes outside the dip only.
    envelope, load_at = dipping(0.2, 330.0, 429.5, 1e-4, sign)
    window = mass_at_station(
        load_at(130.0),
        arm_m=0.2,
        fuel_arm_m=0.2,
        take_off_fuel_kg=0.0,
        end_fuel_kg=0.0,
        envelope=envelope,
        most_mass_kg=430.0,
        least_kg=201.0,
        most_kg=500.0,
    )
    assert window.exists
    assert (window.low_kg, window.high_kg) == pytest.approx((299.5, 300.0), abs=1e-6)


@pytest.mark.parametrize("sign", [1, -1], ids=["forward", "aft"])
def test_the_least_mass_may_be_set_by_the_middle_of_the_burn(sign):
    # Gap = 1e-4 m^2 - 0.086 m + 10 + 2 x for x at an arm 2 m beyond the fuel: zero at m = 430 when x = 4.245.
    curve = 1e-4
    limit = [(mass, sign * (0.086 - curve * mass)) for mass in (300.0, 600.0)]
    far = [(mass, sign * 9.0) for mass in (300.0, 600.0)]
    envelope, problems = from_sides(forward=limit, aft=far) if sign > 0 else from_sides(forward=far, aft=limit)
    assert problems == ()
    answer = mass_at_station(
        Load(380.0, sign * 10.0),
        arm_m=sign * 2.0,
        fuel_arm_m=0.0,
        take_off_fuel_kg=100.0,
        end_fuel_kg=0.0,
        envelope=envelope,
        most_mass_kg=600.0,
        least_kg=0.0,
        most_kg=50.0,
    )
    assert answer.exists
    assert answer.low_kg == pytest.approx(4.245, abs=1e-9)
    assert answer.high_kg == 50.0


def test_without_arms_only_the_mass_is_looked_at():
    keywords = {"fuel_arm_m": 0.0, "envelope": None, "most_mass_kg": 500.0}
    load = total([(288.0, 0.0), (88.0, 0.0), (75.0, 0.0)])
    fuel = most_fuel(load, end_fuel_kg=0.0, tank_kg=60.0, **keywords)
    assert (fuel.fuel_kg, fuel.exists) == (49.0, True)
    heavy = most_fuel(total([(510.0, 0.0)]), end_fuel_kg=0.0, tank_kg=60.0, **keywords)
    assert heavy.exists is False
    station = mass_at_station(
        load, arm_m=0.0, take_off_fuel_kg=40.0, end_fuel_kg=0.0, least_kg=2.0, most_kg=20.0, **keywords
    )
    assert (station.low_kg, station.high_kg, station.exists) == (2.0, 9.0, True)


def test_an_aircraft_exactly_at_its_mass_takes_no_fuel_and_passes_with_none():
    envelope, _ = from_sides(forward=[(300.0, 2.0), (500.0, 2.0)], aft=[(300.0, 2.2), (500.0, 2.2)])
    answer = most_fuel(
        Load(500.0, 500.0 * 2.1), fuel_arm_m=2.1, envelope=envelope, most_mass_kg=500.0, end_fuel_kg=0.0, tank_kg=40.0
    )
    assert (answer.fuel_kg, answer.exists) == (0.0, True)


def test_an_aircraft_below_the_envelope_has_no_answer():
    envelope, _ = from_sides(forward=[(300.0, 2.0), (500.0, 2.0)], aft=[(300.0, 2.2), (500.0, 2.2)])
    answer = most_fuel(
        Load(295.0, 295.0 * 2.1), fuel_arm_m=2.1, envelope=envelope, most_mass_kg=500.0, end_fuel_kg=0.0, tank_kg=40.0
    )
    assert answer.exists is False
    added = mass_at_station(
        Load(295.0, 295.0 * 2.1),
        arm_m=2.1,
        fuel_arm_m=2.1,
        take_off_fuel_kg=10.0,
        end_fuel_kg=0.0,
        envelope=envelope,
        most_mass_kg=500.0,
        least_kg=0.0,
        most_kg=50.0,
    )
    assert (added.low_kg, added.exists) == (pytest.approx(5.0), True)


@given(st.floats(40.0, 90.0), st.floats(0.0, 44.0))
def test_ballast_keeps_the_station_and_the_mount(front_kg, fuel_kg):
    envelope, _ = from_sides(forward=[(0.0, -0.21), (500.0, -0.21)], aft=[(0.0, -0.05), (500.0, -0.05)])
    load = total([(288.0, 0.12), (front_kg, -0.95)])
    answer = ballast(
        load,
        mount_arm_m=-1.1,
        mount_most_kg=20.0,
        station_now_kg=front_kg,
        station_least_kg=60.0,
        station_most_kg=95.0,
        fuel_arm_m=0.08,
        take_off_fuel_kg=fuel_kg,
        end_fuel_kg=0.0,
        envelope=envelope,
        most_mass_kg=500.0,
    )
    assume(answer.exists)
    assert front_kg + answer.low_kg >= 60.0 - 1e-9
    assert answer.low_kg >= 0.0
    assert answer.high_kg <= 20.0
    assert front_kg + answer.high_kg <= 95.0 + 1e-9


def test_a_pilot_heavy_enough_needs_none():
    answer = ballast(
        total([(288.0, 0.0), (75.0, -0.95)]),
        mount_arm_m=-1.1,
        mount_most_kg=20.0,
        station_now_kg=75.0,
        station_least_kg=60.0,
        station_most_kg=80.0,
        fuel_arm_m=0.08,
        take_off_fuel_kg=20.0,
        end_fuel_kg=0.0,
        envelope=None,
        most_mass_kg=500.0,
    )
    assert (answer.low_kg, answer.high_kg, answer.exists) == (0.0, 5.0, True)


def test_a_light_pilot_beyond_the_mount_gets_no_ballast():
    envelope, _ = from_sides(forward=[(0.0, -0.21), (500.0, -0.21)], aft=[(0.0, -0.05), (500.0, -0.05)])
    answer = ballast(
        total([(288.0, 0.12), (35.0, -0.95)]),
        mount_arm_m=-1.1,
        mount_most_kg=20.0,
        station_now_kg=35.0,
        station_least_kg=60.0,
        station_most_kg=125.0,
        fuel_arm_m=0.08,
        take_off_fuel_kg=20.0,
        end_fuel_kg=0.0,
        envelope=envelope,
        most_mass_kg=500.0,
    )
    assert answer.exists is False
