"""Facts with a past: what is known, how it was typed, where it comes from and when it was true.

Missing, stale and contradictory are states of a fact. A fact in one of them has no value to compute with, and says what
is wrong with it in `doubt`. No code path fills a fact in.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import datetime
from enum import StrEnum
from typing import Any, TypeVar

K = TypeVar("K")
V = TypeVar("V")


class Origin(StrEnum):
    """How a fact came to be known."""

    MANUAL = "manual"
    RECORD = "record"
    WEIGHED = "weighed"
    STATED = "stated"
    OBSERVED = "observed"
    FORECAST = "forecast"
    TYPED = "typed"
    PLANNED = "planned"
    HOUSE = "house"


class Doubt(StrEnum):
    """Why a fact has no value to compute with."""

    NONE = ""
    MISSING = "missing"
    STALE = "stale"
    CONTRADICTORY = "contradictory"


@dataclass(frozen=True, slots=True)
class Fact:
    """One thing known, or known to be missing.

    Attributes:
        name: What it is, as the code and the sentence catalogue call it; a name carries its unit.
        value: The value inside (SI); an array of alternatives where many flights are asked at once; None in doubt.
        typed: The text it was read from.
        origin: How it came to be known.
        at: When it was true, if it is a thing that ages.
        where: File and key, or document and page.
        by: Who says so.
        doubt: Missing, stale, contradictory, or none.
        why: The doubt in a few words of its own, when there is more to say than its kind.
    """

    name: str
    value: Any = None
    typed: str = ""
    origin: Origin = Origin.TYPED
    at: datetime | None = None
    where: str = ""
    by: str = ""
    doubt: Doubt = Doubt.NONE
    why: str = ""

    @property
    def is_known(self) -> bool:
        """Whether there is a value to compute with."""
        return self.doubt is Doubt.NONE


class Fixed(dict[K, V]):
    """A mapping that never changes once it is made: it is told apart from others by identity, and so can be a key."""

    __hash__ = object.__hash__  # type: ignore[assignment]


def missing(name: str, *, where: str = "", why: str = "") -> Fact:
    """Return a fact that nobody has given."""
    return Fact(name, where=where, doubt=Doubt.MISSING, why=why)


def doubted(fact: Fact, doubt: Doubt, why: str = "") -> Fact:
    """Return the fact as one that must not be computed with; what was typed stays readable."""
    return replace(fact, value=None, doubt=doubt, why=why)
