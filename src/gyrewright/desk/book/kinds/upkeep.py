"""Acts about an aircraft's state: meters, work, parts, directives, defects, events, markers."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date, datetime
from typing import Annotated, Literal

from gyrewright.desk.book.kinds.registry import About, Corrects, kind
from gyrewright.desk.book.schema import Measured

Hours = Annotated[str, Measured("time")]


@dataclass(frozen=True, slots=True)
class Signed:
    """Who signed the legal entry elsewhere. This book records that it exists; it is not the entry."""

    name: str
    certificate: str
    entry: str
    person: str = ""


@kind("meter-read", called="meter reading", about=About.AIRCRAFT, travels=True)
@dataclass(frozen=True, slots=True)
class MeterRead:
    """What one named meter showed."""

    meter: str
    reading: Hours
    photos: tuple[str, ...] = ()
    from_paper: str = ""


@kind("meter-replaced", called="meter replaced", about=About.AIRCRAFT, travels=True)
@dataclass(frozen=True, slots=True)
class MeterReplaced:
    """A meter was taken out and another put in its place."""

    meter: str
    old_reading: Hours
    new_reading: Hours
    serial_number: str = ""
    from_paper: str = ""


@kind("work-done", called="work done", about=About.AIRCRAFT, travels=True)
@dataclass(frozen=True, slots=True)
class WorkDone:
    """Work on the aircraft, what it fulfilled, and the signed entry that returns it to service."""

    description: str
    tasks: tuple[str, ...] = ()
    touched: tuple[str, ...] = ()
    meters: dict[str, str] = field(default_factory=dict)
    signed: Signed | None = None
    needs_second_look: bool | None = None
    needs_check_flight: bool | None = None
    from_paper: str = ""
    photos: tuple[str, ...] = ()


@kind("second-look", called="second look", about=About.AIRCRAFT, travels=True)
@dataclass(frozen=True, slots=True)
class SecondLook:
    """Another entitled person looked at finished work."""

    work: str
    found: str
    is_right: bool
    from_paper: str = ""


@kind("check-flown", called="check flight", about=About.AIRCRAFT, travels=True)
@dataclass(frozen=True, slots=True)
class CheckFlown:
    """The flight after work that may have changed how the aircraft flies, as logged in its records."""

    work: str
    is_right: bool
    found: str
    from_paper: str = ""


@kind("part-fitted", called="part fitted", about=About.AIRCRAFT, travels=True)
@dataclass(frozen=True, slots=True)
class PartFitted:
    """A part with a serial number came onto the aircraft, with the life it had used by then."""

    part: str
    serial_number: str
    place: str
    used: dict[str, str] = field(default_factory=dict)
    meters: dict[str, str] = field(default_factory=dict)
    from_paper: str = ""


@kind("part-removed", called="part removed", about=About.AIRCRAFT, travels=True)
@dataclass(frozen=True, slots=True)
class PartRemoved:
    """A part with a serial number came off."""

    part: str
    serial_number: str
    why: str
    meters: dict[str, str] = field(default_factory=dict)
    from_paper: str = ""


@kind("directive-judged", called="directive", about=About.AIRCRAFT, travels=True)
@dataclass(frozen=True, slots=True)
class DirectiveJudged:
    """A directive or maker's notice, whether it applies to this aircraft, and why."""

    directive: str
    revision: str
    applies: bool
    why: str
    from_paper: str = ""


@kind("defect-reported", called="defect reported", about=About.AIRCRAFT, travels=True)
@dataclass(frozen=True, slots=True)
class DefectReported:
    """Something is not as it should be. It grounds the aircraft until somebody entitled has assessed it."""

    place: str
    symptom: str
    item: str = ""
    reading: str = ""
    walk: str = ""
    photos: tuple[str, ...] = ()
    from_paper: str = ""


@kind("defect-assessed", called="defect assessed", about=About.AIRCRAFT, travels=True)
@dataclass(frozen=True, slots=True)
class DefectAssessed:
    """An entitled person's judgement of a defect."""

    defect: str
    answer: Literal["ground", "watch", "no defect"]
    found: str


@kind("defect-deferred", called="defect deferred", about=About.AIRCRAFT, travels=True)
@dataclass(frozen=True, slots=True)
class DefectDeferred:
    """A defect lawfully left for later, with the four questions answered and an end."""

    defect: str
    not_required: bool
    made_safe: Literal["removed", "deactivated"]
    is_placarded: bool
    no_hazard_why: str
    until: date | None = None
    until_meter: str = ""
    until_reading: Hours = ""
    restriction: str = ""
    look_again: str = ""
    entry: str = ""


@kind("defect-closed", called="defect closed", about=About.AIRCRAFT, travels=True)
@dataclass(frozen=True, slots=True)
class DefectClosed:
    """What put the defect right. The closing records that a signed entry exists; it is not the entry."""

    defect: str
    action: str
    work: str = ""
    signed: Signed | None = None


@kind("event-reported", called="event", about=About.AIRCRAFT, travels=True)
@dataclass(frozen=True, slots=True)
class EventReported:
    """A hard landing, a contact, or another event that locks the aircraft until the right inspection is done."""

    event: str
    happened_at: datetime | None = None
    found: str = ""
    photos: tuple[str, ...] = ()
    from_paper: str = ""


@kind("event-cleared", called="event inspection", about=About.AIRCRAFT, travels=True)
@dataclass(frozen=True, slots=True)
class EventCleared:
    """The inspection that an event asked for was done and signed."""

    event: str
    inspection: str
    found: str
    signed: Signed


@kind("fluid-added", called="fluid added", about=About.AIRCRAFT)
@dataclass(frozen=True, slots=True)
class FluidAdded:
    """Fuel or oil put in or taken out."""

    fluid: Literal["fuel", "oil", "coolant"]
    added: Annotated[str, Measured("volume")]
    grade: str = ""


@kind("fuel-measured", called="fuel measured", about=About.AIRCRAFT)
@dataclass(frozen=True, slots=True)
class FuelMeasured:
    """Fuel aboard as read, and by what."""

    by_what: Literal["stick", "gauge"]
    aboard: Annotated[str, Measured("volume")]


@kind("touched", called="aircraft touched", about=About.AIRCRAFT)
@dataclass(frozen=True, slots=True)
class Touched:
    """Ballast, covers, trailer, transport: what was done to the aircraft that is no work and no flight."""

    what: str
    ballast: Annotated[str, Measured("mass")] = ""
    restore: tuple[str, ...] = ()


@kind("markers-placed", called="training markers placed", about=About.AIRCRAFT, corrects=Corrects.NEVER)
@dataclass(frozen=True, slots=True)
class MarkersPlaced:
    """Numbered labels put beside parts for training. The aircraft is locked until each is counted off again."""

    places: dict[str, str]


@kind("markers-removed", called="training markers removed", about=About.AIRCRAFT, corrects=Corrects.NEVER)
@dataclass(frozen=True, slots=True)
class MarkersRemoved:
    """Labels taken off, counted by the placer and one other."""

    placed: str
    numbers: tuple[str, ...]
    counted_with: str
