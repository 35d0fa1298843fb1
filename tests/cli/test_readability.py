"""The page reads well in a narrow terminal, in a pipe, without color, and aloud."""

import re
from itertools import pairwise

import pytest

from gyrewright.cli.page import WIDTH, brief, page, working_page
from gyrewright.words.tell import tell
from gyrewright.words.working import workings
from kit.files import DEMO, demo, good_day

FLIGHTS = (
    "0630-sunde-halloran",
    "0820-okafor-lind-castellane",
    "1330-sunde-halloran",
    "1900-halloran-alone",
    "table-1330-sanderling-solo-16",
)


@pytest.fixture(scope="module")
def pages():
    """Every kind of page: answers, workings, the brief form, one with facts missing, and one of another house."""
    out = {}
    for name in FLIGHTS:
        said = tell(demo(name).answer())
        out[name] = page(said)
        out[f"{name} workings"] = working_page(said, workings(said, "all"))
        out[f"{name} brief"] = list(brief(said, name))
    files = demo()
    without = files.changed(files.flight, lambda data: (data["fuel"].pop("stick"), data.pop("runway_state")))
    out["missing"] = page(tell(without.answer()))
    mine = good_day().changed("operation.toml", lambda data: data.update(demo=False))
    out["good day"] = page(tell(mine.answer()))
    out["british"] = page(tell(demo().answer(), language="en-GB"))
    return out


def lines(pages):
    return [(name, line) for name, several in pages.items() for line in several]


def test_no_line_is_wider_than_the_page(pages):
    assert [(name, line) for name, line in lines(pages) if len(line) > WIDTH and " " in line.strip()] == []


def test_go_is_never_a_word(pages):
    assert [each for each in lines(pages) if re.search(r"\bGO(-IF)?\b", each[1])] == []


def test_nothing_stumbles_when_read_aloud(pages):
    drawn = re.compile(r"[│─→←↑↓✔✘•·]|<-|->|=>|\.\.\.|\x1b|\t|[|*_#]{3,}")
    assert [each for each in lines(pages) if drawn.search(each[1])] == []


def test_no_gap_was_left_open_and_nothing_of_the_code_shows(pages):
    code = re.compile(r"\{|\}|\bNone\b(?! of)|\bnan\b|\binf\b|Fact\(|datetime|frozenset|<gyrewright")
    assert [each for each in lines(pages) if code.search(each[1])] == []


def test_no_question_mark_stands_for_a_missing_value(pages):
    assert [each for each in lines(pages) if re.search(r"(^|\s)\?|\?[,.;:]", each[1])] == []


def test_a_line_never_ends_in_a_blank_and_never_two_are_empty(pages):
    for several in pages.values():
        assert all(line == line.rstrip() for line in several)
        assert all(first or second for first, second in pairwise(several))


def test_the_first_screen_holds_question_mark_sentence_and_what_was_not_looked_at(pages):
    for name in FLIGHTS:
        first = "\n".join(pages[name][:20])
        assert "\nMay " in first
        assert re.search(r"\n(STOP|UNKNOWN|JUDGE|ONLY IF|NOTHING FOUND)\n", first)


def test_demonstration_data_are_marked_on_every_page(pages):
    for name, several in pages.items():
        if "brief" not in name and name not in ("good day",):
            assert several[0] == "DEMONSTRATION: people, aircraft and place are invented."
    assert "DEMONSTRATION" not in pages["good day"][0]


def test_every_page_ends_with_who_releases(pages):
    for name, several in pages.items():
        if "brief" not in name:
            assert several[-1] == "This releases nothing: a person does."


def test_british_words_are_used_where_they_are_asked_for(pages):
    text = "\n".join(pages["british"])
    assert "centre of gravity" in text
    assert "center of gravity" not in text


def test_every_flight_of_the_demonstration_has_a_page_within_its_width():
    for path in (DEMO / "flights").glob("table-*.toml"):
        said = tell(demo(path.stem).answer())
        assert all(len(line) <= WIDTH for line in page(said) if " " in line.strip())
