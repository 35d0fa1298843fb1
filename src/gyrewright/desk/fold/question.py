"""The question that a flight asked for at the desk asks: the files' own readers over what was folded from records."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import datetime
from math import isclose
from typing import TypeVar

from gyrewright.air.field import Field
from gyrewright.aircraft.definition import Definition
from gyrewright.desk.fold.adopted import FIELD, INSURANCE, OPERATION
from gyrewright.desk.fold.aircraft import AircraftTables
from gyrewright.desk.fold.asked import BallastSeen
from gyrewright.desk.fold.tables import Table
from gyrewright.desk.refusal import Refused
from gyrewright.fact import Fact, Origin
from gyrewright.people import Insurance, Person
from gyrewright.people.roles import Entitled, entitled
from gyrewright.reading import Problems, Section, section_of
from gyrewright.release.files import (
    check_names,
    decoded,
    read_aircraft,
    read_books,
    read_crew,
    read_place,
    read_program_file,
)
from gyrewright.release.flight import read_flight
from gyrewright.release.operation import Operation, read_operation
from gyrewright.release.question import Aircraft, Question
from gyrewright.rules.pack import pack_named

T = TypeVar("T")

NAMES = {OPERATION: "the house rules", FIELD: "the field", INSURANCE: "the insurers"}
"""What an adopted file is called where a fact says in which place it belongs."""


@dataclass(frozen=True, slots=True, eq=False)
class House:
    """What an operation has adopted, read: its rules, its field."""

    operation: Operation
    field: Field
    field_law: tuple[Fact, ...]


def _top(section: Section) -> Section:
    section.raw("kind")
    return section


def read_house(texts: Mapping[str, str]) -> House:
    """Return the house from the texts of its files.

    Raises:
        Refused: The rules or the field have not been adopted yet.
        DefinitionError: A text does not read.
    """
    lost = [NAMES[name] for name in (OPERATION, FIELD) if name not in texts]
    if lost:
        raise Refused(f"{' and '.join(lost)} have not been entered yet; without them no flight can be asked about")
    problems = Problems()
    operation = read_operation(_top(section_of(texts[OPERATION], file=NAMES[OPERATION], problems=problems)))
    field, law = read_place(_top(section_of(texts[FIELD], file=NAMES[FIELD], problems=problems)))
    problems.stop_if_any()
    return House(operation, field, law)


def people_of(tables: Table, insurance: str = "") -> tuple[dict[str, Person], tuple[Insurance, ...]]:
    """Return the people and the insurers' conditions.

    Raises:
        DefinitionError: Something does not read.
    """
    problems = Problems()
    insurers = section_of(insurance, file=NAMES[INSURANCE], problems=problems).raw("insurance")
    both = tables if insurers is None else {**tables, "insurance": insurers}
    found = read_crew(_top(Section(both, file="People", problems=problems)))
    problems.stop_if_any()
    return found


def aircraft_of(tables: AircraftTables) -> Aircraft:
    """Return an aircraft with its program and books.

    Raises:
        Refused: Its definition is not known, or in question.
        DefinitionError: Something does not read.
    """
    if tables.definition is None:
        raise Refused(f"no definition of {tables.aircraft} counts now; enter or settle it on its page")
    problems = Problems()

    def section(table: Table, file: str) -> Section:
        return _top(Section(table, file=f"{file} of {tables.aircraft}", problems=problems))

    definition, law = read_aircraft(section(tables.definition, "the definition"))
    program = read_program_file(section(tables.program, "the program")) if tables.program is not None else None
    records, walks = read_books(section(tables.books, "the books"))
    problems.stop_if_any()
    return Aircraft(definition, law, program, records, walks)


def question_of(
    table: Table,
    *,
    house: House,
    aircraft: Aircraft,
    people: Mapping[str, Person],
    insurance: tuple[Insurance, ...] = (),
    asked_at: datetime,
    clock_doubt: str = "",
    ballast_seen: BallastSeen | None = None,
    may: Entitled | None = None,
) -> Question:
    """Return the question that a flight's table asks. Ballast not seen as it is asked for is only planned.

    `may` is who may do what, where that has been worked out for these people already.

    Raises:
        DefinitionError: The table does not read, or names a seat, a place or a person that is not there.
    """
    problems = Problems()
    flight = read_flight(_top(Section(table, file="this flight", problems=problems)))
    check_names(flight, aircraft.definition, dict(people), problems)
    metars, tafs = decoded(flight, asked_at, problems)
    problems.stop_if_any()
    flight = replace(flight, loads=_with_ballast_planned(flight.loads, aircraft.definition, ballast_seen))
    return Question(
        operation=house.operation,
        field=house.field,
        field_law=house.field_law,
        aircraft=aircraft,
        people=people,
        flight=flight,
        pack=pack_named(house.operation.rule_pack),
        metars=metars,
        tafs=tafs,
        asked_at=asked_at,
        clock_doubt=clock_doubt,
        insurance=insurance,
        entitled=entitled(people) if may is None else may,
    )


def _with_ballast_planned(
    loads: tuple[Fact, ...], definition: Definition, seen: BallastSeen | None
) -> tuple[Fact, ...]:
    """Return the loads, those of ballast as planned where it still has to be put in, taken out or looked at."""
    places = {f"load_kg:{station.id}" for station in definition.stations if station.kind == "ballast"}
    asked_kg = [fact.value for fact in loads if fact.name in places and fact.is_known]
    if seen is None:
        in_place = not any(asked_kg)
    else:
        in_place = isclose(sum(asked_kg), seen.mass_kg, abs_tol=1e-6) and (seen.since_asked or not any(asked_kg))
    if in_place:
        return loads
    return tuple(
        replace(fact, origin=Origin.PLANNED) if fact.name in places and fact.is_known else fact for fact in loads
    )


def read_once(read: str, text: str) -> None:
    """Read a text that is about to be recorded, as what it will be read as later.

    Raises:
        DefinitionError: It does not read; lists every problem.
    """
    problems = Problems()
    section = section_of(text, file=read, problems=problems)
    problems.stop_if_any()
    _READERS[read](_top(section))
    problems.stop_if_any()


_READERS = {
    OPERATION: read_operation,
    FIELD: read_place,
    "aircraft": read_aircraft,
    "program": read_program_file,
}
