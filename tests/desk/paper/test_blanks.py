"""Blank forms: each for its aircraft, on one page where that can be, holding nothing of a flight or a person."""

from __future__ import annotations

import pytest
from django.urls import reverse

from gyrewright.desk.paper.blanks import BLANKS, ON_LARGE
from gyrewright.desk.services.people import all_people
from gyrewright.desk.services.statements import WORDS
from gyrewright.inspection.lists import shipped_list


def blank(client, name, paper="a4", aircraft="N0-101D"):
    answer = client.get(reverse("blank-sheet", args=[aircraft, name]), {"paper": paper})
    assert answer.status_code == 200, answer.content[:300]
    return answer.content


def test_the_page_offers_every_form_for_every_aircraft(demo_day, person_at):
    page = person_at("halloran").get(reverse("papers")).content.decode()
    for aircraft in ("N0-101D", "N0-202W", "N0-303S"):
        assert reverse("walk-sheet", args=[aircraft, "walk-round"]) in page
        for name in BLANKS:
            assert reverse("blank-sheet", args=[aircraft, name]) in page


@pytest.mark.parametrize("aircraft", ["N0-101D", "N0-202W", "N0-303S"])
@pytest.mark.parametrize("name", sorted(BLANKS))
def test_one_large_page_holds_each(demo_day, person_at, look, name, aircraft):
    client = person_at("sunde")
    for paper in ("a4", "letter"):
        pdf = blank(client, name, paper, aircraft)
        assert look.pages(pdf) == 1, (name, paper, aircraft)
        assert all(font.startswith("SourceSansPro-") for font in look.fonts(pdf))
        assert aircraft in look.words(pdf)


@pytest.mark.parametrize("name", sorted(set(BLANKS) - ON_LARGE))
def test_a_small_one_is_one_sheet_front_and_back(demo_day, person_at, look, name):
    assert look.pages(blank(person_at("sunde"), name, "a5")) <= 2


def test_nobody_and_no_flight_is_in_them(demo_day, person_at, look):
    names = {known.name.split()[-1] for known in all_people().values() if known.name}
    for name in BLANKS:
        seen = look.words(blank(person_at("sunde"), name))
        assert not [each for each in names if each in seen], name


def test_the_load_sheet_by_hand_prints_what_the_weighing_says_and_leaves_the_rest(demo_day, person_at, look):
    seen = look.words(blank(person_at("sunde"), "load"))
    # The demonstration's weighing record and stations.
    assert "Empty aircraft weighed 2026-03-02 286 2402 686972" in seen
    assert "Front seat 1312" in seen
    assert "liters × 0.72 kg/L" in seen
    assert "The empty mass holds the unusable fuel already." in seen
    assert "at most 500 kg" in seen


def test_the_question_by_hand_asks_every_declaration_and_shows_every_layer_of_the_wind(demo_day, person_at, look):
    seen = look.words(blank(person_at("sunde"), "flight"))
    for words in WORDS.values():
        assert words in seen
    assert "at most 35 kt manual, page 2-6" in seen
    assert "at most 25 kt house (dual and certificated pilots), rule 1" in seen
    assert "at most 12 kt house (student alone), rule 2" in seen


def test_after_the_flight_asks_for_every_meter_and_every_event_that_locks(demo_day, person_at, look):
    seen = look.words(blank(person_at("sunde"), "after-flight"))
    for meter in ("airframe meter", "engine meter", "rotor meter"):
        assert meter in seen
    for row in shipped_list("special").events:
        if row.locks:
            assert row.question in seen


def test_what_is_no_form_is_refused_by_name(demo_day, person_at):
    answer = person_at("sunde").get(reverse("blank-sheet", args=["N0-101D", "nothing"]))
    assert answer.status_code == 404
    assert "choose one of: flight, load, defect, after-flight" in answer.content.decode()
