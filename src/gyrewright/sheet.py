"""One flight's numbers, each worked out once, when first asked for, and able to say how it was got.

A recipe is a plain function whose parameter names are the names of facts or of other recipes. The sheet feeds it; so a
function never meets a missing input, the facts that a number rests on are known without anybody listing them, and an
array of alternatives flows through the same functions as a single flight. Only the inputs that vary give a number its
axes: what does not depend on them stays a single number.
"""

from __future__ import annotations

import inspect
from collections.abc import Callable, Hashable, Iterable, Mapping
from dataclasses import dataclass
from typing import Any, NamedTuple

from gyrewright.arrays import Truth, both
from gyrewright.fact import Fact

MAYBE = "maybe_"
"""In front of a name: its value, or None where it is not known. For a check that can tell when that matters."""


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


class Cell(NamedTuple):
    """A value on the sheet.

    `known` is True or False for one flight, and a mask beside the values for many; where it is False the value means
    nothing and is never compared. `lacking` names the facts that are missing wherever it is False.
    """

    value: Any
    known: Truth
    lacking: tuple[str, ...] = ()


def recipe(function: Callable[..., Any], *, name: str = "", dimension: str = "", **renamed: str) -> Recipe:
    """Return the recipe of a function: its parameters name its inputs, except those renamed."""
    return Recipe(name or function.__name__, inputs_of(function, renamed), function, dimension)


def inputs_of(function: Callable[..., Any], renamed: Mapping[str, str]) -> tuple[str, ...]:
    """Return the names that a function's parameters stand for."""
    code = inspect.unwrap(function).__code__
    count = code.co_argcount + code.co_kwonlyargcount
    return tuple(renamed.get(parameter, parameter) for parameter in code.co_varnames[:count])


_KEPT_MOST = 512
"""How many combinations a plan remembers before it forgets them all."""


class Plan:
    """The recipes of one kind of question. It knows what rests on what; many sheets share it."""

    def __init__(self, recipes: Iterable[Recipe]) -> None:
        self.recipes = {each.name: each for each in recipes}
        self._leaves: dict[str, tuple[str, ...]] = {}
        self._paths: dict[str, frozenset[str]] = {}
        self._joined: dict[tuple[str, ...], tuple[str, ...]] = {}
        self._stale: dict[frozenset[str], tuple[set[str], set[str]]] = {}
        self._reached: dict[tuple[tuple[str, ...], ...], frozenset[str]] = {}

    def path(self, name: str) -> frozenset[str]:
        """Return every name that a value rests on, itself, facts and numbers in between included."""
        found = self._paths.get(name)
        if found is None:
            made = self.recipes.get(name)
            inputs = made.inputs if made else (name.removeprefix(MAYBE),) if name.startswith(MAYBE) else ()
            found = self._paths[name] = frozenset((name,)).union(*(self.path(each) for each in inputs))
        return found

    def stale(self, changed: frozenset[str], among: Iterable[str]) -> frozenset[str]:
        """Return the names, at least among those given, that rest on any of the changed ones."""
        if len(self._stale) >= _KEPT_MOST:
            self._stale.clear()
        looked_at, found = self._stale.setdefault(changed, (set(), set()))
        for name in among:
            if name not in looked_at:
                looked_at.add(name)
                if self.path(name) & changed:
                    found.add(name)
        return frozenset(found)

    def reached(self, asked: tuple[tuple[str, ...], ...]) -> frozenset[str]:
        """Return every name that any of several groups of values rests on, facts and numbers in between included."""
        found = self._reached.get(asked)
        if found is None:
            if len(self._reached) >= _KEPT_MOST:
                self._reached.clear()
            paths = (self.path(name) for names in asked for name in names)
            found = self._reached[asked] = frozenset().union(*paths)
        return found

    def rests_on(self, names: tuple[str, ...]) -> tuple[str, ...]:
        """Return the names of the facts that several values rest on, each once."""
        found = self._joined.get(names)
        if found is None:
            found = self._joined[names] = tuple(dict.fromkeys(leaf for name in names for leaf in self.leaves(name)))
        return found

    def leaves(self, name: str) -> tuple[str, ...]:
        """Return the names of the facts that a value rests on, in the order in which they are met."""
        found = self._leaves.get(name)
        if found is None:
            made = self.recipes.get(name)
            if made is None:
                found = self.leaves(name.removeprefix(MAYBE)) if name.startswith(MAYBE) else (name,)
            else:
                found = tuple(dict.fromkeys(leaf for each in made.inputs for leaf in self.leaves(each)))
            self._leaves[name] = found
        return found


class Sheet:
    """The facts of one question, and what follows from them by a plan.

    Beside its numbers a sheet keeps what others concluded from it, each with the names that the conclusion rests on.
    Sheets of the same plan hand both on: what rests on nothing that has changed is neither worked out nor concluded
    again.
    """

    def __init__(self, facts: Mapping[str, Fact], plan: Plan) -> None:
        self.facts = facts
        self.plan = plan
        self._cells: dict[str, Cell] = {}
        self._kept: dict[Hashable, tuple[tuple[str, ...], Any]] = {}

    def __contains__(self, name: str) -> bool:
        """Whether the name is a fact or a recipe of this sheet."""
        return name in self.facts or name in self.plan.recipes

    def cell(self, name: str) -> Cell:
        """Return what the sheet knows under a name, working it out if need be."""
        found = self._cells.get(name)
        if found is None:
            # A fact goes before a recipe: what is given, or varied, is not worked out.
            fact = self.facts.get(name)
            found = self._worked_out(name) if fact is None else _known(fact)
            self._cells[name] = found
        return found

    def value(self, name: str) -> Any:
        """Return a value known to be there; None where it is not."""
        cell = self.cell(name)
        return cell.value if cell.known is not False else None

    def with_facts(self, changes: Mapping[str, Fact]) -> Sheet:
        """Return a sheet with some facts replaced; what does not rest on them is not worked out again."""
        sheet = Sheet({**self.facts, **changes}, self.plan)
        stale = self.plan.stale(frozenset(changes), self._cells)
        sheet._cells = {name: cell for name, cell in self._cells.items() if name not in stale}
        return sheet

    def take_over(self, earlier: Sheet) -> None:
        """Take over what an earlier sheet of the same plan worked out and kept, where nothing it rests on changed."""
        facts, before = self.facts, earlier.facts
        changed = {name for name, fact in facts.items() if (old := before.get(name)) is not fact and old != fact}
        changed |= before.keys() - facts.keys()
        # Copied first: another thread may be asking the earlier sheet still.
        cells, kept = earlier._cells.copy(), earlier._kept.copy()
        if changed:
            stale = self.plan.stale(frozenset(changed), cells)
            for name in stale:
                cells.pop(name, None)
            stale |= changed
            kept = {key: each for key, each in kept.items() if stale.isdisjoint(each[0])}
        self._cells, self._kept = cells | self._cells, kept | self._kept

    def kept(self, key: Hashable) -> tuple[tuple[str, ...], Any] | None:
        """Return what was concluded under a key with the names that it rests on; None where nothing is kept."""
        return self._kept.get(key)

    def keep(self, key: Hashable, names: tuple[str, ...], concluded: Any) -> tuple[tuple[str, ...], Any]:
        """Keep a conclusion that rests on the named facts and numbers alone; return it with them."""
        found = self._kept[key] = (names, concluded)
        return found

    def _worked_out(self, name: str) -> Cell:
        made = self.plan.recipes.get(name)
        if made is not None:
            return self._worked(made)
        if name.startswith(MAYBE):
            cell = self.cell(name.removeprefix(MAYBE))
            return Cell(cell.value if cell.known is True else None, True)
        # Nobody has given it and nothing leads to it: that is missing, like any other fact.
        return Cell(None, False, (name,))

    def _worked(self, made: Recipe) -> Cell:
        cells = [self.cell(each) for each in made.inputs]
        lacking: dict[str, None] = {}
        masks: list[Truth] = []
        known = True
        for cell in cells:
            if cell.known is not True:
                lacking.update(dict.fromkeys(cell.lacking))
                masks.append(cell.known)
                known = known and cell.known is not False
        if not known:
            return Cell(None, False, tuple(lacking))
        result = made.function(*[cell.value for cell in cells])
        if isinstance(result, Partial):
            if result.known is not True:
                lacking[result.lacking] = None
                masks.append(result.known)
            result = result.value
        if not masks:
            return Cell(result, True)
        mask = both(masks[0], *masks[1:])
        return Cell(None if mask is False else result, mask, tuple(lacking))


def _known(fact: Fact) -> Cell:
    if fact.doubt:
        return Cell(None, False, (fact.name,))
    if isinstance(fact.value, Partial):
        return Cell(fact.value.value, fact.value.known, (fact.value.lacking,))
    return Cell(fact.value, True)


class Asked:
    """A sheet that notes what is asked of it."""

    __slots__ = ("_sheet", "facts", "names", "plan")

    def __init__(self, sheet: Sheet) -> None:
        self._sheet = sheet
        self.facts = sheet.facts
        self.plan = sheet.plan
        self.names: dict[str, None] = {}

    def cell(self, name: str) -> Cell:
        """Return what the sheet knows under a name."""
        self.names[name] = None
        return self._sheet.cell(name)

    def value(self, name: str) -> Any:
        """Return a value known to be there; None where it is not."""
        self.names[name] = None
        return self._sheet.value(name)
