"""Which item of a fixed walk to look hardest at today, and which to look at again before another's walk counts.

The route stays the same; what varies is drawn from the items whose faults have killed people, so that every one of
them comes up. Nothing is random: who asks again on the same day is told the same.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date

from gyrewright.inspection.items import Item


@dataclass(frozen=True, slots=True)
class Hardest:
    """The item to look hardest at today, and why it is this one."""

    item: str
    why: str


def hardest(items: Iterable[Item], *, aircraft: str, on: date, reasons: Mapping[str, str]) -> Hardest | None:
    """Return the item to look hardest at; None where the list marks none.

    Args:
        items: The items of the aircraft's list.
        aircraft: Its id, so that sister aircraft do not all have the same item.
        on: The day.
        reasons: Items that something speaks for, with what it is, the most pressing first: a report not long ago, work.
    """
    known = list(items)
    ids = {item.id for item in known}
    for id, why in reasons.items():
        if id in ids:
            return Hardest(id, why)
    critical = [item.id for item in known if item.critical]
    if not critical:
        return None
    turn = (on.toordinal() + _number(aircraft)) % len(critical)
    return Hardest(critical[turn], "Its turn today: faults here have killed people.")


def spots(items: Iterable[Item], *, walk: str, count: int) -> tuple[str, ...]:
    """Return the items that a commander looks at again before another's walk counts as theirs, in walking order.

    Args:
        items: The items that the walk asked.
        walk: The walk's id: it decides which, so that nobody knows beforehand.
        count: How many the house asks for; fewer where the list marks fewer.
    """
    critical = [item.id for item in items if item.critical]
    drawn = set(sorted(critical, key=lambda id: _number(f"{walk} {id}"))[:count])
    return tuple(id for id in critical if id in drawn)


def _number(text: str) -> int:
    return int(hashlib.sha256(text.encode()).hexdigest()[:8], 16)
