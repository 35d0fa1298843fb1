"""People as folded from records: who may act in which role on a day, and the tables of a people file."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, tzinfo
from typing import Any

from gyrewright.desk.book.kinds import people as kinds
from gyrewright.desk.book.kinds.flight import FlightDone
from gyrewright.desk.book.record import Recorded
from gyrewright.desk.fold.standing import Conflict, standing
from gyrewright.desk.fold.tables import Table, limit_tables, table, with_limits
from gyrewright.people.read import DECLARATIONS

MARKS = ("withdrawn", "clash", "clash-settled")
"""Kinds that say which other records count."""

ROLE_KINDS = ("person", "role-given", "role-ended", *MARKS)
"""What `people` is folded from."""

PEOPLE_KINDS = (
    *ROLE_KINDS,
    "person-weighed",
    "standing",
    "lists-complete",
    "landings",
    "taught",
    "endorsement",
    "checkout",
    "authority",
    "minimums",
    "today",
    "declared",
    "no",
    "no-taken-back",
    "flight-done",
)
"""What `fold_people` is folded from."""


@dataclass(frozen=True, slots=True)
class RoleHeld:
    """A role from a day until a day, both counting; for named aircraft where any are named."""

    role: str
    from_on: date
    until: date | None
    aircraft: tuple[str, ...] = ()

    def holds(self, on: date) -> bool:
        """Whether it holds on a day."""
        return self.from_on <= on and (self.until is None or on <= self.until)


@dataclass(slots=True)
class Known:
    """A person of the book. A name that was erased is empty."""

    id: str
    name: str = ""
    contact: str = ""
    born_on: date | None = None
    roles: list[RoleHeld] = field(default_factory=list)

    def roles_on(self, day: date) -> frozenset[str]:
        """Return the roles that hold on a day."""
        return frozenset(held.role for held in self.roles if held.holds(day))

    def aircraft_on(self, day: date) -> frozenset[str]:
        """Return the aircraft that a role of that day names."""
        return frozenset(each for held in self.roles if held.holds(day) for each in held.aircraft)


def people(records: Iterable[Recorded]) -> dict[str, Known]:
    """Return every person by id, with the roles they hold."""
    found: dict[str, Known] = {}
    for each in standing(records).records:
        _know(found, each)
    return found


def _know(found: dict[str, Known], each: Recorded) -> None:
    act = each.act
    if isinstance(act, kinds.Person):
        known = found.setdefault(each.about, Known(each.about))
        beside = each.personal
        known.name, known.contact = (beside.name, beside.contact) if beside else ("", "")
        known.born_on = beside.born_on if beside else None
    elif isinstance(act, kinds.RoleGiven):
        known = found.setdefault(each.about, Known(each.about))
        known.roles.append(RoleHeld(act.role, act.from_on, act.until, act.aircraft))
    elif isinstance(act, kinds.RoleEnded) and each.about in found:
        known = found[each.about]
        ended = [_ended(held, act) for held in known.roles]
        known.roles = [held for held in ended if held.until is None or held.until >= held.from_on]


def _ended(held: RoleHeld, ended: kinds.RoleEnded) -> RoleHeld:
    last = date.fromordinal(ended.from_on.toordinal() - 1)
    if held.role != ended.role or (held.until is not None and held.until <= last):
        return held
    return RoleHeld(held.role, held.from_on, last, held.aircraft)


@dataclass(frozen=True, slots=True)
class PeopleTables:
    """What a people file would hold at a moment."""

    people: Table
    conflicts: tuple[Conflict, ...] = ()


def fold_people(
    records: Iterable[Recorded],
    *,
    at: datetime,
    on: date,
    known_at: datetime | None = None,
    but: str = "visitor",
    zone: tzinfo = UTC,
) -> PeopleTables:
    """Return the people file at a moment; roles and what was said for the day are those of `on`, the local date.

    Somebody who holds no role but that of a visitor is left out: visitors are nobody to a flight. The landings of
    flights made here lie on the local date in `zone`.
    """
    counting = standing(records, at=at, known_at=known_at)
    known: dict[str, Known] = {}
    rows: dict[str, Table] = {}
    noes: dict[str, Table] = {}
    flown = []
    for each in counting.records:
        if isinstance(each.act, FlightDone):
            flown.append(each)
            continue
        _know(known, each)
        row = rows.setdefault(each.about, {"id": each.about}) if each.about else {}
        _fold(row, each, on, noes)
    for each in flown:
        add_flight(rows, each, zone)
    for conflict in counting.conflicts:
        for each in conflict.records:
            if isinstance(each.act, FlightDone):
                _doubt_flight(rows, each.act)
            else:
                _doubt(rows.get(each.about, {}), each)
    out = []
    for id, row in rows.items():
        person = known.get(id)
        roles = sorted(person.roles_on(on) - {but}) if person else []
        if person is None or not roles:
            continue
        # A name that was erased leaves the id in its place: the file asks for one.
        row |= {"name": person.name or id, "roles": roles}
        if person.born_on:
            row["born_on"] = person.born_on
        out.append(row)
    return PeopleTables({"kind": "people", "person": out}, counting.conflicts)


_TOUCHED: dict[type, tuple[str, ...]] = {
    kinds.PersonWeighed: ("mass",),
    kinds.Today: ("today",),
    kinds.Minimums: ("limit",),
    kinds.ListsComplete: ("landings", "taught", "endorsement", "checkout", "authority"),
}


def _doubt(row: Table, record: Recorded) -> None:
    """Take out of a person's row what two truths speak of: until somebody settles it, nobody knows it.

    A no stays a no, whatever else its record is said to hold.
    """
    act = record.act
    if isinstance(act, kinds.No):
        row.setdefault("no", []).append({"said_at": record.done_at})
    elif isinstance(act, kinds.Standing):
        for key, value in table(act).items():
            if isinstance(value, dict) and isinstance(row.get(key), dict):
                for inner in value:
                    row[key].pop(inner, None)
            else:
                row.pop(key, None)
    elif isinstance(act, kinds.Declared):
        for name in act.answers:
            row.get("declared", {}).pop(name, None)
    elif type(act) in _LISTS:
        row.pop(_LISTS[type(act)][0], None)
    else:
        for key in _TOUCHED.get(type(act), ()):
            row.pop(key, None)


GYROPLANE = "rotorcraft gyroplane"
"""Category and class of every aircraft of this desk, as landings name them."""


def add_flight(rows: dict[str, Table], flown: Recorded, zone: tzinfo) -> None:
    """Add to the rows of its people what a flight made here counts for: landings, instruction given, the last lesson.

    A list that nobody has said to be complete stays unknown: what this flight adds is not the whole of it.
    """
    act: FlightDone = flown.act
    for each in act.landed:
        landings = rows.get(each.by, {}).get("landings")
        if landings is None:
            continue
        same = {
            "on": act.on_at.astimezone(zone).date(),
            "aircraft_class": GYROPLANE,
            "aircraft": flown.about,
            "sole": True,
            "night": each.night,
        }
        landings.append({**same, "take_offs": each.take_offs, "landings": each.full_stops, "full_stop": True})
        if each.touch_and_goes:
            landings.append({**same, "take_offs": 0, "landings": each.touch_and_goes, "full_stop": False})
    if not is_instruction(act):
        return
    taught = rows.get(act.instructor, {}).get("taught")
    if taught is not None:
        taught.append({"start": act.began_at, "end": act.ended_at})
    if act.student in rows:
        studies = rows[act.student].setdefault("studies", {})
        on = act.on_at.astimezone(zone).date()
        studies["last_lesson_on"] = max(on, studies.get("last_lesson_on") or on)


def is_instruction(act: FlightDone) -> bool:
    """Return whether flight instruction was given: an instructor aboard with somebody who learned."""
    return act.purpose == "instruction" and bool(act.instructor) and act.instructor in act.aboard


def _doubt_flight(rows: dict[str, Table], act: FlightDone) -> None:
    for each in act.landed:
        rows.get(each.by, {}).pop("landings", None)
    if is_instruction(act):
        rows.get(act.instructor, {}).pop("taught", None)
        rows.get(act.student, {}).get("studies", {}).pop("last_lesson_on", None)


_LISTS: dict[type, tuple[str, dict[str, str]]] = {
    kinds.Landings: ("landings", {}),
    kinds.Taught: ("taught", {}),
    kinds.Endorsement: ("endorsement", {}),
    kinds.Checkout: ("checkout", {"checked_by": "by"}),
    kinds.Authority: ("authority", {"paper": "id"}),
}


def _fold(row: Table, record: Recorded, on: date, noes: dict[str, Table]) -> None:
    act = record.act
    if type(act) in _LISTS:
        name, other = _LISTS[type(act)]
        found = with_limits(table(act))
        row.setdefault(name, []).append({other.get(key, key): value for key, value in found.items()})
    elif isinstance(act, kinds.ListsComplete):
        for name in act.complete:
            row.setdefault(name, [])
    elif isinstance(act, kinds.Standing):
        _merge(row, table(act))
    elif isinstance(act, kinds.PersonWeighed):
        row.pop("mass", None)
        if record.personal is not None:
            row["mass"] = {
                "value": record.personal.mass,
                "origin": act.origin,
                "at": record.done_at,
                "by": record.by,
            }
    elif isinstance(act, kinds.Minimums):
        row["limit"] = limit_tables(act.limits)
    elif isinstance(act, kinds.Today):
        if act.on == on:
            _today(row.setdefault("today", []), table(act, without=("on",)), record.done_at)
    elif isinstance(act, kinds.Declared):
        for name, answer in act.answers.items():
            if name in DECLARATIONS:
                row.setdefault("declared", {}).setdefault(name, []).append({"said": answer, "at": record.done_at})
    elif isinstance(act, kinds.No):
        no: dict[str, Any] = {"said_at": record.done_at}
        if act.flight:
            no["about"] = act.flight
        noes[record.id] = no
        row.setdefault("no", []).append(no)
    elif isinstance(act, kinds.NoTakenBack) and act.no in noes:
        noes[act.no] |= {"taken_back_at": record.done_at, "taken_back_by": record.by}


def _today(words: list[Table], new: Table, at: datetime) -> None:
    """Add a word of the day: what it does not speak of stays as it was said before; what is tightened stays so."""
    before = {key: value for key, value in words[-1].items() if key != "tighten"} if words else {}
    words.append({**before, **new, "fitness_at": at})


def _merge(into: Table, new: Table) -> None:
    for key, value in new.items():
        if isinstance(value, dict) and isinstance(into.get(key), dict):
            _merge(into[key], value)
        else:
            into[key] = value
