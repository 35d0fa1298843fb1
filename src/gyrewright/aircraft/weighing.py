"""Empty mass and its arm from the scales, and how later changes move them on."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from gyrewright.aircraft.loading import Load, total, with_mass
from gyrewright.arrays import SAME_RATIO
from gyrewright.errors import OutOfRange


@dataclass(frozen=True, slots=True)
class ScaleRow:
    """One scale: its reading, what of it is chocks and stands (tare), and the arm of the point that stands on it."""

    point: str
    scale_kg: float
    tare_kg: float
    arm_m: float


@dataclass(frozen=True, slots=True)
class Change:
    """One thing put in (mass above zero) or taken out (below zero), and its arm."""

    what: str
    mass_kg: float
    arm_m: float


def weighed(rows: Sequence[ScaleRow]) -> Load:
    """Return mass and moment of the aircraft as it stood on the scales, without tare.

    Raises:
        OutOfRange: No rows, or a scale that shows less than its tare.
    """
    if not rows:
        raise OutOfRange("the weighing has no scale rows; give one for each point that stood on a scale")
    for row in rows:
        if row.scale_kg < row.tare_kg:
            raise OutOfRange(
                f"{row.point}: the scale shows {row.scale_kg:g} kg, less than its tare of {row.tare_kg:g} kg; "
                "read both again"
            )
    return total((row.scale_kg - row.tare_kg, row.arm_m) for row in rows)


def empty_load(rows: Sequence[ScaleRow], *, fuel_aboard_kg: float, fuel_arm_m: float) -> Load:
    """Return empty mass and moment: as weighed, less the fuel aboard that does not belong to the empty mass.

    Args:
        rows: The scales.
        fuel_aboard_kg: Fuel in the tank during the weighing beyond what the empty mass is said to hold, zero for a
            tank drained as the record asks. [kg]
        fuel_arm_m: Its arm. [m]

    Raises:
        OutOfRange: A row is wrong, or the fuel weighs as much as the aircraft.
    """
    as_weighed = weighed(rows)
    if not fuel_aboard_kg < as_weighed.mass_kg:
        raise OutOfRange(
            f"{fuel_aboard_kg:g} kg of fuel in an aircraft weighed at {as_weighed.mass_kg:g} kg; "
            "give the fuel's own mass"
        )
    return with_mass(as_weighed, mass_kg=-fuel_aboard_kg, arm_m=fuel_arm_m)


def revised(before: Load, changes: Iterable[Change]) -> tuple[Load, ...]:
    """Return the empty load after each change in turn; the last one is the new record.

    Raises:
        OutOfRange: More was taken out than there was.
    """
    loads = []
    load = before
    for change in changes:
        load = with_mass(load, mass_kg=change.mass_kg, arm_m=change.arm_m)
        if load.mass_kg <= SAME_RATIO * before.mass_kg:
            raise OutOfRange(f"{change.what}: taking out {-change.mass_kg:g} kg leaves nothing of the aircraft")
        loads.append(load)
    return tuple(loads)
