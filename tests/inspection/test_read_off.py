"""What the readings of a walk say against the aircraft's own figures."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from types import SimpleNamespace

import pytest

from gyrewright.finding import Verdict
from gyrewright.inspection.lists import items_for, shipped_list
from gyrewright.inspection.read_off import Figure, read_offs, reading
from gyrewright.inspection.walk import Walk

NOW = datetime(2027, 6, 12, 14, 0, tzinfo=UTC)
ITEMS = items_for(shipped_list("walk-round"), event="first of the day", equipment=frozenset())
FIGURES = {
    "head_pins": Figure(7.0, "7"),
    "propeller_gap_apart_most": Figure(0.005, "5 mm"),
    "rudder_play_most": Figure(0.003, "3 mm"),
    "battery_rest_lowest": Figure(12.2, "12.2 V"),
    "manual_revision": Figure("4", "4"),
    "tip_heights_apart_most": Figure(0.02, "20 mm"),
}


def walk(readings, minutes=30, id="w"):
    began = NOW - timedelta(minutes=minutes)
    return Walk(
        id,
        "first of the day",
        "walk-round",
        1,
        ("ivo",),
        began,
        began,
        True,
        (),
        tuple(readings.items()),
        (),
        (),
        (),
        "",
    )


def judged(*walks, defects=(), figures=FIGURES):
    found = reading.judge(
        walks=walks, defects=defects, walk_items=ITEMS, walk_figures=figures, asked_at=NOW, commander="ivo"
    )
    return {one.about: (one.verdict, one.why) for one in found or ()}


def offs(readings, figures=FIGURES):
    return {off.key: (off.why, off.limit) for off in read_offs(ITEMS, readings, figures)}


@pytest.mark.source("common practice", "no source: a common two-blade teetering head has seven safety pins")
@pytest.mark.parametrize(("counted", "expected"), [("7", {}), ("6", {"K20.pins": (Verdict.STOP, "differs")})])
def test_six_pins_counted_where_the_head_has_seven_is_a_finding(counted, expected):
    assert judged(walk({"K20.pins": counted})) == expected


@pytest.mark.parametrize(
    ("readings", "expected"),
    [
        ({"G05.play": "3 mm"}, {}),
        ({"G05.play": "3.1 mm"}, {"G05.play": (Verdict.STOP, "beyond")}),
        ({"A13.volts": "12.2 V"}, {}),
        ({"A13.volts": "12.1 V"}, {"A13.volts": (Verdict.JUDGE, "beyond")}),
        ({"F07.gap.1": "52 mm", "F07.gap.2": "57 mm"}, {}),
        ({"F07.gap.1": "52 mm", "F07.gap.2": "57.2 mm"}, {"F07.gap.2": (Verdict.STOP, "apart")}),
        ({"M02.tools_in": "7", "M02.tools_out": "7"}, {}),
        ({"M02.tools_in": "7", "M02.tools_out": "6"}, {"M02.tools_out": (Verdict.STOP, "apart")}),
        ({"K10.stops": "clean"}, {}),
        ({"Z02.manual_revision": "3"}, {"Z02.manual_revision": (Verdict.STOP, "differs")}),
        ({"G05.play": "plenty"}, {"G05.play": (Verdict.UNKNOWN, "unread")}),
        ({"L09.droop": "9 mm"}, {}),
        ({"Q99.what": "3 mm"}, {}),
    ],
)
def test_a_reading_is_judged_by_its_items_class(readings, expected):
    assert judged(walk(readings)) == expected


def test_what_the_definition_does_not_say_judges_nothing():
    assert judged(walk({"K20.pins": "6", "G05.play": "30 mm"}), figures={}) == {}
    assert offs({"G05.play": "30 mm"}, figures={}) == {"G05.play": ("", "")}


def test_what_it_was_held_against_is_told():
    assert offs({"K20.pins": "7", "G05.play": "1 mm"}) == {"K20.pins": ("within", "7"), "G05.play": ("within", "3 mm")}


def test_a_newer_reading_takes_the_place_of_an_older_one_and_of_its_parts():
    bad = walk({"F07.gap.1": "52 mm", "F07.gap.2": "60 mm"}, minutes=90, id="w1")
    assert judged(bad, walk({"F07.gap.1": "52 mm", "F07.gap.2": "53 mm"}, id="w2")) == {}
    assert judged(walk({"F07.gap.1": "52 mm"}, minutes=90, id="w1"), walk({"G05.play": "1 mm"}, id="w2")) == {}
    later = walk({"K20.pins": "7"}, minutes=-30, id="w3")
    assert judged(walk({"K20.pins": "6"}), later) == {"K20.pins": (Verdict.STOP, "differs")}


def test_a_report_on_the_item_since_decides_in_its_place():
    one = walk({"K20.pins": "6"})
    for at, expected in ((NOW - timedelta(minutes=10), 0), (NOW - timedelta(hours=2), 1), (NOW + timedelta(1), 1)):
        assert len(judged(one, defects=(SimpleNamespace(item="K20", at=at),))) == expected
    assert len(judged(one, defects=(SimpleNamespace(item="K19", at=NOW),))) == 1
