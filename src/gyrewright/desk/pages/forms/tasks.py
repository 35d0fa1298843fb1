"""Tasks done, directives read, notices decided and shares noted, as forms."""

from __future__ import annotations

from datetime import date
from typing import Any

from gyrewright.desk.book.kinds import upkeep as kinds
from gyrewright.desk.book.record import Kept, Recorded
from gyrewright.desk.pages.forms.fields import (
    CHOICE,
    DAY,
    LONG,
    Field,
    Given,
    paper,
)
from gyrewright.desk.pages.forms.form import Form, Scene
from gyrewright.desk.pages.forms.meters import meters_of, shown
from gyrewright.desk.pages.forms.shared import day, today
from gyrewright.desk.services import upkeep
from gyrewright.desk.services.due import next_due
from gyrewright.words.numbers import digits

READING, DUE = "reading.", "due."


def _task(scene: Scene) -> str:
    return scene.earlier.act.task if scene.earlier is not None else scene.chosen.get("task", "")


def _done_fields(scene: Scene) -> tuple[Field, ...]:
    task = upkeep.task_of(scene.about, _task(scene))
    meters = meters_of(scene)
    counted = dict.fromkeys(each.meter for each in task.clocks if each.meter)
    asks_due = {each.meter for each in task.clocks if any(one.asks_when_due for one in each.variations)}
    due = _count_of_desk(scene, task.id)
    fields = [Field("on", "Done on", DAY, required=not task.act, hint="the day as its entry says")]
    for meter in counted:
        hint = shown(meters[meter]) if meter in meters else "this meter is not known yet"
        fields.append(Field(f"{READING}{meter}", f"{meter.capitalize()} meter then", hint=hint))
        if meter in asks_due:
            fields.append(Field(f"{DUE}{meter}", f"Had been due at ({meter})", hint=due.get(meter, "as the log says")))
    if "" in asks_due:
        fields.append(Field("was_due_on", "Had been due on", DAY, hint=due.get("", "as the log says")))
    people = scene.persons()
    fields += [
        Field("worker", "Who did it", CHOICE, choices=people),
        Field(
            "signed_by", "Who signed its entry", CHOICE, choices=people, hint="without a signature it is only a claim"
        ),
        Field("reference", "Entry or work order", hint="where the signed entry can be found"),
        paper(),
        Field("not_applicable", "Or: does not apply, because", hint="for this serial number", is_wide=True),
        Field("beyond_by", "Flights flown past due were signed for by", CHOICE, choices=people),
    ]
    return tuple(fields)


def _count_of_desk(scene: Scene, task: str) -> dict[str, str]:
    """Return when a task had been due by this desk's own count, by meter: a hint beside the field, and no answer."""
    out = {}
    for each in next_due(scene.machine, at=scene.at, purpose="instruction"):
        if each.due.task.id == task and each.due.binding is not None:
            value = each.due.binding.due
            text = value.isoformat() if isinstance(value, date) else f"{digits(value, 1)} {each.due.unit}"
            out.setdefault(each.due.clock.meter, f"by this desk's count {text}")
    return out


def _do(scene: Scene, given: Given) -> Kept:
    meters = meters_of(scene)
    at = {name: text for name in meters if (text := given.text(f"{READING}{name}"))}
    was_due = {name: text for name in meters if (text := given.text(f"{DUE}{name}"))}
    act = kinds.TaskDone(
        task=_task(scene),
        on=given.day("on"),
        at=at,
        was_due=was_due,
        was_due_on=given.day("was_due_on"),
        worker=given.text("worker"),
        signed_by=given.text("signed_by"),
        reference=given.text("reference"),
        not_applicable=given.text("not_applicable"),
        beyond_by=given.text("beyond_by"),
        photos=scene.earlier.act.photos if scene.earlier is not None else (),
        from_paper=given.text("from_paper"),
    )
    return upkeep.enter_task_done(id=scene.id, aircraft=scene.about, act=act, by=scene.by, corrects=scene.corrects)


def _fill_done(record: Recorded) -> dict[str, Any]:
    act: kinds.TaskDone = record.act
    out = {name: getattr(act, name) for name in ("worker", "signed_by", "reference", "not_applicable", "beyond_by")}
    out |= {"from_paper": act.from_paper, "on": act.on.isoformat() if act.on else ""}
    out |= {"was_due_on": act.was_due_on.isoformat() if act.was_due_on else ""}
    out |= {f"{READING}{name}": shows for name, shows in act.at.items()}
    return out | {f"{DUE}{name}": shows for name, shows in act.was_due.items()}


def _deciding_fields(scene: Scene) -> tuple[Field, ...]:
    program = scene.machine.program
    notices = tuple((each.id, each.name) for each in program.tasks if each.kind == "notice") if program else ()
    return (
        Field("task", "Notice", CHOICE, choices=notices, required=True, value=scene.chosen.get("task", "")),
        Field("decided", "We", CHOICE, choices=(("follow", "follow it"), ("decline", "decline it")), required=True),
        Field("on", "Decided on", DAY, required=True, value=today(scene)),
        Field("reason", "Because", LONG, required=True, is_wide=True),
    )


def _decide(scene: Scene, given: Given) -> Kept:
    return upkeep.decide_notice(
        id=scene.id,
        aircraft=scene.about,
        task=given.text("task"),
        decided="follow" if given.text("decided") == "follow" else "decline",
        reason=given.text("reason"),
        on=day(given, "on"),
        by=scene.by,
    )


def _directives_fields(scene: Scene) -> tuple[Field, ...]:
    return (Field("on", "Read through on", DAY, required=True, value=today(scene)),)


def _read_directives(scene: Scene, given: Given) -> Kept:
    return upkeep.read_directives(id=scene.id, aircraft=scene.about, on=day(given, "on"), by=scene.by)


def _share_fields(scene: Scene) -> tuple[Field, ...]:
    program = scene.machine.program
    shares = sorted({each.share for task in program.tasks for each in task.clocks if each.share}) if program else ()
    return (
        Field("of", "Share of", CHOICE, choices=tuple((each, each) for each in shares), required=True),
        Field("share", "Now", hint="such as 34 %", required=True),
    )


def _note_share(scene: Scene, given: Given) -> Kept:
    return upkeep.note_share(
        id=scene.id, aircraft=scene.about, of=given.text("of"), share=given.text("share"), by=scene.by
    )


def pick_tasks(scene: Scene) -> tuple[tuple[str, str, str], ...]:
    """Return the tasks of the program to choose one from: id, name, kind."""
    program = scene.machine.program
    return tuple((each.id, each.name, each.kind) for each in program.tasks) if program is not None else ()


DONE = Form(
    "done",
    "A task was done",
    "Enter it",
    _done_fields,
    _do,
    "task-done",
    _fill_done,
    "This records that a signed entry exists and where. It is not the entry, and returns nothing to service.",
    "enter a task done",
)
DECIDED = Form(
    "notice",
    "Decide on a maker's notice",
    "This is our decision",
    _deciding_fields,
    _decide,
    "notice-decided",
    None,
    "A notice that its maker only recommends is followed or declined by whoever answers for the aircraft, in writing.",
    "decide on a notice",
)
DIRECTIVES = Form(
    "directives",
    "Directives and notices were read through",
    "I have read them through",
    _directives_fields,
    _read_directives,
    "directives-read",
    None,
    "For airframe, engine, propeller, rotor, and every part with a number of its own. A new one goes into the program.",
    "read the directives",
)
SHARE = Form(
    "share",
    "A share that an interval hangs on",
    "Note it",
    _share_fields,
    _note_share,
    "share-noted",
    None,
    "Some intervals are shorter above a share, such as that of leaded fuel.",
    "note a share",
)
