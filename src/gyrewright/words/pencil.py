"""Working with pencil and pocket calculator: steps whose left side, keyed in, gives the right side.

A step is words, an expression and its result. Expressions use + - x / ^, brackets, sin and cos of degrees, and the
smaller or larger of a list; every number in them is one that stands above, or that was typed.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any

from gyrewright.units import DIMENSIONS, unit_named, with_symbol
from gyrewright.words.numbers import calculator, chosen, in_unit
from gyrewright.words.voice import Voice, capital


@dataclass(frozen=True, slots=True)
class Step:
    """One line of a working. Without an expression it is a statement: something read off, not reckoned."""

    words: str
    expression: str = ""
    result: str = ""
    unit: str = ""

    @property
    def line(self) -> str:
        """The step as one line of text."""
        if not self.expression:
            return f"{self.words}."
        told = f"{self.words}: {self.result}"
        if self.expression != self.result:
            told = f"{self.words}: {self.expression} = {self.result}"
        return with_symbol(told, self.unit)


@dataclass(slots=True)
class Pencil:
    """The steps of one working as they are written down."""

    voice: Voice
    symbols: Mapping[str, str] = field(default_factory=dict)
    steps: list[Step] = field(default_factory=list)

    def value(self, name: str) -> Any:
        """Return a value of the sheet."""
        return self.voice.sheet.value(name)

    def symbol(self, dimension: str, *names: str) -> str:
        """Return the unit to work in, by what was typed for the named facts."""
        facts = self.voice.sheet.facts
        return chosen(dimension, self.voice.preferred, (facts[name].typed for name in names if name in facts))

    def symbol_of(self, name: str, dimension: str, *facts: str) -> str:
        """Return the unit in which a number of the sheet is read elsewhere in the answer, else by what was typed."""
        return self.symbols.get(name) or self.symbol(dimension, *facts)

    def number(self, dimension: str, value: float, symbol: str, *, difference: bool = False) -> str:
        """Return an inside value as it is keyed in, in a unit."""
        return calculator(in_unit(unit_named(dimension, symbol), value, difference=difference))

    def say(self, key: str, **gaps: Any) -> None:
        """Write a statement, once."""
        step = Step(capital(self.voice.word("step", key, **gaps)))
        if step not in self.steps:
            self.steps.append(step)

    def reckon(self, key: str, expression: str, result: float, unit: str = "", *, count: int = 7, **gaps: Any) -> None:
        """Write a step with its expression; the result is already in its unit, and is shown with `count` digits."""
        words = capital(self.voice.word("step", key, **gaps))
        self.steps.append(Step(words, expression, calculator(result, count), unit))

    def get(self, key: str, dimension: str, expression: str, value: float, symbol: str, **gaps: Any) -> str:
        """Write a step whose result is an inside value in a unit; return the result as keyed in."""
        result = in_unit(unit_named(dimension, symbol), value)
        self.reckon(key, expression, result, symbol, **gaps)
        return calculator(result)


Explain = Callable[[Pencil, str], None]
"""Writes the steps of a number, given its name on the sheet."""


def plus(numbers: Iterable[str]) -> str:
    """Return a sum as it is keyed in."""
    return " + ".join(signed(each) for each in numbers)


def signed(number: str) -> str:
    """Return a number that can stand behind an operator: a negative one in brackets."""
    return f"({number})" if number.startswith("-") else number


def round_symbol(dimension: str, values: Iterable[float], otherwise: str) -> str:
    """Return the first unit in which all values are whole, as a printed axis was; else the unit given."""
    several = tuple(values)
    for unit in DIMENSIONS[dimension].units:
        numbers = [in_unit(unit, value) for value in several]
        if all(abs(number - round(number)) <= 1e-6 * max(1.0, abs(number)) for number in numbers):
            return unit.symbol
    return otherwise
