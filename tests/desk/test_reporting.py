"""Reporting that something is not right, or that something happened."""

from __future__ import annotations

import html
import re
from datetime import timedelta

import pytest
from django.conf import settings
from django.urls import reverse

from gyrewright.desk import clock
from gyrewright.desk.book.kinds.flight import ItemAnswer, Walk
from gyrewright.desk.book.kinds.upkeep import MarkerPlaced
from gyrewright.desk.book.models import Photo
from gyrewright.desk.book.reading import record_with_id
from gyrewright.desk.refusal import NotAllowed, Refused
from gyrewright.desk.services import places, reporting, state
from gyrewright.desk.services.answers import answered
from gyrewright.desk.services.records import new_id, record_act
from gyrewright.finding import Verdict
from kit.reports import CRAFT, client_of, kinds, photo, report, words


def first_flight(craft=CRAFT):
    at = state.asking_at()
    return next(each for each in state.flights(at).values() if each.aircraft == craft and each.is_open)


def findings(id, craft=CRAFT):
    found = answered(first_flight(craft), state.asking_at())
    return found.verdict, [each for each in found.answer.findings if each.id == id]


def test_it_works(demo_day):
    client = client_of("halloran")
    page = words(client.get(reverse("report-begin")))
    assert "Dunlin N0-101D Something is not right" in page
    id = report(client, photo=photo())
    record = record_with_id(id)
    assert (record.by, record.about, record.act.item, record.act.zone) == ("halloran", CRAFT, "Nose", "B")
    assert (record.act.symptom, len(record.act.photos)) == ("shakes", 1)
    page = words(client.get(reverse("defect", args=[id])))
    assert "Nobody entitled has assessed it. It grounds N0-101D until somebody has." in page
    jpeg = client.get(reverse("photo", args=[record.act.photos[0]]))
    assert jpeg["Content-Type"] == "image/jpeg"


def test_a_report_grounds_from_the_moment_it_is_kept(demo_day):
    verdict, found = findings("maintenance.defect")
    assert verdict is not Verdict.STOP
    assert [each.why for each in found] == ["none"]
    report(client_of("halloran"), words="shimmy above a walking pace")
    verdict, found = findings("maintenance.defect")
    assert verdict is Verdict.STOP
    assert found[0].why == "open"
    assert found[0].params["reporter"] == "halloran"


def test_a_part_may_be_named_and_words_and_a_time_be_added(demo_day):
    yesterday = (clock.now() - timedelta(days=1)).astimezone(state.zone())
    id = report(
        client_of("sunde"), item="Nose tire", words=" bald on one side ", when=yesterday.strftime("%Y-%m-%dT%H:%M")
    )
    record = record_with_id(id)
    assert (record.act.item, record.act.words) == ("Nose tire", "bald on one side")
    assert record.done_at == yesterday.replace(second=0, microsecond=0)
    assert record.entered_at > record.done_at


def test_the_same_form_sent_twice_is_one_report_with_one_photo(demo_day):
    client, id = client_of("halloran"), new_id()
    before = kinds("defect-reported")
    for _ in range(2):
        report(client, id=id, photo=photo())
    assert len(kinds("defect-reported")) == len(before) + 1
    assert Photo.objects.count() == 1
    assert kinds("clash") == []


@pytest.mark.parametrize(
    ("given", "told"),
    [
        ({"zone": "", "symptom": "leaks"}, "say where on the aircraft"),
        ({"zone": "B", "symptom": "", "words": "", "item": "Nose tire"}, "say what is wrong"),
        ({"zone": "Q", "symptom": "leaks"}, "no zone of the walk-round"),
        ({"zone": "B", "symptom": "leaks", "when": "2031-01-01T10:00"}, "still to come"),
        ({"zone": "B", "symptom": "leaks", "when": "soon"}, "no day and time"),
    ],
)
def test_what_cannot_be_kept_is_said_and_what_was_typed_is_still_there(demo_day, given, told):
    before = kinds("defect-reported")
    given = {"words": "all of it", **given}
    answer = client_of("halloran").post(reverse("report-defect", args=[CRAFT]), given)
    assert told in words(answer, 400).lower()
    assert given["words"] in answer.content.decode()
    assert given["zone"] != "B" or 'value="B" checked' in answer.content.decode()
    assert kinds("defect-reported") == before


def test_a_photo_that_is_too_large_holds_up_no_report(demo_day, monkeypatch):
    monkeypatch.setattr(settings, "PHOTO_BYTES", 1000)
    client, id = client_of("halloran"), new_id()
    answer = client.post(
        reverse("report-defect", args=[CRAFT]),
        {"id": id, "zone": "B", "symptom": "leaks", "photo": photo()},
        follow=True,
    )
    page = words(answer)
    assert "The report is kept, and this of it is not: the photo has" in page
    assert record_with_id(id).act.photos == ()
    assert "The report is kept" not in words(client.get(reverse("defect", args=[id])))


def test_something_that_is_no_photo_holds_up_no_report_either(demo_day):
    client, id = client_of("halloran"), new_id()
    junk = photo()
    junk.truncate(200)
    client.post(reverse("report-defect", args=[CRAFT]), {"id": id, "zone": "B", "symptom": "leaks", "photo": junk})
    assert record_with_id(id).act.photos == ()


def test_a_visitor_reports_nothing_and_an_aircraft_that_is_not_there_is_told_so(demo_day):
    with pytest.raises(NotAllowed):
        reporting.report_defect(id=new_id(), aircraft=CRAFT, by="nobody", zone="B", symptom="leaks")
    with pytest.raises(Refused, match="no aircraft"):
        reporting.report_defect(id=new_id(), aircraft="N0-999X", by="sunde", zone="B", symptom="leaks")
    assert client_of("sunde").get(reverse("report-defect", args=["N0-999X"])).status_code == 404


def test_every_place_and_part_of_the_walk_round_can_be_named():
    found = places.places()
    assert [each.zone for each in found] == list("ZABCDEFGHIJKL")
    named = {name for each in found for name in each.items}
    wanted = {item.name for item in places.walk_list().items if not item.of and item.zone != "M"}
    assert named == wanted


def test_whose_photo_it_is_or_whose_aircraft_sees_it_and_another_student_does_not(demo_day):
    id = report(client_of("halloran"), photo=photo())
    address = reverse("photo", args=[record_with_id(id).act.photos[0]])
    seen = {
        person: client_of(person).get(address).status_code for person in ("halloran", "arrowood", "sunde", "eklund")
    }
    assert seen == {"halloran": 200, "arrowood": 200, "sunde": 200, "eklund": 404}
    assert client_of("arrowood").get(reverse("photo", args=["0" * 64])).status_code == 404


# --- events ---


def test_an_event_locks_the_aircraft(demo_day):
    client, id = client_of("sunde"), new_id()
    page = words(client.get(reverse("report-event", args=[CRAFT])))
    assert "A landing harder, or more crooked, than it should have been?" in page
    answer = client.post(
        reverse("report-event", args=[CRAFT]),
        {"id": id, "kind": "hard landing", "words": "bounced twice", "photo": photo()},
    )
    assert answer.url == reverse("event", args=[id])
    verdict, found = findings("maintenance.event")
    assert verdict is Verdict.STOP
    assert (found[0].why, found[0].params["inspection"]) == ("locked", "hard landing inspection")
    page = words(client.get(reverse("event", args=[id])))
    assert "N0-101D is locked until the hard landing inspection is done and signed" in page
    assert "bounced twice" in page
    assert "Nose gear, fork, linkage, bearing." in page


@pytest.mark.parametrize("kind", ["", "a bad day"])
def test_something_that_locks_nothing_is_no_event(demo_day, kind):
    before = kinds("event-reported")
    answer = client_of("sunde").post(reverse("report-event", args=[CRAFT]), {"kind": kind, "words": "kept"})
    page = words(answer, 400)
    assert "Say what happened" in page
    assert "kept" in page
    assert kinds("event-reported") == before


def test_every_event_of_the_list_locks_and_the_demonstrations_programs_name_an_inspection_for_it(demo_day):
    for each in reporting.events_that_lock(CRAFT):
        reporting.report_event(id=new_id(), aircraft=CRAFT, by="sunde", kind=each.on[0])
    _, found = findings("maintenance.event")
    assert len(found) == len(reporting.events_that_lock(CRAFT))
    assert {each.why for each in found} == {"locked"}


def verdicts():
    at = state.asking_at()
    return {id: answered(each, at).verdict for id, each in state.flights(at).items() if each.is_open}


@pytest.mark.parametrize("craft", ["N0-101D", "N0-202W", "N0-303S"])
@pytest.mark.parametrize("what", ["defect", "event", "marker"])
def test_one_report_more_makes_no_flight_of_the_day_milder_and_changes_no_other_aircraft(demo_day, craft, what):
    before = verdicts()
    if what == "defect":
        reporting.report_defect(id=new_id(), aircraft=craft, by="halloran", zone="K", symptom="loose")
    elif what == "event":
        reporting.report_event(id=new_id(), aircraft=craft, by="halloran", kind="bump")
    else:
        record_act(act=MarkerPlaced(number=1, label="nest", place="tail"), by="sunde", about=craft)
    after = verdicts()
    flights = state.flights(state.asking_at())
    for id, verdict in before.items():
        if flights[id].aircraft == craft:
            assert after[id] is Verdict.STOP
            assert after[id] >= verdict
        else:
            assert after[id] is verdict


def test_what_a_walk_round_found_is_listed_until_it_is_reported_and_then_the_report_decides(demo_day):
    at = clock.now() - timedelta(minutes=30)
    found = ItemAnswer(item="B04", answer="not", class_="G", words="cords show")
    walk = Walk(
        kind="each flight",
        list="walk-round",
        revision=1,
        walked_by=("sunde",),
        began_at=at,
        ended_at=at + timedelta(minutes=20),
        complete=True,
        answers=(found,),
    )
    id = record_act(act=walk, by="sunde", about=CRAFT, done_at=walk.ended_at).record.id
    client = client_of("sunde")
    page = client.get(reverse("defects"))
    assert "B04 Nose tire: not as it should be, “cords show” On a walk-round by Tobiah Sunde" in words(page)
    (address,) = re.findall(rf'href="(/report/{CRAFT}\?[^"]*)"', page.content.decode())
    form = client.get(html.unescape(address)).content.decode()
    assert f'name="walk" value="{id}"' in form
    assert 'value="B" checked' in form
    assert "cords show" in form
    kept = report(client, item="Nose tire", symptom="worn", words="cords show", walk=id, list_item="B04")
    assert "not reported to whoever puts it right" not in words(client.get(reverse("defects")))
    at = state.asking_at()
    (answer,) = [
        each for one in state.machine(CRAFT, at).aircraft.walks.walks for each in one.answers if each.item == "B04"
    ]
    assert answer.defect == kept
