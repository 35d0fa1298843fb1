"""The answer that a release freezes, as its record holds it: every fact once, and nothing that is empty.

A record holds the answer as those see it who are neither aboard nor release. Beside the chain lies what masses and
margins add to it. Put together they are the answer's JSON again, whole; see `words/answer.schema.json`.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from typing import Any

from gyrewright.desk.book.record import Recorded

Plain = dict[str, Any]

_SOURCE: Plain = {"kind": "", "title": "", "section": "", "dated": None, "link": "", "revision": ""}
_INPUT: Plain = {
    "words": "",
    "typed": "",
    "origin": "",
    "at": None,
    "age_min": None,
    "by": "",
    "doubt": "",
    "why": "",
    "where": "",
}
_LAYER: Plain = {
    "scope": "",
    "limit": None,
    "typed": "",
    "value": None,
    "margin": None,
    "passes": True,
    "binds": False,
    "demonstrated": False,
    "counts": "",
    "verified_by": "",
}
_FINDING: Plain = {
    "about": "",
    "sentence": "",
    "value": None,
    "limit": None,
    "margin": None,
    "unit": "",
    "dimension": "",
    "layers": [],
    "source": {},
    "inputs": [],
    "lacking": [],
    "conditions": [],
    "cure": [],
    "who_may_cure": [],
    "binds_next": None,
    "holds_until": None,
    "working": None,
    "unconfirmed": False,
}
"""What is left out of a record where it is just this, and put back when the answer is read."""


def frozen(public: Mapping[str, Any], whole: Mapping[str, Any]) -> tuple[str, str]:
    """Return the two texts of a release's answer: what its record holds, and what lies beside the chain.

    Args:
        public: The answer as those see it who are neither aboard nor release.
        whole: All of it; has the same findings in the same order.
    """
    shown, everything = _compact(public), _compact(whole)
    beside: Plain = {
        "findings": {
            str(number): each
            for number, (each, seen) in enumerate(zip(everything["findings"], shown["findings"], strict=True))
            if each != seen
        },
        "facts": {name: each for name, each in everything["facts"].items() if shown["facts"].get(name) != each},
    }
    beside |= {
        key: each for key, each in everything.items() if key not in ("findings", "facts") and shown.get(key) != each
    }
    return _text(shown), _text(beside)


def answer_of(release: Recorded, *, whole: bool) -> Plain:
    """Return the answer that a release has frozen: whole, or as those see it who see no masses.

    Where what lay beside the chain has been erased, `whole` cannot be had and nothing of masses is returned.
    """
    kept: Plain = json.loads(release.act.answer)
    if whole and has_whole(release):
        beside: Plain = json.loads(release.personal.answer)
        for number, each in beside.pop("findings").items():
            kept["findings"][int(number)] = each
        kept["facts"] |= beside.pop("facts")
        kept |= beside
    facts = kept.pop("facts")
    return {
        **kept,
        "findings": [_filled(each, facts) for each in kept["findings"]],
        "not_needed": [{"fact": name, "words": words} for name, words in kept["not_needed"].items()],
    }


def has_whole(release: Recorded) -> bool:
    """Return whether what masses and margins add to a release's answer is still there."""
    return release.personal is not None and bool(release.personal.answer)


def _compact(answer: Mapping[str, Any]) -> Plain:
    facts: Plain = {}
    findings = [_emptied(each, facts) for each in answer["findings"]]
    not_needed = {each["fact"]: each["words"] for each in answer["not_needed"]}
    return {**answer, "findings": findings, "facts": facts, "not_needed": not_needed}


def _emptied(finding: Mapping[str, Any], facts: Plain) -> Plain:
    inputs: list[Any] = []
    for each in finding["inputs"]:
        rest = _without({key: value for key, value in each.items() if key != "fact"}, _INPUT)
        # The same fact told in two ways would be two truths: then it stands with the finding that tells it otherwise.
        inputs.append(each["fact"] if facts.setdefault(each["fact"], rest) == rest else {"fact": each["fact"], **rest})
    layers = [_without({**each, "source": _without(each["source"], _SOURCE)}, _LAYER) for each in finding["layers"]]
    source = _without(finding["source"], _SOURCE)
    return _without({**finding, "inputs": inputs, "layers": layers, "source": source}, _FINDING)


def _filled(finding: Mapping[str, Any], facts: Mapping[str, Any]) -> Plain:
    made: Plain = {**_FINDING, **finding}
    inputs = [{"fact": each, **facts[each]} if isinstance(each, str) else each for each in made["inputs"]]
    return {
        **made,
        "inputs": [{**_INPUT, **each} for each in inputs],
        "layers": [{**_LAYER, **each, "source": {**_SOURCE, **each["source"]}} for each in made["layers"]],
        "source": {**_SOURCE, **made["source"]},
    }


def _without(given: Mapping[str, Any], usual: Mapping[str, Any]) -> Plain:
    """Return what is not as usual; zero is not false, and nothing known is not missing."""
    return {
        key: value
        for key, value in given.items()
        if not (key in usual and type(value) is type(usual[key]) and value == usual[key])
    }


def _text(value: Any) -> str:
    return json.dumps(value, ensure_ascii=False, sort_keys=True, separators=(",", ":"))
