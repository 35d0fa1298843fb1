"""A rule pack: what a jurisdiction's folder of TOML says, read whole or refused whole.

    pack.toml     name, title, read_on, begins, reminder, and what each letter of certainty means
    *.toml        [[rule]] tables: id, rows, says, evaluator, the flights it applies to, [rule.facts], [[rule.value]]

A value is one text of the rule: `from` (the day it came into force) or `stood_on` (a day on which it was already in
force, where nobody knows since when; first text only), its citation, its certainty, and the parameters that its
evaluator takes. `repealed = true` ends a rule; `unread = true` says that a text holds which nobody has read.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from difflib import get_close_matches
from functools import lru_cache
from importlib import resources
from itertools import pairwise
from types import MappingProxyType
from typing import Any

import gyrewright.rules.evaluators  # noqa: F401  (registers every evaluator)
from gyrewright.errors import UnknownName
from gyrewright.finding import Limit, Source, When, Whose
from gyrewright.limits import read_limits, read_when
from gyrewright.reading import Problems, Section, section_of
from gyrewright.rules.registry import EVALUATORS, Evaluator

LIMIT = "limit"
"""Name of the evaluator of rules that only limit a quantity: their values hold `[[rule.value.limit]]` tables."""

GATES = ("certificate", "privileges", "teaching", "airspace", "surface", "light")
"""Words of a flight, beside those of `finding.When`, by which a rule may be restricted."""

PHASES = ("before", "after")
"""Whether a rule is asked before the flight is released or when it is recorded."""

_ALWAYS_FROM = date.min


@dataclass(frozen=True, slots=True)
class Value:
    """One text of a rule. `begins` is `date.min` where it is only known to have stood on a day.

    `parameters` are inside values, as an evaluator takes them; `written` is how the file gives them, for a reader.
    """

    begins: date
    until: date | None
    stood_on: date | None
    repealed: bool
    unread: bool
    parameters: Mapping[str, Any]
    written: Mapping[str, Any]
    limits: tuple[Limit, ...]
    certainty: str
    source: Source
    read_on: date | None
    note: str


@dataclass(frozen=True, slots=True)
class Rule:
    """A rule with all its texts, in the order of time."""

    id: str
    rows: tuple[str, ...]
    says: str
    evaluator: str
    phase: str
    when: When
    gates: Mapping[str, frozenset[str]]
    facts: Mapping[str, str]
    declared: bool
    values: tuple[Value, ...]


@dataclass(frozen=True, slots=True, eq=False)
class Pack:
    """A jurisdiction's rules, and what is to be known about the pack itself. Two packs read apart are two packs."""

    name: str
    title: str
    read_on: date
    begins: date
    reminder: str
    certainties: Mapping[str, str]
    unconfirmed: frozenset[str]
    show_edition: frozenset[str]
    rows: Mapping[str, str]
    rules: tuple[Rule, ...]

    def rule(self, id: str) -> Rule:
        """Return the rule of that id.

        Raises:
            UnknownName: The pack has none of that name.
        """
        for rule in self.rules:
            if rule.id == id:
                return rule
        near = get_close_matches(id, [rule.id for rule in self.rules], n=1)
        hint = f"did you mean {near[0]!r}?" if near else "list them without an id"
        raise UnknownName(f"{id!r} is no rule of the pack {self.name!r}; {hint}")


def packaged(name: str) -> Mapping[str, str]:
    """Return the files of a pack that ships, file name -> text.

    Raises:
        UnknownName: No pack of that name ships.
    """
    folder = resources.files("gyrewright.data") / "rules"
    names = sorted(each.name for each in folder.iterdir() if each.is_dir() and not each.name.startswith("_"))
    if name not in names:
        raise UnknownName(f"{name!r} is no rule pack that ships; use one of: {', '.join(names)}")
    files = [each for each in (folder / name).iterdir() if each.name.endswith(".toml")]
    return {each.name: each.read_text(encoding="utf-8") for each in sorted(files, key=lambda each: each.name)}


def in_force(rule: Rule, on: date) -> Value | None:
    """Return the text of a rule that holds on a day; None before its first text, and after a repeal."""
    for value in reversed(rule.values):
        if value.begins <= on:
            return None if value.repealed or (value.until is not None and on > value.until) else value
    return None


@lru_cache(maxsize=8)
def pack_named(name: str) -> Pack:
    """Return a rule pack that ships, by its name.

    Raises:
        UnknownName: No pack of that name ships.
    """
    return read_pack(packaged(name))


def read_pack(files: Mapping[str, str]) -> Pack:
    """Return the pack that the files describe.

    Args:
        files: File name -> text; one of them is `pack.toml`.

    Raises:
        DefinitionError: With every problem of every file.
    """
    problems = Problems()
    top = section_of(files.get("pack.toml", ""), file="pack.toml", problems=problems)
    name = top.text("name", required=True)
    title = top.text("title", required=True)
    read_on = top.day("read_on", required=True)
    begins = top.day("begins", required=True)
    reminder = top.text("reminder", required=True)
    certainty = top.section("certainty")
    certainties = {letter: certainty.text(letter) for letter in certainty.keys()}  # noqa: SIM118  (not a dict)
    certainty.finish()
    unconfirmed = top.texts("unconfirmed", accepted=tuple(certainties))
    show_edition = top.texts("show_edition", accepted=tuple(certainties))
    row = top.section("rows")
    rows = {number: row.text(number) for number in row.keys()}  # noqa: SIM118  (not a dict)
    row.finish()
    top.finish()
    rules: list[Rule] = []
    seen: dict[str, str] = {}
    for file, text in files.items():
        if file == "pack.toml":
            continue
        section = section_of(text, file=file, problems=problems)
        for each in section.sections("rule", label="id"):
            rule = _read_rule(each, tuple(certainties))
            if rule.id in seen:
                each.wrong("id", f"{rule.id!r} stands in {seen[rule.id]} already; give each rule one place")
            seen[rule.id] = file
            rules.append(rule)
        section.finish()
    problems.stop_if_any()
    return Pack(
        name,
        title,
        read_on or date.min,
        begins or date.min,
        reminder,
        MappingProxyType(certainties),
        frozenset(unconfirmed),
        frozenset(show_edition),
        MappingProxyType(rows),
        tuple(rules),
    )


def _read_rule(section: Section, certainties: tuple[str, ...]) -> Rule:
    name = section.text("evaluator", required=True)
    known = EVALUATORS.get(name)
    if name and known is None and name != LIMIT:
        near = get_close_matches(name, [*EVALUATORS, LIMIT], n=1)
        hint = f"did you mean {near[0]!r}?" if near else f"known are: {', '.join(sorted([*EVALUATORS, LIMIT]))}"
        section.wrong("evaluator", f"{name!r} is no evaluator; {hint}")
    table = section.section("facts")
    facts = {label: table.text(label) for label in table.keys()}  # noqa: SIM118  (not a dict)
    table.finish()
    if known is not None:
        for label in facts:
            if label not in known.facts and not known.open:
                accepted = ", ".join(known.facts)
                section.wrong(f"facts.{label}", f"is no fact that {name!r} asks for; it asks for: {accepted}")
    values = [
        _read_value(each, known if name != LIMIT else None, certainties, name)
        for each in section.sections("value", label="from")
    ]
    if not values:
        section.wrong("value", "is missing; write one [[rule.value]] for each text with its own date and citation")
    rule = Rule(
        id=section.text("id", required=True),
        rows=section.texts("rows"),
        says=section.text("says", required=True),
        evaluator=name,
        phase=section.choice("phase", PHASES) or PHASES[0],
        when=read_when(section),
        gates={gate: frozenset(section.texts(gate)) for gate in GATES if gate in section},
        facts=MappingProxyType(facts),
        declared=bool(section.flag("declared")),
        values=_ordered(section, values),
    )
    section.finish()
    return rule


def _read_value(section: Section, known: Evaluator | None, certainties: tuple[str, ...], name: str) -> Value:
    begins = section.day("from")
    stood_on = section.day("stood_on")
    if (begins is None) == (stood_on is None):
        section.wrong("from", "write either from (the day it came into force) or stood_on (a day on which it stood)")
    repealed = bool(section.flag("repealed"))
    unread = bool(section.flag("unread"))
    parameters: dict[str, Any] = {}
    given = [each for each in known.parameters if each in section] if known else []
    if known and not repealed and (not unread or given):
        for each, read in known.parameters.items():
            if each in section or each not in known.optional:
                parameters[each] = read(section, each)
    ref = section.text("ref", required=True)
    dated = section.day("dated", required=True)
    source = Source(kind="regulation", title=section.text("doc", required=True), section=ref, dated=dated)
    letter = section.choice("certainty", certainties, required=True)
    limits: tuple[Limit, ...] = ()
    if name == LIMIT and not repealed:
        limits = read_limits(
            section, whose=Whose.LAW, document=source, entered_by="rule pack", verified_by=f"rule pack, {letter}"
        )
        if not limits and not unread:
            section.wrong("limit", "is missing; write the limit as a [[rule.value.limit]] table")
    value = Value(
        begins=begins or _ALWAYS_FROM,
        until=section.day("until"),
        stood_on=stood_on,
        repealed=repealed,
        unread=unread,
        parameters=MappingProxyType(parameters),
        written=MappingProxyType({each: section.raw(each) for each in parameters}),
        limits=limits,
        certainty=letter,
        source=source,
        read_on=section.day("read_on", required=True),
        note=section.text("note"),
    )
    section.finish()
    return value


def _ordered(section: Section, values: list[Value]) -> tuple[Value, ...]:
    """Return the texts in the order of time, after noting every overlap and every hole between them."""
    ordered = sorted(values, key=lambda value: value.begins)
    if ordered and ordered[0].repealed:
        section.wrong("value", "begins with a repeal; write the text that it ends first")
    for earlier, later in pairwise(ordered):
        if earlier.begins == later.begins:
            section.wrong("value", f"has two texts in force at once from {_called(later)}; each needs a day of its own")
        elif earlier.until is not None and earlier.until >= later.begins:
            section.wrong(
                "value",
                f"has two texts in force at once from {later.begins} to {earlier.until}; end the first one sooner",
            )
        elif earlier.until is not None and earlier.until + timedelta(days=1) < later.begins:
            section.wrong(
                "value",
                f"has a hole after {earlier.until}, until {later.begins}; write the text that held between them, "
                "or repealed = true",
            )
    if ordered and ordered[-1].until is not None:
        section.wrong(
            "value", f"ends on {ordered[-1].until} and nothing follows; write a value with repealed = true or unread"
        )
    return tuple(ordered)


def _called(value: Value) -> str:
    return "the start" if value.begins == _ALWAYS_FROM else str(value.begins)
