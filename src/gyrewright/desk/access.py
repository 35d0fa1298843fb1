"""Who sees what: one table of routes and roles. What is not in it is refused.

`ALL` reaches every object, `OWN` only what the person did, is aboard of, owns or is about. A visitor from outside reads
between two days and changes nothing. Masses, totals and margins have a rule of their own, whatever the role.
Code, docs and the pages go by this table; the tests hold a second one, written by hand.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable
from dataclasses import dataclass
from enum import StrEnum

from gyrewright.people.person import ROLES as PEOPLE_ROLES


class Reach(StrEnum):
    """How far a role reaches on a route."""

    NONE = "none"
    OWN = "own"
    ALL = "all"


VISITOR = "visitor"

ROLES = (*PEOPLE_ROLES, VISITOR)
"""Every role a person may hold at the desk: those of the people files, and the dated visitor who only reads."""


@dataclass(frozen=True, slots=True)
class Route:
    """One page or act: whether it changes anything, and how far each role reaches."""

    changes: bool
    reach: dict[str, Reach]
    says: str


def _reach(everyone: Reach = Reach.NONE, *, of: dict[str, Reach] | None = None) -> dict[str, Reach]:
    given = of or {}
    unknown = set(given) - set(ROLES)
    if unknown:
        raise ValueError(f"no such role: {', '.join(sorted(unknown))}")
    return {role: given.get(role, everyone) for role in ROLES}


_MANAGER = {"manager": Reach.ALL}
_TEACHES = dict.fromkeys(("instructor", "named instructor", "chief instructor"), Reach.ALL)
_MAINTAINS = dict.fromkeys(("maintainer", "inspector"), Reach.ALL)


OPEN = {
    "door": "the log-in page",
    "front": "sends on to the first page or to the door",
}
"""Routes that need no log-in."""

EVERYONE = {
    "out": "ends one's own session",
    "own-password": "changes one's own password",
}
"""Routes for anybody who is logged in, even without a role: they touch nobody else."""

ROUTES = {
    "records": Route(
        False,
        _reach(Reach.OWN, of=_MANAGER | {VISITOR: Reach.ALL}),
        "the list of records with the head",
    ),
    "record": Route(
        False,
        _reach(Reach.OWN, of=_MANAGER | {VISITOR: Reach.ALL}),
        "one record as it was entered, and what corrects it",
    ),
    "records-verify": Route(
        True,
        _reach(Reach.ALL, of={VISITOR: Reach.NONE}),
        "walks the chain and says whether the book is whole",
    ),
    "clock-confirm": Route(
        True,
        _reach(of=_MANAGER | _TEACHES | _MAINTAINS),
        "says that this machine's clock is right",
    ),
    "copy-make": Route(
        True,
        _reach(of=_MANAGER | _TEACHES | _MAINTAINS),
        "makes a copy of the whole book beside it",
    ),
    "accounts": Route(
        False,
        _reach(of=_MANAGER),
        "the list of accounts",
    ),
    "account-open": Route(
        True,
        _reach(of=_MANAGER),
        "lets a person log in",
    ),
    "account-password": Route(
        True,
        _reach(of=_MANAGER),
        "gives another person a new password",
    ),
    "account-close": Route(
        True,
        _reach(of=_MANAGER),
        "ends a person's log-in",
    ),
}
"""Every other route by its name in `urls`."""


def reach(*, route: str, roles: Collection[str]) -> Reach:
    """Return how far a person in these roles reaches on a route; a visitor never reaches a route that changes."""
    known = ROUTES.get(route)
    if known is None:
        return Reach.NONE
    found = {known.reach.get(role, Reach.NONE) for role in roles if not (known.changes and role == VISITOR)}
    if Reach.ALL in found:
        return Reach.ALL
    return Reach.OWN if Reach.OWN in found else Reach.NONE


def may(*, route: str, roles: Collection[str], is_own: bool = False) -> bool:
    """Return whether a person in these roles may use a route on an object that is or is not their own."""
    far = reach(route=route, roles=roles)
    return far is Reach.ALL or (far is Reach.OWN and is_own)


def sees_masses(*, person: str, aboard: Iterable[str], releasing: str) -> bool:
    """Return whether a person sees the masses, totals, margins and load sheet of one flight, whatever their role."""
    return bool(person) and (person in set(aboard) or person == releasing)


def routes_without_a_row(names: Iterable[str]) -> tuple[str, ...]:
    """Return the names of routes that this table does not know: they would be refused to everybody."""
    return tuple(sorted(set(names) - set(ROUTES) - set(OPEN) - set(EVERYONE)))
