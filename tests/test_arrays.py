import math
import subprocess
import sys

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from gyrewright import arrays

numbers = st.floats(-1e6, 1e6)
lists = st.lists(numbers, min_size=1, max_size=6)


@given(lists, lists)
def test_least_and_greatest_agree_between_one_and_many(first, second):
    size = min(len(first), len(second))
    one, other = first[:size], second[:size]
    assert arrays.least(np.array(one), np.array(other)).tolist() == [
        arrays.least(a, b) for a, b in zip(one, other, strict=True)
    ]
    assert arrays.greatest(np.array(one), np.array(other)).tolist() == [
        arrays.greatest(a, b) for a, b in zip(one, other, strict=True)
    ]


def test_one_number_and_an_array_broadcast():
    many = np.array([1.0, 5.0])
    assert arrays.least(3.0, many).tolist() == [1.0, 3.0]
    assert arrays.greatest(many, 3.0, 4.0).tolist() == [4.0, 5.0]
    assert arrays.choose(many > 2.0, many, 0.0).tolist() == [0.0, 5.0]
    assert arrays.both(many > 0.0, many < 3.0).tolist() == [True, False]


def test_single_numbers_stay_single_numbers():
    assert arrays.least(3.0, 1.0, 2.0) == 1.0
    assert arrays.greatest(3, 1.0) == 3
    assert arrays.choose(True, 1.0, 2.0) == 1.0
    assert arrays.choose(False, 1.0, 2.0) == 2.0
    assert arrays.both(True, True) is True
    assert arrays.both(True, False) is False
    assert arrays.is_plain(1, 2.0, True)
    assert not arrays.is_plain(1.0, np.array([1.0]))


@pytest.mark.parametrize(
    ("ours", "theirs", "low"),
    [
        (arrays.sqrt, math.sqrt, 0.0),
        (arrays.sin, math.sin, -7.0),
        (arrays.cos, math.cos, -7.0),
        (arrays.exp, math.exp, -7.0),
    ],
)
@given(share=st.floats(0.0, 1.0))
def test_functions_agree_between_one_and_many(ours, theirs, low, share):
    value = low + 14.0 * share
    assert type(ours(value)) is float
    assert ours(value) == theirs(value)
    assert ours(np.array([value]))[0] == pytest.approx(theirs(value), rel=1e-14, abs=1e-15)


def test_equality_passes_and_so_does_what_conversion_loses():
    knot = 1852.0 / 3600.0
    assert arrays.at_most(22.0 * knot - 14.0 * knot, 8.0 * knot)
    assert arrays.at_least(22.0 * knot - 14.0 * knot, 8.0 * knot)
    assert arrays.at_most(0.0, 0.0)
    assert arrays.at_most(0.1 + 0.2, 0.3)


@given(st.floats(0.001, 1e6))
def test_a_millionth_too_much_does_not_pass(limit):
    assert not arrays.at_most(limit * (1.0 + 1e-6), limit)
    assert not arrays.at_least(limit * (1.0 - 1e-6), limit)
    assert not arrays.at_most(-limit * (1.0 - 1e-6), -limit)


@given(numbers, numbers)
def test_one_of_at_most_and_at_least_always_holds_and_arrays_agree(have, limit):
    assert arrays.at_most(have, limit) or arrays.at_least(have, limit)
    assert arrays.at_most(np.array([have]), limit).tolist() == [arrays.at_most(have, limit)]
    assert arrays.at_least(have, np.array([limit])).tolist() == [arrays.at_least(have, limit)]


def test_no_number_never_passes():
    for check in (arrays.at_most, arrays.at_least):
        assert not check(math.nan, 1.0)
        assert not check(1.0, math.nan)


def test_a_limit_without_end_is_met():
    assert arrays.at_most(5.0, math.inf)
    assert arrays.at_least(math.inf, 5.0)


def test_an_endless_need_meets_no_limit():
    assert not arrays.at_most(math.inf, 5.0)
    assert not arrays.at_least(5.0, math.inf)
    assert not arrays.at_most(np.array([math.inf]), 5.0)[0]


XS, YS = (0.0, 10.0, 40.0), (5.0, 25.0, 20.0)


@pytest.mark.parametrize(
    ("x", "y"), [(-5.0, 5.0), (0.0, 5.0), (2.5, 10.0), (10.0, 25.0), (25.0, 22.5), (40.0, 20.0), (99.0, 20.0)]
)
def test_a_broken_line_is_straight_between_its_points_and_level_beyond(x, y):
    assert arrays.polyline(x, XS, YS) == y
    assert arrays.polyline(np.array([x]), XS, YS).tolist() == [pytest.approx(y)]


@given(st.floats(-20.0, 60.0))
def test_a_broken_line_agrees_between_one_and_many(x):
    assert arrays.polyline(np.array([x]), XS, YS)[0] == pytest.approx(arrays.polyline(x, XS, YS), rel=1e-13)


def test_a_broken_line_has_no_value_at_no_number():
    assert math.isnan(arrays.polyline(math.nan, XS, YS))


def test_one_flight_does_not_load_the_array_library():
    program = (
        "import sys\n"
        "from datetime import date\n"
        "from gyrewright.air import atmosphere, daylight, humidity, magnetism, wind\n"
        "from gyrewright.arrays import at_most, polyline, least\n"
        "atmosphere.density_altitude_m(pressure_altitude_m=1000.0, air_temperature_k=300.0)\n"
        "humidity.humid_density_altitude_m(pressure_altitude_m=1.0, air_temperature_k=300.0, dew_point_k=290.0)\n"
        "wind.components_in_sector(sector_from_deg=1.0, sector_to_deg=9.0, wind_m_s=3.0, runway_deg=72.0)\n"
        "wind.wind_triangle(course_deg=1.0, true_airspeed_m_s=30.0, wind_from_deg=9.0, wind_m_s=3.0)\n"
        "magnetism.variation(latitude_deg=44.0, longitude_deg=-120.0, height_m=0.0, on=date(2027, 6, 12))\n"
        "daylight.sun_times(latitude_deg=44.0, longitude_deg=-120.0, on=date(2027, 6, 12), zone='UTC')\n"
        "at_most(polyline(1.0, (0.0, 2.0), (0.0, 1.0)), least(1.0, 2.0))\n"
        "print('numpy' in sys.modules)\n"
    )
    done = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "False"
