"""What the books of one aircraft say was done, and when: meters, work, parts, papers, and what is booked.

A list that is not in the file is not known; a list that is there and empty (`defect = []`) says that there is none.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from datetime import date, datetime

from gyrewright.finding import NOTHING
from gyrewright.maintenance.defects import Defect, read_defects
from gyrewright.maintenance.events import Event, read_events
from gyrewright.maintenance.meters import Meter, Reading, read_at, read_meters
from gyrewright.maintenance.parts import Part, read_parts
from gyrewright.maintenance.work import Work, read_work
from gyrewright.reading import Section


@dataclass(frozen=True, slots=True)
class Done:
    """One entry that a task was done, or that somebody says it was.

    Attributes:
        at: What each meter had in total when it was done.
        was_due: What each meter had when it was due, where that is known.
        was_due_on: The date on which it was due, for a clock by the calendar.
        signed_by: Who signed; an entry that nobody signed is a claim and no evidence.
        not_applicable: Why it does not apply to this serial number, if that was decided.
        beyond_by: Who signed the list of flights made past due, if any were.
    """

    task: str
    on: date | None
    at: Mapping[str, float] = field(default_factory=lambda: NOTHING)
    was_due: Mapping[str, float] = field(default_factory=lambda: NOTHING)
    was_due_on: date | None = None
    by: str = ""
    signed_by: str = ""
    reference: str = ""
    not_applicable: str = ""
    beyond_by: str = ""
    where: str = ""

    @property
    def is_evidence(self) -> bool:
        """Whether somebody signed it and it says when."""
        return bool(self.signed_by) and (self.on is not None or bool(self.not_applicable))


@dataclass(frozen=True, slots=True)
class Decision:
    """What the operator decided about a maker's notice that is only recommended."""

    task: str
    decided: str
    by: str
    on: date
    reason: str


@dataclass(frozen=True, slots=True)
class Paper:
    """A document that must be aboard or in the file, and until when it counts."""

    name: str
    expires_on: date | None
    never_expires: bool
    aboard: bool | None
    reference: str
    where: str


@dataclass(frozen=True, slots=True)
class Booking:
    """Flying planned, or flown and not yet on the meters; `cancelled_at` is when it was called off, if it was."""

    at: datetime
    block_h: float
    for_: str = ""
    cancelled_at: datetime | None = None


@dataclass(frozen=True, slots=True, eq=False)
class History:
    """What intervals and lives are counted from."""

    aircraft: str
    meters: Mapping[str, Meter]
    done: tuple[Done, ...] = ()
    decisions: tuple[Decision, ...] = ()
    parts: tuple[Part, ...] = ()
    shares: Mapping[str, float] = field(default_factory=lambda: NOTHING)


def as_of(history: History, at: datetime) -> History:
    """Return the history as it stood at a moment: readings and entries made later are left out."""
    return _until(history, at.date(), lambda reading: reading.at <= at)


def until_day(history: History, on: date) -> History:
    """Return the history as it stood at the end of a day."""
    return _until(history, on, lambda reading: reading.at.date() <= on)


def _until(history: History, on: date, stands: Callable[[Reading], bool]) -> History:
    meters = {
        name: replace(meter, readings=tuple(reading for reading in meter.readings if stands(reading)))
        for name, meter in history.meters.items()
    }
    done = tuple(entry for entry in history.done if entry.on is None or entry.on <= on)
    return replace(history, meters=meters, done=done)


@dataclass(frozen=True, slots=True, eq=False)
class Records:
    """The books of one aircraft. None where the file has no such list."""

    file: str
    history: History
    directives_read_on: date | None
    papers: tuple[Paper, ...] | None
    bookings: tuple[Booking, ...] | None
    defects: tuple[Defect, ...] | None
    events: tuple[Event, ...] | None
    work: tuple[Work, ...] | None


def read_records(section: Section) -> Records:
    """Return the books that a section holds; problems are noted in the section.

    The section may hold other things, such as walks; whoever owns it finishes it.
    """
    meters = read_meters(section)
    counts = {name: meter.counts for name, meter in meters.items()}
    shares = section.section("shares")
    quantities = {name: shares.quantity(name, "share", low=0.0, high=1.0) for name in shares.keys()}  # noqa: SIM118
    history = History(
        aircraft=section.text("aircraft", required=True),
        meters=meters,
        done=tuple(_read_done(each, counts) for each in section.sections("done", label="task")),
        decisions=tuple(_read_decision(each) for each in section.sections("decision", label="task")),
        parts=read_parts(section),
        shares={name: quantity.value for name, quantity in quantities.items() if quantity},
    )
    return Records(
        file=section.file,
        history=history,
        directives_read_on=section.day("directives_read_on"),
        papers=tuple(_read_paper(each) for each in section.sections("paper")) if "paper" in section else None,
        bookings=tuple(_read_bookings(section)) if "booking" in section else None,
        defects=read_defects(section) if "defect" in section else None,
        events=read_events(section) if "event" in section else None,
        work=read_work(section) if "work" in section else None,
    )


def _read_done(section: Section, counts: Mapping[str, str]) -> Done:
    task = section.text("task", required=True)
    done = Done(
        task=task,
        on=section.day("on"),
        at=read_at(section, "at", counts),
        was_due=read_at(section, "was_due", counts),
        was_due_on=section.day("was_due_on"),
        by=section.text("by"),
        signed_by=section.text("signed_by"),
        reference=section.text("reference"),
        not_applicable=section.text("not_applicable"),
        beyond_by=section.text("beyond_by"),
        where=section.where(),
    )
    section.finish()
    return done


def _read_decision(section: Section) -> Decision:
    on = section.day("on", required=True)
    decision = Decision(
        section.text("task", required=True),
        section.choice("decided", ("follow", "decline"), required=True),
        section.text("by", required=True),
        on or date.max,
        section.text("reason", required=True),
    )
    section.finish()
    return decision


def _read_paper(section: Section) -> Paper:
    value = section.raw("expires_on")
    never = value == "never"
    expires = None if never else section.day("expires_on")
    paper = Paper(
        section.text("name", required=True),
        expires,
        never,
        section.flag("aboard"),
        section.text("reference"),
        section.where(),
    )
    section.finish()
    return paper


def _read_bookings(section: Section) -> list[Booking]:
    out = []
    for each in section.sections("booking", label="at"):
        at = each.moment("at", required=True)
        block = each.quantity("block", "time", low=0.0, high=24.0, required=True)
        words, cancelled_at = each.text("for"), each.moment("cancelled_at")
        each.finish()
        if at and block:
            out.append(Booking(at, block.value, words, cancelled_at))
    return out
