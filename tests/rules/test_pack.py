"""Reading a pack: what is wrong in it is one clear problem each, and what it says is found again."""

import ast
import inspect
from dataclasses import replace
from datetime import date
from importlib import import_module

import pytest

from gyrewright.errors import DefinitionError, UnknownName
from gyrewright.finding import Verdict
from gyrewright.rules import checks_in_force, evaluators, in_force, limits_in_force, packaged, read_pack
from gyrewright.rules.registry import EVALUATORS

HEAD = """
name = "x"
title = "X"
read_on = 2027-01-01
begins = 2020-01-01
reminder = "The current text governs."
unconfirmed = ["D"]
[certainty]
A = "read"
D = "second-hand"
"""
CITED = 'certainty = "A"\nref = "s. 1"\ndoc = "Act"\ndated = 2020-01-01\nread_on = 2027-01-01\n'


def rule(values, *, id="x.review", evaluator="months since", more='[rule.facts]\ndone_on = "inspected_on"'):
    return f'[[rule]]\nid = "{id}"\nsays = "Something."\nevaluator = "{evaluator}"\n{more}\n' + "".join(
        f"[[rule.value]]\n{value}\n{CITED}" for value in values
    )


def read(*texts):
    return read_pack({"pack.toml": HEAD, **{f"{n}.toml": text for n, text in enumerate(texts)}})


def problem(*texts):
    with pytest.raises(DefinitionError) as caught:
        read(*texts)
    assert len(caught.value.problems) == 1, caught.value.problems
    return str(caught.value)


def test_a_rule_with_two_texts_is_read_and_the_day_picks():
    pack = read(rule(["from = 2020-01-01\nmonths = 12", "from = 2026-03-01\nmonths = 24"]))
    made = pack.rule("x.review")
    assert in_force(made, date(2019, 12, 31)) is None
    assert in_force(made, date(2026, 2, 28)).parameters["months"] == 12
    assert in_force(made, date(2026, 3, 1)).parameters["months"] == 24


def test_the_order_of_texts_in_the_file_does_not_matter():
    texts = ["from = 2020-01-01\nmonths = 12", "from = 2026-03-01\nmonths = 24"]
    assert read(rule(texts)).rule("x.review").values == read(rule(texts[::-1])).rule("x.review").values


def test_a_text_that_only_stood_on_a_day_holds_on_every_day_before_its_successor():
    pack = read(rule(["stood_on = 2024-01-01\nmonths = 12", "from = 2026-03-01\nmonths = 24"]))
    assert in_force(pack.rule("x.review"), date(1999, 1, 1)).parameters["months"] == 12


def test_a_repeal_ends_a_rule_on_its_day():
    pack = read(rule(["from = 2020-01-01\nmonths = 12", "from = 2026-03-01\nrepealed = true"]))
    assert in_force(pack.rule("x.review"), date(2026, 2, 28)) is not None
    assert in_force(pack.rule("x.review"), date(2026, 3, 1)) is None


@pytest.mark.parametrize(
    ("values", "text"),
    [
        (
            ["from = 2020-01-01\nuntil = 2021-01-01\nmonths = 12", "from = 2021-02-01\nmonths = 24"],
            "has a hole after 2021-01-01",
        ),
        (["from = 2020-01-01\nmonths = 12", "from = 2020-01-01\nmonths = 24"], "two texts in force at once"),
        (
            ["from = 2020-01-01\nuntil = 2021-02-01\nmonths = 12", "from = 2021-02-01\nmonths = 24"],
            "two texts in force at once",
        ),
        (["from = 2020-01-01\nuntil = 2021-02-01\nmonths = 12"], "nothing follows"),
        (["from = 2020-01-01\nrepealed = true"], "begins with a repeal"),
        (["months = 12"], "write either from"),
        (["from = 2020-01-01\nstood_on = 2020-01-01\nmonths = 12"], "write either from"),
        (["from = 2020-01-01\nmonths = 12\ndays = 3"], "is an unknown key"),
        (["from = 2020-01-01"], "months: is missing"),
        (['from = 2020-01-01\nmonths = "12"'], "is not a whole number"),
        ([], "is missing; write one [[rule.value]]"),
    ],
)
def test_each_mistake_in_the_texts_of_a_rule_is_one_clear_problem(values, text):
    assert text in problem(rule(values))


def test_an_unknown_evaluator_is_named_with_the_nearest_one():
    assert "did you mean 'months since'?" in problem(rule(["from = 2020-01-01"], evaluator="month since", more=""))


def test_a_fact_that_the_evaluator_does_not_ask_for_is_a_problem():
    text = problem(rule(["from = 2020-01-01\nmonths = 12"], more='[rule.facts]\ndone = "inspected_on"'))
    assert "is no fact that 'months since' asks for; it asks for: done_on, flight_on" in text


def test_an_unknown_certainty_an_unknown_key_and_a_rule_given_twice_are_problems():
    good = rule(["from = 2020-01-01\nmonths = 12"])
    assert "is not one of: A, D" in problem(good.replace('certainty = "A"', 'certainty = "Q"'))
    assert "did you mean 'evaluator'?" in problem(good.replace("says =", 'evaluater = "x"\nsays ='))
    assert "stands in 0.toml already" in problem(good, good)


def test_a_limit_rule_without_a_limit_is_a_problem():
    assert "is missing; write the limit" in problem(rule(["from = 2020-01-01"], evaluator="limit", more=""))


def test_every_problem_of_every_file_is_reported_at_once():
    with pytest.raises(DefinitionError) as caught:
        read(rule(["months = 12"]), rule(["from = 2020-01-01\nmonths = 12"], id="y", evaluator="nonsense", more=""))
    assert {each.file for each in caught.value.problems} == {"0.toml", "1.toml"}


def test_an_unread_text_without_parameters_is_unknown_and_says_since_when(shapes):
    pack = read(rule(["from = 2020-01-01\nmonths = 12", "from = 2026-03-01\nunread = true"]))
    (check,) = checks_in_force(pack, date(2026, 3, 1), shapes["flight"])
    found = check.judge()
    assert (found.verdict, found.why, found.params["since"]) == (Verdict.UNKNOWN, "unread", date(2026, 3, 1))
    assert check.inputs == ()


def test_an_unread_limit_is_a_check_that_answers_unknown(shapes):
    limit = '[[rule.value.limit]]\nof = "reserve"\nat_least = "20 min"'
    text = rule(["from = 2020-01-01"], evaluator="limit", more="") + limit
    text += "\n[[rule.value]]\nfrom = 2026-03-01\nunread = true\n" + CITED
    pack = read(text)
    assert len(limits_in_force(pack, date(2026, 2, 28), shapes["flight"])) == 1
    assert checks_in_force(pack, date(2026, 2, 28), shapes["flight"]) == ()
    (check,) = checks_in_force(pack, date(2026, 3, 1), shapes["flight"])
    assert check.judge().verdict is Verdict.UNKNOWN


def test_a_word_of_the_flight_that_nobody_has_said_is_unknown_by_name_and_no_rule_is_left_out_in_silence(us, shapes):
    flight = shapes["flight"]
    for gate, name in (
        ("certificate", "certificate"),
        ("privileges", "flight_privileges"),
        ("teaching", "flight_teaching"),
        ("airspace", "flight_airspace"),
        ("surface", "flight_surface"),
        ("light", "flight_light"),
    ):
        checks = checks_in_force(us, date(2027, 6, 14), replace(flight, **{gate: ""}))
        (found,) = [check.judge() for check in checks if check.id == f"rule.us.unsaid.{gate}"]
        assert found.verdict is Verdict.UNKNOWN
        assert found.lacking == (name,)
        whole = {check.id for check in checks_in_force(us, date(2027, 6, 14), flight)}
        left_out = whole - {check.id for check in checks}
        assert left_out <= {f"rule.{id}" for id in found.params["rules"]}


def test_a_word_that_no_rule_of_this_flight_turns_on_is_not_asked_for(us, shapes):
    flight = replace(shapes["flight"], purpose="private", teaching="")
    ids = {check.id for check in checks_in_force(us, date(2027, 6, 14), flight)}
    assert "rule.us.unsaid.teaching" not in ids
    both = replace(shapes["flight"], purpose="private", teaching="", privileges="")
    ids = {check.id for check in checks_in_force(us, date(2027, 6, 14), both)}
    assert "rule.us.unsaid.privileges" in ids


def test_with_every_word_said_no_gate_is_asked(us, shapes):
    ids = {check.id for check in checks_in_force(us, date(2027, 6, 14), shapes["flight"])}
    assert not ids & {
        f"rule.us.unsaid.{gate}" for gate in ("certificate", "privileges", "teaching", "airspace", "light")
    }


def test_a_pack_that_does_not_ship_is_named_with_those_that_do():
    with pytest.raises(UnknownName, match="use one of: us, velmark"):
        packaged("atlantis")


def test_a_rule_that_is_not_there_is_named_with_the_nearest_one(us):
    with pytest.raises(UnknownName, match=r"did you mean 'us\.61\.57\.day'\?"):
        us.rule("us.61.57.da")


def test_every_evaluator_is_used_by_some_pack_that_ships():
    used = {rule.evaluator for name in ("us", "velmark") for rule in read_pack(packaged(name)).rules}
    assert EVALUATORS.keys() - used == set()


def test_no_number_of_the_law_stands_in_the_code_of_an_evaluator():
    """Digits in evaluators are indices, units of time and zero; 90 days, 24 months or 20 minutes are data."""
    allowed = {0, 1, 12}
    for name in evaluators.__all__:
        tree = ast.parse(inspect.getsource(import_module(f"gyrewright.rules.evaluators.{name}")))
        numbers = {
            node.value
            for node in ast.walk(tree)
            if isinstance(node, ast.Constant)
            and isinstance(node.value, int | float)
            and not isinstance(node.value, bool)
        }
        assert numbers <= allowed, (name, numbers)


def test_every_text_has_a_citation_a_reading_day_and_one_of_the_letters(us):
    for each in us.rules:
        for value in each.values:
            assert value.source.section
            assert value.source.title
            assert value.source.dated
            assert value.read_on == us.read_on
            assert value.certainty in us.certainties
        assert each.says.endswith(".")
        assert each.rows or each.id == "us.pack"
