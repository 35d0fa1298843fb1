"""Defects and what was done about them, as acts that are only ever added.

What a defect is now follows from its acts in the order of time, counting only those of people who were entitled to
them. Closed by somebody who may not close is open.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta

from gyrewright.finding import NOTHING
from gyrewright.maintenance.months import NEVER
from gyrewright.maintenance.restriction import NONE, Restriction, read_restriction
from gyrewright.reading import Section

Entitled = Mapping[str, frozenset[str]]

ASSESS = "assess a defect"
DEFER = "defer a defect"
CLOSE = "close a defect"
CLOSE_REPEATED = "close a third report"

ACTS = ("assessed", "deferred", "closed", "reopened")
_NEEDS = {"assessed": ASSESS, "deferred": DEFER, "closed": CLOSE}
CLASSES = ("G", "L", "N")
QUESTIONS = ("equipment_list", "this_flight", "directive")


@dataclass(frozen=True, slots=True, eq=False)
class Act:
    """One thing done about a defect.

    Attributes:
        class_: For an assessment: G grounds, L limits the flight, N is noted.
        until: For a deferral: the moment at which it ends.
        until_on: The date at whose end it ends, or with `until_sunset` at whose sunset.
        required: For a deferral: whether the equipment list, the rules for this kind of flight, or a directive requires
            the thing; a question that nobody answered is absent.
        made_safe: "removed" or "deactivated".
        entitled_to: What the doer was entitled to on the day of the act; None: what the roles of today say.
    """

    kind: str
    at: datetime
    by: str
    class_: str = ""
    words: str = ""
    restriction: Restriction = NONE
    until: datetime | None = None
    until_on: date | None = None
    until_sunset: bool = False
    required: Mapping[str, bool] = field(default_factory=lambda: NOTHING)
    made_safe: str = ""
    placard: str = ""
    look_again: str = ""
    entitled_to: frozenset[str] | None = None

    def counts(self, act: str, entitled: Entitled) -> bool:
        """Whether its doer was entitled to an act of the table of roles."""
        return was_entitled(act, by=self.by, then=self.entitled_to, now=entitled)


@dataclass(frozen=True, slots=True, eq=False)
class Defect:
    """One report, in the reporter's words, and every act since.

    `like` is the id of an earlier report that somebody entitled has found to be of the same thing.
    """

    id: str
    item: str
    symptom: str
    words: str
    at: datetime
    by: str
    acts: tuple[Act, ...]
    where: str
    like: str = ""


@dataclass(frozen=True, slots=True)
class State:
    """What a defect is at a moment: "open", "assessed", "deferred" or "closed", and by which act."""

    defect: Defect
    name: str
    by_act: Act | None
    void: tuple[Act, ...]


def was_entitled(act: str, *, by: str, then: frozenset[str] | None, now: Entitled) -> bool:
    """Return whether somebody may be counted on for an act: by what held when it was done, where that is known."""
    return act in then if then is not None else by in now.get(act, frozenset())


def read_entitled_to(section: Section) -> frozenset[str] | None:
    """Return what the doer of an act was entitled to then, by the section's `entitled_to`; None where it has none."""
    return frozenset(section.texts("entitled_to")) if "entitled_to" in section else None


def read_defects(section: Section) -> tuple[Defect, ...]:
    """Return every `[[defect]]`; one closed or assessed before it was reported is noted as one problem."""
    out: list[Defect] = []
    for each in section.sections("defect", label="id"):
        defect = _read_defect(each)
        if any(other.id == defect.id for other in out):
            each.wrong("id", f"{defect.id!r} is used twice; give each report its own")
        out.append(defect)
    return tuple(out)


def _read_defect(section: Section) -> Defect:
    at = section.moment("at", required=True) or NEVER
    id, item = section.text("id", required=True), section.text("item", required=True)
    acts = []
    for each in section.sections("act", label="kind"):
        act = _read_act(each)
        if act.at < at and at != NEVER:
            each.wrong(
                "at",
                f"{id!r} was {act.kind} on {act.at.isoformat()}, before it was reported on {at.isoformat()}; "
                "correct one of the two times",
            )
        acts.append(act)
    defect = Defect(
        id=id,
        item=item,
        symptom=section.text("symptom") or item,
        words=section.text("words"),
        at=at,
        by=section.text("by", required=True),
        acts=tuple(sorted(acts, key=lambda act: (act.at, ACTS.index(act.kind), act.by))),
        where=section.where(),
        like=section.text("like"),
    )
    section.finish()
    return defect


def _read_act(section: Section) -> Act:
    kind = section.choice("kind", ACTS, required=True) or "reopened"
    by = section.text("by", required=True)
    value = section.raw("until")
    until = (
        None
        if value is None or (isinstance(value, date) and not isinstance(value, datetime))
        else section.moment("until")
    )
    asked = section.section("required")
    answers = {question: answer for question in QUESTIONS if (answer := asked.flag(question)) is not None}
    asked.finish()
    act = Act(
        kind=kind,
        at=section.moment("at", required=True) or NEVER,
        by=by,
        class_=section.choice("class", CLASSES, required=kind == "assessed"),
        words=section.text("words"),
        restriction=read_restriction(section, "restriction", by=by),
        until=until,
        until_on=section.day("until") if until is None else None,
        until_sunset=bool(section.flag("until_sunset")),
        required=answers,
        made_safe=section.choice("made_safe", ("removed", "deactivated")),
        placard=section.text("placard"),
        look_again=section.text("look_again"),
        entitled_to=read_entitled_to(section),
    )
    if kind == "deferred" and value is None:
        section.wrong("until", "is missing; a deferral has an end, write a date or a moment")
    section.finish()
    return act


def state_of(defect: Defect, *, entitled: Entitled, at: datetime) -> State:
    """Return what a defect is at a moment, counting only acts done until then by people entitled to them."""
    name, by_act = "open", None
    void = []
    for act in defect.acts:
        if act.at > at:
            break
        need = _NEEDS.get(act.kind)
        if need is not None and not act.counts(need, entitled):
            void.append(act)
        elif act.kind == "reopened":
            name, by_act = "open", None
        else:
            name, by_act = act.kind, act
    return State(defect, name, by_act, tuple(void))


def repeats(defects: Iterable[Defect], *, times: int, days: int, at: datetime) -> tuple[tuple[Defect, ...], ...]:
    """Return each run of reports of one symptom on one item that reached `times` within `days`, oldest first.

    A report that was found to be of the same thing as an earlier one is counted with that one, whatever its words.
    """
    known = {each.id: each for each in defects}
    groups: dict[tuple[str, str], list[Defect]] = {}
    for defect in sorted(known.values(), key=lambda each: (each.at, each.id)):
        if defect.at <= at:
            first = _first_like(defect, known)
            groups.setdefault((first.item, first.symptom), []).append(defect)
    out = []
    for group in groups.values():
        runs = [
            group[last - times + 1 : last + 1]
            for last in range(times - 1, len(group))
            if group[last].at.date() - group[last - times + 1].at.date() <= timedelta(days=days)
        ]
        if runs:
            out.append(tuple(runs[-1]))
    return tuple(out)


def _first_like(defect: Defect, known: Mapping[str, Defect]) -> Defect:
    """Return the oldest report that a report leads to; a ring of them has an oldest as well."""
    seen = {defect.id: defect}
    while (earlier := known.get(defect.like)) is not None and earlier.id not in seen:
        seen[earlier.id] = defect = earlier
    return min(seen.values(), key=lambda each: (each.at, each.id))


def looked_into(run: tuple[Defect, ...], *, entitled: Entitled, at: datetime) -> bool:
    """Return whether somebody with inspection authority closed the last report of a run of repeats."""
    return any(act.kind == "closed" and act.counts(CLOSE_REPEATED, entitled) and act.at <= at for act in run[-1].acts)
