"""The demonstration: an invented operation's records, made by the same entries as real work, each at its own time.

What its files say was done before the book opened is entered when it opens; everything later is entered at its own
moment, so that the book has weeks of history and ends when the demonstration's clock begins.
"""

from __future__ import annotations

import tomllib
from collections.abc import Iterable, Iterator, Mapping
from datetime import UTC, date, datetime
from importlib.resources import files
from itertools import groupby
from typing import Any
from zoneinfo import ZoneInfo

from gyrewright.desk import clock
from gyrewright.desk.book.kinds.flight import FlightAsked, WeatherGiven
from gyrewright.desk.book.kinds.people import Declared, RoleGiven
from gyrewright.desk.book.kinds.upkeep import FuelMeasured
from gyrewright.desk.book.record import Entry
from gyrewright.desk.book.writing import append
from gyrewright.desk.fold.adopted import FIELD, INSURANCE, OPERATION
from gyrewright.desk.services import adopting
from gyrewright.desk.services.accounts import open_account, passing_word
from gyrewright.desk.services.entering import book_entries
from gyrewright.desk.services.entering_people import people_entries
from gyrewright.desk.services.records import LAPTOP, new_id, open_book
from gyrewright.desk.services.toml_text import toml_text
from gyrewright.people.read import read_people
from gyrewright.reading import Problems, Section
from gyrewright.rules.said import SAID

OPENED_AT = datetime(2027, 5, 3, 16, 0, tzinfo=UTC)
"""When the demonstration's book was opened: some weeks before its day."""

MANAGER = "okafor-lind"
_OWNERS = {"yarrow": ("N0-303S",)}
"""Whose aircraft is whose: a people file does not say, and an owner's role counts for their own alone."""

ASKED_AT = datetime(2027, 6, 12, 1, 30, tzinfo=UTC)
"""The evening before, when the day's flights were asked for."""

_DAY = ("0630-sunde-halloran", "0820-okafor-lind-castellane", "0900-okafor-lind-eklund", "1330-sunde-halloran")
_ALONE = "1900-halloran-alone"


def demo_text(path: str) -> str:
    """Return the text of a file of the packaged demonstration."""
    return files("gyrewright.data").joinpath("demo", *path.split("/")).read_text(encoding="utf-8")


def demo_table(path: str) -> dict[str, Any]:
    """Return a parsed file of the packaged demonstration."""
    return tomllib.loads(demo_text(path))


def set_up_demo(*, opened_at: datetime = OPENED_AT, more: Iterable[Entry] = ()) -> None:
    """Open the demonstration's book in an empty data folder and enter everything up to when its clock begins.

    Args:
        opened_at: When the book was opened.
        more: Entries of a longer history than the packaged one.

    Raises:
        Refused: The folder holds a book already.
    """
    operation, people = demo_table("operation.toml"), demo_table("people.toml")
    zone = ZoneInfo(demo_table("field.toml")["time_zone"])
    manager = next(each for each in people["person"] if each["id"] == MANAGER)
    clock.start(demo_at=opened_at)
    open_book(operation=operation["name"], manager=MANAGER, manager_name=manager["name"], is_demo=True, at=opened_at)
    entries = [*house_entries(people, zone=zone, at=opened_at), *_books(operation, opened_at), *_day(), *more]
    due = [each for each in entries if each.done_at <= clock.DEMO_START]
    due.sort(key=lambda each: max(each.done_at, opened_at))
    for moment, several in groupby(due, key=lambda each: max(each.done_at, opened_at)):
        append(list(several), now=lambda moment=moment: moment)  # type: ignore[misc]
        if moment == opened_at:
            for row in people["person"]:
                # Nobody learns these passwords: the demonstration's door asks for none.
                open_account(name=row["name"], person=row["id"], password=passing_word(), by=LAPTOP)


def house_entries(people: Mapping[str, Any], *, zone: ZoneInfo, at: datetime = OPENED_AT) -> Iterator[Entry]:
    """Yield what the demonstration's house is: rules, field, insurers, people, and its aircraft without their books."""
    yield from _papers(demo_table("operation.toml"), at)
    since = min(date(2027, 1, 1), at.date())
    owners = frozenset(f"{person} owner" for person in _OWNERS)
    yield from people_entries(people=people, by=MANAGER, at=at, roles_from=since, zone=zone, known=owners)
    for person, aircraft in _OWNERS.items():
        yield Entry(new_id(), RoleGiven("owner", since, aircraft=aircraft), at, MANAGER, person)
    yield from _insurers(people, at)


def _papers(operation: Mapping[str, Any], at: datetime) -> Iterator[Entry]:
    holds_from = min(date(2027, 1, 5), at.date())
    for name, path in ((OPERATION, "operation.toml"), (FIELD, operation["field"])):
        yield adopting.adopted(name=name, text=demo_text(path), holds_from=holds_from, by=MANAGER, done_at=at)
    for path in operation["aircraft"]:
        entry = adopting.defined(text=demo_text(path), by=MANAGER, done_at=at)
        yield entry
        program = demo_table(path)["program"]
        text = demo_text(f"aircraft/{program}")
        yield adopting.program(text=text, aircraft=entry.about, by="arrowood", done_at=at)


def _insurers(people: Mapping[str, Any], at: datetime) -> Iterator[Entry]:
    problems = Problems()
    known = read_people(Section(people, file="people", problems=problems))
    problems.stop_if_any()
    text = toml_text({"insurance": people["insurance"]})
    yield adopting.adopted(name=INSURANCE, text=text, holds_from=date(2027, 3, 1), by=MANAGER, people=known, done_at=at)


def _books(operation: Mapping[str, Any], at: datetime) -> Iterator[Entry]:
    for path in operation["aircraft"]:
        books = demo_table(f"aircraft/{demo_table(path)['records']}")
        # The day's flights are asked for with everything about them; a booking would count them twice.
        books["booking"] = []
        yield from book_entries(books=books, by="arrowood", at=at)


def _day() -> Iterator[Entry]:
    first = demo_table(f"flights/{_DAY[0]}.toml")
    for name in (*_DAY, _ALONE):
        yield from flight_entries(demo_table(f"flights/{name}.toml"), at=ASKED_AT)
    briefed = first["law"]["briefing_taken"]["at"].astimezone(UTC)
    yield from beside_entries(first, briefed_at=briefed, report_at=clock.DEMO_START)


def beside_entries(table: Mapping[str, Any], *, briefed_at: datetime, report_at: datetime) -> Iterator[Entry]:
    """Yield the weather and the fuel readings that a flight's file holds."""
    weather, by = table["weather"], table["parts"]["commander"]
    typed = {key: weather[key] for key in ("observation", "row") if key in weather}
    for text in weather.get("forecasts", ()):
        yield Entry(new_id(), WeatherGiven(text=text, form="forecast"), briefed_at, by)
    if typed:
        yield Entry(new_id(), WeatherGiven(text=toml_text(typed), form="typed"), briefed_at, by)
    for text in weather.get("reports", ()):
        yield Entry(new_id(), WeatherGiven(text=text, form="report"), report_at, by)
    stick = table["fuel"]["stick"]
    for by_what, aboard in (("stick", stick["value"]), ("gauge", table["fuel"]["gauge"])):
        act = FuelMeasured(by_what=by_what, aboard=aboard)  # type: ignore[arg-type]
        yield Entry(new_id(), act, stick["at"].astimezone(UTC), stick["by"], table["aircraft"])


def flight_entries(table: Mapping[str, Any], *, at: datetime) -> Iterator[Entry]:
    """Yield what a flight's file asks for, asked for at a moment, and what its commander has declared in it."""
    law, parts, fuel = table["law"], table["parts"], table["fuel"]
    id = new_id()
    said = {name: value for name, value in law.items() if isinstance(value, dict)}
    plain = {name: value for name, value in law.items() if SAID[name].kind == "flag" and name in _PLANS}
    own = {name: value for name, value in law.items() if SAID[name].kind == "flag" and name not in _PLANS}
    stick = fuel["stick"]
    act = FlightAsked(
        depart_at=table["time"]["depart"].astimezone(UTC),
        block=table["time"]["block"],
        purpose=table["purpose"],
        lesson=table.get("lesson", ""),
        runway=table["runway"],
        runway_state=table["runway_state"],
        take_offs=table["time"]["take_offs"],
        seats=table["seats"],
        fuel=stick["value"] if isinstance(stick, dict) else stick,
        loads=table["loads"],
        configuration=tuple(table["configuration"]),
        present=tuple(table.get("present", ())),
        named=tuple(table.get("named", ())),
        planned={name: value for name, value in law.items() if isinstance(value, str)},
        plain=plain,
        **parts,
    )
    by = parts.get("instructor", parts["commander"])
    yield Entry(id, act, at, by, table["aircraft"])
    if said:
        said_at = max(each["at"] for each in said.values()).astimezone(UTC)
        answers = {**{name: each["said"] for name, each in said.items()}, **own}
        yield Entry(new_id(), Declared(answers=answers, flight=id), said_at, parts["commander"], parts["commander"])


_PLANS = ("lands_elsewhere", "enters_controlled_airspace", "flight_to_inspection")
"""Plain answers that belong to what is asked for and are nobody's declaration."""
