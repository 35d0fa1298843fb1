"""What a check is: a question put to the facts of a flight, in one definition for one flight and for a million.

There are two kinds. A `Comparison` is data: a number of the sheet against every limit written on it. A `Check` is a
function from facts to findings, for everything that is not a number against a limit. Both name their inputs, so that a
missing fact becomes UNKNOWN without the check's own doing and a check is asked once for each combination that can
change its answer.
"""

from __future__ import annotations

import inspect
from collections.abc import Callable
from dataclasses import dataclass

from gyrewright.finding import Finding, Whose

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
        parameters = inspect.signature(judge).parameters
        return Check(id, tuple(renamed.get(parameter, parameter) for parameter in parameters), judge)

    return made


@dataclass(frozen=True, slots=True)
class Comparison:
    """A number of the sheet against every limit written on it.

    Attributes:
        id: The check, as the sentence catalogue knows it.
        of: The limited quantity, one of `limits.QUANTITIES`.
        upper: The name of the value that limits from above are compared with.
        lower: The name of the value that limits from below are compared with.
        dimension: The kind of number, for its unit.
        needed: Layers that must say something (a figure, or that there is none); their silence is UNKNOWN.
    """

    id: str
    of: str
    upper: str
    lower: str
    dimension: str
    needed: tuple[Whose, ...] = ()
