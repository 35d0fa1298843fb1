"""A13: a cold morning in March. Only the numbers; the paper and its two times are proved with the records."""

import pytest

from gyrewright.finding import Verdict
from scenarios.fixture import (
    CG_M,
    CLIMB_FT_MIN,
    DENSITY_ALTITUDE_FT,
    DISTANCE_M,
    MASS_KG,
    Flight,
    Row,
    against,
    answer,
    finding,
    value,
    verdict_of,
)

FLIGHT = Flight(
    asked_at="2027-03-02T09:20:00-06:00",
    seats={"front": "S1", "rear": "I2"},
    parts={"commander": "I2", "instructor": "I2", "student": "S1"},
    runway="09",
    fuel_l=30.0,
    observed=Row("2027-03-02T09:10:00-06:00", wind=(80, 6, None), temperature="2 C", altimeter="1022 hPa"),
)


def test_nothing_stands_against_it():
    asked = answer(FLIGHT)
    assert verdict_of(asked) is Verdict.GO
    assert against(asked) == set()


def test_the_numbers_of_the_cold_morning():
    asked = answer(FLIGHT)
    assert finding(asked, "loading.take_off_mass").value == pytest.approx(480.6, abs=MASS_KG)
    assert asked.situation.sheet.value("cg_path").take_off_cg_m == pytest.approx(-0.103, abs=CG_M)
    assert value(asked, "density_altitude_m", "length", "ft") == pytest.approx(800.0, abs=DENSITY_ALTITUDE_FT)
    assert value(asked, "climb_m_s", "climb", "ft/min") == pytest.approx(705.0, abs=CLIMB_FT_MIN)
    assert finding(asked, "performance.take_off_distance").value * 1.33 == pytest.approx(465.0, abs=DISTANCE_M)
