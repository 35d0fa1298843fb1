"""The acts of the Upkeep page as forms."""

from __future__ import annotations

from datetime import date
from typing import Any
from uuid import UUID, uuid5

from gyrewright.desk.book.kinds import upkeep as kinds
from gyrewright.desk.book.record import Kept, Recorded
from gyrewright.desk.pages.forms.fields import (
    CHOICE,
    DAY,
    FLAG,
    LONG,
    SEVERAL,
    Field,
    Given,
    local_text,
    moment,
    paper,
    yes_no,
)
from gyrewright.desk.pages.forms.form import Form, Scene, by_name
from gyrewright.desk.refusal import Refused
from gyrewright.desk.services import state, upkeep
from gyrewright.desk.services.due import house_of, next_due
from gyrewright.maintenance.meters import Meter
from gyrewright.words.numbers import digits

_READING, _DUE = "reading.", "due."


def _meters(scene: Scene) -> dict[str, Meter]:
    records = scene.machine.records
    return dict(records.history.meters) if records is not None else {}


def _shown(meter: Meter) -> str:
    latest = meter.latest
    return f"last read {latest.typed}" if latest is not None else "never read"


def _today(scene: Scene) -> str:
    return scene.at.astimezone(scene.zone).date().isoformat()


def _day(given: Given, name: str) -> date:
    found = given.day(name)
    if found is None:
        raise Refused("say on which day")
    return found


# --- meters -----------------------------------------------------------------------------------------------------------


def _reading_fields(scene: Scene) -> tuple[Field, ...]:
    at = moment("done_at", "Read at", now=scene.at, zone=scene.zone)
    if scene.earlier is not None:
        meter = scene.earlier.act.meter
        return (Field("shows", f"{meter.capitalize()} meter showed", required=True), at, paper())
    meters = [
        Field(f"{_READING}{name}", f"{name.capitalize()} meter shows", hint=_shown(meter))
        for name, meter in _meters(scene).items()
    ]
    return (*meters, at, paper())


def _read(scene: Scene, given: Given) -> Kept:
    if scene.earlier is not None:
        readings = {scene.earlier.act.meter: given.text("shows")}
    else:
        typed = ((name, given.text(f"{_READING}{name}")) for name in _meters(scene))
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
    choices = tuple((name, name) for name in _meters(scene))
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


# --- tasks ------------------------------------------------------------------------------------------------------------


def _task(scene: Scene) -> str:
    return scene.earlier.act.task if scene.earlier is not None else scene.chosen.get("task", "")


def _done_fields(scene: Scene) -> tuple[Field, ...]:
    task = upkeep.task_of(scene.about, _task(scene))
    meters = _meters(scene)
    counted = dict.fromkeys(each.meter for each in task.clocks if each.meter)
    asks_due = {each.meter for each in task.clocks if any(one.asks_when_due for one in each.variations)}
    due = _count_of_desk(scene, task.id)
    fields = [Field("on", "Done on", DAY, required=not task.act, hint="the day as its entry says")]
    for meter in counted:
        hint = _shown(meters[meter]) if meter in meters else "this meter is not known yet"
        fields.append(Field(f"{_READING}{meter}", f"{meter.capitalize()} meter then", hint=hint))
        if meter in asks_due:
            fields.append(Field(f"{_DUE}{meter}", f"Had been due at ({meter})", hint=due.get(meter, "as the log says")))
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
    meters = _meters(scene)
    at = {name: text for name in meters if (text := given.text(f"{_READING}{name}"))}
    was_due = {name: text for name in meters if (text := given.text(f"{_DUE}{name}"))}
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
    out |= {f"{_READING}{name}": shows for name, shows in act.at.items()}
    return out | {f"{_DUE}{name}": shows for name, shows in act.was_due.items()}


# --- directives and notices -------------------------------------------------------------------------------------------


def _deciding_fields(scene: Scene) -> tuple[Field, ...]:
    program = scene.machine.program
    notices = tuple((each.id, each.name) for each in program.tasks if each.kind == "notice") if program else ()
    return (
        Field("task", "Notice", CHOICE, choices=notices, required=True, value=scene.chosen.get("task", "")),
        Field("decided", "We", CHOICE, choices=(("follow", "follow it"), ("decline", "decline it")), required=True),
        Field("on", "Decided on", DAY, required=True, value=_today(scene)),
        Field("reason", "Because", LONG, required=True, is_wide=True),
    )


def _decide(scene: Scene, given: Given) -> Kept:
    return upkeep.decide_notice(
        id=scene.id,
        aircraft=scene.about,
        task=given.text("task"),
        decided="follow" if given.text("decided") == "follow" else "decline",
        reason=given.text("reason"),
        on=_day(given, "on"),
        by=scene.by,
    )


def _directives_fields(scene: Scene) -> tuple[Field, ...]:
    return (Field("on", "Read through on", DAY, required=True, value=_today(scene)),)


def _read_directives(scene: Scene, given: Given) -> Kept:
    return upkeep.read_directives(id=scene.id, aircraft=scene.about, on=_day(given, "on"), by=scene.by)


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


# --- parts ------------------------------------------------------------------------------------------------------------


def _part_names(scene: Scene) -> str:
    program = scene.machine.program
    names = sorted({task.part for task in program.tasks if task.part}) if program else []
    return f"the program counts: {', '.join(names)}" if names else ""


def _fitting_fields(scene: Scene) -> tuple[Field, ...]:
    meters = tuple((name, name) for name in _meters(scene))
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
        on=_day(given, "on"),
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
        off=_day(given, "off"),
        own_off=given.text("own_off"),
        why=given.text("why"),
        from_paper=given.text("from_paper"),
    )
    return upkeep.remove_part(id=scene.id, aircraft=scene.about, act=act, by=scene.by)


# --- work -------------------------------------------------------------------------------------------------------------


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


# --- papers -----------------------------------------------------------------------------------------------------------


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

UPKEEP = by_name(
    METERS, REPLACED, DONE, DECIDED, DIRECTIVES, SHARE, FITTED, REMOVED, WORK, SIGNED, SECOND, CHECK, TOUCHED, PAPER
)
"""Every act of upkeep by its name in the address."""


def pick_tasks(scene: Scene) -> tuple[tuple[str, str, str], ...]:
    """Return the tasks of the program to choose one from: id, name, kind."""
    program = scene.machine.program
    return tuple((each.id, each.name, each.kind) for each in program.tasks) if program is not None else ()


__all__ = ["UPKEEP", "pick_tasks"]
