"""What the documentation shows is what the code reads: every file in it is read, every command in it exists."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from gyrewright.errors import DefinitionError
from gyrewright.release.files import KINDS, check_files

ROOT = Path(__file__).parents[1]
DOCS = ROOT / "docs"
FILES = re.findall(r"```toml\n# (\S+)\n(.*?)```", (DOCS / "your-own-files.md").read_text(), re.S)
COMMANDS = set(re.findall(r"add_parser\(\s*\"(\w+)\"", (ROOT / "src/gyrewright/cli/__init__.py").read_text()))


def read(texts):
    try:
        return check_files(list(texts), lambda path: texts[path])
    except DefinitionError as error:
        pytest.fail(str(error))


def test_the_guide_shows_a_file_of_every_kind_that_a_person_writes_first():
    kinds = {re.search(r'kind = "(\w+)"', text)[1] for _, text in FILES}
    assert kinds == {"aircraft", "field", "people", "flight"}


@pytest.mark.parametrize(("path", "text"), FILES, ids=[path for path, _ in FILES])
def test_every_file_in_the_guide_is_read_without_a_problem(path, text):
    kind = re.search(r'kind = "(\w+)"', text)[1]
    assert read({path: text}) == (f"{path}: {kind}",)


def test_the_weighing_record_in_the_guide_is_worked_out_right():
    guide = (DOCS / "your-own-files.md").read_text()
    assert pytest.approx(699_582) == 10.8 * 405 + 279.2 * 2490
    assert "699,582 kg mm" in guide
    assert round(699_582 / 290.0) == 2412


@pytest.mark.parametrize("name", sorted(path.name for path in DOCS.glob("*.md")))
def test_every_command_in_the_documentation_exists(name):
    shown = re.findall(r"^\s+(?:\.venv/bin/)?gyrewright (\w+)", (DOCS / name).read_text(), re.M)
    assert set(shown) <= COMMANDS


def test_every_command_in_the_readme_exists():
    shown = re.findall(r"^\s+(?:\.venv/bin/)?gyrewright (\w+)", (DOCS.parent / "README.md").read_text(), re.M)
    assert set(shown) <= COMMANDS


def test_every_kind_of_file_is_named_in_the_documentation():
    told = " ".join(path.read_text() for path in DOCS.glob("*.md"))
    for kind in KINDS:
        assert re.search(rf"\b{kind}", told), kind
