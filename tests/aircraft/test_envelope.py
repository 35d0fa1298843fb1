"""The envelope: limits over mass, and what is said about a wrong one."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from gyrewright.aircraft.envelope import covers, from_polygon, from_sides, lateral_envelope, limits_at, segments

FORWARD = [(380.0, 2.128), (480.0, 2.128), (560.0, 2.145)]
AFT = [(380.0, 2.262), (460.0, 2.262), (480.0, 2.255), (560.0, 2.235)]
RING = [*FORWARD, *reversed(AFT)]


def good(made):
    envelope, problems = made
    assert problems == ()
    return envelope


def test_each_side_keeps_its_own_corners():
    envelope = good(from_sides(forward=FORWARD, aft=AFT))
    assert envelope.forward.masses_kg == (380.0, 480.0, 560.0)
    assert envelope.aft.masses_kg == (380.0, 460.0, 480.0, 560.0)
    assert (envelope.lowest_mass_kg, envelope.highest_mass_kg) == (380.0, 560.0)


def test_limits_run_straight_between_corners():
    envelope = good(from_sides(forward=FORWARD, aft=AFT))
    forward_m, aft_m = limits_at(envelope, 520.0)
    assert forward_m == pytest.approx(2.1365, abs=1e-12)
    assert aft_m == pytest.approx(2.245, abs=1e-12)
    assert type(forward_m) is float


def test_outside_its_masses_the_nearest_row_is_shown_and_said_to_be_no_answer():
    envelope = good(from_sides(forward=FORWARD, aft=AFT))
    assert limits_at(envelope, 600.0) == (2.145, 2.235)
    assert covers(envelope, 600.0) is False
    assert covers(envelope, 379.9) is False
    assert covers(envelope, 380.0) is True
    assert covers(envelope, 560.0) is True


def test_many_masses_get_the_answers_of_one():
    envelope = good(from_sides(forward=FORWARD, aft=AFT))
    masses = np.array([[300.0, 380.0], [470.0, 560.0], [560.0000000001, 561.0]])
    forward_m, aft_m = limits_at(envelope, masses)
    inside = covers(envelope, masses)
    for place in np.ndindex(masses.shape):
        one = limits_at(envelope, float(masses[place]))
        assert (forward_m[place], aft_m[place]) == pytest.approx(one, abs=1e-12)
        assert inside[place] == covers(envelope, float(masses[place]))


def test_segments_give_back_their_corners():
    envelope = good(from_sides(forward=FORWARD, aft=AFT))
    for side in (envelope.forward, envelope.aft):
        for piece, arm_m in zip(segments(side), side.arms_m[1:], strict=True):
            assert piece.intercept_m + piece.slope_m_per_kg * piece.high_kg == pytest.approx(arm_m, abs=1e-12)


@given(start=st.integers(0, len(RING) - 1), backwards=st.booleans(), closed=st.booleans())
def test_a_polygon_may_start_anywhere_and_go_round_either_way(start, backwards, closed):
    ring = [*RING[start:], *RING[:start]]
    if backwards:
        ring.reverse()
    if closed:
        ring.append(ring[0])
    assert good(from_polygon(ring)) == good(from_sides(forward=FORWARD, aft=AFT))


def test_a_polygon_may_end_in_a_point():
    envelope = good(from_polygon([(300.0, 2.1), (500.0, 2.0), (500.0, 2.2)]))
    assert limits_at(envelope, 300.0) == (2.1, 2.1)
    assert limits_at(envelope, 400.0) == pytest.approx((2.05, 2.15), abs=1e-12)


@pytest.mark.parametrize(
    ("ring", "said"),
    [
        ([(340.0, 2.0), (500.0, 2.2), (500.0, 2.0), (340.0, 2.2)], "crosses itself"),
        ([(340.0, 2.0), (340.0, 2.2), (340.0, 2.1), (500.0, 2.1)], "crosses itself"),
        ([(340.0, 2.0), (500.0, 2.0)], "has 2 corners; give three or more"),
        ([(340.0, 2.0), (400.0, 2.0), (500.0, 2.0)], "encloses nothing"),
        ([(340.0, 2.0), (340.0, 2.0), (500.0, 2.0), (500.0, 2.2)], "same point"),
        (
            [(340.0, 2.0), (420.0, 2.0), (420.0, 2.05), (500.0, 2.05), (500.0, 2.2), (340.0, 2.2)],
            "does not rise in mass",
        ),
        ([(340.0, 2.0), (500.0, 2.0), (420.0, 2.1), (500.0, 2.2), (340.0, 2.2)], "two separate places"),
        ([(340.0, 2.0), (420.0, 2.1), (340.0, 2.2), (500.0, 2.2), (500.0, 2.0)], "does not rise in mass"),
        ([(340.0, 2.0), (float("nan"), 2.0), (500.0, 2.2)], "point 2: nan kg"),
        ([(-340.0, 2.0), (500.0, 2.0), (500.0, 2.2)], "point 1: -340.0 kg"),
    ],
    ids=["bow tie", "folded foot", "two corners", "flat", "double", "step", "two tops", "two feet", "nan", "negative"],
)
def test_a_bad_polygon_is_told_what_is_wrong_with_it(ring, said):
    envelope, problems = from_polygon(ring)
    assert envelope is None
    assert any(said in problem for problem in problems), problems
    assert not any("\n" in problem for problem in problems)


@pytest.mark.parametrize(
    ("forward", "aft", "said"),
    [
        ([(340.0, 2.2), (500.0, 2.2)], [(340.0, 2.0), (500.0, 2.0)], "at 340 kg the forward limit 2.2 m lies behind"),
        (
            [(340.0, 2.0), (420.0, 2.3), (500.0, 2.0)],
            [(340.0, 2.2), (500.0, 2.2)],
            "at 420 kg the forward limit 2.3 m lies behind the aft limit 2.2 m",
        ),
        ([(340.0, 2.0), (500.0, 2.0)], [(350.0, 2.2), (500.0, 2.2)], "the aft limit at 350 kg"),
        ([(340.0, 2.0), (500.0, 2.0)], [(340.0, 2.2), (510.0, 2.2)], "the forward limit ends at 500 kg"),
        ([(340.0, 2.0)], [(340.0, 2.2), (500.0, 2.2)], "the forward limit has 1 points"),
        ([(340.0, 2.0), (340.0, 2.1), (500.0, 2.1)], [(340.0, 2.2), (500.0, 2.2)], "masses must rise"),
        ([(340.0, 2.0), (500.0, float("inf"))], [(340.0, 2.2), (500.0, 2.2)], "the forward limit, point 2"),
    ],
    ids=["exchanged", "behind inside", "other foot", "other top", "one point", "step", "infinite"],
)
def test_bad_sides_are_told_what_is_wrong_with_them(forward, aft, said):
    envelope, problems = from_sides(forward=forward, aft=aft)
    assert envelope is None
    assert any(said in problem for problem in problems), problems


def test_all_problems_come_at_once():
    _, problems = from_sides(forward=[(340.0, 2.0)], aft=[(340.0, 2.2), (330.0, 2.2)])
    assert len(problems) == 2


def test_left_and_right_are_named_when_they_are_exchanged():
    _, problems = lateral_envelope(left=[(0.0, 0.05), (500.0, 0.05)], right=[(0.0, -0.05), (500.0, -0.05)])
    assert "the left limit 0.05 m lies to the right of the right limit -0.05 m" in problems[0]
    envelope = good(lateral_envelope(left=[(0.0, -0.05), (500.0, -0.05)], right=[(0.0, 0.05), (500.0, 0.05)]))
    assert limits_at(envelope, 400.0) == (-0.05, 0.05)


@given(
    st.lists(st.tuples(st.floats(0.0, 600.0), st.floats(-1.0, 3.0)), min_size=0, max_size=8),
    st.floats(0.0, 700.0),
)
def test_any_polygon_gets_a_sound_envelope_or_a_reason(ring, mass_kg):
    envelope, problems = from_polygon(ring)
    assert (envelope is None) == bool(problems)
    if envelope is not None:
        forward_m, aft_m = limits_at(envelope, mass_kg)
        assert forward_m <= aft_m
