"""Who somebody is and in which roles they act, as forms."""

from __future__ import annotations

import secrets

from gyrewright.desk.access import ROLES
from gyrewright.desk.book.record import Kept
from gyrewright.desk.pages.forms.fields import CHOICE, DAY, SEVERAL, Field, Given
from gyrewright.desk.pages.forms.form import Form, Scene
from gyrewright.desk.pages.forms.shared import day, fleet, iso, today, words
from gyrewright.desk.services import papers, people
from gyrewright.desk.services.entitling import require


def _adding_fields(scene: Scene) -> tuple[Field, ...]:
    return (
        Field("name", "Name", hint="as others here call them", required=True),
        Field(
            "contact",
            "How to reach them",
            hint="telephone or mail; seen by them and the manager, and a maintainer's by whoever reports a defect",
        ),
        Field("born_on", "Born on", DAY, hint="the law asks for an age"),
        Field("roles", "May act as", SEVERAL, choices=words(ROLES[:-1]), is_wide=True),
    )


def new_person_id() -> str:
    """Return an id that says nothing about whom it stands for: names can be erased, ids stay for good."""
    return "p-" + "".join(secrets.choice("abcdefghjkmnpqrstuvwxyz23456789") for _ in range(8))


def _add(scene: Scene, given: Given) -> Kept:
    return papers.add_somebody(
        id=scene.id,
        person=scene.about,
        name=given.text("name"),
        contact=given.text("contact"),
        born_on=given.day("born_on"),
        roles=given.several("roles"),
        by=scene.by,
    )


def _name_fields(scene: Scene) -> tuple[Field, ...]:
    known = scene.people[scene.about]
    return (
        Field("name", "Name", required=True, value=known.name),
        Field("contact", "How to reach them", value=known.contact),
        Field("born_on", "Born on", DAY, value=iso(known.born_on)),
    )


def _rename(scene: Scene, given: Given) -> Kept:
    return papers.rename(
        id=scene.id,
        person=scene.about,
        name=given.text("name"),
        contact=given.text("contact"),
        born_on=given.day("born_on"),
        by=scene.by,
    )


def _role_fields(scene: Scene) -> tuple[Field, ...]:
    return (
        Field("role", "Role", CHOICE, choices=words(ROLES), required=True),
        Field("from_on", "From", DAY, required=True, value=today(scene)),
        Field("until", "Until", DAY, hint="a visitor's view needs a last day"),
        Field(
            "aircraft",
            "For",
            SEVERAL,
            "all where none is ticked; an owner's own",
            fleet(scene),
            is_wide=True,
        ),
    )


def _give_role(scene: Scene, given: Given) -> Kept:
    require("give a role", person=scene.by)
    return people.give_role(
        id=scene.id,
        person=scene.about,
        role=given.text("role"),
        from_on=day(given, "from_on"),
        until=given.day("until"),
        aircraft=given.several("aircraft"),
        by=scene.by,
    )


def _ending_fields(scene: Scene) -> tuple[Field, ...]:
    on = scene.at.astimezone(scene.zone).date()
    held = tuple(
        sorted({each.role for each in scene.people[scene.about].roles if each.until is None or each.until >= on})
    )
    return (
        Field("role", "Role", CHOICE, choices=words(held), required=True, value=scene.chosen.get("role", "")),
        Field("from_on", "No longer from", DAY, required=True, hint="the first day on which it does not hold"),
    )


def _end_role(scene: Scene, given: Given) -> Kept:
    require("give a role", person=scene.by)
    return people.end_role(
        id=scene.id, person=scene.about, role=given.text("role"), from_on=day(given, "from_on"), by=scene.by
    )


ADD = Form(
    "add", "Somebody new", "Add this person", _adding_fields, _add, "person", None,
    "Whoever flies, teaches, maintains or manages here. Their log-in is opened on Accounts.", "add a person",
)  # fmt: skip
NAME = Form(
    "name", "Name and how to be reached", "This is right now", _name_fields, _rename, "person", None,
    "A changed name is a new entry of the same person; what was signed under the old one stays theirs.", "",
)  # fmt: skip
ROLE = Form(
    "role", "A role is given", "Give this role", _role_fields, _give_role, "role-given", None,
    "What somebody may do here follows from their roles of that day.", "give a role",
)  # fmt: skip
ROLE_ENDS = Form(
    "role-ends", "A role ends", "It ends", _ending_fields, _end_role, "role-ended", None,
    "What was done in it stays done.", "give a role",
)  # fmt: skip
