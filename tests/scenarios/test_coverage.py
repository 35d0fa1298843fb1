"""The table of what the acceptance scenarios ask for: nobody is left out, and what it names exists."""

import ast
import tomllib
from collections import Counter
from pathlib import Path

import pytest

HERE = Path(__file__).parent
ROOT = HERE.parent.parent
LINES = tomllib.loads((HERE / "coverage.toml").read_text())["line"]
SCENARIOS = [f"A{number:02}" for number in range(1, 16)]
ISSUES = {
    "The law, the people and the state of the machine",
    "The ways: what would have to change",
    "The book: records that last, the flight page, the signed release, paper",
    "The walk-round on a phone, and defects that cannot evaporate",
}


def names_in(path):
    tree = ast.parse((ROOT / path).read_text())
    return {each.name: each for each in ast.walk(tree) if isinstance(each, ast.FunctionDef)}


def is_expected_to_fail(function):
    return any("xfail" in ast.unparse(each) for each in function.decorator_list)


@pytest.mark.parametrize("scenario", SCENARIOS)
def test_every_scenario_has_its_verdict_its_findings_and_what_must_not_happen(scenario):
    kinds = Counter(line["kind"] for line in LINES if line["scenario"] == scenario)
    assert kinds["verdict"] == 1
    assert kinds["finding"] >= 1
    assert kinds["must not"] >= 1
    assert set(kinds) == {"verdict", "finding", "must not"}


def test_no_other_scenario_is_named():
    assert {line["scenario"] for line in LINES} == set(SCENARIOS)


def test_every_line_is_proved_or_open_and_never_both():
    for line in LINES:
        assert set(line) in ({"scenario", "kind", "says", "proved_by"}, {"scenario", "kind", "says", "open"}), line
        assert line["says"].strip()
        if "open" in line:
            assert line["open"] in ISSUES
        else:
            assert line["proved_by"]


def test_no_line_stands_twice():
    assert not [
        says for says, count in Counter((line["scenario"], line["says"]) for line in LINES).items() if count > 1
    ]


def test_every_test_that_is_named_exists():
    named = [each for line in LINES for each in line.get("proved_by", ())]
    known = {path: names_in(path) for path in {each.partition("::")[0] for each in named}}
    missing = [each for each in named if each.partition("::")[2] not in known[each.partition("::")[0]]]
    assert missing == []


def test_every_test_of_a_scenario_is_named():
    """Those that are expected to fail for now are not named: their lines are open."""
    named = {each for line in LINES for each in line.get("proved_by", ())}
    unnamed = [
        f"tests/scenarios/{path.name}::{name}"
        for path in sorted(HERE.glob("test_a[0-9][0-9].py"))
        for name, function in names_in(f"tests/scenarios/{path.name}").items()
        if name.startswith("test_")
        and not is_expected_to_fail(function)
        and f"tests/scenarios/{path.name}::{name}" not in named
    ]
    assert unnamed == []
