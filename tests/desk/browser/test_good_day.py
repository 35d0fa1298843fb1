"""The ordinary good day at the browser: touches counted, what-if in place and in time, every reason within reach."""

from __future__ import annotations

import re
from datetime import timedelta

import pytest

from gyrewright.desk import clock
from gyrewright.desk.book.reading import find_records
from gyrewright.desk.services import state
from gyrewright.desk.services.records import new_id, withdraw
from kit.browser import DESK, HIGH, PHONE

PAIR = ("sunde", "halloran")
MOST_TOUCHES = 12
REPORT = "METAR X0TB 121310Z 18003KT 10SM CLR 09/02 A2980"
WHAT_IF_MS = 300


def flights():
    """Return the ids of the day's flights by their local start."""
    found = state.flights(clock.now()).items()
    return {asked.act.depart_at.astimezone(state.zone()).strftime("%H:%M"): id for id, asked in found}


@pytest.fixture(scope="module")
def desk(make_desk):
    """The demonstration before anybody of the first flight has said anything of the day."""

    def take_back(folder):
        for said in find_records(kinds=("declared", "today")):
            if said.by in PAIR and clock.DEMO_START - said.done_at < timedelta(hours=12):
                withdraw(id=new_id(), record=said.id, by=said.by)

    return make_desk(prepare=take_back)


@pytest.fixture(scope="module")
def ids(desk, at_folder):
    with at_folder(desk.folder, is_demo=True, at=clock.DEMO_START):
        return flights()


@pytest.mark.parametrize("width", [PHONE, DESK])
def test_what_if_is_answered_in_place_and_in_time(desk, ids, visitor, width):
    sunde = visitor(desk, "sunde", width=width)
    sunde.go(f"/flight/{ids['06:30']}")
    took = []
    for fuel in ("50 L", "60 L", "35 L"):
        sunde.fill("Fuel", fuel)
        sunde.touch("Ask again")
        assert "This is not the flight as asked for" in sunde.words
        assert f"fuel {fuel}" in sunde.words
        took.append(sunde.page.evaluate("performance.getEntriesByType('navigation')[0].domContentLoadedEventEnd"))
    # Seen from the touch on; the number itself is `make bench`'s, here with room for a busy machine.
    assert sorted(took)[1] < 5 * WHAT_IF_MS


@pytest.mark.parametrize("width", [PHONE, DESK])
def test_every_reason_is_within_reach_with_its_source_and_working(desk, ids, visitor, width):
    sunde = visitor(desk, "sunde", width=width)
    sunde.go(f"/flight/{ids['13:30']}")
    reasons = sunde.page.locator("article.reason")
    assert reasons.count() >= 4
    marks = [each.inner_text() for each in reasons.locator(".mark").all()]
    worst = {"STOP": 0, "UNKNOWN": 1, "JUDGE": 2, "only if": 3}
    assert [worst[each] for each in marks] == sorted(worst[each] for each in marks)
    for reason in reasons.all():
        reason.scroll_into_view_if_needed()
        assert reason.locator("h3").is_visible()
        assert len(reason.locator("h3 ~ p").first.inner_text()) > 20
        box = reason.bounding_box()
        assert box["x"] >= 0
        assert box["x"] + box["width"] <= width
    held = sunde.page.locator("section[aria-labelledby=reasons] details")
    said = int(re.search(r"(\d+) more questions", held.locator("summary").inner_text()).group(1))
    assert not held.locator("li").first.is_visible()
    sunde.touch(held.locator("summary"))
    assert held.locator("li:visible").count() == said
    addresses = sunde.page.eval_on_selector_all(
        "section[aria-labelledby=reasons] a", "all => all.map(each => each.href)"
    )
    assert len(addresses) > 10
    for address in dict.fromkeys(addresses):
        assert sunde.page.request.get(address).status == 200, address


def test_a_way_is_asked_for_with_one_touch_and_taken_with_another(make_desk, ids, visitor):
    """On a desk of its own: it asks in earnest, and the day's first flight has to stay as it is."""
    desk = make_desk()
    sunde = visitor(desk, "sunde")
    sunde.go(f"/flight/{ids['06:30']}?fuel=90+L")
    assert sunde.page.locator(".answer .mark").inner_text() == "STOP"
    way = sunde.page.locator(".offers li").first
    way.wait_for()
    mark = way.locator(".mark").inner_text()
    sunde.touch(way.get_by_role("link", name="Ask for this"))
    assert sunde.page.locator(".answer .mark").inner_text() == mark != "STOP"
    assert "This is not the flight as asked for" in sunde.words
    sunde.touch("Ask for this instead")
    assert "This is not the flight" not in sunde.words
    assert sunde.page.locator(".answer .mark").inner_text() == mark
    assert sunde.touches == 2


def test_the_good_day_ends_on_its_first_screen(demo_desk, visitor):
    """Question, mark, the sentence with the tightest margin, and the release: all without scrolling at a desk."""
    sunde = visitor(demo_desk, "sunde", width=DESK)
    sunde.touch(sunde.page.locator("ul.day a").first, then="**/flight/*")
    for each in (
        sunde.page.locator("h1"),
        sunde.page.get_by_text("nothing found", exact=True).first,
        sunde.page.get_by_text("climb binds next, 14 ft/min to spare").first,
        sunde.page.get_by_role("button", name="I release this flight"),
    ):
        box = each.bounding_box()
        assert box["y"] >= 0.0
        assert box["y"] + box["height"] <= HIGH[DESK]


def test_an_ordinary_good_day_takes_at_most_twelve_touches_for_a_pair(desk, ids, visitor, at_folder):
    """From Today with somebody logged in: report, both fuel readings, both declarations and the release included.

    Nobody has declared anything yet, the weather is to be given anew and the fuel is to be read again.
    """
    sunde = visitor(desk, "sunde", width=PHONE)
    sunde.touch(sunde.page.locator(f"ul.day a[href='/flight/{ids['06:30']}']"), then="**/flight/*")
    summary = sunde.page.locator("summary", has_text="Give what is known now")
    if not sunde.page.get_by_label("Fuel by stick").is_visible():
        sunde.touch(summary)
    sunde.fill("Report or forecast, pasted whole", REPORT)
    sunde.fill("Fuel by stick", "40 L")
    sunde.fill("Fuel by gauge", "40 L")
    sunde.touch("This is what I read now")
    for name, mine in (("Tobiah Sunde", "I sign all of this"), ("Wren Halloran", "Wren Halloran signs all of this")):
        assert name in sunde.words
        if name == "Tobiah Sunde":
            sunde.fill(sunde.page.get_by_label("Hours slept").first, "7.5 h")
        sunde.touch(mine)
    # On an operation's own data the other one of the pair types a password before signing; here nobody has one.
    passwords = 1
    sunde.touch("I release this flight", then="**/release/*")
    assert "No reason found against" in sunde.words
    assert sunde.touches + passwords <= MOST_TOUCHES
    with at_folder(desk.folder, is_demo=True, at=clock.DEMO_START):
        signed = [each for each in find_records(kinds=("declared", "today")) if each.done_at >= clock.DEMO_START]
        assert {each.by for each in signed if each.kind == "today"} == set(PAIR)
        assert all(each.by == each.about for each in signed)
        assert [each.act.flight for each in signed if each.kind == "declared"] == [ids["06:30"]]
        (released,) = find_records(kinds=("release",))
        assert (released.by, released.act.flight) == ("sunde", ids["06:30"])
