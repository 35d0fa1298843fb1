"""The facts that program and books put on the sheet of a flight, each missing where its file does not speak."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from gyrewright.fact import Fact, Fixed, Origin, missing
from gyrewright.maintenance.program import Program
from gyrewright.maintenance.records import Records


def facts(
    program: Program | None,
    records: Records | None,
    *,
    counts_planned: Mapping[str, float] | None = None,
    where: str = "",
) -> dict[str, Fact]:
    """Return the facts of one aircraft's upkeep.

    Facts: `maintenance_program`, `maintenance_history` (meters, work done, parts, shares), `directives_read_on`,
    `papers_held`, `bookings`, `defects`, `event_locks`, `work_done`, `counts_planned`.

    Args:
        program: What the manual asks for; None where the aircraft's file has none.
        records: The books; None where there are none.
        counts_planned: How many landings, starts and the like the flight will add, by the name of the meter.
        where: The file and key to name where a book is missing altogether.
    """
    file = records.file if records else where
    return {
        "maintenance_program": _fact("maintenance_program", program, where, Origin.MANUAL),
        "maintenance_history": _fact("maintenance_history", records and records.history, file),
        "directives_read_on": _fact("directives_read_on", records and records.directives_read_on, file),
        "papers_held": _fact("papers_held", records and records.papers, file),
        "bookings": _fact("bookings", records and records.bookings, file),
        "defects": _fact("defects", records and records.defects, file),
        "event_locks": _fact("event_locks", records and records.events, file),
        "work_done": _fact("work_done", records and records.work, file),
        "counts_planned": Fact("counts_planned", Fixed(counts_planned or {}), origin=Origin.PLANNED),
    }


def _fact(name: str, value: Any, where: str, origin: Origin = Origin.RECORD) -> Fact:
    return missing(name, where=where) if value is None else Fact(name, value, origin=origin, where=where)
