"""How wide a text is, before anybody has set it, and where its lines break.

Widths are those of a wide sans (DejaVu Sans), so that on a reader's own font a text takes less room rather than more.
"""

from __future__ import annotations

import unicodedata
from functools import lru_cache

from gyrewright.pictures.svg import clean

TITLE = 20.0
VALUE = 24.0
LABEL = 16.0
SMALL = 14.0
"""Sizes of type. [px]"""

LEAD = 1.3
"""From one line to the next, as a share of the size."""
RISE = 0.8
FALL = 0.25
"""How far letters reach above and below their baseline, as a share of the size."""

_PER_MILLE = 1000.0
_PLAIN = {
    **dict.fromkeys("'", 275),
    **dict.fromkeys("ijl", 278),
    **dict.fromkeys("IJ", 295),
    **dict.fromkeys(" \u00a0,.", 318),
    **dict.fromkeys("/:;\\|", 337),
    **dict.fromkeys("f", 352),
    **dict.fromkeys("-", 361),
    **dict.fromkeys("()[]t", 392),
    **dict.fromkeys("!r", 411),
    **dict.fromkeys('"', 460),
    **dict.fromkeys("*_`°–", 500),
    **dict.fromkeys("szc?", 550),
    **dict.fromkeys("LFk", 579),
    **dict.fromkeys("vxyP", 603),
    **dict.fromkeys("TYaoe", 616),
    **dict.fromkeys("ESbdghnpqu$0123456789{}", 637),
    **dict.fromkeys("AVBKRXZC", 698),
    **dict.fromkeys("UHNDG", 775),
    **dict.fromkeys("&OQw#+<=>^~×≥≤", 840),
    **dict.fromkeys("M", 863),
    **dict.fromkeys("%mW@…—", 1000),
}
_BOLD = {
    **dict.fromkeys("'", 306),
    **dict.fromkeys("ijl", 343),
    **dict.fromkeys(" \u00a0/IJ\\|,.", 380),
    **dict.fromkeys(":;-", 415),
    **dict.fromkeys("f()[]!", 457),
    **dict.fromkeys("tr_`°–", 500),
    **dict.fromkeys('c?z"s*', 595),
    **dict.fromkeys("Lvxyak", 675),
    **dict.fromkeys("FTeEo$0123456789", 696),
    **dict.fromkeys("hnu{}SYbdgpq", 720),
    **dict.fromkeys("CPZABKRVX", 774),
    **dict.fromkeys("UGDHN#+<=>^~OQ×≥≤", 850),
    **dict.fromkeys("&w", 924),
    **dict.fromkeys("%@Mm", 1042),
    **dict.fromkeys("W…—", 1103),
}
_UNLISTED = (880, 1000)
_IDEOGRAPH = 1050


@lru_cache(maxsize=4096)
def _width(letter: str, bold: bool) -> float:
    if unicodedata.combining(letter):
        return 0.0
    table = _BOLD if bold else _PLAIN
    found = table.get(letter) or table.get(unicodedata.normalize("NFD", letter)[0])
    if found is None:
        found = _IDEOGRAPH if unicodedata.east_asian_width(letter) in "WF" else _UNLISTED[bold]
    return found / _PER_MILLE


def width_of(text: str, size: float, *, bold: bool = False) -> float:
    """Return how much room a line of text takes at most. [px]"""
    return size * sum(_width(letter, bold) for letter in clean(text))


@lru_cache(maxsize=2048)
def wrapped(text: str, size: float, room: float, *, bold: bool = False) -> tuple[str, ...]:
    """Return a text as lines that each fit into the room; a word too long for it is broken.

    A no-break space keeps a number with its unit.
    """
    lines: list[str] = []
    here, used = "", 0.0
    blank = width_of(" ", size, bold=bold)
    for word in filter(None, clean(text).split(" ")):
        for piece in _pieces(word, size, room, bold):
            width = width_of(piece, size, bold=bold)
            if here and used + blank + width <= room:
                here, used = f"{here} {piece}", used + blank + width
                continue
            if here:
                lines.append(here)
            here, used = piece, width
    if here:
        lines.append(here)
    return tuple(lines) or ("",)


def _pieces(word: str, size: float, room: float, bold: bool) -> list[str]:
    """Return a word in pieces that each fit, at least one letter each."""
    pieces = [""]
    used = 0.0
    for letter in word:
        width = size * _width(letter, bold)
        if pieces[-1] and used + width > room:
            pieces.append("")
            used = 0.0
        pieces[-1] += letter
        used += width
    return pieces


@lru_cache(maxsize=2048)
def shortest(text: str, size: float, room: float, *, bold: bool = False) -> tuple[str, ...]:
    """Return a text in as many lines as the room asks for, all about as long as each other."""
    lines = wrapped(text, size, room, bold=bold)
    if len(lines) == 1:
        return lines
    # Not so narrow that a word would be broken which fits whole.
    low, high = max(room / 2.0, min(widest_word(text, size, bold=bold), room)), room
    for _ in range(8):
        middle = (low + high) / 2.0
        tried = wrapped(text, size, middle, bold=bold)
        if len(tried) > len(lines) or any(width_of(each, size, bold=bold) > room for each in tried):
            low = middle
        else:
            high, lines = middle, tried
    return lines


def widest_word(text: str, size: float, *, bold: bool = False) -> float:
    """Return the room that the longest word of a text takes. [px]"""
    return max(width_of(word, size, bold=bold) for word in clean(text).split(" "))


def widest(lines: tuple[str, ...], size: float, *, bold: bool = False) -> float:
    """Return the room that the widest of the lines takes. [px]"""
    return max(width_of(each, size, bold=bold) for each in lines)
