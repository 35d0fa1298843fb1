"""What a person may do by their papers alone, held against the scenario's people."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import pytest

from gyrewright.finding import Verdict
from gyrewright.people.facts import papers_of
from gyrewright.release.capacity import (
    CAPACITIES,
    EXAMINE,
    PRIVATE_ALONE,
    PRIVATE_WITH_SOMEBODY,
    RENT_ALONE,
    RENT_WITH_SOMEBODY,
    STUDENT_ALONE,
    TAUGHT,
    TEACH,
    capacities_of,
    flight_for,
    standing_in,
)
from kit.files import demo

ON = date(2027, 6, 12)


def answer(capacity, person, flight="0630-sunde-halloran", on=ON, **changes):
    question = demo(flight).question()
    people = {id: replace(one, **changes) if id == person else one for id, one in question.people.items()}
    asked = replace(
        question,
        people=people,
        flight=flight_for(
            capacity,
            person=person,
            definition=question.definition,
            people=people,
            zone=question.field.zone,
            asked_at=question.asked_at,
            on=on,
        ),
    )
    return standing_in(capacity, question=asked)


def found(*given, **more):
    return {each.id: each for each in answer(*given, **more).findings}


def test_a_student_flies_alone_what_the_endorsement_names_and_as_long_as_it_is_young():
    assert answer(STUDENT_ALONE, "halloran").verdict is Verdict.GO
    # 14 CFR 61.87(n): within the preceding 90 days; given 30 April 2027.
    last = date(2027, 4, 30) + timedelta(days=90)
    assert answer(STUDENT_ALONE, "halloran", on=last).verdict is Verdict.GO
    over = answer(STUDENT_ALONE, "halloran", on=last + timedelta(days=1))
    assert over.verdict is Verdict.STOP
    assert over.findings[0].id == "rule.us.61.87.endorsement"
    assert over.findings[0].cures
    other = answer(STUDENT_ALONE, "halloran", "0900-okafor-lind-eklund")
    assert {each.why for each in other.findings if each.verdict is Verdict.STOP} == {"test", "make_model"}


def test_a_student_without_an_endorsement_learns_who_could_give_one():
    first = found(STUDENT_ALONE, "castellane")["rule.us.61.87.endorsement"]
    assert (first.verdict, first.why) == (Verdict.STOP, "none")
    assert [(cure.id, cure.who) for cure in first.cures] == [("people.endorse", "instructor")]


def test_what_a_student_has_not_said_is_unknown_and_never_fine():
    assert answer(STUDENT_ALONE, "halloran", endorsements=None).verdict is Verdict.UNKNOWN
    assert answer(STUDENT_ALONE, "halloran", certificate_valid=None).verdict is Verdict.UNKNOWN


def test_nothing_is_asked_of_the_papers_of_somebody_who_is_taught():
    assert answer(TAUGHT, "castellane").findings == ()


def test_an_instructor_needs_both_certificates_a_rating_and_recency():
    both = found(TEACH, "sunde")
    assert {"rule.us.61.197", "rule.us.61.195.rating", "rule.us.61.56", "rule.us.61.57.day", "people.insured"} <= set(
        both
    )
    assert answer(TEACH, "sunde").verdict is Verdict.GO
    teaching = replace(demo("0630-sunde-halloran").question().people["sunde"].teaching, ratings=frozenset())
    assert answer(TEACH, "sunde", teaching=teaching).findings[0].id == "rule.us.61.195.rating"
    # Private solo flying asks for no instructor's certificate.
    assert answer(PRIVATE_ALONE, "sunde", teaching=teaching).verdict is Verdict.GO


def test_recent_landings_are_asked_for_only_with_somebody_aboard():
    assert "rule.us.61.57.day" in found(PRIVATE_WITH_SOMEBODY, "sunde")
    assert answer(PRIVATE_WITH_SOMEBODY, "sunde", landings=()).verdict is Verdict.STOP
    assert answer(PRIVATE_ALONE, "sunde", landings=()).verdict is Verdict.GO


def test_the_house_asks_a_renter_for_a_check_out():
    # The scenario: a renter needs 60 days in that registration or a check flight; Coral Dunmore has never flown D.
    assert found(RENT_ALONE, "dunmore")["people.checkout"].verdict is Verdict.STOP
    assert "people.checkout" not in found(PRIVATE_ALONE, "dunmore")


def test_an_examiner_stands_by_the_examiners_own_papers():
    assert set(found(EXAMINE, "okafor-lind")) == {"rule.us.61.23.examiner"}


def test_words_of_the_day_weather_and_the_machine_are_left_to_the_flight():
    for capacity, person in ((TEACH, "sunde"), (STUDENT_ALONE, "halloran"), (RENT_WITH_SOMEBODY, "dunmore")):
        said = answer(capacity, person)
        assert not {"rule.us.61.3", "rule.us.91.17", "rule.us.61.60", "people.fit", "rule.us.91.407.check"} & {
            each.id for each in said.findings
        }
        assert not [each for each in said.findings if each.id.split(".")[0] not in ("rule", "people")]


def test_papers_are_no_words_of_the_day_and_no_mass():
    names = papers_of(("commander",))
    assert {
        "commander_review_on",
        "commander_medical_route",
        "commander_teaching_on",
        "commander_endorsed_for",
    } <= names
    assert not {name for name in names if "mass" in name or "sober" in name or "fitness" in name}


@pytest.mark.parametrize(
    ("roles", "owns", "expected"),
    [
        (("student",), False, (STUDENT_ALONE, TAUGHT)),
        (("pilot",), False, (RENT_WITH_SOMEBODY, RENT_ALONE)),
        (("pilot", "owner"), True, (PRIVATE_WITH_SOMEBODY, PRIVATE_ALONE)),
        (("owner",), False, ()),
        (("instructor", "pilot"), False, (TEACH, PRIVATE_WITH_SOMEBODY, PRIVATE_ALONE)),
        (("examiner",), False, (EXAMINE, PRIVATE_WITH_SOMEBODY, PRIVATE_ALONE)),
        (("maintainer",), False, ()),
    ],
)
def test_capacities_follow_from_roles(roles, owns, expected):
    person = replace(demo("0630-sunde-halloran").question().people["sunde"], roles=frozenset(roles))
    assert capacities_of(person, owns=owns) == expected
    assert set(expected) <= set(CAPACITIES)
