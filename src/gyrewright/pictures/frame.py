"""What every picture has around it: its size, its words, and above it what it is about and when that was asked."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime, tzinfo

from gyrewright.fact import Fact
from gyrewright.finding import Finding
from gyrewright.pictures.figures import clock
from gyrewright.pictures.lettering import LEAD, RISE, SMALL, TITLE, wrapped
from gyrewright.pictures.speech import PLAIN, Speech
from gyrewright.pictures.svg import DESK, INK, SOFT, Elements, document, text
from gyrewright.release.answer import Answer
from gyrewright.release.question import Aircraft

MARGIN = 12.0


@dataclass(frozen=True, slots=True)
class View:
    """How a picture is wanted.

    Attributes:
        width: The whole width; `svg.DESK` and `svg.PHONE` are usual. Type keeps its size, so a narrow picture is
            drawn anew and not scaled. [px]
        speech: The words.
        heading: Whether the picture says above itself what it is about; without it a page must.
        fleet: The operation's other aircraft, for pictures that look at them too.
        instead: The answer to another loading of the same aircraft, drawn open beside this one.
    """

    width: float = DESK
    speech: Speech = PLAIN
    heading: bool = True
    fleet: tuple[Aircraft, ...] = ()
    instead: Answer | None = None

    @property
    def left(self) -> float:
        """Where drawing begins. [px]"""
        return MARGIN

    @property
    def right(self) -> float:
        """Where drawing ends. [px]"""
        return self.width - MARGIN

    @property
    def room(self) -> float:
        """How wide a drawing may be. [px]"""
        return self.width - 2.0 * MARGIN


USUAL = View()


def units_of(answer: Answer) -> Mapping[str, str]:
    """Return the units that the operation prefers."""
    return dict(answer.situation.question.operation.units)


def facts_of(answer: Answer) -> Mapping[str, Fact]:
    """Return what was typed."""
    return answer.situation.sheet.facts


def zone_of(answer: Answer) -> tzinfo:
    """Return the clock of the field."""
    return answer.situation.question.field.zone


def findings_of(answer: Answer, id: str) -> tuple[Finding, ...]:
    """Return the findings of one check."""
    return tuple(finding for finding in answer.findings if finding.id == id)


def lacking_of(answer: Answer, *names: str) -> tuple[str, ...]:
    """Return the facts that are lacking for any of these numbers of the sheet, each once."""
    sheet = answer.situation.sheet
    cells = [sheet.cell(name) for name in names if name in sheet]
    return tuple(dict.fromkeys(lack for cell in cells if cell.known is False for lack in cell.lacking))


def lacking_words(speech: Speech, names: tuple[str, ...]) -> str:
    """Return in a sentence what is not known."""
    return speech.say("lacking", facts="; ".join(speech.fact(name) for name in names))


def date_words(speech: Speech, moment: datetime, zone: tzinfo) -> str:
    """Return a local date in words."""
    return speech.date(moment.astimezone(zone).date())


def paragraph(
    words: str,
    *,
    x: float,
    top: float,
    room: float,
    size: float,
    bold: bool = False,
    ink: str = INK,
    class_: str = "",
) -> tuple[Elements, float]:
    """Return a text in lines, and how high it is. [px]"""
    lines = wrapped(words, size, room, bold=bold)
    out: Elements = [
        text(x, top + number * size * LEAD + size * RISE, each, size=size, bold=bold, fill=ink, class_=class_)
        for number, each in enumerate(lines)
    ]
    return out, len(lines) * size * LEAD


def about(answer: Answer, speech: Speech) -> str:
    """Return which flight a picture is about."""
    question = answer.situation.question
    zone, depart_at = zone_of(answer), question.flight.depart_at
    words = speech.say(
        "flight",
        aircraft=question.definition.name,
        id=question.definition.id,
        runway=question.flight.runway.typed or "?",
        date=date_words(speech, depart_at, zone) if depart_at else "?",
        start=clock(depart_at, zone) if depart_at else "",
    ).rstrip()
    asked_at = answer.computed_at
    asked = ""
    if asked_at is not None:
        asked = speech.say("asked at", date=date_words(speech, asked_at, zone), clock=clock(asked_at, zone))
    demo = speech.say("demo") if question.operation.demo else ""
    return " ".join(each for each in (f"{words}.", asked, demo) if each)


def heading(answer: Answer, view: View, title: str) -> tuple[Elements, float]:
    """Return what stands above a picture, and where drawing may begin. [px]"""
    if not view.heading:
        return [], MARGIN
    first, high = paragraph(title, x=view.left, top=MARGIN, room=view.room, size=TITLE, bold=True)
    below = MARGIN + high
    second, more = paragraph(about(answer, view.speech), x=view.left, top=below, room=view.room, size=SMALL, ink=SOFT)
    return [*first, *second], below + more + 16.0


def finished(answer: Answer, view: View, *, title: str, desc: str, parts: Elements, bottom: float) -> str:
    """Return the whole picture: the heading, and the parts that were drawn below it down to `bottom`."""
    above, _ = heading(answer, view, title)
    full = f"{title}. {about(answer, view.speech)}"
    return document([*above, *parts], width=view.width, height=bottom + MARGIN, title=full, desc=desc)
