"""A finding's limit ruler as two drawings, a wide and a narrow one: type keeps its size."""

from __future__ import annotations

from collections.abc import Mapping

from django.utils.safestring import SafeString, mark_safe

from gyrewright.desk.worded import picture_words
from gyrewright.fact import Fact
from gyrewright.pictures.ruler import ruler
from gyrewright.pictures.speech import Speech
from gyrewright.pictures.svg import document
from gyrewright.words.tell import Told

WIDE, NARROW = 640.0, 350.0
"""How wide the drawings are. [px]"""

Rulers = tuple[tuple[str, SafeString], ...]


def rulers_of(told: Told, *, speech: Speech | None = None, facts: Mapping[str, Fact] | None = None) -> Rulers:
    """Return the drawings of a finding's ruler, each with the class of the page's width that it is for."""
    voice = told.voice
    spoken = speech or Speech(words=picture_words(voice.words.language), layer=voice.layer)
    out = []
    for name, width in (("wide", WIDE), ("narrow", NARROW)):
        parts, high = ruler(
            told.finding,
            x=4.0,
            top=4.0,
            width=width - 8.0,
            speech=spoken,
            units=voice.preferred,
            facts=voice.sheet.facts if facts is None else facts,
        )
        drawn = document(parts, width=width, height=high + 8.0, title=told.question, desc=told.sentence)
        # Every text of a drawing is escaped where it is written; see pictures.svg.
        out.append((name, mark_safe(drawn)))
    return tuple(out)
