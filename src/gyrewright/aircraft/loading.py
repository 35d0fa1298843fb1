"""What an aircraft weighs and where it balances, from take-off until the last of the fuel.

Masses may be numbers or arrays that broadcast; arms are numbers, positive aft of the datum (lateral arms positive to
the right). Nothing is rounded. A mass that is taken off is added with a minus sign.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from gyrewright.aircraft.envelope import Envelope, Side, arm_scale_m, covers, segments
from gyrewright.arrays import (
    SAME_RATIO,
    Num,
    Truth,
    at_least,
    at_most,
    both,
    choose,
    greatest,
    is_plain,
    least,
    polyline,
    sqrt,
)
from gyrewright.errors import OutOfRange

PERCENT = 100.0


@dataclass(frozen=True, slots=True)
class Load:
    """A sum of masses and of their moments about the datum."""

    mass_kg: Num
    moment_kg_m: Num

    @property
    def cg_m(self) -> Num:
        """The arm of the center of gravity. [m]"""
        return center_of_gravity(mass_kg=self.mass_kg, moment_kg_m=self.moment_kg_m)


@dataclass(frozen=True, slots=True)
class BurnPath:
    """The center of gravity from take-off to the end of the fuel, against its limits.

    A margin is how far the center of gravity lies inside a limit at the worst point of the path, negative outside; the
    mass is where that is. `covered` tells whether the envelope has an answer over the whole path: without it the
    margins were taken from its nearest row and decide nothing.
    """

    take_off_mass_kg: Num
    take_off_cg_m: Num
    end_mass_kg: Num
    end_cg_m: Num
    forward_margin_m: Num
    forward_mass_kg: Num
    forward_ok: Truth
    aft_margin_m: Num
    aft_mass_kg: Num
    aft_ok: Truth
    covered: Truth


@dataclass(frozen=True, slots=True)
class HangAngles:
    """Measured hang angles against the maker's band: margins, negative outside."""

    full_over_least_deg: Num
    full_under_most_deg: Num
    empty_over_least_deg: Num
    empty_under_most_deg: Num
    inside: Truth


def center_of_gravity(*, mass_kg: Num, moment_kg_m: Num) -> Num:
    """Return the arm of the center of gravity. [m]

    Raises:
        OutOfRange: The mass is not above zero: then there is nothing to balance.
    """
    weightless: Any = mass_kg <= 0.0
    if weightless if isinstance(weightless, bool) else weightless.any():
        raise OutOfRange("the total mass is not above zero; check the signs of the masses taken off")
    return moment_kg_m / mass_kg


def total(items: Iterable[tuple[Num, float]]) -> Load:
    """Return the sum of any number of (mass in kg, arm in m)."""
    mass_kg: Num = 0.0
    moment_kg_m: Num = 0.0
    for item_kg, arm_m in items:
        mass_kg = mass_kg + item_kg
        moment_kg_m = moment_kg_m + item_kg * arm_m
    return Load(mass_kg, moment_kg_m)


def with_mass(load: Load, *, mass_kg: Num, arm_m: float) -> Load:
    """Return the load with a mass added at an arm; a negative mass is one taken off."""
    return Load(load.mass_kg + mass_kg, load.moment_kg_m + mass_kg * arm_m)


def with_mass_moved(load: Load, *, mass_kg: Num, from_m: float, to_m: float) -> Load:
    """Return the load with a mass moved from one arm to another."""
    return Load(load.mass_kg, load.moment_kg_m + mass_kg * (to_m - from_m))


def percent_of_chord(*, cg_m: Num, leading_edge_m: float, chord_m: float) -> Num:
    """Return how far along the mean chord an arm lies. [percent]"""
    return (cg_m - leading_edge_m) / chord_m * PERCENT


def arm_at_percent(*, chord_percent: Num, leading_edge_m: float, chord_m: float) -> Num:
    """Return the arm at a share of the mean chord. [m]"""
    return leading_edge_m + chord_percent / PERCENT * chord_m


def burn_path(
    load: Load, *, fuel_arm_m: float, take_off_fuel_kg: Num, end_fuel_kg: Num, envelope: Envelope
) -> BurnPath:
    """Return the worst margins of the center of gravity while the fuel burns. [m]

    Exact: with mass m the center of gravity is `fuel arm + c / m`, so that the margin against a straight piece
    `p + q m` is least at an end of the path, at a corner of the limit, or at m = sqrt(-c / q).

    Args:
        load: Everything but the fuel that is counted here.
        fuel_arm_m: The arm of the fuel, the same for all of it. Tanks with different arms are one call for each stage
            of the burn, the other tank being part of `load`. [m]
        take_off_fuel_kg: Fuel at take-off. [kg]
        end_fuel_kg: Fuel at the end of the path, zero for nothing left. Fuel below it at take-off stays: the path is
            then a single point. [kg]
        envelope: Limits over mass; for a lateral envelope `load` and `fuel_arm_m` are lateral.

    A margin as small as 1e-9 of the envelope's arms counts as none, so that a limit that is met exactly is met.
    """
    take_off = with_mass(load, mass_kg=take_off_fuel_kg, arm_m=fuel_arm_m)
    end = with_mass(load, mass_kg=least(take_off_fuel_kg, end_fuel_kg), arm_m=fuel_arm_m)
    slack_m = SAME_RATIO * arm_scale_m(envelope)
    forward_m, forward_kg = _worst(load, fuel_arm_m, end.mass_kg, take_off.mass_kg, envelope.forward, 1.0)
    aft_m, aft_kg = _worst(load, fuel_arm_m, end.mass_kg, take_off.mass_kg, envelope.aft, -1.0)
    return BurnPath(
        take_off_mass_kg=take_off.mass_kg,
        take_off_cg_m=take_off.cg_m,
        end_mass_kg=end.mass_kg,
        end_cg_m=end.cg_m,
        forward_margin_m=forward_m,
        forward_mass_kg=forward_kg,
        forward_ok=forward_m >= -slack_m,
        aft_margin_m=aft_m,
        aft_mass_kg=aft_kg,
        aft_ok=aft_m >= -slack_m,
        covered=both(covers(envelope, end.mass_kg), covers(envelope, take_off.mass_kg)),
    )


def _worst(load: Load, fuel_arm_m: float, low_kg: Num, high_kg: Num, side: Side, sign: float) -> tuple[Num, Num]:
    """The least margin against one side between two masses, and its mass: the first of several alike."""

    def margin_m(mass_kg: Num) -> Num:
        cg_m = (load.moment_kg_m + fuel_arm_m * (mass_kg - load.mass_kg)) / mass_kg
        return sign * (cg_m - polyline(mass_kg, side.masses_kg, side.arms_m))

    lever_kg_m = load.moment_kg_m - fuel_arm_m * load.mass_kg
    inner: list[Num] = list(side.masses_kg)
    for piece in segments(side):
        slope = piece.slope_m_per_kg
        if slope != 0.0:
            # Held to the piece's highest mass before the division, which a nearly level piece would make overflow.
            most = abs(slope) * piece.high_kg * piece.high_kg
            square = least(greatest(-lever_kg_m if slope > 0.0 else lever_kg_m, 0.0), most) / abs(slope)
            inner.append(least(greatest(sqrt(square), piece.low_kg), piece.high_kg))
    if is_plain(low_kg, high_kg, *inner):
        inner = [mass_kg for mass_kg in inner if low_kg < mass_kg < high_kg]
    else:
        inner = [least(greatest(mass_kg, low_kg), high_kg) for mass_kg in inner]
    worst_m, at_kg = margin_m(high_kg), high_kg
    for mass_kg in (low_kg, *inner):
        here_m = margin_m(mass_kg)
        smaller = here_m < worst_m
        worst_m, at_kg = choose(smaller, here_m, worst_m), choose(smaller, mass_kg, at_kg)
    return worst_m, at_kg


def hang_angles(*, full_deg: Num, empty_deg: Num, least_deg: float, most_deg: float) -> HangAngles:
    """Return the margins of two measured hang angles inside the maker's band. [deg]

    For machines whose manual prints no arms. Both measurements are needed, tanks full and tanks empty, with the pilot
    who will fly and without rotor blades. No center of gravity follows from them.

    Source: [RFH21] ch. 19, hang test: the method. The band is the maker's.
    """
    return HangAngles(
        full_over_least_deg=full_deg - least_deg,
        full_under_most_deg=most_deg - full_deg,
        empty_over_least_deg=empty_deg - least_deg,
        empty_under_most_deg=most_deg - empty_deg,
        inside=both(
            at_least(full_deg, least_deg),
            at_most(full_deg, most_deg),
            at_least(empty_deg, least_deg),
            at_most(empty_deg, most_deg),
        ),
    )
