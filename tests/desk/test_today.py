"""Today: what changed since each aircraft last flew, what runs out, what is asked, and whether the book is whole."""

from __future__ import annotations

import html
import re
from datetime import UTC, date, datetime

import pytest
from django.db import connection
from django.test import Client
from django.urls import reverse

from gyrewright.desk import clock
from gyrewright.desk.book.kinds.aircraft import AircraftWeighed, WeighedItem
from gyrewright.desk.book.kinds.flight import FlightDropped
from gyrewright.desk.book.kinds.upkeep import (
    DefectReported,
    EventReported,
    MarkerPlaced,
    MeterRead,
    TaskDone,
    Touched,
    WorkDone,
)
from gyrewright.desk.services import state
from gyrewright.desk.services.due import booked_beyond, next_due
from gyrewright.desk.services.records import new_id, record_act, withdraw
from gyrewright.desk.services.since import since_flown
from gyrewright.desk.services.wholeness import look

WEIGHED = AircraftWeighed(
    weighed_on=date(2027, 6, 12),
    readings=(WeighedItem("nose wheel", "10.73 kg", "400 mm"), WeighedItem("main wheels", "275.27 kg", "2480 mm")),
)
LANDED_AT = datetime(2027, 6, 12, 14, 20, tzinfo=UTC)


def client_of(person):
    client = Client(SERVER_NAME="localhost")
    assert client.post(reverse("demo-door"), {"person": person}).status_code == 302
    return client


def words(response, status=200):
    assert response.status_code == status, response.content.decode()[-2000:]
    text = re.sub(r"<(style|script|svg)\b.*?</\1>", " ", response.content.decode(), flags=re.S)
    return " ".join(html.unescape(re.sub(r"<[^>]*>", " ", text)).split())


def today(person="sunde"):
    return words(client_of(person).get(reverse("today")))


@pytest.fixture
def flown(demo_day):
    """The demonstration after its first flight, which ended at 07:14."""
    clock.start(demo_at=LANDED_AT)
    id = next(iter(state.flights(clock.now())))
    given = {
        "off": "06:20", "on": "07:14", "day.halloran.take_offs": "1", "day.halloran.full_stops": "1",
        "meter.airframe": "488.2", "meter.engine": "488.2", "meter.rotor": "488.2", "event": "none",
    }  # fmt: skip
    assert client_of("sunde").post(reverse("flight-after-enter", args=[id]), given).status_code == 302
    return id


def since(aircraft="N0-101D"):
    at = clock.now()
    dues = next_due(state.machine(aircraft, at).aircraft, at=at, purpose="instruction")
    return since_flown(aircraft, at=at, dues=dues, names={"arrowood": "Pell Arrowood"})


def did(act, by="arrowood", about="N0-101D", **more):
    return record_act(act=act, by=by, about=about, **more).record


# --- since it last flew ---


def test_it_says_when_each_aircraft_last_flew_and_that_nothing_was_entered_since(flown):
    page = today()
    assert "Dunlin N0-101D flown until 12 Jun 2027 07:14 PDT 14:14 UTC , Tobiah Sunde. Nothing entered since." in page
    assert "Whimbrel N0-202W meters last read" in page
    assert since().is_flight


@pytest.mark.parametrize(
    ("act", "told"),
    [
        (DefectReported(item="K08", symptom="stiff"), "defect reported: K08, stiff"),
        (EventReported(kind="bump"), "event: bump"),
        (WorkDone(what="pads changed", areas=("brakes",)), "work: pads changed (brakes)"),
        (Touched(what="refueled", fuel="20 L"), "refueled 20 L"),
        (TaskDone(task="grease", on=date(2027, 6, 12), signed_by="arrowood"), "Grease the teeter hinge done"),
        (TaskDone(task="grease", on=date(2027, 6, 12)), "without a signed entry yet"),
        (WEIGHED, "weighed on 12 Jun"),
        (MarkerPlaced(number=3, place="hub bar", label="3"), "a training marker placed: locked"),
        (MeterRead(meter="airframe", shows="489.0 h"), "airframe moved 0.8 h, and no flight was entered"),
    ],
)
def test_whatever_was_done_to_it_since_is_said_with_whose_hands(flown, act, told):
    did(act)
    (one,) = since().changes
    assert told in one.words
    assert one.by == "Pell Arrowood"


def test_where_a_training_marker_is_stands_in_no_word_of_it(flown):
    did(MarkerPlaced(number=3, place="hub bar", label="3"))
    assert "hub bar" not in today("halloran").split("Due soon")[0]


def test_what_was_taken_back_or_was_before_the_flight_is_not_said(flown):
    slip = did(Touched(what="washed"))
    withdraw(id=new_id(), record=slip.id, by="arrowood")
    did(Touched(what="covers off"), done_at=datetime(2027, 6, 12, 12, tzinfo=UTC))
    did(MeterRead(meter="airframe", shows="488.2 h"))
    assert since().changes == ()


def test_the_newest_come_first_and_the_rest_is_counted(flown):
    for number in range(9):
        did(Touched(what=f"thing {number}"))
    page = today()
    assert page.index("Thing 8") < page.index("Thing 3")
    assert "Thing 2" not in page
    assert "and 3 more before that." in page


def test_what_locks_an_aircraft_stands_beside_it(flown):
    did(EventReported(kind="hard landing"))
    page = today().split("What changed since")[1]
    assert "hard landing inspection" in page.split("Whimbrel")[0]


def test_what_ran_out_since_it_flew_is_said(flown):
    clock.start(demo_at=datetime(2027, 7, 2, 14, tzinfo=UTC))
    assert "Rubber" in " ".join(since().ran_out)
    assert "Ran out since:" in today()


@pytest.mark.parametrize("person", ["halloran", "sunde", "arrowood", "castellane", "okafor-lind"])
def test_no_link_of_today_leads_where_the_person_may_not_go(flown, person):
    did(DefectReported(item="K08", symptom="stiff"))
    did(Touched(what="washed"), about="N0-202W")
    client = client_of(person)
    page = client.get(reverse("today")).content.decode()
    links = {html.unescape(each) for each in re.findall(r'href="(/[^"#]*)"', page) if "/static/" not in each}
    refused = {each: code for each in links if (code := client.get(each, follow=True).status_code) != 200}
    assert len(links) > 10
    assert refused == {}


# --- due, booked, asked ---


def test_hours_say_on_which_day_they_are_reached_as_it_flies_lately(flown):
    assert re.search(r"hub-bar look: 1\.9 h left about \d+ Jun as it flies lately", today())


def test_two_truths_are_asked_of_whoever_knows_until_somebody_answers(demo_day):
    id = new_id()
    for shows, by in (("488.0 h", "sunde"), ("489.0 h", "vale")):
        record_act(id=id, act=MeterRead(meter="rotor", shows=shows), by=by, about="N0-101D")
    page = today("arrowood")
    assert "Two records say different things of N0-101D: meter reading" in page
    assert "Two records say different things" not in today("castellane")
    client_of("arrowood").post(reverse("question-settle", args=[id]), {"true": "0"})
    assert "Two records say different things" not in today("arrowood")


# --- kept safe ---


def test_it_says_how_far_the_book_was_walked(demo_day):
    page = today("okafor-lind")
    assert re.search(r"\d+ records, head \S+ \S+ \S+ \S+ \S+ \. The last of them, from 1 on, hold together", page)
    client_of("okafor-lind").post(reverse("records-verify"))
    assert "All of them held together at 06:1" in today("okafor-lind")
    did(Touched(what="washed"))
    assert look().head.seq == state.head_seq()


def test_a_record_that_was_changed_is_said_on_the_next_page(demo_day):
    today()
    with connection.cursor() as cursor:
        cursor.execute("DROP TRIGGER book_record_no_update")
        did(Touched(what="washed"))
        cursor.execute("UPDATE book_record SET by = 'nobody' WHERE seq = %s", [state.head_seq()])
    assert "The book does not hold: record" in today()


def test_records_that_are_gone_are_said(demo_day):
    today()
    did(Touched(what="washed"))
    with connection.cursor() as cursor:
        cursor.execute("DROP TRIGGER book_record_no_delete")
        cursor.execute("DELETE FROM book_record WHERE seq = %s", [state.head_seq()])
    assert "the head kept outside names record" in today()


# --- what is booked ---


def beyond():
    found = booked_beyond(state.machine("N0-101D", clock.now()).aircraft, at=clock.now(), purpose="instruction")
    return found and (found.due.task.id, found.at, round(found.block_h, 2), round(found.left_h, 2))


def test_the_booking_that_an_aircraft_runs_out_with_is_said_as_soon_as_it_is_made(demo_day):
    """2.8 h are left before the directive; what is booked takes 1.1, 1.1 and 1.0 h."""
    third = datetime(2027, 6, 12, 20, 30, tzinfo=UTC)
    assert beyond() == ("AD-D2-011", third, 1.0, 0.6)
    said = (
        "It runs out with the flight booked for 12 Jun 2027 13:30 PDT 20:30 UTC : that takes 1.0 h, and by then 0.6 h"
    )
    assert f"{said} is left before Directive: hub-bar look. The maintainer is needed before it." in today()
    given = {
        "id": new_id(), "aircraft": "N0-101D", "purpose": "instruction", "lesson": "circuits", "commander": "sunde",
        "instructor": "sunde", "student": "halloran", "seat.front": "halloran", "seat.rear": "sunde",
        "load.baggage": "0 kg", "fuel": "40 L", "on": "2027-06-12", "start": "10:00", "block": "0.7 h",
        "take_offs": "throughout", "runway": "25", "runway_state": "dry",
    }  # fmt: skip
    assert client_of("sunde").post(reverse("flight-ask"), given).status_code == 302
    assert beyond() == ("AD-D2-011", datetime(2027, 6, 12, 17, 0, tzinfo=UTC), 0.7, 0.6)
    assert "It runs out with the flight booked for 12 Jun 2027 10:00 PDT" in today()


def test_bookings_that_all_fit_say_nothing(demo_day):
    for each in list(state.flights(clock.now()).values())[1:]:
        record_act(act=FlightDropped(flight=each.id), by="okafor-lind", about=each.aircraft)
    assert beyond() is None
    assert "It runs out" not in today()
