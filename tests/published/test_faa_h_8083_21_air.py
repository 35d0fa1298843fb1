"""[RFH21] The rotorcraft handbook's density-altitude chart."""

import pytest

from gyrewright.air import atmosphere

FT = 0.3048


@pytest.mark.source("FAA-H-8083-21, Rotorcraft Flying Handbook (2000)", "ch. 8, Fig. 8-1: 1,000 ft and 70 F, 2,000 ft")
def test_density_altitude_read_from_the_chart():
    ours = atmosphere.density_altitude_m(pressure_altitude_m=1000.0 * FT, air_temperature_k=(70.0 + 459.67) / 1.8)
    assert ours / FT == pytest.approx(2000.0, abs=100.0)  # half a division of the chart
    assert ours / FT == pytest.approx(1943.0, abs=3.0)  # worked out, not printed
