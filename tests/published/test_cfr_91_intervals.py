"""[CFR14-91] Inspection intervals as 14 CFR part 91 writes them, and the dates that follow from the text."""

from __future__ import annotations

from datetime import date

import pytest

from gyrewright.maintenance.months import through_calendar_months
from gyrewright.maintenance.next_due import next_due_h

# Hours are exact sums of printed tenths; 1e-9 h is the rounding of the machine.
EXACT_H = 1e-9


@pytest.mark.source(
    "14 CFR part 91, 1 January 2025 edition", "91.413(a): tested within the preceding 24 calendar months"
)
@pytest.mark.parametrize(("tested_on", "last_day"), [(date(2024, 12, 2), date(2026, 12, 31))])
def test_a_transponder_test_counts_through_the_24th_month(tested_on, last_day):
    assert through_calendar_months(tested_on, 24) == last_day


@pytest.mark.source(
    "14 CFR part 91, 1 January 2025 edition", "91.409(b): early completion restarts, only over-runs are deducted"
)
def test_a_100_hour_inspection_done_early_counts_from_when_it_was_done():
    due = next_due_h(done_h=3290.0, was_due_h=3302.5, interval_h=100.0, late="subtracts")
    assert due == pytest.approx(3390.0, abs=EXACT_H)


@pytest.mark.source(
    "14 CFR 91.409(b)", "over-run of up to 10 h to reach the place, taken off the next: due 500, done 506, next 600"
)
def test_six_hours_flown_over_are_taken_off_the_next_interval():
    due = next_due_h(done_h=506.0, was_due_h=500.0, interval_h=100.0, late="subtracts")
    assert due == pytest.approx(600.0, abs=EXACT_H)


PROGRAM = """
[[variation]]
name = "law"
whose = "law"
late = "subtracts"
over = "10 h"
over_for = ["ferry"]
[[task]]
id = "100h"
name = "100 h inspection"
kind = "inspection"
clock = [{ meter = "airframe", every = "100 h", variations = ["law"] }]
"""

RECORDS = """
aircraft = "A"
[[meter]]
name = "airframe"
[[meter.reading]]
at = 2027-06-01T08:00:00Z
shows = "{now}"
[[done]]
task = "100h"
on = 2026-06-01
at = {{ airframe = "400.0 h" }}
was_due = {{ airframe = "400.0 h" }}
signed_by = "M1"
"""


@pytest.mark.source(
    "14 CFR part 91, 1 January 2025 edition", "91.409(b): may be exceeded by not more than 10 hours while en route"
)
@pytest.mark.parametrize(
    ("now", "permitted"),
    [("499.9 h", True), ("500.0 h", True), ("509.9 h", True), ("510.0 h", True), ("510.1 h", False)],
)
def test_the_over_run_ends_at_ten_hours_and_serves_only_the_way_to_the_inspection(now, permitted):
    from gyrewright import maintenance
    from gyrewright.reading import Problems, section_of

    problems = Problems()
    program = maintenance.read_program(section_of(PROGRAM, file="p", problems=problems))
    records = maintenance.read_records(section_of(RECORDS.format(now=now), file="r", problems=problems))
    problems.stop_if_any()
    (ferry,) = maintenance.due_list(program, records, on=date(2027, 6, 2), purpose="ferry")
    (lesson,) = maintenance.due_list(program, records, on=date(2027, 6, 2), purpose="instruction")
    assert (ferry.state == "in date") is permitted
    assert (lesson.state == "in date") is (now in ("499.9 h", "500.0 h"))
    if now == "510.1 h":
        assert -ferry.remaining == pytest.approx(10.1, abs=EXACT_H)  # exceeded by 10.1 h, as the case prints
