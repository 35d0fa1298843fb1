"""From files to a question: which file belongs to which, and every problem in all of them at once.

Reading is the caller's: `fetch` returns the text of a path. Each file says of what kind it is in its first key, so that
a file in the wrong place is noticed at once.
"""

from __future__ import annotations

import posixpath
from collections.abc import Callable, Iterable
from dataclasses import replace
from datetime import datetime
from functools import lru_cache
from typing import TypeVar

from gyrewright.air.field import Field, read_field
from gyrewright.air.reports import Metar, Taf, decode_metar, decode_taf
from gyrewright.aircraft.definition import Definition, read_definition
from gyrewright.errors import DefinitionError, ReportError, shown
from gyrewright.fact import Fact
from gyrewright.inspection.lists import read_list
from gyrewright.inspection.own_items import read_own
from gyrewright.inspection.walk import Book, read_walks
from gyrewright.maintenance.program import Program, read_program
from gyrewright.maintenance.records import Records, read_records
from gyrewright.people.person import Insurance, Person
from gyrewright.people.read import read_insurance, read_people
from gyrewright.people.roles import entitled
from gyrewright.reading import Problems, Section, section_of
from gyrewright.release.flight import EMPTY, Flight, read_flight
from gyrewright.release.operation import Operation, read_operation
from gyrewright.release.question import Aircraft, Question
from gyrewright.rules.pack import pack_named
from gyrewright.rules.said import read_said

Fetch = Callable[[str], str]
_T = TypeVar("_T")


def read_aircraft(section: Section) -> tuple[Definition, tuple[Fact, ...]]:
    """Return the aircraft of a file, and what it says that only a law asks about."""
    law = read_said(section.section("law"))
    return read_definition(section), law


def read_place(section: Section) -> tuple[Field, tuple[Fact, ...]]:
    """Return the field of a file, and what it says that only a law asks about."""
    law = read_said(section.section("law"))
    return read_field(section), law


def read_program_file(section: Section) -> Program:
    """Return the maintenance program of a file."""
    program = read_program(section)
    section.finish()
    return program


def read_books(section: Section) -> tuple[Records, Book]:
    """Return an aircraft's records of upkeep, and of walk-rounds."""
    records, walks = read_records(section), read_walks(section)
    section.finish()
    return records, walks


def read_crew(section: Section) -> tuple[dict[str, Person], tuple[Insurance, ...]]:
    """Return the people of a file, and what insurers ask of whom."""
    people = read_people(section)
    if not people:
        section.wrong("person", "there is nobody; describe each person in a [[person]] table")
        return people, ()
    insurance = read_insurance(section, people)
    section.finish()
    return people, insurance


KINDS: dict[str, Callable[[Section], object]] = {
    "operation": read_operation,
    "field": read_place,
    "people": read_crew,
    "aircraft": read_aircraft,
    "flight": read_flight,
    "list": read_list,
    "list items": read_own,
    "program": read_program_file,
    "records": read_books,
}
"""What a file can be, and what reads it."""


def opened(path: str, fetch: Fetch, problems: Problems, kind: str = "") -> Section:
    """Return the top section of a file; a file that is not there, or of another kind, is a problem.

    Such a file is one problem: its section is empty, and what a reader misses there is not told again.
    """
    unread = Section({}, file=path, problems=Problems())
    try:
        text = fetch(path)
    except OSError as error:
        problems.note(path, "", f"cannot be read: {error.strerror or error}; check the path")
        return unread
    except UnicodeDecodeError:
        problems.note(path, "", "is not text; write it as UTF-8")
        return unread
    except ValueError as error:  # a path that no system takes
        problems.note(repr(path), "", f"cannot be read: {error}; check the path")
        return unread
    known = len(problems.found)
    section = section_of(text, file=path, problems=problems)
    if len(problems.found) > known:
        return unread
    said = section.choice("kind", tuple(KINDS), required=True)
    if said and kind and said != kind:
        section.wrong("kind", f"{shown(said)} is not the {kind} file that is looked for here")
        return unread
    return section


def beside(path: str, relative: str) -> str:
    """Return a path written in a file as seen from where that file was found."""
    return posixpath.normpath(posixpath.join(posixpath.dirname(path), relative))


def read_question(
    path: str, fetch: Fetch, *, asked_at: datetime | None = None, now: datetime | None = None
) -> Question:
    """Return the question that a flight file asks, with everything it refers to.

    Args:
        path: The flight file.
        fetch: Returns the text of a path; raises OSError where there is none.
        asked_at: Overrides when it is asked.
        now: The clock, used where neither the file nor `asked_at` says when it is asked.

    Raises:
        DefinitionError: Any of the files is wrong; it carries all problems of all files.
    """
    problems = Problems()
    flight = _read(path, "flight", read_flight, fetch, problems)
    operation_path = beside(path, flight.operation_path)
    if not flight.operation_path:
        problems.stop_if_any()
    operation = _read(operation_path, "operation", read_operation, fetch, problems)
    if not (operation.field_path and operation.people_path):
        problems.stop_if_any()
    field, field_law = _read(beside(operation_path, operation.field_path), "field", read_place, fetch, problems)
    people, insurance = _read(beside(operation_path, operation.people_path), "people", read_crew, fetch, problems)
    fleet = read_fleet(operation_path, operation, fetch, problems)
    problems.stop_if_any()
    chosen = _chosen(flight, fleet, problems)
    check_names(flight, chosen.definition, people, problems)
    asked = asked_at or flight.asked_at or now
    metars, tafs = decoded(flight, asked, problems)
    problems.stop_if_any()
    return Question(
        operation=operation,
        field=field,
        field_law=field_law,
        aircraft=read_upkeep(chosen, fetch, problems),
        people=people,
        flight=flight,
        pack=pack_named(operation.rule_pack),
        metars=metars,
        tafs=tafs,
        asked_at=asked,
        insurance=insurance,
        entitled=entitled(people),
    )


def read_fleet(operation_path: str, operation: Operation, fetch: Fetch, problems: Problems) -> list[Aircraft]:
    """Return the operation's aircraft by their definitions alone; the books of each are read when it is asked about."""
    fleet = []
    for each in operation.aircraft_paths:
        definition, law = _read(beside(operation_path, each), "aircraft", read_aircraft, fetch, problems)
        fleet.append(Aircraft(definition, law))
    return fleet


def read_fleet_of(path: str, fetch: Fetch) -> list[Aircraft]:
    """Return all aircraft of the operation that a flight file names, each with its books.

    Raises:
        DefinitionError: Any of the files is wrong.
    """
    problems = Problems()
    flight = _read(path, "flight", read_flight, fetch, problems)
    operation_path = beside(path, flight.operation_path)
    operation = _read(operation_path, "operation", read_operation, fetch, problems)
    problems.stop_if_any()
    fleet = read_fleet(operation_path, operation, fetch, problems)
    problems.stop_if_any()
    return [read_upkeep(aircraft, fetch, problems) for aircraft in fleet]


def read_upkeep(aircraft: Aircraft, fetch: Fetch, problems: Problems) -> Aircraft:
    """Return the aircraft with its program and its books, where its file names them.

    Raises:
        DefinitionError: One of them is wrong.
    """
    definition = aircraft.definition
    program, records, walks = None, None, None
    if definition.program_path:
        path = beside(definition.file, definition.program_path)
        program = _read(path, "program", read_program_file, fetch, problems)
    if definition.records_path:
        path = beside(definition.file, definition.records_path)
        records, walks = _read(path, "records", read_books, fetch, problems)
        if records.history.aircraft and records.history.aircraft != definition.id:
            text = f"{records.history.aircraft!r} is not {definition.id!r}, whose file names these records"
            problems.note(path, "aircraft", text)
    problems.stop_if_any()
    return replace(aircraft, program=program, records=records, walks=walks)


def _read(path: str, kind: str, read: Callable[[Section], _T], fetch: Fetch, problems: Problems) -> _T:
    return read(opened(path, fetch, problems, kind))


def _chosen(flight: Flight, fleet: list[Aircraft], problems: Problems) -> Aircraft:
    found = [each for each in fleet if each.definition.id == flight.aircraft_id]
    if len(found) != 1:
        names = ", ".join(each.definition.id for each in fleet)
        said = "is described by more than one file" if found else f"is not one of: {names}"
        problems.note(flight.file, "aircraft", f"{shown(flight.aircraft_id)} {said}")
    serials: dict[str, str] = {}
    for each in (aircraft.definition for aircraft in fleet):
        if each.serial_number and each.serial_number in serials:
            text = f"{each.serial_number!r} stands in {serials[each.serial_number]} too; one serial number, one record"
            problems.note(each.file, "serial_number", text)
        serials[each.serial_number] = each.file
    return found[0] if found else fleet[0]


def check_names(flight: Flight, definition: Definition, people: dict[str, Person], problems: Problems) -> None:
    """Note seats, places and people that do not exist."""
    seats = {station.id for station in definition.stations if station.kind == "seat"}
    places = {station.id for station in definition.stations} - seats
    for seat, person in flight.seats:
        if seat not in seats:
            problems.note(
                flight.file, f"seats.{seat}", f"is no seat of {definition.id}; use: {', '.join(sorted(seats))}"
            )
        if person and person != EMPTY and person not in people:
            text = f"nobody is called {shown(person)}; use {EMPTY!r} or one of: {', '.join(sorted(people))}"
            problems.note(flight.file, f"seats.{seat}", text)
    others = [(f"parts.{part}", person) for part, person in flight.parts]
    others += [("present", person) for person in flight.present] + [("named", person) for person in flight.named]
    for place, person in others:
        if person not in people:
            text = f"nobody is called {shown(person)}; use: {', '.join(sorted(people))}"
            problems.note(flight.file, place, text)
    for fact in flight.loads:
        place = fact.name.partition(":")[2]
        if place not in places:
            text = f"is no place for load in {definition.id}; use: {', '.join(sorted(places)) or 'none, it has none'}"
            problems.note(flight.file, f"loads.{place}", text)


@lru_cache(maxsize=128)
def _metar(text: str, received_at: datetime) -> Metar:
    """Return a report decoded; the flights of a day share it."""
    return decode_metar(text, received_on=received_at)


@lru_cache(maxsize=128)
def _taf(text: str, received_at: datetime) -> Taf:
    """Return a forecast decoded; the flights of a day share it."""
    return decode_taf(text, received_on=received_at)


def decoded(flight: Flight, asked_at: datetime | None, problems: Problems) -> tuple[tuple[Metar, ...], tuple[Taf, ...]]:
    """Return a flight's reports and forecasts decoded; what cannot be, or comes from the future, is noted."""
    if asked_at is None:
        problems.note(flight.file, "asked_at", "nobody says when this is asked; write asked_at, or give a time")
        return (), ()
    metars, tafs = [], []
    asked = f"{asked_at:%d %b %Y %H:%M %z} when this is asked; check both clocks"
    for number, text in enumerate(flight.reports, start=1):
        place = f"weather.reports[{number}]"
        try:
            metar = _metar(text, asked_at)
        except ReportError as error:
            problems.note(flight.file, place, str(error))
            continue
        if metar.is_from_future:
            problems.note(flight.file, place, f"is of {metar.observed_at:%d %b %Y %H:%M} UTC, after {asked}")
        metars.append(metar)
    for number, text in enumerate(flight.forecasts, start=1):
        place = f"weather.forecasts[{number}]"
        try:
            taf = _taf(text, asked_at)
        except ReportError as error:
            problems.note(flight.file, place, str(error))
            continue
        if taf.is_from_future:
            problems.note(flight.file, place, f"was issued {taf.issued_at:%d %b %Y %H:%M} UTC, after {asked}")
        tafs.append(taf)
    if flight.observation is not None and flight.observation.at > asked_at:
        problems.note(flight.file, "weather.observation.at", f"is after {asked}")
    return tuple(metars), tuple(tafs)


def check_files(paths: Iterable[str], fetch: Fetch) -> tuple[str, ...]:
    """Return what each file is, in words; files are read one by one, as what they say they are.

    Raises:
        DefinitionError: Any of them is wrong; it carries all problems of all files.
    """
    problems = Problems()
    lines = []
    for path in paths:
        section = opened(path, fetch, problems)
        kind = section.raw("kind")
        if kind in KINDS:
            KINDS[kind](section)
            lines.append(f"{path}: {kind}")
    if problems.found:
        raise DefinitionError(problems.found)
    return tuple(lines)
