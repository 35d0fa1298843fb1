"""Reading people.toml: `[[person]]` and `[[insurance]]` tables, every problem at once.

[[person]]
id = "S2"
name = "..."
roles = ["student"]
mass = { value = "80 kg", origin = "weighed", at = 2027-07-12T08:00:00-07:00, by = "I1" }

[[person.endorsement]]
what_for = "solo"
make_model = "..."
given_by = "I1"
given_on = 2027-06-22
rests_on = 2027-06-22
[[person.endorsement.limit]]
of = "wind"
at_most = "10 kt"
counts = "mean"
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, date, datetime
from typing import TypeVar

from gyrewright.fact import Origin
from gyrewright.finding import Limit, Sense, Source, Whose
from gyrewright.limits import QUANTITIES, read_limits
from gyrewright.people.person import (
    FITNESS,
    ROLES,
    Authority,
    Checkout,
    Endorsement,
    Insurance,
    Landing,
    Medical,
    No,
    Person,
    Said,
    Studies,
    Teaching,
    Word,
)
from gyrewright.reading import Section

T = TypeVar("T")

LONG_AGO = datetime.min.replace(tzinfo=UTC)

DECLARATIONS = ("sober", "address_current", "restrictions_kept", "documents_aboard")
"""What a person declares, each with its moment: `[person.declared]` sober = { said = true, at = ... }.

Said more than once, it is a list of such tables; so is `today`, as `[[person.today]]`. The newest at or before the
moment asked counts.
"""


def read_people(section: Section) -> dict[str, Person]:
    """Return the people of a file by id; what is wrong is noted with the section's problems."""
    people: dict[str, Person] = {}
    places: dict[str, Section] = {}
    for each in section.sections("person", label="id"):
        person = _person(each)
        if person.id in people:
            each.wrong("id", f"{person.id!r} is given twice; give each person an id of their own")
        people[person.id] = person
        places[person.id] = each
    for id, person in people.items():
        if person.endorsements is not None:
            held = tuple(_with_standing(each, person, people, places[id]) for each in person.endorsements)
            people[id] = replace(person, endorsements=held)
        for checkout in person.checkouts or ():
            if checkout.by not in people:
                places[id].wrong("checkout.by", _nobody(checkout.by, people))
    return people


def read_insurance(section: Section, people: dict[str, Person]) -> tuple[Insurance, ...]:
    """Return the insurers' conditions of a file; a pilot named there must be in the file."""
    out = []
    for each in section.sections("insurance", label="aircraft"):
        none = each.text("none")
        named = each.texts("named", required=not none)
        for name in named:
            if name not in people:
                each.wrong("named", _nobody(name, people))
        document = Source(kind="insurance", title=each.text("document", required=not none), dated=each.day("dated"))
        out.append(
            Insurance(
                aircraft=each.text("aircraft", required=True),
                none=none,
                named=frozenset(named),
                from_on=each.day("from"),
                until_on=each.day("until", required=not none),
                limits=_limits(each, Whose.INSURER, document, each.text("entered_by"), each.text("verified_by")),
                source=document,
            )
        )
        each.finish()
    return tuple(out)


def _nobody(id: str, people: dict[str, Person]) -> str:
    return f"{id!r} is nobody in this file; use one of: {', '.join(people)}; or add that person"


def _limits(section: Section, whose: Whose, document: Source, entered: str, verified: str) -> tuple[Limit, ...]:
    return read_limits(section, whose=whose, document=document, entered_by=entered, verified_by=verified)


def _list(section: Section, name: str, label: str, read: Callable[[Section], T]) -> tuple[T, ...] | None:
    """Return what each table of a list says; None where the list is absent."""
    if name not in section:
        return None
    out = []
    for each in section.sections(name, label=label):
        out.append(read(each))
        each.finish()
    return tuple(out)


def _words(section: Section, name: str) -> frozenset[str] | None:
    return frozenset(section.texts(name)) if name in section else None


def _one_or_more(section: Section, name: str) -> tuple[str, ...] | None:
    """Return a text or a list of texts; None where the key is absent."""
    if name not in section:
        return None
    return section.texts(name) if isinstance(section.raw(name), list) else (section.text(name),)


def _person(section: Section) -> Person:
    id = section.text("id", required=True)
    declared = section.section("declared")
    own = _limits(section, Whose.OWN, Source(kind="own", title=f"own minimums of {id}"), id, id)
    words, tightened = _today(section, own)
    sayings = {name: said for name in DECLARATIONS if (said := _sayings(declared, name))}
    word = words[-1] if words else Word()
    person = Person(
        id=id,
        name=section.text("name", required=True),
        where=section.where(),
        mass=section.fact("mass", "mass", called=f"mass_of_{id}_kg", origin=Origin.STATED, low=20.0, high=250.0),
        roles=frozenset(section.texts("roles", accepted=ROLES, required=True)),
        born_on=section.day("born_on"),
        certificate=section.text("certificate"),
        certificate_on=section.day("certificate_on"),
        certificate_temporary=section.flag("certificate_temporary"),
        certificate_valid=section.flag("certificate_valid"),
        privileges=section.text("privileges"),
        ratings=_words(section, "ratings"),
        class_endorsements=_words(section, "class_endorsements"),
        review_on=section.day("review_on"),
        review_scope=section.choice("review_scope", ("full", "sport")),
        medical=_medical(section.section("medical")),
        teaching=_teaching(section.section("teaching")),
        studies=_studies(section.section("studies")),
        landings=_list(section, "landings", "on", _landing),
        taught=_list(section, "taught", "start", _taught),
        endorsements=_list(section, "endorsement", "what_for", _endorsement),
        checkouts=_list(section, "checkout", "make_model", _checkout),
        authorities=_list(section, "authority", "id", _authority),
        own_limits=(*own, *tightened),
        fitness=word.fitness,
        fitness_at=word.at,
        slept_h=word.slept_h,
        slept_until=word.slept_until,
        lessons_today=word.lessons_today,
        noes=_list(section, "no", "said_at", _no_of(id)) or (),
        declared={name: said[-1] for name, said in sayings.items()},
        words=words,
        sayings=sayings,
    )
    declared.finish()
    section.finish()
    return person


def _tables(section: Section, name: str) -> tuple[Section, ...]:
    """Return the tables under a key that holds one table or a list of them."""
    if isinstance(section.raw(name), list):
        return tuple(section.sections(name, label="at"))
    return (section.section(name),) if name in section else ()


def _today(section: Section, own: tuple[Limit, ...]) -> tuple[tuple[Word, ...], tuple[Limit, ...]]:
    """Return what was said about today, oldest first, and every own limit moved by it."""
    words: list[Word] = []
    moved: list[Limit] = []
    tables = _tables(section, "today")
    for each in tables:
        slept = each.quantity("slept", "time", low=0.0, high=24.0)
        words.append(
            Word(
                fitness=each.choice("fitness", FITNESS),
                at=each.moment("fitness_at", required="fitness" in each or len(tables) > 1),
                slept_h=None if slept is None else slept.value,
                slept_until=each.moment("slept_until"),
                lessons_today=each.integer("lessons", high=50),
            )
        )
        moved.extend(_tightened(own, each))
        each.finish()
    return tuple(sorted(words, key=lambda word: word.at or LONG_AGO)), tuple(moved)


def _sayings(section: Section, name: str) -> tuple[Said, ...]:
    """Return a declaration each time it was made, oldest first; of two at one moment the careful one counts."""
    out = []
    for each in _tables(section, name):
        said, at = each.flag("said"), each.moment("at", required=True)
        if said is None and "said" not in each:
            each.wrong("said", "is missing; write true or false")
        each.finish()
        if said is not None and at is not None:
            out.append(Said(said, at))
    return tuple(sorted(out, key=lambda said: (said.at, not said.said)))


def _medical(each: Section) -> Medical:
    made = Medical(
        route=each.choice("route", ("medical", "basicmed", "licence")),
        exam_on=each.day("exam_on"),
        licence_until_on=each.day("licence_until_on"),
        licence_conditions_met=each.flag("licence_conditions_met"),
        basicmed_course_on=each.day("basicmed_course_on"),
        basicmed_exam_on=each.day("basicmed_exam_on"),
        basicmed_history_clear=each.flag("basicmed_history_clear"),
    )
    each.finish()
    return made


def _teaching(each: Section) -> Teaching:
    made = Teaching(
        privileges=each.choice("privileges", ("sport", "full")),
        ratings=_words(each, "ratings"),
        on=each.day("on"),
        printed_until_on=each.day("printed_until_on"),
        renewed_on=each.day("renewed_on"),
        recent_on=each.day("recent_on"),
        periods=_list(each, "period", "from", _period),
    )
    each.finish()
    return made


def _period(each: Section) -> tuple[date, date]:
    begin, end = each.day("from", required=True), each.day("until", required=True)
    if begin is not None and end is not None and end < begin:
        each.wrong("until", f"{end} lies before {begin}; write the last day of the period")
    return begin or date.max, end or date.min


def _studies(each: Section) -> Studies:
    made = Studies(
        last_lesson_on=each.day("last_lesson_on"),
        presolo_test_for=_one_or_more(each, "presolo_test_for"),
        presolo_errors_reviewed=each.flag("presolo_errors_reviewed"),
        presolo_items=_words(each, "presolo_items"),
        knowledge_test_on=each.day("knowledge_test_on"),
        test_report_presented=each.flag("test_report_presented"),
        areas_missed=each.integer("areas_missed", high=100),
        missed_areas_reviewed=each.flag("missed_areas_reviewed"),
        test_training_on=each.day("test_training_on"),
        test_endorsed_on=each.day("test_endorsed_on"),
        experience_complete=each.flag("experience_complete"),
        claims_credit=each.flag("claims_credit"),
        test_begun_on=each.day("test_begun_on"),
        test_discontinued_on=each.day("test_discontinued_on"),
        test_failed=each.flag("test_failed"),
        test_failed_on=each.day("test_failed_on"),
        retest_endorsed_on=each.day("retest_endorsed_on"),
    )
    each.finish()
    return made


def _landing(each: Section) -> Landing:
    return Landing(
        on=each.day("on", required=True) or date.min,
        aircraft_class=each.text("aircraft_class", required=True),
        take_offs=each.integer("take_offs", required=True, high=200) or 0,
        landings=each.integer("landings", required=True, high=200) or 0,
        aircraft=each.text("aircraft"),
        sole=each.flag("sole"),
        night=each.flag("night"),
        full_stop=each.flag("full_stop"),
    )


def _taught(each: Section) -> tuple:  # type: ignore[type-arg]
    start, end = each.moment("start", required=True), each.moment("end", required=True)
    if start is not None and end is not None and end < start:
        each.wrong("end", f"{end.isoformat()} lies before the start {start.isoformat()}")
    return start, end


def _endorsement(each: Section) -> Endorsement:
    given_by = each.text("given_by", required=True)
    given_on = each.day("given_on", required=True)
    rests_on = each.day("rests_on")
    if given_on is not None and rests_on is not None and rests_on > given_on:
        each.wrong("rests_on", f"{rests_on} is after {given_on}, when it was given; training comes first")
    text = each.text("text")
    document = Source(kind="endorsement", title=text, dated=given_on)
    return Endorsement(
        what_for=each.text("what_for", required=True),
        given_by=given_by,
        given_on=given_on or date.max,
        text=text,
        make_model=each.text("make_model"),
        place=each.text("place"),
        lessons=each.texts("lessons"),
        rests_on=rests_on,
        valid_days=each.integer("valid_days", high=4000),
        for_flight_on=each.day("for_flight_on"),
        giver_present=bool(each.flag("giver_present")),
        limits=_limits(each, Whose.ENDORSEMENT, document, given_by, given_by),
    )


def _checkout(each: Section) -> Checkout:
    return Checkout(
        make_model=each.text("make_model", required=True),
        on=each.day("on", required=True) or date.max,
        by=each.text("by", required=True),
        aircraft=each.text("aircraft"),
        configuration=frozenset(each.texts("configuration")),
    )


def _authority(each: Section) -> Authority:
    return Authority(
        what_for=each.text("what_for", required=True),
        id=each.text("id", required=True),
        issued_on=each.day("issued_on", required=True) or date.max,
        aircraft=each.texts("aircraft"),
        until_on=each.day("until_on"),
    )


def _no_of(id: str) -> Callable[[Section], No]:
    def read(each: Section) -> No:
        said_at = each.moment("said_at", required=True)
        back = each.moment("taken_back_at")
        by = each.text("taken_back_by")
        if back is not None and by != id:
            each.wrong("taken_back_by", f"{by or 'nobody'!r} cannot take back the no of {id!r}; only its speaker can")
            back = None
        if back is not None and said_at is not None and back < said_at:
            each.wrong("taken_back_at", f"{back.isoformat()} is before the no was said")
            back = None
        return No(said_at=said_at, about=each.text("about"), taken_back_at=back)  # type: ignore[arg-type]

    return read


def _tightened(own: tuple[Limit, ...], today: Section) -> tuple[Limit, ...]:
    """Return the person's own limits moved to the strict side by what today asks."""
    out = []
    for each in today.sections("tighten", label="of"):
        of = each.choice("of", tuple(QUANTITIES), required=True)
        why = each.text("why", required=True)
        dimension = QUANTITIES[of].dimension if of else "time"
        by = each.quantity("by", dimension, low=0.0, required=True)
        each.finish()
        base = [limit for limit in own if limit.of == of and limit.value is not None]
        if of and not base:
            each.wrong("of", f"{of!r} has no own minimum to tighten; write a [[person.limit]] on it first")
        if by is None:
            continue
        for limit in base:
            moved = limit.value - by.value if limit.sense in (Sense.AT_MOST, Sense.BELOW) else limit.value + by.value
            out.append(replace(limit, value=moved, typed=f"{limit.typed}, tightened by {by.typed}", scope=why))
    return tuple(out)


def in_standing(giver: Person, on: date) -> bool | None:
    """Return whether somebody could give an endorsement on a day; None where the file does not say.

    Past periods of use decide, where they are listed; else the printed dates of the certificate do.
    """
    teaching = giver.teaching
    if not giver.roles & {"instructor", "named instructor", "chief instructor", "examiner"}:
        return False
    if teaching.periods is not None:
        return any(begin <= on <= end for begin, end in teaching.periods)
    if teaching.on is None:
        return None
    if on < teaching.on:
        return False
    return True if teaching.printed_until_on is not None and on <= teaching.printed_until_on else None


def _with_standing(each: Endorsement, person: Person, people: dict[str, Person], section: Section) -> Endorsement:
    giver = people.get(each.given_by)
    if giver is None:
        section.wrong(f"endorsement[{each.what_for}].given_by", _nobody(each.given_by, people))
        return each
    if giver.id == person.id:
        section.wrong(
            f"endorsement[{each.what_for}].given_by",
            f"{person.id!r} cannot endorse himself or herself; name the instructor who gave it",
        )
        return replace(each, giver_in_standing=False)
    return replace(each, giver_in_standing=in_standing(giver, each.given_on))
