"""Slips of the pen at the flight's forms, and who may use them: one sentence each, and the book as it was."""

from __future__ import annotations

from datetime import timedelta

import pytest
from django.test import Client
from django.urls import reverse

from gyrewright.desk import clock
from gyrewright.desk.book.kinds.upkeep import Touched
from gyrewright.desk.book.reading import head
from gyrewright.desk.refusal import NotAllowed, Refused
from gyrewright.desk.services import adopting, entering, flights, state
from gyrewright.desk.services.demo import demo_table
from gyrewright.desk.services.flights import as_asked
from gyrewright.desk.services.records import new_id, record_act
from gyrewright.errors import DefinitionError

OBSERVED = {
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


@pytest.fixture
def first(demo_day):
    return next(iter(state.flights(clock.now()).values()))


def client_of(person):
    client = Client(SERVER_NAME="localhost", raise_request_exception=False)
    client.post(reverse("demo-door"), {"person": person})
    return client


@pytest.mark.parametrize(
    ("field", "typed"),
    [
        ("stick", "-40 L"),
        ("gauge", "100000 L"),
        ("stick", "40 kg"),
        ("gauge", "forty"),
        ("wind", "-4 kt"),
        ("gust", "2 kt"),
        ("temperature", "400 C"),
        ("altimeter", "0 inHg"),
        ("dew_point", "99 C"),
        ("wind_from", "400 deg"),
    ],
)
def test_a_reading_that_cannot_be_is_refused_and_no_page_is_the_worse_for_it(first, field, typed):
    client, before = client_of("sunde"), head()
    given = {field: typed} if field in ("stick", "gauge") else {**OBSERVED, field: typed}
    answer = client.post(reverse("flight-report", args=[first.id]), given)
    assert answer.status_code == 400
    assert 'role="alert"' in answer.content.decode()
    assert head() == before
    assert client.get(reverse("flight", args=[first.id])).status_code == 200


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ({"depart_at": timedelta(days=-3)}, "check the day"),
        ({"depart_at": timedelta(days=400)}, "check the day"),
        ({"seats": {"front": "sunde", "rear": "sunde"}}, "two seats"),
        ({"seats": {"front": "nobody-known", "rear": "sunde"}}, "nobody-known"),
        ({"block": "-1 h"}, "-1 h"),
        ({"fuel": "-40 L"}, "-40 L"),
        ({"loads": {"baggage": "-5 kg"}}, "-5 kg"),
    ],
)
def test_a_flight_that_cannot_be_is_not_asked_for_and_not_changed_to(first, changes, said):
    if "depart_at" in changes:
        changes = {"depart_at": first.act.depart_at + changes["depart_at"]}
    act, before = as_asked(first, **changes), head()
    with pytest.raises((Refused, DefinitionError), match=said):
        flights.ask_flight(id=new_id(), aircraft=first.aircraft, act=act, by="sunde")
    with pytest.raises((Refused, DefinitionError), match=said):
        flights.change_flight(id=new_id(), flight=first.id, aircraft=first.aircraft, act=act, by="sunde")
    assert head() == before


def test_less_than_nothing_is_no_amount_in_any_record(book):
    before = head()
    with pytest.raises(DefinitionError, match="less than nothing"):
        record_act(act=Touched(what="fuelled", fuel="-3 L"), by="ivo", about="N0-101D")
    assert head() == before


@pytest.mark.parametrize("letter", ["\x00", "\x1b", "\u202e", "\u2066", "\ud800"])
def test_a_letter_that_nobody_can_see_stands_in_no_record(book, letter):
    before = head()
    for changes in ({"act": Touched(what=f"fuelled{letter}")}, {"by": f"ivo{letter}"}, {"about": f"N0-101D{letter}"}):
        given = {"act": Touched(what="fuelled"), "by": "ivo", "about": "N0-101D", **changes}
        with pytest.raises(Refused):
            record_act(**given)
    assert head() == before


# --- who may, whatever calls the act ---


def test_whoever_has_no_part_in_a_flight_neither_changes_nor_drops_it(first):
    before = head()
    with pytest.raises(NotAllowed):
        flights.drop_flight(id=new_id(), flight=first.id, by="eklund")
    with pytest.raises(NotAllowed):
        flights.change_flight(
            id=new_id(), flight=first.id, aircraft=first.aircraft, act=as_asked(first, runway="07"), by="eklund"
        )
    assert head() == before
    flights.drop_flight(id=new_id(), flight=first.id, by="halloran")
    assert not state.flight(first.id, clock.now()).is_open


@pytest.mark.parametrize("nobody", ["vic", "out", "stranger"])
def test_who_holds_no_role_or_only_reads_enters_nothing_about_the_day(book, nobody):
    before = head()
    for act in (
        lambda: flights.give_report(id=new_id(), text="METAR X0TB 121310Z 18003KT 10SM CLR 09/02 A2980", by=nobody),
        lambda: flights.give_observation(id=new_id(), text="", by=nobody),
        lambda: flights.measure_fuel(ids={"stick": new_id()}, aircraft="N0-101D", readings={"stick": "4 L"}, by=nobody),
    ):
        with pytest.raises(NotAllowed):
            act()
    assert head() == before


def test_files_and_books_are_entered_by_those_whom_the_table_of_acts_names(house):
    before = head()
    books = demo_table("aircraft/dunlin-records.toml")
    text = demo_text("operation.toml")
    on = clock.now().date()
    for person in ("sunde", "halloran"):
        with pytest.raises(NotAllowed, match="accountable manager"):
            adopting.adopt(adopting.adopted(name="operation", text=text, holds_from=on, by=person))
        with pytest.raises(NotAllowed, match="which manual holds"):
            adopting.adopt(adopting.defined(text=demo_text("aircraft/dunlin.toml"), by=person))
        with pytest.raises(NotAllowed, match="books in hand"):
            entering.enter_books(books=books, by=person, at=clock.now())
    assert head() == before
    adopting.adopt(adopting.adopted(name="operation", text=text, holds_from=on, by="okafor-lind"))
    assert head().seq == before.seq + 1


def demo_text(path):
    from importlib.resources import files

    return files("gyrewright.data").joinpath("demo", *path.split("/")).read_text(encoding="utf-8")
