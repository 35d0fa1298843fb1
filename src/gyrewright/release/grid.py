"""The same checks over a whole grid of alternatives: which pass, and what binds where one does not.

An alternative is a value on each varied axis. A check is evaluated on the axes it depends on and no others; the
verdicts are combined last. Verdict and binding check travel together in one small number, so that combining is a
maximum: `verdict x 256 + rank`, where the rank tells the checks apart, earlier ones higher.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from gyrewright.check import Aging, Check, Comparison
from gyrewright.fact import Fact, Origin
from gyrewright.finding import Verdict, worst
from gyrewright.release.judge import ask, compared, lacking_layers, passes
from gyrewright.release.situation import Situation
from gyrewright.sheet import Sheet

Codes = NDArray[np.uint16]

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


def laid_over(sheet: Sheet, axes: Sequence[Axis]) -> Sheet:
    """Return the sheet with the points of every axis in place of single numbers, each axis a dimension of its own."""
    values: dict[str, Any] = {}
    for number, axis in enumerate(axes):
        shape = [1] * len(axes)
        shape[number] = len(axis.points)
        values.update(axis.numbers(axis.points.reshape(shape)))
    return sheet.with_facts(_planned(values))


def grid(situation: Situation, axes: Sequence[Axis], *, over: Sheet | None = None) -> Grid:
    """Return the verdict of every alternative; the axes of the result are those given, in their order.

    Args:
        situation: The question that is varied.
        axes: What varies.
        over: The sheet with the axes laid over it, where the caller has one that shares numbers with another question.
    """
    sheet = laid_over(situation.sheet, axes) if over is None else over
    names: list[str] = []
    codes: list[Any] = []
    cautions: Any = 0

    def add(name: str, verdicts: Any) -> None:
        codes.append(verdicts * np.uint16(_VERDICT) + np.uint16(_HIGHEST_RANK - len(names)))
        names.append(name)

    for check in situation.checks:
        add(check.id, check_verdicts(check, situation.sheet, axes))
    for aging in situation.agings:
        add(aging.id, age_verdicts(aging, sheet))
    for comparison in situation.comparisons:
        verdicts, beyond = verdicts_of(comparison, sheet)
        cautions = cautions + beyond
        add(_named(comparison), verdicts)
    add("cautions.counted", _caution_verdicts(cautions, sheet))
    return Grid(combined(codes), tuple(names))


def _planned(values: Mapping[str, Any]) -> dict[str, Fact]:
    return {name: Fact(name, value, "varied", Origin.PLANNED) for name, value in values.items()}


def check_verdicts(check: Check, sheet: Sheet, axes: Sequence[Axis]) -> Any:
    """Return a check's verdicts on the axes that it rests on, asked once for each different set of inputs."""
    path = frozenset[str]().union(*(sheet.plan.path(name) for name in check.inputs))
    own = [number for number, axis in enumerate(axes) if path & axis.facts(float(axis.points[0])).keys()]
    if not own:
        return np.uint16(_worst(check, sheet))
    known: dict[Any, int] = {}

    def verdict(place: tuple[int, ...]) -> int:
        facts: dict[str, Any] = {}
        for number, index in zip(own, place, strict=True):
            facts.update(axes[number].facts(float(axes[number].points[index])))
        asked = sheet.with_facts(_planned(facts))
        inputs = tuple(asked.cell(name) for name in check.inputs)
        try:
            found = known.get(inputs)
        except TypeError:  # an input that cannot be hashed is asked for each time
            return _worst(check, asked)
        if found is None:
            found = known[inputs] = _worst(check, asked)
        return found

    counts = [len(axes[number].points) for number in own]
    if len(own) == 1 and axes[own[0]].stride > 1:
        verdicts = _filled(lambda index: verdict((index,)), counts[0], axes[own[0]].stride)
    else:
        verdicts = np.empty(counts, np.uint16)
        for place in np.ndindex(*counts):
            verdicts[place] = verdict(place)
    shape = [len(axis.points) if number in own else 1 for number, axis in enumerate(axes)]
    return verdicts.reshape(shape)


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


def _named(comparison: Comparison) -> str:
    return f"{comparison.id}:{comparison.about}" if comparison.about else comparison.id


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
            too_many = too_many | (np.asarray(cautions) >= limit.value)
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
