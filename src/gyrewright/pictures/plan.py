"""The runway as it lies, true north up, and the wind of a flight that blows strongest across it.

The mean is a heavy arrow, the gust its thin lengthening, and how much of the gust is across a bar square to the runway,
on the side from which it comes. The ticks on the bar's line are the limits on the crosswind.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from gyrewright.air import weather
from gyrewright.air.weather import Sample, Spell
from gyrewright.air.wind import magnetic_to_true_deg
from gyrewright.arrays import SAME_RATIO
from gyrewright.finding import Layer
from gyrewright.pictures.figures import beside, chosen, figure, symbol_for
from gyrewright.pictures.frame import View, facts_of, findings_of, units_of
from gyrewright.pictures.lettering import LABEL, SMALL
from gyrewright.pictures.place import Box, Ground
from gyrewright.pictures.ruler import is_broken
from gyrewright.pictures.speech import Speech
from gyrewright.pictures.svg import (
    HAIRLINE,
    INK,
    PAPER,
    RED,
    SOFT,
    WASH,
    Elements,
    circle,
    group,
    line,
    polygon,
    polyline,
    text,
)
from gyrewright.release.answer import Answer

_RUNWAY = 0.8
"""Half the length of the runway as drawn, as a share of the way to the strongest wind or limit."""
_HALF_WIDTH = 12.0
_BAR = 10.0
_ABOVE = 48.0
_BELOW = 34.0
"""Room for words above and below what is drawn. [px]"""

Point = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Strongest:
    """The wind of the flight with the most across the runway.

    Attributes:
        from_true_deg: Where it comes from; None where that is not one direction. [deg]
        sector_deg: Both ends of the sector that it swings through, clockwise, if it does; true. [deg]
        mean_m_s: [m/s]
        gust_m_s: The mean where there are no gusts. [m/s]
        across_m_s: How much of the gust is across. [m/s]
        by: Who says so.
    """

    from_true_deg: float | None
    sector_deg: tuple[float, float] | None
    mean_m_s: float
    gust_m_s: float
    across_m_s: float
    by: str


@dataclass(frozen=True, slots=True)
class Plan:
    """The middle of the runway, the scale, half the runway's length, and the runway's two directions on the paper."""

    middle: Point
    px_per_m_s: float
    half_px: float
    along: Point
    right: Point

    def to(self, direction: Point, length_px: float) -> Point:
        """Return the place so far from the middle in a direction. [px]"""
        return self.middle[0] + direction[0] * length_px, self.middle[1] + direction[1] * length_px


def toward(angle_deg: float) -> Point:
    """Return a true direction on the paper: north up, east to the right."""
    angle = math.radians(angle_deg)
    return math.sin(angle), -math.cos(angle)


def strongest(answer: Answer) -> Strongest | None:
    """Return the wind of the flight with the most across the runway; None where any of its wind is not known."""
    sheet = answer.situation.sheet
    needed = ("crosswind_m_s", "spells", "runway_true_deg", "variation_deg", "depart_min", "land_min")
    if any(name not in sheet or sheet.cell(name).known is not True for name in needed):
        return None
    start, end = sheet.value("depart_min"), sheet.value("land_min")
    variation_deg = float(sheet.value("variation_deg"))
    best: tuple[float, Sample, str] | None = None
    for spell in sheet.value("spells"):
        if spell.start_min > end or spell.end_min < start or spell.start_min != spell.end_min == start:
            continue
        for sample, across in _across(spell, sheet.value("runway_true_deg"), variation_deg):
            if best is None or across > best[0]:
                best = across, sample, spell.by
    if best is None:
        return None
    across, sample, by = best
    from_deg = None if sample.variable or sample.wind_from_deg is None else float(sample.wind_from_deg)
    if from_deg is not None and not sample.is_true:
        from_deg = float(magnetic_to_true_deg(magnetic_deg=from_deg, variation_deg=variation_deg))
    mean = float(sample.wind_m_s or 0.0)
    return Strongest(from_deg, sample.sector_deg, mean, max(mean, float(sample.gust_m_s or 0.0)), across, by)


def _across(spell: Spell, runway_true_deg: float, variation_deg: float) -> list[tuple[Sample, float]]:
    pieces = weather.crosswind_course((spell,), runway_true_deg, variation_deg).pieces
    return [
        (sample, float(value))
        for piece in pieces
        for sample, value in ((spell.first, piece.first), (spell.last, piece.last))
        if value is not None
    ]


def plan_of(answer: Answer, found: Strongest | None, box: Box) -> tuple[Plan, Box]:
    """Return the plan's scale and directions, and how much of the box it takes.

    Everything that is drawn fills the box across or down, but for room for the words.
    """
    heading_deg = float(answer.situation.sheet.value("runway_true_deg"))
    along, right = toward(heading_deg), toward(heading_deg + 90.0)
    limits = [float(layer.limit.value) for layer in _limits(answer)]
    gust, across = (found.gust_m_s, found.across_m_s) if found is not None else (0.0, 0.0)
    most = max([gust, across, *limits]) or 1.0
    side = _side(right, found) if found is not None else right
    shares = [(along, _RUNWAY + 0.1), (along, -_RUNWAY), (right, 0.05), (right, -0.05)]
    shares.append((side, max([across, *limits]) / most))
    if found is not None and found.sector_deg is None and found.from_true_deg is not None:
        shares.append((toward(found.from_true_deg), gust / most))
    elif gust:
        shares += [(toward(45.0 * step), gust / most) for step in range(8)]
    xs, ys = ([direction[axis] * share for direction, share in shares] for axis in (0, 1))
    low, high = box.left + 40.0, box.right - 40.0
    top, bottom = box.top + _ABOVE, box.bottom - _BELOW
    scale = min((high - low) / (max(xs) - min(xs)), (bottom - top) / (max(ys) - min(ys)))
    middle = (low + high - (max(xs) + min(xs)) * scale) / 2.0, top - min(ys) * scale
    taken = Box(box.left, box.top, box.right, middle[1] + max(ys) * scale + _BELOW)
    return Plan(middle, scale / most, _RUNWAY * scale, along, right), taken


def symbol_of(answer: Answer) -> str:
    """Return the unit in which the wind is shown: that of the crosswind's limits."""
    finding = next(iter(findings_of(answer, "wind.crosswind")), None)
    if finding is None:
        return chosen("speed", units_of(answer))
    return symbol_for(finding, units_of(answer), facts_of(answer))


def _limits(answer: Answer) -> list[Layer]:
    """Return the limits on the crosswind that have a figure."""
    return [
        layer
        for finding in findings_of(answer, "wind.crosswind")
        for layer in finding.layers
        if layer.limit.value is not None
    ]


def drawn(answer: Answer, view: View, found: Strongest | None, box: Box, said: list[str]) -> tuple[Elements, float]:
    """Return the plan, and where it ends; what its words say is added to `said`. [px]"""
    speech = view.speech
    plan, taken = plan_of(answer, found, box)
    ground = Ground(taken)
    symbol = symbol_of(answer)
    out = [*_north(box, speech, ground), *_runway(plan, ground)]
    words: Elements = []
    side = plan.right
    if found is not None:
        side = _side(plan.right, found)
    axis, ticks, names = _ticks(answer, plan, side, symbol, speech, ground)
    out += axis
    if found is not None:
        out += _bar(answer, plan, side, found, ground)
        out += _arrows(plan, found, side, ground)
    out += ticks
    for points, name in names:
        words += ground.say(name, *points, size=SMALL, clear=2.0)
    if found is not None:
        words += _wind_words(answer, plan, found, side, symbol, speech, ground, said)
    question = answer.situation.question
    true = figure("angle", float(answer.situation.sheet.value("runway_true_deg")), "deg")
    name = speech.say("runway at", name=question.flight.runway.typed, true=true)
    places = [plan.to(plan.along, plan.half_px * share) for share in (-1.0, -0.6, 0.6)]
    words += ground.say(name, *places, size=LABEL, clear=14.0)
    said.append(name)
    return [group("plan", [*out, *words])], taken.bottom


def _north(box: Box, speech: Speech, ground: Ground) -> Elements:
    """Return an arrow to true north in the corner."""
    x, top = box.left + 10.0, box.top + 2.0
    ground.boxes.append(Box(box.left, box.top, box.left + 130.0, top + 42.0))
    return [
        line(x, top + 40.0, x, top + 8.0, width=2.0),
        polygon([(x, top), (x - 5.0, top + 10.0), (x + 5.0, top + 10.0)], fill=INK),
        text(x + 10.0, top + 12.0, speech.say("north"), size=SMALL, bold=True),
        text(x + 10.0, top + 30.0, speech.say("north is true"), size=SMALL, fill=SOFT),
    ]


def _runway(plan: Plan, ground: Ground) -> Elements:
    """Return the runway as it lies, its middle line, and the direction of take-off."""
    half, wide = plan.half_px, _HALF_WIDTH
    ends = [plan.to(plan.along, sign * half) for sign in (-1.0, 1.0)]
    edges = [
        (ends[end][0] + side * wide * plan.right[0], ends[end][1] + side * wide * plan.right[1])
        for end, side in ((0, -1.0), (1, -1.0), (1, 1.0), (0, 1.0))
    ]
    ground.trace([*edges, edges[0]])
    tip = plan.to(plan.along, half + 16.0)
    base = plan.to(plan.along, half + 4.0)
    head = [
        tip,
        *((base[0] + sign * 8.0 * plan.right[0], base[1] + sign * 8.0 * plan.right[1]) for sign in (-1.0, 1.0)),
    ]
    ground.trace([*head, head[0]])
    return [
        polygon(edges, fill=WASH, ink=INK, line_width=2.0, class_="runway"),
        line(*ends[0], *ends[1], width=1.5, dash="10 8", class_="runway-middle"),
        polygon(head, fill=PAPER, ink=INK, line_width=1.5, class_="take-off"),
    ]


def _side(right: Point, found: Strongest) -> Point:
    """Return the direction, square to the runway, from which the wind comes; the right one where it is not one."""
    if found.from_true_deg is None:
        return right
    from_ = toward(found.from_true_deg)
    return right if from_[0] * right[0] + from_[1] * right[1] >= 0.0 else (-right[0], -right[1])


def _bar(answer: Answer, plan: Plan, side: Point, found: Strongest, ground: Ground) -> Elements:
    """Return how much of the gust is across, red beyond the strictest limit that the check found broken."""
    end = plan.to(side, found.across_m_s * plan.px_per_m_s)
    ground.trace([plan.middle, end])
    broken = _broken(answer, found)
    if broken is None:
        return [line(*plan.middle, *end, width=_BAR, class_="bar")]
    edge = plan.to(side, float(broken.limit.value) * plan.px_per_m_s)
    return [
        line(*plan.middle, *edge, width=_BAR, class_="bar"),
        line(*edge, *end, width=_BAR + 6.0, ink=RED, class_="beyond"),
    ]


def _broken(answer: Answer, found: Strongest) -> Layer | None:
    """Return the strictest limit on the gust across that is broken by the wind drawn."""
    layers = [layer for layer in _limits(answer) if is_broken(layer) and layer.limit.counts != "mean"]
    layers = [layer for layer in layers if found.across_m_s > float(layer.limit.value)]
    return min(layers, key=lambda layer: float(layer.limit.value), default=None)


def _arrows(plan: Plan, found: Strongest, side: Point, ground: Ground) -> Elements:
    """Return the wind: an arrow from where it comes, both ends of a sector, or a ring where it may be anywhere."""
    gust_px, mean_px = found.gust_m_s * plan.px_per_m_s, found.mean_m_s * plan.px_per_m_s
    if gust_px == 0.0:
        return []
    if found.sector_deg is not None:
        first, last = found.sector_deg
        sweep = (last - first) % 360.0 or 360.0
        arc = [plan.to(toward(first + sweep * share / 24.0), gust_px) for share in range(25)]
        ground.trace([plan.middle, *arc, plan.middle])
        return [polyline([plan.middle, *arc, plan.middle], width=2.0, dash="6 4", class_="sector")]
    if found.from_true_deg is None:
        ring = [plan.to(toward(15.0 * step), gust_px) for step in range(25)]
        ground.trace(ring)
        return [circle(*plan.middle, gust_px, line_width=2.0, class_="anywhere")]
    from_ = toward(found.from_true_deg)
    across = (-from_[1], from_[0])
    mean, gust = plan.to(from_, mean_px), plan.to(from_, gust_px)
    bar_end = plan.to(side, found.across_m_s * plan.px_per_m_s)
    neck, tip = plan.to(from_, min(16.0, gust_px)), plan.middle
    wings = [(neck[0] + sign * 8.0 * across[0], neck[1] + sign * 8.0 * across[1]) for sign in (-1.0, 1.0)]
    ground.trace([gust, tip])
    ground.trace([gust, bar_end])
    out: Elements = [line(*gust, *bar_end, ink=SOFT, dash="3 4", class_="projection")]
    out.append(line(*gust, *neck, width=2.0, class_="gust"))
    if mean_px > 16.0:
        out.append(line(*mean, *neck, width=6.0, class_="mean"))
    notch = [(mean[0] + sign * 7.0 * across[0], mean[1] + sign * 7.0 * across[1]) for sign in (-1.0, 1.0)]
    if found.gust_m_s > found.mean_m_s:
        out.append(line(*notch[0], *notch[1], width=2.0, class_="mean-end"))
        ground.trace(notch)
    out.append(polygon([tip, *wings], fill=INK, ink=PAPER, line_width=1.5, class_="head"))
    return out


def _ticks(
    answer: Answer, plan: Plan, side: Point, symbol: str, speech: Speech, ground: Ground
) -> tuple[Elements, Elements, list[tuple[list[Point], str]]]:
    """Return the line of the limits on the crosswind, a tick for each of them, and where its name may stand."""
    axis: Elements = []
    out: Elements = []
    names = []
    layers = _limits(answer)
    reach = plan.to(side, max((float(layer.limit.value) for layer in layers), default=0.0) * plan.px_per_m_s)
    if layers:
        axis.append(line(*plan.middle, *reach, ink=HAIRLINE, class_="axis"))
        ground.trace([plan.middle, reach])
    for layer in layers:
        value = float(layer.limit.value)
        at = plan.to(side, value * plan.px_per_m_s)
        half = 16.0 if layer.binds else 12.0
        ends = [(at[0] + sign * half * plan.along[0], at[1] + sign * half * plan.along[1]) for sign in (-1.0, 1.0)]
        out.append(
            line(
                *ends[0], *ends[1], width=6.0 if layer.binds else 2.0, class_="limit binds" if layer.binds else "limit"
            )
        )
        ground.trace(ends)
        name = f"{speech.say(f'layer {layer.limit.whose.value}')} {figure('speed', value, symbol)}"
        names.append((ends, name))
    return axis, out, names


def _wind_words(
    answer: Answer,
    plan: Plan,
    found: Strongest,
    side: Point,
    symbol: str,
    speech: Speech,
    ground: Ground,
    said: list[str],
) -> Elements:
    """Return the wind and its part across in words, each beside what it names."""
    if found.gust_m_s == 0.0:
        said.append(speech.say("wind calm"))
        return ground.say(speech.say("wind calm"), plan.middle, bold=True, clear=16.0)
    gusting = " gusting" if found.gust_m_s > found.mean_m_s else ""
    gaps = {
        "mean": figure("speed", found.mean_m_s, symbol),
        "gust": figure("speed", found.gust_m_s, symbol),
    }
    if found.sector_deg is not None:
        key, at = "wind sector", toward(found.sector_deg[0])
        gaps["from"], gaps["to"] = (figure("angle", each, "deg") for each in found.sector_deg)
    elif found.from_true_deg is not None:
        key, at = "wind", toward(found.from_true_deg)
        gaps["from"] = figure("angle", found.from_true_deg, "deg")
    else:
        key, at = "wind anywhere", toward(0.0)
    words = speech.say(f"{key}{gusting}", **gaps)
    words_across = speech.say("across gust" if gusting else "across", value=_across_words(answer, found, symbol))
    ink = RED if _broken(answer, found) is not None else INK
    said += [words, words_across]
    ends = [plan.to(side, found.across_m_s * plan.px_per_m_s * share) for share in (1.0, 0.7, 0.4)]
    return [
        *ground.say(words, plan.to(at, found.gust_m_s * plan.px_per_m_s), bold=True, clear=4.0),
        *ground.say(words_across, *ends, bold=True, ink=ink, clear=10.0),
    ]


def _across_words(answer: Answer, found: Strongest, symbol: str) -> str:
    """Return the wind across as its ruler prints it; where the ruler shows another wind, by itself."""
    for layer in _limits(answer):
        if layer.value is not None and abs(float(layer.value) - found.across_m_s) <= SAME_RATIO * found.across_m_s:
            figures = beside(layer, "speed", symbol)
            if figures is not None and (layer.binds or not is_broken(layer)):
                return figures.value
    return figure("speed", found.across_m_s, symbol)
