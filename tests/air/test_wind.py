import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from gyrewright.air import wind
from gyrewright.arrays import at_most
from gyrewright.errors import OutOfRange

KT = 1852.0 / 3600.0

directions = st.floats(0.0, 360.0)
speeds = st.floats(0.0, 40.0)

# The demonstration day: invented winds in degrees true, variation 14 east, runways in degrees magnetic.
DAY = [  # true, runway, mean, gust, head, cross, cross in the gust, cross if true was used by mistake
    (180.0, 72.0, 3.0, 3.0, -0.2, 3.0, 3.0, 2.9),
    (180.0, 252.0, 3.0, 3.0, 0.2, 3.0, 3.0, 2.9),
    (180.0, 163.0, 3.0, 3.0, 3.0, 0.2, 0.2, 0.9),
    (180.0, 343.0, 3.0, 3.0, -3.0, 0.2, 0.2, 0.9),
    (200.0, 252.0, 14.0, 22.0, 5.7, 12.8, 20.1, 11.0),
    (200.0, 163.0, 14.0, 22.0, 12.9, 5.5, 8.6, 8.4),
    (210.0, 72.0, 6.0, 6.0, -3.4, 5.0, 5.0, 4.0),
    (210.0, 252.0, 6.0, 6.0, 3.4, 5.0, 5.0, 4.0),
    (210.0, 163.0, 6.0, 6.0, 5.0, 3.3, 3.3, 4.4),
]


@pytest.mark.parametrize("row", DAY)
def test_the_demonstration_day_comes_out_to_the_printed_tenth(row):
    true_deg, runway_deg, mean_kt, gust_kt, head_kt, cross_kt, cross_gust_kt, cross_mistaken_kt = row
    magnetic_deg = wind.true_to_magnetic_deg(true_deg=true_deg, variation_deg=14.0)
    ours = wind.components_with_gust(
        wind_from_deg=magnetic_deg, wind_m_s=mean_kt * KT, gust_m_s=gust_kt * KT, runway_deg=runway_deg
    )
    assert ours.mean.head_m_s / KT == pytest.approx(head_kt, abs=0.05)
    assert ours.mean.cross_m_s / KT == pytest.approx(cross_kt, abs=0.05)
    assert ours.gust.cross_m_s / KT == pytest.approx(cross_gust_kt, abs=0.05)
    mistaken = wind.components(wind_from_deg=true_deg, wind_m_s=mean_kt * KT, runway_deg=runway_deg)
    assert mistaken.cross_m_s / KT == pytest.approx(cross_mistaken_kt, abs=0.05)


@given(directions, speeds, directions)
def test_the_squares_of_the_components_sum_to_the_square_of_the_speed(wind_from_deg, wind_m_s, runway_deg):
    head_m_s, cross_m_s = wind.components(wind_from_deg=wind_from_deg, wind_m_s=wind_m_s, runway_deg=runway_deg)
    assert head_m_s**2 + cross_m_s**2 == pytest.approx(wind_m_s**2, rel=1e-12, abs=1e-12)
    assert cross_m_s >= 0.0


@given(directions, speeds, directions)
def test_the_other_end_of_the_runway_turns_head_and_side_about(wind_from_deg, wind_m_s, runway_deg):
    other_deg = (runway_deg + 180.0) % 360.0
    here = {"wind_from_deg": wind_from_deg, "wind_m_s": wind_m_s, "runway_deg": runway_deg}
    there = {**here, "runway_deg": other_deg}
    assert wind.components(**there).head_m_s == pytest.approx(-wind.components(**here).head_m_s, abs=1e-9)
    assert wind.crosswind_from_right_m_s(**there) == pytest.approx(-wind.crosswind_from_right_m_s(**here), abs=1e-9)


@given(st.integers(1, 360), st.integers(0, 3), st.floats(0.1, 40.0))
def test_along_and_straight_across_the_other_component_is_exactly_zero(runway_deg, quarters, wind_m_s):
    from_deg = float((runway_deg + 90 * quarters) % 360)
    head_m_s, cross_m_s = wind.components(wind_from_deg=from_deg, wind_m_s=wind_m_s, runway_deg=float(runway_deg))
    expected = [(wind_m_s, 0.0), (0.0, wind_m_s), (-wind_m_s, 0.0), (0.0, wind_m_s)][quarters]
    assert (head_m_s, cross_m_s) == expected
    assert math.copysign(1.0, cross_m_s) == 1.0
    assert head_m_s != 0.0 or math.copysign(1.0, head_m_s) == 1.0


def test_a_limit_of_zero_tail_wind_passes_straight_across():
    head_m_s, _ = wind.components(wind_from_deg=342.0, wind_m_s=9.0, runway_deg=72.0)
    assert at_most(-head_m_s, 0.0)


def test_a_crosswind_equal_to_its_limit_passes():
    _, cross_m_s = wind.components(wind_from_deg=140.0, wind_m_s=25.0 * KT, runway_deg=170.0)
    assert at_most(cross_m_s, 12.5 * KT)


@pytest.mark.parametrize("reported_deg", [0.0, 360.0, 250.0])
def test_calm_has_no_components_whatever_its_direction(reported_deg):
    assert wind.components(wind_from_deg=reported_deg, wind_m_s=0.0, runway_deg=72.0) == (0.0, 0.0)


def test_a_variable_wind_counts_whole_against_each_limit():
    assert wind.components_any_direction(wind_m_s=4.0) == (-4.0, 4.0)


@pytest.mark.parametrize(
    ("sector", "runway_deg", "head_m_s", "cross_m_s"),
    [
        ((150.0, 240.0), 252.0, 10.0 * math.cos(math.radians(102.0)), 10.0),  # straight across lies inside
        ((150.0, 240.0), 163.0, 10.0 * math.cos(math.radians(77.0)), 10.0 * math.sin(math.radians(77.0))),
        ((150.0, 240.0), 360.0, -10.0, 10.0 * math.sin(math.radians(60.0))),  # straight behind lies inside
        ((150.0, 181.0), 360.0, -10.0, 5.0),  # just inside
        ((340.0, 20.0), 360.0, 10.0 * math.cos(math.radians(20.0)), 10.0 * math.sin(math.radians(20.0))),
        ((0.0, 359.0), 72.0, -10.0, 10.0),  # all round but one degree
        ((90.0, 90.0), 90.0, -10.0, 10.0),  # ends alike: the whole circle
        ((240.0, 150.0), 252.0, -10.0, 10.0),  # clockwise the long way round
    ],
)
def test_a_wind_that_swings_through_a_sector_counts_at_its_worst(sector, runway_deg, head_m_s, cross_m_s):
    ours = wind.components_in_sector(
        sector_from_deg=sector[0], sector_to_deg=sector[1], wind_m_s=10.0, runway_deg=runway_deg
    )
    assert ours == pytest.approx((head_m_s, cross_m_s))


@given(directions, directions, speeds, directions, st.floats(0.0, 1.0))
def test_no_direction_in_the_sector_is_worse_than_its_worst(from_deg, to_deg, wind_m_s, runway_deg, share):
    worst = wind.components_in_sector(
        sector_from_deg=from_deg, sector_to_deg=to_deg, wind_m_s=wind_m_s, runway_deg=runway_deg
    )
    width_deg = (to_deg - from_deg) % 360.0 or 360.0
    some = wind.components(
        wind_from_deg=(from_deg + share * width_deg) % 360.0, wind_m_s=wind_m_s, runway_deg=runway_deg
    )
    anything = wind.components_any_direction(wind_m_s=wind_m_s)
    assert anything.head_m_s - 1e-9 <= worst.head_m_s <= some.head_m_s + 1e-9
    assert some.cross_m_s - 1e-9 <= worst.cross_m_s <= anything.cross_m_s + 1e-9


def test_ahead_only_the_mean_wind_counts_and_from_behind_the_gust():
    ahead = wind.components_with_gust(wind_from_deg=90.0, wind_m_s=5.0, gust_m_s=9.0, runway_deg=90.0)
    behind = wind.components_with_gust(wind_from_deg=270.0, wind_m_s=5.0, gust_m_s=9.0, runway_deg=90.0)
    assert (ahead.least_head_m_s, behind.least_head_m_s) == (5.0, -9.0)
    assert (ahead.gust.head_m_s, behind.mean.head_m_s) == (9.0, -5.0)


@given(st.floats(0.1, 30.0), st.floats(0.0, 360.0))
def test_the_strongest_wind_is_the_one_whose_cross_component_is_the_limit(limit_m_s, angle_deg):
    strongest_m_s = wind.strongest_wind_m_s(crosswind_limit_m_s=limit_m_s, angle_deg=angle_deg)
    if math.isfinite(strongest_m_s):
        _, cross_m_s = wind.components(wind_from_deg=angle_deg, wind_m_s=strongest_m_s, runway_deg=0.0)
        assert cross_m_s == pytest.approx(limit_m_s)
    else:
        assert angle_deg % 180.0 == pytest.approx(0.0, abs=1e-300)


def test_straight_along_the_runway_no_wind_is_too_strong_for_a_crosswind_limit():
    assert wind.strongest_wind_m_s(crosswind_limit_m_s=5.0, angle_deg=180.0) == math.inf
    many = wind.strongest_wind_m_s(crosswind_limit_m_s=5.0, angle_deg=np.array([0.0, 30.0, -90.0]))
    assert many == pytest.approx([math.inf, 10.0, 5.0])


@given(directions, st.floats(-40.0, 40.0))
def test_variation_there_and_back_again(direction_deg, variation_deg):
    magnetic_deg = wind.true_to_magnetic_deg(true_deg=direction_deg, variation_deg=variation_deg)
    assert 0.0 < magnetic_deg <= 360.0
    back_deg = wind.magnetic_to_true_deg(magnetic_deg=magnetic_deg, variation_deg=variation_deg)
    assert math.remainder(back_deg - direction_deg, 360.0) == pytest.approx(0.0, abs=1e-9)


def test_north_is_written_360():
    assert wind.true_to_magnetic_deg(true_deg=14.0, variation_deg=14.0) == 360.0


@given(directions, st.floats(15.0, 40.0), directions, st.floats(0.0, 12.0))
def test_the_wind_triangle_closes(course_deg, airspeed_m_s, wind_from_deg, wind_m_s):
    ours = wind.wind_triangle(
        course_deg=course_deg, true_airspeed_m_s=airspeed_m_s, wind_from_deg=wind_from_deg, wind_m_s=wind_m_s
    )
    assert ours.can_hold
    heading, course, blown = (math.radians(a) for a in (ours.heading_deg, course_deg, wind_from_deg + 180.0))
    for part in (math.sin, math.cos):
        made = airspeed_m_s * part(heading) + wind_m_s * part(blown)
        assert made == pytest.approx(ours.ground_speed_m_s * part(course), abs=1e-9)


@pytest.mark.parametrize(("wind_from_deg", "wind_m_s"), [(90.0, 31.0), (270.0, 31.0), (360.0, 30.0), (360.0, 45.0)])
def test_a_course_that_cannot_be_held_is_an_answer(wind_from_deg, wind_m_s):
    ours = wind.wind_triangle(course_deg=360.0, true_airspeed_m_s=30.0, wind_from_deg=wind_from_deg, wind_m_s=wind_m_s)
    assert (ours.can_hold, ours.ground_speed_m_s) == (False, 0.0)


CARD = [(30.0 * n, float(n % 4) - 1.0) for n in range(12)]


@pytest.mark.parametrize(
    ("heading_deg", "deviation_deg"), [(0.0, -1.0), (360.0, -1.0), (15.0, -0.5), (345.0, 0.5), (330.0, 2.0)]
)
def test_the_deviation_card_is_read_all_round(heading_deg, deviation_deg):
    assert wind.deviation_deg(card=CARD, heading_deg=heading_deg) == pytest.approx(deviation_deg)
    assert wind.deviation_deg(card=CARD[::-1], heading_deg=heading_deg) == pytest.approx(deviation_deg)


def test_a_gap_of_45_degrees_in_the_card_is_bridged_and_no_wider_one():
    assert wind.deviation_deg(card=[(0.0, 0.0), (45.0, 9.0)], heading_deg=15.0) == pytest.approx(3.0)
    with pytest.raises(OutOfRange, match=r"between card entries 45.2 degrees apart; at most 45 .* add the missing"):
        wind.deviation_deg(card=[(0.0, 0.0), (45.2, 9.0)], heading_deg=15.0)
    with pytest.raises(OutOfRange, match="between card entries 360 degrees apart"):
        wind.deviation_deg(card=[(0.0, 0.0)], heading_deg=15.0)
    with pytest.raises(OutOfRange, match="the deviation card has no entry"):
        wind.deviation_deg(card=[], heading_deg=15.0)


@pytest.mark.parametrize(
    ("change", "text"),
    [
        ({"wind_m_s": -1.0}, "wind_m_s=-1 is no speed"),
        ({"wind_m_s": math.nan}, "wind_m_s=nan is no speed"),
        ({"wind_m_s": math.inf}, "wind_m_s=inf is no speed"),
        ({"wind_from_deg": 361.0}, "wind_from_deg=361 is no direction; give degrees from 0 to 360"),
        ({"runway_deg": -1.0}, "runway_deg=-1 is no direction"),
        ({"runway_deg": math.nan}, "runway_deg=nan is no direction"),
    ],
)
def test_what_is_no_wind_or_runway_is_refused(change, text):
    with pytest.raises(OutOfRange, match=text):
        wind.components(**{"wind_from_deg": 90.0, "wind_m_s": 5.0, "runway_deg": 72.0, **change})


def test_a_gust_below_the_mean_wind_is_refused():
    with pytest.raises(OutOfRange, match="gust_m_s=4 is below wind_m_s=5; were they swapped"):
        wind.components_with_gust(wind_from_deg=90.0, wind_m_s=5.0, gust_m_s=4.0, runway_deg=72.0)


def test_other_questions_refuse_what_is_no_number_too():
    with pytest.raises(OutOfRange, match="wind_m_s=-1"):
        wind.components_any_direction(wind_m_s=-1.0)
    with pytest.raises(OutOfRange, match="sector_to_deg=400"):
        wind.components_in_sector(sector_from_deg=0.0, sector_to_deg=400.0, wind_m_s=1.0, runway_deg=72.0)
    with pytest.raises(OutOfRange, match="crosswind_limit_m_s=-1"):
        wind.strongest_wind_m_s(crosswind_limit_m_s=-1.0, angle_deg=30.0)
    with pytest.raises(OutOfRange, match="true_airspeed_m_s=0 holds no course"):
        wind.wind_triangle(course_deg=90.0, true_airspeed_m_s=0.0, wind_from_deg=90.0, wind_m_s=1.0)
    with pytest.raises(OutOfRange, match="heading_deg=400"):
        wind.deviation_deg(card=CARD, heading_deg=400.0)


WIND = {
    "wind_from_deg": (0.0, 45.0, 180.0, 300.0),
    "wind_m_s": (0.0, 5.0, 9.0, 31.0),
    "runway_deg": (72.0, 72.0, 90.0, 360.0),
}
SECTOR = {"wind_m_s": (0.0, 5.0, 9.0), "runway_deg": (72.0, 163.0, 343.0)}
ONE_BY_ONE = [
    (wind.components, WIND, {}),
    (wind.crosswind_from_right_m_s, WIND, {}),
    (wind.components_any_direction, {"wind_m_s": (0.0, 5.0)}, {}),
    (wind.components_in_sector, SECTOR, {"sector_from_deg": 150.0, "sector_to_deg": 240.0}),
    (wind.components_in_sector, SECTOR, {"sector_from_deg": 60.0, "sector_to_deg": 80.0}),
    (wind.strongest_wind_m_s, {"angle_deg": (0.0, 30.0, 200.0)}, {"crosswind_limit_m_s": 5.0}),
    (wind.true_to_magnetic_deg, {"true_deg": (5.0, 180.0), "variation_deg": (14.0, -9.0)}, {}),
    (wind.magnetic_to_true_deg, {"magnetic_deg": (355.0, 180.0), "variation_deg": (14.0, -9.0)}, {}),
    (
        wind.wind_triangle,
        {k: v for k, v in WIND.items() if k != "runway_deg"},
        {"course_deg": 80.0, "true_airspeed_m_s": 30.0},
    ),
]


@pytest.mark.parametrize(("function", "inputs", "fixed"), ONE_BY_ONE)
def test_arrays_give_element_by_element_what_single_numbers_give(function, inputs, fixed):
    many = function(**{name: np.array(values) for name, values in inputs.items()}, **fixed)
    for index in range(len(next(iter(inputs.values())))):
        one = function(**{name: values[index] for name, values in inputs.items()}, **fixed)
        parts = zip(many, one, strict=True) if isinstance(one, tuple) else [(many, one)]
        for array, number in parts:
            assert type(number) in (float, bool)
            assert np.broadcast_to(array, len(next(iter(inputs.values()))))[index] == pytest.approx(
                number, rel=1e-12, abs=1e-12
            )


def test_in_arrays_too_the_gust_is_never_less_than_the_mean():
    ours = wind.components_with_gust(
        wind_from_deg=270.0, wind_m_s=np.array([5.0, 5.0]), gust_m_s=np.array([9.0, 5.0]), runway_deg=90.0
    )
    assert ours.least_head_m_s.tolist() == [-9.0, -5.0]
