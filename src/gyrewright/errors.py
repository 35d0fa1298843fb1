"""Every error that a caller can meet.

A limit that is broken or a fact that is missing is an answer, never an exception. An exception means that the question
itself was wrong: its text says what was given, what is accepted and what to do, in one line.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

_SHOWN = 60


def shown(value: object) -> str:
    """Return a value as it was written, for a line that a person reads: long ones only by their beginning."""
    text = repr(value)
    if len(text) <= _SHOWN:
        return text
    return f"{text[:_SHOWN]}... ({len(text)} characters)"


class GyrewrightError(Exception):
    """Base of every error raised on purpose."""


class UnitError(GyrewrightError, ValueError):
    """A quantity was typed without a unit, or with one that its field does not take."""


class OutOfRange(GyrewrightError, ValueError):
    """A number lies outside the interval in which a formula or a table holds. Nothing is extrapolated."""


class ReportError(GyrewrightError, ValueError):
    """A text offered as a weather report is none at all."""


class UnknownName(GyrewrightError, LookupError):
    """A file, aircraft, person, runway or rule was named that is not there."""


@dataclass(frozen=True, slots=True, order=True)
class Problem:
    """One thing wrong in a file: where it is, what was read there, and what to do about it."""

    file: str
    key: str
    text: str

    def __str__(self) -> str:
        """Return the problem as the one line that a person reads."""
        return f"{self.file}: {self.key}: {self.text}" if self.key else f"{self.file}: {self.text}"


class DefinitionError(GyrewrightError, ValueError):
    """One or more files are wrong. Carries every problem found, not only the first."""

    def __init__(self, problems: Iterable[Problem]) -> None:
        self.problems = tuple(problems)
        super().__init__("\n".join(str(problem) for problem in self.problems))
