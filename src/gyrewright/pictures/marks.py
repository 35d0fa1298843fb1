"""The mark of a verdict: told apart by word and shape before color, the same on screen and paper.

STOP is a filled block, UNKNOWN a dashed frame, JUDGE a line to sign on, ONLY IF two uprights, NOTHING FOUND a double
line below. The two codes that are never shown to a person are not shown here either.
"""

from __future__ import annotations

from gyrewright.finding import Verdict
from gyrewright.pictures.lettering import LEAD, RISE, width_of
from gyrewright.pictures.speech import Speech
from gyrewright.pictures.svg import INK, PAPER, RED, Elements, group, line, rect, text

_PAD = 10.0


def mark_width(speech: Speech, size: float) -> float:
    """Return the width in which every mark has room. [px]"""
    words = (speech.say(f"mark {verdict.name}") for verdict in Verdict)
    return max(width_of(each, size, bold=True) for each in words) + 2.0 * _PAD


def mark(
    verdict: Verdict, *, x: float, top: float, width: float, size: float, speech: Speech
) -> tuple[Elements, float]:
    """Return the mark of a verdict, and its height. [px]"""
    height = size * LEAD + 8.0
    words = speech.say(f"mark {verdict.name}")
    ink = PAPER if verdict is Verdict.STOP else INK
    baseline = top + (height + size * RISE) / 2.0 - 1.0
    said = text(x + width / 2.0, baseline, words, size=size, bold=True, anchor="middle", fill=ink, class_="mark")
    bottom, right = top + height, x + width
    shape: Elements
    if verdict is Verdict.STOP:
        shape = [rect(x, top, width, height, fill=RED, class_="stop")]
    elif verdict is Verdict.UNKNOWN:
        shape = [rect(x + 1.0, top + 1.0, width - 2.0, height - 2.0, ink=INK, line_width=2.0, dash="6 4")]
    elif verdict is Verdict.JUDGE:
        shape = [line(x, bottom - 1.0, right, bottom - 1.0, width=2.0)]
    elif verdict is Verdict.GO_IF:
        shape = [line(side, top, side, bottom, width=3.0) for side in (x + 1.5, right - 1.5)]
    else:
        shape = [line(x, y, right, y, width=2.0) for y in (bottom - 5.0, bottom - 1.0)]
    return [group("verdict", [*shape, said])], height
