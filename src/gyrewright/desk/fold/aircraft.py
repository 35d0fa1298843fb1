"""One aircraft as folded from records: its definition, program and books, in exactly the shape of their files.

The same readers serve the desk and the command line: they get `Section(tables.books, ...)` where they would get a
parsed file.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace
from datetime import datetime

from gyrewright.desk.book.kinds import aircraft as defined
from gyrewright.desk.book.kinds import flight, phones, upkeep
from gyrewright.desk.book.record import Recorded
from gyrewright.desk.fold.aircraft_books import after_flight, corrected_readings, fold_part, read_until_of
from gyrewright.desk.fold.aircraft_locks import join_alike, take_over
from gyrewright.desk.fold.aircraft_state import FOLDS, AircraftTables, Might, State
from gyrewright.desk.fold.aircraft_walks import add_phone_walks, equipment_of, lose_phones
from gyrewright.desk.fold.checked import checked, with_weighing
from gyrewright.desk.fold.in_doubt import doubt_locks
from gyrewright.desk.fold.standing import standing
from gyrewright.desk.fold.walks import asked_now

__all__ = ["AircraftTables", "fold_aircraft"]

_POINTED_AT = (
    upkeep.DefectReported,
    upkeep.EventReported,
    upkeep.WorkDone,
    upkeep.MarkerPlaced,
    flight.FlightAsked,
    flight.Walk,
)


def fold_aircraft(
    records: Iterable[Recorded],
    *,
    aircraft: str,
    at: datetime,
    known_at: datetime | None = None,
    might: Might | None = None,
) -> AircraftTables:
    """Return an aircraft's tables at a moment.

    Args:
        records: Records about the aircraft, and those about parts of any aircraft, since parts move.
        aircraft: Its id.
        at: What was done later does not count yet.
        known_at: What was entered later was not known yet; None for everything.
        might: Who was entitled to what when it was done; without it the roles of today count for acts of every day.
    """
    known = [each for each in records if known_at is None or each.entered_at <= known_at]
    counting = standing(known, at=at)
    state = State(
        AircraftTables(aircraft, conflicts=counting.conflicts), counting.first, might=might, replaced=counting.replaced
    )
    # Which phones are out the desk knows by itself: it let each of them open what it has.
    state.tables.books.update(kind="records", aircraft=aircraft, phone=[])
    add_phone_walks(state, known, counting.records, at)
    # What others point at comes first: a report may be corrected after it was assessed.
    for each in sorted(counting.records, key=lambda each: type(each.act) not in _POINTED_AT):
        fold = FOLDS.get(type(each.act))
        if fold is not None and (each.about == aircraft or fold in (fold_part, lose_phones)):
            if isinstance(each.act, upkeep.MeterRead):
                fold(state, each, each.act)
                corrected_readings(state, each, counting.replaced)
            else:
                # A correction stands under the id that other acts point at; nothing points at a reading.
                fold(state, replace(each, id=counting.first.get(each.id, each.id)), each.act)
    join_alike(state)
    take_over(state, counting.records)
    _define(state, [each for each in counting.records if each.about == aircraft], counting.replaced)
    for row, walk in state.on_paper:
        # A sheet printed before the list came to ask for more leaves out what is asked today.
        if not set(asked_now(walk.list, walk.kind, walk.also, equipment_of(counting.records))) <= set(walk.asked):
            row["doubt"] = "old_list"
    for conflict in counting.conflicts:
        for record in conflict.records:
            if record.about == aircraft and record.done_at <= at and doubt_locks(state, record):
                continue
            _doubt(state.tables, record)
            if isinstance(record.act, flight.FlightDone) and record.about == aircraft and record.done_at <= at:
                # Which numbers are true is open; that it flew is not.
                state.flown.append((record, record.act))
    read_until = read_until_of(state.tables.books)
    for record, act in state.flown:
        after_flight(state, record, act, read_until)
    parts = state.tables.books.get("part")
    if parts is not None:
        state.tables.books["part"] = [part for part in parts if any(fit["aircraft"] == aircraft for fit in part["fit"])]
    return state.tables


def _define(state: State, records: Iterable[Recorded], replaced: Mapping[str, Recorded]) -> None:
    """Fold the aircraft's file: its newest text, what of it has been checked against the page, its newest weighing."""
    line: list[Recorded] = []
    weighings = []
    for each in records:
        if isinstance(each.act, defined.AircraftDefined | defined.LimitVerified):
            earlier = [each]
            while earlier[0].corrects in replaced:
                earlier.insert(0, replaced[earlier[0].corrects])
            line += earlier
        elif isinstance(each.act, defined.AircraftWeighed):
            weighings.append(each)
    state.tables.checked = checked(line)
    if state.tables.checked.table is not None:
        state.tables.definition = with_weighing(state.tables.checked.table, weighings)


_TOUCHED: dict[type, str] = {
    upkeep.TaskDone: "done",
    upkeep.NoticeDecided: "decision",
    upkeep.DirectivesRead: "directives_read_on",
    upkeep.PartFitted: "part",
    upkeep.PartRemoved: "part",
    upkeep.AircraftPaper: "paper",
    upkeep.Touched: "touch",
    flight.FlightAsked: "booking",
    flight.Booked: "booking",
    flight.FlightDropped: "booking",
    flight.Walk: "walk",
    flight.WalkAccepted: "walk",
    flight.ItemJudged: "walk",
    phones.PhoneOpened: "phone",
    phones.PhoneDone: "phone",
    phones.PhonesAsked: "phone",
}
"""The list of the books that an act speaks of, where two truths leave it unknown. What locks: see `in_doubt`."""


def _doubt(tables: AircraftTables, record: Recorded) -> None:
    """Take out of the books what two truths speak of: until somebody settles it, nobody knows it."""
    if record.about != tables.aircraft and not isinstance(record.act, upkeep.PartFitted | upkeep.PartRemoved):
        return
    act = record.act
    if isinstance(act, defined.AircraftDefined):
        tables.definition = None
    elif isinstance(act, upkeep.ProgramAdopted):
        tables.program = None
    elif isinstance(act, upkeep.BooksOpened):
        tables.books.clear()
        tables.books.update(kind="records", aircraft=tables.aircraft)
    elif isinstance(act, upkeep.ShareNoted):
        tables.books.get("shares", {}).pop(act.of, None)
    elif isinstance(act, upkeep.MeterKnown | upkeep.MeterRead | upkeep.MeterReplaced):
        _forget_meters(tables, {act.meter})
    else:
        tables.books.pop(_TOUCHED.get(type(act), ""), None)


def _forget_meters(tables: AircraftTables, names: set[str]) -> None:
    """Take every reading of some meters out: that the meters are there is not in question."""
    for meter in tables.books.get("meter", ()):
        if meter["name"] in names:
            meter.pop("reading", None)
            meter.pop("replaced", None)
