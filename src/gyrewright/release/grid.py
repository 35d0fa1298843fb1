"""The same checks over a whole grid of alternatives: which pass, and what binds where one does not.

An alternative is a value on each varied axis. A check is evaluated on the axes it depends on and no others; the
verdicts are combined last. Verdict and binding check travel together in one small number, so that combining is a
maximum: `verdict x 256 + rank`, where the rank tells the checks apart, earlier ones higher.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from copy import copy
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from gyrewright.check import Aging, Check, Comparison
from gyrewright.fact import Fact, Origin
from gyrewright.finding import Verdict, worst
from gyrewright.release.judge import ask, compared, lacking_layers, passes
from gyrewright.release.question import Question
from gyrewright.release.situation import Situation
from gyrewright.sheet import Sheet

Codes = NDArray[np.uint16]
Asked = Check | Aging | Comparison

_VERDICT = 256
_HIGHEST_RANK = 255


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
        return self.codes < Verdict.UNKNOWN * _VERDICT

    def binding(self, code: int) -> str:
        """Return the name of the check that a code names."""
        return self.names[_HIGHEST_RANK - code % _VERDICT]


@dataclass(frozen=True, slots=True)
class Axis:
    """A choice that may vary, and its points.

    Attributes:
        name: What is varied, for people.
        points: Its values.
        numbers: Returns, for an array of points, the arrays that take the place of facts or numbers on the sheet.
        facts: Returns, for one point, the facts that a `Check` is asked with.
        stride: A `Check` is asked at every so many points first, and between them only where its answer changed: one
            change between two such points is found to the point, two that cancel out are not.
    """

    name: str
    points: NDArray[np.float64]
    numbers: Callable[[NDArray[np.float64]], Mapping[str, Any]]
    facts: Callable[[float], Mapping[str, Any]]
    stride: int = 1


class Survey:
    """One question over some axes, with what has been found of it so far, check by check.

    A survey of the same axes for a neighboring question (another runway) starts from everything that does not rest on
    what is different there.
    """

    def __init__(self, situation: Situation, axes: Sequence[Axis]) -> None:
        self.situation = situation
        self.told = [Told(axis) for axis in axes]
        values: dict[str, Any] = {}
        for number, axis in enumerate(axes):
            shape = [1] * len(axes)
            shape[number] = len(axis.points)
            values.update(axis.numbers(axis.points.reshape(shape)))
        self.sheet = situation.sheet.with_facts(_planned(values))
        self._parts: dict[int, tuple[Any, Any]] = {}

    def moved(self, question: Question, facts: Mapping[str, Fact]) -> Survey:
        """Return the survey of a question that differs in these facts, and in nothing else."""
        found = copy(self)
        there = self.situation.sheet.with_facts(facts)
        found.situation = replace(self.situation, question=question, sheet=there)
        found.sheet = self.sheet.with_facts(facts)
        changed = frozenset(facts)
        asked = self._asked
        found._parts = {place: part for place, part in self._parts.items() if not self._path(asked[place]) & changed}
        return found

    @property
    def _asked(self) -> tuple[Asked, ...]:
        """Every check of the question, in the order that tells them apart."""
        return (*self.situation.checks, *self.situation.agings, *self.situation.comparisons)

    def _path(self, asked: Asked) -> frozenset[str]:
        """Return every name that the answer of a check rests on."""
        if isinstance(asked, Check):
            names = asked.inputs
        elif isinstance(asked, Aging):
            names = (asked.age, f"limits:{asked.of}", "asked_min", "depart_min")
        else:
            names = tuple(name for name in (asked.limits, asked.upper, asked.lower, asked.mean) if name)
        return frozenset[str]().union(*(self.sheet.plan.path(name) for name in names))

    def grid(self) -> Grid:
        """Return the verdict of every alternative; the axes of the result are those given, in their order."""
        names: list[str] = []
        codes: list[Any] = []
        cautions: Any = 0
        for place, asked in enumerate(self._asked):
            part = self._parts.get(place)
            if part is None:
                part = self._parts[place] = self._part(asked, place)
            codes.append(part[0])
            cautions = cautions + part[1]
            names.append(_named(asked))
        codes.append(_coded(_caution_verdicts(cautions, self.sheet), len(names)))
        names.append("cautions.counted")
        return Grid(combined(codes), tuple(names))

    def _part(self, asked: Asked, place: int) -> tuple[Any, Any]:
        """Return a check's codes on its own axes, and how many demonstrated figures are exceeded there."""
        if isinstance(asked, Check):
            return _coded(check_verdicts(asked, self.situation.sheet, self.told), place), 0
        if isinstance(asked, Aging):
            return _coded(age_verdicts(asked, self.sheet), place), 0
        verdicts, beyond = verdicts_of(asked, self.sheet)
        return _coded(verdicts, place), beyond


def _coded(verdicts: Any, place: int) -> Any:
    return verdicts * np.uint16(_VERDICT) + np.uint16(_HIGHEST_RANK - place)


def grid(situation: Situation, axes: Sequence[Axis]) -> Grid:
    """Return the verdict of every alternative of a question over some axes."""
    return Survey(situation, axes).grid()


def _planned(values: Mapping[str, Any]) -> dict[str, Fact]:
    return {name: Fact(name, value, "varied", Origin.PLANNED) for name, value in values.items()}


class Told:
    """An axis and the facts that each of its points tells, worked out once for all checks."""

    def __init__(self, axis: Axis) -> None:
        self.axis = axis
        self.facts = [_planned(axis.facts(float(point))) for point in axis.points]
        self.names = frozenset(self.facts[0]) if self.facts else frozenset()
        self._groups: dict[frozenset[str], tuple[list[int], NDArray[np.intp]]] = {}

    def groups(self, names: frozenset[str]) -> tuple[list[int], NDArray[np.intp]]:
        """Return a point for each different set of these facts, and for every point the number of its set."""
        if names not in self._groups:
            self._groups[names] = self._grouped(names)
        return self._groups[names]

    def _grouped(self, names: frozenset[str]) -> tuple[list[int], NDArray[np.intp]]:
        seen: dict[Any, int] = {}
        chosen: list[int] = []
        of_point = np.empty(len(self.facts), np.intp)
        ordered = sorted(names)
        for number, facts in enumerate(self.facts):
            values = tuple(facts[name].value for name in ordered)
            try:
                group = seen.get(values)
            except TypeError:  # a value that cannot be hashed is a set of its own
                group, values = None, (number,)
            if group is None:
                group = seen[values] = len(chosen)
                chosen.append(number)
            of_point[number] = group
        return chosen, of_point


def check_verdicts(check: Check, sheet: Sheet, told: Sequence[Told]) -> Any:
    """Return a check's verdicts on the axes that it rests on, asked once for each different set of facts."""
    path = frozenset[str]().union(*(sheet.plan.path(name) for name in check.inputs))
    own = [number for number, each in enumerate(told) if path & each.names]
    if not own:
        return np.uint16(_worst(check, sheet))
    grouped = [told[number].groups(path & told[number].names) for number in own]
    counts = [len(chosen) for chosen, _ in grouped]
    strides = [told[number].axis.stride for number in own]
    # One axis may be walked in strides: the last that has one, and points enough for it to save anything.
    walked = next((place for place in reversed(range(len(own))) if 1 < strides[place] < counts[place]), None)

    def verdict(place: tuple[int, ...]) -> int:
        facts: dict[str, Fact] = {}
        for number, (chosen, _), index in zip(own, grouped, place, strict=True):
            facts.update(told[number].facts[chosen[index]])
        return _worst(check, sheet.with_facts(facts))

    verdicts = np.empty(counts, np.uint16)
    if walked is None:
        for place in np.ndindex(*counts):
            verdicts[place] = verdict(place)
    else:
        rows = [1 if number == walked else count for number, count in enumerate(counts)]
        for place in np.ndindex(*rows):
            before, after = place[:walked], place[walked + 1 :]
            row = _filled(lambda index, b=before, a=after: verdict((*b, index, *a)), counts[walked], strides[walked])  # type: ignore[misc]
            verdicts[(*before, slice(None), *after)] = row
    for axis, (_, of_point) in enumerate(grouped):
        verdicts = np.take(verdicts, of_point, axis=axis)
    return verdicts.reshape([len(each.facts) if number in own else 1 for number, each in enumerate(told)])


def _filled(verdict: Callable[[int], int], count: int, stride: int) -> NDArray[np.uint16]:
    """Return the verdict at every point of an axis, asked at every so many and where it changes between them."""
    verdicts = np.empty(count, np.uint16)
    before = 0
    verdicts[0] = verdict(0)
    for place in [*range(stride, count, stride), count - 1]:
        verdicts[place] = verdict(place)
        low, high = before, place
        while verdicts[before] != verdicts[place] and high - low > 1:
            middle = (low + high) // 2
            if verdict(middle) == verdicts[before]:
                low = middle
            else:
                high = middle
        verdicts[before + 1 : high] = verdicts[before]
        verdicts[high:place] = verdicts[place]
        before = place
    return verdicts


def _worst(check: Check, sheet: Sheet) -> int:
    found = ask(check, sheet)
    return int(worst(found)) if found else int(Verdict.GO)


def _named(asked: Asked) -> str:
    about = asked.about if isinstance(asked, Comparison) else ""
    return f"{asked.id}:{about}" if about else asked.id


def verdicts_of(comparison: Comparison, sheet: Sheet) -> tuple[Any, Any]:
    """Return a comparison's verdicts on its own axes, and how many demonstrated figures are exceeded there."""
    stack = sheet.cell(comparison.limits)
    if stack.known is False:
        return np.uint16(Verdict.UNKNOWN), 0
    limits = stack.value
    lacking = lacking_layers(comparison, limits)
    failed: Any = False
    unknown: Any = bool(lacking) | ~np.asarray(stack.known)
    beyond: Any = 0
    unverified = False
    for limit in limits:
        if limit.value is None:
            continue
        name = compared(comparison, limit)
        cell = sheet.cell(name)
        unverified = unverified or not limit.verified_by
        if cell.known is False:
            unknown = True
            continue
        broken = ~np.asarray(passes(limit, cell.value)) & cell.known
        if cell.known is not True:
            unknown = unknown | ~np.asarray(cell.known)
        if limit.demonstrated:
            beyond = beyond + broken
        else:
            failed = failed | broken
    rest = Verdict.JUDGE if unverified else Verdict.GO
    verdicts = np.where(failed, np.uint16(Verdict.STOP), np.where(unknown, np.uint16(Verdict.UNKNOWN), np.uint16(rest)))
    return verdicts, beyond


def age_verdicts(aging: Aging, sheet: Sheet) -> Any:
    """Return an aging's verdicts on its own axes."""
    age, stack = sheet.cell(aging.age), sheet.cell(f"limits:{aging.of}")
    asked, depart = sheet.cell("asked_min"), sheet.cell("depart_min")
    if False in (stack.known is not False, asked.known is not False, depart.known is not False):
        return np.uint16(Verdict.UNKNOWN)
    limits = [limit for limit in stack.value if limit.value is not None]
    if not limits:
        return np.uint16(Verdict.GO)
    if age.known is False:
        return np.uint16(Verdict.UNKNOWN)
    fresh: Any = True
    for limit in limits:
        fresh = fresh & np.asarray(passes(limit, age.value))
    can_renew = np.asarray(asked.value < depart.value - min(limit.value for limit in limits) * 60.0)
    verdicts = np.where(
        fresh, np.uint16(Verdict.GO), np.where(can_renew, np.uint16(Verdict.GO_IF), np.uint16(Verdict.UNKNOWN))
    )
    return np.where(age.known, verdicts, np.uint16(Verdict.UNKNOWN))


def _caution_verdicts(cautions: Any, sheet: Sheet) -> Any:
    stack = sheet.cell("limits:cautions")
    if stack.known is not True:
        return np.uint16(Verdict.GO)
    too_many: Any = False
    for limit in stack.value:
        if limit.value is not None:
            too_many = too_many | ~np.asarray(passes(limit, np.asarray(cautions, float)))
    return np.where(too_many, np.uint16(Verdict.JUDGE), np.uint16(Verdict.GO))


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
