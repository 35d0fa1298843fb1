"""[IFH15B] The rounded density-altitude rule."""

import pytest

from gyrewright.air import atmosphere

FT = 0.3048


@pytest.mark.source("FAA-H-8083-15B, Instrument Flying Handbook (2012)", "ch. 4: 3,000 ft and 20 C give 4,320 ft")
def test_a_hundred_and_twenty_feet_for_each_degree():
    above_standard_k = 20.0 - (15.0 - 2.0 * 3.0)  # the book's own rounding of the standard temperature
    by_rule_m = atmosphere.density_altitude_by_rule_m(
        pressure_altitude_m=3000.0 * FT, above_standard_k=above_standard_k, rule_m_per_k=120.0 * FT
    )
    assert by_rule_m / FT == pytest.approx(4320.0, abs=0.5)
    exact_m = atmosphere.density_altitude_m(pressure_altitude_m=3000.0 * FT, air_temperature_k=293.15)
    assert exact_m / FT == pytest.approx(4268.0, abs=3.0)  # worked out, not printed
    assert exact_m < by_rule_m
