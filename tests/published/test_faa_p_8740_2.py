"""[P8740] Advice for humid days."""

import pytest

from gyrewright.air.atmosphere import dry_air_density_kg_m3
from gyrewright.air.humidity import moist_air_density_kg_m3


@pytest.mark.source("FAA-P-8740-2, Density Altitude", "humid days: add ten percent to the distance; from memory")
def test_ten_percent_covers_what_saturated_air_does_to_a_distance():
    computed_ft, advised_ft = 1000.0, 1100.0
    dry = dry_air_density_kg_m3(pressure_pa=101325.0, air_temperature_k=308.15)
    moist = moist_air_density_kg_m3(pressure_pa=101325.0, air_temperature_k=308.15, dew_point_k=308.15)
    # A roll grows about as the square of the density ratio: common practice, no source.
    assert computed_ft * 1.03 < computed_ft * (dry / moist) ** 2 <= advised_ft
