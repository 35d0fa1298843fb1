"""Two truths about what grounds an aircraft, and who was entitled when: nothing makes an answer milder."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from gyrewright.desk import clock
from gyrewright.desk.book.kinds import kind_of, upkeep
from gyrewright.desk.book.reading import find_records
from gyrewright.desk.book.record import Entry, Recorded
from gyrewright.desk.fold.aircraft import fold_aircraft
from gyrewright.desk.services import people, state
from gyrewright.desk.services.records import new_id, record_act, settle_clash, withdraw
from gyrewright.inspection.walk import read_walks
from gyrewright.maintenance.defects import state_of
from gyrewright.maintenance.records import read_records
from gyrewright.reading import Problems, Section

NOW = datetime(2027, 6, 12, 14, 0, tzinfo=UTC)
CRAFT = "N0-101D"
ENTITLED = {
    "assess a defect": frozenset({"mia"}),
    "defer a defect": frozenset({"mia"}),
    "close a defect": frozenset({"mia"}),
    "close a third report": frozenset({"mia"}),
    "event inspection": frozenset({"mia"}),
    "sign work": frozenset({"mia"}),
    "second look": frozenset({"max"}),
    "fly a check flight": frozenset({"ivo"}),
}


def act(act, by="mia", **more):
    return record_act(act=act, by=by, about=CRAFT, **more).record


def read(found=None, at=NOW + timedelta(days=1), reader=read_records):
    tables = fold_aircraft(find_records() if found is None else found, aircraft=CRAFT, at=at)
    problems = Problems()
    books = reader(Section(tables.books, file="books", problems=problems))
    problems.stop_if_any()
    return books, tables


def names(found=None, at=NOW + timedelta(days=1)):
    """Return the state of every defect."""
    books, _ = read(found, at)
    return sorted(state_of(each, entitled=ENTITLED, at=at).name for each in books.defects or ())


def sent_again(first, second):
    """Hand in another content under the id of a record."""
    return record_act(act=second, by=first.by, about=CRAFT, id=first.id, done_at=first.done_at).record


def test_two_contents_of_one_report_both_stand_open_until_a_person_has_said_which_is_true(book):
    one = act(upkeep.DefectReported(item="brake", words="pulls left"), by="sam")
    act(upkeep.DefectClosed(defect=one.id, words="adjusted"))
    clash = sent_again(one, upkeep.DefectReported(item="brake", words="pulls right"))
    books, tables = read()
    assert sorted(each.words for each in books.defects) == ["pulls left", "pulls right"]
    assert names() == ["open", "open"]
    assert len(tables.conflicts) == 1
    settle_clash(id=new_id(), clash=clash.id, true="second", by="mia")
    assert [each.words for each in read()[0].defects] == ["pulls right"]


def test_a_clash_about_one_defect_leaves_every_other_where_it_was(book):
    act(upkeep.DefectReported(item="mast", words="crack"), by="sam")
    two = act(upkeep.DefectReported(item="brake", words="pulls left"), by="sam")
    sent_again(two, upkeep.DefectReported(item="brake", words="pulls right"))
    assert sorted(each.item for each in read()[0].defects) == ["brake", "brake", "mast"]


@pytest.mark.parametrize(
    "done",
    [
        upkeep.DefectAssessed(defect="", class_="N"),
        upkeep.DefectClosed(defect="", words="adjusted"),
        upkeep.DefectDeferred(defect="", until_on=date(2027, 9, 1)),
    ],
)
def test_an_act_in_question_leaves_the_defect_open(book, done):
    one = act(upkeep.DefectReported(item="brake"), by="sam")
    act(upkeep.DefectAssessed(defect=one.id, class_="N", words="within limits"))
    done = replace(done, defect=one.id, words="so")
    kept = act(done)
    assert names() != ["open"]
    sent_again(kept, replace(done, words="or so"))
    assert names() == ["open"]


def test_an_event_keeps_its_lock_through_a_clash_and_so_does_its_clearing_in_question(book):
    one = act(upkeep.EventReported(kind="hard landing", words="bounced"), by="ivo")
    cleared = upkeep.EventCleared(event=one.id, inspection="hard landing inspection", found="nothing", signed_by="mia")
    kept = act(cleared)

    def locks():
        events, at = read()[0].events, NOW + timedelta(days=1)
        inspection = "hard landing inspection"
        return [each.kind for each in events if not each.cleared(inspection=inspection, entitled=ENTITLED, at=at)]

    assert locks() == []
    clash = sent_again(kept, replace(cleared, found="fork bent"))
    assert locks() == ["hard landing"]
    settle_clash(id=new_id(), clash=clash.id, true="first", by="mia")
    assert locks() == []
    sent_again(one, upkeep.EventReported(kind="rotor contact", words="bounced"))
    assert locks() == ["hard landing", "rotor contact"]


def test_work_in_question_is_unsigned_and_a_check_flight_in_question_is_not_flown(book):
    work = act(upkeep.WorkDone(what="push-rod end", areas=("controls",), workers=("mia",), changes_handling=True))
    act(upkeep.WorkSigned(work=work.id))
    flown = act(upkeep.CheckFlown(work=work.id, result="good"), by="ivo")
    (one,) = read()[0].work
    assert one.is_flown(entitled=ENTITLED, at=NOW + timedelta(days=1))
    sent_again(flown, upkeep.CheckFlown(work=work.id, result="bad", found="heavy in roll"))
    (one,) = read()[0].work
    assert one.check_flight is None
    sent_again(work, upkeep.WorkDone(what="push-rod", areas=("controls",), workers=("mia",)))
    assert [each.signed for each in read()[0].work] == [None, None]


def test_a_marker_in_question_is_on_the_aircraft(book):
    placed = act(upkeep.MarkerPlaced(number=1, label="latch open", place="cowl"), by="ivo")
    act(upkeep.MarkerRemoved(placed=placed.id), by="ivo")
    counted = act(upkeep.MarkerConfirmed(placed=placed.id), by="sam")

    def on():
        books, _ = read(reader=read_walks)
        return [each.number for each in books.markers if each.off_at(NOW + timedelta(days=1)) is None]

    assert on() == []
    record_act(act=upkeep.MarkerConfirmed(placed=placed.id), by="mia", about=CRAFT, id=counted.id)
    assert on() == [1]
    sent_again(placed, upkeep.MarkerPlaced(number=2, label="latch open", place="cowl"))
    assert on() == [1, 2]


def test_an_act_older_than_the_report_says_nothing_about_it_and_a_correction_makes_no_report_younger(book):
    clock.start(demo_at=NOW + timedelta(hours=2))
    one = act(upkeep.DefectReported(item="brake"), by="sam", done_at=NOW)
    act(upkeep.DefectClosed(defect=one.id, words="adjusted"), done_at=NOW - timedelta(hours=1))
    assert names() == ["open"]
    act(upkeep.DefectClosed(defect=one.id, words="adjusted"), done_at=NOW + timedelta(hours=1))
    act(upkeep.DefectReported(item="brake", words="left one"), by="sam", corrects=one.id)
    assert names() == ["closed"]


def test_a_deferral_that_its_deferrer_did_not_judge_safe_is_none(book):
    one = act(upkeep.DefectReported(item="lamp"), by="sam")
    act(upkeep.DefectDeferred(defect=one.id, until_on=date(2027, 9, 1), judged_safe=False))
    assert names() == ["open"]


def test_reports_found_to_be_of_one_thing_are_counted_together_and_apart_again_when_somebody_says_so(book):
    ids = [
        act(upkeep.DefectReported(item=item, symptom=symptom), by="sam").id
        for item, symptom in (("nose wheel", "shakes"), ("Nose", "shimmy"), ("steering", "shakes"))
    ]
    act(upkeep.DefectsCompared(defects=tuple(ids), same=True))
    books, _ = read()
    assert [each.like for each in sorted(books.defects, key=lambda each: ids.index(each.id))] == ["", ids[0], ids[0]]
    for other, alike in ((ids[0], 2), (ids[1], 1)):
        act(upkeep.DefectsCompared(defects=(other, ids[2]), same=False))
        assert sum(bool(each.like) for each in read()[0].defects) == alike


# --- who was entitled when ---


def test_a_closing_counts_by_the_roles_of_its_own_day(book):
    one = act(upkeep.DefectReported(item="brake"), by="sam")
    act(upkeep.DefectClosed(defect=one.id, words="ground check OK"), by="ivo")
    two = act(upkeep.DefectReported(item="lamp"), by="sam")
    act(upkeep.DefectClosed(defect=two.id, words="new bulb"))
    clock.start(demo_at=NOW + timedelta(days=2))
    for role in ("maintainer", "inspector"):
        people.end_role(id=new_id(), person="mia", role=role, from_on=date(2027, 6, 13), by="ada")
    people.give_role(id=new_id(), person="ivo", role="maintainer", from_on=date(2027, 6, 13), by="ada")
    might = state.entitled_then(CRAFT)
    assert "close a defect" in might("mia", NOW)
    assert "close a defect" not in might("mia", NOW + timedelta(days=2))
    tables = fold_aircraft(find_records(), aircraft=CRAFT, at=NOW + timedelta(days=2), might=might)
    problems = Problems()
    defects = read_records(Section(tables.books, file="books", problems=problems)).defects
    problems.stop_if_any()
    now = {"close a defect": frozenset({"ivo"})}
    states = {each.item: state_of(each, entitled=now, at=NOW + timedelta(days=2)).name for each in defects}
    assert states == {"brake": "open", "lamp": "closed"}


def test_a_role_for_one_aircraft_counts_for_no_other_and_the_first_day_of_roles_for_what_lies_before(book):
    people.give_role(
        id=new_id(), person="ivo", role="named instructor", from_on=date(2027, 2, 1), aircraft=(CRAFT,), by="ada"
    )
    assert "assess a defect" in state.entitled_then(CRAFT)("ivo", NOW)
    assert "assess a defect" not in state.entitled_then("N0-202W")("ivo", NOW)
    assert "close a defect" in state.entitled_then(CRAFT)("mia", datetime(2026, 5, 1, tzinfo=UTC))
    assert "assess a defect" not in state.entitled_then(CRAFT)("ivo", datetime(2026, 5, 1, tzinfo=UTC))
    assert state.entitled_then(CRAFT)("nobody", NOW) == frozenset()


# --- properties ---

_ORDER = ("closed", "assessed N", "deferred", "assessed L", "assessed G", "open")


def _standing(entries, extra=()):
    """Return the states of defects of entries, each recorded in turn, with two contents where an id comes twice."""
    rows = []
    for number, entry in enumerate((*entries, *extra), start=1):
        rows.append(
            Recorded(
                number,
                entry.id,
                kind_of(entry.act).name,
                entry.done_at,
                entry.done_at,
                entry.by,
                entry.about,
                entry.corrects,
                entry.act,
                None,
                False,
                "",
            )
        )
    return rows


def _name(defect, at):
    found = state_of(defect, entitled=ENTITLED, at=at)
    return f"assessed {found.by_act.class_}" if found.name == "assessed" else found.name


@st.composite
def _reports(draw):
    """Draw reports and what was done about them, each at its own minute."""
    entries = []
    minute = 0
    for number in range(draw(st.integers(1, 4))):
        id = str(number) * 8 + "-0000-4000-8000-000000000000"
        item = draw(st.sampled_from(("brake", "lamp")))
        entries.append(Entry(id, upkeep.DefectReported(item=item), NOW + timedelta(minutes=minute), "sam", CRAFT))
        minute += 1
        for _ in range(draw(st.integers(0, 3))):
            by = draw(st.sampled_from(("mia", "ivo")))
            done = draw(
                st.sampled_from(
                    (
                        upkeep.DefectAssessed(defect=id, class_="G"),
                        upkeep.DefectAssessed(defect=id, class_="N"),
                        upkeep.DefectClosed(defect=id, words="done"),
                        upkeep.DefectReopened(defect=id),
                        upkeep.DefectDeferred(defect=id, until_on=date(2027, 9, 1)),
                    )
                )
            )
            entries.append(Entry(new_id(), done, NOW + timedelta(minutes=minute), by, CRAFT))
            minute += 1
    return entries


_FAST = settings(
    max_examples=40, deadline=None, suppress_health_check=(HealthCheck.too_slow, HealthCheck.function_scoped_fixture)
)


@_FAST
@given(_reports(), st.randoms())
def test_any_order_of_handing_in_gives_the_same_answer(entries, random):
    at = NOW + timedelta(days=1)
    first = {each.id: _name(each, at) for each in read(_standing(entries), at)[0].defects}
    random.shuffle(entries)
    assert {each.id: _name(each, at) for each in read(_standing(entries), at)[0].defects} == first


@_FAST
@given(_reports(), st.sampled_from(("brake", "lamp", "mast")))
def test_one_report_more_makes_no_other_milder(entries, item):
    at = NOW + timedelta(days=1)
    extra = Entry(new_id(), upkeep.DefectReported(item=item), NOW + timedelta(hours=5), "sam", CRAFT)
    before = {each.id: _name(each, at) for each in read(_standing(entries), at)[0].defects}
    after = {each.id: _name(each, at) for each in read(_standing(entries, [extra]), at)[0].defects}
    assert after.pop(extra.id) == "open"
    assert all(_ORDER.index(after[id]) >= _ORDER.index(name) for id, name in before.items())


def test_a_report_withdrawn_and_corrected_at_once_stands_as_corrected_and_open(book):
    one = act(upkeep.DefectReported(item="brake"), by="sam")
    withdraw(id=new_id(), record=one.id, by="sam")
    act(upkeep.DefectReported(item="brake", words="left one"), by="sam", corrects=one.id)
    assert names() == ["open"]
