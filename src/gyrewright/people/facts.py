"""Facts about a crew, by name, for release to put on the sheet.

Every part that somebody has (`commander`, `instructor`, `student`, `examiner`, `passenger`) gives, with its name and an
underscore in front:

    certificate, certificate_on, certificate_temporary, certificate_valid   the pilot's certificate
    privileges              "student sport" | "student private" | "sport" | "private": the ones used
    born_on
    ratings, class_endorsements     sets of category and class, "rotorcraft gyroplane"
    review_on, review_scope         last review or what stands for it; "full" | "sport"
    medical_route, medical_exam_on, licence_until_on, licence_conditions_met
    basicmed_course_on, basicmed_exam_on, basicmed_history_clear
    landings                own take-offs and landings (person.Landing)
    endorsements            all endorsements (person.Endorsement), with their givers' standing
    endorsed_for            what is endorsed and stands on the day, for this make and model, as a set of words
    fitness, fitness_at     the person's own word, and when
    sober, sober_at, address_current, address_current_at, restrictions_kept, restrictions_kept_at
    teaching_privileges, teaching_ratings, teaching_on, teaching_printed_until_on, teaching_renewed_on,
    teaching_recent_on      the instructor's certificate
    taught                  flight training given: (start, end)
    last_lesson_on, presolo_*, knowledge_test_on, test_*, areas_missed, missed_areas_reviewed, experience_complete,
    claims_credit, retest_endorsed_on       where a student stands; test_training_on is the last day of the preparation
                            that the endorsement for the test rests on
    checkouts               check-outs (person.Checkout)
    light_mass_kg, heavy_mass_kg    the mass to use against least and against greatest limits

and for the flight as a whole:

    aboard_noes             (who, when, about what) of every no that stands
    crew_fitness            (who, word or "", when or None) of everybody who commands, teaches, learns or examines
    crew_people             ids of everybody aboard or named
    needs_present, people_present   who must be on the field, and who is
    endorsed_places, endorsed_lessons   what the endorsement used limits a student alone to; empty is no limit
    unweighed               ids of those aboard whose mass counts to both careful sides
    unweighed_extra_kg      by id, how far each of those masses lies from either careful side
    insurance               the insurer's conditions for this aircraft (person.Insurance)
    training_authority, training_authority_on   the written authority to teach in this aircraft: "" where there is none
    student_givers          ids of everybody who endorsed the student (for the examiner's independence)
    passenger_count

A fact that nobody has given is there, as missing.

What the law's checks ask of others than people (docs/law-us.md lists every rule with its facts): papers, inspections,
defects, equipment, declarations for the flight. A declaration is two facts: `briefing_taken` and `briefing_taken_at`.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import fields, replace
from datetime import UTC, date, datetime, timedelta
from functools import lru_cache
from typing import Any

from gyrewright.errors import UnknownName
from gyrewright.fact import Fact, Origin, missing
from gyrewright.finding import Limit
from gyrewright.people.mass import MassRule, counted
from gyrewright.people.person import Endorsement, Insurance, Medical, Person, Studies, Teaching, as_of

PARTS = ("commander", "instructor", "student", "examiner", "passenger")

_PLAIN = (
    "born_on",
    "certificate_on",
    "certificate_temporary",
    "certificate_valid",
    "ratings",
    "class_endorsements",
    "review_on",
    "landings",
    "endorsements",
    "taught",
    "checkouts",
    "fitness_at",
)
_WORDS = ("certificate", "privileges", "review_scope", "fitness")
_SOLO = ("solo", "solo night")


def crew_facts(
    people: Mapping[str, Person],
    *,
    commander: str,
    instructor: str = "",
    student: str = "",
    examiner: str = "",
    passenger: str = "",
    aboard: Sequence[str],
    present: Sequence[str] = (),
    named: Sequence[str] = (),
    aircraft_id: str,
    make_model: str,
    alone: bool = False,
    flight_on: date,
    depart_at: datetime,
    asked_at: datetime | None = None,
    mass_rule: MassRule | None = None,
    insurance: Sequence[Insurance] = (),
) -> dict[str, Fact]:
    """Return every fact about the crew that the module's text names; one that nobody has given is missing.

    Args:
        people: Everybody in the file, by id.
        commander: Person id, as the other parts; "" where nobody has the part.
        aboard: Ids of everybody in the aircraft.
        present: Ids of those on the field besides.
        named: Ids of those supervising, or named on the release; their no counts as well.
        alone: Whether a student flies alone, so that a solo endorsement is used.
        asked_at: When it is asked: what people say later does not count yet. None counts every word.
        mass_rule: The house's rule for people who have not been weighed.
        insurance: The insurers' conditions, as read; an aircraft that they do not speak of is a missing fact.

    Raises:
        UnknownName: An id is nobody's.
    """
    parts = dict(zip(PARTS, (commander, instructor, student, examiner, passenger), strict=True))
    everybody = tuple(dict.fromkeys(id for id in (*parts.values(), *aboard, *named) if id))
    for id in (*everybody, *present):
        if id not in people:
            raise UnknownName(f"{id!r} is nobody in the file of people; use one of: {', '.join(people)}")
    if asked_at is not None:
        people = {**people, **{id: as_of(people[id], asked_at) for id in everybody}}
    out: dict[str, Fact] = {}
    for part, id in parts.items():
        if id:
            out |= _facts_of(part, people[id], make_model, flight_on)
            light = _counted(people[id], depart_at, mass_rule)
            out |= {f"{part}_{name}": fact for name, fact in light.items()}
    whole: dict[str, Any] = {
        "aboard_noes": tuple(
            (id, no.said_at, no.about) for id in everybody for no in people[id].noes if no.taken_back_at is None
        ),
        "crew_fitness": tuple(
            (id, people[id].fitness, people[id].fitness_at)
            for id in dict.fromkeys(parts[part] for part in PARTS[:4] if parts[part])
        ),
        "crew_people": everybody,
        "people_present": frozenset((*aboard, *present)),
        "unweighed": tuple(id for id in aboard if _is_unweighed(people[id], depart_at, mass_rule)),
        "unweighed_extra_kg": {id: _extra_kg(people[id], depart_at, mass_rule) for id in aboard},
        "passenger_count": 1 if passenger else 0,
    }
    used = _used_solo(people[student], make_model, flight_on) if student and alone else ()
    unlisted = bool(student and alone and people[student].endorsements is None)
    for name, value in (
        ("needs_present", frozenset(each.given_by for each in used if each.giver_present)),
        ("endorsed_places", frozenset(each.place for each in used if each.place)),
        ("endorsed_lessons", frozenset(lesson for each in used for lesson in each.lessons)),
    ):
        whole[name] = None if unlisted else value
    if student:
        held = people[student].endorsements
        whole["student_givers"] = None if held is None else frozenset(each.given_by for each in held)
    whole["insurance"] = _insured(aircraft_id, insurance, flight_on)
    whole |= _authority(people, everybody, aircraft_id, flight_on)
    return out | {name: _leaf(name, value) for name, value in whole.items()}


def papers_of(parts: Sequence[str]) -> frozenset[str]:
    """Return the names of the facts about whoever has a part that are written on paper, and no word of the day."""
    names = {name for name in (*_PLAIN, *_WORDS) if not name.startswith("fitness")}
    names |= {each.name for each in (*fields(Medical), *fields(Studies))} - {"route", "exam_on"}
    names |= {f"teaching_{each.name}" for each in fields(Teaching)}
    names |= {"medical_route", "medical_exam_on", "endorsed_for"}
    return frozenset(f"{part}_{name}" for part in parts for name in names)


def endorsement_limits(people: Mapping[str, Person], *, student: str, make_model: str, on: date) -> tuple[Limit, ...]:
    """Return the numbers of the solo endorsements that a student alone uses that day, as layers of the stack."""
    return tuple(limit for each in _used_solo(people[student], make_model, on) for limit in each.limits)


def own_limits(people: Mapping[str, Person], *, commander: str) -> tuple[Limit, ...]:
    """Return the commander's own minimums, with today's tightening."""
    return people[commander].own_limits


def _leaf(name: str, value: Any, where: str = "", at: datetime | None = None) -> Fact:
    if value is None:
        return missing(name, where=where)
    return Fact(name, value, origin=Origin.RECORD, where=where, at=at)


@lru_cache(maxsize=256)
def _facts_of(part: str, person: Person, make_model: str, on: date) -> Mapping[str, Fact]:
    found: dict[str, Any] = {name: getattr(person, name) for name in _PLAIN}
    found |= {name: getattr(person, name) or None for name in _WORDS}
    for prefix, kind, made in (
        ("", Medical, person.medical),
        ("", Studies, person.studies),
        ("teaching_", Teaching, person.teaching),
    ):
        for each in fields(kind):
            found[prefix + each.name] = getattr(made, each.name)
    found["medical_route"] = found.pop("route") or None
    found["medical_exam_on"] = found.pop("exam_on")
    tests = person.studies.presolo_test_for
    found["presolo_test_for"] = None if tests is None else make_model if make_model in tests else ", ".join(tests)
    found["teaching_privileges"] = found["teaching_privileges"] or None
    found["endorsed_for"] = None if person.endorsements is None else _endorsed_for(person.endorsements, make_model, on)
    for name in ("sober", "address_current", "restrictions_kept", "documents_aboard"):
        said = person.declared.get(name)
        found[name] = None if said is None else said.said
        found[f"{name}_at"] = None if said is None else said.at
    return {f"{part}_{name}": _leaf(f"{part}_{name}", value, person.where) for name, value in found.items()}


def _stands(each: Endorsement, make_model: str, on: date) -> bool:
    until = None if each.valid_days is None else (each.rests_on or each.given_on) + timedelta(days=each.valid_days)
    return (
        each.given_on <= on
        and each.make_model in ("", make_model)
        and (until is None or on <= until)
        and each.for_flight_on in (None, on)
    )


def _endorsed_for(held: Sequence[Endorsement], make_model: str, on: date) -> frozenset[str]:
    return frozenset(each.what_for for each in held if each.giver_in_standing and _stands(each, make_model, on))


def _used_solo(student: Person, make_model: str, on: date) -> tuple[Endorsement, ...]:
    """Return the youngest solo endorsements of each kind for the make and model: those whose numbers bind.

    A limitation written later by the same hand replaces the earlier one; one by another hand stands beside it, and so
    does one of the same day, since nobody knows which came first.
    """
    mine = [
        each
        for each in student.endorsements or ()
        if each.what_for in _SOLO and each.given_on <= on and each.make_model in ("", make_model)
    ]
    newest: dict[tuple[str, str], date] = {}
    for each in mine:
        key = (each.what_for, each.given_by)
        newest[key] = max(each.given_on, newest.get(key, each.given_on))
    return tuple(each for each in mine if each.given_on == newest[each.what_for, each.given_by])


def _weighed_age(person: Person, depart_at: datetime) -> float | None:
    if person.mass.at is None:
        return None
    return (depart_at.astimezone(UTC) - person.mass.at.astimezone(UTC)) / timedelta(days=1)


def _is_unweighed(person: Person, depart_at: datetime, rule: MassRule | None) -> bool:
    if not person.mass.is_known:
        return True
    weighed = person.mass.origin is Origin.WEIGHED
    made = counted(mass_kg=1.0, weighed=weighed, age_days=_weighed_age(person, depart_at), rule=rule)
    return made.needs_scale or made.light_kg != made.heavy_kg


def _extra_kg(person: Person, depart_at: datetime, rule: MassRule | None) -> float:
    """Return how far a mass lies from its careful sides; none for one that nobody knows, which is missing itself."""
    heavy = _counted(person, depart_at, rule)["heavy_mass_kg"]
    return float(heavy.value - person.mass.value) if heavy.is_known else 0.0


def _counted(person: Person, depart_at: datetime, rule: MassRule | None) -> dict[str, Fact]:
    fact = person.mass
    names = ("light_mass_kg", "heavy_mass_kg")
    if not fact.is_known:
        return {
            name: Fact(name, None, fact.typed, fact.origin, fact.at, fact.where, fact.by, fact.doubt, fact.why)
            for name in names
        }
    age = _weighed_age(person, depart_at)
    made = counted(mass_kg=fact.value, weighed=fact.origin is Origin.WEIGHED, age_days=age, rule=rule)
    return {name: replace(fact, name=name, value=value) for name, value in zip(names, made[:2], strict=True)}


def _insured(aircraft_id: str, insurance: Sequence[Insurance], on: date) -> Insurance | None:
    """Return the conditions for the aircraft that hold on the day, else the latest ones; None where nothing is said."""
    mine = sorted(
        (each for each in insurance if each.aircraft == aircraft_id), key=lambda each: each.until_on or date.max
    )
    holding = [each for each in mine if (each.from_on or on) <= on <= (each.until_on or on)]
    return next(iter(reversed(holding or mine)), None)


def _authority(people: Mapping[str, Person], everybody: Sequence[str], aircraft_id: str, on: date) -> dict[str, Any]:
    """Return the authority to teach in this aircraft that somebody in the file holds; the youngest, if several.

    Where somebody who is not part of the flight holds it for the operation, it counts as well; where nobody has a list
    of authorities, nobody knows.
    """
    lists = [person.authorities for person in people.values() if person.authorities is not None]
    if not lists:
        return {"training_authority": None, "training_authority_on": None}
    fitting = [
        each
        for held in lists
        for each in held
        if each.what_for == "training in an experimental aircraft"
        and (not each.aircraft or aircraft_id in each.aircraft)
        and each.issued_on <= on
        and (each.until_on is None or on <= each.until_on)
    ]
    if not fitting:
        return {"training_authority": "", "training_authority_on": None}
    latest = max(fitting, key=lambda each: each.issued_on)
    return {"training_authority": latest.id, "training_authority_on": latest.issued_on}
