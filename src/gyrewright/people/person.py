"""What a file says about a person. A list that is absent is None: nobody has said, which is not the same as none.

No medical detail has a place here: a route, its dates, and the person's own word.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from datetime import date, datetime
from functools import lru_cache

from gyrewright.fact import Fact
from gyrewright.finding import Limit, Source

ROLES = (
    "student",
    "pilot",
    "instructor",
    "named instructor",
    "chief instructor",
    "examiner",
    "maintainer",
    "inspector",
    "manager",
    "owner",
)
"""What a person may be. A named instructor has been named in writing by the manager for the work on a machine; an
inspector is a maintainer with inspection authority."""

NO_SOURCE = Source()

FITNESS = ("fit", "fit with caution", "not fit")


@dataclass(frozen=True, slots=True)
class Landing:
    """Take-offs and landings of one day in one aircraft."""

    on: date
    aircraft_class: str
    take_offs: int
    landings: int
    aircraft: str = ""
    sole: bool | None = None
    night: bool | None = None
    full_stop: bool | None = None


@dataclass(frozen=True, slots=True)
class Endorsement:
    """What an instructor has written for a person, as text and as numbers.

    Attributes:
        what_for: The kind: "solo", "solo night", "night", "controlled airspace", "fast aircraft", "practical test", ...
        text: The words as written.
        make_model: The make and model named, if any.
        place: The field or airspace named, if any.
        lessons: The lessons it is limited to, if any.
        given_by: Person id of the giver.
        given_on: When it was written.
        rests_on: The training it rests on.
        valid_days: How long it is good, where it says so.
        for_flight_on: The one day it is for.
        giver_present: Whether it asks for the giver's presence.
        limits: Its numbers.
        giver_in_standing: Whether the giver could give it on that day; None where nobody knows.
    """

    what_for: str
    given_by: str
    given_on: date
    text: str = ""
    make_model: str = ""
    place: str = ""
    lessons: tuple[str, ...] = ()
    rests_on: date | None = None
    valid_days: int | None = None
    for_flight_on: date | None = None
    giver_present: bool = False
    limits: tuple[Limit, ...] = ()
    giver_in_standing: bool | None = None


@dataclass(frozen=True, slots=True)
class Checkout:
    """A check-out, or training in differences, for a make, model and configuration."""

    make_model: str
    on: date
    by: str
    aircraft: str = ""
    configuration: frozenset[str] = frozenset()


@dataclass(frozen=True, slots=True)
class Authority:
    """A written authority of a person or the operation, such as to teach for hire in an experimental aircraft."""

    what_for: str
    id: str
    issued_on: date
    aircraft: tuple[str, ...] = ()
    until_on: date | None = None


@dataclass(frozen=True, slots=True)
class No:
    """Somebody's no. Only its speaker takes it back."""

    said_at: datetime
    about: str = ""
    taken_back_at: datetime | None = None


@dataclass(frozen=True, slots=True)
class Said:
    """A declaration: what was said, and when."""

    said: bool
    at: datetime


@dataclass(frozen=True, slots=True)
class Word:
    """What somebody says about today, and when; None for one without a time counts at any."""

    fitness: str = ""
    at: datetime | None = None
    slept_h: float | None = None
    slept_until: datetime | None = None
    lessons_today: int | None = None


NO_WORD = Word()


@dataclass(frozen=True, slots=True)
class Medical:
    """The route by which a person meets the medical rule, with its dates."""

    route: str = ""
    exam_on: date | None = None
    licence_until_on: date | None = None
    licence_conditions_met: bool | None = None
    basicmed_course_on: date | None = None
    basicmed_exam_on: date | None = None
    basicmed_history_clear: bool | None = None


@dataclass(frozen=True, slots=True)
class Teaching:
    """An instructor's certificate: when issued, printed end, renewal, recent experience, and past periods of use."""

    privileges: str = ""
    ratings: frozenset[str] | None = None
    on: date | None = None
    printed_until_on: date | None = None
    renewed_on: date | None = None
    recent_on: date | None = None
    periods: tuple[tuple[date, date], ...] | None = None


@dataclass(frozen=True, slots=True)
class Studies:
    """Where a student stands before solo and before the test. None is something that nobody has said."""

    last_lesson_on: date | None = None
    presolo_test_for: tuple[str, ...] | None = None
    presolo_errors_reviewed: bool | None = None
    presolo_items: frozenset[str] | None = None
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


@dataclass(frozen=True, slots=True, eq=False)
class Person:
    """Everything the file says about one person; a person is known by being that one, not by equal words.

    What was said more than once stands in `words` and `sayings`, oldest first; the plain fields hold the newest, and
    `as_of` puts there what was the newest at a moment.
    """

    id: str
    name: str
    where: str
    mass: Fact
    roles: frozenset[str] = frozenset()
    born_on: date | None = None
    certificate: str = ""
    certificate_on: date | None = None
    certificate_temporary: bool | None = None
    certificate_valid: bool | None = None
    privileges: str = ""
    ratings: frozenset[str] | None = None
    class_endorsements: frozenset[str] | None = None
    review_on: date | None = None
    review_scope: str = ""
    medical: Medical = Medical()
    teaching: Teaching = Teaching()
    studies: Studies = Studies()
    landings: tuple[Landing, ...] | None = None
    taught: tuple[tuple[datetime, datetime], ...] | None = None
    endorsements: tuple[Endorsement, ...] | None = None
    checkouts: tuple[Checkout, ...] | None = None
    authorities: tuple[Authority, ...] | None = None
    own_limits: tuple[Limit, ...] = ()
    fitness: str = ""
    fitness_at: datetime | None = None
    slept_h: float | None = None
    slept_until: datetime | None = None
    lessons_today: int | None = None
    noes: tuple[No, ...] = ()
    declared: Mapping[str, Said] = field(default_factory=dict)
    words: tuple[Word, ...] = ()
    sayings: Mapping[str, tuple[Said, ...]] = field(default_factory=dict)


@lru_cache(maxsize=256)
def as_of(person: Person, at: datetime) -> Person:
    """Return a person as known at a moment: the newest word until then counts; what comes later is not said yet.

    Lessons that begin later are not given yet. A no counts whenever it was said, and is not taken back before it is.
    """
    only = Word(person.fitness, person.fitness_at, person.slept_h, person.slept_until, person.lessons_today)
    word = next((each for each in reversed(person.words or (only,)) if each.at is None or each.at <= at), NO_WORD)
    said = {
        name: next((each for each in reversed(person.sayings.get(name, (newest,))) if each.at <= at), None)
        for name, newest in person.declared.items()
    }
    noes = tuple(
        replace(each, taken_back_at=None) if each.taken_back_at is not None and each.taken_back_at > at else each
        for each in person.noes
    )
    return replace(
        person,
        fitness=word.fitness,
        fitness_at=word.at,
        slept_h=word.slept_h,
        slept_until=word.slept_until,
        lessons_today=word.lessons_today,
        declared={name: each for name, each in said.items() if each is not None},
        taught=None if person.taught is None else tuple(span for span in person.taught if span[0] <= at),
        noes=noes,
    )


@dataclass(frozen=True, slots=True)
class Insurance:
    """An insurer's conditions for one aircraft: named pilots, first and last day, and numbers.

    `none` says, in the file's own words, that nobody insures the aircraft.
    """

    aircraft: str
    none: str = ""
    named: frozenset[str] = frozenset()
    from_on: date | None = None
    until_on: date | None = None
    limits: tuple[Limit, ...] = ()
    source: Source = NO_SOURCE
