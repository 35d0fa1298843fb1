"""The day as a whole: which of several flights could go when, with every aircraft, person and hour counted once.

Flights are placed in the order in which they are listed. Each keeps what it asked for where it can; else it moves as
little as it must: another runway, another time, another aircraft. What an earlier one has taken (the aircraft, a
person, hours of a meter, hours of teaching) is taken.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta

from gyrewright.air.course import minutes
from gyrewright.finding import Verdict
from gyrewright.maintenance.records import Booking
from gyrewright.release import choices
from gyrewright.release.answer import Answer
from gyrewright.release.decide import decide
from gyrewright.release.flight import EMPTY, OPEN
from gyrewright.release.question import Aircraft, Question
from gyrewright.release.solved import fuel_spans
from gyrewright.release.windows import windows

STEP_MIN = 15.0


@dataclass(frozen=True, slots=True)
class Slot:
    """One flight of the day and where it found its place; `question` is None where it found none."""

    asked: Question
    question: Question | None
    answer: Answer


def plan_day(questions: Sequence[Question], fleet: Sequence[Aircraft]) -> tuple[Slot, ...]:
    """Return a place for every flight that finds one, and the answer to the flight as asked for those that do not."""
    slots: list[Slot] = []
    for asked in questions:
        counted = _after(asked, slots)
        for candidate in _candidates(counted, fleet, slots):
            if _clashes(candidate, slots):
                continue
            answer = decide(candidate)
            if answer.verdict <= Verdict.JUDGE:
                slots.append(Slot(asked, candidate, answer))
                break
        else:
            slots.append(Slot(asked, None, decide(counted)))
    return tuple(slots)


def _times(question: Question | None) -> tuple[datetime, datetime] | None:
    """Return start and engine stop of a flight that has a place."""
    if question is None or question.flight.depart_at is None:
        return None
    start = question.flight.depart_at
    return start, start + timedelta(hours=_hours(question))


def _hours(question: Question) -> float:
    value = question.flight.block.value
    return 0.0 if value is None or value == OPEN else float(value)


def _people(question: Question) -> frozenset[str]:
    aboard = {person for _, person in question.flight.seats if person != EMPTY}
    return frozenset(aboard | {person for part, person in question.flight.parts if part in ("instructor", "examiner")})


def _clashes(question: Question, slots: Iterable[Slot]) -> bool:
    """Return whether a flight wants an aircraft or a person that an earlier one has at that time."""
    mine = _times(question)
    for slot in slots:
        theirs = _times(slot.question)
        if slot.question is None or theirs is None or mine is None:
            continue
        overlaps = mine[0] < theirs[1] and theirs[0] < mine[1]
        same_aircraft = slot.question.definition.id == question.definition.id
        if overlaps and (same_aircraft or _people(question) & _people(slot.question)):
            return True
    return False


def _after(question: Question, slots: Iterable[Slot]) -> Question:
    """Return the question with the flights placed so far counted: as bookings of its aircraft, as teaching given."""
    for slot in slots:
        times = _times(slot.question)
        if slot.question is None or times is None:
            continue
        if slot.question.definition.id == question.definition.id:
            question = replace(question, aircraft=_booked(question.aircraft, times[0], _hours(slot.question)))
        instructor = dict(slot.question.flight.parts).get("instructor", "")
        if instructor in question.people and slot.question.flight.purpose.value == "instruction":
            person = question.people[instructor]
            if person.taught is not None:
                taught = (*person.taught, times)
                question = replace(question, people={**question.people, instructor: replace(person, taught=taught)})
    return question


def _booked(aircraft: Aircraft, at: datetime, block_h: float) -> Aircraft:
    records = aircraft.records
    if records is None or records.bookings is None:
        return aircraft
    bookings = (*records.bookings, Booking(at, block_h))
    return replace(aircraft, records=replace(records, bookings=bookings))


def _candidates(question: Question, fleet: Sequence[Aircraft], slots: Sequence[Slot]) -> Iterator[Question]:
    """Yield the places that a flight could take, the least change first."""
    yield question
    runways = [question.flight.runway.value, *(runway.name for runway in question.field.runways)]
    names = list(dict.fromkeys(name for name in runways if name))
    for name in names[1:]:
        yield choices.with_runway(question, name)
    for name in names:
        yield from _starts(choices.with_runway(question, name))
    for aircraft in fleet:
        if aircraft.definition.id == question.definition.id:
            continue
        moved = _after(choices.with_aircraft(question, aircraft, 0.0), slots)
        spans = fuel_spans(moved)
        if not spans:
            continue
        moved = choices.with_fuel(moved, spans[0].low)
        for name in names:
            there = choices.with_runway(moved, name)
            yield there
            yield from _starts(there)


def _starts(question: Question) -> Iterator[Question]:
    """Yield the question at starts of its windows, a quarter of an hour apart, the nearest to the one asked first."""
    depart_at = question.flight.depart_at
    if depart_at is None:
        return
    asked = minutes(depart_at)
    starts: set[float] = set()
    for window in windows(question):
        first, last = minutes(window.start_at), minutes(window.end_at)
        starts |= {first, last}
        step = STEP_MIN * (first // STEP_MIN + 1.0)
        while step < last:
            starts.add(step)
            step += STEP_MIN
    for start in sorted(starts, key=lambda start: (abs(start - asked), start)):
        yield choices.with_start(question, start)
