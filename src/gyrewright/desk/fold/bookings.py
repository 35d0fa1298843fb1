"""Bookings from calendars as they stand: each the newest of its line, with the words that came with it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from gyrewright.desk.book.kinds.flight import Booked
from gyrewright.desk.book.record import Recorded
from gyrewright.desk.fold.standing import standing

BOOKING_KINDS = ("booked", "withdrawn", "clash", "clash-settled")


@dataclass(frozen=True, slots=True)
class Booking:
    """One booking: `id` is that of its first record, `record` the one that counts now."""

    id: str
    record: Recorded

    @property
    def act(self) -> Booked:
        """What is booked."""
        act: Booked = self.record.act
        return act

    @property
    def aircraft(self) -> str:
        """The aircraft's id."""
        return self.record.about

    @property
    def words(self) -> str:
        """The entry's own title; empty where it has been erased."""
        return self.record.personal.words if self.record.personal else ""

    @property
    def is_open(self) -> bool:
        """Whether it stands and nobody has asked for a flight by it."""
        return not self.act.cancelled and not self.act.asked


def fold_bookings(records: Iterable[Recorded], *, at: datetime | None = None) -> dict[str, Booking]:
    """Return every booking by its id, in the order of their starts."""
    counting = standing(records, at=at)
    found = [
        Booking(counting.first.get(each.id, each.id), each) for each in counting.records if isinstance(each.act, Booked)
    ]
    return {each.id: each for each in sorted(found, key=lambda each: (each.act.start_at, each.record.seq))}
