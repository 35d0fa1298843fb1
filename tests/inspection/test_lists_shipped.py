"""What must hold of the lists that come with the package."""

from __future__ import annotations

import re
from collections import Counter
from itertools import pairwise

import pytest

from gyrewright.card import COUNTS, READ_ON_A_WALK
from gyrewright.inspection.equipment import EQUIPMENT, GROUP_OF, TODAY
from gyrewright.inspection.items import EVENTS, Item
from gyrewright.inspection.keys import SHEET
from gyrewright.inspection.listcheck import check_lists
from gyrewright.inspection.lists import definition_keys, restore_items, shipped_lists
from gyrewright.limits import QUANTITIES

LISTS = {each.id: each for each in shipped_lists()}
WALK = LISTS["walk-round"]
ZONES = "ZABCDEFGHIJKLRM"
ALL = [(name, item) for name, each in LISTS.items() for item in each.items]
EVERY_TEXT = [
    (f"{name} {item.id} {field}", text)
    for name, item in ALL
    for field, text in [
        *((field, getattr(item, field)) for field in ("name", "where", "caution", "do", "right", "wrong", "why")),
        *(pair for variant in item.variants for pair in variant.texts if pair[0] != "source"),
    ]
    if text
]


def listed(zones: str) -> list[Item]:
    return [item for item in WALK.items if item.zone in zones]


def test_six_lists_come_with_the_package_in_the_order_of_the_day():
    assert list(LISTS) == ["special", "after-maintenance", "season", "walk-round", "start", "post-flight"]


def test_the_walk_round_has_a_hundred_and_forty_items_and_a_restore_list():
    assert len(listed(ZONES.replace("R", ""))) == 140
    assert len(listed("R")) == 23


@pytest.mark.parametrize(
    ("name", "count"), [("start", 24), ("post-flight", 14), ("after-maintenance", 20), ("special", 34), ("season", 33)]
)
def test_every_other_list_is_whole(name, count):
    assert len(LISTS[name].items) == count


def test_zones_are_walked_nose_to_tail_to_rotor_and_the_last_look_is_last():
    walked = list(dict.fromkeys(item.zone for item in WALK.items))
    assert "".join(walked) == ZONES
    assert [zone.id for zone in WALK.zones] == walked


@pytest.mark.parametrize("name", LISTS)
def test_every_stand_holds_five_to_nine_items_in_one_place_of_the_walk(name):
    sizes = Counter(item.stand for item in LISTS[name].items)
    assert set(sizes) == {stand.name for stand in LISTS[name].stands}
    assert all(5 <= size <= 9 for size in sizes.values()), sizes
    moves = sum(before.stand != after.stand for before, after in pairwise(LISTS[name].items))
    assert moves == len(sizes) - 1


def test_the_short_zones_on_the_right_share_one_stand():
    assert {item.stand for item in listed("HIJ")} == {"Right side"}


def test_every_item_says_where_what_right_wrong_why_and_on_whose_word():
    for name, item in ALL:
        said = (item.where, item.how, item.name, item.do, item.right, item.wrong, item.why, item.source, item.when)
        assert all(said), (name, item.id)
        for reading in item.readings:
            assert reading.name
            assert set(reading.right_words) <= set(reading.words)
            assert bool(reading.right_words) == (reading.kind == "word"), (name, item.id)


def test_the_restore_list_comes_after_everything_that_it_closes_and_only_the_last_look_follows():
    walked = [item.id for item in WALK.items]
    restore = restore_items(WALK.items)
    assert list(restore) == [f"R{number:02}" for number in range(1, 24)]
    assert walked[walked.index("R23") + 1 :] == ["M01", "M02", "M03", "M04", "M05"]
    openers = [item for item in WALK.items if item.restore]
    assert max(walked.index(item.id) for item in openers) < walked.index("R01")


def test_every_restore_item_is_done_by_touch_and_asked_at_every_walk():
    for item in listed("R"):
        assert item.how[0] == "touch"
        assert item.when == ("turnaround",)


def test_a_cap_or_switch_opened_at_some_walk_is_closed_by_an_item_of_every_walk():
    for item in WALK.items:
        for closer in item.restore:
            assert WALK.item(closer).when == ("turnaround",)
            assert set(WALK.item(closer).needs) <= {word for group in EQUIPMENT.values() for word in group}


def test_where_the_propeller_is_turned_or_touched_a_caution_comes_first_and_no_phone_belongs():
    for item in WALK.items:
        if item.zone == "F" or item.id in ("E04", "E05"):
            assert item.no_phone == "propeller"
            assert item.caution
            assert item.after == ("E01",)


@pytest.mark.parametrize("ident", ["E07", "B05", "B07", "G10", "K05", "K10", "Z08", "L12"])
def test_where_looking_can_hurt_a_caution_comes_first(ident):
    assert WALK.item(ident).caution


def test_no_phone_is_asked_for_with_the_engine_running():
    running = [f"S{number:02}" for number in range(9, 24)]
    assert all(LISTS["start"].item(ident).no_phone == "engine running" for ident in running)


def test_every_locking_event_asks_for_at_least_one_thing_beside_tag_and_words():
    special = LISTS["special"]
    paper = {"V01", "V02", "V03", "V04", "V34"}
    locking = [row for row in special.events if row.locks]
    assert len(locking) == 15
    for row in locking:
        assert row.question.endswith("?")
        assert row.cleared_by == "maintainer"
        assert any(set(row.on) & set(item.when) for item in special.items if item.id not in paper), row.on


def test_what_a_pilot_can_answer_after_a_flight_is_what_locks_the_aircraft():
    asked = LISTS["post-flight"].item("Q08").readings[0]
    locking = {word for row in LISTS["special"].events if row.locks for word in row.on}
    assert set(asked.words) == locking | {"nothing"}
    assert asked.several


def test_every_event_word_is_asked_for_by_some_list():
    used = {word for each in LISTS.values() for row in each.events for word in row.on}
    assert used == set(EVENTS)


def test_every_when_of_an_item_is_reached_by_an_event_of_its_list():
    for name, each in LISTS.items():
        reached = {word for row in each.events for word in (*row.on, *row.asks)}
        for item in each.items:
            assert set(item.when) <= reached, (name, item.id)


def test_references_between_lists_lead_somewhere():
    assert check_lists({name: each.items for name, each in LISTS.items()}) == ()


def test_every_word_for_equipment_that_a_list_asks_for_stands_in_the_vocabulary_and_most_words_have_a_use():
    needed = {
        word
        for _, item in ALL
        for needs in (item.needs, *(one.needs for one in item.variants), *(one.needs for one in item.readings))
        for word in needs
    }
    assert needed <= set(GROUP_OF)
    useless = [group for group, words in (EQUIPMENT | TODAY).items() if not needed & set(words)]
    assert useless == []


def test_every_key_that_a_reading_may_name_is_named_by_one():
    named = set(definition_keys(item for _, item in ALL))
    assert named >= set(READ_ON_A_WALK) | set(COUNTS) | set(SHEET)
    assert named - set(READ_ON_A_WALK) - set(COUNTS) - set(SHEET) <= set(QUANTITIES)


FIGURE = re.compile(r"\d+(?:\.\d+)?\s?(?:mm|cm|m|in|ft|bar|psi|V|L|rpm|kg|lb|C|F|kt)\b")
HOLLOW = re.compile(r"\b(?:please|ensure|checked|make sure|as necessary|as required|satisfactory)\b", re.IGNORECASE)


def test_no_text_holds_a_figure_of_a_type():
    assert [place for place, text in EVERY_TEXT if FIGURE.search(text)] == []


def test_no_text_asks_for_something_hollow():
    assert [place for place, text in EVERY_TEXT if HOLLOW.search(text)] == []


def test_sentences_end_and_names_do_not():
    for place, text in EVERY_TEXT:
        assert " ".join(text.split()) == text, place
        is_sentence = place.rsplit(" ", 1)[1] in ("caution", "do", "right", "wrong", "why")
        assert (text[-1] in '."' or (is_sentence and text[-1] == "?")) if is_sentence else text[-1] != ".", place


@pytest.mark.parametrize("word", ["tyre", "colour", "carburettor", "torch", "split pin", "windscreen", "grey", "metre"])
def test_the_lists_are_written_in_one_english(word):
    assert [place for place, text in EVERY_TEXT if re.search(rf"\b{word}", text.lower())] == []
