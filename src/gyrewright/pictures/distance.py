"""Distance needed against distance there: each distance a bar on one scale, the end of the runway a heavy tick.

The distances are those of the manual for this take-off, and again as often as each factor asks for them. What lies
beyond the end of the runway is red.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

from gyrewright.arrays import at_most
from gyrewright.finding import Layer, Limit, Sense, Whose
from gyrewright.pictures.figures import (
    TIMES,
    Figures,
    beside,
    chosen,
    figure,
    in_unit,
    step_text,
    steps,
    unit_of,
    unit_word,
)
from gyrewright.pictures.frame import (
    USUAL,
    View,
    facts_of,
    findings_of,
    finished,
    heading,
    lacking_of,
    lacking_words,
    paragraph,
    units_of,
)
from gyrewright.pictures.lettering import LABEL, LEAD, RISE, SMALL, width_of, wrapped
from gyrewright.pictures.svg import HAIRLINE, INK, PAPER, RED, SOFT, Elements, group, line, rect, text
from gyrewright.release.answer import Answer

_BAR = 16.0
_OVER = 7.0
_SEEN = 10.0
"""What is beyond the runway is drawn at least so wide, or the heavy tick would hide it. [px]"""


@dataclass(frozen=True, slots=True)
class Need:
    """One distance: in words, its length, and how it stands to the runway; None where it is not known."""

    words: str
    value_m: float | None
    figures: Figures | None
    fits: bool
    lacking: tuple[str, ...] = ()


def distance(answer: Answer, view: View = USUAL) -> str:
    """Return the distances that the flight needs against the runway that is there."""
    speech, sheet = view.speech, answer.situation.sheet
    title = speech.say("title distance")
    _, y = heading(answer, view, title)
    length = sheet.value("runway_length_m")
    symbol = chosen("length", units_of(answer), [fact.typed for fact in _typed(answer)])
    needs = needs_of(answer, view, symbol)
    known = [need.value_m for need in needs if need.value_m is not None]
    if length is not None:
        known.append(float(length))
    most = max(known, default=1.0) * 1.04
    scale = (view.right - view.left) / most
    parts: Elements = []
    said = []
    if length is not None:
        edge = view.left + float(length) * scale
        words = speech.say(
            "available",
            runway=answer.situation.question.flight.runway.typed,
            length=figure("length", float(length), symbol),
        )
        lines = wrapped(words, LABEL, view.room, bold=True)
        begin = max(view.left, edge - max(width_of(each, LABEL, bold=True) for each in lines))
        for each in lines:
            parts.append(text(begin, y + LABEL * RISE, each, size=LABEL, bold=True, class_="available"))
            y += LABEL * LEAD
        y += 6.0
        parts.append(rect(view.left, y, edge - view.left, 6.0, ink=INK, line_width=1.5, class_="runway"))
        parts.append(line(edge, y - 4.0, edge, y + 10.0, width=6.0, class_="limit binds"))
        y += 6.0 + 12.0
        said.append(words)
    else:
        edge = None
        more, high = paragraph(
            lacking_words(speech, lacking_of(answer, "runway_length_m")), x=view.left, top=y, room=view.room, size=LABEL
        )
        parts += more
        y += high + 8.0
    for need in needs:
        more, y, words = _need(need, view, scale, edge, y)
        parts += more
        said.append(words)
    more, y = _axis(view, most, scale, symbol, y)
    return finished(answer, view, title=title, desc=f"{'; '.join(said)}.", parts=[*parts, *more], bottom=y)


def _typed(answer: Answer) -> list[Any]:
    facts = facts_of(answer)
    return [facts[name] for name in ("runway_length_m",) if name in facts]


def needs_of(answer: Answer, view: View, symbol: str) -> tuple[Need, ...]:
    """Return every distance of the take-off and of the landing, the shortest take-off first."""
    speech = view.speech
    out = [_plain(answer, "ground_roll_m", speech.say("ground roll"), symbol)]
    for id, name, key in (
        ("performance.take_off_distance", "take_off_distance_m", "to height"),
        ("performance.landing_distance", "landing_distance_m", "landing"),
    ):
        if key == "landing" and name not in answer.situation.sheet:
            continue
        what = speech.say(key)
        out.append(_plain(answer, name, what, symbol))
        for finding in findings_of(answer, id):
            for layer in finding.layers:
                factored = _factored(layer)
                if factored is not None:
                    factor = layer.limit.typed.removeprefix(TIMES)
                    words = speech.say("factored", what=what, factor=factor, layer=speech.layer(layer.limit))
                    out.append(Need(words, float(factored.value), beside(factored, "length", symbol), factored.passes))
    return tuple(out)


def _plain(answer: Answer, name: str, words: str, symbol: str) -> Need:
    """Return a distance of the manual's table, held against the whole runway."""
    sheet = answer.situation.sheet
    if name == "ground_roll_m" and name not in sheet:
        name = "printed_ground_roll_m"
    if name not in sheet or sheet.cell(name).known is not True:
        lacking = sheet.cell(name).lacking if name in sheet else ()
        return Need(words, None, None, True, lacking)
    value = float(sheet.value(name))
    length = sheet.value("runway_length_m")
    if length is None:
        return Need(words, value, Figures(figure("length", value, symbol), "", ""), True)
    limit = Limit(name, Whose.PLACE, Sense.AT_MOST, float(length))
    margin = float(length) - value
    layer = Layer(limit, value, margin, bool(at_most(value, float(length))))
    return Need(words, value, beside(layer, "length", symbol), layer.passes)


def _factored(layer: Layer) -> Layer | None:
    """Return a layer that asks for a distance several times as that many times the distance against the runway."""
    limit = layer.limit
    if not limit.typed.startswith(TIMES) or layer.value is None or limit.value is None:
        return None
    factor = float(limit.typed.removeprefix(TIMES))
    whole = replace(limit, value=float(limit.value) * factor, typed="")
    return Layer(whole, float(layer.value) * factor, float(layer.margin) * factor, layer.passes, layer.binds)


def _need(need: Need, view: View, scale: float, edge: float | None, top: float) -> tuple[Elements, float, str]:
    """Return one distance as words and bar, where it ends, and the words. [px]"""
    speech = view.speech
    if need.value_m is None or need.figures is None:
        words = speech.say("no table", what=need.words)
        if need.lacking:
            words = f"{need.words}. {lacking_words(speech, need.lacking)}"
        more, high = paragraph(words, x=view.left, top=top, room=view.room, size=LABEL, ink=SOFT, class_="label")
        return more, top + high + 10.0, words
    words = f"{need.words}: {need.figures.value}"
    ink = INK if need.fits else RED
    if not need.fits:
        words = f"{words}, {speech.say('too long', margin=need.figures.margin)}"
    out, high = paragraph(words, x=view.left, top=top, room=view.room, size=LABEL, bold=not need.fits, ink=ink)
    y = top + high + _OVER
    out.append(line(view.left, y + _BAR / 2.0, view.right, y + _BAR / 2.0, ink=HAIRLINE))
    end = view.left + need.value_m * scale
    if need.fits or edge is None:
        out.append(rect(view.left, y, end - view.left, _BAR, fill=INK, class_="bar"))
    else:
        out.append(rect(view.left, y, edge - view.left, _BAR, fill=INK, class_="bar"))
        red = max(end - edge, _SEEN)
        out.append(rect(edge, y - 3.0, red, _BAR + 6.0, fill=RED, class_="beyond"))
    if edge is not None:
        out.append(line(edge, y - 4.0, edge, y + _BAR + 4.0, width=10.0, ink=PAPER, class_="casing"))
        out.append(line(edge, y - _OVER, edge, y + _BAR + _OVER, width=6.0, class_="limit binds"))
    return [group("need", out)], y + _BAR + _OVER + 12.0, words


def _axis(view: View, most: float, scale: float, symbol: str, top: float) -> tuple[Elements, float]:
    """Return the axis of the distance, and where it ends. [px]"""
    unit = unit_of("length", symbol)
    widest = width_of(step_text(in_unit(unit, most), 1.0), SMALL) + 28.0
    ticks = steps(0.0, in_unit(unit, most), max(2, min(8, int(view.room / widest))))
    every = ticks[1] - ticks[0] if len(ticks) > 1 else 1.0
    out: Elements = [line(view.left, top, view.right, top)]
    for tick in ticks:
        x = view.left + tick * unit.factor * scale
        words = step_text(tick, every)
        half = width_of(words, SMALL) / 2.0
        out.append(line(x, top, x, top + 6.0))
        place = min(max(x, view.left + half), view.right - half)
        out.append(text(place, top + 8.0 + SMALL * RISE, words, size=SMALL, anchor="middle", class_="tick"))
    name = view.speech.say("distance axis", unit=unit_word(symbol))
    more, high = paragraph(name, x=view.left, top=top + 8.0 + SMALL * LEAD, room=view.room, size=SMALL)
    return [*out, *more], top + 8.0 + SMALL * LEAD + high
