"""Clocks, layer by layer: whichever is first, early, late, over, for what the flight is."""

from __future__ import annotations

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gyrewright import maintenance
from gyrewright.errors import DefinitionError
from gyrewright.maintenance.next_due import next_due_h
from gyrewright.reading import Problems, section_of

ON = date(2027, 6, 12)

BOOKS = """
aircraft = "A"
[[meter]]
name = "airframe"
[[meter.reading]]
at = 2027-06-12T08:00:00Z
shows = "500.0 h"
[[meter]]
name = "landings"
counts = "count"
[[meter.reading]]
at = 2027-06-12T08:00:00Z
shows = "900 landings"
"""


def program(text):
    problems = Problems()
    top = section_of(text, file="program.toml", problems=problems)
    made = maintenance.read_program(top)
    top.finish()
    problems.stop_if_any()
    return made


def books(more=""):
    problems = Problems()
    top = section_of(BOOKS + more, file="books.toml", problems=problems)
    made = maintenance.read_records(top)
    top.finish()
    problems.stop_if_any()
    return made


def task(clocks, **more):
    lines = ["[[task]]", 'id = "t"', 'name = "the task"', f"clock = [{', '.join(clocks)}]"]
    lines += [f"{key} = {value}" for key, value in ({"kind": '"inspection"'} | more).items()]
    return "\n".join(lines) + "\n"


def due(text, more="", *, on=ON, purpose=""):
    return {one.clock.meter: one for one in maintenance.due_list(program(text), books(more), on=on, purpose=purpose)}


def done(on="2027-05-01", at="", due_at="", **more):
    lines = ["[[done]]", 'task = "t"', f"on = {on}"]
    if at:
        lines.append(f"at = {{ {at} }}")
    if due_at:
        lines.append(f"was_due = {{ {due_at} }}")
    lines += [f"{key} = {value}" for key, value in ({"signed_by": '"M1"'} | more).items()]
    return "\n".join(lines) + "\n"


HOURS = '{ meter = "airframe", every = "25 h" }'
MONTHS = '{ every = "3 months" }'


def test_whichever_clock_is_first_is_first_on_the_list():
    found = maintenance.due_list(
        program(task([HOURS, MONTHS])), books(done(at='airframe = "480.0 h"')), on=date(2027, 8, 2)
    )
    assert [(one.state, one.clock.meter) for one in found] == [("over", ""), ("in date", "airframe")]
    by_hours = maintenance.due_list(program(task([HOURS, MONTHS])), books(done(at='airframe = "474.9 h"')), on=ON)
    assert [(one.state, one.clock.meter) for one in by_hours] == [("over", "airframe"), ("in date", "")]


@pytest.mark.parametrize(
    ("on", "state"), [(date(2027, 7, 31), "in date"), (date(2027, 8, 1), "in date"), (date(2027, 8, 2), "over")]
)
def test_three_months_count_through_the_same_day(on, state):
    assert due(task([MONTHS]), done("2027-05-01"), on=on)[""].state == state


@pytest.mark.parametrize(
    ("clock", "last"),
    [
        ('{ every = "90 days" }', date(2027, 7, 30)),
        ('{ every = "2 years" }', date(2029, 5, 1)),
        ('{ every = "12 calendar months" }', date(2028, 5, 31)),
        ("{ no_later_than = 2027-06-12 }", date(2027, 6, 12)),
    ],
)
def test_each_kind_of_date_counts_its_own_way(clock, last):
    more = "" if "no_later" in clock else done("2027-05-01")
    assert due(task([clock]), more)[""].binding.due == last


def test_landings_count_on_their_own_meter():
    found = due(task(['{ meter = "landings", every = "1000 landings" }']), done(at='landings = "20 landings"'))
    assert (found["landings"].remaining, found["landings"].unit) == (120.0, "times")


def test_a_deadline_once_met_is_never_due_again():
    text = task(['{ meter = "airframe", at = "490 h" }', "{ no_later_than = 2027-09-30 }"], kind='"directive"')
    assert due(text)["airframe"].state == "over"
    assert due(text)[""].state == "in date"
    assert due(text, done(at='airframe = "470.0 h"')) == {}


def test_a_first_check_is_asked_until_it_is_done():
    text = task(['{ meter = "airframe", first = "25 h" }'])
    assert due(text)["airframe"].state == "over"
    assert due(text, done(at='airframe = "24.0 h"')) == {}


def test_a_claim_later_than_the_entry_is_no_evidence_and_an_older_one_changes_nothing():
    old = done("2027-01-01", at='airframe = "400.0 h"')
    claim = '[[done]]\ntask = "t"\non = {on}\nby = "P1"\n'
    text = task([HOURS])
    assert due(text, old)["airframe"].state == "over"
    assert due(text, old + claim.format(on="2027-06-01"))["airframe"].state == "no evidence"
    assert due(text, old + claim.format(on="2026-06-01"))["airframe"].state == "over"
    assert due(text, claim.format(on="2027-06-01"))["airframe"].said_by == "P1"


def test_without_any_entry_there_is_no_evidence():
    found = due(task([HOURS]))["airframe"]
    assert (found.state, found.lacking, found.said_by) == ("no evidence", ("done:t",), "")


def test_a_decision_that_it_does_not_apply_finishes_it_only_when_signed():
    text = task(['{ meter = "airframe", at = "490 h" }'], kind='"directive"')
    entry = '[[done]]\ntask = "t"\nnot_applicable = "serial numbers from 200 up"\n'
    assert due(text, entry)["airframe"].state == "no evidence"
    assert due(text, entry + 'signed_by = "M1"\n') == {}


VARIATIONS = """
[[variation]]
name = "law"
whose = "law"
late = "subtracts"
purpose = ["instruction"]
[[variation]]
name = "maker"
whose = "maker"
late = "subtracts"
over = "10 h"
[[variation]]
name = "keeper"
whose = "maker"
late = "restarts"
early_keeps = "10 h"
"""

LAYERED = VARIATIONS + task(['{ meter = "airframe", every = "100 h", variations = ["law", "maker"] }'])


def test_the_strictest_layer_that_bears_binds_and_all_are_kept():
    late = done("2027-01-01", at='airframe = "404.5 h"', due_at='airframe = "400.0 h"')
    lesson = due(LAYERED, late, purpose="instruction")["airframe"]
    private = due(LAYERED, late, purpose="private")["airframe"]
    assert [(layer.due, layer.latest, layer.bears) for layer in lesson.layers] == [(500, 500, True), (500, 510, True)]
    assert lesson.binding.variation.name == "law"
    assert [layer.bears for layer in private.layers] == [False, True]
    assert private.binding.variation.name == "maker"


def test_when_it_had_been_due_must_be_known_where_the_rule_asks():
    found = due(LAYERED, done(at='airframe = "404.5 h"'))["airframe"]
    assert (found.state, found.lacking) == ("unclear", ("was_due:t",))


def test_work_entered_beyond_the_meter_is_a_contradiction():
    found = due(task([HOURS]), done(at='airframe = "500.1 h"'))["airframe"]
    assert (found.state, found.lacking) == ("unclear", ("done_beyond_meter:t",))


SHARE = task(['{ meter = "airframe", every = "50 h", share = "leaded fuel", above = "30 %" }'])


@pytest.mark.parametrize(
    ("at", "share", "state"),
    [
        ("460.0 h", "", "in date"),
        ("440.0 h", "", "unclear"),
        ("440.0 h", '[shares]\n"leaded fuel" = "30 %"\n', None),
        ("440.0 h", '[shares]\n"leaded fuel" = "30.1 %"\n', "over"),
    ],
)
def test_a_clock_above_a_share_asks_for_the_share_only_where_it_matters(at, share, state):
    found = due(SHARE, done(at=f'airframe = "{at}"') + share)
    assert (found["airframe"].state if found else None) == state


def test_an_annual_counts_as_the_100_hour_inspection_and_not_the_other_way_round():
    annual = '[[task]]\nid = "a"\nname = "annual"\nkind = "inspection"\nclock = [{ every = "12 calendar months" }]\n'
    text = annual + task(['{ meter = "airframe", every = "100 h" }'], satisfied_by='["a"]')
    by_annual = '[[done]]\ntask = "a"\non = 2027-01-01\nat = { airframe = "450.0 h" }\nsigned_by = "M1"\n'
    assert due(text, by_annual)["airframe"].remaining == pytest.approx(50.0)
    assert due(text, done(at='airframe = "450.0 h"'))[""].state == "no evidence"


# --- the next interval, as arithmetic ---

hours = st.integers(0, 30_000).map(lambda tenths: tenths / 10.0)


@given(
    hours, hours, st.integers(1, 5000), st.sampled_from(["subtracts", "restarts"]), st.sampled_from([0.0, 5.0, 10.0])
)
def test_older_work_is_never_due_later(done_h, was_due_h, interval_h, late, keeps):
    def at(done):
        found = next_due_h(
            done_h=done, was_due_h=was_due_h, interval_h=float(interval_h), late=late, early_keeps_h=keeps
        )
        assert found is not None
        return found

    assert at(done_h - 0.1) <= at(done_h)
    assert at(done_h) <= max(done_h, was_due_h) + interval_h


@given(hours, hours, st.integers(1, 5000))
def test_flying_over_never_pays(done_h, was_due_h, interval_h):
    due_h = next_due_h(done_h=done_h, was_due_h=was_due_h, interval_h=float(interval_h), late="subtracts")
    assert due_h == min(done_h, was_due_h) + interval_h


@pytest.mark.parametrize(
    ("done_h", "late", "keeps", "expected"),
    [
        (95.0, "subtracts", 10.0, 200.0),
        (90.0, "subtracts", 10.0, 200.0),
        (89.9, "subtracts", 10.0, 189.9),
        (95.0, "subtracts", 0.0, 195.0),
        (110.0, "restarts", 10.0, 210.0),
        (100.0, "subtracts", 0.0, 200.0),
    ],
)
def test_early_late_and_on_time(done_h, late, keeps, expected):
    found = next_due_h(done_h=done_h, was_due_h=100.0, interval_h=100.0, late=late, early_keeps_h=keeps)
    assert found == pytest.approx(expected)


def test_an_annual_may_keep_its_month_when_done_a_little_early():
    text = '[[variation]]\nname = "keep"\nwhose = "maker"\nlate = "subtracts"\n'
    text += 'early_keeps = "2 months"\nover = "2 months"\n'
    text += task(['{ every = "12 months", variations = ["keep"] }'])
    early = done("2027-04-20", was_due_on="2027-06-10")
    found = due(text, early)[""]
    assert (found.binding.due, found.binding.latest) == (date(2028, 6, 10), date(2028, 8, 10))
    too_early = done("2027-04-09", was_due_on="2027-06-10")
    assert due(text, too_early)[""].binding.due == date(2028, 4, 9)
    late = done("2027-06-11", was_due_on="2027-06-10")
    assert due(text, late, on=date(2027, 6, 12))[""].binding.due == date(2028, 6, 10)


# --- what is wrong in a program ---


@pytest.mark.parametrize(
    ("text", "said"),
    [
        (task(['{ every = "25 h" }']), "does not say which meter"),
        (task(['{ meter = "airframe", every = "3 months" }']), "is not counted on a meter"),
        (task(['{ meter = "airframe" }']), "says when in none or several ways"),
        (task(['{ meter = "airframe", every = "25 h", at = "30 h" }']), "says when in none or several ways"),
        (task(['{ meter = "airframe", every = 25 }']), "25 has no unit"),
        (task(['{ every = "25 weeks" }']), "is no length of an interval"),
        (task(['{ every = "0.3 years" }']), "is no whole number"),
        (task(['{ every = "12 calendar h" }']), "mixes 'calendar'"),
        (task(['{ meter = "airframe", every = "25 h", variations = ["lwa"] }']), r"'lwa' is no \[\[variation\]\]"),
        (task(['{ meter = "airframe", every = "25 h", meters = "x" }']), "is an unknown key; did you mean 'meter'"),
        (task([]), "is missing; say what it counts on"),
        (task([HOURS], satisfied_by='["x"]'), "is satisfied_by 'x', but no task has that id"),
        (task(['{ every = "5 years", since = "made" }']), "needs the part's name"),
        (task([HOURS], kind='"chore"'), "'chore' is not one of"),
        (task([HOURS], kind='"notice"'), "printed: is missing"),
        (task([HOURS]) + task([HOURS]), "'t' is written twice"),
    ],
)
def test_what_is_wrong_in_a_program_is_one_clear_line(text, said):
    with pytest.raises(DefinitionError, match=said) as caught:
        program(text)
    assert len(caught.value.problems) == 1, caught.value.problems
    assert caught.value.problems[0].file == "program.toml"
