"""One way to read a temperature and an angle, in everything that is said of an answer."""

from __future__ import annotations

import json
import re

import pytest

from gyrewright.release.carry import numbers_to_carry
from gyrewright.release.ways import ways
from gyrewright.words.as_json import as_json
from gyrewright.words.tell import tell
from gyrewright.words.tell_ways import carry_told, offers_told, windows_told
from gyrewright.words.working import ALL, workings
from kit.files import demo

# As it is typed in a file and must not be read anywhere: 17 C, 62 deg. Reports in their own code have no blank there.
TYPED = re.compile(r"\d ?(?:C|F|deg)\b(?!-)")


def texts_of(value):
    if isinstance(value, str):
        yield value
    elif isinstance(value, dict):
        # `typed` is what somebody typed, kept to the letter for programs.
        yield from (text for key, each in value.items() if key not in ("typed", "unit") for text in texts_of(each))
    elif isinstance(value, list | tuple):
        yield from (text for each in value for text in texts_of(each))


@pytest.mark.parametrize("flight", ["0630-sunde-halloran", "1330-sunde-halloran"])
def test_degrees_carry_their_sign_in_every_text(flight):
    files = demo(flight)
    said = tell(files.answer())
    told = list(texts_of(json.loads(json.dumps(as_json(said)))))
    told += [step.line for each in workings(said, ALL) for step in each.steps]
    told += [each.value for each in workings(said, ALL)]
    question = files.answer().situation.question
    told += [text for each in numbers_to_carry(question) for row in carry_told(said.voice, each)[1] for text in row]
    found = ways(question, over=("start", "runway"))
    told += [text for each in offers_told(found) for text in (each.changes, each.next, *each.edges, *each.todo)]
    told += list(windows_told(said.voice, found.windows))
    assert [text for text in told if TYPED.search(text)] == []
    assert any(re.search(r"\d °C", text) for text in told)
    assert any(re.search(r"\d°", text) for text in told)
