"""Leaving a defect for later: four questions in their order, made safe, a placard, an end, and a look again."""

from __future__ import annotations

from datetime import date, datetime
from zoneinfo import ZoneInfo

import pytest
from django.urls import reverse

from gyrewright.desk import clock
from gyrewright.desk.book.reading import find_records
from gyrewright.desk.services import state
from gyrewright.desk.services.matters import report_with_id
from gyrewright.finding import Verdict
from kit.reports import act, client_of, flight_findings, kinds, report, words

NO = {"equipment_list": "no", "this_flight": "no", "directive": "no", "judged_safe": "yes"}
REST = {
    "made_safe": "deactivated",
    "placard": "LAMP INOPERATIVE",
    "until_on": "2027-07-01",
    "until": "end",
    "look_again": "the connector is tied back",
    "words": "not asked for by day",
    "day_only": "yes",
}


def defer(id, person="arrowood", status=302, **given):
    return act(client_of(person), id, "defer", status=status, **{**NO, **REST, **given})


def state_of(id):
    return report_with_id(id, state.asking_at()).state


def test_it_works(demo_day):
    id = report(client_of("halloran"), symptom="does not work")
    pell = client_of("arrowood")
    page = words(pell.get(reverse("defect-act", args=[id, "defer"])))
    order = [
        "list of equipment require it?",
        "rule for this kind of flight require it?",
        "directive require it?",
        "judge that it is no hazard?",
    ]
    assert [page.index(each) for each in order] == sorted(page.index(each) for each in order)
    defer(id)
    assert state_of(id) == "deferred"
    (found,) = [each for each in flight_findings("maintenance.defect") if each.about == id]
    assert found.verdict is Verdict.GO_IF
    (record,) = find_records(kinds=("defect-deferred",), newest_first=True, count=1)
    assert (record.act.until_on, record.act.until_sunset, record.act.judged_safe) == (date(2027, 7, 1), False, True)
    page = words(pell.get(reverse("defect", args=[id])))
    assert "Left for later, lawfully, until Thursday 1 July 2027." in page
    assert "Placard: LAMP INOPERATIVE. Look again before each flight: the connector is tied back." in page


def test_nothing_is_answered_beforehand(demo_day):
    id = report(client_of("halloran"))
    page = client_of("arrowood").get(reverse("defect-act", args=[id, "defer"])).content.decode()
    assert " checked" not in page
    assert " selected" not in page


@pytest.mark.parametrize(
    ("question", "told"),
    [
        ("equipment_list", "the list of equipment that the type must have"),
        ("this_flight", "the rule for this kind of flight"),
        ("directive", "a directive"),
    ],
)
def test_each_question_is_answered_in_its_order_and_a_yes_ends_it(demo_day, question, told):
    id = report(client_of("halloran"))
    later = list(NO)[list(NO).index(question) :]
    open_one = defer(id, status=400, **dict.fromkeys(later, ""))
    assert f"answer first whether {told} requires it" in words(open_one, 400).lower()
    yes = defer(id, status=400, **{question: "yes"})
    assert f"{told} requires it, so it cannot be deferred" in words(yes, 400).lower()
    assert kinds("defect-deferred") == kinds("defect-deferred")
    assert state_of(id) == "open"


@pytest.mark.parametrize(
    ("given", "told"),
    [
        ({"judged_safe": ""}, "answer the fourth question"),
        ({"judged_safe": "no"}, "you judge it a hazard"),
        ({"made_safe": ""}, "removed or deactivated"),
        ({"placard": " "}, "words of the placard"),
        ({"look_again": ""}, "what is looked at before each flight"),
        ({"words": ""}, "why it may wait"),
        ({"until_on": ""}, "choose its last day"),
        ({"until_on": "soon"}, "is no day"),
        ({"until_on": "2027-06-11"}, "is past"),
    ],
)
def test_what_is_missing_is_said_and_nothing_is_lost(demo_day, given, told):
    id = report(client_of("halloran"))
    answer = defer(id, status=400, **given)
    assert told in words(answer, 400).lower()
    text = answer.content.decode()
    assert "the connector is tied back" in text or "look_again" in given
    assert text.count("checked") >= 5
    assert state_of(id) == "open"


def test_it_ends_by_itself(demo_day):
    id = report(client_of("halloran"))
    defer(id, until_on="2027-06-12", until="sunset", day_only="")
    (found,) = [each for each in flight_findings("maintenance.defect") if each.about == id]
    assert found.verdict is not Verdict.STOP
    (record,) = find_records(kinds=("defect-deferred",), newest_first=True, count=1)
    assert record.act.until_sunset


def test_what_is_past_its_end_grounds_on_every_page(demo_day):
    id = report(client_of("halloran"))
    defer(id, until_on="2027-06-12")
    found = report_with_id(id, state.asking_at())
    assert (found.has_ended, found.grounds) == (False, False)
    clock.start(demo_at=datetime(2027, 6, 13, 6, 30, tzinfo=ZoneInfo("America/Los_Angeles")))
    found = report_with_id(id, state.asking_at())
    assert (found.has_ended, found.grounds, found.state) == (True, True, "deferred")
    pell = client_of("arrowood")
    page = words(pell.get(reverse("defect", args=[id])))
    assert "It was left for later until Saturday 12 June 2027. That is past: it grounds" in page
    listed = words(pell.get(reverse("defects")))
    assert "that is past, and it grounds until it is put right or deferred again" in listed
    assert "Left for later, lawfully" not in page


def test_it_is_for_whoever_the_table_names(demo_day):
    id = report(client_of("halloran"))
    for person in ("halloran", "sunde"):
        answer = defer(id, person=person, status=403)
        assert "defer a defect is for" in words(answer, 403)
    assert state_of(id) == "open"
