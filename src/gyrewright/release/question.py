"""Everything that one answer rests on, as it was read: nothing here has been computed yet."""

from __future__ import annotations

import dataclasses
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime

from gyrewright.air.field import Field
from gyrewright.air.reports import Metar, Taf
from gyrewright.aircraft.definition import Definition
from gyrewright.fact import Fact
from gyrewright.inspection.walk import Book
from gyrewright.maintenance import Program, Records
from gyrewright.people import Insurance, Person
from gyrewright.people.roles import Entitled
from gyrewright.release.flight import Flight
from gyrewright.release.operation import Operation
from gyrewright.rules.pack import Pack


@dataclass(frozen=True, slots=True, eq=False)
class Aircraft:
    """One aircraft: its definition, what a law asks about it, and its books, None where its file names none."""

    definition: Definition
    law: tuple[Fact, ...] = ()
    program: Program | None = None
    records: Records | None = None
    walks: Book | None = None


@dataclass(frozen=True, slots=True)
class Question:
    """Everything that one answer rests on. Nothing here has been computed yet."""

    operation: Operation
    field: Field
    aircraft: Aircraft
    people: Mapping[str, Person]
    flight: Flight
    pack: Pack
    field_law: tuple[Fact, ...] = ()
    metars: tuple[Metar, ...] = ()
    tafs: tuple[Taf, ...] = ()
    asked_at: datetime | None = None
    clock_doubt: str = ""
    insurance: tuple[Insurance, ...] = ()
    entitled: Entitled = dataclasses.field(default_factory=Entitled)

    @property
    def definition(self) -> Definition:
        """The aircraft as its manual describes it."""
        return self.aircraft.definition
