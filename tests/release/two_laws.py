"""The page that shows the demonstration's flights under two laws, side by side."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

from gyrewright.finding import Finding, Verdict, Whose
from gyrewright.release.answer import Answer
from gyrewright.release.decide import decide
from gyrewright.rules.pack import Pack, packaged, read_pack
from kit.files import demo

FLIGHTS = (
    "0630-sunde-halloran",
    "0820-okafor-lind-castellane",
    "0900-okafor-lind-eklund",
    "1330-sunde-halloran",
    "1900-halloran-alone",
)
LAWS = ("us", "velmark")
WORDS = {
    Verdict.GO: "no reason found against",
    Verdict.GO_IF: "only if",
    Verdict.JUDGE: "a person decides",
    Verdict.UNKNOWN: "not known",
    Verdict.STOP: "stop",
}
LIMITED = {"fuel.enough": "fuel left after landing", "weather.visibility": "visibility"}


@cache
def pack(name: str) -> Pack:
    return read_pack(packaged(name))


@cache
def under(flight: str, law: str) -> Answer:
    """Return the answer to a flight of the demonstration under a law; nothing but the law differs."""
    return decide(replace(demo(flight).question(), pack=pack(law)))


def of_law(answer: Answer) -> tuple[Finding, ...]:
    """Return what the law's own rules found, in the order of the pack."""
    order = {f"rule.{rule.id}": number for number, rule in enumerate(answer.situation.question.pack.rules)}
    found = [each for each in answer.findings if each.id.startswith("rule.")]
    return tuple(sorted(found, key=lambda each: order.get(each.id, len(order))))


def law_limit(answer: Answer, id: str) -> str:
    """Return the law's limit on a quantity, as the pack writes it; empty where that law has none."""
    layers = [layer for each in answer.findings if each.id == id for layer in each.layers]
    return next((f"{layer.limit.sense} {layer.limit.typed}" for layer in layers if layer.limit.whose is Whose.LAW), "")


def page() -> str:
    """Return the page, in Markdown."""
    lines = [
        "# One day under two laws",
        "",
        "This page is generated from the demonstration; a test fails when it is not current. Do not edit it.",
        "",
        "The flights, people, aircraft and books are the same. Only the folder of rules differs: the one for",
        f"the United States, and the one of {pack('velmark').title}. No rule of one is ever asked in the other.",
        "",
        "| flight | United States | Velmark |",
        "|---|---|---|",
    ]
    for flight in FLIGHTS:
        title = under(flight, "us").situation.question.flight.title
        lines.append(f"| {flight[:2]}:{flight[2:4]} {title} | " + " | ".join(map(_whole, _both(flight))) + " |")
    lines += ["", "## Limits that the law puts on numbers", "", "| of | United States | Velmark |", "|---|---|---|"]
    for id, name in LIMITED.items():
        limits = [law_limit(each, id) or "none" for each in _both(FLIGHTS[0])]
        lines.append(f"| {name} | " + " | ".join(limits) + " |")
    lines += ["", f"## What each law asked of the flight at {FLIGHTS[0][:2]}:{FLIGHTS[0][2:4]}"]
    for law, answer in zip(LAWS, _both(FLIGHTS[0]), strict=True):
        lines += ["", f"### {pack(law).title}", "", "| rule | where | found |", "|---|---|---|"]
        lines += [f"| `{each.id.removeprefix('rule.')}` | {_where(each)} | {_found(each)} |" for each in of_law(answer)]
        lines += ["", pack(law).reminder]
    return "\n".join(lines) + "\n"


def _both(flight: str) -> tuple[Answer, ...]:
    return tuple(under(flight, law) for law in LAWS)


def _whole(answer: Answer) -> str:
    reasons = [each for each in of_law(answer) if each.verdict is Verdict.STOP]
    named = ", ".join(f"`{each.id.removeprefix('rule.')}`" for each in reasons)
    return WORDS[answer.verdict] + (f"; by law: {named}" if named else "")


def _where(finding: Finding) -> str:
    return finding.source.section if finding.source and finding.source.section else ""


def _found(finding: Finding) -> str:
    said = WORDS[finding.verdict]
    if finding.lacking:
        return f"{said}: {', '.join(finding.lacking)}"
    return f"{said}, by an unconfirmed reading" if finding.unconfirmed else said
