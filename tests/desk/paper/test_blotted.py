"""A sheet that oil, coffee and rain have got at: with a fifth of it under spots, numbers are read and codes lead on.

Oil and water darken paper to about half to five sixths of its light, and black toner stays black under them (common
practice, no source). Mud covers what is under it: there the codes bear a thirtieth of the sheet.
"""

from __future__ import annotations

import io
import re
import shutil
import subprocess
from concurrent.futures import ThreadPoolExecutor
from datetime import UTC, datetime

import numpy as np
import pytest
import zxingcpp
from PIL import Image

from gyrewright.desk.book.reading import find_records, head
from gyrewright.desk.paper.press import printed
from gyrewright.desk.paper.walk import walk_sheet
from gyrewright.desk.services import state
from gyrewright.inspection.lists import shipped_list

AT = datetime(2027, 6, 12, 13, 10, tzinfo=UTC)
DRAWS = 20
AT_LEAST = 19
DPI = 300
MM = DPI / 25.4
INK = 75
"""What is darker than this, of 255, is ink: under the darkest spot paper keeps 127, ink has 10."""
PAGE = 2


def spotted(picture, rng, share, *, covers=False):
    """Return a picture with round spots of 3 to 8 mm at random until they cover a share of it."""
    high, wide = picture.shape
    light = np.ones((high, wide), np.float32)
    covered = 0
    while covered < share * high * wide:
        radius = rng.uniform(1.5, 4.0) * MM
        x, y, left_over = rng.uniform(0, wide), rng.uniform(0, high), rng.uniform(0.5, 0.85)
        top, left = max(0, int(y - radius)), max(0, int(x - radius))
        part = light[top : int(y + radius) + 1, left : int(x + radius) + 1]
        rows, columns = np.ogrid[top : top + part.shape[0], left : left + part.shape[1]]
        inside = (columns - x) ** 2 + (rows - y) ** 2 < radius**2
        covered += int((inside & (part == 1.0)).sum())
        part[inside] = left_over
    if covers:
        return np.where(light < 1.0, np.uint8(110), picture)
    return (picture * light).astype(np.uint8)


def codes(picture):
    found = zxingcpp.read_barcodes(Image.fromarray(picture), formats=zxingcpp.BarcodeFormat.QRCode)
    return {each.text for each in found}


def numbers(strip, mode):
    held = io.BytesIO()
    Image.fromarray(strip).save(held, "png")
    asked = ["tesseract", "-", "-", "--psm", mode, "--dpi", "300", "-c"]
    read = subprocess.run(
        [*asked, "tessedit_char_whitelist=ABCDEFGHIJKLMRZ0123456789"],
        input=held.getvalue(),
        capture_output=True,
        check=True,
        env={"OMP_THREAD_LIMIT": "1", "PATH": "/usr/bin:/bin"},
    )
    return set(re.findall(r"[A-Z]\d\d", read.stdout.decode()))


@pytest.fixture
def page(demo_day, look):
    """One page of the small sheet, and the numbers of its items."""
    made = walk_sheet(
        shipped_list("walk-round"),
        state.machine("N0-101D", AT).aircraft.definition,
        event="first of the day",
        also=(),
        defined=find_records(about="N0-101D", kinds=("aircraft-defined",))[0],
        head=head(),
        made_at=AT,
        base="http://localhost:8127",
    )
    pdf = printed("walk", made, paper="a5", made_at=AT)
    every = [item["id"] for _, _, items in made["stands"] for item in items]
    seen = look.words(pdf, PAGE)
    names = {item["id"]: item["name"] for _, _, items in made["stands"] for item in items}
    return np.array(look.picture(pdf, PAGE, dpi=DPI)), {id for id in every if f"{id} {names[id]}" in seen}


@pytest.mark.skipif(shutil.which("tesseract") is None, reason="install Debian's tesseract-ocr to read what is printed")
def test_with_a_fifth_of_the_sheet_under_spots_every_number_is_read_and_the_code_leads_on(page):
    picture, expected = page
    assert len(expected) > 6

    def look_at(draw):
        spots = spotted(picture, np.random.default_rng(draw), 0.2)
        ink = np.where(spots < INK, 0, 255).astype(np.uint8)
        strip = np.pad(ink[int(31 * MM) : int(185 * MM), int(10 * MM) : int(21 * MM)], 60, constant_values=255)
        found = numbers(strip, "6")
        # Whoever cannot read a number at the first look looks again.
        return expected <= found or expected <= found | numbers(strip, "11"), bool(codes(spots))

    with ThreadPoolExecutor(2) as both:
        seen = list(both.map(look_at, range(DRAWS)))
    read, led = (sum(each) for each in zip(*seen, strict=True))
    assert (read >= AT_LEAST, led >= AT_LEAST) == (True, True), (read, led)


def test_with_mud_on_a_thirtieth_of_the_sheet_one_of_the_two_codes_is_still_read(page):
    picture, _ = page
    led = sum(bool(codes(spotted(picture, np.random.default_rng(draw), 0.03, covers=True))) for draw in range(DRAWS))
    assert led >= AT_LEAST


def test_with_everything_covered_nothing_is_read(page):
    """The tests above can fail: what is not there is not found."""
    picture, _ = page
    assert codes(np.full_like(picture, 110)) == set()
    assert numbers(np.full((400, 200), 255, np.uint8), "6") == set()
