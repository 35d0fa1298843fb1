"""Evaluators by name: an ordinary typed function says which of its keywords a pack must give and which are facts.

    @evaluator("review", months=WHOLE)
    def review(*, months: int, reviewed_on: date, flight_on: date) -> Found: ...

`months` is a parameter of the rule and comes from the value in force; the others are facts. A fact with the default
None is asked for by its doubtful name (`maybe_...`): it may be unknown, and the function itself decides whether that
matters. A parameter with a default may be left out of a value. A function that takes `**things` is fed with whatever
facts the rule names.
"""

from __future__ import annotations

import inspect
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any, TypeAlias

from gyrewright.finding import Condition, Cure, Verdict
from gyrewright.reading import Section


@dataclass(slots=True)
class Ruling:
    """What an evaluator found, before the rule adds its id, source, certainty and the names of its facts.

    `lacking` holds the evaluator's own names of what it needs.
    """

    verdict: Verdict
    why: str
    params: dict[str, Any]
    lacking: tuple[str, ...] = ()
    conditions: tuple[Condition, ...] = ()
    cures: tuple[Cure, ...] = ()
    holds_until: datetime | None = None


Found = Ruling | tuple[Ruling, ...] | None

Params: TypeAlias = dict[str, Any]

Reader = Callable[[Section, str], Any]


def WHOLE(section: Section, name: str) -> Any:  # noqa: N802
    """Read a whole number."""
    return section.integer(name, required=True)


def FLAG(section: Section, name: str) -> Any:  # noqa: N802
    """Read true or false."""
    return section.flag(name)


def TEXT(section: Section, name: str) -> Any:  # noqa: N802
    """Read a text."""
    return section.text(name, required=True)


def TEXTS(section: Section, name: str) -> Any:  # noqa: N802
    """Read a list of texts."""
    return section.texts(name, required=True)


def DAY(section: Section, name: str) -> Any:  # noqa: N802
    """Read a date."""
    return section.day(name, required=True)


def LISTS(section: Section, name: str) -> Any:  # noqa: N802
    """Read a table of lists of texts."""
    table = section.section(name)
    out = {key: table.texts(key) for key in table.keys()}  # noqa: SIM118  (not a dict)
    table.finish()
    return out


def measured(dimension: str) -> Reader:
    """Return a reader of a quantity written with its unit; it yields the value inside."""

    def read(section: Section, name: str) -> Any:
        quantity = section.quantity(name, dimension, required=True)
        return None if quantity is None else quantity.value

    return read


@dataclass(frozen=True, slots=True)
class Evaluator:
    """A function that applies a rule, with what a pack must give it and what it asks of the flight."""

    name: str
    parameters: Mapping[str, Reader]
    optional: frozenset[str]
    facts: tuple[str, ...]
    maybe: frozenset[str]
    open: bool
    function: Callable[..., Found]


EVALUATORS: dict[str, Evaluator] = {}


def evaluator(name: str, **parameters: Reader) -> Callable[[Callable[..., Found]], Callable[..., Found]]:
    """Return a decorator that registers a function under the name that packs use."""

    def made(function: Callable[..., Found]) -> Callable[..., Found]:
        signature = inspect.signature(function).parameters
        facts = [each for each in signature.values() if each.name not in parameters]
        is_open = any(each.kind is inspect.Parameter.VAR_KEYWORD for each in facts)
        named = [each for each in facts if each.kind is not inspect.Parameter.VAR_KEYWORD]
        if name in EVALUATORS or not parameters.keys() <= signature.keys():
            raise ValueError(f"evaluator {name!r} is registered twice or lacks one of its parameters")
        EVALUATORS[name] = Evaluator(
            name,
            parameters,
            frozenset(each for each in parameters if signature[each].default is not inspect.Parameter.empty),
            tuple(each.name for each in named),
            frozenset(each.name for each in named if each.default is None),
            is_open,
            function,
        )
        return function

    return made


def passes(why: str = "go", *, holds_until: datetime | None = None, **params: Any) -> Ruling:
    """Return that there is no reason against; `holds_until` is when what it rests on grows too old."""
    return Ruling(Verdict.GO, why, params, holds_until=holds_until)


def stops(why: str = "stop", *, cures: tuple[Cure, ...] = (), **params: Any) -> Ruling:
    """Return that a limit of the rule is broken."""
    return Ruling(Verdict.STOP, why, params, cures=cures)


def unknown(*lacking: str, why: str = "unknown", **params: Any) -> Ruling:
    """Return what must be fetched before the rule can speak."""
    return Ruling(Verdict.UNKNOWN, why, params, lacking)


def judged(by: Cure, *, why: str = "judge", **params: Any) -> Ruling:
    """Return that a person must judge; `by` names who, and what that person would say."""
    return Ruling(Verdict.JUDGE, why, params, cures=(by,))


def only_if(condition: Condition, *, why: str = "go_if", **params: Any) -> Ruling:
    """Return that the rule passes while a condition is met."""
    return Ruling(Verdict.GO_IF, why, params, conditions=(condition,))
