"""What each person of a flight still has to declare for it, and the words in which they do."""

from __future__ import annotations

from dataclasses import dataclass

from gyrewright.desk.services.answers import Answered
from gyrewright.finding import Verdict
from gyrewright.people.read import DECLARATIONS as OF_PEOPLE
from gyrewright.release.flight import PARTS

WORDS = {
    "sober": "I have had nothing, alcohol included, that the rules count against me.",
    "documents_aboard": "My pilot's papers, my identification and my medical paper are with me.",
    "address_current": "The authority has my present address.",
    "restrictions_kept": "I keep every restriction written on my papers.",
    "belts_briefed": "Everybody aboard has been shown how belts are fastened and opened.",
    "briefing_taken": "I have looked at weather, notices, fuel, runway lengths and what else this flight needs.",
    "flow_avoided": "I keep to the pattern that this field asks for.",
    "heights_planned": "I have planned heights that endanger nobody on the ground, engine out included.",
    "instructor_scope_stated": "I have said for which privileges the training that I enter counts.",
    "nature_advised": "Whoever flies with me knows what kind of aircraft this is.",
    "radio_and_clearance_arranged": "Radio, and every clearance that this flight needs, are arranged.",
    "restrictions_clear": "I have looked for closed and restricted airspace; the flight stays clear of it.",
    "deviation_asked": "The deviation that this flight needs has been asked for.",
    "commander_finds_safe": "I have satisfied myself that this aircraft is in a condition for safe flight.",
    "ground_in_sight": "I will keep the ground in sight all the way.",
}
"""Every statement by the name of its fact."""

AMOUNTS = {"slept_h": ("slept", "Hours slept", "7.5 h"), "lessons_today": ("lessons", "Lessons given today", "0")}
"""What is said as an amount by whoever teaches, else commands: by fact, the form's name, the words, an example."""

_OF_COMMANDER = tuple(name for name in WORDS if name not in OF_PEOPLE)
FITNESS = "fitness"


@dataclass(frozen=True, slots=True)
class Statement:
    """One line that a person signs."""

    name: str
    words: str


@dataclass(frozen=True, slots=True)
class Amount:
    """One amount that a person says of their day: its name in the form, its words, and how one is written."""

    name: str
    words: str
    example: str


@dataclass(frozen=True, slots=True)
class ToSign:
    """A person and what they still have to declare; `asks_fitness` where their word of the day is one of it."""

    person: str
    name: str
    parts: tuple[str, ...]
    statements: tuple[Statement, ...]
    asks_fitness: bool
    amounts: tuple[Amount, ...] = ()

    @property
    def is_done(self) -> bool:
        """Whether nothing is left to declare."""
        return not (self.statements or self.asks_fitness or self.amounts)


def to_sign(found: Answered) -> tuple[ToSign, ...]:
    """Return everybody who declares for a flight, the commander first, with what is still needed of each.

    Needed is what a reason of the answer rests on and nobody has said yet, or said too long ago.
    """
    open_names: set[str] = set()
    sheet = found.answer.situation.sheet
    for finding in found.answer.findings:
        if finding.verdict is Verdict.GO:
            continue
        open_names.update(finding.lacking)
        if finding.verdict in (Verdict.GO_IF, Verdict.UNKNOWN):
            open_names.update(name for name in finding.inputs if sheet.value(name) is not True or _is_old(finding.id))
    parts = dict(found.question.flight.parts)
    people = dict.fromkeys(parts[part] for part in PARTS if parts.get(part) in found.question.people)
    tired = {
        str(finding.about or finding.params.get("who", ""))
        for finding in found.answer.findings
        if finding.id == "people.fit" and finding.verdict is not Verdict.GO
    }
    rested = parts.get("instructor") or parts.get("commander")
    out = []
    for person in people:
        mine = tuple(part for part in PARTS if parts.get(part) == person)
        names = [name for name in OF_PEOPLE if any(f"{part}_{name}" in open_names for part in mine)]
        if "commander" in mine:
            names += [name for name in _OF_COMMANDER if name in open_names]
        statements = tuple(Statement(name, WORDS[name]) for name in names)
        amounts = tuple(Amount(*AMOUNTS[fact]) for fact in AMOUNTS if fact in open_names and person == rested)
        out.append(ToSign(person, found.question.people[person].name, mine, statements, person in tired, amounts))
    return tuple(out)


def _is_old(id: str) -> bool:
    """Return whether a condition of this finding asks for a declaration anew."""
    return id.startswith("rule.")
