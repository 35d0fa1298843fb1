"""Reading and exchanging meters as forms."""

from __future__ import annotations

from typing import Any
from uuid import UUID, uuid5

from gyrewright.desk.book.kinds import upkeep as kinds
from gyrewright.desk.book.record import Kept, Recorded
from gyrewright.desk.pages.forms.fields import (
    CHOICE,
    Field,
    Given,
    local_text,
    moment,
    paper,
)
from gyrewright.desk.pages.forms.form import Form, Scene
from gyrewright.desk.services import state, upkeep
from gyrewright.maintenance.meters import Meter

READING, DUE = "reading.", "due."


def meters_of(scene: Scene) -> dict[str, Meter]:
    """Return the aircraft's meters by name."""
    records = scene.machine.records
    return dict(records.history.meters) if records is not None else {}


def shown(meter: Meter) -> str:
    """Return when a meter was last read, for a hint beside its field."""
    latest = meter.latest
    return f"last read {latest.typed}" if latest is not None else "never read"


def _reading_fields(scene: Scene) -> tuple[Field, ...]:
    at = moment("done_at", "Read at", now=scene.at, zone=scene.zone)
    if scene.earlier is not None:
        meter = scene.earlier.act.meter
        return (Field("shows", f"{meter.capitalize()} meter showed", required=True), at, paper())
    meters = [
        Field(f"{READING}{name}", f"{name.capitalize()} meter shows", hint=shown(meter))
        for name, meter in meters_of(scene).items()
    ]
    return (*meters, at, paper())


def _read(scene: Scene, given: Given) -> Kept:
    if scene.earlier is not None:
        readings = {scene.earlier.act.meter: given.text("shows")}
    else:
        typed = ((name, given.text(f"{READING}{name}")) for name in meters_of(scene))
        readings = {name: text for name, text in typed if text}
    first = next(iter(readings), "")
    return upkeep.read_meters(
        ids={name: scene.id if name == first else str(uuid5(UUID(scene.id), name)) for name in readings},
        aircraft=scene.about,
        readings=readings,
        by=scene.by,
        done_at=given.moment("done_at"),
        from_paper=given.text("from_paper"),
        corrects=scene.corrects,
    )[0]


def _fill_reading(record: Recorded) -> dict[str, Any]:
    act: kinds.MeterRead = record.act
    return {"shows": act.shows, "done_at": local_text(record.done_at, state.zone()), "from_paper": act.from_paper}


def _replacing_fields(scene: Scene) -> tuple[Field, ...]:
    choices = tuple((name, name) for name in meters_of(scene))
    return (
        Field("meter", "Which meter", CHOICE, choices=choices, required=True, value=scene.chosen.get("meter", "")),
        Field("old_shows", "The old one showed", hint="as it was taken out, such as 640.0 h", required=True),
        Field("new_shows", "The new one showed", hint="as it was put in, such as 0.0 h", required=True),
        moment("done_at", "Exchanged at", now=scene.at, zone=scene.zone),
        Field("why", "Why", is_wide=True),
        paper(),
    )


def _replace(scene: Scene, given: Given) -> Kept:
    return upkeep.replace_meter(
        id=scene.id,
        aircraft=scene.about,
        meter=given.text("meter"),
        old_shows=given.text("old_shows"),
        new_shows=given.text("new_shows"),
        why=given.text("why"),
        by=scene.by,
        done_at=given.moment("done_at") or scene.at,
        from_paper=given.text("from_paper"),
    )


METERS = Form(
    "meters",
    "Read the meters",
    "This is what they show",
    _reading_fields,
    _read,
    "meter-read",
    _fill_reading,
    "Each meter by itself: hours of one never stand in for another's. One that was not read stays as it is.",
    "read a meter",
)
REPLACED = Form(
    "meter-replaced",
    "A meter was exchanged",
    "It was exchanged",
    _replacing_fields,
    _replace,
    "meter-replaced",
    None,
    "What the old one showed is kept, and the total runs on.",
    "replace a meter",
)
