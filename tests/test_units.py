import contextlib
import math

import pint
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from gyrewright import units
from gyrewright.errors import UnitError
from gyrewright.units import DIMENSIONS, as_read, parse_quantity, rounded, to_unit, unit_named, with_symbol

REGISTRY = pint.UnitRegistry(autoconvert_offset_to_baseunit=True)

# What an independent library calls each symbol, and the unit used inside each dimension.
PINT = {
    "kg": "kilogram", "lb": "pound", "g": "gram", "m": "meter", "ft": "foot", "mm": "millimeter", "cm": "centimeter",
    "in": "inch", "km": "kilometer", "SM": "mile", "NM": "nautical_mile", "kg m": "kilogram*meter",
    "kg mm": "kilogram*millimeter", "lb in": "pound*inch", "L": "liter", "US gal": "US_liquid_gallon",
    "Imp gal": "imperial_gallon", "US qt": "US_liquid_quart", "L/h": "liter/hour", "US gal/h": "US_liquid_gallon/hour",
    "Imp gal/h": "imperial_gallon/hour", "kg/L": "kilogram/liter", "lb/US gal": "pound/US_liquid_gallon",
    "kg/m3": "kilogram/meter**3", "kt": "knot", "m/s": "meter/second", "km/h": "kilometer/hour", "mph": "mile/hour",
    "ft/min": "foot/minute", "C": "degC", "F": "degF", "K": "kelvin", "hPa": "hectopascal", "inHg": "inch_Hg",
    "mb": "millibar", "Pa": "pascal", "bar": "bar", "psi": "pound_force_per_square_inch", "mmHg": "millimeter_Hg",
    "deg": "degree", "h": "hour", "min": "minute", "s": "second", "days": "day", "day": "day", "rpm": "rpm",
    "V": "volt", "kW": "kilowatt", "hp": "horsepower", "%": "percent", "% per kt": "percent/knot",
}  # fmt: skip
INSIDE = {
    "mass": "kilogram", "length": "meter", "arm": "meter", "moment": "kilogram*meter", "volume": "liter",
    "fuel flow": "liter/hour", "fuel density": "kilogram/liter", "speed": "meter/second", "climb": "meter/second",
    "temperature": "kelvin", "pressure": "pascal", "angle": "degree", "time": "hour", "days": "day",
    "rotation": "rpm", "voltage": "volt", "power": "watt", "share": "dimensionless", "share per wind": "second/meter",
}  # fmt: skip
# Calendar months, years and things counted have no fixed size: one of them is one of them.
COUNTED = {"months", "years", "count"}
# The conventional inch of mercury is printed with seven digits by the institute that the table cites.
TOLERANCE = {"inHg": 2e-7}

EVERY = [(name, unit.symbol) for name, kind in DIMENSIONS.items() for unit in kind.units]


@pytest.mark.parametrize(("dimension", "symbol"), EVERY)
@pytest.mark.parametrize("number", [1.0, -40.0, 194.25])
def test_every_conversion_is_that_of_an_independent_library(dimension, symbol, number):
    ours = parse_quantity(dimension, f"{number} {symbol}").value
    if dimension in COUNTED:
        assert ours == number
        return
    theirs = REGISTRY.Quantity(number, PINT[symbol]).to(INSIDE[dimension]).magnitude
    assert ours == pytest.approx(theirs, rel=TOLERANCE.get(symbol, 1e-12), abs=1e-10)


@pytest.mark.parametrize(("dimension", "symbol"), EVERY)
@settings(max_examples=15)
@given(number=st.floats(-1e6, 1e6))
def test_a_value_comes_back_in_the_unit_in_which_it_was_typed(dimension, symbol, number):
    inside = parse_quantity(dimension, f"{number:.6f} {symbol}").value
    assert to_unit(dimension, inside, symbol) == pytest.approx(float(f"{number:.6f}"), rel=1e-12, abs=1e-9)


def test_every_dimension_keeps_its_inside_unit_and_no_symbol_twice():
    for name, kind in DIMENSIONS.items():
        symbols = [unit.symbol for unit in kind.units]
        assert kind.name == name
        assert len(symbols) == len(set(symbols))
        assert any(unit.factor == 1.0 and unit.offset == 0.0 for unit in kind.units) or name in (
            "power",
            "share",
            "share per wind",
        )


@pytest.mark.parametrize(
    ("dimension", "text", "value"),
    [
        ("length", "2402 mm", 2.402),
        ("length", "10 000 ft", 3048.0),
        ("length", "1 000.5 m", 1000.5),
        ("length", "  3260ft ", 993.648),
        ("length", ".5 m", 0.5),
        ("length", "-12 m", -12.0),
        ("length", "+12 m", 12.0),
        ("temperature", "31°C", 304.15),
        ("temperature", "-40 °F", 233.15),
        ("volume", "62 l", 62.0),
        ("speed", "22 knots", 22.0 * 1852.0 / 3600.0),
        ("angle", "163°", 163.0),
        ("time", "90 minutes", 1.5),
    ],
)
def test_what_people_write_is_read(dimension, text, value):
    assert parse_quantity(dimension, text).value == pytest.approx(value, rel=1e-12)


def test_what_was_typed_is_kept_beside_the_value():
    quantity = parse_quantity("mass", " 194 lbs ")
    assert (quantity.typed, quantity.unit) == ("194 lbs", "lb")


@pytest.mark.parametrize("alias", sorted(units._ALIASES))
def test_every_other_spelling_names_a_unit_that_exists(alias):
    symbol = units._ALIASES[alias]
    assert symbol in {unit.symbol for kind in DIMENSIONS.values() for unit in kind.units}
    assert alias not in {unit.symbol for kind in DIMENSIONS.values() for unit in kind.units}


@pytest.mark.parametrize(
    ("dimension", "text", "message"),
    [
        ("mass", "194", r"'194' has no unit; add one of: kg, lb, g"),
        ("mass", "", r"'' is no mass; write a number and a unit \(kg, lb, g\)"),
        ("mass", "heavy", r"'heavy' is no mass"),
        ("mass", "nan kg", r"'nan kg' is no mass"),
        ("mass", "inf kg", r"'inf kg' is no mass"),
        ("mass", "194 L", r"mass cannot be read in 'L'; use one of: kg, lb, g"),
        ("volume", "10 gal", r"'10 gal' is ambiguous; write 'US gal' or 'Imp gal'"),
        ("length", "5 miles", r"'5 miles' is ambiguous; write 'SM' \(statute\) or 'NM' \(nautical\)"),
        ("mass", "1,23 kg", r"is no mass"),
        ("mass", "5 5 kg", r"is no mass"),
        ("mass", "1e3 kg", r"mass cannot be read in 'e3 kg'"),
        ("mass", "5 KG", r"mass cannot be read in 'KG'"),
        ("time", "5 m", r"time cannot be read in 'm'; use one of: h, min, s"),
    ],
)
def test_what_cannot_be_read_for_certain_is_refused(dimension, text, message):
    with pytest.raises(UnitError, match=message):
        parse_quantity(dimension, text)


@given(st.text(max_size=30))
def test_any_text_is_read_or_refused_and_never_crashes(text):
    for dimension in ("mass", "temperature", "share"):
        with contextlib.suppress(UnitError):
            assert isinstance(parse_quantity(dimension, text).value, float)


def test_a_number_too_long_to_be_one_is_refused():
    with pytest.raises(UnitError):
        parse_quantity("mass", "9" * 400 + " kg")


def test_every_ambiguous_word_can_be_met():
    for word, advice in units.AMBIGUOUS.items():
        with pytest.raises(UnitError, match="is ambiguous") as caught:
            parse_quantity("mass", f"5 {word}")
        assert advice in str(caught.value)


def test_a_unit_of_another_dimension_is_not_shown():
    assert unit_named("mass", "lb").factor == 0.45359237
    with pytest.raises(UnitError, match="mass cannot be shown in 'ft'; use one of: kg, lb, g"):
        unit_named("mass", "ft")


@pytest.mark.parametrize(
    ("value", "places", "careful", "text"),
    [
        (450.04, 2, "", "450.04"),
        (450.04, 0, "up", "451"),
        (449.96, 0, "down", "449"),
        (450.0, 0, "up", "450"),
        (0.1 + 0.2, 1, "up", "0.3"),  # the noise of floating point is no failure
        (0.3 - 0.1, 1, "down", "0.2"),
        (-0.04, 1, "", "0.0"),
        (-0.04, 0, "", "0"),
        (-0.5, 0, "down", "-1"),
        (-1.5, 0, "up", "-1"),
    ],
)
def test_rounding_goes_where_it_is_told_and_writes_no_minus_zero(value, places, careful, text):
    assert rounded(value, places, careful=careful) == text


@given(st.floats(-1e6, 1e6), st.integers(0, 3))
def test_careful_rounding_never_lands_on_the_other_side(value, places):
    noise = 1e-6 / 10**places
    assert float(rounded(value, places, careful="up")) >= value - noise
    assert float(rounded(value, places, careful="down")) <= value + noise
    assert math.isclose(float(rounded(value, places)), value, abs_tol=0.5 / 10**places + noise)


@pytest.mark.parametrize(
    ("number", "symbol", "read"),
    [("17", "C", "17 °C"), ("-4", "F", "-4 °F"), ("266", "deg", "266°"), ("450", "kg", "450 kg"), ("3", "", "3")],
)
def test_a_unit_reads_the_same_wherever_a_person_reads_it(number, symbol, read):
    assert with_symbol(number, symbol) == read
    assert with_symbol(number, symbol, blank="\u00a0") == read.replace(" ", "\u00a0")


@pytest.mark.parametrize(
    ("typed", "read"),
    [
        ("35 C", "35 °C"),
        ("35C", "35 °C"),
        ("-10 °C", "-10 °C"),
        ("95 F", "95 °F"),
        ("88 deg", "88°"),
        ("88°", "88°"),
        # What is no temperature and no angle stays as it was typed, to the letter.
        ("450 kg", "450 kg"),
        ("C", "C"),
        ("runway 07 C", "runway 07 C"),
        ("35 C ", "35 °C"),
        ("", ""),
    ],
)
def test_what_was_typed_reads_like_everything_else(typed, read):
    assert as_read(typed) == read


@pytest.mark.parametrize(
    ("read", "typed"), [("35 °C", "35 C"), ("95 °F", "95 F"), ("88°", "88 deg"), ("-3 °C", "-3 C")]
)
def test_what_is_read_can_be_typed_again(read, typed):
    dimension = "angle" if "deg" in typed else "temperature"
    first, again = parse_quantity(dimension, read), parse_quantity(dimension, typed)
    assert (first.value, first.unit) == (again.value, again.unit)
    assert as_read(typed) == read
