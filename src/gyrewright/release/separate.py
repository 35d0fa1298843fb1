"""A check that is a function of facts, over many numbers at once.

Such a check says yes or no to each of its numbers by itself (the mass, the balance, the runway), whatever the others
are: its worst verdict over all is the worst that any number brings alone. Along one number its verdict turns once, and
where that is is solved for. `tests/release` and the soak compare this with the check asked cell by cell.
"""

from __future__ import annotations

import math
from collections.abc import Sequence, Set
from itertools import product
from typing import Any

import numpy as np

from gyrewright.check import Check
from gyrewright.finding import Verdict, worst
from gyrewright.sheet import MAYBE, Cell, Plan, Sheet

_HALVINGS = 80


def over_numbers(check: Check, inputs: Sequence[tuple[str, Cell | None]], sheet: Sheet) -> Any:
    """Return a check's verdicts over the arrays of a sheet.

    Args:
        check: What is asked.
        inputs: Its inputs in their order, each with its cell, or None for a number that the sheet has.
        sheet: Holds the numbers, along their axes.
    """
    cells = [cell or sheet.cell(name.removeprefix(MAYBE)) for name, cell in inputs]
    may_lack = [name.startswith(MAYBE) for name, _ in inputs]
    unknown: Any = False
    ends: list[tuple[Any, ...]] = []
    varied: list[int] = []
    for place, (cell, may) in enumerate(zip(cells, may_lack, strict=True)):
        given = inputs[place][1] is not None
        if not given and not may:
            unknown = unknown | ~np.asarray(cell.known)
        if given or not isinstance(cell.value, np.ndarray):
            if cell.known is not True and not may:
                return np.uint16(Verdict.UNKNOWN)
            ends.append((cell.value if cell.known is True else None,))
            continue
        varied.append(place)
        known = np.broadcast_to(np.asarray(cell.known), cell.value.shape)
        values = cell.value[known] if known.shape == cell.value.shape else cell.value
        least_and_most = (float(values.min()), float(values.max())) if values.size else ()
        ends.append((*least_and_most, None) if may and not known.all() else least_and_most)
    if not all(ends):
        return np.uint16(Verdict.UNKNOWN)

    def asked(values: Sequence[Any]) -> int:
        found = check.judge(*values)
        if found is None:
            return int(Verdict.GO)
        return int(worst(found if isinstance(found, tuple) else (found,)))

    best = min(product(*ends), key=asked)
    verdicts: Any = np.uint16(asked(best))
    for place in varied:

        def alone(value: Any, place: int = place) -> int:
            return asked([*best[:place], value, *best[place + 1 :]])

        cell = cells[place]
        known = np.asarray(cell.known)
        numbers = [end for end in ends[place] if end is not None]
        here = _stepped(cell.value, numbers[0], numbers[-1], alone) if numbers else np.uint16(0)
        if may_lack[place]:
            here = np.where(known, here, np.uint16(alone(None)) if not known.all() else here)
        verdicts = np.maximum(verdicts, here)
    return np.where(unknown, np.uint16(Verdict.UNKNOWN), verdicts)


def is_number(name: str, plan: Plan, varied: Set[str]) -> bool:
    """Return whether a sheet has an input along its axes: it rests on something that varies there, and is a number."""
    made = plan.recipes.get(name.removeprefix(MAYBE))
    return name in varied or bool(made and made.dimension and plan.path(name) & varied)


def _stepped(values: Any, low: float, high: float, asked: Any) -> Any:
    """Return the verdict of every value, which turns at most once between the least and the largest."""
    first, last = asked(low), asked(high)
    if first == last:
        return np.uint16(first)
    for _ in range(_HALVINGS):
        middle = low + (high - low) / 2.0
        if middle in (low, high) or math.nextafter(low, high) == high:
            break
        if asked(middle) == first:
            low = middle
        else:
            high = middle
    return np.where(values <= low, np.uint16(first), np.uint16(last))
