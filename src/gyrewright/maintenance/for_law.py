"""What program and books say under the names by which rules ask: dates, hours, and lists of what is open.

Each is a recipe of the sheet. What the books do not say is unknown here too, and names what to fetch.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime

from gyrewright.maintenance.clocks import FINISHED, NOT_ASKED, Due
from gyrewright.maintenance.defects import DEFER, QUESTIONS, Defect, Entitled, state_of
from gyrewright.maintenance.program import Program, Task
from gyrewright.maintenance.records import Done, History, Paper, as_of
from gyrewright.maintenance.work import Work
from gyrewright.sheet import Partial, Recipe, recipe


@dataclass(frozen=True, slots=True)
class DueItem:
    """Something that must be done by a day, by a meter's reading, or both; with neither, nobody knows when."""

    name: str
    due_on: date | None = None
    due_h: float | None = None
    now_h: float | None = None


@dataclass(frozen=True, slots=True)
class Item:
    """A deferred item. None is something that nobody has said."""

    name: str
    required: bool | None
    removed: bool | None
    deactivated: bool | None
    placarded: bool
    entered: bool
    decided_by: str
    decider_entitled: bool


def _last(program: Program, history: History, counts_as: str, entitled: Entitled) -> tuple[Task, Done] | None:
    """Return the newest signed entry of the task that is an inspection of the law, by somebody entitled."""
    found = [
        (task, entry)
        for task in program.tasks
        if task.counts_as == counts_as
        for entry in history.done
        if (entry.task == task.id or entry.task in task.satisfied_by)
        and entry.is_evidence
        and entry.on is not None
        and (not task.act or entry.signed_by in entitled.get(task.act, frozenset()))
    ]
    return max(found, key=lambda one: one[1].on or date.min, default=None)


def _done_on(
    program: Program, history: History, counts_as: str, entitled: Entitled, asked_at: datetime
) -> date | Partial:
    found = _last(program, as_of(history, asked_at), counts_as, entitled)
    return found[1].on if found and found[1].on else Partial(None, False, f"done:{counts_as}")


def annual_inspection_on(
    maintenance_program: Program, maintenance_history: History, entitled: Entitled, asked_at: datetime
) -> date | Partial:
    """Return when the annual inspection was last signed."""
    return _done_on(maintenance_program, maintenance_history, "annual inspection", entitled, asked_at)


def condition_inspection_on(
    maintenance_program: Program, maintenance_history: History, entitled: Entitled, asked_at: datetime
) -> date | Partial:
    """Return when the condition inspection was last signed."""
    return _done_on(maintenance_program, maintenance_history, "condition inspection", entitled, asked_at)


def condition_inspection_months(maintenance_program: Program) -> int | Partial:
    """Return in how many calendar months the condition inspection comes again. [months]"""
    spans = [
        clock.span
        for task in maintenance_program.tasks
        if task.counts_as == "condition inspection"
        for clock in task.clocks
        if clock.by_calendar and clock.span is not None
    ]
    return round(spans[0].value) if spans else Partial(None, False, "interval:condition inspection")


def _hundred(
    program: Program, history: History, entitled: Entitled, asked_at: datetime
) -> tuple[str, Done | None, float | None]:
    """Return the meter of the inspection by hours, its newest entry with that meter, and the meter's total."""
    task = next((each for each in program.tasks if each.counts_as == "hundred hours"), None)
    meter = next((clock.meter for clock in task.clocks if clock.meter), "") if task else ""
    standing = as_of(history, asked_at)
    counted = [
        entry
        for entry in standing.done
        if task is not None
        and (entry.task == task.id or entry.task in task.satisfied_by)
        and entry.is_evidence
        and meter in entry.at
        and (not task.act or entry.signed_by in entitled.get(task.act, frozenset()))
    ]
    reading = standing.meters[meter].latest if meter in standing.meters else None
    last = max(counted, key=lambda entry: entry.at[meter], default=None)
    return meter, last, reading.total if reading else None


def hours_inspected_at_h(
    maintenance_program: Program, maintenance_history: History, entitled: Entitled, asked_at: datetime
) -> float | Partial:
    """Return what the meter showed at the last inspection by hours. [h]"""
    meter, last, _ = _hundred(maintenance_program, maintenance_history, entitled, asked_at)
    return last.at[meter] if last else Partial(None, False, "done:hundred hours")


def hours_were_due_at_h(
    maintenance_program: Program, maintenance_history: History, entitled: Entitled, asked_at: datetime
) -> float | Partial:
    """Return what the meter showed when that inspection had been due. [h]"""
    meter, last, _ = _hundred(maintenance_program, maintenance_history, entitled, asked_at)
    known = last is not None and meter in last.was_due
    return last.was_due[meter] if last and known else Partial(None, False, "was_due:hundred hours")


def time_in_service_h(
    maintenance_program: Program,
    maintenance_history: History,
    entitled: Entitled,
    asked_at: datetime,
    booked_before_h: float,
) -> float | Partial:
    """Return what the meter of the inspection by hours will show at the start: now, and what is booked before. [h]"""
    meter, _, total = _hundred(maintenance_program, maintenance_history, entitled, asked_at)
    return Partial(None, False, f"meter_reading:{meter}") if total is None else total + booked_before_h


def _items(dues: tuple[Due, ...], kind: str, before_h: float) -> tuple[DueItem, ...]:
    out = []
    for due in dues:
        if due.task.kind != kind or due.state in (FINISHED, NOT_ASKED):
            continue
        latest = due.binding.latest if due.binding else None
        if not due.lacking and isinstance(latest, date):
            out.append(DueItem(due.task.name, due_on=latest))
        elif not due.lacking and isinstance(latest, float) and isinstance(due.now, float) and due.unit == "h":
            out.append(DueItem(due.task.name, due_h=latest, now_h=due.now + before_h))
        elif due.unit != "times" or due.lacking:
            out.append(DueItem(due.task.name))
    return tuple(out)


def directives(dues: tuple[Due, ...], booked_before_h: float, directives_read_on: date) -> tuple[DueItem, ...]:
    """Return every directive still to be done, as long as somebody has read the list of directives at all."""
    return _items(dues, "directive", booked_before_h)


def life_limits(dues: tuple[Due, ...], booked_before_h: float) -> tuple[DueItem, ...]:
    """Return every part's life that has not ended for good."""
    return _items(dues, "life", booked_before_h)


def undeferred_defects(defects: tuple[Defect, ...], entitled: Entitled, asked_at: datetime) -> tuple[str, ...]:
    """Return what is open, or assessed as grounding, and neither deferred nor closed by somebody entitled."""
    out = []
    for defect in defects:
        if defect.at > asked_at:
            continue
        state = state_of(defect, entitled=entitled, at=asked_at)
        grounding = state.name == "assessed" and state.by_act is not None and state.by_act.class_ == "G"
        if state.name == "open" or grounding:
            out.append(defect.item)
    return tuple(out)


def inoperative(defects: tuple[Defect, ...], entitled: Entitled, asked_at: datetime) -> tuple[Item, ...]:
    """Return every deferred item with what was said and done about it."""
    out = []
    for defect in defects:
        state = state_of(defect, entitled=entitled, at=asked_at)
        act = state.by_act
        if state.name != "deferred" or act is None:
            continue
        answers = [act.required.get(question) for question in QUESTIONS]
        required = True if True in answers else None if None in answers else False
        out.append(
            Item(
                name=defect.item,
                required=required,
                removed=act.made_safe == "removed" if act.made_safe else None,
                deactivated=act.made_safe == "deactivated" if act.made_safe else None,
                placarded=bool(act.placard),
                entered=True,  # the act is the entry
                decided_by=act.by,
                decider_entitled=act.by in entitled.get(DEFER, frozenset()),
            )
        )
    return tuple(out)


WEIGHING = "weight and balance"
"""The paper whose reference is the day of the weighing that it states."""


def weighing_in_force(papers_held: tuple[Paper, ...]) -> str | Partial:
    """Return the day of the weighing that is in force, as the newest weight and balance paper refers to it."""
    said = [paper.reference for paper in papers_held if paper.name == WEIGHING and paper.reference]
    return max(said) if said else Partial(None, False, f"paper:{WEIGHING}")


def work_not_returned(work_done: tuple[Work, ...], entitled: Entitled, asked_at: datetime) -> tuple[str, ...]:
    """Return the work that nobody entitled has approved for return to service."""
    return tuple(work.what for work in work_done if not work.is_signed(entitled=entitled, at=asked_at))


def check_flight_needed(work_done: tuple[Work, ...]) -> bool | Partial:
    """Return whether any work may have changed how the aircraft flies; unknown where one does not say."""
    if any(work.changes_handling for work in work_done):
        return True
    return (
        Partial(None, False, "changes_handling") if any(each.changes_handling is None for each in work_done) else False
    )


def check_flight_logged(work_done: tuple[Work, ...], entitled: Entitled, asked_at: datetime) -> bool:
    """Return whether each such work has been flown since, found good, and written down."""
    return all(
        work.is_flown(entitled=entitled, at=asked_at) for work in work_done if work.changes_handling is not False
    )


RECIPES: tuple[Recipe, ...] = (
    recipe(annual_inspection_on),
    recipe(condition_inspection_on),
    recipe(condition_inspection_months),
    recipe(hours_inspected_at_h, dimension="time"),
    recipe(hours_were_due_at_h, dimension="time"),
    recipe(time_in_service_h, dimension="time"),
    recipe(directives),
    recipe(life_limits),
    recipe(undeferred_defects),
    recipe(inoperative),
    recipe(weighing_in_force),
    recipe(work_not_returned),
    recipe(check_flight_needed),
    recipe(check_flight_logged),
)
