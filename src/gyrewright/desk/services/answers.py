"""The answer to a flight at a moment, with what named people have judged; and who may see its masses."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping
from dataclasses import dataclass, fields, is_dataclass, replace
from datetime import UTC, date, datetime
from typing import Any

from gyrewright.desk.book.kinds.flight import Judged
from gyrewright.desk.book.reading import find_records
from gyrewright.desk.book.record import Recorded
from gyrewright.desk.fold.asked import Asked
from gyrewright.desk.fold.standing import standing
from gyrewright.desk.services import state
from gyrewright.finding import Finding, Verdict
from gyrewright.release.answer import Answer
from gyrewright.release.decide import arranged, decide
from gyrewright.release.question import Question

VOLATILE = frozenset(("asked_at", "newest_fact", "machine_clock_doubt", "entitled", "all_limits"))
"""Facts that pass with time, or only gather what other facts say: they tell no change."""


@dataclass(frozen=True, slots=True)
class Judgement:
    """A finding that asks for judgement: who is named, and what that person has said so far."""

    finding: Finding
    key: str
    who: str
    said: Recorded | None

    @property
    def is_yes(self) -> bool:
        """Whether the named person says yes to exactly what was found now."""
        return self.said is not None and self.said.act.answer == "yes"


@dataclass(frozen=True, slots=True)
class Answered:
    """A flight's answer: as decided, with every no of a judge as the STOP that it is."""

    asked: Asked
    question: Question
    answer: Answer
    judgements: tuple[Judgement, ...]
    refusals: tuple[Judgement, ...]

    @property
    def verdict(self) -> Verdict:
        """The worst of all."""
        return self.answer.verdict


def finding_key(finding: Finding) -> str:
    """Return how a judgement names a finding."""
    return f"{finding.id}:{finding.about}" if finding.about else finding.id


def judge_of(finding: Finding, commander: str, people: Mapping[str, Any]) -> str:
    """Return who is named to judge a finding: a person that it names, else the commander."""
    named = [finding.params.get("judge"), *(cure.who for cure in finding.cures), finding.params.get("who")]
    return next((each for each in named if isinstance(each, str) and each in people), commander)


def answered(asked: Asked, at: datetime) -> Answered:
    """Return the answer to a flight as known at a moment."""
    key = ("answer", asked.id, asked.record, at, state.head_seq())
    if asked.record.seq <= 0:  # something else than what was asked for: not to be kept for long
        return _answered(asked, at)
    return state.kept((*key[:2], asked.record.seq, *key[3:]), lambda: _answered(asked, at))


def _answered(asked: Asked, at: datetime) -> Answered:
    question = state.question(asked, at)
    return of_question(asked, question, at)


def of_question(asked: Asked, question: Question, at: datetime) -> Answered:
    """Return the answer to a question about a flight, with what people have judged of it."""
    answer = decide(question)
    said = _said(asked.id, at)
    judgements, refusals, findings = [], [], []
    commander = dict(question.flight.parts).get("commander", "")
    for finding in answer.findings:
        if finding.verdict is not Verdict.JUDGE:
            findings.append(finding)
            continue
        key = finding_key(finding)
        who = judge_of(finding, commander, question.people)
        now = digest(finding.why, finding.value, finding.limit, dict(finding.params))
        mine = [each for each in said if each.act.finding == key and each.by == who]
        last = mine[-1] if mine else None
        if last is not None and last.act.answer == "no":
            refusals.append(Judgement(finding, key, who, last))
            findings.append(replace(finding, verdict=Verdict.STOP))
            continue
        judgements.append(Judgement(finding, key, who, last if last is not None and last.act.found == now else None))
        findings.append(finding)
    if refusals:
        answer = arranged(answer, findings)
    return Answered(asked, question, answer, tuple(judgements), tuple(refusals))


def _said(flight: str, at: datetime) -> list[Recorded]:
    records = find_records(kinds=("judged", "withdrawn", "clash", "clash-settled"))
    return [
        each for each in standing(records, at=at).records if isinstance(each.act, Judged) and each.act.flight == flight
    ]


# --- what changed ---


def digest(*values: Any) -> str:
    """Return a short digest of values, the same in every process."""
    text = json.dumps([_plain(each) for each in values], sort_keys=True, ensure_ascii=False)
    return hashlib.sha256(text.encode()).hexdigest()[:20]


def _plain(value: Any) -> Any:
    if value is None or isinstance(value, bool | int | str):
        return value
    if isinstance(value, float):
        return repr(value)
    if isinstance(value, datetime):
        return value.astimezone(UTC).isoformat()
    if isinstance(value, date):
        return value.isoformat()
    if is_dataclass(value) and not isinstance(value, type):
        return [type(value).__name__, *(_plain(getattr(value, each.name)) for each in fields(value))]
    if isinstance(value, Mapping):
        return sorted([str(key), _plain(each)] for key, each in value.items())
    if isinstance(value, set | frozenset):
        return sorted((_plain(each) for each in value), key=lambda each: json.dumps(each, sort_keys=True))
    if isinstance(value, list | tuple):
        return [_plain(each) for each in value]
    if hasattr(value, "tolist"):
        return _plain(value.tolist())
    return str(value)


def rests_on(answer: Answer) -> tuple[str, ...]:
    """Return the names of the facts that an answer rests on and that tell a change."""
    facts = answer.situation.sheet.facts
    names = {name for finding in answer.findings for name in finding.inputs}
    return tuple(sorted(name for name in names if name in facts and name not in VOLATILE))


def digests_of(answer: Answer) -> dict[str, str]:
    """Return a digest of every fact that an answer rests on."""
    facts = answer.situation.sheet.facts
    return {name: digest(facts[name].value, facts[name].doubt.value, facts[name].at) for name in rests_on(answer)}


# --- who sees what ---


def is_of_masses(finding: Finding) -> bool:
    """Return whether a finding tells masses, totals or margins of the loading."""
    return finding.id.startswith("loading.") or finding.dimension in ("mass", "arm") or "mass" in finding.about


def tells_mass(fact: str) -> bool:
    """Return whether a fact tells what somebody or something aboard weighs."""
    return fact.startswith(("load_kg", "mass_of_")) or "mass_kg" in fact or "moment" in fact
