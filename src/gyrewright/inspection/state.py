"""What the walks say about this flight: whether one holds, what was found, what is still clipped on or not yet off."""

from __future__ import annotations

from typing import Any

from gyrewright.check import Check
from gyrewright.fact import Fact, Origin, missing
from gyrewright.inspection.answers import answers, day_only
from gyrewright.inspection.holding import walk
from gyrewright.inspection.items import Item
from gyrewright.inspection.leftovers import marker, restore
from gyrewright.inspection.pace import pace
from gyrewright.inspection.phones import phone
from gyrewright.inspection.read_off import Figures, reading
from gyrewright.inspection.walk import Book, read_walks
from gyrewright.inspection.walk_rules import WalkRules, for_list, read_walk_rules

__all__ = ["CHECKS", "facts", "for_list", "read_walk_rules", "read_walks"]


def facts(
    book: Book | None,
    rules: WalkRules | None,
    *,
    restore_items: tuple[str, ...] | None,
    items: tuple[Item, ...] = (),
    figures: Figures | None = None,
    where: str = "",
) -> dict[str, Fact]:
    """Return the facts that walks put on the sheet.

    Facts: `walks`, `touches`, `markers`, `phones`, `walk_rules`, `restore_items`, `walk_items`, `walk_figures`.

    Args:
        book: What is written of walks; None where nothing is.
        rules: The house's rules.
        restore_items: Names of the things to put back by touch before the start, from the walk-round list.
        items: The items of the aircraft's walk-round list, whatever the event.
        figures: The aircraft's own figures, by which readings are judged.
        where: The file and key to name where something is missing.
    """
    file = book.file if book else where
    given: dict[str, tuple[Any, Origin, str]] = {
        "walks": (book and book.walks, Origin.RECORD, file),
        "touches": (book and book.touches, Origin.RECORD, file),
        "markers": (book and book.markers, Origin.RECORD, file),
        "phones": (book and book.phones, Origin.RECORD, file),
        "walk_rules": (rules, Origin.HOUSE, where),
        "restore_items": (restore_items, Origin.HOUSE, where),
        "walk_items": (items, Origin.HOUSE, where),
        "walk_figures": (figures or {}, Origin.MANUAL, where),
    }
    found = {
        name: missing(name, where=place) if value is None else Fact(name, value, origin=origin, where=place)
        for name, (value, origin, place) in given.items()
    }
    if book and book.phones_unknown:
        found["phones"] = missing("phones", where=file, why=book.phones_unknown)
    return found


CHECKS: tuple[Check, ...] = (walk, answers, day_only, pace, marker, restore, phone, reading)
