"""Entering people: who they are and may do, their papers and logbooks, page by page or as a whole file."""

from __future__ import annotations

import re
import tomllib
import unicodedata
from collections.abc import Callable, Iterator, Mapping
from datetime import UTC, date, datetime, time
from typing import Any

from gyrewright.desk import clock
from gyrewright.desk.book.kinds import people as kinds
from gyrewright.desk.book.reading import find_records
from gyrewright.desk.book.record import Entry, Kept
from gyrewright.desk.book.writing import append
from gyrewright.desk.fold.people import Known, fold_people
from gyrewright.desk.opening import person as pages
from gyrewright.desk.opening.ask import Page, Table, merged
from gyrewright.desk.refusal import Refused
from gyrewright.desk.services import state
from gyrewright.desk.services.entering import act_of
from gyrewright.desk.services.entering_people import people_entries
from gyrewright.desk.services.entitling import require_reach
from gyrewright.desk.services.people import all_people, person_known
from gyrewright.desk.services.records import new_id
from gyrewright.desk.services.releases import supersede
from gyrewright.desk.services.toml_text import toml_text
from gyrewright.desk.services.trying import people_with
from gyrewright.errors import UnknownName
from gyrewright.reading import Problems, section_of
from gyrewright.release.files import read_crew

MANAGER, VISITOR = "manager", "visitor"


def page_named(name: str) -> Page:
    """Return a page about a person.

    Raises:
        UnknownName: There is no such page.
    """
    found = next((page for page in pages.PAGES if page.name == name), None)
    if found is None:
        raise UnknownName(f"people have no page {name!r}")
    return found


def id_for(name: str) -> str:
    """Return an id for a new person: their last name in plain small letters, with a number where it is taken."""
    plain = unicodedata.normalize("NFKD", name).encode("ascii", "ignore").decode().casefold()
    words = re.findall(r"[a-z0-9-]+", plain)
    base = (words[-1] if words else "person")[:40].strip("-") or "person"
    taken = set(all_people())
    number = 1
    while (id := base if number == 1 else f"{base}-{number}") in taken:
        number += 1
    return id


def table_now(person: str) -> Table:
    """Return what is entered of a person, as the pages ask for it; their mass is not shown to whoever enters it."""
    known = person_known(person)
    now = clock.now()
    on = now.astimezone(state.zone()).date()
    rows = fold_people(find_records(about=person), at=now, on=on).people["person"]
    row = dict(rows[0]) if rows else {}
    for name in ("mass", "landings", "endorsement", "checkout", "authority"):
        row.pop(name, None)
    row |= {"name": known.name, "roles": sorted(known.roles_on(on) - {VISITOR})}
    more = {"contact": known.contact, "born_on": known.born_on, "visitor_until": _visits_until(known, on)}
    return row | {key: value for key, value in more.items() if value}


def _visits_until(known: Known, on: date) -> date | None:
    return max(
        (held.until for held in known.roles if held.role == VISITOR and held.until and held.holds(on)), default=None
    )


def enter_person(*, posted: Mapping[str, str], by: str) -> str:
    """Record a new person with what was written on their first page and return the id they were given.

    Raises:
        Refused: There is no name.
    """
    table = merged(pages.WHO, {}, posted, zone=state.zone())
    if not table.get("name"):
        raise Refused("a person needs a name; write it as others here call them")
    person = id_for(table["name"])
    _keep(list(_who(person, {}, table, by, "", clock.now())), by=by)
    return person


def enter_page(*, person: str, page: str, posted: Mapping[str, str], by: str, from_paper: str) -> list[Kept]:
    """Record what was written on a page about a person, all of it or nothing.

    Raises:
        Refused: Nothing new was written, or something entered would be emptied.
        DefinitionError: It would not read; lists every problem.
    """
    asked = page_named(page)
    before = table_now(person)
    after = merged(asked, before, posted, zone=state.zone())
    entries = list(_MAKE[page](person, before, after, by, from_paper, clock.now()))
    if not entries:
        raise Refused("nothing new was written on this page")
    return _keep(entries, by=by)


def enter_text(*, text: str, by: str) -> list[Kept]:
    """Record a whole people file, all of it or nothing; entered twice, it counts once.

    Raises:
        Refused: It is of another kind.
        DefinitionError: It does not read; lists every problem.
    """
    problems = Problems()
    section = section_of(text, file="People", problems=problems)
    problems.stop_if_any()
    if section.raw("kind") != "people":
        raise Refused('this is no people file: it begins with kind = "people"')
    read_crew(section)
    problems.stop_if_any()
    now = clock.now()
    on = now.astimezone(state.zone()).date()
    held = {f"{id} {role}" for id, known in all_people().items() for role in known.roles_on(on)}
    table = tomllib.loads(text)
    if "insurance" in table:
        raise Refused("insurers have a page of their own; take [[insurance]] out of this text and enter it there")
    entries = people_entries(people=table, by=by, at=now, roles_from=on, zone=state.zone(), known=frozenset(held))
    return _keep(entries, by=by)


def _keep(entries: list[Entry], *, by: str) -> list[Kept]:
    require_reach("opening-person", person=by, is_own=False)
    people_with(entries)
    kept = append(entries)
    supersede(by=by)
    return kept


def _who(person: str, before: Table, after: Table, by: str, paper: str, now: datetime) -> Iterator[Entry]:
    on = now.astimezone(state.zone()).date()
    if not after.get("name"):
        raise Refused("a person needs a name; a changed one is written over the old")
    named = ("name", "contact", "born_on")
    if any(after.get(key) != before.get(key) for key in named):
        beside = kinds.PersonPersonal(**{key: after[key] for key in named if key in after})
        yield Entry(new_id(), kinds.Person(), now, by, person, personal=beside)
    yield from _roles(person, set(before.get("roles", ())), set(after.get("roles", ())), on, by, now)
    until = after.get("visitor_until")
    if until and until != before.get("visitor_until"):
        if until < on:
            raise Refused(f"a visitor's last day, {until}, is past; write a day from today on")
        yield Entry(new_id(), kinds.RoleGiven(role=VISITOR, from_on=on, until=until), now, by, person)
    if "mass" in after:
        if "origin" not in after:
            raise Refused("say whether the mass was weighed on the scale or only stated")
        act = kinds.PersonWeighed(origin=after["origin"], from_paper=paper)
        at = after.get("weighed_at", now)
        yield Entry(new_id(), act, at, by, person, personal=kinds.MassPersonal(mass=after["mass"]), person=person)


def _roles(person: str, before: set[str], after: set[str], on: date, by: str, now: datetime) -> Iterator[Entry]:
    for role in sorted(after - before):
        yield Entry(new_id(), kinds.RoleGiven(role=role, from_on=on), now, by, person)
    for role in sorted(before - after):
        others = [id for id, known in all_people().items() if id != person and MANAGER in known.roles_on(on)]
        if role == MANAGER and not others:
            raise Refused("somebody has to manage this house: give another person that role first")
        yield Entry(new_id(), kinds.RoleEnded(role=role, from_on=on), now, by, person)


def _standing(person: str, before: Table, after: Table, by: str, paper: str, now: datetime) -> Iterator[Entry]:
    lost = _emptied(before, after)
    if lost:
        raise Refused(
            f"{', '.join(lost)}: a fact that was entered is not taken back by emptying its field;"
            " write the right one, or withdraw its record"
        )
    new = {key: _newer(before.get(key), value) for key, value in after.items() if value != before.get(key)}
    if new:
        yield Entry(new_id(), act_of(kinds.Standing, new, from_paper=paper), now, by, person)


def _newer(before: Any, after: Any) -> Any:
    """Return of a table only what is new in it: a later record leaves what it does not name as it was."""
    if not isinstance(after, dict) or not isinstance(before, dict):
        return after
    return {key: value for key, value in after.items() if value != before.get(key)}


def _emptied(before: Any, after: Any, place: str = "") -> list[str]:
    out = []
    for key, value in before.items():
        name = f"{place}{key.replace('_', ' ')}"
        if key not in after:
            out.append(name)
        elif isinstance(value, dict) and isinstance(after[key], dict):
            out += _emptied(value, after[key], f"{name} ")
    return out


_LIMITS = (
    ("wind", "wind", "wind_counts"),
    ("gust spread", "gust_spread", ""),
    ("crosswind", "crosswind", "crosswind_counts"),
)


def _logbook(person: str, before: Table, after: Table, by: str, paper: str, now: datetime) -> Iterator[Entry]:
    def made(act: Any, on: date | None, doer: str = "") -> Entry:
        noon = min(datetime.combine(on, time(12), state.zone()).astimezone(UTC), now) if on else now
        return Entry(new_id(), act, noon, doer or by, person)

    new = {key: after[key] for key in ("landings", "endorsement", "checkout", "authority") if key in after}
    for row in new.get("landings", ()):
        yield made(
            _act(kinds.Landings, row, "on", "aircraft_class", "take_offs", "landings", paper=paper), row.get("on")
        )
    for row in new.get("endorsement", ()):
        limits = [
            {"of": of, "at_most": row[key], **({"counts": row[counts]} if counts in row else {})}
            for of, key, counts in _LIMITS
            if key in row
        ]
        names = {name for each in _LIMITS for name in each[1:]}
        given = {key: value for key, value in row.items() if key not in names}
        text = toml_text({"limit": limits}) if limits else ""
        act = _act(kinds.Endorsement, {**given, "limits": text}, "what_for", "given_by", "given_on", paper=paper)
        yield made(act, row.get("given_on"))
    for row in new.get("checkout", ()):
        given = {("checked_by" if key == "by" else key): value for key, value in row.items()}
        yield made(_act(kinds.Checkout, given, "make_model", "on", "checked_by", paper=paper), row.get("on"))
    for row in new.get("authority", ()):
        given = {("paper" if key == "id" else key): value for key, value in row.items()}
        yield made(_act(kinds.Authority, given, "what_for", "paper", "issued_on", paper=paper), None)
    if after.get("complete"):
        yield made(kinds.ListsComplete(complete=tuple(after["complete"])), None)


def _act(schema: type, row: Mapping[str, Any], *needed: str, paper: str) -> Any:
    lost = [name for name in needed if not row.get(name) and row.get(name) != 0]
    if lost:
        called = schema.__name__.casefold()
        raise Refused(f"{called}: {', '.join(lost).replace('_', ' ')} is missing; write it, or empty the row")
    return act_of(schema, row, from_paper=paper)


_MAKE: dict[str, Callable[[str, Table, Table, str, str, datetime], Iterator[Entry]]] = {
    "who": _who,
    "papers": _standing,
    "teaching": _standing,
    "studies": _standing,
    "logbook": _logbook,
}
