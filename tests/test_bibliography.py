"""Every source that the code or a test names by a short key stands in the bibliography, and nothing else does."""

from __future__ import annotations

import ast
import io
import re
import tokenize
from functools import cache
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
ENTRIES = re.findall(r"^\*\*\[(.+?)\]\*\* (.+)$", (ROOT / "docs" / "bibliography.md").read_text(), re.M)
KEY = re.compile(r"\[([A-Za-z]*[A-Z][A-Z0-9.-]{3,})\]")
FILES = sorted(path for folder in ("src", "tests") for path in (ROOT / folder).rglob("*.py"))


def keys(text):
    """Return the keys in a module's docstrings and comments; a bracket in code is not one."""
    said = [
        token.string for token in tokenize.generate_tokens(io.StringIO(text).readline) if token.type == tokenize.COMMENT
    ]
    for node in ast.walk(ast.parse(text)):
        if isinstance(node, (ast.Module, ast.ClassDef, ast.FunctionDef)):
            said.append(ast.get_docstring(node) or "")
    return {key for each in said for key in KEY.findall(each)}


@cache
def used():
    return {path.relative_to(ROOT): keys(path.read_text(encoding="utf-8")) for path in FILES}


def test_every_key_that_is_used_stands_in_the_bibliography():
    listed = {key for key, _ in ENTRIES}
    lost = {str(path): sorted(found - listed) for path, found in used().items() if found - listed}
    assert lost == {}


def test_every_entry_of_the_bibliography_is_used_outside_it():
    assert sorted({key for key, _ in ENTRIES} - set().union(*used().values())) == []


def test_the_bibliography_lists_each_key_once_and_in_order():
    listed = [key for key, _ in ENTRIES]
    assert listed == sorted(set(listed))


def test_every_line_of_the_bibliography_is_an_entry_that_can_be_read():
    lines = (ROOT / "docs" / "bibliography.md").read_text().splitlines()
    assert [line for line in lines if line.startswith("**")] == [f"**[{key}]** {text}" for key, text in ENTRIES]


@pytest.mark.parametrize(
    "path",
    [path for path in FILES if path.parent.name == "published" and path.name.startswith("test_")],
    ids=lambda path: path.stem,
)
def test_every_file_of_published_numbers_begins_with_the_key_of_its_source(path):
    assert re.match(KEY, ast.get_docstring(ast.parse(path.read_text(encoding="utf-8"))) or ""), path


def test_a_key_is_found_in_a_docstring_and_in_a_comment_but_not_in_code():
    text = '"""As in [AAA1976] p. 3; x [Pa]."""\nx = places[FIELD]  # after [BBB25C]\n'
    assert keys(text) == {"AAA1976", "BBB25C"}
