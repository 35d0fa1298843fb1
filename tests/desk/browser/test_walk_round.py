"""A walk-round with no network: reloaded, the server killed or frozen, replies lost, logged out; nothing is lost."""

from __future__ import annotations

import json
import os
import re
import signal

import pytest

from gyrewright.desk.book.reading import find_records
from gyrewright.desk.fold.walks import phone_walks
from kit.browser import PHONE
from kit.walking import Walking

AIRCRAFT = "N0-101D"
MEANT = r"ERR_|Failed to fetch|401|Failed to load resource"


@pytest.fixture(scope="module")
def desk(make_desk):
    return make_desk()


@pytest.fixture
def phone(visitor, desk):
    """Return a function that gives somebody a phone with the page open."""

    def give(person="sunde", **more):
        one = visitor(desk, person, width=PHONE, **more)
        one.allow(MEANT)
        return Walking(one).open()

    return give


@pytest.fixture
def book(at_folder, desk):
    """Return a function that returns the walks of the aircraft as the desk holds them now."""

    def read():
        with at_folder(desk.folder, is_demo=True):
            return phone_walks(find_records(about=AIRCRAFT))

    return read


def last_walk(walking):
    return walking.page.evaluate("walk.walk")


def assert_all_there_once(walking, walks):
    """Every act that the phone stored is in the book, once."""
    mine = {act["id"] for act in walking.acts() if act["walk"]}
    held = [
        one.act.id
        for walk in walks.values()
        for several in (walk.begun, walk.answers, walk.breaks, walk.signed, walk.left, [a for a, _ in walk.changed])
        for one in several
    ]
    assert mine <= set(held)
    assert len(held) == len(set(held))


def test_a_walk_begun_and_finished_with_no_network_through_a_reload_is_handed_over_whole(phone, book):
    one = phone()
    context = one.page.context
    context.set_offline(True)
    one.page.reload()
    one.page.wait_for_selector("h1")
    one.begin()
    one.answer("not")
    one.answer("could not look")
    for _ in range(4):
        one.answer()
    item, count = one.item, one.count
    one.page.reload()
    one.page.wait_for_selector(".marks")
    assert (one.item, one.count) == (item, count)
    one.run_to()
    one.page.wait_for_selector("text=Sign")
    id = last_walk(one)
    assert "kept here" in one.status
    assert "no network" in one.status
    one.sign()
    context.set_offline(False)
    one.wait_handed_over()
    assert "all handed over" in one.status
    walk = book()[id]
    assert walk.ended_at is not None
    assert walk.signers == ("sunde",)
    answers = {item: several[0].act.answer for item, several in walk.live.items()}
    assert {item: word for item, word in answers.items() if word != "as it should be"} == {
        "Z01": "not",
        "Z04": "could not look",
    }
    assert_all_there_once(one, book())


def test_a_server_that_is_frozen_and_then_killed_holds_nobody_up(phone, book, desk):
    one = phone("okafor-lind")
    one.begin()
    one.answer()
    group = os.getpgid(desk.process.pid)
    os.killpg(group, signal.SIGSTOP)
    try:
        one.answer()
        one.page.reload()
        one.page.wait_for_selector(".marks", timeout=9000)
        one.answer()
        assert "kept here" in one.status
    finally:
        os.killpg(group, signal.SIGCONT)
    desk.kill()
    one.answer()
    one.page.reload()
    one.page.wait_for_selector(".marks")
    one.answer()
    assert one.count[0] == 5
    desk.start()
    one.wait_handed_over(40.0)
    assert_all_there_once(one, book())
    assert len(book()[last_walk(one)].live) == 5


def test_replies_that_are_lost_double_nothing(phone, book):
    one = phone()
    one.begin()
    lost = []

    def lose(route):
        if len(lost) < 2:
            lost.append(route.fetch().status)
            route.abort()
        else:
            route.continue_()

    one.page.route("**/walk/hand-over", lose)
    for _ in range(3):
        one.answer()
    for _ in range(2):
        one.page.evaluate("handOver()")
        one.page.wait_for_timeout(300)
    assert lost == [200, 200]
    assert "kept here" in one.status
    one.wait_handed_over()
    assert_all_there_once(one, book())


def test_whoever_is_logged_out_keeps_everything_and_hands_over_after_coming_in_again(phone, book):
    one = phone("halloran")
    one.begin()
    one.page.context.clear_cookies()
    for _ in range(3):
        one.answer()
    one.page.evaluate("handOver()")
    one.until("loggedOut")
    one.page.evaluate("showStatus()")
    assert "logged out" in one.status
    assert "kept here" in one.status
    one.page.reload()
    one.page.wait_for_load_state()
    # The door came, for nobody is logged in; what is kept is not the door's.
    one.visitor.come_in_as("halloran")
    one.open()
    one.wait_handed_over()
    assert_all_there_once(one, book())


def test_two_phones_on_one_aircraft_lose_nothing(phone, book):
    first, second = phone("sunde"), phone("okafor-lind")
    for one in (first, second):
        one.page.context.set_offline(True)
        one.begin()
    for _ in range(4):
        first.answer()
        second.answer("could not look")
    for one in (second, first):
        one.page.context.set_offline(False)
        one.wait_handed_over()
    walks = book()
    assert_all_there_once(first, walks)
    assert_all_there_once(second, walks)
    assert last_walk(first) != last_walk(second)


WRONG_CLOCK = """
const True = Date;
globalThis.Date = class extends True {
  constructor(...given) { given.length ? super(...given) : super(True.now() + %(ms)d); }
  static now() { return True.now() + %(ms)d; }
};
"""


@pytest.mark.parametrize("hours", [-7, 9])
def test_a_phone_whose_clock_is_wrong_by_hours_hands_over_with_both_times(phone, book, hours):
    one = phone()
    now = one.page.evaluate("Date.now()")
    one.page.add_init_script(WRONG_CLOCK % {"ms": hours * 3600000})
    one.page.reload()
    one.page.wait_for_selector("h1")
    assert abs(one.page.evaluate("new Date().getTime()") - now - hours * 3600000) < 120000
    one.begin()
    one.answer()
    one.wait_handed_over()
    begun = book()[last_walk(one)].begun[0]
    assert abs((begun.act.at - begun.at).total_seconds() - begun.skew_s) < 5
    assert_all_there_once(one, book())


def test_storage_that_is_full_is_said_and_nothing_shows_as_given(phone, book):
    one = phone()
    one.begin()
    one.answer()
    count = one.count
    one.page.evaluate(
        "() => { IDBObjectStore.prototype.put = () => { throw new DOMException('no room', 'QuotaExceededError'); }; }"
    )
    one.fill()
    one.touch(".answers .ok")
    one.until("document.getElementById('trouble').textContent !== ''")
    assert "NOT KEPT" in one.trouble
    assert "storage is full" in one.trouble
    assert one.count == count
    assert one.page.locator('.answers [aria-pressed="true"]').count() == 0
    one.page.reload()
    one.page.wait_for_selector(".marks")
    assert one.count == count


def test_a_queue_that_cannot_leave_is_saved_as_a_file_and_taken_in_at_the_desk(phone, visitor, desk, book, tmp_path):
    one = phone("halloran")
    one.page.context.set_offline(True)
    one.begin()
    for _ in range(3):
        one.answer()
    one.touch(".place")
    one.page.wait_for_selector(".place-row")
    with one.page.expect_download() as saved:
        one.button("Save what is kept here as a file")
    path = tmp_path / "queue.json"
    saved.value.save_as(path)
    assert len(json.loads(path.read_text())["items"]) == 4
    manager = visitor(desk, "okafor-lind")
    manager.go("/walk/")
    manager.page.get_by_label("File saved by a phone").set_input_files(path)
    manager.touch(
        manager.page.locator("form", has=manager.page.get_by_label("File saved by a phone")).get_by_role(
            "button", name="Take it in", exact=True
        )
    )
    assert "4 acts in the file: 4 new, 0 kept before." in manager.words
    one.page.context.set_offline(False)
    one.wait_handed_over()
    assert_all_there_once(one, book())


def test_an_interruption_is_noticed_named_and_paid_for_as_the_list_says(phone, book):
    one = phone()
    one.begin()
    for _ in range(3):
        one.answer()
    item = one.item
    one.page.evaluate("showBreak(Date.now() - 240000, 'hidden')")
    assert f"You were at {item}" in one.page.locator("h1").inner_text()
    assert "Nothing for 4 min" in one.page.locator("h1").inner_text()
    one.button("Go on")
    assert "Say what happened" in one.trouble
    one.button("I was away from it")
    assert "So: Before touching again" in one.page.locator("main").inner_text()
    one.button("Somebody touched the aircraft")
    assert "the whole walk again, from its first item" in one.page.locator("main").inner_text()
    one.button("Go on")
    one.page.wait_for_selector(".marks")
    assert one.count[0] == 0
    assert "It no longer counts." in one.page.locator(".text").inner_text()
    one.wait_handed_over()
    (broken,) = book()[last_walk(one)].breaks
    assert set(broken.act.on) == {"away", "touched by another"}
    assert (broken.act.restarted, broken.act.noticed) == ("walk", "hidden")


def test_the_restore_list_comes_last_and_starts_again_by_what_undoes_it(phone):
    one = phone()
    one.begin()
    one.touch(".place")
    one.page.wait_for_selector(".place-row")
    last = one.page.locator(".place-row", has_text="Restore")
    assert last.first.is_disabled()
    one.button(re.compile("^Before touching"))
    one.run_to("R")
    assert one.item == "R01"
    one.answer()
    restored = one.count[0]
    one.touch(".place")
    one.page.wait_for_selector(".place-row")
    one.button("Interrupted")
    one.button("It was refueled")
    assert "The restore list starts again." in one.page.locator("main").inner_text()
    one.button("Go on")
    one.page.wait_for_selector(".marks")
    assert one.count[0] == restored - 1
    assert one.item == "R01"


LOCKED = """(minutes) => {
  Object.defineProperty(document, "hidden", { value: true, configurable: true });
  document.dispatchEvent(new Event("visibilitychange"));
  outSince -= minutes * 60000;
  Object.defineProperty(document, "hidden", { value: false, configurable: true });
  document.dispatchEvent(new Event("visibilitychange"));
}"""
"""A phone that was locked for some minutes, as its page meets it."""


def test_on_unlocking_it_says_where_one_was_and_for_how_long_and_a_touch_by_another_costs_the_walk(phone):
    one = phone()
    one.begin()
    one.run_to("K")
    done, item = one.count[0], one.item
    one.page.evaluate(LOCKED, 4)
    told = one.page.locator("h1").inner_text()
    assert f"You were at {item}, Bearing and teeter" in told or f"You were at {item}" in told
    assert "Nothing for 4 min" in told
    one.button("I was away from it")
    assert "So: Mast and rotor head again" in one.page.locator("main").inner_text()
    one.button("Somebody touched the aircraft")
    one.button("It was refueled")
    assert "the whole walk again, from its first item" in one.page.locator("main").inner_text()
    one.button("Go on")
    one.page.wait_for_selector(".marks")
    assert (one.item, one.count[0]) == ("Z01", 0)
    assert done > 0


def test_seconds_away_cost_nothing_and_ask_nothing(phone):
    one = phone()
    one.begin()
    one.answer()
    item = one.item
    one.page.evaluate(LOCKED, 0.5)
    assert (one.item, one.count[0]) == (item, 1)


def test_a_page_opened_again_after_minutes_never_goes_on_without_a_word(phone):
    one = phone()
    one.begin()
    for _ in range(3):
        one.answer()
    item = one.item
    one.page.add_init_script(WRONG_CLOCK % {"ms": 4 * 60000})
    one.page.reload()
    one.page.wait_for_selector("text=What happened?")
    assert "Nothing for 4 min" in one.page.locator("h1").inner_text()
    one.button("Nothing: I was at this item all the time")
    one.page.wait_for_selector(".marks")
    assert one.count[0] == 3
    assert item


def test_while_a_phone_is_out_no_release_and_once_it_has_handed_over_none_waits_for_it(phone, visitor, desk):
    one = phone("arrowood")
    one.begin("each flight")
    manager = visitor(desk, "okafor-lind")
    manager.page.locator(".what a", has_text="Dunlin").first.click()
    manager.page.wait_for_url("**/flight/**")
    assert re.search(r"Bring Pell's phone \w+ to the desk", manager.words)
    one.run_to()
    one.sign()
    one.wait_handed_over()
    one.until("isShowing === false && waiting === 0")
    manager.page.reload()
    assert "Pell's phone" not in manager.words
