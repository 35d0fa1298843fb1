"""Checking values against the page: another person, blind; or the same one on another day in a house of one."""

from __future__ import annotations

import re
from datetime import UTC, datetime

import pytest
from django.urls import reverse

from gyrewright.desk import clock
from gyrewright.desk.book.reading import find_records
from gyrewright.desk.services import adopting, definitions, people, state
from gyrewright.desk.services.answers import answered
from gyrewright.desk.services.demo import demo_text
from gyrewright.desk.services.records import new_id
from kit.desk import client_of, words

DUNLIN = "N0-101D"
VERIFY = reverse("aircraft-verify", args=[DUNLIN])


@pytest.fixture
def open_file(demo_day):
    """The Dunlin's file corrected by the manager: the wind limit changed, and so to be checked again."""
    text = demo_text("aircraft/dunlin.toml").replace('at_most = "35 kt"', 'at_most = "30 kt"')
    entry = adopting.defined(text=text, by="okafor-lind")
    adopting.adopt(entry)
    return DUNLIN


def form_of(client, page="2-6"):
    text = client.get(VERIFY, {"page": page}).content.decode()
    keys = dict(re.findall(r'name="k\.(\d+)" value="([^"]*)"', text))
    return {"page": page, **{f"k.{number}": key.replace("&#x27;", "'") for number, key in keys.items()}}, text


def test_it_works_blind(open_file):
    client = client_of("arrowood")
    assert "1 value to be checked against the page" in words(client.get(VERIFY))
    given, text = form_of(client)
    # What was entered is nowhere on the page.
    assert "30 kt" not in text
    assert "35 kt" not in text
    assert [key for name, key in given.items() if name.startswith("k.")] == ["limit wind, at_most (counts gust)"]
    assert client.post(VERIFY, {**given, "v.0": "30 kt"}).status_code == 302
    assert definitions.checked_of(DUNLIN, clock.now()).open == ()
    last = find_records(about=DUNLIN, kinds=("limit-verified",))[-1]
    assert (last.by, last.act.typed, last.act.page, last.act.manual_revision) == ("arrowood", "30 kt", "2-6", "4")
    said = words(client.get(reverse("aircraft-one", args=[DUNLIN])))
    assert "30 kt 2-6 Pell Arrowood typed again 12 Jun 2027" in said


def test_until_then_a_flight_that_it_could_stop_asks_a_person(open_file):
    flight = next(iter(state.flights(clock.now()).values()))
    whys = {each.why for each in answered(flight, state.asking_at()).answer.findings if each.id == "aircraft.verified"}
    assert whys == {"unverified"}
    assert "30 kt 2-6 not checked" in words(client_of("arrowood").get(reverse("aircraft-one", args=[DUNLIN])))


def test_what_comes_out_otherwise_is_refused_and_not_told(open_file):
    client = client_of("arrowood")
    given, _ = form_of(client)
    answer = client.post(VERIFY, {**given, "v.0": "35 kt"})
    said = words(answer, 400)
    assert "wind, at most (gusts counted): that is not what was entered" in said
    assert "30 kt" not in answer.content.decode()
    assert 'value="35 kt"' in answer.content.decode()
    assert find_records(about=DUNLIN, kinds=("limit-verified",)) == []


def test_nothing_typed_and_a_key_that_is_gone_are_refused(open_file):
    client = client_of("arrowood")
    given, _ = form_of(client)
    assert "nothing was typed" in words(client.post(VERIFY, {**given, "v.0": " "}), 400)
    assert "open it again" in words(client.post(VERIFY, {**given, "k.0": "limit nothing", "v.0": "1 kt"}), 400)


def test_whoever_typed_it_does_not_check_it(open_file):
    client = client_of("okafor-lind")
    assert "Not by you, now" in words(client.get(VERIFY, {"page": "2-6"}))
    given, _ = form_of(client)
    assert client.post(VERIFY, {**given, "v.0": "30 kt"}).status_code == 403


def test_a_student_checks_nothing(open_file):
    assert client_of("halloran").get(VERIFY).status_code == 403


def test_in_a_house_of_one_the_same_person_types_again_on_another_day(open_file):
    # Everybody else loses the roles that may check.
    now = clock.now()
    for person in state.folk(now).people.values():
        for role in person.roles & {
            "instructor",
            "named instructor",
            "chief instructor",
            "maintainer",
            "inspector",
            "owner",
            "manager",
        }:
            if person.id != "okafor-lind":
                people.end_role(id=new_id(), person=person.id, role=role, from_on=now.date(), by="okafor-lind")
    assert definitions.is_house_of_one(clock.now())
    client = client_of("okafor-lind")
    given, text = form_of(client)
    assert "on another day" in text
    assert "on another day" in words(client.post(VERIFY, {**given, "v.0": "30 kt"}), 400)
    clock.start(demo_at=datetime(2027, 6, 13, 15, 0, tzinfo=UTC))
    assert client.post(VERIFY, {**given, "v.0": "31 kt"}).status_code == 400
    assert client.post(VERIFY, {**given, "v.0": "30 kt"}).status_code == 302
    assert definitions.checked_of(DUNLIN, clock.now()).open == ()
