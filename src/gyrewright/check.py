"""What a check is: a question put to the facts of a flight, in one definition for one flight and for a million.

There are three kinds. A `Comparison` is data: a number of the sheet against every limit written on it. An `Aging` is
data too: how old a reading will be. A `Check` is a function from facts to findings, for everything else. All name their
inputs, so that a missing fact becomes UNKNOWN without the check's own doing and a check is asked once for each
combination that can change its answer.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from gyrewright.finding import Finding, Verdict, Whose
from gyrewright.sheet import inputs_of

Found = Finding | tuple[Finding, ...] | None


@dataclass(frozen=True, slots=True)
class Check:
    """A question answered by a function of facts.

    Attributes:
        id: The check, as the sentence catalogue knows it.
        inputs: Names of the facts and recipes that it is fed with.
        judge: Returns one finding, several, or None where the question does not arise for this flight.
    """

    id: str
    inputs: tuple[str, ...]
    judge: Callable[..., Found]


def check(id: str, **renamed: str) -> Callable[[Callable[..., Found]], Check]:
    """Return a decorator that makes a check of a function: its parameters name its inputs, except those renamed."""

    def made(judge: Callable[..., Found]) -> Check:
        return Check(id, inputs_of(judge, renamed), judge)

    return made


@dataclass(frozen=True, slots=True)
class Aging:
    """The age of a reading at the start, against every limit on it: too old is a fact to fetch, not a limit broken.

    A reading that will be too old at the start, and can still be renewed before it, is a condition. Every reading has
    one renewer, the commander.

    Attributes:
        id: The check, as the sentence catalogue knows it.
        of: The limited quantity.
        age: The name of the age at the start. [h]
    """

    id: str
    of: str
    age: str


@dataclass(frozen=True, slots=True)
class Comparison:
    """A number of the sheet against every limit written on it.

    Attributes:
        id: The check, as the sentence catalogue knows it.
        of: The limited quantity, one of `limits.QUANTITIES`.
        dimension: The kind of number, for its unit.
        limits: The name under which the sheet has the limits, in the same kind of number.
        upper: The name of the value that limits from above are compared with.
        lower: The name of the value that limits from below are compared with.
        mean: The name of the value for limits that count the mean wind; empty where there is no such thing.
        course: The name of the value's course over time, where it has one: tells when a limit is first met.
        mean_course: The same for the mean wind.
        needed: Layers that must say something (a figure, or that there is none); their silence is UNKNOWN.
        about: The station or part that it is about, where there are several.
        beyond: What a broken limit means: STOP, but UNKNOWN where it is the age of a fact, which can be fetched anew.
    """

    id: str
    of: str
    dimension: str
    limits: str
    upper: str
    lower: str
    mean: str = ""
    course: str = ""
    mean_course: str = ""
    needed: tuple[Whose, ...] = ()
    about: str = ""
    beyond: Verdict = Verdict.STOP


def compare(
    id: str,
    of: str,
    value: str,
    dimension: str,
    *,
    lower: str = "",
    limits: str = "",
    mean: str = "",
    course: str = "",
    mean_course: str = "",
    needed: tuple[Whose, ...] = (),
    about: str = "",
    beyond: Verdict = Verdict.STOP,
) -> Comparison:
    """Return a comparison; unless said otherwise one value meets limits from both sides, as the files write them."""
    return Comparison(
        id,
        of,
        dimension,
        limits or f"limits:{of}",
        value,
        lower or value,
        mean,
        course,
        mean_course,
        needed,
        about,
        beyond,
    )
