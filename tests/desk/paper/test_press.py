"""The press: the packaged typeface alone, text that stays text, the same bytes again, each paper at its size."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest
import segno

from gyrewright.desk.paper.drawn import code_drawn, for_paper
from gyrewright.desk.paper.press import PAPERS, printed
from gyrewright.desk.refusal import Refused

AT = datetime(2027, 6, 12, 13, 30, tzinfo=UTC)
SHEET = {
    "language": "en-US",
    "kind": "Release",
    "title": "May it?",
    "house": "A school",
    "demo": True,
    "code": "0123 4567 89ab cdef 0123",
    "codesvg": code_drawn("http://localhost:8127/S/0123456789abcdef0123"),
    "head": "1 · 0123",
    "made": "12 Jun 2027 06:30",
    "marks": {"STOP": "STOP", "UNKNOWN": "UNKNOWN", "JUDGE": "JUDGE", "GO-IF": "ONLY IF", "GO": "NOTHING FOUND"},
    "verdict": "JUDGE",
    "sentence": "A sentence.",
    "by": "Ivo Brandt",
    "at": "06:30",
    "until": "07:30",
    "ended": "",
    "aboard": ["Sam Tarn"],
    "conditions": [],
    "judged": [],
    "cautions": [],
    "not_looked_at": [],
    "assumptions": [],
    "carries": {"runways": [], "empty": [], "rows": []},
    "sees": True,
    "rulers": [],
    "against": [],
    "held": [],
    "further": 0,
    "rules": [],
    "lists": "",
    "record": "1",
}
# Each would do something if it were read as the markup of the press, as XML, or as an order of reading.
HOSTILE = (
    '#panic("x")',
    '#import "ink.typ": *',
    "$ x^2 $ *strong* _emph_ `raw` <label> @ref \\ // /* = Head",
    "]})#{[(",
    '"; #read("/etc/passwd")',
    "</text><script>alert(1)</script>&amp;&#x41;",
    "\u202eevil\u2066\u200f",
    "a\x00b\x1bc\r\nd\u2028e",
    "{{ sheet }} {% include %}",
    "x" * 3000,
    "名前 🛩 \U0001f468\u200d\u2708",
)


def with_text(text):
    one = [text, text, text]
    return SHEET | {
        "title": text,
        "sentence": text,
        "by": text,
        "ended": text,
        "aboard": [text],
        "house": text,
        "conditions": [one],
        "judged": [one],
        "cautions": [text],
        "not_looked_at": [text],
        "carries": {"runways": [text], "empty": [False], "rows": [[text, [text]]]},
        "against": [["STOP", *one]],
        "held": [["GO", *one]],
        "lists": text,
    }


@pytest.mark.parametrize("text", HOSTILE)
def test_nothing_that_is_typed_is_obeyed(text, look):
    pdf = printed("release", with_text(text), paper="a4", made_at=AT)
    assert {name.removesuffix("-Identity-H") for name in look.fonts(pdf)} <= {
        "SourceSansPro-Regular",
        "SourceSansPro-Bold",
        "SourceSansPro-Semibold",
    }
    seen = "".join(look.words(pdf).split())
    plain = "".join(letter for letter in text if letter.isascii() and letter.isprintable())
    assert "".join(plain.split())[:60] in seen or "名" in text
    assert "root:" not in seen


def test_letters_that_turn_the_order_of_reading_are_not_printed(look):
    seen = look.words(printed("release", with_text("\u202eevil\u2066"), paper="a4", made_at=AT))
    assert "evil" in seen
    assert not {"\u202e", "\u2066"} & set(seen)


def test_only_the_packaged_typeface_is_used_even_where_a_letter_is_not_in_it(look):
    pdf = printed("release", SHEET | {"title": "名 → ≤ °"}, paper="a4", made_at=AT)
    assert all(name.startswith("SourceSansPro-") for name in look.fonts(pdf))


def test_the_same_data_give_the_same_bytes_and_another_moment_another_date():
    once, again = (printed("release", SHEET, paper="a5", made_at=AT) for _ in range(2))
    assert once == again
    assert once != printed("release", SHEET, paper="a5", made_at=AT + timedelta(hours=1))


# ISO 216 for A4 and A5; US letter 8.5 x 11 in, and half of it. [mm]
SIZES = {"a4": (210.0, 297.0), "letter": (215.9, 279.4), "a5": (148.0, 210.0), "half-letter": (139.7, 215.9)}


@pytest.mark.parametrize("paper", PAPERS)
def test_every_paper_has_its_size(paper, look):
    import io

    from pypdf import PdfReader

    box = PdfReader(io.BytesIO(printed("release", SHEET, paper=paper, made_at=AT))).pages[0].mediabox
    assert float(box.width) / 72 * 25.4 == pytest.approx(SIZES[paper][0], abs=0.1)
    assert float(box.height) / 72 * 25.4 == pytest.approx(SIZES[paper][1], abs=0.1)


def test_an_unknown_paper_is_refused_by_name():
    with pytest.raises(Refused, match="'a3' is no paper; choose one of: a4, letter, a5, half-letter"):
        printed("release", SHEET, paper="a3", made_at=AT)


def test_the_code_bears_the_most_damage_and_few_modules():
    # ISO/IEC 18004: level H restores about 30 % of the code words; version 4 has 33 modules a side.
    code = segno.make_qr("HTTP://LOCALHOST:8127/S/0123456789ABCDEF0123", error="h", boost_error=False)
    assert (code.error, code.version, code.mode) == ("H", 4, "alphanumeric")
    drawn = code_drawn("http://localhost:8127/S/0123456789abcdef0123")
    assert 'viewBox="0 0 41 41"' in drawn


def test_a_drawing_for_paper_is_white_and_in_the_sheets_typeface():
    from gyrewright.pictures.svg import document, rect, text

    drawn = for_paper(
        document([rect(0, 0, 5, 5), text(1, 1, "12 kg", size=10)], width=50, height=50, title="t", desc="d")
    )
    assert 'font-family="Source Sans Pro"' in drawn
    assert "#fffdf7" not in drawn
