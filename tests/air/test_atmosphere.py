import math

import numpy as np
import pytest
from fluids.atmosphere import ATMOSPHERE_1976
from hypothesis import given
from hypothesis import strategies as st

from gyrewright.air import atmosphere
from gyrewright.errors import OutOfRange

FT = 0.3048
INHG = 3386.389

altitudes = st.floats(-1000.0, 4500.0)
temperatures = st.floats(233.15, 323.15)
settings = st.floats(28.0 * INHG, 31.5 * INHG)
elevations = st.floats(-400.0, 4000.0)


# The demonstration day: invented weather, worked out by hand under the reading rule of 1000 ft for an inch.
DAY = [  # C, inHg, pressure altitude ft, density altitude ft
    (9.0, 29.80, 3380.0, 3462.0),
    (31.0, 29.74, 3440.0, 6018.0),
    (24.0, 29.73, 3450.0, 5265.0),
    (-6.0, 30.31, 2870.0, 990.0),
]


@pytest.mark.parametrize("row", DAY, ids=["morning", "afternoon", "evening", "winter"])
def test_the_demonstration_day_comes_out_to_the_printed_foot(row):
    celsius, setting_inhg, pressure_altitude_ft, density_altitude_ft = row
    at_m = atmosphere.pressure_altitude_by_inch_rule_m(elevation_m=3260.0 * FT, altimeter_pa=setting_inhg * INHG)
    assert round(at_m / FT) == pressure_altitude_ft
    thin_m = atmosphere.density_altitude_m(pressure_altitude_m=at_m, air_temperature_k=celsius + 273.15)
    assert round(thin_m / FT) == density_altitude_ft


def test_the_pocket_rule_reads_132_feet_more_on_the_hot_afternoon():
    at_m = 3440.0 * FT
    above_k = 304.15 - atmosphere.standard_temperature_k(geopotential_altitude_m=at_m)
    by_rule_m = atmosphere.density_altitude_by_rule_m(pressure_altitude_m=at_m, above_standard_k=above_k)
    exact_m = atmosphere.density_altitude_m(pressure_altitude_m=at_m, air_temperature_k=304.15)
    assert (by_rule_m - exact_m) / FT == pytest.approx(132.4, abs=0.1)


@pytest.mark.parametrize("altitude_m", [-2000.0, 0.0, 993.6, 5000.0, 10999.0, 11001.0, 15000.0, 19990.0])
def test_a_general_library_has_the_same_atmosphere(altitude_m):
    # The library takes geometric altitude and the newer gas constant; its answers are compared to what that leaves.
    theirs = ATMOSPHERE_1976(atmosphere.geometric_altitude_m(geopotential_altitude_m=altitude_m))
    assert atmosphere.standard_temperature_k(geopotential_altitude_m=altitude_m) == pytest.approx(theirs.T, abs=1e-6)
    assert atmosphere.standard_pressure_pa(geopotential_altitude_m=altitude_m) == pytest.approx(theirs.P, rel=3e-5)
    assert atmosphere.standard_density_kg_m3(geopotential_altitude_m=altitude_m) == pytest.approx(theirs.rho, rel=3e-5)
    ours = atmosphere.speed_of_sound_m_s(air_temperature_k=theirs.T)
    assert ours == pytest.approx(theirs.v_sonic, rel=1e-5)


def test_a_thousand_meters_of_height_are_sixteen_centimeters_less_in_geopotential():
    ours = atmosphere.geopotential_altitude_m(geometric_altitude_m=1000.0)
    assert 1000.0 - ours == pytest.approx(1000.0**2 / 6356766.0, rel=2e-4)
    assert atmosphere.geometric_altitude_m(geopotential_altitude_m=ours) == pytest.approx(1000.0, abs=1e-9)


@given(elevations, settings)
def test_station_pressure_is_the_standard_one_at_pressure_altitude(elevation_m, altimeter_pa):
    at_m = atmosphere.pressure_altitude_m(elevation_m=elevation_m, altimeter_pa=altimeter_pa)
    station_pa = atmosphere.station_pressure_pa(elevation_m=elevation_m, altimeter_pa=altimeter_pa)
    assert atmosphere.standard_altitude_m(pressure_pa=station_pa) == pytest.approx(at_m, abs=1e-6)
    # The altimeter setting equation in its own form.
    power = 287.0530720470646 * 0.0065 / 9.80665
    setting_pa = (station_pa**power + 101325.0**power * 0.0065 / 288.15 * elevation_m) ** (1.0 / power)
    assert setting_pa == pytest.approx(altimeter_pa, rel=1e-9)


@given(elevations)
def test_at_the_standard_setting_pressure_altitude_is_the_elevation(elevation_m):
    exact_m = atmosphere.pressure_altitude_m(elevation_m=elevation_m, altimeter_pa=101325.0)
    assert exact_m == pytest.approx(elevation_m, abs=1e-6)
    by_rule_m = atmosphere.pressure_altitude_by_inch_rule_m(elevation_m=elevation_m, altimeter_pa=29.92 * INHG)
    assert by_rule_m == pytest.approx(elevation_m, abs=1e-6)


@pytest.mark.parametrize(("setting_inhg", "too_high_ft"), [(29.0, 57.2), (31.0, -96.6)])
def test_how_far_the_inch_rule_is_off(setting_inhg, too_high_ft):
    for elevation_m in (0.0, 3000.0):
        given_ = {"elevation_m": elevation_m, "altimeter_pa": setting_inhg * INHG}
        off_m = atmosphere.pressure_altitude_by_inch_rule_m(**given_) - atmosphere.pressure_altitude_m(**given_)
        assert off_m / FT == pytest.approx(too_high_ft, abs=0.05)


@given(altitudes, temperatures, st.floats(0.01, 10.0))
def test_hotter_air_raises_density_altitude(pressure_altitude_m, air_temperature_k, more_k):
    cool, hot = (
        atmosphere.density_altitude_m(pressure_altitude_m=pressure_altitude_m, air_temperature_k=temperature_k)
        for temperature_k in (air_temperature_k, air_temperature_k + more_k)
    )
    assert hot > cool


@given(elevations, settings, temperatures, st.floats(0.1, 500.0))
def test_a_higher_field_and_a_lower_setting_raise_density_altitude(elevation_m, altimeter_pa, air_temperature_k, step):
    def density_altitude_m(elevation_m, altimeter_pa):
        at_m = atmosphere.pressure_altitude_m(elevation_m=elevation_m, altimeter_pa=altimeter_pa)
        return atmosphere.density_altitude_m(pressure_altitude_m=at_m, air_temperature_k=air_temperature_k)

    here = density_altitude_m(elevation_m, altimeter_pa)
    assert density_altitude_m(elevation_m + step, altimeter_pa) > here
    assert density_altitude_m(elevation_m, altimeter_pa - step) > here


@given(st.floats(-4900.0, 19900.0))
def test_at_the_standard_temperature_density_altitude_is_pressure_altitude(altitude_m):
    standard_k = atmosphere.standard_temperature_k(geopotential_altitude_m=altitude_m)
    ours = atmosphere.density_altitude_m(pressure_altitude_m=altitude_m, air_temperature_k=standard_k)
    assert ours == pytest.approx(altitude_m, abs=1e-6)


@given(altitudes, temperatures)
def test_density_altitude_has_the_density_of_the_day(pressure_altitude_m, air_temperature_k):
    at_m = atmosphere.density_altitude_m(pressure_altitude_m=pressure_altitude_m, air_temperature_k=air_temperature_k)
    pressure_pa = atmosphere.standard_pressure_pa(geopotential_altitude_m=pressure_altitude_m)
    day = atmosphere.dry_air_density_kg_m3(pressure_pa=pressure_pa, air_temperature_k=air_temperature_k)
    assert atmosphere.standard_density_kg_m3(geopotential_altitude_m=at_m) == pytest.approx(day, rel=1e-9)


# Lowest and highest accepted, as written in the docstrings.
BOUNDS = [
    ("geopotential_altitude_m", -5000.0, 20000.0, atmosphere.standard_pressure_pa, {}),
    ("geometric_altitude_m", -5000.0, 20000.0, atmosphere.geopotential_altitude_m, {}),
    ("pressure_altitude_m", -5000.0, 20000.0, atmosphere.density_altitude_by_rule_m, {"above_standard_k": 0.0}),
    ("elevation_m", -500.0, 9000.0, atmosphere.pressure_altitude_m, {"altimeter_pa": 101325.0}),
    ("altimeter_pa", 80000.0, 110000.0, atmosphere.pressure_altitude_m, {"elevation_m": 0.0}),
    ("pressure_pa", 5475.0, 177685.0, atmosphere.standard_altitude_m, {}),
    ("air_temperature_k", 183.15, 333.15, atmosphere.speed_of_sound_m_s, {}),
]


@pytest.mark.parametrize(("name", "low", "high", "function", "others"), BOUNDS, ids=[row[0] for row in BOUNDS])
def test_both_ends_of_an_interval_are_accepted_and_nothing_beyond(name, low, high, function, others):
    for end, beyond in ((low, low - 0.001 * abs(low)), (high, high + 0.001 * high)):
        assert math.isfinite(function(**{name: end}, **others))
        assert atmosphere.inside(**{name: end}) is True
        assert atmosphere.inside(**{name: beyond}) is False
        with pytest.raises(OutOfRange, match=f"{name}={beyond:g} is outside .*; give "):
            function(**{name: beyond}, **others)
    with pytest.raises(OutOfRange, match=f"{name}=nan"):
        function(**{name: math.nan}, **others)


def test_the_dew_point_has_the_interval_of_the_temperature():
    assert atmosphere.inside(dew_point_k=183.15)
    assert atmosphere.inside(dew_point_k=333.15)
    assert not atmosphere.inside(dew_point_k=183.0)
    assert not atmosphere.inside(dew_point_k=333.3)


def test_a_temperature_typed_in_degrees_is_told_so():
    with pytest.raises(
        OutOfRange, match=r"air_temperature_k=31 is outside 183.15 to 333.15; give kelvins; was it typed"
    ):
        atmosphere.density_altitude_m(pressure_altitude_m=1000.0, air_temperature_k=31.0)


@pytest.mark.parametrize("density_kg_m3", [0.0, 0.08, 2.0, math.nan])
def test_a_density_that_the_standard_atmosphere_has_nowhere_is_refused(density_kg_m3):
    with pytest.raises(OutOfRange, match=r"density_kg_m3=.* is outside 0.0880348 to 1.93047; check pressure altitude"):
        atmosphere.density_altitude_of_m(density_kg_m3=density_kg_m3)


def test_an_array_outside_is_masked_and_not_refused():
    pressure_pa = np.array([101325.0, 1.0, np.nan, 2e5, 90000.0])
    inside = atmosphere.inside(pressure_pa=pressure_pa)
    assert inside.tolist() == [True, False, False, False, True]
    altitude_m = atmosphere.standard_altitude_m(pressure_pa=pressure_pa)
    assert np.isfinite(altitude_m).all()
    assert altitude_m[inside] == pytest.approx([0.0, 988.5], abs=0.1)
    density_altitude_m = atmosphere.density_altitude_of_m(density_kg_m3=np.array([1.225, 0.0, np.nan, 9.0]))
    assert np.isfinite(density_altitude_m).all()
    both = atmosphere.inside(pressure_pa=pressure_pa, air_temperature_k=np.array([288.0, 288.0, 288.0, 288.0, 15.0]))
    assert both.tolist() == [True, False, False, False, False]


ONE_BY_ONE = [
    (atmosphere.standard_temperature_k, {"geopotential_altitude_m": (-4000.0, 0.0, 11000.0, 19000.0)}),
    (atmosphere.standard_pressure_pa, {"geopotential_altitude_m": (-4000.0, 0.0, 11000.0, 19000.0)}),
    (atmosphere.standard_density_kg_m3, {"geopotential_altitude_m": (-4000.0, 0.0, 11000.0, 19000.0)}),
    (atmosphere.standard_altitude_m, {"pressure_pa": (6000.0, 20000.0, 90000.0, 101325.0)}),
    (atmosphere.pressure_altitude_m, {"elevation_m": (0.0, 994.0), "altimeter_pa": (101000.0, 102000.0)}),
    (atmosphere.pressure_altitude_by_inch_rule_m, {"elevation_m": (0.0, 994.0), "altimeter_pa": (101000.0, 102000.0)}),
    (atmosphere.station_pressure_pa, {"elevation_m": (0.0, 994.0), "altimeter_pa": (101000.0, 102000.0)}),
    (atmosphere.dry_air_density_kg_m3, {"pressure_pa": (9e4, 1e5), "air_temperature_k": (250.0, 300.0)}),
    (atmosphere.density_altitude_m, {"pressure_altitude_m": (0.0, 12000.0), "air_temperature_k": (220.0, 300.0)}),
    (atmosphere.density_altitude_by_rule_m, {"pressure_altitude_m": (0.0, 900.0), "above_standard_k": (-5.0, 20.0)}),
    (atmosphere.speed_of_sound_m_s, {"air_temperature_k": (250.0, 300.0)}),
    (atmosphere.true_airspeed_m_s, {"calibrated_airspeed_m_s": (20.0, 30.0), "density_kg_m3": (1.0, 1.2)}),
    (atmosphere.true_airspeed_by_rule_m_s, {"calibrated_airspeed_m_s": (20.0, 30.0), "altitude_m": (0.0, 900.0)}),
    (atmosphere.geopotential_altitude_m, {"geometric_altitude_m": (0.0, 9000.0)}),
    (atmosphere.geometric_altitude_m, {"geopotential_altitude_m": (0.0, 9000.0)}),
]


@pytest.mark.parametrize(("function", "inputs"), ONE_BY_ONE, ids=[row[0].__name__ for row in ONE_BY_ONE])
def test_arrays_give_element_by_element_what_single_numbers_give(function, inputs):
    names = list(inputs)
    many = function(**{name: np.array(values) for name, values in inputs.items()})
    for index, element in enumerate(many):
        one = function(**{name: inputs[name][index] for name in names})
        assert type(one) is float
        assert element == pytest.approx(one, rel=1e-13, abs=1e-9)


@pytest.mark.parametrize(
    ("setting_inhg", "tenths"), [(29.92, 0), (31.0, 0), (31.01, 1), (31.10, 1), (31.11, 2), (31.20, 2), (31.30, 3)]
)
def test_a_setting_exactly_on_a_step_is_not_counted_as_the_next(setting_inhg, tenths):
    steps = atmosphere.altimeter_steps_over(
        altimeter_pa=setting_inhg * INHG, highest_pa=31.0 * INHG, step_pa=0.1 * INHG
    )
    assert steps == tenths
