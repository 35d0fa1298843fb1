"""Meters, tasks, parts, papers, flights and bookings, as the books of an aircraft hold them."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from datetime import datetime, timedelta
from typing import Any

from gyrewright.desk.book.kinds import flight, upkeep
from gyrewright.desk.book.record import Recorded
from gyrewright.desk.fold.aircraft_state import State, of
from gyrewright.desk.fold.tables import Table, table


@of(upkeep.ProgramAdopted)
def _program(state: State, record: Recorded, act: upkeep.ProgramAdopted) -> None:
    state.tables.program = tomllib.loads(act.text)


@of(upkeep.BooksOpened)
def _opened(state: State, record: Recorded, act: upkeep.BooksOpened) -> None:
    for name in act.complete:
        state.tables.books.setdefault(name, [])


@of(upkeep.MeterKnown)
def _meter(state: State, record: Recorded, act: upkeep.MeterKnown) -> None:
    state.meter(act.meter)["counts"] = act.counts


@of(upkeep.MeterRead)
def _reading(state: State, record: Recorded, act: upkeep.MeterRead) -> None:
    row = {"id": record.id, "at": record.done_at, "shows": act.shows, "by": record.by}
    state.meter(act.meter).setdefault("reading", []).append(row)


def corrected_readings(state: State, record: Recorded, replaced: Mapping[str, Recorded]) -> None:
    """Keep what a reading corrected beside it, as its file would."""
    rows = state.meter(record.act.meter)["reading"]
    while record.corrects in replaced and replaced[record.corrects].act.meter == record.act.meter:
        rows[-1]["corrects"] = record.corrects
        record = replaced[record.corrects]
        rows.append({"id": record.id, "at": record.done_at, "shows": record.act.shows, "by": record.by})


@of(upkeep.MeterReplaced)
def _replaced(state: State, record: Recorded, act: upkeep.MeterReplaced) -> None:
    row = {"at": record.done_at, "by": record.by, **table(act, without=("meter",))}
    state.meter(act.meter).setdefault("replaced", []).append(row)


@of(flight.FlightDone)
def _flown(state: State, record: Recorded, act: flight.FlightDone) -> None:
    state.flown.append((record, act))


def read_until_of(books: Table) -> datetime | None:
    """Return until when every meter that counts hours has been read; None where one never was, or there is none."""
    hours = [meter for meter in books.get("meter", ()) if meter.get("counts", "hours") == "hours"]
    last = [max((one["at"] for one in meter.get("reading", ())), default=None) for meter in hours]
    return None if None in last else min((each for each in last if each is not None), default=None)


def after_flight(state: State, record: Recorded, act: flight.FlightDone, read_until: datetime | None) -> None:
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


@of(upkeep.TaskDone)
def _done(state: State, record: Recorded, act: upkeep.TaskDone) -> None:
    state.add("done", {**table(act, without=("worker",)), "by": act.worker or record.by})


@of(upkeep.NoticeDecided)
def _decided(state: State, record: Recorded, act: upkeep.NoticeDecided) -> None:
    state.add("decision", {**table(act), "by": record.by})


@of(upkeep.DirectivesRead)
def _read(state: State, record: Recorded, act: upkeep.DirectivesRead) -> None:
    state.tables.books["directives_read_on"] = act.on


@of(upkeep.ShareNoted)
def _share(state: State, record: Recorded, act: upkeep.ShareNoted) -> None:
    state.tables.books.setdefault("shares", {})[act.of] = act.share


@of(upkeep.PartFitted, upkeep.PartRemoved)
def fold_part(state: State, record: Recorded, act: Any) -> None:
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


@of(upkeep.AircraftPaper)
def _paper(state: State, record: Recorded, act: upkeep.AircraftPaper) -> None:
    row = table(act, without=("never_expires",))
    if act.never_expires:
        row["expires_on"] = "never"
    papers = state.tables.books.setdefault("paper", [])
    papers[:] = [each for each in papers if each["name"] != act.name]
    papers.append(row)


@of(upkeep.Touched)
def _touched(state: State, record: Recorded, act: upkeep.Touched) -> None:
    state.add("touch", {"what": act.what, "at": record.done_at, "by": record.by})


@of(flight.FlightAsked)
def _booking(state: State, record: Recorded, act: flight.FlightAsked) -> None:
    who = dict.fromkeys(
        each for each in (act.commander, act.instructor, act.student, act.examiner, act.passenger) if each
    )
    row = {"at": act.depart_at, "block": act.block, "for": " and ".join(who)}
    state.by_id[record.id] = state.add("booking", row)


@of(flight.Booked)
def _booked(state: State, record: Recorded, act: flight.Booked) -> None:
    if act.asked or act.cancelled:
        return
    block_h = (act.end_at - act.start_at) / timedelta(hours=1)
    state.add("booking", {"at": act.start_at, "block": f"{block_h:.4f} h", "for": "booked in a calendar"})


@of(flight.FlightDropped)
def _dropped(state: State, record: Recorded, act: flight.FlightDropped) -> None:
    booking = state.find(act.flight)
    if booking is not None:
        booking["cancelled_at"] = record.done_at
