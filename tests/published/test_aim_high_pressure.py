"""[AIM2023] What is added to ceiling and visibility when the pressure is above the altimeter's range."""

import pytest

from gyrewright.air.atmosphere import altimeter_steps_over

DOCUMENT = "FAA Aeronautical Information Manual, basic effective 20 April 2023"
INHG = 3386.389


@pytest.mark.source(DOCUMENT, "7-2-3 b: for each tenth over 31.00, begun or whole, 100 ft and 1/4 SM")
def test_a_setting_of_31_21_counts_as_three_tenths():
    tenths = altimeter_steps_over(altimeter_pa=31.21 * INHG, highest_pa=31.0 * INHG, step_pa=0.1 * INHG)
    assert tenths == 3
    assert (200.0 + 100.0 * tenths, 0.5 + 0.25 * tenths) == (500.0, 1.25)
