"""Checks on people that no law knows: a no, fitness, who must be there, where and what an endorsement allows, insurer,
check-out, scale, and an examiner's distance from the applicant.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from typing import Any

from gyrewright.arrays import at_most
from gyrewright.check import Check, check
from gyrewright.fact import Fact, Origin
from gyrewright.finding import Cure, Finding, Verdict
from gyrewright.people.cautions import cautions_known
from gyrewright.people.mass import MassRule
from gyrewright.people.person import Checkout, Insurance
from gyrewright.reading import Section


@dataclass(frozen=True, slots=True)
class PeopleRules:
    """What a house asks of people; None is a thing that it does not ask.

    Attributes:
        fitness_h: For how long a word about fitness is good. [h]
        checkout_days: How old a check-out may be; 0 for one that never ages.
        checkout_purposes: The purposes of flights that need one.
        examiner_apart: Whether an examiner may not have endorsed the applicant.
        mass: Its rule for people who have not been weighed.
    """

    fitness_h: float | None = None
    checkout_days: int | None = None
    checkout_purposes: frozenset[str] = frozenset()
    examiner_apart: bool = True
    mass: MassRule | None = None


def people_rules_fact(rules: PeopleRules) -> Fact:
    """Return the fact `people_rules` that the checks ask for."""
    return Fact("people_rules", rules, origin=Origin.HOUSE)


def read_people_rules(section: Section, mass: MassRule | None) -> PeopleRules:
    """Return a house's rules from `fitness` (time), `checkout` (days), `checkout_for` (purposes), `examiner_apart`."""
    fitness = section.quantity("fitness", "time", low=0.0, high=48.0)
    checkout = section.quantity("checkout", "days", low=0.0, high=4000.0)
    made = PeopleRules(
        fitness_h=None if fitness is None else fitness.value,
        checkout_days=None if checkout is None else int(checkout.value),
        checkout_purposes=frozenset(section.texts("checkout_for")),
        examiner_apart=section.flag("examiner_apart") is not False,
        mass=mass,
    )
    section.finish()
    return made


@check("people.no")
def no(aboard_noes: Sequence[tuple[str, datetime, str]]) -> Finding | tuple[Finding, ...]:
    """Return STOP for every no that stands: nobody overrules it, and only its speaker takes it back, unasked."""
    if not aboard_noes:
        return Finding("people.no", Verdict.GO, why="go")
    return tuple(
        Finding("people.no", Verdict.STOP, why="stop", about=who, params={"who": who, "said_at": at, "about": about})
        for who, at, about in aboard_noes
    )


@check("people.fit")
def fit(
    crew_fitness: Sequence[tuple[str, str, datetime | None]], people_rules: PeopleRules, depart_at: datetime
) -> tuple[Finding, ...]:
    """Return what everybody with a part has said about being fit; silence and an old word are UNKNOWN."""
    out = []
    for who, word, at in crew_fitness:
        params = {"who": who, "said_at": at, "word": word}
        if word == "not fit":
            out.append(Finding("people.fit", Verdict.STOP, why="stop", about=who, params=params))
        elif not word or at is None:
            out.append(
                Finding("people.fit", Verdict.UNKNOWN, why="unknown", about=who, lacking=("fitness",), params=params)
            )
        elif people_rules.fitness_h is not None and not (
            timedelta(0) <= depart_at.astimezone(UTC) - at.astimezone(UTC) <= timedelta(hours=people_rules.fitness_h)
        ):
            out.append(
                Finding("people.fit", Verdict.UNKNOWN, why="old", about=who, lacking=("fitness",), params=params)
            )
        else:
            why = "go" if word == "fit" else "caution"
            out.append(Finding("people.fit", Verdict.GO, why=why, about=who, params=params))
    return tuple(out)


@check("people.present")
def present(needs_present: Collection[str], people_present: Collection[str], purpose: str) -> Finding | None:
    """Return STOP where a student flies alone and the endorsement asks for somebody who is not there."""
    if purpose != "student alone":
        return None
    absent = tuple(sorted(set(needs_present) - set(people_present)))
    params = {"who": absent, "count": len(absent)}
    if not absent:
        return Finding("people.present", Verdict.GO, why="go", params=params)
    cure = Cure("people.be_present", absent[0], {"who": absent[0]})
    return Finding("people.present", Verdict.STOP, why="stop", params=params, cures=(cure,))


@check("people.place")
def place(
    endorsed_places: Collection[str],
    endorsed_lessons: Collection[str],
    field: str,
    lands_elsewhere: bool,
    lesson: str,
    purpose: str,
) -> tuple[Finding, ...] | Finding | None:
    """Return STOP where a student alone leaves the place or the lessons that the endorsement names."""
    if purpose != "student alone":
        return None
    out = []
    if endorsed_places and (field not in endorsed_places or lands_elsewhere):
        params = {"places": tuple(sorted(endorsed_places)), "field": field}
        out.append(Finding("people.place", Verdict.STOP, why="place", params=params))
    if endorsed_lessons and lesson not in endorsed_lessons:
        params = {"lessons": tuple(sorted(endorsed_lessons)), "lesson": lesson}
        out.append(Finding("people.place", Verdict.STOP, why="lesson", params=params))
    return tuple(out) or Finding("people.place", Verdict.GO, why="go")


@check("people.insured")
def insured(insurance: Insurance, commander: str, instructor: str, flight_on: date) -> Finding | None:
    """Return whether the insurer's conditions hold that day and name who answers for the flight: the instructor aboard
    or supervising, else the commander. Where the file says that nobody insures the aircraft, no question arises.
    """
    if insurance.none:
        return None
    who = instructor or commander
    params = {"who": who, "until": insurance.until_on, "from": insurance.from_on}
    if (insurance.from_on or flight_on) > flight_on or flight_on > (insurance.until_on or flight_on):
        return Finding("people.insured", Verdict.STOP, why="ended", source=insurance.source, params=params)
    verdict, why = (Verdict.GO, "go") if who in insurance.named else (Verdict.STOP, "stop")
    return Finding("people.insured", verdict, why=why, source=insurance.source, params=params)


@check("people.checkout")
def checkout(
    commander_checkouts: Sequence[Checkout],
    people_rules: PeopleRules,
    make_model: str,
    configuration: frozenset[str],
    purpose: str,
    commander: str,
    flight_on: date,
) -> Finding | None:
    """Return whether the commander has been checked out on this make, model and configuration, as the house asks.

    What is taught for one type can kill in another: a check-out counts for its own make and model only, and for a
    configuration only if it names every word of it.
    """
    if people_rules.checkout_days is None or purpose not in people_rules.checkout_purposes:
        return None
    fitting = [each for each in commander_checkouts if each.make_model == make_model and each.on <= flight_on]
    params: dict[str, Any] = {"who": commander, "make_model": make_model}
    cure = Cure("people.check_out", commander, params)
    if not fitting:
        return Finding("people.checkout", Verdict.STOP, why="stop", params=params, cures=(cure,))
    covered = [each for each in fitting if configuration <= each.configuration]
    if not covered:
        absent = tuple(sorted(configuration - max(fitting, key=lambda each: each.on).configuration))
        params = {**params, "configuration": absent}
        return Finding("people.checkout", Verdict.STOP, why="configuration", params=params, cures=(cure,))
    latest = max(each.on for each in covered)
    params = {**params, "on": latest, "days": people_rules.checkout_days}
    if people_rules.checkout_days and (flight_on - latest).days > people_rules.checkout_days:
        return Finding("people.checkout", Verdict.STOP, why="old", params=params, cures=(cure,))
    return Finding("people.checkout", Verdict.GO, why="go", params=params)


@check("people.scale", least_mass_margin_kg="careful_mass_margin_kg")
def scale(unweighed: Sequence[str], people_rules: PeopleRules, least_mass_margin_kg: float) -> Finding:
    """Return UNKNOWN where somebody aboard is unweighed and a limit of mass is near: the scale must say.

    The margin is the one that the careful masses leave.
    """
    params = {"who": tuple(unweighed), "count": len(unweighed), "margin_kg": least_mass_margin_kg}
    if not unweighed:
        return Finding("people.scale", Verdict.GO, why="go", params=params)
    cure = Cure("people.weigh", unweighed[0], {"who": tuple(unweighed)})
    if people_rules.mass is None:
        return Finding("people.scale", Verdict.UNKNOWN, why="no_rule", lacking=("mass",), params=params, cures=(cure,))
    if at_most(least_mass_margin_kg, people_rules.mass.near_kg):
        params = {**params, "near_kg": people_rules.mass.near_kg}
        return Finding("people.scale", Verdict.UNKNOWN, why="unknown", lacking=("mass",), params=params, cures=(cure,))
    return Finding("people.scale", Verdict.GO, why="careful", params=params)


@check("people.examiner")
def examiner(
    examiner: str, instructor: str, student_givers: Collection[str], people_rules: PeopleRules, purpose: str
) -> Finding | None:
    """Return STOP where an examiner would test somebody whom he or she has trained or endorsed."""
    if purpose != "test" or not people_rules.examiner_apart:
        return None
    params = {"who": examiner}
    if not examiner:
        return Finding("people.examiner", Verdict.UNKNOWN, why="unknown", lacking=("examiner",), params=params)
    if examiner == instructor or examiner in student_givers:
        return Finding("people.examiner", Verdict.STOP, why="stop", params=params)
    return Finding("people.examiner", Verdict.GO, why="go", params=params)


CHECKS: tuple[Check, ...] = (no, fit, insured, scale, cautions_known, checkout, present, place, examiner)


def checks_for(purpose: str, rules: PeopleRules) -> tuple[Check, ...]:
    """Return the checks that a flight of this purpose is asked, so that none asks for facts that cannot matter."""
    out = [no, fit, insured, scale, cautions_known]
    if rules.checkout_days is not None and purpose in rules.checkout_purposes:
        out.append(checkout)
    if purpose == "student alone":
        out += [present, place]
    if purpose == "test" and rules.examiner_apart:
        out.append(examiner)
    return tuple(out)
