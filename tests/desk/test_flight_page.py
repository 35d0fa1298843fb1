"""The day in the browser: Today, the flight page, declarations, judgement, a no, the release and what becomes of it."""

from __future__ import annotations

import html
import os
import re
import signal
import socket
import subprocess
import sys
import threading
import urllib.request
from datetime import UTC, date, datetime, timedelta

import pytest
from django.conf import settings
from django.db import connection
from django.test import Client
from django.urls import reverse

from gyrewright.desk import clock
from gyrewright.desk.book.reading import find_records, head
from gyrewright.desk.book.verify import verify
from gyrewright.desk.book.writing import append
from gyrewright.desk.fold import frozen
from gyrewright.desk.refusal import NotAllowed, Refused
from gyrewright.desk.services import accounts, adopting, answers, demo, flights, people, releases, state
from gyrewright.desk.services.entering import book_entries
from gyrewright.desk.services.entering_people import people_entries
from gyrewright.desk.services.erasing import erase_personal
from gyrewright.desk.services.records import new_id, withdraw
from gyrewright.desk.services.toml_text import toml_text

JUDGED = "0820-okafor-lind-castellane"


def client_of(person):
    client = Client(SERVER_NAME="localhost")
    answer = client.post(reverse("demo-door"), {"person": person})
    assert (answer.status_code, answer.url) == (302, reverse("today"))
    return client


def words(response, status=200):
    assert response.status_code == status, response.content.decode()[-2000:]
    text = re.sub(r"<(style|script|svg)\b.*?</\1>", " ", response.content.decode(), flags=re.S)
    return " ".join(html.unescape(re.sub(r"<[^>]*>", " ", text)).split())


def flight_at(start, at=None):
    """Return the id of the flight that starts at a local time."""
    for id, asked in state.flights(at or clock.now()).items():
        if asked.act.depart_at.astimezone(state.zone()).strftime("%H:%M") == start:
            return id
    raise AssertionError(start)


def kinds(*names):
    return [each.kind for each in find_records(kinds=names)]


# --- the demonstration and its door ---


def test_the_demonstrations_door_offers_its_people_without_password_and_says_so(demo_day):
    page = words(Client(SERVER_NAME="localhost").get(reverse("door")))
    assert "on this machine alone" in page
    assert "Tobiah Sunde instructor, pilot" in page
    assert "Password" not in page
    client = client_of("halloran")
    assert "Wren Halloran" in words(client.get(reverse("today")))


def test_an_operations_own_data_offers_nobody_without_password(book, let_in):
    let_in("ivo")
    client = Client(SERVER_NAME="localhost")
    assert "Ivo Brandt" not in words(client.get(reverse("door")))
    assert client.post(reverse("demo-door"), {"person": "ivo"}).status_code == 403
    assert client.get(reverse("today")).status_code == 302


def test_the_demonstration_has_weeks_of_history_and_ends_where_its_clock_begins(demo_day):
    entered = [each.entered_at for each in find_records()]
    assert entered == sorted(entered)
    assert abs(entered[0] - demo.OPENED_AT) < timedelta(seconds=1)
    assert entered[-1] == clock.DEMO_START
    assert len({each.date() for each in entered}) > 15
    assert verify(demo_day).is_whole


def test_today_answers_every_flight_of_the_day(demo_day):
    page = words(client_of("okafor-lind").get(reverse("today")))
    assert "Saturday 12 June 2027, Ottervane Bench Airfield" in page
    assert re.search(r"06:30 nothing found Tobiah Sunde with Wren Halloran , Dunlin, crosswind", page)
    assert re.search(r"09:00 STOP Maren Okafor-Lind with Bastian Eklund", page)
    assert re.search(r"19:00 UNKNOWN Wren Halloran alone , Sanderling, circuits", page)
    assert "hub-bar look: 2.8 h left" in page
    assert "by its own clock 12 Jun 2027 06:1" in page
    assert not re.search(r"\bGO\b", page)


def test_a_student_sees_the_flights_that_are_theirs(demo_day):
    page = words(client_of("castellane").get(reverse("today")))
    assert "08:20" in page
    assert "09:00" not in page
    assert client_of("castellane").get(reverse("flight", args=[flight_at("09:00")])).status_code == 404


# --- the page ---


def test_the_flight_page_says_question_mark_sentence_reasons_and_what_is_known(demo_day):
    page = words(client_of("sunde").get(reverse("flight", args=[flight_at("13:30")])))
    assert "May Tobiah Sunde with Wren Halloran fly crosswind" in page
    assert "STOP Crosswind up to 20.1 kt on runway 25" in page
    assert "What would have to change" in page
    assert page.index("Is the crosswind within every limit?") < page.index("Has the commander taken the briefing?")
    assert "METAR X0TB 121310Z" in page
    assert "It cannot be released: a limit is broken" in page
    assert not re.search(r"\bGO\b", page)


def test_a_limit_ruler_is_drawn_for_each_reason_with_a_number(demo_day):
    text = client_of("sunde").get(reverse("flight", args=[flight_at("13:30")])).content.decode()
    assert text.count('class="ruler"') == 2 * text.count('<div class="wide"><svg')
    assert text.count('<div class="wide"><svg') >= 3
    assert "5.1" in re.search(r'<div class="wide"><svg.*?</svg>', text, re.S).group()


def test_the_working_of_a_number_is_shown_step_by_step(demo_day):
    id = flight_at("13:30")
    page = words(client_of("sunde").get(reverse("flight-working", args=[id, "crosswind_m_s"])))
    assert "sin" in page
    assert client_of("sunde").get(reverse("flight-working", args=[id, "nothing_m"])).status_code == 404


def test_masses_are_for_those_aboard_and_whoever_releases(demo_day):
    id = flight_at("06:30")
    page = words(client_of("arrowood").get(reverse("flight", args=[id])))
    assert "476.8 kg" not in page
    assert not re.search(r"\d kg", page)
    aboard = words(client_of("halloran").get(reverse("flight", args=[id])))
    assert re.search(r"476\.8", aboard)
    for name, status in (("halloran", 200), ("arrowood", 403)):
        assert client_of(name).get(reverse("flight-picture", args=[id, "loading"])).status_code == status
        answer = client_of(name).get(reverse("flight-working", args=[id, "take_off_mass_kg"]))
        assert answer.status_code == status


def test_pictures_are_drawn_for_desk_and_phone(demo_day):
    client = client_of("sunde")
    id = flight_at("06:30")
    for name in ("loading", "wind", "distance"):
        desk = client.get(reverse("flight-picture", args=[id, name]))
        phone = client.get(reverse("flight-picture", args=[id, name]), {"w": "phone"})
        assert desk["Content-Type"] == phone["Content-Type"] == "image/svg+xml"
        assert 'width="760"' in desk.content.decode()
        assert 'width="358"' in phone.content.decode()


# --- what if, and the ways ---


def test_what_if_answers_in_place_and_changes_nothing(demo_day):
    client = client_of("sunde")
    id, before = flight_at("06:30"), head()
    page = words(client.get(reverse("flight", args=[id]), {"fuel": "60 L", "start": "12:00", "runway": "16"}))
    assert "This is not the flight as asked for" in page
    assert "from runway 16" in page
    assert "at 12:00" in page
    assert "STOP" in page
    for wrong in ({"fuel": "much"}, {"start": "noonish"}, {"runway": "99"}, {"aircraft": "N0-000"}):
        assert client.get(reverse("flight", args=[id]), wrong).status_code in (400, 404)
    assert head() == before


def test_another_instructor_and_another_lesson_are_tried_in_the_form(demo_day):
    id = flight_at("06:30")
    form = client_of("sunde").get(reverse("flight", args=[id])).content.decode()
    names = re.findall(
        r"<option value=\"[a-z-]+\">([^<]+)</option>", form.split('id="w-instructor"')[1].split("</select>")[0]
    )
    assert "Maren Okafor-Lind" in names
    assert "Wren Halloran" not in names
    page = words(
        client_of("sunde").get(reverse("flight", args=[id]), {"instructor": "okafor-lind", "lesson": "circuits"})
    )
    assert "May Maren Okafor-Lind with Wren Halloran fly circuits" in page
    client_of("sunde").post(reverse("flight-change", args=[id]), {"instructor": "okafor-lind", "lesson": "circuits"})
    act = state.flight(id, clock.now()).act
    assert (act.instructor, act.commander, act.lesson) == ("okafor-lind", "okafor-lind", "circuits")
    assert set(act.seats.values()) == {"okafor-lind", "halloran"}


def test_the_ways_shown_to_one_are_not_kept_for_another_who_sees_less(demo_day):
    id = flight_at("06:30")
    client_of("sunde").post(reverse("flight-change", args=[id]), {"fuel": "90 L"})
    address = reverse("flight-ways", args=[id])
    aboard = words(client_of("halloran").get(address))
    outside = words(client_of("arrowood").get(address))
    assert aboard != outside


def test_nobody_learns_what_somebody_weighs_by_trying_them_out(demo_day):
    id = flight_at("06:30")
    tried = {"instructor": "okafor-lind"}
    assert "476.8" in words(client_of("halloran").get(reverse("flight", args=[id])))
    assert not re.search(r"\d kg", words(client_of("halloran").get(reverse("flight", args=[id]), tried)))
    assert re.search(r"\d kg", words(client_of("okafor-lind").get(reverse("flight", args=[id]), tried)))
    picture = client_of("halloran").get(reverse("flight-picture", args=[id, "loading"]), tried)
    assert picture.status_code == 403


def test_what_was_tried_is_asked_for_with_one_touch(demo_day):
    client = client_of("sunde")
    id = flight_at("06:30")
    client.post(reverse("flight-change", args=[id]), {"runway": "07", "start": "06:45"})
    asked = state.flight(id, clock.now())
    assert (asked.act.runway, asked.act.depart_at.astimezone(state.zone()).strftime("%H:%M")) == ("07", "06:45")
    question = state.question(asked, state.asking_at())
    assert [fact.name for fact in question.flight.fuel if fact.is_known] == ["fuel_gauge_l", "fuel_stick_l"]


def test_another_aircraft_is_another_flight_and_drops_the_first(demo_day):
    client = client_of("sunde")
    id = flight_at("06:30")
    answer = client.post(reverse("flight-change", args=[id]), {"aircraft": "N0-303S", "fuel": "30 L"})
    assert answer.status_code == 302, words(answer, 400)
    new = answer.url.rpartition("/")[2]
    assert new != id
    assert not state.flight(id, clock.now()).is_open
    moved = state.flight(new, clock.now())
    assert (moved.aircraft, moved.act.fuel, set(moved.act.seats)) == ("N0-303S", "30 L", {"front", "rear"})


def test_the_ways_are_sentences_each_with_one_touch_to_ask_again(demo_day):
    client = client_of("sunde")
    id = flight_at("06:30")
    client.post(reverse("flight-change", args=[id]), {"fuel": "90 L"})
    at = state.asking_at()
    assert answers.answered(state.flight(id, at), at).verdict.name == "STOP"
    text = client.get(reverse("flight-ways", args=[id]), {"part": "1"}).content.decode()
    asks = [html.unescape(each) for each in re.findall(r'href="([^"]*\?[^"]*)">Ask for this', text)]
    assert asks
    assert "DOCTYPE" not in text
    page = words(client.get(asks[0]))
    assert "This is not the flight as asked for" in page
    assert not re.search(r"\b(STOP|UNKNOWN) (?!none)", page.split("Asked")[0])


# --- asking ---


def test_a_flight_is_asked_for_through_the_form(demo_day):
    client = client_of("sunde")
    form = words(client.get(reverse("flight-ask"), {"aircraft": "N0-101D"}))
    assert "May this fly, in the Dunlin N0-101D?" in form
    given = {
        "id": new_id(),
        "aircraft": "N0-101D",
        "purpose": "instruction",
        "lesson": "crosswind",
        "commander": "sunde",
        "instructor": "sunde",
        "student": "halloran",
        "seat.front": "halloran",
        "seat.rear": "sunde",
        "load.baggage": "0 kg",
        "fuel": "40 L",
        "on": "2027-06-12",
        "start": "07:30",
        "block": "1.0 h",
        "take_offs": "throughout",
        "runway": "25",
        "runway_state": "dry",
        "planned_height": "800 ft",
        "planned_altitude": "4100 ft",
        "farthest_from_start": "5 km",
        "elsewhere": "no",
    }
    answer = client.post(reverse("flight-ask"), given)
    assert answer.url == reverse("flight", args=[given["id"]])
    assert "at 07:30" in words(client.get(answer.url))
    for wrong in ({"seat.front": "nobody-known"}, {"block": "long"}, {"start": ""}, {"commander": ""}):
        assert client.post(reverse("flight-ask"), {**given, "id": new_id(), **wrong}).status_code == 400
    assert len(state.flights(clock.now())) == 6


# --- declarations ---


def test_one_signed_act_a_person_with_every_line_on_record(demo_day):
    id = flight_at("08:20")
    client = client_of("okafor-lind")
    page = words(client.get(reverse("flight", args=[id])))
    assert "Maren Okafor-Lind declares" in page
    assert "shown how belt and harness are fastened" in page
    before = head().seq
    client.post(reverse("flight-sign", args=[id]), {"id": new_id(), "person": "okafor-lind", "all": "yes"})
    (declared,) = [each for each in find_records(kinds=("declared",)) if each.seq > before]
    assert declared.by == declared.about == "okafor-lind"
    assert declared.act.flight == id
    assert set(declared.act.answers.values()) == {True}
    assert {"belts_briefed", "briefing_taken", "commander_finds_safe"} <= set(declared.act.answers)
    page = words(client.get(reverse("flight", args=[id])))
    assert "Maren Okafor-Lind has declared what this answer rests on" in page


def test_hours_of_sleep_are_asked_for_where_the_house_counts_them_and_nobody_has_said(demo_day):
    id = flight_at("06:30")
    for said in find_records(about="sunde", kinds=("today",)):
        withdraw(id=new_id(), record=said.id, by="sunde")
    client = client_of("sunde")
    page = client.get(reverse("flight", args=[id])).content.decode()
    assert page.count('name="slept"') == 2
    assert answer_of(id).verdict.name == "UNKNOWN"
    before, sign = head(), reverse("flight-sign", args=[id])
    for wrong in ("much", "-3 h", "30 h", "7.5"):
        answer = client.post(sign, {"person": "sunde", "all": "yes", "slept": wrong})
        assert (answer.status_code, head()) == (400, before), wrong
    client.post(sign, {"person": "sunde", "all": "yes", "slept": "7.5 h"})
    last = find_records(about="sunde", kinds=("today",), newest_first=True, count=1)[0].act
    assert (last.slept, last.fitness) == ("7.5 h", "fit")
    assert answer_of(id).verdict.name == "GO"
    assert 'name="slept"' not in client.get(reverse("flight", args=[id])).content.decode()


def test_a_line_that_is_not_true_is_recorded_as_said(demo_day):
    id = flight_at("08:20")
    client = client_of("okafor-lind")
    said = {"person": "okafor-lind", "say.commander_finds_safe": "no", "say.belts_briefed": "yes"}
    client.post(reverse("flight-sign", args=[id]), said)
    (last,) = find_records(kinds=("declared",), newest_first=True, count=1)
    assert last.act.answers == {"commander_finds_safe": False, "belts_briefed": True}
    assert "STOP" in words(client.get(reverse("flight", args=[id]))).split("Asked")[0]


def test_nobody_declares_for_another(demo_day):
    id = flight_at("08:20")
    with pytest.raises(NotAllowed):
        flights.declare(id=new_id(), flight=id, person="castellane", answers={"sober": True}, by="okafor-lind")
    with pytest.raises(NotAllowed):
        flights.declare(id=new_id(), flight=id, person="yarrow", answers={"sober": True}, by="yarrow")


def test_on_own_data_the_other_person_signs_with_their_own_password(demo_day):
    password = accounts.give_password(name="Juno Castellane", by="okafor-lind")
    client = client_of("okafor-lind")
    id = flight_at("08:20")
    settings.IS_DEMO = False
    clock.start(demo_at=clock.DEMO_START + timedelta(minutes=5))
    sign = reverse("flight-sign", args=[id])
    assert client.post(sign, {"person": "castellane", "all": "yes", "password": "a wrong one"}).status_code == 403
    before = head()
    later = {"person": "castellane", "fitness": "fit with caution", "password": password}
    assert client.post(sign, later).status_code in (302, 400)
    assert all(each.by == "castellane" for each in find_records(up_to_seq=head().seq) if each.seq > before.seq)


# --- a no ---


def test_a_no_is_a_stop_that_only_its_speaker_takes_back(demo_day):
    id = flight_at("06:30")
    student, instructor = client_of("halloran"), client_of("sunde")
    student.post(reverse("flight-no", args=[id]), {"id": new_id()})
    (said,) = find_records(kinds=("no",))
    assert (said.by, said.act.flight) == ("halloran", id)
    page = words(instructor.get(reverse("flight", args=[id])))
    assert page.index("STOP") < page.index("Asked")
    assert instructor.post(reverse("flight-release", args=[id]), {"id": new_id()}).status_code == 400
    ways = words(instructor.get(reverse("flight-ways", args=[id]), {"part": "1"}))
    assert "No choice goes round a no" in ways
    assert instructor.post(reverse("flight-no-back", args=[id]), {"no": said.id}).status_code == 403
    assert "Only you may take it back" in words(student.get(reverse("flight", args=[id])))
    student.post(reverse("flight-no-back", args=[id]), {"no": said.id})
    assert kinds("no", "no-taken-back") == ["no", "no-taken-back"]
    assert "nothing found" in words(instructor.get(reverse("flight", args=[id]))).split("Asked")[0]


def test_a_no_is_for_the_flights_own_people(demo_day):
    with pytest.raises(NotAllowed):
        flights.say_no(id=new_id(), flight=flight_at("06:30"), by="yarrow")


# --- the release ---


def released(id, by="sunde"):
    return releases.release_flight(id=new_id(), flight=id, by=by).record


def test_a_release_freezes_everything_and_its_sheet_prints(demo_day):
    id = flight_at("06:30")
    client = client_of("sunde")
    answer = client.post(reverse("flight-release", args=[id]), {"id": new_id()})
    (record,) = find_records(kinds=("release",))
    assert answer.url == reverse("release", args=[record.id])
    assert (record.by, record.act.verdict, record.act.flight) == ("sunde", "GO", id)
    assert record.act.head_seq == record.seq - 1
    assert record.act.rules == {
        "us": state.question(state.flight(id, clock.now()), clock.now()).pack.read_on.isoformat()
    }
    assert record.act.lists["walk-round"] == "1"
    assert record.act.valid_until <= datetime(2027, 6, 12, 14, 36, tzinfo=UTC)
    whole, public = (frozen.answer_of(record, whole=each) for each in (True, False))
    mass = [next(one for one in each["findings"] if one["id"] == "loading.take_off_mass") for each in (whole, public)]
    assert (mass[0]["value"], mass[1]["value"], mass[1]["sentence"], mass[1]["layers"]) == (476.8, None, "", [])
    assert "476.8" not in record.act.answer
    assert verify(demo_day).is_whole
    page = words(client.get(answer.url))
    for text in ("Released by Tobiah Sunde", "Numbers to carry away", "Runway 25", "returns no aircraft to service"):
        assert text in page
    code = re.search(r"Code of this release ((?:[0-9a-f]{4} ){5})", page).group(1).strip()
    assert record.hash.startswith(code.replace(" ", ""))
    found = client.get(reverse("release-find"), {"code": code})
    assert found.url == answer.url
    assert client.get(reverse("release-find"), {"code": "0000 0000 0000"}).status_code == 404
    assert "476.8" not in words(client_of("arrowood").get(answer.url))


@pytest.mark.parametrize(("start", "said"), [("13:30", "a limit is broken"), ("08:20", "is not known yet")])
def test_nothing_is_released_on_a_stop_or_where_something_is_unknown(demo_day, start, said):
    answer = client_of("okafor-lind").post(reverse("flight-release", args=[flight_at(start)]), {"id": new_id()})
    assert said in words(answer, 400)
    assert kinds("release") == []


def test_only_an_entitled_person_releases(demo_day):
    id = flight_at("06:30")
    assert client_of("halloran").post(reverse("flight-release", args=[id])).status_code == 403
    assert client_of("arrowood").post(reverse("flight-release", args=[id])).status_code == 403
    for person in ("halloran", "arrowood"):
        with pytest.raises(NotAllowed):
            released(id, by=person)
    assert released(id, by="vale").by == "vale"


def test_a_release_is_made_once(demo_day):
    id, same = flight_at("06:30"), new_id()
    one = releases.release_flight(id=same, flight=id, by="sunde")
    again = releases.release_flight(id=same, flight=id, by="sunde")
    assert (str(one.outcome), str(again.outcome)) == ("new", "again")
    with pytest.raises(Refused, match="released already"):
        released(id, by="okafor-lind")


def test_of_two_people_who_release_at_once_one_does(demo_day):
    id = flight_at("06:30")
    answers.answered(state.flight(id, clock.now()), state.asking_at())
    barrier, told = threading.Barrier(2), []

    def go(person):
        barrier.wait()
        try:
            told.append(str(releases.release_flight(id=new_id(), flight=id, by=person).outcome))
        except Refused as refused:
            told.append(str(refused))
        finally:
            connection.close()

    several = [threading.Thread(target=go, args=(person,)) for person in ("sunde", "okafor-lind")]
    for each in several:
        each.start()
    for each in several:
        each.join()
    assert sorted(told) == ["new", "this flight is released already; look at its sheet"]
    assert kinds("release") == ["release"]


def test_a_changed_fact_ends_a_release_and_the_page_says_so(demo_day):
    id = flight_at("06:30")
    record = released(id)
    client = client_of("halloran")
    assert "Released" in words(client.get(reverse("flight", args=[id])))
    client.post(reverse("flight-report", args=[id]), {"stick": "38 L"})
    (over,) = find_records(kinds=("release-superseded",))
    assert (over.by, over.act.release) == ("halloran", record.id)
    assert "stick" in over.act.because
    page = words(client_of("sunde").get(reverse("flight", args=[id])))
    assert "no longer holds: changed since" in page
    assert "This release no longer holds" in words(client_of("sunde").get(reverse("release", args=[record.id])))
    assert "Released" not in words(client_of("sunde").get(reverse("today")))
    assert released(id).seq > over.seq


def test_what_concerns_another_aircraft_ends_no_release(demo_day):
    record = released(flight_at("06:30"))
    flights.measure_fuel(ids={"stick": new_id()}, aircraft="N0-202W", readings={"stick": "20 L"}, by="vale")
    people.add_person(id=new_id(), person="new", name="Ona Brook", by="okafor-lind")
    assert kinds("release-superseded") == []
    (still,) = releases.releases_of(state.flight(record.act.flight, clock.now()), clock.now())
    assert still.holds


def test_a_release_dies_with_its_shortest_lived_fact(demo_day):
    id = flight_at("06:30")
    record = released(id)
    late = record.act.valid_until + timedelta(seconds=1)
    (one,) = releases.releases_of(state.flight(id, late), late)
    assert one.ended == "a fact that it rests on has become too old"


def test_an_erased_release_stays_in_the_chain_and_says_what_is_gone(demo_day):
    record = released(flight_at("06:30"))
    erase_personal(id=new_id(), person="sunde", ground="asked for by Tobiah Sunde", by="okafor-lind")
    assert verify(demo_day).is_whole
    page = words(client_of("okafor-lind").get(reverse("release", args=[record.id])))
    assert "what it was held against has been erased" in page


# --- judgement ---


TEN_PAST = datetime(2027, 6, 12, 15, 10, tzinfo=UTC)
PART = "inspection.pace:each flight"


@pytest.fixture
def quick_walk(demo_day):
    """The flight of 08:20 at 08:10: its walk-round took a third of the student's usual time; all else is said."""
    table = demo.demo_table(f"flights/{JUDGED}.toml")
    rest = [
        *book_entries(books=demo.demo_table("aircraft/dunlin-records.toml"), by="arrowood", at=demo.OPENED_AT),
        *people_entries(
            people=demo.demo_table("people.toml"),
            by=demo.MANAGER,
            at=demo.OPENED_AT,
            roles_from=date(2027, 1, 1),
            zone=state.zone(),
            known=frozenset(),
        ),
        *demo.beside_entries(table, briefed_at=TEN_PAST, report_at=TEN_PAST - timedelta(minutes=3)),
    ]
    late = clock.DEMO_START + timedelta(minutes=10)
    clock.start(demo_at=TEN_PAST)
    append(sorted((each for each in rest if late < each.done_at <= TEN_PAST), key=lambda each: each.done_at))
    id = flight_at("08:20")
    client_of("okafor-lind").post(reverse("flight-sign", args=[id]), {"person": "okafor-lind", "all": "yes"})
    client_of("okafor-lind").post(reverse("flight-sign", args=[id]), {"person": "castellane", "all": "yes"})
    return id


def answer_of(id):
    at = state.asking_at()
    return answers.answered(state.flight(id, at), at)


def test_a_judgement_is_its_named_persons_and_a_yes_gives_its_reason(quick_walk):
    id, judge = quick_walk, reverse("flight-judge", args=[quick_walk])
    assert answer_of(id).verdict.name == "JUDGE"
    (one,) = answer_of(id).judgements
    assert (one.who, one.key, one.said) == ("okafor-lind", PART, None)
    chief = client_of("okafor-lind")
    assert "judgement is still to be given" in words(chief.post(reverse("flight-release", args=[id])), 400)
    yes = {"finding": PART, "answer": "yes", "why": "watched all of it, nothing was left out"}
    assert client_of("castellane").post(judge, yes).status_code == 403
    assert chief.post(judge, {**yes, "why": ""}).status_code == 400
    assert chief.post(judge, {**yes, "finding": "something.else"}).status_code == 400
    assert kinds("judged") == []
    chief.post(judge, yes)
    assert answer_of(id).judgements[0].is_yes
    sheet = chief.post(reverse("flight-release", args=[id]), {"id": new_id()})
    page = words(chief.get(sheet.url))
    assert "JUDGE" in page
    assert "Maren Okafor-Lind said yes" in page
    assert "watched all of it, nothing was left out" in page


def test_a_judges_no_is_a_stop_that_no_choice_goes_round(quick_walk):
    id = quick_walk
    chief = client_of("okafor-lind")
    chief.post(reverse("flight-judge", args=[id]), {"finding": PART, "answer": "no"})
    assert answer_of(id).verdict.name == "STOP"
    page = words(chief.get(reverse("flight", args=[id])))
    assert "Maren Okafor-Lind said no" in page
    assert "a person named to judge has said no" in page
    assert "No choice goes round a no" in words(chief.get(reverse("flight-ways", args=[id]), {"part": "1"}))
    assert chief.post(reverse("flight-release", args=[id])).status_code == 400


# --- an ordinary good day ---


def test_an_ordinary_good_day_takes_at_most_twelve_touches_for_a_pair(demo_day):
    """One tap, click or filled field each, from Today with somebody logged in, both declarations and release counted.

    Nobody has declared anything yet, the weather is an hour old and the fuel is to be read again.
    """
    id = flight_at("06:30")
    for said in (each for each in find_records(kinds=("declared",)) if each.act.flight == id):
        withdraw(id=new_id(), record=said.id, by=said.by)
    instructor, touches = client_of("sunde"), 0
    page = instructor.get(reverse("today")).content.decode()
    assert reverse("flight", args=[id]) in page
    touches += 1  # the flight
    given = {"stick": "40 L", "gauge": "40 L", "report": "METAR X0TB 121310Z 18003KT 10SM CLR 09/02 A2980"}
    instructor.post(reverse("flight-report", args=[id]), given)
    touches += len(given) + 2  # opening the form, each field, and the button
    for person in ("sunde", "halloran"):
        page = instructor.get(reverse("flight", args=[id])).content.decode()
        if f'name="person" value="{person}"' in page:
            instructor.post(reverse("flight-sign", args=[id]), {"person": person, "all": "yes"})
            touches += 1 if person == "sunde" else 2  # on own data the other one types a password
    answer = instructor.post(reverse("flight-release", args=[id]), {"id": new_id()})
    touches += 1
    assert answer.status_code == 302, answer.content.decode()[-500:]
    assert touches <= 12


# --- bad input ---


def test_hostile_text_stays_text(demo_day):
    id = flight_at("06:30")
    client = client_of("sunde")
    hostile = '<script>alert("x")</script>'
    for key in ("fuel", "start", "runway", "lesson"):
        text = client.get(reverse("flight", args=[id]), {key: hostile}).content.decode()
        assert "<script>alert" not in text
    assert client.post(reverse("flight-report", args=[id]), {"report": hostile}).status_code == 400
    assert client.post(reverse("flight-report", args=[id]), {"weather": hostile, "wind": "3 kt"}).status_code == 400
    assert client.post(reverse("flight-report", args=[id]), {}).status_code == 400
    assert client.post(reverse("flight-report", args=[id]), {"stick": "forty"}).status_code == 400
    assert kinds("weather-given") == ["weather-given"] * 3


def test_a_report_from_the_future_is_not_taken_in(demo_day):
    client = client_of("sunde")
    late = "METAR X0TB 121810Z 18003KT 10SM CLR 09/02 A2980"
    answer = client.post(reverse("flight-report", args=[flight_at("06:30")]), {"report": late})
    assert "later time than this clock" in words(answer, 400)


def test_the_weather_as_read_at_the_field_is_the_newest_observation(demo_day):
    id = flight_at("06:30")
    given = {
        "wind_from": "250 deg",
        "reference": "magnetic",
        "wind": "4 kt",
        "gust": "none",
        "visibility": "10 km",
        "cloud_base": "none",
        "temperature": "10 C",
        "dew_point": "2 C",
        "altimeter": "29.80 inHg",
    }
    client_of("sunde").post(reverse("flight-report", args=[id]), given)
    sheet = answer_of(id).answer.situation.sheet
    assert sheet.value("reported").observed_by == "sunde"
    assert answer_of(id).verdict.name == "GO"


# --- the command line ---


def test_verify_walks_the_book_and_says_where_it_breaks(demo_day):
    def walked():
        code = "import sys; from gyrewright.cli import main; sys.exit(main(sys.argv[1:]))"
        return subprocess.run(
            [sys.executable, "-c", code, "verify", "--data", str(demo_day)], capture_output=True, text=True, check=False
        )

    whole = walked()
    assert (whole.returncode, "whole" in whole.stdout) == (0, True), whole.stderr
    with connection.cursor() as cursor:
        cursor.execute("DROP TRIGGER book_record_no_update")
        cursor.execute("UPDATE book_record SET by = 'nobody' WHERE seq = 40")
    connection.close()
    broken = walked()
    assert broken.returncode == 1
    assert "record 40: was changed" in broken.stderr


def test_the_desk_runs_the_demonstration_and_ends_cleanly_on_a_signal(tmp_path):
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port = probe.getsockname()[1]
    code = "import sys; from gyrewright.cli import main; sys.exit(main(sys.argv[1:]))"
    command = [sys.executable, "-c", code, "desk", "--demo", "--data", str(tmp_path / "demo"), "--port", str(port)]
    environ = {name: value for name, value in os.environ.items() if not name.startswith("GYREWRIGHT_")}
    desk = subprocess.Popen(command, env=environ, stdout=subprocess.PIPE, text=True, start_new_session=True)
    try:
        lines = [desk.stdout.readline(), desk.stdout.readline()]
        assert lines[1] == f"the desk answers at http://127.0.0.1:{port}/ until you press Ctrl-C\n"
        with urllib.request.urlopen(f"http://127.0.0.1:{port}/door", timeout=20) as answer:
            assert "Tobiah Sunde" in answer.read().decode()
        desk.send_signal(signal.SIGTERM)
        assert desk.wait(timeout=20) == 0
    finally:
        if desk.poll() is None:
            os.killpg(desk.pid, signal.SIGKILL)
        desk.wait()
        desk.stdout.close()


def test_the_demonstration_and_own_data_never_mix(demo_day):
    code = "import sys; from gyrewright.cli import main; sys.exit(main(sys.argv[1:]))"
    command = [sys.executable, "-c", code, "desk", "--data", str(demo_day), "--port", "8999"]
    environ = {name: value for name, value in os.environ.items() if not name.startswith("GYREWRIGHT_")}
    told = subprocess.run(command, env=environ, capture_output=True, text=True, check=False, timeout=30)
    assert told.returncode == 2
    assert "holds the demonstration, and an operation's own data were asked for" in told.stderr


def run_command(*words):
    code = "import sys; from gyrewright.cli import main; sys.exit(main(sys.argv[1:]))"
    environ = {name: value for name, value in os.environ.items() if not name.startswith("GYREWRIGHT_")}
    command = [sys.executable, "-c", code, *words]
    return subprocess.run(command, env=environ, capture_output=True, text=True, check=False, timeout=60)


def test_own_data_are_opened_with_a_manager_who_can_get_back_in(tmp_path):
    folder = str(tmp_path / "own")
    empty = run_command("desk", "--data", folder)
    assert (empty.returncode, "holds no book yet; open one with" in empty.stderr) == (2, True)
    opened = run_command("open", "A school", "ada", "Ada Ost", "--data", folder)
    first = re.search(r"Ada Ost logs in once as ada with: (\S+)", opened.stdout).group(1)
    again = run_command("open", "A school", "ada", "Ada Ost", "--data", folder)
    assert (again.returncode, "already open" in again.stderr) == (2, True)
    second = re.search(r"with: (\S+)", run_command("password", "ada", "--data", folder).stdout).group(1)
    assert first != second
    assert "no account has the name" in run_command("password", "bob", "--data", folder).stderr
    assert "whole" in run_command("verify", "--data", folder).stdout


def test_what_only_lacks_a_second_check_is_judged_together_and_nothing_else_is(demo_day):
    definition = demo.demo_table("aircraft/dunlin.toml")
    definition["manual"] |= {"verified_by": "", "revision": "5"}
    append([adopting.defined(text=toml_text(definition), by=demo.MANAGER)])
    id = flight_at("06:30")
    found = answers.answered(state.flight(id, clock.now()), clock.now())
    open_ones = [each.key for each in found.judgements if each.finding.why == flights.UNVERIFIED]
    assert len(open_ones) > 5
    client = client_of("sunde")
    assert f"I judge all {len(open_ones)}: yes" in words(client.get(reverse("flight", args=[id])))
    judge = reverse("flight-judge", args=[id])
    assert "needs its reason" in words(client.post(judge, {"finding": open_ones, "why": ""}), 400)
    before = head().seq
    assert client.post(judge, {"finding": open_ones, "why": "read again this morning"}).status_code == 302
    assert head().seq == before + len(open_ones)
    found = answers.answered(state.flight(id, clock.now()), clock.now())
    assert all(each.is_yes for each in found.judgements if each.key in open_ones)
    with pytest.raises(NotAllowed):
        flights.judge_unverified(ids=dict.fromkeys(open_ones, new_id()), flight=id, why="two words", by="halloran")


def test_a_judgement_of_its_own_is_not_judged_with_others(quick_walk):
    with pytest.raises(Refused, match="judged alone"):
        flights.judge_unverified(ids={PART: new_id()}, flight=quick_walk, why="two words", by="okafor-lind")
    assert kinds("judged") == []
