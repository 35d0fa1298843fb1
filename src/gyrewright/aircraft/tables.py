"""Tables as a manual prints them: any number of axes, each with the manual's own rule between and below its points.

Between two printed points an axis is read either in proportion ("linear") or at the next higher printed point. Below
its first point it either uses that point or has no data; above its last point there is never any. Nothing is
extrapolated: outside, the value at the nearest edge is returned and `inside` is false.

One flight is looked up without NumPy, many by broadcasting; both do the same arithmetic in the same order and agree to
the last bit.
"""

from __future__ import annotations

import math
from bisect import bisect_left, bisect_right
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from functools import lru_cache
from itertools import pairwise, product
from typing import TYPE_CHECKING, Any, Literal

from gyrewright.arrays import SAME_RATIO, Num, Truth, at_least, at_most, both, choose, greatest, is_plain, least
from gyrewright.errors import OutOfRange, UnknownName, shown

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

BETWEEN = ("linear", "next higher")
BELOW = ("first", "no data")


@dataclass(frozen=True, slots=True)
class Axis:
    """One axis of a table: its name, its rising points, and how it is read between (`BETWEEN`) and below (`BELOW`)."""

    name: str
    points: tuple[float, ...]
    between: str
    below: str


@dataclass(frozen=True, slots=True)
class Table:
    """Axes, and the values with the last axis running fastest. Build it with `build_table`, which checks it."""

    axes: tuple[Axis, ...]
    values: tuple[float, ...]
    strides: tuple[int, ...] = field(init=False, compare=False, repr=False)

    def __post_init__(self) -> None:
        """Work out how far apart in `values` two neighbors along each axis are."""
        strides, step = [], 1
        for axis in reversed(self.axes):
            strides.append(step)
            step *= len(axis.points)
        if step != len(self.values):
            raise OutOfRange(f"the axes ask for {step} values, {len(self.values)} were given; use build_table")
        object.__setattr__(self, "strides", tuple(reversed(strides)))


@dataclass(frozen=True, slots=True)
class AxisReading:
    """How one axis was read: the printed points used, and the share of the way from `low` to `high`."""

    name: str
    coordinate: float
    low: float
    high: float
    share: float
    inside: bool


@dataclass(frozen=True, slots=True)
class Cell:
    """One printed value that was used: where it stands, what it says, and its weight in the answer."""

    at: tuple[float, ...]
    value: float
    weight: float


@dataclass(frozen=True, slots=True)
class Reading:
    """A looked-up value with everything needed to find it again in the printed table."""

    value: float
    inside: bool
    axes: tuple[AxisReading, ...]
    cells: tuple[Cell, ...]


def build_table(
    *, axes: Sequence[Axis], values: Sequence[Any], typed: Mapping[str, Sequence[str]] | None = None
) -> tuple[Table | None, tuple[str, ...]]:
    """Return the table, or nothing and everything that is wrong with it.

    Args:
        axes: The axes, slowest first.
        values: Nested sequences, one level for each axis. A hole (None) is a problem: it is never filled in.
        typed: The points of each axis, by its name, as a person wrote them, for what is said to that person.
    """
    problems = [] if axes else ["the table has no axis; give at least one"]
    for axis in axes:
        problems += _axis_problems(axis)
    flat: list[float] = []
    if not problems:
        _collect(list(axes), typed or {}, values, (), flat, problems)
    return (None, tuple(problems)) if problems else (Table(tuple(axes), tuple(flat)), ())


def _axis_problems(axis: Axis) -> list[str]:
    problems = []
    if not axis.points:
        problems.append(f"{axis.name}: no points; give at least one")
    if not all(math.isfinite(point) for point in axis.points):
        problems.append(f"{axis.name}: {axis.points} has a point that is no number")
    problems += [
        f"{axis.name}: {before:g} is followed by {after:g}; points must rise"
        for before, after in pairwise(axis.points)
        if not after > before
    ]
    if axis.between not in BETWEEN:
        problems.append(f"{axis.name}: between {axis.between!r}; write one of: {', '.join(BETWEEN)}")
    if axis.below not in BELOW:
        problems.append(f"{axis.name}: below {axis.below!r}; write one of: {', '.join(BELOW)}")
    return problems


def _collect(
    axes: list[Axis],
    typed: Mapping[str, Sequence[str]],
    values: Any,
    place: tuple[str, ...],
    flat: list[float],
    problems: list[str],
) -> None:
    where = ", ".join(place) or "the table"
    if not axes:
        if isinstance(values, (int, float)) and not isinstance(values, bool) and math.isfinite(values):
            flat.append(float(values))
        elif values is None:
            problems.append(f"{where}: no value; a hole is not filled, write what the manual prints")
        else:
            problems.append(f"{where}: {shown(values)} is no number; write what the manual prints")
        return
    axis = axes[0]
    if isinstance(values, str) or not isinstance(values, Sequence):
        problems.append(f"{where}: one value where {len(axis.points)} along {axis.name} are needed")
    elif len(values) != len(axis.points):
        problems.append(f"{where}: {len(values)} values along {axis.name}, which has {len(axis.points)} points")
    else:
        said = typed.get(axis.name) or [f"{point:g}" for point in axis.points]
        for point, part in zip(said, values, strict=True):
            _collect(axes[1:], typed, part, (*place, f"{axis.name} {point}"), flat, problems)


def lookup(table: Table, *coordinates: Num) -> tuple[Num, Truth]:
    """Return the value at the coordinates, and whether the table has data there.

    Outside, the value is that of the nearest edge. Numbers alike to 1e-9 count as the same, so that a mass converted
    from pounds still meets its printed row.

    Args:
        table: As built by `build_table`.
        coordinates: One for each axis, in order; arrays broadcast.

    Raises:
        OutOfRange: Not one coordinate for each axis.
    """
    if len(coordinates) != len(table.axes):
        names = ", ".join(axis.name for axis in table.axes)
        raise OutOfRange(f"{len(coordinates)} coordinates for {len(table.axes)} axes; give: {names}")
    if not is_plain(*coordinates):
        return _lookup_many(table, coordinates)
    bases = [0]
    shares = []
    inside = True
    for axis, stride, coordinate in zip(table.axes, table.strides, coordinates, strict=True):
        index, share, has_data = _place(axis, coordinate)  # type: ignore[arg-type]
        inside = inside and has_data
        offset = index * stride
        if share:
            shares.append(share)
            bases = [place for base in bases for place in (base + offset, base + offset + stride)]
        else:
            bases = [base + offset for base in bases]
    values = table.values
    found = [values[base] for base in bases]
    while shares:
        share = shares.pop()
        found = [low + share * (high - low) for low, high in zip(found[::2], found[1::2], strict=True)]
    return found[0], inside


def _place(axis: Axis, coordinate: float) -> tuple[int, float, bool]:
    """The point at or before the coordinate, the share of the way to the next, and whether there is data."""
    points = axis.points
    if coordinate < points[0]:
        return 0, 0.0, axis.below == "first" or _same(coordinate, points[0])
    if coordinate >= points[-1]:
        return len(points) - 1, 0.0, _same(coordinate, points[-1])
    if axis.between == "linear":
        index = bisect_right(points, coordinate) - 1
        return index, (coordinate - points[index]) / (points[index + 1] - points[index]), True
    index = bisect_left(points, coordinate)
    if index and _same(coordinate, points[index - 1]):
        index -= 1
    return index, 0.0, True


def _same(first: float, second: float) -> bool:
    return abs(first - second) <= SAME_RATIO * (abs(first) + abs(second))


@lru_cache(maxsize=64)
def _as_array(table: Table) -> NDArray[np.float64]:
    import numpy as np

    return np.array(table.values)


def _lookup_many(table: Table, coordinates: tuple[Num, ...]) -> tuple[Num, Truth]:
    bases: list[Any] = [0]
    shares: list[Any] = []
    inside: Truth = True
    for axis, stride, coordinate in zip(table.axes, table.strides, coordinates, strict=True):
        index, share, has_data = _place_many(axis, coordinate)
        inside = both(inside, has_data)
        offset = index * stride
        if axis.between == "linear" and len(axis.points) > 1:
            shares.append(share)
            step = stride * (index < len(axis.points) - 1)
            bases = [place for base in bases for place in (base + offset, base + offset + step)]
        else:
            bases = [base + offset for base in bases]
    values = _as_array(table)
    found: list[Any] = [values[base] for base in bases]
    while shares:
        share = shares.pop()
        found = [low + share * (high - low) for low, high in zip(found[::2], found[1::2], strict=True)]
    return found[0], inside


def _place_many(axis: Axis, coordinate: Num) -> tuple[Any, Any, Truth]:
    """What `_place` does, for arrays."""
    import numpy as np

    points = np.array(axis.points)
    last = len(points) - 1
    has_data: Any = at_most(coordinate, axis.points[-1])
    if axis.below == "no data":
        has_data = both(has_data, at_least(coordinate, axis.points[0]))
    if axis.between == "linear":
        index = np.clip(np.searchsorted(points, coordinate, side="right") - 1, 0, last)
        after = np.minimum(index + 1, last)
        between = (after > index) & (coordinate > points[0])
        share = np.where(between, coordinate - points[index], 0.0) / np.where(
            between, points[after] - points[index], 1.0
        )
        return index, share, has_data
    index = np.clip(np.searchsorted(points, coordinate, side="left"), 0, last)
    before = np.maximum(index - 1, 0)
    same = (index > 0) & (coordinate < points[-1]) & at_most(coordinate, points[before])
    return np.where(same, before, index), 0.0, has_data


def explain(table: Table, *coordinates: float) -> Reading:
    """Return the looked-up value with the printed rows, columns and shares that it was made from."""
    value, inside = lookup(table, *coordinates)
    axes = []
    for axis, coordinate in zip(table.axes, coordinates, strict=True):
        index, share, has_data = _place(axis, coordinate)
        high = axis.points[index + 1] if share else axis.points[index]
        axes.append(AxisReading(axis.name, coordinate, axis.points[index], high, share, has_data))
    cells = []
    for corner in product(
        *(((axis.low, 1.0 - axis.share), (axis.high, axis.share))[: 2 if axis.share else 1] for axis in axes)
    ):
        at = tuple(point for point, _ in corner)
        printed, _ = lookup(table, *at)
        cells.append(Cell(at, float(printed), math.prod(weight for _, weight in corner)))
    return Reading(float(value), bool(inside), tuple(axes), tuple(cells))


def highest_coordinate(
    table: Table, *others: Num, along: str, target: Num, sense: Literal["at most", "at least"]
) -> tuple[Num, Truth]:
    """Return the highest coordinate along one axis up to which the value meets the target, and whether there is one.

    From the axis's first point to the returned coordinate every value is at most (or at least) the target; exact on
    the straight pieces. Where the whole axis meets it, its last point is returned: beyond it there is no data. Where
    the first point does not, or another coordinate is outside the table, there is none and the first point is returned.

    Args:
        table: As built by `build_table`.
        others: The coordinates of the other axes, in order.
        along: The name of the axis to solve for.
        target: What the value is compared with, in its unit.
        sense: Whether the value must be "at most" or "at least" the target.

    Raises:
        UnknownName: The table has no such axis.
    """
    names = [axis.name for axis in table.axes]
    if along not in names:
        raise UnknownName(f"the table has no axis {along!r}; choose one of: {', '.join(names)}")
    number = names.index(along)
    axis = table.axes[number]
    meets = at_most if sense == "at most" else at_least
    value, inside = lookup(table, *others[:number], axis.points[0], *others[number:])
    alive: Truth = both(meets(value, target), inside)
    exists, highest = alive, choose(alive, axis.points[0], axis.points[0])
    for low, high in pairwise(axis.points):
        value_before, value = value, lookup(table, *others[:number], high, *others[number:])[0]
        reaches = both(alive, meets(value, target))
        if axis.between == "linear":
            step = value - value_before
            # Where the condition ends here the target lies between the two values; elsewhere the share is not used.
            size, gone = greatest(step, -step), greatest(target - value_before, value_before - target)
            share = least(gone, size) / choose(size == 0.0, 1.0, size)
            ends_here = both(alive, reaches ^ True)
            highest = choose(ends_here, low + share * (high - low), highest)
        highest = choose(reaches, high, highest)
        alive = reaches
    return highest, exists
