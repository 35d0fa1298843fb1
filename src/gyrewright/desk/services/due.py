"""What is due on an aircraft, on which clock, worked out by the core and put in words."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from typing import Any

from gyrewright import maintenance
from gyrewright.desk.refusal import Refused
from gyrewright.desk.services import state
from gyrewright.desk.services.speaking import voice_at
from gyrewright.fact import Fact
from gyrewright.finding import Finding
from gyrewright.maintenance import Program, Records, as_it_stands, due_list
from gyrewright.maintenance.clocks import IN_DATE, Due
from gyrewright.maintenance.due import expected_on, hours_left
from gyrewright.maintenance.forecast import runs_out
from gyrewright.maintenance.house import House
from gyrewright.maintenance.intervals import notice_binds
from gyrewright.maintenance.records import Decision
from gyrewright.release.judge import ask
from gyrewright.release.question import Aircraft
from gyrewright.sheet import Plan, Sheet
from gyrewright.words.tell import Told

NEAR_H, NEAR_DAYS = 25.0, 60.0
"""What is reached within this is shown with its ruler; a choice of display that decides nothing. [h, days]"""
NEAR_SHARE = 0.25


@dataclass(frozen=True, slots=True)
class NextDue:
    """One clock of one task: as worked out, as a finding in words, and when it will be reached.

    `binds` is false for a maker's notice that is only advice here.
    """

    due: Due
    told: Told
    expected_on: date | None
    binds: bool

    @property
    def finding(self) -> Finding:
        """The clock as a finding: its value now against every layer."""
        return self.told.finding

    @property
    def is_in_date(self) -> bool:
        """Whether it is neither over nor without evidence."""
        return self.due.state == IN_DATE

    def is_near(self, on: date) -> bool:
        """Whether it is not in date, or reached soon enough to be looked at now."""
        if not self.is_in_date or self.due.remaining is None:
            return True
        if isinstance(self.due.now, date):
            return self.due.remaining <= NEAR_DAYS
        span = self.due.clock.span
        near_h = min(NEAR_H, NEAR_SHARE * span.value) if span is not None and span.on_a_meter else NEAR_H
        soon = self.expected_on is not None and self.expected_on <= on + timedelta(days=7)
        return self.due.remaining <= near_h or soon


def house_of(at: datetime) -> House:
    """Return the house rules on upkeep; none where the house has not written any."""
    found = {fact.name: fact for fact in _house_facts(at)}.get("maintenance_house")
    return found.value if found is not None and found.is_known else House()


def _house_facts(at: datetime) -> tuple[Fact, ...]:
    """Return what the house says about upkeep; nothing before there are house rules."""
    try:
        return state.house(at).operation.upkeep
    except Refused:
        return ()


def next_due(aircraft: Aircraft, *, at: datetime, purpose: str) -> tuple[NextDue, ...]:
    """Return what is due next on an aircraft for flights of one purpose, most urgent first.

    An aircraft without a program or books has none: nobody can say.
    """
    program, records = aircraft.program, aircraft.records
    if program is None or records is None:
        return ()
    key = ("next due", aircraft.definition.id, purpose, at, state.head_seq())
    return state.kept_for_reader(key, lambda: _next_due(program, records, at=at, purpose=purpose))


def _next_due(program: Program, records: Records, *, at: datetime, purpose: str) -> tuple[NextDue, ...]:
    zone, house, entitled = state.zone(), house_of(at), state.folk(at).entitled
    on, voice, history = at.astimezone(zone).date(), voice_at(at), records.history
    dues = due_list(program, records, on=on, purpose=purpose, entitled=entitled, no_over=house.no_over_for)
    out = []
    for due in dues:
        finding = as_it_stands(due, asked_at=at, on=on, zone=zone, entitled=entitled)
        binds = due.task.kind != "notice" or notice_binds(due, house, history)
        out.append(NextDue(due, Told(voice, finding), expected_on(due, history, on=on), binds))
    return tuple(out)


@dataclass(frozen=True, slots=True)
class BookedBeyond:
    """The first booked flight that would be flown over a clock in hours: which clock, and what is left before it."""

    due: Due
    at: datetime
    block_h: float
    left_h: float


def booked_beyond(aircraft: Aircraft, *, at: datetime, purpose: str) -> BookedBeyond | None:
    """Return the first booked flight that does not fit the hours left; None where all fit or nobody can say."""
    records = aircraft.records
    if records is None or records.bookings is None:
        return None
    dues = tuple(each.due for each in next_due(aircraft, at=at, purpose=purpose) if each.binds)
    allowance = next((fact for fact in _house_facts(at) if fact.name == "interval_allowance_h"), None)
    if allowance is None or not allowance.is_known:
        return None
    found = hours_left(dues, allowance_h=allowance.value)
    if found is None:
        return None
    left_h, due = found
    read = [meter.latest.at for meter in records.history.meters.values() if meter.latest]
    standing = [one for one in records.bookings if one.cancelled_at is None or one.cancelled_at > at]
    out = runs_out(standing, left_h=left_h, since=min(read, default=None), allowance_h=0.0)
    return BookedBeyond(due, out.at, out.block_h, out.left_h) if out is not None else None


def decision_on(records: Records, task: str) -> Decision | None:
    """Return what was last decided about a notice."""
    made = [each for each in records.history.decisions if each.task == task]
    return max(made, key=lambda each: each.on, default=None)


# --- what stands against an aircraft ---


_OPEN = ("maintenance.defect", "maintenance.repeated", "maintenance.event", "maintenance.work")
_BOOKS = ("maintenance.directive_list", "maintenance.flown_past")
PAPERS = ("maintenance.paper",)


@dataclass(frozen=True, slots=True)
class Standing:
    """What the core finds against an aircraft by its books alone, in words: open things, the books, its papers."""

    open: tuple[Told, ...]
    books: tuple[Told, ...]
    papers: tuple[Told, ...]


def standing_of(aircraft: Aircraft, *, at: datetime, purpose: str) -> Standing:
    """Return what stands against an aircraft now, for flights of one purpose with one aboard, whoever commands.

    The checks are those of a flight that starts and ends at this moment; daylight and what hangs on the commander are
    left to the flight.
    """
    zone = state.zone()
    local = at.astimezone(zone)
    entitled = state.folk(at).entitled
    facts = maintenance.facts(aircraft.program, aircraft.records, where=f"the books of {aircraft.definition.id}")
    facts |= {fact.name: fact for fact in _house_facts(at)}
    dues = tuple(each.due for each in next_due(aircraft, at=at, purpose=purpose))
    said: dict[str, Any] = {
        "entitled": entitled,
        "asked_at": at,
        "depart_at": local,
        "land_at": local,
        "flight_on": local.date(),
        "flight_ends_on": local.date(),
        "local_zone": zone,
        "purpose": purpose,
        "aboard_count": 1,
        "commander": "",
        "dues": dues,
    }
    facts |= {name: Fact(name, value) for name, value in said.items()}
    sheet = Sheet(facts, Plan(()))
    voice = replace(voice_at(at), sheet=sheet)

    def told(ids: tuple[str, ...]) -> tuple[Told, ...]:
        found = [finding for each in maintenance.CHECKS if each.id in ids for finding in ask(each, sheet)]
        return tuple(Told(voice, finding) for finding in sorted(found, key=lambda each: -each.verdict))

    return Standing(told(_OPEN), told(_BOOKS), told(PAPERS))
