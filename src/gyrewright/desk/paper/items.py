"""An item of a list as it is printed: what to do, what right looks like, and a line for each reading with its limit."""

from __future__ import annotations

from typing import Any

from gyrewright.aircraft.definition import Definition
from gyrewright.inspection.items import Item, Reading
from gyrewright.units import SHOWN, as_read
from gyrewright.words.catalogue import FIRST
from gyrewright.words.spelling import spelled

_EACH = {
    "seat": "each seat",
    "side": "left, right",
    "locker": "each locker",
    "electric pump": "each pump",
    "propeller blade": "each blade",
    "rotor blade": "each blade",
}


def item_printed(item: Item, definition: Definition | None, language: str = FIRST) -> dict[str, Any]:
    """Return an item's texts; `definition` gives the figures that its readings are held against.

    The item comes in the reader's spelling; the words to choose from are spelled here, since they are kept as they are.
    """
    return {
        "id": item.id,
        "name": item.name,
        "grade": item.grade,
        "where": item.where,
        "caution": item.caution,
        "do": item.do,
        "right": item.right,
        "helper": item.helper,
        "critical": item.critical,
        "after": list(item.after),
        "of": list(item.of),
        "restore": list(item.restore),
        "readings": [_reading(each, definition, language) for each in item.readings],
    }


def _reading(reading: Reading, definition: Definition | None, language: str) -> dict[str, Any]:
    return {
        "name": reading.name,
        "unit": SHOWN.get(reading.unit, reading.unit),
        "words": [spelled(each, language) for each in reading.words],
        "several": reading.several,
        "each": _EACH.get(reading.each, ""),
        "count": _count(reading, definition),
        "limit": (limit := bounds(reading, definition)),
        "known": any(letter.isdigit() for letter in limit),
        "private": reading.private,
    }


def _count(reading: Reading, definition: Definition | None) -> int:
    """Return how many places to write there are: one, or one for each part as far as the definition counts them."""
    if not reading.each:
        return 1
    counted = dict(definition.counts).get(reading.times) if definition is not None and reading.times else None
    if counted is None and definition is not None and reading.each == "seat":
        counted = sum(1 for station in definition.stations if station.kind == "seat")
    return min(counted or 2, 8)


def bounds(reading: Reading, definition: Definition | None) -> str:
    """Return what a reading is held against, as this aircraft's manual has it; where it says nothing, where to look."""
    if definition is None:
        return ""
    card = {fact.name.removeprefix("card:"): as_read(fact.typed) for fact in definition.card if fact.is_known}
    counts = {name: str(count) for name, count in definition.counts}
    asked = [
        (words, key)
        for words, key in (
            ("at least", reading.at_least),
            ("at most", reading.at_most),
            ("about", reading.about),
            ("exactly", reading.equals),
        )
        if key
    ]
    figures = [(words, card.get(key) or counts.get(key) or "") for words, key in asked]
    found = [f"{words} {figure}" for words, figure in figures if figure]
    if len(found) < len(figures):
        found.append("see the manual")
    return ", ".join(found)
