"""The press: a sheet's data and a template become a PDF, the same bytes from the same data.

What people typed reaches the templates as JSON only and is set as text: there is no markup in it to obey. The one
typeface comes from its package; neither the machine's fonts nor those of the press are looked at, so that a sheet is
the same everywhere.
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterator, Mapping
from datetime import datetime
from functools import cache
from importlib.resources import files
from pathlib import Path
from typing import Any

import font_source_sans_pro  # type: ignore[import-untyped]
import typst

from gyrewright.desk.refusal import Refused
from gyrewright.pictures.svg import clean
from gyrewright.units import DIMENSIONS, SHOWN
from gyrewright.words.catalogue import FIRST
from gyrewright.words.spelling import spelled

PAPERS = ("a4", "letter", "a5", "half-letter")
"""The papers a sheet can be set for."""

LARGE = ("a4", "letter")
SMALL = ("a5", "half-letter")

_TEMPLATES = Path(str(files("gyrewright.desk.paper") / "typ"))
_FONTS = Path(font_source_sans_pro.__file__).parent / "files"


@cache
def _fonts() -> typst.Fonts:
    return typst.Fonts(include_system_fonts=False, include_embedded_fonts=False, font_paths=[str(_FONTS)])


@cache
def _units() -> str:
    """Return every unit as a pattern, the longest first: a line is not broken between a number and its unit."""
    symbols = {unit.symbol for dimension in DIMENSIONS.values() for unit in dimension.units} | {*SHOWN.values()}
    return "|".join(re.escape(each) for each in sorted(symbols, key=len, reverse=True))


_SAID = re.compile(r'say\("([^"]*)"\)')


@cache
def _terms(language: str) -> dict[str, str]:
    """Return every text of the templates that a reader of a language spells otherwise."""
    said = {text for each in _TEMPLATES.glob("*.typ") for text in _SAID.findall(each.read_text(encoding="utf-8"))}
    return {text: other for text in sorted(said) if (other := spelled(text, language)) != text}


def printed(template: str, sheet: Mapping[str, Any], *, paper: str, made_at: datetime) -> bytes:
    """Return a sheet as a PDF.

    Args:
        template: Name of a template, without its ending.
        sheet: What is printed: texts, numbers already in words, and drawings under keys that end in "svg".
        paper: One of `PAPERS`.
        made_at: The moment that the PDF carries; the same record gives the same one.

    Raises:
        Refused: There is no such paper.
    """
    if paper not in PAPERS:
        raise Refused(f"{paper!r} is no paper; choose one of: {', '.join(PAPERS)}")
    pdf: bytes = typst.compile(
        str(_TEMPLATES / f"{template}.typ"),
        root=str(_TEMPLATES),
        font_paths=_fonts(),
        ignore_system_fonts=True,
        sys_inputs={
            "paper": paper,
            "units": _units(),
            "terms": json.dumps(_terms(str(sheet.get("language", FIRST)))),
            "sheet": json.dumps(_cleaned(sheet), ensure_ascii=False),
        },
        timestamp=int(made_at.timestamp()),
    )
    return pdf


def _cleaned(value: Any, key: str = "") -> Any:
    """Return data with every text on one line and without letters that turn the order of reading."""
    if isinstance(value, str):
        return value if key.endswith("svg") else clean(value)
    if isinstance(value, Mapping):
        return {name: _cleaned(each, name) for name, each in value.items()}
    if isinstance(value, list | tuple | Iterator):
        return [_cleaned(each, key) for each in value]
    return value
