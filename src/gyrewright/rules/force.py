"""What a pack asks of one flight on one day: checks, and limits for the stack."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import date
from functools import lru_cache
from typing import Any

from gyrewright.check import Check, Found
from gyrewright.fact import Fact, Origin
from gyrewright.finding import Finding, Limit, Verdict
from gyrewright.rules.pack import GATES, LIMIT, Pack, Rule, Value, in_force
from gyrewright.rules.registry import EVALUATORS, Ruling
from gyrewright.sheet import MAYBE


@dataclass(frozen=True, slots=True)
class Flight:
    """The words of a flight by which rules are picked; an empty word is one that nobody has said.

    Attributes:
        purpose: One of `limits.PURPOSES`.
        aboard: How many people.
        lesson: Word of the lesson, or empty where there is none.
        configuration: Words of the aircraft's configuration.
        certificate: The airworthiness certificate: "standard", "light-sport", "amateur-built", ...
        privileges: Under which privileges the commander acts: "student sport", "student private", "sport", "private".
        teaching: Under which the instructor teaches: "sport", "full", or "none" without an instructor.
        airspace: The most demanding airspace entered, in the pack's own words ("G", "E", "G above 1200 ft", ...).
        surface: The airspace that reaches down to the field: "B" to "E", or "none".
        light: "day", "twilight" or "night", the darkest that any part of the flight meets.
    """

    purpose: str
    aboard: int
    lesson: str = ""
    configuration: frozenset[str] = frozenset()
    certificate: str = ""
    privileges: str = ""
    teaching: str = ""
    airspace: str = ""
    surface: str = ""
    light: str = ""


def applies(rule: Rule, flight: Flight) -> bool:
    """Return whether a rule speaks about a flight; a gate whose word is unknown does not let it pass."""
    return _could_apply(rule, flight) and all(getattr(flight, gate) for gate in rule.gates)


def _could_apply(rule: Rule, flight: Flight) -> bool:
    """Return whether every word of the flight that somebody has said lets the rule speak about it."""
    return rule.when.holds(
        purpose=flight.purpose, aboard=flight.aboard, lesson=flight.lesson, configuration=flight.configuration
    ) and all(getattr(flight, gate) in ("", *words) for gate, words in rule.gates.items())


@lru_cache(maxsize=256)
def checks_in_force(pack: Pack, on: date, flight: Flight, *, phase: str = "before") -> tuple[Check, ...]:
    """Return a check for every rule that applies to the flight on that day.

    A word of the flight that is unknown although a rule turns on it gives a check of its own: it answers UNKNOWN and
    names the word, so that no rule is left out in silence.
    """
    out: list[Check] = []
    unsaid: dict[str, list[str]] = {}
    for rule in pack.rules:
        value = in_force(rule, on)
        if value is None or rule.phase != phase:
            continue
        open_gates = [gate for gate in rule.gates if not getattr(flight, gate)]
        if open_gates:
            if _could_apply(rule, flight):
                for gate in open_gates:
                    unsaid.setdefault(gate, []).append(rule.id)
        elif applies(rule, flight) and rule.evaluator != LIMIT:
            out.append(_check(pack, rule, value))
        elif applies(rule, flight) and value.unread:
            out.append(Check(f"rule.{rule.id}", (), _unread(pack, rule, value)))
    out.extend(_gate(pack, gate, unsaid[gate]) for gate in GATES if gate in unsaid)
    return tuple(out)


@lru_cache(maxsize=256)
def limits_in_force(pack: Pack, on: date, flight: Flight) -> tuple[Limit, ...]:
    """Return the limits that the law of that day puts on quantities of this flight, as layers of the stack."""
    out: list[Limit] = []
    for rule in pack.rules:
        value = in_force(rule, on)
        if value is not None and rule.evaluator == LIMIT and applies(rule, flight):
            out.extend(
                replace(limit, when=rule.when, scope=limit.scope or rule.id)
                for limit in value.limits
                if limit.when.holds(
                    purpose=flight.purpose,
                    aboard=flight.aboard,
                    lesson=flight.lesson,
                    configuration=flight.configuration,
                )
            )
    return tuple(out)


def pack_facts(pack: Pack) -> dict[str, Fact]:
    """Return what is to be known about the pack itself: the day it was read and the first day it speaks about."""
    return {
        "pack_read_on": Fact("pack_read_on", pack.read_on, str(pack.read_on), Origin.RECORD, where="pack.toml"),
        "pack_begins": Fact("pack_begins", pack.begins, str(pack.begins), Origin.RECORD, where="pack.toml"),
    }


def needed(checks: Iterable[Check]) -> frozenset[str]:
    """Return the names of every fact that the checks ask for, without the doubtful prefix."""
    return frozenset(name.removeprefix(MAYBE) for check in checks for name in check.inputs)


def maybe_facts(checks: Iterable[Check], facts: Mapping[str, Fact]) -> dict[str, Fact]:
    """Return the doubtful facts that the checks ask for: the value of the fact behind each, or None if it is in doubt.

    The evaluator that asks for one answers UNKNOWN itself where the fact matters and is not there.
    """
    out: dict[str, Fact] = {}
    for name in {name for check in checks for name in check.inputs if name.startswith(MAYBE)}:
        behind = facts.get(name.removeprefix(MAYBE))
        known = behind is not None and behind.is_known
        out[name] = replace(behind, name=name) if behind is not None and known else Fact(name, None)
    return out


def fact_names(rule: Rule) -> tuple[str, ...]:
    """Return the names of the facts that a rule looks at, without the doubtful prefix."""
    if rule.evaluator == LIMIT:
        return ()
    return tuple(dict.fromkeys(name.removeprefix(MAYBE) for name in _names(rule).values()))


def _names(rule: Rule) -> dict[str, str]:
    """Return the evaluator's own name of each fact -> the name of the check's input."""
    made = EVALUATORS[rule.evaluator]
    names = {own: rule.facts.get(own, own) for own in made.facts}
    if made.open:
        names |= {label: fact for label, fact in rule.facts.items() if label not in names}
    return {own: (MAYBE + fact if own in made.maybe else fact) for own, fact in names.items()}


def _check(pack: Pack, rule: Rule, value: Value) -> Check:
    names = _names(rule)
    if value.unread and not value.parameters:
        return Check(f"rule.{rule.id}", (), _unread(pack, rule, value))
    function = EVALUATORS[rule.evaluator].function
    parameters = dict(value.parameters)
    own = tuple(names)
    dress = _dress(pack, rule, value, {key: name.removeprefix(MAYBE) for key, name in names.items()})

    def judge(*given: Any) -> Found:
        found = function(**parameters, **dict(zip(own, given, strict=True)))
        if found is None:
            return None
        return dress(found) if isinstance(found, Ruling) else tuple(dress(each) for each in found)

    return Check(f"rule.{rule.id}", tuple(names.values()), judge)


def _dress(pack: Pack, rule: Rule, value: Value, names: Mapping[str, str]) -> Callable[[Ruling], Finding]:
    """Return how a ruling becomes the rule's finding: with id, source, certainty and the names of its facts."""
    id = f"rule.{rule.id}"
    extra: dict[str, Any] = {"says": rule.says, "certainty": value.certainty}
    if value.certainty in pack.show_edition and value.source.dated is not None:
        extra["edition_year"] = value.source.dated.year
    if value.unread:
        extra["since"] = value.begins
    doubtful = value.certainty in pack.unconfirmed or value.unread
    inputs = tuple(dict.fromkeys(names.values()))

    def dress(ruling: Ruling) -> Finding:
        verdict, why = ruling.verdict, ruling.why
        if value.unread and verdict is Verdict.STOP:
            verdict, why = Verdict.UNKNOWN, "unread"
        return Finding(
            id,
            verdict,
            why,
            source=value.source,
            inputs=inputs,
            lacking=tuple([names.get(each, each) for each in ruling.lacking]),
            conditions=ruling.conditions,
            cures=ruling.cures,
            holds_until=ruling.holds_until,
            params=ruling.params | extra,
            unconfirmed=doubtful and verdict < Verdict.UNKNOWN,
        )

    return dress


def _unread(pack: Pack, rule: Rule, value: Value) -> Callable[[], Finding]:
    dress = _dress(pack, rule, value, {})
    return lambda: dress(Ruling(Verdict.UNKNOWN, "unread", {}))


def _gate(pack: Pack, gate: str, rules: list[str]) -> Check:
    name = f"flight_{gate}" if gate != "certificate" else gate

    def judge() -> Finding:
        return Finding(
            f"rule.{pack.name}.unsaid.{gate}",
            Verdict.UNKNOWN,
            why="unknown",
            lacking=(name,),
            params={"rules": tuple(rules), "count": len(rules)},
        )

    return Check(f"rule.{pack.name}.unsaid.{gate}", (), judge)
