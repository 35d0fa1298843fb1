"""What a form is: an act about an aircraft or a person, its fields, and how it is recorded."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import datetime
from functools import cached_property
from zoneinfo import ZoneInfo

from gyrewright.desk.book.record import Kept, Recorded
from gyrewright.desk.fold.people import Known
from gyrewright.desk.pages.forms.fields import Choices, Field, Given
from gyrewright.desk.services import state
from gyrewright.desk.services.people import all_people
from gyrewright.release.question import Aircraft


@dataclass
class Scene:
    """Where a form stands: what it is about, who acts, when, and what the address chose.

    Attributes:
        about: The aircraft or the person.
        by: Who is logged in.
        at: Now.
        id: The id of the act, made with the form, so that handing it in twice records it once.
        earlier: The record that the act corrects, if it corrects one.
        chosen: What the address says beforehand, such as which task.
    """

    about: str
    by: str
    at: datetime
    id: str
    earlier: Recorded | None = None
    chosen: dict[str, str] = field(default_factory=dict)

    @property
    def zone(self) -> ZoneInfo:
        """The field's clock."""
        return state.zone()

    @property
    def corrects(self) -> str:
        """The id of the record that is corrected, or nothing."""
        return self.earlier.id if self.earlier is not None else ""

    @cached_property
    def people(self) -> dict[str, Known]:
        """Everybody in the book."""
        return all_people()

    @property
    def machine(self) -> Aircraft:
        """The aircraft as it reads now."""
        return state.machine(self.about, self.at).aircraft

    @property
    def tables(self) -> dict[str, object]:
        """The aircraft's books as tables."""
        return state.machine(self.about, self.at).tables.books

    def name(self, person: str) -> str:
        """Return a person's name; the id where none is known."""
        return (self.people[person].name if person in self.people else "") or person

    def persons(self, *, roles: frozenset[str] = frozenset()) -> Choices:
        """Return people to choose from, by name; those in any of the roles today where any are named."""
        on = self.at.astimezone(self.zone).date()
        found = [
            (id, known.name or id)
            for id, known in self.people.items()
            if known.roles_on(on) - {"visitor"} and (not roles or roles & known.roles_on(on))
        ]
        return tuple(sorted(found, key=lambda each: each[1]))


@dataclass(frozen=True, slots=True)
class Form:
    """An act as a form.

    Attributes:
        name: In the address.
        title: What is done, as a heading.
        button: What is said by handing it in.
        fields: What is asked here and now.
        record: Records what was typed.
        kind: The kind of record that it makes, for corrections.
        fill: What an earlier record's form held, for correcting it; None where it is not corrected by a form.
        says: One or two sentences on what this is and what it is not.
        act: The act of the table of acts that it takes, so that it is offered to whom it serves.
    """

    name: str
    title: str
    button: str
    fields: Callable[[Scene], tuple[Field, ...]]
    record: Callable[[Scene, Given], Kept]
    kind: str = ""
    fill: Callable[[Recorded], dict[str, str | tuple[str, ...]]] | None = None
    says: str = ""
    act: str = ""


def by_name(*forms: Form) -> dict[str, Form]:
    """Return forms by their name."""
    return {each.name: each for each in forms}
