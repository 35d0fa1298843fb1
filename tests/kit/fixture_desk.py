"""Fixture F as a book at the desk: the scenarios' house, aircraft, people and books, entered as real work is."""

from __future__ import annotations

import tomllib
from datetime import UTC, date, datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

from django.urls import reverse

from gyrewright.desk import clock
from gyrewright.desk.book.writing import append
from gyrewright.desk.fold.adopted import FIELD, INSURANCE, OPERATION
from gyrewright.desk.services import accounts, adopting
from gyrewright.desk.services.entering import book_entries
from gyrewright.desk.services.entering_people import people_entries
from gyrewright.desk.services.records import new_id, open_book
from gyrewright.desk.services.toml_text import toml_text
from gyrewright.people.read import read_people
from gyrewright.reading import Problems, Section
from kit.desk import client_of, words
from scenarios.fixture import HERE, Flight, filled

MANAGER, KEEPER = "manager", "M1"
ZONE = ZoneInfo("America/Chicago")
BEFORE = timedelta(minutes=9)
"""How long before the scenario's moment its people sit down at the desk."""


def open_fixture(flight: Flight, *, without_books: bool = False) -> datetime:
    """Open the book of fixture F some minutes before a scenario asks, with what it says of people and books.

    Returns the moment at which the scenario asks; the desk's clock runs from the minutes before it.
    """
    asked_at = at = datetime.fromisoformat(flight.asked_at).astimezone(UTC)
    at -= BEFORE
    since = min(date(2027, 1, 1), at.date())

    def text(path: str) -> str:
        found = (HERE / path).read_text(encoding="utf-8")
        for file, old, new in (("people.toml", *flight.people), *flight.edits):
            if file == path:
                found = found.replace(old, new) if old else found + new
        return filled(found + (flight.house if path == "operation.toml" else ""), asked_at.astimezone(ZONE))

    clock.start(demo_at=at)
    open_book(operation="Fixture F", manager=MANAGER, manager_name="The manager", is_demo=True, at=at)
    entries = [
        adopting.adopted(name=name, text=text(path), holds_from=since, by=MANAGER, done_at=at)
        for name, path in ((OPERATION, "operation.toml"), (FIELD, "field.toml"))
    ]
    people = tomllib.loads(text("people.toml"))
    for craft in ("g1", "g2"):
        entries.append(adopting.defined(text=text(f"{craft}.toml"), by=MANAGER, done_at=at))
        name = entries[-1].about
        entries.append(adopting.program(text=text(f"{craft}-program.toml"), aircraft=name, by=KEEPER, done_at=at))
    entries += people_entries(people=people, by=MANAGER, at=at, roles_from=since, zone=ZONE, known=frozenset())
    problems = Problems()
    known = read_people(Section(people, file="people", problems=problems))
    problems.stop_if_any()
    insurers = toml_text({"insurance": people["insurance"]})
    entries.append(
        adopting.adopted(name=INSURANCE, text=insurers, holds_from=since, by=MANAGER, people=known, done_at=at)
    )
    if not without_books:
        for craft in ("g1", "g2"):
            books = tomllib.loads(text(f"{craft}-records.toml"))
            # What is booked is asked for at the desk.
            books["booking"] = []
            entries += book_entries(books=books, by=KEEPER, at=at)
    append(sorted(entries, key=lambda each: (each.done_at, bool(each.corrects))), now=lambda: at)
    for row in [*people["person"], {"id": MANAGER, "name": "The manager"}]:
        accounts.open_account(name=row["name"], person=row["id"], password=accounts.passing_word(), by=MANAGER)
    return asked_at


def asked_fields(flight: Flight, **changes: Any) -> dict[str, Any]:
    """Return what somebody writes into the form to ask for a scenario's flight."""
    depart = datetime.fromisoformat(flight.depart or flight.asked_at).astimezone(ZONE)
    loads = flight.loads
    if loads is None:
        loads = dict.fromkeys(("ballast",) if flight.aircraft == "G1" else ("locker", "ballast"), "0 kg")
    return {
        "id": new_id(),
        "aircraft": flight.aircraft,
        "purpose": flight.purpose,
        "lesson": flight.lesson,
        **flight.parts,
        **{f"seat.{seat}": person for seat, person in flight.seats.items()},
        **{f"load.{place}": mass for place, mass in loads.items()},
        "fuel": "",
        "on": depart.date().isoformat(),
        "start": depart.strftime("%H:%M"),
        "block": f"{flight.block_h} h" if flight.block_h != "open" else "open",
        "take_offs": flight.take_offs,
        "runway": flight.runway,
        "runway_state": "dry",
        "planned_height": "700 ft",
        "planned_altitude": "2850 ft",
        "farthest_from_start": "5 km",
        "elsewhere": "no",
        "present": list(flight.present),
        **changes,
    }


def ask(person: str, flight: Flight, **changes: Any) -> str:
    """Ask for a flight through the form and return its id."""
    answer = client_of(person).post(reverse("flight-ask"), asked_fields(flight, **changes))
    assert answer.status_code == 302, words(answer, 400)
    return str(answer.url.rpartition("/")[2])


def read_at_the_field(person: str, id: str, flight: Flight, **changes: Any) -> Any:
    """Give what a scenario's observation says, and the fuel that stick and gauge show, through the page."""
    observed = flight.observed
    given: dict[str, Any] = {"id": new_id(), "none": ["report", "forecast"]}
    if flight.fuel_l is not None:
        given |= {"stick": f"{flight.fuel_l:g} L", "gauge": f"{flight.fuel_l:g} L"}
    direction, mean, gust = observed.wind if observed and observed.wind else (250, 8, None)
    given |= {
        "wind_from": f"{direction} deg",
        "reference": "true",
        "wind": f"{mean} kt",
        "gust": f"{gust} kt" if gust is not None else "none",
        "temperature": (observed.temperature if observed else "18 C") or "",
        "altimeter": (observed.altimeter if observed else "1018 hPa") or "",
        "visibility": (observed.visibility if observed else "10 km") or "",
        "cloud_base": (observed.cloud if observed else "none") or "",
        **changes,
    }
    return client_of(person).post(reverse("flight-report", args=[id]), given)


def sign_all(id: str, *people: str) -> None:
    """Let each person sign, in their own name, all that the page asks of them."""
    for person in people:
        client = client_of(person)
        page = client.get(reverse("flight", args=[id])).content.decode()
        given = {"id": new_id(), "person": person, "all": "yes"}
        if f'id="slept-{person}"' in page:
            given["slept"] = "7.5 h"
        if f'id="lessons-{person}"' in page:
            given["lessons"] = "0"
        if f'name="person" value="{person}"' in page:
            answer = client.post(reverse("flight-sign", args=[id]), given)
            assert answer.status_code == 302, words(answer, 400)


def page_of(person: str, id: str, **query: str) -> str:
    """Return what a flight's page tells a person."""
    return words(client_of(person).get(reverse("flight", args=[id]), query))


def ways_of(person: str, id: str, **query: str) -> str:
    """Return what would make a flight pass, as the page tells a person."""
    return words(client_of(person).get(reverse("flight-ways", args=[id]), {"part": "1", **query}))
