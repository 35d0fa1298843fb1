"""Aircraft, Upkeep and People before much is known, and while an aircraft's own file is in question."""

from __future__ import annotations

import pytest
from django.test import Client
from django.urls import reverse

from gyrewright.desk.book.kinds.aircraft import AircraftDefined
from gyrewright.desk.services import adopting
from gyrewright.desk.services.demo import demo_text
from gyrewright.desk.services.records import new_id, record_act
from kit.desk import client_of, words

PAGES = ("aircraft", "upkeep", "people")
TEXT = demo_text("aircraft/dunlin.toml").replace("demo = true", "")


@pytest.fixture
def manager(book, let_in, password):
    let_in("ada")
    client = Client(SERVER_NAME="localhost")
    client.post(reverse("door"), {"name": "ada", "password": password})
    return client


@pytest.mark.parametrize("name", PAGES)
def test_an_empty_book_says_what_is_not_there_yet(manager, name):
    said = words(manager.get(reverse(name)))
    assert "has been entered yet" in said or "have not been entered yet" in said


def test_an_aircraft_alone_is_shown_without_house_program_and_books(manager):
    adopting.adopt(adopting.defined(text=TEXT, by="ada"))
    for name in PAGES:
        assert words(manager.get(reverse(name)))
    one = words(manager.get(reverse("aircraft-one", args=["N0-101D"])))
    assert "Take-off mass, at most 500 kg" in one
    assert "Nobody has said which papers there are" in one
    upkeep = words(manager.get(reverse("upkeep-aircraft", args=["N0-101D"])))
    assert "nobody can say what is due" in upkeep


def test_a_person_without_a_house_has_papers_and_no_standing(manager):
    said = words(manager.get(reverse("person", args=["ivo"])))
    assert "House rules and field have not been entered yet" in said
    assert "Instructor from 1 Jan 2027" in said


@pytest.mark.parametrize("name", ["aircraft-one", "upkeep-aircraft"])
def test_two_texts_of_one_aircraft_are_a_question_and_the_page_says_where_it_is_settled(demo_day, name):
    client, id = client_of("okafor-lind"), new_id()
    for speed in ("36 kt", "37 kt"):
        text = demo_text("aircraft/dunlin.toml").replace('at_most = "35 kt"', f'at_most = "{speed}"')
        record_act(id=id, act=AircraftDefined(text=text, manual_revision="4"), by="okafor-lind", about="N0-101D")
    said = words(client.get(reverse(name, args=["N0-101D"])))
    assert "nobody can say anything about it now" in said
    assert reverse("question", args=[id]) in client.get(reverse(name, args=["N0-101D"])).content.decode()
    # The others are shown as ever.
    assert "Whimbrel N0-202W" in words(client.get(reverse("aircraft")))
    assert words(client.get(reverse("people")))
