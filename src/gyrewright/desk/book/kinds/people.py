"""Acts about people. What is personal lies beside the chain and can be erased; no medical detail is ever kept.

Fields have the names that the people files of the core use, so that a fold has nothing to translate.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date, datetime
from typing import Annotated, Literal

from gyrewright.desk.book.kinds.registry import About, Corrects, kind
from gyrewright.desk.book.schema import Long, Measured


@dataclass(frozen=True, slots=True)
class PersonPersonal:
    """A person's name, how to reach them, and when they were born."""

    name: str
    contact: str = ""
    born_on: date | None = None


@kind("person", called="person", about=About.PERSON, personal=PersonPersonal)
@dataclass(frozen=True, slots=True)
class Person:
    """A person is known here. A changed name is a new record of the same person."""


@kind("reading-chosen", called="words and units chosen", about=About.PERSON)
@dataclass(frozen=True, slots=True)
class ReadingChosen:
    """In which words, and in which unit by dimension, a person would rather read; empty: as the house has it."""

    language: Literal["", "en-US", "en-GB"] = ""
    units: dict[str, str] = field(default_factory=dict)


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
    """A person stood on the scale, dressed to fly, or stated a mass. Whoever enters it read it."""

    origin: Literal["weighed", "stated"]
    from_paper: str = ""


@dataclass(frozen=True, slots=True)
class Medical:
    """The route by which a person is medically fit, and its dates: never a detail."""

    route: Literal["", "medical", "basicmed", "licence"] = ""
    exam_on: date | None = None
    licence_until_on: date | None = None
    licence_conditions_met: bool | None = None
    basicmed_course_on: date | None = None
    basicmed_exam_on: date | None = None
    basicmed_history_clear: bool | None = None


@dataclass(frozen=True, slots=True)
class Period:
    """A stretch of days, both counting."""

    from_: date
    until: date


@dataclass(frozen=True, slots=True)
class Teaching:
    """What an instructor may teach, and what keeps that alive."""

    privileges: Literal["", "sport", "full"] = ""
    ratings: tuple[str, ...] | None = None
    on: date | None = None
    printed_until_on: date | None = None
    renewed_on: date | None = None
    recent_on: date | None = None
    period: tuple[Period, ...] | None = None


@dataclass(frozen=True, slots=True)
class Studies:
    """Where a student stands."""

    last_lesson_on: date | None = None
    presolo_test_for: tuple[str, ...] | None = None
    presolo_errors_reviewed: bool | None = None
    presolo_items: tuple[str, ...] | None = None
    knowledge_test_on: date | None = None
    test_report_presented: bool | None = None
    areas_missed: int | None = None
    missed_areas_reviewed: bool | None = None
    test_training_on: date | None = None
    test_endorsed_on: date | None = None
    experience_complete: bool | None = None
    claims_credit: bool | None = None
    test_begun_on: date | None = None
    test_discontinued_on: date | None = None
    test_failed: bool | None = None
    test_failed_on: date | None = None
    retest_endorsed_on: date | None = None


@kind("standing", called="standing", about=About.PERSON)
@dataclass(frozen=True, slots=True)
class Standing:
    """Facts of a person's standing as seen on paper. What a later record does not name stays as it was."""

    certificate: str = ""
    certificate_on: date | None = None
    certificate_temporary: bool | None = None
    certificate_valid: bool | None = None
    privileges: str = ""
    ratings: tuple[str, ...] | None = None
    class_endorsements: tuple[str, ...] | None = None
    review_on: date | None = None
    review_scope: Literal["", "full", "sport"] = ""
    medical: Medical | None = None
    teaching: Teaching | None = None
    studies: Studies | None = None
    photos: tuple[str, ...] = ()
    from_paper: str = ""


@kind("lists-complete", called="person's lists complete", about=About.PERSON)
@dataclass(frozen=True, slots=True)
class ListsComplete:
    """Somebody says which lists of a person are complete from here on: one named with nothing in it is empty."""

    complete: tuple[Literal["landings", "taught", "endorsement", "checkout", "authority"], ...]


@kind("landings", called="landings", about=About.PERSON)
@dataclass(frozen=True, slots=True)
class Landings:
    """Take-offs and landings of one day in one aircraft, made elsewhere or before this book began."""

    on: date
    aircraft_class: str
    take_offs: int
    landings: int
    aircraft: str = ""
    sole: bool | None = None
    night: bool | None = None
    full_stop: bool | None = None
    from_paper: str = ""


@kind("taught", called="instruction given", about=About.PERSON)
@dataclass(frozen=True, slots=True)
class Taught:
    """A stretch of flight instruction that a person gave."""

    start: datetime
    end: datetime


@kind("endorsement", called="endorsement", about=About.PERSON)
@dataclass(frozen=True, slots=True)
class Endorsement:
    """An endorsement as its giver wrote it, and as numbers: `limits` is the text of limit tables."""

    what_for: str
    given_by: str
    given_on: date
    text: Annotated[str, Long()] = ""
    make_model: str = ""
    place: str = ""
    lessons: tuple[str, ...] = ()
    rests_on: date | None = None
    valid_days: int | None = None
    for_flight_on: date | None = None
    giver_present: bool = False
    limits: Annotated[str, Long()] = ""
    photos: tuple[str, ...] = ()
    from_paper: str = ""


@kind("checkout", called="check-out", about=About.PERSON)
@dataclass(frozen=True, slots=True)
class Checkout:
    """A person was checked out on a make and model, or on one aircraft of it."""

    make_model: str
    on: date
    checked_by: str
    aircraft: str = ""
    configuration: tuple[str, ...] = ()
    from_paper: str = ""


@kind("authority", called="authority", about=About.PERSON)
@dataclass(frozen=True, slots=True)
class Authority:
    """A written authority that a person or the operation holds."""

    what_for: str
    paper: str
    issued_on: date
    aircraft: tuple[str, ...] = ()
    until_on: date | None = None
    photos: tuple[str, ...] = ()
    from_paper: str = ""


@kind("minimums", called="own minimums", about=About.PERSON)
@dataclass(frozen=True, slots=True)
class Minimums:
    """A person's own minimums: the text of limit tables. A later record takes the place of the earlier one."""

    limits: Annotated[str, Long()]


@dataclass(frozen=True, slots=True)
class Tightened:
    """One own minimum moved to the strict side for today."""

    of: str
    by: str
    why: str


@kind("today", called="fit today", about=About.PERSON)
@dataclass(frozen=True, slots=True)
class Today:
    """What a person says of themself for one day: fit, slept, and which minimums are tightened. No detail."""

    on: date
    fitness: Literal["", "fit", "fit with caution", "not fit"] = ""
    slept: Annotated[str, Measured("time")] = ""
    slept_until: datetime | None = None
    lessons: int | None = None
    tighten: tuple[Tightened, ...] = ()


@kind("declared", called="declared", about=About.PERSON)
@dataclass(frozen=True, slots=True)
class Declared:
    """Statements that a person makes in one signed act, each with the answer given to it.

    `words` are the sentences as they stood when they were signed.
    """

    answers: dict[str, bool]
    flight: str = ""
    words: dict[str, str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Why:
    """Free words that may speak of people."""

    why: str = ""


@kind("no", called="no", about=About.PERSON, personal=Why, corrects=Corrects.NEVER)
@dataclass(frozen=True, slots=True)
class No:
    """A person says no to a flight, or to everything (no flight named). Nobody can overrule it or ask why."""

    flight: str = ""


@kind("no-taken-back", called="no taken back", about=About.PERSON, corrects=Corrects.NEVER)
@dataclass(frozen=True, slots=True)
class NoTakenBack:
    """Its speaker, unasked, takes a no back."""

    no: str


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
    grades: tuple[Grade, ...] = field(default_factory=tuple)
    from_paper: str = ""
