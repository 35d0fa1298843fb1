"""Checks on people, each with one flight that passes and one that stops."""

import string
import tomllib
from dataclasses import replace
from datetime import date, timedelta
from importlib import resources

import pytest

from gyrewright.finding import Source, Verdict, worst
from gyrewright.people import checks
from gyrewright.people.checks import PeopleRules, checks_for, read_people_rules
from gyrewright.people.mass import MassRule
from gyrewright.people.person import Checkout, Insurance
from gyrewright.reading import Problems, section_of

WORDS = tomllib.loads((resources.files("gyrewright.words") / "en-US" / "people.toml").read_text(encoding="utf-8"))
GO, UNKNOWN, STOP = Verdict.GO, Verdict.UNKNOWN, Verdict.STOP
ON = date(2027, 7, 14)
RULES = PeopleRules(24.0, 60, frozenset({"rental", "student alone"}), True, MassRule(7.0, 0.08, 15.0))


def judged(check, *given):
    found = check.judge(*given)
    found = () if found is None else found if isinstance(found, tuple) else (found,)
    for each in found:
        sentence = WORDS[each.id][each.why]
        blanks = {name for _, name, _, _ in string.Formatter().parse(sentence) if name}
        assert blanks <= {*each.params, "lacking"}, (each.id, each.why)
    return found


def test_a_no_stops_and_nobody_elses_yes_matters(moment):
    assert worst(judged(checks.no, ())) is GO
    found = judged(checks.no, (("S2", moment(8), "wind"), ("I1", moment(8, 5), "")))
    assert [each.verdict for each in found] == [STOP, STOP]
    assert [each.about for each in found] == ["S2", "I1"]
    assert all(each.cures == () for each in found)


@pytest.mark.parametrize(
    ("word", "hour", "verdict", "why"),
    [
        ("fit", 7, GO, "go"),
        ("fit with caution", 7, GO, "caution"),
        ("not fit", 7, STOP, "stop"),
        ("", 7, UNKNOWN, "unknown"),
        ("fit", 10, UNKNOWN, "old"),
    ],
)
def test_each_persons_own_word_about_fitness(moment, word, hour, verdict, why):
    (found,) = judged(checks.fit, (("I1", word, moment(hour)),), RULES, moment(9))
    assert (found.verdict, found.why, found.about) == (verdict, why, "I1")


def test_a_word_about_fitness_lasts_as_long_as_the_house_says(moment):
    said = moment(9) - timedelta(hours=24)
    assert judged(checks.fit, (("I1", "fit", said),), RULES, moment(9))[0].verdict is GO
    assert judged(checks.fit, (("I1", "fit", moment(9)),), RULES, moment(9))[0].verdict is GO
    older = said - timedelta(minutes=1)
    assert judged(checks.fit, (("I1", "fit", older),), RULES, moment(9))[0].verdict is UNKNOWN
    assert judged(checks.fit, (("I1", "not fit", older),), RULES, moment(9))[0].verdict is STOP


def test_whoever_the_endorsement_asks_for_must_be_on_the_field():
    (found,) = judged(checks.present, frozenset({"I1"}), frozenset({"S2", "I2"}), "student alone")
    assert found.verdict is STOP
    assert found.cures[0].who == "I1"
    assert worst(judged(checks.present, frozenset({"I1"}), frozenset({"S2", "I1"}), "student alone")) is GO
    assert judged(checks.present, frozenset({"I1"}), frozenset(), "instruction") == ()


@pytest.mark.parametrize(
    ("field", "elsewhere", "lesson", "why"),
    [
        ("H1", False, "circuits", "go"),
        ("H2", False, "circuits", "place"),
        ("H1", True, "circuits", "place"),
        ("H1", False, "area", "lesson"),
    ],
)
def test_a_student_alone_stays_where_and_in_what_the_endorsement_names(field, elsewhere, lesson, why):
    places, lessons = frozenset({"H1"}), frozenset({"circuits"})
    (found,) = judged(checks.place, places, lessons, field, elsewhere, lesson, "student alone")
    assert found.why == why
    assert (found.verdict is STOP) == (why != "go")
    free = frozenset()
    assert worst(judged(checks.place, free, free, "H9", True, "anything", "student alone")) is GO


POLICY = Insurance("G2", "", frozenset({"N1"}), date(2027, 1, 1), date(2027, 7, 14), (), Source(title="Policy"))


@pytest.mark.parametrize(
    ("commander", "instructor", "on", "why"),
    [
        ("N1", "", ON, "go"),
        ("N1", "", ON + timedelta(days=1), "ended"),
        ("N1", "", date(2027, 1, 1), "go"),
        ("N1", "", date(2026, 12, 31), "ended"),
        ("N2", "", ON, "stop"),
        ("N1", "I1", ON, "stop"),
        ("S2", "N1", ON, "go"),
    ],
)
def test_the_insurer_names_who_answers_for_the_flight(commander, instructor, on, why):
    (found,) = judged(checks.insured, POLICY, commander, instructor, on)
    assert found.why == why
    assert (found.verdict is GO) == (why == "go")
    assert found.source.title == "Policy"


def test_an_aircraft_that_nobody_insures_asks_nothing_of_the_pilot():
    assert judged(checks.insured, Insurance("G3", "no policy"), "P1", "", ON) == ()


HOME = frozenset({"closed cabin"})


@pytest.mark.parametrize(
    ("checkouts", "configuration", "why"),
    [
        ((Checkout("G two", ON - timedelta(days=60), "I1", "G2", HOME),), HOME, "go"),
        ((Checkout("G two", ON - timedelta(days=61), "I1", "G2", HOME),), HOME, "old"),
        ((Checkout("G two", ON, "I1", "G2"),), HOME, "configuration"),
        ((Checkout("G two", ON, "I1", "G2"),), frozenset(), "go"),
        ((Checkout("G one", ON, "I1", "G1", HOME),), HOME, "stop"),
        ((Checkout("G two", ON + timedelta(days=1), "I1", "G2", HOME),), HOME, "stop"),
        ((), frozenset(), "stop"),
    ],
)
def test_a_check_out_is_for_one_make_model_and_configuration(checkouts, configuration, why):
    (found,) = judged(checks.checkout, checkouts, RULES, "G two", configuration, "rental", "N1", ON)
    assert found.why == why
    assert (found.verdict is GO) == (why == "go")
    if why == "configuration":
        assert found.params["configuration"] == ("closed cabin",)


def test_what_a_check_out_does_not_cover_is_that_of_the_youngest():
    bare, other = (
        Checkout("G two", ON - timedelta(days=9), "I1", "G2"),
        Checkout("G two", ON, "I1", "G2", frozenset({"floats"})),
    )
    both = frozenset({"floats", "closed cabin"})
    (found,) = judged(checks.checkout, (other, bare), RULES, "G two", both, "rental", "N1", ON)
    assert found.params["configuration"] == ("closed cabin",)


def test_of_several_check_outs_the_youngest_that_covers_the_configuration_counts():
    young, old = Checkout("G two", ON, "I1", "G2", HOME), Checkout("G two", date(2020, 1, 1), "I1", "G2", HOME)
    for order in ((young, old), (old, young)):
        (found,) = judged(checks.checkout, order, RULES, "G two", HOME, "rental", "N1", ON)
        assert (found.why, found.params["on"]) == ("go", ON)
    bare = (Checkout("G two", ON, "I1", "G2"), old)
    (found,) = judged(checks.checkout, bare, RULES, "G two", HOME, "rental", "N1", ON)
    assert found.why == "old"


def test_a_house_that_says_nothing_keeps_examiner_and_applicant_apart():
    problems = Problems()
    made = read_people_rules(section_of("", file="house.toml", problems=problems), None)
    assert made == PeopleRules()
    assert made.examiner_apart
    assert {check.id for check in checks_for("test", made)} == {
        "people.no",
        "people.fit",
        "people.insured",
        "people.scale",
        "people.cautions",
        "people.examiner",
    }
    freed = read_people_rules(section_of("examiner_apart = false", file="house.toml", problems=problems), None)
    assert "people.examiner" not in {check.id for check in checks_for("test", freed)}


def test_a_check_out_that_never_ages_and_a_house_that_asks_for_none():
    ever = replace(RULES, checkout_days=0)
    old = (Checkout("G two", date(2019, 1, 1), "I1"),)
    assert worst(judged(checks.checkout, old, ever, "G two", frozenset(), "rental", "N1", ON)) is GO
    assert (
        judged(checks.checkout, (), replace(RULES, checkout_days=None), "G two", frozenset(), "rental", "N1", ON) == ()
    )
    assert judged(checks.checkout, (), RULES, "G two", frozenset(), "instruction", "N1", ON) == ()


@pytest.mark.parametrize(
    ("unweighed", "margin", "verdict", "why"),
    [
        ((), 0.5, GO, "go"),
        (("S1",), 15.1, GO, "careful"),
        (("S1",), 15.0, UNKNOWN, "unknown"),
        (("S1",), -2.0, UNKNOWN, "unknown"),
    ],
)
def test_near_a_limit_of_mass_an_unweighed_person_steps_on_the_scale(unweighed, margin, verdict, why):
    (found,) = judged(checks.scale, unweighed, RULES, margin)
    assert (found.verdict, found.why) == (verdict, why)


def test_without_a_rule_an_unweighed_person_is_unknown():
    (found,) = judged(checks.scale, ("S1",), replace(RULES, mass=None), 100.0)
    assert (found.verdict, found.why) == (UNKNOWN, "no_rule")


@pytest.mark.parametrize(
    ("examiner", "instructor", "givers", "verdict"),
    [
        ("E1", "I1", frozenset({"I1"}), GO),
        ("E1", "I1", frozenset({"I1", "E1"}), STOP),
        ("E1", "E1", frozenset(), STOP),
        ("", "I1", frozenset({"I1"}), UNKNOWN),
    ],
)
def test_nobody_tests_an_applicant_whom_he_or_she_trained(examiner, instructor, givers, verdict):
    assert worst(judged(checks.examiner, examiner, instructor, givers, RULES, "test")) is verdict
    assert judged(checks.examiner, examiner, instructor, givers, RULES, "instruction") == ()


def test_a_flight_is_asked_only_what_can_matter_to_it():
    ids = {
        purpose: {check.id for check in checks_for(purpose, RULES)}
        for purpose in ("instruction", "student alone", "test", "rental")
    }
    common = {"people.no", "people.fit", "people.insured", "people.scale", "people.cautions"}
    assert ids["instruction"] == common
    assert ids["student alone"] == common | {"people.present", "people.place", "people.checkout"}
    assert ids["test"] == common | {"people.examiner"}
    assert ids["rental"] == common | {"people.checkout"}
    assert {check.id for check in checks.CHECKS} == set().union(*ids.values())


def test_the_house_writes_what_it_asks_of_people():
    problems = Problems()
    text = 'fitness = "24 h"\ncheckout = "60 days"\ncheckout_for = ["rental", "student alone"]'
    made = read_people_rules(section_of(text, file="house.toml", problems=problems), RULES.mass)
    assert problems.found == []
    assert made == RULES


def test_every_check_has_its_words():
    for check in checks.CHECKS:
        assert WORDS[check.id]["question"].endswith("?")
        assert "unknown" in WORDS[check.id] or check.id == "people.no"
