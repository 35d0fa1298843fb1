"""Saying what a defect is: it grounds, it limits the flight, or it is watched."""

from __future__ import annotations

import pytest
from django.urls import reverse

from gyrewright.desk.book.kinds.upkeep import Restriction
from gyrewright.desk.book.reading import find_records
from gyrewright.desk.services import state
from gyrewright.desk.services.matters import report_with_id
from gyrewright.desk.services.records import new_id
from gyrewright.finding import Verdict
from kit.reports import act, client_of, flight_findings, kinds, report, words


def seen(id):
    return report_with_id(id, state.asking_at())


def test_it_works(demo_day):
    id = report(client_of("halloran"))
    pell = client_of("arrowood")
    page = words(pell.get(reverse("defect-act", args=[id, "assess"])))
    assert "Dunlin N0-101D: what is it?" in page
    answer = act(pell, id, "assess", **{"class": "N", "words": "0.3 mm play, limit 1 mm"})
    assert answer.url == reverse("defect", args=[id])
    found = seen(id)
    assert (found.state, found.class_, found.assessment.who) == ("assessed", "N", "Pell Arrowood")
    page = words(pell.get(answer.url))
    assert "It is watched." in page
    assert "0.3 mm play, limit 1 mm" in page


@pytest.mark.parametrize(
    ("given", "verdict"),
    [
        ({"class": "G"}, Verdict.STOP),
        ({"class": "N"}, Verdict.GO),
        ({"class": "L", "aboard": "1"}, Verdict.STOP),
        ({"class": "L", "also": "no turns to the left"}, Verdict.GO_IF),
        ({"class": "L", "not_for": ["instruction"]}, Verdict.STOP),
    ],
)
def test_what_was_said_is_what_the_flight_meets(demo_day, given, verdict):
    id = report(client_of("halloran"))
    act(client_of("arrowood"), id, "assess", words="looked at it", **given)
    (found,) = [each for each in flight_findings("maintenance.defect") if each.about == id]
    assert found.verdict is verdict


def test_a_number_limits_the_flight_as_a_layer_of_its_own(demo_day):
    id = report(client_of("halloran"))
    given = {"class": "L", "limit_of": "crosswind", "at_most": "4 kt"}
    act(client_of("arrowood"), id, "assess", words="rudder cable worn", **given)
    (assessed,) = find_records(kinds=("defect-assessed",), newest_first=True, count=1)
    assert assessed.act.restriction == Restriction(
        limits='[[limit]]\nof = "crosswind"\nat_most = "4 kt"\ncounts = "gust"'
    )
    layers = [layer.limit.typed for each in flight_findings("wind.crosswind") for layer in each.layers]
    assert "4 kt" in layers
    assert "crosswind at most 4 kt, gust" in words(client_of("sunde").get(reverse("defect", args=[id])))


@pytest.mark.parametrize(
    ("given", "told"),
    [
        ({"words": "looked"}, "say whether it grounds"),
        ({"class": "X", "words": "looked"}, "say whether it grounds"),
        ({"class": "G"}, "write what you looked at and found"),
        ({"class": "L", "words": "looked"}, "say what flights keep to"),
        ({"class": "L", "words": "looked", "limit_of": "crosswind"}, "a number needs what it is on"),
        ({"class": "L", "words": "looked", "limit_of": "crosswind", "at_most": "4 mph or so"}, "does not read"),
        ({"class": "L", "words": "looked", "not_for": ["picnics"]}, "is no purpose of a flight"),
        ({"class": "L", "words": "looked", "aboard": "9"}, "at most: 1 or 2"),
    ],
)
def test_what_is_missing_is_said_and_nothing_is_lost(demo_day, given, told):
    id = report(client_of("halloran"))
    before = kinds("defect-assessed")
    answer = act(client_of("arrowood"), id, "assess", status=400, **given)
    assert told in words(answer, 400).lower()
    assert given.get("words", "") in answer.content.decode()
    assert kinds("defect-assessed") == before
    assert seen(id).state == "open"


def test_who_may_not_is_refused_by_name_of_the_act(demo_day):
    id = report(client_of("halloran"))
    for person in ("halloran", "sunde"):
        client = client_of(person)
        answer = act(client, id, "assess", status=403, **{"class": "N", "words": "fine"})
        assert "assess a defect is for: inspector, maintainer or named instructor" in words(answer, 403)
        assert "Say what it is" not in words(client.get(reverse("defect", args=[id])))
    assert seen(id).state == "open"


def test_the_same_form_sent_twice_is_one_act_and_with_other_words_it_is_refused(demo_day):
    id, form = report(client_of("halloran")), new_id()
    pell = client_of("arrowood")
    last = seen(id).last_act.record.id
    for _ in range(2):
        act(pell, id, "assess", id=form, seen=last, **{"class": "N", "words": "fine"})
    assert len(seen(id).acts) == 1
    answer = act(pell, id, "assess", status=400, id=form, seen=last, **{"class": "G", "words": "not fine"})
    assert "this form was sent before with other words" in words(answer, 400).lower()
    assert kinds("clash") == []


def test_who_acts_on_a_page_that_has_grown_old_looks_again_first(demo_day):
    id = report(client_of("halloran"))
    pell = client_of("arrowood")
    last = seen(id).last_act.record.id
    act(pell, id, "assess", seen=last, **{"class": "G", "words": "cracked"})
    answer = act(pell, id, "assess", status=400, seen=last, **{"class": "N", "words": "fine"})
    page = words(answer, 400)
    assert "Pell Arrowood has assessed it in the meantime: look at it again" in page
    assert "fine" in page
    assert seen(id).class_ == "G"


def test_an_act_that_there_is_not_is_not_found(demo_day):
    id = report(client_of("halloran"))
    assert client_of("arrowood").get(reverse("defect-act", args=[id, "forget"])).status_code == 404
    assert client_of("arrowood").get(reverse("defect", args=[new_id()])).status_code == 404
