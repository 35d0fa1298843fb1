"""Upkeep in the browser's words: what is next due on which clock, held against the scenario's table."""

from __future__ import annotations

import re

import pytest
from django.test import Client
from django.urls import reverse

from gyrewright.desk import clock
from gyrewright.desk.book.kinds import upkeep
from gyrewright.desk.services import adopting, demo, due, state
from gyrewright.desk.services.records import new_id, record_act
from gyrewright.maintenance import intervals
from gyrewright.maintenance.clocks import IN_DATE
from kit.desk import client_of, words

DUNLIN, WHIMBREL, SANDERLING = "N0-101D", "N0-202W", "N0-303S"


def page(person, name, *args, **query):
    return words(client_of(person).get(reverse(name, args=args), query))


def test_every_aircraft_says_what_binds_it_next(demo_day):
    said = page("sunde", "upkeep")
    # The scenario's maintenance state of that morning, row by row.
    assert "Directive: hub-bar look: 2.8 h left" in said
    assert "100 h check was due at 1200 h on the airframe meter, which shows 1206.4 h: 6.4 h past 1200 h" in said
    assert "Hollis Yarrow said that it was done, and there is no signed entry" in said
    assert "Annual condition inspection: 18 days left" in said
    assert "Landing lamp is deferred" in said


def test_the_early_check_pulls_the_next_one_forward_and_the_law_binds(demo_day):
    said = page("arrowood", "upkeep-aircraft", DUNLIN)
    assert "Done at 396 h; had been due at 400 h; interval 100 h; due at 496 h; now 487.3 h; remaining 8.7 h" in said
    assert "engine maker: until 506 h" in said
    assert "Teeter bolt and bushes" in said
    assert "Rubber parts" in said
    assert "17 days left" in said


def test_what_is_due_hangs_on_what_flights_are_for(demo_day):
    taught = page("arrowood", "upkeep-aircraft", WHIMBREL)
    assert "100 h check is over" in taught
    # The owner flying privately: the law's hundred hours do not bear, the annual does.
    private = page("arrowood", "upkeep-aircraft", WHIMBREL, **{"for": "private"})
    assert "100 h check is over" not in private
    assert "Past due, and still permitted for these flights" in private


def test_a_meter_that_was_exchanged_runs_on_and_a_corrected_reading_stays_readable(demo_day):
    said = page("arrowood", "upkeep-aircraft", SANDERLING)
    assert "913.2 h airframe It shows 273.2 h; the total runs on from before it was exchanged" in said
    assert "the old one showed 640.0 h, the new one 0.0 h; stopped counting" in said
    assert "Corrected since: 478.3 h" in page("arrowood", "upkeep-aircraft", DUNLIN)


def test_a_part_takes_its_own_hours_along(demo_day):
    said = page("arrowood", "upkeep-aircraft", WHIMBREL)
    # The scenario: the rotor came from another aircraft with hours of its own, and its bearing counts those.
    assert re.search(r"Rotor bearing \S+: 731\.9 h of its own now", said)


def test_every_row_has_a_ruler_that_says_in_words_what_it_shows(demo_day):
    html = client_of("arrowood").get(reverse("upkeep-aircraft", args=[DUNLIN])).content.decode()
    assert html.count("<svg") >= 10
    assert "<desc" in html
    assert "490.1" in html


def test_the_page_says_what_the_core_works_out(demo_day):
    at = state.asking_at()
    aircraft = state.machine(DUNLIN, at).aircraft
    for each in due.next_due(aircraft, at=at, purpose="instruction"):
        if each.due.state == IN_DATE and each.due.binding is not None and each.due.unit == "h":
            assert each.finding.margin == pytest.approx(each.due.binding.latest - each.due.now)
            assert each.finding.value == each.due.now
    found = due.next_due(aircraft, at=at, purpose="instruction")
    assert {each.finding.why for each in found} <= {"stands_h", "stands_on", "stands_count", "no_record", "no_evidence"}
    assert intervals.SAME_H < 0.001


def test_an_aircraft_without_program_and_books_says_that_nobody_can_say(demo_day):
    text = demo.demo_text("aircraft/sanderling.toml").replace("N0-303S", "N0-404X")
    adopting.adopt(adopting.defined(text=text, by="okafor-lind"))
    said = page("arrowood", "upkeep-aircraft", "N0-404X")
    assert "nobody can say what is due: its program has not been entered" in said
    assert "Nobody can say what is due" in page("arrowood", "upkeep")
    assert "has no maintenance program yet" in words(
        client_of("arrowood").get(reverse("upkeep-enter", args=["N0-404X", "done"]), {"task": "grease"}), 400
    )


def test_everybody_here_reads_it_and_a_stranger_does_not(demo_day):
    for person in ("castellane", "dunmore", "yarrow", "okafor-lind"):
        assert "hub-bar" in page(person, "upkeep")
    assert Client(SERVER_NAME="localhost").get(reverse("upkeep")).status_code == 302


def test_an_aircraft_that_is_not_there_is_not_found(demo_day):
    assert client_of("arrowood").get(reverse("upkeep-aircraft", args=["N0-999X"])).status_code == 404
    assert client_of("arrowood").get(reverse("upkeep-enter", args=[DUNLIN, "nothing"])).status_code == 404


def test_two_truths_take_what_they_speak_of_out_of_the_list(demo_day):
    id = new_id()
    record_act(id=id, act=upkeep.DirectivesRead(on=clock.now().date()), by="arrowood", about=DUNLIN)
    other = upkeep.DirectivesRead(on=clock.DEMO_START.date().replace(day=1))
    record_act(id=id, act=other, by="arrowood", about=DUNLIN)
    assert "Two records contradict each other" in page("arrowood", "upkeep-aircraft", DUNLIN)
