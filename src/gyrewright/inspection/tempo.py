"""How the answers of a walk followed each other, stated as facts beside the same person's own earlier walks.

Nothing here judges: a quick walk may have been a good one. The house's own rule on pace is `inspection.pace`.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from itertools import pairwise
from statistics import median

QUICK = timedelta(seconds=2)
"""An answer that follows the one before within this was hardly looked for."""


@dataclass(frozen=True, slots=True)
class Tempo:
    """How one walk went.

    Attributes:
        answers: How many answers follow another one without a break between them.
        median_s: The usual time from one answer to the next. [s]
        quick: How many came within `QUICK` of the one before.
        quick_run: The most of those in a row, as the items they were given at.
    """

    answers: int
    median_s: float
    quick: int
    quick_run: tuple[str, ...]


def tempo(answered: Sequence[tuple[str, datetime]], breaks: Sequence[datetime] = ()) -> Tempo | None:
    """Return how answers followed each other; None where there are too few to say.

    Args:
        answered: Item and moment of each answer of one phone, in order.
        breaks: Moments at which a break ended: the time across one is no time of looking.
    """
    gaps: list[tuple[str, float]] = []
    for (_, before), (item, at) in pairwise(answered):
        if not any(before <= each <= at for each in breaks):
            gaps.append((item, (at - before).total_seconds()))
    if len(gaps) < 2:
        return None
    longest: list[str] = []
    run: list[str] = []
    for item, gap in gaps:
        run = [*run, item] if gap <= QUICK.total_seconds() else []
        longest = max(longest, run, key=len)
    quick = sum(gap <= QUICK.total_seconds() for _, gap in gaps)
    return Tempo(len(gaps), median(gap for _, gap in gaps), quick, tuple(longest))


def same_readings(readings: Mapping[str, str], earlier: Mapping[str, str]) -> tuple[int, int]:
    """Return how many readings of a walk equal those of an earlier one to the letter, and how many both have."""
    both = set(readings) & set(earlier)
    return sum(readings[key] == earlier[key] for key in both), len(both)
