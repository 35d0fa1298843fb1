"""Wind against a runway or a course: components, gusts, variable wind, true and magnetic, the wind triangle.

A component is only as good as its reference: wind and runway must both be true or both magnetic. Reports are printed
in degrees true, runways are magnetic, spoken winds are magnetic; `true_to_magnetic_deg` bridges them.

Crosswind is given as a size, never below zero, so that it can be held against a limit from either side; the side is a
separate question. One speed or direction out of its range raises OutOfRange; arrays are not checked.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any, NamedTuple

from gyrewright.arrays import Num, Truth, both, choose, greatest, is_plain, least, sqrt
from gyrewright.errors import OutOfRange

FULL_CIRCLE_DEG = 360.0
_RIGHT_ANGLE_DEG = FULL_CIRCLE_DEG / 4.0
_RAD_PER_DEG = math.tau / FULL_CIRCLE_DEG

# Compass cards are swung every 30 or 45 degrees; common practice, no source. Over a wider gap nothing is known.
WIDEST_CARD_GAP_DEG = FULL_CIRCLE_DEG / 8.0


class Components(NamedTuple):
    """Wind along a runway, negative from behind, and across it, from either side and never negative. [m/s]"""

    head_m_s: Num
    cross_m_s: Num


class GustComponents(NamedTuple):
    """Components of the mean wind and of the gust, and the least head wind (most tail wind) of the two. [m/s]"""

    mean: Components
    gust: Components
    least_head_m_s: Num


class WindTriangle(NamedTuple):
    """Correction (positive to the right) and heading [deg], speed made good [m/s]; whether the course can be held."""

    correction_deg: Num
    heading_deg: Num
    ground_speed_m_s: Num
    can_hold: Truth


def _sin_cos(angle_deg: Num) -> tuple[Num, Num]:
    """Return sine and cosine, exact at every multiple of 90 degrees: a wind down the runway has no cross component."""
    quarter: Any
    if is_plain(angle_deg):
        quarter = round(angle_deg / _RIGHT_ANGLE_DEG)  # type: ignore[arg-type]
        rest_rad = (angle_deg - quarter * _RIGHT_ANGLE_DEG) * _RAD_PER_DEG
        sine, cosine = math.sin(rest_rad), math.cos(rest_rad)
        return ((sine, cosine), (cosine, -sine), (-sine, -cosine), (-cosine, sine))[quarter % 4]
    import numpy as np

    quarter = np.rint(angle_deg / _RIGHT_ANGLE_DEG)
    rest_rad = (angle_deg - quarter * _RIGHT_ANGLE_DEG) * _RAD_PER_DEG
    sines, cosines = np.sin(rest_rad), np.cos(rest_rad)
    turned = quarter % 4.0
    odd = turned % 2.0 == 1.0
    sine = np.where(odd, cosines, sines) * np.where(turned >= 2.0, -1.0, 1.0)
    cosine = np.where(odd, sines, cosines) * np.where(both(turned >= 1.0, turned <= 2.0), -1.0, 1.0)
    return sine, cosine


def _size(value: Num) -> Num:
    out: Any = abs(value)
    return out  # type: ignore[no-any-return]


def _check_speed(name: str, value: Num) -> None:
    if is_plain(value) and not 0.0 <= value < math.inf:
        raise OutOfRange(f"{name}={value:g} is no speed; give meters per second, zero or more")


def _check_direction(name: str, value: Num) -> None:
    if is_plain(value) and not 0.0 <= value <= FULL_CIRCLE_DEG:
        raise OutOfRange(f"{name}={value:g} is no direction; give degrees from 0 to 360")


def components(*, wind_from_deg: Num, wind_m_s: Num, runway_deg: Num) -> Components:
    """Return the wind along and across a runway. [m/s]

    Calm is a speed of zero; its direction does not matter. For a gust pass its speed.

    Args:
        wind_from_deg: Where the wind comes from. [deg]
        wind_m_s: Its speed. [m/s]
        runway_deg: The direction of take-off or landing, in the same reference, true or magnetic. [deg]

    Raises:
        OutOfRange: A single negative speed, or a direction beyond 0 to 360.

    Source: [PHAK25C] ch. 11, crosswind component chart, by its definition.
    """
    head_m_s, from_right_m_s = _signed(wind_from_deg, wind_m_s, runway_deg)
    return Components(head_m_s, _size(from_right_m_s))


def crosswind_from_right_m_s(*, wind_from_deg: Num, wind_m_s: Num, runway_deg: Num) -> Num:
    """Return the wind across a runway, positive from the right, negative from the left. [m/s]

    For manuals whose limit differs by side, and for words. Errors and source as for `components`.
    """
    return _signed(wind_from_deg, wind_m_s, runway_deg)[1]


def _signed(wind_from_deg: Num, wind_m_s: Num, runway_deg: Num) -> tuple[Num, Num]:
    _check_direction("wind_from_deg", wind_from_deg)
    _check_direction("runway_deg", runway_deg)
    _check_speed("wind_m_s", wind_m_s)
    sine, cosine = _sin_cos(wind_from_deg - runway_deg)
    # Adding zero turns a negative zero into a plain one.
    return wind_m_s * cosine + 0.0, wind_m_s * sine + 0.0


def components_any_direction(*, wind_m_s: Num) -> Components:
    """Return the worst components of a wind whose direction is not known: all of it behind, and all of it across. [m/s]

    The two cannot happen at once; each is the worst for its own limit.

    Source: definition.
    """
    _check_speed("wind_m_s", wind_m_s)
    return Components(0.0 - wind_m_s, wind_m_s + 0.0)


def components_in_sector(*, sector_from_deg: float, sector_to_deg: float, wind_m_s: Num, runway_deg: Num) -> Components:
    """Return the worst components of a wind that swings through a sector, clockwise from one end to the other. [m/s]

    Least head and most cross may belong to different directions; each is the worst for its own limit. A sector whose
    ends are alike counts as the whole circle.

    Raises:
        OutOfRange: A single negative speed, or a direction beyond 0 to 360.

    Source: definition.
    """
    for name, value in (("sector_from_deg", sector_from_deg), ("sector_to_deg", sector_to_deg)):
        _check_direction(name, value)
    width_deg = (sector_to_deg - sector_from_deg) % FULL_CIRCLE_DEG or FULL_CIRCLE_DEG
    ends = [
        components(wind_from_deg=end, wind_m_s=wind_m_s, runway_deg=runway_deg)
        for end in (sector_from_deg, sector_to_deg)
    ]

    def in_sector(off_runway_deg: float) -> Truth:
        return (runway_deg + off_runway_deg - sector_from_deg) % FULL_CIRCLE_DEG <= width_deg

    behind = in_sector(2.0 * _RIGHT_ANGLE_DEG)
    across = _either(in_sector(_RIGHT_ANGLE_DEG), in_sector(-_RIGHT_ANGLE_DEG))
    head_m_s = choose(behind, 0.0 - wind_m_s, least(ends[0].head_m_s, ends[1].head_m_s))
    cross_m_s = choose(across, wind_m_s, greatest(ends[0].cross_m_s, ends[1].cross_m_s))
    return Components(head_m_s, cross_m_s)


def _either(first: Truth, second: Truth) -> Truth:
    out: Any = first | second
    return out  # type: ignore[no-any-return]


def components_with_gust(*, wind_from_deg: Num, wind_m_s: Num, gust_m_s: Num, runway_deg: Num) -> GustComponents:
    """Return the components of the mean wind and of the gust. [m/s]

    Which of them a limit means is the limit's own affair. Distances count no more than `least_head_m_s`: the mean
    wind ahead, or the gust from behind.

    Raises:
        OutOfRange: As for `components`, or a single gust below the mean wind.

    Source: definition.
    """
    if is_plain(wind_m_s, gust_m_s) and gust_m_s < wind_m_s:
        raise OutOfRange(f"gust_m_s={gust_m_s:g} is below wind_m_s={wind_m_s:g}; were they swapped?")
    mean = components(wind_from_deg=wind_from_deg, wind_m_s=wind_m_s, runway_deg=runway_deg)
    gust = components(wind_from_deg=wind_from_deg, wind_m_s=gust_m_s, runway_deg=runway_deg)
    return GustComponents(mean, gust, least(mean.head_m_s, gust.head_m_s))


def strongest_wind_m_s(*, crosswind_limit_m_s: Num, angle_deg: Num) -> Num:
    """Return the strongest wind whose cross component is within a limit, infinite straight along the runway. [m/s]

    Args:
        crosswind_limit_m_s: The limit. [m/s]
        angle_deg: Between wind and runway, either way round. [deg]

    Source: [PHAK25C] ch. 11, crosswind component chart, read backwards.
    """
    _check_speed("crosswind_limit_m_s", crosswind_limit_m_s)
    across = _size(_sin_cos(angle_deg)[0])
    if is_plain(across):
        return crosswind_limit_m_s / across if across else crosswind_limit_m_s * 0.0 + math.inf
    along = across == 0.0
    return choose(along, math.inf, crosswind_limit_m_s / choose(along, 1.0, across))


def true_to_magnetic_deg(*, true_deg: Num, variation_deg: Num) -> Num:
    """Return a magnetic direction, above 0 and up to 360. [deg]

    Args:
        true_deg: The true direction. [deg]
        variation_deg: Variation, east positive: "east is least". [deg]

    Source: [PHAK25C] ch. 16.
    """
    return _compass(true_deg - variation_deg)


def magnetic_to_true_deg(*, magnetic_deg: Num, variation_deg: Num) -> Num:
    """Return a true direction, above 0 and up to 360. [deg]

    Arguments and source as for `true_to_magnetic_deg`.
    """
    return _compass(magnetic_deg + variation_deg)


def _compass(angle_deg: Num) -> Num:
    """Return the same direction above 0 and up to 360, as the trade writes north."""
    turned_deg = angle_deg % FULL_CIRCLE_DEG
    return choose(turned_deg > 0.0, turned_deg, FULL_CIRCLE_DEG)


def wind_triangle(*, course_deg: Num, true_airspeed_m_s: Num, wind_from_deg: Num, wind_m_s: Num) -> WindTriangle:
    """Return the heading that holds a course, and the speed made good along it.

    Where the wind across is more than the airspeed, or the wind ahead eats all of it, the course cannot be held:
    `can_hold` is false, the speed zero and the correction as far as it can be turned.

    Args:
        course_deg: The course to hold, in the reference of the wind. [deg]
        true_airspeed_m_s: [m/s]
        wind_from_deg: Where the wind comes from. [deg]
        wind_m_s: Its speed. [m/s]

    Raises:
        OutOfRange: As for `components`, or a single airspeed of zero.

    Source: [PHAK25C] ch. 16, wind triangle.
    """
    _check_speed("true_airspeed_m_s", true_airspeed_m_s)
    if is_plain(true_airspeed_m_s) and not true_airspeed_m_s:
        raise OutOfRange("true_airspeed_m_s=0 holds no course; give the airspeed flown")
    head_m_s, from_right_m_s = _signed(wind_from_deg, wind_m_s, course_deg)
    sine = least(greatest(from_right_m_s / true_airspeed_m_s, -1.0), 1.0)
    along_m_s = true_airspeed_m_s * sqrt(1.0 - sine * sine) - head_m_s
    can_hold = both(_size(from_right_m_s) <= true_airspeed_m_s, along_m_s > 0.0)
    correction_deg = _asin_deg(sine)
    return WindTriangle(
        correction_deg, _compass(course_deg + correction_deg), choose(can_hold, along_m_s, 0.0), can_hold
    )


def _asin_deg(value: Num) -> Num:
    if is_plain(value):
        return math.asin(value) / _RAD_PER_DEG
    import numpy as np

    return np.arcsin(value) / _RAD_PER_DEG


def deviation_deg(*, card: Sequence[tuple[float, float]], heading_deg: float) -> float:
    """Return the compass deviation at a heading, straight between the entries of the card. [deg]

    Args:
        card: Pairs of heading and deviation, in any order. [deg]
        heading_deg: 0 to 360. [deg]

    Raises:
        OutOfRange: The card is empty, or its entries on both sides of the heading are more than 45 degrees apart.

    Source: [PHAK25C] ch. 16.
    """
    _check_direction("heading_deg", heading_deg)
    if not card:
        raise OutOfRange("the deviation card has no entry; give at least two headings with their deviation")
    before = min(card, key=lambda entry: (heading_deg - entry[0]) % FULL_CIRCLE_DEG)
    after = min(card, key=lambda entry: (entry[0] - heading_deg) % FULL_CIRCLE_DEG)
    gone_deg = (heading_deg - before[0]) % FULL_CIRCLE_DEG
    gap_deg = gone_deg + (after[0] - heading_deg) % FULL_CIRCLE_DEG
    if gap_deg == 0.0:
        return before[1]
    if gap_deg > WIDEST_CARD_GAP_DEG:
        raise OutOfRange(
            f"heading_deg={heading_deg:g} lies between card entries {gap_deg:g} degrees apart; "
            f"at most {WIDEST_CARD_GAP_DEG:g} can be bridged, add the missing entry"
        )
    return before[1] + gone_deg / gap_deg * (after[1] - before[1])
