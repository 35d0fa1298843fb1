"""An event's lock: what takes it off, and what never does."""

from __future__ import annotations

from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from django.urls import reverse

from gyrewright.desk import clock
from gyrewright.desk.book.kinds import upkeep
from gyrewright.desk.book.kinds.flight import Restored, Walk
from gyrewright.desk.refusal import NotAllowed, Refused
from gyrewright.desk.services import questions, reporting, state
from gyrewright.desk.services.matters import lock_with_id
from gyrewright.desk.services.records import new_id, record_act
from gyrewright.finding import Verdict
from kit.reports import CRAFT, client_of, flight_findings, kinds, words

RIGHT = {
    "inspection": "hard landing inspection",
    "found": "fork straight, no crack, levels within 2 mm",
    "worker": "arrowood",
    "signed_by": "arrowood",
    "reference": "log book 3, page 44",
}


@pytest.fixture
def lock(demo_day):
    id = new_id()
    reporting.report_event(id=id, aircraft=CRAFT, by="sunde", kind="hard landing", words="bounced")
    return id


def clear(event, person="arrowood", status=302, **given):
    client = client_of(person)
    answer = client.post(reverse("event-act", args=[event, "clear"]), {"id": new_id(), **RIGHT, **given})
    assert answer.status_code == status, words(answer, answer.status_code)[-1500:]
    return answer


def is_locked(id):
    return lock_with_id(id, state.asking_at()).is_locked


def test_it_works(lock):
    page = words(client_of("arrowood").get(reverse("event", args=[lock])))
    assert "No walk-round, no new day and no other phone takes this lock off." in page
    clear(lock)
    assert not is_locked(lock)
    assert [each.why for each in flight_findings("maintenance.event")] != ["locked"]
    page = words(client_of("sunde").get(reverse("event", args=[lock])))
    assert "Cleared: hard landing inspection" in page
    assert "fork straight, no crack" in page
    assert "I have read the answer" in page


@pytest.mark.parametrize(
    ("given", "told"),
    [
        ({"inspection": ""}, "the program asks for: hard landing inspection"),
        ({"inspection": "rotor contact inspection"}, "no other takes this lock off"),
        ({"found": " "}, "write what the inspection found"),
        ({"signed_by": ""}, "say who signed the entry"),
        ({"reference": ""}, "where the signed entry stands"),
    ],
)
def test_what_does_not_take_it_off_is_said(lock, given, told):
    answer = clear(lock, status=400, **given)
    page = words(answer, 400)
    assert told in page.lower()
    assert given.get("found") or "fork straight" in page
    assert is_locked(lock)


@pytest.mark.parametrize(("person", "given"), [("sunde", {}), ("halloran", {}), ("arrowood", {"signed_by": "sunde"})])
def test_only_somebody_entitled_records_or_signs_it(lock, person, given):
    answer = clear(lock, person=person, status=403, **given)
    assert "event inspection is for: inspector or maintainer" in words(answer, 403)
    assert is_locked(lock)


def test_an_inspection_by_somebody_not_entitled_that_came_in_another_way_takes_nothing_off_and_is_shown(lock):
    cleared = upkeep.EventCleared(event=lock, inspection="hard landing inspection", found="fine", signed_by="sunde")
    record_act(act=cleared, by="sunde", about=CRAFT)
    assert is_locked(lock)
    page = words(client_of("arrowood").get(reverse("event", args=[lock])))
    assert "signed by Tobiah Sunde. That takes no lock off" in page
    assert flight_findings("maintenance.event")[0].why == "not_cleared"


def test_todays_full_walk_round_does_not_clear_it(lock):
    began = clock.now()
    clock.start(demo_at=began + timedelta(minutes=45))
    walk = Walk(
        kind="first of the day",
        list="walk-round",
        revision=1,
        walked_by=("sunde",),
        began_at=began,
        ended_at=began + timedelta(minutes=30),
        complete=True,
        restored=(Restored(at=began + timedelta(minutes=30), items=tuple(f"R{n:02}" for n in range(1, 24))),),
    )
    record_act(act=walk, by="sunde", about=CRAFT)
    assert is_locked(lock)
    assert flight_findings("maintenance.event")[0].verdict is Verdict.STOP


def test_it_survives_the_night_and_a_month(lock):
    for days in (1, 30):
        clock.start(demo_at=datetime(2027, 6, 12, 6, 30, tzinfo=ZoneInfo("America/Los_Angeles")) + timedelta(days=days))
        assert is_locked(lock)


def test_it_survives_another_phones_word_under_the_same_id(lock):
    event = lock_with_id(lock, state.asking_at()).record
    other = upkeep.EventReported(kind="bump", words="only touched the door")
    record_act(act=other, by="halloran", about=CRAFT, id=lock, done_at=event.done_at)
    assert is_locked(lock)
    assert {each.why for each in flight_findings("maintenance.event")} == {"locked"}
    page = words(client_of("arrowood").get(reverse("event", args=[lock])))
    assert "Two truths" in page
    for part in ("bounced", "only touched the door"):
        assert part in page
    answer = clear(lock, status=400)
    assert "two records of this event contradict each other" in words(answer, 400).lower()
    assert reverse("question", args=[lock]) in client_of("arrowood").get(reverse("event", args=[lock])).content.decode()
    for person, told in (("halloran", NotAllowed), ("sunde", NotAllowed)):
        with pytest.raises(told, match="event inspection is for"):
            questions.settle(ids=(lock,), answer="0", by=person)
    with pytest.raises(Refused, match="not undone here"):
        questions.settle(ids=(lock,), answer="neither", by="arrowood")
    questions.settle(ids=(lock,), answer="0", by="arrowood")
    assert is_locked(lock)
    clear(lock)
    assert not is_locked(lock)


def test_the_same_form_sent_twice_clears_once(lock):
    form = new_id()
    before = len(kinds("event-cleared"))
    for _ in range(2):
        clear(lock, id=form)
    assert len(kinds("event-cleared")) == before + 1
    assert "this event is cleared" in words(clear(lock, status=400), 400).lower()


def test_whoever_can_put_it_right_says_that_they_have_it_and_nobody_else(lock):
    for person, status in (("sunde", 403), ("arrowood", 302)):
        answer = client_of(person).post(reverse("event-act", args=[lock, "take"]), {"id": new_id()})
        assert answer.status_code == status
    assert is_locked(lock)
    assert "Pell Arrowood has it." in words(client_of("sunde").get(reverse("event", args=[lock])))
    assert client_of("arrowood").post(reverse("event-act", args=[lock, "shrug"])).status_code == 404
