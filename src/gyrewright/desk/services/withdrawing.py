"""Taking back what was entered by mistake: it stays readable, counts for nothing, and loosens nothing by stealth.

What can be corrected by its own form is better corrected. A work cannot be taken back, since what hangs on it would go
with it: whoever entered it wrongly corrects it. Own minimums are not taken back either; they are changed on a day
without a flight.
"""

from __future__ import annotations

from gyrewright.desk import clock
from gyrewright.desk.book.kinds import About, kind_named
from gyrewright.desk.book.kinds.operation import Withdrawn, WithdrawnWhy
from gyrewright.desk.book.reading import find_records, record_with_id
from gyrewright.desk.book.record import Entry, Kept, Recorded
from gyrewright.desk.book.writing import append
from gyrewright.desk.refusal import NotAllowed, Refused
from gyrewright.desk.services import state
from gyrewright.desk.services.people import roles_held
from gyrewright.desk.services.releases import supersede
from gyrewright.desk.services.trying import aircraft_with, people_with

MISTAKES = frozenset(
    (
        "meter-read",
        "meter-replaced",
        "task-done",
        "notice-decided",
        "directives-read",
        "share-noted",
        "part-fitted",
        "part-removed",
        "work-signed",
        "second-look",
        "check-flown",
        "touched",
        "aircraft-paper",
        "aircraft-weighed",
        "limit-verified",
        "role-given",
        "role-ended",
        "standing",
        "lists-complete",
        "landings",
        "person-weighed",
        "endorsement",
        "checkout",
        "authority",
    )
)
"""Kinds of record that may be taken back as entered by mistake."""


def may_withdraw(record: Recorded, *, by: str) -> bool:
    """Return whether a person may take a record back: whoever entered it, or the manager, once."""
    if record.kind not in MISTAKES:
        return False
    if find_records(corrects=record.id):
        return False
    on = state.today()
    return record.by == by or "manager" in roles_held(by, on=on)


def withdraw_mistake(*, id: str, record: str, why: str, by: str) -> Kept:
    """Record that an earlier record was entered by mistake, and why.

    Raises:
        NotAllowed: Somebody else entered it, or it is of a kind that is not taken back.
        Refused: Nothing says why, or the books would not read without it.
    """
    earlier = record_with_id(record)
    if not may_withdraw(earlier, by=by):
        raise NotAllowed(
            "only whoever entered this, or the manager, takes it back; and only what nothing else hangs on"
        )
    if not why:
        raise Refused("say why it was a mistake")
    now = clock.now()
    entry = Entry(id, Withdrawn(), now, by, earlier.about, record, WithdrawnWhy(why=why), by)
    if kind_named(earlier.kind).about is About.PERSON:
        people_with([entry])
    else:
        aircraft_with([entry], aircraft=earlier.about)
    kept = append([entry])[0]
    supersede(by=by)
    return kept
