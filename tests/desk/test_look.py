from __future__ import annotations

import re
from itertools import product
from pathlib import Path

import pytest
from django.template import engines

import gyrewright.desk
from gyrewright.desk.pages.templatetags.desk import mark, whole_units
from gyrewright.finding import Verdict

FOLDER = Path(gyrewright.desk.__file__).parent
SHEET = (FOLDER / "static" / "desk.css").read_text(encoding="utf-8")
COLORS = dict(re.findall(r"--(\w+): (#[0-9a-f]{6});", SHEET))


def luminance(color):
    channels = [int(color[at : at + 2], 16) / 255 for at in (1, 3, 5)]
    linear = [each / 12.92 if each <= 0.04045 else ((each + 0.055) / 1.055) ** 2.4 for each in channels]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


@pytest.mark.parametrize(("text", "ground"), list(product(("ink", "soft", "touch", "beyond"), ("paper", "wash"))))
def test_text_has_a_contrast_of_seven_to_one(text, ground):
    light, dark = sorted((luminance(COLORS[text]), luminance(COLORS[ground])), reverse=True)
    assert (light + 0.05) / (dark + 0.05) >= 7


def test_every_color_is_named_once_on_top():
    below = SHEET.split("}", 1)[1]
    assert re.findall(r"#[0-9a-fA-F]{3,6}\b", below) == []


@pytest.mark.parametrize(
    ("verdict", "word"),
    [
        (Verdict.STOP, "STOP"),
        (Verdict.UNKNOWN, "UNKNOWN"),
        (Verdict.JUDGE, "JUDGE"),
        (Verdict.GO_IF, "only if"),
        (Verdict.GO, "nothing found"),
    ],
)
def test_a_mark_says_its_word_and_never_its_code(verdict, word):
    html = str(mark(verdict))
    assert html == str(mark(verdict.code))
    assert re.sub(r"<[^>]*>", "", html) == word
    shape = re.search(r'class="mark ([\w-]+)"', html).group(1)
    assert f".mark.{shape} {{" in SHEET


def test_every_template_is_readable_and_holds_no_inline_style_or_script():
    for file in (FOLDER / "templates" / "desk").glob("*.html"):
        text = file.read_text(encoding="utf-8")
        # A script comes from a file of the desk's own, and from nowhere else.
        text = re.sub(r'<script src="{% static_file "[\w-]+\.js" %}" defer></script>', "", text)
        assert not re.search(r"<script|<style|\sstyle=|\son\w+=|\|safe|javascript:", text), file.name
        engines["django"].get_template(f"desk/{file.name}")


@pytest.mark.parametrize(
    ("text", "kept"),
    [
        ("which shows 1206.4 h: 6.4 h past 1200 h.", 3),
        ("18 days left, 9 kt of wind, 40 % of it", 3),
        ("two hours, 3 hangars, page 4 holds", 0),
        ("12 June 2027", 0),
    ],
)
def test_no_line_ends_between_a_number_and_its_unit(text, kept):
    assert whole_units(text).count("\u00a0") == kept
    assert whole_units(text).replace("\u00a0", " ") == text
