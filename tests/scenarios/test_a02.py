"""A02: a student alone inside the limits now, in a wind that will rise beyond them before the flight ends."""

from dataclasses import replace
from datetime import date, datetime, timedelta

import pytest

from gyrewright.finding import Verdict, Whose
from gyrewright.release.ways import ways
from scenarios.fixture import (
    CLIMB_FT_MIN,
    DENSITY_ALTITUDE_FT,
    DISTANCE_M,
    KT,
    MASS_KG,
    Flight,
    Row,
    against,
    answer,
    at,
    finding,
    question,
    value,
    verdict_of,
)

NOW = "2027-07-14T09:20:00-05:00"
MORNING = {"temperature": "20 C", "altimeter": "1015 hPa", "cloud": "4000 ft"}
FLIGHT = Flight(
    asked_at=NOW,
    block_h=0.7,
    purpose="student alone",
    seats={"front": "S2", "rear": "empty"},
    parts={"commander": "S2", "student": "S2", "instructor": "I1"},
    observed=Row("2027-07-14T09:12:00-05:00", wind=(270, 9, 13), **MORNING),
    rows=[Row("2027-07-14T10:30:00-05:00", wind=(280, 12, 20), **MORNING)],
)
SPREAD_MET = "2027-07-14T09:37:30-05:00"  # a quarter of the way from 4 to 8 kt
MEAN_MET = "2027-07-14T09:43:20-05:00"  # a third of the way from 9 to 12 kt


def close_to(moment, text):
    return abs(moment - datetime.fromisoformat(text)) <= timedelta(seconds=1)


def open_ended():
    """Return the answer to the same flight with its end left open."""
    return answer(replace(FLIGHT, block_h="open"))


def test_the_flight_as_asked_is_stopped_by_the_forecast():
    asked = answer(FLIGHT)
    assert verdict_of(asked) is Verdict.STOP
    assert against(asked) == {"wind.spread", "wind.total"}


def test_everything_is_inside_its_limit_now():
    asked = answer(FLIGHT)
    assert at(asked, "mean_wind_course", NOW) == pytest.approx(9.0 * KT)
    assert at(asked, "spread_course", NOW) == pytest.approx(4.0 * KT)
    assert at(asked, "crosswind_course", NOW) == 0.0
    for id, limit in (("wind.total", 10.0), ("wind.spread", 5.0), ("wind.crosswind", 5.0)):
        assert finding(asked, id).limit == pytest.approx(limit * KT)
    assert verdict_of(answer(replace(FLIGHT, block_h=0.25))) is Verdict.GO


def test_the_spread_is_met_before_the_mean_wind():
    asked = answer(FLIGHT)
    spread, mean = finding(asked, "wind.spread"), finding(asked, "wind.total")
    assert close_to(spread.binds_next.at, SPREAD_MET)
    assert close_to(mean.binds_next.at, MEAN_MET)
    assert spread.binds_next.at < mean.binds_next.at


def test_a_flight_down_before_the_spread_is_met_passes_and_one_after_it_does_not():
    # 09:20 to 09:37 is 17 minutes, to 09:43 is 23.
    assert verdict_of(answer(replace(FLIGHT, block_h=17.0 / 60.0))) is Verdict.GO
    assert verdict_of(answer(replace(FLIGHT, block_h=23.0 / 60.0))) is Verdict.STOP


def test_with_its_end_left_open_the_flight_may_last_until_the_spread_is_met():
    offered = open_ended()
    assert verdict_of(offered) is Verdict.GO_IF
    end = finding(offered, "time.open_end")
    (condition,) = end.conditions
    assert condition.until == datetime.fromisoformat("2027-07-14T09:37:00-05:00")
    assert condition.owner == "S2"
    assert end.params["binds"] == "wind.spread"


def test_the_numbers_of_the_solo():
    asked = answer(FLIGHT)
    assert finding(asked, "loading.take_off_mass").value == pytest.approx(396.8, abs=MASS_KG)
    assert value(asked, "density_altitude_m", "length", "ft") == pytest.approx(3170.0, abs=DENSITY_ALTITUDE_FT)
    assert value(asked, "climb_m_s", "climb", "ft/min") == pytest.approx(805.0, abs=CLIMB_FT_MIN)
    assert finding(asked, "performance.take_off_distance").value * 1.33 == pytest.approx(405.0, abs=DISTANCE_M)


def test_the_forecast_counts_until_engine_stop():
    assert verdict_of(answer(replace(FLIGHT, rows=[]))) is Verdict.GO
    later = Row("2027-07-14T10:30:00-05:00", wind=(270, 9, 13), **MORNING)
    assert verdict_of(answer(replace(FLIGHT, rows=[later]))) is Verdict.GO
    assert verdict_of(answer(FLIGHT)) is Verdict.STOP


def test_the_numbers_are_those_of_the_students_own_endorsement_of_22_days_ago():
    asked = answer(FLIGHT)
    for id in ("wind.total", "wind.spread", "wind.crosswind", "weather.visibility", "weather.cloud_base"):
        (layer,) = [each for each in finding(asked, id).layers if each.limit.whose is Whose.ENDORSEMENT]
        assert layer.limit.source.dated == date(2027, 6, 22)
        assert layer.limit.entered_by == "I1"
    law = finding(asked, "rule.us.61.87.endorsement")
    assert (law.verdict, law.params["given_on"]) == (Verdict.GO, date(2027, 6, 22))


@pytest.mark.parametrize(("days", "verdict"), [(90, Verdict.GO), (91, Verdict.STOP)])
def test_an_endorsement_is_good_for_90_days(days, verdict):
    old = (
        "people.toml",
        "given_on = DAY_AGO_22\nrests_on = DAY_AGO_22",
        f"given_on = DAY_AGO_{days}\nrests_on = DAY_AGO_{days}",
    )
    asked = answer(replace(FLIGHT, block_h=0.25, edits=(old,)))
    assert finding(asked, "rule.us.61.87.endorsement").verdict is verdict
    assert asked.verdict is verdict


def test_for_other_lessons_and_other_fields_it_was_not_written():
    assert finding(answer(replace(FLIGHT, block_h=0.25, lesson="upper work")), "people.place").why == "lesson"
    away = answer(replace(FLIGHT, block_h=0.25, law={"lands_elsewhere": "true"}))
    assert finding(away, "people.place").why == "place"


def test_a_shorter_flight_down_by_09_37_is_offered_beside_the_stop():
    (offer,) = [each for each in ways(question(FLIGHT)).offers if [change.kind for change in each.changes] == ["block"]]
    assert offer.answer.verdict is Verdict.GO_IF
    (condition,) = finding(offer.answer, "time.open_end").conditions
    assert condition.until == datetime.fromisoformat("2027-07-14T09:37:00-05:00")
