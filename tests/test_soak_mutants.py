"""The mutation run proposes what it should, changes living functions that are decorated, and counts what is left."""

from __future__ import annotations

import importlib.util
import sys
from pathlib import Path

import libcst as cst
import pytest

from gyrewright.finding import Verdict
from gyrewright.people import checks

ROOT = Path(__file__).parents[1]


@pytest.fixture(scope="module")
def mutants():
    """The tool as a module: it is a program beside the package and no part of it."""
    spec = importlib.util.spec_from_file_location("soak_mutants", ROOT / "soak" / "mutants.py")
    made = importlib.util.module_from_spec(spec)
    sys.modules[spec.name] = made
    spec.loader.exec_module(made)
    yield made
    for own in made.OWN:
        made.mutators.mutation_operators.remove(own)
    del sys.modules[spec.name]


def code(node):
    return cst.Module([]).code_for_node(node).strip()


def test_decorators_of_functions_and_methods_are_blanked_and_lines_stay_where_they_are(mutants):
    text = "@check(\n    1\n)\ndef f():\n    pass\n\n\n@dataclass\nclass C:\n"
    text += "    @property\n    def g(self):\n        pass\n"
    bare = mutants.undecorated(text)
    assert bare.count("\n") == text.count("\n")
    assert "check" not in bare
    assert "property" not in bare
    assert "@dataclass" in bare
    assert bare.splitlines()[3] == "def f():"


@pytest.mark.parametrize(
    ("function", "text", "made"),
    [
        ("milder_verdict", "Verdict.STOP", ["Verdict.GO"]),
        ("milder_verdict", "Verdict.UNKNOWN", ["Verdict.GO"]),
        ("milder_verdict", "Verdict.GO", []),
        ("milder_verdict", "Whose.STOP", []),
        ("milder_ruling", "stops('why', who=1)", ["found_nothing_()"]),
        ("milder_ruling", "passes()", []),
    ],
)
def test_a_verdict_is_made_milder_and_never_stricter(mutants, function, text, made):
    assert [code(each) for each in getattr(mutants, function)(cst.parse_expression(text))] == made


def test_every_condition_is_once_never_met(mutants):
    (made,) = mutants.never_met(cst.parse_statement("if x:\n    y\n"))
    assert code(made).startswith("if False:")


def test_a_change_reaches_the_living_function_behind_its_decorator_and_is_told_by_its_line(mutants):
    module = mutants.read("people/checks")
    mutants.find_living([module])
    numbers = [n for n in range(len(module.changes)) if module.function(n) == "no" and module.kind(n) == "verdict"]
    (stop,) = [n for n in numbers if "Verdict.GO" in module.where(n).split("\n  > ")[1] and "STOP" in module.where(n)]
    noes = (("S2", None, "wind"),)
    before = {function: function.__code__ for function in module.living["no"]}
    assert checks.no.judge(noes)[0].verdict is Verdict.STOP
    try:
        assert mutants.put(module, module.changed(stop))
        assert checks.no.judge(noes)[0].verdict is Verdict.GO
    finally:
        for function, was in before.items():
            function.__code__ = was
    assert checks.no.judge(noes)[0].verdict is Verdict.STOP
    assert not mutants.put(module, module.text)


def test_every_check_and_evaluator_has_changes_to_try(mutants):
    module = mutants.read("rules/evaluators/after")
    kinds = {module.kind(number) for number in range(len(module.changes))}
    assert kinds == set(mutants.KINDS)
    assert {"rules/evaluators/pilot", "people/checks", "release/judge"} <= set(mutants.MODULES)
    assert all((mutants.SOURCE / f"{name}.py").is_file() for name in mutants.MODULES)
