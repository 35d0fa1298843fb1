"""The state of the three aircraft on the morning of 12 June 2027, row by row, and the story under it."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import date
from importlib.resources import files

import pytest

from gyrewright import maintenance
from gyrewright.finding import Verdict, Whose
from gyrewright.inspection.state import read_walks
from gyrewright.maintenance.due import expected_on
from gyrewright.reading import Problems, section_of

ON = date(2027, 6, 12)
FOLDER = files("gyrewright.data") / "demo" / "aircraft"

# The school writes neither an allowance nor a rule on over-runs of its own.
SCHOOL = """
interval_allowance = "0 h"
meter_reading_stands = "48 h"
alone_after_event = "24 h"
"""

ACTS = {
    "assess a defect": frozenset({"arrowood"}),
    "defer a defect": frozenset({"arrowood"}),
    "close a defect": frozenset({"arrowood"}),
    "close a third report": frozenset({"arrowood"}),
    "condition inspection": frozenset({"arrowood"}),
    "event inspection": frozenset({"arrowood"}),
}


def text(name):
    return (FOLDER / name).read_text(encoding="utf-8")


def read(name):
    problems = Problems()
    top = section_of(text(f"{name}-program.toml"), file=f"{name}-program.toml", problems=problems)
    assert top.text("kind") == "program"
    program = maintenance.read_program(top)
    top.finish()
    books = section_of(text(f"{name}-records.toml"), file=f"{name}-records.toml", problems=problems)
    assert books.text("kind") == "records"
    records = maintenance.read_records(books)
    walks = read_walks(books)
    books.finish()
    problems.stop_if_any()
    assert walks.walks
    return program, records


def due(name, task, meter="", purpose="instruction"):
    program, records = read(name)
    found = maintenance.due_list(program, records, on=ON, purpose=purpose)
    (one,) = [each for each in found if each.task.id == task and each.clock.meter == meter]
    return one


# aircraft, task, meter, due, remaining [h]: numbers of the scenario, tenths as printed.
BY_HOURS = [
    ("dunlin", "AD-D2-011", "rotor", 490.1, 2.8),
    ("dunlin", "100h", "airframe", 496.0, 8.7),
    ("dunlin", "teeter-bolt", "rotor", 500.0, 12.7),
    ("whimbrel", "100h", "airframe", 1200.0, -6.4),
    ("whimbrel", "rotor-bearing", "rotor", 1000.0, 268.1),
    ("sanderling", "SD-S2-004", "airframe", 1000.0, 86.8),
]
# aircraft, task, due, remaining [days]
BY_DATE = [
    ("dunlin", "rubber", date(2027, 6, 29), 17),
    ("sanderling", "annual", date(2027, 6, 30), 18),
    ("sanderling", "SD-S2-004", date(2027, 9, 30), 110),
]


@pytest.mark.parametrize(("name", "task", "meter", "at_h", "left_h"), BY_HOURS)
def test_hours_due_and_remaining_are_those_of_the_table(name, task, meter, at_h, left_h):
    found = due(name, task, meter)
    assert found.binding.due == pytest.approx(at_h, abs=1e-9)
    assert found.remaining == pytest.approx(left_h, abs=1e-9)
    assert found.working[-1][1] == found.remaining


@pytest.mark.parametrize(("name", "task", "on", "days"), BY_DATE)
def test_dates_due_and_remaining_are_those_of_the_table(name, task, on, days):
    found = due(name, task)
    assert (found.binding.due, found.remaining) == (on, days)


def test_the_gearbox_runs_to_600_h_because_the_leaded_share_is_over_30_percent():
    program, records = read("whimbrel")
    gearbox = [one for one in maintenance.due_list(program, records, on=ON) if one.task.id == "gearbox"]
    assert min(one.remaining for one in gearbox) == pytest.approx(393.6, abs=1e-9)
    less = replace(records, history=replace(records.history, shares={"leaded fuel": 0.30}))
    assert [one.remaining for one in maintenance.due_list(program, less, on=ON) if one.task.id == "gearbox"] == [
        pytest.approx(793.6, abs=1e-9)
    ]


def test_the_whimbrels_check_shows_law_and_engine_maker_side_by_side_and_law_binds():
    found = due("whimbrel", "100h", "airframe")
    latest = {layer.variation.name: layer.latest for layer in found.layers}
    assert latest == {"law": 1200.0, "engine maker": 1210.0, "maker": 1210.0}
    assert found.binding.variation.whose is Whose.LAW
    assert found.state == "over"
    private = due("whimbrel", "100h", "airframe", purpose="private")
    assert private.state == "in date"
    assert private.binding.variation.name == "engine maker"


def test_greasing_without_an_entry_is_no_evidence_neither_overdue_nor_in_date():
    found = due("sanderling", "grease", "rotor")
    assert (found.state, found.said_by) == ("no evidence", "yarrow")


def test_tasks_that_the_table_does_not_list_are_in_date_all_day():
    # Rows of the table.
    listed = {"AD-D2-011", "100h", "teeter-bolt", "rubber", "gearbox", "rotor-bearing", "annual", "SD-S2-004", "grease"}
    for name in ("dunlin", "whimbrel", "sanderling"):
        program, records = read(name)
        for one in maintenance.due_list(program, records, on=ON, purpose="instruction"):
            if one.task.id in listed:
                continue
            assert one.state == "in date", one
            assert one.remaining > 3.2 or one.unit == "days", one


def test_the_replaced_meter_and_the_corrected_reading_give_the_counters_of_the_table():
    now = {
        name: {m: meter.latest.total for m, meter in read(name)[1].history.meters.items()}
        for name in ("dunlin", "whimbrel", "sanderling")
    }
    assert now["dunlin"] == pytest.approx({"airframe": 487.3, "engine": 487.3, "rotor": 487.3})
    assert now["whimbrel"] == pytest.approx({"airframe": 1206.4, "engine": 206.4, "rotor": 731.9})
    assert now["sanderling"] == pytest.approx({"airframe": 913.2, "engine": 287.5, "rotor": 913.2})


def test_the_next_hours_are_dated_by_what_was_flown_lately():
    program, records = read("dunlin")
    (bolt,) = [one for one in maintenance.due_list(program, records, on=ON) if one.task.id == "teeter-bolt"]
    # 18.1 h in the 29 days from 14 May to 12 June: 12.7 h are 20 days.
    assert expected_on(bolt, records.history, on=ON) == date(2027, 7, 2)


# --- the story ---


def upkeep(name):
    """Return the program and the books without the walks, which another room reads."""
    books = re.split(r"\n\[\[walk\]\]", text(f"{name}-records.toml").replace('kind = "records"\n', ""))[0]
    books = books.replace("marker = []\n", "").replace("phone = []\n", "").replace("touch = []\n", "")
    return {
        "program": text(f"{name}-program.toml").replace('kind = "program"\n', ""),
        "records": books,
        "house": SCHOOL,
        "entitled": ACTS,
    }


def lesson(asked, local, name, time, block_h, **given):
    start = local(f"2027-06-12T{time}")
    return asked(
        **upkeep(name),
        asked_at=given.pop("asked_at", local("2027-06-12T06:16")),
        depart_at=start,
        block_h=block_h,
        **given,
    )


def test_the_first_lesson_passes_with_the_directive_as_what_binds_next(asked, local):
    answer = lesson(asked, local, "dunlin", "06:30", 1.1)
    assert answer.verdict is Verdict.GO
    directive = answer.one("maintenance.directive")
    assert directive.about == "AD-D2-011"
    assert directive.margin == pytest.approx(1.7)
    assert directive.binds_next.share == pytest.approx(1.7 / 2.8)


def test_the_directive_refuses_the_third_lesson_and_not_the_second(asked, local):
    assert lesson(asked, local, "dunlin", "08:20", 1.1).verdict is Verdict.GO
    third = lesson(asked, local, "dunlin", "10:10", 1.0)
    assert third.refused == {("maintenance.directive", "AD-D2-011", "beyond_h")}
    found = third.one("maintenance.directive", "AD-D2-011")
    assert found.verdict is Verdict.STOP
    assert found.params["longest_h"] == pytest.approx(0.6)
    assert found.params["before_h"] == pytest.approx(2.2)
    assert third.sheet.value("hours_left_h") == pytest.approx(0.6)


def test_the_dunlin_in_the_evening_with_its_end_left_open_must_be_down_before_490_1(asked, local):
    given = {"asked_at": local("2027-06-12T18:50"), "purpose": "student alone", "aboard_count": 1}
    answer = lesson(asked, local, "dunlin", "19:00", None, **given)
    assert answer.verdict is Verdict.GO_IF
    (condition,) = answer.one("maintenance.directive", "AD-D2-011").conditions
    assert condition.params["at_h"] == pytest.approx(490.1)
    assert condition.params["longest_h"] == pytest.approx(0.6)
    assert lesson(asked, local, "dunlin", "19:00", 0.6, **given).verdict is Verdict.GO
    assert lesson(asked, local, "dunlin", "19:00", 0.7, **given).verdict is Verdict.STOP


def test_the_whimbrel_is_refused_for_instruction_by_law_alone(asked, local):
    answer = lesson(asked, local, "whimbrel", "13:30", 1.0, asked_at=local("2027-06-12T13:20"))
    assert answer.refused == {("maintenance.inspection", "100h", "over_h")}
    found = answer.one("maintenance.inspection", "100h")
    assert found.verdict is Verdict.STOP
    assert [(layer.limit.whose, layer.passes, layer.binds) for layer in found.layers] == [
        (Whose.LAW, False, True),
        (Whose.MAKER, True, False),
        (Whose.MAKER, True, False),
    ]
    private = lesson(asked, local, "whimbrel", "13:30", 1.0, asked_at=local("2027-06-12T13:20"), purpose="private")
    assert private.verdict is Verdict.GO


def test_the_sanderling_in_the_evening_is_unknown_until_the_greasing_is_shown_then_down_by_sunset(asked, local):
    given = {"asked_at": local("2027-06-12T18:50"), "purpose": "student alone", "aboard_count": 1}
    answer = lesson(asked, local, "sanderling", "19:00", 1.0, **given)
    assert answer.verdict is Verdict.UNKNOWN
    assert answer.refused == {("maintenance.inspection", "grease", "no_evidence")}
    shown = upkeep("sanderling")
    shown["records"] += (
        '\n[[done]]\ntask = "grease"\non = 2027-06-12\nat = { rotor = "913.2 h" }\nsigned_by = "yarrow"\n'
    )
    start = local("2027-06-12T19:00")
    then = asked(**shown, depart_at=start, block_h=1.0, **given)
    assert then.verdict is Verdict.GO_IF
    (down,) = then.one("maintenance.day_only").conditions
    assert (down.id, down.until) == ("maintenance.down_by_sunset", local("2027-06-12T20:44"))
    late = asked(**shown, depart_at=local("2027-06-12T19:50"), block_h=1.0, **given)
    assert late.one("maintenance.day_only").why == "end"
    tomorrow = asked(
        **shown, **(given | {"asked_at": local("2027-06-13T08:00")}), depart_at=local("2027-06-13T08:10"), block_h=0.5
    )
    assert ("maintenance.defect", "S-17", "expired") in tomorrow.refused


def test_coolant_topped_twice_is_noted_and_asks_for_a_pressure_test(asked, local):
    answer = lesson(asked, local, "sanderling", "19:00", 1.0)
    noted = answer.one("maintenance.defect", "S-18")
    assert (noted.verdict, noted.why) == (Verdict.GO, "noted")
    assert "pressure test" in noted.params["assessment"]
