"""What each person of a flight still has to declare for it, and the words in which they do.

The words are those of the shipped rules, United States, and say no less than their text asks the person to stand for: a
sentence that is vaguer than its rule is signed too lightly, one that is stricter than its rule stops lawful flights.
"""

from __future__ import annotations

from dataclasses import dataclass

from gyrewright.desk.services.answers import Answered
from gyrewright.finding import Verdict
from gyrewright.people.read import DECLARATIONS as OF_PEOPLE
from gyrewright.release.flight import PARTS

WORDS = {
    # 14 CFR 91.17(a)
    "sober": (
        "When this flight begins I have drunk no alcohol for eight hours, am not under its influence, have less than "
        "0.04 of it in blood or breath, and use no drug that makes me less safe."
    ),
    # 14 CFR 61.3(a), (c), (d), 61.51(i)
    "documents_aboard": (
        "I have with me my pilot certificate, official photo identification, my medical certificate or what stands for "
        "it (driver's license, BasicMed papers) and, where this flight asks for them, my instructor certificate and my "
        "logbook or the endorsements in it."
    ),
    # 14 CFR 61.60
    "address_current": "The FAA has my present permanent mailing address; when I move I tell it within 30 days.",
    # 14 CFR 61.315(c)(15) to (17)
    "restrictions_kept": (
        "I keep every limitation written on my pilot certificate, on my medical certificate or driver's license, and "
        "in my endorsements."
    ),
    # 14 CFR 91.107(a)
    "belts_briefed": (
        "Everybody aboard has been shown how belt and harness are fastened and opened; I see them fastened before we "
        "move, take off, land."
    ),
    # 14 CFR 91.103
    "briefing_taken": (
        "I have made myself familiar with all available information about this flight: weather reports and forecasts, "
        "notices, fuel, alternatives, known delays, runway lengths, and take-off and landing distances."
    ),
    # 14 CFR 91.126(b)(2), 91.127(a)
    "flow_avoided": "At a field without a working tower I keep out of the flow of powered fixed-wing aircraft.",
    # 14 CFR 91.119
    "heights_planned": (
        "But for take-off and landing I have planned heights from which a landing without power endangers nobody and "
        "nothing below: over towns and crowds 1,000 ft above any obstacle within 2,000 ft; elsewhere 500 ft above the "
        "ground; over open water and sparsely settled land 500 ft from people, vessels, vehicles and structures."
    ),
    # 14 CFR 61.413, InFO 26006
    "instructor_scope_stated": (
        "What I sign as an instructor under sport privileges says that it serves sport privileges only."
    ),
    # 14 CFR 91.319(d)(1), 91.327(e)
    "nature_advised": (
        "I have told everybody aboard of the experimental or special nature of this aircraft, and that it does not "
        "meet the requirements for a standard airworthiness certificate."
    ),
    # 14 CFR 91.126(d), 91.129 to 91.131
    "radio_and_clearance_arranged": (
        "I enter airspace with a tower only after two-way radio contact, and class B only with a clearance; radio and "
        "frequencies for it are ready."
    ),
    # 14 CFR 91.133, 91.137 to 91.145
    "restrictions_clear": (
        "I have looked for prohibited and restricted areas and for temporary flight restrictions in force at the time "
        "of this flight; it stays out of each, or has the permission that it asks for."
    ),
    # 14 CFR 91.215(d), 91.225(g)
    "deviation_asked": (
        "Air traffic control, asked by me, has agreed to this flight without the transponder or position broadcast "
        "that its airspace asks for."
    ),
    # 14 CFR 91.7(b)
    "commander_finds_safe": (
        "I have determined that this aircraft is in condition for safe flight, and I end the flight if it no longer is."
    ),
    # 14 CFR 61.89(a)(7), 61.315(c)(13)
    "ground_in_sight": "I fly with visual reference to the surface all the way.",
}
"""Every statement by the name of its fact."""

FIT = "I am fit to fly today: I know of no condition, medicine or treatment that makes it unsafe for me to fly."
"""The word of the day, signed with the rest (14 CFR 61.53)."""

OF_INSTRUCTOR = ("instructor_scope_stated",)
"""What the instructor stands for, whoever commands."""

AMOUNTS = {"slept_h": ("slept", "Hours slept", "7.5 h"), "lessons_today": ("lessons", "Lessons given today", "0")}
"""What is said as an amount by whoever teaches, else commands: by fact, the form's name, the words, an example."""

_OF_COMMANDER = tuple(name for name in WORDS if name not in (*OF_PEOPLE, *OF_INSTRUCTOR))
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
        if "instructor" in mine:
            names += [name for name in OF_INSTRUCTOR if name in open_names]
        statements = tuple(Statement(name, WORDS[name]) for name in names)
        amounts = tuple(Amount(*AMOUNTS[fact]) for fact in AMOUNTS if fact in open_names and person == rested)
        out.append(ToSign(person, found.question.people[person].name, mine, statements, person in tired, amounts))
    return tuple(out)


def _is_old(id: str) -> bool:
    """Return whether a condition of this finding asks for a declaration anew."""
    return id.startswith("rule.")
