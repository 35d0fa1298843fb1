"""The limit ruler: a value as a bar against every layer of its limit, "at most" and "at least" alike.

The bar begins at zero where the quantity has one, else at the left end and with a torn edge. Each limit is a tick with
its name and number below; the one that binds is heavy and says so. What lies beyond the strictest limit that is broken,
or is missing to reach it, is red and wider than the bar; a figure that is only demonstrated turns nothing red.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any

from gyrewright.air.weather import CLEAR_M
from gyrewright.fact import Fact
from gyrewright.finding import Finding, Layer, Limit
from gyrewright.pictures.figures import (
    NBSP,
    Figures,
    beside,
    duration,
    figure,
    is_as_typed,
    is_clock,
    symbol_for,
    typed_symbol,
)
from gyrewright.pictures.frame import paragraph
from gyrewright.pictures.lettering import LABEL, LEAD, RISE, SMALL, VALUE, width_of
from gyrewright.pictures.speech import Speech
from gyrewright.pictures.stack import Label, drawn, stacked
from gyrewright.pictures.svg import INK, PAPER, RED, Elements, group, line, rect, text
from gyrewright.units import parse_quantity

FROM_ZERO = frozenset(
    ("mass", "length", "volume", "speed", "climb", "time", "days", "months", "years", "share", "count", "rotation")
)
"""Dimensions in which nothing is nothing: a bar from zero tells a share of the limit."""

BAR = 16.0
_THIN = 4.0
_OVER = 8.0
"""How far a tick reaches beyond the bar. [px]"""
_GAP = 8.0
_FAR = 3.0
"""A value further than so many times its largest limit runs off the ruler."""
_SEEN = 10.0
"""What is beyond or missing is drawn at least so wide, or the heavy tick would hide it. [px]"""
_NEVER_H = 24.0
_INTERVALS = (
    ("time", ("time",), 0.0),
    ("days", ("",), 1.0),
    ("months", ("",), 30.4),
    ("years", ("",), 365.2),
)
"""Kinds of interval, the dimension of a limit that ends one, and the days in one where it ends on a date."""


@dataclass(frozen=True, slots=True)
class Scale:
    """From a value inside to a place on the paper. `torn` ends do not show where the quantity begins or ends."""

    low: float
    high: float
    left: float
    right: float
    torn_left: bool = False
    torn_right: bool = False

    def at(self, value: float) -> float:
        """Return the place of a value, held to the ends. [px]"""
        share = (value - self.low) / (self.high - self.low)
        return self.left + min(max(share, 0.0), 1.0) * (self.right - self.left)


def scale_of(finding: Finding, left: float, right: float) -> Scale:
    """Return the scale on which a finding's value and all its limits have room."""
    limits = [as_number(layer.limit.value) for layer in finding.layers if layer.limit.value is not None]
    values = [as_number(layer.value) for layer in finding.layers if layer.value is not None]
    if finding.value is not None:
        values.append(as_number(finding.value))
    known = [*limits, *values]
    if not known:
        return Scale(0.0, 1.0, left, right)
    low, high = min(known), max(known)
    begun = min((began for layer in finding.layers if (began := _began(finding, layer)) is not None), default=None)
    if begun is not None and 0.0 < begun < high:
        return Scale(min(begun, low), high + (high - min(begun, low)) * 0.12, left, right, torn_left=True)
    if finding.dimension in FROM_ZERO and low >= 0.0:
        most = max(limits, default=0.0)
        if most > 0.0 and high > _FAR * most:
            return Scale(0.0, 2.0 * most, left, right, torn_right=True)
        return Scale(0.0, high * 1.12 or 1.0, left, right)
    spare = (high - low) * 0.2 or abs(high) * 0.1 or 1.0
    return Scale(low - spare, high + spare, left, right, torn_left=True)


def as_number(value: Any) -> float:
    """Return a value as a number to be drawn; a date as its number among days."""
    return float(value.toordinal()) if isinstance(value, date) else float(value)


def _began(finding: Finding, layer: Layer) -> float | None:
    """Return where an interval began that ends at a limit: the last time on a meter, or the day."""
    limit = layer.limit
    for dimension, inside, days in _INTERVALS:
        if isinstance(limit.value, date) == (days > 0.0) and finding.dimension in inside:
            if not typed_symbol(dimension, limit.typed) or is_as_typed(finding.dimension, limit):
                continue
            length = parse_quantity(dimension, limit.typed).value
            return as_number(limit.value) - length * (days or 1.0)
    return None


def ruler(
    finding: Finding,
    *,
    x: float,
    top: float,
    width: float,
    speech: Speech,
    units: Mapping[str, str],
    facts: Mapping[str, Fact],
) -> tuple[Elements, float]:
    """Return the ruler of a finding, and its height. [px]"""
    symbol = symbol_for(finding, units, facts)
    scale = scale_of(finding, x, x + width)
    main = next((layer for layer in finding.layers if layer.binds), None)
    value = main.value if main is not None else finding.value
    out, bar_top = _head(finding, main, scale, symbol, speech, top)
    middle = bar_top + BAR / 2.0
    out.append(line(x, middle, x + width, middle, dash="" if value is not None else "4 4", class_="axis"))
    if value is not None:
        out += _bar(scale, as_number(value), main, bar_top, BAR)
    below = bar_top + BAR + _OVER
    for layer in _held_otherwise(finding, main):
        if (
            main is not None
            and layer.passes
            and abs(scale.at(as_number(layer.value)) - scale.at(as_number(main.value))) < _SEEN
        ):
            continue
        out += _bar(scale, as_number(layer.value), layer, below, _THIN)
        below += _THIN + 3.0
    labels = []
    casings: Elements = []
    ticks: Elements = []
    for layer in sorted(finding.layers, key=lambda layer: layer.binds):
        if layer.limit.value is None:
            continue
        at = scale.at(as_number(layer.limit.value))
        width_px, class_ = (6.0, "limit binds") if layer.binds else (2.0, "limit")
        casing = width_px + 4.0
        casings.append(line(at, bar_top - 4.0, at, bar_top + BAR + 4.0, width=casing, ink=PAPER, class_="casing"))
        ticks.append(line(at, bar_top - _OVER, at, bar_top + BAR + _OVER, width=width_px, class_=class_))
        labels.append(Label(at, label_of(layer, finding, main, symbol, speech), bold=layer.binds))
    out += [*casings, *ticks]
    placed = stacked(labels, left=x, right=x + width, top=below + 2.0, size=LABEL)
    out += drawn(placed, from_y=bar_top + BAR + _OVER, size=LABEL)
    bottom = max((each.bottom for each in placed), default=below)
    for layer in finding.layers:
        if layer.limit.value is None:
            words = speech.say("no figure", layer=speech.layer(layer.limit), typed=layer.limit.typed)
            more, high = paragraph(words, x=x, top=bottom, room=width, size=SMALL, class_="label")
            out += more
            bottom += high
    return [group("ruler", out)], bottom - top


# --- the value --------------------------------------------------------------------------------------------------------


def is_broken(layer: Layer) -> bool:
    """Return whether a layer is a limit, and the value is known to be beyond it."""
    return layer.margin is not None and not layer.passes and not layer.limit.demonstrated


def value_words(finding: Finding, main: Layer | None, symbol: str, speech: Speech) -> tuple[str, str]:
    """Return the value in words, and how it stands to the limit that binds; empty where that means nothing."""
    value = main.value if main is not None else finding.value
    if value is None:
        return speech.say("not known"), ""
    if isinstance(value, date) and main is None:
        return speech.date(value), ""
    if finding.id == "weather.cloud_base" and value >= CLEAR_M:
        return speech.say("clear"), ""
    if finding.id.startswith("light.") and abs(value) == _NEVER_H:
        return speech.say("sun stays up" if value > 0.0 else "sun stays down"), ""
    figures = _figures(main, finding, symbol, speech) if main is not None else None
    if main is None or figures is None:
        return duration(value) if is_clock(finding) else figure(finding.dimension, value, symbol), ""
    if main.passes and main.limit.value == 0.0:
        return figures.value, ""
    upper = main.limit.sense.is_upper
    if not main.passes:
        key = "beyond" if upper else "short"
    elif not any(letter in "123456789" for letter in figures.margin):
        key = "none left"
    else:
        key = "left" if upper else "spare"
    return figures.value, speech.say(key, margin=figures.margin)


def _head(
    finding: Finding, main: Layer | None, scale: Scale, symbol: str, speech: Speech, top: float
) -> tuple[Elements, float]:
    """Return the value above the end of its bar, and where the bar begins. [px]"""
    words, stands = value_words(finding, main, symbol, speech)
    ink = RED if main is not None and is_broken(main) else INK
    value = main.value if main is not None else finding.value
    end = scale.at(as_number(value)) if value is not None else scale.left
    first = width_of(words, VALUE, bold=True)
    second = width_of(stands, LABEL) + _GAP if stands else 0.0
    baseline = top + VALUE * RISE
    room = scale.right - scale.left
    begin = _held(end - first / 2.0, min(first + second, room), scale)
    out = [text(begin, baseline, words, size=VALUE, bold=True, fill=ink, class_="value")]
    if not stands:
        return out, top + VALUE * LEAD + _OVER
    if first + second <= room:
        out.append(text(begin + first + _GAP, baseline, stands, size=LABEL, fill=ink, class_="margin"))
        return out, top + VALUE * LEAD + _OVER
    more, high = paragraph(
        stands, x=scale.left, top=top + VALUE * LEAD, room=room, size=LABEL, ink=ink, class_="margin"
    )
    return [*out, *more], top + VALUE * LEAD + high + _OVER


def _held(begin: float, width: float, scale: Scale) -> float:
    """Return where a text begins so that all of it stays on the ruler. [px]"""
    return max(scale.left, min(begin, scale.right - width))


def _bar(scale: Scale, value: float, layer: Layer | None, top: float, height: float) -> Elements:
    """Return the bar of a value; beyond a limit that is broken, or up to it, it is red."""
    out: Elements = []
    start, end = scale.left, scale.at(value)
    over = 3.0 if height > _THIN else 0.0
    if layer is not None and is_broken(layer):
        at = scale.at(as_number(layer.limit.value))
        if layer.limit.sense.is_upper:
            red = max(end, at + _SEEN) - at
            out.append(rect(at, top - over, red, height + 2.0 * over, fill=RED, class_="beyond"))
            end = at
        else:
            end = min(end, at - _SEEN)
            dashes = "5 3" if height > _THIN else "3 2"
            out.append(
                rect(
                    end,
                    top + 1.0,
                    at - end,
                    height - 2.0,
                    fill=PAPER,
                    ink=RED,
                    line_width=2.0,
                    dash=dashes,
                    class_="missing",
                )
            )
    if end > start:
        out.insert(0, rect(start, top, end - start, height, fill=INK, class_="bar"))
    for is_torn, x in ((scale.torn_left, start + 10.0), (scale.torn_right and value > scale.high, scale.right - 14.0)):
        if is_torn:
            out += [
                line(x + shift, top + height + 4.0, x + shift + 6.0, top - 4.0, width=3.0, ink=PAPER, class_="torn")
                for shift in (0.0, 7.0)
            ]
    return out


def _held_otherwise(finding: Finding, main: Layer | None) -> list[Layer]:
    """Return a layer for each other value that a limit is held against: the mean wind beside the gust."""
    found: dict[Any, Layer] = {}
    for layer in finding.layers:
        if layer.value is None or (main is not None and layer.value == main.value):
            continue
        known = found.get(layer.value)
        if known is None or layer.margin < known.margin:
            found[layer.value] = layer
    return list(found.values())


# --- the limits -------------------------------------------------------------------------------------------------------


def label_of(layer: Layer, finding: Finding, main: Layer | None, symbol: str, speech: Speech) -> str:
    """Return a layer in words: whose it is, what it allows, and whatever else bears on it."""
    limit = layer.limit
    figures = _figures(layer, finding, symbol, speech)
    bound = figures.limit if figures else _bound(finding, limit, symbol, speech)
    sense = limit.sense.value
    if isinstance(limit.value, date):
        sense = "until" if limit.sense.is_upper else "from"
    said = f"{speech.layer(limit)}: {speech.say(sense, limit=bound)}"
    if limit.typed and limit.typed.replace(" ", NBSP) != bound and not is_as_typed(finding.dimension, limit):
        said += f" ({limit.typed})"
    notes = []
    if figures is None:
        notes.append(speech.say("against unknown"))
    elif main is not None and layer.value != main.value:
        notes.append(speech.say("against", value=figures.value))
    if limit.demonstrated:
        notes.append(speech.say("demonstrated"))
    if finding.why == "unverified" and not limit.verified_by:
        notes.append(speech.say("unverified"))
    if layer.binds:
        notes.append(speech.say("binds"))
    return ", ".join([said, *notes])


def _figures(layer: Layer, finding: Finding, symbol: str, speech: Speech) -> Figures | None:
    return beside(layer, finding.dimension, symbol, by_clock=is_clock(finding), say_date=speech.date)


def _bound(finding: Finding, limit: Limit, symbol: str, speech: Speech) -> str:
    """Return a limit that nothing is held against."""
    if isinstance(limit.value, date):
        return speech.date(limit.value)
    return duration(limit.value) if is_clock(finding) else figure(finding.dimension, float(limit.value), symbol)
