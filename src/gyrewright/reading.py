"""Reading files that people write: every problem at once, each with its place and its cure.

A `Section` is one table of a TOML file that remembers where it stands. Asking it for a key reads and checks the value;
whatever is wrong is noted and reading goes on, so that a person meets all problems in one go. What nobody asked for is
an unknown key. A quantity that is simply absent is not a problem here: it becomes a missing fact, and the answer says
what to fetch.
"""

from __future__ import annotations

import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from datetime import date, datetime
from difflib import get_close_matches
from typing import Any

from gyrewright.errors import DefinitionError, Problem, UnitError, shown
from gyrewright.fact import Doubt, Fact, Origin, missing
from gyrewright.units import DIMENSIONS, Quantity, parse_quantity, rounded, unit_named

_LONGEST_KEY = 60
_MOST_KEYS = 40


@dataclass(slots=True)
class Problems:
    """The problems met so far, over all files that belong together."""

    found: list[Problem] = field(default_factory=list)

    def note(self, file: str, key: str, text: str) -> None:
        """Keep one problem."""
        self.found.append(Problem(file, key, text))

    def stop_if_any(self) -> None:
        """Raise one error that carries every problem noted so far, in the order of file and place.

        Raises:
            DefinitionError: There was at least one.
        """
        if self.found:
            raise DefinitionError(self.found)


class Section:
    """One table of a file, with its place, from which keys are asked one by one."""

    def __init__(self, data: Mapping[str, Any], *, file: str, problems: Problems, place: str = "") -> None:
        self._data = data
        self.file = file
        self.problems = problems
        self.place = place
        self._asked: set[str] = set()

    def key(self, name: str) -> str:
        """Return the full name of a key, as a person would look for it in the file."""
        if len(name) > _LONGEST_KEY or not name.isprintable():
            name = shown(name)
        return f"{self.place}.{name}" if self.place else name

    def where(self, name: str = "") -> str:
        """Return file and key, to be kept with a fact."""
        key = self.key(name) if name else self.place
        return f"{self.file}: {key}" if key else self.file

    def wrong(self, name: str, text: str) -> None:
        """Note a problem with a key of this section."""
        self.problems.note(self.file, self.key(name) if name else self.place, text)

    def __contains__(self, name: str) -> bool:
        """Whether the key is there; asking does not count as reading it."""
        return name in self._data

    def raw(self, name: str) -> Any:
        """Return the value of a key as the file has it, or None."""
        self._asked.add(name)
        return self._data.get(name)

    def _typed(self, name: str, kind: type, description: str, required: bool) -> Any:
        value = self.raw(name)
        if value is None:
            if required:
                self.wrong(name, f"is missing; write {description}")
            return None
        if not isinstance(value, kind) or (kind is int and isinstance(value, bool)):
            self.wrong(name, f"{shown(value)} is not {description}")
            return None
        return value

    def text(self, name: str, *, required: bool = False) -> str:
        """Return a text; empty where it is absent."""
        return self._typed(name, str, "a text in quotes", required) or ""

    def flag(self, name: str) -> bool | None:
        """Return true or false, or None where nobody has said."""
        value: bool | None = self._typed(name, bool, "true or false", False)
        return value

    def integer(self, name: str, *, required: bool = False, low: int = 0, high: int = 1_000_000) -> int | None:
        """Return a whole number within bounds, or None."""
        value: int | None = self._typed(name, int, "a whole number", required)
        if value is not None and not low <= value <= high:
            self.wrong(name, f"{value} is outside {low} to {high}")
            return None
        return value

    def day(self, name: str, *, required: bool = False) -> date | None:
        """Return a date, or None."""
        value = self.raw(name)
        if value is None or (isinstance(value, date) and not isinstance(value, datetime)):
            if value is None and required:
                self.wrong(name, "is missing; write a date such as 2027-06-12")
            return value
        self.wrong(name, f"{shown(value)} is not a date; write it without quotes, such as 2027-06-12")
        return None

    def moment(self, name: str, *, required: bool = False) -> datetime | None:
        """Return a moment with its offset from UTC, or None."""
        value = self.raw(name)
        example = "2027-06-12T06:30:00-07:00"
        if value is None:
            if required:
                self.wrong(name, f"is missing; write date, time and offset, such as {example}")
            return None
        if not isinstance(value, datetime):
            self.wrong(
                name, f"{shown(value)} is not a moment; write date, time and offset without quotes, such as {example}"
            )
            return None
        if value.tzinfo is None:
            self.wrong(name, f"{value.isoformat()} has no offset from UTC; add one, such as {example}")
            return None
        return value

    def choice(self, name: str, accepted: tuple[str, ...], *, required: bool = False) -> str:
        """Return one of the accepted words; empty where it is absent."""
        value = self.text(name, required=required)
        if value and value not in accepted:
            self.wrong(name, f"{shown(value)} is not one of: {', '.join(accepted)}")
            return ""
        return value

    def texts(self, name: str, *, accepted: tuple[str, ...] = (), required: bool = False) -> tuple[str, ...]:
        """Return a list of texts, each one of the accepted where any are named."""
        value = self._typed(name, list, "a list of texts", required) or []
        out = []
        for each in value:
            if not isinstance(each, str):
                self.wrong(name, f"{shown(each)} is not a text in quotes")
            elif accepted and each not in accepted:
                self.wrong(name, f"{shown(each)} is not one of: {', '.join(accepted)}")
            else:
                out.append(each)
        return tuple(out)

    def parsed(
        self, name: str, text: Any, dimension: str, low: float | None = None, high: float | None = None
    ) -> Quantity | None:
        """Return the quantity that a value of this section spells, or None after noting what is wrong with it."""
        if not isinstance(text, str):
            accepted = ", ".join(unit.symbol for unit in DIMENSIONS[dimension].units)
            self.wrong(name, f"{shown(text)} has no unit; write it as text with its unit ({accepted})")
            return None
        try:
            quantity = parse_quantity(dimension, text)
        except UnitError as error:
            self.wrong(name, str(error))
            return None
        if (low is not None and quantity.value < low) or (high is not None and quantity.value > high):
            self.wrong(
                name, f"{shown(text)} is outside {_span(dimension, quantity.unit, low, high)}; check number and unit"
            )
            return None
        return quantity

    def quantity(
        self, name: str, dimension: str, *, low: float | None = None, high: float | None = None, required: bool = False
    ) -> Quantity | None:
        """Return a quantity written as text with its unit, or None; bounds are inside units and catch slips of unit."""
        value = self.raw(name)
        if value is None:
            if required:
                accepted = ", ".join(unit.symbol for unit in DIMENSIONS[dimension].units)
                self.wrong(name, f"is missing; write it with its unit ({accepted})")
            return None
        return self.parsed(name, value, dimension, low, high)

    def fact(
        self,
        name: str,
        dimension: str,
        *,
        called: str,
        origin: Origin = Origin.TYPED,
        at: datetime | None = None,
        by: str = "",
        low: float | None = None,
        high: float | None = None,
    ) -> Fact:
        """Return a fact: missing where the key is absent, contradictory where the file gives two unlike values.

        The value may be a text ("88 kg"), a list of texts from different hands, or a table with `value`, `at`, `by`
        and `origin` of its own.
        """
        value = self.raw(name)
        where = self.where(name)
        if value is None:
            return missing(called, where=where)
        if isinstance(value, dict):
            inner = Section(value, file=self.file, problems=self.problems, place=self.key(name))
            origin = Origin(inner.choice("origin", tuple(Origin)) or origin)
            at = inner.moment("at") or at
            by = inner.text("by") or by
            quantity = inner.quantity("value", dimension, low=low, high=high)
            inner.finish()
            if quantity is None:
                return missing(called, where=where)
            return Fact(called, quantity.value, quantity.typed, origin, at, where, by)
        texts = value if isinstance(value, list) else [value]
        read = [quantity for text in texts if (quantity := self.parsed(name, text, dimension, low, high))]
        if not read:
            return missing(called, where=where)
        typed = " and ".join(quantity.typed for quantity in read)
        if any(quantity.value != read[0].value for quantity in read):
            return Fact(called, None, typed, origin, at, where, by, Doubt.CONTRADICTORY, typed)
        return Fact(called, read[0].value, read[0].typed, origin, at, where, by)

    def section(self, name: str) -> Section:
        """Return a table inside this one; an absent one is empty."""
        value = self._typed(name, dict, "a table", False)
        return Section(value or {}, file=self.file, problems=self.problems, place=self.key(name))

    def sections(self, name: str, *, label: str = "name") -> Iterator[Section]:
        """Yield each table of a list of tables, its place named by its label or its number."""
        value = self._typed(name, list, "a list of tables ([[...]])", False) or []
        for number, each in enumerate(value, start=1):
            if not isinstance(each, dict):
                self.wrong(name, f"entry {number} is {shown(each)}; write it as a table ([[{name}]])")
                continue
            called = each.get(label)
            tag = called if isinstance(called, str) and called.isprintable() and len(called) <= _LONGEST_KEY else number
            yield Section(each, file=self.file, problems=self.problems, place=f"{self.key(name)}[{tag}]")

    def keys(self) -> tuple[str, ...]:
        """Return the keys that the file has here, in its order."""
        return tuple(self._data)

    def finish(self) -> None:
        """Note every key that nobody asked for."""
        for name in self._data:
            if name not in self._asked:
                self.wrong(name, f"is an unknown key; {self._hint(name)}")

    def _hint(self, name: str) -> str:
        near = get_close_matches(name, self._asked, n=1)
        if near:
            return f"did you mean {near[0]!r}?"
        if len(self._asked) <= _MOST_KEYS:
            return f"accepted here: {', '.join(sorted(self._asked))}"
        nearest = get_close_matches(name, sorted(self._asked), n=3, cutoff=0.0)
        return f"the nearest of {len(self._asked)} accepted here: {', '.join(nearest)}"


def _span(dimension: str, symbol: str, low: float | None, high: float | None) -> str:
    unit = unit_named(dimension, symbol)
    ends = ["" if end is None else rounded(end / unit.factor - unit.offset, unit.places) for end in (low, high)]
    return f"{ends[0] or 'anything'} to {ends[1] or 'anything'} {symbol}"


def section_of(text: str, *, file: str, problems: Problems) -> Section:
    """Return the top section of a TOML text; a text that is no TOML is one problem with its line.

    Nothing is half-read: after a syntax error the section is empty and the problem is noted.
    """
    try:
        data = tomllib.loads(text)
    except RecursionError:
        problems.note(file, "", "is not readable as TOML: lists or tables stand too deep inside one another")
        data = {}
    except (ValueError, OverflowError) as error:  # beside its own error, what numbers and dates of any length raise
        problems.note(file, "", f"is not readable as TOML: {error}")
        data = {}
    return Section(data, file=file, problems=problems)
