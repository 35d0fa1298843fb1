"""In which capacities a person may fly an aircraft today, by their papers alone: no weather, no loading, no machine.

The checks are those of a flight, asked of one that is nothing else: by day, from the field and back, in no controlled
airspace. Of all checks only those are made that rest on what is written about that person; what somebody says of
themself for one flight is asked at the flight.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date, datetime, time, tzinfo

from gyrewright.aircraft.definition import Definition
from gyrewright.fact import Fact, Origin, missing
from gyrewright.people import Person
from gyrewright.people.facts import papers_of
from gyrewright.release.answer import Answer
from gyrewright.release.decide import answer_of
from gyrewright.release.flight import EMPTY, Flight
from gyrewright.release.question import Question
from gyrewright.release.situation import situation_of
from gyrewright.sheet import MAYBE

BESIDE = frozenset(("insurance",))
"""Facts about people that are no paper of their own, and that a standing rests on all the same."""
OF_THE_MACHINE = frozenset(("check_flight_needed",))
"""Facts of a check that asks about a pilot's papers only because of the machine."""
AT_NOON = time(12)
SOMEBODY = "somebody"
_TEACHERS = frozenset(("instructor", "named instructor", "chief instructor"))


@dataclass(frozen=True, slots=True)
class Capacity:
    """A way in which a person flies.

    Attributes:
        name: As the catalogue of words knows it.
        purpose: What the flight is for.
        parts: The parts that the person has in it, whose papers count.
        aboard: How many are aboard.
    """

    name: str
    purpose: str
    parts: tuple[str, ...]
    aboard: int


TAUGHT = Capacity("taught", "instruction", ("student",), 2)
STUDENT_ALONE = Capacity("student alone", "student alone", ("commander", "student"), 1)
RENT_ALONE = Capacity("rent alone", "rental", ("commander",), 1)
RENT_WITH_SOMEBODY = Capacity("rent with somebody", "rental", ("commander",), 2)
PRIVATE_ALONE = Capacity("private alone", "private", ("commander",), 1)
PRIVATE_WITH_SOMEBODY = Capacity("private with somebody", "private", ("commander",), 2)
TEACH = Capacity("teach", "instruction", ("commander", "instructor"), 2)
EXAMINE = Capacity("examine", "test", ("examiner",), 2)
CAPACITIES = (
    TEACH,
    EXAMINE,
    RENT_WITH_SOMEBODY,
    RENT_ALONE,
    PRIVATE_WITH_SOMEBODY,
    PRIVATE_ALONE,
    STUDENT_ALONE,
    TAUGHT,
)


def capacities_of(person: Person, *, owns: bool = False) -> tuple[Capacity, ...]:
    """Return the capacities in which a person may be asked about at all, by their roles.

    `owns` says that the aircraft is the person's own. Who owns it, or teaches here, flies it privately; others rent it.
    """
    teaches = bool(person.roles & _TEACHERS)
    out: list[Capacity] = [TEACH] if teaches else []
    if "examiner" in person.roles:
        out.append(EXAMINE)
    if owns or teaches or "examiner" in person.roles:
        out += [PRIVATE_WITH_SOMEBODY, PRIVATE_ALONE]
    elif "pilot" in person.roles:
        out += [RENT_WITH_SOMEBODY, RENT_ALONE]
    if "student" in person.roles:
        out += [STUDENT_ALONE, TAUGHT]
    return tuple(out)


def standing_in(capacity: Capacity, *, question: Question) -> Answer:
    """Return what stands for and against a person in a capacity, by papers alone.

    Args:
        capacity: One of those above.
        question: The flight that `flight_for` returns, with everything that an answer rests on.
    """
    situation = situation_of(question)
    # An insurer names whoever answers for a flight: never a student, nor an examiner.
    answers = "commander" in capacity.parts and "student" not in capacity.parts
    about = papers_of(capacity.parts) | (BESIDE if answers else frozenset())
    checks = tuple(
        each
        for each in situation.checks
        if (names := {name.removeprefix(MAYBE) for name in each.inputs}) & about and not names & OF_THE_MACHINE
    )
    return answer_of(replace(situation, checks=checks, comparisons=(), agings=()))


def flight_for(
    capacity: Capacity,
    *,
    person: str,
    definition: Definition,
    people: Mapping[str, Person],
    zone: tzinfo,
    asked_at: datetime,
    on: date,
) -> Flight:
    """Return the flight in which a person's papers are asked about: at noon of a day, from the field and back."""
    others = _others(capacity, person, people)
    parts = {**others, **dict.fromkeys(capacity.parts, person)}
    seats = [station.id for station in definition.stations if station.kind == "seat"]
    aboard = [person, SOMEBODY][: capacity.aboard]
    return Flight(
        file="",
        title="",
        operation_path="",
        asked_at=asked_at,
        aircraft_id=definition.id,
        purpose=_said("purpose", capacity.purpose),
        lesson=missing("lesson"),
        depart_at=datetime.combine(on, AT_NOON, zone),
        block=Fact("block_h", 1.0, "1 h", Origin.PLANNED),
        take_offs=missing("take_offs"),
        runway=missing("runway_name"),
        runway_state=missing("runway_state"),
        seats=tuple((seat, aboard[at] if at < len(aboard) else EMPTY) for at, seat in enumerate(seats)),
        parts=tuple(parts.items()),
        loads=(),
        fuel=(),
        configuration=frozenset(),
        reports=(),
        forecasts=(),
        observation=None,
        rows=(),
        weather_lists=(),
        present=(),
        named=(),
        law=(
            _said("lands_elsewhere", False),
            _said("enters_controlled_airspace", False),
            Fact("farthest_from_start_m", 0.0, "0 km", Origin.PLANNED),
        ),
    )


def _others(capacity: Capacity, person: str, people: Mapping[str, Person]) -> dict[str, str]:
    """Return who has the other parts: somebody must command, and whoever supervises is not looked at here."""
    teacher = next((id for id, one in people.items() if id != person and one.roles & _TEACHERS), "")
    if capacity in (EXAMINE, TAUGHT):
        return {"commander": teacher or person}
    return {"instructor": teacher} if capacity == STUDENT_ALONE and teacher else {}


def _said(name: str, value: str | bool) -> Fact:
    return Fact(name, value, str(value), Origin.PLANNED)
