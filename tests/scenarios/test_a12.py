"""A12: two markers were placed, one is seen off. The label's place stays out of every answer."""

from dataclasses import replace

import pytest

from gyrewright.finding import Verdict
from gyrewright.release.answer import Answer
from scenarios.fixture import Flight, answer, finding

BOOKS = "g1-records.toml"
ONE_OFF = (
    '{ number = 1, label = "latch open", place = "outer cowl skin", placed_by = "I1", placed_at = AGO_50min, '
    'removed = { by = "I1", at = AGO_19min }, confirmed = { by = "S2", at = AGO_18min } }'
)


def other(removed="", confirmed=""):
    out = '{ number = 2, label = "brake hose wet", place = "left gear leg", placed_by = "I1", placed_at = AGO_50min'
    out += f', removed = {{ by = "{removed}", at = AGO_17min }}' if removed else ""
    out += f', confirmed = {{ by = "{confirmed}", at = AGO_16min }}' if confirmed else ""
    return out + " }"


def markers(second):
    return (BOOKS, "marker = []", f"marker = [{ONE_OFF}, {second}]")


# Markers at 08:10, the first one off by 08:41, asked at 09:00.
FLIGHT = Flight(asked_at="2027-07-14T09:00:00-05:00")
WALK_AFTER = f"""
[[walk]]
id = "G1-AFTER"
kind = "walk-round"
by = ["S1", "I1"]
began_at = AGO_15min
ended_at = AGO_2min
complete = true
[[walk.restored]]
at = AGO_2min
items = [{", ".join(f'"R{number:02}"' for number in range(1, 24))}]
"""


def placed(second, *more) -> Answer:
    return answer(replace(FLIGHT, edits=(markers(second), *((BOOKS, "", text) for text in more))))


def test_one_marker_still_on_stops_everything():
    asked = placed(other())
    assert asked.verdict is Verdict.STOP
    marker = finding(asked, "inspection.marker")
    assert (marker.value, marker.params["numbers"], marker.params["placers"]) == (1, ("2",), ("I1",))


@pytest.mark.parametrize(("removed", "confirmed"), [("I1", ""), ("I1", "I1"), ("S2", "S1")])
def test_off_means_off_and_seen_off_by_the_placer_and_one_other(removed, confirmed):
    assert placed(other(removed, confirmed), WALK_AFTER).verdict is Verdict.STOP


def test_after_it_a_full_real_inspection_comes_first():
    asked = placed(other("I1", "S2"))
    assert asked.verdict is Verdict.UNKNOWN
    assert finding(asked, "inspection.marker").why == "no_inspection"
    assert placed(other("I1", "S2"), WALK_AFTER).verdict is Verdict.GO


def test_a_finished_walk_round_does_not_close_a_marker():
    asked = placed(other(), WALK_AFTER)
    assert asked.verdict is Verdict.STOP
    assert finding(asked, "inspection.marker").why == "on"


def test_no_answer_says_where_the_marker_is_or_what_it_stands_for():
    told = repr([(each.params, each.cures, each.conditions) for each in placed(other()).findings])
    for word in ("brake hose", "gear leg", "latch", "cowl skin"):
        assert word not in told


def test_what_was_found_in_training_is_no_defect_of_the_aircraft():
    asked = placed(other("I1", "S2"), WALK_AFTER)
    assert finding(asked, "maintenance.defect").why == "none"
    assert finding(asked, "rule.us.91.405").verdict is Verdict.GO
