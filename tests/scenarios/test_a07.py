"""A07: an old observation without pressure. What is there is within limits; what is not there is not guessed."""

from dataclasses import replace

import pytest

from gyrewright.finding import Verdict
from scenarios.fixture import Flight, Row, against, answer, finding, verdict_of

OLD = Row("2027-07-14T09:00:00-05:00", wind=(270, 6, None), altimeter=None)
FLIGHT = Flight(
    asked_at="2027-07-14T10:35:00-05:00",
    purpose="student alone",
    seats={"front": "S2", "rear": "empty"},
    parts={"commander": "S2", "student": "S2", "instructor": "I1"},
    observed=OLD,
)
REST_ON_PRESSURE = {
    "performance.take_off_distance",
    "performance.landing_distance",
    "performance.climb",
    "performance.table_ends",
    "weather.pressure_altitude",
}


def test_the_answer_is_unknown_for_two_reasons():
    asked = answer(FLIGHT)
    assert verdict_of(asked) is Verdict.UNKNOWN
    assert against(asked) == {"weather.observation_age", *REST_ON_PRESSURE}


def test_the_observation_is_too_old_for_a_student_alone():
    age = finding(answer(FLIGHT), "weather.observation_age")
    assert age.verdict is Verdict.UNKNOWN
    assert age.value == pytest.approx(95.0 / 60.0)
    assert age.limit == pytest.approx(30.0 / 60.0)
    assert {layer.limit.typed for layer in age.layers} == {"30 min", "60 min"}


def test_it_says_what_to_fetch():
    asked = answer(FLIGHT)
    age = finding(asked, "weather.observation_age")
    assert [cure.id for cure in age.cures] == ["weather.observation_age.fetch"]
    assert finding(asked, "performance.take_off_distance").lacking == ("weather:altimeter",)


def test_a_fresh_reading_of_ones_own_cures_it():
    fresh = Row("2027-07-14T10:30:00-05:00", wind=(270, 6, None), altimeter="1018 hPa")
    assert verdict_of(answer(replace(FLIGHT, observed=fresh))) is Verdict.GO


def test_either_lack_alone_is_enough():
    fresh_without_pressure = replace(OLD, at="2027-07-14T10:30:00-05:00")
    old_with_pressure = replace(OLD, altimeter="1018 hPa")
    assert against(answer(replace(FLIGHT, observed=fresh_without_pressure))) == REST_ON_PRESSURE
    assert against(answer(replace(FLIGHT, observed=old_with_pressure))) == {"weather.observation_age"}


def test_no_pressure_is_filled_in():
    sheet = answer(FLIGHT).situation.sheet
    for name in ("lowest_altimeter_pa", "pressure_altitude_m", "density_altitude_m", "take_off_distance_m"):
        assert sheet.value(name) is None


def test_what_is_within_limits_does_not_make_the_answer_pass():
    asked = answer(FLIGHT)
    assert finding(asked, "wind.total").verdict is Verdict.GO
    assert finding(asked, "wind.crosswind").verdict is Verdict.GO
    assert asked.verdict >= Verdict.UNKNOWN
