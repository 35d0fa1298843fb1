"""After flight in a browser: on a phone's width and at the desk, by touch, with what is refused kept as typed."""

from __future__ import annotations

from datetime import UTC, datetime

import pytest

from gyrewright.desk import clock
from gyrewright.desk.book.kinds.flight import WeatherGiven
from gyrewright.desk.services import state
from gyrewright.desk.services.records import record_act
from kit.browser import DESK, PHONE
from kit.looking import low_contrast, violations

LANDED_AT = datetime(2027, 6, 12, 14, 20, tzinfo=UTC)


@pytest.fixture(scope="module")
def landed(make_desk):
    """A desk on which the demonstration's first flight has just landed, and the ids of the day's flights by start."""
    flights = {}

    def prepare(folder):
        clock.start(demo_at=LANDED_AT)
        # The demonstration's clock resumes at its last record.
        report = WeatherGiven(text="METAR X0TB 121410Z 18004KT 10SM CLR 11/02 A2980", form="report")
        record_act(act=report, by="sunde")
        for id, asked in state.flights(LANDED_AT).items():
            flights[asked.act.depart_at.astimezone(state.zone()).strftime("%H:%M")] = id

    return make_desk(prepare=prepare), flights


def read_off(person, airframe):
    """Write what a crew writes after an ordinary flight."""
    person.fill("Wheels off", "06:20")
    person.fill("Wheels on", "07:14")
    person.fill("Wren Halloran, take-offs", "6")
    person.fill("Wren Halloran, landings to a full stop", "6")
    for meter in ("Airframe, h", "Engine, h", "Rotor, h"):
        person.fill(meter, airframe)
    person.fill("Fuel left by stick, L", "24")


def test_the_numbers_are_read_off_entered_and_answered_on_a_phones_width(landed, visitor):
    desk, _ = landed
    sunde = visitor(desk, "sunde", width=PHONE)
    sunde.touch(sunde.page.get_by_role("link", name="Enter its numbers after the flight").first)
    read_off(sunde, "488.2")
    sunde.touch("Record these numbers")
    # Nobody has said yet whether something happened: refused, with everything as typed.
    sunde.allow("status of 400")
    assert "Nothing was recorded: say whether one of the events happened" in sunde.words
    assert sunde.page.get_by_label("Airframe, h", exact=True).input_value() == "488.2"
    sunde.touch(sunde.page.get_by_label("None of this happened"))
    sunde.touch("Record these numbers")
    assert "Airframe 488.2 h, 0.9 h more than 487.3 h" in sunde.words
    assert "hub-bar look 2.8 h before, 1.9 h left" in sunde.words
    sunde.page.evaluate("document.querySelectorAll('details').forEach((each) => { each.open = true })")
    assert (violations(sunde.page), low_contrast(sunde.page)) == ([], [])
    assert sunde.touches == 12
    assert sunde.page.evaluate("document.documentElement.scrollWidth") == PHONE


def test_a_number_that_was_wrong_is_put_right_and_the_old_one_stays_in_the_book(landed, visitor):
    desk, flights = landed
    sunde = visitor(desk, "sunde", width=DESK)
    sunde.go(f"/flight/{flights['06:30']}/after")
    sunde.touch("A number is wrong")
    assert sunde.page.get_by_label("None of this happened").is_checked()
    for meter in ("Airframe, h", "Rotor, h"):
        sunde.fill(meter, "488.3")
    sunde.touch("Record these numbers instead")
    assert "Airframe 488.3 h, 1.0 h more than 487.3 h" in sunde.words
    sunde.go("/records/?about=N0-101D")
    assert "488.2 h" in sunde.words


def test_a_yes_to_an_event_locks_the_aircraft_before_the_eyes_of_whoever_said_it(landed, visitor):
    desk, flights = landed
    halloran = visitor(desk, "halloran", width=PHONE)
    halloran.go(f"/flight/{flights['06:30']}/after")
    halloran.touch("A number is wrong")
    halloran.touch(halloran.page.get_by_label("None of this happened"))
    halloran.touch(halloran.page.get_by_label("A landing harder, or more crooked"))
    halloran.fill("If something did: what, where, how hard", "a bit firm")
    halloran.touch("Record these numbers instead")
    assert "N0-101D is locked: hard landing. It does not fly until the hard landing inspection" in halloran.words
    okafor = visitor(desk, "okafor-lind", width=DESK)
    assert okafor.page.locator("ul.day li", has_text="08:20").locator(".mark.stop").count() == 1
