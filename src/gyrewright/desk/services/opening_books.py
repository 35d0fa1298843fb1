"""Entering what an aircraft's logs say, page by page or as a whole file, each fact with the paper it was read from."""

from __future__ import annotations

import tomllib
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime, time, timedelta
from typing import Any
from zoneinfo import ZoneInfo

from gyrewright.desk import clock
from gyrewright.desk.book.kinds import upkeep
from gyrewright.desk.book.record import Entry, Kept
from gyrewright.desk.book.writing import append
from gyrewright.desk.opening import books
from gyrewright.desk.opening.ask import Page, Table, merged
from gyrewright.desk.refusal import Refused
from gyrewright.desk.services import state
from gyrewright.desk.services.entering import book_entries
from gyrewright.desk.services.entitling import require_reach
from gyrewright.desk.services.records import new_id
from gyrewright.desk.services.releases import supersede
from gyrewright.desk.services.trying import aircraft_with
from gyrewright.errors import UnknownName
from gyrewright.reading import Problems, section_of
from gyrewright.release.files import read_books


def pages_now(aircraft: str) -> tuple[Page, ...]:
    """Return the pages of an aircraft's books as its program and what is entered ask for them now."""
    made = state.machine(aircraft, clock.now())
    return books.pages_of(made.aircraft.program, made.tables.books)


def page_named(aircraft: str, name: str) -> Page:
    """Return one of them.

    Raises:
        UnknownName: There is no such page, or no such aircraft.
    """
    found = next((page for page in pages_now(aircraft) if page.name == name), None)
    if found is None:
        raise UnknownName(f"the books of {aircraft} have no page {name!r}")
    return found


@dataclass(frozen=True, slots=True)
class _Log:
    """Where a page's facts come from: whose entry, which aircraft, which paper."""

    aircraft: str
    by: str
    from_paper: str
    now: datetime
    zone: ZoneInfo
    known: Mapping[str, Any]

    def entry(self, act: Any, *, at: datetime | date | None = None) -> Entry:
        if at is not None and not isinstance(at, datetime):
            at = min(datetime.combine(at, time(12), self.zone).astimezone(UTC), self.now)
        return Entry(new_id(), act, at or self.now, self.by, self.aircraft)


def enter_page(*, aircraft: str, page: str, posted: Mapping[str, str], by: str, from_paper: str) -> list[Kept]:
    """Record what was written on a page of an aircraft's books, all of it or nothing.

    Raises:
        Refused: Nothing was written, or not what it was read from.
        DefinitionError: The books would not read with it; lists every problem.
    """
    require_reach("opening-aircraft", person=by, is_own=False)
    asked = page_named(aircraft, page)
    table = merged(asked, {}, posted, zone=state.zone())
    if not table:
        raise Refused("nothing was written on this page")
    if not from_paper:
        raise Refused("say what this was read from: the log and its page, the card of the part, or the aircraft itself")
    log = _Log(aircraft, by, from_paper, clock.now(), state.zone(), state.machine(aircraft, clock.now()).tables.books)
    entries = list(_MAKE[page](table, log))
    if not entries:
        raise Refused("nothing was written on this page")
    return _keep(aircraft, entries, by=by)


def enter_text(*, aircraft: str, text: str, by: str, from_paper: str) -> list[Kept]:
    """Record a whole records file, all of it or nothing; entered twice, it counts once.

    Raises:
        Refused: It is of another kind or of another aircraft.
        DefinitionError: It does not read; lists every problem.
    """
    require_reach("opening-aircraft", person=by, is_own=False)
    problems = Problems()
    section = section_of(text, file="the books", problems=problems)
    problems.stop_if_any()
    if section.raw("kind") != "records" or section.raw("aircraft") != aircraft:
        raise Refused(
            f'this is no records file of {aircraft}: it begins with kind = "records", aircraft = "{aircraft}"'
        )
    read_books(section)
    problems.stop_if_any()
    now = clock.now()
    entries = book_entries(books=tomllib.loads(text), by=by, at=now, from_paper=from_paper)
    return _keep(aircraft, [_not_ahead(each, now) for each in entries], by=by)


def _not_ahead(entry: Entry, now: datetime) -> Entry:
    """Return an entry of today as done by now: a row with a date alone stands for some time of that day."""
    return replace(entry, done_at=now) if now < entry.done_at < now + timedelta(hours=24) else entry


def _keep(aircraft: str, entries: list[Entry], *, by: str) -> list[Kept]:
    aircraft_with(entries, aircraft=aircraft)
    kept = append(entries)
    supersede(by=by)
    return kept


def _rows(table: Table, name: str, *needed: str) -> Iterator[Table]:
    """Yield the rows of a page; one that lacks what it cannot do without is refused by name."""
    for row in table.get(name, ()):
        lost = [each for each in needed if each not in row]
        if lost:
            called = row.get("name") or row.get("task") or name
            raise Refused(f"{called}: {', '.join(lost).replace('_', ' ')} is missing; write it, or empty the row")
        yield row


def _meters(table: Table, log: _Log) -> Iterator[Entry]:
    known = {each["name"]: each.get("counts") for each in log.known.get("meter", ())}
    for row in _rows(table, "meter", "name", "shows", "at"):
        counts = row.get("counts")
        if counts and known.get(row["name"], "hours") != counts:
            yield log.entry(upkeep.MeterKnown(meter=row["name"], counts=counts))
        act = upkeep.MeterRead(meter=row["name"], shows=row["shows"], from_paper=log.from_paper)
        yield log.entry(act, at=row["at"])


def _done(table: Table, log: _Log) -> Iterator[Entry]:
    for row in _rows(table, "done", "task"):
        if "on" not in row and "not_applicable" not in row:
            raise Refused(f"{row['task']}: say on which day it was done, or why it does not apply")
        worker = row.get("worker", "") or row.get("signed_by", "")
        given = {key: value for key, value in row.items() if key != "worker"}
        yield log.entry(upkeep.TaskDone(**given, worker=worker, from_paper=log.from_paper), at=row.get("on"))


def _parts(table: Table, log: _Log) -> Iterator[Entry]:
    for row in _rows(table, "part", "name", "serial", "on"):
        yield log.entry(upkeep.PartFitted(**row, from_paper=log.from_paper), at=row["on"])


def _papers(table: Table, log: _Log) -> Iterator[Entry]:
    for row in _rows(table, "paper", "name"):
        never = row.get("never_expires") is True
        if never and "expires_on" in row:
            raise Refused(f"{row['name']}: it has a last day, or it has none; not both")
        if not never and "expires_on" not in row:
            raise Refused(f"{row['name']}: write its last day, or say that it has none")
        yield log.entry(upkeep.AircraftPaper(**{**row, "never_expires": never}, from_paper=log.from_paper))


def _open(table: Table, log: _Log) -> Iterator[Entry]:
    if "directives_read_on" in table:
        on = table["directives_read_on"]
        yield log.entry(upkeep.DirectivesRead(on=on, from_paper=log.from_paper), at=on)
    for name, share in table.get("shares", {}).items():
        yield log.entry(upkeep.ShareNoted(of=name, share=share, from_paper=log.from_paper))
    said: Any = tuple(name for name, word in table.get("nothing", {}).items() if word)
    if said:
        yield log.entry(upkeep.BooksOpened(complete=said, from_paper=log.from_paper))


_MAKE: dict[str, Callable[[Table, _Log], Iterator[Entry]]] = {
    "meters": _meters,
    "done": _done,
    "parts": _parts,
    "papers": _papers,
    "open": _open,
}
