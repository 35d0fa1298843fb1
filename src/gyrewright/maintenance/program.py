"""The maintenance program as data: what is due, on which clocks, and who lets it vary by how much.

It belongs to the aircraft's manual. A task has one or more clocks and is due at the first of them. Law, the maker and
the engine's maker may treat the same clock differently: each such treatment is a `[[variation]]`, written once by name
and used by the clocks that it bears on.

    [[variation]]
    name = "law"
    whose = "law"
    document = "14 CFR 91.409(b)"
    late = "subtracts"
    over = "10 h"
    over_for = ["ferry"]
    purpose = ["instruction"]

    [[task]]
    id = "100h"
    name = "100 h check"
    kind = "inspection"
    clock = [{ meter = "airframe", every = "100 h", variations = ["law", "maker"] }]
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date

from gyrewright.finding import ALWAYS, NOTHING, Source, When, Whose
from gyrewright.limits import PURPOSES, read_when
from gyrewright.maintenance.spans import Span, read_span
from gyrewright.reading import Section

KINDS = ("inspection", "directive", "notice", "life")
LATE = ("restarts", "subtracts")
UNSAID = Source()
COUNTS_AS = ("annual inspection", "condition inspection", "hundred hours")
SINCE = ("done", "fitted", "made")


@dataclass(frozen=True, slots=True)
class Variation:
    """How one layer counts an interval.

    Attributes:
        name: What clocks call it.
        whose: The layer.
        late: "subtracts": time flown over is taken off the next interval; "restarts": the next counts from the work.
        early_keeps: Done earlier than due by no more than this, the old sequence stays; any earlier pulls it forward.
        over: How far past due may be flown.
        over_for: The purposes for which it may be flown over; empty: any.
        when: The flights that this layer bears on.
    """

    name: str
    whose: Whose
    late: str = "restarts"
    early_keeps: Span | None = None
    over: Span | None = None
    over_for: frozenset[str] = frozenset()
    when: When = ALWAYS
    source: Source = UNSAID

    @property
    def asks_when_due(self) -> bool:
        """Whether the next interval depends on when the last one was due."""
        return self.late == "subtracts" or self.early_keeps is not None


@dataclass(frozen=True, slots=True)
class Clock:
    """One clock of a task.

    Attributes:
        meter: The meter it counts on; empty for the calendar.
        every: The interval that comes again, or the life of a part.
        first: The interval until the first time only.
        at: A reading of the meter by which it must be done once.
        no_later_than: A date by which it must be done once.
        since: What the interval starts from: when last done, or when the part was fitted or made.
        share: A share that must be above `above` for this clock to run ("leaded fuel").
        variations: How each layer counts it; at least one.
    """

    meter: str
    every: Span | None
    first: Span | None
    at: float | None
    no_later_than: date | None
    since: str
    share: str
    above: float
    variations: tuple[Variation, ...]

    @property
    def span(self) -> Span | None:
        """The interval, whether it comes once or again."""
        return self.every or self.first

    @property
    def by_calendar(self) -> bool:
        """Whether it runs by the calendar and not on a meter."""
        return not self.meter


@dataclass(frozen=True, slots=True)
class Task:
    """Something that must be done: an inspection, a directive, a maker's notice, the end of a part's life.

    Attributes:
        satisfied_by: Other tasks that, done, count as this one.
        act: What the person who signs it must be entitled to; empty: any named person.
        part: The part whose own hours and dates count.
        areas: What it concerns ("rotor", "controls"), for house rules about areas.
        printed: For a notice: "mandatory" or "recommended", as printed.
        counts_as: The inspection of the law that it is, if it is one.
        paper: Whether its end is that of a document that people carry: shown as ending this month.
    """

    id: str
    name: str
    kind: str
    clocks: tuple[Clock, ...]
    source: Source = UNSAID
    satisfied_by: tuple[str, ...] = ()
    act: str = ""
    part: str = ""
    areas: frozenset[str] = frozenset()
    printed: str = ""
    paper: bool = False
    counts_as: str = ""
    note: str = ""


@dataclass(frozen=True, slots=True, eq=False)
class Program:
    """Every task of one aircraft, the papers it must carry, and the inspection that each kind of event asks for."""

    tasks: tuple[Task, ...]
    papers: tuple[str, ...] = ()
    inspections_after: Mapping[str, str] = field(default_factory=lambda: NOTHING)

    def named(self, id: str) -> Task | None:
        """Return a task by its id."""
        return next((task for task in self.tasks if task.id == id), None)


def read_program(section: Section, *, document: Source = UNSAID) -> Program:
    """Return the program that a section holds: `[[variation]]`, `[[task]]`, `papers`, `[inspection_after]`.

    The section may hold other things; whoever owns it finishes it.

    Args:
        section: The section, top of a program file or part of the aircraft's file.
        document: The manual that it stands in, where the section has no `title` of its own; a task's own `document` and
            `page` are put in its place.
    """
    title = section.text("title")
    if title:
        document = Source("manual", title)
    variations: dict[str, Variation] = {}
    for each in section.sections("variation"):
        variation = _read_variation(each, document)
        if variation.name in variations:
            each.wrong("name", f"{variation.name!r} is written twice")
        variations[variation.name] = variation
    tasks: dict[str, Task] = {}
    for each in section.sections("task", label="id"):
        task = _read_task(each, variations, document)
        if task.id in tasks:
            each.wrong("id", f"{task.id!r} is written twice; give each task its own id")
        tasks[task.id] = task
    for task in tasks.values():
        for other in task.satisfied_by:
            if other not in tasks:
                section.wrong("task", f"{task.id!r} is satisfied_by {other!r}, but no task has that id")
    after = section.section("inspection_after")
    inspections = {event: after.text(event) for event in after.keys()}  # noqa: SIM118 - a section is not a mapping
    return Program(tuple(tasks.values()), section.texts("papers"), inspections)


def _read_variation(section: Section, document: Source) -> Variation:
    variation = Variation(
        name=section.text("name", required=True),
        whose=Whose(section.choice("whose", tuple(Whose), required=True) or Whose.MAKER),
        late=section.choice("late", LATE) or "restarts",
        early_keeps=read_span(section, "early_keeps"),
        over=read_span(section, "over"),
        over_for=frozenset(section.texts("over_for", accepted=PURPOSES)),
        when=read_when(section),
        source=_source(section, document),
    )
    section.finish()
    return variation


def _source(section: Section, document: Source) -> Source:
    title = section.text("document")
    page = section.text("page")
    dated = section.day("dated")
    if title:
        return Source(section.text("document_kind"), title, page, dated)
    return Source(document.kind, document.title, page or document.section, dated or document.dated, document.link)


def _read_task(section: Section, variations: Mapping[str, Variation], document: Source) -> Task:
    kind = section.choice("kind", KINDS, required=True)
    source = _source(section, document)
    whose = Whose.LAW if kind == "directive" else Whose.MAKER
    strict = Variation("", whose, source=source)
    task = Task(
        id=section.text("id", required=True),
        name=section.text("name", required=True),
        kind=kind,
        clocks=tuple(_read_clock(each, variations, strict) for each in section.sections("clock", label="meter")),
        source=source,
        satisfied_by=section.texts("satisfied_by"),
        act=section.text("act"),
        part=section.text("part"),
        areas=frozenset(section.texts("areas")),
        printed=section.choice("printed", ("mandatory", "recommended"), required=kind == "notice"),
        paper=bool(section.flag("paper")),
        counts_as=section.choice("counts_as", COUNTS_AS),
        note=section.text("note"),
    )
    if not task.clocks:
        section.wrong("clock", 'is missing; say what it counts on, such as [{ meter = "airframe", every = "100 h" }]')
    if any(clock.since != "done" for clock in task.clocks) and not task.part:
        section.wrong("part", "is missing; a clock that runs since fitted or made needs the part's name")
    section.finish()
    return task


def _read_clock(section: Section, variations: Mapping[str, Variation], strict: Variation) -> Clock:
    meter = section.text("meter")
    every, first = read_span(section, "every"), read_span(section, "first")
    at = read_span(section, "at")
    no_later_than = section.day("no_later_than")
    named = section.texts("variations")
    share = section.text("share")
    above = section.quantity("above", "share", low=0.0, high=1.0, required=bool(share))
    clock = Clock(
        meter=meter,
        every=every,
        first=first,
        at=at.value if at and at.on_a_meter else None,
        no_later_than=no_later_than,
        since=section.choice("since", SINCE) or "done",
        share=share,
        above=above.value if above else 0.0,
        variations=tuple(variations[name] for name in named if name in variations) or (strict,),
    )
    for name in named:
        if name not in variations:
            known = ", ".join(sorted(variations)) or "none yet"
            section.wrong("variations", f"{name!r} is no [[variation]] of this file; written here: {known}")
    said = [one for one in (every, first, at, no_later_than) if one is not None]
    given = any(key in section for key in ("every", "first", "at", "no_later_than"))
    if len(said) > 1 or not given:
        section.wrong("", "says when in none or several ways; write one of: every, first, at, no_later_than")
    for key, span in (("every", every), ("first", first), ("at", at)):
        if span is None:
            continue
        if span.on_a_meter and not meter:
            section.wrong(key, f'{span.typed!r} does not say which meter; add meter = "airframe" or another by name')
        if not span.on_a_meter and (meter or key == "at"):
            section.wrong(
                key, f"{span.typed!r} is not counted on a meter; write it in h or landings, or leave meter out"
            )
    if no_later_than is not None and meter:
        section.wrong("no_later_than", "is a date and counts on no meter; leave meter out")
    section.finish()
    return clock
