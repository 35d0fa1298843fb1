"""A list cut to one aircraft and one event: nothing falls out that belongs to it."""

from __future__ import annotations

import tomllib
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gyrewright.errors import UnknownName
from gyrewright.inspection.equipment import EQUIPMENT, equipment_problems, fits, silent
from gyrewright.inspection.items import EVENTS
from gyrewright.inspection.lists import (
    INTERRUPTIONS,
    definition_keys,
    items_for,
    lists_for,
    restart_scope,
    restore_items,
    shipped_lists,
    stands,
)

AIRCRAFT = tomllib.loads(Path(__file__).with_name("lists_aircraft.toml").read_text(encoding="utf-8"))
LISTS = {each.id: each for each in shipped_lists()}
WALK = LISTS["walk-round"]
equipments = st.sets(st.sampled_from([word for words in EQUIPMENT.values() for word in words]))
events = st.sampled_from(EVENTS)


def ids(walk_list, event, equipment, also=()):
    return [item.id for item in items_for(walk_list, event=event, equipment=equipment, also=also)]


@pytest.mark.parametrize("name", AIRCRAFT)
def test_an_aircraft_says_one_word_of_each_group(name):
    assert equipment_problems(AIRCRAFT[name]) == ()
    assert silent(AIRCRAFT[name]) == ()


def test_wrong_words_for_equipment_are_told_with_the_nearest_right_one():
    assert equipment_problems({"turbo charged"}) == (
        "'turbo charged' is no word for equipment; did you mean 'turbocharged'?",
    )
    assert equipment_problems({"open", "enclosed"}) == (
        "'open' and 'enclosed' exclude each other; name one word for screens",
    )


@pytest.mark.parametrize(
    ("name", "has", "has_not"),
    [
        ("plain", "A02 A06 E07 E12 F03 H03 K13 D05", "E02 E11 E16 E19 F04 F05 K07 K19 B08 B10 L08 R15"),
        ("boosted", "A02 E02 E11 E16 E19 F04 F05 K07 K19 B07 B08 L08 R06 R13 R15", "F03 H03 D05 B10"),
        ("old", "B10 D05 H03 R10", "A02 A06 E07 E08 E15 E17 F03 F06 G06 G10 K12 K13 K14 K15 R03 R13 R16 R17"),
    ],
)
def test_each_aircraft_is_asked_for_what_it_has(name, has, has_not):
    asked = set(ids(WALK, "first of the day", AIRCRAFT[name]))
    assert set(has.split()) <= asked
    assert not set(has_not.split()) & asked


@pytest.mark.parametrize(
    ("ident", "name", "words"),
    [
        ("E12", "plain", "return spring"),
        ("E12", "boosted", "injector plug"),
        ("A16", "boosted", "Vent it"),
        ("A16", "plain", "Run the motor"),
        ("A09", "old", "cable ends"),
        ("E04", "old", "engine rested"),
        ("D01", "old", "Sight along the leg"),
        ("D01", "plain", "Sight along the bow"),
        ("C02", "boosted", "each cable"),
        ("A02", "boosted", "like your own"),
    ],
)
def test_an_item_speaks_of_the_part_that_this_aircraft_has(ident, name, words):
    found = {item.id: item for item in items_for(WALK, event="first of the day", equipment=AIRCRAFT[name])}
    assert words in found[ident].do
    assert found[ident].variants == ()


def test_a_reading_that_does_not_apply_is_not_asked():
    def keys(ident, event, name):
        found = {item.id: item for item in items_for(WALK, event=event, equipment=AIRCRAFT[name])}
        return [reading.key for reading in found[ident].readings]

    assert keys("K09", "first of the day", "plain") == ["play", "grease"]
    assert keys("K09", "first of the day", "boosted") == ["play"]
    assert keys("I01", "first of the day", "plain") == ["pressure", "bolts", "brake"]
    assert keys("I01", "each flight", "plain") == ["bolts", "brake"]
    assert keys("I01", "turnaround", "plain") == []


def test_the_right_wheel_is_asked_shortly_between_flights():
    turn = {item.id: item for item in items_for(WALK, event="turnaround", equipment=())}
    assert turn["I01"].name == "Right tire, and the nose tire"
    assert WALK.item("I01").name != turn["I01"].name


def test_refueling_between_flights_adds_stick_sample_grade_and_oil():
    turn = ids(WALK, "turnaround", AIRCRAFT["plain"])
    refueled = ids(WALK, "turnaround", AIRCRAFT["plain"], also={"after refueling"})
    assert set(refueled) - set(turn) == {"C07", "C09", "E04"}


def test_weather_adds_its_own_items_and_only_those():
    season = LISTS["season"]
    assert ids(season, "first of the day", AIRCRAFT["plain"]) == []
    frost = ids(season, "first of the day", AIRCRAFT["plain"], also={"frost"})
    assert frost == ["W01", "W02", "W03", "W04", "W05", "W06", "W18"]


@pytest.mark.parametrize(
    ("event", "also", "expected"),
    [
        ("first of the day", (), ["walk-round"]),
        ("first of the day", {"cold"}, ["season", "walk-round"]),
        ("after maintenance", (), ["after-maintenance", "walk-round"]),
        ("after storage", (), ["special", "walk-round"]),
        ("hard landing", (), ["special"]),
        ("start", (), ["start"]),
        ("end of day", (), ["post-flight"]),
    ],
)
def test_an_event_calls_for_its_lists_in_walking_order(event, also, expected):
    assert [each.id for each in lists_for(LISTS.values(), event=event, also=also)] == expected


def test_work_that_the_order_does_not_name_is_still_asked_about():
    work = LISTS["after-maintenance"]
    assert len(ids(work, "after maintenance", ())) == 20
    brakes_only = {
        "controls and rotor not disturbed", "propeller not disturbed", "fuel not opened", "oil not opened",
        "coolant not opened", "electrics not disturbed", "brakes opened", "mass not changed",
    }  # fmt: skip
    asked = set(ids(work, "after maintenance", brakes_only))
    assert "X14" in asked
    assert not asked & {"X03", "X05", "X08", "X09", "X10", "X11", "X12", "X13", "X16"}
    controls = set(
        ids(work, "after maintenance", brakes_only - {"controls and rotor not disturbed"} | {"controls disturbed"})
    )
    assert {"X03", "X05"} <= controls
    assert "X08" not in controls


def test_a_passenger_is_briefed_unless_the_seat_is_known_to_be_empty():
    start = LISTS["start"]
    brief = {"S01", "S02", "S03", "S04"}
    assert brief <= set(ids(start, "start", ()))
    assert brief <= set(ids(start, "start", {"second seat taken"}))
    assert not brief & set(ids(start, "start", {"second seat empty"}))


@given(known=equipments, event=events)
def test_forgetting_a_word_of_equipment_never_takes_an_item_out(known, event):
    for word in known:
        group = next(words for words in EQUIPMENT.values() if word in words)
        for walk_list in LISTS.values():
            assert set(ids(walk_list, event, known)) <= set(ids(walk_list, event, known - set(group)))


@given(known=equipments)
def test_whatever_an_aircraft_has_an_opened_thing_is_closed_in_the_same_walk(known):
    for event in ("first of the day", "each flight", "turnaround", "after refueling"):
        asked = items_for(WALK, event=event, equipment=known)
        there = {item.id for item in asked}
        for item in asked:
            assert set(item.after) <= there
            for closer in item.restore:
                assert closer in there or not fits(WALK.item(closer).needs, known)


@given(known=equipments, event=events, also=st.sets(events))
def test_stands_hold_every_item_once_in_order_and_never_more_than_nine(known, event, also):
    for walk_list in LISTS.values():
        cut = stands(walk_list, event=event, equipment=known, also=also)
        assert [item.id for stand in cut for item in stand.items] == ids(walk_list, event, known, also)
        assert all(1 <= len(stand.items) <= 9 for stand in cut)


@pytest.mark.parametrize("name", AIRCRAFT)
def test_a_full_walk_of_a_real_aircraft_keeps_to_stands_of_four_to_nine(name):
    cut = stands(WALK, event="first of the day", equipment=AIRCRAFT[name])
    assert all(4 <= len(stand.items) <= 9 for stand in cut), [len(stand.items) for stand in cut]


@given(on=st.sets(st.sampled_from(INTERRUPTIONS)), shorter=st.floats(0, 2), longer=st.floats(0, 2))
def test_a_longer_interruption_never_costs_less(on, shorter, longer):
    rank = ["", "stand", "zone", "walk"].index
    low, high = sorted((shorter, longer))
    assert rank(restart_scope(WALK, on=on, away_h=low)) <= rank(restart_scope(WALK, on=on, away_h=high))


def test_the_keys_asked_of_a_definition_are_those_of_its_own_parts():
    keys = definition_keys(items_for(WALK, event="first of the day", equipment=AIRCRAFT["old"]))
    assert "head_pins" in keys
    assert "spinner_screws" not in keys
    assert "engine_cooling" not in keys


def test_restore_items_of_an_aircraft_come_in_walking_order():
    found = restore_items(items_for(WALK, event="turnaround", equipment=AIRCRAFT["plain"]))
    assert found[0] == "R01"
    assert "R06" not in found
    assert list(found) == sorted(found)


def test_a_word_that_is_no_event_or_interruption_is_refused():
    with pytest.raises(
        UnknownName, match="'daily' is no event that calls for a walk-round; use one of: first of the day"
    ):
        items_for(WALK, event="daily", equipment=())
    with pytest.raises(UnknownName, match="'lunch' is no interruption; use one of: spoken to"):
        restart_scope(WALK, on={"lunch"})
    with pytest.raises(UnknownName, match="'Q99' is no item of the list 'walk-round', revision 1"):
        WALK.item("Q99")
