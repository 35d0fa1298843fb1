"""A sheet keyed in at a real browser by keyboard alone, its photo made small on the way."""

from __future__ import annotations

import io

import pytest
from PIL import Image

from gyrewright.desk.book.models import Photo
from gyrewright.desk.book.reading import find_records
from gyrewright.inspection.lists import shipped_list

TODAY = shipped_list("walk-round")
MARK = f"{TODAY.revision}-{TODAY.fingerprint[:8]}"


@pytest.fixture
def photo(tmp_path):
    """A photo as a phone takes it: large."""
    path = tmp_path / "sheet.jpg"
    held = io.BytesIO()
    Image.effect_noise((3000, 2000), 60).convert("RGB").save(held, "JPEG", quality=90)
    path.write_bytes(held.getvalue())
    return path


def test_a_whole_sheet_by_keyboard(demo_desk, visitor, photo, at_folder):
    sunde = visitor(demo_desk, "sunde")
    page = sunde.page
    page.goto(f"{demo_desk.address}/walk/paper/N0-101D/walk-round?mark={MARK}&event=turnaround")
    page.fill("#on", "2027-06-12")
    page.fill("#began", "05:50")
    page.fill("#ended", "06:05")
    page.select_option("#walked_by", "sunde")
    page.set_input_files("#photo", str(photo))
    size = "() => document.querySelector('#photo').files[0].size"
    for _ in range(100):
        if page.evaluate(size) < photo.stat().st_size:
            break
        page.wait_for_timeout(50)
    assert page.evaluate(size) < photo.stat().st_size / 2
    items = page.locator(".item").count()
    page.locator(".item input[type=radio]").first.focus()
    keys = 0
    while page.evaluate("() => document.activeElement.id") != "b1f":
        is_radio = page.evaluate("() => document.activeElement.type") == "radio"
        page.keyboard.press("1" if is_radio else "Enter")
        keys += 1
        assert keys < 3 * items
    # One key an item, and one more where there is a reading to pass by.
    assert keys < 2 * items
    assert page.locator("input[value='as it should be']:checked").count() == items
    assert page.locator("input[value='not']:checked").count() == 0
    page.get_by_role("button", name="Record this walk-round").click()
    page.wait_for_url("**/records/**")
    with at_folder(demo_desk.folder, is_demo=True):
        walk = next(each for each in find_records(kinds=("walk",), newest_first=True) if each.act.asked)
        assert walk.act.complete
        jpeg = bytes(Photo.objects.get(fingerprint=walk.act.photos[0]).jpeg)
    assert max(Image.open(io.BytesIO(jpeg)).size) <= 1600


def test_not_asks_for_its_words_and_enter_sends_no_half_sheet(demo_desk, visitor):
    page = visitor(demo_desk, "sunde").page
    page.goto(f"{demo_desk.address}/walk/paper/N0-101D/walk-round?mark={MARK}&event=turnaround")
    first = page.locator(".item").first
    first.locator("input[type=radio]").first.focus()
    page.keyboard.press("2")
    assert page.evaluate("() => document.activeElement.name") == f"w.{TODAY.items[0].id}"
    page.keyboard.type("a tag nobody knows of")
    page.keyboard.press("Enter")
    assert "mark=" in page.url
    assert page.evaluate("() => document.activeElement.type") == "radio"
