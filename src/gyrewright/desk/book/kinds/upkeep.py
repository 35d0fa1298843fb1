"""Acts about an aircraft's state: meters, tasks, work, parts, papers, defects, events, markers.

Fields have the names that the records files of the core use, so that a fold has nothing to translate.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date, datetime
from typing import Annotated, Literal

from gyrewright.desk.book.kinds.handed import Handed
from gyrewright.desk.book.kinds.registry import About, Corrects, kind
from gyrewright.desk.book.schema import Long, Measured

Shown = Annotated[str, Measured("time", or_else="count")]
"""What a meter shows: hours, or a count such as landings."""


@kind("books-opened", called="aircraft's books opened", about=About.AIRCRAFT, travels=True)
@dataclass(frozen=True, slots=True)
class BooksOpened:
    """Somebody says which lists of an aircraft are complete from here on: a list named with nothing in it is empty.

    Without this a list in which nothing was entered is not known, which is not the same as empty.
    """

    complete: tuple[
        Literal["defect", "event", "work", "marker", "touch", "walk", "paper", "booking", "done", "part"], ...
    ]
    from_paper: str = ""


@kind("program-adopted", called="maintenance program", about=About.AIRCRAFT, travels=True)
@dataclass(frozen=True, slots=True)
class ProgramAdopted:
    """The aircraft's maintenance program as the text of its file."""

    text: Annotated[str, Long()]
    why: str = ""
    from_paper: str = ""


@kind("meter-known", called="meter", about=About.AIRCRAFT, travels=True)
@dataclass(frozen=True, slots=True)
class MeterKnown:
    """A meter that the aircraft has, and what it counts."""

    meter: str
    counts: Literal["hours", "count"] = "hours"


@kind("meter-read", called="meter reading", about=About.AIRCRAFT, travels=True)
@dataclass(frozen=True, slots=True)
class MeterRead:
    """What one named meter showed."""

    meter: str
    shows: Shown
    photos: tuple[str, ...] = ()
    from_paper: str = ""


@kind("meter-replaced", called="meter replaced", about=About.AIRCRAFT, travels=True)
@dataclass(frozen=True, slots=True)
class MeterReplaced:
    """A meter was taken out and another put in its place."""

    meter: str
    old_shows: Shown
    new_shows: Shown
    why: str = ""
    from_paper: str = ""


@kind("task-done", called="task done", about=About.AIRCRAFT, travels=True)
@dataclass(frozen=True, slots=True)
class TaskDone:
    """A task of the program was done, and what each meter had then; unsigned it is a claim and no evidence.

    `worker` is who did it, where that is not who enters it; `signed_by` signed the legal entry named in `reference`.
    """

    task: str
    on: date | None = None
    at: dict[str, Shown] = field(default_factory=dict)
    was_due: dict[str, Shown] = field(default_factory=dict)
    was_due_on: date | None = None
    worker: str = ""
    signed_by: str = ""
    reference: str = ""
    not_applicable: str = ""
    beyond_by: str = ""
    photos: tuple[str, ...] = ()
    from_paper: str = ""


@kind("notice-decided", called="notice decided", about=About.AIRCRAFT, travels=True)
@dataclass(frozen=True, slots=True)
class NoticeDecided:
    """What the operator decided about a maker's notice that is only recommended."""

    task: str
    decided: Literal["follow", "decline"]
    on: date
    reason: str


@kind("directives-read", called="directives read", about=About.AIRCRAFT, travels=True)
@dataclass(frozen=True, slots=True)
class DirectivesRead:
    """The lists of directives and notices were read for this aircraft."""

    on: date
    from_paper: str = ""


@kind("share-noted", called="share noted", about=About.AIRCRAFT, travels=True)
@dataclass(frozen=True, slots=True)
class ShareNoted:
    """A share that an interval depends on, such as that of leaded fuel."""

    of: str
    share: Annotated[str, Measured("share")]
    from_paper: str = ""


@kind("part-fitted", called="part fitted", about=About.AIRCRAFT, travels=True)
@dataclass(frozen=True, slots=True)
class PartFitted:
    """A part with a serial number came onto the aircraft, with what it had used by then."""

    name: str
    serial: str
    on: date
    number: str = ""
    made_on: date | None = None
    meter: str = ""
    meter_at: Shown = ""
    own: Shown = ""
    from_paper: str = ""


@kind("part-removed", called="part removed", about=About.AIRCRAFT, travels=True)
@dataclass(frozen=True, slots=True)
class PartRemoved:
    """A part with a serial number came off."""

    name: str
    serial: str
    off: date
    own_off: Shown = ""
    why: str = ""
    from_paper: str = ""


@kind("aircraft-paper", called="aircraft paper", about=About.AIRCRAFT, travels=True)
@dataclass(frozen=True, slots=True)
class AircraftPaper:
    """A paper that must be aboard or in the file, and until when it counts. A newer one of that name replaces it."""

    name: str
    expires_on: date | None = None
    never_expires: bool = False
    aboard: bool | None = None
    reference: str = ""
    photos: tuple[str, ...] = ()
    from_paper: str = ""


@kind("defect-reported", called="defect reported", about=About.AIRCRAFT, travels=True)
@dataclass(frozen=True, slots=True)
class DefectReported:
    """Something is not as it should be. It grounds the aircraft until somebody entitled has assessed it.

    `zone` is the part of the aircraft by the walk-round list, so that reports of one place can be held together;
    `list_item` is the item's id, where the report is of an item of the list.
    """

    item: str
    symptom: str = ""
    words: str = ""
    walk: str = ""
    photos: tuple[str, ...] = ()
    from_paper: str = ""
    zone: str = ""
    list_item: str = ""
    handed: Handed | None = None


@dataclass(frozen=True, slots=True)
class Restriction:
    """How a flight is bound while a defect stays; `limits` is the text of limit tables."""

    day_only: bool = False
    aboard_at_most: int | None = None
    not_for: tuple[str, ...] = ()
    also: str = ""
    limits: Annotated[str, Long()] = ""


@kind("defect-assessed", called="defect assessed", about=About.AIRCRAFT, travels=True)
@dataclass(frozen=True, slots=True)
class DefectAssessed:
    """An entitled person's judgement: G grounds, L limits the flight, N is noted."""

    defect: str
    class_: Literal["G", "L", "N"]
    words: str = ""
    restriction: Restriction | None = None


@dataclass(frozen=True, slots=True)
class Required:
    """The questions before a deferral; one that nobody answered stays open."""

    equipment_list: bool | None = None
    this_flight: bool | None = None
    directive: bool | None = None


@kind("defect-deferred", called="defect deferred", about=About.AIRCRAFT, travels=True)
@dataclass(frozen=True, slots=True)
class DefectDeferred:
    """A defect lawfully left for later, with an end: a moment, or a day, or that day's sunset.

    `judged_safe` is the fourth question before a deferral, answered by whoever defers.
    """

    defect: str
    until: datetime | None = None
    until_on: date | None = None
    until_sunset: bool = False
    required: Required = field(default_factory=Required)
    made_safe: Literal["", "removed", "deactivated"] = ""
    placard: str = ""
    words: str = ""
    look_again: str = ""
    restriction: Restriction | None = None
    judged_safe: bool | None = None


@kind("defect-closed", called="defect closed", about=About.AIRCRAFT, travels=True)
@dataclass(frozen=True, slots=True)
class DefectClosed:
    """What put the defect right. The closing records that a signed entry exists; it is not the entry."""

    defect: str
    words: str
    work: str = ""
    reference: str = ""


@kind("defect-reopened", called="defect reopened", about=About.AIRCRAFT, travels=True)
@dataclass(frozen=True, slots=True)
class DefectReopened:
    """The defect is there again, or was never put right."""

    defect: str
    words: str = ""


@kind("defect-noted", called="note on a defect", about=About.AIRCRAFT, travels=True)
@dataclass(frozen=True, slots=True)
class DefectNoted:
    """Somebody looked, tried or heard something about a defect. It changes nothing of what the defect is."""

    defect: str
    words: str
    photos: tuple[str, ...] = ()


@kind("defects-compared", called="reports compared", about=About.AIRCRAFT, travels=True)
@dataclass(frozen=True, slots=True)
class DefectsCompared:
    """Somebody entitled says whether reports in different words are of the same thing."""

    defects: tuple[str, ...]
    same: bool
    words: str = ""


@kind("closing-looked-at", called="closing looked at", about=About.AIRCRAFT, travels=True)
@dataclass(frozen=True, slots=True)
class ClosingLookedAt:
    """Another entitled person looked at a closing for which nothing was done, and leaves it closed."""

    closing: str
    words: str


@kind("event-reported", called="event", about=About.AIRCRAFT, travels=True)
@dataclass(frozen=True, slots=True)
class EventReported:
    """A hard landing, a contact, or another event that locks the aircraft until the right inspection is done."""

    kind: str
    words: str = ""
    photos: tuple[str, ...] = ()
    from_paper: str = ""
    handed: Handed | None = None


@kind("event-cleared", called="event inspection", about=About.AIRCRAFT, travels=True)
@dataclass(frozen=True, slots=True)
class EventCleared:
    """The inspection that an event asked for was done, and who signed its entry."""

    event: str
    inspection: str
    found: str
    signed_by: str
    worker: str = ""
    reference: str = ""


@kind("work-done", called="work done", about=About.AIRCRAFT, travels=True)
@dataclass(frozen=True, slots=True)
class WorkDone:
    """Work on the aircraft: what, which areas it touched, who did it, whether it may change how it handles."""

    what: str
    areas: tuple[str, ...]
    workers: tuple[str, ...] = ()
    changes_handling: bool | None = None
    photos: tuple[str, ...] = ()
    from_paper: str = ""


@kind("work-signed", called="work signed off", about=About.AIRCRAFT, travels=True)
@dataclass(frozen=True, slots=True)
class WorkSigned:
    """Somebody entitled signed the entry for a work. This records that it exists; it is not the entry."""

    work: str
    reference: str = ""


@kind("second-look", called="second look", about=About.AIRCRAFT, travels=True)
@dataclass(frozen=True, slots=True)
class SecondLook:
    """Another qualified person looked at finished work and found it right."""

    work: str
    found: str = ""


@kind("check-flown", called="check flight", about=About.AIRCRAFT, travels=True)
@dataclass(frozen=True, slots=True)
class CheckFlown:
    """The flight after work that may have changed how the aircraft flies, as logged in its records."""

    work: str
    result: Literal["good", "bad"]
    found: str = ""


@kind("touched", called="aircraft touched", about=About.AIRCRAFT)
@dataclass(frozen=True, slots=True)
class Touched:
    """Fuel, oil, ballast, covers, trailer: what was done to the aircraft that is no work and no flight."""

    what: str
    fuel: Annotated[str, Measured("volume")] = ""
    oil: Annotated[str, Measured("volume")] = ""
    ballast: Annotated[str, Measured("mass")] = ""


@kind("fuel-measured", called="fuel measured", about=About.AIRCRAFT)
@dataclass(frozen=True, slots=True)
class FuelMeasured:
    """Fuel aboard as read, and by what."""

    by_what: Literal["stick", "gauge"]
    aboard: Annotated[str, Measured("volume")]


@kind("marker-placed", called="training marker placed", about=About.AIRCRAFT, corrects=Corrects.NEVER)
@dataclass(frozen=True, slots=True)
class MarkerPlaced:
    """A numbered label put beside a part for training. The aircraft is locked until it is counted off again."""

    number: int
    label: str = ""
    place: str = ""
    zone: str = ""
    exercise: str = ""


@kind("marker-removed", called="training marker removed", about=About.AIRCRAFT, corrects=Corrects.NEVER)
@dataclass(frozen=True, slots=True)
class MarkerRemoved:
    """The placer took a label off and counted it."""

    placed: str


@kind("marker-confirmed", called="training marker counted", about=About.AIRCRAFT, corrects=Corrects.NEVER)
@dataclass(frozen=True, slots=True)
class MarkerConfirmed:
    """A second person counted a label that was taken off."""

    placed: str
