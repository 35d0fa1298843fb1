"""What a choice changes about a question, and what it leaves alone."""

from dataclasses import fields, replace
from datetime import datetime, timedelta

import pytest

from gyrewright.air.course import minutes
from gyrewright.fact import Origin
from gyrewright.release import choices
from gyrewright.release.decide import decide
from gyrewright.release.flight import OPEN
from kit.agree import failing
from scenarios.fixture import Flight, question

ASKED = question(Flight())
IN_G2 = question(Flight(aircraft="G2", seats={"left": "S1", "right": "I1"})).aircraft
NOT_WALKED = replace(IN_G2, walks=replace(IN_G2.walks, walks=()))
LATER = datetime.fromisoformat(Flight().asked_at) + timedelta(hours=1)

CHANGES = {
    "fuel": choices.with_fuel(ASKED, 30.0),
    "load": choices.with_load(ASKED, "ballast", 5.0),
    "start": choices.with_start(ASKED, minutes(LATER)),
    "block": choices.with_block(ASKED, 0.5),
    "open end": choices.with_open_end(ASKED),
    "runway": choices.with_runway(ASKED, "09"),
    "seats": choices.with_seats_swapped(ASKED),
    "aircraft": choices.with_aircraft(ASKED, IN_G2, 40.0),
    "instructor": choices.with_instructor(ASKED, "I2"),
    "lesson": choices.with_lesson(ASKED, "first circuits"),
}


@pytest.mark.parametrize("name", CHANGES)
def test_no_choice_changes_a_fact(name):
    changed = CHANGES[name]
    mine = {"flight", "aircraft"} if name == "aircraft" else {"flight"}
    for field in fields(changed):
        assert field.name in mine or getattr(changed, field.name) is getattr(ASKED, field.name)
    for kept in ("observation", "rows", "reports", "forecasts", "present", "named", "law", "purpose", "runway_state"):
        assert getattr(changed.flight, kept) == getattr(ASKED.flight, kept)


@pytest.mark.parametrize("name", ["fuel", "load", "aircraft"])
def test_what_is_chosen_and_not_carried_out_yet_is_planned(name):
    plans = [fact for fact in (*CHANGES[name].flight.fuel, *CHANGES[name].flight.loads) if fact.where == choices.CHOICE]
    assert plans
    assert all(fact.origin is Origin.PLANNED for fact in plans)
    assert "acts.planned" in failing(decide(CHANGES[name]))


def test_readings_stay_what_they_are_beside_fuel_that_is_planned():
    kept = {fact.name: fact for fact in CHANGES["fuel"].flight.fuel}
    assert [kept[name] for name in ("fuel_gauge_l", "fuel_stick_l")] == list(ASKED.flight.fuel[:2])
    assert kept["fuel_planned_l"].value == 30.0


def test_another_aircraft_brings_neither_walk_round_nor_reading_nor_load_nor_configuration():
    moved = CHANGES["aircraft"]
    assert moved.aircraft is IN_G2
    assert [fact.name for fact in moved.flight.fuel] == ["fuel_planned_l"]
    planned = {fact.name: fact.value for fact in moved.flight.loads}
    assert planned == {"load_kg:locker": 0.0, "load_kg:ballast": 0.0, "configuration:configuration": ""}
    assert moved.flight.seats == (("left", "S1"), ("right", "I1"))


def test_the_books_of_the_other_aircraft_judge_it():
    moved = choices.started_in_time(choices.with_aircraft(ASKED, NOT_WALKED, 40.0))
    assert "inspection.walk" not in failing(decide(ASKED))
    assert "inspection.walk" in failing(decide(moved))


def test_a_walk_round_that_there_is_time_for_is_a_condition_in_the_other_aircraft():
    moved = choices.with_start(choices.with_aircraft(ASKED, NOT_WALKED, 40.0), minutes(LATER))
    todo = {condition.id for finding in decide(moved).findings for condition in finding.conditions}
    assert "inspection.walk_first" in todo
    assert "inspection.walk" not in failing(decide(moved))


def test_a_new_instructor_takes_every_part_and_the_seat_of_the_one_before():
    changed = CHANGES["instructor"].flight
    assert dict(changed.parts) == {"commander": "I2", "instructor": "I2", "student": "S1"}
    assert dict(changed.seats)["rear"] == "I2"


def test_one_person_alone_has_nobody_to_change_seats_with():
    alone = question(Flight(seats={"front": "S1", "rear": "empty"}))
    assert choices.with_seats_swapped(alone) is None


def test_a_chosen_start_is_late_enough_for_what_the_house_allows_to_prepare():
    ready = choices.started_in_time(CHANGES["fuel"])
    assert ready.flight.depart_at - ASKED.asked_at == timedelta(minutes=15)
    late = choices.with_start(CHANGES["fuel"], minutes(LATER))
    assert choices.started_in_time(late) is late


def test_nothing_to_do_moves_no_start():
    assert choices.started_in_time(CHANGES["runway"]) is CHANGES["runway"]


def test_a_house_that_does_not_say_how_long_it_takes_moves_no_start():
    silent = question(Flight(edits=(("operation.toml", 'time_to_prepare = "15 min"', ""),)))
    planned = choices.with_fuel(silent, 30.0)
    assert choices.started_in_time(planned) is planned
    assert "acts.planned" in failing(decide(planned))


def test_an_end_left_open_is_open():
    assert CHANGES["open end"].flight.block.value == OPEN
