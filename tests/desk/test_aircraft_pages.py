"""Aircraft: the list, one aircraft by its manual, its envelope and its papers."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest
from django.urls import reverse

from gyrewright.desk import clock
from gyrewright.desk.services import state
from gyrewright.fact import missing
from gyrewright.pictures.envelope import envelope
from kit.desk import client_of, held, words

DUNLIN, WHIMBREL, SANDERLING = "N0-101D", "N0-202W", "N0-303S"


def page(person, name="aircraft", *args):
    return words(client_of(person).get(reverse(name, args=args)))


def test_every_aircraft_says_by_which_manual_and_how_much_of_it_is_checked(demo_day):
    said = page("castellane")
    for words_ in ("Dunlin D2-96, serial number D2-0101", "All 90 values checked against the page", "revision 4"):
        assert words_ in said


def test_one_aircraft_shows_every_value_with_page_and_checker(demo_day):
    said = page("castellane", "aircraft-one", DUNLIN)
    # The scenario's definition, as printed in its manual.
    for line in (
        "Take-off mass, at most 500 kg 2-3 Pell Arrowood",
        "Load, at least (front, alone) 65 kg 2-4 Pell Arrowood",
        "Wind, at most (gusts counted) 35 kt 2-6 Pell Arrowood",
        "Never exceed 90 kt",
        "Prerotation target 200 rpm",
        "Envelope, forward 340 kg, 2082 mm, 500 kg, 2082 mm 6-4 Pell Arrowood",
        "Empty 286.0 kg at 2402 mm, weighed 2 Mar 2026",
        "Typed by Maren Okafor-Lind",
    ):
        assert line in said


def test_the_envelope_is_drawn_with_its_edge_and_the_limit_on_the_mass(demo_day):
    definition = state.machine(WHIMBREL, clock.now()).aircraft.definition
    drawn = envelope(definition, units={"mass": "kg", "arm": "mm"})
    assert drawn.count('class="envelope"') == 1
    assert "at most 560 kg" in drawn
    corners = re.search(
        r'<polygon[^>]*class="envelope"[^>]*>|<polygon[^>]*points="([^"]*)"[^>]*class="envelope"', drawn
    )
    assert corners is not None
    # The scenario: four masses, forward and aft.
    points = re.search(r'points="([^"]*)"', corners.group()).group(1).split()
    assert len(points) >= 8


def test_an_aircraft_whose_manual_prints_no_arms_says_so_in_words(demo_day):
    definition = replace(
        state.machine(DUNLIN, clock.now()).aircraft.definition, envelope=missing("envelope"), no_arms="hang test"
    )
    assert "prints no arms" in envelope(definition, units={})


def test_papers_are_entered_and_the_newest_of_a_name_counts(demo_day):
    client = client_of("arrowood")
    address = reverse("aircraft-enter", args=[SANDERLING, "paper"])
    assert held(client.get(address, {"paper": "insurance"}))["name"] == "insurance"
    given = {"name": "insurance", "expires_on": "2027-06-25", "aboard": "yes", "reference": "policy 9"}
    answer = client.post(address, given)
    assert (answer.status_code, answer.url) == (302, reverse("aircraft-one", args=[SANDERLING]))
    said = words(client.get(answer.url))
    assert "Insurance, until 25 Jun 2027, aboard. policy 9" in said
    # It ends this month: a caution, by the core's own rule.
    assert "ends this month" in said
    both = {**given, "never_expires": "yes"}
    assert "cannot both end on a day and never end" in words(client.post(address, both), 400)
    ended = {**given, "expires_on": "2027-06-01"}
    assert client.post(address, ended).status_code == 302
    said = words(client.get(answer.url))
    assert "nsurance ended on 1 June 2027" in said
    assert client_of("sunde").post(address, given).status_code == 403


@pytest.mark.parametrize("name", ["aircraft-one", "aircraft-verify", "aircraft-revision"])
def test_an_aircraft_that_is_not_there_is_not_found(demo_day, name):
    assert client_of("okafor-lind").get(reverse(name, args=["N0-999X"])).status_code == 404
