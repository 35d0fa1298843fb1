"""After an accident or another event a copy of the whole book is set aside, as it stood when the event was reported.

Whoever reports an event has other things to do: the copy is made by the desk itself, right after the request that
brought the event in. Where it cannot be made, the event stays recorded, waits, and says so until there is one.
"""

from __future__ import annotations

from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path
from threading import Lock

from django.conf import settings

from gyrewright.desk.book.reading import find_records
from gyrewright.desk.book.record import Kept, Recorded
from gyrewright.desk.refusal import BookBroken, ClockInDoubt, DiskFull
from gyrewright.desk.services import state
from gyrewright.desk.services.copies import digest_of, freeze_copy
from gyrewright.desk.services.records import new_id

_one_at_a_time = Lock()


@dataclass(frozen=True, slots=True)
class Frozen:
    """A copy that was set aside: its record, the events it was made for, and whether its file is still as it was."""

    record: Recorded
    events: tuple[Recorded, ...]
    file: Path

    @property
    def is_there(self) -> bool:
        """Whether the file is still there."""
        return self.file.is_file()

    @property
    def is_untouched(self) -> bool:
        """Whether the file still has the digest that was recorded; reads all of it."""
        return self.is_there and digest_of(self.file) == self.record.act.sha256


def waiting() -> tuple[Recorded, ...]:
    """Return the events for which no copy has been set aside yet.

    What an aircraft's old books held when they were entered is history, and no event of this book.
    """
    return state.kept(("waiting for a frozen copy", state.head_seq()), _waiting)


def _waiting() -> tuple[Recorded, ...]:
    records = find_records(kinds=("event-reported", "copy-frozen", "books-opened"))
    frozen = {id for each in records if each.kind == "copy-frozen" for id in each.act.event.split()}
    opened = {(each.about, each.entered_at) for each in records if each.kind == "books-opened"}
    return tuple(
        each
        for each in records
        if each.kind == "event-reported" and each.id not in frozen and (each.about, each.entered_at) not in opened
    )


def freeze_for_waiting(*, by: str) -> Kept | None:
    """Set one copy aside for every event that waits for one; None where none waits or it cannot be made now.

    Nothing is raised: the event has been recorded, and whoever reported it is not to be told that it failed.
    """
    if not waiting():
        return None
    # Two requests at once find the same event waiting: one of them makes the copy.
    with _one_at_a_time, suppress(DiskFull, BookBroken, ClockInDoubt):
        events = waiting()
        if events:
            about = events[-1].about if len({each.about for each in events}) == 1 else ""
            return freeze_copy(id=new_id(), event=" ".join(each.id for each in events), by=by, about=about)
    return None


def frozen_copies() -> tuple[Frozen, ...]:
    """Return every copy that was set aside, the newest first."""
    records = find_records(kinds=("event-reported", "copy-frozen"))
    events = {each.id: each for each in records if each.kind == "event-reported"}
    return tuple(
        Frozen(
            each,
            tuple(events[id] for id in each.act.event.split() if id in events),
            Path(settings.DATA_DIR) / "frozen" / each.act.file,
        )
        for each in reversed(records)
        if each.kind == "copy-frozen"
    )
