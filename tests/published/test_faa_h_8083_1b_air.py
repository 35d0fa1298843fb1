"""[WBH1B] Standard temperature and the day's deviation from it."""

import pytest

from gyrewright.air import atmosphere

FT = 0.3048


@pytest.mark.source(
    "FAA-H-8083-1B, Aircraft Weight and Balance Handbook (2016)", "ch. 9: 16,000 ft at -32 C is 15.3 C under standard"
)
def test_deviation_from_the_standard_temperature():
    standard_c = atmosphere.standard_temperature_k(geopotential_altitude_m=16000.0 * FT) - 273.15
    assert standard_c == pytest.approx(-16.7, abs=0.05)  # half the last printed digit
    assert -32.0 - standard_c == pytest.approx(-15.3, abs=0.05)
