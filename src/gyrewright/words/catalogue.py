"""The sentence catalogue: everything that is said to a person, by the ids that the code uses.

A language is a folder of TOML files, one for each room, read as one. A table whose name holds a dot, or that has a
`question`, is a finding; every other table is a list of words by id. A key that ends in a colon speaks for a family:
`"load_kg:" = "the mass on {part}"`. British wording is a folder with only the keys that differ in more than
spelling; single words go by `spelling`.
"""

from __future__ import annotations

import string
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from importlib.resources import files
from typing import Any

from gyrewright.errors import UnknownName
from gyrewright.words.spelling import spelled

FIRST = "en-US"
PARTS = ("commander", "instructor", "student", "examiner", "passenger")
LANGUAGES = (FIRST, "en-GB")


@dataclass(frozen=True, slots=True)
class Template:
    """A sentence with gaps: pieces of text, each followed by the name of what fills the gap behind it, or by none."""

    text: str
    parts: tuple[tuple[str, str, str], ...]

    @property
    def is_plain(self) -> bool:
        """Whether there is no gap to fill."""
        return len(self.parts) == 1 and not self.parts[0][1]

    @property
    def names(self) -> frozenset[str]:
        """The names of the gaps."""
        return frozenset(name for _, name, _ in self.parts if name)


def template(text: str) -> Template:
    """Return the template that a text of the catalogue spells."""
    parts = [(literal, name or "", spec or "") for literal, name, spec, _ in string.Formatter().parse(text)]
    return Template(text, tuple(parts))


@dataclass(frozen=True, slots=True)
class Catalogue:
    """All words of one language."""

    language: str
    tables: Mapping[str, Mapping[str, Template]]

    def finding(self, id: str, *keys: str) -> Template | None:
        """Return a finding's template under the first of the keys that it has, or that every finding has."""
        for table in (self.tables.get(id), self.tables["default"]):
            if table is not None:
                for key in keys:
                    found = table.get(key)
                    if found is not None:
                        return found
        return None

    def word(self, table: str, key: str) -> tuple[Template, str] | None:
        """Return the template for a key of a table, and the part of the key that its family leaves open."""
        words = self.tables.get(table, {})
        found = words.get(key) or self._of_another(words, key)
        if found is not None:
            return found, ""
        family = key
        while ":" in family:
            family = family[: family.rstrip(":").rfind(":") + 1] if ":" in family.rstrip(":") else ""
            if family in words:
                return words[family], key[len(family) :]
        return None

    def _of_another(self, words: Mapping[str, Template], key: str) -> Template | None:
        """Return what the words say of another part, said of this one: the student's date of birth, the examiner's."""
        part, _, rest = key.partition("_")
        if part in PARTS and rest:
            for other in PARTS:
                found = words.get(f"{other}_{rest}")
                if found is not None and other in found.text:
                    return template(found.text.replace(other, part))
        return None


@lru_cache(maxsize=8)
def catalogue(language: str = FIRST) -> Catalogue:
    """Return the words of a language; where it has none of its own, those of the first language.

    Raises:
        UnknownName: There is no such language.
    """
    if language not in LANGUAGES:
        raise UnknownName(f"no words in {language!r}; choose one of: {', '.join(LANGUAGES)}")
    merged = _read(FIRST)
    if language != FIRST:
        merged = {name: {key: spelled(text, language) for key, text in words.items()} for name, words in merged.items()}
        for name, words in _read(language).items():
            merged.setdefault(name, {}).update(words)
    return Catalogue(
        language, {name: {key: template(text) for key, text in words.items()} for name, words in merged.items()}
    )


def _read(language: str) -> dict[str, dict[str, str]]:
    """Return the tables of all files of a language."""
    tables: dict[str, dict[str, str]] = {}
    for file in sorted(files("gyrewright.words").joinpath(language).iterdir(), key=lambda each: each.name):
        if file.name.endswith(".toml"):
            data: dict[str, dict[str, Any]] = tomllib.loads(file.read_text(encoding="utf-8"))
            for name, words in data.items():
                tables.setdefault(name, {}).update(words)
    return tables
