"""The loading questions asked backwards: how much fuel, how much mass, how much ballast.

Every answer is an edge found by solution, not by stepping. Against a straight piece `p + q m` of a limit, a mass x
added at arm b to a load on its burn path (fuel at arm a, c = moment without fuel - a x mass without fuel) has in terms
of the whole mass m the moment gap

    c + (b - a) x + (a - p) m - q m^2

which must not be negative on the aft side of a forward limit, nor positive on the forward side of an aft one. Whether
the worst point of the path passes can change only where this gap is zero at an end of the path (a square equation in
x), at a corner of the limit, or where it turns, m = (a - p) / (2 q) (both linear in x). Those x are collected, put in
order, and each of them and of the stretches between them is put to `burn_path`.

Masses may be arrays that broadcast; arms are numbers.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from typing import TYPE_CHECKING, Any

from gyrewright.aircraft.envelope import Envelope, segments
from gyrewright.aircraft.loading import BurnPath, Load, burn_path, with_mass
from gyrewright.arrays import SAME_RATIO, Num, Truth, both, choose, greatest, is_plain, least, sqrt

if TYPE_CHECKING:
    from collections.abc import Callable


@dataclass(frozen=True, slots=True)
class Interval:
    """The masses from `low_kg` to `high_kg`, both passing; nothing where `exists` is false."""

    low_kg: Num
    high_kg: Num
    exists: Truth


@dataclass(frozen=True, slots=True)
class MostFuel:
    """The most fuel at take-off, and how much each limit alone would allow; nothing where `exists` is false.

    A limit that is broken already at the end of the path allows just the fuel of that end. `by_forward_kg` and
    `by_aft_kg` look no further than the tank and the envelope's highest mass.
    """

    fuel_kg: Num
    exists: Truth
    by_tank_kg: Num
    by_mass_kg: Num
    by_forward_kg: Num
    by_aft_kg: Num


def most_fuel(
    load: Load,
    *,
    fuel_arm_m: float,
    envelope: Envelope | None,
    most_mass_kg: float,
    end_fuel_kg: Num,
    tank_kg: Num,
) -> MostFuel:
    """Return the most fuel for which mass and center of gravity hold from take-off down to `end_fuel_kg`. [kg]

    Every smaller amount down to the end of the path passes as well.

    Args:
        load: Everything but this fuel.
        fuel_arm_m: Arm of the fuel. [m]
        envelope: Limits over mass; None for a manual without arms, where only the mass is looked at.
        most_mass_kg: The maximum take-off mass. [kg]
        end_fuel_kg: The fuel down to which the path is followed, zero for nothing left. [kg]
        tank_kg: What the tank holds. [kg]
    """
    by_mass_kg: Num = most_mass_kg - load.mass_kg
    low_kg, high_kg = end_fuel_kg, greatest(tank_kg, end_fuel_kg)
    starts_ok: Truth = _reaches(end_fuel_kg, by_mass_kg, most_mass_kg)
    by_forward_kg = by_aft_kg = tank_kg
    if envelope is not None:
        by_mass_kg = least(by_mass_kg, envelope.highest_mass_kg - load.mass_kg)
        starts_ok = both(starts_ok, _reaches(end_fuel_kg, by_mass_kg, most_mass_kg))
        starts_ok = both(starts_ok, _reaches(envelope.lowest_mass_kg, load.mass_kg + end_fuel_kg, most_mass_kg))
        top_kg = greatest(least(high_kg, envelope.highest_mass_kg - load.mass_kg), low_kg)
        points = _in_order(
            low_kg,
            top_kg,
            _turning_points(load, fuel_arm_m, fuel_arm_m, envelope, ends_kg=(0.0,)),
        )

        def at(fuel_kg: Num) -> BurnPath:
            return burn_path(
                load, fuel_arm_m=fuel_arm_m, take_off_fuel_kg=fuel_kg, end_fuel_kg=fuel_kg, envelope=envelope
            )

        by_forward_kg, forward_ok = _first_stretch(points, lambda fuel_kg: at(fuel_kg).forward_ok)
        by_aft_kg, aft_ok = _first_stretch(points, lambda fuel_kg: at(fuel_kg).aft_ok)
        starts_ok = both(starts_ok, forward_ok, aft_ok)
    fuel_kg = greatest(least(tank_kg, by_mass_kg, by_forward_kg, by_aft_kg), low_kg)
    exists = both(starts_ok, _reaches(end_fuel_kg, tank_kg, most_mass_kg))
    return MostFuel(fuel_kg, exists, tank_kg, greatest(by_mass_kg, low_kg), by_forward_kg, by_aft_kg)


def fuel_for_burn(
    load: Load,
    *,
    fuel_arm_m: float,
    envelope: Envelope | None,
    most_mass_kg: float,
    burn_kg: Num,
    least_fuel_kg: Num,
    tank_kg: Num,
) -> Interval:
    """Return least and most fuel at take-off so that all holds until `burn_kg` of it is gone. [kg], [kg]

    Between `least_fuel_kg` (and no less than the burn) and the tank. Where more than one stretch of fuel passes, the
    longest is returned. For the whole way down to an empty tank use `most_fuel`.
    """
    return _longest_stretch(
        load,
        arm_m=fuel_arm_m,
        fuel_arm_m=fuel_arm_m,
        path_kg=(0.0 - burn_kg, 0.0),
        envelope=envelope,
        most_mass_kg=most_mass_kg,
        low_kg=greatest(least_fuel_kg, burn_kg),
        high_kg=tank_kg,
    )


def mass_at_station(
    load: Load,
    *,
    arm_m: float,
    fuel_arm_m: float,
    take_off_fuel_kg: Num,
    end_fuel_kg: Num,
    envelope: Envelope | None,
    most_mass_kg: float,
    least_kg: Num,
    most_kg: Num,
) -> Interval:
    """Return least and most mass to add at a station so that all holds over the whole burn. [kg], [kg]

    Args:
        load: Everything aboard but the fuel and the mass in question.
        arm_m: Arm of the station. [m]
        fuel_arm_m: Arm of the fuel. [m]
        take_off_fuel_kg: Fuel at take-off. [kg]
        end_fuel_kg: Fuel at the end of the path. [kg]
        envelope: Limits over mass; None for a manual without arms.
        most_mass_kg: The maximum take-off mass. [kg]
        least_kg: The least that may be added: zero, or what a station's minimum still lacks. [kg]
        most_kg: The most that the station still takes. [kg]

    Where more than one stretch passes, the longest is returned: every value in it passes.
    """
    return _longest_stretch(
        load,
        arm_m=arm_m,
        fuel_arm_m=fuel_arm_m,
        path_kg=(least(end_fuel_kg, take_off_fuel_kg), take_off_fuel_kg),
        envelope=envelope,
        most_mass_kg=most_mass_kg,
        low_kg=least_kg,
        high_kg=most_kg,
    )


def ballast(
    load: Load,
    *,
    mount_arm_m: float,
    mount_most_kg: float,
    station_now_kg: Num,
    station_least_kg: float,
    station_most_kg: float,
    fuel_arm_m: float,
    take_off_fuel_kg: Num,
    end_fuel_kg: Num,
    envelope: Envelope | None,
    most_mass_kg: float,
) -> Interval:
    """Return least and most ballast so that all holds over the whole burn. [kg], [kg]

    Args:
        load: Everything aboard but fuel and ballast.
        mount_arm_m: Arm of the ballast. [m]
        mount_most_kg: What the mount takes. [kg]
        station_now_kg: What already counts toward the station limit that the ballast counts toward. [kg]
        station_least_kg: That station's minimum, zero if ballast does not count. [kg]
        station_most_kg: That station's maximum. [kg]
        fuel_arm_m: Arm of the fuel. [m]
        take_off_fuel_kg: Fuel at take-off. [kg]
        end_fuel_kg: Fuel at the end of the path. [kg]
        envelope: Limits over mass; None for a manual without arms.
        most_mass_kg: The maximum take-off mass. [kg]
    """
    return mass_at_station(
        load,
        arm_m=mount_arm_m,
        fuel_arm_m=fuel_arm_m,
        take_off_fuel_kg=take_off_fuel_kg,
        end_fuel_kg=end_fuel_kg,
        envelope=envelope,
        most_mass_kg=most_mass_kg,
        least_kg=greatest(station_least_kg - station_now_kg, 0.0),
        most_kg=least(mount_most_kg, station_most_kg - station_now_kg),
    )


def _reaches(low_kg: Num, high_kg: Num, scale_kg: float) -> Truth:
    """Whether low is no more than high; masses alike to 1e-9 of the aircraft are the same."""
    slack_kg = SAME_RATIO * scale_kg
    return low_kg - high_kg <= slack_kg


def _not(truth: Truth) -> Truth:
    return truth ^ True


def _longest_stretch(
    load: Load,
    *,
    arm_m: float,
    fuel_arm_m: float,
    path_kg: tuple[Num, Num],
    envelope: Envelope | None,
    most_mass_kg: float,
    low_kg: Num,
    high_kg: Num,
) -> Interval:
    path_low_kg, path_high_kg = path_kg
    high_kg = least(high_kg, most_mass_kg - load.mass_kg - path_high_kg)
    if envelope is not None:
        low_kg = greatest(low_kg, envelope.lowest_mass_kg - load.mass_kg - path_low_kg)
        high_kg = least(high_kg, envelope.highest_mass_kg - load.mass_kg - path_high_kg)
    room = _reaches(low_kg, high_kg, most_mass_kg)
    low_kg = least(low_kg, high_kg)
    if envelope is None:
        return Interval(low_kg, high_kg, room)

    def passes(added_kg: Num) -> Truth:
        path = burn_path(
            with_mass(load, mass_kg=added_kg, arm_m=arm_m),
            fuel_arm_m=fuel_arm_m,
            take_off_fuel_kg=path_high_kg,
            end_fuel_kg=path_low_kg,
            envelope=envelope,
        )
        return both(path.forward_ok, path.aft_ok)

    points = _in_order(low_kg, high_kg, _turning_points(load, arm_m, fuel_arm_m, envelope, ends_kg=path_kg))
    begin_kg = best_low_kg = best_high_kg = points[0]
    before: Truth = False
    found: Truth = False
    for number, point_kg in enumerate(points):
        if number:
            before = both(before, passes((points[number - 1] + point_kg) / 2.0))
        here = passes(point_kg)
        begin_kg = choose(both(here, before), begin_kg, point_kg)
        longer = both(here, _not(both(found, point_kg - begin_kg <= best_high_kg - best_low_kg)))
        best_low_kg, best_high_kg = choose(longer, begin_kg, best_low_kg), choose(longer, point_kg, best_high_kg)
        found = found | here
        before = here
    return Interval(best_low_kg, best_high_kg, both(found, room))


def _first_stretch(points: list[Num], passes: Callable[[Num], Truth]) -> tuple[Num, Truth]:
    """The last point up to which all passes from the first one on, and whether the first passes."""
    starts = alive = passes(points[0])
    last = points[0]
    for before, point in pairwise(points):
        alive = both(alive, passes((before + point) / 2.0), passes(point))
        last = choose(alive, point, last)
    return last, starts


def _in_order(low_kg: Num, high_kg: Num, turning_kg: list[Num]) -> list[Num]:
    """Both ends and the points between them, rising."""
    if is_plain(low_kg, high_kg, *turning_kg):
        return sorted({low_kg, high_kg, *(point for point in turning_kg if low_kg < point < high_kg)})
    import numpy as np

    clipped: Any = [low_kg, high_kg, *(least(greatest(point, low_kg), high_kg) for point in turning_kg)]
    return list(np.sort(np.stack(np.broadcast_arrays(*clipped)), axis=0))


def _turning_points(
    load: Load, arm_m: float, fuel_arm_m: float, envelope: Envelope, *, ends_kg: tuple[Num, ...]
) -> list[Num]:
    """Every added mass at which some margin of the path can change its sign; more than those do no harm."""
    bound_kg = envelope.highest_mass_kg  # nothing that is added can be more
    lever_kg_m = load.moment_kg_m - fuel_arm_m * load.mass_kg
    shift_m = arm_m - fuel_arm_m
    found: list[Num] = []
    for side in (envelope.forward, envelope.aft):
        for mass_kg, limit_m in zip(side.masses_kg, side.arms_m, strict=True):
            found.append(_quotient((limit_m - fuel_arm_m) * mass_kg - lever_kg_m, shift_m, bound_kg))
        for piece in segments(side):
            intercept_m, slope = piece.intercept_m, piece.slope_m_per_kg
            turning = 4.0 * slope * lever_kg_m + (fuel_arm_m - intercept_m) ** 2
            found.append(_quotient(-turning, 4.0 * slope * shift_m, bound_kg))
            for fuel_kg in ends_kg:
                end = with_mass(load, mass_kg=fuel_kg, arm_m=fuel_arm_m)
                found += _roots(
                    -slope,
                    arm_m - intercept_m - 2.0 * slope * end.mass_kg,
                    end.moment_kg_m - (intercept_m + slope * end.mass_kg) * end.mass_kg,
                    bound_kg,
                )
    return found


def _roots(square: float, linear: Num, constant: Num, bound: float) -> list[Num]:
    """The real roots of square x^2 + linear x + constant; where there are none, numbers that do no harm."""
    if square == 0.0:
        return [_quotient(-constant, linear, bound)]
    root = sqrt(greatest(linear * linear - 4.0 * square * constant, 0.0))
    # The sum of two numbers of the same sign: the difference would lose digits where the square term is small.
    half = -0.5 * (linear + choose(linear < 0.0, -root, root))
    return [_quotient(half, square, bound), _quotient(constant, half, bound)]


def _quotient(above: Num, below: Num, bound: float) -> Num:
    """The quotient, held within plus and minus the bound so that it cannot overflow; zero over zero is zero."""
    size = greatest(below, -below)
    held = least(greatest(above, -bound * size), bound * size)
    return held / choose(size == 0.0, 1.0, below)
