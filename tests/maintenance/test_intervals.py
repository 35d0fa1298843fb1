"""A flight against what is left: plans, stale readings, open ends, notices, lists, arrays."""

from __future__ import annotations

import numpy as np
import pytest

from gyrewright.finding import Verdict
from gyrewright.maintenance.intervals import fits
from gyrewright.maintenance.recipes import NO_LIMIT_H, hours_margin_h

DIRECTIVE = """
[[task]]
id = "AD1"
name = "Directive 1"
kind = "directive"
clock = [{ meter = "tachometer", every = "10 h" }, { every = "30 days" }]
"""

NOTICE = """
[[task]]
id = "SB1"
name = "Notice 1"
kind = "notice"
printed = "{printed}"
areas = ["{area}"]
clock = [{{ no_later_than = 2027-06-11 }}]
"""


def done(task, at="", on="2027-06-01"):
    hours = f'at = {{ tachometer = "{at} h" }}\n' if at else ""
    return f'[[done]]\ntask = "{task}"\non = {on}\n{hours}signed_by = "M1"\n'


def test_the_strictest_clock_of_a_directive_binds_the_flight(asked, books):
    text = books["program"] + DIRECTIVE
    fine = asked(text, books["records"] + done("AD1", "1195.0"))
    assert fine.verdict is Verdict.GO
    assert {one.why for one in fine.of("maintenance.directive")} == {"go_h", "go_on"}
    late = asked(text, books["records"] + done("AD1", "1195.0", "2027-05-01"))
    assert late.refused == {("maintenance.directive", "AD1", "over_on")}
    worn = asked(text, books["records"] + done("AD1", "1191.0"))
    assert worn.refused == {("maintenance.directive", "AD1", "beyond_h")}
    (stopped,) = [one for one in worn.of("maintenance.directive") if one.verdict is Verdict.STOP]
    # 0.9 h still fit before the directive, so a shorter flight is one cure and the work the other.
    assert [cure.id for cure in stopped.cures] == ["maintenance.fly_shorter", "maintenance.do_task"]


def test_exactly_what_is_left_may_be_flown_and_not_six_seconds_more(asked, books):
    text, records = books["program"] + DIRECTIVE, books["records"] + done("AD1", "1191.4")
    left = asked(text, records).sheet.value("hours_left_h")
    assert left == pytest.approx(1.3)
    assert asked(text, records, block_h=1.3).verdict is Verdict.GO
    assert asked(text, records, block_h=1.3 + 6.0 / 3600.0).verdict is Verdict.STOP


def test_an_end_left_open_is_a_condition_until_nothing_is_left(asked, books):
    text = books["program"] + DIRECTIVE
    open_ = asked(text, books["records"] + done("AD1", "1191.0"), block_h=None)
    assert open_.verdict is Verdict.GO_IF
    conditions = [one for found in open_.findings for one in found.conditions]
    # One condition for each kind, from its tightest clock.
    assert sorted(one.params["longest_h"] for one in conditions) == pytest.approx([0.9, 89.9])
    none = asked(text, books["records"] + done("AD1", "1190.1"), block_h=None)
    assert none.refused == {("maintenance.directive", "AD1", "beyond_h")}


def test_a_reading_older_than_the_house_lets_stand_is_unknown(asked, books, local):
    given = {"house": books["house"].replace('"7 days"', '"24 h"'), "depart_at": local("2027-06-13T08:00")}
    assert asked(asked_at=local("2027-06-13T06:00"), **given).verdict is Verdict.GO
    stale = asked(asked_at=local("2027-06-13T06:01"), **given)
    assert stale.refused == {("maintenance.inspection", "100h", "stale_reading")}


def test_flying_booked_before_counts_and_flying_called_off_does_not(asked, books, local):
    booked = '[[booking]]\nat = 2027-06-12T07:00:00-07:00\nblock = "{block} h"\n{more}'
    records = books["records"].replace("booking = []\n", "").replace('"1190.0 h"', '"1101.5 h"')
    for block, more, verdict in (
        ("0.4", "", Verdict.GO),
        ("0.5", "", Verdict.STOP),
        ("0.5", "cancelled_at = 2027-06-12T07:00:00-07:00\n", Verdict.GO),
        ("0.5", "cancelled_at = 2027-06-12T09:00:00-07:00\n", Verdict.STOP),
    ):
        assert asked(records=records + booked.format(block=block, more=more)).verdict is verdict, (block, more)
    # The flight itself, booked for its own start, is not counted twice.
    own = booked.format(block="1.0", more="").replace("T07", "T08")
    assert asked(records=records + own).verdict is Verdict.GO
    early = '[[booking]]\nat = 2027-06-12T05:00:00-07:00\nblock = "9.0 h"\n'
    assert asked(records=records + early).verdict is Verdict.GO  # flown before the meter was read


def test_a_landing_clock_asks_how_many_landings_the_flight_adds(asked, books):
    text = books["program"] + (
        '[[task]]\nid = "gear"\nname = "gear"\nkind = "inspection"\n'
        'clock = [{ meter = "landings", every = "500 landings" }]\n'
    )
    records = books["records"] + (
        '[[meter]]\nname = "landings"\ncounts = "count"\n[[meter.reading]]\nat = 2027-06-12T06:00:00-07:00\n'
        'shows = "992 landings"\n[[done]]\ntask = "gear"\non = 2027-01-01\nat = { landings = "500 landings" }\n'
        'signed_by = "M1"\n'
    )
    assert asked(text, records).refused == {("maintenance.inspection", "gear", "count")}
    assert asked(text, records, counts={"landings": 8.0}).verdict is Verdict.GO
    assert asked(text, records, counts={"landings": 9.0}).refused == {
        ("maintenance.inspection", "gear", "beyond_count")
    }


@pytest.mark.parametrize(
    ("printed", "area", "decision", "refused"),
    [
        ("mandatory", "radio", "", "over_on"),
        ("recommended", "hub", "", "over_on"),
        ("recommended", "radio", "", "undecided"),
        ("recommended", "radio", 'decided = "follow"\nby = "AM"', "over_on"),
        ("recommended", "radio", 'decided = "decline"\nby = "I1"', "undecided"),
        ("recommended", "radio", 'decided = "decline"\nby = "AM"', ""),
        ("recommended", "hub", 'decided = "decline"\nby = "AM"', "over_on"),
    ],
)
def test_a_makers_notice_binds_as_printed_by_the_houses_areas_or_by_decision(
    asked, books, printed, area, decision, refused
):
    records = books["records"]
    if decision:
        records += f'[[decision]]\ntask = "SB1"\non = 2027-05-01\nreason = "not fitted"\n{decision}\n'
    answer = asked(books["program"] + NOTICE.format(printed=printed, area=area), records)
    assert answer.refused == ({("maintenance.notice", "SB1", refused)} if refused else set())
    if refused == "undecided":
        # Advice binds no flight time: the longest flight is that of the inspection.
        assert answer.sheet.value("hours_left_h") == pytest.approx(89.9)


@pytest.mark.parametrize(("read_on", "refused"), [("2027-04-13", False), ("2027-04-12", True), ("2027-06-13", True)])
def test_the_list_of_directives_must_have_been_read_lately_and_not_in_the_future(asked, books, read_on, refused):
    answer = asked(
        records=books["records"].replace("directives_read_on = 2027-06-01", f"directives_read_on = {read_on}")
    )
    assert (answer.verdict is Verdict.UNKNOWN) is refused


def test_a_program_without_inspections_clears_nothing(asked, books):
    assert asked('papers = ["airworthiness certificate"]\n').refused == {("maintenance.inspection", "", "no_program")}


def test_when_no_layer_bears_on_the_flight_that_is_said(asked, books):
    law = '[[variation]]\nname = "law"\nwhose = "law"\npurpose = ["instruction"]\n'
    text = law + books["program"].replace('every = "100 h"', 'every = "100 h", variations = ["law"]')
    text = 'papers = ["airworthiness certificate"]\n' + text.replace('papers = ["airworthiness certificate"]\n', "")
    private = asked(text, purpose="private")
    assert private.one("maintenance.inspection").why == "none_open"
    assert private.sheet.value("hours_left_h") == NO_LIMIT_H


@pytest.mark.parametrize(
    ("purpose", "beyond", "verdict"),
    [("instruction", "", Verdict.GO), ("test", "", Verdict.STOP), ("test", 'beyond_by = "AM"\n', Verdict.GO)],
)
def test_an_interval_once_flown_past_bars_tests_until_the_flights_beyond_are_signed(
    asked, books, purpose, beyond, verdict
):
    law = '[[variation]]\nname = "law"\nwhose = "law"\nlate = "subtracts"\n'
    text = 'papers = ["airworthiness certificate"]\n' + law
    text += (
        books["program"]
        .replace('papers = ["airworthiness certificate"]\n', "")
        .replace('every = "100 h"', 'every = "100 h", variations = ["law"]')
    )
    records = books["records"].replace(
        'at = { tachometer = "1190.0 h" }\n',
        'at = { tachometer = "1190.0 h" }\nwas_due = { tachometer = "1188.0 h" }\n' + beyond,
    )
    assert asked(text, records, purpose=purpose).verdict is verdict


def test_a_house_that_lets_nothing_be_flown_over_takes_the_makers_tolerance_away(asked, books):
    maker = '[[variation]]\nname = "maker"\nwhose = "maker"\nover = "10 h"\n'
    text = 'papers = ["airworthiness certificate"]\n' + maker
    text += (
        books["program"]
        .replace('papers = ["airworthiness certificate"]\n', "")
        .replace('every = "100 h"', 'every = "100 h", variations = ["maker"]')
    )
    records = books["records"].replace('"1190.0 h"', '"1099.0 h"')
    assert asked(text, records, purpose="instruction").verdict is Verdict.STOP
    assert asked(text, records, purpose="private").verdict is Verdict.GO


def test_many_flight_lengths_at_once_mean_what_each_means_alone(asked, books):
    text, records = books["program"] + DIRECTIVE, books["records"] + done("AD1", "1191.4")
    blocks = np.linspace(0.1, 2.5, 25)
    left = asked(text, records).sheet.value("hours_left_h")
    together = np.asarray(hours_margin_h(left, blocks)) >= -1e-9
    alone = [asked(text, records, block_h=float(block)).verdict is Verdict.GO for block in blocks]
    assert list(together) == alone
    assert list(np.asarray(fits(planned=1200.0 + blocks + 0.1, latest=1201.4))) == alone
