"""Facts of the trade that a walk-round list is held against."""

from __future__ import annotations

import tomllib
from pathlib import Path

import pytest

from gyrewright.inspection.lists import items_for, restart_scope, shipped_lists

pytestmark = pytest.mark.source("common practice", "no source")

AIRCRAFT = tomllib.loads(Path(__file__).with_name("lists_aircraft.toml").read_text(encoding="utf-8"))
PLAIN, BOOSTED = AIRCRAFT["plain"], AIRCRAFT["boosted"]
LISTS = {each.id: each for each in shipped_lists()}
WALK = LISTS["walk-round"]

# Class, and when first asked: T at every turnaround, P before every flight, D on the first of the day.
GRADES = {
    "G T": "Z01 Z04 Z06 A04 B01 L12 M01 M02 M03 M04 M05",
    "G P": "Z02 Z03 Z05 A01 A02 A03 A05 A06 A07 A08 A09 A10 A15 A20 B02 B06 B10 C02 C04 C05 C06 C11 D01 D02 D03 D07 "
    "D08 E01 E02 E06 E10 E15 F01 F02 F03 F05 F07 G01 G02 G03 G04 G05 G07 G08 G10 I01 J02 K01 K02 K03 K05 K08 K10 K13 "
    "K14 K15 K16 K19 K20 L01 L02 L03 L04 L06 L07 L11",
    "G D": "B04 B05 B07 C01 C03 C07 C08 C10 D05 D06 E03 E04 E05 E07 E09 E11 E12 E13 E17 E18 E19 E20 E21 F08 G06 H01 "
    "H03 H04 K04 K06 K09 K11 K18 L05 L09",
    "L T": "Z07 Z08 K07",
    "L P": "A13 A14 A16 A17 A19 B08 E08 J01 K17",
    "L D": "A11 A12 A18 B03 D04 E14 E16 F04 F06 H02 K12 L08",
    "N D": "B09 G09",
    "L refueling": "C09",
    "G assembly": "L10",
}
FIRST = {
    "T": "turnaround",
    "P": "each flight",
    "D": "first of the day",
    "refueling": "after refueling",
    "assembly": "after assembly",
}
LEFT_TO_RESTORE = "Z06 Z07 A02 A06 A10 A15 A16 A18 B01 B08 C05 C08 E04 E07 K05 L12"


def of(ident, equipment=frozenset(), event="first of the day"):
    return {item.id: item for item in items_for(WALK, event=event, equipment=equipment)}[ident]


@pytest.mark.parametrize(("key", "ids"), GRADES.items(), ids=list(GRADES))
def test_every_item_has_its_class_and_its_first_event(key, ids):
    grade, first = key.split()
    for ident in ids.split():
        assert WALK.item(ident).grade == grade, ident
        assert WALK.item(ident).when[0] == FIRST[first], ident


def test_a_hundred_and_thirteen_items_ground_twenty_five_limit_and_two_are_noted():
    listed = [item.grade for item in WALK.items if item.zone != "R"]
    assert {grade: listed.count(grade) for grade in "GLN"} == {"G": 113, "L": 25, "N": 2}
    assert sum(len(ids.split()) for ids in GRADES.values()) == 140


def test_sixteen_items_leave_something_to_restore():
    for ident in LEFT_TO_RESTORE.split():
        assert WALK.item(ident).restore, ident
    assert len(LEFT_TO_RESTORE.split()) == 16


def test_the_first_of_the_day_asks_everything_and_shorter_walks_are_parts_of_longer_ones():
    whole, flight, turn = (
        {item.id for item in items_for(WALK, event=event, equipment=())}
        for event in ("first of the day", "each flight", "turnaround")
    )
    assert len(whole) == 163
    assert turn < flight < whole


@pytest.mark.parametrize("event", ["after transport", "after storage", "after other hands", "after maintenance"])
def test_whatever_made_the_aircraft_strange_asks_for_the_whole_walk(event):
    whole = items_for(WALK, event="first of the day", equipment=PLAIN)
    assert [item.id for item in items_for(WALK, event=event, equipment=PLAIN)] == [item.id for item in whole]


def test_a_turnaround_looks_at_fuel_oil_tires_rotor_and_propeller_too():
    turn = {item.id for item in items_for(WALK, event="turnaround", equipment=PLAIN)}
    assert turn >= {"C06", "E06", "D03", "I01", "L04", "F02"}
    assert len(turn) < 45


def test_the_pins_of_the_head_are_counted_against_the_definition():
    pins = WALK.item("K20").readings[0]
    assert (pins.kind, pins.equals, pins.baseline) == ("count", "head_pins", False)
    assert "count" in WALK.item("K20").how


def test_plug_caps_are_counted_two_to_a_cylinder():
    caps = WALK.item("E13").readings[0]
    assert (caps.kind, caps.equals) == ("count", "plug_caps")
    assert "two for each cylinder" in WALK.item("E13").right


def test_two_electric_pumps_are_tested_one_at_a_time():
    item = of("A15", BOOSTED)
    assert "Pump 1" in item.do
    assert "Pump 2" in item.do
    assert "until the pressure falls" in item.do
    assert (item.readings[0].each, item.readings[0].times) == ("electric pump", "electric_pumps")


def test_a_carburetor_engine_has_one_electric_pump_and_a_mechanical_one():
    assert "Pump 2" not in of("A15", PLAIN).do
    assert "mechanical one" in of("E20", PLAIN).do
    assert of("E20", BOOSTED).right.startswith("Two.")
    assert "H03" in {item.id for item in items_for(WALK, event="first of the day", equipment=PLAIN)}
    assert "H03" not in {item.id for item in items_for(WALK, event="first of the day", equipment=BOOSTED)}


def test_warning_lamps_are_two_observations():
    readings = WALK.item("A14").readings
    assert [reading.key for reading in readings] == ["lit", "went_out"]
    assert "boost-control" in of("A14", BOOSTED).do


def test_gauge_and_stick_belong_together_and_the_lower_counts_for_endurance():
    gauge = next(reading for reading in WALK.item("A13").readings if reading.key == "gauge")
    stick = WALK.item("C06").readings[0]
    assert (gauge.agrees_with, stick.agrees_with) == ("C06.stick", "A13.gauge")
    assert gauge.apart == stick.apart == "gauge and stick apart"
    assert WALK.item("A13").linked == ("C06",)
    assert WALK.item("C06").linked == ("A13",)
    assert "lower reading counts for endurance, the higher for mass" in WALK.item("C06").why


def test_a_fuel_cap_locks_by_a_quarter_turn_with_its_tab_flush():
    assert "quarter turn" in WALK.item("R08").right
    assert "flush" in WALK.item("R08").right


def test_water_lies_under_fuel_and_means_drain_again():
    wrong = WALK.item("C07").wrong
    assert "below the fuel" in wrong
    assert "line you can see" in wrong
    assert "Drain again" in wrong
    assert "water" not in WALK.item("C07").readings[1].right_words


def test_coolant_is_opened_only_cold_and_never_soon_after_a_run():
    item = WALK.item("E07")
    assert item.rest == "engine_cooling"
    assert "cold engine" in item.caution
    assert "some above it" in WALK.item("E08").why


def test_oil_is_dipped_after_turning_the_propeller_its_own_way_with_the_ignition_off():
    item = WALK.item("E04")
    assert item.after == ("E01",)
    assert "its own way until the tank gurgles" in item.do


def test_a_hub_behind_a_spinner_is_not_claimed_as_seen():
    item = WALK.item("F01")
    assert "not seen the hub" in item.right
    assert "100-hour" in item.why


@pytest.mark.parametrize("ident", ["C02", "K02"])
def test_a_control_rod_may_turn_a_little_and_do_nothing_else(ident):
    item = WALK.item(ident)
    assert "little" in item.do
    text = item.right + item.wrong
    assert "other" in text
    assert "small twist" in text


def test_the_propeller_gap_is_compared_with_the_baseline_after_the_new_reading():
    item = WALK.item("F07")
    gap = item.readings[0]
    assert gap.baseline
    assert gap.each == "propeller blade"
    assert gap.about == "propeller_clearance"
    assert "after you have yours" in item.right
    assert "last proof" in item.why


def test_four_papers_are_named():
    text = WALK.item("Z02").do + WALK.item("Z02").right
    for paper in ("airworthiness", "registration", "operating limits", "weight and balance"):
        assert paper in text.lower()


def test_what_is_not_right_has_two_ways_out():
    assert "not fit" in WALK.item("M05").do
    assert "owner or maintainer" in WALK.item("M05").do


def test_the_rear_seat_is_left_out_only_of_an_aircraft_without_one():
    for name, equipment in AIRCRAFT.items():
        ids = {item.id for item in items_for(WALK, event="first of the day", equipment=equipment)}
        assert ("A02" in ids) == (name != "old")


def test_counts_and_figures_are_readings_and_no_ticks():
    numbers = (
        "Z03 Z08 A04 A09 A13 A15 A16 A17 A20 B10 C06 C07 C09 C11 D01 B04 D04 E04 E07 E10 E13 F03 F06 F07 F08 G05 K05 "
        "K06 K07 K09 K10 K11 L02 K20 D08 K19 E20 L04 L06 L09 M02"
    )
    for ident in numbers.split():
        assert WALK.item(ident).readings, ident
    figures = [f"S{number:02}" for number in (*range(9, 20), 20, 21, 22)]
    assert all(LISTS["start"].item(ident).readings for ident in figures)


def test_a_minute_away_costs_the_zone_and_half_an_hour_or_another_hand_the_walk():
    assert restart_scope(WALK, on={"away"}, away_h=59 / 3600) == ""
    assert restart_scope(WALK, on={"away"}, away_h=60 / 3600) == "zone"
    assert restart_scope(WALK, on={"away"}, away_h=0.5) == "walk"
    assert restart_scope(WALK, on={"spoken to"}) == "stand"
    assert restart_scope(WALK, on={"spoken to", "touched by another"}) == "walk"


def test_stopping_leaving_refueling_and_setting_brake_or_lock_empty_the_restore_list():
    assert set(WALK.restore_reset_by) == {
        "engine stopped",
        "brake set",
        "lock put back",
        "left and came back",
        "refueled",
    }


def test_what_limits_at_the_start_and_what_grounds():
    limiting = {item.id for item in LISTS["start"].items if item.grade == "L"}
    assert limiting == {"S10", "S11", "S12", "S15", "S20", "S23", "S24"}
    assert {item.grade for item in LISTS["start"].items} == {"G", "L"}


def test_the_gates_of_the_take_off_are_printed_and_said_beforehand():
    gates = " ".join(LISTS["start"].gates).lower()
    for word in ("target", "stick full aft", "gains speed", "forced", "shakes", "airspeed", "low", "climb", "stop"):
        assert word in gates


def test_a_missing_pinion_or_stop_bruise_cannot_be_answered_as_right():
    assert WALK.item("K13").readings[0].right_words == ("yes",)
    assert WALK.item("K10").readings[0].right_words == ("clean",)
