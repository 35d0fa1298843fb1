"""A11: fresh work on the controls: a second look by another, then a check flight alone, then the lesson."""

from dataclasses import replace

import pytest

from gyrewright.finding import Verdict
from scenarios.fixture import MASS_KG, Flight, all_against, answer, finding

BOOKS = "g1-records.toml"
LATER = "2027-07-14T09:30:00-05:00"


def work(second_look="", check_flight="", changes="true"):
    """Return the books with the new rod end, which M1 fitted and signed; the day's walk-round came after it."""
    look = f'second_look = {{ by = "{second_look}", at = AGO_80min }}, ' if second_look else ""
    flown = f'check_flight = {{ by = "{check_flight}", at = AGO_40min, result = "good" }}, ' if check_flight else ""
    text = (
        'work = [{ id = "W-1", what = "new end on a cyclic push rod", areas = ["controls"], at = AGO_100min, '
        f'by = ["M1"], signed = {{ by = "M1", at = AGO_90min }}, {look}{flown}changes_handling = {changes} }}]'
    )
    return (BOOKS, "work = []", text)


LESSON = Flight(depart=LATER, edits=(work(),))
CHECK = replace(
    LESSON,
    depart="",
    purpose="check flight",
    lesson="none",
    seats={"front": "I1", "rear": "empty"},
    parts={"commander": "I1"},
    law={"instruction_for_hire": "false"},
)


def test_without_a_second_look_the_lesson_is_stopped():
    asked = answer(LESSON)
    assert asked.verdict is Verdict.STOP
    assert {each.why for each in asked.findings if each.id == "maintenance.work"} >= {"second_look"}
    cures = [cure for each in asked.findings if each.why == "second_look" for cure in each.cures]
    assert [(cure.id, cure.who) for cure in cures] == [("maintenance.look_second", "I1, M1, M2")]


def test_after_it_the_lesson_still_waits_for_a_check_flight():
    asked = answer(replace(LESSON, edits=(work("M2"),)))
    assert asked.verdict is Verdict.STOP
    assert {each.why for each in asked.findings if each.id == "maintenance.work"} == {"check_flight"}
    assert finding(asked, "rule.us.91.407.check").verdict is Verdict.STOP


def test_the_check_flight_alone_is_on_only_if_its_result_is_written():
    asked = answer(replace(CHECK, edits=(work("M2"),)))
    assert asked.verdict is Verdict.GO_IF
    assert all_against(asked) == {"maintenance.work", "rule.us.91.407.check"}
    (condition,) = finding(asked, "maintenance.work").conditions
    assert (condition.id, condition.owner) == ("maintenance.write_result", "I1")
    assert asked.situation.sheet.value("take_off_mass_kg") == pytest.approx(404.8, abs=MASS_KG)


def test_the_check_flight_itself_needs_the_second_look():
    assert answer(CHECK).verdict is Verdict.STOP


def test_and_only_then_the_lesson():
    assert answer(replace(LESSON, depart="", edits=(work("M2", "I1"),))).verdict is Verdict.GO


def test_work_that_cannot_change_how_it_flies_needs_no_check_flight():
    assert answer(replace(LESSON, depart="", edits=(work("M2", changes="false"),))).verdict is Verdict.GO


@pytest.mark.parametrize("looker", ["M1", "S1", "I2"])
def test_neither_the_worker_nor_a_student_nor_an_unnamed_instructor_looks_a_second_time(looker):
    asked = answer(replace(LESSON, edits=(work(looker, "I1"),)))
    assert asked.verdict is Verdict.STOP
    assert "same_eyes" in [each.why for each in asked.findings if each.id == "maintenance.work"]


def test_a_students_walk_round_is_no_second_look():
    # The walk-round of the day was made by S1 and I1 after the work; it counts as a walk and as nothing else.
    asked = answer(LESSON)
    assert finding(asked, "inspection.walk").verdict is Verdict.GO
    assert "second_look" in {each.why for each in asked.findings if each.id == "maintenance.work"}


def test_the_instructor_whom_the_manager_named_may_look():
    asked = answer(replace(LESSON, depart="", edits=(work("I1", "I1"),)))
    assert asked.verdict is Verdict.GO
