"""Bookings taken in from a calendar file, as often as it is handed in; and a flight asked for by one of them."""

from __future__ import annotations

import uuid
from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import datetime

from django.db.models import Q

from gyrewright.desk import clock
from gyrewright.desk.book.kinds.flight import Booked, BookedPersonal
from gyrewright.desk.book.record import Entry
from gyrewright.desk.book.writing import append
from gyrewright.desk.fold.bookings import BOOKING_KINDS, Booking, fold_bookings
from gyrewright.desk.services import state
from gyrewright.desk.services.calendar_text import Entry as Read
from gyrewright.desk.services.calendar_text import read_calendar
from gyrewright.desk.services.entitling import require_reach
from gyrewright.desk.services.records import new_id
from gyrewright.desk.services.releases import supersede
from gyrewright.errors import UnknownName

OWN = "@gyrewright.invalid"
"""How the uid of an entry ends that this desk has given out itself."""

_NAMESPACE = uuid.UUID("5b7f6a5e-0f0e-4f6b-9b60-7f2d3a1c9e11")


@dataclass(frozen=True, slots=True)
class Taken:
    """What became of a calendar file: how many bookings are new, changed, cancelled, the same; what was passed over."""

    new: int
    changed: int
    cancelled: int
    same: int
    past: int
    endless: int
    own: int
    passed_over: tuple[str, ...]


def bookings(at: datetime) -> dict[str, Booking]:
    """Return every booking from a calendar by its id, in the order of their starts."""
    records = state.records_of("bookings", Q(kind__in=BOOKING_KINDS))
    return state.kept(("bookings", records[-1].seq if records else 0), lambda: fold_bookings(records))


def booking(id: str, at: datetime) -> Booking:
    """Return one booking.

    Raises:
        UnknownName: There is none with this id.
    """
    found = bookings(at).get(id)
    if found is None:
        raise UnknownName(f"no booking has the id {id!r}")
    return found


def take_in(data: bytes, *, by: str) -> Taken:
    """Take a calendar file in: all of it or nothing. The same file again changes nothing.

    A changed entry corrects the booking that it became before; a cancelled one, or one that its series no longer names,
    cancels it. An entry that a flight was asked for by stays with that flight, and is said.

    Raises:
        NotAllowed: The person takes no calendars in.
        Refused: The file is no calendar, or asks for more than can be worked out.
    """
    require_reach("calendar-take", person=by, is_own=True)
    now = clock.now()
    read = read_calendar(data, fleet=state.fleet_ids(), zone=state.zone(), now=now)
    known = {(each.act.uid, each.act.occurrence, each.aircraft): each for each in bookings(now).values()}
    own = [each for each in read.entries if each.uid.endswith(OWN)]
    wanted = [each for each in read.entries if not each.uid.endswith(OWN)]
    make = _Making(known, by, now)
    for each in wanted:
        make.one(each)
    make.no_longer_named(wanted, read.whole)
    if make.entries:
        append(make.entries)
        supersede(by=by)
    return Taken(
        make.new, make.changed, make.cancelled, make.same, read.past, read.endless, len(own),
        (*read.passed_over, *make.said),
    )  # fmt: skip


class _Making:
    """The records that a file becomes, and their count."""

    def __init__(self, known: Mapping[tuple[str, datetime | None, str], Booking], by: str, now: datetime) -> None:
        self.known, self.by, self.now = known, by, now
        self.entries: list[Entry] = []
        self.said: list[str] = []
        self.new = self.changed = self.cancelled = self.same = 0

    def one(self, each: Read) -> None:
        """Add what one entry of the file becomes."""
        for (uid, occurrence, aircraft), other in self.known.items():
            if (uid, occurrence) == (each.uid, each.occurrence) and aircraft != each.aircraft:
                # The entry names another aircraft now, or none since it was cancelled.
                self._cancel(other, each.revision)
        if not each.aircraft:
            return
        booked = self.known.get((each.uid, each.occurrence, each.aircraft))
        if each.is_cancelled:
            if booked is not None:
                self._cancel(booked, each.revision)
            return
        act = Booked(each.start_at, each.end_at, each.uid, each.occurrence, each.revision)
        if booked is None:
            self._add(act, each)
            self.new += 1
            return
        before = booked.act
        if before.revision > each.revision:
            self.said.append(f"“{each.words[:60]}”: this file is older than what is kept of it")
        elif before.asked:
            if (before.start_at, before.end_at) != (act.start_at, act.end_at):
                self.said.append(f"“{each.words[:60]}”: a flight was asked for by it already; change the flight")
            else:
                self.same += 1
        elif replace(act, asked="") == before and booked.words == each.words:
            self.same += 1
        else:
            self._add(act, each, corrects=booked.record.id)
            self.changed += 1

    def no_longer_named(self, wanted: list[Read], whole: set[str]) -> None:
        """Cancel what its own calendar does not name any more."""
        named = {(each.uid, each.occurrence) for each in wanted}
        for (uid, occurrence, _), booked in self.known.items():
            if uid in whole and (uid, occurrence) not in named and booked.act.start_at > self.now:
                self._cancel(booked, booked.act.revision)

    def _cancel(self, booked: Booking, revision: int) -> None:
        if booked.act.cancelled or booked.act.revision > revision:
            return
        if booked.act.asked:
            self.said.append(f"“{booked.words[:60]}”: cancelled, but a flight was asked for by it; drop the flight")
            return
        act = replace(booked.act, cancelled=True, revision=revision)
        personal = BookedPersonal(booked.words) if booked.words else None
        self.entries.append(
            Entry(new_id(), act, self.now, self.by, booked.aircraft, booked.record.id, personal, self.by)
        )
        self.cancelled += 1

    def _add(self, act: Booked, each: Read, corrects: str = "") -> None:
        personal = BookedPersonal(each.words) if each.words else None
        key = f"{each.uid}\n{each.occurrence.isoformat() if each.occurrence else ''}\n{each.aircraft}"
        id = new_id() if corrects else str(uuid.uuid5(_NAMESPACE, key))
        self.entries.append(Entry(id, act, self.now, self.by, each.aircraft, corrects, personal, self.by))


def asked_by(booked: Booking, *, flight: str, by: str) -> Entry:
    """Return the entry that says that a flight was asked for by a booking."""
    personal = BookedPersonal(booked.words) if booked.words else None
    act = replace(booked.act, asked=flight)
    return Entry(new_id(), act, clock.now(), by, booked.aircraft, booked.record.id, personal, by)
