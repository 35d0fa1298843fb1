"""One flight's numbers, each worked out once, when first asked for, and able to say how it was got.

A recipe is a plain function whose parameter names are the names of facts or of other recipes. The sheet feeds it; so a
function never meets a missing input, the facts that a number rests on are known without anybody listing them, and an
array of alternatives flows through the same functions as a single flight. Only the inputs that vary give a number its
axes: what does not depend on them stays a single number.
"""

from __future__ import annotations

import inspect
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from gyrewright.arrays import Truth, both
from gyrewright.fact import Fact


@dataclass(frozen=True, slots=True)
class Partial:
    """A result that is known only in part: a value, where it is known, and what is lacking elsewhere."""

    value: Any
    known: Truth
    lacking: str


@dataclass(frozen=True, slots=True)
class Recipe:
    """How one number is got: from which inputs, by which function; `dimension` says what kind of number it is."""

    name: str
    inputs: tuple[str, ...]
    function: Callable[..., Any]
    dimension: str = ""


@dataclass(frozen=True, slots=True)
class Cell:
    """A value on the sheet.

    `known` is True or False for one flight, and a mask beside the values for many; where it is False the value means
    nothing and is never compared. `lacking` names the facts that are missing wherever it is False.
    """

    value: Any
    known: Truth
    lacking: tuple[str, ...] = ()


def recipe(function: Callable[..., Any], *, name: str = "", dimension: str = "", **renamed: str) -> Recipe:
    """Return the recipe of a function: its parameters name its inputs, except those renamed."""
    parameters = inspect.signature(function).parameters
    inputs = tuple(renamed.get(parameter, parameter) for parameter in parameters)
    return Recipe(name or function.__name__, inputs, function, dimension)


class Sheet:
    """The facts of one question, and what follows from them."""

    def __init__(self, facts: Mapping[str, Fact], recipes: Iterable[Recipe]) -> None:
        self.facts = facts
        self.recipes = {each.name: each for each in recipes}
        self._cells: dict[str, Cell] = {}
        self._leaves: dict[str, tuple[str, ...]] = {}

    def __contains__(self, name: str) -> bool:
        """Whether the name is a fact or a recipe of this sheet."""
        return name in self.facts or name in self.recipes

    def cell(self, name: str) -> Cell:
        """Return what the sheet knows under a name, working it out if need be."""
        found = self._cells.get(name)
        if found is None:
            found = self._cells[name] = self._fact(name) if name in self.facts else self._worked(self.recipes[name])
        return found

    def value(self, name: str) -> Any:
        """Return a value known to be there; None where it is not."""
        cell = self.cell(name)
        return cell.value if cell.known is not False else None

    def leaves(self, name: str) -> tuple[str, ...]:
        """Return the names of the facts that a value rests on, in the order in which they are met."""
        found = self._leaves.get(name)
        if found is None:
            if name in self.facts:
                found = (name,)
            else:
                found = tuple(dict.fromkeys(leaf for each in self.recipes[name].inputs for leaf in self.leaves(each)))
            self._leaves[name] = found
        return found

    @property
    def touched(self) -> frozenset[str]:
        """The facts that something asked for so far rests on."""
        return frozenset(leaf for name in self._cells for leaf in self.leaves(name))

    def _fact(self, name: str) -> Cell:
        fact = self.facts[name]
        if not fact.is_known:
            return Cell(None, False, (name,))
        if isinstance(fact.value, Partial):
            return Cell(fact.value.value, fact.value.known, (fact.value.lacking,))
        return Cell(fact.value, True)

    def _worked(self, made: Recipe) -> Cell:
        cells = [self.cell(each) for each in made.inputs]
        lacking = tuple(dict.fromkeys(lack for cell in cells for lack in cell.lacking))
        if any(cell.known is False for cell in cells):
            return Cell(None, False, lacking)
        result = made.function(*(cell.value for cell in cells))
        known: list[Truth] = [cell.known for cell in cells if cell.known is not True]
        if isinstance(result, Partial):
            known.append(result.known)
            if result.known is not True:
                lacking = (*lacking, result.lacking)
            result = result.value
        if not known:
            return Cell(result, True)
        mask = both(known[0], *known[1:])
        return Cell(None if mask is False else result, mask, lacking)
