"""What phones hand over: each act once, late, twice, out of order, by wrong clocks; one reply to each."""

from __future__ import annotations

import io
import json
from datetime import timedelta

import pytest
from django.test import Client
from django.urls import reverse
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from PIL import Image

from gyrewright.desk import clock
from gyrewright.desk.book.models import Record
from gyrewright.desk.book.reading import find_records
from gyrewright.desk.book.verify import verify
from gyrewright.desk.fold.walks import phone_walks
from gyrewright.desk.refusal import Refused
from gyrewright.desk.services import state
from gyrewright.desk.services.handover import hand_over
from gyrewright.desk.services.phones import open_walk, out_with
from kit.phone import Phone, Walker, new_id

AIRCRAFT = "N0-101D"


def walker(person="sunde", ahead=timedelta(0), event="each flight", minutes=40, phone=None, **more):
    """Return somebody who has just begun to walk the aircraft."""
    now = clock.now()
    equipment = state.machine(AIRCRAFT, now).aircraft.definition.equipment
    made = Walker(phone or Phone(person, ahead), AIRCRAFT, now - timedelta(minutes=minutes), event)
    return made.begin(equipment, **more)


def handed(phone, *acts, by="", **more):
    return hand_over(phone.sent(clock.now(), *acts, **more), by=by or phone.person)


def outcomes(reply):
    return [each["outcome"] for each in reply["results"]]


def walk_of(id):
    """Return a walk as the core reads it."""
    return next(each for each in state.machine(AIRCRAFT, clock.now()).aircraft.walks.walks if each.id == id)


def parts():
    return find_records(kinds=("walk-part",))


def test_a_walk_handed_over_is_a_walk_that_the_release_counts(house):
    one = walker()
    one.answer_all()
    one.sign()
    reply = handed(one.phone)
    assert {each["id"] for each in reply["results"]} == {each["id"] for each in one.phone.acts}
    assert set(outcomes(reply)) == {"kept"}
    walk = walk_of(one.walk)
    assert (walk.kind, walk.by, walk.complete, walk.doubt, walk.answers) == ("each flight", ("sunde",), True, "", ())
    assert {item for item, _ in walk.restored} == {item.id for item in one.asked if item.of}
    assert verify(house).is_whole


def test_a_walk_half_handed_over_is_begun_and_not_finished(house):
    one = walker()
    one.answer("Z01")
    handed(one.phone)
    walk = walk_of(one.walk)
    assert (walk.by, walk.complete, walk.ended_at) == (("sunde",), False, None)


@pytest.mark.parametrize("times", [2, 5])
def test_the_same_acts_again_are_one_and_every_reply_names_them(house, times):
    one = walker()
    one.answer_all()
    for time in range(times):
        reply = handed(one.phone)
        assert len(reply["results"]) == len(one.phone.acts)
        assert set(outcomes(reply)) == {"kept" if time == 0 else "again"}
    assert len(parts()) == 1


def test_the_same_acts_count_once_through_another_log_in_and_another_clock(house):
    one = walker()
    one.answer("Z01")
    handed(one.phone)
    one.phone.ahead = timedelta(hours=7)
    assert set(outcomes(handed(one.phone, by="okafor-lind"))) == {"again"}
    assert len(parts()) == 1


def test_the_same_id_with_other_content_is_a_clash_that_is_kept_and_leaves_the_walk_in_question(house):
    one = walker()
    one.answer_all()
    one.sign()
    handed(one.phone)
    act = next(each for each in one.phone.acts if each["body"].get("item") == "K08")
    other = {**act, "body": {**act["body"], "answer": "not", "words": "pin gone"}}
    for _ in range(2):
        reply = handed(one.phone, other)
        assert outcomes(reply) == ["clash"]
        assert "a person says which" in reply["results"][0]["says"]
    assert len(find_records(kinds=("clash",))) == 1
    walk = walk_of(one.walk)
    assert walk.doubt == "in_question"
    assert [(each.item, each.answer, each.words) for each in walk.answers] == [("K08", "not", "pin gone")]


def test_acts_out_of_order_make_the_same_walk(house):
    one = walker()
    one.answer_all(K08="not")
    one.sign()
    for act in reversed(one.phone.acts):
        assert outcomes(handed(one.phone, act)) == ["kept"]
    walk = walk_of(one.walk)
    assert walk.complete
    assert [each.item for each in walk.answers] == ["K08"]


@pytest.mark.parametrize("ahead", [timedelta(hours=-9), timedelta(hours=5), timedelta(days=400)])
def test_a_phone_with_a_wrong_clock_keeps_its_own_time_and_the_desk_counts_by_its_own(house, ahead):
    one = walker(ahead=ahead)
    began = one.phone.acts[0]
    one.answer_all()
    one.sign()
    handed(one.phone)
    walk = walk_of(one.walk)
    assert abs(walk.began_at - (clock.now() - timedelta(minutes=40))) < timedelta(seconds=5)
    begun = parts()[0].act.begun[0]
    assert begun.at.isoformat(timespec="milliseconds") == began["at"]
    assert abs(parts()[0].act.skew_s - ahead.total_seconds()) <= 2
    assert parts()[0].done_at <= parts()[0].entered_at


def test_an_act_that_claims_the_future_was_done_at_the_latest_when_it_came_in(house):
    one = walker()
    act = one.answer("Z01")
    act["at"] = (clock.now() + timedelta(hours=3)).isoformat()
    handed(one.phone)
    assert parts()[0].done_at <= parts()[0].entered_at


def test_two_phones_on_one_item_are_two_answers_and_the_worse_counts_until_it_is_settled(house):
    one = walker()
    one.answer_all()
    other = Walker(Phone("okafor-lind"), AIRCRAFT, one.at, "each flight", one.walk)
    other.begin(state.machine(AIRCRAFT, clock.now()).aircraft.definition.equipment)
    other.answer("L01", "could not look", words="too dark")
    one.sign()
    handed(other.phone)
    handed(one.phone)
    walk = walk_of(one.walk)
    assert walk.doubt == "in_question"
    assert [(each.item, each.answer) for each in walk.answers] == [("L01", "could not look")]
    found = phone_walks(find_records(about=AIRCRAFT))[one.walk]
    assert [each.act.answer for each in found.live["L01"]] == ["as it should be", "could not look"]


def test_an_answer_changed_on_the_same_phone_takes_the_place_of_the_first(house):
    one = walker()
    slip = one.answer("Z01", "not")
    one.answer("Z01", corrects=slip["id"])
    handed(one.phone)
    assert walk_of(one.walk).answers == ()
    changed = phone_walks(find_records(about=AIRCRAFT))[one.walk].changed
    assert [(before.act.answer, after.act.answer) for before, after in changed] == [("not", "as it should be")]


def test_a_restart_makes_answers_history_and_what_was_found_stays_found(house):
    one = walker()
    one.answer_all(K08="not")
    again = [item.id for item in one.asked if item.zone == "K"]
    one.interrupted("away", restarted="zone", minutes=4, zone="K", stand="Bearing and teeter", again=again)
    one.sign()
    handed(one.phone)
    walk = walk_of(one.walk)
    assert not walk.complete
    for item in again:
        one.answer(item)
    one.sign()
    handed(one.phone)
    walk = walk_of(one.walk)
    assert walk.complete
    assert [(each.item, each.answer) for each in walk.answers] == [("K08", "not")]
    assert [(each.on, each.restarted, each.zone) for each in walk.interruptions] == [("away", "zone", "K")]
    assert walk.lasted < walk.ended_at - walk.began_at


def test_a_signature_from_before_a_restart_no_longer_counts(house):
    one = walker()
    one.answer_all()
    one.sign()
    one.interrupted("refueled", restarted="nothing", again=["R08"])
    handed(one.phone)
    assert not walk_of(one.walk).complete
    one.answer("R08")
    one.sign()
    handed(one.phone)
    assert walk_of(one.walk).complete


def test_whoever_touches_the_aircraft_during_a_walk_ends_the_walks_before_it(house):
    one = walker()
    one.interrupted("touched by another", restarted="walk")
    handed(one.phone)
    handed(one.phone)
    touched = [each for each in find_records(kinds=("touched",)) if each.act.what == "touched by another"]
    assert len(touched) == 1


def test_stick_and_gauge_of_a_walk_are_what_the_release_goes_by(house):
    one = walker()
    one.answer("A13", readings={"volts": "12.6 V", "gauge": "38 L"})
    one.answer("C06", readings={"stick": "41 L"})
    for _ in range(2):
        handed(one.phone)
    measured = [each for each in find_records(kinds=("fuel-measured",)) if each.by == "sunde"]
    assert {(each.act.by_what, each.act.aboard) for each in measured} == {("gauge", "38 L"), ("stick", "41 L")}
    assert len(measured) == 2


# --- bad input ---


@pytest.mark.parametrize(
    ("item", "more", "says"),
    [
        ("Q99", {}, "'Q99' is no item of the list that this walk was begun with"),
        ("D04", {"readings": {"pressure": "250 bar"}}, "250 bar is outside what is believed"),
        ("D04", {"readings": {"pressure": "plenty"}}, "'plenty' is not a pressure"),
        ("D04", {"readings": {"heat": "3 bar"}}, "has no reading 'heat'"),
    ],
)
def test_what_is_odd_about_an_answer_is_said_once_and_kept_as_it_came(house, item, more, says):
    one = walker(event="first of the day")
    one.answer(item, **more)
    reply = handed(one.phone)
    assert outcomes(reply) == ["kept", "kept"]
    assert says in reply["results"][-1]["says"]
    answer = parts()[0].act.answers[0]
    assert (answer.item, answer.readings) == (item, more.get("readings", {}))


def test_what_was_found_at_an_item_that_no_list_has_is_taken_as_grounding(house):
    one = walker()
    one.answer("Q99", "not", words="hangs loose")
    handed(one.phone)
    assert [(each.item, each.class_) for each in walk_of(one.walk).answers] == [("Q99", "")]


@pytest.mark.parametrize(
    ("change", "says"),
    [
        ({"about": "N0-999X"}, "knows no aircraft 'N0-999X'"),
        ({"kind": "flight-released"}, "is nothing that a phone hands over"),
        ({"body": {"item": "Z01", "answer": "fine"}}, "'fine' is not one of: as it should be, not, could not look"),
        ({"body": {"item": "Z01", "answer": "not", "by": "ivo"}}, "is an unknown key"),
        ({"body": {"item": "Z01", "answer": "not", "sent": ""}}, "is not for the phone to say"),
        ({"at": "yesterday"}, "is no moment"),
        ({"n": -1}, "is no count"),
    ],
)
def test_what_the_desk_does_not_understand_is_kept_as_it_came_with_the_reason(house, change, says):
    one = walker()
    act = {**one.answer("Z01"), **change}
    for _ in range(2):
        reply = handed(one.phone, act)
        assert outcomes(reply) == ["not understood"]
        assert says in reply["results"][0]["says"]
    (kept,) = find_records(kinds=("not-understood",))
    assert json.loads(kept.act.sent)["id"] == act["id"]
    assert says in kept.act.why


@pytest.mark.parametrize(
    "content",
    [b"", b"[]", b'{"form": 2}', b"\xff", b'{"form": 1, "device": "phone"}', b"[" * 5000],
    ids=["nothing", "a list", "another form", "no text", "no id", "deep"],
)
def test_what_is_no_hand_over_at_all_is_refused_in_one_sentence(house, content):
    before = Record.objects.count()
    with pytest.raises(Refused, match="this is no phone's hand-over"):
        hand_over(content, by="sunde")
    assert Record.objects.count() == before


def picture(size=(80, 60)):
    out = io.BytesIO()
    Image.new("RGB", size, (200, 30, 30)).save(out, "JPEG")
    return out.getvalue()


def test_a_photo_comes_with_its_answer_once_and_a_spoiled_one_leaves_the_answer(house):
    from gyrewright.desk.book.models import Photo

    one = walker()
    one.answer("G01", "not", words="mark on the keel", photos=[picture()])
    spoiled = one.answer("G03", "not", photos=[b"no picture"])
    for _ in range(2):
        reply = handed(one.phone)
    says = {each["id"]: each["says"] for each in reply["results"]}
    assert "kept without a photo" in says[spoiled["id"]]
    assert Photo.objects.count() == 1
    first, second = parts()[0].act.answers
    assert (len(first.photos), second.photos) == (1, ())
    assert verify(house).is_whole


# --- phones ---


def out():
    return [(each.out.id, each.out.holder) for each in out_with(AIRCRAFT, clock.now())]


def test_a_phone_is_out_with_the_aircraft_until_it_holds_nothing_of_it(house):
    one = walker()
    phone = one.phone.device
    open_walk(phone=phone, aircraft=AIRCRAFT, by="sunde")
    handed(one.phone, one.phone.acts[0], open_walks=[(AIRCRAFT, one.walk)])
    assert out() == [(phone, "sunde")]
    handed(one.phone, waiting=3)
    assert out() == [(phone, "sunde")]
    handed(one.phone)
    assert out() == []


def test_a_walk_begun_out_of_reach_takes_the_phone_out_when_it_is_heard_of(house):
    one = walker()
    handed(one.phone, open_walks=[(AIRCRAFT, one.walk)])
    assert out() == [(one.phone.device, "sunde")]


def test_a_phone_that_lost_its_cookie_is_still_one_phone(house):
    one, lost = walker(), new_id()
    open_walk(phone=lost, aircraft=AIRCRAFT, by="sunde")
    handed(one.phone, earlier=lost)
    assert out() == []


def test_a_saved_file_reports_no_phone(house):
    one = walker()
    open_walk(phone=one.phone.device, aircraft=AIRCRAFT, by="sunde")
    hand_over(one.phone.sent(clock.now()), by="okafor-lind", is_live=False)
    assert len(out()) == 1


# --- any order of handing over ---


@settings(max_examples=12, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(data=st.data())
def test_any_order_of_handing_over_by_two_phones_makes_the_same_walk(house, data):
    from django.db import connection, transaction

    one = walker(event="turnaround")
    other = Walker(Phone("okafor-lind"), AIRCRAFT, one.at, "turnaround", one.walk, asked=one.asked)
    other.begin(state.machine(AIRCRAFT, clock.now()).aircraft.definition.equipment)
    words = st.sampled_from(["as it should be", "as it should be", "as it should be", "not", "could not look"])
    for item in one.asked[:8]:
        one.answer(item.id, data.draw(words))
    one.interrupted("spoken to", restarted="stand", stand=one.asked[0].stand, again=[one.asked[0].id])
    for item in (*one.asked[4:10], one.asked[0]):
        other.answer(item.id, data.draw(words))
    one.sign()
    acts = [(one.phone, act) for act in one.phone.acts] + [(other.phone, act) for act in other.phone.acts]
    found = []
    for order in (acts, data.draw(st.permutations(acts))):
        with transaction.atomic():
            for phone, act in order:
                hand_over(phone.sent(clock.now(), act), by=phone.person)
            walk = phone_walks(find_records(about=AIRCRAFT))[one.walk]
            live = {
                item: sorted((each.act.id, each.act.answer) for each in several) for item, several in walk.live.items()
            }
            found.append((live, sorted(walk.double), walk.asked, walk.signers, walk.is_answered))
            transaction.set_rollback(True)
    assert found[0] == found[1]
    connection.close()


# --- through the door ---


def test_whoever_is_not_logged_in_is_told_so_as_json_and_nothing_is_taken(house):
    one = walker()
    client = Client(SERVER_NAME="localhost")
    for answer in (
        client.get(reverse("walk-token")),
        client.post(reverse("walk-hand-over"), one.phone.sent(clock.now()), content_type="application/json"),
    ):
        assert answer.status_code == 401
        assert "nothing kept on it is lost" in answer.json()["error"]
    assert parts() == []
