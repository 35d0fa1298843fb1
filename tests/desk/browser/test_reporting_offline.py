"""A report from beside the aircraft with no network: touches counted, kept through a reload, grounding once in."""

from __future__ import annotations

import pytest
from PIL import Image

from gyrewright.desk.book.reading import find_records
from kit.browser import PHONE
from kit.walking import Walking

MEANT = r"ERR_|Failed to fetch|401|Failed to load resource"


@pytest.fixture(scope="module")
def desk(make_desk):
    return make_desk()


@pytest.fixture
def phone(visitor, desk):
    one = visitor(desk, "sunde", width=PHONE)
    one.allow(MEANT)
    return Walking(one).open()


@pytest.fixture(scope="module")
def picture(tmp_path_factory):
    path = tmp_path_factory.mktemp("photo") / "tire.jpg"
    Image.new("RGB", (1200, 900), (90, 110, 70)).save(path)
    return path


def photo(one, path):
    one.page.set_input_files("#camera", path)
    one.visitor.touches += 1
    one.page.wait_for_selector("text=1 to keep")


def waiting_kinds(one):
    return [each["kind"] for each in one.acts() if each["waiting"]]


def reports(at_folder, desk, kind):
    with at_folder(desk.folder, is_demo=True):
        return find_records(kinds=(kind,), about="N0-101D", by="sunde")


def test_what_is_not_right_at_an_item_is_reported_with_a_photo_in_six_touches(phone, at_folder, desk, picture):
    phone.page.context.set_offline(True)
    phone.begin()
    item = phone.item
    phone.visitor.touches = 0
    phone.touch(".answers .not")
    phone.page.wait_for_selector("text=What do you see?")
    phone.button("Report it to whoever puts it right")
    phone.button("worn")
    photo(phone, picture)
    phone.button("Report it")
    phone.page.wait_for_selector("text=Report kept")
    assert phone.visitor.touches <= 6
    phone.page.reload()
    phone.page.wait_for_selector(".marks")
    assert "defect-reported" in waiting_kinds(phone)
    assert reports(at_folder, desk, "defect-reported") == []
    phone.page.context.set_offline(False)
    phone.wait_handed_over()
    (record,) = reports(at_folder, desk, "defect-reported")
    assert (record.act.list_item, record.act.symptom, len(record.act.photos)) == (item, "worn", 1)
    assert record.act.walk == phone.page.evaluate("walk.walk")
    other = phone.visitor.go("/today/")
    assert "STOP" in other.words


def test_something_else_is_reported_before_any_walk_is_begun(phone, at_folder, desk):
    phone.page.evaluate("inStore('readwrite', async ({acts}) => void acts.clear())")
    phone.page.reload()
    phone.page.wait_for_selector("h1")
    phone.page.context.set_offline(True)
    phone.visitor.touches = 0
    phone.button("Something else is wrong")
    phone.page.wait_for_selector("text=Where, and what is wrong?")
    phone.button("Report it")
    assert phone.trouble == "Touch where it is."
    phone.visitor.touches = 1
    phone.button("Mast and rotor head")
    phone.button("loose")
    phone.button("Report it")
    phone.page.wait_for_selector("text=Report kept")
    assert phone.visitor.touches <= 5
    phone.page.context.set_offline(False)
    phone.wait_handed_over()
    assert ("Mast and rotor head", "loose") in [
        (each.act.item, each.act.symptom) for each in reports(at_folder, desk, "defect-reported")
    ]


def test_what_happened_is_reported_too_and_every_choice_is_as_large_as_a_glove(phone, at_folder, desk):
    phone.page.context.set_offline(True)
    phone.button("Something else is wrong")
    phone.button("Something happened to it instead")
    phone.page.wait_for_selector("text=What happened to N0-101D?")
    for each in phone.page.locator("button.word").all():
        box = each.bounding_box()
        assert box["height"] >= 64
    assert phone.page.evaluate("document.documentElement.scrollWidth") <= PHONE
    phone.button("A bird, anywhere on the aircraft?")
    phone.button("Report it")
    phone.page.wait_for_selector("text=Report kept")
    phone.page.context.set_offline(False)
    phone.wait_handed_over()
    assert [each.act.kind for each in reports(at_folder, desk, "event-reported")] == ["bird strike"]
