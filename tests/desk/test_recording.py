from __future__ import annotations

import uuid
from datetime import UTC, date, datetime, timedelta

import pytest

from gyrewright.desk import clock
from gyrewright.desk.book.head import kept_head
from gyrewright.desk.book.kinds.aircraft import AircraftDefined
from gyrewright.desk.book.kinds.operation import BookOpened, Clash
from gyrewright.desk.book.kinds.people import No
from gyrewright.desk.book.kinds.upkeep import DefectReported, MeterRead
from gyrewright.desk.book.models import Record
from gyrewright.desk.book.reading import find_records, head, record_with_id
from gyrewright.desk.book.record import Entry, Outcome
from gyrewright.desk.book.verify import verify
from gyrewright.desk.book.writing import append, append_one
from gyrewright.desk.refusal import ClockInDoubt, Refused
from gyrewright.desk.services.records import confirm_clock, new_id, record_act, settle_clash, withdraw
from gyrewright.errors import DefinitionError

NOW = datetime(2027, 6, 12, 14, 0, tzinfo=UTC)


def entry(**changes):
    given = {
        "id": new_id(),
        "act": MeterRead(meter="airframe", shows="487.3 h"),
        "done_at": NOW - timedelta(hours=1),
        "by": "ivo",
        "about": "N0-101D",
    }
    return Entry(**(given | changes))


def test_it_works(book):
    kept = append_one(entry())
    assert kept.outcome is Outcome.NEW
    assert kept.record.seq == head().seq
    assert record_with_id(kept.record.id) == kept.record
    assert kept.record.done_at == NOW - timedelta(hours=1)
    assert kept.record.entered_at >= NOW
    assert verify(book).is_whole


def test_the_head_outside_follows_every_record(book):
    kept = append_one(entry())
    assert kept_head(book) == head()
    assert kept_head(book).hash == kept.record.hash


def test_the_same_id_with_the_same_content_is_stored_once(book):
    one = entry()
    first = append_one(one)
    before = head()
    for _ in range(5):
        assert append_one(one).outcome is Outcome.AGAIN
    assert append_one(one).record == first.record
    assert head() == before


def test_a_form_sent_twice_is_one_act_and_one_sent_with_other_content_is_two_truths(book):
    id = new_id()
    one = record_act(id=id, act=MeterRead(meter="airframe", shows="487.3 h"), by="ivo", about="N0-101D")
    clock.start(demo_at=NOW + timedelta(minutes=2))
    again = record_act(id=id, act=MeterRead(meter="airframe", shows="487.3 h"), by="ivo", about="N0-101D")
    assert (again.outcome, again.record.done_at) == (Outcome.AGAIN, one.record.done_at)
    for changed in ({"by": "mia"}, {"act": MeterRead(meter="airframe", shows="478.3 h")}):
        given = {"id": id, "act": MeterRead(meter="airframe", shows="487.3 h"), "by": "ivo", "about": "N0-101D"}
        assert record_act(**(given | changed)).outcome is Outcome.CLASH


def test_the_same_id_with_other_content_is_a_clash_that_is_kept_once(book):
    one = entry()
    append_one(one)
    other = entry(id=one.id, act=MeterRead(meter="airframe", shows="478.3 h"))
    clash = append_one(other)
    assert clash.outcome is Outcome.CLASH
    assert isinstance(clash.record.act, Clash)
    assert clash.record.act.id == one.id
    assert "478.3 h" in clash.record.act.sent
    before = head()
    assert append_one(other).record == clash.record
    assert head() == before
    assert record_with_id(one.id).act.shows == "487.3 h"
    settled = settle_clash(id=new_id(), clash=clash.record.id, true="first", by="ada")
    assert settled.record.act.true == "first"
    assert verify(book).is_whole


def test_a_form_handed_in_twice_is_one_act_and_times_of_their_own_are_two_truths(book):
    clock.start(demo_at=NOW)
    same = new_id()
    assert record_act(id=same, act=MeterRead(meter="airframe", shows="1 h"), by="ivo", about="N0-101D").outcome == "new"
    before = head()
    clock.start(demo_at=NOW + timedelta(seconds=40))
    again = record_act(id=same, act=MeterRead(meter="airframe", shows="1 h"), by="ivo", about="N0-101D")
    assert (again.outcome, head()) == (Outcome.AGAIN, before)
    other = append_one(entry(id=same, act=MeterRead(meter="airframe", shows="1 h"), done_at=NOW - timedelta(hours=1)))
    assert other.outcome is Outcome.CLASH


def test_entries_are_kept_together_or_not_at_all(book):
    before = head()
    good, bad = entry(), entry(corrects=new_id())
    with pytest.raises(Refused, match="which is not in the book"):
        append([good, bad])
    assert head() == before
    assert not Record.objects.filter(id=good.id).exists()


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ({"id": "1"}, "is no id; ids are UUIDs"),
        ({"by": ""}, "names nobody who did it"),
        ({"about": ""}, "does not say which aircraft"),
        ({"act": BookOpened(operation="x")}, "is about no single aircraft or person"),
        ({"done_at": NOW + timedelta(days=1)}, "set right whichever clock is wrong"),
        ({"done_at": datetime(2027, 6, 12)}, "has no offset from UTC"),  # noqa: DTZ001 - what is refused
        ({"act": DefectReported(item="K08", photos=("0" * 64,))}, "hand in photos before"),
        ({"about": "x" * 101}, "at most 100 characters"),
    ],
)
def test_what_is_not_of_the_form_of_its_kind_is_refused(book, changes, said):
    before = head()
    with pytest.raises(Refused, match=said):
        append_one(entry(**changes))
    assert head() == before


def test_a_quantity_without_its_unit_is_refused_with_its_place(book):
    with pytest.raises(DefinitionError, match=r"MeterRead: shows: .*487\.3"):
        append_one(entry(act=MeterRead(meter="airframe", shows="487.3")))


def test_a_number_with_a_point_cannot_stand_in_a_record(book):
    with pytest.raises(DefinitionError, match="is not a text"):
        append_one(entry(act=MeterRead(meter="airframe", shows=487.3)))


def test_nothing_is_written_before_the_book_is_open(empty):
    with pytest.raises(Refused, match="is not open yet"):
        append_one(entry())


def test_a_book_opens_once(book):
    with pytest.raises(Refused, match="already open"):
        record_act(act=BookOpened(operation="another"), by="ada")


def test_a_correction_points_at_a_record_of_its_kind_about_the_same_thing(book):
    one = append_one(entry()).record
    with pytest.raises(Refused, match="cannot correct a record of another kind"):
        append_one(entry(act=AircraftDefined(text="kind = 'aircraft'"), corrects=one.id))
    with pytest.raises(Refused, match="corrects a record about 'N0-101D'"):
        append_one(entry(about="N0-202W", corrects=one.id))
    assert append_one(entry(corrects=one.id)).record.corrects == one.id


def test_nobody_withdraws_anothers_no(book):
    no = record_act(act=No(), by="sam", about="sam").record
    with pytest.raises(Refused, match="by its speaker alone"):
        withdraw(id=new_id(), record=no.id, by="ada", why="a slip")
    assert withdraw(id=new_id(), record=no.id, by="sam").outcome is Outcome.NEW


def test_a_clock_behind_the_last_record_writes_nothing_until_two_people_confirm_it(book):
    before = head()
    clock.start(demo_at=NOW - timedelta(days=1))
    late = entry(done_at=NOW - timedelta(days=2))
    with pytest.raises(ClockInDoubt, match="earlier than the last record"):
        append_one(late)
    assert head() == before
    confirm_clock(id=new_id(), by="ada", read_from="the tower's clock")
    with pytest.raises(ClockInDoubt):
        append_one(late)
    confirm_clock(id=new_id(), by="ada", read_from="my watch")
    with pytest.raises(ClockInDoubt):
        append_one(late)
    confirm_clock(id=new_id(), by="mia", read_from="my phone")
    assert append_one(late).outcome is Outcome.NEW
    assert append_one(entry(done_at=NOW - timedelta(days=2))).outcome is Outcome.NEW
    assert verify(book).is_whole


def test_a_clock_that_jumps_while_the_desk_runs_is_doubted(book, monkeypatch):
    clock.start()
    wall, uptime = datetime.now(UTC), clock._uptime_s()
    clock._clock[:] = [clock.Clock(wall - timedelta(days=1), uptime, is_own=False)]
    with pytest.raises(ClockInDoubt, match="jumped by 1440 min"):
        append_one(entry(done_at=wall - timedelta(hours=1)), now=lambda: NOW + timedelta(days=1))


def test_a_clock_set_back_by_seconds_is_only_set_right(book):
    kept = append_one(entry())
    clock.start(demo_at=kept.record.entered_at - timedelta(seconds=3))
    assert append_one(entry()).record.entered_at == kept.record.entered_at


def test_records_are_found_by_what_they_are_about_kind_and_person(book):
    one = append_one(entry()).record
    append_one(entry(about="N0-202W"))
    assert [each.id for each in find_records(about="N0-101D")] == [one.id]
    assert len(find_records(kinds=["meter-read"], by="ivo")) == 2
    assert find_records(kinds=["meter-read"], known_at=NOW - timedelta(days=1)) == []


def test_ids_are_kept_as_they_were_made(book):
    upper = str(uuid.uuid4()).upper()
    with pytest.raises(Refused, match="in small letters"):
        append_one(entry(id=upper))


def test_dates_of_an_act_survive(book):
    from gyrewright.desk.book.kinds.upkeep import PartFitted

    act = PartFitted(name="teeter bolt", serial="TB-1", on=date(2024, 2, 29), meter="rotor", meter_at="0.0 h")
    assert append_one(entry(act=act)).record.act == act


def test_a_hundred_thousand_characters_of_another_alphabet_survive(book):
    text = 'kind = "aircraft"\n# ' + "дальность ½ °C — " * 6000
    one = append_one(entry(act=AircraftDefined(text=text))).record
    assert record_with_id(one.id).act.text == text
    assert verify(book).is_whole
