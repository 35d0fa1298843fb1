"""Taking in texts that count later: an aircraft's definition and program, house rules, field, insurers.

Each is read once before it is recorded, so that nothing enters the book that no answer could be built on.
"""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from datetime import date, datetime

from gyrewright.desk import clock
from gyrewright.desk.book.kinds.aircraft import AircraftDefined
from gyrewright.desk.book.kinds.operation import FileAdopted
from gyrewright.desk.book.kinds.upkeep import ProgramAdopted
from gyrewright.desk.book.record import Entry, Kept
from gyrewright.desk.book.writing import append
from gyrewright.desk.fold.adopted import FIELD, INSURANCE, OPERATION
from gyrewright.desk.fold.question import read_once
from gyrewright.desk.refusal import Refused
from gyrewright.desk.services.entitling import require
from gyrewright.desk.services.records import LAPTOP, new_id
from gyrewright.people.person import Person
from gyrewright.people.read import read_insurance
from gyrewright.reading import Problems, section_of


def defined(*, text: str, by: str, done_at: datetime | None = None, why: str = "", from_paper: str = "") -> Entry:
    """Return the entry of an aircraft's definition; its own text says which aircraft it is.

    Raises:
        DefinitionError: It does not read.
    """
    read_once("aircraft", text)
    table = tomllib.loads(text)
    revision = str(table.get("manual", {}).get("revision", ""))
    act = AircraftDefined(text=text, manual_revision=revision, why=why, from_paper=from_paper)
    return Entry(new_id(), act, done_at or clock.now(), by, table["id"])


def program(
    *, text: str, aircraft: str, by: str, done_at: datetime | None = None, why: str = "", from_paper: str = ""
) -> Entry:
    """Return the entry of an aircraft's maintenance program.

    Raises:
        DefinitionError: It does not read.
    """
    read_once("program", text)
    return Entry(
        new_id(), ProgramAdopted(text=text, why=why, from_paper=from_paper), done_at or clock.now(), by, aircraft
    )


def adopted(
    *,
    name: str,
    text: str,
    holds_from: date,
    by: str,
    people: Mapping[str, Person] | None = None,
    done_at: datetime | None = None,
    why: str = "",
    from_paper: str = "",
) -> Entry:
    """Return the entry of one of the operation's files: operation, field or insurance.

    Args:
        name: Which file.
        text: Its whole text.
        holds_from: The first day on which it counts.
        by: Who adopts it.
        people: Everybody whom an insurer may name.
        done_at: When; now where it is left out.
        why: Why it changed.
        from_paper: What it was read from, and by whom.

    Raises:
        DefinitionError: It does not read.
        Refused: There is no such file.
    """
    if name == INSURANCE:
        problems = Problems()
        section = section_of(text, file="the insurers", problems=problems)
        problems.stop_if_any()
        read_insurance(section, dict(people or {}))
        section.finish()
        problems.stop_if_any()
    elif name in (OPERATION, FIELD):
        read_once(name, text)
    else:
        raise Refused(f"{name!r} is no file of an operation; use {OPERATION}, {FIELD} or {INSURANCE}")
    act = FileAdopted(name=name, text=text, holds_from=holds_from, why=why, from_paper=from_paper)
    return Entry(new_id(), act, done_at or clock.now(), by)


_ACTS = {
    FileAdopted: "change a house rule",
    AircraftDefined: "adopt a manual revision",
    ProgramAdopted: "adopt a maintenance program",
}
"""Which act of the table of acts each of these is."""


def adopt(entry: Entry) -> Kept:
    """Record what was read.

    Raises:
        NotAllowed: The table of acts does not let this person adopt it.
    """
    if entry.by != LAPTOP:
        require(_ACTS[type(entry.act)], person=entry.by, aircraft=entry.about)
    return append([entry])[0]
