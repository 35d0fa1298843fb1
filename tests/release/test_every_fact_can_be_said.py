"""Whatever a law asks before a flight, some file has a key for: a fact that nobody can say helps nobody."""

import pytest

from gyrewright.cli.source import packaged_files
from gyrewright.release.files import read_question
from gyrewright.release.situation import situation_of
from gyrewright.rules.force import fact_names
from gyrewright.rules.pack import pack_named
from gyrewright.rules.said import SAID

PARTS = ("commander", "instructor", "student", "examiner", "passenger")


@pytest.fixture(scope="module")
def sayable():
    """Return every name that a sheet knows, a [law] table takes, or a person has."""
    files = dict(packaged_files())
    names = {said.fact for said in SAID.values()}
    names |= {f"{said.fact}_at" for said in SAID.values() if said.kind == "declaration"}
    for path in sorted(files):
        if path.startswith("flights/") and "table" not in path:
            sheet = situation_of(read_question(path, files.__getitem__)).sheet
            names |= set(sheet.facts) | set(sheet.plan.recipes)
    told = {name.partition("_")[2] for name in names if name.partition("_")[0] in PARTS}
    return names | {f"{part}_{name}" for part in PARTS for name in told}


@pytest.mark.parametrize("pack", ["us", "velmark"])
def test_every_fact_of_a_law_can_be_said(pack, sayable):
    unsayable = {
        (rule.id, name)
        for rule in pack_named(pack).rules
        if rule.phase == "before"
        for name in fact_names(rule)
        if name not in sayable and name.removesuffix("_at") not in sayable
    }
    assert unsayable == set()
