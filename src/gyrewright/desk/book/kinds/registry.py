"""The one registry of record kinds: what each act is called and what its record must hold.

To add a kind, write a frozen dataclass in one of the modules beside this one and put `@kind("its-name", ...)` on it.
Nothing else is needed: entering, reading back, export, import and the Records page go by this registry.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from enum import StrEnum
from typing import TypeVar

from gyrewright.desk.refusal import Refused

Schema = TypeVar("Schema", bound=type)


class About(StrEnum):
    """What the `about` column of a kind holds."""

    AIRCRAFT = "aircraft"
    PERSON = "person"
    NOTHING = "nothing"
    ANYTHING = "anything"


class Corrects(StrEnum):
    """Whether the `corrects` column may, must or must not name an earlier record."""

    MAY = "may"
    MUST = "must"
    NEVER = "never"


@dataclass(frozen=True, slots=True)
class Kind:
    """A kind of act.

    Attributes:
        name: As the `kind` column has it.
        called: As a person calls it, on the Records page.
        schema: Frozen dataclass of the public part, which lasts as long as the book.
        personal: Frozen dataclass of the part that lies beside the chain and can be erased, or None.
        about: What the record is about.
        corrects: Whether it may point at an earlier record.
        travels: Whether it leaves with the aircraft when that is sold.
    """

    name: str
    called: str
    schema: type
    personal: type | None = None
    about: About = About.NOTHING
    corrects: Corrects = Corrects.MAY
    travels: bool = False


KINDS: dict[str, Kind] = {}
"""Every kind by its name."""


def kind(
    name: str,
    *,
    called: str,
    about: About,
    personal: type | None = None,
    corrects: Corrects = Corrects.MAY,
    travels: bool = False,
) -> Callable[[Schema], Schema]:
    """Return a decorator that enters a dataclass into the registry."""

    def enter(schema: Schema) -> Schema:
        if name in KINDS:
            raise ValueError(f"kind {name!r} is entered twice")
        KINDS[name] = Kind(name, called, schema, personal, about, corrects, travels)
        return schema

    return enter


def kind_named(name: str) -> Kind:
    """Return a kind by its name.

    Raises:
        Refused: There is no such kind.
    """
    if name not in KINDS:
        raise Refused(f"{name!r} is no kind of record; known: {', '.join(sorted(KINDS))}")
    return KINDS[name]


def kind_of(act: object) -> Kind:
    """Return the kind that an act belongs to.

    Raises:
        Refused: The act is of no kind.
    """
    for each in KINDS.values():
        if each.schema is type(act):
            return each
    raise Refused(f"{type(act).__name__} is no kind of record")
