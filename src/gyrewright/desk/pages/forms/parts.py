"""Parts by serial number, and the aircraft's papers, as forms."""

from __future__ import annotations

from typing import Any

from gyrewright.desk.book.kinds import upkeep as kinds
from gyrewright.desk.book.record import Kept, Recorded
from gyrewright.desk.pages.forms.fields import (
    CHOICE,
    DAY,
    FLAG,
    Field,
    Given,
    paper,
    yes_no,
)
from gyrewright.desk.pages.forms.form import Form, Scene
from gyrewright.desk.pages.forms.meters import meters_of
from gyrewright.desk.pages.forms.shared import day
from gyrewright.desk.services import upkeep

READING, DUE = "reading.", "due."


def _part_names(scene: Scene) -> str:
    program = scene.machine.program
    names = sorted({task.part for task in program.tasks if task.part}) if program else []
    return f"the program counts: {', '.join(names)}" if names else ""


def _fitting_fields(scene: Scene) -> tuple[Field, ...]:
    meters = tuple((name, name) for name in meters_of(scene))
    chosen = scene.chosen
    return (
        Field("name", "Part", hint=_part_names(scene), required=True, value=chosen.get("part", "")),
        Field("serial", "Serial number", required=True, value=chosen.get("serial", "")),
        Field("number", "Part number"),
        Field("on", "Fitted on", DAY, required=True),
        Field("made_on", "Made on", DAY, hint="where its life runs from there"),
        Field("meter", "Its hours run on", CHOICE, choices=meters, hint="the aircraft's meter"),
        Field("meter_at", "That meter had, in total", hint="when it was fitted, such as 487.3 h"),
        Field("own", "The part itself had", hint="0.0 h if it is new"),
        paper(),
    )


def _fit(scene: Scene, given: Given) -> Kept:
    act = kinds.PartFitted(
        name=given.text("name"),
        serial=given.text("serial"),
        on=day(given, "on"),
        number=given.text("number"),
        made_on=given.day("made_on"),
        meter=given.text("meter"),
        meter_at=given.text("meter_at"),
        own=given.text("own"),
        from_paper=given.text("from_paper"),
    )
    return upkeep.fit_part(id=scene.id, aircraft=scene.about, act=act, by=scene.by, corrects=scene.corrects)


def _fill_fitted(record: Recorded) -> dict[str, Any]:
    act: kinds.PartFitted = record.act
    out = {name: getattr(act, name) for name in ("name", "serial", "number", "meter", "meter_at", "own", "from_paper")}
    return out | {"on": act.on.isoformat(), "made_on": act.made_on.isoformat() if act.made_on else ""}


def _removing_fields(scene: Scene) -> tuple[Field, ...]:
    records = scene.machine.records
    parts = records.history.parts if records is not None else ()
    fitted = tuple(
        (f"{each.name}|{each.serial}", f"{each.name}, {each.serial}") for each in parts if each.fitted_to(scene.about)
    )
    chosen = f"{scene.chosen.get('part', '')}|{scene.chosen.get('serial', '')}"
    return (
        Field("part", "Part", CHOICE, choices=fitted, required=True, value=chosen),
        Field("off", "Came off on", DAY, required=True),
        Field("own_off", "The part itself had", hint="hours of its own by then, such as 612.4 h"),
        Field("why", "Why", is_wide=True),
        paper(),
    )


def _remove(scene: Scene, given: Given) -> Kept:
    name, _, serial = given.text("part").partition("|")
    act = kinds.PartRemoved(
        name=name,
        serial=serial,
        off=day(given, "off"),
        own_off=given.text("own_off"),
        why=given.text("why"),
        from_paper=given.text("from_paper"),
    )
    return upkeep.remove_part(id=scene.id, aircraft=scene.about, act=act, by=scene.by)


def _paper_fields(scene: Scene) -> tuple[Field, ...]:
    program = scene.machine.program
    asked = ", ".join(program.papers) if program else ""
    return (
        Field(
            "name",
            "Paper",
            hint=f"the program asks for: {asked}" if asked else "",
            required=True,
            value=scene.chosen.get("paper", ""),
            is_wide=True,
        ),
        Field("expires_on", "Counts until", DAY),
        Field("never_expires", "It never ends", FLAG),
        Field("aboard", "Aboard", CHOICE, choices=yes_no(), hint="left open, it is not known"),
        Field("reference", "Number or reference"),
        paper(),
    )


def _keep_paper(scene: Scene, given: Given) -> Kept:
    act = kinds.AircraftPaper(
        name=given.text("name"),
        expires_on=given.day("expires_on"),
        never_expires=given.flag("never_expires"),
        aboard=given.said("aboard"),
        reference=given.text("reference"),
        photos=scene.earlier.act.photos if scene.earlier is not None else (),
        from_paper=given.text("from_paper"),
    )
    return upkeep.keep_paper(id=scene.id, aircraft=scene.about, act=act, by=scene.by, corrects=scene.corrects)


def _fill_paper(record: Recorded) -> dict[str, Any]:
    act: kinds.AircraftPaper = record.act
    return {
        "name": act.name,
        "expires_on": act.expires_on.isoformat() if act.expires_on else "",
        "never_expires": "yes" if act.never_expires else "",
        "aboard": {True: "yes", False: "no", None: ""}[act.aboard],
        "reference": act.reference,
        "from_paper": act.from_paper,
    }


FITTED = Form(
    "part-fitted",
    "A part came onto the aircraft",
    "It is fitted",
    _fitting_fields,
    _fit,
    "part-fitted",
    _fill_fitted,
    "A part brings its own hours along, from whatever aircraft it was on before.",
    "fit or remove a part",
)
REMOVED = Form(
    "part-removed",
    "A part came off the aircraft",
    "It is off",
    _removing_fields,
    _remove,
    "part-removed",
    None,
    "It keeps its own hours, and takes them to wherever it is fitted next.",
    "fit or remove a part",
)
PAPER = Form(
    "paper",
    "A paper of the aircraft",
    "Enter it",
    _paper_fields,
    _keep_paper,
    "aircraft-paper",
    _fill_paper,
    "A newer one of the same name takes the older one's place.",
    "keep an aircraft's papers",
)
