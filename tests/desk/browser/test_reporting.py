"""Reporting in a browser as wide as a phone: touches counted, targets measured, and the answer that comes back."""

from __future__ import annotations

import pytest
from PIL import Image

from gyrewright.desk.book.reading import find_records, record_with_id
from kit.browser import DESK, PHONE

LEAST_HIGH, LEAST_WIDE = 100, 126
"""16 x 20 mm at 0.16 mm a pixel: what a gloved finger meets."""


@pytest.fixture(scope="module")
def photo(tmp_path_factory):
    path = tmp_path_factory.mktemp("photo") / "nose.jpg"
    Image.new("RGB", (1200, 900), (90, 110, 70)).save(path)
    return path


def choose_tile(visitor, name):
    """Touch a tile where a finger would."""
    visitor.touch(visitor.page.get_by_role("radio", name=name, exact=True))


def take(visitor, field, path):
    """Take a photo: one touch on the field, the camera does the rest."""
    visitor.page.locator(field).set_input_files(path)
    visitor.touches += 1


def test_a_defect_with_a_photo_takes_at_most_six_touches_from_today(demo_desk, visitor, photo, at_folder):
    student = visitor(demo_desk, "halloran", width=PHONE)
    student.touch("Report something")
    student.touch(student.page.get_by_role("link", name="Something is not right on Dunlin"))
    choose_tile(student, "Nose")
    choose_tile(student, "Shakes")
    take(student, "#photo", photo)
    student.touch("Report it")
    student.page.wait_for_url("**/defect/**")
    assert student.touches <= 6
    assert "It grounds N0-101D until somebody has." in student.words
    assert student.page.locator(".photos img").evaluate("each => each.complete && each.naturalWidth > 0")
    assert student.page.evaluate("document.documentElement.scrollWidth") <= PHONE
    with at_folder(demo_desk.folder, is_demo=True):
        record = record_with_id(student.page.url.rpartition("/")[2])
        assert (record.by, record.act.zone, record.act.symptom, len(record.act.photos)) == (
            "halloran",
            "B",
            "shakes",
            1,
        )
    student.go("/today/")
    assert "You reported N0-101D Nose: shakes: no answer yet." in student.words


def test_an_event_takes_at_most_six_touches_and_locks(demo_desk, visitor, photo):
    pilot = visitor(demo_desk, "sunde", width=PHONE)
    pilot.touch("Report something")
    pilot.touch(pilot.page.get_by_role("link", name="Something happened to Whimbrel"))
    choose_tile(pilot, "A bird, anywhere on the aircraft?")
    take(pilot, "#photo", photo)
    pilot.touch("Report it, and lock N0-202W")
    pilot.page.wait_for_url("**/event/**")
    assert pilot.touches <= 6
    assert "N0-202W is locked until the bird strike inspection is done and signed" in pilot.words


@pytest.mark.parametrize("path", ["/report/", "/report/N0-101D", "/happened/N0-101D"])
def test_every_target_is_as_large_as_a_glove_and_nothing_is_chosen_beforehand(demo_desk, visitor, path):
    student = visitor(demo_desk, "halloran", width=PHONE).go(path)
    boxes = student.page.locator(".tile, button.send, .big a.button, .photo input")
    assert boxes.count() >= 6
    for number in range(boxes.count()):
        box = boxes.nth(number).bounding_box()
        assert box["height"] >= LEAST_HIGH
        assert box["width"] >= LEAST_WIDE
    assert student.page.locator("input:checked").count() == 0
    assert student.page.evaluate("document.documentElement.scrollWidth") <= PHONE


def test_by_keyboard_alone(demo_desk, visitor):
    student = visitor(demo_desk, "halloran", width=DESK).go("/report/N0-303S")
    page = student.page
    page.locator('input[name="zone"]').first.focus()
    page.keyboard.press("ArrowDown")
    assert page.locator('input[name="zone"]:checked').count() == 1
    page.locator('input[name="symptom"]').first.focus()
    page.keyboard.press("Space")
    page.get_by_role("button", name="Report it").focus()
    page.keyboard.press("Enter")
    page.wait_for_url("**/defect/**")
    assert "It grounds N0-303S" in student.words


def test_what_a_maintainer_does_reaches_the_reporter(demo_desk, visitor, at_folder):
    with at_folder(demo_desk.folder, is_demo=True):
        id = next(each.id for each in find_records(kinds=("defect-reported",), by="halloran", newest_first=True))
    maintainer = visitor(demo_desk, "arrowood", width=DESK)
    assert "Reported, and nobody who can put it right has it yet" in maintainer.words
    maintainer.go(f"/defect/{id}")
    maintainer.touch("Say what it is")
    choose_tile(maintainer, "Is watched: within its limits")
    maintainer.page.locator("#words").fill("play measured, 0.3 mm of 1 mm")
    maintainer.touch("That is my assessment")
    maintainer.page.wait_for_url(f"**/defect/{id}")
    student = visitor(demo_desk, "halloran", width=PHONE)
    assert "Pell Arrowood assessed it: “play measured, 0.3 mm of 1 mm”." in student.words
    student.page.locator('section[aria-labelledby="answers"] a').first.click()
    student.touch("I have read the answer")
    student.go("/today/")
    assert "What became of what you reported" not in student.words
    with at_folder(demo_desk.folder, is_demo=True):
        (assessed,) = (each for each in find_records(kinds=("defect-assessed",)) if each.act.defect == id)
    assert (assessed.by, assessed.act.class_) == ("arrowood", "N")
