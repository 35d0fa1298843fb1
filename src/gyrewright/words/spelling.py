"""British spelling and terms for what we wrote ourselves: word by word from a table, phrases before their words."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Mapping
from functools import cache, lru_cache
from importlib.resources import files

BRITISH = "en-GB"


@cache
def _table() -> tuple[re.Pattern[str], Mapping[str, str]]:
    text = files("gyrewright.words").joinpath("spelling.toml").read_text(encoding="utf-8")
    data = tomllib.loads(text)
    found: dict[str, str] = {**data["phrase"], **data["word"]}
    longest_first = sorted(found, key=len, reverse=True)
    # A gap of a template and a name in code are no words.
    pattern = re.compile(r"\{[^}]*\}|(?<![\w-])(?:" + "|".join(map(re.escape, longest_first)) + r")(?![\w])", re.I)
    return pattern, found


def american_words() -> frozenset[str]:
    """Return every word and phrase that has a British form."""
    return frozenset(_table()[1])


@lru_cache(maxsize=8192)
def spelled(text: str, language: str) -> str:
    """Return our own words as a reader of a language spells them; a capital and a gap stay as they are."""
    if language != BRITISH:
        return text
    pattern, found = _table()
    return pattern.sub(lambda match: _like(match.group(), found.get(match.group().lower())), text)


def _like(american: str, british: str | None) -> str:
    """Return the British word with the capitals of the American one."""
    if british is None:
        return american
    if american.isupper() and len(american) > 1:
        return british.upper()
    return british[:1].upper() + british[1:] if american[:1].isupper() else british
