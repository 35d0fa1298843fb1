"""Where along one number an answer changes, exactly, and which check changes it.

The number is looked at on a grid that holds every value at which a formula may bend, then each change is closed in on
until the two sides are the same number but for the last digits: the edge is solved for, not stepped to.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from gyrewright.release.grid import Axis, Grid, grid
from gyrewright.release.situation import Situation

_CELLS = 128
_CLOSE_RATIO = 1e-9

Numbers = Callable[[NDArray[np.float64]], Mapping[str, Any]]
MakeAxis = Callable[[NDArray[np.float64]], Axis]


@dataclass(frozen=True, slots=True)
class Span:
    """A stretch of one number over which an answer passes, and the checks that bind just outside; "" at the ends."""

    low: float
    high: float
    binds_low: str
    binds_high: str


def of_numbers(numbers: Numbers) -> MakeAxis:
    """Return what makes the axis of a number that no `Check` rests on."""
    return lambda points: Axis("", points, numbers, lambda point: {})


def spans(
    situation: Situation, axis: MakeAxis, *, low: float, high: float, bends: Iterable[float] = ()
) -> tuple[Span, ...]:
    """Return every stretch between low and high over which the answer passes.

    Args:
        situation: The question, all else as it is.
        axis: Makes the axis of the number for an array of points.
        low: The least value to look at.
        high: The largest.
        bends: Values at which a formula may bend or jump: printed rows, corners of an envelope.
    """
    inside = [value for value in bends if low < value < high]
    points = np.unique(np.concatenate([np.linspace(low, high, _CELLS + 1), inside]))

    def look(at: NDArray[np.float64]) -> Grid:
        found = grid(situation, [axis(at)])
        return replace(found, codes=np.broadcast_to(found.codes, at.shape))

    seen = look(points)
    passing = seen.passes
    edges = [place for place in range(len(points) - 1) if passing[place] != passing[place + 1]]
    found: list[Span] = []
    start, binds_low = (low, "") if passing[0] else (0.0, "")
    for place in edges:
        before, after, outside = _close_in(look, float(points[place]), float(points[place + 1]), bool(passing[place]))
        if passing[place]:
            found.append(Span(start, before, binds_low, outside))
        else:
            start, binds_low = after, outside
    if passing[-1]:
        found.append(Span(start, high, binds_low, ""))
    return tuple(found)


def _close_in(
    look: Callable[[NDArray[np.float64]], Grid], before: float, after: float, passes_before: bool
) -> tuple[float, float, str]:
    """Return the last value before a change, the first after it, and the check that binds on the failing side."""
    while after - before > _CLOSE_RATIO * max(1.0, abs(before), abs(after)):
        points = np.linspace(before, after, _CELLS + 1)
        seen = look(points)
        changed = int(np.argmax(seen.passes != passes_before))
        if changed == 0:
            break
        if points[changed - 1] <= before and points[changed] >= after:
            break
        before, after = float(points[changed - 1]), float(points[changed])
    seen = look(np.array([before, after]))
    failing = seen.codes[1 if passes_before else 0]
    return before, after, seen.binding(int(failing))
