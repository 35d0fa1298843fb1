"""Where labels of marks on one line go: below it, each tied to its mark by a leader, none on another, none crossed.

A label stands left or right of its leader. Labels are dealt out from the shallowest to the deepest: one may stand
higher than all that are still to come if none of their marks lies within its width, as for the leftmost mark's label to
its left. Where there is no room a label takes more lines; only where four lines do not help does a leader pass behind a
label.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from gyrewright.pictures.lettering import FALL, LEAD, RISE, shortest, widest, widest_word
from gyrewright.pictures.svg import INK, PAPER, Element, Elements, line, rect, text

MOST_LINES = 4
_GAP = 6.0
_APART = 8.0
_SAME = 0.5


@dataclass(frozen=True, slots=True)
class Label:
    """What is said about a mark at x. `ink` is the color of the words."""

    x: float
    words: str
    bold: bool = False
    ink: str = INK


@dataclass(frozen=True, slots=True)
class Placed:
    """A label in its place: its lines, where they begin or end, and the box that they and their leader's end take."""

    label: Label
    lines: tuple[str, ...]
    side: str
    low: float
    high: float
    top: float
    bottom: float


def stacked(labels: Sequence[Label], *, left: float, right: float, top: float, size: float) -> tuple[Placed, ...]:
    """Return every label in its place, between left and right, from `top` down. [px]"""
    waiting = sorted(labels, key=lambda label: label.x)
    placed: list[Placed] = []
    while waiting:
        label, lines, side = _next(waiting, left, right, size)
        waiting.remove(label)
        low, high = _span(label, lines, side, size)
        if low < left or high > right:
            low, high = _held(low, high, left, right)
        above = [each.bottom for each in placed if each.low < high + _APART and low < each.high + _APART]
        begin = max([top, *above])
        placed.append(Placed(label, lines, side, low, high, begin, begin + len(lines) * size * LEAD))
    return tuple(placed)


def _next(waiting: Sequence[Label], left: float, right: float, size: float) -> tuple[Label, tuple[str, ...], str]:
    """Return the label that can stand highest, in the fewest lines."""
    ways = [*((label, "left") for label in waiting), *((label, "right") for label in reversed(waiting))]
    for count in range(1, MOST_LINES + 1):
        for label, side in ways:
            room = (label.x - left if side == "left" else right - label.x) - _GAP
            lines = _in_lines(label, room, count, size)
            if lines is None:
                continue
            low, high = _span(label, lines, side, size)
            others = (each.x for each in waiting if each is not label)
            if not any(low - _SAME < x < high + _SAME and abs(x - label.x) > _SAME for x in others):
                return label, lines, side
    label = waiting[0]
    side = "left" if label.x - left > right - label.x else "right"
    room = max(label.x - left, right - label.x, min(widest_word(label.words, size, bold=label.bold), right - left))
    return label, shortest(label.words, size, room - _GAP, bold=label.bold), side


def _in_lines(label: Label, room: float, count: int, size: float) -> tuple[str, ...] | None:
    if room < widest_word(label.words, size, bold=label.bold):
        return None
    lines = shortest(label.words, size, room, bold=label.bold)
    return lines if len(lines) <= count and widest(lines, size, bold=label.bold) <= room else None


def _span(label: Label, lines: tuple[str, ...], side: str, size: float) -> tuple[float, float]:
    width = widest(lines, size, bold=label.bold) + _GAP
    return (label.x - width, label.x) if side == "left" else (label.x, label.x + width)


def _held(low: float, high: float, left: float, right: float) -> tuple[float, float]:
    shift = max(left - low, 0.0) - max(high - right, 0.0)
    return low + shift, high + shift


def drawn(placed: Sequence[Placed], *, from_y: float, size: float) -> Elements:
    """Return leaders and words; each leader begins at `from_y` and ends beside its label's first line."""
    out: Elements = []
    for each in placed:
        out.append(
            line(each.label.x, from_y, each.label.x, each.top + size * LEAD, ink=each.label.ink, class_="leader")
        )
    for each in placed:
        out += _words(each, placed, size)
    return out


def _words(each: Placed, placed: Sequence[Placed], size: float) -> list[Element]:
    label = each.label
    x, anchor = (each.high - _GAP, "end") if each.side == "left" else (each.low + _GAP, "start")
    out = []
    crossed = any(
        other is not each and each.low < other.label.x < each.high and other.top + size * LEAD > each.top
        for other in placed
    )
    if crossed:
        low = each.low if each.side == "left" else x
        out.append(rect(low, each.top, each.high - each.low - _GAP, each.bottom - each.top, fill=PAPER))
    for number, words in enumerate(each.lines):
        y = each.top + number * size * LEAD + size * (LEAD + RISE - FALL) / 2.0
        out.append(text(x, y, words, size=size, bold=label.bold, anchor=anchor, fill=label.ink, class_="label"))
    return out
