"""The whole answer: every finding, worst first, with what it rests on and what was not looked at."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from gyrewright.finding import Caution, Finding, Verdict
from gyrewright.release.situation import Situation


@dataclass(frozen=True, slots=True)
class Note:
    """Something said beside the findings, by catalogue id."""

    id: str
    params: Mapping[str, Any]


@dataclass(frozen=True, slots=True)
class Answer:
    """What can be said about one flight, as data.

    Attributes:
        verdict: The worst of the findings.
        findings: All of them, worst first; among equals the one that binds hardest first.
        binding: The finding that the answer's one sentence names.
        cautions: By name and counted, never weighed.
        computed_at: When it was asked.
        valid_until: When the shortest-lived fact dies; None where nothing ages.
        not_looked_at: What this answer leaves out, by catalogue id.
        assumptions: How it counted where that is a choice, by catalogue id.
        not_needed: Facts that no check of this flight rests on, known or not.
    """

    situation: Situation
    verdict: Verdict
    findings: tuple[Finding, ...]
    binding: Finding | None
    cautions: tuple[Caution, ...]
    computed_at: datetime | None
    valid_until: datetime | None
    not_looked_at: tuple[str, ...]
    assumptions: tuple[Note, ...]
    not_needed: tuple[str, ...]
