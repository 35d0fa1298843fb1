"""Wind against the runway and its limits: the plan of the runway as it lies, and the rulers of the wind beside it."""

from __future__ import annotations

from gyrewright.finding import Finding
from gyrewright.pictures.figures import figure
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
from gyrewright.pictures.lettering import LABEL, SMALL
from gyrewright.pictures.place import Box
from gyrewright.pictures.plan import Strongest, drawn, strongest, symbol_of
from gyrewright.pictures.ruler import ruler
from gyrewright.pictures.speech import Speech
from gyrewright.pictures.svg import SOFT, Elements
from gyrewright.release.answer import Answer

SHOWN = ("wind.crosswind", "wind.tailwind", "wind.total", "wind.spread")
"""The checks on the wind, in the order of their rulers."""

_BESIDE_PX = 600.0
_PLAN = 336.0


def wind(answer: Answer, view: View = USUAL) -> str:
    """Return the wind against the runway and its limits."""
    speech, sheet = view.speech, answer.situation.sheet
    title = speech.say("title wind")
    _, top = heading(answer, view, title)
    size = min(_PLAN, view.room)
    found = strongest(answer)
    parts: Elements = []
    said: list[str] = []
    bottom = top
    if "runway_true_deg" in sheet and sheet.cell("runway_true_deg").known is True:
        parts, bottom = drawn(answer, view, found, Box(view.left, top, view.left + size, top + size), said)
    for words in _below(answer, found, speech):
        more, high = paragraph(words, x=view.left, top=bottom + 6.0, room=size, size=SMALL, ink=SOFT, class_="note")
        parts += more
        bottom += high + 6.0
        said.append(words)
    x, y = (view.left + size + 32.0, top) if view.width >= _BESIDE_PX else (view.left, bottom + 16.0)
    for id in SHOWN:
        for finding in findings_of(answer, id):
            more, y = _ruler(answer, finding, view, x, y)
            parts += more
    said += [speech.sentence(finding) for id in SHOWN for finding in findings_of(answer, id)]
    desc = " ".join(each if each.endswith(".") else f"{each}." for each in said if each)
    return finished(answer, view, title=title, desc=desc or title, parts=parts, bottom=max(bottom, y))


def _ruler(answer: Answer, finding: Finding, view: View, x: float, top: float) -> tuple[Elements, float]:
    """Return a finding's question and ruler, and where they end. [px]"""
    out, high = paragraph(view.speech.question(finding), x=x, top=top, room=view.right - x, size=LABEL, bold=True)
    more, tall = ruler(
        finding,
        x=x,
        top=top + high + 2.0,
        width=view.right - x,
        speech=view.speech,
        units=units_of(answer),
        facts=facts_of(answer),
    )
    return [*out, *more], top + high + 2.0 + tall + 18.0


def _below(answer: Answer, found: Strongest | None, speech: Speech) -> list[str]:
    """Return the sentences below the plan: who says so, and how much is along the runway."""
    sheet = answer.situation.sheet
    if found is None:
        lacking = lacking_of(answer, "runway_true_deg", "crosswind_m_s")
        return [speech.say("no wind"), *([lacking_words(speech, lacking)] if lacking else [])]
    symbol = symbol_of(answer)
    out = [speech.say("wind by", by=speech.by(found.by))]
    ahead = sheet.value("least_headwind_m_s") if "least_headwind_m_s" in sheet else None
    if ahead is not None:
        key = "ahead" if ahead >= 0.0 else "behind"
        out.append(speech.say(key, value=figure("speed", abs(float(ahead)), symbol)))
    return out
