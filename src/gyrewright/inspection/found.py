"""Found of placed, with the interval that so few tries leave open."""

from __future__ import annotations

import math
from dataclasses import dataclass

from gyrewright.errors import OutOfRange

_HALVINGS = 60


@dataclass(frozen=True, slots=True)
class Share:
    """So many of so many, and between which shares the true one lies at a confidence.

    Attributes:
        found: How many were found.
        of: Of how many.
        low_ratio: The least share that is not at odds with that; 0 where nothing was tried.
        high_ratio: The most.
    """

    found: int
    of: int
    low_ratio: float
    high_ratio: float

    @property
    def is_told(self) -> bool:
        """Whether anything was tried at all: nothing of nothing says nothing."""
        return self.of > 0


def share(found: int, of: int, *, confidence_ratio: float = 0.95) -> Share:
    """Return found of placed with its exact two-sided interval for a share. [1]

    The interval is that of Clopper and Pearson: the shares that neither tail of the binomial distribution rejects. It
    covers the true share at least as often as it claims, and is wide where little was tried.

    Args:
        found: How many were found.
        of: Of how many, found ones included.
        confidence_ratio: How often such intervals cover the true share, at least. [1] Between 0 and 1.

    Raises:
        OutOfRange: More were found than there were, or the confidence is none.

    Limits: found by different people at different items are counted alike; it says nothing of who or which.
    Source: [CP1934] p. 404. Solved by halving; error below 1e-15.
    """
    if not 0 <= found <= of:
        raise OutOfRange(f"{found} found of {of}: at most as many as there were can be found")
    if not 0.0 < confidence_ratio < 1.0:
        raise OutOfRange(f"a confidence of {confidence_ratio:g} is none; give a share between 0 and 1")
    tail = (1.0 - confidence_ratio) / 2.0
    # The least share is the one at which this many or more would be as rare as one tail; the most, this many or fewer.
    low = 0.0 if found == 0 else 1.0 - _share_at(of - found, of, tail)
    high = 1.0 if found == of else _share_at(found, of, tail)
    return Share(found, of, low, high)


def _share_at(count: int, of: int, tail: float) -> float:
    """Return the share at which `count` or fewer of `of` come up as often as a tail."""
    low, high = 0.0, 1.0
    for _ in range(_HALVINGS):
        middle = (low + high) / 2.0
        if _at_most(count, of, middle) > tail:
            low = middle
        else:
            high = middle
    return (low + high) / 2.0


def _at_most(count: int, of: int, ratio: float) -> float:
    """Return how often `count` or fewer of `of` come up at a share."""
    if ratio <= 0.0:
        return 1.0
    if ratio >= 1.0:
        return 1.0 if count >= of else 0.0
    # By logarithms, so that no factorial of a long history overflows.
    logs = (
        math.lgamma(of + 1)
        - math.lgamma(each + 1)
        - math.lgamma(of - each + 1)
        + each * math.log(ratio)
        + (of - each) * math.log1p(-ratio)
        for each in range(count + 1)
    )
    return math.fsum(map(math.exp, logs))
