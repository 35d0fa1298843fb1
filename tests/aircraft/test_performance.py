"""Corrections to a table's distance: both forms a manual may print, and what it does not print."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from gyrewright.aircraft.performance import (
    Corrections,
    HeadwindCredit,
    TailwindPenalty,
    combined_factor,
    corrected_distance,
    correction_factors,
    correction_problems,
)

# 1.5 % for each m/s of at most 10 m/s; 10 % for each m/s of tailwind to 2.5 m/s.
FULL = Corrections(
    HeadwindCredit(1.0, 10.0, 0.015), TailwindPenalty(0.10, 2.5), (("hard", 1.0), ("grass", 1.15)), 5.0, False
)
# Half of the headwind, at most 5 m/s of it, 2 % each.
HALF = Corrections(HeadwindCredit(0.5, 5.0, 0.02), TailwindPenalty(0.10, 2.5), (("hard", 1.0),), 5.0, False)


def distance(corrections, *, wind=0.0, surface="hard", slope=0.0, base=400.0):
    return corrected_distance(
        table_distance_m=base,
        corrections=corrections,
        headwind_m_s=wind,
        surface=surface,
        adverse_slope_ratio=slope,
    )


@pytest.mark.parametrize(
    ("corrections", "wind", "expected", "inside"),
    [
        (FULL, 4.0, 376.0, True),
        (FULL, 10.0, 340.0, True),
        (FULL, 15.0, 340.0, True),
        (FULL, -2.0, 480.0, True),
        (FULL, -2.5, 500.0, True),
        (FULL, -2.6, 500.0, False),
        (HALF, 4.0, 384.0, True),
        (HALF, 10.0, 360.0, True),
        (HALF, 14.0, 360.0, True),
    ],
)
def test_wind_is_counted_as_the_manual_says(corrections, wind, expected, inside):
    assert distance(corrections, wind=wind) == (pytest.approx(expected, abs=1e-9), inside)


def test_factors_multiply():
    assert distance(FULL, wind=4.0, surface="grass", slope=0.006) == (
        pytest.approx(400.0 * 0.94 * 1.15 * 1.03, abs=1e-9),
        True,
    )
    assert combined_factor([]) == 1.0
    assert combined_factor([1.2, 1.3, 1.1]) == pytest.approx(1.716, abs=1e-12)


def test_a_favorable_slope_earns_nothing_unless_the_manual_says_so():
    assert distance(FULL, slope=-0.01) == (400.0, True)
    counting = Corrections(FULL.headwind, FULL.tailwind, FULL.surface_factors, 5.0, True)
    assert distance(counting, slope=-0.01) == (pytest.approx(380.0), True)


def test_what_the_manual_does_not_print_is_no_data():
    silent = Corrections(None, None, (("hard", 1.0), ("grass", 1.15)), None, False)
    assert distance(silent) == (400.0, True)
    assert distance(silent, wind=5.0) == (400.0, True)
    assert distance(silent, wind=-0.1) == (400.0, False)
    assert distance(silent, wind=-0.001) == (400.0, False)
    assert distance(silent, slope=0.001) == (400.0, False)
    assert distance(silent, slope=-0.001) == (400.0, True)
    assert distance(silent, surface="soft sand") == (pytest.approx(460.0), False)


def test_a_table_without_data_stays_without():
    assert corrected_distance(
        table_distance_m=400.0,
        corrections=FULL,
        headwind_m_s=0.0,
        surface="hard",
        adverse_slope_ratio=0.0,
        table_inside=False,
    ) == (400.0, False)


def test_each_factor_can_be_shown():
    factors = correction_factors(corrections=FULL, headwind_m_s=4.0, surface="grass", adverse_slope_ratio=0.02)
    assert (factors.wind, factors.surface, factors.slope, factors.inside) == (
        pytest.approx(0.94),
        1.15,
        pytest.approx(1.1),
        True,
    )
    assert type(factors.wind) is float


@given(st.lists(st.floats(-4.0, 15.0), min_size=3, max_size=3), st.floats(-0.03, 0.03))
def test_many_winds_get_the_answers_of_one(winds, slope):
    many, inside = distance(HALF, wind=np.array(winds), slope=slope)
    for number, wind in enumerate(winds):
        assert (many[number], inside[number]) == distance(HALF, wind=wind, slope=slope)


@given(st.floats(-2.5, 15.0), st.floats(-2.5, 15.0), st.floats(0.0, 0.05), st.floats(0.0, 0.05))
def test_less_wind_on_the_nose_or_more_hill_never_shortens(first, second, gentle, steep):
    low, high = sorted((first, second))
    assert distance(FULL, wind=low)[0] >= distance(FULL, wind=high)[0] - 1e-9
    gentle, steep = sorted((gentle, steep))
    assert distance(FULL, slope=steep)[0] >= distance(FULL, slope=gentle)[0]


@pytest.mark.parametrize(
    ("changed", "said"),
    [
        ({"headwind": HeadwindCredit(1.5, 10.0, 0.01)}, "headwind: 1.5 of it counted; give a share from 0 to 1"),
        ({"headwind": HeadwindCredit(1.001, 10.0, 0.01)}, "headwind: 1.001 of it counted"),
        ({"headwind": HeadwindCredit(-0.001, 10.0, 0.01)}, "headwind: -0.001 of it counted"),
        ({"headwind": HeadwindCredit(1.0, -1.0, 0.01)}, "headwind: 0.01 for each m/s up to -1 m/s"),
        ({"headwind": HeadwindCredit(1.0, 10.0, -0.01)}, "headwind: -0.01 for each m/s"),
        ({"headwind": HeadwindCredit(1.0, 10.0, 0.1)}, "would leave no distance at all"),
        ({"headwind": HeadwindCredit(1.0, float("nan"), 0.1)}, "up to nan m/s"),
        ({"tailwind": TailwindPenalty(-0.1, 2.5)}, "tailwind: -0.1 for each m/s"),
        ({"surface_factors": ()}, "no surface factors"),
        ({"surface_factors": (("hard", 1.0), ("hard", 1.1))}, "surface 'hard' is listed twice"),
        ({"surface_factors": (("hard", 0.0),)}, "surface 'hard' has the factor 0"),
        ({"slope_penalty_per_ratio": -5.0}, "slope: -5 for each unit of slope"),
    ],
)
def test_bad_corrections_are_told_what_is_wrong_with_them(changed, said):
    fields = {name: getattr(FULL, name) for name in Corrections.__dataclass_fields__}
    problems = correction_problems(Corrections(**{**fields, **changed}))
    assert len(problems) == 1
    assert said in problems[0]


def test_good_corrections_have_no_problems():
    assert correction_problems(FULL) == ()
    assert correction_problems(Corrections(None, None, (("hard", 1.0),), None, False)) == ()
    nothing_counts = Corrections(
        HeadwindCredit(0.0, 0.0, 0.0), TailwindPenalty(0.0, 0.0), (("hard", 0.001),), 0.0, False
    )
    assert correction_problems(nothing_counts) == ()
