"""The language that every check speaks: verdicts, limits in layers, sources, findings.

A finding is data: which check, what was found, against which limits, from which inputs, and what would cure it. It
holds no sentence; sentences come from one catalogue by finding id, so that wording can change without touching a rule.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, datetime
from enum import IntEnum, StrEnum
from types import MappingProxyType
from typing import Any

NOTHING: Mapping[str, Any] = MappingProxyType({})


class Verdict(IntEnum):
    """The five answers, in order: the whole answer is the worst of its findings."""

    GO = 0
    GO_IF = 1
    JUDGE = 2
    UNKNOWN = 3
    STOP = 4

    @property
    def code(self) -> str:
        """The word used in JSON and tests. GO and GO-IF are never shown to a person."""
        return self.name.replace("_", "-")


class Whose(StrEnum):
    """Whose limit it is; the order is the order in which layers are shown."""

    LAW = "law"
    MAKER = "maker"
    INSURER = "insurer"
    HOUSE = "house"
    ENDORSEMENT = "endorsement"
    OWN = "own"
    PLACE = "place"


class Sense(StrEnum):
    """Which side of a limit is allowed. Where the text of a limit is silent, equality passes."""

    AT_MOST = "at most"
    AT_LEAST = "at least"
    BELOW = "below"
    ABOVE = "above"

    @property
    def is_upper(self) -> bool:
        """Whether the allowed side is the lower one."""
        return self is Sense.AT_MOST or self is Sense.BELOW


@dataclass(frozen=True, slots=True)
class Source:
    """Where something is written; `section` is the page, rule or paragraph, `revision` that of the document."""

    kind: str = ""
    title: str = ""
    section: str = ""
    dated: date | None = None
    link: str = ""
    revision: str = ""


@dataclass(frozen=True, slots=True)
class When:
    """The flights that a limit or a rule applies to: each non-empty set must hold the flight's own word."""

    purpose: frozenset[str] = frozenset()
    aboard: frozenset[int] = frozenset()
    lesson: frozenset[str] = frozenset()
    configuration: frozenset[str] = frozenset()

    def holds(self, *, purpose: str, aboard: int, lesson: str, configuration: frozenset[str]) -> bool:
        """Return whether a flight described by these words is meant."""
        return (
            (not self.purpose or purpose in self.purpose)
            and (not self.aboard or aboard in self.aboard)
            and (not self.lesson or lesson in self.lesson)
            and (not self.configuration or bool(self.configuration & configuration))
        )


ALWAYS = When()


@dataclass(frozen=True, slots=True)
class Limit:
    """One layer's limit on one quantity.

    Attributes:
        of: The limited quantity, one of `limits.QUANTITIES`.
        whose: The layer it belongs to.
        sense: Which side is allowed.
        value: The limit, inside (SI), or an array along the alternatives it differs over.
        typed: The text it was read from.
        source: Document, page and revision.
        demonstrated: True for a figure that the maker shows but does not forbid to exceed.
        counts: For a wind: "gust" or "mean", as the limit's text says.
        on: For a load: the stations that count together.
        verified_by: Who checked it against the page; empty means unverified.
        scope: For whom and what it was written, in a few words ("student alone").
        when: The flights it applies to.
    """

    of: str
    whose: Whose
    sense: Sense
    value: Any
    typed: str = ""
    source: Source = Source()
    demonstrated: bool = False
    counts: str = ""
    on: tuple[str, ...] = ()
    entered_by: str = ""
    verified_by: str = ""
    scope: str = ""
    when: When = ALWAYS


@dataclass(frozen=True, slots=True)
class Layer:
    """A limit as it was applied: how much is left to it, whether it holds, whether it is the one that binds."""

    limit: Limit
    value: Any
    margin: Any
    passes: bool
    binds: bool = False


@dataclass(frozen=True, slots=True)
class Condition:
    """Something that must be done or kept: what (by catalogue id), who sees to it, until when."""

    id: str
    owner: str
    until: datetime | None
    params: Mapping[str, Any] = field(default_factory=lambda: NOTHING)


@dataclass(frozen=True, slots=True)
class Cure:
    """A change that would make the finding pass (by catalogue id), and who may carry it out."""

    id: str
    who: str
    params: Mapping[str, Any] = field(default_factory=lambda: NOTHING)


@dataclass(frozen=True, slots=True)
class BindsNext:
    """When or at what value a passing limit will bind.

    `share` is the margin over the limit (over the width, for a band); clocks and dates carry `at` instead and are
    ordered apart, by when they bind. A value with a course over time carries both: `at` is when it first goes beyond,
    `by` the report that says so.
    """

    share: float | None = None
    at: datetime | None = None
    by: str = ""


@dataclass(frozen=True, slots=True)
class Finding:
    """What one check found.

    Attributes:
        id: The check, as the sentence catalogue knows it.
        verdict: What it means for this flight.
        why: Which of the check's ways of failing or passing this is; picks the sentence.
        value: What was found, inside units; `dimension` says of what kind.
        layers: Every limit that bears on it, the binding one marked.
        inputs: Names of the facts it rests on.
        lacking: Names of the facts it would need and does not have.
        working: Name of the worked quantity behind the value, if it can show its working.
        about: The station, runway or person it is about, where one check speaks of several.
        holds_until: When the facts it rests on grow too old for it.
        unconfirmed: True where it passes only by a reading of the law known second-hand.
    """

    id: str
    verdict: Verdict
    why: str = ""
    value: Any = None
    limit: Any = None
    margin: Any = None
    dimension: str = ""
    layers: tuple[Layer, ...] = ()
    source: Source = Source()
    inputs: tuple[str, ...] = ()
    lacking: tuple[str, ...] = ()
    conditions: tuple[Condition, ...] = ()
    cures: tuple[Cure, ...] = ()
    binds_next: BindsNext | None = None
    working: str = ""
    about: str = ""
    params: Mapping[str, Any] = field(default_factory=lambda: NOTHING)
    holds_until: datetime | None = None
    unconfirmed: bool = False


@dataclass(frozen=True, slots=True)
class Caution:
    """Something to think about, by name and counted, never weighed."""

    id: str
    params: Mapping[str, Any] = field(default_factory=lambda: NOTHING)


def worst(findings: tuple[Finding, ...] | list[Finding]) -> Verdict:
    """Return the worst verdict among the findings; no finding at all is UNKNOWN, for silence clears nothing."""
    return max((finding.verdict for finding in findings), default=Verdict.UNKNOWN)
