"""A limit card as a form: what an endorsement or a person's own minimums put on wind, visibility and cloud."""

from __future__ import annotations

import tomllib
from typing import Any

from gyrewright.desk.pages.forms.fields import CHOICE, Field, Given
from gyrewright.desk.pages.forms.shared import words
from gyrewright.desk.refusal import Refused
from gyrewright.desk.services.toml_text import toml_text
from gyrewright.limits import WINDS

CARD = (
    ("wind", "at_most", "Wind at most", "12 kt"),
    ("gust spread", "at_most", "Gust spread at most", "6 kt"),
    ("crosswind", "at_most", "Crosswind at most", "8 kt"),
    ("tailwind", "at_most", "Tailwind at most", "0 kt"),
    ("visibility", "at_least", "Visibility at least", "10 km"),
    ("cloud base", "at_least", "Cloud base at least", "2000 ft"),
)
"""What a limit card is usually written on: quantity, side, words, an example."""


def _rows(text: str) -> list[dict[str, Any]]:
    rows: list[dict[str, Any]] = tomllib.loads(text).get("limit", []) if text else []
    return rows


def card_fields(text: str = "") -> tuple[Field, ...]:
    """Return the fields of a limit card, filled with what a text of limit tables says."""
    held = {each["of"]: each for each in _rows(text)}
    out = [
        Field(f"limit.{of}", called, hint=f"such as {example}", value=held.get(of, {}).get(side, ""))
        for of, side, called, example in CARD
    ]
    counts = next((each["counts"] for each in held.values() if "counts" in each), "")
    out.append(
        Field("counts", "Winds count", CHOICE, "needed where a wind is limited", words(("gust", "mean")), value=counts)
    )
    return tuple(out)


def card_text(given: Given, before: str = "") -> str:
    """Return what was typed into a limit card as the text of limit tables; empty where nothing was.

    `before` is the text that the card was filled from: what stands in it and on no card stays, and a row that nobody
    changed stays as it was.
    """
    held = {each["of"]: each for each in _rows(before)}
    filled = {each.name: each.value for each in card_fields(before)}
    rows = [each for each in _rows(before) if each["of"] not in {of for of, *_ in CARD}]
    for of, side, called, _ in CARD:
        typed = given.text(f"limit.{of}")
        if not typed:
            continue
        if typed == filled[f"limit.{of}"] and given.text("counts") == filled["counts"]:
            rows.append(held[of])
            continue
        row = {"of": of, side: typed}
        if of in WINDS:
            if not given.text("counts"):
                raise Refused(f"{called.lower()} {typed}: say whether winds count the gust or the mean")
            row["counts"] = given.text("counts")
        rows.append(row)
    return toml_text({"limit": rows}) if rows else ""
