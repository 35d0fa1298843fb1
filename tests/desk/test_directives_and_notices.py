"""Directives read, notices decided, shares noted, and what was added or moved."""

from __future__ import annotations

import pytest
from django.urls import reverse

from gyrewright.desk import clock
from gyrewright.desk.book.reading import find_records
from gyrewright.desk.refusal import Refused
from gyrewright.desk.services import adopting, demo, state, upkeep
from gyrewright.desk.services.records import new_id
from kit.desk import client_of, words

DUNLIN, SANDERLING = "N0-101D", "N0-303S"


def address(name, aircraft=DUNLIN):
    return reverse("upkeep-enter", args=[aircraft, name])


def records_of(aircraft):
    return state.machine(aircraft, clock.now()).aircraft.records


def test_the_lists_were_read_through(demo_day):
    client = client_of("arrowood")
    assert client.post(address("directives"), {"on": "2027-06-12"}).status_code == 302
    assert records_of(DUNLIN).directives_read_on.isoformat() == "2027-06-12"
    assert "last read through on 12 Jun 2027" in words(client.get(reverse("upkeep-aircraft", args=[DUNLIN])))
    assert "read through on is missing" in words(client.post(address("directives"), {"on": ""}), 400)


def test_a_student_does_not_say_that_the_lists_were_read(demo_day):
    assert client_of("castellane").post(address("directives"), {"on": "2027-06-12"}).status_code == 403


def test_a_share_that_an_interval_hangs_on(demo_day):
    client = client_of("arrowood")
    assert client.post(address("share"), {"of": "leaded fuel", "share": "34 %"}).status_code == 302
    assert records_of(DUNLIN).history.shares["leaded fuel"] == pytest.approx(0.34)
    assert "Share of leaded fuel: 34 %" in words(client.get(reverse("upkeep-aircraft", args=[DUNLIN])))
    assert "340" in words(client.post(address("share"), {"of": "leaded fuel", "share": "340 %"}), 400)
    assert "is no choice" in words(client.post(address("share"), {"of": "water", "share": "3 %"}), 400)


NOTICE = """
[[task]]
id = "mast-look"
name = "Look at the mast foot"
kind = "notice"
printed = "recommended"
document = "Notice S2-17"
clock = [{ meter = "airframe", every = "50 h" }]
"""


def test_a_notice_is_decided_upon_by_whoever_answers_for_the_aircraft(demo_day):
    text = demo.demo_text("aircraft/sanderling-program.toml") + NOTICE
    adopting.adopt(adopting.program(text=text, aircraft=SANDERLING, by="arrowood"))
    client = client_of("yarrow")
    said = words(client.get(reverse("upkeep-aircraft", args=[SANDERLING])))
    assert "Look at the mast foot, recommended as printed, only advised here" in said
    assert "Decide on it" in said
    given = {"task": "mast-look", "decided": "follow", "on": "2027-06-12", "reason": "cracks were found elsewhere"}
    assert client_of("arrowood").post(address("notice", SANDERLING), given).status_code == 403
    assert "because is missing" in words(client.post(address("notice", SANDERLING), {**given, "reason": ""}), 400)
    assert client.post(address("notice", SANDERLING), given).status_code == 302
    said = words(client.get(reverse("upkeep-aircraft", args=[SANDERLING])))
    assert "Decided by Hollis Yarrow on 12 Jun 2027: follow, cracks were found elsewhere" in said
    # Followed, it binds like everything else: nobody has done it, so nobody can show it.
    assert "binding here" in said
    assert "Look at the mast foot: there is no entry of when it was" in said


def test_only_a_notice_is_decided_upon(demo_day):
    given = {"task": "grease", "decided": "decline", "on": "2027-06-12", "reason": "x"}
    assert "is no choice for notice" in words(client_of("yarrow").post(address("notice", SANDERLING), given), 400)
    with pytest.raises(Refused, match="only a maker's notice"):
        upkeep.decide_notice(
            id=new_id(),
            aircraft=SANDERLING,
            task="grease",
            decided="decline",
            reason="x",
            on=clock.now().date(),
            by="yarrow",
        )


def test_what_was_added_or_moved_is_noted_by_anybody(demo_day):
    client = client_of("castellane")
    given = {"what": "fueled", "fuel": "22 L", "done_at": "2027-06-12T06:05"}
    assert client.post(address("touched"), given).status_code == 302
    assert "Fueled (fuel 22 L), 12 Jun 2027 06:05" in words(client.get(reverse("upkeep-aircraft", args=[DUNLIN])))
    assert find_records(about=DUNLIN, kinds=("touched",))[-1].act.fuel == "22 L"
    assert "22" in words(client.post(address("touched"), {**given, "fuel": "22"}), 400)
    assert "what was done is missing" in words(client.post(address("touched"), {**given, "what": ""}), 400)
