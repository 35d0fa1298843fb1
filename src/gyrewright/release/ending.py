"""The papers of people that a flight rests on and that end in its month: cautions, named and counted."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace
from datetime import date, datetime
from functools import lru_cache

from gyrewright.check import Check
from gyrewright.fact import Fact
from gyrewright.finding import Verdict
from gyrewright.people import Ends, papers_ending, written_ends
from gyrewright.people.facts import PARTS
from gyrewright.release.judge import ask
from gyrewright.release.question import Question
from gyrewright.rules import Pack
from gyrewright.sheet import MAYBE, Sheet

BY_EVALUATOR: Mapping[str, str] = {
    "medical": "medical",
    "review": "review",
    "instructor in date": "teaching",
    "solo endorsement": "endorsement",
    "night solo endorsement": "endorsement",
    "place endorsement": "endorsement",
}
"""Which of the law's evaluators say until when which paper of a person holds."""
ON_AUTHORITY = "experimental training"
"""The evaluator that says whether training rests on a written authority, and on which."""


def with_ending(crew_cautions: Fact, question: Question, law: Iterable[Check], sheet: Sheet) -> Fact:
    """Return the cautions about the crew with those about their papers, and the insurer's, that end this month.

    One setting of the house says of all papers whether they are cautions in their last month.
    """
    house, on = sheet.value("maintenance_house"), sheet.value("flight_on")
    if not crew_cautions.is_known or on is None or house is None or not house.cautions_ending:
        return crew_cautions
    authority, ends = _by_law(question, law, sheet)
    written = written_ends(question.people, authority=authority, insurance=sheet.value("insurance"))
    found, lacking = crew_cautions.value
    return replace(crew_cautions, value=((*found, *papers_ending((*ends, *written), flight_on=on)), lacking))


def _by_law(question: Question, law: Iterable[Check], sheet: Sheet) -> tuple[str, tuple[Ends, ...]]:
    """Return the authority that training rests on, if any, and until when papers hold, as the law's checks find.

    A paper that the law finds wanting is no caution: it is an answer of its own.
    """
    names, parts = _evaluators(question.pack), dict(question.flight.parts)
    authority, ends = "", []
    for check in law:
        evaluator = names.get(check.id, "")
        if evaluator != ON_AUTHORITY and evaluator not in BY_EVALUATOR:
            continue
        part = next((each for each in PARTS for name in check.inputs if _is_about(name, each)), "")
        for finding in ask(check, sheet):
            until = finding.params.get("until")
            if finding.verdict is not Verdict.GO:
                continue
            if evaluator == ON_AUTHORITY:
                authority = str(finding.params.get("authority", ""))
            elif isinstance(until, date) and not isinstance(until, datetime):
                who = str(finding.params.get("who") or parts.get(part, ""))
                ends.append(Ends(BY_EVALUATOR[evaluator], who, until))
    return authority, tuple(ends)


def _is_about(name: str, part: str) -> bool:
    return name.removeprefix(MAYBE).startswith(f"{part}_")


@lru_cache(maxsize=8)
def _evaluators(pack: Pack) -> Mapping[str, str]:
    return {f"rule.{rule.id}": rule.evaluator for rule in pack.rules}
