"""Facts and checks about people: each verdict beside its reason, what is fetched, and the edges of days."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, timedelta

import pytest

from gyrewright.fact import Doubt, Fact, Origin
from gyrewright.finding import Cure, Source, Verdict
from gyrewright.people import checks, endorsement_limits
from gyrewright.people.checks import PeopleRules, people_rules_fact, read_people_rules
from gyrewright.people.mass import MassRule, counted, read_mass_rule
from gyrewright.people.person import Authority, Checkout, Insurance, Said
from gyrewright.reading import Problems, section_of

GO, UNKNOWN, STOP = Verdict.GO, Verdict.UNKNOWN, Verdict.STOP
ON = date(2027, 7, 14)
DAY = timedelta(days=1)
RULES = PeopleRules(24.0, 60, frozenset({"rental"}), True, MassRule(7.0, 0.08, 15.0))


# --- checks -----------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("word", "hour", "verdict", "why", "lacking"),
    [
        ("fit", 8, GO, "go", ()),
        ("fit with caution", 8, GO, "caution", ()),
        ("not fit", None, STOP, "stop", ()),
        ("", 8, UNKNOWN, "unknown", ("fitness",)),
        ("fit", None, UNKNOWN, "unknown", ("fitness",)),
        ("fit", 10, UNKNOWN, "old", ("fitness",)),
    ],
)
def test_a_word_about_fitness_names_who_must_say_it_again(moment, word, hour, verdict, why, lacking):
    said_at = None if hour is None else moment(hour)
    (found,) = checks.fit.judge((("I1", word, said_at),), RULES, moment(9))
    assert (found.verdict, found.why, found.lacking, found.about) == (verdict, why, lacking, "I1")
    assert found.params == {"who": "I1", "said_at": said_at, "word": word}


def test_a_house_without_a_rule_takes_a_word_about_fitness_of_any_age(moment):
    old = (("I1", "fit", moment(9) - timedelta(days=9)),)
    assert checks.fit.judge(old, replace(RULES, fitness_h=None), moment(9))[0].verdict is GO
    assert checks.fit.judge(old, RULES, moment(9))[0].verdict is UNKNOWN


def test_everybody_is_asked_and_each_answers_alone(moment):
    words = (("I1", "fit", moment(8)), ("S2", "not fit", moment(8)), ("E1", "", None))
    found = checks.fit.judge(words, RULES, moment(9))
    assert [(each.about, each.verdict) for each in found] == [("I1", GO), ("S2", STOP), ("E1", UNKNOWN)]


def test_whoever_is_not_on_the_field_is_named_with_what_cures_it():
    found = checks.present.judge(frozenset({"I2", "I1", "I3"}), frozenset({"I3", "S2"}), "student alone")
    assert (found.verdict, found.why) == (STOP, "stop")
    assert found.params == {"who": ("I1", "I2"), "count": 2}
    assert found.cures == (Cure("people.be_present", "I1", {"who": "I1"}),)
    there = checks.present.judge(frozenset({"I1"}), frozenset({"I1", "S2"}), "student alone")
    assert (there.verdict, there.params) == (GO, {"who": (), "count": 0})


@pytest.mark.parametrize("purpose", ["instruction", "private", "test"])
def test_places_and_lessons_of_a_solo_endorsement_bind_nobody_else(purpose):
    given = (frozenset({"H1"}), frozenset({"circuits"}), "H2", True, "area")
    assert checks.place.judge(*given, purpose) is None
    both = checks.place.judge(*given, "student alone")
    assert [(each.verdict, each.why) for each in both] == [(STOP, "place"), (STOP, "lesson")]
    assert both[0].params == {"places": ("H1",), "field": "H2"}
    assert both[1].params == {"lessons": ("circuits",), "lesson": "area"}


@pytest.mark.parametrize(
    ("changes", "commander", "verdict", "why"),
    [
        ({}, "N1", GO, "go"),
        ({}, "N2", STOP, "stop"),
        ({"from_on": ON}, "N1", GO, "go"),
        ({"from_on": ON + DAY}, "N1", STOP, "ended"),
        ({"until_on": ON}, "N1", GO, "go"),
        ({"until_on": ON - DAY}, "N1", STOP, "ended"),
        ({"from_on": None, "until_on": None}, "N1", GO, "go"),
        ({"from_on": None, "until_on": ON - DAY}, "N1", STOP, "ended"),
        ({"from_on": ON + DAY, "until_on": None}, "N1", STOP, "ended"),
    ],
)
def test_an_insurers_conditions_hold_from_their_first_to_their_last_day(changes, commander, verdict, why):
    policy = Insurance("G2", "", frozenset({"N1"}), date(2027, 1, 1), date(2027, 12, 31), (), Source(title="Policy"))
    found = checks.insured.judge(replace(policy, **changes), commander, "", ON)
    assert (found.verdict, found.why, found.source.title) == (verdict, why, "Policy")
    assert found.params["who"] == commander


@pytest.mark.parametrize(
    ("checkouts", "verdict", "why"),
    [
        ((), STOP, "stop"),
        ((Checkout("G two", ON - timedelta(days=60), "I1"),), GO, "go"),
        ((Checkout("G two", ON - timedelta(days=61), "I1"),), STOP, "old"),
        ((Checkout("G two", ON, "I1"),), GO, "go"),
        ((Checkout("G two", ON + DAY, "I1"),), STOP, "stop"),
        ((Checkout("G one", ON, "I1"),), STOP, "stop"),
    ],
)
def test_a_check_out_that_lacks_stops_and_is_flown_with_somebody(checkouts, verdict, why):
    found = checks.checkout.judge(checkouts, RULES, "G two", frozenset(), "rental", "N1", ON)
    assert (found.verdict, found.why) == (verdict, why)
    cure = Cure("people.check_out", "N1", {"who": "N1", "make_model": "G two"})
    assert found.cures == (() if verdict is GO else (cure,))


def test_a_check_out_without_the_configuration_stops_and_is_flown_with_somebody():
    cabin = frozenset({"closed cabin"})
    found = checks.checkout.judge((Checkout("G two", ON, "I1"),), RULES, "G two", cabin, "rental", "N1", ON)
    assert (found.verdict, found.why) == (STOP, "configuration")
    assert [cure.id for cure in found.cures] == ["people.check_out"]


def test_whoever_must_step_on_the_scale_is_named_with_the_margin():
    cure = Cure("people.weigh", "S1", {"who": ("S1", "S2")})
    for rules, margin, why in ((RULES, 15.0, "unknown"), (replace(RULES, mass=None), 100.0, "no_rule")):
        found = checks.scale.judge(("S1", "S2"), rules, margin)
        assert (found.verdict, found.why, found.lacking, found.cures) == (UNKNOWN, why, ("mass",), (cure,))
        assert (found.params["who"], found.params["count"], found.params["margin_kg"]) == (("S1", "S2"), 2, margin)
    assert checks.scale.judge((), replace(RULES, mass=None), 0.0).verdict is GO
    assert checks.scale.judge(("S1",), RULES, 15.1).why == "careful"


def test_a_test_without_an_examiner_says_that_one_lacks():
    found = checks.examiner.judge("", "I1", frozenset(), RULES, "test")
    assert (found.verdict, found.why, found.lacking) == (UNKNOWN, "unknown", ("examiner",))
    stopped = checks.examiner.judge("E1", "I1", frozenset({"E1"}), RULES, "test")
    assert (stopped.verdict, stopped.why, stopped.params) == (STOP, "stop", {"who": "E1"})
    assert checks.examiner.judge("E1", "E1", frozenset(), replace(RULES, examiner_apart=False), "test") is None


# --- what the house writes --------------------------------------------------------------------------------------------


def problems_of(read, text):
    problems = Problems()
    made = read(section_of(text, file="house.toml", problems=problems))
    return made, [str(each) for each in problems.found]


def rules_of(section):
    return read_people_rules(section, None)


@pytest.mark.parametrize(
    ("key", "least", "most", "below", "beyond"),
    [("fitness", "0 h", "48 h", "-0.1 h", "48.1 h"), ("checkout", "0 days", "4000 days", "-1 days", "4001 days")],
)
def test_what_the_house_asks_of_people_lies_within_sense(key, least, most, below, beyond):
    for text in (least, most):
        assert problems_of(rules_of, f'{key} = "{text}"')[1] == []
    for text in (below, beyond):
        assert len(problems_of(rules_of, f'{key} = "{text}"')[1]) == 1


def test_an_unknown_key_among_the_rules_on_people_is_one_line():
    (problem,) = problems_of(rules_of, 'fitnes = "24 h"')[1]
    assert "fitnes" in problem


def test_the_rules_on_people_are_a_fact_of_the_house():
    assert people_rules_fact(RULES) == Fact("people_rules", RULES, origin=Origin.HOUSE)


MASS = {"fresh": "7 days", "share": "8 %", "near": "15 kg"}


def mass_rule(**changes):
    return problems_of(read_mass_rule, "\n".join(f'{k} = "{v}"' for k, v in (MASS | changes).items() if v))


@pytest.mark.parametrize("key", list(MASS))
def test_a_rule_on_masses_is_whole_or_one_line_names_what_lacks(key):
    made, found = mass_rule(**{key: ""})
    assert made is None
    assert len(found) == 1
    assert f"{key}: is missing" in found[0]


@pytest.mark.parametrize(
    ("key", "good", "bad"),
    [
        ("fresh", ["0 days"], ["-1 days"]),
        ("share", ["0 %", "50 %"], ["-1 %", "51 %"]),
        ("near", ["0 kg", "200 kg"], ["-1 kg", "200.1 kg"]),
    ],
)
def test_a_rule_on_masses_lies_within_sense(key, good, bad):
    for text in good:
        assert mass_rule(**{key: text})[1] == []
    for text in bad:
        made, found = mass_rule(**{key: text})
        assert made is None
        assert len(found) == 1


def test_without_a_rule_a_mass_counts_as_it_is():
    assert counted(mass_kg=100.0, weighed=False, age_days=None, rule=None) == (100.0, 100.0, True)
    assert counted(mass_kg=100.0, weighed=True, age_days=None, rule=None) == (100.0, 100.0, False)


# --- facts ------------------------------------------------------------------------------------------------------------


def test_who_endorsed_the_student_is_known_where_there_is_a_list(crew, people):
    assert crew()["student_givers"].value == frozenset({"I1"})
    changed = {**people, "S2": replace(people["S2"], endorsements=())}
    assert crew(changed)["student_givers"].value == frozenset()


def test_a_fact_carries_its_name_its_origin_and_where_it_is_written(crew, people):
    fact = crew()["commander_review_on"]
    assert (fact.name, fact.origin, fact.where) == ("commander_review_on", Origin.RECORD, people["I1"].where)
    lacking = crew()["student_review_on"]
    assert (lacking.name, lacking.doubt, lacking.where) == ("student_review_on", Doubt.MISSING, people["S2"].where)
    assert crew()["instructor_teaching_privileges"].value == "sport"
    assert not crew()["student_teaching_privileges"].is_known


def test_a_declaration_carries_its_own_time(crew, people, moment):
    facts = crew()
    assert (facts["commander_sober"].value, facts["commander_sober_at"].value) == (True, moment(7))
    denied = {**people, "I1": replace(people["I1"], declared={"sober": Said(False, moment(8))})}
    assert crew(denied)["commander_sober"].value is False
    assert not crew()["student_sober"].is_known
    assert not crew()["student_sober_at"].is_known


def test_a_mass_that_is_stale_or_contradictory_stays_so_and_counts_as_unweighed(crew, people):
    mass = people["I1"].mass
    for doubt in (Doubt.STALE, Doubt.CONTRADICTORY, Doubt.MISSING):
        changed = {**people, "I1": replace(people["I1"], mass=replace(mass, value=None, doubt=doubt, why="two scales"))}
        facts = crew(changed)
        for name in ("commander_light_mass_kg", "commander_heavy_mass_kg"):
            fact = facts[name]
            assert (fact.value, fact.doubt, fact.why) == (None, doubt, "two scales")
            assert (fact.typed, fact.origin, fact.at, fact.where, fact.by) == (
                mass.typed,
                mass.origin,
                mass.at,
                mass.where,
                mass.by,
            )
        assert facts["unweighed"].value == ("I1", "S2")


def test_how_far_each_mass_lies_from_its_careful_sides_is_known_by_person(crew, people):
    assert crew()["unweighed_extra_kg"].value == {"I1": 0.0, "S2": pytest.approx(6.4)}
    assert crew(mass_rule=None)["unweighed_extra_kg"].value == {"I1": 0.0, "S2": 0.0}
    assert crew(aboard=("M1",), commander="M1", instructor="", student="")["unweighed_extra_kg"].value == {"M1": 0.0}


def test_the_age_of_a_reading_does_not_depend_on_the_zone_it_is_written_in(crew, moment):
    facts = crew(depart_at=moment(8, 0, 19).astimezone(UTC), flight_on=date(2027, 7, 19))
    assert facts["unweighed"].value == ("S2",)
    facts = crew(depart_at=moment(8, 1, 19).astimezone(UTC), flight_on=date(2027, 7, 19))
    assert facts["unweighed"].value == ("I1", "S2")


def policies(*spans, aircraft="G1"):
    return [
        Insurance(aircraft, "", frozenset({name}), from_on, until_on, (), Source(title=name))
        for name, from_on, until_on in spans
    ]


@pytest.mark.parametrize(
    ("spans", "which"),
    [
        ([("old", date(2026, 1, 1), date(2026, 12, 31)), ("new", date(2027, 1, 1), date(2027, 12, 31))], "new"),
        ([("ends today", date(2026, 1, 1), ON), ("next", ON + DAY, date(2028, 7, 14))], "ends today"),
        ([("ended", date(2026, 1, 1), ON - DAY), ("begins today", ON, date(2028, 7, 14))], "begins today"),
        ([("ended", None, ON - DAY), ("ended before", None, ON - 9 * DAY)], "ended"),
        ([("ended", None, ON - DAY), ("without an end", None, None)], "without an end"),
        ([("until", None, ON), ("without an end", None, None)], "without an end"),
    ],
)
def test_of_an_insurers_conditions_those_that_hold_count_and_else_the_latest(crew, spans, which):
    for order in (spans, spans[::-1]):
        given = [*policies(*order), *policies(("other", None, None), aircraft="G9")]
        assert crew(insurance=given)["insurance"].value.source.title == which


TEACH = "training in an experimental aircraft"


@pytest.mark.parametrize(
    ("held", "id"),
    [
        ([Authority(TEACH, "A", date(2027, 1, 1), ("G1",))], "A"),
        ([Authority(TEACH, "A", date(2027, 1, 1))], "A"),
        ([Authority(TEACH, "A", date(2027, 1, 1), ("G2",))], ""),
        ([Authority("other", "A", date(2027, 1, 1))], ""),
        ([Authority(TEACH, "A", ON)], "A"),
        ([Authority(TEACH, "A", ON + DAY)], ""),
        ([Authority(TEACH, "A", date(2027, 1, 1), (), ON)], "A"),
        ([Authority(TEACH, "A", date(2027, 1, 1), (), ON - DAY)], ""),
        ([Authority(TEACH, "A", date(2027, 1, 1)), Authority(TEACH, "B", date(2027, 2, 1))], "B"),
        ([Authority(TEACH, "B", date(2027, 2, 1)), Authority(TEACH, "A", date(2027, 1, 1))], "B"),
    ],
)
def test_an_authority_to_teach_counts_in_its_aircraft_and_on_its_days(crew, people, held, id):
    changed = {key: replace(person, authorities=None) for key, person in people.items()}
    changed["M1"] = replace(changed["M1"], authorities=tuple(held))
    assert crew(changed)["training_authority"].value == id


# --- endorsements -----------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("changes", "stands"),
    [
        ({}, True),
        ({"given_on": ON}, True),
        ({"given_on": ON + DAY}, False),
        ({"make_model": ""}, True),
        ({"make_model": "G two"}, False),
        ({"giver_in_standing": None}, False),
        ({"giver_in_standing": False}, False),
        ({"for_flight_on": ON}, True),
        ({"for_flight_on": ON + DAY}, False),
        ({"valid_days": 22}, True),
        ({"valid_days": 21}, False),
        ({"valid_days": 22, "rests_on": date(2027, 6, 21)}, False),
        ({"valid_days": 22, "rests_on": None}, True),
        ({"valid_days": 21, "rests_on": None}, False),
    ],
)
def test_an_endorsement_stands_on_its_days_for_its_aircraft_by_a_giver_in_standing(crew, people, changes, stands):
    one = replace(people["S2"].endorsements[0], **({"giver_in_standing": True} | changes))
    changed = {**people, "S2": replace(people["S2"], endorsements=(one,))}
    assert crew(changed)["student_endorsed_for"].value == (frozenset({"solo"}) if stands else frozenset())


def numbers(people, *endorsements, on=ON):
    changed = {**people, "S2": replace(people["S2"], endorsements=endorsements)}
    return len(endorsement_limits(changed, student="S2", make_model="G one", on=on))


def test_two_limitations_of_one_day_by_one_hand_both_bind_since_nobody_knows_which_came_first(people):
    old = people["S2"].endorsements[0]
    same_day = replace(old, limits=old.limits[:1])
    assert numbers(people, old, same_day) == numbers(people, same_day, old) == 3
    later = replace(same_day, given_on=old.given_on + DAY)
    assert numbers(people, old, later) == numbers(people, later, old) == 1


@pytest.mark.parametrize(
    ("changes", "count"),
    [
        ({"what_for": "solo night"}, 3),
        ({"what_for": "solo cross-country"}, 2),
        ({"given_by": "I2"}, 3),
        ({"make_model": "G two"}, 2),
        ({"make_model": ""}, 1),
        ({"given_on": ON}, 1),
        ({"given_on": ON + DAY}, 2),
    ],
)
def test_the_numbers_that_bind_are_those_of_each_kind_and_hand_for_this_aircraft(people, changes, count):
    old = people["S2"].endorsements[0]
    newer = replace(old, **({"given_on": old.given_on + DAY, "limits": old.limits[:1]} | changes))
    assert numbers(people, old, newer) == count
