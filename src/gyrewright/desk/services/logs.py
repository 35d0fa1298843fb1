"""Three logs of one flight, the aircraft's, the pilot's and the instructor's: they agree, or they become one question.

The aircraft's log is the flight's own record. Everybody aboard may say what theirs shows; nobody's is filled in for
them. A log counts in tenths of an hour, and from wheels off or from moving off, so as much apart is no difference.
What differs blocks nothing: it is asked about on the day.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta

from django.db.models import Q

from gyrewright.desk.book.kinds.flight import FlightDone, FlightLogged, LoggedPersonal, LogsAnswered, Why
from gyrewright.desk.book.kinds.people import Lesson
from gyrewright.desk.book.record import Kept, Recorded
from gyrewright.desk.fold.asked import Asked
from gyrewright.desk.fold.standing import standing
from gyrewright.desk.refusal import NotAllowed, Refused
from gyrewright.desk.services import state
from gyrewright.desk.services.answers import digest
from gyrewright.desk.services.flown import id_of, ids_of
from gyrewright.desk.services.follows import Counted, counted
from gyrewright.desk.services.questions import question_about
from gyrewright.desk.services.records import new_id, record_act
from gyrewright.errors import UnitError
from gyrewright.maintenance.spans import HOURS
from gyrewright.units import parse_quantity

LOG_KINDS = ("flight-logged", "logs-answered", "lesson", "withdrawn", "clash", "clash-settled")
TENTH_H = 0.1
"""What logs are kept to: one decimal of an hour. Common practice, no source."""

SLOWEST_METER = 0.8
"""A meter that counts turns of the engine runs slower than the clock at low power. Common practice, no source."""

WARM_UP_H = 0.5
"""How much longer an engine may run than the flight, warming up and cooling down. Common practice, no source."""

MOST_H = 24.0


@dataclass(frozen=True, slots=True)
class Log:
    """What one log says; None where it does not say."""

    person: str
    record: Recorded
    hours: float
    take_offs: int | None
    landings: int | None


@dataclass(frozen=True, slots=True)
class Difference:
    """Something on which logs of a flight do not agree: what, with gaps for names, and whom it is about."""

    what: str
    person: str = ""


@dataclass(frozen=True, slots=True)
class Logs:
    """The logs of one flight beside each other.

    `answered` is what a person said to exactly these differences, where somebody has.
    """

    own: Mapping[str, Log]
    differences: tuple[Difference, ...]
    answered: Recorded | None

    @property
    def is_open(self) -> bool:
        """Whether there is a question that nobody has answered."""
        return bool(self.differences) and self.answered is None


def has_question(asked: Asked, at: datetime) -> bool:
    """Return whether a flown flight asks something that nobody has answered: two truths, or logs that differ."""

    def look() -> bool:
        return question_about(ids_of(asked, at)) is not None or logs_of(asked, at).is_open

    if asked.done is None:
        return False
    return asked.in_question or state.kept(("logs", asked.id, state.head_seq()), look)


def logs_of(asked: Asked, at: datetime, found: Counted | None = None) -> Logs:
    """Return the logs of a flight that has its numbers, and on what they differ."""
    assert asked.done is not None
    records = state.records_of(("logs",), Q(kind__in=LOG_KINDS))
    counting = standing(records, at=at).records
    own = {}
    for each in counting:
        if isinstance(each.act, FlightLogged) and each.act.flight == asked.id:
            hours = parse_quantity("time", each.act.hours).value
            own[each.about] = Log(each.about, each, hours, each.act.take_offs, each.act.landings)
    lessons = [each for each in counting if isinstance(each.act, Lesson) and each.act.flight == asked.id]
    found = found or counted(asked, at)
    differences = (*_of_people(asked, own, found), *_of_lessons(lessons, found), *_of_meters(asked, found, at))
    differences = (*differences, *_elsewhere(asked, at))
    told = digest([(each.what, each.person) for each in differences])
    answers = [each for each in counting if isinstance(each.act, LogsAnswered) and each.act.flight == asked.id]
    answered = next((each for each in reversed(answers) if each.act.found == told), None)
    return Logs(own, differences, answered)


def _within(value: float, low: float, high: float, apart: float) -> bool:
    return low - apart - 1e-9 <= value <= high + apart + 1e-9


def _of_people(asked: Asked, own: Mapping[str, Log], found: Counted) -> list[Difference]:
    out = []
    act: FlightDone = asked.done.act  # type: ignore[union-attr]
    both = [each for each in act.landed if not each.by]
    more = (sum(each.take_offs for each in both), sum(each.full_stops + each.touch_and_goes for each in both))
    for each in found.own:
        log = own.get(each.person)
        if log is None:
            continue
        if not _within(log.hours, found.air_h, found.flight_h, TENTH_H):
            out.append(
                Difference(
                    f"{{name}}'s own log says {log.hours:.1f} h, the aircraft's {found.flight_h:.1f} h", each.person
                )
            )
        for word, said, mine, extra in (
            ("take-offs", log.take_offs, each.take_offs, more[0]),
            ("landings", log.landings, each.landings, more[1]),
        ):
            if said is not None and not mine <= said <= mine + extra:
                out.append(
                    Difference(f"{{name}}'s own log says {said} {word}, the aircraft's gives them {mine}", each.person)
                )
    return out


def _of_lessons(lessons: list[Recorded], found: Counted) -> list[Difference]:
    out = []
    for each in lessons:
        spans = [parse_quantity("time", text).value for text in (each.act.dual, each.act.solo) if text]
        if spans and not _within(sum(spans), found.air_h, found.flight_h, TENTH_H):
            what = f"the lesson entered for {{name}} says {sum(spans):.1f} h, the aircraft's log {found.flight_h:.1f} h"
            out.append(Difference(what, each.about))
    return out


def _of_meters(asked: Asked, found: Counted, at: datetime) -> list[Difference]:
    """Return the meters that moved less than they can have, or more than all flying since they were read before."""
    out = []
    mine: FlightDone = asked.done.act  # type: ignore[union-attr]
    for each in found.meters:
        if each.counts != HOURS or each.used is None or each.before_at is None:
            continue
        acts = [
            other.done.act
            for other in state.flights(at).values()
            if other.aircraft == asked.aircraft
            and other.done is not None
            and each.before_at < other.done.act.ended_at <= mine.ended_at
        ]
        air = sum((act.on_at - act.off_at) / timedelta(hours=1) for act in acts)
        most = sum((act.ended_at - act.began_at) / timedelta(hours=1) + WARM_UP_H for act in acts)
        if each.used < air * SLOWEST_METER - TENTH_H - 1e-9:
            out.append(Difference(f"the {each.name} meter moved {each.used:.1f} h in {air:.1f} h in the air"))
        elif each.used > most + TENTH_H + 1e-9:
            out.append(
                Difference(
                    f"the {each.name} meter moved {each.used:.1f} h since it was read before, and {air:.1f} h of flying"
                    " are entered: a slip, or flying that nobody entered"
                )
            )
    return out


def _elsewhere(asked: Asked, at: datetime) -> list[Difference]:
    """Return whoever is down in two aircraft at once."""
    mine: FlightDone = asked.done.act  # type: ignore[union-attr]
    out = []
    for other in state.flights(at).values():
        if other.id == asked.id or other.done is None:
            continue
        theirs: FlightDone = other.done.act
        if mine.began_at < theirs.ended_at and theirs.began_at < mine.ended_at:
            out += [
                Difference(f"{{name}} is down in {other.aircraft} at the same time", person)
                for person in sorted(set(mine.aboard) & set(theirs.aboard))
            ]
    return out


# --- what people say ---


def log_own(
    *,
    id: str = "",
    flight: str,
    person: str,
    hours: str,
    take_offs: int | None,
    landings: int | None,
    remarks: str = "",
    by: str,
    at: datetime,
) -> Kept:
    """Record what a person's own log says of a flight they were aboard of; said again, it corrects what they said.

    Raises:
        NotAllowed: Somebody else's log, or a flight they were not aboard of.
        Refused: The flight has no numbers yet, or the hours do not read.
    """
    asked = state.flight(flight, at)
    if asked.done is None or asked.in_question:
        raise Refused("the flight's own numbers come first; enter them, or say which of them are true")
    if person != by or person not in asked.done.act.aboard:
        raise NotAllowed("everybody speaks for their own log, of flights that they were aboard of")
    try:
        value = parse_quantity("time", hours).value
    except UnitError as error:
        raise Refused(str(error)) from None
    if not 0.0 < value <= MOST_H:
        raise Refused(f"{hours} is no length of a flight; write such as 0.9 h")
    act = FlightLogged(flight=asked.id, hours=hours, take_offs=take_offs, landings=landings)
    before = logs_of(asked, at).own.get(person)
    personal = LoggedPersonal(remarks=remarks) if remarks else None
    if before is None:
        return record_act(id=id_of(asked.id, f"log {person}"), act=act, by=by, about=person, personal=personal)
    return record_act(id=id or new_id(), act=act, by=by, about=person, corrects=before.record.id, personal=personal)


def answer_logs(*, id: str, flight: str, why: str, by: str, at: datetime) -> Kept:
    """Record that the logs of a flight differ and each stays as it is, and why. Another difference asks anew.

    Raises:
        NotAllowed: It is somebody else's flight.
        Refused: Nothing differs, or no reason is given.
    """
    asked = state.flight(flight, at)
    if asked.done is None:
        raise Refused("this flight has no numbers yet")
    logs = logs_of(asked, at)
    if not logs.differences:
        raise Refused("the logs agree; nothing is asked")
    if len(why.split()) < 2:
        raise Refused("write in a few words why they differ, so that nobody has to ask again in three years")
    told = digest([(each.what, each.person) for each in logs.differences])
    act = LogsAnswered(flight=asked.id, found=told)
    return record_act(id=id, act=act, by=by, about=asked.aircraft, personal=Why(why=why), person=by)
