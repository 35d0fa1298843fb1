"""Work on an aircraft, and what was done to it that is no work, as forms."""

from __future__ import annotations

from typing import Any

from gyrewright.desk.book.kinds import upkeep as kinds
from gyrewright.desk.book.record import Kept, Recorded
from gyrewright.desk.pages.forms.fields import (
    CHOICE,
    LONG,
    SEVERAL,
    Field,
    Given,
    local_text,
    moment,
    paper,
    yes_no,
)
from gyrewright.desk.pages.forms.form import Form, Scene
from gyrewright.desk.refusal import Refused
from gyrewright.desk.services import state, upkeep
from gyrewright.desk.services.due import house_of

READING, DUE = "reading.", "due."


def _work_fields(scene: Scene) -> tuple[Field, ...]:
    areas = dict.fromkeys((*upkeep.AREAS, *sorted(house_of(scene.at).second_look_areas)))
    return (
        Field("what", "What was done", LONG, hint="as the log will have it", required=True, is_wide=True),
        Field(
            "areas",
            "What it touched",
            SEVERAL,
            choices=tuple((each, each) for each in areas),
            required=True,
            is_wide=True,
        ),
        Field(
            "workers", "Everybody who had a hand in it", SEVERAL, choices=scene.persons(), required=True, is_wide=True
        ),
        Field(
            "changes_handling",
            "Could it change how the aircraft flies?",
            CHOICE,
            choices=yes_no(),
            hint="left open, it is asked before a flight",
        ),
        moment("done_at", "Finished at", now=scene.at, zone=scene.zone),
        paper(),
    )


def _work(scene: Scene, given: Given) -> Kept:
    act = kinds.WorkDone(
        what=given.text("what"),
        areas=given.several("areas"),
        workers=given.several("workers"),
        changes_handling=given.said("changes_handling"),
        photos=scene.earlier.act.photos if scene.earlier is not None else (),
        from_paper=given.text("from_paper"),
    )
    return upkeep.enter_work(
        id=scene.id,
        aircraft=scene.about,
        act=act,
        by=scene.by,
        done_at=given.moment("done_at"),
        corrects=scene.corrects,
    )


def _fill_work(record: Recorded) -> dict[str, Any]:
    act: kinds.WorkDone = record.act
    said = {True: "yes", False: "no", None: ""}[act.changes_handling]
    return {
        "what": act.what,
        "areas": act.areas,
        "workers": act.workers,
        "changes_handling": said,
        "done_at": local_text(record.done_at, state.zone()),
        "from_paper": act.from_paper,
    }


def _open_work(scene: Scene) -> Field:
    rows: Any = scene.tables.get("work", [])
    choices = tuple((row["id"], f"{row['what']}, {row['at'].astimezone(scene.zone):%-d %b %Y}") for row in rows)
    return Field(
        "work", "Work", CHOICE, choices=choices, required=True, is_wide=True, value=scene.chosen.get("work", "")
    )


def _signing_fields(scene: Scene) -> tuple[Field, ...]:
    return (
        _open_work(scene),
        Field("reference", "Where the signed entry stands", hint="log, page, line", is_wide=True),
    )


def _sign(scene: Scene, given: Given) -> Kept:
    reference = given.text("reference")
    if not reference:
        raise Refused("say where the signed entry stands: this records that it exists, and is not the entry itself")
    return upkeep.sign_work(
        id=scene.id, aircraft=scene.about, work=given.text("work"), reference=reference, by=scene.by
    )


def _looking_fields(scene: Scene) -> tuple[Field, ...]:
    return (_open_work(scene), Field("found", "What you looked at, and found", LONG, required=True, is_wide=True))


def _look(scene: Scene, given: Given) -> Kept:
    return upkeep.look_again(
        id=scene.id, aircraft=scene.about, work=given.text("work"), found=given.text("found"), by=scene.by
    )


def _flying_fields(scene: Scene) -> tuple[Field, ...]:
    return (
        _open_work(scene),
        Field(
            "result", "It flew", CHOICE, choices=(("good", "as it should"), ("bad", "not as it should")), required=True
        ),
        moment("done_at", "Landed at", now=scene.at, zone=scene.zone),
        Field("found", "What it was like", LONG, is_wide=True),
    )


def _fly(scene: Scene, given: Given) -> Kept:
    return upkeep.fly_check(
        id=scene.id,
        aircraft=scene.about,
        work=given.text("work"),
        result="good" if given.text("result") == "good" else "bad",
        found=given.text("found"),
        by=scene.by,
        done_at=given.moment("done_at"),
    )


def _touch_fields(scene: Scene) -> tuple[Field, ...]:
    return (
        Field("what", "What was done", hint="such as: fueled; off the trailer; covers on", required=True, is_wide=True),
        Field("fuel", "Fuel added", hint="such as 22 L"),
        Field("oil", "Oil added", hint="such as 0.2 L"),
        Field("ballast", "Ballast now in place", hint="such as 6 kg"),
        moment("done_at", "At", now=scene.at, zone=scene.zone),
    )


def _touch(scene: Scene, given: Given) -> Kept:
    act = kinds.Touched(
        what=given.text("what"), fuel=given.text("fuel"), oil=given.text("oil"), ballast=given.text("ballast")
    )
    return upkeep.note_touch(
        id=scene.id,
        aircraft=scene.about,
        act=act,
        by=scene.by,
        done_at=given.moment("done_at"),
        corrects=scene.corrects,
    )


def _fill_touch(record: Recorded) -> dict[str, Any]:
    act: kinds.Touched = record.act
    out = {name: getattr(act, name) for name in ("what", "fuel", "oil", "ballast")}
    return out | {"done_at": local_text(record.done_at, state.zone())}


WORK = Form(
    "work",
    "Work was done",
    "Enter the work",
    _work_fields,
    _work,
    "work-done",
    _fill_work,
    "Until somebody entitled has signed it, and somebody else has looked where that is asked for, it stands open.",
    "enter work",
)
SIGNED = Form(
    "signed",
    "I have signed the entry for a work",
    "I have signed it",
    _signing_fields,
    _sign,
    "work-signed",
    None,
    "This records that your signed entry exists. It is not the entry.",
    "sign work",
)
SECOND = Form(
    "second-look",
    "I have looked at finished work",
    "I found it right",
    _looking_fields,
    _look,
    "second-look",
    None,
    "Only somebody who neither did nor signed the work. What you would not fly behind, report as a defect instead.",
    "second look",
)
CHECK = Form(
    "check-flight",
    "I flew a check flight",
    "Enter it",
    _flying_fields,
    _fly,
    "check-flown",
    None,
    "Alone, on the home circuit, in light wind, by the card for after maintenance.",
    "fly a check flight",
)
TOUCHED = Form(
    "touched",
    "Fuel, oil or covers",
    "Note it",
    _touch_fields,
    _touch,
    "touched",
    _fill_touch,
    "What was done to the aircraft that is no work and no flight. Whoever walks round next is told.",
    "note what was done to an aircraft",
)
