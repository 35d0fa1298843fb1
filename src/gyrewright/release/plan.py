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
from gyrewright.release.search import acceptable, fuel_here, nearest
from gyrewright.release.solved import tank_of
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
        for candidate in _candidates(asked, fleet):
            if _clashes(candidate, slots):
                continue
            slot = Slot(asked, candidate, _counted(asked, candidate, slots))
            as_asked = candidate is asked and slot.answer.verdict <= Verdict.JUDGE
            if (as_asked or acceptable(slot.answer)) and _leaves(slot, slots):
                slots.append(slot)
                break
        else:
            slots.append(Slot(asked, None, _counted(asked, asked, slots)))
    return tuple(slots)


def _counted(asked: Question, question: Question, slots: Iterable[Slot]) -> Answer:
    """Return the answer to a place for a flight, with everything counted that flies before it, but not itself.

    A lesson that begins later than the question is asked is not given yet, and the law would not count it. So it is
    asked again as it will stand when the last one before it has begun; what stops it then, stops it.
    """
    depart_at = question.flight.depart_at
    before = [slot for slot in slots if _starts_before(slot, depart_at)]
    counted = _after(_unbooked(question, asked), before)
    answer = decide(counted)
    instructor = dict(question.flight.parts).get("instructor")
    lessons = [
        slot.question.flight.depart_at
        for slot in before
        if slot.question is not None and dict(slot.question.flight.parts).get("instructor") == instructor
    ]
    begun = max((each for each in lessons if each is not None), default=None)
    if answer.verdict > Verdict.JUDGE or begun is None or question.asked_at is None or begun <= question.asked_at:
        return answer
    again = decide(replace(counted, asked_at=begun))
    return again if any(each.verdict is Verdict.STOP for each in again.findings) else answer


def _leaves(new: Slot, slots: Sequence[Slot]) -> bool:
    """Return whether the flights that have a place already, and fly later, can still go when a new one is counted."""
    assert new.question is not None
    start = new.question.flight.depart_at
    for slot in slots:
        if slot.question is None or _starts_before(slot, start) or not _shares(slot.question, new.question):
            continue
        others = [each for each in slots if each is not slot]
        if _counted(slot.asked, slot.question, [*others, new]).verdict > Verdict.JUDGE:
            return False
    return True


def _starts_before(slot: Slot, moment: datetime | None) -> bool:
    times = _times(slot.question)
    return times is not None and moment is not None and times[0] < moment


def _shares(first: Question, second: Question) -> bool:
    """Return whether two flights need the same aircraft or somebody's time."""
    return first.definition.id == second.definition.id or bool(_people(first) & _people(second))


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
        if mine[0] < theirs[1] and theirs[0] < mine[1] and _shares(question, slot.question):
            return True
    return False


def _after(question: Question, slots: Iterable[Slot]) -> Question:
    """Return the question with the flights placed so far counted: as bookings of its aircraft, as teaching given."""
    for slot in slots:
        times = _times(slot.question)
        if slot.question is None or times is None:
            continue
        question = _unbooked(question, slot.asked)
        if slot.question.definition.id == question.definition.id:
            question = _booked(question, Booking(times[0], _hours(slot.question)))
        instructor = dict(slot.question.flight.parts).get("instructor", "")
        if instructor in question.people and slot.question.flight.purpose.value == "instruction":
            person = question.people[instructor]
            if person.taught is not None:
                taught = (*person.taught, times)
                question = replace(question, people={**question.people, instructor: replace(person, taught=taught)})
    return question


def _unbooked(question: Question, asked: Question) -> Question:
    """Return the question without the booking of a flight in the aircraft and for the start that it asked for."""
    records = question.aircraft.records
    if records is None or records.bookings is None or asked.definition.id != question.definition.id:
        return question
    kept = tuple(each for each in records.bookings if each.at != asked.flight.depart_at)
    return replace(question, aircraft=replace(question.aircraft, records=replace(records, bookings=kept)))


def _booked(question: Question, booking: Booking) -> Question:
    records = question.aircraft.records
    if records is None or records.bookings is None:
        return question
    bookings = (*records.bookings, booking)
    return replace(question, aircraft=replace(question.aircraft, records=replace(records, bookings=bookings)))


def _candidates(question: Question, fleet: Sequence[Aircraft]) -> Iterator[Question]:
    """Yield the places that a flight could take, the least change first."""
    yield question
    question = _unbooked(question, question)
    runways = [question.flight.runway.value, *(runway.name for runway in question.field.runways)]
    names = list(dict.fromkeys(name for name in runways if name))
    for name in names[1:]:
        yield choices.with_runway(question, name)
    for name in names:
        yield from _starts(choices.with_runway(question, name))
    for aircraft in fleet:
        if aircraft.definition.id == question.definition.id:
            continue
        moved = choices.with_aircraft(question, aircraft, 0.0)
        tank = tank_of(moved)
        if tank.needs_l is None or tank.most_l is None or not tank.has_answer:
            continue
        moved = choices.with_fuel(moved, nearest(fuel_here(question), tank.needs_l, tank.most_l))
        for name in names:
            there = choices.with_runway(moved, name)
            yield choices.started_in_time(there)
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
