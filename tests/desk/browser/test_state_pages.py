"""Aircraft, Upkeep and People in a real browser: whole, readable, accessible, at a phone's width and a desk's."""

from __future__ import annotations

import pytest

from gyrewright.desk import clock
from gyrewright.desk.services import definitions, state
from gyrewright.desk.services.demo import demo_text
from gyrewright.desk.services.records import new_id
from kit.browser import DESK, HIGH, PHONE
from kit.looking import low_contrast, violations

PAGES = {
    "aircraft": "/aircraft/",
    "one aircraft": "/aircraft/N0-101D",
    "values of a page": "/aircraft/N0-101D/verify?page=2-6",
    "a revision": "/aircraft/N0-202W/revision",
    "upkeep": "/upkeep/",
    "upkeep of one": "/upkeep/N0-303S",
    "a task done": "/upkeep/N0-202W/done?task=100h",
    "people": "/people/",
    "a person": "/people/halloran",
    "an endorsement": "/people/halloran/endorsement",
}


@pytest.fixture(scope="module")
def desk(make_desk):
    """The demonstration with a new revision of the Dunlin's manual, which opens every value and asks to be read."""

    def prepare(_):
        text = demo_text("aircraft/dunlin.toml").replace('revision = "4"', 'revision = "5"')
        text = text.replace('at_most = "35 kt"', 'at_most = "30 kt"')
        definitions.adopt(id=new_id(), aircraft="N0-101D", text=text, why="less wind", by="okafor-lind")

    return make_desk(prepare=prepare)


def test_every_page_is_accessible_readable_and_whole(desk, visitor):
    seated = visitor(desk, "okafor-lind")
    wrong = []
    for name, path in PAGES.items():
        here = seated.go(path).settle().page
        here.evaluate("document.querySelectorAll('details').forEach((each) => { each.open = true })")
        for width in (DESK, PHONE):
            here.set_viewport_size({"width": width, "height": HIGH[width]})
            found = violations(here, colors=False)
            if width == PHONE:
                found += [f"contrast {each}" for each in low_contrast(here)]
            if here.evaluate("document.documentElement.scrollWidth") > width:
                found.append("is wider than the screen")
            wrong += [f"{name} at {width}: {each}" for each in found]
        if here.locator("h1").count() != 1:
            wrong.append(f"{name}: has {here.locator('h1').count()} headings of the first level")
    assert wrong == []


def test_a_meter_is_read_on_a_phone_and_a_slip_loses_nothing(desk, visitor, at_folder):
    seated = visitor(desk, "sunde", width=PHONE)
    seated.allow("status of 400")
    seated.go("/upkeep/N0-101D")
    seated.touch("Read the meters")
    seated.fill("Airframe meter shows", "478.9 h")
    seated.fill("Paper log and page", "log 3, page 41")
    seated.touch("This is what they show")
    assert "would run backwards" in seated.words
    assert seated.page.get_by_label("Paper log and page").input_value() == "log 3, page 41"
    seated.fill("Airframe meter shows", "487.9 h")
    seated.touch("This is what they show")
    assert "487.9 h airframe" in seated.words
    # From the page of the aircraft: one touch to the form, one field and one touch to enter it.
    assert seated.touches == 6
    with at_folder(desk.folder, is_demo=True, at=clock.DEMO_START):
        meters = state.machine("N0-101D", state.asking_at()).aircraft.records.history.meters
        assert meters["airframe"].latest.total == 487.9


def test_by_keyboard_alone_a_value_is_checked(desk, visitor):
    seated = visitor(desk, "arrowood")
    seated.go("/aircraft/N0-101D/verify?page=2-6")
    page = seated.page
    field = page.get_by_label("Wind, at most (gusts counted)", exact=True)
    for _ in range(40):
        page.keyboard.press("Tab")
        if field.evaluate("(each) => each === document.activeElement"):
            break
    page.keyboard.type("30 kt")
    page.keyboard.press("Enter")
    page.wait_for_url("**/verify")
    assert "89 values to be checked" in seated.words
