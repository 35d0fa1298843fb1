"""Entering a people file into the book: each of its rows becomes the record of an act.

Ids follow from the file's own ids and order, so that entering the same file twice enters it once.
"""

from __future__ import annotations

import json
import uuid
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import UTC, date, datetime, time
from typing import Any
from zoneinfo import ZoneInfo

from gyrewright.desk.book.kinds import people as kinds
from gyrewright.desk.book.record import Entry
from gyrewright.desk.refusal import Refused
from gyrewright.desk.services.entering import act_of, but
from gyrewright.desk.services.toml_text import toml_text

_SPACE = uuid.UUID("0f5f5f4a-1f1e-4c4c-8a4e-5f6d0c7a2b19")
_STANDING = (
    "certificate",
    "certificate_on",
    "certificate_temporary",
    "certificate_valid",
    "privileges",
    "ratings",
    "class_endorsements",
    "review_on",
    "review_scope",
    "medical",
    "teaching",
    "studies",
)
_LISTS = ("landings", "taught", "endorsement", "checkout", "authority")


@dataclass(frozen=True, slots=True)
class _Page:
    person: str
    by: str
    at: datetime
    roles_from: date
    zone: ZoneInfo

    def entry(
        self, act: Any, *key: object, at: datetime | date | None = None, by: str = "", personal: Any = None
    ) -> Entry:
        if at is None:
            at = self.at
        elif not isinstance(at, datetime):
            at = datetime.combine(at, time(12), UTC)
        id = str(uuid.uuid5(_SPACE, json.dumps([self.person, *map(str, key)])))
        return Entry(id, act, at, by or self.by, self.person, personal=personal, person=self.person)


def people_entries(
    *, people: Mapping[str, Any], by: str, at: datetime, roles_from: date, zone: ZoneInfo, known: frozenset[str]
) -> list[Entry]:
    """Return what a people file says as entries, in the order in which it was done.

    Args:
        people: The parsed file; it was read and checked before.
        by: Who enters it: the doer of rows that name nobody.
        at: When: the time of rows that carry none.
        roles_from: The day from which the roles hold.
        zone: The field's clock, by which a word of the day is one of that day.
        known: People whom the book has already, with the roles they hold there: they are not entered again.

    Raises:
        Refused: A row holds what no record can hold.
    """
    out: list[Entry] = []
    for row in people.get("person", ()):
        page = _Page(row["id"], by, at, roles_from, zone)
        out += [entry for rows in (_who, _papers, _words) for entry in rows(row, page, known)]
    out.sort(key=lambda entry: entry.done_at)
    return out


def _who(row: Mapping[str, Any], page: _Page, known: frozenset[str]) -> Iterator[Entry]:
    unknown = set(row) - {"id", "name", "roles", "mass", "born_on", "limit", "today", "declared", "no"}
    unknown -= {*_STANDING, *_LISTS}
    if unknown:
        raise Refused(f"the row of {page.person!r} has no {', '.join(sorted(unknown))}; check the key")
    personal = kinds.PersonPersonal(name=row["name"], born_on=row.get("born_on"))
    yield page.entry(kinds.Person(), "person", personal=personal)
    for role in row["roles"]:
        if f"{page.person} {role}" not in known:
            yield page.entry(kinds.RoleGiven(role=role, from_on=page.roles_from), "role", role)
    mass = row.get("mass")
    if isinstance(mass, dict):
        act = kinds.PersonWeighed(origin=mass.get("origin", "stated"))
        beside = kinds.MassPersonal(mass=mass["value"])
        yield page.entry(act, "mass", at=mass.get("at"), personal=beside)
    elif mass is not None:
        raise Refused(f"the mass of {page.person!r} says neither who read it nor when; write a table")


def _papers(row: Mapping[str, Any], page: _Page, known: frozenset[str]) -> Iterator[Entry]:
    standing = {key: row[key] for key in _STANDING if key in row}
    if isinstance(standing.get("studies", {}).get("presolo_test_for"), str):
        tests = [standing["studies"]["presolo_test_for"]]
        standing["studies"] = {**standing["studies"], "presolo_test_for": tests}
    if standing:
        yield page.entry(act_of(kinds.Standing, standing), "standing")
    complete: Any = tuple(name for name in _LISTS if name in row)
    if complete:
        yield page.entry(kinds.ListsComplete(complete=complete), "lists")
    for number, each in enumerate(row.get("landings", ())):
        yield page.entry(act_of(kinds.Landings, each), "landings", number, at=each["on"])
    for number, each in enumerate(row.get("taught", ())):
        yield page.entry(act_of(kinds.Taught, each), "taught", number, at=each["end"])
    for number, each in enumerate(row.get("endorsement", ())):
        limits = toml_text({"limit": each["limit"]}) if each.get("limit") else ""
        act = act_of(kinds.Endorsement, but(each, "limit"), limits=limits)
        yield page.entry(act, "endorsement", number, at=each["given_on"], by=each["given_by"])
    for number, each in enumerate(row.get("checkout", ())):
        act = act_of(kinds.Checkout, but(each, "by"), checked_by=each["by"])
        yield page.entry(act, "checkout", number, at=each["on"], by=each["by"])
    for number, each in enumerate(row.get("authority", ())):
        yield page.entry(act_of(kinds.Authority, but(each, "id"), paper=each["id"]), "authority", number)
    if row.get("limit"):
        text = toml_text({"limit": row["limit"]})
        yield page.entry(kinds.Minimums(limits=text), "minimums", by=page.person)


def _words(row: Mapping[str, Any], page: _Page, known: frozenset[str]) -> Iterator[Entry]:
    today = row.get("today", [])
    for number, each in enumerate(today if isinstance(today, list) else [today]):
        at = each.get("fitness_at") or page.at
        act = act_of(kinds.Today, but(each, "fitness_at"), on=at.astimezone(page.zone).date())
        yield page.entry(act, "today", number, at=at, by=page.person)
    said: dict[datetime, dict[str, bool]] = {}
    for name, several in row.get("declared", {}).items():
        for each in several if isinstance(several, list) else [several]:
            said.setdefault(each["at"], {})[name] = each["said"]
    for at, answers in said.items():
        yield page.entry(kinds.Declared(answers=answers), "declared", at.isoformat(), at=at, by=page.person)
    if row.get("no"):
        raise Refused(f"the row of {page.person!r} holds a no; its speaker says it at the desk")
