import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from gyrewright.air import atmosphere, humidity
from gyrewright.errors import OutOfRange

FT = 0.3048

altitudes = st.floats(-400.0, 4000.0)
temperatures = st.floats(243.15, 318.15)
spreads = st.floats(0.0, 30.0)


def compressibility(celsius, pressure_pa, x):
    """Equation A1.4, written out a second time from the paper."""
    t, p, kelvin = celsius, pressure_pa, celsius + 273.15
    bracket = 1.58123e-6 - 2.9331e-8 * t + 1.1043e-10 * t**2
    bracket += (5.707e-6 - 2.051e-8 * t) * x + (1.9898e-4 - 2.376e-6 * t) * x**2
    return 1.0 - p / kelvin * bracket + (p / kelvin) ** 2 * (1.83e-11 - 0.765e-8 * x**2)


@pytest.mark.parametrize("celsius", [-20.0, 5.0, 35.0, 55.0])
@pytest.mark.parametrize("ratio", [0.0, 0.4, 1.0])
def test_the_reference_formula_agrees_with_a_second_copy(celsius, ratio):
    pressure_pa, kelvin = 95000.0, celsius + 273.15
    saturation_pa = math.exp(1.2378847e-5 * kelvin**2 - 1.9121316e-2 * kelvin + 33.93711047 - 6.3431645e3 / kelvin)
    x = ratio * (1.00062 + 3.14e-8 * pressure_pa + 5.6e-7 * celsius**2) * saturation_pa / pressure_pa
    z = compressibility(celsius, pressure_pa, x)
    given_ = {"pressure_pa": pressure_pa, "air_temperature_k": kelvin}
    ours = humidity.cipm_compressibility_ratio(**given_, vapour_mole_ratio=x)
    # Relative to the departure from one, so that a slip in the smallest coefficient shows.
    assert 1.0 - ours == pytest.approx(1.0 - z, rel=1e-9)
    for carbon in (0.0004, 0.001):
        dry = 28.96546e-3 + 12.011e-3 * (carbon - 0.0004)
        density = pressure_pa * dry / (z * 8.314472 * kelvin) * (1.0 - x * (1.0 - 18.01528e-3 / dry))
        ours = humidity.cipm_density_kg_m3(**given_, relative_humidity_ratio=ratio, carbon_dioxide_ratio=carbon)
        assert ours == pytest.approx(density, rel=1e-12)


@pytest.mark.parametrize("celsius", [0.0, 10.0, 20.0, 30.0, 40.0])
def test_the_short_vapour_formula_is_within_five_per_mille_of_the_reference(celsius):
    ours = humidity.vapour_pressure_pa(dew_point_k=celsius + 273.15)
    assert ours == pytest.approx(humidity.cipm_saturation_pressure_pa(air_temperature_k=celsius + 273.15), rel=0.005)


@pytest.mark.parametrize("celsius", [0.0, 10.0, 20.0, 30.0])
@pytest.mark.parametrize("spread", [0.0, 5.0, 15.0])
def test_the_gas_law_density_is_within_one_per_mille_of_the_reference(celsius, spread):
    given_ = {"pressure_pa": 101325.0, "air_temperature_k": celsius + 273.15}
    dew_point_k = celsius + 273.15 - spread
    ours = humidity.moist_air_density_kg_m3(**given_, dew_point_k=dew_point_k)
    ratio = humidity.relative_humidity_ratio(air_temperature_k=celsius + 273.15, dew_point_k=dew_point_k)
    reference = humidity.cipm_density_kg_m3(**given_, relative_humidity_ratio=ratio)
    assert ours == pytest.approx(reference, rel=0.001)


@given(altitudes, temperatures, spreads)
def test_moist_air_is_never_heavier_than_dry(altitude_m, air_temperature_k, spread_k):
    pressure_pa = atmosphere.standard_pressure_pa(geopotential_altitude_m=altitude_m)
    dry = atmosphere.dry_air_density_kg_m3(pressure_pa=pressure_pa, air_temperature_k=air_temperature_k)
    moist = humidity.moist_air_density_kg_m3(
        pressure_pa=pressure_pa, air_temperature_k=air_temperature_k, dew_point_k=air_temperature_k - spread_k
    )
    assert moist < dry


@given(altitudes, temperatures, st.floats(0.1, 30.0))
def test_a_higher_dew_point_raises_density_altitude(altitude_m, air_temperature_k, spread_k):
    given_ = {"pressure_altitude_m": altitude_m, "air_temperature_k": air_temperature_k}
    dry = atmosphere.density_altitude_m(**given_)
    drier = humidity.humid_density_altitude_m(**given_, dew_point_k=air_temperature_k - spread_k)
    wetter = humidity.humid_density_altitude_m(**given_, dew_point_k=air_temperature_k)
    assert dry < drier < wetter


@given(temperatures, spreads)
def test_relative_humidity_is_a_share_and_whole_at_the_dew_point(air_temperature_k, spread_k):
    ratio = humidity.relative_humidity_ratio(
        air_temperature_k=air_temperature_k, dew_point_k=air_temperature_k - spread_k
    )
    assert 0.0 < ratio <= 1.0
    assert humidity.relative_humidity_ratio(air_temperature_k=air_temperature_k, dew_point_k=air_temperature_k) == 1.0


def test_no_spread_is_fog_and_the_base_is_on_the_ground():
    assert humidity.cloud_base_m(air_temperature_k=283.15, dew_point_k=283.15) == 0.0


def test_the_closing_of_the_spread_is_the_callers_to_change():
    ours = humidity.cloud_base_m(
        air_temperature_k=293.15, dew_point_k=283.15, air_cools_k_per_m=0.0098, dew_point_falls_k_per_m=0.0018
    )
    assert ours == pytest.approx(1250.0)


@pytest.mark.parametrize(
    "function",
    [
        humidity.relative_humidity_ratio,
        humidity.cloud_base_m,
        lambda **day: humidity.virtual_temperature_k(pressure_pa=101325.0, **day),
        lambda **day: humidity.moist_air_density_kg_m3(pressure_pa=101325.0, **day),
        lambda **day: humidity.humid_density_altitude_m(pressure_altitude_m=0.0, **day),
    ],
)
def test_a_dew_point_above_the_temperature_is_refused(function):
    with pytest.raises(OutOfRange, match=r"dew_point_k=284.15 is above air_temperature_k=283.15; .* were they swapped"):
        function(air_temperature_k=283.15, dew_point_k=284.15)


def test_a_dew_point_typed_in_degrees_is_told_so():
    with pytest.raises(OutOfRange, match=r"dew_point_k=12 is outside .* give kelvins"):
        humidity.vapour_pressure_pa(dew_point_k=12.0)


def test_vapour_cannot_be_more_than_the_whole_pressure():
    with pytest.raises(OutOfRange, match=r"dew_point_k=330 needs more than the whole pressure_pa=6000"):
        humidity.virtual_temperature_k(pressure_pa=6000.0, air_temperature_k=333.0, dew_point_k=330.0)
    just_pa = humidity.vapour_pressure_pa(dew_point_k=330.0) / 1.005
    with pytest.raises(OutOfRange, match="needs more than the whole"):
        humidity.virtual_temperature_k(pressure_pa=just_pa, air_temperature_k=333.0, dew_point_k=330.0)
    # In an array it counts as nothing but vapour.
    ours = humidity.virtual_temperature_k(
        pressure_pa=np.array([6000.0]), air_temperature_k=333.0, dew_point_k=np.array([330.0])
    )
    assert ours[0] == pytest.approx(333.0 * 28.9644 / 18.01528)


def test_in_arrays_an_impossible_dew_point_is_masked():
    temperature_k, dew_point_k = np.array([283.15, 283.15, 283.15]), np.array([273.15, 283.15, 290.15])
    fits = humidity.dew_point_fits(air_temperature_k=temperature_k, dew_point_k=dew_point_k)
    assert fits.tolist() == [True, True, False]
    ratio = humidity.relative_humidity_ratio(air_temperature_k=temperature_k, dew_point_k=dew_point_k)
    assert ratio[1] == 1.0
    assert np.isfinite(ratio).all()


DAY = {"air_temperature_k": (275.0, 300.0), "dew_point_k": (270.0, 295.0)}
ONE_BY_ONE = [
    (humidity.vapour_pressure_pa, {"dew_point_k": (270.0, 295.0)}),
    (humidity.relative_humidity_ratio, DAY),
    (humidity.virtual_temperature_k, {"pressure_pa": (9e4, 1e5), **DAY}),
    (humidity.moist_air_density_kg_m3, {"pressure_pa": (9e4, 1e5), **DAY}),
    (humidity.humid_density_altitude_m, {"pressure_altitude_m": (0.0, 1000.0), **DAY}),
    (humidity.cloud_base_m, DAY),
    (
        humidity.cipm_density_kg_m3,
        {"pressure_pa": (9e4, 1e5), "air_temperature_k": (275.0, 300.0), "relative_humidity_ratio": (0.0, 0.9)},
    ),
]


@pytest.mark.parametrize(("function", "inputs"), ONE_BY_ONE, ids=[row[0].__name__ for row in ONE_BY_ONE])
def test_arrays_give_element_by_element_what_single_numbers_give(function, inputs):
    many = function(**{name: np.array(values) for name, values in inputs.items()})
    for index, element in enumerate(many):
        one = function(**{name: values[index] for name, values in inputs.items()})
        assert type(one) is float
        assert element == pytest.approx(one, rel=1e-13, abs=1e-9)
