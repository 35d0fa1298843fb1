"""What changed on an aircraft since it last flew: whose hands, which work, which papers, what ran out meanwhile.

Nobody's leave is asked for what is told here: it is what the next pilot has to know before the walk-round.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from gyrewright.desk.book.kinds import aircraft as defined
from gyrewright.desk.book.kinds import upkeep
from gyrewright.desk.book.kinds.flight import FlightDone
from gyrewright.desk.book.models import Record
from gyrewright.desk.book.reading import read_rows
from gyrewright.desk.book.record import Recorded
from gyrewright.desk.fold.standing import standing
from gyrewright.desk.moments import moment_text
from gyrewright.desk.services import state
from gyrewright.desk.services.due import NextDue
from gyrewright.maintenance.meters import Meter
from gyrewright.maintenance.program import Program
from gyrewright.maintenance.spans import HOURS

MARKS = ("withdrawn", "clash", "clash-settled")
CLASSES = {"G": "it grounds", "L": "it limits the flight", "N": "noted"}


@dataclass(frozen=True, slots=True)
class Change:
    """One thing that changed: in words, by whom and when, and its record, which not all who are told may open."""

    words: str
    by: str
    at: datetime
    record: Recorded


@dataclass(frozen=True, slots=True)
class Since:
    """When an aircraft last flew, as far as anybody has said, and what changed since, the newest first.

    `flown` is the flight's record, or the meter reading that is the last word on it; None where nobody has said.
    `ran_out` are tasks whose last day has passed since.
    """

    flown: Recorded | None
    changes: tuple[Change, ...] = ()
    ran_out: tuple[str, ...] = ()

    @property
    def is_flight(self) -> bool:
        """Whether the flight itself was entered."""
        return self.flown is not None and isinstance(self.flown.act, FlightDone)


_Words = Callable[[Any, Program | None], str]


def _defect(act: upkeep.DefectReported, program: Program | None) -> str:
    return f"defect reported: {', '.join(each for each in (act.item, act.symptom) if each)}"


def _deferred(act: upkeep.DefectDeferred, program: Program | None) -> str:
    until = act.until_on or (act.until.date() if act.until else None)
    return "defect deferred" + (f" until {until:%-d %b %Y}" if until else "")


def _touched(act: upkeep.Touched, program: Program | None) -> str:
    amounts = [each for each in (act.fuel, act.oil, act.ballast) if each]
    return " ".join([act.what, *amounts])


def _task(act: upkeep.TaskDone, program: Program | None) -> str:
    task = program.named(act.task) if program else None
    signed = "" if act.signed_by or act.not_applicable else ", without a signed entry yet"
    return f"{task.name if task else act.task} done{signed}"


def _revision(act: defined.AircraftDefined, program: Program | None) -> str:
    return f"manual entered anew{', revision ' + act.manual_revision if act.manual_revision else ''}"


_TOLD: dict[type, _Words] = {
    upkeep.DefectReported: _defect,
    upkeep.DefectAssessed: lambda act, _: f"defect assessed: {CLASSES[act.class_]}",
    upkeep.DefectDeferred: _deferred,
    upkeep.DefectClosed: lambda act, _: "defect closed",
    upkeep.DefectReopened: lambda act, _: "defect opened again",
    upkeep.EventReported: lambda act, _: f"event: {act.kind}",
    upkeep.EventCleared: lambda act, _: f"{act.inspection} done and signed",
    upkeep.WorkDone: lambda act, _: f"work: {act.what} ({', '.join(act.areas)})",
    upkeep.WorkSigned: lambda act, _: "work signed off",
    upkeep.SecondLook: lambda act, _: "second look at work",
    upkeep.CheckFlown: lambda act, _: f"check flight: {act.result}",
    upkeep.Touched: _touched,
    upkeep.TaskDone: _task,
    upkeep.PartFitted: lambda act, _: f"{act.name} {act.serial} fitted",
    upkeep.PartRemoved: lambda act, _: f"{act.name} {act.serial} removed",
    upkeep.MeterReplaced: lambda act, _: f"{act.meter} meter replaced",
    upkeep.ProgramAdopted: lambda act, _: "maintenance program changed",
    upkeep.AircraftPaper: lambda act, _: f"paper entered: {act.name}",
    upkeep.MarkerPlaced: lambda act, _: "a training marker placed: locked until it is counted off",
    upkeep.MarkerConfirmed: lambda act, _: "a training marker counted off",
    defined.AircraftDefined: _revision,
    defined.AircraftWeighed: lambda act, _: f"weighed on {act.weighed_on:%-d %b %Y}: loading counts from it",
}
KINDS = (
    "defect-reported", "defect-assessed", "defect-deferred", "defect-closed", "defect-reopened", "event-reported",
    "event-cleared", "work-done", "work-signed", "second-look", "check-flown", "touched", "task-done", "part-fitted",
    "part-removed", "meter-replaced", "meter-read", "program-adopted", "aircraft-paper", "marker-placed",
    "marker-confirmed", "aircraft-defined", "aircraft-weighed",
)  # fmt: skip


def since_flown(aircraft: str, *, at: datetime, dues: tuple[NextDue, ...], names: Mapping[str, str]) -> Since:
    """Return what changed on an aircraft since it last flew."""
    flown = _last_flown(aircraft, at)
    if flown is None:
        return Since(None)
    # What belongs to that flight is not after it; what was done in its very minute may be.
    rows = Record.objects.filter(about=aircraft, done_at__gte=moment_text(flown.done_at), kind__in=(*KINDS, *MARKS))
    made = state.machine(aircraft, at).aircraft
    meters = made.records.history.meters if made.records else {}
    changes = []
    for each in standing(read_rows(rows.order_by("seq")), at=at).records:
        if each.done_at == flown.done_at and each.entered_at == flown.entered_at:
            continue
        words = _words(each, flown, made.program, meters)
        if words:
            changes.append(Change(words, names.get(each.by, each.by), each.done_at, each))
    changes.sort(key=lambda each: each.at, reverse=True)
    return Since(flown, tuple(changes), _ran_out(dues, flown, at))


def _last_flown(aircraft: str, at: datetime) -> Recorded | None:
    flights = [
        each.done
        for each in state.flights(at).values()
        if each.aircraft == aircraft and each.done and not each.in_question
    ]
    last = max((each for each in flights if each.done_at <= at), key=lambda each: each.done_at, default=None)
    if last is not None:
        return last
    records = state.machine(aircraft, at).aircraft.records
    read = [each.latest for each in records.history.meters.values() if each.latest] if records else []
    newest = max((each for each in read if each.at <= at), key=lambda each: each.at, default=None)
    found = read_rows(Record.objects.filter(id=newest.id)) if newest is not None else []
    return found[0] if found else None


def _words(record: Recorded, flown: Recorded, program: Program | None, meters: Mapping[str, Meter]) -> str:
    act = record.act
    if isinstance(act, upkeep.MeterRead):
        return _moved(record, flown, meters)
    told = _TOLD.get(type(act))
    return told(act, program) if told is not None and record.done_at >= flown.done_at else ""


def _moved(record: Recorded, flown: Recorded, meters: Mapping[str, Meter]) -> str:
    """Return that a meter moved although no flight was entered; nothing where it did not."""
    meter = meters.get(record.act.meter)
    if meter is None or meter.counts != HOURS or record.done_at == flown.done_at:
        return ""
    mine = next((each for each in meter.readings if each.id == record.id), None)
    before = [each for each in meter.readings if each.at <= flown.done_at]
    if mine is None or not before or mine.total <= before[-1].total + 1e-9:
        return ""
    return f"{meter.name} moved {mine.total - before[-1].total:.1f} h, and no flight was entered"


def _ran_out(dues: tuple[NextDue, ...], flown: Recorded, at: datetime) -> tuple[str, ...]:
    zone = state.zone()
    last, today = flown.done_at.astimezone(zone).date(), at.astimezone(zone).date()
    return tuple(
        each.due.task.name
        for each in dues
        if each.due.binding is not None
        and isinstance(each.due.binding.latest, date)
        and last <= each.due.binding.latest < today
    )
