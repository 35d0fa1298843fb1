"""What people enter about an aircraft's upkeep: meters, tasks, notices, parts, work, and what was done to it.

Every act is checked against the table of acts, tried on the books, recorded, and ends the releases that it changes.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date, datetime, time, timedelta
from typing import Any, Literal

from gyrewright.desk import clock
from gyrewright.desk.book.kinds import upkeep
from gyrewright.desk.book.reading import record_with_id
from gyrewright.desk.book.record import Entry, Kept
from gyrewright.desk.book.writing import append
from gyrewright.desk.refusal import Refused
from gyrewright.desk.services import state
from gyrewright.desk.services.entitling import require
from gyrewright.desk.services.people import all_people
from gyrewright.desk.services.releases import supersede
from gyrewright.desk.services.trying import aircraft_with, done_on
from gyrewright.errors import UnitError
from gyrewright.maintenance import Program
from gyrewright.maintenance.meters import Meter
from gyrewright.maintenance.program import Task
from gyrewright.units import parse_quantity

AREAS = ("rotor", "controls", "propeller", "engine", "fuel", "gear", "structure", "electrical", "seats and belts")
"""Areas that work may have touched; a house may name more."""


def keep(entries: Sequence[Entry], *, aircraft: str, by: str) -> list[Kept]:
    """Try entries about an aircraft, record them, and end what rested on something else."""
    aircraft_with(entries, aircraft=aircraft)
    kept = append(entries)
    supersede(by=by)
    return kept


def _one(act: Any, *, id: str, aircraft: str, by: str, done_at: datetime | None = None, corrects: str = "") -> Kept:
    entry = Entry(id, act, done_at or clock.now(), by, aircraft, corrects)
    return keep([entry], aircraft=aircraft, by=by)[0]


def _not_ahead(day: date | None, what: str) -> None:
    """Refuse a day that is still to come."""
    if day is not None and day > clock.now().astimezone(state.zone()).date():
        raise Refused(f"{day} is still to come; {what} is entered once it is done")


def program_of(aircraft: str) -> Program:
    """Return an aircraft's program.

    Raises:
        Refused: None has been entered.
    """
    program = state.machine(aircraft, clock.now()).aircraft.program
    if program is None:
        raise Refused("this aircraft has no maintenance program yet; enter its file first")
    return program


def task_of(aircraft: str, task: str) -> Task:
    """Return a task of an aircraft's program.

    Raises:
        Refused: There is no program, or it has no such task.
    """
    found = program_of(aircraft).named(task)
    if found is None:
        raise Refused(f"{task or 'an empty name'!r} is no task of this aircraft's program; choose one of its list")
    return found


# --- meters -----------------------------------------------------------------------------------------------------------


def read_meters(
    *,
    ids: Mapping[str, str],
    aircraft: str,
    readings: Mapping[str, str],
    by: str,
    done_at: datetime | None = None,
    from_paper: str = "",
    corrects: str = "",
) -> list[Kept]:
    """Record what named meters showed.

    Args:
        ids: An id for each meter that was read.
        aircraft: The aircraft.
        readings: What each showed, with its unit.
        by: Who read them.
        done_at: When; now where it is left out.
        from_paper: The log and page they were copied from.
        corrects: The earlier reading that the one reading takes the place of.

    Raises:
        Refused: Nothing was read, a meter is not there, or one would run backwards.
    """
    require("read a meter", person=by, aircraft=aircraft)
    if not readings:
        raise Refused("write what at least one meter shows, such as 487.3 h")
    at = done_at or clock.now()
    for meter, shows in readings.items():
        _check_reading(aircraft, meter, shows, at, corrects)
    entries = [
        Entry(ids[meter], upkeep.MeterRead(meter=meter, shows=shows, from_paper=from_paper), at, by, aircraft, corrects)
        for meter, shows in readings.items()
    ]
    return keep(entries, aircraft=aircraft, by=by)


def _check_reading(aircraft: str, meter: str, shows: str, at: datetime, corrects: str) -> None:
    """Refuse a reading that runs backwards, in words that name the reading it runs against."""
    records = state.machine(aircraft, clock.now()).aircraft.records
    meters = records.history.meters if records is not None else {}
    if meter not in meters:
        raise Refused(f"this aircraft has no meter {meter!r}; it has: {', '.join(sorted(meters)) or 'none yet'}")
    found = meters[meter]
    value = _amount(meter, shows, found.counts)
    rows = state.machine(aircraft, clock.now()).tables.books.get("meter", ())
    row: dict[str, Any] = next((each for each in rows if each["name"] == meter), {})
    changed = max((each["at"] for each in row.get("replaced", ()) if each["at"] <= at), default=None)
    later = min((each["at"] for each in row.get("replaced", ()) if each["at"] > at), default=None)
    # Only readings of the same instrument can be compared as they were shown.
    same = [
        each
        for each in found.readings
        if each.id != corrects and (changed is None or each.at > changed) and (later is None or each.at < later)
    ]
    against = [
        each
        for each in same
        if (each.at <= at and each.shows > value + 1e-9) or (each.at > at and each.shows < value - 1e-9)
    ]
    if against:
        each = min(against, key=lambda one: abs(one.at - at))
        zone, names = state.zone(), all_people()
        who = names[each.by].name if each.by in names else each.by
        when = each.at.astimezone(zone).strftime("%-d %b %Y %H:%M")
        raise Refused(
            f"the {meter} meter showed {each.typed} on {when} ({who or 'nobody named'}); {shows} on "
            f"{at.astimezone(zone).strftime('%-d %b %Y %H:%M')} would run backwards. Read it again; if the earlier "
            "reading is wrong, correct that one, and if the meter was exchanged, enter the exchange"
        )


def _amount(meter: str, shows: str, counts: str) -> float:
    dimension = "time" if counts == "hours" else "count"
    try:
        return parse_quantity(dimension, shows).value
    except UnitError as error:
        raise Refused(f"the {meter} meter: {error}") from None


def replace_meter(
    *,
    id: str,
    aircraft: str,
    meter: str,
    old_shows: str,
    new_shows: str,
    why: str,
    by: str,
    done_at: datetime,
    from_paper: str = "",
) -> Kept:
    """Record that a meter was taken out, what it showed, and what its successor showed."""
    require("replace a meter", person=by, aircraft=aircraft)
    _check_reading(aircraft, meter, old_shows, done_at, "")
    act = upkeep.MeterReplaced(meter=meter, old_shows=old_shows, new_shows=new_shows, why=why, from_paper=from_paper)
    return _one(act, id=id, aircraft=aircraft, by=by, done_at=done_at)


# --- tasks, directives, notices ---------------------------------------------------------------------------------------


def enter_task_done(*, id: str, aircraft: str, act: upkeep.TaskDone, by: str, corrects: str = "") -> Kept:
    """Record that a task was done; without a signature it is a claim, and the due list says so.

    Raises:
        NotAllowed: Whoever enters it may not, or signs what only others may sign.
        Refused: It names no day, a task or meter that is not there, a reading beyond the meter on that day, or
            another's signature without the page it stands on.
    """
    require("enter a task done", person=by, aircraft=aircraft)
    task = task_of(aircraft, act.task)
    if act.on is None and not act.not_applicable:
        raise Refused("say on which day it was done")
    _not_ahead(act.on, "a task")
    if act.signed_by == by and task.act:
        require(task.act, person=by, aircraft=aircraft)
    if act.signed_by and act.signed_by != by and not (act.from_paper or act.reference):
        raise Refused(
            "another's signature is entered only with where it stands: write the paper log's page, or the reference"
        )
    records = state.machine(aircraft, clock.now()).aircraft.records
    meters = records.history.meters if records is not None else {}
    for meter, shows in act.at.items():
        if meter not in meters:
            raise Refused(f"this aircraft has no meter {meter!r}")
        _not_beyond(meters[meter], shows, act.on)
    for meter, shows in act.was_due.items():
        _amount(meter, shows, meters[meter].counts if meter in meters else "hours")
    done_at = done_on(act.on) if act.on is not None else None
    return _one(act, id=id, aircraft=aircraft, by=by, done_at=done_at, corrects=corrects)


def _not_beyond(meter: Meter, shows: str, on: date | None) -> None:
    """Refuse what a meter cannot have had: more than its last reading, or than it showed once that day was over."""
    done, bound = _amount(meter.name, shows, meter.counts), meter.latest
    if on is not None:
        over = datetime.combine(on + timedelta(days=1), time(), state.zone())
        bound = next((each for each in meter.readings if each.at >= over), bound)
    if bound is None or done <= bound.total + 1e-9:
        return
    if bound is meter.latest:
        then = f"has ever had ({bound.total:g} at the last reading); read the meter first, or check the number"
    else:
        after = bound.at.astimezone(state.zone()).date()
        then = f"can have had on {on} ({bound.total:g} when it was read on {after}); check the number and the day"
    raise Refused(f"{shows} is more than the {meter.name} meter {then}")


def decide_notice(
    *, id: str, aircraft: str, task: str, decided: Literal["follow", "decline"], reason: str, on: date, by: str
) -> Kept:
    """Record what the operator decided about a notice that its maker only recommends."""
    require("decide on a notice", person=by, aircraft=aircraft)
    if task_of(aircraft, task).kind != "notice":
        raise Refused("only a maker's notice is decided upon; everything else of the program has to be done")
    _not_ahead(on, "a decision")
    if not reason:
        raise Refused("a decision needs its reason; write it for whoever asks in three years")
    act = upkeep.NoticeDecided(task=task, decided=decided, on=on, reason=reason)
    return _one(act, id=id, aircraft=aircraft, by=by, done_at=done_on(on))


def read_directives(*, id: str, aircraft: str, on: date, by: str) -> Kept:
    """Record that the lists of directives and notices were read through for this aircraft."""
    require("read the directives", person=by, aircraft=aircraft)
    _not_ahead(on, "reading")
    return _one(upkeep.DirectivesRead(on=on), id=id, aircraft=aircraft, by=by, done_at=done_on(on))


def note_share(*, id: str, aircraft: str, of: str, share: str, by: str) -> Kept:
    """Record a share that an interval hangs on, such as that of leaded fuel."""
    require("note a share", person=by, aircraft=aircraft)
    known = {clock.share for task in program_of(aircraft).tasks for clock in task.clocks if clock.share}
    if of not in known:
        raise Refused(f"no interval of this aircraft hangs on {of!r}; shares that do: {', '.join(sorted(known))}")
    return _one(upkeep.ShareNoted(of=of, share=share), id=id, aircraft=aircraft, by=by)


# --- parts ------------------------------------------------------------------------------------------------------------


def fit_part(*, id: str, aircraft: str, act: upkeep.PartFitted, by: str, corrects: str = "") -> Kept:
    """Record that a part came onto an aircraft, with what it had used by then.

    Raises:
        Refused: It is on another aircraft still, came off with more than it goes on with, or lacks a meter.
    """
    require("fit or remove a part", person=by, aircraft=aircraft)
    _not_ahead(act.on, "a part")
    if (act.meter_at or act.own) and not act.meter:
        raise Refused("say on which meter of the aircraft the part's hours run")
    return _one(act, id=id, aircraft=aircraft, by=by, done_at=done_on(act.on), corrects=corrects)


def remove_part(*, id: str, aircraft: str, act: upkeep.PartRemoved, by: str, corrects: str = "") -> Kept:
    """Record that a part came off an aircraft, with what it had used by then."""
    require("fit or remove a part", person=by, aircraft=aircraft)
    _not_ahead(act.off, "a removal")
    records = state.machine(aircraft, clock.now()).aircraft.records
    parts = records.history.parts if records is not None else ()
    fitted = [each for each in parts if (each.name, each.serial) == (act.name, act.serial)]
    if not corrects and not any(each.fitted_to(aircraft) for each in fitted):
        raise Refused(f"{act.name} {act.serial!r} is not on this aircraft by its records")
    return _one(act, id=id, aircraft=aircraft, by=by, done_at=done_on(act.off), corrects=corrects)


# --- work -------------------------------------------------------------------------------------------------------------


def enter_work(
    *, id: str, aircraft: str, act: upkeep.WorkDone, by: str, done_at: datetime | None = None, corrects: str = ""
) -> Kept:
    """Record work on an aircraft, which areas it touched, and everybody who had a hand in it."""
    require("enter work", person=by, aircraft=aircraft)
    if not act.what:
        raise Refused("say what was done, as the log will have it")
    if not act.areas:
        raise Refused("say which areas the work touched: the second look and the check flight hang on that")
    return _one(act, id=id, aircraft=aircraft, by=by, done_at=done_at, corrects=corrects)


def _work(work: str, aircraft: str) -> Any:
    found = record_with_id(work)
    if not isinstance(found.act, upkeep.WorkDone) or found.about != aircraft:
        raise Refused("this is no work on this aircraft; choose one of its list")
    return found


def sign_work(*, id: str, aircraft: str, work: str, reference: str, by: str) -> Kept:
    """Record that the person who acts signed the entry for a work. It records that it exists; it is not the entry."""
    require("sign work", person=by, aircraft=aircraft)
    _work(work, aircraft)
    return _one(upkeep.WorkSigned(work=work, reference=reference), id=id, aircraft=aircraft, by=by)


def look_again(*, id: str, aircraft: str, work: str, found: str, by: str) -> Kept:
    """Record that another qualified person looked at finished work and found it right.

    Raises:
        NotAllowed: The person did the work or signed it, or is not qualified.
    """
    done = _work(work, aircraft)
    hands = {*(done.act.workers or (done.by,))}
    tables = state.machine(aircraft, clock.now()).tables.books.get("work", ())
    hands |= {row["signed"]["by"] for row in tables if row["id"] == work and "signed" in row}
    require("second look", person=by, aircraft=aircraft, relations={"worker": by if by in hands else ""})
    return _one(upkeep.SecondLook(work=work, found=found), id=id, aircraft=aircraft, by=by)


def fly_check(
    *,
    id: str,
    aircraft: str,
    work: str,
    result: Literal["good", "bad"],
    found: str,
    by: str,
    done_at: datetime | None = None,
) -> Kept:
    """Record the check flight after work that may have changed how the aircraft flies."""
    require("fly a check flight", person=by, aircraft=aircraft)
    _work(work, aircraft)
    if result == "bad" and not found:
        raise Refused("say what was not good; it stays on the aircraft until somebody has seen to it")
    act = upkeep.CheckFlown(work=work, result=result, found=found)
    return _one(act, id=id, aircraft=aircraft, by=by, done_at=done_at)


def note_touch(
    *, id: str, aircraft: str, act: upkeep.Touched, by: str, done_at: datetime | None = None, corrects: str = ""
) -> Kept:
    """Record what was done to the aircraft that is no work and no flight: fuel, oil, ballast, covers, trailer."""
    require("note what was done to an aircraft", person=by, aircraft=aircraft)
    if not act.what:
        raise Refused("say what was done, such as: 22 L added, or: off the trailer")
    return _one(act, id=id, aircraft=aircraft, by=by, done_at=done_at, corrects=corrects)


def keep_paper(*, id: str, aircraft: str, act: upkeep.AircraftPaper, by: str, corrects: str = "") -> Kept:
    """Record a paper of the aircraft as it was in hand, and until when it counts."""
    require("keep an aircraft's papers", person=by, aircraft=aircraft)
    if not act.name:
        raise Refused("say which paper it is")
    if act.expires_on is not None and act.never_expires:
        raise Refused("it cannot both end on a day and never end; leave one of the two out")
    return _one(act, id=id, aircraft=aircraft, by=by, corrects=corrects)
