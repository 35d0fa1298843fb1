"""What people do about a flight before it is flown: ask, change, give weather and fuel, declare, say no, judge."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import replace
from datetime import datetime, timedelta
from typing import Any, Literal

from gyrewright.air.reports import decode_metar, decode_taf
from gyrewright.desk import clock
from gyrewright.desk.book.kinds.flight import FlightAsked, FlightDropped, Judged, WeatherGiven, Why
from gyrewright.desk.book.kinds.people import Declared, No, NoTakenBack, Today
from gyrewright.desk.book.kinds.people import Why as NoWhy
from gyrewright.desk.book.kinds.upkeep import FuelMeasured
from gyrewright.desk.book.reading import record_with_id
from gyrewright.desk.book.record import Entry, Kept
from gyrewright.desk.book.writing import append
from gyrewright.desk.fold.asked import Asked
from gyrewright.desk.refusal import NotAllowed, Refused
from gyrewright.desk.services import bookings, state
from gyrewright.desk.services.answers import Answered, answered, digest
from gyrewright.desk.services.entitling import require_reach
from gyrewright.desk.services.people import aircraft_of
from gyrewright.desk.services.records import new_id, record_act
from gyrewright.desk.services.releases import supersede
from gyrewright.desk.services.statements import WORDS
from gyrewright.errors import ReportError, UnitError
from gyrewright.people.person import FITNESS
from gyrewright.people.roles import may
from gyrewright.reading import Problems, Section
from gyrewright.release.flight import EMPTY, read_flight
from gyrewright.units import parse_quantity

BEHIND, AHEAD = timedelta(days=1), timedelta(days=366)
"""How far a flight that is asked for may lie behind the clock and ahead of it; further off, the day is mistyped."""

MOST_FUEL_L = 1000.0
"""More fuel than this is a slip of the pen. [L]"""

MOST_LESSONS = 50
"""More lessons than this in one day are a slip of the pen."""


def ask_flight(*, id: str, aircraft: str, act: FlightAsked, by: str, booking: str = "") -> Kept:
    """Record a flight that somebody would like to make; it is read once as a question before it is kept.

    A booking that it was asked for by is counted no longer: the flight is.

    Raises:
        NotAllowed: The person asks for no flights here.
        DefinitionError: Something asked for is not there, or does not read.
        Refused: It starts in the past or too far ahead, somebody sits in two seats, a flight was asked for by this
            booking already, or it was cancelled.
    """
    require_reach("flight-ask", person=by, is_own=True)
    _reads(aircraft, act)
    now = clock.now()
    entries = [Entry(id, act, now, by, aircraft)]
    if booking:
        booked = bookings.booking(booking, now)
        if booked.act.asked == id:
            return append(entries)[0]
        if not booked.is_open:
            raise Refused("this booking was cancelled, or a flight was asked for by it already")
        entries.append(bookings.asked_by(booked, flight=id, by=by))
    return append(entries)[0]


def change_flight(*, id: str, flight: str, aircraft: str, act: FlightAsked, by: str) -> Kept:
    """Record that something else is asked for; in another aircraft it is another flight, and this one is dropped."""
    now = clock.now()
    asked = _open(flight, now)
    require_reach("flight-change", person=by, is_own=is_of(asked, by))
    _reads(aircraft, act)
    if aircraft == asked.aircraft:
        kept = record_act(id=id, act=act, by=by, about=aircraft, corrects=asked.record.id)
    else:
        dropped = Entry(new_id(), FlightDropped(flight=asked.id), now, by, asked.aircraft)
        kept = append([Entry(id, act, now, by, aircraft), dropped])[0]
    supersede(by=by)
    return kept


def drop_flight(*, id: str, flight: str, by: str) -> Kept:
    """Record that a flight will not be made; nobody has to say why."""
    asked = _open(flight, clock.now())
    require_reach("flight-drop", person=by, is_own=is_of(asked, by))
    kept = record_act(id=id, act=FlightDropped(flight=asked.id), by=by, about=asked.aircraft)
    supersede(by=by)
    return kept


def _open(flight: str, at: datetime) -> Asked:
    asked = state.flight(flight, at)
    if not asked.is_open:
        raise Refused("this flight was dropped or flown; ask for a new one")
    return asked


def is_of(asked: Asked, person: str) -> bool:
    """Return whether a flight is a person's own: theirs to fly, asked by them, or in their aircraft."""
    if person in asked.people or person == asked.record.by:
        return True
    return asked.aircraft in aircraft_of(person, on=clock.now().astimezone(state.zone()).date())


def _reads(aircraft: str, act: FlightAsked) -> None:
    """Build the question once, so that nothing is kept that no answer can be given to."""
    now = clock.now()
    if not now - BEHIND <= act.depart_at <= now + AHEAD:
        raise Refused(
            f"a flight is asked for up to {AHEAD.days} days ahead, and this would start {act.depart_at:%d %b %Y};"
            " check the day"
        )
    seated = [person for person in act.seats.values() if person not in ("", EMPTY)]
    if len(set(seated)) < len(seated):
        raise Refused("the same person is put into two seats; seat each once, and leave a seat empty where nobody is")
    template = Entry(new_id(), act, now, "laptop", aircraft)
    state.question(_unrecorded(template), now)


def _unrecorded(entry: Entry) -> Asked:
    from gyrewright.desk.book.record import Recorded

    record = Recorded(
        0,
        entry.id,
        "flight-asked",
        entry.done_at,
        entry.done_at,
        entry.by,
        entry.about,
        "",
        entry.act,
        None,
        False,
        "",
    )
    return Asked(entry.id, record)


def give_report(*, id: str, text: str, by: str) -> Kept:
    """Record a pasted weather report or forecast; which of the two it is, it says itself.

    Raises:
        Refused: It cannot be read as either, or is of a later time than now.
    """
    require_reach("flight-report", person=by, is_own=True)
    text = " ".join(text.split())
    now = clock.now()
    form: Literal["report", "forecast"] = "forecast" if text.upper().startswith("TAF") else "report"
    try:
        found = decode_taf(text, received_on=now) if form == "forecast" else decode_metar(text, received_on=now)
    except ReportError as error:
        raise Refused(str(error)) from None
    if found.is_from_future:
        raise Refused(f"this {form} is of a later time than this clock shows; check both")
    kept = record_act(id=id, act=WeatherGiven(text=text, form=form), by=by, done_at=now)
    supersede(by=by)
    return kept


def give_none(*, id: str, form: Literal["report", "forecast"], by: str) -> Kept:
    """Record somebody's word that there is no report, or no forecast, for this place and time."""
    require_reach("flight-report", person=by, is_own=True)
    kept = record_act(id=id, act=WeatherGiven(text="", form=form), by=by)
    supersede(by=by)
    return kept


def give_observation(*, id: str, text: str, by: str) -> Kept:
    """Record the weather as somebody read it at the field: the text of an observation table.

    Raises:
        DefinitionError: It does not read.
    """
    require_reach("flight-report", person=by, is_own=True)
    problems = Problems()
    table = {"operation": "operation", "aircraft": "any", "time": {"depart": clock.now()}}
    weather = tomllib.loads(text)
    read_flight(Section({**table, "weather": weather}, file="the weather", problems=problems))
    problems.stop_if_any()
    kept = record_act(id=id, act=WeatherGiven(text=text, form="typed"), by=by)
    supersede(by=by)
    return kept


def measure_fuel(*, ids: Mapping[str, str], aircraft: str, readings: Mapping[str, str], by: str) -> list[Kept]:
    """Record what stick and gauge show now.

    Args:
        ids: An id for each of "stick" and "gauge" that was read.
        aircraft: The aircraft.
        readings: What each showed, with its unit.
        by: Who read them.
    """
    require_reach("flight-report", person=by, is_own=True)
    if not readings:
        raise Refused("write what the stick or the gauge shows, such as 40 L")
    for text in readings.values():
        _within(
            text, "volume", MOST_FUEL_L, "is no amount of fuel; write what the stick or the gauge shows, such as 40 L"
        )
    now = clock.now()
    entries = [
        Entry(
            ids[by_what],
            FuelMeasured(by_what=by_what, aboard=aboard),  # type: ignore[arg-type]
            now,
            by,
            aircraft,
        )
        for by_what, aboard in readings.items()
    ]
    kept = append(entries)
    supersede(by=by)
    return kept


def declare(
    *,
    id: str,
    flight: str,
    person: str,
    answers: Mapping[str, bool],
    by: str,
    fitness: str = "",
    slept: str = "",
    lessons: str = "",
) -> Kept:
    """Record what a person declares in one signed act, with their word of the day where they give it.

    Raises:
        NotAllowed: Somebody would declare for another, or has no part in the flight.
        Refused: Nothing is said, or an amount does not read.
    """
    if person != by:
        raise NotAllowed("nobody declares for another; the person signs with their own name")
    now = clock.now()
    asked = _open(flight, now)
    if person not in asked.people:
        raise NotAllowed("only the people of this flight declare for it")
    if not (answers or fitness or slept or lessons):
        raise Refused("nothing was said; answer each line, or sign all of them")
    if fitness and fitness not in FITNESS:
        raise Refused(f"{fitness!r} is no word for it; use {', '.join(FITNESS)}")
    if lessons and not (lessons.isascii() and lessons.isdigit() and int(lessons) <= MOST_LESSONS):
        raise Refused(f"{lessons!r} is no number of lessons; write a whole number from 0 to {MOST_LESSONS}")
    if slept:
        _within(slept, "time", 24.0, "does not fit a day; write the hours you slept, such as 7.5 h")
    said: list[Any] = []
    if answers:
        words = {name: WORDS[name] for name in answers if name in WORDS}
        said.append(Declared(answers=dict(answers), flight=asked.id, words=words))
    if fitness or slept or lessons:
        on = now.astimezone(state.zone()).date()
        said.append(Today(on=on, fitness=fitness, slept=slept, lessons=int(lessons) if lessons else None))  # type: ignore[arg-type]
    # The act's own id goes with what is recorded first: handed in again, it is the same act.
    entries = [Entry(new_id() if number else id, act, now, person, person) for number, act in enumerate(said)]
    kept = append(entries)
    supersede(by=by)
    return kept[0]


def _within(text: str, dimension: str, most: float, wrong: str) -> None:
    try:
        value = parse_quantity(dimension, text).value
    except UnitError as error:
        raise Refused(str(error)) from None
    if not 0.0 <= value <= most:
        raise Refused(f"{text!r} {wrong}")


def say_no(*, id: str, flight: str, by: str, why: str = "") -> Kept:
    """Record a no to a flight. Nobody can overrule it, and nobody has to say why."""
    asked = state.flight(flight, clock.now())
    if by not in asked.people:
        raise NotAllowed("a no to this flight is its people's: those aboard, supervising or named on it")
    act = No(flight=asked.id)
    kept = record_act(id=id, act=act, by=by, about=by, personal=NoWhy(why=why) if why else None, person=by)
    supersede(by=by)
    return kept


def take_back_no(*, id: str, no: str, by: str) -> Kept:
    """Record that its speaker takes a no back.

    Raises:
        NotAllowed: It was said by somebody else.
    """
    said = record_with_id(no)
    if not isinstance(said.act, No):
        raise Refused("this record is no no")
    if said.by != by:
        raise NotAllowed("only whoever said this no may take it back, unasked")
    kept = record_act(id=id, act=NoTakenBack(no=no), by=by, about=by)
    supersede(by=by)
    return kept


def judge(*, id: str, flight: str, finding: str, answer: Literal["yes", "no"], why: str, by: str) -> Kept:
    """Record what the named person says to a finding that asks for judgement.

    Raises:
        NotAllowed: Somebody else is named.
        Refused: A yes gives no reason, or nothing asks for this judgement now.
    """
    now = clock.now()
    found = answered(_open(flight, now), now)
    kept = append([_judgement(found, id=id, finding=finding, answer=answer, why=why, by=by, now=now)])[0]
    supersede(by=by)
    return kept


def judge_unverified(*, ids: Mapping[str, str], flight: str, why: str, by: str) -> list[Kept]:
    """Record a yes to several findings that pass, but rest on limits which nobody checked against their page.

    One reason speaks for all of them: whoever reads the manual again reads all its pages. Each gets its own record.

    Args:
        ids: An id for the judgement of each finding, by the finding's key.
        flight: The flight.
        why: The reason.
        by: Who judges.

    Raises:
        NotAllowed: Somebody else is named.
        Refused: One of them asks for judgement for another reason, or there is no reason.
    """
    now = clock.now()
    found = answered(_open(flight, now), now)
    others = [each.key for each in found.judgements if each.key in ids and each.finding.why != UNVERIFIED]
    if others:
        raise Refused("what asks for judgement for a reason of its own is judged alone: say yes or no to each of those")
    entries = [
        _judgement(found, id=id, finding=finding, answer="yes", why=why, by=by, now=now) for finding, id in ids.items()
    ]
    kept = append(entries)
    supersede(by=by)
    return kept


UNVERIFIED = "unverified"
"""Why a finding asks for judgement that passes a limit which no second person has checked against its page."""


def _judgement(
    found: Answered, *, id: str, finding: str, answer: Literal["yes", "no"], why: str, by: str, now: datetime
) -> Entry:
    open_ones = {each.key: each for each in (*found.judgements, *found.refusals)}
    if finding not in open_ones:
        raise Refused("nothing asks for this judgement now; look at the answer again")
    one = open_ones[finding]
    person = found.question.people.get(by)
    allowed = person is not None and may(person, "judge", relations={"decider": one.who}).allowed
    if not allowed:
        raise NotAllowed(f"this judgement is {one.who}'s alone")
    if answer == "yes" and len(why.split()) < 2:
        raise Refused("a yes needs its reason; write in a few words why")
    told = one.finding
    act = Judged(
        flight=found.asked.id,
        finding=finding,
        answer=answer,
        found=digest(told.why, told.value, told.limit, dict(told.params)),
    )
    beside = Why(why=why) if why else None
    return Entry(id, act, now, by, found.asked.aircraft, personal=beside, person=by)


def as_asked(asked: Asked, **changes: Any) -> FlightAsked:
    """Return what is asked for with something else in it."""
    return replace(asked.act, **changes)
