"""Reporting that something is not as it should be, or that something happened: anybody may, and nothing is held back.

A report grounds the aircraft from the moment it is kept until somebody entitled has assessed it; an event locks it
until the right inspection is done and signed.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Any

from gyrewright.desk import clock
from gyrewright.desk.book.kinds.upkeep import DefectReported, EventReported
from gyrewright.desk.book.models import Record
from gyrewright.desk.book.reading import record_with_id
from gyrewright.desk.book.record import Entry, Kept
from gyrewright.desk.book.writing import append_one
from gyrewright.desk.refusal import Refused
from gyrewright.desk.services import post, state
from gyrewright.desk.services.entitling import require
from gyrewright.desk.services.erasing import keep_photo
from gyrewright.desk.services.flown_text import event_questions
from gyrewright.desk.services.places import places, walk_list
from gyrewright.desk.services.records import as_before
from gyrewright.desk.services.releases import supersede
from gyrewright.inspection.lists import ListEvent

REPORT = "report a defect"

SYMPTOMS = (
    "loose",
    "cracked",
    "worn",
    "bent or dented",
    "leaks",
    "missing",
    "rubs or binds",
    "shakes",
    "noise or smell",
    "does not work",
    "low or empty",
    "something else",
)
"""What can be wrong, in words that can be chosen by touch and held together over months."""

MOST_PHOTOS = 6


@dataclass(frozen=True, slots=True)
class Photos:
    """What was taken in of several photos, and why the others were not."""

    kept: tuple[str, ...]
    refused: tuple[str, ...]


def events_that_lock(aircraft: str) -> tuple[ListEvent, ...]:
    """Return the events that lock an aircraft, each with the question that asks for it; its program may add its own."""
    return event_questions(state.machine(aircraft, clock.now()).aircraft.program)


def keep_photos(files: Sequence[Any], *, person: str, record: str) -> Photos:
    """Take photos in. One that cannot be taken in holds up nothing: it is said why.

    Args:
        files: Uploaded files, each read whole.
        person: Whose photos they are.
        record: Id of the record that will name them. Where it is in the book already, its photos are those of the form
            that was sent before.
    """
    if Record.objects.filter(id=record).exists():
        return Photos(tuple(getattr(record_with_id(record).act, "photos", ())), ())
    kept, refused = [], []
    for file in files[:MOST_PHOTOS]:
        try:
            kept.append(keep_photo(content=file.read(), person=person))
        except Refused as error:
            refused.append(str(error))
    if len(files) > MOST_PHOTOS:
        refused.append(f"{len(files)} photos came; the first {MOST_PHOTOS} are kept")
    return Photos(tuple(kept), tuple(refused))


def report_defect(
    *,
    id: str,
    aircraft: str,
    by: str,
    item: str = "",
    zone: str = "",
    symptom: str = "",
    words: str = "",
    photos: tuple[str, ...] = (),
    walk: str = "",
    list_item: str = "",
    done_at: datetime | None = None,
    from_paper: str = "",
) -> Kept:
    """Record that something is not as it should be.

    Args:
        id: Made where the report was made; the same report sent again is kept once.
        aircraft: The aircraft.
        by: Who reports.
        item: The part, as the walk-round list or the reporter calls it; the zone's name where only that is known.
        zone: The zone of the walk-round list, by its letter.
        symptom: One of `SYMPTOMS`, or the reporter's own.
        words: What the reporter adds.
        photos: Fingerprints of photos that were taken in.
        walk: The walk-round at which it was found.
        list_item: The item of the list at which it was found, by its id.
        done_at: When it was found; now where it is left out.
        from_paper: The sheet it was copied from.

    Raises:
        NotAllowed: The table of acts does not let this person report.
        Refused: It does not say where, or what.
    """
    require(REPORT, person=by, aircraft=aircraft)
    _known(aircraft)
    zones = {each.zone: each.name for each in places()}
    if zone and zone not in zones:
        raise Refused(f"{zone!r} is no zone of the walk-round; zones are: {', '.join(zones)}")
    item = item.strip() or zones.get(zone, "")
    if not item:
        raise Refused("say where on the aircraft: touch a part of it, or name the item")
    if not (symptom.strip() or words.strip() or photos):
        raise Refused("say what is wrong: touch what fits, write a word, or take a photo")
    act = DefectReported(
        item=item,
        symptom=symptom.strip(),
        words=words.strip(),
        walk=walk,
        photos=photos,
        from_paper=from_paper,
        zone=zone,
        list_item=list_item,
    )
    return _keep(Entry(id, act, done_at or clock.now(), by, aircraft))


def report_event(
    *,
    id: str,
    aircraft: str,
    by: str,
    kind: str,
    words: str = "",
    photos: tuple[str, ...] = (),
    done_at: datetime | None = None,
    from_paper: str = "",
) -> Kept:
    """Record that something happened which locks the aircraft until the right inspection is done and signed.

    Raises:
        NotAllowed: The table of acts does not let this person report.
        Refused: It is none of the events that lock.
    """
    require(REPORT, person=by, aircraft=aircraft)
    _known(aircraft)
    kinds = tuple(each.on[0] for each in events_that_lock(aircraft))
    if kind not in kinds:
        raise Refused(f"say what happened; what locks an aircraft: {', '.join(kinds)}")
    act = EventReported(kind=kind, words=words.strip(), photos=photos, from_paper=from_paper)
    return _keep(Entry(id, act, done_at or clock.now(), by, aircraft))


def as_handed(act: Any) -> Any:
    """Return an act as a phone handed it over, put right where it is a report that lacks something.

    A report that says too little grounds all the same: somebody saw something, and the phone may be out of reach.
    """
    if isinstance(act, DefectReported):
        zones = {each.id: each.name for each in walk_list().zones}
        zone = act.zone if act.zone in zones else ""
        return replace(act, zone=zone, item=act.item.strip() or zones.get(zone, "place not said"))
    if isinstance(act, EventReported):
        return replace(act, kind=act.kind.strip() or "not said")
    return act


def _known(aircraft: str) -> None:
    if aircraft not in state.fleet_ids():
        raise Refused(f"the operation has no aircraft {aircraft!r}; choose one of: {', '.join(state.fleet_ids())}")


def _keep(entry: Entry) -> Kept:
    kept = append_one(as_before(entry) if entry.id else entry)
    supersede(by=entry.by)
    post.wake()
    return kept
