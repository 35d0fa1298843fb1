"""British spelling: every American word in what we wrote has its British form, and nothing else is touched."""

from __future__ import annotations

import ast
import re
import tomllib
from importlib.resources import files
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gyrewright.words.catalogue import FIRST, catalogue
from gyrewright.words.spelling import BRITISH, american_words, spelled

SOURCE = Path(str(files("gyrewright")))

# From memory, and larger than the table on purpose: words that American and British texts of this trade spell
# differently. What stands in a text that a person reads must have a British form in the table.
_LIST = """
    airplane airplanes aluminum analyze analyzed anesthetic authorize authorized authorization behavior canceled
    canceling carburetor carburetors catalog center centers centered centering color colors colored
    counterclockwise defense discrepancy discrepancies draft favor favorable fiber flashlight flavor fueled
    fueling fulfill gasoline gray harbor honor kilometer kilometers labeled labeling labor leveled leveling
    license licenses liter liters maneuver maneuvers maneuvering meager millimeter millimeters modeled mold
    neighbor neighbors neighboring odor offense organization organize organized paralyze plow preflight
    pressurized program programs rancor recognize recognized refueled refueling rigor rumor saber skillful specter
    stabilizer stabilize theater tire tires totaled traveled traveling tumor vapor vigor walk-around windshield
    windshields wrench wrenches
"""
AMERICAN = tuple(_LIST.split())
# Words that a British text has too, with another meaning.
BOTH = {"draft", "catalog"}
LONGEST_FIRST = "|".join(sorted(AMERICAN, key=len, reverse=True))
FOUND = re.compile(rf"(?<![\w-])({LONGEST_FIRST})(?!\w)", re.IGNORECASE)
# In British English too a computer runs a program.
COMPUTERS = re.compile(r"mail program", re.IGNORECASE)


def left_over(text: str) -> list[str]:
    """Return the American words of a text that a British reader would still meet."""
    plain = re.sub(r"\{[^}]*\}", " ", COMPUTERS.sub(" ", spelled(text, BRITISH)))
    return [word for word in FOUND.findall(plain) if word.lower() not in BOTH]


def test_every_word_of_the_list_has_a_british_form_or_is_in_no_text_of_ours():
    assert left_over("The Center of GRAVITY, two tires, an airplane's program") == []
    assert spelled("The Center, two TIRES; Program.", BRITISH) == "The Centre, two TYRES; Programme."


def test_no_sentence_of_the_catalogue_is_left_american():
    british = catalogue(BRITISH)
    left = [
        (table, key, word)
        for table, words in british.tables.items()
        for key, template in words.items()
        for word in FOUND.findall(re.sub(r"\{[^}]*\}", " ", template.text))
    ]
    assert left == []


@pytest.mark.parametrize("name", sorted(each.name for each in (SOURCE / "data" / "lists").glob("*.toml")))
def test_no_walk_round_list_is_left_american(name):
    texts = []

    def gather(value, key=""):
        if isinstance(value, str) and key in _READ:
            texts.append(value)
        elif isinstance(value, dict):
            for inner, each in value.items():
                gather(each, inner)
        elif isinstance(value, list):
            for each in value:
                gather(each, key)

    gather(tomllib.loads((SOURCE / "data" / "lists" / name).read_text(encoding="utf-8")))
    assert len(texts) > 20
    assert [(text, left) for text in texts if (left := left_over(text))] == []


_READ = ("name", "where", "caution", "do", "right", "wrong", "why", "question", "gates")


def test_hardly_a_word_that_a_reading_is_answered_with_is_spelled_in_two_ways():
    """Answers are kept as they stand in the list, whatever the reader: paper and desk spell them only to show them."""
    found = {
        (item["id"], word)
        for file in (SOURCE / "data" / "lists").glob("*.toml")
        for item in tomllib.loads(file.read_text(encoding="utf-8")).get("item", ())
        for reading in item.get("reading", ())
        for word in reading.get("words", ())
        if spelled(word, BRITISH) != word
    }
    assert found == {("C07", "wrong color or smell")}


def test_no_label_of_the_desk_is_left_american():
    """Python texts that hold an American word are spelled by the table when they are shown."""
    left = []
    for path in sorted((SOURCE / "desk").rglob("*.py")):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Constant) and isinstance(node.value, str) and " " in node.value:
                left += [(path.name, word) for word in left_over(node.value)]
    assert left == []


def test_no_template_of_the_desk_is_left_american():
    from gyrewright.desk.pages.loader import spelled_template

    left = []
    for path in sorted((SOURCE / "desk").rglob("*.html")):
        source = spelled_template(path.read_text(encoding="utf-8"), BRITISH)
        read = re.sub(r"\{[%#].*?[%#]\}|\{\{.*?\}\}|<(style|script)\b.*?</\1>|<[^>]*>", " ", source, flags=re.S)
        left += [(path.name, word) for word in FOUND.findall(COMPUTERS.sub(" ", read))]
    assert left == []


def test_no_sheet_is_left_american():
    left = []
    for path in sorted((SOURCE / "desk" / "paper" / "typ").glob("*.typ")):
        for text in re.findall(r'say\("([^"]*)"\)', path.read_text(encoding="utf-8")):
            left += [(path.name, word) for word in left_over(text)]
    assert left == []


def test_no_picture_is_left_american():
    from gyrewright.pictures.speech import WORDS

    assert [(key, left) for key, text in WORDS.items() if (left := left_over(text))] == []


def test_words_stay_words():
    # A part of a word, a word in a name joined by hyphen or underscore, and a gap are none of these words.
    for text in ("programmed", "tireless", "centerline_m", "{center}", "sub-program", "recenter"):
        assert spelled(text, BRITISH) == text


def test_a_phrase_goes_before_its_words_and_keeps_its_capital():
    assert spelled("Open it in your mail program", BRITISH) == "Open it in your mail program"
    assert spelled("Cotter pin seen", BRITISH) == "Split pin seen"
    assert spelled("Driver's license until", BRITISH) == "Driving licence until"


@given(st.text(max_size=60))
def test_in_the_first_language_nothing_changes_and_in_the_other_nothing_twice(text):
    assert spelled(text, FIRST) == text
    once = spelled(text, BRITISH)
    assert spelled(once, BRITISH) == once


def test_no_british_form_is_an_american_word():
    for word in american_words():
        assert spelled(spelled(word, BRITISH), BRITISH) == spelled(word, BRITISH)
