"""Reports that phones hand over: they ground once they are here, once each, whatever came first or is lacking."""

from __future__ import annotations

import io
import itertools
from datetime import timedelta

import pytest
from django.urls import reverse
from PIL import Image

from gyrewright.desk import clock
from gyrewright.desk.book.reading import find_records, record_with_id
from gyrewright.desk.services import state
from gyrewright.desk.services.answers import answered
from gyrewright.desk.services.handover import hand_over
from gyrewright.desk.services.matters import matters_of
from gyrewright.finding import Verdict
from kit.desk import client_of, words
from kit.phone import Phone
from kit.reports import CRAFT, flight_findings, kinds

BODY = {"item": "Nose tire", "zone": "B", "symptom": "worn", "words": "cords show", "list_item": "B04"}


def jpeg():
    file = io.BytesIO()
    Image.new("RGB", (300, 200), "gray").save(file, "JPEG")
    return file.getvalue()


def reported(phone, *, minutes=5, **body):
    return phone.act("defect-reported", clock.now() - timedelta(minutes=minutes), about=CRAFT, **BODY | body)


def send(phone, *acts, by="halloran"):
    reply = hand_over(phone.sent(clock.now(), *acts), by=by)
    return [each["outcome"] for each in reply["results"]]


def open_ones():
    return [(each.record.act.item, each.state) for each in matters_of(CRAFT, state.asking_at()).open]


def test_it_works(demo_day):
    phone = Phone("halloran")
    act = reported(phone, photos=(jpeg(),))
    assert send(phone) == ["kept"]
    record = record_with_id(act["id"])
    assert (record.by, record.act.item, record.act.list_item, len(record.act.photos)) == (
        "halloran",
        "Nose tire",
        "B04",
        1,
    )
    assert record.done_at < record.entered_at
    assert flight_findings("maintenance.defect")[0].verdict is Verdict.STOP
    page = words(client_of("sunde").get(reverse("defect", args=[act["id"]])))
    assert "“cords show”" in page


def test_sent_again_it_is_one_report_and_sent_with_other_words_both_stand_open(demo_day):
    phone = Phone("halloran", ahead=timedelta(hours=2))
    act = reported(phone)
    assert send(phone) == ["kept"]
    assert send(phone) == ["again"]
    other = {**act, "body": {**act["body"], "words": "cord showing on both sides"}}
    assert send(phone, other) == ["clash"]
    later = Phone("halloran", ahead=timedelta(minutes=-7), device=phone.device)
    assert send(later, {**other, "n": 2}, other) in (["clash", "clash"], ["clash"])
    assert open_ones() == [("Nose tire", "in question")] * len(open_ones())
    assert len(open_ones()) >= 2
    assert flight_findings("maintenance.defect")[0].verdict is Verdict.STOP


@pytest.mark.parametrize(
    ("body", "item"),
    [
        ({"item": "", "zone": "B"}, "Nose"),
        ({"item": " ", "zone": "", "symptom": "leaks"}, "place not said"),
        ({"item": "Wing", "zone": "Q"}, "Wing"),
    ],
)
def test_a_report_that_says_too_little_grounds_all_the_same(demo_day, body, item):
    phone = Phone("halloran")
    reported(phone, **body)
    assert send(phone) == ["kept"]
    assert open_ones() == [(item, "open")]


def test_an_event_from_a_phone_locks_even_of_a_kind_that_nobody_knows(demo_day):
    phone = Phone("sunde")
    for kind in ("hard landing", ""):
        act = phone.act("event-reported", clock.now() - timedelta(minutes=3), about=CRAFT, words="bounced")
        act["body"]["kind"] = kind
    assert send(phone, by="sunde") == ["kept", "kept"]
    assert {each.verdict for each in flight_findings("maintenance.event")} == {Verdict.STOP}
    assert [each.kind for each in matters_of(CRAFT, state.asking_at()).locked] == ["hard landing", "not said"]


def test_what_cannot_be_read_is_kept_and_asked_about(demo_day):
    phone = Phone("halloran")
    act = reported(phone)
    act["body"]["item"] = ["not", "a", "text"]
    assert send(phone) == ["not understood"]
    assert kinds("not-understood") == ["not-understood"]


def test_any_order_of_handing_over_by_two_phones_gives_the_same_answer(demo_day):
    one, two = Phone("halloran"), Phone("sunde", ahead=timedelta(hours=-3))
    acts = [
        (one, reported(one, minutes=9, words="first"), "halloran"),
        (two, reported(two, minutes=6, words="second", item="Mast joint", zone="K"), "sunde"),
        (one, reported(one, minutes=3, words="third", item="Hub bar", zone="L"), "halloran"),
    ]
    for phone, act, by in reversed(acts):
        send(phone, act, by=by)
    first = sorted(open_ones()), flight_findings("maintenance.defect")[0].verdict
    at = state.asking_at()
    mine = [each for each in state.flights(at).values() if each.aircraft == CRAFT and each.is_open]
    verdicts = {answered(each, at).verdict for each in mine}
    for order in itertools.permutations(acts):
        for phone, act, by in order:
            assert send(phone, act, by=by) == ["again"]
    assert (sorted(open_ones()), flight_findings("maintenance.defect")[0].verdict) == first
    assert verdicts == {Verdict.STOP}
    assert len(find_records(kinds=("clash",))) == 0
