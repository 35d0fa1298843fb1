"""Where the center of gravity may lie: two limits over mass, each side its own broken line.

Arms are positive aft. Between the points of a side the limit is straight in the arm over mass. An envelope answers
only from its lowest to its highest mass; beyond them the nearest row is shown and `covers` says that it is no answer.
A lateral envelope is the same thing over lateral arms, positive to the right: its `forward` side is the left limit and
its `aft` side the right one.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise

from gyrewright.arrays import Num, Truth, at_least, at_most, both, polyline

Point = tuple[float, float]  # mass_kg, arm_m


@dataclass(frozen=True, slots=True)
class Side:
    """One limit as a broken line: arms at rising masses."""

    masses_kg: tuple[float, ...]
    arms_m: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class Envelope:
    """The forward and the aft limit over the same span of mass. Build it with `from_sides` or `from_polygon`."""

    forward: Side
    aft: Side

    @property
    def lowest_mass_kg(self) -> float:
        """The smallest mass for which the envelope gives an answer. [kg]"""
        return self.forward.masses_kg[0]

    @property
    def highest_mass_kg(self) -> float:
        """The largest mass for which the envelope gives an answer. [kg]"""
        return self.forward.masses_kg[-1]


@dataclass(frozen=True, slots=True)
class Segment:
    """One straight piece of a side: arm = intercept + slope x mass, between two masses."""

    low_kg: float
    high_kg: float
    intercept_m: float
    slope_m_per_kg: float


def limits_at(envelope: Envelope, mass_kg: Num) -> tuple[Num, Num]:
    """Return the forward and the aft limit at a mass. [m], [m]

    Outside the envelope's span of mass the nearest row is returned; ask `covers` whether it may be used.
    """
    return (
        polyline(mass_kg, envelope.forward.masses_kg, envelope.forward.arms_m),
        polyline(mass_kg, envelope.aft.masses_kg, envelope.aft.arms_m),
    )


def covers(envelope: Envelope, mass_kg: Num) -> Truth:
    """Return whether the envelope has an answer at a mass. Both ends are inside."""
    return both(at_least(mass_kg, envelope.lowest_mass_kg), at_most(mass_kg, envelope.highest_mass_kg))


@lru_cache(maxsize=512)
def segments(side: Side) -> tuple[Segment, ...]:
    """Return the straight pieces of a side, by rising mass."""
    pieces = []
    for (low_kg, low_m), (high_kg, high_m) in pairwise(zip(side.masses_kg, side.arms_m, strict=True)):
        slope = (high_m - low_m) / (high_kg - low_kg)
        pieces.append(Segment(low_kg, high_kg, low_m - slope * low_kg, slope))
    return tuple(pieces)


@lru_cache(maxsize=512)
def arm_scale_m(envelope: Envelope) -> float:
    """Return the length against which two arms of this envelope count as the same. [m]

    The largest arm plus the whole width, so that a limit of exactly zero, at the datum, has a scale as well.
    """
    arms = envelope.forward.arms_m + envelope.aft.arms_m
    return max(abs(arm) for arm in arms) + (max(arms) - min(arms))


def from_sides(*, forward: Sequence[Point], aft: Sequence[Point]) -> tuple[Envelope | None, tuple[str, ...]]:
    """Return the envelope between two lists of (mass in kg, arm in m), or nothing and what is wrong with them.

    Both lists rise in mass and span the same masses; their other masses may differ.
    """
    return _from_lines(forward, aft, "forward", "aft", "behind")


def lateral_envelope(*, left: Sequence[Point], right: Sequence[Point]) -> tuple[Envelope | None, tuple[str, ...]]:
    """Return the lateral envelope between two lists of (mass in kg, arm in m, positive right), or what is wrong."""
    return _from_lines(left, right, "left", "right", "to the right of")


def from_polygon(points: Sequence[Point]) -> tuple[Envelope | None, tuple[str, ...]]:
    """Return the envelope inside a polygon of (mass in kg, arm in m), or nothing and what is wrong with it.

    The corners go round in either direction and may start anywhere; the first may be repeated at the end. Level edges
    are read at the lowest and the highest mass only: anywhere else they would give one mass two limits.
    """
    ring = list(points)
    if len(ring) > 1 and ring[0] == ring[-1]:
        ring.pop()
    problems = [*_bad_numbers(ring, "the polygon")]
    if not problems and len(ring) < 3:
        problems.append(f"the polygon has {len(ring)} corners; give three or more")
    if problems:
        return None, tuple(problems)
    problems = [
        f"corners {i + 1} and {(i + 1) % len(ring) + 1} are the same point, {_said(ring[i])}; give it once"
        for i in range(len(ring))
        if ring[i] == ring[(i + 1) % len(ring)]
    ]
    if problems:
        return None, tuple(problems)
    if all(_turn(ring[0], ring[1], corner) == 0.0 for corner in ring):
        return None, ("the polygon encloses nothing; its corners lie on one line",)
    problems = _crossings(ring)
    if problems:
        return None, tuple(problems)
    first, second, problems = _chains(ring)
    if problems:
        return None, tuple(problems)
    if sum(arm for _, arm in _at_all_masses(first, second)) > sum(arm for _, arm in _at_all_masses(second, first)):
        first, second = second, first
    return from_sides(forward=first, aft=second)


def _said(point: Point) -> str:
    return f"{point[0]:g} kg at {point[1]:g} m"


def _bad_numbers(points: Sequence[Point], name: str) -> list[str]:
    return [
        f"{name}, point {number}: {mass!r} kg at {arm!r} m; write a mass, zero or more, and an arm"
        for number, (mass, arm) in enumerate(points, start=1)
        if not (math.isfinite(mass) and math.isfinite(arm) and mass >= 0.0)
    ]


def _from_lines(
    low: Sequence[Point], high: Sequence[Point], low_name: str, high_name: str, beyond: str
) -> tuple[Envelope | None, tuple[str, ...]]:
    problems: list[str] = []
    for points, name in ((low, low_name), (high, high_name)):
        problems += _bad_numbers(points, f"the {name} limit")
        if len(points) < 2:
            problems.append(f"the {name} limit has {len(points)} points; give one at the lowest and the highest mass")
        problems += [
            f"the {name} limit goes from {_said(before)} to {_said(after)}; masses must rise, one limit for each"
            for before, after in pairwise(points)
            if not after[0] > before[0]
        ]
    if problems:
        return None, tuple(problems)
    for end, word in ((0, "begins"), (-1, "ends")):
        if low[end][0] != high[end][0]:
            problems.append(
                f"the {low_name} limit {word} at {low[end][0]:g} kg, the {high_name} limit at {high[end][0]:g} kg; "
                "give both over the same masses"
            )
    if problems:
        return None, tuple(problems)
    envelope = Envelope(
        Side(tuple(float(mass) for mass, _ in low), tuple(float(arm) for _, arm in low)),
        Side(tuple(float(mass) for mass, _ in high), tuple(float(arm) for _, arm in high)),
    )
    for mass_kg in sorted({*envelope.forward.masses_kg, *envelope.aft.masses_kg}):
        low_m, high_m = limits_at(envelope, mass_kg)
        if low_m > high_m:
            problems.append(
                f"at {mass_kg:g} kg the {low_name} limit {low_m:g} m lies {beyond} the {high_name} limit {high_m:g} m; "
                "were the two exchanged?"
            )
    return (None, tuple(problems)) if problems else (envelope, ())


def _turn(a: Point, b: Point, c: Point) -> float:
    return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])


def _between(a: Point, b: Point, c: Point) -> bool:
    return min(a[0], b[0]) <= c[0] <= max(a[0], b[0]) and min(a[1], b[1]) <= c[1] <= max(a[1], b[1])


def _meet(a: Point, b: Point, c: Point, d: Point) -> bool:
    """Whether the straight pieces a-b and c-d have a point in common."""
    turns = (_turn(a, b, c), _turn(a, b, d), _turn(c, d, a), _turn(c, d, b))
    if turns[0] * turns[1] < 0.0 and turns[2] * turns[3] < 0.0:
        return True
    return any(
        turn == 0.0 and _between(*piece)
        for turn, piece in zip(turns, ((a, b, c), (a, b, d), (c, d, a), (c, d, b)), strict=True)
    )


def _crossings(ring: Sequence[Point]) -> list[str]:
    count = len(ring)
    found = []
    for i in range(count):
        for j in range(i + 2, count):
            if i == 0 and j == count - 1:
                continue
            if _meet(ring[i], ring[i + 1], ring[j], ring[(j + 1) % count]):
                found.append(
                    f"the polygon crosses itself: the edge from {_said(ring[i])} to {_said(ring[i + 1])} meets the one "
                    f"from {_said(ring[j])} to {_said(ring[(j + 1) % count])}; give the corners in order round the edge"
                )
    return found


def _chains(ring: Sequence[Point]) -> tuple[list[Point], list[Point], list[str]]:
    """The two ways up from the lowest to the highest mass, and where one of them does not rise."""
    lowest, highest = min(mass for mass, _ in ring), max(mass for mass, _ in ring)
    count = len(ring)
    start = next(i for i in range(count) if ring[i][0] == lowest and ring[i - 1][0] != lowest)
    turned = [*ring[start:], *ring[:start]]  # begins with the level run at the lowest mass
    top = [i for i in range(count) if turned[i][0] == highest]
    foot = next(i for i in range(count) if turned[i + 1][0] != lowest)
    up = turned[foot : top[0] + 1]
    down = [turned[0], *reversed(turned[top[-1] :])]
    problems = [
        f"not one limit for each mass: the edge from {_said(before)} to {_said(after)} does not rise in mass"
        for chain in (up, down)
        for before, after in pairwise(chain)
        if not after[0] > before[0]
    ]
    if top[-1] - top[0] + 1 != len(top):
        problems.append(f"not one limit for each mass: the polygon reaches {highest:g} kg in two separate places")
    return up, down, problems


def _at_all_masses(chain: Sequence[Point], other: Sequence[Point]) -> list[Point]:
    """The chain's arm at every mass where either chain has a corner."""
    masses, arms = tuple(mass for mass, _ in chain), tuple(arm for _, arm in chain)
    return [(mass, float(polyline(mass, masses, arms))) for mass in sorted({*masses, *(mass for mass, _ in other)})]
