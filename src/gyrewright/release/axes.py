"""Choices that vary, each along an axis, and where along an axis an answer turns."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from gyrewright.fact import Fact, Origin


@dataclass(frozen=True, slots=True)
class Axis:
    """A choice that may vary, and its points.

    Attributes:
        name: What is varied, for people.
        points: Its values.
        numbers: Returns, for an array of points, the arrays that take the place of facts or numbers on the sheet.
        facts: Returns, for one point, the facts that a `Check` is asked with.
        stride: A `Check` is asked at every so many points first, and between them only where its answer changed: every
            change between two such points whose answers differ is found to the point, two that cancel out are not.
    """

    name: str
    points: NDArray[np.float64]
    numbers: Callable[[NDArray[np.float64]], Mapping[str, Any]]
    facts: Callable[[float], Mapping[str, Any]]
    stride: int = 1


def planned(values: Mapping[str, Any]) -> dict[str, Fact]:
    """Return varied values as facts that somebody still has to bring about."""
    return {name: Fact(name, value, "varied", Origin.PLANNED) for name, value in values.items()}


class Told:
    """An axis and the facts that its points tell, each worked out once for all checks."""

    def __init__(self, axis: Axis) -> None:
        self.axis = axis
        self._facts: dict[int, dict[str, Fact]] = {}
        self._groups: dict[frozenset[str], tuple[list[int], NDArray[np.intp]]] = {}
        self.names = frozenset(self.facts(0)) if len(axis.points) else frozenset()

    def facts(self, point: int) -> dict[str, Fact]:
        """Return the facts of one point, by its number."""
        found = self._facts.get(point)
        if found is None:
            found = self._facts[point] = planned(self.axis.facts(float(self.axis.points[point])))
        return found

    def groups(self, names: frozenset[str]) -> tuple[list[int], NDArray[np.intp]]:
        """Return a point for each different set of these facts, and for every point the number of its set."""
        if names not in self._groups:
            self._groups[names] = self._grouped(sorted(names))
        return self._groups[names]

    def _grouped(self, names: list[str]) -> tuple[list[int], NDArray[np.intp]]:
        count = len(self.axis.points)
        if self.axis.stride > 1:
            # An axis that is walked in strides rises, and so does what it tells: alike at both ends, alike all along.
            first, last = self.facts(0), self.facts(count - 1)
            alike = all(first[name].value == last[name].value for name in names)
            return ([0], np.zeros(count, np.intp)) if alike else (list(range(count)), np.arange(count))
        seen: dict[Any, int] = {}
        chosen: list[int] = []
        of_point = np.empty(count, np.intp)
        for number in range(count):
            values = tuple(self.facts(number)[name].value for name in names)
            try:
                group = seen.get(values)
            except TypeError:  # a value that cannot be hashed is a set of its own
                group, values = None, (number,)
            if group is None:
                group = seen[values] = len(chosen)
                chosen.append(number)
            of_point[number] = group
        return chosen, of_point


def strides(count: int, stride: int) -> list[int]:
    """Return every so many of the numbers from zero, and the last."""
    return [*range(0, count - 1, stride), count - 1]


def runs(alike: Callable[[int, int], bool], looked_at: Sequence[int]) -> list[int]:
    """Return where each run of points that are alike begins, looking at some, the first and last among them.

    Between two that differ every change is found, if each run is met again at neither of its ends.
    """
    begins, before = [0], 0
    for place in looked_at:
        while not alike(begins[-1], place):
            low, high = max(begins[-1], before), place
            while high - low > 1:
                middle = (low + high) // 2
                if alike(begins[-1], middle):
                    low = middle
                else:
                    high = middle
            begins.append(high)
        before = place
    return begins


def filled(found: Callable[[int], int], count: int, stride: int) -> NDArray[np.uint16]:
    """Return what is found at every point of an axis, looking at every so many and where it changes between them."""
    seen: dict[int, int] = {}

    def at(place: int) -> int:
        if place not in seen:
            seen[place] = found(place)
        return seen[place]

    begins = runs(lambda first, second: at(first) == at(second), strides(count, stride))
    lengths = np.diff([*begins, count])
    return np.repeat(np.array([at(place) for place in begins], np.uint16), lengths)
