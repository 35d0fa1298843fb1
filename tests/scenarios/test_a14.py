"""A14: an instructor's day, counted in any 24 hours and not by the calendar."""

from dataclasses import replace
from datetime import datetime, timedelta

import pytest

from gyrewright.finding import Verdict
from gyrewright.release.ways import ways
from scenarios.fixture import Flight, all_against, answer, finding, question

PEOPLE = "people.toml"
NOW = "2027-07-14T12:00:00-05:00"
# 7.2 h in the last 24 h: 4.0 h that began 20 h ago, on the day before, and 3.2 h since.
TAUGHT = "taught = [{ start = AGO_20h, end = AGO_16h }, { start = AGO_300min, end = AGO_108min }]"
# The first such line is that of I1.
HOURS = (PEOPLE, "taught = []\n\n[person.medical]", TAUGHT + "\n\n[person.medical]")
# The caution about more than 5 h taught is a caution and no more.
FLIGHT = Flight(asked_at=NOW, edits=(HOURS,))


def lasting(block_h, **changes):
    return answer(replace(FLIGHT, block_h=block_h, **changes))


def test_an_hour_more_is_too_much():
    asked = lasting(1.0)
    assert asked.verdict is Verdict.STOP
    assert all_against(asked) == {"rule.us.61.195.hours"}
    hours = finding(asked, "rule.us.61.195.hours")
    assert hours.params["given_h"] == pytest.approx(7.2)
    assert hours.params["total_h"] == pytest.approx(8.2)
    assert hours.params["left_h"] == pytest.approx(0.8)


def test_eight_tenths_are_not():
    assert lasting(0.8).verdict is Verdict.GO
    assert lasting(0.81).verdict is Verdict.STOP


def test_nor_is_an_hour_with_the_other_instructor():
    other = {
        "seats": {"front": "S1", "rear": "I2"},
        "parts": {"commander": "I2", "instructor": "I2", "student": "S1"},
    }
    asked = lasting(1.0, **other)
    assert asked.verdict is Verdict.GO
    assert [each.id for each in finding(lasting(1.0), "rule.us.61.195.hours").cures] == [
        "rules.teach_less",
        "rules.another_instructor",
    ]


def test_it_says_when_the_earliest_hour_leaves_the_window():
    hours = finding(lasting(1.0), "rule.us.61.195.hours")
    assert hours.params["frees_at"] == datetime.fromisoformat(NOW) + timedelta(hours=4)


@pytest.mark.parametrize(("clock", "verdict"), [("16:11:00", "STOP"), ("16:12:00", "GO")])
def test_later_in_the_day_the_window_has_moved_on(clock, verdict):
    # From 16:00 on the earliest hour leaves minute by minute; a start at 15:12 ends at 16:12, when 0.2 h have left.
    end = datetime.fromisoformat(f"2027-07-14T{clock}-05:00")
    start = (end - timedelta(hours=1)).isoformat()
    asked = lasting(1.0, depart=start)
    assert finding(asked, "rule.us.61.195.hours").verdict.code == verdict


def test_the_calendars_day_does_not_count():
    # By the calendar 3.2 h were given today, and 4.0 h yesterday: neither with 1.0 h more is over 8.
    asked = lasting(1.0)
    assert finding(asked, "rule.us.61.195.hours").verdict is Verdict.STOP


def test_more_than_five_hours_taught_are_a_caution_too():
    assert [each.id for each in lasting(0.8).cautions] == ["people.long_day"]


def test_eight_tenths_with_i1_and_an_hour_with_i2_are_offered():
    offers = ways(question(replace(FLIGHT, block_h=1.0))).offers
    found = {change.kind: (offer, change) for offer in offers for change in offer.changes if len(offer.changes) == 1}
    shorter, _ = found["block"]
    assert finding(shorter.answer, "time.open_end").value == pytest.approx(0.8)
    other, change = found["instructor"]
    assert other.answer.verdict is Verdict.GO
    assert "I2" in change.params.values()
