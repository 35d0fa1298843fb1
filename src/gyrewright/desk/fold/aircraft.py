"""One aircraft as folded from records: its definition, program and books, in exactly the shape of their files.

The same readers serve the desk and the command line: they get `Section(tables.books, ...)` where they would get a
parsed file.
"""

from __future__ import annotations

import itertools
import tomllib
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field, replace
from datetime import datetime, timedelta
from typing import Any

from gyrewright.desk.book.kinds import aircraft as defined
from gyrewright.desk.book.kinds import flight, phones, upkeep, walking
from gyrewright.desk.book.record import Recorded
from gyrewright.desk.fold.checked import Checked, checked, with_weighing
from gyrewright.desk.fold.in_doubt import doubt_locks
from gyrewright.desk.fold.standing import Conflict, standing
from gyrewright.desk.fold.tables import Table, table, with_limits
from gyrewright.desk.fold.walks import asked_now, is_of_phones, phone_walks, walk_row

LOST = "the book was put back from a copy, and phones that opened it since are not in it"
"""Why nobody knows which phones are out, until a person says that all were asked."""


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
class _State:
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


_POINTED_AT = (
    upkeep.DefectReported,
    upkeep.EventReported,
    upkeep.WorkDone,
    upkeep.MarkerPlaced,
    flight.FlightAsked,
    flight.Walk,
)
_Fold = Callable[[_State, Recorded, Any], None]
_FOLDS: dict[type, _Fold] = {}


def _of(*acts: type) -> Callable[[_Fold], _Fold]:
    def enter(fold: _Fold) -> _Fold:
        for act in acts:
            _FOLDS[act] = fold
        return fold

    return enter


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
    state = _State(
        AircraftTables(aircraft, conflicts=counting.conflicts), counting.first, might=might, replaced=counting.replaced
    )
    # Which phones are out the desk knows by itself: it let each of them open what it has.
    state.tables.books.update(kind="records", aircraft=aircraft, phone=[])
    _phone_walks(state, known, counting.records, at)
    # What others point at comes first: a report may be corrected after it was assessed.
    for each in sorted(counting.records, key=lambda each: type(each.act) not in _POINTED_AT):
        fold = _FOLDS.get(type(each.act))
        if fold is not None and (each.about == aircraft or fold in (_part, _phones_lost)):
            if isinstance(each.act, upkeep.MeterRead):
                fold(state, each, each.act)
                _corrected_readings(state, each, counting.replaced)
            else:
                # A correction stands under the id that other acts point at; nothing points at a reading.
                fold(state, replace(each, id=counting.first.get(each.id, each.id)), each.act)
    _alike(state)
    _take_over(state, counting.records)
    _define(state, [each for each in counting.records if each.about == aircraft], counting.replaced)
    for row, walk in state.on_paper:
        # A sheet printed before the list came to ask for more leaves out what is asked today.
        if not set(asked_now(walk.list, walk.kind, walk.also, _equipment(counting.records))) <= set(walk.asked):
            row["doubt"] = "old_list"
    for conflict in counting.conflicts:
        for record in conflict.records:
            if record.about == aircraft and record.done_at <= at and doubt_locks(state, record):
                continue
            _doubt(state.tables, record)
            if isinstance(record.act, flight.FlightDone) and record.about == aircraft and record.done_at <= at:
                # Which numbers are true is open; that it flew is not.
                state.flown.append((record, record.act))
    read_until = _read_until(state.tables.books)
    for record, act in state.flown:
        _after_flight(state, record, act, read_until)
    parts = state.tables.books.get("part")
    if parts is not None:
        state.tables.books["part"] = [part for part in parts if any(fit["aircraft"] == aircraft for fit in part["fit"])]
    return state.tables


def _equipment(counting: Iterable[Recorded]) -> frozenset[str]:
    texts = [each.act.text for each in counting if isinstance(each.act, defined.AircraftDefined)]
    return frozenset(tomllib.loads(texts[-1]).get("equipment", ())) if texts else frozenset()


def _phone_walks(state: _State, known: Iterable[Recorded], counting: Iterable[Recorded], at: datetime) -> None:
    """Add the walks that phones handed over, from every act of them that had been done."""
    aircraft = state.tables.aircraft
    mine = [each for each in known if is_of_phones(each.act) and each.about == aircraft and each.done_at <= at]
    if not any(isinstance(each.act, walking.WalkPart) for each in mine):
        return
    equipment = _equipment(counting)
    reports = [each for each in counting if isinstance(each.act, upkeep.DefectReported) and each.act.walk]
    defects = {
        (each.act.walk, each.act.list_item or each.act.item): state.first.get(each.id, each.id) for each in reports
    }
    for walk in phone_walks(mine).values():
        row = walk_row(walk, equipment=equipment, defects=defects)
        if row is not None:
            state.by_id[walk.id] = state.add("walk", row)


def _define(state: _State, records: Iterable[Recorded], replaced: Mapping[str, Recorded]) -> None:
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


@_of(upkeep.ProgramAdopted)
def _program(state: _State, record: Recorded, act: upkeep.ProgramAdopted) -> None:
    state.tables.program = tomllib.loads(act.text)


@_of(upkeep.BooksOpened)
def _opened(state: _State, record: Recorded, act: upkeep.BooksOpened) -> None:
    for name in act.complete:
        state.tables.books.setdefault(name, [])


@_of(upkeep.MeterKnown)
def _meter(state: _State, record: Recorded, act: upkeep.MeterKnown) -> None:
    state.meter(act.meter)["counts"] = act.counts


@_of(upkeep.MeterRead)
def _reading(state: _State, record: Recorded, act: upkeep.MeterRead) -> None:
    row = {"id": record.id, "at": record.done_at, "shows": act.shows, "by": record.by}
    state.meter(act.meter).setdefault("reading", []).append(row)


def _corrected_readings(state: _State, record: Recorded, replaced: Mapping[str, Recorded]) -> None:
    """Keep what a reading corrected beside it, as its file would."""
    rows = state.meter(record.act.meter)["reading"]
    while record.corrects in replaced and replaced[record.corrects].act.meter == record.act.meter:
        rows[-1]["corrects"] = record.corrects
        record = replaced[record.corrects]
        rows.append({"id": record.id, "at": record.done_at, "shows": record.act.shows, "by": record.by})


@_of(upkeep.MeterReplaced)
def _replaced(state: _State, record: Recorded, act: upkeep.MeterReplaced) -> None:
    row = {"at": record.done_at, "by": record.by, **table(act, without=("meter",))}
    state.meter(act.meter).setdefault("replaced", []).append(row)


@_of(flight.FlightDone)
def _flown(state: _State, record: Recorded, act: flight.FlightDone) -> None:
    state.flown.append((record, act))


def _read_until(books: Table) -> datetime | None:
    """Return until when every meter that counts hours has been read; None where one never was, or there is none."""
    hours = [meter for meter in books.get("meter", ()) if meter.get("counts", "hours") == "hours"]
    last = [max((one["at"] for one in meter.get("reading", ())), default=None) for meter in hours]
    return None if None in last else min((each for each in last if each is not None), default=None)


def _after_flight(state: _State, record: Recorded, act: flight.FlightDone, read_until: datetime | None) -> None:
    """End what a flight ends: walks that hold until the aircraft has flown, and the booking of what is on the meters.

    A list that nobody has opened stays unknown. Where a meter that counts hours was not read since, the flight stays
    with the bookings for as long as it took, for it is flown and not on every meter.
    """
    books = state.tables.books
    if "touch" in books:
        books["touch"].append({"what": "flown", "at": act.ended_at, "by": record.by})
    planned = state.find(act.flight)
    bookings = books.get("booking")
    if bookings is None:
        return
    if planned is not None and planned in bookings:
        bookings.remove(planned)
    if read_until is None or read_until < act.on_at:
        block_h = (act.ended_at - act.began_at) / timedelta(hours=1)
        bookings.append({"at": act.began_at, "block": f"{max(block_h, 0.0):.4f} h", "for": "flown, not on every meter"})


@_of(upkeep.TaskDone)
def _done(state: _State, record: Recorded, act: upkeep.TaskDone) -> None:
    state.add("done", {**table(act, without=("worker",)), "by": act.worker or record.by})


@_of(upkeep.NoticeDecided)
def _decided(state: _State, record: Recorded, act: upkeep.NoticeDecided) -> None:
    state.add("decision", {**table(act), "by": record.by})


@_of(upkeep.DirectivesRead)
def _read(state: _State, record: Recorded, act: upkeep.DirectivesRead) -> None:
    state.tables.books["directives_read_on"] = act.on


@_of(upkeep.ShareNoted)
def _share(state: _State, record: Recorded, act: upkeep.ShareNoted) -> None:
    state.tables.books.setdefault("shares", {})[act.of] = act.share


@_of(upkeep.PartFitted, upkeep.PartRemoved)
def _part(state: _State, record: Recorded, act: Any) -> None:
    parts = state.tables.books.setdefault("part", [])
    part = next((each for each in parts if (each["name"], each["serial"]) == (act.name, act.serial)), None)
    if isinstance(act, upkeep.PartRemoved):
        fit = next((each for each in reversed(part["fit"]) if "off" not in each), None) if part else None
        if fit is not None and fit["aircraft"] == record.about:
            fit.update(table(act, without=("name", "serial", "why")))
        return
    if part is None:
        part = {"name": act.name, "serial": act.serial, "fit": []}
        parts.append(part)
    part.update({key: value for key, value in table(act).items() if key in ("number", "made_on")})
    stay = table(act, without=("name", "serial", "number", "made_on"))
    part["fit"].append({"aircraft": record.about, **stay})


@_of(upkeep.AircraftPaper)
def _paper(state: _State, record: Recorded, act: upkeep.AircraftPaper) -> None:
    row = table(act, without=("never_expires",))
    if act.never_expires:
        row["expires_on"] = "never"
    papers = state.tables.books.setdefault("paper", [])
    papers[:] = [each for each in papers if each["name"] != act.name]
    papers.append(row)


@_of(upkeep.DefectReported)
def _defect(state: _State, record: Recorded, act: upkeep.DefectReported) -> None:
    row = {
        "id": record.id,
        "at": state.first_at(record),
        "by": record.by,
        **table(act, without=("walk", "zone", "list_item")),
    }
    state.by_id[record.id] = state.add("defect", row)


_DEFECT_ACTS = {
    upkeep.DefectAssessed: "assessed",
    upkeep.DefectDeferred: "deferred",
    upkeep.DefectClosed: "closed",
    upkeep.DefectReopened: "reopened",
}


@_of(*_DEFECT_ACTS)
def _defect_act(state: _State, record: Recorded, act: Any) -> None:
    defect = state.find(act.defect)
    # An act that is older than the report says nothing about it.
    if defect is None or record.done_at < defect["at"]:
        return
    if isinstance(act, upkeep.DefectDeferred) and act.judged_safe is False:
        return
    row: Table = {"kind": _DEFECT_ACTS[type(act)], **state.signed(record.by, record.done_at)}
    row |= table(act, without=("defect", "until_on", "work", "reference", "judged_safe"))
    if isinstance(act, upkeep.DefectDeferred) and act.until is None and act.until_on is not None:
        row["until"] = act.until_on
    if "restriction" in row:
        row["restriction"] = with_limits(row["restriction"])
    defect.setdefault("act", []).append(row)


@_of(upkeep.DefectsCompared)
def _compared(state: _State, record: Recorded, act: upkeep.DefectsCompared) -> None:
    ids = sorted({state.first.get(id, id) for id in act.defects})
    for pair in itertools.combinations(ids, 2):
        state.same[pair] = act.same


def _take_over(state: _State, records: Iterable[Recorded]) -> None:
    """Let each report of what a walk found take its place: from then on the report decides."""
    for each in records:
        if not isinstance(each.act, upkeep.DefectReported) or not each.act.walk:
            continue
        walk = state.find(each.act.walk) or {}
        for answer in walk.get("answer", ()):
            if answer["item"] == (each.act.list_item or each.act.item):
                answer.setdefault("defect", state.first.get(each.id, each.id))


def _alike(state: _State) -> None:
    """Point every report that was found to be of the same thing as others at the oldest of them."""
    groups: dict[str, set[str]] = {}
    for pair in [pair for pair, same in state.same.items() if same]:
        joined = set(pair).union(*(groups.get(id, ()) for id in pair))
        groups.update(dict.fromkeys(joined, joined))
    for group in groups.values():
        rows = sorted((row for id in group if (row := state.find(id))), key=lambda row: (row["at"], row["id"]))
        for later in rows[1:]:
            later["like"] = rows[0]["id"]


@_of(upkeep.EventReported)
def _event(state: _State, record: Recorded, act: upkeep.EventReported) -> None:
    row = {"id": record.id, "at": state.first_at(record), "by": record.by, **table(act)}
    state.by_id[record.id] = state.add("event", row)


@_of(upkeep.EventCleared)
def _cleared(state: _State, record: Recorded, act: upkeep.EventCleared) -> None:
    event = state.find(act.event)
    if event is not None and record.done_at >= event["at"]:
        row = table(act, without=("event", "worker", "reference"))
        signed = state.signed(act.signed_by, record.done_at) | {"by": act.worker or record.by}
        event.setdefault("cleared", []).append({**signed, **row})


@_of(upkeep.WorkDone)
def _work(state: _State, record: Recorded, act: upkeep.WorkDone) -> None:
    row = {"id": record.id, "at": record.done_at, **table(act, without=("workers",))}
    row["by"] = list(act.workers) or [record.by]
    state.by_id[record.id] = state.add("work", row)


_WORK_ACTS = {
    upkeep.WorkSigned: "signed",
    upkeep.SecondLook: "second_look",
    upkeep.CheckFlown: "check_flight",
}


@_of(*_WORK_ACTS)
def _work_act(state: _State, record: Recorded, act: Any) -> None:
    work = state.find(act.work)
    if work is not None:
        row = state.signed(record.by, record.done_at)
        if isinstance(act, upkeep.CheckFlown):
            row["result"] = act.result
        work[_WORK_ACTS[type(act)]] = row


@_of(upkeep.Touched)
def _touched(state: _State, record: Recorded, act: upkeep.Touched) -> None:
    state.add("touch", {"what": act.what, "at": record.done_at, "by": record.by})


@_of(upkeep.MarkerPlaced)
def _marker(state: _State, record: Recorded, act: upkeep.MarkerPlaced) -> None:
    row = {**table(act, without=("zone", "exercise")), "placed_by": record.by, "placed_at": record.done_at}
    state.by_id[record.id] = state.add("marker", row)


@_of(upkeep.MarkerRemoved, upkeep.MarkerConfirmed)
def _counted(state: _State, record: Recorded, act: Any) -> None:
    marker = state.find(act.placed)
    if marker is not None:
        key = "removed" if isinstance(act, upkeep.MarkerRemoved) else "confirmed"
        marker[key] = {"by": record.by, "at": record.done_at}


@_of(flight.FlightAsked)
def _booking(state: _State, record: Recorded, act: flight.FlightAsked) -> None:
    who = dict.fromkeys(
        each for each in (act.commander, act.instructor, act.student, act.examiner, act.passenger) if each
    )
    row = {"at": act.depart_at, "block": act.block, "for": " and ".join(who)}
    state.by_id[record.id] = state.add("booking", row)


@_of(flight.Booked)
def _booked(state: _State, record: Recorded, act: flight.Booked) -> None:
    if act.asked or act.cancelled:
        return
    block_h = (act.end_at - act.start_at) / timedelta(hours=1)
    state.add("booking", {"at": act.start_at, "block": f"{block_h:.4f} h", "for": "booked in a calendar"})


@_of(flight.FlightDropped)
def _dropped(state: _State, record: Recorded, act: flight.FlightDropped) -> None:
    booking = state.find(act.flight)
    if booking is not None:
        booking["cancelled_at"] = record.done_at


@_of(flight.Walk)
def _walk(state: _State, record: Recorded, act: flight.Walk) -> None:
    without = ("walked_by", "answers", "interruptions", "fingerprint", "also", "asked")
    row = {"id": record.id, **table(act, without=without)}
    row |= {"by": list(act.walked_by), "entered_at": record.entered_at}
    row["answer"] = [table(each, without=("at",)) for each in act.answers]
    row["interruption"] = [table(each) for each in act.interruptions]
    if act.asked:
        state.on_paper.append((row, act))
    state.by_id[record.id] = state.add("walk", row)


@_of(flight.WalkAccepted)
def _accepted(state: _State, record: Recorded, act: flight.WalkAccepted) -> None:
    walk = state.find(act.walk)
    if walk is not None:
        row = {"by": record.by, "at": record.done_at, "spots": list(act.spots)}
        walk.setdefault("accepted", []).append(row)


@_of(flight.ItemJudged)
def _judged(state: _State, record: Recorded, act: flight.ItemJudged) -> None:
    walk = state.find(act.walk)
    for answer in walk["answer"] if walk else ():
        if answer["item"] == act.item:
            answer["judged"] = {"by": record.by, "at": record.done_at, "may": act.may, "reason": act.reason}


@_of(phones.PhoneOpened)
def _phone_opened(state: _State, record: Recorded, act: phones.PhoneOpened) -> None:
    name = record.personal.called if record.personal is not None else f"phone {act.phone[:4]}"
    state.add("phone", {"id": act.phone, "name": name, "holder": record.by, "opened_at": record.done_at})


@_of(phones.PhoneDone)
def _phone_done(state: _State, record: Recorded, act: phones.PhoneDone) -> None:
    out = state.tables.books.get("phone", [])
    out[:] = [row for row in out if row["id"] != act.phone]


@_of(phones.PhonesLost)
def _phones_lost(state: _State, record: Recorded, act: phones.PhonesLost) -> None:
    state.lost = record.id
    state.tables.books["phones_unknown"] = LOST


@_of(phones.PhonesAsked)
def _phones_asked(state: _State, record: Recorded, act: phones.PhonesAsked) -> None:
    if act.lost == state.lost:
        state.tables.books.pop("phones_unknown", None)
