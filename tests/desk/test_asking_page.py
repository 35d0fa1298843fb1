"""Asking for a flight through its form, and giving what was read at the field: nothing that was typed is lost."""

from __future__ import annotations

import pytest
from django.urls import reverse

from gyrewright.desk import clock
from gyrewright.desk.book.reading import find_records, head
from gyrewright.desk.services import state
from gyrewright.desk.services.records import new_id
from kit.desk import client_of, held, words

ASKED = {
    "aircraft": "N0-101D",
    "purpose": "instruction",
    "lesson": "crosswind",
    "commander": "sunde",
    "instructor": "sunde",
    "student": "halloran",
    "examiner": "",
    "passenger": "",
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


@pytest.mark.parametrize(
    ("field", "typed", "said"),
    [
        ("block", "long", "block"),
        ("fuel", "-40 L", "-40 L"),
        ("seat.front", "sunde", "two seats"),
        ("on", "2031-06-12", "check the day"),
        ("load.baggage", "9999 kg", "9999 kg"),
    ],
)
def test_what_is_refused_stands_in_the_form_again(demo_day, field, typed, said):
    client, before = client_of("sunde"), head()
    given = {**ASKED, field: typed, "present": ["okafor-lind", "arrowood"]}
    answer = client.post(reverse("flight-ask"), given)
    page = words(answer, 400)
    assert said in page
    assert "Nothing was asked for; what you typed stands below." in page
    assert {name: held(answer).get(name) for name in ASKED} == {**ASKED, field: typed}
    assert answer.content.decode().count(" checked") == 2
    assert head() == before


def test_who_is_at_the_field_besides_is_asked_and_kept(demo_day):
    client = client_of("sunde")
    answer = client.post(reverse("flight-ask"), {**ASKED, "id": new_id(), "present": ["okafor-lind"]})
    assert answer.status_code == 302
    assert find_records(kinds=("flight-asked",))[-1].act.present == ("okafor-lind",)


def test_a_flight_is_asked_for_like_an_earlier_one_with_what_is_the_days_own_left_open(demo_day):
    client = client_of("sunde")
    page = client.get(reverse("flight-ask"))
    assert "Tobiah Sunde and Wren Halloran, N0-101D, crosswind" in words(page)
    like = next(iter(state.flights(clock.now())))
    form = held(client.get(reverse("flight-ask"), {"like": like}))
    alike = {name: text for name, text in ASKED.items() if name not in ("start", "fuel", "runway", "runway_state")}
    seats = {"seat.front": "sunde", "seat.rear": "halloran"}
    assert {name: form.get(name) for name in alike} == {**alike, **seats, "block": "1.1 h"}
    assert {form[name] for name in ("start", "fuel", "runway", "runway_state")} == {""}


def test_a_student_is_offered_their_own_flights_alone(demo_day):
    page = words(client_of("castellane").get(reverse("flight-ask")))
    assert "Juno Castellane" in page
    assert "Wren Halloran" not in page


def test_readings_that_are_refused_stand_in_the_form_again_and_none_of_them_was_kept(demo_day):
    client, before = client_of("sunde"), head()
    id = next(iter(state.flights(clock.now())))
    given = {
        "report": "METAR X0TB 121310Z 18003KT 10SM CLR 09/02 A2980",
        "stick": "40 L",
        "gauge": "4000 L",
        "wind": "4 kt",
    }
    answer = client.post(reverse("flight-report", args=[id]), {"id": new_id(), **given})
    assert "Nothing was written; what you typed stands below." in words(answer, 400)
    form = held(answer)
    assert {name: form[name] for name in given} == given
    assert head() == before


def test_readings_handed_in_twice_are_kept_once(demo_day):
    client = client_of("sunde")
    id = next(iter(state.flights(clock.now())))
    given = {"id": new_id(), "report": "METAR X0TB 121310Z 18003KT 10SM CLR 09/02 A2980", "stick": "40 L"}
    client.post(reverse("flight-report", args=[id]), given)
    after = head()
    assert client.post(reverse("flight-report", args=[id]), given).status_code == 302
    assert head() == after
