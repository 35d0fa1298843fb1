"""What a law and a house ask of people, papers and the machine, as far as it follows from what the rooms know already.

The law's evaluators ask for facts by name. Some of them are numbers of this flight, some stand in the aircraft's books;
this module says which, so that nobody states twice what is written once.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from datetime import date, datetime
from typing import Any

from gyrewright.air import daylight
from gyrewright.arrays import Num, least
from gyrewright.finding import Limit, Verdict
from gyrewright.inspection.holding import walk
from gyrewright.maintenance.clocks import IN_DATE, OVER, Due
from gyrewright.maintenance.defects import DEFER, Defect, state_of
from gyrewright.maintenance.program import Program
from gyrewright.maintenance.records import History
from gyrewright.maintenance.work import Work
from gyrewright.rules import shapes
from gyrewright.sheet import Partial, Recipe, recipe

Entitled = Mapping[str, frozenset[str]]


# --- the flight -------------------------------------------------------------------------------------------------------


def sunrise_at(sun: daylight.SunTimes) -> datetime | Partial:
    """Return sunrise, as the whole minute after it."""
    return _moment(sun.sun.rises, daylight.later_minute)


def sunset_at(sun: daylight.SunTimes) -> datetime | Partial:
    """Return sunset, as the whole minute before it."""
    return _moment(sun.sun.sets, daylight.earlier_minute)


def dawn_at(sun: daylight.SunTimes) -> datetime | Partial:
    """Return the beginning of morning civil twilight, as the whole minute after it."""
    return _moment(sun.civil.rises, daylight.later_minute)


def dusk_at(sun: daylight.SunTimes) -> datetime | Partial:
    """Return the end of evening civil twilight, as the whole minute before it."""
    return _moment(sun.civil.sets, daylight.earlier_minute)


def _moment(at: datetime | None, careful: Any) -> datetime | Partial:
    return Partial(None, False, "sun_that_day") if at is None else careful(at)


def least_mass_margin_kg(applicable: Mapping[str, tuple[Limit, ...]], take_off_mass_kg: Num) -> Num | Partial:
    """Return how far the take-off mass lies below the lowest limit of law and maker. [kg]"""
    limits = [limit.value for limit in applicable.get("take-off mass", ()) if limit.value is not None]
    if not limits:
        return Partial(0.0, False, "limit:maker:take-off mass")
    return least(*(value - take_off_mass_kg for value in limits))


def least_balance_margin_m(cg_path: Any) -> Num:
    """Return how far inside its limits the center of gravity stays all the way. [m]"""
    return least(cg_path.forward_margin_m, cg_path.aft_margin_m)


def least_station_margin_kg(applicable: Mapping[str, tuple[Limit, ...]], **loads: Num) -> Num | Partial:
    """Return the smallest margin of any station's load to its limits. [kg]"""
    margins = []
    for limit in applicable.get("load", ()):
        if limit.value is not None:
            load = sum(loads[station] for station in limit.on)
            margins.append(limit.value - load if limit.sense.is_upper else load - limit.value)
    return least(*margins) if margins else Partial(0.0, False, "limit:maker:load")


def aircraft_max_mass_kg(applicable: Mapping[str, tuple[Limit, ...]]) -> float | Partial:
    """Return the greatest mass that the maker allows. [kg]"""
    limits = [limit.value for limit in applicable.get("take-off mass", ()) if limit.whose == "maker" and limit.value]
    return min(limits) if limits else Partial(0.0, False, "limit:maker:take-off mass")


# --- the machine ------------------------------------------------------------------------------------------------------


def last_done_on(maintenance_history: History, task: str) -> date | Partial:
    """Return the day on which a task was last done and signed for."""
    days = [each.on for each in maintenance_history.done if each.task == task and each.is_evidence and each.on]
    return max(days) if days else Partial(None, False, f"done:{task}")


def _hours_meter(program: Program, task: str) -> str:
    named = program.named(task)
    return next((clock.meter for clock in named.clocks if clock.meter), "") if named else ""


def time_in_service_h(maintenance_program: Program, maintenance_history: History, hours_task: str) -> float | Partial:
    """Return the total of the meter on which the inspection by hours counts. [h]"""
    name = _hours_meter(maintenance_program, hours_task)
    meter = maintenance_history.meters.get(name)
    return meter.latest.total if meter and meter.latest else Partial(0.0, False, f"meter:{name or hours_task}")


def hours_inspected_at_h(
    maintenance_program: Program, maintenance_history: History, hours_task: str
) -> float | Partial:
    """Return that meter's total when the inspection by hours was last done. [h]"""
    return _last_hours(maintenance_program, maintenance_history, hours_task, "at")


def hours_were_due_at_h(maintenance_program: Program, maintenance_history: History, hours_task: str) -> float | Partial:
    """Return that meter's total when the last inspection by hours was due. [h]"""
    return _last_hours(maintenance_program, maintenance_history, hours_task, "was_due")


def _last_hours(program: Program, history: History, task: str, which: str) -> float | Partial:
    meter = _hours_meter(program, task)
    named = program.named(task)
    tasks = {task, *(named.satisfied_by if named else ())}
    found = [
        (each.on, getattr(each, which)[meter])
        for each in history.done
        if each.task in tasks and each.is_evidence and each.on and meter in getattr(each, which)
    ]
    return max(found)[1] if found else Partial(0.0, False, f"done:{task}")


def _dues(dues: tuple[Due, ...], kind: str) -> tuple[shapes.Due, ...]:
    """Return every clock of a kind as the law asks: by what day and hour; neither where nobody knows."""
    out = []
    for due in dues:
        if due.task.kind != kind:
            continue
        if due.state not in (IN_DATE, OVER) or due.binding is None:
            out.append(shapes.Due(due.task.name))
        elif isinstance(due.binding.due, date):
            out.append(shapes.Due(due.task.name, due_on=due.binding.due))
        else:
            now = due.now if isinstance(due.now, int | float) else None
            out.append(shapes.Due(due.task.name, due_h=float(due.binding.due), now_h=now))
    return tuple(out)


def directives(dues: tuple[Due, ...]) -> tuple[shapes.Due, ...]:
    """Return every directive, and when it must be done."""
    return _dues(dues, "directive")


def life_limits(dues: tuple[Due, ...]) -> tuple[shapes.Due, ...]:
    """Return every life limit, and when it ends."""
    return _dues(dues, "life")


def undeferred_defects(defects: tuple[Defect, ...], entitled: Entitled, asked_at: datetime) -> tuple[str, ...]:
    """Return the defects that are neither mended nor deferred by somebody entitled."""
    return tuple(
        defect.item
        for defect in defects
        if defect.at <= asked_at and state_of(defect, entitled=entitled, at=asked_at).name in ("open", "assessed")
    )


def inoperative(defects: tuple[Defect, ...], entitled: Entitled, asked_at: datetime) -> tuple[shapes.Inoperative, ...]:
    """Return what does not work and has been deferred."""
    out = []
    for defect in defects:
        state = state_of(defect, entitled=entitled, at=asked_at)
        if state.name != "deferred" or state.by_act is None:
            continue
        act = state.by_act
        out.append(
            shapes.Inoperative(
                defect.item,
                required=any(act.required.values()) if act.required else None,
                removed=act.made_safe == "removed" if act.made_safe else None,
                deactivated=act.made_safe == "deactivated" if act.made_safe else None,
                placarded=bool(act.placard),
                entered=True,
                decided_by=act.by,
                decider_entitled=act.by in entitled.get(DEFER, frozenset()),
            )
        )
    return tuple(out)


def work_not_returned(work_done: tuple[Work, ...], entitled: Entitled, asked_at: datetime) -> tuple[str, ...]:
    """Return the work that nobody entitled has signed off."""
    return tuple(each.what for each in work_done if not each.is_signed(entitled=entitled, at=asked_at))


def check_flight_needed(work_done: tuple[Work, ...]) -> bool | Partial:
    """Return whether any work could change how the aircraft flies."""
    if any(each.changes_handling for each in work_done):
        return True
    return (
        Partial(None, False, "changes_handling") if any(each.changes_handling is None for each in work_done) else False
    )


def check_flight_logged(work_done: tuple[Work, ...], entitled: Entitled, asked_at: datetime) -> bool:
    """Return whether every check flight that work asks for has been flown and found good."""
    return all(each.is_flown(entitled=entitled, at=asked_at) for each in work_done if each.changes_handling)


def walk_round_done(
    walks: Any,
    touches: Any,
    markers: Any,
    walk_rules: Any,
    work_done: Any,
    event_locks: Any,
    entitled: Entitled,
    asked_at: datetime,
    depart_at: datetime,
    flight_on: date,
    commander: str,
) -> bool:
    """Return whether every walk-round that the house asks for holds at the start."""
    found = walk.judge(
        walks, touches, markers, walk_rules, work_done, event_locks, entitled, asked_at, depart_at, flight_on, commander
    )
    findings = found if isinstance(found, tuple) else (found,)
    return all(each is None or each.verdict is Verdict.GO for each in findings)


def standing_recipes(stations: tuple[str, ...]) -> Iterator[Recipe]:
    """Yield what the law asks for and the rooms know."""
    for function in (
        sunrise_at,
        sunset_at,
        dawn_at,
        dusk_at,
        least_mass_margin_kg,
        least_balance_margin_m,
        aircraft_max_mass_kg,
        time_in_service_h,
        hours_inspected_at_h,
        hours_were_due_at_h,
        directives,
        life_limits,
        undeferred_defects,
        inoperative,
        work_not_returned,
        check_flight_needed,
        check_flight_logged,
        walk_round_done,
    ):
        yield recipe(function)
    yield recipe(last_done_on, name="annual_inspection_on", task="annual_task")
    yield recipe(last_done_on, name="condition_inspection_on", task="condition_task")
    for name, value in (
        ("take_off_needed_m", "take_off_distance_m"),
        ("landing_needed_m", "landing_distance_m"),
        ("runway_available_m", "runway_length_m"),
    ):
        yield Recipe(name, (value,), lambda value: value, "length")
    loads = tuple(f"load_kg:{id}" for id in stations)
    yield Recipe(
        "least_station_margin_kg",
        ("applicable", *loads),
        lambda limits, *kg: least_station_margin_kg(limits, **dict(zip(stations, kg, strict=True))),
        "mass",
    )
