"""What is folded from records is what the files say: the core reads both alike."""

from __future__ import annotations

import re
import tomllib
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from importlib import resources

import pytest

from gyrewright.desk import clock
from gyrewright.desk.book.kinds import people as kinds
from gyrewright.desk.book.kinds.flight import FlightAsked, FlightDropped
from gyrewright.desk.book.kinds.upkeep import (
    DefectAssessed,
    DefectDeferred,
    DefectReported,
    MarkerConfirmed,
    MarkerPlaced,
    MarkerRemoved,
    MeterRead,
    PartFitted,
    PartRemoved,
    Required,
    Restriction,
    WorkDone,
    WorkSigned,
)
from gyrewright.desk.book.reading import find_records, head
from gyrewright.desk.book.record import Outcome
from gyrewright.desk.fold.aircraft import fold_aircraft
from gyrewright.desk.fold.people import PEOPLE_KINDS, fold_people
from gyrewright.desk.fold.standing import standing
from gyrewright.desk.services.entering import enter_books
from gyrewright.desk.services.records import new_id, record_act, settle_clash, withdraw
from gyrewright.inspection.walk import read_walks
from gyrewright.maintenance.records import read_records
from gyrewright.people.read import read_people
from gyrewright.reading import Problems, Section

NOW = datetime(2027, 6, 12, 14, 0, tzinfo=UTC)
LATE = datetime(2027, 6, 13, 9, 0, tzinfo=UTC)
DEMO = resources.files("gyrewright.data") / "demo" / "aircraft"


def read(books, reader=read_records):
    problems = Problems()
    found = reader(Section(books, file="books", problems=problems))
    problems.stop_if_any()
    return found


def plain(value):
    """Return a text of what was read without ids, places and the order of lists that stand for sets."""
    text = repr(value)
    text = re.sub(r"tzinfo=datetime\.timezone\([^()]*\([^()]*\)\)", "tz", text)
    text = re.sub(r"(where|file)='[^']*'|\bid='[^']*'|corrects='[^']*'", "", text)
    return sorted(re.findall(r"[A-Za-z_]+\([^()]*\)", text))


def utc(value):
    if isinstance(value, datetime):
        return value.astimezone(UTC)
    if isinstance(value, dict):
        return {key: utc(each) for key, each in value.items()}
    return [utc(each) for each in value] if isinstance(value, list) else value


@pytest.mark.parametrize("name", ["dunlin", "whimbrel", "sanderling"])
def test_a_demonstration_aircrafts_books_entered_and_folded_read_as_the_file_does(book, name):
    file = utc(tomllib.loads((DEMO / f"{name}-records.toml").read_text(encoding="utf-8")))
    clock.start(demo_at=LATE)
    kept = enter_books(books=file, by="ada", at=LATE)
    assert {each.outcome for each in kept} == {Outcome.NEW}
    folded = fold_aircraft(find_records(), aircraft=file["aircraft"], at=LATE).books
    for reader in (read_records, read_walks):
        assert plain(read(folded, reader)) == plain(read(file, reader))
    assert {key for key in folded if not folded[key]} == {key for key in file if not file[key]}
    before = head()
    assert {each.outcome for each in enter_books(books=file, by="ada", at=LATE)} == {Outcome.AGAIN}
    assert head() == before


def fold(at=LATE, known_at=None, aircraft="N0-101D"):
    return fold_aircraft(find_records(), aircraft=aircraft, at=at, known_at=known_at)


def act(act, by="mia", about="N0-101D", **more):
    return record_act(act=act, by=by, about=about, **more).record


def test_a_list_nobody_spoke_of_is_absent_and_not_empty(book):
    act(MeterRead(meter="airframe", shows="487.3 h"))
    books = fold().books
    # Which phones are out the desk knows by itself.
    assert set(books) == {"kind", "aircraft", "meter", "phone"}
    assert read(books).defects is None


def test_what_was_entered_later_was_not_known_before(book):
    first = act(MeterRead(meter="airframe", shows="487.3 h"), done_at=NOW - timedelta(hours=3))
    clock.start(demo_at=NOW + timedelta(hours=5))
    act(MeterRead(meter="airframe", shows="486.3 h"), done_at=first.done_at, corrects=first.id)

    def meter(**when):
        return read(fold(**when).books).history.meters["airframe"]

    assert [each.typed for each in meter().readings] == ["486.3 h"]
    assert [each.typed for each in meter().corrected] == ["487.3 h"]
    early = meter(known_at=NOW + timedelta(hours=1))
    assert ([each.typed for each in early.readings], early.corrected) == (["487.3 h"], ())
    assert "meter" not in fold(at=NOW - timedelta(hours=4)).books


def test_a_correction_of_a_report_keeps_what_was_done_about_it(book):
    one = act(DefectReported(item="K08"))
    act(DefectAssessed(defect=one.id, class_="L", restriction=Restriction(day_only=True)))
    act(DefectReported(item="K09"), corrects=one.id, done_at=one.done_at)
    required = Required(equipment_list=False, this_flight=False, directive=False)
    act(DefectDeferred(defect=one.id, until_on=date(2027, 7, 1), required=required, made_safe="removed", placard="OUT"))
    (defect,) = read(fold().books).defects
    assert (defect.item, [each.kind for each in defect.acts]) == ("K09", ["assessed", "deferred"])
    assert defect.acts[0].restriction.day_only
    assert defect.acts[1].until_on == date(2027, 7, 1)
    assert dict(defect.acts[1].required) == {"equipment_list": False, "this_flight": False, "directive": False}


def test_two_corrections_of_one_record_count_for_neither_and_are_one_question(book):
    one = act(MeterRead(meter="airframe", shows="487.3 h"))
    act(MeterRead(meter="airframe", shows="487.4 h"), corrects=one.id)
    act(MeterRead(meter="airframe", shows="487.5 h"), corrects=one.id, by="ivo")
    found = fold()
    assert "meter" not in found.books
    (conflict,) = found.conflicts
    assert (conflict.of, [each.act.shows for each in conflict.records]) == (one.id, ["487.4 h", "487.5 h"])


def test_a_withdrawn_correction_leaves_the_first_standing(book):
    one = act(MeterRead(meter="airframe", shows="487.3 h"))
    two = act(MeterRead(meter="airframe", shows="487.4 h"), corrects=one.id)
    withdraw(id=new_id(), record=two.id, by="mia")
    assert [each["shows"] for each in fold().books["meter"][0]["reading"]] == ["487.3 h"]


@pytest.mark.parametrize(("true", "expected"), [("first", ["1 h"]), ("second", ["2 h"]), ("neither", None)])
def test_a_clash_counts_for_neither_until_a_person_has_answered(book, true, expected):
    one = act(MeterRead(meter="airframe", shows="1 h"), done_at=NOW)
    clash = record_act(
        act=MeterRead(meter="airframe", shows="2 h"), by="mia", about="N0-101D", id=one.id, done_at=NOW
    ).record
    open_one = fold()
    assert "meter" not in open_one.books
    assert [each.act.shows for each in open_one.conflicts[0].records] == ["1 h", "2 h"]
    settle_clash(id=new_id(), clash=clash.id, true=true, by="ada")
    settled = fold()
    assert settled.conflicts == ()
    meters = settled.books.get("meter")
    assert (meters and [each["shows"] for each in meters[0]["reading"]]) == expected


def test_the_order_of_records_does_not_matter(book):
    one = act(DefectReported(item="K08"))
    act(DefectAssessed(defect=one.id, class_="N"))
    act(MeterRead(meter="rotor", shows="3 h"))
    found = find_records()
    assert standing(found) == standing(reversed(found))


def test_a_part_moves_between_aircraft_with_its_stays(book):
    fitted = PartFitted(name="engine", serial="EN-1", on=date(2026, 1, 1), meter="engine", meter_at="0 h", own="0 h")
    act(fitted)
    act(PartRemoved(name="engine", serial="EN-1", off=date(2026, 5, 1), own_off="40 h"))
    act(replace(fitted, on=date(2026, 5, 2), meter_at="300 h", own="40 h"), about="N0-202W")
    (part,) = read(fold(aircraft="N0-202W").books).history.parts
    assert [(each.aircraft, each.off) for each in part.fits] == [("N0-101D", date(2026, 5, 1)), ("N0-202W", None)]
    (part,) = read(fold().books).history.parts
    assert len(part.fits) == 2


def test_work_markers_and_bookings_fold(book):
    work = act(WorkDone(what="hub bar off and on", areas=("rotor",), workers=("mia",)))
    act(WorkSigned(work=work.id))
    placed = act(MarkerPlaced(number=3, place="behind the mast"), by="ivo")
    act(MarkerRemoved(placed=placed.id), by="ivo")
    act(MarkerConfirmed(placed=placed.id), by="mia")
    asked = act(FlightAsked(depart_at=LATE, block="1.1 h", purpose="instruction", commander="ivo", student="sam"))
    act(FlightDropped(flight=asked.id))
    books = fold().books
    records = read(books)
    assert records.work[0].signed.by == "mia"
    assert records.bookings[0].cancelled_at is not None
    marker = read(books, read_walks).markers[0]
    assert (marker.removed.by, marker.confirmed.by) == ("ivo", "mia")


def test_people_fold_into_what_the_people_file_says(book):
    person = {"by": "ada", "about": "sam"}
    record_act(
        act=kinds.PersonWeighed(origin="weighed"), personal=kinds.MassPersonal(mass="74 kg"), person="sam", **person
    )
    record_act(act=kinds.Standing(medical=kinds.Medical(route="medical", exam_on=date(2026, 3, 1))), **person)
    record_act(act=kinds.Standing(studies=kinds.Studies(last_lesson_on=date(2027, 6, 1))), **person)
    limits = '[[limit]]\nof = "wind"\nat_most = "12 kt"\ncounts = "gust"\n'
    record_act(
        act=kinds.Endorsement(what_for="solo", given_by="ivo", given_on=date(2027, 5, 1), valid_days=90, limits=limits),
        by="ivo",
        about="sam",
    )
    record_act(act=kinds.ListsComplete(complete=("landings",)), **person)
    record_act(act=kinds.Today(on=date(2027, 6, 12), fitness="fit", slept="7 h"), by="sam", about="sam")
    record_act(act=kinds.Declared(answers={"sober": True}), by="sam", about="sam")
    no = record_act(act=kinds.No(), by="sam", about="sam").record

    def sam(on=date(2027, 6, 12)):
        tables = fold_people(find_records(kinds=PEOPLE_KINDS), at=LATE, on=on).people
        problems = Problems()
        found = read_people(Section(tables, file="people", problems=problems))
        problems.stop_if_any()
        assert "vic" not in found
        return found["sam"]

    found = sam()
    assert (found.name, found.roles, found.mass.value) == ("Sam Tarn", frozenset({"student"}), 74.0)
    assert (found.medical.route, found.studies.last_lesson_on) == ("medical", date(2027, 6, 1))
    assert found.landings == ()
    assert found.checkouts is None
    assert found.endorsements[0].limits[0].of == "wind"
    assert (found.fitness, found.slept_h) == ("fit", 7.0)
    assert found.declared["sober"].said
    assert found.noes[0].taken_back_at is None
    # Said by another it takes nothing back: the core refuses the file that says so.
    record_act(act=kinds.NoTakenBack(no=no.id), by="sam", about="sam")
    assert sam().noes[0].taken_back_at is not None
    assert sam(on=date(2027, 6, 13)).fitness == ""
