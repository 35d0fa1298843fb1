"""People as folded from records: names, and the roles in which each may act on a day."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import date

from gyrewright.desk.book.kinds.people import Person, RoleEnded, RoleGiven
from gyrewright.desk.book.record import Recorded
from gyrewright.desk.fold.standing import standing


@dataclass(frozen=True, slots=True)
class RoleHeld:
    """A role from a day until a day, both counting; for named aircraft where any are named."""

    role: str
    from_on: date
    until: date | None
    aircraft: tuple[str, ...] = ()


@dataclass(slots=True)
class Known:
    """A person of the book. A name that was erased is empty."""

    id: str
    name: str = ""
    contact: str = ""
    roles: list[RoleHeld] = field(default_factory=list)

    def roles_on(self, day: date) -> frozenset[str]:
        """Return the roles that hold on a day."""
        return frozenset(
            held.role for held in self.roles if held.from_on <= day and (held.until is None or day <= held.until)
        )

    def aircraft_on(self, day: date) -> frozenset[str]:
        """Return the aircraft that a role of that day names."""
        return frozenset(
            aircraft
            for held in self.roles
            if held.from_on <= day and (held.until is None or day <= held.until)
            for aircraft in held.aircraft
        )


PEOPLE_KINDS = ("person", "role-given", "role-ended", "withdrawn", "clash", "clash-settled")
"""What `people` is folded from."""


def people(records: Iterable[Recorded]) -> dict[str, Known]:
    """Return every person by id."""
    found: dict[str, Known] = {}
    for each in standing(records).records:
        if not isinstance(each.act, Person | RoleGiven | RoleEnded):
            continue
        known = found.setdefault(each.about, Known(each.about))
        if isinstance(each.act, Person):
            if each.personal is not None:
                known.name, known.contact = each.personal.name, each.personal.contact
            elif each.is_erased:
                known.name = known.contact = ""
        elif isinstance(each.act, RoleGiven):
            known.roles.append(RoleHeld(each.act.role, each.act.from_on, each.act.until, each.act.aircraft))
        else:
            known.roles = [_ended(held, each.act) for held in known.roles]
            known.roles = [held for held in known.roles if held.until is None or held.until >= held.from_on]
    return found


def _ended(held: RoleHeld, ended: RoleEnded) -> RoleHeld:
    last = date.fromordinal(ended.from_on.toordinal() - 1)
    if held.role != ended.role or (held.until is not None and held.until <= last):
        return held
    return RoleHeld(held.role, held.from_on, last, held.aircraft)
