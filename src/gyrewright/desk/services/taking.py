"""Saying that one has a report, and that one has read its answer: neither settles anything."""

from __future__ import annotations

from typing import Any

from gyrewright.desk import clock
from gyrewright.desk.book.kinds.telling import AnswerRead, ReportTaken
from gyrewright.desk.book.kinds.upkeep import DefectReopened
from gyrewright.desk.book.models import Record
from gyrewright.desk.book.record import Entry, Kept
from gyrewright.desk.book.writing import append_one
from gyrewright.desk.refusal import NotAllowed, Refused
from gyrewright.desk.services.entitling import allowed, why_not
from gyrewright.desk.services.matter import Lock, Matter
from gyrewright.desk.services.records import as_before, new_id
from gyrewright.maintenance.defects import ASSESS
from gyrewright.maintenance.events import CLEAR


def can_put_right(matter: Matter, person: str) -> bool:
    """Return whether a person is one of those whom a report has to reach."""
    act = CLEAR if isinstance(matter, Lock) else ASSESS
    return bool(allowed(act, person=person, aircraft=matter.aircraft).allowed)


def is_taken(matter: Matter) -> bool:
    """Return whether somebody who can put it right has it: said so, has acted on it, or reported it themself.

    What was opened again has to reach somebody anew.
    """
    again = [each.record for each in matter.acts if isinstance(each.act, DefectReopened)]
    newest = again[-1] if again else matter.record
    later = (each.record for each in (*matter.taken, *matter.acts) if each.record.seq > newest.seq)
    return any(can_put_right(matter, person) for person in {newest.by, *(each.by for each in later)})


def take(*, id: str, matter: Matter, by: str) -> Kept:
    """Record that somebody who can put it right has the report.

    Raises:
        NotAllowed: The person cannot.
    """
    act = CLEAR if isinstance(matter, Lock) else ASSESS
    found = allowed(act, person=by, aircraft=matter.aircraft)
    if not found.allowed:
        raise NotAllowed(why_not(act, found))
    if is_taken(matter) and not Record.objects.filter(id=id).exists():
        raise Refused("somebody who can put it right has it already")
    return _once(id, ReportTaken(report=matter.id), matter, by)


def read_answers(*, id: str, matter: Matter, by: str) -> Kept:
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
    return _once(id, act, matter, by)


def _once(id: str, act: Any, matter: Matter, by: str) -> Kept:
    return append_one(as_before(Entry(id or new_id(), act, clock.now(), by, matter.aircraft)))
