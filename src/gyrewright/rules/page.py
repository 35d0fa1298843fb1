"""The generated page that shows, row by row, how a pack's table is evaluated."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

from gyrewright.rules.force import fact_names
from gyrewright.rules.pack import LIMIT, Pack, Rule, Value


def law_page(pack: Pack) -> str:
    """Return the page for a pack, in Markdown: one section a row, one entry a rule, every text with its dates.

    A row is declared where all of its rules are plain declarations of a named person with a lifetime; else it is
    computed.
    """
    return "\n".join(_lines(pack)) + "\n"


def row_kind(pack: Pack, row: str) -> str:
    """Return "computed", "declared", or "absent" for a row of the pack's table."""
    rules = [rule for rule in pack.rules if row in rule.rows]
    if not rules:
        return "absent"
    return "declared" if all(rule.declared for rule in rules) else "computed"


def _lines(pack: Pack) -> Iterator[str]:
    yield f"# The law as data: {pack.title}"
    yield ""
    yield "This page is generated from the pack; a test fails when it is not current. Do not edit it."
    yield ""
    yield f"Read on {_day(pack.read_on)}, for flights from {_day(pack.begins)} on. {pack.reminder}"
    yield ""
    yield "| letter | means | where it passes |"
    yield "|---|---|---|"
    for letter, means in pack.certainties.items():
        shown = "passes" + (", and shows the year of the edition" if letter in pack.show_edition else "")
        yield f"| {letter} | {means} | {'passes an unconfirmed reading' if letter in pack.unconfirmed else shown} |"
    yield ""
    yield "## Rows"
    yield ""
    yield "| row | asks about | how | rules |"
    yield "|---|---|---|---|"
    for row, about in pack.rows.items():
        names = ", ".join(f"`{rule.id}`" for rule in pack.rules if row in rule.rows)
        yield f"| {row} | {about} | {row_kind(pack, row)} | {names} |"
    yield ""
    yield "## Rules"
    for rule in pack.rules:
        yield ""
        yield from _rule(rule)


def _rule(rule: Rule) -> Iterator[str]:
    yield f"### `{rule.id}`"
    yield ""
    yield rule.says
    yield ""
    when = {name: getattr(rule.when, name) for name in ("purpose", "aboard", "lesson", "configuration")}
    words = [
        f"{name} {', '.join(sorted(map(str, given)))}" for name, given in (when | dict(rule.gates)).items() if given
    ]
    how = "declared by a named person" if rule.declared else "a limit" if rule.evaluator == LIMIT else "computed"
    yield f"- How: {how} (`{rule.evaluator}`), {rule.phase} the flight"
    if words:
        yield f"- Only for: {'; '.join(words)}"
    names = fact_names(rule)
    if names:
        yield "- Facts: " + ", ".join(f"`{name}`" for name in names)
    for value in rule.values:
        yield f"- {_text(value)}"


def _text(value: Value) -> str:
    begin = f"In force by {_day(value.stood_on)}" if value.stood_on else f"From {_day(value.begins)}"
    kind = " (repealed)" if value.repealed else " (a text that nobody has read)" if value.unread else ""
    limits = "".join(f"; {limit.of} {limit.sense} {limit.typed}" for limit in value.limits)
    return f"{begin}{kind}: {value.source.section}; {value.source.title}; certainty {value.certainty}{limits}"


def _day(day: date) -> str:
    return f"{day.day} {day:%B %Y}"
