"""What grows while an aircraft is folded from its records, and which function folds which act."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any

from gyrewright.desk.book.kinds import flight
from gyrewright.desk.book.record import Recorded
from gyrewright.desk.fold.checked import Checked
from gyrewright.desk.fold.standing import Conflict
from gyrewright.desk.fold.tables import Table


@dataclass(slots=True)
class AircraftTables:
    """What the files of one aircraft would hold at a moment; `definition` and `program` are None where none is known.

    `conflicts` are open questions: what they touch counts for neither side, so the answer has to be UNKNOWN there.
    """

    aircraft: str
    definition: Table | None = None
    program: Table | None = None
    books: Table = field(default_factory=dict)
    conflicts: tuple[Conflict, ...] = ()
    checked: Checked = field(default_factory=Checked)


Might = Callable[[str, datetime], frozenset[str]]
"""What a person was entitled to at a moment, by the table of acts."""


@dataclass(slots=True)
class State:
    tables: AircraftTables
    first: Mapping[str, str] = field(default_factory=dict)
    by_id: dict[str, Table] = field(default_factory=dict)
    lost: str = ""
    might: Might | None = None
    replaced: Mapping[str, Recorded] = field(default_factory=dict)
    flown: list[tuple[Recorded, flight.FlightDone]] = field(default_factory=list)
    same: dict[tuple[str, str], bool] = field(default_factory=dict)
    on_paper: list[tuple[Table, flight.Walk]] = field(default_factory=list)

    def find(self, id: str) -> Table | None:
        """Return the table that an act points at, by any id in its line of corrections."""
        return self.by_id.get(self.first.get(id, id))

    def first_at(self, record: Recorded) -> datetime:
        """Return when a thing was first said to be so: a correction of the words does not make it younger."""
        at = record.done_at
        while record.corrects in self.replaced:
            record = self.replaced[record.corrects]
            at = min(at, record.done_at)
        return at

    def signed(self, by: str, at: datetime) -> Table:
        """Return who did something when, and what they were entitled to then, where that is known."""
        row: Table = {"by": by, "at": at}
        return row if self.might is None else row | {"entitled_to": sorted(self.might(by, at))}

    def add(self, name: str, row: Table) -> Table:
        self.tables.books.setdefault(name, []).append(row)
        return row

    def meter(self, name: str) -> Table:
        meters = self.tables.books.setdefault("meter", [])
        found = next((each for each in meters if each["name"] == name), None)
        if found is None:
            found = {"name": name}
            meters.append(found)
        return found


Fold = Callable[[State, Recorded, Any], None]
FOLDS: dict[type, Fold] = {}


def of(*acts: type) -> Callable[[Fold], Fold]:
    def enter(fold: Fold) -> Fold:
        for act in acts:
            FOLDS[act] = fold
        return fold

    return enter
