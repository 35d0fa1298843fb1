"""One clock by itself, with no flight planned: its value now against every layer's limit."""

from __future__ import annotations

from datetime import date, datetime, timedelta, timezone

import pytest
from tests.maintenance.conftest import PROGRAM, RECORDS, read_all

from gyrewright import maintenance
from gyrewright.finding import Verdict

ZONE = timezone(timedelta(hours=-7))
ON = date(2027, 6, 12)
AT = datetime(2027, 6, 12, 6, 0, tzinfo=ZONE)
RUBBER = """
[[task]]
id = "rubber"
name = "Rubber"
kind = "life"
clock = [{ every = "5 years" }]
[[task]]
id = "starts"
name = "Starter brushes"
kind = "inspection"
clock = [{ meter = "starts", every = "500 times" }]
"""
DONE = """
[[meter]]
name = "starts"
counts = "count"
[[meter.reading]]
at = 2027-06-01T08:00:00-07:00
shows = "900 times"
[[done]]
task = "rubber"
on = {on}
signed_by = "M1"
[[done]]
task = "starts"
on = 2026-06-01
at = {{ starts = "{starts} times" }}
signed_by = "M1"
"""


def found(on="2024-06-20", starts=450):
    program, records, _ = read_all(PROGRAM + RUBBER, RECORDS + DONE.format(on=on, starts=starts), "")
    return {
        due.task.id: (due, maintenance.as_it_stands(due, asked_at=AT, on=ON, zone=ZONE, entitled={}))
        for due in maintenance.due_list(program, records, on=ON)
    }


def test_hours_stand_as_the_meter_shows_them_with_nothing_planned():
    due, finding = found()["100h"]
    assert finding.why == "stands_h"
    assert finding.value == due.now
    assert finding.margin == pytest.approx(due.binding.latest - due.now)
    assert [layer.binds for layer in finding.layers].count(True) == 1


def test_dates_and_counts_stand_as_well():
    both = found()
    # Five years from 20 June 2024; 500 starts from 450, of which 450 are gone.
    assert (both["rubber"][1].why, both["rubber"][1].margin) == ("stands_on", (date(2029, 6, 20) - ON).days)
    assert (both["starts"][1].why, both["starts"][1].margin) == ("stands_count", 50.0)


def test_what_is_past_says_by_how_much_and_stops():
    both = found(on="2022-06-11", starts=399)
    assert (both["rubber"][1].verdict, both["rubber"][1].why) == (Verdict.STOP, "past_on")
    assert (both["starts"][1].verdict, both["starts"][1].why, both["starts"][1].margin) == (
        Verdict.STOP,
        "past_count",
        -1.0,
    )


def test_a_reading_may_be_old_and_what_nobody_can_show_is_unknown():
    program, records, _ = read_all(PROGRAM + RUBBER, RECORDS, "")
    later = AT + timedelta(days=400)
    for due in maintenance.due_list(program, records, on=ON):
        finding = maintenance.as_it_stands(due, asked_at=later, on=ON, zone=ZONE, entitled={})
        assert finding.why != "stale_reading"
        if due.task.id == "rubber":
            assert (finding.verdict, finding.why) == (Verdict.UNKNOWN, "no_record")


def test_a_purpose_that_the_house_lets_nothing_be_flown_over_for_has_no_allowance():
    over = '[[variation]]\nname = "maker"\nwhose = "maker"\nover = "10 h"\n'
    clock = 'clock = [{ meter = "tachometer", every = "100 h"'
    program, records, _ = read_all(PROGRAM.replace(clock, f'{clock}, variations = ["maker"]') + over, RECORDS, "")
    free = maintenance.due_list(program, records, on=ON, purpose="ferry")
    held = maintenance.due_list(program, records, on=ON, purpose="ferry", no_over=frozenset(("ferry",)))
    assert max(layer.latest - layer.due for due in free for layer in due.layers) > 0.0
    assert max(layer.latest - layer.due for due in held for layer in due.layers) == 0.0
