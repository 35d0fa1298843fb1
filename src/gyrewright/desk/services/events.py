"""Taking an event's lock off: the right inspection, done and signed by somebody entitled, and nothing else."""

from __future__ import annotations

from gyrewright.desk import clock
from gyrewright.desk.book.kinds.upkeep import EventCleared
from gyrewright.desk.book.models import Record
from gyrewright.desk.book.reading import record_with_id
from gyrewright.desk.book.record import Entry, Kept, Outcome
from gyrewright.desk.book.writing import append_one
from gyrewright.desk.refusal import NotAllowed, Refused
from gyrewright.desk.services.entitling import require
from gyrewright.desk.services.matters import lock_with_id
from gyrewright.desk.services.records import as_before, new_id
from gyrewright.desk.services.releases import supersede
from gyrewright.maintenance.events import CLEAR


def clear_event(
    *,
    id: str,
    event: str,
    inspection: str,
    found: str,
    worker: str = "",
    signed_by: str,
    reference: str,
    by: str,
) -> Kept:
    """Record that the inspection after an event was done, what it found, and whose signed entry stands where.

    Args:
        id: Made with the form.
        event: The event.
        inspection: What was done, as the program calls it.
        found: What it found; "nothing" is a finding and is written.
        worker: Who did it; the recorder where it is left out.
        signed_by: Who signed the entry.
        reference: Where the signed entry stands. The record says that it exists; it is not the entry.
        by: Who records it.

    Raises:
        NotAllowed: Whoever records or signs is not entitled to inspect after an event.
        Refused: It is another inspection than the program names for this event, or a part is missing.
    """
    lock = lock_with_id(event, clock.now())
    require(CLEAR, person=by, aircraft=lock.aircraft)
    if lock.is_in_question:
        raise Refused("two records of this event contradict each other; say first which is true")
    act = EventCleared(
        event=lock.id,
        inspection=inspection.strip(),
        found=found.strip(),
        signed_by=signed_by,
        worker=worker if worker != by else "",
        reference=reference.strip(),
    )
    if Record.objects.filter(id=id).exists():
        if record_with_id(id).act != act:
            raise Refused("this form was sent before with other words, and those are kept; open the page again")
    elif not lock.is_locked:
        raise Refused("this event is cleared; another inspection of the same event has nothing to take off")
    if not lock.inspection:
        raise Refused(
            f"the maintenance program names no inspection for {lock.kind!r}; enter a program that does, from the"
            " maker's manual: until then nothing takes this lock off"
        )
    if act.inspection != lock.inspection:
        raise Refused(f"after {lock.kind!r} the program asks for: {lock.inspection}; no other takes this lock off")
    if not act.found:
        raise Refused("write what the inspection found, place by place; nothing found is written as well")
    if not signed_by:
        raise Refused("say who signed the entry")
    try:
        require(CLEAR, person=signed_by, aircraft=lock.aircraft)
    except NotAllowed as error:
        raise NotAllowed(f"whoever signed it is not entitled to: {error}") from None
    if not act.reference:
        raise Refused("write where the signed entry stands, book and page; this record is not that entry")
    entry = Entry(id or new_id(), act, max(clock.now(), lock.at), by, lock.aircraft)
    kept = append_one(as_before(entry))
    if kept.outcome is Outcome.NEW:
        supersede(by=by)
    return kept
