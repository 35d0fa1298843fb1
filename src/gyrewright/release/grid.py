"""The same checks over a whole grid of alternatives: which pass, and what binds where one does not.

An alternative is a value on each varied axis. A check is evaluated on the axes it depends on and no others; the
verdicts are combined last. Verdict and binding check travel together in one small number, so that combining is a
maximum: `verdict x 4096 + rank`, where the rank tells the checks apart, earlier ones higher.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from copy import copy
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

import numpy as np
from numpy.typing import NDArray

from gyrewright.check import Aging, Check, Comparison
from gyrewright.fact import Fact
from gyrewright.finding import Verdict
from gyrewright.release.axes import Axis, Told, filled, planned
from gyrewright.release.separate import is_number, over_numbers
from gyrewright.release.situation import Situation
from gyrewright.release.verdicts import age_verdicts, caution_verdicts, standing, verdicts_of, worst_of
from gyrewright.sheet import MAYBE, Plan, Sheet

__all__ = ["Axis", "Grid", "Survey", "grid"]

Codes = NDArray[np.uint16]
Asked = Check | Aging | Comparison

_VERDICT = 4096
_HIGHEST_RANK = 4095
CAUTIONS = "cautions.counted"
STANDING = (f"{MAYBE}crew_cautions", f"{MAYBE}upkeep_cautions")


@dataclass(frozen=True, slots=True)
class Grid:
    """The answer for every alternative: codes that broadcast to the shape of the varied axes, and the checks' names."""

    codes: Codes
    names: tuple[str, ...]

    @property
    def verdicts(self) -> NDArray[np.uint8]:
        """The verdict of each alternative."""
        return (self.codes // _VERDICT).astype(np.uint8)

    @property
    def passes(self) -> NDArray[np.bool_]:
        """Whether no reason was found against each alternative, or only one that a condition or a person can meet."""
        return passing(self.codes)

    def verdict(self, code: int) -> Verdict:
        """Return the verdict that a code holds."""
        return Verdict(code // _VERDICT)

    def binding(self, code: int) -> str:
        """Return the name of the check that a code names."""
        return self.names[_HIGHEST_RANK - code % _VERDICT]


def passing(codes: Codes) -> NDArray[np.bool_]:
    """Return which codes are those of alternatives that pass."""
    return codes < Verdict.UNKNOWN * _VERDICT


class Survey:
    """One question over some axes, or over none, with what has been found of it so far, check by check.

    A survey of other points, or of a neighboring question (another runway, other fuel), starts from everything that
    does not rest on what is different there.
    """

    def __init__(self, situation: Situation, axes: Sequence[Axis]) -> None:
        self.situation = situation
        self._lay(axes)
        self._parts: dict[Asked | str, tuple[Any, Any]] = {}

    def _lay(self, axes: Sequence[Axis]) -> None:
        self.axes = tuple(axes)
        self._told = [Told(axis) for axis in axes]
        self._sheets: dict[tuple[tuple[int, int], ...], Sheet] = {}
        values: dict[str, Any] = {}
        for number, axis in enumerate(axes):
            shape = [1] * len(axes)
            shape[number] = len(axis.points)
            values.update(axis.numbers(axis.points.reshape(shape)))
        self._arrays = frozenset(values)
        self._varied = self._arrays.union(*(told.names for told in self._told))
        self.sheet = self.situation.sheet.with_facts(planned(values))

    def at(self, axes: Sequence[Axis]) -> Survey:
        """Return the survey at other points of the same axes."""
        found = copy(self)
        found._lay(axes)
        found._parts = {asked: part for asked, part in self._parts.items() if not found._path(asked) & found._varied}
        return found

    def moved(self, situation: Situation) -> Survey:
        """Return the survey of another question over the same axes."""
        old, new = self.situation.sheet, situation.sheet
        changed = frozenset(name for name in {*old.facts, *new.facts} if old.facts.get(name) != new.facts.get(name))
        found = Survey(situation, self.axes)
        # Both plans must lead to a check by the same way for what was found of it to hold.
        found._parts = {
            asked: part
            for asked, part in self._parts.items()
            if not (path := found._path(asked)) & changed and path == self._path(asked)
        }
        return found

    def _path(self, asked: Asked | str) -> frozenset[str]:
        return path_of(asked, self.situation)

    def grid(self) -> Grid:
        """Return the verdict of every alternative; the axes of the result are those given, in their order."""
        names: list[str] = []
        codes: list[Any] = []
        cautions = self._part(CAUTIONS)[1]
        for place, asked in enumerate(asked_of(self.situation)):
            verdicts, beyond = self._part(asked)
            codes.append(coded(verdicts, place))
            cautions = cautions + beyond
            names.append(named(asked))
        codes.append(coded(caution_verdicts(cautions, self.sheet), len(names)))
        names.append(CAUTIONS)
        return Grid(combined(codes), tuple(names))

    def _part(self, asked: Asked | str) -> tuple[Any, Any]:
        """Return a check's verdicts on its own axes, and how many cautions it gives there."""
        found = self._parts.get(asked)
        if found is None:
            if isinstance(asked, str):
                found = (np.uint16(Verdict.GO), self._asked(self._path(asked), standing))
            elif isinstance(asked, Check):
                found = (self._checked(asked), 0)
            elif isinstance(asked, Aging):
                found = (age_verdicts(asked, self.sheet), 0)
            else:
                found = verdicts_of(asked, self.sheet)
            self._parts[asked] = found
        return found

    def _checked(self, check: Check) -> Any:
        """Return a check's verdicts: over the arrays of the sheet where only numbers vary, else sheet by sheet."""
        plan = self.sheet.plan
        varied = [name for name in check.inputs if plan.path(name) & self._varied]
        if varied and all(is_number(name, plan, self._arrays) for name in varied):
            others = {name: self.sheet.cell(name) for name in check.inputs if name not in varied}
            return over_numbers(check, [(name, others.get(name)) for name in check.inputs], self.sheet)
        return self._asked(self._path(check), lambda sheet: worst_of(check, sheet))

    def _asked(self, path: frozenset[str], found: Callable[[Sheet], int]) -> Any:
        """Return what is found on the sheets along the axes that it rests on, once for each different set of facts."""
        own = [number for number, told in enumerate(self._told) if path & told.names]
        if not own:
            return np.uint16(found(self.situation.sheet))
        grouped = [self._told[number].groups(path & self._told[number].names) for number in own]
        counts = [len(chosen) for chosen, _ in grouped]
        steps = [self.axes[number].stride for number in own]
        # One axis may be walked in strides: the last that has one, and points enough for it to save anything.
        walked = next((place for place in reversed(range(len(own))) if 1 < steps[place] < counts[place]), None)

        def at(place: tuple[int, ...]) -> int:
            points = tuple(
                (number, chosen[index]) for number, (chosen, _), index in zip(own, grouped, place, strict=True)
            )
            return found(self._sheet_at(points))

        values = np.empty(counts, np.uint16)
        if walked is None:
            for place in np.ndindex(*counts):
                values[place] = at(place)
        else:
            rows = [1 if number == walked else count for number, count in enumerate(counts)]
            for place in np.ndindex(*rows):
                before, after = place[:walked], place[walked + 1 :]
                row = filled(lambda index, b=before, a=after: at((*b, index, *a)), counts[walked], steps[walked])  # type: ignore[misc]
                values[(*before, slice(None), *after)] = row
        for axis, (_, of_point) in enumerate(grouped):
            values = np.take(values, of_point, axis=axis)
        return values.reshape([len(each.points) if number in own else 1 for number, each in enumerate(self.axes)])

    def _sheet_at(self, points: tuple[tuple[int, int], ...]) -> Sheet:
        """Return the sheet of one point on some axes; all checks that rest on these axes share it."""
        sheet = self._sheets.get(points)
        if sheet is None:
            facts: dict[str, Fact] = {}
            for number, point in points:
                facts.update(self._told[number].facts(point))
            sheet = self._sheets[points] = self.situation.sheet.with_facts(facts)
        return sheet


def grid(situation: Situation, axes: Sequence[Axis]) -> Grid:
    """Return the verdict of every alternative of a question over some axes."""
    return Survey(situation, axes).grid()


def asked_of(situation: Situation) -> tuple[Asked, ...]:
    """Return every check of a question, in the order that tells them apart: numbers first, for they say how much."""
    return (*situation.comparisons, *situation.agings, *situation.checks)


def path_of(asked: Asked | str, situation: Situation) -> frozenset[str]:
    """Return every name that the answer of a check rests on."""
    names: tuple[str, ...] = STANDING
    if isinstance(asked, str):
        pass
    elif isinstance(asked, Check):
        names = asked.inputs
    elif isinstance(asked, Aging):
        names = (asked.age, f"limits:{asked.of}", "asked_min", "depart_min")
    else:
        names = tuple(name for name in (asked.limits, asked.upper, asked.lower, asked.mean) if name)
    return _joined(situation.sheet.plan, names)


@lru_cache(maxsize=8192)
def _joined(plan: Plan, names: tuple[str, ...]) -> frozenset[str]:
    return frozenset[str]().union(*(plan.path(name) for name in names))


def named(asked: Asked) -> str:
    """Return the name of a check, with what it is about where there are several."""
    about = asked.about if isinstance(asked, Comparison) else ""
    return f"{asked.id}:{about}" if about else asked.id


def coded(verdicts: Any, place: int) -> Any:
    """Return verdicts with the check that gives them, by its place among all."""
    return verdicts * np.uint16(_VERDICT) + np.uint16(_HIGHEST_RANK - place)


def combined(codes: Iterable[Any]) -> Codes:
    """Return the largest code of each alternative: small axes first, so that only the last steps are large."""
    by_shape: dict[tuple[int, ...], Any] = {}
    for code in codes:
        array = np.asarray(code, dtype=np.uint16)
        shape = array.shape
        by_shape[shape] = np.maximum(by_shape[shape], array) if shape in by_shape else array
    parts = sorted(by_shape.values(), key=lambda part: part.size)
    out: Codes = parts[0]
    for part in parts[1:]:
        out = np.maximum(out, part)
    return out
