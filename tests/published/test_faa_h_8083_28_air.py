"""[AWH28] The weather handbook on density altitude, humidity and cloud base."""

import pytest

from gyrewright.air import atmosphere, humidity

DOCUMENT = "FAA-H-8083-28, Aviation Weather Handbook (2022)"
FT = 0.3048


@pytest.mark.source(DOCUMENT, "8.4.1.5: 10,000 ft and 20 C, about 12,700 ft, standard temperature there printed -8 C")
def test_density_altitude_of_a_hot_day_in_the_mountains():
    ours = atmosphere.density_altitude_m(pressure_altitude_m=10000.0 * FT, air_temperature_k=293.15)
    assert ours / FT == pytest.approx(12700.0, abs=100.0)  # printed as "about"
    assert ours / FT == pytest.approx(12785.0, abs=3.0)  # worked out, not printed
    # The standard temperature printed beside it is 2 C too warm.
    standard_c = atmosphere.standard_temperature_k(geopotential_altitude_m=12700.0 * FT) - 273.15
    assert standard_c == pytest.approx(-10.2, abs=0.05)


def grams_per_kilogram(celsius):
    vapour_pa = humidity.vapour_pressure_pa(dew_point_k=celsius + 273.15)
    return 622.0 * vapour_pa / (101325.0 - vapour_pa)


@pytest.mark.source(DOCUMENT, "ch. 6, table: a kilogram of air holds 27, 15 and 8 g of vapour at 30, 20 and 10 C")
@pytest.mark.parametrize(("celsius", "grams"), [(30.0, 27.0), (20.0, 15.0), (10.0, 8.0)])
def test_how_much_vapour_air_can_hold(celsius, grams):
    assert grams_per_kilogram(celsius) == pytest.approx(grams, abs=0.5)  # half the last printed digit


@pytest.mark.source(DOCUMENT, "ch. 6, table: 8 g are 30, 53 and 100 percent at 30, 20 and 10 C")
@pytest.mark.parametrize(("celsius", "grams", "percent"), [(30.0, 27.0, 30.0), (20.0, 15.0, 53.0), (10.0, 8.0, 100.0)])
def test_relative_humidity_falls_as_the_same_air_is_warmed(celsius, grams, percent):
    assert 100.0 * 8.0 / grams == pytest.approx(percent, abs=0.5)
    ours = humidity.relative_humidity_ratio(air_temperature_k=celsius + 273.15, dew_point_k=283.15)
    # The book divides whole grams: half a gram of rounding above and below the line is the tolerance.
    assert 100.0 * 7.5 / (grams + 0.5) <= 100.0 * ours <= 100.0 * 8.5 / (grams - 0.5)


@pytest.mark.source(DOCUMENT, "ch. 6: 18 C and 13 C, cooling by 3 and 0.5 C in 1,000 ft, condense at 2,000 ft")
def test_cloud_base_from_the_spread():
    ours = humidity.cloud_base_m(air_temperature_k=18.0 + 273.15, dew_point_k=13.0 + 273.15)
    assert ours / FT == pytest.approx(2000.0)
