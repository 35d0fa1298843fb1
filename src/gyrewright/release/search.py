"""The search for ways: which changes are worth asking about, each asked again and answered by decide itself."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from gyrewright.air.course import minutes
from gyrewright.check import Check
from gyrewright.finding import Finding, Verdict
from gyrewright.release import choices
from gyrewright.release.answer import Answer
from gyrewright.release.decide import decide
from gyrewright.release.edges import Span, careful
from gyrewright.release.flight import OPEN
from gyrewright.release.grid import Survey, asked_of, path_of
from gyrewright.release.question import Aircraft, Question
from gyrewright.release.solved import (
    STEP_KG,
    STEP_L,
    Tank,
    fuel_spans,
    highest_temperature,
    load_spans,
    tank_of,
)
from gyrewright.release.windows import Starts, Window, windows

LEFT_WITH_THE_AIRCRAFT = ("fuel.readings_agree",)
"""Findings that other fuel would hide and not cure: readings that differ are a fault, and other fuel is another tank
full read by the same two gauges."""

KINDS = ("fuel", "load", "runway", "start", "seats", "block", "aircraft", "instructor", "lesson", "dual")
"""Kinds of change, the smallest first: the order in which ways are offered."""

NO_FACT = ("table_there", "envelope_at_this_mass")
"""What a finding lacks where the manual ends: nobody can fetch it."""

_WITH = {
    "fuel": ("load", "start", "block"),
    "runway": ("fuel", "load", "start", "block"),
    "aircraft": ("load", "runway", "start", "block"),
}
"""Which second change is looked for beside a first; a change of aircraft chooses its fuel itself."""


@dataclass(frozen=True, slots=True)
class Change:
    """One thing done differently, and how much so, to order ways by."""

    kind: str
    params: Mapping[str, Any]
    size: float = 0.0


@dataclass(frozen=True, slots=True)
class Offer:
    """A way the flight could go: what changes, the question with it, and the answer to that question."""

    changes: tuple[Change, ...]
    question: Question
    answer: Answer


@dataclass(frozen=True, slots=True)
class Need:
    """What the day itself would have to bring, which nobody chooses: the highest temperature at which it would pass."""

    aircraft_id: str
    fuel_l: float | None
    highest_k: float
    binds: str


def acceptable(answer: Answer) -> bool:
    """Return whether an answer passes, and, for a student alone, leaves the margin that the house asks of an offer.

    Of a flight with its end left open the shortest useful one must leave it: the end is a limit by which to be down.
    """
    if answer.verdict > Verdict.JUDGE:
        return False
    question = answer.situation.question
    if question.flight.purpose.value != "student alone":
        return True
    least = next(fact for fact in question.operation.counting if fact.name == "least_margin_ratio")
    return least.is_known and least_share(answer) >= least.value


def least_share(answer: Answer) -> float:
    """Return the smallest share of a limit that is left anywhere; 1 where no number meets one."""
    shares = [
        each.binds_next.share for each in answer.findings if each.binds_next and each.binds_next.share is not None
    ]
    return min(shares, default=1.0)


def _stopped(answer: Answer, id: str) -> bool:
    return any(each.id == id and each.verdict is Verdict.STOP for each in answer.findings)


@dataclass(frozen=True, slots=True)
class Search:
    """What the search for ways shares: the answer as asked, the other aircraft, and the starts of the day."""

    asked: Answer
    others: Sequence[Aircraft]
    starts: Starts | None
    tanks: dict[str, Tank]
    known: Survey

    def singles(self, kind: str, question: Question, answer: Answer) -> Iterator[Offer]:
        """Yield every change of one kind that is worth asking about, whether it passes or not."""
        # What is the first of a pair is asked even where it cures nothing alone: a second change may do with it.
        first_of_two = answer is self.asked and kind in _WITH
        if not first_of_two and not _could_cure(answer, kind):
            return
        if kind == "fuel":
            if not any(_stopped(answer, id) for id in LEFT_WITH_THE_AIRCRAFT):
                yield from self._fuels(question)
        elif kind == "load":
            yield from self._loads(question)
        elif kind == "runway":
            here = question.flight.runway.value
            for runway in question.field.runways:
                if runway.name != here:
                    yield _offer(choices.with_runway(question, runway.name), Change("runway", {"runway": runway.name}))
        elif kind == "start":
            yield from self._starts(question)
        elif kind == "seats":
            swapped = choices.with_seats_swapped(question)
            if swapped is not None:
                yield _offer(swapped, Change("seats", {}))
        elif kind == "block":
            if question.flight.block.value != OPEN:
                yield _offer(choices.with_open_end(question), Change("block", {}))
        elif kind == "aircraft":
            for aircraft in self.others:
                yield from self._aircraft(question, aircraft)
        elif kind == "instructor":
            yield from _instructors(question)
        elif kind == "dual":
            yield from _dual(question)
        else:
            allowed = dict(question.operation.lessons_instead).get(question.flight.lesson.value or "", ())
            for lesson in allowed:
                yield _offer(choices.with_lesson(question, lesson), Change("lesson", {"lesson": lesson}))

    def pairs(self, kinds: Sequence[str], singles: Sequence[Offer]) -> Iterator[Offer]:
        """Yield pairs of changes where the first alone does not do: other fuel, runway or aircraft, and something."""
        for first in singles:
            if acceptable(first.answer):
                continue
            for kind in _WITH.get(first.changes[0].kind, ()):
                if kind in kinds:
                    for second in self.singles(kind, first.question, first.answer):
                        yield replace(second, changes=(*first.changes, *second.changes))

    def _fuels(self, question: Question) -> Iterator[Offer]:
        readings = [fact.value for fact in question.flight.fuel if fact.is_known]
        here = min(readings, default=None)
        found = fuel_spans(question, self.known)

        def offers() -> Iterator[Offer]:
            for litres, span in _candidates(found, STEP_L, here):
                params = {"fuel_l": litres, "low_l": span.low, "high_l": span.high, **_bound(span)}
                change = Change("fuel", params, abs(litres - (here or 0.0)))
                yield _offer(choices.with_fuel(question, litres), change)

        yield from _first_acceptable(offers())
        if not found:
            # Another hour may take what this one does not: the amount that is needed and can be carried at all.
            tank = self.tank(question)
            if tank.needs_l is not None and tank.most_l is not None and tank.has_answer:
                litres = nearest(here or 0.0, tank.needs_l, tank.most_l)
                if litres != here:
                    change = Change("fuel", {"fuel_l": litres}, abs(litres - (here or 0.0)))
                    yield _offer(choices.with_fuel(question, litres), change)

    def _loads(self, question: Question) -> Iterator[Offer]:
        loads = {fact.name: fact.value for fact in question.flight.loads}
        for station in question.definition.stations:
            here = loads.get(f"load_kg:{station.id}")
            most = [
                limit.value
                for limit in question.definition.limits
                if limit.of == "load" and limit.on == (station.id,) and limit.sense.is_upper and limit.value is not None
            ]
            if station.kind == "seat" or here is None or not most:
                continue

            def offers(id: str = station.id, here: float = here, most_kg: float = min(most)) -> Iterator[Offer]:
                for kg, span in _candidates(load_spans(question, id, most_kg, self.known), STEP_KG, here):
                    params = {"mass_kg": kg, "low_kg": span.low, "high_kg": span.high, "station": id, **_bound(span)}
                    yield _offer(choices.with_load(question, id, kg), Change("load", params, abs(kg - here)))

            yield from _first_acceptable(offers())

    def _starts(self, question: Question) -> Iterator[Offer]:
        depart_at = question.flight.depart_at
        if depart_at is None:
            return
        for window in self._windows(question):
            if window.start_at <= depart_at <= window.end_at:
                continue
            start = window.start_at if window.start_at > depart_at else window.end_at
            params = {
                "start_at": start,
                "from_at": window.start_at,
                "until_at": window.end_at,
                "binds_low": window.binds_before,
                "binds_high": window.binds_after,
            }
            size = abs((start - depart_at).total_seconds()) / 3600.0
            yield _offer(choices.with_start(question, minutes(start)), Change("start", params, size))

    def _windows(self, question: Question) -> tuple[Window, ...]:
        return windows(question) if self.starts is None else self.starts.moved(question).windows()

    def _aircraft(self, question: Question, aircraft: Aircraft) -> Iterator[Offer]:
        """Yield the flight in another aircraft with the fuel that it can go with, or would need on a better day."""
        here = fuel_here(question)
        moved = choices.with_aircraft(question, aircraft, here)
        found = [each for each in (careful(span, STEP_L) for span in fuel_spans(moved, self.known)) if each is not None]
        params: dict[str, Any] = {"aircraft": aircraft.definition.name, "id": aircraft.definition.id}
        if not found:
            tank = self.tank(moved)
            litres = nearest(here, tank.needs_l or 0.0, tank.most_l) if tank.most_l is not None else here
            yield _offer(choices.with_fuel(moved, litres), Change("aircraft", {**params, "fuel_l": litres}))
        for span in found:
            litres = nearest(here, span.low, span.high)
            shown = {**params, "fuel_l": litres, "low_l": span.low, "high_l": span.high, **_bound(span)}
            yield _offer(choices.with_fuel(moved, litres), Change("aircraft", shown))

    def tank(self, question: Question) -> Tank:
        """Return what the aircraft of a question needs and can carry; neither runway nor hour matters for it."""
        id = question.definition.id
        if id not in self.tanks:
            self.tanks[id] = tank_of(question)
        return self.tanks[id]

    def needs(self, question: Question) -> Iterator[Need]:
        """Yield how cool it would have to be, in this aircraft and in the others with the fuel that is needed."""
        now_k = self.asked.situation.sheet.value("hottest_k")
        if now_k is None:
            return
        found = highest_temperature(question, self.known) if _could_cure(self.asked, "heat") else None
        if found is not None and found[0] < now_k:
            yield Need(question.definition.id, None, *found)
        for aircraft in self.others:
            moved = choices.with_aircraft(question, aircraft, 0.0)
            tank = self.tank(moved)
            if tank.needs_l is None or not tank.has_answer:
                continue
            found = highest_temperature(choices.with_fuel(moved, tank.needs_l), self.known)
            if found is not None and found[0] < now_k:
                yield Need(aircraft.definition.id, tank.needs_l, *found)


# --- one change -------------------------------------------------------------------------------------------------------


def _offer(question: Question, change: Change) -> Offer:
    """Return the change with the answer to it, its start late enough for what it asks to be done first."""
    ready = choices.started_in_time(question)
    if ready is not question:
        change = replace(change, params={**change.params, "start_at": ready.flight.depart_at})
    return Offer((change,), ready, decide(ready))


_TOUCHES = {
    "fuel": frozenset({"fuel_planned_l", "fuel_gauge_l", "fuel_stick_l", "stick_at", "depart_at", "flight_on"}),
    "load": frozenset({"depart_at", "flight_on"}),
    "runway": frozenset({"runway", "runway_name", "runway_length_m", "slope_ratio", "runway_source"}),
    "block": frozenset({"block_h"}),
    "heat": frozenset({"hottest_k", "hottest_at_take_off_k"}),
}


def _could_cure(answer: Answer, kind: str) -> bool:
    """Return whether every reason against the flight rests on something that a kind of change can touch at all."""
    touched = _TOUCHES.get(kind)
    if touched is None:
        return True
    if kind == "load":
        touched |= {f"load_kg:{each.id}" for each in answer.situation.question.definition.stations}
    reasons = [each for each in answer.findings if each.verdict >= Verdict.UNKNOWN]
    return all(_path(each, answer) & touched for each in reasons)


def _path(finding: Finding, answer: Answer) -> frozenset[str]:
    situation = answer.situation
    for asked in asked_of(situation):
        if not isinstance(asked, Check) and (asked.id, getattr(asked, "about", "")) == (finding.id, finding.about):
            return path_of(asked, situation)
    return frozenset[str]().union(*(situation.sheet.plan.path(name) for name in finding.inputs))


def nearest(value: float, low: float, high: float) -> float:
    """Return the value between two others that is nearest to one."""
    return min(max(value, low), high)


def _bound(span: Span) -> dict[str, str]:
    return {"binds_low": span.binds_low, "binds_high": span.binds_high}


def _candidates(spans: Iterable[Span], step: float, here: float | None) -> Iterator[tuple[float, Span]]:
    """Yield a value for each span: the nearest to what is there, and one with room on both sides."""
    for each in spans:
        span = careful(each, step)
        if span is None:
            continue
        middle = round(round((span.low + span.high) / 2.0 / step) * step, 6)
        values = [middle] if here is None else [nearest(here, span.low, span.high), middle]
        for value in dict.fromkeys(values):
            if value != here:
                yield value, span


def _first_acceptable(offers: Iterable[Offer]) -> Iterator[Offer]:
    """Yield the first offer of each span that is acceptable; where none is, the first."""
    by_span: dict[tuple[Any, Any], Offer] = {}
    for offer in offers:
        params = offer.changes[0].params
        key = next(
            (params[low], params[high]) for low, high in (("low_l", "high_l"), ("low_kg", "high_kg")) if low in params
        )
        if key not in by_span or (acceptable(offer.answer) and not acceptable(by_span[key].answer)):
            by_span[key] = offer
    yield from by_span.values()


def fuel_here(question: Question) -> float:
    """Return what the lower reading shows, from which a change of fuel is measured; nothing where there is none."""
    return min((fact.value for fact in question.flight.fuel if fact.is_known), default=0.0)


def _instructors(question: Question) -> Iterator[Offer]:
    """Yield the flight with each instructor who the house says may take over, where one is aboard."""
    aboard = {person for _, person in question.flight.seats}
    if dict(question.flight.parts).get("instructor") not in aboard:
        return
    for person in question.operation.instructors:
        if person not in aboard and person in question.people:
            changed = choices.with_instructor(question, person)
            yield _offer(changed, Change("instructor", {"person": question.people[person].name}))


def _dual(question: Question) -> Iterator[Offer]:
    """Yield a student's flight alone with an instructor aboard: who looks after it, or is there and may take over."""
    here = dict(question.flight.parts).get("instructor", "")
    there = (person for person in question.operation.instructors if person in question.flight.present)
    for person in dict.fromkeys((here, *there)):
        changed = choices.with_instructor_aboard(question, person) if person in question.people else None
        if changed is not None:
            yield _offer(changed, Change("dual", {"person": question.people[person].name}))
