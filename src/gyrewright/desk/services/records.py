"""Recording an act, withdrawing one, settling a clash, confirming the clock."""

from __future__ import annotations

import uuid
from dataclasses import replace
from datetime import datetime, timedelta
from typing import Any, Literal

from gyrewright.desk import clock
from gyrewright.desk.book.kinds.operation import BookOpened, ClashSettled, ClockConfirmed, Withdrawn, WithdrawnWhy
from gyrewright.desk.book.kinds.people import Person, PersonPersonal, RoleGiven
from gyrewright.desk.book.models import Record
from gyrewright.desk.book.reading import record_with_id
from gyrewright.desk.book.record import Entry, Kept, Recorded
from gyrewright.desk.book.writing import append, append_one
from gyrewright.desk.moments import moment_of
from gyrewright.desk.refusal import Refused
from gyrewright.errors import UnknownName

LAPTOP = "laptop"
"""Who acts where a command on the laptop does and nobody is logged in."""


def new_id() -> str:
    """Return an id for an act that happens here."""
    return str(uuid.uuid4())


def record_act(
    *,
    act: Any,
    by: str,
    about: str = "",
    id: str = "",
    done_at: datetime | None = None,
    corrects: str = "",
    personal: Any = None,
    person: str = "",
) -> Kept:
    """Record one act and return what became of it; done now where no time is given."""
    return append_one(Entry(id or new_id(), act, done_at or clock.now(), by, about, corrects, personal, person))


def as_before(entry: Entry) -> Entry:
    """Return an entry as done when the record under its id was done: a form that is sent twice is one act."""
    done_at = Record.objects.filter(id=entry.id).values_list("done_at", flat=True).first()
    return replace(entry, done_at=moment_of(done_at)) if done_at else entry


def open_book(
    *, operation: str, manager: str, manager_name: str, is_demo: bool, at: datetime | None = None
) -> tuple[Kept, ...]:
    """Open an empty book: its first record, the accountable manager as its first person, and their role."""
    now = at or clock.now()
    # Where the field lies is not known yet, and west of here it may still be the day before.
    since = (now - timedelta(days=1)).date()
    return tuple(
        append(
            [
                Entry(new_id(), BookOpened(operation=operation, is_demo=is_demo), now, manager),
                Entry(new_id(), Person(), now, manager, manager, personal=PersonPersonal(name=manager_name)),
                Entry(new_id(), RoleGiven(role="manager", from_on=since), now, manager, manager),
            ]
        )
    )


def book_opening() -> Recorded | None:
    """Return the first record of the book, or None where it is not open yet."""
    first = Record.objects.order_by("seq").first()
    return record_with_id(first.id) if first else None


def record_by_code(code: str) -> Recorded:
    """Return the record whose fingerprint begins as a printed code says; capitals and blanks do not count.

    Raises:
        Refused: The code is too short, or two records begin so.
        UnknownName: No record of this book has it.
    """
    wanted = "".join(code.split()).lower()
    if len(wanted) < 8:
        raise Refused("type at least the first eight letters and digits of the code on the sheet")
    found = list(Record.objects.filter(hash__startswith=wanted).values_list("id", flat=True)[:2])
    if not found:
        raise UnknownName("no record of this book has this code; compare it with the sheet, letter by letter")
    if len(found) > 1:
        raise Refused("two records begin with these letters; type more of the code")
    return record_with_id(found[0])


def withdraw(*, id: str, record: str, by: str, why: str = "") -> Kept:
    """Take back a record that was entered by mistake; it stays readable and counts for nothing."""
    earlier = record_with_id(record)
    return record_act(
        id=id,
        act=Withdrawn(),
        by=by,
        about=earlier.about,
        corrects=record,
        personal=WithdrawnWhy(why=why) if why else None,
        person=by,
    )


def settle_clash(*, id: str, clash: str, true: Literal["first", "second", "neither"], by: str) -> Kept:
    """Answer which of two contents under one id is true: first, second or neither."""
    found = record_with_id(clash)
    if found.kind != "clash":
        raise Refused(f"record {clash} is no clash; it is a {found.called}")
    return record_act(id=id, act=ClashSettled(clash=clash, true=true), by=by, about=found.about)


def confirm_clock(*, id: str, by: str, read_from: str) -> Kept:
    """Say that this machine's clock is right now; the second of two different people ends a doubt."""
    if not read_from.strip():
        raise Refused("say which other clock you compared this machine's with")
    kept = record_act(id=id, act=ClockConfirmed(read_from=read_from), by=by)
    trail: set[str] = set()
    for row in Record.objects.order_by("-seq").values("kind", "by")[:20]:
        if row["kind"] != "clock-confirmed":
            break
        trail.add(row["by"])
    if len(trail) >= 2 and not clock.clock().is_own:
        clock.start()
    return kept
