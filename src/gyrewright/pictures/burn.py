"""The way of the center of gravity of one loading while its fuel burns, and where it leaves what is allowed."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from itertools import pairwise

from gyrewright.aircraft.envelope import Envelope, arm_scale_m, covers, limits_at
from gyrewright.arrays import SAME_RATIO, at_most
from gyrewright.finding import Layer
from gyrewright.pictures.figures import beside, chosen, figure
from gyrewright.pictures.frame import findings_of, units_of
from gyrewright.release.answer import Answer

NEEDED = ("take_off_mass_kg", "cg_path", "zero_fuel_mass_kg", "zero_fuel_moment_kg_m", "fuel_arm_m")
"""The numbers of the sheet that a way is drawn from."""

_SAMPLES = 40

Point = tuple[float, float]
"""A mass and the arm of the center of gravity. [kg], [m]"""


@dataclass(frozen=True, slots=True)
class Way:
    """The way of the center of gravity of one loading, from the heaviest point to the lightest."""

    points: tuple[Point, ...]
    inside: tuple[bool, ...]
    take_off: Point
    end: Point
    take_off_words: str


def mass_layers(answer: Answer) -> tuple[Layer, ...]:
    """Return every limit on the mass at take-off that has a figure and forbids."""
    return tuple(
        layer
        for finding in findings_of(answer, "loading.take_off_mass")
        for layer in finding.layers
        if layer.limit.value is not None and layer.limit.sense.is_upper and not layer.limit.demonstrated
    )


def way_of(answer: Answer, envelope: Envelope) -> Way | None:
    """Return the way of the center of gravity; None where something is lacking."""
    sheet = answer.situation.sheet
    if any(name not in sheet or sheet.cell(name).known is not True for name in NEEDED):
        return None
    path = sheet.value("cg_path")
    arm_m = float(sheet.value("fuel_arm_m"))
    lever_kg_m = float(sheet.value("zero_fuel_moment_kg_m")) - arm_m * float(sheet.value("zero_fuel_mass_kg"))
    heavy_kg, light_kg = float(path.take_off_mass_kg), float(path.end_mass_kg)
    layers = mass_layers(answer)
    most_kg = min((float(layer.limit.value) for layer in layers), default=float("inf"))

    def cg_m(mass_kg: float) -> float:
        return arm_m + lever_kg_m / mass_kg

    is_inside = _inside(envelope, most_kg)
    masses = [heavy_kg + (light_kg - heavy_kg) * share / _SAMPLES for share in range(_SAMPLES + 1)]
    # Where the check found the way nearest to a limit: no short way out between two samples is missed.
    masses += [float(path.forward_mass_kg), float(path.aft_mass_kg)]
    masses = _with_edges(sorted(set(masses), reverse=True), lambda mass_kg: is_inside((mass_kg, cg_m(mass_kg))))
    points = tuple((mass_kg, cg_m(mass_kg)) for mass_kg in masses)
    binding = next((layer for layer in layers if layer.binds), None)
    symbol = chosen("mass", units_of(answer), [layer.limit.typed for layer in layers])
    figures = beside(binding, "mass", symbol) if binding is not None else None
    return Way(
        points,
        tuple(is_inside(point) for point in points),
        points[0],
        points[-1],
        figures.value if figures else figure("mass", heavy_kg, symbol),
    )


def _inside(envelope: Envelope, most_kg: float) -> Callable[[Point], bool]:
    """Return whether a point may be: the same reading of the envelope as the check's."""
    slack_m = SAME_RATIO * arm_scale_m(envelope)

    def is_inside(point: Point) -> bool:
        mass_kg, cg_m = point
        forward_m, aft_m = limits_at(envelope, mass_kg)
        return (
            bool(covers(envelope, mass_kg))
            and bool(at_most(mass_kg, most_kg))
            and float(forward_m) - slack_m <= cg_m <= float(aft_m) + slack_m
        )

    return is_inside


def _with_edges(masses: list[float], is_inside: Callable[[float], bool]) -> list[float]:
    """Return the masses with both sides of every edge that the way crosses between two of them."""
    out = masses[:1]
    for before, after in pairwise(masses):
        low, high = before, after
        while is_inside(low) != is_inside(high) and abs(high - low) > 1e-6:
            middle = (low + high) / 2.0
            low, high = (middle, high) if is_inside(middle) == is_inside(low) else (low, middle)
        out += [low, high] if is_inside(before) != is_inside(after) else []
        out.append(after)
    return out


def corners(envelope: Envelope, most_kg: float) -> list[Point]:
    """Return the corners of the envelope up to a mass, round its edge."""
    top_kg = min(most_kg, envelope.highest_mass_kg)
    sides = []
    for number, side in enumerate((envelope.forward, envelope.aft)):
        masses = [mass_kg for mass_kg in side.masses_kg if mass_kg < top_kg]
        sides.append([(mass_kg, float(limits_at(envelope, mass_kg)[number])) for mass_kg in [*masses, top_kg]])
    return [*sides[0], *reversed(sides[1])]
