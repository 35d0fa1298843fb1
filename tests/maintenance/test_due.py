"""The due list as text, and dates from hours."""

from __future__ import annotations

from datetime import date, datetime, timedelta, timezone

import pytest
from tests.maintenance.conftest import PROGRAM, RECORDS, read_all

from gyrewright import maintenance
from gyrewright.maintenance.forecast import booked_before_h, hours_a_day, reached_on
from gyrewright.maintenance.meters import Meter, Reading
from gyrewright.maintenance.records import Booking

ZONE = timezone(timedelta(hours=-7))
ON = date(2027, 6, 12)

MORE = """
[[task]]
id = "grease"
name = "Grease the teeter hinge of a machine with a long name"
kind = "inspection"
clock = [{ meter = "tachometer", every = "10 h" }]
[[task]]
id = "rubber"
name = "Rubber"
kind = "inspection"
clock = [{ every = "5 years" }]
"""
CLAIM = """
[[done]]
task = "grease"
on = 2027-06-10
by = "P1"
[[done]]
task = "rubber"
on = 2020-06-01
signed_by = "M1"
"""


def dues(more=MORE, claim=CLAIM):
    program, records, _ = read_all(PROGRAM + more, RECORDS + claim, "")
    return maintenance.due_list(program, records, on=ON), records


def test_what_is_over_comes_first_then_what_nobody_can_show_then_what_is_next():
    found, _ = dues()
    assert [(one.task.id, one.state) for one in found] == [
        ("rubber", "over"),
        ("grease", "no evidence"),
        ("100h", "in date"),
    ]
    assert not maintenance.is_clear(found)
    assert maintenance.is_clear(dues("", "")[0])


def test_the_list_is_plain_text_of_80_columns_with_the_working():
    found, records = dues()
    lines = maintenance.due_lines(found, history=records.history, on=ON)
    assert max(map(len, lines)) <= 80
    text = "\n".join(lines)
    assert "done on 2020-06-01; interval 60 months; due 2025-06-01" in text.replace("\n    ", " ")
    assert "said to be done by P1, without a signed entry" in text.replace("\n    ", " ")
    assert lines[0].split() == ["state", "task", "due", "left", "clock"]


def test_the_same_list_without_the_books_is_the_same_but_for_expected_dates():
    found, _ = dues()
    assert len(maintenance.due_lines(found)) >= 1 + len(found)


def readings(*pairs):
    made = tuple(
        Reading(str(day), datetime(2027, 6, day, 12, tzinfo=ZONE), total, total, "", "", "") for day, total in pairs
    )
    return Meter("airframe", "hours", made)


def test_hours_a_day_need_two_readings_of_the_last_weeks():
    assert hours_a_day(readings((1, 100.0), (6, 110.0)), on=date(2027, 6, 11)) == pytest.approx(1.0)
    assert hours_a_day(readings((1, 100.0)), on=date(2027, 6, 11)) is None
    assert hours_a_day(readings((1, 100.0), (6, 110.0)), on=date(2027, 12, 11)) is None


def test_hours_are_reached_by_what_is_booked_first_and_then_at_the_daily_average():
    booked = [Booking(datetime(2027, 6, day, 9, tzinfo=ZONE), 2.0) for day in (14, 13, 20)]
    given = {"since": datetime(2027, 6, 12, 8, tzinfo=ZONE), "on": ON}
    assert reached_on(booked, left_h=4.0, a_day_h=None, **given) == date(2027, 6, 14)
    assert reached_on(booked, left_h=6.5, a_day_h=None, **given) is None
    assert reached_on(booked, left_h=8.0, a_day_h=0.5, **given) == date(2027, 6, 24)


def test_only_flying_between_the_reading_and_the_start_is_booked_before():
    booked = [Booking(datetime(2027, 6, 12, hour, tzinfo=ZONE), 1.0) for hour in (7, 9, 11, 13)]
    start = datetime(2027, 6, 12, 11, tzinfo=ZONE)
    assert booked_before_h(booked, since=datetime(2027, 6, 12, 8, tzinfo=ZONE), depart_at=start) == pytest.approx(1.0)
    assert booked_before_h(booked, since=None, depart_at=start) == pytest.approx(2.0)


def test_a_count_is_listed_in_its_own_unit():
    gear = (
        '[[task]]\nid = "gear"\nname = "gear"\nkind = "inspection"\n'
        'clock = [{ meter = "landings", every = "500 landings" }]\n'
    )
    claim = (
        '[[meter]]\nname = "landings"\ncounts = "count"\n[[meter.reading]]\nat = 2027-06-12T06:00:00-07:00\n'
        'shows = "992 landings"\n[[done]]\ntask = "gear"\non = 2027-01-01\nat = { landings = "500 landings" }\n'
        'signed_by = "M1"\n'
    )
    found, _ = dues(gear, claim)
    (one,) = [each for each in found if each.task.id == "gear"]
    assert (one.remaining, one.unit) == (8.0, "times")
    assert "8 times" in "\n".join(maintenance.due_lines((one,)))
