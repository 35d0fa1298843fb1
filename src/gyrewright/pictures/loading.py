"""The loading of one flight: the envelope, and the whole way of the center of gravity until the fuel is gone.

Mass is drawn upward, the center of gravity to the right, as in the manual. Where all fuel has one arm the way is
`fuel arm + c / mass`; it is drawn as that curve, and red where it is outside the envelope or above a limit on the mass.
The point at take-off is filled, the one without fuel open. Another loading of the same aircraft is dashed.
"""

from __future__ import annotations

from dataclasses import dataclass

from gyrewright.aircraft.envelope import Envelope, limits_at
from gyrewright.errors import OutOfRange
from gyrewright.finding import Layer
from gyrewright.pictures.burn import NEEDED, Point, Way, corners, mass_layers, way_of
from gyrewright.pictures.figures import beside, chosen, figure, in_unit, step_text, steps, unit_of, unit_word
from gyrewright.pictures.frame import (
    MARGIN,
    USUAL,
    View,
    finished,
    heading,
    lacking_of,
    lacking_words,
    paragraph,
    units_of,
)
from gyrewright.pictures.lettering import LABEL, LEAD, RISE, SMALL, width_of
from gyrewright.pictures.place import Box, Ground
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
    document,
    line,
    polygon,
    polyline,
    text,
)
from gyrewright.release.answer import Answer

_RADIUS = 7.0
_ALONG = (0.5, 0.25, 0.75, 0.0, 1.0)
"""Where along a limit on the mass its name may stand, as shares of its length."""


@dataclass(frozen=True, slots=True)
class Plot:
    """Where a mass and an arm are on the paper."""

    low_m: float
    high_m: float
    low_kg: float
    high_kg: float
    box: Box

    def at(self, point: Point) -> tuple[float, float]:
        """Return the place of a mass and an arm. [px]"""
        mass_kg, arm_m = point
        across = (arm_m - self.low_m) / (self.high_m - self.low_m)
        up = (mass_kg - self.low_kg) / (self.high_kg - self.low_kg)
        return (
            self.box.left + across * (self.box.right - self.box.left),
            self.box.bottom - up * (self.box.bottom - self.box.top),
        )


def loading(answer: Answer, view: View = USUAL) -> str:
    """Return the loading envelope with the whole way of the center of gravity.

    Raises:
        OutOfRange: The other loading is of another aircraft, whose envelope is another.
    """
    question = answer.situation.question
    instead = view.instead
    if instead is not None and instead.situation.question.definition.id != question.definition.id:
        raise OutOfRange(
            f"the other loading is of {instead.situation.question.definition.id}, this one of "
            f"{question.definition.id}; each has an envelope of its own, ask for two pictures"
        )
    speech = view.speech
    envelope = question.definition.envelope.value
    if envelope is None:
        return _words_only(answer, view, speech.say("no arms" if question.definition.no_arms else "no envelope"))
    way = way_of(answer, envelope)
    other = way_of(instead, envelope) if instead is not None else None
    lacking = "" if way is not None else lacking_words(speech, lacking_of(answer, *NEEDED))
    return _drawn(answer, view, envelope, way, other, lacking)


def to_plot_on(envelope: Envelope, *, mass_unit: str, arm_unit: str, view: View = USUAL) -> str:
    """Return an envelope with nothing in it, on a grid, for points that somebody works out and draws by hand."""
    speech = view.speech
    parts, plot = mass_axis(envelope, [], mass_unit, view, MARGIN)
    more, bottom = arm_axis(plot, view, arm_unit, has_grid=True)
    edge = [plot.at(point) for point in corners(envelope, envelope.highest_mass_kg)]
    words = speech.say(
        "desc loading",
        low=figure("mass", envelope.lowest_mass_kg, mass_unit),
        high=figure("mass", envelope.highest_mass_kg, mass_unit),
        points=speech.say("to plot"),
    )
    drawn = [*parts, *more, polygon(edge, ink=INK, line_width=3.0, class_="envelope")]
    return document(drawn, width=view.width, height=bottom + MARGIN, title=speech.say("title loading"), desc=words)


def _words_only(answer: Answer, view: View, words: str) -> str:
    title = view.speech.say("title loading")
    _, y = heading(answer, view, title)
    parts, high = paragraph(words, x=view.left, top=y, room=view.room, size=LABEL)
    return finished(answer, view, title=title, desc=words, parts=parts, bottom=y + high)


def plot_of(envelope: Envelope, ways: list[Way], box: Box) -> Plot:
    """Return a plot on which an envelope and some ways have room."""
    arms = [*envelope.forward.arms_m, *envelope.aft.arms_m, *(cg for way in ways for _, cg in (way.take_off, way.end))]
    masses = [envelope.lowest_mass_kg, envelope.highest_mass_kg]
    masses += [mass for way in ways for mass, _ in (way.take_off, way.end)]
    wide, high = max(arms) - min(arms) or 0.1, max(masses) - min(masses) or 10.0
    return Plot(
        min(arms) - 0.18 * wide, max(arms) + 0.18 * wide, min(masses) - 0.12 * high, max(masses) + 0.14 * high, box
    )


def _drawn(answer: Answer, view: View, envelope: Envelope, way: Way | None, other: Way | None, lacking: str) -> str:
    speech = view.speech
    title = speech.say("title loading")
    _, top = heading(answer, view, title)
    layers = mass_layers(answer)
    symbols = (
        chosen("mass", units_of(answer), [layer.limit.typed for layer in layers]),
        chosen("arm", units_of(answer)),
    )
    ways = [each for each in (other, way) if each is not None]
    parts, plot = mass_axis(envelope, ways, symbols[0], view, top)
    more, bottom = arm_axis(plot, view, symbols[1])
    parts += more
    ground = Ground(plot.box)
    parts += edge(envelope, layers, plot, ground)
    for each in ways:
        parts += _shape(each, plot, ground, is_other=each is other)
    said: list[str] = []
    if way is not None:
        ends_at = str(answer.situation.sheet.value("burn_path_ends_at") or "no usable fuel")
        parts += _say(way, True, "take-off", plot, ground, speech, symbols, said)
        parts += _say(way, False, ends_at, plot, ground, speech, symbols, said)
    if other is not None:
        parts += _say(other, True, "instead", plot, ground, speech, symbols, said)
    parts += names_of(envelope, layers, plot, ground, speech, symbols[0])
    if lacking:
        more, high = paragraph(lacking, x=view.left, top=bottom + 8.0, room=view.room, size=LABEL, class_="lacking")
        parts += more
        bottom += high + 8.0
        said.append(lacking.rstrip("."))
    low_kg, high_kg = envelope.lowest_mass_kg, envelope.highest_mass_kg
    desc = speech.say(
        "desc loading",
        low=figure("mass", low_kg, symbols[0]),
        high=figure("mass", high_kg, symbols[0]),
        points="; ".join(said),
    )
    return finished(answer, view, title=title, desc=desc, parts=parts, bottom=bottom)


def mass_axis(envelope: Envelope, ways: list[Way], symbol: str, view: View, top: float) -> tuple[Elements, Plot]:
    """Return the axis of the mass with its grid, and the plot that it belongs to."""
    unit = unit_of("mass", symbol)
    words = view.speech.say("mass axis", unit=unit_word(symbol))
    parts: Elements = [text(view.left, top + SMALL * RISE, words, size=SMALL)]
    trial = plot_of(envelope, ways, Box(0.0, 0.0, 1.0, 1.0))
    ticks = steps(in_unit(unit, trial.low_kg), in_unit(unit, trial.high_kg), 6)
    every = ticks[1] - ticks[0] if len(ticks) > 1 else 1.0
    left = view.left + max(width_of(step_text(each, every), SMALL) for each in ticks) + 8.0
    box_top = top + SMALL * LEAD + 6.0
    height = min(max(0.62 * view.room, 320.0), 460.0)
    plot = plot_of(envelope, ways, Box(left, box_top, view.right, box_top + height))
    for tick in ticks:
        y = plot.at(((tick + unit.offset) * unit.factor, plot.low_m))[1]
        parts.append(line(left, y, view.right, y, ink=HAIRLINE, class_="grid"))
        parts.append(text(left - 8.0, y + SMALL * 0.35, step_text(tick, every), size=SMALL, anchor="end"))
    return parts, plot


def arm_axis(plot: Plot, view: View, symbol: str, *, has_grid: bool = False) -> tuple[Elements, float]:
    """Return the axis of the center of gravity, and where it ends. [px]"""
    unit = unit_of("arm", symbol)
    low, high = in_unit(unit, plot.low_m), in_unit(unit, plot.high_m)
    widest = max(width_of(step_text(each, high - low), SMALL) for each in (low, high)) + 24.0
    ticks = steps(low, high, max(2, min(6, int((plot.box.right - plot.box.left) / widest))))
    every = ticks[1] - ticks[0] if len(ticks) > 1 else 1.0
    bottom = plot.box.bottom
    out: Elements = [line(plot.box.left, bottom, plot.box.right, bottom, width=1.0)]
    for tick in ticks:
        x = plot.at((plot.low_kg, (tick + unit.offset) * unit.factor))[0]
        words = step_text(tick, every)
        half = width_of(words, SMALL) / 2.0
        if has_grid:
            out.append(line(x, plot.box.top, x, bottom, ink=HAIRLINE, class_="grid"))
        out.append(line(x, bottom, x, bottom + 6.0))
        if x + half <= view.right and x - half >= plot.box.left - 4.0:
            out.append(text(x, bottom + 10.0 + SMALL * RISE, words, size=SMALL, anchor="middle"))
    top = bottom + 10.0 + SMALL * LEAD
    name = view.speech.say("arm axis", unit=unit_word(symbol))
    more, high_px = paragraph(name, x=plot.box.left, top=top, room=view.right - plot.box.left, size=SMALL)
    return [*out, *more], top + high_px


def edge(envelope: Envelope, layers: tuple[Layer, ...], plot: Plot, ground: Ground) -> Elements:
    """Return the envelope: washed as far as the limits on the mass allow, its edge and those limits heavy."""
    most_kg = min((float(layer.limit.value) for layer in layers), default=envelope.highest_mass_kg)
    whole = [plot.at(point) for point in corners(envelope, envelope.highest_mass_kg)]
    ground.trace([*whole, whole[0]])
    out: Elements = [polygon(whole, fill=PAPER)]
    if most_kg > envelope.lowest_mass_kg:
        allowed = [plot.at(point) for point in corners(envelope, most_kg)]
        out.append(polygon(allowed, fill=WASH, class_="allowed"))
    out.append(polygon(whole, ink=INK, line_width=3.0, class_="envelope"))
    for layer in layers:
        limit_kg = float(layer.limit.value)
        if envelope.lowest_mass_kg < limit_kg < envelope.highest_mass_kg:
            ends = [plot.at((limit_kg, float(arm))) for arm in limits_at(envelope, limit_kg)]
            out.append(line(*ends[0], *ends[1], width=3.0, class_="mass-limit"))
            ground.lines.append((*ends[0], *ends[1]))
    return out


def names_of(
    envelope: Envelope, layers: tuple[Layer, ...], plot: Plot, ground: Ground, speech: Speech, symbol: str
) -> Elements:
    """Return the name of every limit on the mass that is on the plot."""
    out: Elements = []
    for layer in layers:
        limit_kg = float(layer.limit.value)
        if not plot.low_kg < limit_kg <= envelope.highest_mass_kg:
            continue
        figures = beside(layer, "mass", symbol)
        bound = figures.limit if figures else figure("mass", limit_kg, symbol)
        words = f"{speech.layer(layer.limit)}: {speech.say(layer.limit.sense.value, limit=bound)}"
        forward, aft = (float(arm) for arm in limits_at(envelope, limit_kg))
        places = [plot.at((limit_kg, forward * share + aft * (1.0 - share))) for share in _ALONG]
        out += ground.say(words, *places, size=SMALL, ink=SOFT, clear=2.0)
    return out


def _shape(way: Way, plot: Plot, ground: Ground, *, is_other: bool) -> Elements:
    """Return a way and its two points; the other loading is dashed and open."""
    places = [plot.at(point) for point in way.points]
    ground.trace(places[::8] + places[-1:])
    out: Elements = []
    for first, last in _runs(way.inside):
        run = places[first : last + 1]
        dash = "5 4" if is_other else ""
        if way.inside[first]:
            out.append(polyline(run, width=2.0 if is_other else 3.0, dash=dash, class_="way"))
        else:
            out.append(polyline(run, width=5.0, ink=RED, dash=dash, class_="way beyond"))
    for index, radius in ((-1, _RADIUS - 1.5), (0, _RADIUS)):
        x, y = places[index]
        ink = INK if way.inside[index] else RED
        fill = ink if index == 0 and not is_other else PAPER
        out.append(circle(x, y, radius, fill=fill, ink=ink, line_width=2.5, class_="point"))
        ground.boxes.append(Box(x - radius, y - radius, x + radius, y + radius))
    return out


def _say(
    way: Way,
    is_take_off: bool,
    key: str,
    plot: Plot,
    ground: Ground,
    speech: Speech,
    symbols: tuple[str, str],
    said: list[str],
) -> Elements:
    """Return the words beside one end of a way; they are added to `said`."""
    index = 0 if is_take_off else -1
    mass_kg, cg_m = way.points[index]
    mass = way.take_off_words if is_take_off else figure("mass", mass_kg, symbols[0])
    words = speech.say(key, mass=mass, arm=figure("arm", cg_m, symbols[1]))
    ink = INK
    if not way.inside[index]:
        words, ink = f"{words}, {speech.say('is beyond')}", RED
    said.append(words)
    place = plot.at((mass_kg, cg_m))
    return ground.say(words, place, bold=key == "take-off", ink=ink, clear=_RADIUS)


def _runs(inside: tuple[bool, ...]) -> list[tuple[int, int]]:
    """Return first and last place of every stretch that is all inside or all outside, joined to the next."""
    starts = [0, *(place for place in range(1, len(inside)) if inside[place] != inside[place - 1])]
    ends = [*starts[1:], len(inside) - 1]
    return list(zip(starts, ends, strict=True))
