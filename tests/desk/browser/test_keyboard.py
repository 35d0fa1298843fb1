"""Everything by keyboard: order of the stops, the way past the head, where the focus is, forms by keys alone."""

from __future__ import annotations

from datetime import timedelta

import pytest

from gyrewright.desk import clock
from gyrewright.desk.book.reading import find_records
from gyrewright.desk.services import state
from gyrewright.desk.services.records import new_id, withdraw
from kit.browser import DESK, PHONE

MOST_STOPS = 250

# Everything that a keyboard has to reach, in reading order; of a group of radio buttons, one.
STOPS = """
() => {
  const all = "a[href], button, input:not([type=hidden]), select, textarea, summary, [tabindex='0']";
  const groups = new Set();
  return [...document.querySelectorAll(all)].filter((each) => {
    if (!each.checkVisibility({ visibilityProperty: true }) || each.disabled) return false;
    if (each.type !== "radio") return true;
    const group = `${each.form?.action} ${each.name}`;
    return groups.has(group) ? false : groups.add(group);
  }).map((each, at) => { each.dataset.stop = at; return each.outerHTML.slice(0, 80); });
}
"""
HERE = """
() => {
  const here = document.activeElement;
  if (!here || here === document.body) return null;
  const style = getComputedStyle(here);
  const box = here.getBoundingClientRect();
  const seen = style.outlineStyle !== "none" && parseFloat(style.outlineWidth) >= 2;
  const inside = box.bottom > 0 && box.top < innerHeight && box.right > 0 && box.left < innerWidth;
  return { stop: here.dataset.stop ?? "", seen, inside, html: here.outerHTML.slice(0, 80) };
}
"""


@pytest.fixture(scope="module")
def desk(make_desk):
    """The demonstration before anybody of the first flight has said anything of the day."""

    def take_back(folder):
        for said in find_records(kinds=("declared", "today")):
            if said.by in ("sunde", "halloran") and clock.DEMO_START - said.done_at < timedelta(hours=12):
                withdraw(id=new_id(), record=said.id, by=said.by)

    return make_desk(prepare=take_back)


@pytest.fixture(scope="module")
def first(desk, at_folder):
    """The id of the day's first flight."""
    with at_folder(desk.folder, is_demo=True, at=clock.DEMO_START):
        return next(iter(state.flights(clock.now())))


def tab_to(page, what):
    """Go on to an element by the tab key alone."""
    for _ in range(MOST_STOPS):
        page.keyboard.press("Tab")
        if what.evaluate("(each) => each === document.activeElement"):
            here = page.evaluate(HERE)
            assert here["seen"], f"nothing shows that the focus is here: {here['html']}"
            assert here["inside"], f"the focus is off the screen: {here['html']}"
            return
    raise AssertionError(f"no tab stop: {what}")


def write(page, label, text):
    tab_to(page, page.get_by_label(label, exact=True).first)
    page.keyboard.type(text)


def press(page, name):
    """Go to a button or link by its words and press it, as keys do."""
    what = page.get_by_role("button", name=name, exact=True).or_(page.get_by_role("link", name=name, exact=True))
    tab_to(page, what.first)
    page.keyboard.press("Enter")


@pytest.mark.parametrize("width", [PHONE, DESK])
def test_every_stop_is_reached_in_reading_order_and_shows_where_it_is(main_pages, visitor, width):
    desk, pages = main_pages
    seated, wrong = {}, []
    for name in ("door", "today", "flight unknown", "flight stopped", "ask for a flight", "release", "records"):
        page = pages[name]
        if page.person not in seated:
            seated[page.person] = visitor(desk, page.person, width=width)
        here = seated[page.person].go(page.path).settle().page
        here.evaluate("document.querySelectorAll('details').forEach((each) => { each.open = true })")
        assert here.locator("[tabindex]:not([tabindex='0']):not([tabindex='-1'])").count() == 0
        here.evaluate("document.activeElement.blur()")
        stops = here.evaluate(STOPS)
        met = []
        # A date and a time have several stops within.
        for _ in range(len(stops) + 12):
            here.keyboard.press("Tab")
            at = here.evaluate(HERE)
            if at is None:
                break
            met.append(at["stop"])
            if not at["seen"]:
                wrong.append(f"{name}: nothing shows that the focus is on {at['html']}")
            if not at["inside"]:
                wrong.append(f"{name}: the focus is off the screen on {at['html']}")
        missed = [stops[at] for at in range(len(stops)) if str(at) not in met]
        wrong += [f"{name}: no key reaches {each}" for each in missed]
        order = [int(each) for each in met if each]
        if order != sorted(order):
            wrong.append(f"{name}: the keys do not follow the page: {order}")
    assert wrong == []


def test_the_first_stop_leads_past_the_head(desk, visitor):
    page = visitor(desk, "sunde").page
    page.keyboard.press("Tab")
    skip = page.locator("a.skip")
    assert skip.evaluate("(each) => each === document.activeElement")
    assert skip.bounding_box()["x"] >= 0
    page.keyboard.press("Enter")
    page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement.closest('main') !== null")


def test_from_today_to_a_release_by_keys_alone(desk, first, visitor):
    page = visitor(desk, "sunde").page
    tab_to(page, page.locator(f"ul.day a[href='/flight/{first}']"))
    page.keyboard.press("Enter")
    page.wait_for_url("**/flight/*")
    if not page.get_by_label("Fuel by stick").is_visible():
        tab_to(page, page.locator("summary", has_text="Give what is known now"))
        page.keyboard.press("Enter")
    write(page, "Report or forecast, pasted whole", "METAR X0TB 121310Z 18003KT 10SM CLR 09/02 A2980")
    write(page, "Fuel by stick", "40 L")
    write(page, "Fuel by gauge", "40 L")
    page.keyboard.press("Enter")
    page.get_by_role("heading", name="Before it is released").wait_for()
    write(page, "Hours slept", "7.5 h")
    press(page, "I sign all of this")
    page.get_by_text("Tobiah Sunde has declared what this answer rests on").wait_for()
    # One line at a time, the student's: by arrows and space, as radio buttons go.
    tab_to(page, page.locator("summary", has_text="Not all of it"))
    page.keyboard.press("Enter")
    form = page.locator("details form.sign")
    for group in form.locator("fieldset").all():
        tab_to(page, group.locator("input").first)
        page.keyboard.press("Space")
    press(page, "Wren Halloran signs these answers")
    page.get_by_text("Wren Halloran has declared what this answer rests on").wait_for()
    press(page, "I release this flight")
    page.wait_for_url("**/release/*")
    assert page.get_by_text("House evidence").is_visible()
