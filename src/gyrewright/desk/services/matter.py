"""What stands open on an aircraft, as data: reports with every word and date since, events, questions to a person."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, fields
from datetime import datetime
from typing import Any

from gyrewright.desk.book.kinds import upkeep
from gyrewright.desk.book.record import Recorded
from gyrewright.desk.fold.standing import Conflict
from gyrewright.desk.fold.tables import limit_tables
from gyrewright.maintenance.events import Clearing


@dataclass(frozen=True, slots=True)
class Said:
    """One thing said or done about a report, and whether it counts.

    Attributes:
        record: The record.
        who: The name of whoever did it.
        did: What they did, as a word of the past.
        is_void: Whether it does not count.
        may: The act of the table of roles that it would have taken.
        is_late: Whether it is void because it is older than the report; else its doer was not entitled to it then.
    """

    record: Recorded
    who: str
    did: str
    is_void: bool = False
    may: str = ""
    is_late: bool = False

    @property
    def act(self) -> Any:
        """The act itself."""
        return self.record.act

    @property
    def words(self) -> str:
        """What they wrote."""
        return str(getattr(self.act, "words", "") or getattr(self.act, "found", ""))

    @property
    def keep(self) -> Mapping[str, Any] | None:
        """What flights keep to by it, its limits as rows; None where it asks nothing."""
        found = getattr(self.act, "restriction", None)
        if found is None:
            return None
        rows = limit_tables(found.limits)
        return {each.name: getattr(found, each.name) for each in fields(found)} | {"limit_rows": rows}


@dataclass(frozen=True, slots=True)
class Report:
    """A report of a defect with everything said since.

    Attributes:
        id: The id that others point at: that of the first record in its line of corrections.
        aircraft: The aircraft.
        record: The record that counts, its words corrected where they were.
        at: When it was first reported.
        who: The reporter's name.
        state: "open", "assessed", "deferred", "closed", or "in question" where two truths contradict each other.
        class_: Of an assessment that counts: "G", "L" or "N".
        acts: Everything said or done since, in order, void acts too.
        earlier: What was said first, where it was corrected.
        taken: Who has said that they have it.
        run: The reports of the same symptom that it belongs to, itself the last or one of them, oldest first; empty
            where there are too few, or where somebody with inspection authority has looked into them.
        near: Other reports of the same part of the aircraft and the same symptom, in other words, that nobody has
            compared with it yet.
        looked_at: Somebody else's look at a closing for which nothing was done.
        is_disputed: Whether the report itself has two contents that contradict each other.
        has_ended: Whether it was left for later until a moment or a day that is past.
    """

    id: str
    aircraft: str
    record: Recorded
    at: datetime
    who: str
    state: str
    class_: str = ""
    acts: tuple[Said, ...] = ()
    earlier: tuple[Recorded, ...] = ()
    taken: tuple[Said, ...] = ()
    sent: tuple[Recorded, ...] = ()
    run: tuple[Report, ...] = ()
    near: tuple[Report, ...] = ()
    looked_at: Said | None = None
    is_disputed: bool = False
    has_ended: bool = False

    @property
    def what(self) -> str:
        """The part and what is wrong with it, in one clause."""
        act = self.record.act
        return f"{act.item}: {act.symptom or act.words}" if act.symptom or act.words else str(act.item)

    @property
    def last_act(self) -> Said:
        """The newest thing said, the report itself where nothing was."""
        return self.acts[-1] if self.acts else Said(self.record, self.who, "reported")

    @property
    def void(self) -> tuple[Said, ...]:
        """Acts of people who were not entitled to them."""
        return tuple(each for each in self.acts if each.is_void)

    @property
    def deferral(self) -> Said | None:
        """The deferral that holds, if one does."""
        return self._by(upkeep.DefectDeferred) if self.state == "deferred" else None

    @property
    def closing(self) -> Said | None:
        """The closing that counts, if one does."""
        return self._by(upkeep.DefectClosed) if self.state == "closed" else None

    @property
    def assessment(self) -> Said | None:
        """The assessment that counts, if one does."""
        return self._by(upkeep.DefectAssessed) if self.state == "assessed" else None

    def _by(self, kind: type) -> Said | None:
        return next((each for each in reversed(self.acts) if isinstance(each.act, kind) and not each.is_void), None)

    @property
    def is_closed_without_action(self) -> bool:
        """Whether it was closed with no work and no signed entry behind it, and nobody else has looked at that yet."""
        closing = self.closing
        return closing is not None and not (closing.act.work or closing.act.reference) and self.looked_at is None

    @property
    def grounds(self) -> bool:
        """Whether no flight at all passes while it stands so."""
        return self.state in ("open", "in question") or self.class_ == "G" or bool(self.run) or self.has_ended

    @property
    def is_open(self) -> bool:
        """Whether it is not put right."""
        return self.state != "closed"

    @property
    def has_question(self) -> bool:
        """Whether it asks something of a person."""
        void_closing = any(isinstance(each.act, upkeep.DefectClosed) for each in self.void) and self.is_open
        return bool(
            self.run or self.near or void_closing or self.is_closed_without_action or self.state == "in question"
        )


@dataclass(frozen=True, slots=True)
class Lock:
    """An event that locks an aircraft, or has done so.

    Attributes:
        inspection: The inspection that the program names for it; empty where it names none.
        clearing: The clearing that counts; None while it locks.
        tried: Clearings that do not count: of another inspection, or signed by somebody not entitled.
    """

    id: str
    aircraft: str
    record: Recorded
    at: datetime
    who: str
    kind: str
    inspection: str
    clearing: Clearing | None
    acts: tuple[Said, ...] = ()
    taken: tuple[Said, ...] = ()
    sent: tuple[Recorded, ...] = ()
    is_in_question: bool = False

    @property
    def is_locked(self) -> bool:
        """Whether it still locks."""
        return self.clearing is None

    @property
    def tried(self) -> tuple[Said, ...]:
        """Clearings that do not count."""
        return tuple(each for each in self.acts if each.is_void)

    @property
    def what(self) -> str:
        """What happened, in one clause."""
        return self.kind

    @property
    def last_act(self) -> Said:
        """The newest thing said, the report itself where nothing was."""
        return self.acts[-1] if self.acts else Said(self.record, self.who, "reported")


@dataclass(frozen=True, slots=True)
class Found:
    """What a walk-round found not right and nobody has reported: it stands against flights by the item's class.

    Attributes:
        walk: The walk-round.
        item: The item's id.
        name: The item's name, its id where the list does not know it.
        zone: Its zone.
        words: What the walker wrote.
        at: When.
        who: The walkers' names.
    """

    walk: str
    item: str
    name: str
    zone: str
    words: str
    at: datetime
    who: str


Matter = Report | Lock
"""Something that grounds, limits or locks an aircraft, or has done so."""


@dataclass(frozen=True, slots=True)
class Matters:
    """What stands open on one aircraft. Where training markers are clipped is in none of it."""

    aircraft: str
    reports: tuple[Report, ...] = ()
    locks: tuple[Lock, ...] = ()
    markers_on: int = 0
    found: tuple[Found, ...] = ()
    conflicts: tuple[Conflict, ...] = ()

    @property
    def open(self) -> tuple[Report, ...]:
        """Reports that are not put right, those that nobody has assessed first."""
        order = ("in question", "open", "assessed", "deferred")
        found = [each for each in self.reports if each.is_open]
        return tuple(sorted(found, key=lambda each: (order.index(each.state), each.class_ or "Z", each.at)))

    @property
    def questions(self) -> tuple[Report, ...]:
        """Closed reports that still ask something of a person."""
        return tuple(each for each in self.reports if not each.is_open and each.has_question)

    @property
    def locked(self) -> tuple[Lock, ...]:
        """Events that lock it."""
        return tuple(each for each in self.locks if each.is_locked)

    @property
    def standing(self) -> tuple[Matter, ...]:
        """What locks it and what is not put right."""
        return (*self.locked, *self.open)

    @property
    def all(self) -> tuple[Matter, ...]:
        """Every event and report, whatever became of it."""
        return (*self.locks, *self.reports)

    @property
    def closed(self) -> tuple[Report, ...]:
        """Reports that were put right and ask nothing more, the newest first."""
        return tuple(reversed([each for each in self.reports if not each.is_open and not each.has_question]))

    @property
    def cleared(self) -> tuple[Lock, ...]:
        """Events whose inspection was done and signed."""
        return tuple(each for each in self.locks if not each.is_locked)

    @property
    def cleared_count(self) -> int:
        """How many events were cleared."""
        return len(self.cleared)

    @property
    def is_clear(self) -> bool:
        """Whether nothing stands open."""
        return not (self.open or self.questions or self.locked or self.markers_on or self.found or self.conflicts)
