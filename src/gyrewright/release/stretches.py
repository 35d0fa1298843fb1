"""Where along a choice the question itself becomes another: night rules begin, a weighing grows old, a word runs out.

Between two such points only the choice differs, and the same checks are asked; that is what a survey needs.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from gyrewright.fact import Fact
from gyrewright.release.axes import Axis, runs, strides
from gyrewright.release.grid import Survey
from gyrewright.release.question import Question
from gyrewright.release.situation import Situation, situation_of

Points = NDArray[np.float64]

_COUNTED = "crew_cautions"


@dataclass(frozen=True, slots=True)
class Choice:
    """A number that is varied from end to end: how a question changes with it, and how a survey varies it.

    Attributes:
        asked: Returns the question with the number at one value.
        axis: Returns the axis of the number for some of its points.
        own: Names of the facts that are nothing but this number.
        stride: Every so many points the question is looked at; between them only where it changed.
    """

    asked: Callable[[float], Question]
    axis: Callable[[Points], Axis]
    own: frozenset[str]
    stride: int


@dataclass(frozen=True, slots=True)
class Stretch:
    """A run of points over which the question is one and the same but for the number, and its survey."""

    points: Points
    survey: Survey


def stretches(choice: Choice, points: Points, known: Sequence[Stretch] = ()) -> tuple[Stretch, ...]:
    """Return the stretches of rising points of a number, in their order.

    Args:
        choice: What is varied.
        points: Its values.
        known: The stretches of a neighboring question over the same points: its turning points are looked at first,
            and what was found there and does not rest on what is different here is kept.
    """
    seen: dict[int, Situation] = {}

    def at(place: int) -> Situation:
        if place not in seen:
            seen[place] = situation_of(choice.asked(float(points[place])))
        return seen[place]

    ends = np.cumsum([len(each.points) for each in known])
    looked_at = sorted({0, *ends[:-1], *(ends - 1)}) if known else strides(len(points), choice.stride)
    begins = runs(lambda first, second: _same(at(first), at(second), choice.own), looked_at)
    surveys = {(int(end) - len(each.points), int(end)): each.survey for each, end in zip(known, ends, strict=True)}
    out = []
    for first, end in zip(begins, [*begins[1:], len(points)], strict=True):
        before = surveys.get((first, end))
        survey = before.moved(at(first)) if before else Survey(at(first), [choice.axis(points[first:end])])
        out.append(Stretch(points[first:end], survey))
    return tuple(out)


def _same(first: Situation, second: Situation, own: frozenset[str]) -> bool:
    """Return whether two situations ask the same checks of the same facts but for some."""
    return first.checks == second.checks and first.comparisons == second.comparisons and alike(first, second, own)


def alike(first: Situation, second: Situation, own: frozenset[str]) -> bool:
    """Return whether two situations rest on the same facts but for some."""
    facts, others = first.sheet.facts, second.sheet.facts
    return facts.keys() == others.keys() and all(
        name in own or fact == others[name] or (name == _COUNTED and _count(fact) == _count(others[name]))
        for name, fact in facts.items()
    )


def _count(cautions: Fact) -> Any:
    """Return what a verdict can rest on: how many cautions there are, whatever each says, and what is lacking."""
    if not cautions.is_known:
        return None
    found, lacking = cautions.value
    return len(found), lacking
