"""Three logs of one flight: they agree, or they become one question to a person that day."""

from __future__ import annotations

import html
import re
from dataclasses import replace
from datetime import UTC, datetime, timedelta

import pytest
from django.test import Client
from django.urls import reverse

from gyrewright.desk import clock
from gyrewright.desk.book.kinds.flight import FlightDone
from gyrewright.desk.book.kinds.people import Lesson, No
from gyrewright.desk.book.kinds.upkeep import EventCleared, EventReported, MeterRead
from gyrewright.desk.book.reading import find_records
from gyrewright.desk.refusal import NotAllowed, Refused
from gyrewright.desk.services import logs, questions, state
from gyrewright.desk.services.records import new_id, record_act

LANDED_AT = datetime(2027, 6, 12, 14, 20, tzinfo=UTC)
GIVEN = {
    "out": "06:14", "off": "06:20", "on": "07:14", "day.halloran.take_offs": "5", "day.halloran.full_stops": "5",
    "day.both.take_offs": "1", "day.both.full_stops": "1", "meter.airframe": "488.2", "meter.engine": "488.4",
    "meter.rotor": "488.2", "stick": "24", "event": "none",
}  # fmt: skip
"""54 minutes in the air, an hour from moving off."""


def client_of(person):
    client = Client(SERVER_NAME="localhost")
    assert client.post(reverse("demo-door"), {"person": person}).status_code == 302
    return client


def words(response, status=200):
    assert response.status_code == status, response.content.decode()[-2000:]
    text = re.sub(r"<(style|script|svg)\b.*?</\1>", " ", response.content.decode(), flags=re.S)
    return " ".join(html.unescape(re.sub(r"<[^>]*>", " ", text)).split())


@pytest.fixture
def flown(demo_day):
    """The demonstration's first flight with its numbers entered; its id."""
    clock.start(demo_at=LANDED_AT)
    id = next(
        id
        for id, asked in state.flights(clock.now()).items()
        if asked.act.depart_at.astimezone(state.zone()).strftime("%H:%M") == "06:30"
    )
    assert client_of("sunde").post(reverse("flight-after-enter", args=[id]), GIVEN).status_code == 302
    return id


def say(flight, person, /, **given):
    return client_of(person).post(reverse("flight-after-log", args=[flight]), given)


def page_of(id, person="sunde"):
    return words(client_of(person).get(reverse("flight-after", args=[id])))


def compared(id):
    return logs.logs_of(state.flight(id, clock.now()), clock.now())


def test_nobodys_log_is_filled_in_for_them(flown):
    assert compared(flown).own == {}
    assert page_of(flown).count("Has not said yet what their own log shows") == 2
    assert not compared(flown).is_open


def test_one_touch_says_that_ones_own_log_agrees(flown):
    assert say(flown, "halloran", same="yes").status_code == 302
    own = compared(flown).own["halloran"]
    assert (own.hours, own.take_offs, own.landings, own.record.by) == (1.0, 5, 5, "halloran")
    assert compared(flown).differences == ()
    assert "Wren Halloran , here: 5 take-offs, 5 landings. Own log: 1.0 h, 5 take-offs, 5 landings." in page_of(flown)


@pytest.mark.parametrize(
    ("given", "agrees"),
    [
        ({"hours": "0.9"}, True),  # in the air
        ({"hours": "1.0 h"}, True),  # from moving off
        ({"hours": "66 min"}, True),  # a tenth of an hour more
        ({"hours": "1.2"}, False),
        ({"hours": "0.7"}, False),
        ({"hours": "1.0", "landings": "6"}, True),  # with the one of both together
        ({"hours": "1.0", "landings": "7"}, False),
        ({"hours": "1.0", "landings": "4"}, False),
        ({"hours": "1.0", "take_offs": "5", "landings": "5"}, True),
    ],
)
def test_logs_agree_to_a_tenth_of_an_hour_and_to_the_landing(flown, given, agrees):
    assert say(flown, "halloran", **given).status_code == 302
    assert (compared(flown).differences == ()) is agrees


def test_what_differs_is_one_question_that_day_and_blocks_nothing(flown):
    say(flown, "halloran", hours="1.3", landings="8")
    page = page_of(flown)
    assert "One question to Tobiah Sunde: the logs do not agree." in page
    assert "Wren Halloran's own log says 1.3 h, the aircraft's 1.0 h" in page
    assert "Wren Halloran's own log says 8 landings, the aircraft's gives them 5" in page
    assert "The logs of this flight do not agree" in words(client_of("sunde").get(reverse("today")))
    assert not state.flight(flown, clock.now()).in_question


def test_the_question_is_gone_once_either_log_is_put_right(flown):
    say(flown, "halloran", hours="1.3")
    assert compared(flown).is_open
    say(flown, "halloran", hours="1.0", id=new_id())
    assert not compared(flown).is_open
    first, second = find_records(kinds=("flight-logged",))
    assert second.corrects == first.id


def test_or_once_somebody_has_said_why_and_comes_back_when_something_else_differs(flown):
    say(flown, "halloran", hours="1.3")
    answer = reverse("flight-after-answer", args=[flown])
    assert "in a few words" in words(client_of("sunde").post(answer, {"why": "so"}), 400)
    given = {"id": new_id(), "why": "Wren counts from the engine start"}
    assert client_of("sunde").post(answer, given).status_code == 302
    assert not compared(flown).is_open
    assert "Wren counts from the engine start" in page_of(flown)
    assert "do not agree" not in words(client_of("sunde").get(reverse("today")))
    say(flown, "halloran", hours="1.5", id=new_id())
    assert compared(flown).is_open
    say(flown, "halloran", hours="1.0", id=new_id())
    assert "nothing is asked" in words(client_of("sunde").post(answer, given), 400)


def test_a_lesson_entered_for_the_flight_is_the_instructors_log(flown):
    lesson = Lesson(lesson="crosswind", taught_on=LANDED_AT.date(), flight=flown, dual="1.4 h")
    record_act(act=lesson, by="sunde", about="halloran")
    (one,) = compared(flown).differences
    assert (one.person, "1.4 h" in one.what) == ("halloran", True)


@pytest.mark.parametrize(
    ("shows", "says"),
    [("487.6", "moved 0.3 h in 0.9 h in the air"), ("491.0", "a slip, or flying that nobody entered")],
)
def test_a_meter_that_cannot_be_is_asked_about(demo_day, shows, says):
    clock.start(demo_at=LANDED_AT)
    id = next(iter(state.flights(clock.now())))
    given = {**GIVEN, "meter.airframe": shows}
    assert client_of("sunde").post(reverse("flight-after-enter", args=[id]), given).status_code == 302
    assert [says in each.what for each in compared(id).differences] == [True]


def test_nobody_is_in_two_aircraft_at_once(flown):
    clock.start(demo_at=LANDED_AT + timedelta(hours=3))
    other = next(
        id
        for id, asked in state.flights(clock.now()).items()
        if asked.act.depart_at.astimezone(state.zone()).strftime("%H:%M") == "19:00"
    )
    asked = state.flight(other, clock.now())
    act = FlightDone(
        off_at=LANDED_AT - timedelta(minutes=50), on_at=LANDED_AT - timedelta(minutes=20), commander="sunde",
        flight=other, aboard=("sunde", "halloran"),
    )  # fmt: skip
    record_act(act=act, by="sunde", about=asked.aircraft, done_at=act.on_at)
    assert {each.person for each in compared(flown).differences} == {"sunde", "halloran"}


def test_everybody_speaks_for_their_own_log_of_flights_that_they_were_aboard_of(flown):
    assert say(flown, "castellane", same="yes").status_code == 404
    assert say(flown, "okafor-lind", hours="1.0").status_code in (403, 404)
    with pytest.raises(NotAllowed):
        logs.log_own(
            flight=flown, person="halloran", hours="1.0 h", take_offs=1, landings=1, by="sunde", at=clock.now()
        )


@pytest.mark.parametrize(
    "given", [{"hours": "an hour"}, {"hours": "0"}, {"hours": "30"}, {"hours": "1", "landings": "x"}]
)
def test_what_does_not_read_is_refused(flown, given):
    assert say(flown, "halloran", **given).status_code == 400
    assert find_records(kinds=("flight-logged",)) == []


# --- two truths about any record ---


def test_two_truths_about_one_record_are_shown_beside_each_other_and_settled_once(demo_day):
    id = new_id()
    record_act(id=id, act=MeterRead(meter="rotor", shows="488.0 h"), by="sunde", about="N0-101D")
    record_act(id=id, act=MeterRead(meter="rotor", shows="489.0 h"), by="vale", about="N0-101D")
    client = client_of("arrowood")
    page = words(client.get(reverse("question", args=[id])))
    assert "As Tobiah Sunde entered it" in page
    assert "Meter reading rotor: shows 489.0 h" in page
    assert client.post(reverse("question-settle", args=[id]), {"true": "1"}).status_code == 302
    meters = state.machine("N0-101D", clock.now()).aircraft.records.history.meters
    assert meters["rotor"].latest.shows == 489.0
    assert "Nothing is in question here" in words(client.get(reverse("question", args=[id])))
    assert client.post(reverse("question-settle", args=[id]), {"true": "0"}).status_code == 400


def test_two_corrections_of_one_record_are_settled_by_taking_the_other_back(demo_day):
    first = record_act(act=MeterRead(meter="rotor", shows="488.0 h"), by="sunde", about="N0-101D").record
    for shows, by in (("488.5 h", "sunde"), ("488.6 h", "vale")):
        record_act(act=MeterRead(meter="rotor", shows=shows), by=by, about="N0-101D", corrects=first.id)
    assert state.machine("N0-101D", clock.now()).aircraft.records.history.meters["rotor"].latest is None
    questions.settle(ids=(first.id,), answer="1", by="arrowood")
    assert state.machine("N0-101D", clock.now()).aircraft.records.history.meters["rotor"].latest.shows == 488.6
    with pytest.raises(Refused, match="answered already"):
        questions.settle(ids=(first.id,), answer="1", by="arrowood")


def two(act, other, by="sunde", about="N0-101D"):
    id = new_id()
    record_act(id=id, act=act, by=by, about=about)
    record_act(id=id, act=other, by=by, about=about)
    return id


def test_what_grounds_an_aircraft_is_not_undone_by_calling_both_words_untrue(demo_day):
    id = two(EventReported(kind="hard landing", words="firm"), EventReported(kind="hard landing", words="very firm"))
    with pytest.raises(Refused, match="not undone here"):
        questions.settle(ids=(id,), answer="neither", by="arrowood")
    questions.settle(ids=(id,), answer="1", by="halloran")
    (event,) = [each for each in state.machine("N0-101D", clock.now()).aircraft.records.events if not each.clearings]
    assert event.words == "very firm"


def test_what_may_let_an_aircraft_fly_is_settled_by_somebody_entitled_to_such_an_act(demo_day):
    event = record_act(act=EventReported(kind="bump"), by="sunde", about="N0-101D").record.id
    cleared = EventCleared(event=event, inspection="x", found="nothing", signed_by="arrowood")
    id = two(cleared, replace(cleared, found="a dent"), by="arrowood")
    with pytest.raises(NotAllowed):
        questions.settle(ids=(id,), answer="0", by="sunde")
    questions.settle(ids=(id,), answer="1", by="arrowood")


def test_which_word_of_a_no_is_true_is_its_speakers_alone(demo_day):
    flight = next(iter(state.flights(clock.now())))
    id = two(No(flight=flight), No(), by="halloran", about="halloran")
    with pytest.raises(NotAllowed, match="only whoever said this no"):
        questions.settle(ids=(id,), answer="neither", by="sunde")
