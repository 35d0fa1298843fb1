"""A person as the operation's file describes them. (Begun with the mass; everything else that standing needs joins.)"""

from __future__ import annotations

from dataclasses import dataclass

from gyrewright.fact import Fact, Origin, missing
from gyrewright.reading import Section

LOW_KG, HIGH_KG = 20.0, 250.0
"""Bounds that catch a slip of unit in a person's mass."""


@dataclass(frozen=True, slots=True)
class Person:
    """One person. `mass` is dressed to fly; its origin says whether a scale or the person said so."""

    id: str
    name: str
    mass: Fact


def read_people(section: Section) -> dict[str, Person]:
    """Return the people of a file by id; problems are noted in the section."""
    people: dict[str, Person] = {}
    for each in section.sections("person", label="id"):
        id = each.text("id", required=True)
        if id in people:
            each.wrong("id", f"{id!r} is there twice; each person has an id of their own")
        people[id] = Person(id, each.text("name", required=True), _mass(each))
        each.finish()
    section.finish()
    return people


def _mass(section: Section) -> Fact:
    """Return the mass of a person: weighed before stated; missing where the file has neither."""
    for key, origin in (("weighed", Origin.WEIGHED), ("stated", Origin.STATED)):
        if key in section:
            return section.fact(key, "mass", called="mass_kg", origin=origin, low=LOW_KG, high=HIGH_KG)
    return missing("mass_kg", where=section.where("weighed"))
