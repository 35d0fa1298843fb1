"""People: who they are, in which roles they may act, and what is whose."""

from __future__ import annotations

from datetime import date

from gyrewright.desk.access import ROLES
from gyrewright.desk.book.kinds.people import Person, PersonPersonal, RoleEnded, RoleGiven
from gyrewright.desk.book.record import Kept, Recorded
from gyrewright.desk.fold.people import Known
from gyrewright.desk.refusal import Refused
from gyrewright.desk.services import state
from gyrewright.desk.services.records import record_act
from gyrewright.errors import UnknownName


def all_people() -> dict[str, Known]:
    """Return every person of the book by id."""
    return state.everybody()


def person_known(person: str) -> Known:
    """Return one person.

    Raises:
        UnknownName: The book knows nobody by this id.
    """
    found = all_people().get(person)
    if found is None:
        raise UnknownName(f"the book knows nobody by the id {person!r}")
    return found


def roles_held(person: str, *, on: date) -> frozenset[str]:
    """Return the roles in which a person may act on a day; none where the book does not know them."""
    found = all_people().get(person)
    return found.roles_on(on) if found else frozenset()


def aircraft_of(person: str, *, on: date) -> frozenset[str]:
    """Return the aircraft that a person owns or is bound to by a role of that day."""
    found = all_people().get(person)
    return found.aircraft_on(on) if found else frozenset()


def add_person(*, id: str, person: str, name: str, contact: str = "", by: str) -> Kept:
    """Record a person, or a person's changed name or contact."""
    if not name.strip():
        raise Refused("a person needs a name; write it as others here call them")
    known = all_people().get(person)
    beside = PersonPersonal(
        name=name.strip(), contact=contact.strip(), born_on=known.born_on if known is not None else None
    )
    return record_act(id=id, act=Person(), by=by, about=person, personal=beside)


def give_role(
    *,
    id: str,
    person: str,
    role: str,
    from_on: date,
    until: date | None = None,
    aircraft: tuple[str, ...] = (),
    by: str,
) -> Kept:
    """Record that a person may act in a role; a visitor's role needs an end."""
    if role not in ROLES:
        raise Refused(f"{role!r} is no role; roles are: {', '.join(ROLES)}")
    if role == "visitor" and until is None:
        raise Refused("a visitor's view needs a last day; say until when")
    if until is not None and until < from_on:
        raise Refused(f"the role would end on {until} before it begins on {from_on}; check the two days")
    person_known(person)
    return record_act(
        id=id, act=RoleGiven(role=role, from_on=from_on, until=until, aircraft=aircraft), by=by, about=person
    )


def end_role(*, id: str, person: str, role: str, from_on: date, by: str) -> Kept:
    """Record that a person no longer acts in a role, from a day on."""
    return record_act(id=id, act=RoleEnded(role=role, from_on=from_on), by=by, about=person)


def is_own(record: Recorded, *, person: str, aircraft: frozenset[str]) -> bool:
    """Return whether a record is a person's own: done by them, about them, about their aircraft, or naming them.

    A flight names those aboard; whoever is aboard sees it.
    """
    if record.by == person or record.about == person or record.about in aircraft:
        return True
    named = (getattr(record.act, part, "") for part in ("commander", "instructor", "student", "examiner", "passenger"))
    # Other acts call fuel, or how many may come along, "aboard"; people are a list.
    aboard = getattr(record.act, "aboard", ())
    return person in named or (isinstance(aboard, tuple) and person in aboard)
