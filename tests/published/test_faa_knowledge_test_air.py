"""[FAAKT] Public sample items of the airman knowledge test; from memory, arithmetic verified."""

import pytest

from gyrewright.air import atmosphere, wind

DOCUMENT = "FAA airman knowledge test, public sample items; from memory"
FT = 0.3048
KT = 1852.0 / 3600.0
INHG = 3386.389


@pytest.mark.source(DOCUMENT, "pressure altitude at 1,386 ft and 29.97, and at 1,380 ft and 28.22")
@pytest.mark.parametrize(
    ("elevation_ft", "setting_inhg", "answer_ft"), [(1386.0, 29.97, 1341.0), (1380.0, 28.22, 2991.0)]
)
def test_pressure_altitude(elevation_ft, setting_inhg, answer_ft):
    ours = atmosphere.pressure_altitude_m(elevation_m=elevation_ft * FT, altimeter_pa=setting_inhg * INHG)
    assert ours / FT == pytest.approx(answer_ft, abs=2.0)  # the item's table is in whole feet


@pytest.mark.source(DOCUMENT, "density altitude at 3,894 ft, 30.35 inHg and 25 F: 2,000 ft")
def test_density_altitude_of_a_cold_day():
    at_m = atmosphere.pressure_altitude_m(elevation_m=3894.0 * FT, altimeter_pa=30.35 * INHG)
    ours = atmosphere.density_altitude_m(pressure_altitude_m=at_m, air_temperature_k=(25.0 + 459.67) / 1.8)
    assert ours / FT == pytest.approx(2000.0, abs=100.0)  # answers are 500 ft apart, read off a chart
    assert ours / FT == pytest.approx(2043.0, abs=3.0)  # worked out, not printed


@pytest.mark.source(DOCUMENT, "strongest wind for a crosswind limit of 12 kt at 30 degrees: 24 kt")
def test_strongest_wind_for_a_crosswind_limit():
    ours = wind.strongest_wind_m_s(crosswind_limit_m_s=12.0 * KT, angle_deg=30.0)
    assert ours / KT == pytest.approx(24.0, abs=0.5)  # read off a chart
