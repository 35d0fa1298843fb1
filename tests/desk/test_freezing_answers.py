"""A release freezes the answer whole in a fraction of its size, and shows no masses without what lies beside it."""

from __future__ import annotations

import json
from types import SimpleNamespace

import pytest

from gyrewright.desk.fold.frozen import answer_of, frozen
from gyrewright.desk.services import state
from gyrewright.desk.services.answers import answered
from gyrewright.desk.services.releases import without_masses
from gyrewright.words.as_json import as_json
from gyrewright.words.tell import tell


@pytest.fixture
def answers(demo_day):
    at = state.asking_at()
    out = []
    for asked in state.flights(at).values():
        said = tell(answered(asked, at).answer)
        whole = as_json(said)
        out.append((json.loads(json.dumps(without_masses(whole, said))), json.loads(json.dumps(whole))))
    return out


def record(public, beside):
    personal = SimpleNamespace(answer=beside) if beside else None
    return SimpleNamespace(act=SimpleNamespace(answer=public), personal=personal)


def test_both_answers_come_back_as_they_were(answers):
    assert len(answers) == 5
    for public, whole in answers:
        kept = record(*frozen(public, whole))
        assert answer_of(kept, whole=True) == whole
        assert answer_of(kept, whole=False) == public


def test_without_what_lies_beside_nothing_of_masses_can_be_had(answers):
    for public, whole in answers:
        shown, beside = frozen(public, whole)
        assert answer_of(record(shown, ""), whole=True) == public
        mass = next(each for each in whole["findings"] if each["id"] == "loading.take_off_mass")
        if mass["value"] is not None:
            assert str(mass["value"]) in beside
            assert str(mass["value"]) not in shown


def test_it_takes_a_fraction_of_its_size(answers):
    for public, whole in answers:
        size = sum(len(each) for each in frozen(public, whole))
        assert size < 0.35 * (len(json.dumps(public)) + len(json.dumps(whole)))


def test_zero_stays_zero_false_stays_false_and_a_fact_told_in_two_ways_stays_two(answers):
    public, whole = answers[0]
    first, second = [each for each in whole["findings"] if each["inputs"]][:2]
    first["value"], first["layers"] = 0.0, []
    second["inputs"] = [{**first["inputs"][0], "typed": "told otherwise"}]
    kept = answer_of(record(*frozen(public, whole)), whole=True)
    found = {(each["id"], each["about"]): each for each in kept["findings"]}
    assert found[first["id"], first["about"]]["value"] == 0.0
    assert found[second["id"], second["about"]]["inputs"][0]["typed"] == "told otherwise"
    assert found[first["id"], first["about"]]["inputs"][0]["typed"] != "told otherwise"
