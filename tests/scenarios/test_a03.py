"""A03: somebody else wants to wave the solo through, in a wind beyond what the student is endorsed for."""

import pytest

from gyrewright.finding import Verdict
from scenarios.fixture import KT, Flight, Row, against, answer, finding, verdict_of

GUSTY = Row("2027-07-17T09:50:00-05:00", wind=(300, 9, 16))
ALONE = Flight(
    asked_at="2027-07-17T10:00:00-05:00",
    purpose="student alone",
    seats={"front": "S2", "rear": "empty"},
    parts={"commander": "S2", "student": "S2", "instructor": "I2"},
    observed=GUSTY,
)
WITH_I2 = Flight(
    asked_at="2027-07-17T10:00:00-05:00",
    seats={"front": "S2", "rear": "I2"},
    parts={"commander": "I2", "instructor": "I2", "student": "S2"},
    observed=GUSTY,
)


def test_spread_and_crosswind_in_the_gust_stop_the_solo():
    asked = answer(ALONE)
    assert verdict_of(asked) is Verdict.STOP
    assert against(asked) == {"wind.spread", "wind.crosswind"}
    spread, cross = finding(asked, "wind.spread"), finding(asked, "wind.crosswind")
    assert spread.value == pytest.approx(7.0 * KT)
    assert spread.limit == pytest.approx(5.0 * KT)
    # 16 kt from 30 degrees off the runway: 8.0 kt across, to the digit given.
    assert cross.value == pytest.approx(8.0 * KT, abs=0.05 * KT)
    assert cross.limit == pytest.approx(5.0 * KT)


def test_the_mean_wind_passes_and_is_shown_as_passing():
    mean = finding(answer(ALONE), "wind.total")
    assert mean.verdict is Verdict.GO
    assert mean.value == pytest.approx(9.0 * KT)
    assert mean.limit == pytest.approx(10.0 * KT)


def test_the_same_wind_is_inside_the_house_rules_with_an_instructor():
    asked = answer(WITH_I2)
    assert verdict_of(asked) is Verdict.GO
    spread, cross = finding(asked, "wind.spread"), finding(asked, "wind.crosswind")
    assert (spread.value, spread.limit) == (pytest.approx(7.0 * KT), pytest.approx(10.0 * KT))
    assert (cross.value, cross.limit) == (pytest.approx(8.0 * KT, abs=0.05 * KT), pytest.approx(12.0 * KT))
