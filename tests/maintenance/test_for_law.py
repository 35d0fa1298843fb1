"""The same books under the names by which rules ask."""

from __future__ import annotations

from datetime import date

import pytest
from tests.maintenance.test_demo_day import upkeep


def value(answer, name):
    cell = answer.sheet.cell(name)
    return cell.value if cell.known is True else cell.lacking


def test_the_whimbrels_hundred_hours_are_those_of_the_books(asked, local):
    answer = asked(**upkeep("whimbrel"), asked_at=local("2027-06-12T13:20"), depart_at=local("2027-06-12T13:30"))
    assert value(answer, "hours_inspected_at_h") == pytest.approx(1104.5)
    assert value(answer, "hours_were_due_at_h") == pytest.approx(1100.0)
    assert value(answer, "time_in_service_h") == pytest.approx(1206.4)
    assert value(answer, "annual_inspection_on") == date(2026, 10, 23)
    assert value(answer, "condition_inspection_on") == ("done:condition inspection",)


def test_booked_flying_is_in_service_by_the_start(asked, local):
    answer = asked(**upkeep("dunlin"), asked_at=local("2027-06-12T06:16"), depart_at=local("2027-06-12T10:10"))
    assert value(answer, "time_in_service_h") == pytest.approx(489.5)
    (directive,) = value(answer, "directives")
    assert (directive.due_h, directive.now_h) == (pytest.approx(490.1), pytest.approx(489.5))
    lives = {(one.name, one.due_on or one.due_h) for one in value(answer, "life_limits")}
    assert {("Teeter bolt and bushes", 500.0), ("Rubber parts", date(2027, 6, 29))} <= lives


def test_the_sanderlings_lamp_is_the_one_inoperative_item(asked, local):
    answer = asked(**upkeep("sanderling"), asked_at=local("2027-06-12T18:50"), depart_at=local("2027-06-12T19:00"))
    (lamp,) = value(answer, "inoperative")
    assert (lamp.name, lamp.required, lamp.deactivated, lamp.placarded, lamp.decider_entitled) == (
        "landing lamp",
        False,
        True,
        True,
        True,
    )
    assert value(answer, "undeferred_defects") == ()
    assert value(answer, "condition_inspection_on") == date(2026, 6, 17)
    assert value(answer, "condition_inspection_months") == 12


def test_what_nobody_entitled_did_is_open_under_the_law_too(asked, books):
    work = (
        '[[work]]\nid = "W"\nwhat = "new rod end"\nareas = ["controls"]\nat = 2027-06-12T06:30:00-07:00\nby = ["M1"]\n'
    )
    defect = '[[defect]]\nid = "D"\nitem = "radio"\nat = 2027-06-11T06:30:00-07:00\nby = "S1"\n'
    records = books["records"].replace("work = []\n", "").replace("defect = []\n", "") + work + defect
    answer = asked(records=records)
    assert value(answer, "work_not_returned") == ("new rod end",)
    assert value(answer, "undeferred_defects") == ("radio",)
    assert value(answer, "check_flight_needed") == ("changes_handling",)
    assert value(answer, "check_flight_logged") is False


def test_the_weighing_in_force_is_the_newest_that_a_paper_states(asked, books):
    paper = '[[paper]]\nname = "weight and balance"\nexpires_on = "never"\naboard = true\n'
    silent = asked(records=books["records"] + paper)
    assert value(silent, "weighing_in_force") == ("paper:weight and balance",)
    two = "".join(paper + f'reference = "{day}"\n' for day in ("2027-01-15", "2026-03-02"))
    assert value(asked(records=books["records"] + two), "weighing_in_force") == "2027-01-15"


def test_a_deferral_that_does_not_say_how_it_was_made_safe_is_unsaid_and_not_connected(asked, books):
    defect = (
        '[[defect]]\nid = "D"\nitem = "radio"\nat = 2027-06-11T06:30:00-07:00\nby = "S1"\n'
        '[[defect.act]]\nkind = "deferred"\nat = 2027-06-11T07:30:00-07:00\nby = "M1"\nuntil = 2027-07-01\n'
    )
    (item,) = value(asked(records=books["records"].replace("defect = []\n", "") + defect), "inoperative")
    assert (item.removed, item.deactivated) == (None, None)
