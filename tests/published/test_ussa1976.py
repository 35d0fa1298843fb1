"""[USSA1976] The standard atmosphere against geopotential altitude.

The layer equations were read in the standard; the numbers in feet were worked out from them, are not printed there,
and agree with printed third-party tables. The two layer bases are printed (from memory).
"""

import pytest

from gyrewright.air import atmosphere

DOCUMENT = "U.S. Standard Atmosphere, 1976 (NOAA-S/T 76-1562)"
FT = 0.3048
KT = 1852.0 / 3600.0
INHG = 3386.389

# ft, C, hPa, inHg, kg/m3, temperature, pressure and density as a share of sea level, speed of sound in kt
ROWS = [
    (0.0, 15.0, 1013.25, 29.9213, 1.225, 1.0, 1.0, 1.0, 661.48),
    (2000.0, 11.038, 942.129, 27.8211, 1.1549, 0.986249, 0.929809, 0.942773, 656.92),
    (3000.0, 9.056, 908.117, 26.8167, 1.12102, 0.979373, 0.896241, 0.915117, 654.62),
    (5000.0, 5.094, 843.073, 24.8959, 1.05555, 0.965622, 0.832048, 0.86167, 650.01),
    (6000.0, 3.113, 811.996, 23.9782, 1.02393, 0.958746, 0.801378, 0.83586, 647.69),
    (7000.0, 1.132, 781.854, 23.0881, 0.99304, 0.951871, 0.771629, 0.810645, 645.36),
    (8000.0, -0.85, 752.624, 22.225, 0.96287, 0.944995, 0.742782, 0.786016, 643.03),
    (9000.0, -2.831, 724.285, 21.3881, 0.93341, 0.93812, 0.714814, 0.761964, 640.69),
    (12000.0, -8.774, 644.408, 19.0294, 0.84914, 0.917493, 0.635982, 0.693173, 633.6),
    (18000.0, -20.662, 505.998, 14.9421, 0.69815, 0.876239, 0.499381, 0.569914, 619.2),
]


@pytest.mark.source(DOCUMENT, "troposphere layer equations")
@pytest.mark.parametrize("row", ROWS, ids=lambda row: f"{row[0]:.0f} ft")
def test_the_standard_atmosphere_is_reproduced(row):
    altitude_ft, celsius, hpa, inhg, density, theta, delta, sigma, sound_kt = row
    at = altitude_ft * FT
    temperature_k = atmosphere.standard_temperature_k(geopotential_altitude_m=at)
    pressure_pa = atmosphere.standard_pressure_pa(geopotential_altitude_m=at)
    density_kg_m3 = atmosphere.standard_density_kg_m3(geopotential_altitude_m=at)
    # Tolerances: the last digit worked out, as the equations are exact.
    assert temperature_k - 273.15 == pytest.approx(celsius, abs=0.001)
    assert pressure_pa / 100.0 == pytest.approx(hpa, abs=0.001)
    assert pressure_pa / INHG == pytest.approx(inhg, abs=0.0002)
    assert density_kg_m3 == pytest.approx(density, abs=0.00001)
    assert temperature_k / 288.15 == pytest.approx(theta, abs=0.000002)
    assert pressure_pa / 101325.0 == pytest.approx(delta, abs=0.000002)
    assert density_kg_m3 / 1.225 == pytest.approx(sigma, abs=0.000002)
    assert atmosphere.speed_of_sound_m_s(air_temperature_k=temperature_k) / KT == pytest.approx(sound_kt, abs=0.01)


@pytest.mark.source(DOCUMENT, "table I, geopotential altitude; from memory")
@pytest.mark.parametrize(
    ("altitude_m", "printed_k", "printed_pa", "half_last_digit_pa", "printed_kg_m3", "half_last_digit_kg_m3"),
    [(11000.0, 216.65, 22632.0, 0.5, 0.36392, 0.000005), (20000.0, 216.65, 5474.8, 0.1, 0.088035, 0.0000005)],
    ids=["tropopause", "top of the isothermal layer"],
)
def test_the_layer_bases_are_reproduced_and_found_again(
    altitude_m, printed_k, printed_pa, half_last_digit_pa, printed_kg_m3, half_last_digit_kg_m3
):
    assert atmosphere.standard_temperature_k(geopotential_altitude_m=altitude_m) == pytest.approx(printed_k, abs=0.005)
    pressure_pa = atmosphere.standard_pressure_pa(geopotential_altitude_m=altitude_m)
    assert pressure_pa == pytest.approx(printed_pa, abs=half_last_digit_pa)
    density_kg_m3 = atmosphere.standard_density_kg_m3(geopotential_altitude_m=altitude_m)
    assert density_kg_m3 == pytest.approx(printed_kg_m3, abs=half_last_digit_kg_m3)
    assert atmosphere.standard_altitude_m(pressure_pa=pressure_pa) == pytest.approx(altitude_m, abs=0.001)
    assert atmosphere.density_altitude_of_m(density_kg_m3=density_kg_m3) == pytest.approx(altitude_m, abs=0.001)


@pytest.mark.source(DOCUMENT, "table 2 and eq. 42: defining constants and sea-level density")
def test_the_sea_level_density_comes_out_of_the_defining_constants():
    density_kg_m3 = atmosphere.SEA_LEVEL_DENSITY_KG_M3
    gas_constant = atmosphere.AIR_GAS_CONSTANT_J_PER_KG_K
    # 1.2250 as printed; half the last digit.
    assert density_kg_m3 == pytest.approx(1.2250, abs=0.00005)
    # 287.05 from memory; half the last digit. Half a dozen digits depend on how the molar mass is rounded.
    assert gas_constant == pytest.approx(287.05, abs=0.005)
