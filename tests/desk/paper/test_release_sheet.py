"""A release printed: one page to carry, the reasons on its back, masses for those who may see them, again the same."""

from __future__ import annotations

import io
import re

import pytest
import zxingcpp
from django.urls import reverse
from pypdf import PdfReader

from gyrewright.desk.book.chain import head_code
from gyrewright.desk.fold.frozen import answer_of
from gyrewright.desk.paper.rulers import finding_of
from gyrewright.desk.services import state
from gyrewright.desk.services.answers import answered
from gyrewright.pictures.ruler import value_words
from gyrewright.pictures.speech import PLAIN


def sheet(client, record, paper="a4"):
    answer = client.get(reverse("release-sheet", args=[record.id]), {"paper": paper})
    assert answer.status_code == 200, answer.content[:300]
    assert answer["Content-Type"] == "application/pdf"
    return answer.content


def test_it_works(released, person_at, look):
    pdf = sheet(person_at("sunde"), released)
    first = look.words(pdf, 0)
    assert "May Tobiah Sunde with Wren Halloran fly crosswind" in first
    assert "NOTHING FOUND" in first
    assert "No reason found against" in first
    assert re.search(r"Holds until 12 Jun 2027 07:1\d PDT \(14:1\d UTC\)", first)
    assert "Runway 25" in first
    assert "most wind, gusts counted" in first
    assert "least fuel at the start" in first
    assert "latest start" in first
    assert "Runway 16, Runway 34: nothing passes" in first
    assert f"Code {head_code(released.hash)}" in first
    assert f"Head of the book {released.seq} ·" in first
    assert "Not looked at:" in first
    assert not re.search(r"\bGO\b", look.words(pdf))


def test_what_is_carried_fits_on_one_page_and_a_small_sheet_is_one(released, person_at, look):
    client = person_at("sunde")
    for paper in ("a4", "letter"):
        pdf = sheet(client, released, paper)
        assert look.pages(pdf) == 2
        assert "Read: Wren Halloran" in look.words(pdf, 0)
        assert look.words(pdf, 1).count("What holds, the nearest limit first") == 1
    for paper in ("a5", "half-letter"):
        assert look.pages(sheet(client, released, paper)) == 1


def test_the_same_record_prints_the_same_bytes_and_carries_its_own_moment(released, person_at):
    client = person_at("sunde")
    pdf = sheet(client, released)
    assert pdf == sheet(client, released)
    made = PdfReader(io.BytesIO(pdf)).metadata.creation_date
    assert abs((made - released.done_at).total_seconds()) < 1.0


def test_masses_are_printed_for_those_aboard_and_whoever_released_alone(released, person_at, look):
    assert "476.8 kg" in look.words(sheet(person_at("halloran"), released))
    others = look.words(sheet(person_at("arrowood"), released))
    assert "476.8" not in others
    assert "448 kg" not in others
    assert "least fuel" not in others
    assert "figures are seen by those aboard and the releasing person" in others


def test_who_reaches_no_release_prints_none(released, person_at):
    assert person_at("castellane").get(reverse("release-sheet", args=[released.id])).status_code == 404


def test_an_unknown_paper_is_one_sentence(released, person_at):
    answer = person_at("sunde").get(reverse("release-sheet", args=[released.id]), {"paper": "a0"})
    assert answer.status_code == 400
    assert "is no paper; choose one of" in answer.content.decode()


def test_both_codes_lead_to_the_release(released, person_at, look):
    client = person_at("sunde")
    found = zxingcpp.read_barcodes(look.picture(sheet(client, released)), formats=zxingcpp.BarcodeFormat.QRCode)
    assert len(found) == 2
    for each in found:
        assert each.text == f"HTTP://LOCALHOST/S/{released.hash[:20].upper()}"
        assert str(each.ec_level) == "H"
        answer = client.get(each.text.removeprefix("HTTP://LOCALHOST"))
        assert (answer.status_code, answer.url) == (302, reverse("release", args=[released.id]))


def test_the_printed_code_typed_finds_the_release_and_a_wrong_one_says_so(released, person_at):
    client = person_at("sunde")
    answer = client.get(reverse("release-find"), {"code": head_code(released.hash)})
    assert answer.url == reverse("release", args=[released.id])
    assert "compare it with the sheet" in client.get(reverse("release-find"), {"code": "0" * 20}).content.decode()
    assert "at least the first eight" in client.get(reverse("release-find"), {"code": "12"}).content.decode()


def test_a_release_that_no_longer_holds_says_so_on_paper(released, person_at, look):
    from gyrewright.desk.services.flights import drop_flight
    from gyrewright.desk.services.records import new_id

    drop_flight(id=new_id(), flight=released.act.flight, by="sunde")
    assert "This release no longer holds: the flight was dropped." in look.words(sheet(person_at("sunde"), released))


def test_what_is_drawn_from_the_frozen_answer_is_what_the_live_one_draws(released):
    """Every number of every ruler, read back from the kept JSON, prints as it did on the screen."""
    live = answered(state.flight(released.act.flight, released.done_at), released.done_at).answer
    kept = {(each["id"], each["about"]): each for each in answer_of(released, whole=True)["findings"]}
    compared = 0
    for finding in live.findings:
        one = kept.get((finding.id, finding.about))
        if one is None or not finding.layers or finding.value is None or not one["dimension"]:
            continue
        back = finding_of(one)
        main, again = (next((layer for layer in each.layers if layer.binds), None) for each in (finding, back))
        assert value_words(back, again, one["unit"], PLAIN) == value_words(finding, main, one["unit"], PLAIN)
        assert [layer.passes for layer in back.layers] == [layer.passes for layer in finding.layers]
        compared += 1
    assert compared > 15


@pytest.mark.parametrize("paper", ["a4", "a5"])
def test_only_the_packaged_typeface_is_in_it(released, person_at, look, paper):
    names = look.fonts(sheet(person_at("sunde"), released, paper))
    assert names
    assert all(name.startswith("SourceSansPro-") for name in names)
