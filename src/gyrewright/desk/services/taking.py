"""Saying that one has a report, and that one has read its answer: neither settles anything."""

from __future__ import annotations

from gyrewright.desk import clock
from gyrewright.desk.book.kinds.telling import AnswerRead, ReportTaken
from gyrewright.desk.book.record import Kept
from gyrewright.desk.refusal import NotAllowed, Refused
from gyrewright.desk.services.entitling import allowed, why_not
from gyrewright.desk.services.matter import Lock, Report
from gyrewright.desk.services.records import record_act
from gyrewright.maintenance.defects import ASSESS
from gyrewright.maintenance.events import CLEAR


def can_put_right(matter: Report | Lock, person: str) -> bool:
    """Return whether a person is one of those whom a report has to reach."""
    act = CLEAR if isinstance(matter, Lock) else ASSESS
    return bool(allowed(act, person=person, aircraft=matter.aircraft).allowed)


def is_taken(matter: Report | Lock) -> bool:
    """Return whether somebody who can put it right has it: said so, has acted on it, or reported it themself."""
    who = {matter.record.by, *(each.record.by for each in (*matter.taken, *matter.acts))}
    return any(can_put_right(matter, person) for person in who)


def take(*, id: str, matter: Report | Lock, by: str) -> Kept:
    """Record that somebody who can put it right has the report.

    Raises:
        NotAllowed: The person cannot.
    """
    act = CLEAR if isinstance(matter, Lock) else ASSESS
    found = allowed(act, person=by, aircraft=matter.aircraft)
    if not found.allowed:
        raise NotAllowed(why_not(act, found))
    mine = next((each for each in matter.taken if each.record.by == by), None)
    if mine is not None:
        raise Refused("you have said that already")
    return record_act(id=id, act=ReportTaken(report=matter.id), by=by, about=matter.aircraft, done_at=clock.now())


def read_answers(*, id: str, matter: Report | Lock, by: str) -> Kept:
    """Record that whoever reported has read what became of it.

    Raises:
        NotAllowed: Somebody else reported it.
        Refused: There is no answer yet.
    """
    if matter.record.by != by:
        raise NotAllowed("the answer is for whoever reported it")
    if not matter.acts:
        raise Refused("nobody has answered this report yet")
    act = AnswerRead(report=matter.id, up_to=matter.acts[-1].record.id)
    return record_act(id=id, act=act, by=by, about=matter.aircraft, done_at=clock.now())
