"""What the law asks about one flight and nobody has said yet: those of the flight say it, as part of what they ask for.

Only what is of the flight itself is asked here. What is of the aircraft, the field or the house stands in their files.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

from gyrewright.desk.book.record import Kept
from gyrewright.desk.refusal import Refused
from gyrewright.desk.services import flights
from gyrewright.desk.services.answers import Answered
from gyrewright.finding import Verdict
from gyrewright.rules.said import SAID
from gyrewright.words.voice import capital, voice_of

OF_A_FLIGHT = (
    "commander_cost_share",
    "controlled_place",
    "cross_country_planning_reviewed",
    "cross_country_weather_reviewed",
    "destination",
    "enters_controlled_airspace",
    "examiner_accepts_aircraft",
    "examiner_standard_edition",
    "farthest_from_start",
    "flight_abroad",
    "flight_demonstrates_for_sale",
    "flight_for_charity",
    "flight_for_hire",
    "flight_in_business",
    "flight_offered_as",
    "flight_to_inspection",
    "flight_tows",
    "flight_within_country",
    "instruction_for_hire",
    "lands_elsewhere",
    "limits_forbid_a_task",
    "persons_for_hire",
    "planned_altitude",
    "planned_height",
    "planned_recovery_height",
    "purpose_of_use",
    "regaining_recency",
    "same_provider",
    "test_commander_agreed",
    "training_authority_relied_on",
    "training_is_paid",
    "transponder_to_be_used",
)
"""The keys that speak of one flight."""

_BY_FACT = {SAID[name].fact: name for name in OF_A_FLIGHT}
_MOST = 200


@dataclass(frozen=True, slots=True)
class OpenQuestion:
    """One fact that is asked for: its key, its words, and whether it is said by yes or no."""

    name: str
    words: str
    is_flag: bool


def open_questions(found: Answered) -> tuple[OpenQuestion, ...]:
    """Return what a reason of the answer lacks and the people of the flight can say."""
    voice = voice_of(found.answer.situation)
    lacking = dict.fromkeys(
        name
        for finding in found.answer.findings
        if finding.verdict is not Verdict.GO
        for name in finding.lacking
        if name in _BY_FACT
    )
    return tuple(
        OpenQuestion(_BY_FACT[fact], capital(voice.word("fact", fact)), SAID[_BY_FACT[fact]].kind == "flag")
        for fact in lacking
    )


def say_more(*, id: str, found: Answered, said: Mapping[str, str], by: str) -> Kept:
    """Record what was said of a flight, as what is asked for now.

    Raises:
        Refused: Nothing was said, or something that nothing asks for.
        DefinitionError: It does not read.
    """
    asked = found.asked
    given = {name: text.strip()[:_MOST] for name, text in said.items() if text.strip()}
    wanted = {each.name: each for each in open_questions(found)}
    if not given:
        raise Refused("nothing was said; answer what you know of this flight")
    if unasked := sorted(set(given) - set(wanted)):
        raise Refused(f"nothing asks for {', '.join(unasked)} now; look at the answer again")
    flags = {name: text for name, text in given.items() if wanted[name].is_flag}
    if wrong := sorted(name for name, text in flags.items() if text not in ("yes", "no")):
        raise Refused(f"{', '.join(wrong)} is said by yes or no")
    act = replace(
        asked.act,
        plain={**asked.act.plain, **{name: text == "yes" for name, text in flags.items()}},
        planned={**asked.act.planned, **{name: text for name, text in given.items() if name not in flags}},
    )
    return flights.change_flight(id=id, flight=asked.id, aircraft=asked.aircraft, act=act, by=by)
