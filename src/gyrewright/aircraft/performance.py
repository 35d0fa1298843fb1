"""From the distance a table gives to the distance this wind, surface and slope ask for.

What a manual prints as corrections is data here; factors multiply and nothing is rounded. What the manual does not
print is "no data", never a factor of one: a surface it does not list, a tailwind beyond its last figure, a slope for
which it gives no rule.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from gyrewright.arrays import Num, Truth, at_most, both, greatest, least


@dataclass(frozen=True, slots=True)
class HeadwindCredit:
    """How much a headwind shortens a distance.

    The share `counted_ratio` of it is counted, and of that no more than `most_m_s`; each counted m/s takes off
    `credit_per_m_s` of the distance.
    """

    counted_ratio: float
    most_m_s: float
    credit_per_m_s: float


@dataclass(frozen=True, slots=True)
class TailwindPenalty:
    """How much a tailwind lengthens a distance: `penalty_per_m_s` of it each, no data above `most_m_s`."""

    penalty_per_m_s: float
    most_m_s: float


@dataclass(frozen=True, slots=True)
class Corrections:
    """The corrections printed with a distance table; None where the manual gives no rule.

    Without a headwind rule a headwind earns nothing; without a tailwind rule there is no data for any tailwind. Slope
    is adverse when positive: uphill for a take-off, downhill for a landing. `slope_penalty_per_ratio` is the share
    added for a slope of one in one (5 % for each 1 % is 5.0); without it there is no data for an adverse slope.
    """

    headwind: HeadwindCredit | None
    tailwind: TailwindPenalty | None
    surface_factors: tuple[tuple[str, float], ...]
    slope_penalty_per_ratio: float | None
    favorable_slope_counts: bool


@dataclass(frozen=True, slots=True)
class Factors:
    """What a distance is multiplied by, one factor for each cause, and whether the manual has data for all of them."""

    wind: Num
    surface: float
    slope: Num
    inside: Truth


def correction_problems(corrections: Corrections) -> tuple[str, ...]:
    """Return everything that is wrong with a set of corrections, in words."""
    problems = []
    headwind, tailwind = corrections.headwind, corrections.tailwind
    if headwind is not None:
        if not 0.0 <= headwind.counted_ratio <= 1.0:
            problems.append(f"headwind: {headwind.counted_ratio:g} of it counted; give a share from 0 to 1")
        if not (headwind.most_m_s >= 0.0 and headwind.credit_per_m_s >= 0.0):
            problems.append(
                f"headwind: {headwind.credit_per_m_s:g} for each m/s up to {headwind.most_m_s:g} m/s; give zero or more"
            )
        elif not headwind.credit_per_m_s * headwind.most_m_s < 1.0:
            problems.append("headwind: the most that counts would leave no distance at all; check the units")
    if tailwind is not None and not (tailwind.most_m_s >= 0.0 and tailwind.penalty_per_m_s >= 0.0):
        problems.append(
            f"tailwind: {tailwind.penalty_per_m_s:g} for each m/s up to {tailwind.most_m_s:g} m/s; give zero or more"
        )
    if not corrections.surface_factors:
        problems.append("no surface factors; list at least the surface of the table itself, with 1")
    seen = set()
    for surface, factor in corrections.surface_factors:
        if surface in seen:
            problems.append(f"surface {surface!r} is listed twice; give it once")
        seen.add(surface)
        if not factor > 0.0:
            problems.append(f"surface {surface!r} has the factor {factor:g}; give one above zero")
    if corrections.slope_penalty_per_ratio is not None and not corrections.slope_penalty_per_ratio >= 0.0:
        problems.append(f"slope: {corrections.slope_penalty_per_ratio:g} for each unit of slope; give zero or more")
    return tuple(problems)


def combined_factor(factors: Iterable[Num]) -> Num:
    """Return the product of factors; each acts on what the ones before it left."""
    combined: Num = 1.0
    for factor in factors:
        combined = combined * factor
    return combined


def correction_factors(
    *, corrections: Corrections, headwind_m_s: Num, surface: str, adverse_slope_ratio: Num
) -> Factors:
    """Return the factors for wind, surface and slope, each for itself.

    Args:
        corrections: As the manual prints them.
        headwind_m_s: Steady wind along the runway, a tailwind negative. [m/s]
        surface: A name from `corrections.surface_factors`. For any other there is no data, and the largest factor
            listed is shown.
        adverse_slope_ratio: Rise over length in the direction that makes the distance longer; negative helps.
    """
    headwind, tailwind = corrections.headwind, corrections.tailwind
    wind: Num = 1.0
    if headwind is not None:
        counted_m_s = least(greatest(headwind_m_s, 0.0) * headwind.counted_ratio, headwind.most_m_s)
        wind = wind - headwind.credit_per_m_s * counted_m_s
    tailwind_m_s = greatest(0.0 - headwind_m_s, 0.0)
    most_tailwind_m_s = 0.0 if tailwind is None else tailwind.most_m_s
    if tailwind is not None:
        wind = wind + tailwind.penalty_per_m_s * least(tailwind_m_s, most_tailwind_m_s)
    listed = dict(corrections.surface_factors)
    inside = both(at_most(tailwind_m_s, most_tailwind_m_s), surface in listed)
    counted_ratio = adverse_slope_ratio
    if not corrections.favorable_slope_counts:
        counted_ratio = greatest(adverse_slope_ratio, 0.0)
    slope: Num = 1.0
    if corrections.slope_penalty_per_ratio is None:
        inside = both(inside, at_most(counted_ratio, 0.0))
    else:
        slope = 1.0 + corrections.slope_penalty_per_ratio * counted_ratio
    return Factors(wind, listed.get(surface, max(listed.values())), slope, inside)


def corrected_distance(
    *,
    table_distance_m: Num,
    corrections: Corrections,
    headwind_m_s: Num,
    surface: str,
    adverse_slope_ratio: Num,
    table_inside: Truth = True,
) -> tuple[Num, Truth]:
    """Return the distance for this wind, surface and slope, and whether table and corrections have data for it. [m]

    Args:
        table_distance_m: The distance from the table, without correction. [m]
        corrections: As the manual prints them.
        headwind_m_s: Steady wind along the runway, a tailwind negative. [m/s]
        surface: A name from `corrections.surface_factors`.
        adverse_slope_ratio: Rise over length, uphill for a take-off, downhill for a landing.
        table_inside: What the look-up of the table said.
    """
    factors = correction_factors(
        corrections=corrections,
        headwind_m_s=headwind_m_s,
        surface=surface,
        adverse_slope_ratio=adverse_slope_ratio,
    )
    distance_m = combined_factor((table_distance_m, factors.wind, factors.surface, factors.slope))
    return distance_m, both(table_inside, factors.inside)
