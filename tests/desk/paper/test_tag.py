"""A tag for the aircraft: grounded until somebody entitled has decided, deferred with its end, none once closed."""

from __future__ import annotations

import re
from datetime import timedelta

import pytest
import zxingcpp
from django.urls import reverse

from gyrewright.desk import clock
from gyrewright.desk.book.kinds.upkeep import DefectAssessed, DefectClosed, DefectReported, EventReported
from gyrewright.desk.services import state
from gyrewright.desk.services.matters import matters_of
from gyrewright.desk.services.records import record_act

WORDS = "pin gone, thread clean #panic() </text> $x$"


def tag(client, route, id, paper="a5"):
    return client.get(reverse(route, args=[id]), {"paper": paper})


def report(**given):
    act = DefectReported(item="A05", symptom="nut without its pin", words=WORDS, **given)
    return record_act(act=act, by="halloran", about="N0-101D", done_at=clock.now() - timedelta(minutes=2)).record


@pytest.fixture
def client(demo_day, person_at):
    return person_at("sunde")


@pytest.mark.parametrize("paper", ["a5", "half-letter", "a4", "letter"])
def test_a_fresh_report_grounds_and_its_tag_is_one_page(client, look, paper):
    answer = tag(client, "defect-tag", report().id, paper)
    assert answer.status_code == 200
    assert look.pages(answer.content) == 1
    seen = look.words(answer.content)
    assert "GROUNDED" in seen
    assert "Dunlin N0-101D" in seen
    assert "A05: nut without its pin" in seen
    assert WORDS in seen
    assert "Nobody entitled has assessed it yet." in seen
    assert "Who can put it right Pell Arrowood" in seen
    # Nobody is blamed: whoever reported is on the page that the code leads to, not on the tag.
    assert "Halloran" not in seen
    assert all(name.startswith("SourceSansPro-") for name in look.fonts(answer.content))


def test_the_code_on_it_leads_to_the_report(client, look):
    record = report()
    pdf = tag(client, "defect-tag", record.id).content
    found = zxingcpp.read_barcodes(look.picture(pdf), formats=zxingcpp.BarcodeFormat.QRCode)
    assert len(found) == 2
    answer = client.get(re.sub("HTTP://LOCALHOST", "", found[0].text))
    assert answer.url == reverse("defect", args=[record.id])


def test_a_deferral_says_until_when_and_what_flights_keep_to(client, look):
    lamp = next(each for each in matters_of("N0-303S", clock.now()).reports if "lamp" in each.what)
    seen = look.words(tag(client, "defect-tag", lamp.id).content)
    # The demonstration's own deferral.
    assert "DEFERRED" in seen
    assert "until sunset of 12 June 2027" in seen
    assert "Placard: LANDING LAMP INOPERATIVE - DAY ONLY" in seen
    assert "By day only." in seen
    assert "GROUNDED" not in seen


def test_what_somebody_not_entitled_says_of_it_takes_no_grounding_off_the_tag(client, look):
    record = report()
    record_act(act=DefectAssessed(defect=record.id, class_="N"), by="halloran", about="N0-101D")
    assert "GROUNDED" in look.words(tag(client, "defect-tag", record.id).content)


def test_a_closed_report_has_no_tag(client):
    record = report()
    record_act(act=DefectAssessed(defect=record.id, class_="G"), by="arrowood", about="N0-101D")
    record_act(act=DefectClosed(defect=record.id, words="new pin", reference="log 7"), by="arrowood", about="N0-101D")
    answer = tag(client, "defect-tag", record.id)
    assert answer.status_code == 400
    assert "report is closed: the tag comes off" in answer.content.decode()


def test_an_event_that_locks_has_a_tag_and_one_that_is_cleared_has_none(client, look):
    record = record_act(act=EventReported(kind="bird strike", words="on the mast"), by="sunde", about="N0-202W").record
    seen = look.words(tag(client, "event-tag", record.id).content)
    assert "GROUNDED" in seen
    assert "Bird strike" in seen
    assert "Locked until the right inspection is done and signed." in seen
    cleared = next(each for each in matters_of("N0-101D", clock.now()).locks if not each.is_locked)
    answer = tag(client, "event-tag", cleared.id)
    assert answer.status_code == 400
    assert "the tag comes off" in answer.content.decode()


def test_the_pages_offer_it_while_it_is_open(client):
    record = report()
    assert reverse("defect-tag", args=[record.id]) in client.get(reverse("defect", args=[record.id])).content.decode()
    assert state.zone() is not None
