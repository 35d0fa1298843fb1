"""A year of the demonstration: its own weeks, and before them the flights of eleven months, in the order of their time.

The entries are those that the use cases write, and go the one way into the book. What a release freezes is worked out
once for each of the day's flights that can be released, and frozen again under every earlier flight: the book then
holds as much as a year of releases does.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, date, datetime, time, timedelta
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

import numpy as np

OPENED_AT = datetime(2026, 6, 11, 16, 0, tzinfo=UTC)
FIRST, LAST = date(2026, 6, 12), date(2027, 5, 12)
"""The days whose flights are made up; the demonstration's own weeks follow."""

FLIGHTS_A_DAY = (
    ("dunlin", 9, "sunde", "halloran", "front", "rear"),
    ("dunlin", 11, "okafor-lind", "castellane", "rear", "front"),
    ("whimbrel", 10, "okafor-lind", "eklund", "right", "left"),
    ("sanderling", 15, "sunde", "weatherby", "rear", "front"),
)
_BLOCK = timedelta(minutes=66)
_METERS = ("airframe", "rotor", "engine", "starts")


def make_year(folder: Path) -> int:
    """Make the book of a year in an empty folder and return how many records it holds."""
    from gyrewright.desk import start

    start.set_up(data_dir=folder, is_demo=True)
    start.make_ready()
    from gyrewright.desk.book.reading import head
    from gyrewright.desk.services import demo

    demo.set_up_demo()
    frozen = _frozen()
    _empty(folder)
    start.make_ready()
    demo.set_up_demo(opened_at=OPENED_AT, more=_history(frozen))
    return int(head().seq)


def _frozen() -> Any:
    """Return what a release of the day's first flight holds, made by the use case."""
    from gyrewright.desk import clock
    from gyrewright.desk.book.reading import record_with_id
    from gyrewright.desk.services import releases, state
    from gyrewright.desk.services.records import new_id

    clock.start(demo_at=clock.DEMO_START)
    first = next(iter(state.flights(clock.now())))
    kept = releases.release_flight(id=new_id(), flight=first, by="sunde")
    return record_with_id(kept.record.id)


def _empty(folder: Path) -> None:
    from django.db import connection

    from gyrewright.desk.services import state

    connection.close()
    state._kept.clear()
    for each in folder.glob("*"):
        if each.is_file() and each.name != "secret-key":
            each.unlink()


def _history(frozen: Any) -> Iterator[Any]:
    from gyrewright.desk.services.demo import demo_table

    zone = ZoneInfo(demo_table("field.toml")["time_zone"])
    books = {
        name: demo_table(f"aircraft/{name}-records.toml") for name in dict.fromkeys(row[0] for row in FLIGHTS_A_DAY)
    }
    shown = {name: _meters(table) for name, table in books.items()}
    day = FIRST
    while day <= LAST:
        for row in FLIGHTS_A_DAY:
            depart_at = datetime.combine(day, time(row[1]), zone).astimezone(UTC)
            yield from _flight(row, books[row[0]], shown[row[0]], depart_at, frozen)
        day += timedelta(days=1)


def _meters(table: dict[str, Any]) -> dict[str, tuple[list[float], list[float]]]:
    """Return for each meter the days and values that the aircraft's own file gives, to lay flights between."""
    found: dict[str, dict[float, float]] = {}
    for meter in table["meter"]:
        for reading in meter["reading"]:
            found.setdefault(meter["name"], {})[_day_of(reading["at"])] = float(reading["shows"].split()[0])
    for done in table["done"]:
        for name, shows in done.get("at", {}).items():
            found.setdefault(name, {})[_day_of(done["on"])] = float(shows.split()[0])
    out = {}
    for name, points in found.items():
        days = sorted(points)
        last = _day_of(LAST) + 2.0
        days = [each for each in days if each <= last] + [each for each in days if each > last][:1]
        values = [points[each] for each in days]
        if name in _METERS and len(days) > 1 and values == sorted(values):
            out[name] = (days, values)
    return out


def _day_of(moment: date | datetime) -> float:
    return moment.timestamp() / 86400.0 if isinstance(moment, datetime) else float((moment - date(1970, 1, 1)).days)


def _flight(
    row: tuple[Any, ...],
    books: dict[str, Any],
    meters: dict[str, tuple[list[float], list[float]]],
    depart_at: datetime,
    frozen: Any,
) -> Iterator[Any]:
    from gyrewright.desk.book.kinds.flight import FlightAsked, FlightDone, Walk, WeatherGiven
    from gyrewright.desk.book.kinds.people import Declared, Today
    from gyrewright.desk.book.kinds.upkeep import FuelMeasured, MeterRead
    from gyrewright.desk.book.record import Entry
    from gyrewright.desk.services.records import new_id

    _, _, teacher, student, front, rear = row
    aircraft, id = books["aircraft"], new_id()
    early, ends = depart_at - timedelta(minutes=40), depart_at + _BLOCK

    def entry(act: Any, at: datetime, by: str = teacher, about: str = aircraft, **more: Any) -> Entry:
        return Entry(new_id(), act, at, by, about, **more)

    asked = FlightAsked(
        depart_at=depart_at,
        block="1.1 h",
        purpose="instruction",
        commander=teacher,
        instructor=teacher,
        student=student,
        lesson="crosswind",
        runway="25",
        runway_state="dry",
        take_offs="throughout",
        seats={front: student, rear: teacher},
    )
    yield replace(entry(asked, depart_at - timedelta(hours=14)), id=id)
    stamp = (depart_at - timedelta(minutes=20)).strftime("%d%H%MZ")
    report = f"METAR X0TB {stamp} 18003KT 10SM CLR 09/02 A2980"
    yield entry(WeatherGiven(text=report, form="report"), depart_at - timedelta(minutes=15), about="")
    walk = Walk(
        kind="first of the day",
        list="walk-round",
        revision=1,
        walked_by=(teacher, student),
        began_at=early - timedelta(minutes=30),
        ended_at=early,
        complete=True,
    )
    yield entry(walk, early)
    for by_what in ("stick", "gauge"):
        yield entry(FuelMeasured(by_what=by_what, aboard="40 L"), early)  # type: ignore[arg-type]
    said = {"belts_briefed": True, "briefing_taken": True, "commander_finds_safe": True}
    yield entry(Declared(answers=said, flight=id), early, about=teacher)
    for person in (teacher, student):
        yield entry(Today(on=depart_at.date(), fitness="fit", slept="7.5 h"), early, person, person)
    release = replace(frozen.act, flight=id, valid_until=ends)
    yield entry(release, depart_at - timedelta(minutes=5), personal=frozen.personal, person=teacher)
    done = FlightDone(
        off_at=depart_at + timedelta(minutes=6),
        on_at=ends - timedelta(minutes=6),
        out_at=depart_at,
        in_at=ends,
        commander=teacher,
        instructor=teacher,
        student=student,
        flight=id,
        aboard=(teacher, student),
        purpose="instruction",
        take_offs=6,
        landings=6,
        no_event=True,
    )
    yield entry(done, ends)
    for name, (days, values) in meters.items():
        shows = float(np.interp(_day_of(ends), days, values))
        text = f"{shows:.1f} h" if name != "starts" else f"{shows:.0f}"
        yield entry(MeterRead(meter=name, shows=text), ends)
    yield entry(FuelMeasured(by_what="stick", aboard="24 L"), ends)
