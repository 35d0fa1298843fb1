"""The writer of SVG: whatever is written comes out as one well-formed tree that reads as it was meant."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gyrewright.pictures import svg
from pictures.measured import at, named, parsed, words


def one_text(content: str) -> str:
    drawn = [svg.text(1.0, 20.0, content, size=16.0)]
    return svg.document(drawn, width=100.0, height=40.0, title=content or "t", desc=content or "d")


@given(st.text(max_size=60))
def test_any_text_whatsoever_makes_a_well_formed_picture_with_as_many_elements(content: str) -> None:
    root = parsed(one_text(content))
    assert len(list(root.iter())) == 5


def test_markup_in_a_name_stays_text() -> None:
    name = """</text><script>alert("x")</script> & 'y' <!-- ]]>"""
    picture = one_text(name)
    assert "<script" not in picture
    assert words(parsed(picture)) == [name]


@pytest.mark.parametrize("letter", ["\u202e", "\u2066", "\u200f", "\x00", "\x1b", "\ufffe", "\ud800"])
def test_letters_that_turn_the_direction_or_that_xml_forbids_are_replaced(letter: str) -> None:
    assert words(parsed(one_text(f"15{letter}20 kt"))) == ["15\ufffd20 kt"]


def test_a_line_break_in_a_name_becomes_a_blank() -> None:
    assert svg.clean("a\nb\tc") == "a b c"


def test_coordinates_are_written_to_a_hundredth_without_idle_zeros() -> None:
    assert [svg.number(each) for each in (1.0, 1.256, -0.001, 10.5, 100.0)] == ["1", "1.26", "0", "10.5", "100"]


def test_attributes_that_are_empty_are_left_out_and_underscores_are_hyphens() -> None:
    written = svg.element("line", stroke_width=2.0, class_="", dash=None)
    assert written.attributes == (("stroke-width", "2"),)


def test_the_paper_is_drawn_first_over_the_whole_picture() -> None:
    root = parsed(one_text("x"))
    (paper,) = named(root, "rect", "paper")
    assert (at(paper, "x"), at(paper, "y"), at(paper, "width"), at(paper, "height")) == (0.0, 0.0, 100.0, 40.0)
    assert paper.get("fill") == svg.PAPER


def test_two_pictures_on_one_page_do_not_share_their_names() -> None:
    ids = [parsed(one_text(each)).get("aria-labelledby") for each in ("one", "two")]
    assert ids[0] != ids[1]
