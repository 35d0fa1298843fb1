"""What may never happen: a removed or older record, or one more defect, makes the answer better."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.maintenance.conftest import ask, read_all

from gyrewright.finding import Verdict

PROGRAM = """
papers = ["airworthiness certificate", "insurance"]
[inspection_after]
"hard landing" = "hard landing inspection"
[[variation]]
name = "law"
whose = "law"
late = "subtracts"
purpose = ["instruction"]
[[variation]]
name = "maker"
whose = "maker"
over = "10 h"
[[task]]
id = "100h"
name = "100 h check"
kind = "inspection"
clock = [{ meter = "tachometer", every = "100 h", variations = ["law", "maker"] }, { every = "12 calendar months" }]
[[task]]
id = "AD"
name = "directive"
kind = "directive"
clock = [{ meter = "tachometer", every = "10 h" }]
[[task]]
id = "life"
name = "bearing"
kind = "life"
part = "bearing"
clock = [{ meter = "tachometer", every = "500 h" }]
"""

RECORDS = """
aircraft = "G1"
directives_read_on = 2027-06-01
booking = []
[[meter]]
name = "tachometer"
[[meter.reading]]
at = 2027-06-12T06:00:00-07:00
shows = "1200.0 h"
[[done]]
task = "100h"
on = 2026-08-04
at = {{ tachometer = "{check} h" }}
was_due = {{ tachometer = "1110.0 h" }}
signed_by = "M1"
[[done]]
task = "AD"
on = 2027-06-01
at = {{ tachometer = "{directive} h" }}
signed_by = "M1"
[[part]]
name = "bearing"
serial = "B1"
[[part.fit]]
aircraft = "G1"
on = 2025-01-01
meter = "tachometer"
meter_at = "{fitted} h"
own = "0 h"
[[paper]]
name = "airworthiness certificate"
expires_on = "never"
aboard = true
[[paper]]
name = "insurance"
expires_on = 2027-06-{insured:02d}
aboard = true
[[defect]]
id = "D1"
item = "radio"
at = 2027-06-10T10:00:00-07:00
by = "S1"
[[defect.act]]
kind = "{act}"
class = "L"
at = 2027-06-10T12:00:00-07:00
by = "{actor}"
until = 2027-06-{until:02d}
restriction = {{ aboard_at_most = {aboard} }}
required = {{ equipment_list = false, this_flight = false, directive = false }}
made_safe = "deactivated"
placard = "INOPERATIVE"
[[event]]
id = "E1"
kind = "hard landing"
at = 2027-06-09T10:00:00-07:00
[[event.cleared]]
at = 2027-06-10T10:00:00-07:00
inspection = "hard landing inspection"
signed_by = "{clearer}"
found = "nothing"
[[work]]
id = "W1"
what = "rotor work"
areas = ["rotor"]
at = 2027-06-11T10:00:00-07:00
by = ["M1"]
signed = {{ by = "M1", at = 2027-06-11T11:00:00-07:00 }}
second_look = {{ by = "{looker}", at = 2027-06-11T12:00:00-07:00 }}
changes_handling = true
check_flight = {{ by = "I1", at = 2027-06-11T13:00:00-07:00, result = "{result}" }}
"""

machines = st.fixed_dictionaries(
    {
        "check": st.sampled_from([1096, 1099, 1105, 1110, 1114, 1150]),
        "directive": st.sampled_from([1190, 1191, 1195, 1199]),
        "fitted": st.sampled_from([700, 701, 702, 900]),
        "insured": st.sampled_from([11, 12, 30]),
        "act": st.sampled_from(["assessed", "deferred", "closed"]),
        "actor": st.sampled_from(["M1", "M1", "I2"]),
        "until": st.sampled_from([11, 12, 20]),
        "aboard": st.sampled_from([1, 2]),
        "clearer": st.sampled_from(["M2", "M2", "I2"]),
        "looker": st.sampled_from(["M2", "M2", "M1"]),
        "result": st.sampled_from(["good", "good", "bad"]),
    }
)
flights = st.fixed_dictionaries(
    {
        "purpose": st.sampled_from(["instruction", "private", "test", "student alone", "check flight"]),
        "block_h": st.sampled_from([0.5, 0.9, 1.0, 4.9]),
        "aboard_count": st.sampled_from([1, 2]),
    }
)


def rank(answer):
    """STOP and UNKNOWN are both no release: which of the two it is says only what to do about it."""
    return min(answer.verdict, Verdict.UNKNOWN)


def without(things, index):
    return tuple(one for number, one in enumerate(things) if number != index)


def removals(records):
    history = records.history
    for index in range(len(history.done)):
        yield replace(records, history=replace(history, done=without(history.done, index)))
    for index in range(len(history.parts)):
        yield replace(records, history=replace(history, parts=without(history.parts, index)))
    for index in range(len(records.papers)):
        yield replace(records, papers=without(records.papers, index))
    yield replace(records, history=replace(history, meters={}))
    for name in ("papers", "bookings", "defects", "events", "work", "directives_read_on"):
        yield replace(records, **{name: None})
    (defect,) = records.defects
    yield replace(records, defects=(replace(defect, acts=()),))
    (event,) = records.events
    yield replace(records, events=(replace(event, clearings=()),))
    (work,) = records.work
    for name in ("signed", "second_look", "check_flight", "changes_handling"):
        yield replace(records, work=(replace(work, **{name: None}),))


def aged(records):
    history = records.history
    day = timedelta(days=40)
    for index, entry in enumerate(history.done):
        older = replace(entry, on=entry.on - day, at={name: hours - 3.0 for name, hours in entry.at.items()})
        yield replace(records, history=replace(history, done=(*without(history.done, index), older)))
    for index, paper in enumerate(records.papers):
        if paper.expires_on:
            older = replace(paper, expires_on=paper.expires_on - day)
            yield replace(records, papers=(*without(records.papers, index), older))
    yield replace(records, directives_read_on=records.directives_read_on - day)
    meter = history.meters["tachometer"]
    older = replace(meter, readings=tuple(replace(one, at=one.at - day) for one in meter.readings))
    yield replace(records, history=replace(history, meters={"tachometer": older}))


@settings(max_examples=30, deadline=None)
@given(machines, flights)
def test_removing_or_ageing_any_record_never_improves(machine, flight):
    text = RECORDS.format(**machine)
    before = rank(ask(PROGRAM, text, **flight))
    records = read_all(PROGRAM, text, "")[1]
    for fewer in (*removals(records), *aged(records)):
        assert rank(ask(PROGRAM, text, change=lambda _, fewer=fewer: fewer, **flight)) >= before


@settings(max_examples=25, deadline=None)
@given(machines, flights, st.sampled_from(["radio", "nose wheel"]))
def test_one_more_defect_event_or_work_never_improves(machine, flight, item):
    text = RECORDS.format(**machine)
    defect = f'[[defect]]\nid = "D9"\nitem = "{item}"\nat = 2027-06-11T10:00:00-07:00\nby = "S1"\n'
    event = '[[event]]\nid = "E9"\nkind = "bird"\nat = 2027-06-11T10:00:00-07:00\n'
    for more in (defect, event):
        assert ask(PROGRAM, text + more, **flight).verdict is Verdict.STOP


@settings(max_examples=25, deadline=None)
@given(machines, flights, st.randoms(use_true_random=False))
def test_the_order_of_records_does_not_matter(machine, flight, random):
    text = RECORDS.format(**machine) + (
        '[[done]]\ntask = "AD"\non = 2027-05-20\nat = { tachometer = "1185.0 h" }\nsigned_by = "M1"\n'
        '[[defect]]\nid = "D2"\nitem = "radio"\nat = 2027-06-11T10:00:00-07:00\nby = "S1"\n'
        '[[booking]]\nat = 2027-06-12T07:00:00-07:00\nblock = "0.2 h"\n'
        '[[booking]]\nat = 2027-06-12T07:20:00-07:00\nblock = "0.1 h"\n'
    )
    text = text.replace("booking = []\n", "")

    def shuffled(records):
        def mix(things):
            return tuple(random.sample(things, len(things)))

        history = replace(records.history, done=mix(records.history.done))
        return replace(
            records,
            history=history,
            papers=mix(records.papers),
            defects=mix(records.defects),
            bookings=mix(records.bookings),
        )

    def told(answer):
        return sorted((one.id, one.about, one.why, one.verdict, str(one.value)) for one in answer.findings)

    assert told(ask(PROGRAM, text, change=shuffled, **flight)) == told(ask(PROGRAM, text, **flight))


@pytest.mark.parametrize("h", [0.5, 0.9, 1.0, 4.9])
def test_the_longest_flight_is_the_edge_between_passing_and_not(h):
    machine = dict.fromkeys(("check",), 1105) | {"directive": 1191, "fitted": 900, "insured": 30, "act": "closed"}
    machine |= {"actor": "M1", "until": 20, "aboard": 2, "clearer": "M2", "looker": "M2", "result": "good"}
    answer = ask(PROGRAM, RECORDS.format(**machine), block_h=h)
    assert (answer.verdict is Verdict.GO) is (h <= answer.sheet.value("hours_left_h") + 1e-9)
