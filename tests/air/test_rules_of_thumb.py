"""Rules of thumb, held to their own round numbers: common practice, no source."""

import pytest

from gyrewright.air.atmosphere import VALID, checked, density_altitude_by_rule_m
from gyrewright.air.humidity import cloud_base_m
from gyrewright.errors import OutOfRange

FT = 0.3048


def test_ten_degrees_above_standard_are_1188_feet():
    assert density_altitude_by_rule_m(pressure_altitude_m=0.0, above_standard_k=10.0) / FT == pytest.approx(1188.0)


def test_a_spread_of_five_degrees_puts_the_base_at_2000_feet():
    # Three degrees less for the air and half a degree less for the dew point in every 1000 feet.
    assert cloud_base_m(air_temperature_k=295.0, dew_point_k=290.0) / FT == pytest.approx(2000.0)


def test_either_of_the_two_rates_may_be_another():
    base_m = cloud_base_m(air_temperature_k=295.0, dew_point_k=290.0, air_cools_k_per_m=5.5 / (1000.0 * FT))
    assert base_m / FT == pytest.approx(1000.0)
    base_m = cloud_base_m(air_temperature_k=295.0, dew_point_k=290.0, dew_point_falls_k_per_m=2.0 / (1000.0 * FT))
    assert base_m / FT == pytest.approx(5000.0)


@pytest.mark.parametrize(
    ("name", "low", "high"),
    [
        ("elevation_m", -500.0, 9000.0),
        ("altimeter_pa", 80_000.0, 110_000.0),
        ("air_temperature_k", 183.15, 333.15),
        ("dew_point_k", 183.15, 333.15),
        ("pressure_altitude_m", -5000.0, 20_000.0),
        ("geopotential_altitude_m", -5000.0, 20_000.0),
        ("geometric_altitude_m", -5000.0, 20_000.0),
    ],
)
def test_what_the_formulas_take_ends_where_it_is_said_to(name, low, high):
    assert VALID[name][:2] == (low, high)
    assert checked(name, low) == low
    assert checked(name, high) == high
    for beyond in (low - 0.01, high + 0.01):
        with pytest.raises(OutOfRange, match=f"{name}="):
            checked(name, beyond)
