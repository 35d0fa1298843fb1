"""When each task is due, on which clock, and how that was worked out.

The next time is never simply "last plus interval": it depends on when the work was due, on whether it was early or
late, and on whose rule is asked. Every layer's answer is kept beside the others; the strictest that bears on the flight
binds. What has no record is neither in date nor overdue: there is no evidence.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime

from gyrewright.arrays import SAME_RATIO
from gyrewright.finding import When, Whose
from gyrewright.maintenance.defects import Entitled
from gyrewright.maintenance.next_due import next_due_h, next_due_on
from gyrewright.maintenance.parts import Fit, Part
from gyrewright.maintenance.program import Clock, Program, Task, Variation
from gyrewright.maintenance.records import Done, History
from gyrewright.maintenance.spans import HOURS

IN_DATE = "in date"
OVER = "over"
NO_EVIDENCE = "no evidence"
UNCLEAR = "unclear"
NOT_ASKED = "not asked"
FINISHED = "finished"
STATES = (OVER, NO_EVIDENCE, UNCLEAR, IN_DATE, NOT_ASKED, FINISHED)

_RANKS = {whose: rank for rank, whose in enumerate(Whose)}

Step = tuple[str, float | date, str]
"""One line of working: what it is, its value, and its unit ("h", "times", "date", "days")."""


@dataclass(frozen=True, slots=True)
class Words:
    """The flight that is asked about, as far as rules tell flights apart; what is not said keeps no rule out."""

    purpose: str = ""
    aboard: int | None = None
    lesson: str | None = None
    configuration: frozenset[str] | None = None


@dataclass(frozen=True, slots=True)
class DueLayer:
    """One layer's answer: when due, how far this flight may go past it, whether the layer bears on this flight."""

    variation: Variation
    due: float | date
    latest: float | date
    bears: bool


@dataclass(frozen=True, slots=True, eq=False)
class Due:
    """One clock of one task, worked out.

    Attributes:
        state: One of `STATES`.
        layers: Every layer's answer; `binding` is the strictest that bears on the flight.
        now: The meter's total, or the day asked about.
        remaining: What is left to the binding layer's due: hours or times on a meter, days by the calendar.
        lacking: What would have to be known, for the states that are no answer.
        working: How `remaining` was got, step by step.
        said_by: Who says that it was done without a signed entry to show for it.
        beyond: How far past what was allowed the last work was done, if nobody has signed the flights beyond.
        unit: What `remaining` and the readings are in: "h", "times" or "days".
        read_at: When the meter was last read.
    """

    task: Task
    clock: Clock
    state: str
    layers: tuple[DueLayer, ...] = ()
    binding: DueLayer | None = None
    now: float | date | None = None
    remaining: float | None = None
    lacking: tuple[str, ...] = ()
    working: tuple[Step, ...] = ()
    said_by: str = ""
    beyond: float = 0.0
    unit: str = "days"
    read_at: datetime | None = None


def bears(when: When, words: Words) -> bool:
    """Return whether a rule bears on a flight; what nobody said about the flight keeps nothing out."""
    return (
        (not when.purpose or not words.purpose or words.purpose in when.purpose)
        and (not when.aboard or words.aboard is None or words.aboard in when.aboard)
        and (not when.lesson or words.lesson is None or words.lesson in when.lesson)
        and (not when.configuration or words.configuration is None or bool(words.configuration & when.configuration))
    )


@dataclass(slots=True)
class _Draft:
    """A `Due` in the making; the same fields, filled in one by one."""

    task: Task
    clock: Clock
    state: str = NO_EVIDENCE
    layers: tuple[DueLayer, ...] = ()
    binding: DueLayer | None = None
    now: float | date | None = None
    remaining: float | None = None
    lacking: tuple[str, ...] = ()
    working: tuple[Step, ...] = ()
    said_by: str = ""
    beyond: float = 0.0
    unit: str = "days"
    read_at: datetime | None = None

    def left(self, state: str, *, now: float | date | None = None, lacking: tuple[str, ...] = ()) -> None:
        """Leave it without an answer: in which state, and for want of what."""
        self.state, self.lacking = state, lacking
        self.now = self.now if now is None else now

    def due(self) -> Due:
        """Return it finished."""
        return Due(
            self.task,
            self.clock,
            self.state,
            self.layers,
            self.binding,
            self.now,
            self.remaining,
            self.lacking,
            self.working,
            self.said_by,
            self.beyond,
            self.unit,
            self.read_at,
        )


def work_out(
    task: Task,
    clock: Clock,
    history: History,
    *,
    on: date,
    words: Words,
    entitled: Entitled | None = None,
    no_over: frozenset[str] = frozenset(),
) -> Due:
    """Return when one clock of a task is due.

    Args:
        task: The task.
        clock: One of its clocks.
        history: What was done, meters, parts.
        on: The day asked about.
        words: The flight asked about.
        entitled: Who may sign what; None: every signature counts (for lists that decide nothing).
        no_over: Purposes for which the house lets nothing be flown over.
    """
    entries = [entry for entry in history.done if entry.task == task.id or entry.task in task.satisfied_by]
    counted = [entry for entry in entries if entry.is_evidence and _may_sign(entry, task, entitled)]
    newest = max((entry.on for entry in counted if entry.on), default=date.min)
    claims = [entry for entry in entries if entry not in counted and (entry.on is None or entry.on >= newest)]
    said_by = ", ".join(sorted({entry.by or "somebody" for entry in claims}))
    out = _Draft(task, clock, said_by=said_by)
    if any(entry.not_applicable and entry.task == task.id for entry in counted):
        out.state = FINISHED
        return out.due()
    worked = _by_calendar if clock.by_calendar else _on_meter
    worked(out, history, counted, on=on, words=words, no_over=no_over)
    share = _share(clock, history)
    if share is False:
        out.state = NOT_ASKED
    elif share is None and out.state == OVER:
        out.left(UNCLEAR, lacking=(f"share:{clock.share}",))
    elif out.state == OVER and claims:
        out.left(NO_EVIDENCE, lacking=(f"done:{task.id}",))
    return out.due()


def _may_sign(entry: Done, task: Task, entitled: Entitled | None) -> bool:
    return entitled is None or not task.act or entry.signed_by in entitled.get(task.act, frozenset())


def _on_meter(
    out: _Draft, history: History, counted: list[Done], *, on: date, words: Words, no_over: frozenset[str]
) -> None:
    task, clock = out.task, out.clock
    meter = history.meters.get(clock.meter)
    if meter is None or meter.latest is None:
        return out.left(UNCLEAR, lacking=(f"meter_reading:{clock.meter}",))
    now = meter.latest.total
    unit = "h" if meter.counts == HOURS else "times"
    out.unit, out.read_at = unit, meter.latest.at
    entries = [entry for entry in counted if clock.meter in entry.at]
    last = max(entries, key=lambda entry: entry.at[clock.meter], default=None)
    if counted and (clock.at is not None or clock.first is not None):
        return out.left(FINISHED, now=now)
    working: list[Step]
    answers: list[tuple[Variation, float]]
    beyond = 0.0
    if clock.at is not None:
        answers = [(variation, clock.at) for variation in clock.variations]
        working = [("to be done by", clock.at, unit)]
    elif task.part:
        starts = [
            (fit.meter_at, fit.own)
            for _, fit in _fitted(task, history)
            if fit.meter == clock.meter and fit.meter_at is not None and fit.own is not None
        ]
        if not starts or len(starts) < len(_fitted(task, history)):
            return out.left(NO_EVIDENCE, now=now, lacking=(f"part:{task.part}",))
        at, own = min(starts, key=lambda start: start[0] - start[1])
        length = _length(clock)
        answers = [(variation, at - own + length) for variation in clock.variations]
        working = [("fitted at", at, unit), ("its own then", own, unit), ("life", length, unit)]
    elif clock.first is not None:
        answers = [(variation, clock.first.value) for variation in clock.variations]
        working = [("first at", clock.first.value, unit)]
    elif last is None:
        return out.left(NO_EVIDENCE, now=now, lacking=(f"done:{task.id}",))
    else:
        done, was_due = last.at[clock.meter], last.was_due.get(clock.meter)
        if done > now * (1.0 + SAME_RATIO):
            return out.left(UNCLEAR, now=now, lacking=(f"done_beyond_meter:{task.id}",))
        length = _length(clock)
        found = [
            (
                variation,
                next_due_h(
                    done_h=done,
                    was_due_h=was_due,
                    interval_h=length,
                    late=variation.late,
                    early_keeps_h=variation.early_keeps.value if variation.early_keeps else 0.0,
                ),
            )
            for variation in clock.variations
        ]
        if any(due is None for _, due in found):
            return out.left(UNCLEAR, now=now, lacking=(f"was_due:{task.id}",))
        answers = [(variation, due) for variation, due in found if due is not None]
        working = [("done at", done, unit), ("interval", length, unit)]
        if was_due is not None:
            working.insert(1, ("had been due at", was_due, unit))
            most = max((variation.over.value for variation in clock.variations if variation.over), default=0.0)
            beyond = done - was_due - most if not last.beyond_by and done - was_due > most * (1.0 + SAME_RATIO) else 0.0
    layers = tuple(
        DueLayer(variation, due, due + _over(variation, words, no_over), bears(variation.when, words))
        for variation, due in answers
    )
    out.layers, out.now, out.beyond, out.working = layers, now, beyond, tuple(working)
    _settle(out, now, unit)
    return None


def _by_calendar(
    out: _Draft, history: History, counted: list[Done], *, on: date, words: Words, no_over: frozenset[str]
) -> None:
    task, clock = out.task, out.clock
    entries = [entry for entry in counted if entry.on is not None]
    last = max(entries, key=lambda entry: entry.on or date.min, default=None)
    if counted and (clock.no_later_than is not None or clock.first is not None):
        return out.left(FINISHED, now=on)
    working: list[Step]
    found: list[tuple[Variation, date | None]]
    beyond = 0.0
    span = clock.span
    if clock.no_later_than is not None:
        found = [(variation, clock.no_later_than) for variation in clock.variations]
        working = [("to be done by", clock.no_later_than, "date")]
    elif span is None:
        return out.left(UNCLEAR, lacking=(f"interval:{task.id}",))
    elif clock.since != "done" or task.part:
        begun = [part.made_on if clock.since == "made" else fit.on for part, fit in _fitted(task, history)]
        known = [day for day in begun if day is not None]
        if not known or len(known) < len(begun):
            return out.left(NO_EVIDENCE, now=on, lacking=(f"part:{task.part}",))
        start = min(known)
        found = [(variation, span.after(start)) for variation in clock.variations]
        working = [
            ("made on" if clock.since == "made" else "fitted on", start, "date"),
            ("life", span.value, span.kind),
        ]
    elif last is None or last.on is None:
        return out.left(NO_EVIDENCE, now=on, lacking=(f"done:{task.id}",))
    else:
        if last.on > on:
            return out.left(UNCLEAR, now=on, lacking=(f"done_later:{task.id}",))
        found = [
            (one, next_due_on(done_on=last.on, was_due_on=last.was_due_on, span=span, variation=one))
            for one in clock.variations
        ]
        if any(due is None for _, due in found):
            return out.left(UNCLEAR, now=on, lacking=(f"was_due:{task.id}",))
        working = [("done on", last.on, "date"), ("interval", span.value, span.kind)]
        if last.was_due_on is not None:
            working.insert(1, ("had been due on", last.was_due_on, "date"))
            most = max(
                one.over.after(last.was_due_on) if one.over and not one.over.on_a_meter else last.was_due_on
                for one in clock.variations
            )
            beyond = float((last.on - most).days) if last.on > most and not last.beyond_by else 0.0
    layers = tuple(
        DueLayer(variation, due, _over_on(variation, due, words, no_over), bears(variation.when, words))
        for variation, due in found
        if due is not None
    )
    out.layers, out.now, out.beyond, out.working = layers, on, beyond, tuple(working)
    _settle(out, on, "days")
    return None


def _length(clock: Clock) -> float:
    return clock.span.value if clock.span else 0.0


def _fitted(task: Task, history: History) -> list[tuple[Part, Fit]]:
    """Return every part of the task's name that is on the aircraft: of several, the one that ends first binds."""
    return [
        (part, fit) for part in history.parts if part.name == task.part and (fit := part.fitted_to(history.aircraft))
    ]


def _share(clock: Clock, history: History) -> bool | None:
    """Return whether a clock that runs above a share runs here; None where nobody knows the share."""
    if not clock.share:
        return True
    have = history.shares.get(clock.share)
    return None if have is None else have > clock.above


def _may_go_over(variation: Variation, words: Words, no_over: frozenset[str]) -> bool:
    return words.purpose not in no_over and (not variation.over_for or words.purpose in variation.over_for)


def _over(variation: Variation, words: Words, no_over: frozenset[str]) -> float:
    if variation.over is None or not variation.over.on_a_meter or not _may_go_over(variation, words, no_over):
        return 0.0
    return variation.over.value


def _over_on(variation: Variation, due: date, words: Words, no_over: frozenset[str]) -> date:
    if variation.over is None or variation.over.on_a_meter or not _may_go_over(variation, words, no_over):
        return due
    return variation.over.after(due)


def _settle(out: _Draft, now: float | date, unit: str) -> None:
    """Find the layer that binds, and what is left to it."""
    asked = [layer for layer in out.layers if layer.bears]
    if not asked:
        out.state = NOT_ASKED
        return
    binding = min(asked, key=lambda layer: (layer.latest, layer.due, _rank(layer)))
    if isinstance(now, date) or isinstance(binding.due, date) or isinstance(binding.latest, date):
        assert isinstance(now, date)
        assert isinstance(binding.due, date)
        assert isinstance(binding.latest, date)
        remaining, over = float((binding.due - now).days), now > binding.latest
        step: Step = ("due", binding.due, "date")
    else:
        remaining, over = binding.due - now, now > binding.latest * (1.0 + SAME_RATIO)
        step = ("due at", binding.due, unit)
    shown = "date" if unit == "days" else unit
    out.working = (*out.working, step, ("now", now, shown), ("remaining", remaining, unit))
    out.state, out.binding, out.remaining = OVER if over else IN_DATE, binding, remaining


def _rank(layer: DueLayer) -> int:
    return _RANKS[layer.variation.whose]


def work_out_all(
    program: Program,
    history: History,
    *,
    on: date,
    words: Words,
    entitled: Entitled | None = None,
    no_over: frozenset[str] = frozenset(),
) -> tuple[Due, ...]:
    """Return every clock of every task, in the order of the program."""
    return tuple(
        work_out(task, clock, history, on=on, words=words, entitled=entitled, no_over=no_over)
        for task in program.tasks
        for clock in task.clocks
    )
