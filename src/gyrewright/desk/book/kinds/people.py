"""Acts about people. What is personal lies beside the chain and can be erased; no medical detail is ever kept."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date
from typing import Annotated, Literal

from gyrewright.desk.book.kinds.registry import About, kind
from gyrewright.desk.book.schema import Long, Measured


@dataclass(frozen=True, slots=True)
class PersonPersonal:
    """A person's name and how to reach them."""

    name: str
    contact: str = ""


@kind("person", called="person", about=About.PERSON, personal=PersonPersonal)
@dataclass(frozen=True, slots=True)
class Person:
    """A person is known here. A changed name is a new record of the same person."""


@kind("role-given", called="role given", about=About.PERSON)
@dataclass(frozen=True, slots=True)
class RoleGiven:
    """A person may act in a role between two days; for a named aircraft where `aircraft` says so."""

    role: str
    from_on: date
    until: date | None = None
    aircraft: tuple[str, ...] = ()


@kind("role-ended", called="role ended", about=About.PERSON)
@dataclass(frozen=True, slots=True)
class RoleEnded:
    """A person no longer acts in a role, from a day on."""

    role: str
    from_on: date


@dataclass(frozen=True, slots=True)
class MassPersonal:
    """What the scale showed, or what the person stated."""

    mass: Annotated[str, Measured("mass")]


@kind("person-weighed", called="person weighed", about=About.PERSON, personal=MassPersonal)
@dataclass(frozen=True, slots=True)
class PersonWeighed:
    """A person stood on the scale, dressed to fly, or stated a mass."""

    how: Literal["weighed", "stated"]
    weighed_on: date


@dataclass(frozen=True, slots=True)
class StandingPersonal:
    """The number of a person's paper."""

    number: str = ""


@kind("standing", called="standing", about=About.PERSON, personal=StandingPersonal)
@dataclass(frozen=True, slots=True)
class Standing:
    """One dated fact of a person's standing: certificate, medical route (by name, never a detail), review, check-out.

    `facts` are further texts under the names that the people files use.
    """

    what: str
    on: date
    until: date | None = None
    given_by: str = ""
    seen_by: str = ""
    facts: dict[str, str] = field(default_factory=dict)
    photos: tuple[str, ...] = ()
    from_paper: str = ""


@kind("person-file", called="person's file", about=About.PERSON)
@dataclass(frozen=True, slots=True)
class PersonFile:
    """Further standing of a person as the text of a people file, without masses and without contact."""

    text: Annotated[str, Long()]


@kind("endorsement", called="endorsement", about=About.PERSON)
@dataclass(frozen=True, slots=True)
class Endorsement:
    """An endorsement as its giver wrote it, and as numbers under the names that the people files use."""

    code: str
    text: Annotated[str, Long()]
    given_on: date
    until: date | None = None
    aircraft: tuple[str, ...] = ()
    limits: Annotated[str, Long()] = ""
    training_on: date | None = None
    from_paper: str = ""


@kind("endorsement-ended", called="endorsement ended", about=About.PERSON)
@dataclass(frozen=True, slots=True)
class EndorsementEnded:
    """An endorsement no longer holds."""

    endorsement: str
    why: str = ""


@kind("minimums", called="own minimums", about=About.PERSON)
@dataclass(frozen=True, slots=True)
class Minimums:
    """A person's own minimums, as the text of limit tables; `today` tightens for one day only."""

    text: Annotated[str, Long()]
    today: date | None = None


@dataclass(frozen=True, slots=True)
class LessonPersonal:
    """What the instructor wrote about the student."""

    remarks: str = ""


@dataclass(frozen=True, slots=True)
class Grade:
    """How one item of the syllabus went."""

    item: str
    grade: str


@kind("lesson", called="lesson", about=About.PERSON, personal=LessonPersonal)
@dataclass(frozen=True, slots=True)
class Lesson:
    """A lesson given: about the student, signed by the instructor who acts."""

    lesson: str
    taught_on: date
    flight: str = ""
    dual: Annotated[str, Measured("time")] = ""
    solo: Annotated[str, Measured("time")] = ""
    landings: int = 0
    grades: tuple[Grade, ...] = ()
    from_paper: str = ""
