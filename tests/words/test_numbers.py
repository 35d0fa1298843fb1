"""Numbers as people read them: in a unit, with the digits they deserve, and never kinder than they are."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gyrewright.arrays import at_least, at_most
from gyrewright.finding import Sense
from gyrewright.units import DIMENSIONS, parse_quantity, unit_named
from gyrewright.words.numbers import calculator, chosen, compared, digits, dimension_of, significant, typed_number

MASSES = st.floats(1.0, 1000.0)
GAPS = st.sampled_from([0.0, 1e-6, 0.004, 0.04, 0.4, 4.0, 40.0])


def read(text: str) -> float:
    return float(text.replace(",", ""))


def passes(value: float, limit: float, sense: Sense) -> bool:
    return {
        Sense.AT_MOST: bool(at_most(value, limit)),
        Sense.AT_LEAST: bool(at_least(value, limit)),
        Sense.BELOW: not at_least(value, limit),
        Sense.ABOVE: not at_most(value, limit),
    }[sense]


@given(
    limit=MASSES,
    gap=GAPS,
    beyond=st.booleans(),
    sense=st.sampled_from(list(Sense)),
    symbol=st.sampled_from(["kg", "lb"]),
)
def test_printed_numbers_tell_the_truth_about_value_and_limit(limit, gap, beyond, sense, symbol):
    value = limit + gap if beyond else limit - gap
    holds = passes(value, limit, sense)
    margin = limit - value if sense.is_upper else value - limit
    told = compared("mass", symbol, value=value, limit=limit, margin=margin, sense=sense, passes=holds)
    have, bound = read(told.value), read(told.limit)
    reads = {
        Sense.AT_MOST: have <= bound,
        Sense.AT_LEAST: have >= bound,
        Sense.BELOW: have < bound,
        Sense.ABOVE: have > bound,
    }[sense]
    assert reads == holds or abs(value - limit) < 1e-6
    assert read(told.margin) == pytest.approx(abs(have - bound), abs=1e-9)
    assert (read(told.margin) == 0.0) == (gap == 0.0) or gap <= 1e-6


def test_a_failure_by_a_hair_shows_the_hair():
    told = compared(
        "mass", "kg", value=450.04, limit=450.0, margin=-0.04, sense=Sense.AT_MOST, passes=False, typed_limit="450 kg"
    )
    assert (told.value, told.limit, told.margin) == ("450.04", "450", "0.04")


def test_a_pass_by_a_hair_is_no_failure_and_not_nothing():
    told = compared("arm", "mm", value=2.26196, limit=2.262, margin=0.00004, sense=Sense.AT_MOST, passes=True)
    assert (told.value, told.limit, told.margin) == ("2261.96", "2262", "0.04")


def test_a_limit_reads_as_it_was_typed():
    told = compared(
        "pressure",
        "inHg",
        value=29.8 * 3386.389,
        limit=29.92 * 3386.389,
        margin=0.12 * 3386.389,
        sense=Sense.AT_MOST,
        passes=True,
        typed_limit="29.92 inHg",
    )
    assert (told.value, told.limit, told.margin) == ("29.8", "29.92", "0.12")


@pytest.mark.parametrize("typed", ["40 C", "40 °C", "40°C"])
def test_a_limit_typed_with_its_sign_is_the_same_limit(typed):
    told = compared(
        "temperature", "C", value=304.15, limit=313.15, margin=9.0, sense=Sense.AT_MOST, passes=True, typed_limit=typed
    )
    assert told.with_unit(told.limit) == "40 °C"


def test_a_margin_of_temperature_is_a_difference():
    told = compared(
        "temperature", "C", value=304.15, limit=313.15, margin=9.0, sense=Sense.AT_MOST, passes=True, typed_limit="40 C"
    )
    assert (told.value, told.limit, told.margin) == ("31", "40", "9")


@pytest.mark.parametrize(
    ("dimension", "preferred", "typed", "expected"),
    [
        ("mass", {"mass": "lb"}, ["500 kg"], "lb"),
        ("mass", {}, ["1102 lb"], "lb"),
        ("mass", {}, ["30 min", ""], "kg"),
        # A preference for lengths would show a runway in the unit of altitudes: there what was typed goes first.
        ("length", {"length": "ft"}, ["850 m"], "m"),
        ("length", {"length": "ft"}, [], "ft"),
        ("", {}, [], ""),
    ],
)
def test_a_unit_is_the_operations_else_the_typed_one_else_the_first(dimension, preferred, typed, expected):
    assert chosen(dimension, preferred, typed) == expected


@pytest.mark.parametrize(
    ("name", "dimension"),
    [
        ("take_off_mass_kg", "mass"),
        ("arm_m:front", "arm"),
        ("cg_most_aft_m", "arm"),
        ("runway_length_m", "length"),
        ("climb_m_s", "climb"),
        ("crosswind_m_s", "speed"),
        ("fuel_density_kg_per_l", "fuel density"),
        ("burn_l_per_h", "fuel flow"),
        ("zero_fuel_moment_kg_m", "moment"),
        ("weighing_age_days:sunde", "days"),
        ("runway_name", ""),
    ],
)
def test_a_name_tells_its_dimension(name, dimension):
    assert dimension_of(name) == dimension


@pytest.mark.parametrize(
    ("number", "places", "text"),
    [
        (478.8, 1, "478.8"),
        (478.0, 1, "478"),
        (478.04, 1, "478.0"),
        (-0.0, 1, "0"),
        (12000.4, 0, "12,000"),
        (6018.1, 0, "6018"),
    ],
)
def test_digits_are_no_more_than_a_number_has(number, places, text):
    assert digits(number, places) == text


@given(st.floats(-1e6, 1e6))
def test_a_calculator_shows_seven_digits_and_no_exponent(value):
    text = calculator(value)
    assert "e" not in text
    assert float(text) == pytest.approx(value, rel=1e-6, abs=1e-12)


@given(st.floats(-1e9, 1e9))
def test_programs_get_nine_digits(value):
    assert significant(value) == pytest.approx(value, rel=1e-8)


@given(
    dimension=st.sampled_from(["mass", "speed", "volume", "climb", "temperature", "angle"]), number=st.integers(0, 900)
)
def test_a_typed_number_is_shown_as_typed(dimension, number):
    for unit in DIMENSIONS[dimension].units:
        text = f"{number}.50 {unit.symbol}"
        assert typed_number(dimension, text, unit.symbol) == f"{number}.50"
        quantity = parse_quantity(dimension, text)
        assert quantity.value == pytest.approx((number + 0.5 + unit_named(dimension, unit.symbol).offset) * unit.factor)
