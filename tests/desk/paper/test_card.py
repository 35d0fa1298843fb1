"""The card from start to take-off: the manual's numbers with their page, a line where there is none, the gates."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest
from django.urls import reverse

from gyrewright.desk import clock
from gyrewright.desk.book.reading import head
from gyrewright.desk.paper.card import ENGINE, ROTOR, SPEEDS, card_sheet
from gyrewright.desk.paper.press import printed
from gyrewright.desk.services import state
from gyrewright.desk.services.answers import answered
from gyrewright.fact import missing
from gyrewright.inspection.lists import shipped_list
from gyrewright.units import as_read
from gyrewright.words.tell import tell


def made(found):
    return card_sheet(found, tell(found.answer), head=head(), made_at=clock.now(), base="http://localhost:8127")


def with_definition(found, definition):
    question = found.question
    return replace(found, question=replace(question, aircraft=replace(question.aircraft, definition=definition)))


@pytest.fixture
def found(demo_day, flight_at):
    return answered(state.flight(flight_at("06:30"), clock.now()), clock.now())


def test_it_works(demo_day, person_at, flight_at, look):
    answer = person_at("sunde").get(reverse("flight-card", args=[flight_at("06:30")]))
    seen = look.words(answer.content)
    # The demonstration's own figures: 200 rpm target, 180 rpm least, and the computed ground roll of that morning.
    assert "Pre-rotate to 200 rpm" in seen
    assert "Least to roll with 180 rpm" in seen
    assert re.search(r"Ground roll page 5-4 159 m", seen)
    assert "Rejection point" in seen
    for gate in shipped_list("start").gates:
        assert gate in seen
    assert "S22" in seen
    assert not re.search(r"\bGO\b", seen)


def test_it_needs_no_mass_and_is_printed_by_whoever_reaches_the_flight(demo_day, person_at, flight_at, look):
    answer = person_at("arrowood").get(reverse("flight-card", args=[flight_at("06:30")]))
    assert answer.status_code == 200
    assert "476.8" not in look.words(answer.content)
    assert person_at("castellane").get(reverse("flight-card", args=[flight_at("06:30")])).status_code == 404


def test_a_number_that_nobody_has_written_down_is_a_line_that_says_where_to_look(found):
    definition = found.question.definition
    without = tuple(
        missing(fact.name) if fact.name in ("card:prerotation_target", "card:best_climb") else fact
        for fact in definition.card
    )
    bare = with_definition(found, replace(definition, card=without))
    sheet = made(bare)
    assert ["Pre-rotate to", [""], "see the manual"] in sheet["rotor"]
    assert ["Best climb", [""], "see the manual"] in sheet["speeds"]
    # Nothing else has moved.
    assert ["Approach", ["55 kt"], ""] in sheet["speeds"]


def test_no_number_is_printed_that_definition_and_answer_do_not_hold(found):
    sheet = made(found)
    typed = {as_read(fact.typed) for fact in found.question.definition.card if fact.is_known}
    for rows in (sheet["rotor"], sheet["speeds"], sheet["engine"]):
        for _, values, _ in rows:
            assert {each for each in values if each} <= typed
    empty = replace(found.question.definition, card=())
    blank = made(with_definition(found, empty))
    assert not any(each for rows in ("rotor", "speeds", "engine") for _, values, _ in blank[rows] for each in values)


def test_every_number_it_prints_is_a_number_that_a_definition_can_hold():
    from gyrewright.card import CARD_NUMBERS

    assert {key for group in (ROTOR, SPEEDS, ENGINE) for _, keys in group for key in keys} <= set(CARD_NUMBERS)


@pytest.mark.parametrize("paper", ["a4", "letter", "a5", "half-letter"])
def test_it_is_one_sheet_front_and_back(found, look, paper):
    assert look.pages(printed("card", made(found), paper=paper, made_at=clock.now())) <= 2


def test_an_answer_that_is_not_plain_puts_its_mark_on_the_card(demo_day, flight_at, look):
    found = answered(state.flight(flight_at("13:30"), clock.now()), clock.now())
    seen = look.words(printed("card", made(found), paper="a4", made_at=clock.now()), 0)
    assert seen.index("STOP") < seen.index("Pre-rotate to")
