"""Who may do what, against a second table written by hand."""

import pytest

from gyrewright.errors import DefinitionError, UnknownName
from gyrewright.fact import missing
from gyrewright.people.person import ROLES, Person
from gyrewright.people.roles import RELATIONS, may, packaged_roles, read_roles, who_may

# Columns: student, pilot, instructor, named instructor, chief instructor, examiner, maintainer, inspector, manager,
# owner. y: may, with no relation to the thing where that is asked; -: may not; o: only in the relation named.
EXPECTED = {
    "report a defect": "yyyyyyyyyy",
    "walk round": "-yyyyyyy-y",
    "assess a defect": "---y--yy--",
    "defer a defect": "---y--yy--",
    "close a defect": "------yy--",
    "close a third report": "-------y--",
    "sign work": "------yy--",
    "second look": "---y--yy--",
    "fly a check flight": "-yyyyy----",
    "decide on a notice": "--------yy",
    "condition inspection": "-------y--",
    "event inspection": "------yy--",
    "confirm marker removed": "yyyyy-yy--",
    "endorse": "--ooo-----",
    "change a solo limitation": "--ooo-----",
    "recommend for a test": "--ooo-----",
    "test": "-----y----",
    "judge": "-oooo-----",
    "second view": "--yyy-----",
    "release": "-yyyyy----",
    "release a student alone": "--yyy-----",
    "take back a no": "oooooooooo",
    "change a house rule": "--------y-",
    "sign flights beyond an interval": "--------y-",
    "change own minimums": "oooooooooo",
    "verify a limit": "--yyy-yyyy",
    "read a meter": "yyyyyyyyyy",
    "replace a meter": "------yy--",
    "enter a task done": "---y--yy-y",
    "enter work": "---y--yy-y",
    "fit or remove a part": "------yy--",
    "read the directives": "------yyyy",
    "note a share": "------yyyy",
    "note what was done to an aircraft": "yyyyyyyyyy",
    "keep an aircraft's papers": "------yyyy",
    "enter a weighing": "------yy--",
    "adopt a manual revision": "-------yyy",
    "acknowledge a manual revision": "yyyyyy---y",
    "add a person": "--------y-",
    "give a role": "--------y-",
    "enter a person's papers": "--yyy---y-",
    "enter own landings": "oooooooooo",
    "weigh a person": "--yyyyyyy-",
    "state one's own mass": "oooooooooo",
    "check somebody out": "--yyy-----",
    "copy an endorsement from paper": "--yyy---y-",
    "hold an authority": "--------y-",
    "tighten own minimums for today": "oooooooooo",
    "adopt a maintenance program": "------yyyy",
    "enter an aircraft's books": "------yyyy",
    "set up a marker exercise": "--yyy-----",
    "take a marker off": "--ooo-----",
    "decide on a walk-round item": "----y---y-",
}
# Who is shut out by a relation, whatever the role.
NEVER = {
    "second look": {"worker"},
    "confirm marker removed": {"planner"},
    "endorse": {"subject"},
    "change a solo limitation": {"subject"},
    "recommend for a test": {"subject"},
    "test": {"subject", "trainer", "giver"},
    "second view": {"decider"},
    "release a student alone": {"subject"},
    "verify a limit": {"worker"},
    "enter a person's papers": {"subject"},
    "weigh a person": {"subject"},
    "check somebody out": {"subject"},
    "copy an endorsement from paper": {"subject"},
    "set up a marker exercise": {"subject"},
}
ONLY = {
    "take a marker off": "planner",
    "endorse": "trainer",
    "change a solo limitation": "giver",
    "recommend for a test": "trainer",
    "judge": "decider",
    "take back a no": "speaker",
    "change own minimums": "subject",
    "enter own landings": "subject",
    "state one's own mass": "subject",
    "tighten own minimums for today": "subject",
}
ORDER = (
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


def person(*roles, id="X"):
    return Person(id=id, name="X", where="people.toml", mass=missing("mass"), roles=frozenset(roles))


def nobody(**given):
    return {**dict.fromkeys(RELATIONS, ""), **given}


def test_both_tables_speak_of_the_same_acts_and_roles():
    assert set(packaged_roles()) == set(EXPECTED)
    assert ORDER == ROLES


@pytest.mark.parametrize("act", EXPECTED)
@pytest.mark.parametrize("column", range(len(ORDER)))
def test_each_role_may_what_the_second_table_says(act, column):
    mark = EXPECTED[act][column]
    who = person(ORDER[column])
    assert may(who, act, relations=nobody()).allowed is (mark == "y")
    if mark == "o":
        assert may(who, act, relations=nobody(**{ONLY[act]: "X"})).allowed is True
        assert may(who, act, relations=nobody(**{ONLY[act]: "Y"})).allowed is False


@pytest.mark.parametrize("act", EXPECTED)
@pytest.mark.parametrize("relation", RELATIONS)
def test_nobody_acts_for_himself_or_herself_where_the_table_says_so(act, relation):
    base = {ONLY[act]: "X"} if act in ONLY else {}
    answer = may(person(*ROLES), act, relations=nobody(**{**base, relation: "X"}))
    if relation in NEVER.get(act, ()):
        assert (answer.allowed, answer.why, answer.relation) == (False, "own", relation)
    else:
        assert answer.allowed is True


@pytest.mark.parametrize("act", sorted(NEVER))
def test_a_relation_that_decides_and_is_not_known_leaves_the_answer_open(act):
    known = {ONLY[act]: "X"} if act in ONLY else {}
    assert may(person(*ROLES), act, relations=known).allowed is None


@pytest.mark.parametrize("act", sorted(ONLY))
def test_an_act_for_one_person_only_is_open_while_nobody_knows_who_that_is(act):
    assert may(person(*ROLES), act, relations={}).allowed is None


def test_who_may_names_everybody_who_can_cure(people):
    assert who_may(people, "close a third report", relations={}) == ("M1",)
    assert who_may(people, "test", relations=nobody(trainer="E1")) == ()
    assert who_may(people, "change a solo limitation", relations=nobody(giver="I1", subject="S2")) == ("I1",)


def test_an_act_that_is_not_in_the_table_is_refused():
    with pytest.raises(UnknownName, match="is no act of the table of roles"):
        may(person("manager"), "overrule a no", relations={})


@pytest.mark.parametrize(
    ("text", "part"),
    [
        ('[[act]]\nname = "a"\nwhy = "b"', "says nobody"),
        ('[[act]]\nname = "a"\nroles = ["king"]\nwhy = "b"', "is not one of"),
        ('[[act]]\nname = "a"\nroles = ["pilot"]\nnever = ["friend"]\nwhy = "b"', "is not one of"),
        ('[[act]]\nname = "a"\nroles = ["pilot"]', "why: is missing"),
        ('[[act]]\nname = "a"\nroles = ["pilot"]\nwhy = "b"\n' * 2, "is given twice"),
    ],
)
def test_each_mistake_in_a_table_of_roles_is_one_clear_problem(text, part):
    with pytest.raises(DefinitionError) as caught:
        read_roles(text)
    assert part in str(caught.value)
