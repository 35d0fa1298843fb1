"""What the phone's page is measured by: its weight, its speed on a slow phone, its targets, and what the sun leaves."""

from __future__ import annotations

import io
import re
import shutil
import subprocess
import time
from statistics import median

import pytest
from PIL import Image

from kit.browser import PHONE
from kit.looking import low_contrast, violations
from kit.walking import Walking

SLOW = 6
INK, GLARE = 20, 183
"""The page's ink, and the grey at which ink on its paper has a contrast of 2:1."""


@pytest.fixture(scope="module")
def desk(make_desk):
    return make_desk()


@pytest.fixture
def one(visitor, desk):
    seated = visitor(desk, "sunde", width=PHONE)
    seated.allow(r"ERR_|Failed to")
    return Walking(seated).open()


def test_it_opens_from_its_cache_within_half_a_second_on_a_phone_six_times_slower(one):
    one.page.context.set_offline(True)
    one.page.context.new_cdp_session(one.page).send("Emulation.setCPUThrottlingRate", {"rate": SLOW})
    took = []
    for _ in range(3):
        one.page.reload()
        one.page.wait_for_selector("h1")
        took.append(one.page.evaluate("shownAt"))
    # The machine of the test does other things as well: the best of three is what the page takes.
    print(f"it opens from its cache in {min(took):.0f} ms")
    assert min(took) <= 500.0


def test_an_answer_is_stored_within_ten_milliseconds(one):
    one.begin("each flight")
    took = one.page.evaluate(
        """async () => {
          const took = [];
          for (let count = 0; count < 60; count++) {
            const body = { item: "Z02", answer: "as it should be", stand: "", zone: "Z", class_: "G", restores: false };
            const before = performance.now();
            await keep("walk-answer", body, { walk: walk.walk });
            took.push(performance.now() - before);
          }
          return took;
        }"""
    )
    print(f"an answer is stored in {median(took):.1f} ms")
    assert median(took) <= 10.0


def test_five_hundred_answers_given_with_no_network_are_handed_over_within_three_seconds(one):
    one.page.context.set_offline(True)
    one.begin("each flight")
    one.page.evaluate(
        """async () => {
          for (let count = 0; count < 500; count++) {
            const item = walk.state.items[count % walk.state.items.length];
            const body = { item: item.id, answer: "as it should be", stand: item.stand, zone: item.id[0] };
            await keep("walk-answer", { ...body, class_: item.class, restores: !!item.restores }, { walk: walk.walk });
          }
        }"""
    )
    one.page.context.set_offline(False)
    one.page.evaluate("new Promise((done) => setTimeout(done, 50))")
    took = one.page.evaluate(
        """async () => {
          while (busy) await new Promise((done) => setTimeout(done, 20));
          const before = performance.now();
          while (waiting) await handOver();
          return performance.now() - before;
        }"""
    )
    print(f"500 answers are handed over in {took / 1000:.2f} s")
    assert took <= 3000.0


def test_targets_and_letters_are_as_large_as_a_glove_and_an_arms_length_ask(one):
    one.begin()
    box = {word: one.page.locator(f".answers .{word}").bounding_box() for word in ("ok", "not", "no")}
    assert all(each["height"] >= 100 and each["width"] >= 126 for each in box.values())
    assert box["ok"]["width"] >= PHONE - 2 * 18 - 1
    assert box["not"]["y"] - (box["ok"]["y"] + box["ok"]["height"]) >= 32
    assert box["no"]["x"] - (box["not"]["x"] + box["not"]["width"]) >= 32
    sizes = one.page.evaluate(
        """() => {
          const found = {};
          const walker = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
          while (walker.nextNode()) {
            const text = walker.currentNode.textContent.trim();
            const parent = walker.currentNode.parentElement;
            if (!text || !parent.getClientRects().length) continue;
            found[text] = parseFloat(getComputedStyle(parent).fontSize);
          }
          return found;
        }"""
    )
    assert min(sizes.values()) >= 25, sizes
    for word in ("As it should be", "Not as it should be", "Could not look"):
        assert sizes[word] >= 31
    assert all(size >= 31 for text, size in sizes.items() if text in ("Do", "Right"))


def test_every_screen_is_accessible_readable_and_whole(one):
    wrong = []

    def look(name):
        # What has scrolled behind the answers is not read there: the answers come after it for this look.
        one.page.evaluate("document.querySelector('.stuck')?.classList.remove('stuck')")
        found = violations(one.page) + [f"contrast {each}" for each in low_contrast(one.page)]
        if one.page.evaluate("document.documentElement.scrollWidth") > PHONE:
            found.append("is wider than the screen")
        wrong.extend(f"{name}: {each}" for each in found)

    look("beginning")
    one.begin()
    look("an item")
    one.touch(".answers .not")
    one.page.wait_for_selector("#words")
    look("what is wrong")
    one.button("Next")
    one.page.wait_for_selector(".marks")
    one.button("What goes wrong here")
    look("what goes wrong")
    one.touch(".place")
    one.page.wait_for_selector(".place-row")
    look("the overview")
    one.button("Interrupted")
    look("an interruption")
    one.button("Back")
    one.run_to()
    one.button("Sign")
    look("signing")
    one.button(re.compile("^Sign as "))
    one.page.wait_for_selector("text=Signed ")
    look("signed")
    assert wrong == []


def test_a_walk_goes_by_the_keyboard_alone(one):
    def press_on(name):
        one.page.evaluate("shownAt = -10000")
        for _ in range(60):
            if one.page.evaluate("document.activeElement.textContent").startswith(name):
                return one.page.keyboard.press("Enter")
            one.page.keyboard.press("Tab")
        raise AssertionError(f"{name} is not reached")

    press_on("turnaround")
    press_on("Begin")
    one.page.wait_for_selector(".marks")
    one.fill()
    press_on("As it should be")
    one.until("walk.state.done === 1")


def in_the_sun(png: bytes) -> bytes:
    """Return a picture of the screen with the sun on it: the glare lifts every dark to a contrast of 2:1."""
    picture = Image.open(io.BytesIO(png)).convert("RGB")
    lifted = picture.point(lambda value: round(GLARE + max(value - INK, 0) * (255 - GLARE) / (255 - INK)))
    out = io.BytesIO()
    lifted.resize((picture.width * 2, picture.height * 2), Image.Resampling.LANCZOS).save(out, "PNG")
    return out.getvalue()


def read(png: bytes) -> str:
    found = subprocess.run(
        ["tesseract", "-", "-", "--psm", "6", "--dpi", "200"], input=png, capture_output=True, check=True
    )
    return " ".join(found.stdout.decode().split())


def relative_luminance(grey: int) -> float:
    share = grey / 255
    return share / 12.92 if share <= 0.04045 else ((share + 0.055) / 1.055) ** 2.4


def test_the_filter_leaves_two_to_one():
    assert (1.0 + 0.05) / (relative_luminance(GLARE) + 0.05) == pytest.approx(2.0, abs=0.02)


@pytest.mark.skipif(
    shutil.which("tesseract") is None, reason="install Debian's tesseract-ocr to read what the sun leaves"
)
def test_words_and_the_chosen_answer_are_still_read_in_the_sun(one):
    one.begin()
    text = read(in_the_sun(one.page.screenshot()))
    for word in ("Before touching", "Open defects", "As it should be", "look"):
        assert word in text, text
    one.answer("could not look")
    one.touch(one.page.get_by_role("button", name="Back", exact=True))
    text = read(in_the_sun(one.page.screenshot()))
    assert "given" in text, text
    count = one.page.locator(".count").inner_text()
    assert count in text, text


def test_a_whole_walk_by_hand_is_one_touch_an_item_beside_its_readings(one):
    one.begin()
    one.visitor.touches = 0
    began = time.monotonic()
    shown = []
    for _ in range(20):
        one.fill()
        before = time.monotonic()
        one.answer()
        shown.append(time.monotonic() - before)
    done = one.count[0]
    assert done == 20
    read = one.page.evaluate("walk.acts.flatMap((act) => Object.keys(act.body.readings || {})).length")
    # One touch answers an item; a reading costs one more, and one to go on where an earlier one was shown.
    print(f"{one.visitor.touches} touches for {done} items with {read} readings, {median(shown):.2f} s an item")
    assert one.visitor.touches <= done + 2 * read
    assert median(shown) <= 1.0
    assert time.monotonic() - began < 60
