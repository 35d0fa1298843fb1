"""Places on the aircraft, by the walk-round list: what a report can be of."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from gyrewright.inspection.lists import WalkList, shipped_list

_NO_PLACE = ("R", "M")
"""Zones of the walk-round that are acts at its end and no place on the aircraft."""

_CALLED = {"Z": "Papers, covers, ground"}
"""What a zone is called where nobody is about to walk."""


@dataclass(frozen=True, slots=True)
class Place:
    """A part of the aircraft by the walk-round list, and the items that stand there."""

    zone: str
    name: str
    items: tuple[str, ...]


@cache
def walk_list() -> WalkList:
    """Return the walk-round list whose zones and items name the places on the aircraft."""
    return shipped_list("walk-round")


def places() -> tuple[Place, ...]:
    """Return the places at which something can be wrong, in walking order."""
    found = walk_list()
    return tuple(
        Place(
            zone.id,
            _CALLED.get(zone.id, zone.name),
            tuple(item.name for item in found.items if item.zone == zone.id and not item.of),
        )
        for zone in found.zones
        if zone.id not in _NO_PLACE
    )
