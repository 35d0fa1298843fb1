"""Items that ask for another look at the list itself: never found not right, or found by maintainers alone.

A statistic proposes and a person decides. What kills is never proposed for fewer looks, however rarely it fails.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from gyrewright.inspection.found import Share, share
from gyrewright.inspection.items import Item

MOVE = "move"
REWORD = "reword"


@dataclass(frozen=True, slots=True)
class Seen:
    """What is known of one item over all walk-rounds and reports.

    Attributes:
        item: Its id.
        looks: How often it was looked at on a walk-round and answered.
        failed: How often it was then not as it should be.
        by_maintainers: How many reports of it came from maintainers or inspectors.
        by_others: How many came from anybody else, a walk-round's finds included.
    """

    item: str
    looks: int = 0
    failed: int = 0
    by_maintainers: int = 0
    by_others: int = 0

    @property
    def share(self) -> Share:
        """How often it was not right, with the exact interval."""
        return share(self.failed, self.looks)


@dataclass(frozen=True, slots=True)
class Proposal:
    """A proposal about one item: to move it to fewer walks, or to say it better."""

    item: Item
    what: str
    seen: Seen


def never_failed(items: Iterable[Item], seen: dict[str, Seen]) -> tuple[tuple[Item, Seen], ...]:
    """Return every item that was looked at and never found not right, most looks first."""
    found = [(each, seen[each.id]) for each in items if each.id in seen]
    kept = [(item, one) for item, one in found if one.looks and not (one.failed or one.by_maintainers or one.by_others)]
    return tuple(sorted(kept, key=lambda each: (-each[1].looks, each[0].id)))


def by_maintainers_alone(items: Iterable[Item], seen: dict[str, Seen]) -> tuple[tuple[Item, Seen], ...]:
    """Return every item that maintainers found not right and nobody else ever did, most finds first."""
    found = [(each, seen[each.id]) for each in items if each.id in seen]
    kept = [(item, one) for item, one in found if one.by_maintainers and not (one.by_others or one.failed)]
    return tuple(sorted(kept, key=lambda each: (-each[1].by_maintainers, each[0].id)))


def proposals(items: Iterable[Item], seen: dict[str, Seen], *, asked_after: int | None) -> tuple[Proposal, ...]:
    """Return what the list's own record proposes.

    Args:
        items: The items of the list.
        seen: What is known of each, by id.
        asked_after: After how many looks without a find an item is asked about; None: the house has no such number, and
            no item is proposed for fewer looks.

    To be reworded: found by maintainers alone. To be moved: never found in so many looks, not critical, and not one
    that grounds the aircraft.
    """
    every = tuple(items)
    out = [Proposal(item, REWORD, one) for item, one in by_maintainers_alone(every, seen)]
    if asked_after is not None:
        out += [
            Proposal(item, MOVE, one)
            for item, one in never_failed(every, seen)
            if one.looks >= asked_after and not item.critical and item.grade != "G" and not item.of
        ]
    return tuple(out)
