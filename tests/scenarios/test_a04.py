"""A04: an inspection falls due in the middle of a booked day."""

from dataclasses import replace

import pytest

from gyrewright.finding import Verdict, Whose
from scenarios.fixture import Flight, all_against, answer, finding

BOOKS = "g1-records.toml"
# The 100 h inspection falls due at 1 284.0 h on the tachometer; it shows 1 282.9 h. The hour meter is further on.
NEARLY_DUE = (BOOKS, 'shows = "1250.0 h"', 'shows = "1282.9 h"')
BOOKED = (
    BOOKS,
    "booking = []",
    """booking = [
    { at = 2027-06-18T10:00:00-05:00, block = "0.9 h" },
    { at = 2027-06-18T11:30:00-05:00, block = "1.4 h" },
    { at = 2027-06-18T14:00:00-05:00, block = "1.0 h" },
]""",
)
FIRST = Flight(
    asked_at="2027-06-18T09:55:00-05:00",
    depart="2027-06-18T10:00:00-05:00",
    block_h=0.9,
    edits=(NEARLY_DUE, BOOKED),
)
SECOND = replace(FIRST, depart="2027-06-18T11:30:00-05:00", block_h=1.4, asked_at="2027-06-18T11:10:00-05:00")


def lasting(block_h):
    return answer(replace(FIRST, block_h=block_h))


def test_the_first_lesson_fits_with_a_tenth_to_spare():
    asked = answer(FIRST)
    assert asked.verdict is Verdict.GO
    hours = finding(asked, "maintenance.inspection", "100h")
    assert hours.value == pytest.approx(1283.9)
    assert hours.limit == pytest.approx(1284.0)


def test_the_second_lesson_is_stopped():
    asked = answer(SECOND)
    assert asked.verdict is Verdict.STOP
    assert all_against(asked) == {"maintenance.inspection", "rule.us.91.409.hundred"}
    hours = finding(asked, "maintenance.inspection", "100h")
    assert hours.params["before_h"] == pytest.approx(0.9)
    assert hours.params["longest_h"] == pytest.approx(0.1)


def test_the_longest_flight_at_five_to_ten_lasts_an_hour():
    assert answer(FIRST).situation.sheet.value("hours_left_h") == pytest.approx(1.0)
    assert lasting(1.0).verdict is Verdict.GO
    assert lasting(1.01).verdict is Verdict.STOP


def test_with_its_end_left_open_it_must_be_down_after_an_hour():
    asked = answer(replace(FIRST, block_h="open"))
    assert asked.verdict is Verdict.GO_IF
    end = finding(asked, "time.open_end")
    assert end.value == pytest.approx(1.0)
    assert end.params["binds"] == "maintenance.inspection"


def test_the_over_run_of_the_law_is_not_for_lessons():
    law = next(
        layer
        for layer in finding(answer(SECOND), "maintenance.inspection", "100h").layers
        if layer.limit.whose is Whose.LAW
    )
    assert not law.passes
    assert law.limit.value == pytest.approx(1284.0)


def test_the_over_run_is_for_flying_to_the_place_of_inspection():
    flight = replace(
        SECOND,
        purpose="ferry",
        lesson="none",
        seats={"front": "I1", "rear": "empty"},
        parts={"commander": "I1"},
        law={"flight_to_inspection": "true", "instruction_for_hire": "false"},
    )
    lesson = replace(SECOND, law={"flight_to_inspection": "true"})
    assert finding(answer(lesson), "maintenance.inspection", "100h").verdict is Verdict.STOP
    ferry = answer(flight)
    assert "rule.us.91.409.hundred" not in all_against(ferry)


def test_the_due_reading_is_not_rounded_up():
    over = replace(FIRST, edits=((BOOKS, 'shows = "1250.0 h"', 'shows = "1283.0 h"'), BOOKED))
    assert answer(replace(over, block_h=0.9)).verdict is Verdict.GO
    assert answer(replace(over, block_h=0.95)).verdict is Verdict.STOP


@pytest.mark.parametrize("shows", ["1391.0 h", "1399.9 h"])
def test_the_hour_meter_does_not_count(shows):
    other = (BOOKS, 'shows = "1391.0 h"', f'shows = "{shows}"')
    found = finding(answer(replace(FIRST, edits=(NEARLY_DUE, BOOKED, other))), "maintenance.inspection", "100h")
    assert found.params["meter"] == "tachometer"
    assert found.params["now_h"] == pytest.approx(1282.9)
