"""A flight asked for at the desk is answered from records as the same flight is from files."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import UTC, datetime, timedelta

import pytest

from gyrewright.cli.source import fetch_packaged
from gyrewright.desk.book.kinds.flight import FlightDone, WeatherGiven
from gyrewright.desk.book.kinds.people import Declared, No, Standing, Today
from gyrewright.desk.book.kinds.upkeep import FuelMeasured, MeterRead, Touched
from gyrewright.desk.book.writing import append
from gyrewright.desk.refusal import Refused
from gyrewright.desk.services import demo, state
from gyrewright.desk.services.adopting import adopted, defined
from gyrewright.desk.services.records import new_id, record_act
from gyrewright.errors import DefinitionError
from gyrewright.finding import Verdict
from gyrewright.release.decide import decide
from gyrewright.release.files import read_question

LATE = datetime(2027, 6, 13, 3, 0, tzinfo=UTC)
FLIGHTS = (
    "0630-sunde-halloran",
    "0820-okafor-lind-castellane",
    "0900-okafor-lind-eklund",
    "1330-sunde-halloran",
    "1900-halloran-alone",
)


def ask(name):
    table = demo.demo_table(f"flights/{name}.toml")
    asked_at = table["asked_at"].astimezone(UTC)
    append([*demo.flight_entries(table, at=demo.ASKED_AT)])
    append([*demo.beside_entries(table, briefed_at=demo.ASKED_AT, report_at=asked_at)])
    (id,) = state.flights(LATE)
    return id, asked_at


def told(answer):
    """Return the findings; a record's own id is another in a file."""
    return [
        (
            each.id,
            re.sub(r"^([A-Z]-\w+|[0-9a-f-]{36})$", "record", each.about),
            each.verdict.name,
            each.why,
            each.value,
            each.limit,
            sorted(each.lacking),
        )
        for each in answer.findings
    ]


@pytest.mark.parametrize("name", FLIGHTS)
def test_the_desks_records_answer_as_the_files_do(house, name):
    id, asked_at = ask(name)
    of_records = decide(state.question(state.flight(id, asked_at), asked_at))
    of_files = decide(read_question(f"flights/{name}.toml", fetch_packaged))
    assert of_records.verdict is of_files.verdict
    assert sorted(told(of_records), key=str) == sorted(told(of_files), key=str)
    assert of_records.valid_until == of_files.valid_until


def answer(id, at):
    return decide(state.question(state.flight(id, at), at))


def verdicts(answer, *ids):
    return {each.id: each.verdict.name for each in answer.findings if each.id in ids or not ids}


def twice(act, other, **where):
    """Record an act and two corrections of it that contradict each other."""
    first = record_act(act=act, **where).record
    for by in ("sunde", "okafor-lind"):
        corrected = act if by == "sunde" else other
        record_act(act=corrected, **{**where, "by": by}, corrects=first.id)


def test_two_truths_about_a_meter_leave_what_is_due_unknown(house):
    id, at = ask(FLIGHTS[0])
    assert answer(id, at).verdict is Verdict.GO
    twice(
        MeterRead(meter="airframe", shows="487.3 h"),
        MeterRead(meter="airframe", shows="478.3 h"),
        by="sunde",
        about="N0-101D",
        done_at=at - timedelta(hours=1),
    )
    found = answer(id, at)
    assert found.verdict is Verdict.UNKNOWN
    unknown = {each.id for each in found.findings if each.verdict is Verdict.UNKNOWN}
    assert "maintenance.inspection" in unknown
    assert [each.records[0].kind for each in state.conflicts(state.flight(id, at), at)] == ["meter-read"]


def test_two_truths_about_the_weather_or_a_person_leave_both_unknown(house):
    id, at = ask(FLIGHTS[0])
    early = at - timedelta(minutes=2)
    twice(
        WeatherGiven(text="METAR X0TB 121310Z 18003KT 10SM CLR 09/02 A2980", form="report"),
        WeatherGiven(text="METAR X0TB 121310Z 18033KT 10SM CLR 09/02 A2980", form="report"),
        by="sunde",
        done_at=early,
    )
    assert verdicts(answer(id, at), "wind.crosswind") == {"wind.crosswind": "UNKNOWN"}
    twice(Standing(certificate="sport"), Standing(certificate="private"), by="sunde", about="sunde", done_at=early)
    found = [each for each in answer(id, at).findings if "commander_certificate" in each.lacking]
    assert found


def test_a_no_stays_a_no_whatever_else_its_record_is_said_to_hold(house):
    id, at = ask(FLIGHTS[0])
    said = record_act(act=No(flight=id), by="halloran", about="halloran", done_at=at - timedelta(minutes=1)).record
    assert verdicts(answer(id, at), "people.no") == {"people.no": "STOP"}
    record_act(act=No(), by="halloran", about="halloran", id=said.id, done_at=said.done_at)
    assert verdicts(answer(id, at), "people.no") == {"people.no": "STOP"}


def test_a_word_of_the_day_keeps_what_was_said_before_and_gives_its_own_time(house):
    on = LATE.astimezone(state.zone()).date()
    record_act(act=Today(on=on, fitness="fit"), by="yarrow", about="yarrow", done_at=LATE - timedelta(hours=1))
    (*_, before, last) = state.folk(LATE).people["yarrow"].words
    assert (last.fitness, last.slept_h, last.at) == ("fit", before.slept_h, LATE - timedelta(hours=1))


def test_what_a_person_declares_for_a_flight_is_the_flights_alone(house):
    id, at = ask(FLIGHTS[0])
    record_act(
        act=Declared(answers={"belts_briefed": False, "sober": False}, flight=id),
        by="sunde",
        about="sunde",
        done_at=at - timedelta(minutes=1),
    )
    # Belts may still be briefed before the start; that somebody is not sober is a fact.
    assert verdicts(answer(id, at), "rule.us.91.107", "rule.us.91.17") == {
        "rule.us.91.107": "GO_IF",
        "rule.us.91.17": "STOP",
    }


def fuel(id, at):
    question = state.question(state.flight(id, at), at)
    return {fact.name: (fact.value, fact.origin.value) for fact in question.flight.fuel if fact.is_known}


def test_a_fuel_reading_ends_with_a_flight_and_with_fuel_and_a_plan_takes_its_place(house):
    id, at = ask(FLIGHTS[0])
    both = {"fuel_gauge_l": (40.0, "observed"), "fuel_stick_l": (40.0, "observed")}
    assert fuel(id, at) == both
    late = at + timedelta(minutes=5)
    record_act(act=Touched(what="fueled", fuel="5 L"), by="sunde", about="N0-101D", done_at=at)
    assert fuel(id, late) == {"fuel_planned_l": (40.0, "planned")}
    record_act(act=FuelMeasured(by_what="stick", aboard="45 L"), by="sunde", about="N0-101D", done_at=late)
    assert fuel(id, late) == {"fuel_stick_l": (45.0, "observed")}
    done = FlightDone(off_at=late, on_at=late, commander="sunde")
    record_act(act=done, by="sunde", about="N0-101D", done_at=late + timedelta(minutes=1))
    assert fuel(id, late + timedelta(minutes=2)) == {"fuel_planned_l": (40.0, "planned")}


def test_a_reading_tells_nothing_of_a_flight_after_the_next(house):
    table = demo.demo_table(f"flights/{FLIGHTS[0]}.toml")
    later = replace(
        next(demo.flight_entries(table, at=demo.ASKED_AT)),
        done_at=demo.ASKED_AT,
    )
    later = replace(later, act=replace(later.act, depart_at=later.act.depart_at + timedelta(hours=2), fuel="25 L"))
    id, at = ask(FLIGHTS[0])
    append([later])
    assert fuel(later.id, at) == {"fuel_planned_l": (25.0, "planned")}
    assert set(fuel(id, at)) == {"fuel_gauge_l", "fuel_stick_l"}


def test_ballast_is_planned_until_somebody_has_seen_it_in_place(house):
    table = demo.demo_table(f"flights/{FLIGHTS[4]}.toml")
    asked = next(demo.flight_entries(table, at=demo.ASKED_AT))
    append([replace(asked, act=replace(asked.act, loads={"ballast": "8 kg"}))])

    def conditions():
        found = answer(asked.id, LATE - timedelta(hours=4))
        return [each.id for finding in found.findings for each in finding.conditions]

    assert "acts.load_kg" in conditions()
    act = Touched(what="ballast in", ballast="8 kg")
    record_act(act=act, by="sunde", about="N0-303S", done_at=LATE - timedelta(hours=5))
    assert "acts.load_kg" not in conditions()


def test_ballast_that_lies_there_and_is_not_asked_for_has_to_come_out(house):
    """A light student's ballast stays in the aircraft, and the next flight knows nothing of it."""
    table = demo.demo_table(f"flights/{FLIGHTS[4]}.toml")
    asked = next(demo.flight_entries(table, at=demo.ASKED_AT))

    def conditions(loads):
        append([replace(asked, id=new_id(), act=replace(asked.act, loads=loads))])
        id = list(state.flights(LATE - timedelta(hours=4)))[-1]
        found = answer(id, LATE - timedelta(hours=4))
        return [each.id for finding in found.findings for each in finding.conditions if each.id.startswith("acts.")]

    assert "acts.nothing_there" not in conditions({"ballast": "0 kg"})
    act = Touched(what="ballast in", ballast="8 kg")
    record_act(act=act, by="sunde", about="N0-303S", done_at=LATE - timedelta(hours=5))
    assert "acts.nothing_there" in conditions({"ballast": "0 kg"})
    assert "acts.load_kg" in conditions({"ballast": "6 kg"})
    act = Touched(what="ballast out", ballast="0 kg")
    record_act(act=act, by="sunde", about="N0-303S", done_at=LATE - timedelta(hours=4, minutes=30))
    assert "acts.nothing_there" not in conditions({"ballast": "0 kg"})
    assert "acts.load_kg" in conditions({"ballast": "8 kg"})


def test_what_does_not_read_is_not_taken_in(house):
    with pytest.raises(DefinitionError, match="arms"):
        defined(text='kind = "aircraft"\nid = "N0-404X"\narms = 3\n', by="sunde")
    with pytest.raises(DefinitionError, match="runways"):
        adopted(name="field", text="runways = 1\n", holds_from=LATE.date(), by="okafor-lind")


def test_a_field_or_rules_that_nobody_entered_are_asked_for_in_one_sentence(book):
    with pytest.raises(Refused, match="house rules and the field have not been entered"):
        state.house(LATE)
