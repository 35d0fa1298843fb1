"""A walk-round printed: the same items, order and numbers as on the phone, with all that an answer needs."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime

import pytest
import zxingcpp
from django.urls import reverse

from gyrewright.desk.book.reading import find_records, head
from gyrewright.desk.paper.items import bounds
from gyrewright.desk.paper.press import printed
from gyrewright.desk.paper.walk import walk_sheet
from gyrewright.desk.services import state
from gyrewright.desk.services.paper_walks import list_mark
from gyrewright.desk.services.walk_lists import list_of
from gyrewright.desk.services.walk_page import page_data
from gyrewright.inspection.lists import shipped_list, stands

AT = datetime(2027, 6, 12, 13, 10, tzinfo=UTC)


def sheet(client, aircraft="N0-101D", walk_list="walk-round", **asked):
    answer = client.get(reverse("walk-sheet", args=[aircraft, walk_list]), {"paper": "a5"} | asked)
    assert answer.status_code == 200, answer.content[:300]
    return answer.content


@pytest.mark.parametrize(("paper", "event"), [("a5", "first of the day"), ("half-letter", "turnaround")])
def test_it_has_every_item_of_the_phone_in_its_order(demo_day, person_at, look, event, paper):
    definition = state.machine("N0-101D", AT).aircraft.definition
    walked = stands(list_of("N0-101D", "walk-round", AT), event=event, equipment=definition.equipment)
    expected = [item for stand in walked for item in stand.items]
    text = look.words(sheet(person_at("sunde"), paper=paper, event=event))
    at = 0
    for item in expected:
        found = text.find(f"{item.id} {item.name}", at)
        assert found >= at, f"{item.id} is missing or out of order"
        at = found
        rest = " ".join(text[at : at + 1500].split())
        for words in filter(None, (item.do, item.right, item.caution)):
            assert words[:60] in rest, (item.id, words)
        for reading in item.readings:
            assert reading.name[1:20] in rest, (item.id, reading.name)
    assert f"{len(expected)} items." in text
    # The phone asks for the same: what it is given is cut to the event there.
    on_phone = set(page_data("N0-101D", "walk-round", AT).data["items"]["id"])
    assert {item.id for item in expected} <= on_phone


def test_every_page_names_list_revision_head_and_place_in_the_set(demo_day, person_at, look):
    pdf = sheet(person_at("sunde"), event="turnaround")
    walk_list = list_of("N0-101D", "walk-round", AT)
    pages = look.pages(pdf)
    assert pages > 1
    for number in range(pages):
        seen = look.words(pdf, number)
        assert f"Walk-round, revision {list_mark(walk_list)}" in seen
        assert f"Head of the book {head().seq} · {head().code}" in seen
        assert f"{number + 1} / {pages}" in seen
        assert "Boxes, from the left: as it should be, not, could not look." in seen
        assert "Dunlin N0-101D, turnaround" in seen


def test_the_book_keeps_the_list_that_was_printed(demo_day, person_at):
    sheet(person_at("sunde"))
    sheet(person_at("sunde"))
    kept = find_records(kinds=("list-kept",))
    assert [each.act.fingerprint for each in kept] == [shipped_list("walk-round").fingerprint]


def test_readings_stand_beside_this_aircrafts_own_figures_and_say_where_there_are_none(demo_day):
    definition = state.machine("N0-101D", AT).aircraft.definition
    items = {item.id: item for item in shipped_list("walk-round").items}
    # The demonstration's definition: nose tire 2.0 bar; it says nothing of the resting voltage.
    assert bounds(items["B04"].readings[0], definition) == "about 2.0 bar"
    assert bounds(items["A13"].readings[0], definition) == "see the manual"
    pins = next(each for each in items["K20"].readings if each.kind == "count")
    # Common practice, no source: a common two-blade teetering head carries seven pins.
    assert bounds(pins, definition) == "exactly 7"
    assert bounds(pins, replace(definition, counts=())) == "see the manual"


def test_nothing_is_ticked_or_filled_in_beforehand(demo_day, person_at, look):
    definition = state.machine("N0-101D", AT).aircraft.definition
    made = walk_sheet(
        shipped_list("walk-round"),
        definition,
        event="turnaround",
        also=(),
        defined=find_records(about="N0-101D", kinds=("aircraft-defined",))[0],
        head=head(),
        made_at=AT,
        base="http://localhost",
    )
    ink = look.picture(printed("walk", made, paper="a5", made_at=AT), 0, dpi=150)
    wide, high = ink.size
    # The right edge holds the boxes alone, below the code and above the foot: frames, and nothing in them.
    strip = ink.crop((int(wide * 0.84), int(high * 0.33), int(wide * 0.935), int(high * 0.86)))
    dark = sum(1 for value in strip.tobytes() if value < 128) / (strip.width * strip.height)
    assert 0.01 < dark < 0.12


def test_other_lists_print_as_well_and_an_event_that_is_none_of_theirs_is_refused(demo_day, person_at, look):
    client = person_at("sunde")
    assert "S22" in look.words(sheet(client, walk_list="start"))
    answer = client.get(reverse("walk-sheet", args=["N0-101D", "start"]), {"event": "turnaround"})
    assert answer.status_code == 404
    assert "choose one of: start" in answer.content.decode().replace("&#x27;", "'")
    assert client.get(reverse("walk-sheet", args=["N0-000X", "walk-round"])).status_code == 404
    assert client.get(reverse("walk-sheet", args=["N0-101D", "no-list"])).status_code == 404


def test_the_code_on_it_leads_to_where_it_is_keyed_in(demo_day, person_at, look):
    pdf = sheet(person_at("sunde"), event="turnaround")
    found = zxingcpp.read_barcodes(look.picture(pdf), formats=zxingcpp.BarcodeFormat.QRCode)
    defined = find_records(about="N0-101D", kinds=("aircraft-defined",))[-1]
    assert {each.text for each in found} == {f"HTTP://LOCALHOST/W/{defined.hash[:20].upper()}"}
