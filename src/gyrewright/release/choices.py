"""What may still be changed about a flight, each as a question of its own.

Choices, never facts: how much fuel, when, how long, from which runway, in which aircraft, who sits where, what lies in
the lockers. Nobody here makes the wind milder, a weighed mass a stated one, or a judge another person. What a change
has not carried out yet is planned, and becomes a condition of the answer.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, timedelta

from gyrewright.air.course import moment_of
from gyrewright.fact import Fact, Origin
from gyrewright.release.flight import EMPTY, OPEN
from gyrewright.release.question import Aircraft, Question

CHOICE = "a choice"
"""Where a fact comes from that nobody has typed: it was chosen here."""


def planned(name: str, value: float | str, typed: str) -> Fact:
    """Return a fact that somebody still has to bring about."""
    return Fact(name, value, typed, Origin.PLANNED, where=CHOICE)


def with_fuel(question: Question, fuel_l: float) -> Question:
    """Return the question with so much fuel aboard, as both readings will have to show. [L]"""
    kept = tuple(fact for fact in question.flight.fuel if fact.name != "fuel_planned_l")
    return _flight(question, fuel=(*kept, planned("fuel_planned_l", fuel_l, f"{fuel_l:g} L")))


def with_load(question: Question, station: str, mass_kg: float) -> Question:
    """Return the question with so much in a locker or a ballast place. [kg]"""
    name = f"load_kg:{station}"
    kept = tuple(fact for fact in question.flight.loads if fact.name != name)
    return _flight(question, loads=(*kept, planned(name, mass_kg, f"{mass_kg:g} kg")))


def with_start(question: Question, depart_min: float) -> Question:
    """Return the question with another start."""
    return _flight(question, depart_at=moment_of(depart_min))


def with_block(question: Question, block_h: float) -> Question:
    """Return the question with another length of flight. [h]"""
    return _flight(question, block=Fact("block_h", block_h, f"{block_h:g} h", where=CHOICE))


def with_open_end(question: Question) -> Question:
    """Return the question with its end left open: how long is then part of the answer."""
    return _flight(question, block=Fact("block_h", OPEN, OPEN, where=CHOICE))


def with_runway(question: Question, name: str) -> Question:
    """Return the question from another runway."""
    return _flight(question, runway=Fact("runway_name", name, name, where=CHOICE))


def with_seats_swapped(question: Question) -> Question | None:
    """Return the question with the two people aboard in each other's seat; None where there are not two."""
    seats = question.flight.seats
    if len(seats) != 2 or EMPTY in (seats[0][1], seats[1][1]):
        return None
    (first, one), (second, other) = seats
    return _flight(question, seats=((first, other), (second, one)))


def with_aircraft(question: Question, aircraft: Aircraft, fuel_l: float) -> Question:
    """Return the question in another aircraft: the same people by the order of the seats, so much fuel, nothing else.

    Neither a walk-round, a stick reading, ballast nor a configuration moves along: the aircraft's own books say what is
    done, and fuel, loads and that nothing is fitted or taken off are planned, and still to do.
    """
    definition = aircraft.definition
    places = [station for station in definition.stations if station.kind == "seat"]
    others = [station for station in definition.stations if station.kind != "seat"]
    people = [person for _, person in question.flight.seats]
    people += [EMPTY] * (len(places) - len(people))
    flight = replace(
        question.flight,
        aircraft_id=definition.id,
        seats=tuple((place.id, person) for place, person in zip(places, people, strict=False)),
        loads=(
            *(planned(f"load_kg:{place.id}", 0.0, "0 kg") for place in others),
            planned("configuration:configuration", "", "nothing changed"),
        ),
        fuel=(planned("fuel_planned_l", fuel_l, f"{fuel_l:g} L"),),
        configuration=frozenset(),
    )
    return replace(question, flight=flight, aircraft=aircraft)


def with_crew(question: Question, seats: tuple[str, ...], parts: tuple[tuple[str, str], ...]) -> Question:
    """Return the question with other people, by the order of the seats, and the parts that they take."""
    places = [station.id for station in question.definition.stations if station.kind == "seat"]
    return _flight(question, seats=tuple(zip(places, seats, strict=True)), parts=parts)


def with_instructor(question: Question, person: str) -> Question:
    """Return the question with another instructor in the seat and the command of the one named."""
    flight = question.flight
    before = dict(flight.parts).get("instructor", "")
    return _flight(
        question,
        seats=tuple((seat, person if each == before else each) for seat, each in flight.seats),
        parts=tuple((part, person if each == before else each) for part, each in flight.parts),
    )


def with_instructor_aboard(question: Question, person: str) -> Question | None:
    """Return a student's flight alone as a dual one with an instructor in command; None where no one seat is free."""
    flight = question.flight
    free = [seat for seat, who in flight.seats if who == EMPTY]
    if flight.purpose.value != "student alone" or len(free) != 1:
        return None
    parts = {**dict(flight.parts), "commander": person, "instructor": person}
    return _flight(
        question,
        purpose=Fact("purpose", "instruction", "instruction", where=CHOICE),
        seats=tuple((seat, person if seat == free[0] else who) for seat, who in flight.seats),
        parts=tuple(parts.items()),
    )


def ready_at(question: Question) -> datetime | None:
    """Return when what was chosen here can be carried out at the earliest, as the house allows for it.

    None where nothing is to be done, or nobody says how long it takes.
    """
    chosen = [fact for fact in (*question.flight.fuel, *question.flight.loads) if fact.where == CHOICE]
    prepare = next(fact for fact in question.operation.counting if fact.name == "time_to_prepare_h")
    if not chosen or question.asked_at is None or not prepare.is_known:
        return None
    return question.asked_at + timedelta(hours=prepare.value)


def started_in_time(question: Question) -> Question:
    """Return the question with its start late enough to carry out what was chosen; the same one where it is already.

    Where the house does not say how long that takes, the start stays as it is: at once, it is then too early.
    """
    ready, depart_at = ready_at(question), question.flight.depart_at
    if ready is None or depart_at is None or ready <= depart_at:
        return question
    return _flight(question, depart_at=ready)


def with_lesson(question: Question, lesson: str) -> Question:
    """Return the question as another lesson."""
    return _flight(question, lesson=Fact("lesson", lesson, lesson, where=CHOICE))


def _flight(question: Question, **changes: object) -> Question:
    return replace(question, flight=replace(question.flight, **changes))  # type: ignore[arg-type]
