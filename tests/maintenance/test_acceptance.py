"""Scenarios of a small operation, as far as the machine goes. Aircraft, people and numbers are invented."""

from __future__ import annotations

from datetime import date

import pytest

from gyrewright.finding import Verdict
from gyrewright.maintenance.forecast import runs_out
from gyrewright.maintenance.recipes import ending_this_month

# --- the inspection that falls due in the middle of a booked lesson ---

TACH = """
[[variation]]
name = "law"
whose = "law"
document = "14 CFR 91.409(b)"
late = "subtracts"
over = "10 h"
over_for = ["ferry"]
"""

PROGRAM = (
    'papers = ["airworthiness certificate"]\n'
    + TACH
    + """
[[task]]
id = "100h"
name = "100-hour inspection"
kind = "inspection"
clock = [{ meter = "tachometer", every = "100 h", variations = ["law"] }]
"""
)

RECORDS = """
aircraft = "G1"
directives_read_on = 2027-06-01
defect = []
event = []
work = []
[[meter]]
name = "tachometer"
[[meter.reading]]
at = 2027-06-18T08:00:00-07:00
shows = "1282.9 h"
[[meter]]
name = "hour meter"
[[meter.reading]]
at = 2027-06-18T08:00:00-07:00
shows = "1490.0 h"
[[done]]
task = "100h"
on = 2027-02-01
at = { tachometer = "1184.0 h" }
was_due = { tachometer = "1184.0 h" }
signed_by = "M1"
[[paper]]
name = "airworthiness certificate"
expires_on = "never"
aboard = true
[[booking]]
at = 2027-06-18T10:00:00-07:00
block = "0.9 h"
[[booking]]
at = 2027-06-18T11:30:00-07:00
block = "1.4 h"
[[booking]]
at = 2027-06-18T14:00:00-07:00
block = "1.0 h"
"""


def test_the_booked_lesson_at_ten_passes_and_the_next_one_stops(asked, local):
    ten = asked(PROGRAM, RECORDS, asked_at=local("2027-06-18T09:55"), depart_at=local("2027-06-18T10:00"), block_h=0.9)
    assert ten.verdict is Verdict.GO
    found = ten.one("maintenance.inspection")
    assert found.value == pytest.approx(1283.9)
    assert found.limit == pytest.approx(1284.0)
    # The longest flight at that moment is 1.0 h, and exactly that passes.
    assert found.params["longest_h"] == pytest.approx(1.0)
    exact = asked(
        PROGRAM, RECORDS, asked_at=local("2027-06-18T09:55"), depart_at=local("2027-06-18T10:00"), block_h=1.0
    )
    assert exact.verdict is Verdict.GO
    beyond = asked(
        PROGRAM, RECORDS, asked_at=local("2027-06-18T09:55"), depart_at=local("2027-06-18T10:00"), block_h=1.01
    )
    assert beyond.refused == {("maintenance.inspection", "100h", "beyond_h")}
    next_one = asked(
        PROGRAM, RECORDS, asked_at=local("2027-06-18T09:55"), depart_at=local("2027-06-18T11:30"), block_h=1.4
    )
    assert next_one.verdict is Verdict.STOP
    assert next_one.one("maintenance.inspection").params["before_h"] == pytest.approx(0.9)


def test_the_over_run_is_not_for_lessons(asked, local):
    given = {"asked_at": local("2027-06-18T09:55"), "depart_at": local("2027-06-18T11:30"), "block_h": 1.4}
    assert asked(PROGRAM, RECORDS, purpose="instruction", **given).verdict is Verdict.STOP
    assert asked(PROGRAM, RECORDS, purpose="ferry", **given).verdict is Verdict.GO


def test_the_hour_meter_is_never_taken_for_the_tachometer(asked, local):
    without = RECORDS.replace('name = "tachometer"\n', 'name = "stopped"\n').replace("{ tachometer =", "{ stopped =")
    answer = asked(PROGRAM, without, asked_at=local("2027-06-18T09:55"), depart_at=local("2027-06-18T10:00"))
    assert answer.refused == {("maintenance.inspection", "100h", "meter_reading")}
    assert answer.one("maintenance.inspection").lacking == ("meter_reading:tachometer",)


def test_the_day_runs_out_at_the_second_booking_the_moment_it_is_made(asked, local):
    sheet = asked(PROGRAM, RECORDS, asked_at=local("2027-06-18T09:00"), depart_at=local("2027-06-18T10:00")).sheet
    bookings = sheet.value("bookings")
    out = runs_out(bookings, left_h=1284.0 - 1282.9, since=local("2027-06-18T08:00"), allowance_h=0.1)
    assert out is not None
    assert (out.at, out.block_h) == (local("2027-06-18T11:30"), 1.4)
    assert out.left_h == pytest.approx(0.2)
    assert runs_out(bookings[:1], left_h=1.1, since=None, allowance_h=0.1) is None


# --- the defect that keeps being "nothing found" ---

SHIMMY = """
[[defect]]
id = "S1"
item = "nose wheel"
symptom = "shimmy"
words = "shimmy on the roll"
at = 2027-05-18T10:00:00-07:00
by = "S1"
[[defect.act]]
kind = "closed"
at = 2027-05-18T12:00:00-07:00
by = "{first}"
words = "ground check OK"
[[defect]]
id = "S2"
item = "nose wheel"
symptom = "shimmy"
words = "shimmy again, stronger"
at = 2027-06-05T10:00:00-07:00
by = "S2"
[[defect.act]]
kind = "closed"
at = 2027-06-05T12:00:00-07:00
by = "{first}"
words = "ground check OK"
[[defect]]
id = "S3"
item = "nose wheel"
symptom = "shimmy"
words = "shimmy at walking pace"
at = {third}T10:00:00-07:00
by = "N1"
{more}
"""


def shimmy(books, first="I2", third="2027-06-12", more=""):
    return books["records"].replace("defect = []\n", "") + SHIMMY.format(first=first, third=third, more=more)


CLOSED = '[[defect.act]]\nkind = "closed"\nat = 2027-06-17T12:00:00-07:00\nby = "{by}"\nwords = "friction set"\n'


def test_three_reports_of_one_symptom_stop_and_show_who_closed_two_of_them(asked, books, local):
    when = {"asked_at": local("2027-06-18T08:00"), "depart_at": local("2027-06-18T08:30")}
    answer = asked(records=shimmy(books), **when)
    assert answer.verdict is Verdict.STOP
    assert {(one.about, one.why) for one in answer.of("maintenance.defect")} == {
        ("S1", "void"),
        ("S2", "void"),
        ("S3", "open"),
    }
    third = answer.one("maintenance.repeated")
    assert third.params["times"] == 3
    for words in ("shimmy on the roll", "shimmy again, stronger", "shimmy at walking pace", "2027-05-18", "2027-06-05"):
        assert words in third.params["reports"]
    assert third.params["closers"] == ("I2",)
    assert third.cures[0].who == "M1"


@pytest.mark.parametrize(
    ("first", "by", "third", "stops"),
    [
        ("M2", "M1", "2027-06-12", False),
        ("M2", "M2", "2027-06-12", True),
        ("I2", "M1", "2027-06-12", True),
        ("M2", "M2", "2027-07-18", False),
    ],
    ids=["authority closed it", "closed without authority", "two void closures stay open", "one day outside the 60"],
)
def test_only_inspection_authority_closes_a_third_report(asked, books, local, first, by, third, stops):
    more = CLOSED.format(by=by).replace("06-17", "07-18" if third > "2027-07" else "06-17")
    answer = asked(
        records=shimmy(books, first, third, more),
        asked_at=local("2027-07-19T08:00"),
        depart_at=local("2027-07-19T08:30"),
        house=books["house"].replace('"7 days"', '"90 days"'),
    )
    assert (answer.verdict is Verdict.STOP) is stops


def test_sixty_days_count_and_sixty_one_do_not(asked, books, local):
    # 18 May + 60 days = 17 July.
    when = {"asked_at": local("2027-07-20T08:00"), "depart_at": local("2027-07-20T08:30")}
    house = books["house"].replace('"7 days"', '"90 days"')
    assert asked(records=shimmy(books, third="2027-07-17"), house=house, **when).of("maintenance.repeated")
    assert not asked(records=shimmy(books, third="2027-07-18"), house=house, **when).of("maintenance.repeated")


# --- test day: the condition inspection ends today ---

ANNUAL = """
[[task]]
id = "annual"
name = "condition inspection"
kind = "inspection"
paper = true
act = "condition inspection"
clock = [{ every = "12 calendar months" }]
"""


@pytest.mark.parametrize(
    ("on", "verdict", "cautions"),
    [
        (date(2027, 6, 30), Verdict.GO, 0),
        (date(2027, 7, 1), Verdict.GO, 1),
        (date(2027, 7, 31), Verdict.GO, 1),
        (date(2027, 8, 1), Verdict.STOP, 0),
    ],
)
def test_a_condition_inspection_counts_through_its_twelfth_month_and_cautions_within_it(
    asked, books, local, on, verdict, cautions
):
    signed = '[[done]]\ntask = "annual"\non = 2026-07-31\nsigned_by = "M1"\n'
    day = on.isoformat()
    answer = asked(
        books["program"] + ANNUAL,
        books["records"] + signed,
        books["house"].replace('"7 days"', '"90 days"').replace('"60 days"', '"90 days"'),
        asked_at=local(f"{day}T07:50"),
        depart_at=local(f"{day}T08:00"),
        purpose="test",
    )
    assert answer.verdict is verdict
    found = ending_this_month(answer.sheet.value("dues"), on=on)
    assert len(found) == cautions
    if cautions:
        assert found[0].params == {"what": "condition inspection", "until": date(2027, 7, 31)}


def test_a_condition_inspection_signed_without_inspection_authority_is_no_evidence(asked, books):
    signed = '[[done]]\ntask = "annual"\non = 2026-07-31\nby = "M2"\nsigned_by = "M2"\n'
    answer = asked(books["program"] + ANNUAL, books["records"] + signed)
    assert answer.refused == {("maintenance.inspection", "annual", "no_evidence")}


def test_a_flight_over_midnight_at_the_months_end_needs_both_days(asked, books, local):
    signed = '[[done]]\ntask = "annual"\non = 2026-06-10\nsigned_by = "M1"\n'
    house = books["house"].replace('"7 days"', '"90 days"')
    given = {"asked_at": local("2027-06-30T22:00"), "depart_at": local("2027-06-30T23:30"), "purpose": "private"}
    books_ = books["records"] + signed
    assert asked(books["program"] + ANNUAL, books_, house, block_h=0.4, **given).verdict is Verdict.GO
    assert asked(books["program"] + ANNUAL, books_, house, block_h=0.6, **given).verdict is Verdict.STOP


# --- fresh work on the controls ---

WORK = """
[[work]]
id = "W1"
what = "cyclic push-rod end replaced"
areas = ["controls"]
at = 2027-06-12T06:30:00-07:00
by = ["M1"]
signed = {{ by = "M1", at = 2027-06-12T06:40:00-07:00 }}
changes_handling = {handling}
{more}
"""

LOOK = 'second_look = {{ by = "{by}", at = 2027-06-12T{at}:00-07:00 }}\n'
FLOWN = 'check_flight = {{ by = "I1", at = 2027-06-12T07:45:00-07:00, result = "{result}" }}\n'


def worked(books, more="", handling="true"):
    return books["records"].replace("work = []\n", "") + WORK.format(more=more, handling=handling)


def test_without_a_second_look_nothing_flies_not_even_the_check_flight(asked, books):
    lesson = asked(records=worked(books))
    assert lesson.refused == {("maintenance.work", "W1", "second_look"), ("maintenance.work", "W1", "check_flight")}
    alone = asked(records=worked(books), purpose="check flight", aboard_count=1)
    assert alone.refused == {("maintenance.work", "W1", "second_look")}
    assert alone.verdict is Verdict.STOP


@pytest.mark.parametrize(("by", "at"), [("M1", "07:00"), ("S1", "07:00"), ("M2", "06:00"), ("M2", "07:55")])
def test_the_worker_a_student_a_look_before_the_work_and_one_still_to_come_are_no_second_look(asked, books, by, at):
    answer = asked(records=worked(books, LOOK.format(by=by, at=at)), purpose="check flight", aboard_count=1)
    assert answer.refused == {("maintenance.work", "W1", "same_eyes")}


def test_after_the_second_look_the_entitled_pilot_flies_alone_and_only_then_the_lesson(asked, books):
    looked = LOOK.format(by="M2", at="07:00")
    check = asked(records=worked(books, looked), purpose="check flight", aboard_count=1, commander="I1")
    assert check.verdict is Verdict.GO_IF
    (condition,) = check.one("maintenance.work").conditions
    assert (condition.id, condition.owner) == ("maintenance.write_result", "I1")
    for other in ({"aboard_count": 2}, {"commander": "I2"}, {"purpose": "instruction"}):
        given = {"purpose": "check flight", "aboard_count": 1, "commander": "I1"} | other
        assert asked(records=worked(books, looked), **given).verdict is Verdict.STOP
    assert asked(records=worked(books, looked + FLOWN.format(result="good"))).verdict is Verdict.GO
    bad = asked(records=worked(books, looked + FLOWN.format(result="bad")), purpose="check flight", aboard_count=1)
    assert bad.refused == {("maintenance.work", "W1", "check_flight_bad")}


def test_whether_it_changes_the_handling_must_be_said(asked, books):
    looked = LOOK.format(by="M2", at="07:00")
    silent = worked(books, looked).replace("changes_handling = true\n", "")
    assert asked(records=silent).refused == {("maintenance.work", "W1", "handling")}
    assert asked(records=worked(books, looked, handling="false")).verdict is Verdict.GO


def test_work_away_from_rotor_and_controls_needs_no_second_look_but_a_signature(asked, books):
    engine = worked(books, handling="false").replace('["controls"]', '["engine"]')
    assert asked(records=engine).verdict is Verdict.GO
    unsigned = engine.replace('signed = { by = "M1", at = 2027-06-12T06:40:00-07:00 }\n', "")
    assert asked(records=unsigned).refused == {("maintenance.work", "W1", "unsigned")}
    other = engine.replace('signed = { by = "M1"', 'signed = { by = "I1"')
    assert asked(records=other).refused == {("maintenance.work", "W1", "signer")}
