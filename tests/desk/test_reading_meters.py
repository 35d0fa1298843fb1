"""Reading the meters, correcting a reading, and exchanging a meter."""

from __future__ import annotations

import pytest
from django.urls import reverse

from gyrewright.desk import clock
from gyrewright.desk.book.reading import find_records
from gyrewright.desk.refusal import NotAllowed, Refused
from gyrewright.desk.services import releases, state, upkeep
from gyrewright.desk.services.records import new_id
from kit.desk import client_of, held, words

DUNLIN, SANDERLING = "N0-101D", "N0-303S"
AT = "2027-06-12T06:05"


def address(name, aircraft=DUNLIN):
    return reverse("upkeep-enter", args=[aircraft, name])


def total(meter, aircraft=DUNLIN):
    return state.machine(aircraft, clock.now()).aircraft.records.history.meters[meter].latest.total


def test_it_works(demo_day):
    client = client_of("sunde")
    form = client.get(address("meters"))
    # The time and who acts are there; nothing else is filled in.
    assert held(form)["done_at"] == "2027-06-12T06:10"
    assert held(form)["reading.airframe"] == held(form)["reading.engine"] == ""
    answer = client.post(
        address("meters"),
        {"reading.airframe": "487.6 h", "reading.rotor": "487.6 h", "done_at": AT, "from_paper": "log 3, page 41"},
    )
    assert (answer.status_code, answer.url) == (302, reverse("upkeep-aircraft", args=[DUNLIN]))
    assert (total("airframe"), total("rotor"), total("engine")) == (487.6, 487.6, 487.3)
    said = words(client.get(answer.url))
    assert "2.5 h left" in said
    assert "Airframe meter read: 487.6 h, 12 Jun 2027 06:05 (from paper: log 3, page 41)" in said
    last = find_records(about=DUNLIN, kinds=("meter-read",))[-1]
    assert (last.by, last.act.from_paper) == ("sunde", "log 3, page 41")
    assert last.done_at < last.entered_at


def test_the_same_form_handed_in_twice_is_entered_once(demo_day):
    client = client_of("sunde")
    form = held(client.get(address("meters")))
    given = {"id": form["id"], "reading.airframe": "487.6 h", "reading.engine": "487.6 h", "done_at": AT}
    before = len(find_records(about=DUNLIN, kinds=("meter-read",)))
    for _ in range(2):
        assert client.post(address("meters"), given).status_code == 302
    assert len(find_records(about=DUNLIN, kinds=("meter-read",))) == before + 2


def test_a_meter_that_would_run_backwards_is_refused_with_the_reading_it_runs_against_and_nothing_is_lost(demo_day):
    client = client_of("sunde")
    given = {"reading.airframe": "478.9 h", "done_at": AT, "from_paper": "log 3, page 41"}
    answer = client.post(address("meters"), given)
    said = words(answer, 400)
    assert "the airframe meter showed 487.3 h on 11 Jun 2027 18:10 (Maren Okafor-Lind)" in said
    assert "would run backwards" in said
    assert {key: held(answer)[key] for key in given} == given
    assert total("airframe") == 487.3


@pytest.mark.parametrize(
    ("typed", "says"),
    [
        ("487.6", "487.6"),
        ("487.6 kg", "kg"),
        ("many hours", "many hours"),
        ("-3 h", "would run backwards"),
        ("", "write what at least one meter shows"),
    ],
)
def test_what_is_no_reading_is_refused_in_one_sentence(demo_day, typed, says):
    answer = client_of("sunde").post(address("meters"), {"reading.airframe": typed, "done_at": AT})
    assert says in words(answer, 400)
    assert answer.content.decode().count('role="alert"') == 1


def test_a_time_that_is_none_and_one_to_come_are_refused(demo_day):
    client = client_of("sunde")
    given = {"reading.airframe": "487.6 h"}
    assert "read at is missing" in words(client.post(address("meters"), given), 400)
    assert "is no time" in words(client.post(address("meters"), {**given, "done_at": "noon"}), 400)
    later = client.post(address("meters"), {**given, "done_at": "2027-06-12T09:00"})
    assert "set right whichever clock is wrong" in words(later, 400)
    # 14 March 2027: clocks go from 02:00 to 03:00; 7 November 2027 is still to come.
    skipped = client.post(address("meters"), {**given, "done_at": "2027-03-14T02:30"})
    assert "the clocks change at" in words(skipped, 400)


def test_a_broken_form_writes_nothing(demo_day):
    answer = client_of("sunde").post(address("meters"), {"id": "x", "reading.airframe": "488 h", "done_at": AT})
    assert "This form is broken" in words(answer, 400)


def test_a_correction_points_at_the_reading_it_corrects_and_both_stay(demo_day):
    client = client_of("sunde")
    client.post(address("meters"), {"reading.airframe": "497.6 h", "done_at": AT})
    wrong = find_records(about=DUNLIN, kinds=("meter-read",))[-1]
    form = client.get(address("meters"), {"corrects": wrong.id})
    assert (held(form)["shows"], held(form)["done_at"]) == ("497.6 h", AT)
    answer = client.post(address("meters"), {"corrects": wrong.id, "shows": "487.6 h", "done_at": AT})
    assert answer.status_code == 302
    assert total("airframe") == 487.6
    assert "Corrected since: 497.6 h" in words(client.get(answer.url))
    assert find_records(corrects=wrong.id)[0].act.shows == "487.6 h"
    again = client.post(address("meters"), {"corrects": wrong.id, "shows": "487.7 h", "done_at": AT})
    assert "has been corrected or withdrawn already" in words(again, 400)


def test_only_a_record_of_this_kind_and_aircraft_is_corrected(demo_day):
    client = client_of("arrowood")
    other = find_records(about=SANDERLING, kinds=("meter-read",))[-1]
    done = find_records(about=DUNLIN, kinds=("task-done",))[-1]
    for each in (other, done):
        assert "cannot be corrected by this form" in words(client.get(address("meters"), {"corrects": each.id}), 400)
    assert client.get(address("meters"), {"corrects": new_id()}).status_code == 404


def test_an_exchanged_meter_keeps_the_total_running(demo_day):
    client = client_of("arrowood")
    given = {"meter": "engine", "old_shows": "487.4 h", "new_shows": "0.2 h", "done_at": AT, "why": "it stuck"}
    assert client.post(address("meter-replaced"), given).status_code == 302
    given = {"reading.engine": "0.5 h", "done_at": "2027-06-12T06:08"}
    assert client.post(address("meters"), given).status_code == 302
    # 487.4 of the old one, and 0.3 since: the new one began at 0.2.
    assert total("engine") == pytest.approx(487.7)
    said = words(client.get(reverse("upkeep-aircraft", args=[DUNLIN])))
    assert "487.7 h engine It shows 0.5 h; the total runs on" in said


def test_only_a_maintainer_exchanges_a_meter(demo_day):
    given = {"meter": "engine", "old_shows": "487.4 h", "new_shows": "0 h", "done_at": AT}
    said = words(client_of("sunde").post(address("meter-replaced"), given), 403)
    assert "inspector or maintainer" in said


def test_a_new_reading_ends_a_release_that_rests_on_the_old_one(demo_day):
    flight = next(id for id, each in state.flights(clock.now()).items() if each.aircraft == DUNLIN and each.is_open)
    release = releases.release_flight(id=new_id(), flight=flight, by="sunde").record
    client = client_of("sunde")
    given = {"reading.rotor": "487.9 h", "done_at": AT}
    assert client.post(address("meters"), given).status_code == 302
    (ended,) = find_records(kinds=("release-superseded",))
    assert (ended.act.release, ended.by) == (release.id, "sunde")
    assert "changed since" in ended.act.because
    assert not releases.releases_of(state.flight(flight, clock.now()), clock.now())[0].holds


def test_an_unknown_meter_and_a_stranger_are_refused(demo_day):
    with pytest.raises(Refused, match="has no meter 'propeller'; it has: airframe, engine, rotor"):
        upkeep.read_meters(ids={"propeller": new_id()}, aircraft=DUNLIN, readings={"propeller": "1 h"}, by="sunde")
    with pytest.raises(NotAllowed):
        upkeep.read_meters(ids={"airframe": new_id()}, aircraft=DUNLIN, readings={"airframe": "488 h"}, by="nobody")
