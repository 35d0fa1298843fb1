"""What people have said more than once: the newest word at the moment asked counts."""

from datetime import datetime, timedelta

import pytest

from gyrewright.errors import DefinitionError
from gyrewright.people import crew_facts, read_people
from gyrewright.people.person import as_of
from gyrewright.reading import Problems, section_of

PERSON = """
[[person]]
id = "I1"
name = "First instructor"
roles = ["instructor"]
no = [{ said_at = 2027-07-14T07:00:00-07:00, taken_back_at = 2027-07-14T09:00:00-07:00, taken_back_by = "I1" }]
taught = [
    { start = 2027-07-14T06:30:00-07:00, end = 2027-07-14T07:30:00-07:00 },
    { start = 2027-07-14T08:30:00-07:00, end = 2027-07-14T09:30:00-07:00 },
]
"""
TWICE = (
    PERSON
    + """
[[person.today]]
fitness = "fit"
fitness_at = 2027-07-14T06:00:00-07:00
slept = "7 h"
lessons = 0
[[person.today]]
fitness = "fit with caution"
fitness_at = 2027-07-14T12:00:00-07:00
slept = "7 h"
lessons = 3
[person.declared]
sober = [
    { said = false, at = 2027-07-14T12:00:00-07:00 },
    { said = true, at = 2027-07-14T06:00:00-07:00 },
]
"""
)


def read(text):
    problems = Problems()
    people = read_people(section_of(text, file="people.toml", problems=problems))
    problems.stop_if_any()
    return people["I1"]


@pytest.fixture
def at():
    return lambda text: datetime.fromisoformat(f"2027-07-14T{text}:00-07:00")


def test_the_newest_word_until_the_moment_counts(at):
    person = read(TWICE)
    morning, noon = as_of(person, at("06:16")), as_of(person, at("12:00"))
    assert (morning.fitness, morning.lessons_today, morning.declared["sober"].said) == ("fit", 0, True)
    assert (noon.fitness, noon.lessons_today, noon.declared["sober"].said) == ("fit with caution", 3, False)


def test_before_the_first_word_nothing_has_been_said(at):
    early = as_of(read(TWICE), at("05:59"))
    assert (early.fitness, early.fitness_at, early.slept_h, early.lessons_today) == ("", None, None, None)
    assert early.declared == {}


def test_the_order_in_the_file_does_not_matter(at):
    first, second = TWICE.index("[[person.today]]"), TWICE.rindex("[[person.today]]")
    third = TWICE.index("[person.declared]")
    turned = TWICE[:first] + TWICE[second:third] + TWICE[first:second] + TWICE[third:]
    for moment in ("05:59", "06:16", "12:00", "19:00"):
        one, other = as_of(read(turned), at(moment)), as_of(read(TWICE), at(moment))
        assert {name: getattr(one, name) for name in one.__slots__} == {
            name: getattr(other, name) for name in other.__slots__
        }


def test_without_a_moment_the_newest_word_of_the_file_stands():
    assert read(TWICE).fitness == "fit with caution"
    assert read(TWICE).declared["sober"].said is False


def test_of_two_words_at_one_moment_the_careful_one_counts(at):
    same = TWICE.replace("said = true, at = 2027-07-14T06", "said = true, at = 2027-07-14T12")
    assert as_of(read(same), at("12:00")).declared["sober"].said is False


def test_a_lesson_that_has_not_begun_is_not_given_yet(at):
    assert len(as_of(read(PERSON), at("08:00")).taught) == 1
    assert len(as_of(read(PERSON), at("08:30")).taught) == 2


def test_a_no_is_not_taken_back_before_it_is(at):
    assert as_of(read(PERSON), at("08:00")).noes[0].taken_back_at is None
    assert as_of(read(PERSON), at("09:00")).noes[0].taken_back_at == at("09:00")


def test_several_words_of_a_day_need_their_times():
    with pytest.raises(DefinitionError, match="fitness_at: is missing"):
        read(PERSON + '[[person.today]]\nslept = "7 h"\n[[person.today]]\nslept = "6 h"\n')


def test_one_word_with_its_time_is_not_said_before_it(at):
    one = PERSON + '[person.today]\nfitness = "fit"\nfitness_at = 2027-07-14T06:00:00-07:00\n'
    assert as_of(read(one), at("06:00")).fitness == "fit"
    assert as_of(read(one), at("05:00")).fitness == ""


def test_a_crew_is_asked_as_it_stood(at):
    given = {
        "commander": "I1",
        "instructor": "I1",
        "aboard": ("I1",),
        "aircraft_id": "G1",
        "make_model": "G one",
        "flight_on": at("13:00").date(),
        "depart_at": at("13:00"),
    }
    people = {"I1": read(TWICE)}
    assert crew_facts(people, asked_at=at("12:30"), **given)["commander_sober"].value is False
    assert crew_facts(people, asked_at=at("11:30"), **given)["commander_sober"].value is True
    assert not crew_facts(people, asked_at=at("06:00") - timedelta(minutes=1), **given)["commander_sober"].is_known
