"""What must hold for a list as a whole, beyond each item by itself; and between lists.

A list that breaks one of these would lose an item, leave something open, or ask for what nobody can give.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping
from itertools import pairwise

from gyrewright.errors import Problem
from gyrewright.inspection.items import Item
from gyrewright.reading import Section

LEAST, MOST = 5, 9
"""How many items a stand has: few enough to hold in mind, enough to be worth a stop."""

Placed = list[tuple[Section, Item]]


def check_whole(
    section: Section,
    *,
    placed: Placed,
    zones: tuple[str, ...],
    stands: tuple[tuple[str, tuple[str, ...]], ...],
    asked: tuple[tuple[tuple[str, ...], frozenset[str]], ...],
) -> None:
    """Note every problem of a list as a whole.

    Args:
        section: The list's file.
        placed: Each item, in walking order, with the table it came from.
        zones: Zone ids in walking order.
        stands: Stand names in walking order, each with its zones.
        asked: For each row of events: the events, and the words by which they ask for items.
    """
    items = {item.id: item for _, item in placed}
    for name, count in Counter(item.id for _, item in placed).items():
        if name and count > 1:
            section.wrong(f"item[{name}]", f"is there {count} times; each item has an id of its own")
    for name, count in Counter(name for name, _ in stands).items():
        if name and count > 1:
            section.wrong(f"stand[{name}]", f"is there {count} times; each stand has a name of its own")
    _check_places(section, placed, zones, dict(stands))
    _check_order(section, placed, [name for name, _ in stands])
    _check_sizes(section, placed, stands)
    for each, item in placed:
        _check_pairs(each, item, items)
        _check_links(each, item, items)
        _check_after(each, item, items, asked)
    _check_restore_last(placed)


def check_lists(lists: Mapping[str, Iterable[Item]]) -> tuple[Problem, ...]:
    """Return what is wrong between lists: a reference such as "walk-round.R01" that leads nowhere.

    Args:
        lists: The items of each list, by its id.
    """
    known = {f"{name}.{item.id}" for name, items in lists.items() for item in items}
    return tuple(
        Problem(name, f"item[{item.id}]", f"{reference!r} leads to no item of any list")
        for name, items in lists.items()
        for item in items
        for reference in (*item.restore, *item.after, *item.of)
        if "." in reference and reference not in known
    )


def _check_places(
    section: Section, placed: Placed, zones: tuple[str, ...], stands: Mapping[str, tuple[str, ...]]
) -> None:
    for each, item in placed:
        if item.zone and item.zone not in zones:
            each.wrong("id", f"{item.id!r} belongs to no zone; its letter must be one of: {', '.join(zones)}")
        elif item.stand and item.zone not in stands[item.stand]:
            each.wrong("stand", f"{item.stand!r} has no zone {item.zone}; name a stand of that zone")
    used = {item.zone for _, item in placed}
    for zone in zones:
        if zone not in used:
            section.wrong(f"zone[{zone}]", "has no item; take it out or give it some")


def _check_order(section: Section, placed: Placed, stands: list[str]) -> None:
    walked = [item.stand for _, item in placed if item.stand]
    seen = [name for name, before in zip(walked, ["", *walked], strict=False) if name != before]
    for name, count in Counter(seen).items():
        if count > 1:
            section.wrong(f"stand[{name}]", f"is walked to {count} times; put its items side by side")
    places = [stands.index(name) for name in dict.fromkeys(seen)]
    for before, after in pairwise(places):
        if after < before:
            section.wrong(f"stand[{stands[after]}]", f"comes before {stands[before]!r}, its items after; use one order")


def _check_sizes(section: Section, placed: Placed, stands: tuple[tuple[str, tuple[str, ...]], ...]) -> None:
    sizes = Counter(item.stand for _, item in placed)
    for name, _ in stands:
        if not LEAST <= sizes[name] <= MOST:
            section.wrong(
                f"stand[{name}]", f"holds {sizes[name]} items; a stand has {LEAST} to {MOST}: share it or cut it"
            )


def _check_pairs(section: Section, item: Item, items: Mapping[str, Item]) -> None:
    """A restore item and what it closes name each other."""
    for other in item.restore:
        if "." in other:
            continue
        if other not in items:
            section.wrong("restore", f"{other!r} is no item of this list")
        elif item.id not in items[other].of:
            section.wrong("restore", f"{other} does not name {item.id} under `of`; a pair names both sides")
    for other in item.of:
        if other not in items:
            section.wrong("of", f"{other!r} is no item of this list")
        elif item.id not in items[other].restore:
            section.wrong("of", f"{other} does not name {item.id} under `restore`; a pair names both sides")


def _check_links(section: Section, item: Item, items: Mapping[str, Item]) -> None:
    for other in item.linked:
        if other not in items:
            section.wrong("linked", f"{other!r} is no item of this list")
        elif item.id not in items[other].linked:
            section.wrong(
                "linked", f"{other} does not name {item.id} under `linked`; readings belong together both ways"
            )
    readings = {f"{each.id}.{reading.key}": reading for each in items.values() for reading in each.readings}
    for reading in item.readings:
        other = reading.agrees_with
        if other and other not in readings:
            section.wrong(f"reading[{reading.key}].agrees_with", f"{other!r} is no reading of this list")
        elif other and (readings[other].kind, readings[other].dimension) != (reading.kind, reading.dimension):
            section.wrong(f"reading[{reading.key}].agrees_with", f"{other!r} is another kind of figure")


def _check_after(
    section: Section,
    item: Item,
    items: Mapping[str, Item],
    asked: tuple[tuple[tuple[str, ...], frozenset[str]], ...],
) -> None:
    """What must come before an item is there, comes before it, and is asked wherever the item is."""
    order = list(items)
    for other in item.after:
        if "." in other:
            continue
        if other not in items:
            section.wrong("after", f"{other!r} is no item of this list")
            continue
        if order.index(other) > order.index(item.id):
            section.wrong("after", f"{other} comes later in the walk; put it before {item.id}")
        if items[other].needs:
            section.wrong("after", f"{other} is not on every aircraft; name one that is")
        for on, words in asked:
            if words & set(item.when) and not words & set(items[other].when):
                section.wrong("after", f"{other} is not asked at {on[0]!r}, but {item.id} is")


def _check_restore_last(placed: Placed) -> None:
    """Nothing is opened again once the restore list has begun."""
    begun = next((number for number, (_, item) in enumerate(placed) if item.of), len(placed))
    first = placed[begun][1].id if begun < len(placed) else ""
    for each, item in placed[begun:]:
        if item.restore:
            each.wrong("restore", f"opens something after {first} has begun to close; the restore list comes last")
