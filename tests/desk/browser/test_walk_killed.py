"""A phone whose browser is killed while its owner answers: no answer that showed as given is lost or doubled."""

from __future__ import annotations

import os
import signal
import subprocess
import time
from pathlib import Path

import pytest
from playwright.sync_api import sync_playwright

from gyrewright.desk.book.reading import find_records
from gyrewright.desk.fold.walks import phone_walks
from kit.browser import CHROMIUM, FLAGS, HIGH, PHONE, Visitor
from kit.walking import Walking

KILLS = 3


@pytest.fixture(scope="module")
def driver():
    if not CHROMIUM.exists():
        pytest.skip(f"{CHROMIUM} is missing")
    before = os.environ.get("DJANGO_ALLOW_ASYNC_UNSAFE")
    os.environ["DJANGO_ALLOW_ASYNC_UNSAFE"] = "true"
    with sync_playwright() as made:
        yield made
    if before is None:
        del os.environ["DJANGO_ALLOW_ASYNC_UNSAFE"]


def phone_of(driver, profile: Path, address: str):
    """Return a phone with a store of its own on the disk, and the id of its browser's process."""
    context = driver.chromium.launch_persistent_context(
        profile,
        executable_path=CHROMIUM,
        headless=True,
        args=list(FLAGS),
        viewport={"width": PHONE, "height": HIGH[PHONE]},
        has_touch=True,
    )
    found = subprocess.run(["pgrep", "-f", str(profile)], capture_output=True, text=True, check=True)
    parents = {int(each): _parent(int(each)) for each in found.stdout.split()}
    browser = next(id for id, parent in parents.items() if parent not in parents)
    return Visitor(context.pages[0], address), browser


def _parent(id: int) -> int:
    try:
        return int(Path(f"/proc/{id}/stat").read_text().rsplit(")", 1)[1].split()[1])
    except OSError:
        return 0


def test_no_answer_that_showed_as_given_is_lost_or_doubled_by_a_kill(driver, make_desk, at_folder, tmp_path):
    desk = make_desk()
    profile = tmp_path / "profile"
    given: list[str] = []
    for kill in range(KILLS + 1):
        visitor, browser = phone_of(driver, profile, desk.address)
        one = Walking(visitor)
        if kill == 0:
            visitor.come_in_as("sunde")
            one.open()
            # The first store of the worker and its pages is not written through at once.
            time.sleep(1.0)
            one.page.context.set_offline(True)
            one.begin()
        else:
            one.page.context.set_offline(True)
            visitor.go("/walk/at/N0-101D/walk-round")
            one.page.wait_for_selector(".marks")
            stored = {act["id"] for act in one.acts() if act["kind"] == "walk-answer"}
            assert set(given) <= stored
            assert one.count[0] == len(given) == len(stored)
        if kill == KILLS:
            break
        for _ in range(3):
            one.answer()
            given.append(max(one.acts(), key=lambda act: act["n"])["id"])
        os.kill(browser, signal.SIGKILL)
        time.sleep(0.3)
    one.page.context.set_offline(False)
    # The cookie may have died with the browser; what is kept has not.
    visitor.come_in_as("sunde")
    visitor.go("/walk/at/N0-101D/walk-round")
    one.page.wait_for_selector(".marks")
    one.wait_handed_over()
    with at_folder(desk.folder, is_demo=True):
        (walk,) = [each for each in phone_walks(find_records(about="N0-101D")).values() if each.live]
    held = [each.act.id for each in walk.answers]
    assert sorted(held) == sorted(given)
    one.page.context.close()
