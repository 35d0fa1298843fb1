"""[SP811] Conversion factors of the national standards institute."""

import pytest

from gyrewright.air.atmosphere import SEA_LEVEL_PRESSURE_PA
from gyrewright.units import parse_quantity, to_unit

DOCUMENT = "NIST Special Publication 811 (2008), Guide for the Use of the SI"


@pytest.mark.source(DOCUMENT, "App. B.8 and B.9, factors printed as exact")
@pytest.mark.parametrize(
    ("dimension", "text", "exact"),
    [
        ("length", "1 ft", 0.3048),
        ("length", "1 in", 0.0254),
        ("length", "1 NM", 1852.0),
        ("length", "1 SM", 1609.344),
        ("mass", "1 lb", 0.45359237),
        ("volume", "1 US gal", 3.785411784),
        ("volume", "1 Imp gal", 4.54609),
    ],
)
def test_exact_factors(dimension, text, exact):
    assert parse_quantity(dimension, text).value == exact


@pytest.mark.source(DOCUMENT, "App. B.8: standard atmosphere 101 325 Pa and pound-force 4.448 221 615 260 5 N, exact")
def test_standard_atmosphere_and_pound_force():
    assert SEA_LEVEL_PRESSURE_PA == 101325.0
    assert parse_quantity("pressure", "1 psi").value * 0.0254**2 == pytest.approx(4.4482216152605, rel=1e-15)


@pytest.mark.source(DOCUMENT, "App. B.8: inch of mercury (conventional) 3.386 389 E+03, psi 6.894 757 E+03")
@pytest.mark.parametrize(("text", "printed_pa"), [("1 inHg", 3386.389), ("1 psi", 6894.757)])
def test_pressure_factors(text, printed_pa):
    assert parse_quantity("pressure", text).value == pytest.approx(printed_pa, abs=0.0005)  # half the last digit


@pytest.mark.source(DOCUMENT, "App. B: the factors above, products worked out")
@pytest.mark.parametrize(
    ("dimension", "text", "unit", "expected", "tolerance"),
    [
        ("pressure", "101325 Pa", "inHg", 29.92126, 0.00001),
        ("volume", "18 US gal", "L", 68.137, 0.001),
        ("mass", "1800 lb", "kg", 816.466, 0.001),
        ("length", "3000 ft", "m", 914.4, 1e-12),
        ("speed", "50 mph", "kt", 43.449, 0.001),
        ("pressure", "1013.25 hPa", "inHg", 29.92126, 0.00001),
        ("temperature", "59 F", "C", 15.0, 1e-12),
    ],
)
def test_what_a_cockpit_converts(dimension, text, unit, expected, tolerance):
    assert to_unit(dimension, parse_quantity(dimension, text).value, unit) == pytest.approx(expected, abs=tolerance)
