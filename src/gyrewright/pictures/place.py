"""Where the words beside a point go: as near as there is room, over no other words, across as few lines as can be."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from itertools import pairwise

from gyrewright.pictures.lettering import FALL, LABEL, LEAD, RISE, shortest, widest
from gyrewright.pictures.svg import INK, Elements, line, text

Segment = tuple[float, float, float, float]

_NEAR = 12.0
_FAR = 30.0
"""From this distance on a thin line ties the words to their point. [px]"""
_CROSSED = 120.0
_LINES = 25.0
_PAD = 3.0


@dataclass(frozen=True, slots=True)
class Box:
    """A rectangle: left, top, right, bottom. [px]"""

    left: float
    top: float
    right: float
    bottom: float

    def meets(self, other: Box) -> bool:
        """Return whether two boxes overlap."""
        return (
            self.left < other.right and other.left < self.right and self.top < other.bottom and other.top < self.bottom
        )

    def holds(self, other: Box) -> bool:
        """Return whether another box lies inside."""
        return (
            self.left <= other.left
            and other.right <= self.right
            and self.top <= other.top
            and other.bottom <= self.bottom
        )

    def cut_by(self, segment: Segment) -> bool:
        """Return whether a straight line runs through."""
        x1, y1, x2, y2 = segment
        enter, leave = 0.0, 1.0
        for start, step, low, high in ((x1, x2 - x1, self.left, self.right), (y1, y2 - y1, self.top, self.bottom)):
            if step == 0.0:
                if not low < start < high:
                    return False
                continue
            first, last = sorted(((low - start) / step, (high - start) / step))
            enter, leave = max(enter, first), min(leave, last)
        return enter < leave


@dataclass(slots=True)
class Ground:
    """What a picture has drawn so far: where words may stand, and what they must not or had better not cover."""

    bounds: Box
    boxes: list[Box] = field(default_factory=list)
    lines: list[Segment] = field(default_factory=list)

    def trace(self, points: list[tuple[float, float]]) -> None:
        """Remember a broken line."""
        self.lines += [(*first, *second) for first, second in pairwise(points)]

    def say(
        self,
        words: str,
        *points: tuple[float, float],
        size: float = LABEL,
        bold: bool = False,
        ink: str = INK,
        clear: float = 8.0,
    ) -> Elements:
        """Return words beside a point, and remember where they stand; nothing where there is no room at all.

        Args:
            words: What is said.
            points: Where it may stand; one of them is chosen. [px]
            size: Of the type. [px]
            bold: Whether it is heavy.
            ink: Its color.
            clear: How much room around the point its own mark takes. [px]
        """
        best: tuple[float, Box, tuple[str, ...], tuple[float, float]] | None = None
        for lines in self._ways(words, size, bold):
            wide, high = widest(lines, size, bold=bold), len(lines) * size * LEAD
            for point in points:
                for box in _around(*point, wide, high, clear):
                    cost = _distance(*point, box) + _LINES * (len(lines) - 1)
                    if best is not None and cost >= best[0]:
                        continue
                    padded = Box(box.left - _PAD, box.top - _PAD, box.right + _PAD, box.bottom + _PAD)
                    if not self.bounds.holds(box) or any(padded.meets(other) for other in self.boxes):
                        continue
                    cost += _CROSSED * sum(padded.cut_by(segment) for segment in self.lines)
                    cost += 2.0 * _CROSSED * self._covered(_tie(*point, box, clear))
                    if best is None or cost < best[0]:
                        best = cost, box, lines, point
        if best is None:
            return []
        _, box, lines, (x, y) = best
        self.boxes.append(box)
        out: Elements = []
        tie = _tie(x, y, box, clear)
        if tie is not None:
            self.lines.append(tie)
            out.append(line(*tie, ink=ink, class_="leader"))
        for number, each in enumerate(lines):
            baseline = box.top + number * size * LEAD + size * (LEAD + RISE - FALL) / 2.0
            out.append(text(box.left, baseline, each, size=size, bold=bold, fill=ink, class_="label"))
        return out

    def _covered(self, tie: Segment | None) -> int:
        """Return how many words or points a tying line would run across."""
        return sum(tie is not None and box.cut_by(tie) for box in self.boxes)

    def _ways(self, words: str, size: float, bold: bool) -> Iterator[tuple[str, ...]]:
        seen = set()
        room = self.bounds.right - self.bounds.left
        for share in (1.0, 0.6, 0.4, 0.3):
            lines = shortest(words, size, room * share, bold=bold)
            if lines not in seen:
                seen.add(lines)
                yield lines


def _around(x: float, y: float, width: float, height: float, clear: float) -> Iterator[Box]:
    """Yield boxes around a point, the nearest first."""
    for far in (0.0, 8.0, 16.0, 28.0, 44.0, 64.0, 90.0, 120.0, 160.0, 210.0, 270.0):
        away = clear + 6.0 + far
        for left in (x + away, x - away - width):
            for top in (y - height / 2.0, y - height, y, y - height - far, y + far):
                yield Box(left, top, left + width, top + height)
        for top in (y - away - height, y + away):
            for left in (x, x - width, x - width / 2.0, x - width / 4.0, x - 3.0 * width / 4.0):
                yield Box(left, top, left + width, top + height)


def _tie(x: float, y: float, box: Box, clear: float) -> Segment | None:
    """Return the line that ties words to their point, where they are too far from it to do without."""
    far = _distance(x, y, box)
    if far <= _FAR:
        return None
    end_x, end_y = min(max(x, box.left), box.right), min(max(y, box.top), box.bottom)
    return x + (end_x - x) * clear / far, y + (end_y - y) * clear / far, end_x, end_y


def _distance(x: float, y: float, box: Box) -> float:
    across = max(box.left - x, 0.0, x - box.right)
    down = max(box.top - y, 0.0, y - box.bottom)
    return float((across**2 + down**2) ** 0.5)
