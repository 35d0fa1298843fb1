"""A10: the papers of a test day."""

from dataclasses import replace

import pytest

from gyrewright.finding import Verdict
from scenarios.fixture import MASS_KG, Flight, all_against, answer, finding

PEOPLE, BOOKS = "people.toml", "g1-records.toml"
MISSED = (PEOPLE, "areas_missed = 0\nmissed_areas_reviewed = true", "areas_missed = 3\nmissed_areas_reviewed = false")
REVIEWED = (PEOPLE, "areas_missed = 0\nmissed_areas_reviewed = true", "areas_missed = 3\nmissed_areas_reviewed = true")
YEARLY = (BOOKS, 'task = "yearly"\non = DAY_AGO_90', 'task = "yearly"\non = 2026-07-31')
# Prepared and endorsed on 6 July, 25 days before.
TEST = Flight(
    asked_at="2027-07-31T08:00:00-05:00",
    purpose="test",
    lesson="practical test",
    seats={"front": "S4", "rear": "E1"},
    parts={"commander": "S4", "student": "S4", "examiner": "E1", "instructor": "I1"},
    fuel_l=50.0,
    edits=(MISSED, YEARLY),
    law={
        "test_commander_agreed": "true",
        "examiner_standard_edition": '"FAA-S-8081-29B"',
        "planned_recovery_height": '"1600 ft"',
    },
)


def test_the_test_is_stopped_until_the_review_is_written_down():
    asked = answer(TEST)
    assert asked.verdict is Verdict.STOP
    assert all_against(asked) == {"rule.us.61.39"}
    papers = finding(asked, "rule.us.61.39")
    assert (papers.why, papers.params["count"]) == ("areas", 3)
    (cure,) = papers.cures
    assert cure.id == "people.review_missed_areas"


def test_with_the_statement_nothing_stands_against_the_test():
    asked = answer(replace(TEST, edits=(REVIEWED, YEARLY)))
    assert asked.verdict is Verdict.GO
    assert asked.situation.sheet.value("take_off_mass_kg") == pytest.approx(476.0, abs=MASS_KG)


def test_that_nobody_knows_of_a_statement_is_not_a_statement():
    silent = (PEOPLE, "areas_missed = 0\nmissed_areas_reviewed = true", "areas_missed = 3")
    assert answer(replace(TEST, edits=(silent, YEARLY))).verdict is Verdict.UNKNOWN


def test_nothing_stands_against_the_aircraft_and_its_inspection_ends_today():
    asked = answer(TEST)
    assert finding(asked, "rule.us.91.409.annual").verdict is Verdict.GO
    assert all(each.verdict is Verdict.GO for each in asked.findings if each.id.startswith("maintenance."))
    ends = [each for each in asked.cautions if each.id == "maintenance.ends_this_month"]
    assert [(each.params["what"], each.params["until"].isoformat()) for each in ends] == [
        ("Yearly condition inspection", "2027-07-31")
    ]


def test_a_test_that_slips_to_august_is_stopped():
    august = replace(TEST, asked_at="2027-08-01T08:00:00-05:00", edits=(REVIEWED, YEARLY))
    assert all_against(answer(august)) == {"maintenance.inspection", "rule.us.91.409.annual"}
    assert answer(august).verdict is Verdict.STOP


def test_the_examiner_did_not_train_the_applicant():
    own = (PEOPLE, 'what_for = "practical test"\ngiven_by = "I1"', 'what_for = "practical test"\ngiven_by = "E1"')
    assert "people.examiner" in all_against(answer(replace(TEST, edits=(REVIEWED, YEARLY, own))))
