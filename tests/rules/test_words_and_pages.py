"""Rules shown to people: their sentences, their lines, their generated page."""

import string
import tomllib
from datetime import date
from importlib import resources
from pathlib import Path

import pytest

from gyrewright.errors import UnknownName
from gyrewright.rules import packaged, read_pack
from gyrewright.rules.force import fact_names
from gyrewright.rules.pack import LIMIT
from gyrewright.rules.page import law_page
from gyrewright.rules.show import rule_lines

ROOT = Path(__file__).parents[2]
WORDS = tomllib.loads((resources.files("gyrewright.words") / "en-US" / "rules.toml").read_text(encoding="utf-8"))


@pytest.fixture(params=["us", "velmark"])
def each_pack(request):
    return read_pack(packaged(request.param))


def test_every_computed_rule_has_a_question_and_its_sentences(each_pack):
    for rule in each_pack.rules:
        unread = any(value.unread for value in rule.values)
        if rule.evaluator == LIMIT and not unread:
            continue
        words = WORDS[f"rule.{rule.id}"]
        assert words["question"].endswith("?")
        assert "unknown" in words
        assert ("unread" in words) == unread


def test_every_sentence_of_the_catalogue_belongs_to_a_rule_or_a_gate():
    ids = {f"rule.{rule.id}" for name in ("us", "velmark") for rule in read_pack(packaged(name)).rules}
    gates = {
        f"rule.{name}.unsaid.{gate}"
        for name in ("us", "velmark")
        for gate in ("certificate", "privileges", "teaching", "airspace", "surface", "light")
    }
    assert WORDS.keys() - ids - gates <= {"condition", "cure", "caution", "fact"}


def test_every_reason_that_a_rule_gives_has_its_sentence_and_every_blank_its_value(ask, us):
    """Run over the flights of the row table: what was found can be said."""
    import importlib.util

    spec = importlib.util.spec_from_file_location("row_table", Path(__file__).with_name("test_rows.py"))
    rows = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(rows)
    plain = [(rule, bad) for _, rule, _, bad, _ in rows.ROWS if not any(holds_a_shape(value) for value in bad.values())]
    assert len(plain) > 80
    for rule, bad in plain:
        for found in (*ask(rule, bad), *ask(rule, {})):
            template = WORDS[found.id][found.why]
            blanks = {name for _, name, _, _ in string.Formatter().parse(template) if name}
            assert blanks - {"lacking"} <= set(found.params), (found.id, found.why, blanks)


def test_what_is_said_of_a_missing_fact_needs_nothing_but_its_name():
    for id, table in WORDS.items():
        if "unknown" in table:
            blanks = {name for _, name, _, _ in string.Formatter().parse(table["unknown"]) if name}
            assert blanks <= ({"lacking", "count"} if ".unsaid." in id else {"lacking"}), id


def holds_a_shape(value):
    values = value if isinstance(value, tuple) else (value,)
    return any(type(each).__name__ in ("At", "Land", "End") or isinstance(each, tuple) for each in values)


def test_no_sentence_says_go_to_a_person():
    for table in WORDS.values():
        for sentence in table.values():
            assert "GO" not in sentence


def test_a_rule_is_shown_with_both_texts_and_the_one_that_holds_is_marked(us):
    lines = rule_lines(us, "us.61.57.day", date(2024, 12, 2))
    text = "\n".join(lines)
    assert "> from 2 December 2024" in text
    assert "  in force by 1 January 2024" in text
    assert "carrying: persons" in text
    assert "carrying: passengers" in text
    assert "61.57(a)" in text
    assert "The current text governs." in " ".join(line.strip() for line in lines)
    before = "\n".join(rule_lines(us, "us.61.57.day", date(2024, 12, 1)))
    assert "> in force by 1 January 2024" in before


def test_quantities_are_shown_as_they_are_written(us):
    text = "\n".join(rule_lines(us, "us.61.316", date(2027, 6, 14)))
    assert "stall: 45 kt" in text
    assert "mass: 1320 lb" in text
    text = "\n".join(rule_lines(us, "us.91.151", date(2027, 6, 14)))
    assert "reserve at least 20 min" in text


def test_a_rule_that_is_not_in_force_says_so(us):
    text = "\n".join(rule_lines(us, "us.61.331", date(2025, 10, 21)))
    assert "no text of this rule is in force" in text


def test_a_text_that_nobody_has_read_says_so(us):
    text = "\n".join(rule_lines(us, "us.61.51.training", date(2027, 3, 1)))
    assert "> from 1 March 2027, a text that nobody has read" in text


def test_no_line_is_wider_than_eighty(each_pack):
    lines = rule_lines(each_pack, None, date(2027, 6, 14))
    for rule in each_pack.rules:
        lines += rule_lines(each_pack, rule.id, date(2027, 6, 14))
    assert max(map(len, lines)) <= 80


def test_all_rules_are_listed(each_pack):
    text = "\n".join(rule_lines(each_pack, None, date(2027, 6, 14)))
    assert all(rule.id in text for rule in each_pack.rules)


def test_a_rule_that_is_not_there_is_refused(us):
    with pytest.raises(UnknownName):
        rule_lines(us, "us.0", date(2027, 6, 14))


def test_the_generated_page_is_current(us):
    """Write it again with what `gyrewright.rules.page.law_page` returns."""
    assert (ROOT / "docs" / "law-us.md").read_text(encoding="utf-8") == law_page(us)


COMMON = {
    *("flight_on", "asked_at", "depart_at", "land_at", "block_h", "purpose", "aboard_count", "make_model"),
    *("commander", "instructor", "student", "passenger", "passenger_count"),
    *("sunrise_at", "sunset_at", "dusk_at", "dawn_at", "cloud_base_m"),
}


def test_every_fact_that_the_law_asks_for_has_words_for_what_to_fetch(each_pack):
    asked = {name for rule in each_pack.rules for name in fact_names(rule)} - COMMON
    assert asked - WORDS["fact"].keys() == set()
