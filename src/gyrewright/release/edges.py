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

from gyrewright.release.axes import Axis
from gyrewright.release.grid import Grid, Survey

_CELLS = 128
_CLOSE_RATIO = 1e-9
_BEYOND_RATIO = 1e-6

Numbers = Callable[[Any], Mapping[str, Any]]


@dataclass(frozen=True, slots=True)
class Span:
    """A stretch of one number over which an answer passes, and the checks that bind just outside; "" at the ends."""

    low: float
    high: float
    binds_low: str
    binds_high: str


def spans(
    survey: Survey, numbers: Numbers, *, low: float, high: float, bends: Iterable[float] = ()
) -> tuple[Span, ...]:
    """Return every stretch between low and high over which the answer passes.

    Args:
        survey: The question, all else as it is, over no axis yet.
        numbers: Returns what takes the place of numbers on the sheet, for one point or an array of them.
        low: The least value to look at.
        high: The largest.
        bends: Values at which a formula may bend or jump: printed rows, corners of an envelope.
    """
    inside = [value for value in bends if low < value < high]
    points = np.unique(np.concatenate([np.linspace(low, high, _CELLS + 1), inside]))
    survey.grid()

    def look(at: NDArray[np.float64]) -> Grid:
        found = survey.at([_axis(numbers, at, _CELLS)]).grid()
        return replace(found, codes=np.broadcast_to(found.codes, at.shape))

    first = survey.at([_axis(numbers, points, _CELLS // 8)]).grid()
    passing = np.broadcast_to(first.passes, points.shape)
    found: list[Span] = []
    start, binds_low = low, ""
    for place in np.flatnonzero(passing[1:] != passing[:-1]):
        before, after, outside = _close_in(look, float(points[place]), float(points[place + 1]), bool(passing[place]))
        if passing[place]:
            found.append(Span(start, before, binds_low, outside))
        else:
            start, binds_low = after, outside
    if passing[-1]:
        found.append(Span(start, high, binds_low, ""))
    return tuple(found)


def careful(span: Span, step: float) -> Span | None:
    """Return the span with its ends rounded to the side that passes; None where no step lies inside."""
    low = round(float(np.ceil(span.low / step - 1e-6) * step), 6)
    high = round(float(np.floor(span.high / step + 1e-6) * step), 6)
    return Span(low, high, span.binds_low, span.binds_high) if low <= high else None


def _axis(numbers: Numbers, points: NDArray[np.float64], stride: int) -> Axis:
    # A number and an array of numbers are turned into those on the sheet by the same function.
    return Axis("", points, numbers, numbers, stride)


def _close_in(
    look: Callable[[NDArray[np.float64]], Grid], before: float, after: float, passes_before: bool
) -> tuple[float, float, str]:
    """Return the last value before a change, the first after it, and the check that binds on the failing side."""
    while after - before > _CLOSE_RATIO * max(1.0, abs(before), abs(after)):
        points = np.linspace(before, after, _CELLS + 1)
        changed = int(np.argmax(look(points).passes != passes_before))
        before, after = float(points[changed - 1]), float(points[changed])
    # What binds is told a little further out, where numbers that are alike to the last digits no longer count as equal.
    outside, onward = (after, 1.0) if passes_before else (before, -1.0)
    seen = look(np.array([outside, outside + onward * _BEYOND_RATIO * max(1.0, abs(outside))]))
    place = 0 if seen.passes[1] else 1
    return before, after, seen.binding(int(seen.codes[place]))
