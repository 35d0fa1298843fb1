"""The catalogue has words for everything that the code can say, and its templates ask only for what there is."""

import ast
import inspect
import re
import tomllib
from collections.abc import Iterator
from functools import cache
from importlib.resources import files
from pathlib import Path

import pytest

import gyrewright
from gyrewright.aircraft.definition import AXES, TABLES
from gyrewright.card import CARD_NUMBERS
from gyrewright.errors import UnknownName
from gyrewright.finding import Sense, Verdict, Whose
from gyrewright.limits import PURPOSES, QUANTITIES
from gyrewright.release import checks, recipes
from gyrewright.release.operation import HOUSE_CHOICES
from gyrewright.words.catalogue import FIRST, LANGUAGES, catalogue, template
from gyrewright.words.gaps import GAPS
from gyrewright.words.working import EXPLAIN
from kit.files import demo

SOURCE = Path(gyrewright.__file__).parent
ROOMS = ("release", "people", "maintenance", "inspection", "rules", "training", "rotor", "aircraft", "air")
WORDS = catalogue()

# Every comparison that any kind of aircraft calls for: what an aircraft has or has not is yes or no.
HAS = [name for name in inspect.signature(checks.comparisons).parameters if name.startswith("has_")]
COMPARISONS = {
    each.id: each
    for has in (True, False)
    for each in checks.comparisons([("front",)], ["sunde"], **dict.fromkeys(HAS, has))
}
AGINGS = checks.agings(("gauge", "stick"))
COMMON_WHYS = ("go", "stop", "unverified", "no figure", "unknown")


# --- what the code can say, read from the code itself -----------------------------------------------------------------


SAID = ("Finding", "Condition", "Cure", "Caution")


@cache
def every_call() -> tuple[tuple[str, ast.Call, str], ...]:
    """Return (place, call, name) of every call in the rooms that names something to be said."""
    found = []
    for room in ROOMS:
        for path in sorted((SOURCE / room).rglob("*.py")):
            for node in ast.walk(ast.parse(path.read_text())):
                if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id in SAID:
                    found.append((f"{path.relative_to(SOURCE)}:{node.lineno}", node, node.func.id))
    return tuple(found)


def calls(kind: str) -> Iterator[tuple[str, ast.Call, str]]:
    return (each for each in every_call() if each[2] == kind)


def argument(call: ast.Call, index: int, name: str) -> ast.expr | None:
    if len(call.args) > index:
        return call.args[index]
    return next((each.value for each in call.keywords if each.arg == name), None)


def text_of(node: ast.expr | None) -> str | None:
    return node.value if isinstance(node, ast.Constant) and isinstance(node.value, str) else None


@cache
def said(kind: str) -> tuple[tuple[str, str], ...]:
    """Return (place, id) of everything of a kind that the code names by a plain text."""
    found = ((place, text_of(argument(call, 0, "id"))) for place, call, _ in calls(kind))
    return tuple((place, id) for place, id in found if id is not None)


@pytest.mark.parametrize(("place", "id"), [pytest.param(*each, id=each[0]) for each in said("Finding")])
def test_every_finding_has_its_question(place, id):
    assert id in WORDS.tables, f"{place}: no words for {id}"
    assert "question" in WORDS.tables[id]


def test_every_way_of_a_finding_has_a_sentence():
    missing = []
    for place, call, _ in calls("Finding"):
        id, why = text_of(argument(call, 0, "id")), text_of(argument(call, 2, "why"))
        if id and why and WORDS.finding(id, why) is None:
            missing.append(f"{place}: {id} {why}")
    assert missing == []


@pytest.mark.parametrize("kind", ["Condition", "Cure", "Caution"])
def test_every_condition_cure_and_caution_has_words(kind):
    table = kind.lower()
    missing = [f"{place}: {id}" for place, id in said(kind) if WORDS.word(table, id) is None]
    assert missing == []


@pytest.mark.parametrize(
    "id", sorted({*COMPARISONS, *(each.id for each in AGINGS), *(each.id for each in checks.CHECKS)})
)
def test_every_check_of_a_flight_has_a_question_a_name_and_its_sentences(id):
    assert {"question", "name"} <= set(WORDS.tables[id])
    whys = COMMON_WHYS if id in COMPARISONS else ("unknown",)
    for why in whys:
        assert WORDS.finding(id, why) is not None


@pytest.mark.parametrize("aging", AGINGS, ids=lambda each: each.id)
def test_every_age_has_its_sentences_condition_and_cure(aging):
    assert {"go", "go_if", "stale", "clock"} <= set(WORDS.tables[aging.id])
    assert f"{aging.id}.renew" in WORDS.tables["condition"]
    assert f"{aging.id}.fetch" in WORDS.tables["cure"]
    assert f"fresh:{aging.id}" in WORDS.tables["fact"]


def test_every_broken_limit_has_a_cure():
    lacking = [id for id in COMPARISONS if id.split(".")[1][:4] != "hang" and "cure" not in WORDS.tables[id]]
    assert lacking == []


@pytest.mark.parametrize("flight", ["1330-sunde-halloran", "1900-halloran-alone"])
def test_every_fact_of_the_demonstration_has_words(flight):
    sheet = demo(flight).answer().situation.sheet
    missing = [name for name in sheet.facts if WORDS.word("fact", name) is None]
    assert missing == []


def test_every_fact_that_may_be_lacking_has_words():
    names = [
        name
        for comparison in COMPARISONS.values()
        for whose in comparison.needed
        for name in [f"limit:{whose.value}:{comparison.of}"]
    ]
    names += [f"limit:maker:load:{station}" for station in ("front", "rear+baggage")]
    names += ["envelope_at_this_mass", "table_there", "clock", "weather:wind", "weather:weather"]
    assert [name for name in names if WORDS.word("fact", name) is None] == []


def test_every_number_that_shows_its_working_has_a_title_and_a_rule():
    assert [name for name in EXPLAIN if WORDS.word("number", name) is None] == []
    assert [name for name in EXPLAIN if WORDS.word("working", name) is None] == []


def test_every_step_that_a_working_writes_has_words():
    keys: set[str] = set()
    for path in (SOURCE / "words").glob("*.py"):
        for node in ast.walk(ast.parse(path.read_text())):
            if (
                isinstance(node, ast.Call)
                and isinstance(node.func, ast.Attribute)
                and node.func.attr in ("say", "get", "reckon")
            ):
                for each in ast.walk(node.args[0]) if node.args else ():
                    if isinstance(each, ast.Constant) and isinstance(each.value, str) and "steps" in path.name:
                        keys.add(each.value)
    assert len(keys) > 40
    assert sorted(key for key in keys if key not in WORDS.tables["step"]) == []


@pytest.mark.parametrize(
    ("table", "keys"),
    [
        ("mark", [verdict.name for verdict in Verdict]),
        ("top", [verdict.name for verdict in Verdict]),
        ("whose", list(Whose)),
        ("layer", list(Whose)),
        ("relaxed", list(Whose)),
        ("sense", list(Sense)),
        ("purpose", PURPOSES),
        ("part", [*CARD_NUMBERS, *TABLES]),
        ("how", [word for words in HOUSE_CHOICES.values() for word in words]),
        ("assumption", [f"counting.{name}" for name in HOUSE_CHOICES]),
    ],
    ids=lambda each: each if isinstance(each, str) else "",
)
def test_every_closed_list_has_all_its_words(table, keys):
    assert [key for key in keys if key not in WORDS.tables[table]] == []


# --- what templates ask for -------------------------------------------------------------------------------------------


@cache
def sheet_names() -> set[str]:
    sheet = demo("1330-sunde-halloran").answer().situation.sheet
    across = [each.name for each in recipes.lateral_recipes(("left", "right"))]
    return {*sheet.facts, *sheet.plan.recipes, *across}


@pytest.mark.parametrize("id", sorted(COMPARISONS))
def test_a_comparisons_templates_ask_only_for_what_there_is(id):
    known = GAPS | sheet_names()
    for key, each in WORDS.tables[id].items():
        unknown = {name for name in each.names if name.partition(".")[0] not in known}
        assert unknown == set(), f"{id} {key}"


@pytest.mark.parametrize("check", checks.CHECKS, ids=lambda each: each.id)
def test_a_checks_templates_ask_only_for_what_it_brings(check):
    tree = ast.parse(inspect.getsource(check.judge))
    brought = {
        text_of(key) for node in ast.walk(tree) if isinstance(node, ast.Dict) for key in node.keys if key is not None
    }
    known = GAPS | sheet_names() | {key for key in brought if key}
    for key, each in WORDS.tables[check.id].items():
        assert {name for name in each.names if name.partition(".")[0] not in known} == set(), f"{check.id} {key}"


def test_shared_sentences_ask_only_for_what_every_comparison_brings():
    known = GAPS | sheet_names()
    for key, each in WORDS.tables["default"].items():
        assert each.names <= known, key


# --- the files --------------------------------------------------------------------------------------------------------


def toml_files(language: str) -> Iterator[tuple[str, dict[str, dict[str, str]]]]:
    for file in files("gyrewright.words").joinpath(language).iterdir():
        if file.name.endswith(".toml"):
            yield file.name, tomllib.loads(file.read_text(encoding="utf-8"))


@pytest.mark.parametrize("language", LANGUAGES)
def test_nothing_is_said_twice(language):
    """Two files may share a table, such as the facts; a key that both have says the same."""
    seen: dict[tuple[str, str], tuple[str, str]] = {}
    twice = []
    for name, tables in toml_files(language):
        for table, words in tables.items():
            for key, text in words.items():
                other = seen.setdefault((table, key), (name, text))
                if other[1] != text:
                    twice.append(f"[{table}] {key}: {other[0]} and {name}")
    assert twice == []


def test_british_words_differ_and_ask_for_the_same():
    for name, tables in toml_files("en-GB"):
        for table, words in tables.items():
            for key, text in words.items():
                first = WORDS.tables[table][key]
                assert text != first.text, f"{name} [{table}] {key} does not differ"
                assert template(text).names == first.names, f"{name} [{table}] {key}"


def test_british_words_fall_back_on_the_first_language():
    british = catalogue("en-GB")
    assert british.tables["loading.cg"]["name"].text == "centre of gravity"
    assert british.tables["loading.take_off_mass"] == WORDS.tables["loading.take_off_mass"]


@pytest.mark.parametrize("language", LANGUAGES)
def test_nobody_is_ever_told_to_go(language):
    for name, tables in toml_files(language):
        for table, words in tables.items():
            for key, text in words.items():
                assert not re.search(r"\bgo\b|\bGO-?IF\b", text, re.IGNORECASE), f"{name} [{table}] {key}: {text}"


@pytest.mark.parametrize("language", LANGUAGES)
def test_words_are_plain_letters_that_any_terminal_shows_and_any_reader_speaks(language):
    for name, tables in toml_files(language):
        for table, words in tables.items():
            for key, text in words.items():
                assert text.isascii(), f"{name} [{table}] {key}: {text}"
                assert "  " not in text, f"{name} [{table}] {key}: {text}"
                assert not re.search(r"<-|->|=>|--(?!working|full)", text), f"{name} [{table}] {key}: {text}"


def test_an_unknown_language_says_which_there_are():
    with pytest.raises(UnknownName, match="no words in 'tlh'; choose one of: en-US, en-GB"):
        catalogue("tlh")


def test_a_family_speaks_for_its_members_and_the_longest_name_goes_first():
    found = WORDS.word("fact", "limit:maker:crosswind")
    assert found is not None
    assert found[1] == "crosswind"
    assert WORDS.word("fact", "load_kg:front") == (WORDS.tables["fact"]["load_kg:"], "front")
    assert WORDS.word("fact", "no such fact") is None


def test_axes_and_quantities_are_words_already():
    assert all(name.replace(" ", "").isalpha() for name in (*AXES, *(each.replace("-", "") for each in QUANTITIES)))
    assert FIRST == "en-US"
