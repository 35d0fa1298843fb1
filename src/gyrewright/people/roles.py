"""Who may do what, as one table of data: by role, and never for oneself where the table says so."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib import resources

from gyrewright.errors import UnknownName
from gyrewright.fact import Fixed
from gyrewright.people.person import ROLES, Person
from gyrewright.reading import Problems, section_of

RELATIONS = ("worker", "reporter", "subject", "trainer", "giver", "speaker", "decider", "planner", "owner")
"""How somebody may stand to a thing: who did the work, who reported it, whom it is about, who trained that person, who
gave the paper, who said it, who decided first, who placed it."""


@dataclass(frozen=True, slots=True)
class Act:
    """One row of the table.

    Attributes:
        name: What is done.
        roles: Who may, by role; empty where only a relation decides.
        never: Relations that shut a person out.
        only: Relations of which a person must have one.
        why: The reason, in a few words.
    """

    name: str
    roles: frozenset[str]
    never: frozenset[str]
    only: frozenset[str]
    why: str


@dataclass(frozen=True, slots=True)
class May:
    """Whether a person may do an act: True, False, or None where a relation that decides it is not known."""

    allowed: bool | None
    why: str
    relation: str = ""


def read_roles(text: str, file: str = "roles.toml") -> dict[str, Act]:
    """Return the table of acts by name.

    Raises:
        DefinitionError: With every problem of the file.
    """
    problems = Problems()
    top = section_of(text, file=file, problems=problems)
    out: dict[str, Act] = {}
    for each in top.sections("act"):
        act = Act(
            name=each.text("name", required=True),
            roles=frozenset(each.texts("roles", accepted=ROLES)),
            never=frozenset(each.texts("never", accepted=RELATIONS)),
            only=frozenset(each.texts("only", accepted=RELATIONS)),
            why=each.text("why", required=True),
        )
        if not act.roles and not act.only:
            each.wrong("roles", "says nobody; write the roles that may, or only = [...] with a relation")
        if act.name in out:
            each.wrong("name", f"{act.name!r} is given twice; write one row for it")
        each.finish()
        out[act.name] = act
    top.finish()
    problems.stop_if_any()
    return out


@cache
def packaged_roles() -> Mapping[str, Act]:
    """Return the table that ships."""
    return read_roles((resources.files("gyrewright.data") / "roles.toml").read_text(encoding="utf-8"))


def may(person: Person, act: str, *, relations: Mapping[str, str], table: Mapping[str, Act] | None = None) -> May:
    """Return whether a person may do an act.

    Args:
        person: Who would do it.
        act: A name of the table.
        relations: Relation -> id of the person who stands so ("" where nobody does). A relation that decides the act
            and is not given leaves the answer open.
        table: The table; the one that ships where none is given.

    Raises:
        UnknownName: The table has no such act.
    """
    acts = packaged_roles() if table is None else table
    found = acts.get(act)
    if found is None:
        raise UnknownName(f"{act!r} is no act of the table of roles; use one of: {', '.join(acts)}")
    if found.roles and not person.roles & found.roles:
        return May(False, "role")
    for relation in sorted(found.never):
        if relations.get(relation) == person.id:
            return May(False, "own", relation)
    if found.only and not any(relations.get(each) == person.id for each in found.only):
        known = all(each in relations for each in found.only)
        return May(False, "only", ", ".join(sorted(found.only))) if known else May(None, "unknown")
    unknown = sorted(relation for relation in found.never if relation not in relations)
    return May(None, "unknown", ", ".join(unknown)) if unknown else May(True, "allowed")


def who_may(
    people: Mapping[str, Person], act: str, *, relations: Mapping[str, str], table: Mapping[str, Act] | None = None
) -> tuple[str, ...]:
    """Return the ids of everybody who may do an act, for a finding to name who can cure it."""
    return tuple(id for id, person in people.items() if may(person, act, relations=relations, table=table).allowed)


Entitled = Fixed[str, frozenset[str]]
"""Who may do what: act -> ids of people."""


def acts_of(roles: frozenset[str], *, table: Mapping[str, Act] | None = None) -> frozenset[str]:
    """Return what somebody in these roles may do, before their own hand in the matter is looked at."""
    acts = packaged_roles() if table is None else table
    return frozenset(name for name, act in acts.items() if not act.roles or roles & act.roles)


def entitled(people: Mapping[str, Person], *, table: Mapping[str, Act] | None = None) -> Entitled:
    """Return who may do what by role, before anybody's own hand in the matter is looked at."""
    acts = packaged_roles() if table is None else table
    return Entitled(
        (
            act,
            frozenset(
                id for id, person in people.items() if may(person, act, relations={}, table=acts).allowed is not False
            ),
        )
        for act in acts
    )
