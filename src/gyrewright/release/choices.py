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


def planned(name: str, value: float, typed: str) -> Fact:
    """Return a fact that somebody still has to bring about."""
    return Fact(name, value, typed, Origin.PLANNED, where="a choice")


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
    return _flight(question, block=Fact("block_h", block_h, f"{block_h:g} h", where="a choice"))


def with_open_end(question: Question) -> Question:
    """Return the question with its end left open: how long is then part of the answer."""
    return _flight(question, block=Fact("block_h", OPEN, OPEN, where="a choice"))


def with_runway(question: Question, name: str) -> Question:
    """Return the question from another runway."""
    return _flight(question, runway=Fact("runway_name", name, name, where="a choice"))


def with_seats_swapped(question: Question) -> Question | None:
    """Return the question with the two people aboard in each other's seat; None where there are not two."""
    seats = question.flight.seats
    if len(seats) != 2 or EMPTY in (seats[0][1], seats[1][1]):
        return None
    (first, one), (second, other) = seats
    return _flight(question, seats=((first, other), (second, one)))


def with_aircraft(question: Question, aircraft: Aircraft, fuel_l: float) -> Question:
    """Return the question in another aircraft: the same people by the order of the seats, so much fuel, nothing else.

    Neither a walk-round, a stick reading nor ballast moves along: fuel and loads are planned, and still to do.
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
        loads=tuple(planned(f"load_kg:{place.id}", 0.0, "0 kg") for place in others),
        fuel=(planned("fuel_planned_l", fuel_l, f"{fuel_l:g} L"),),
        configuration=frozenset(),
    )
    return replace(question, flight=flight, aircraft=aircraft)


def with_instructor(question: Question, person: str) -> Question:
    """Return the question with another instructor in the seat and the command of the one named."""
    flight = question.flight
    before = dict(flight.parts).get("instructor", "")
    return _flight(
        question,
        seats=tuple((seat, person if each == before else each) for seat, each in flight.seats),
        parts=tuple((part, person if each == before else each) for part, each in flight.parts),
    )


def started_in_time(question: Question) -> Question | None:
    """Return the question with its start late enough to carry out what is only planned, as the house allows for it.

    None where something is to be done, the start is not later than now, and the house does not say how long it takes.
    """
    asked_at, depart_at = question.asked_at, question.flight.depart_at
    plans = [fact for fact in (*question.flight.fuel, *question.flight.loads) if fact.origin is Origin.PLANNED]
    if not plans or asked_at is None or depart_at is None or asked_at < depart_at:
        return question
    prepare = next(fact for fact in question.operation.counting if fact.name == "time_to_prepare_h")
    if not prepare.is_known:
        return None
    return _flight(question, depart_at=asked_at + timedelta(hours=prepare.value))


def with_lesson(question: Question, lesson: str) -> Question:
    """Return the question as another lesson."""
    return _flight(question, lesson=Fact("lesson", lesson, lesson, where="a choice"))


def asked_at(question: Question, moment: datetime) -> Question:
    """Return the question asked at another moment."""
    return replace(question, asked_at=moment)


def _flight(question: Question, **changes: object) -> Question:
    return replace(question, flight=replace(question.flight, **changes))  # type: ignore[arg-type]
