"""Widths of texts and where lines break."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gyrewright.pictures.lettering import shortest, widest, width_of, wrapped

ROOM = 120.0


@given(st.text(alphabet=st.characters(codec="utf-8"), max_size=80), st.sampled_from([12.0, 16.0, 24.0]), st.booleans())
def test_no_line_is_wider_than_the_room_and_nothing_but_blanks_is_lost(text: str, size: float, bold: bool) -> None:
    for lines in (wrapped(text, size, ROOM, bold=bold), shortest(text, size, ROOM, bold=bold)):
        assert all(width_of(each, size, bold=bold) <= ROOM for each in lines)
        kept = "".join("".join(lines).split(" "))
        assert kept == "".join(wrapped(text, size, 1e9, bold=bold)[0].split(" "))


def test_a_number_stays_with_its_unit() -> None:
    assert wrapped("at least 25.5\u00a0L now", 16.0, 95.0) == ("at least", "25.5\u00a0L now")


def test_a_word_that_fits_whole_is_never_broken_to_even_out_the_lines() -> None:
    lines = shortest("endorsement: at most 8\u00a0kt", 16.0, 130.0)
    assert lines[0] == "endorsement:"


def test_lines_are_about_as_long_as_each_other() -> None:
    lines = shortest("one two three four five six seven eight", 16.0, 300.0)
    assert len(lines) == 2
    assert abs(width_of(lines[0], 16.0) - width_of(lines[1], 16.0)) < 60.0


@pytest.mark.parametrize("bold", [False, True])
def test_width_grows_with_size_and_a_combining_accent_takes_none(bold: bool) -> None:
    assert width_of("mass", 32.0, bold=bold) == pytest.approx(2.0 * width_of("mass", 16.0, bold=bold))
    assert width_of("e\u0301", 16.0, bold=bold) == width_of("e", 16.0, bold=bold)
    assert widest(("a", "aaa", "aa"), 16.0, bold=bold) == width_of("aaa", 16.0, bold=bold)


def test_a_hundred_thousand_letters_without_a_blank_are_broken_in_no_time() -> None:
    assert len(wrapped("x" * 100_000, 16.0, 300.0)) > 3000
