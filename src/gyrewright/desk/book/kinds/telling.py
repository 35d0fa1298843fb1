"""Acts by which a report reaches whoever can put it right, and the answer whoever reported it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from gyrewright.desk.book.kinds.registry import About, Corrects, kind


@kind("word-sent", called="word sent", about=About.AIRCRAFT, corrects=Corrects.NEVER)
@dataclass(frozen=True, slots=True)
class WordSent:
    """Word of a report went to a person, or could not be sent and why. The report itself is in the book either way."""

    report: str
    to: str
    how: Literal["mail", "by hand"]
    failed: str = ""


@kind("report-taken", called="report acknowledged", about=About.AIRCRAFT, corrects=Corrects.NEVER)
@dataclass(frozen=True, slots=True)
class ReportTaken:
    """Somebody who can put it right says that they have the report of a defect or an event. It settles nothing."""

    report: str


@kind("answer-read", called="answer read", about=About.AIRCRAFT, corrects=Corrects.NEVER)
@dataclass(frozen=True, slots=True)
class AnswerRead:
    """Whoever reported has read what became of it, up to this record."""

    report: str
    up_to: str
