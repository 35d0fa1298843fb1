"""Whatever is written into a file or a report: one clear error or an honest answer, in bounded time, and never a crash.

The time is that of the processor, so that a busy machine does not fail the test.
"""

from __future__ import annotations

import random
import time
from copy import deepcopy
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from gyrewright.errors import DefinitionError
from gyrewright.finding import Verdict
from gyrewright.release.answer import Answer
from gyrewright.release.decide import decide
from gyrewright.release.files import read_question
from kit.files import DEMO, Files, at_place, demo, places, with_value

SECONDS = 5.0
FLIGHTS = {
    "dunlin": "0630-sunde-halloran",
    "whimbrel": "0900-okafor-lind-eklund",
    "sanderling": "1900-halloran-alone",
}
CASES = {each: demo(flight, each) for each, flight in FLIGHTS.items()}
BOOKS = ("aircraft/{}-program.toml", "aircraft/{}-records.toml")
ODD = [
    *("", "0", "-1", "1", "1e999", "nan", "inf", "-0.0", "9" * 400, "0x10", "true", "null", "none", "open", "empty"),
    *("''", '""', '"', "[]", "[[]]", "{}", "[{}]", '{ value = "1 kg" }', '"1 kg"', '"-5 L"', '"kt"', '"1 2 3 kg"'),
    *('"\\u0000"', '"\\ud83d"', '"°"', '"٣ kg"', '"1e3 kg"', "1979-05-27", "07:32:00", "1979-05-27T07:32:00"),
    *("1979-05-27T07:32:00-07:00", "0001-01-01T00:00:00+14:00", "9999-12-31T23:59:59-12:00", '"variable"', '"model"'),
]
WORDS = """
    x | 0 kg | -1 kg | 1 kg | 999999999 kg | 0 m | 1000 ft | 0 L | 40 L | 0 h | 24 h | 0 min | 300 K | -80 C | 56 C
    | 1 kt | 100 kt | 1 Pa | 1013 hPa | 0 % | 500 % | 0 deg | 360 deg | variable | none | empty | open | 1 times | °
    | ../.. | /etc/passwd | people.toml | 25 | throughout | model | linear | at most | 14 E | 43.95 N | UTC | first only
"""
VALUES: list[Any] = [
    *(each.strip() for each in WORDS.split("|")),
    *("", "\u0000", "a" * 300, 0, -1, 1, 2**70, 0.0, 1e308, True, False, [], {}, [[]], [{}], ["x"], [1, 2]),
    *({"value": "1 kg"}, {"x": 1}, {"a\nb": 1}),
]
SPOILS = ['"', "[", "]", "=", "\n", ",", "{", "\\", "0", "-", "é", "\x00"]
LONGEST_LINE = 1500


def outcome(files: Files) -> Answer | DefinitionError:
    """Return the answer or the error of some files, and hold it to the bound on time."""
    start = time.process_time()
    found: Answer | DefinitionError
    try:
        found = decide(read_question(files.flight, files.fetch))
    except DefinitionError as error:
        found = error
    assert time.process_time() - start < SECONDS
    if isinstance(found, DefinitionError):
        assert found.problems
        for each in found.problems:
            assert each.file
            assert each.text
            assert "\n" not in str(each), str(each)
            assert len(str(each)) < LONGEST_LINE, str(each)
    else:
        assert found.findings
        assert found.verdict is max(each.verdict for each in found.findings)
    return found


def spoiled(text: str, chance: random.Random) -> str:
    """Return a text with one thing wrong: a character, a line, a value, an end that is missing."""
    lines = text.splitlines(keepends=True)
    kind = chance.randrange(8)
    if kind == 0 and text:
        place = chance.randrange(len(text))
        return text[:place] + chance.choice(SPOILS) + text[place + 1 :]
    if kind == 1 and text:
        place = chance.randrange(len(text))
        return text[:place] + text[place + chance.randrange(1, 4) :]
    if kind == 2:
        return text[: chance.randrange(len(text) + 1)]
    number = chance.randrange(len(lines))
    if kind == 3:
        del lines[number]
    elif kind == 4:
        lines.insert(chance.randrange(len(lines)), lines[number])
    elif kind == 5:
        other = chance.randrange(len(lines))
        lines[number], lines[other] = lines[other], lines[number]
    else:
        key, equals, _ = lines[number].partition("=")
        lines[number] = f"{key}{equals}{chance.choice(ODD)}\n" if equals else chance.choice(ODD) + "\n"
    return "".join(lines)


def text_of(files: Files, path: str) -> str:
    """Return the text of a file as it ships, comments and layout included."""
    return (DEMO / path).read_text()


def paths_of(aircraft: str) -> list[str]:
    files = CASES[aircraft]
    return [*files.data, *(each.format(aircraft) for each in BOOKS)]


@settings(max_examples=150)
@given(st.sampled_from(sorted(CASES)), st.data())
def test_a_file_with_something_wrong_in_its_text_is_refused_or_answered(aircraft, data):
    files = CASES[aircraft]
    path = data.draw(st.sampled_from(paths_of(aircraft)))
    chance = random.Random(data.draw(st.integers(0, 2**32)))
    text = text_of(files, path) if path != "operation.toml" else files.texts[path].replace("\n", "\n\n")
    for _ in range(data.draw(st.integers(1, 3))):
        text = spoiled(text, chance)
    outcome(files.with_text(path, text))


@settings(max_examples=150)
@given(st.sampled_from(sorted(CASES)), st.data())
def test_a_file_with_another_value_somewhere_is_refused_or_answered(aircraft, data):
    files = CASES[aircraft]
    path = data.draw(st.sampled_from(sorted(files.data)))
    found = deepcopy(files.data[path])
    for _ in range(data.draw(st.integers(1, 3))):
        place = data.draw(st.sampled_from(list(places(found))))
        value = data.draw(st.sampled_from(VALUES))
        found = with_value(found, place, deepcopy(value))
    outcome(files.with_data(path, found))


@settings(max_examples=100)
@given(st.data())
def test_a_key_that_moved_elsewhere_is_refused_or_answered(data):
    files = CASES["dunlin"]
    path = data.draw(st.sampled_from(sorted(files.data)))
    found = deepcopy(files.data[path])
    everywhere = [place for place in places(found) if isinstance(place[-1], str)]
    one, other = data.draw(st.sampled_from(everywhere)), data.draw(st.sampled_from(everywhere))
    found = with_value(found, one, deepcopy(at_place(files.data[path], other)))
    outcome(files.with_data(path, found))


REPORT = "METAR X0TB 121310Z 18003KT 10SM CLR 09/02 A2980"
FORECAST = "TAF X0TB 121120Z 1212/1312 18003KT P6SM SKC FM121800 20014G22KT P6SM FEW080 FM130100 21006KT P6SM SKC"
GROUPS = [
    *("/////KT", "VRB03KT", "00000KT", "18003G02KT", "18099G99KT", "36099MPS", "P99KT", "M1/4SM", "1/0SM", "0000"),
    *("9999", "CAVOK", "NSC", "VV///", "OVC000", "//////", "M99/M99", "99/", "/////", "A0000", "A9999", "Q0000"),
    *("Q1013", "TSRA", "+FC", "RMK", "SLP", "BECMG", "TEMPO", "NOSIG", "FM129999", "TL0000", "AT2500", "1212/1112"),
    *("PROB40", "COR", "NIL", "AUTO", "=", "$", "121310Z", "X0TB", "é", "\u0000", "9" * 300),
    "TEMPO 1213/1215 20030G45KT TSRA",
]


@st.composite
def weather_texts(draw, text):
    """Draw a report with some of its groups or characters changed."""
    words = text.split()
    for _ in range(draw(st.integers(1, 4))):
        kind = draw(st.sampled_from(["drop", "add", "change", "double", "character", "cut"]))
        place = draw(st.integers(0, max(len(words) - 1, 0)))
        if kind == "drop" and words:
            del words[place]
        elif kind == "add":
            words.insert(place, draw(st.sampled_from(GROUPS)))
        elif kind == "change" and words:
            words[place] = draw(st.sampled_from(GROUPS))
        elif kind == "double" and words:
            words.insert(place, words[place])
        elif kind == "character" and words and words[place]:
            word = words[place]
            at = draw(st.integers(0, len(word) - 1))
            other = draw(st.characters(max_codepoint=0x2FF, exclude_categories=["Cs"]))
            words[place] = word[:at] + other + word[at + 1 :]
        elif kind == "cut":
            words = words[:place]
    return " ".join(words)


@settings(max_examples=150)
@given(st.lists(weather_texts(REPORT), max_size=2), st.lists(weather_texts(FORECAST), max_size=2))
def test_weather_of_any_text_is_refused_or_answered(reports, forecasts):
    files = CASES["dunlin"]
    found = files.changed(
        files.flight, lambda data: data["weather"].update(reports=list(reports), forecasts=list(forecasts))
    )
    answer = outcome(found)
    if isinstance(answer, Answer) and not reports:
        assert answer.verdict >= Verdict.UNKNOWN


@settings(max_examples=60)
@given(st.text(max_size=200), st.sampled_from(["reports", "forecasts"]))
def test_any_text_for_a_report_is_refused_or_answered(text, key):
    files = CASES["dunlin"]
    outcome(files.changed(files.flight, lambda data: data["weather"].update({key: [text]})))


@settings(max_examples=60)
@given(st.text(max_size=300), st.sampled_from(sorted(CASES["dunlin"].data)))
def test_any_text_for_a_file_is_refused(text, path):
    found = outcome(CASES["dunlin"].with_text(path, text))
    assert isinstance(found, DefinitionError)


def test_one_wrong_character_in_a_report_never_improves_an_answer():
    report = "METAR X0TB 121310Z 18028G38KT 10SM CLR 09/02 A2980"
    files = CASES["dunlin"]
    files = files.changed(files.flight, lambda data: data["weather"].update(reports=[report]))
    assert files.answer().verdict is Verdict.STOP
    for place in range(len("METAR X0TB 121310Z "), len(report)):
        for character in ("/", "X", " ", "?"):
            wrong = report[:place] + character + report[place + 1 :]
            found = outcome(files.changed(files.flight, lambda data, w=wrong: data["weather"].update(reports=[w])))
            assert isinstance(found, DefinitionError) or found.verdict >= Verdict.UNKNOWN, wrong


@pytest.mark.parametrize("depth", [50, 500, 5000])
def test_deep_nesting_is_refused(depth):
    for text in ("a = " + "[" * depth + "]" * depth, "a = " + "{ a = " * depth + "1" + " }" * depth):
        found = outcome(CASES["dunlin"].with_text("field.toml", text))
        assert isinstance(found, DefinitionError)
