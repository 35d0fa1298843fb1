"""Rules as lines of text: what each says in our words, where it is written, which texts held when, how sure we are."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from textwrap import wrap

from gyrewright.rules.force import fact_names
from gyrewright.rules.pack import Pack, Rule, Value, in_force

WIDTH = 80


def rule_lines(pack: Pack, id: str | None, on: date) -> list[str]:
    """Return one rule in full, or a line for every rule of the pack, as of a day; no line is wider than 80.

    Raises:
        UnknownName: The pack has no rule of that id.
    """
    lines = list(_one(pack, pack.rule(id), on)) if id else list(_all(pack, on))
    lines.append("")
    lines.extend(_wrapped(f"Read on {_day(pack.read_on)}. {pack.reminder}"))
    return lines


def _all(pack: Pack, on: date) -> Iterator[str]:
    yield from _wrapped(f"{pack.title}, on {_day(on)}")
    yield ""
    wide = max(len(rule.id) for rule in pack.rules)
    for rule in pack.rules:
        value = in_force(rule, on)
        state = "not in force" if value is None else _sure(value)
        first, *rest = wrap(f"{rule.id:<{wide}}  {rule.says}", WIDTH, subsequent_indent=" " * (wide + 2))
        yield first
        yield from rest
        yield from _wrapped(f"[{state}]", indent=wide + 2)


def _one(pack: Pack, rule: Rule, on: date) -> Iterator[str]:
    yield rule.id
    yield from _wrapped(rule.says, indent=2)
    if rule.declared:
        yield from _wrapped("Declared by a named person, not computed.", indent=2)
    words = [f"{gate}: {', '.join(sorted(words))}" for gate, words in _gates(rule)]
    if words:
        yield from _wrapped(f"Only for {'; '.join(words)}.", indent=2)
    names = fact_names(rule)
    if names:
        yield from _wrapped(f"Looks at {', '.join(names)}.", indent=2)
    held = in_force(rule, on)
    yield ""
    yield from _wrapped(
        f"On {_day(on)} " + ("no text of this rule is in force." if held is None else "the text marked > holds.")
    )
    for value in rule.values:
        yield ""
        yield from _value(pack, value, value is held)


def _value(pack: Pack, value: Value, holds: bool) -> Iterator[str]:
    begin = f"in force by {_day(value.stood_on)}" if value.stood_on else f"from {_day(value.begins)}"
    until = f" until {_day(value.until)}" if value.until else ""
    ended = ", repealed" if value.repealed else ", a text that nobody has read" if value.unread else ""
    yield from _wrapped(f"{'>' if holds else ' '} {begin}{until}{ended}")
    for name, given in value.written.items():
        yield from _wrapped(f"{name.replace('_', ' ')}: {_shown(given)}", indent=4)
    for limit in value.limits:
        yield from _wrapped(f"{limit.of} {limit.sense} {limit.typed}", indent=4)
    dated = f", dated {_day(value.source.dated)}" if value.source.dated else ""
    yield from _wrapped(f"{value.source.section}; {value.source.title}{dated}", indent=4)
    read = f", read on {_day(value.read_on)}" if value.read_on else ""
    yield from _wrapped(f"{value.certainty}: {pack.certainties[value.certainty]}{read}", indent=4)
    if value.note:
        yield from _wrapped(value.note, indent=4)


def _gates(rule: Rule) -> Iterator[tuple[str, list[str]]]:
    for name in ("purpose", "aboard", "lesson", "configuration"):
        words = getattr(rule.when, name)
        if words:
            yield name, [str(word) for word in words]
    for gate, words in rule.gates.items():
        yield gate, list(words)


def _sure(value: Value) -> str:
    return "a text that nobody has read" if value.unread else f"{value.source.section}, certainty {value.certainty}"


def _shown(given: object) -> str:
    if isinstance(given, dict):
        return "; ".join(f"{key}: {_shown(each)}" for key, each in given.items())
    if isinstance(given, list):
        return ", ".join(str(each) for each in given)
    if isinstance(given, date):
        return _day(given)
    return str(given)


def _wrapped(text: str, *, indent: int = 0) -> list[str]:
    lead = " " * indent
    return wrap(text, WIDTH, initial_indent=lead, subsequent_indent=lead, break_on_hyphens=False)


def _day(day: date) -> str:
    return f"{day.day} {day:%B %Y}"
