"""What files say that only a law asks about: `[law]` tables of a flight, an aircraft, a field and an operation.

Every key is a fact that some evaluator asks for, of one kind. A declaration is said at a time and lives as long as its
rule allows. What nobody has said is missing; nothing here has a default.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from gyrewright.fact import Fact, Origin, missing
from gyrewright.reading import Section
from gyrewright.units import DIMENSIONS

FLAGS = (
    "aircraft_advertised",
    "aircraft_controllable_without_power",
    "aircraft_gear_retractable",
    "aircraft_pressurized",
    "airspace_excepts_no_electrics",
    "airspace_needs_transponder",
    "airworthiness_certificate_aboard",
    "airworthiness_certificate_displayed",
    "commander_finds_safe",
    "dual_controls_working",
    "enters_controlled_airspace",
    "examiner_accepts_aircraft",
    "flight_abroad",
    "flight_demonstrates_for_sale",
    "flight_for_charity",
    "flight_for_hire",
    "flight_in_business",
    "flight_needs_crew_or_type_rating",
    "flight_to_inspection",
    "flight_tows",
    "flight_within_country",
    "ground_in_sight",
    "inside_test_area",
    "instruction_for_hire",
    "instructor_provides_aircraft",
    "lands_elsewhere",
    "limits_forbid_a_task",
    "limits_require_rating",
    "manual_or_limitations_aboard",
    "markings_in_place",
    "never_had_engine_driven_electrics",
    "night_flight_authorized",
    "persons_for_hire",
    "placards_in_place",
    "position_broadcast_working",
    "position_lights_working",
    "regaining_recency",
    "registered_at_home",
    "registration_aboard",
    "registration_is_first",
    "registration_temporary",
    "same_provider",
    "test_commander_agreed",
    "test_phase_complete",
    "training_authority_aboard",
    "training_authority_relied_on",
    "training_is_paid",
    "transponder_fitted",
    "transponder_to_be_used",
    "transponder_working",
    "cross_country_planning_reviewed",
    "cross_country_weather_reviewed",
)
DECLARATIONS = (
    "belts_briefed",
    "briefing_taken",
    "flow_avoided",
    "heights_planned",
    "instructor_scope_stated",
    "nature_advised",
    "radio_and_clearance_arranged",
    "restrictions_clear",
    "deviation_asked",
)
DAYS = (
    "annual_inspection_on",
    "condition_inspection_on",
    "registration_applied_on",
    "registration_ended_on",
    "registration_issued_on",
    "registration_until_on",
    "transponder_tested_on",
)
TEXTS = (
    "aircraft_charge",
    "aircraft_engine",
    "aircraft_gear",
    "aircraft_propeller",
    "aircraft_rotor",
    "certificate_registration",
    "controlled_place",
    "destination",
    "examiner_standard_edition",
    "flight_airspace",
    "flight_offered_as",
    "flight_surface",
    "purpose_of_use",
    "purpose_on_certificate",
    "registration",
)
WORDS = ("aircraft_features", "equipment_required", "equipment_working")
WHOLES = ("aircraft_seats", "condition_inspection_months", "crew_needed", "pilot_stations")
QUANTITIES = {
    "aircraft_vh": "speed",
    "aircraft_vs1": "speed",
    "commander_cost_share": "share",
    "farthest_from_start": "length",
    "highest_ground": "length",
    "planned_altitude": "length",
    "planned_height": "length",
    "planned_recovery_height": "length",
}


@dataclass(frozen=True, slots=True)
class Said:
    """How one fact is written: `kind` is flag, declaration, day, text, words, whole or quantity."""

    kind: str
    fact: str
    dimension: str = ""


SAID: dict[str, Said] = {
    **{name: Said("flag", name) for name in FLAGS},
    **{name: Said("declaration", name) for name in DECLARATIONS},
    **{name: Said("day", name) for name in DAYS},
    **{name: Said("text", name) for name in TEXTS},
    **{name: Said("words", name) for name in WORDS},
    **{name: Said("whole", name) for name in WHOLES},
    **{
        name: Said("quantity", f"{name}_{DIMENSIONS[dimension].suffix}", dimension)
        for name, dimension in QUANTITIES.items()
    },
}
"""Every key that a `[law]` table may hold."""


def read_said(section: Section) -> tuple[Fact, ...]:
    """Return the facts that a `[law]` table states; an unknown key is a problem."""
    facts: list[Fact] = []
    for key in section.keys():  # noqa: SIM118 - a section is not a mapping
        said = SAID.get(key)
        if said is not None:
            facts.extend(_read(section, key, said))
    if any(key not in SAID for key in section.keys()):  # noqa: SIM118
        for key in SAID:
            section.raw(key)
    section.finish()
    return tuple(facts)


def _read(section: Section, key: str, said: Said) -> tuple[Fact, ...]:
    where = section.where(key)
    if said.kind == "quantity":
        return (section.fact(key, said.dimension, called=said.fact, low=0.0),)
    if said.kind == "declaration":
        inner = section.section(key)
        value, at = inner.flag("said"), inner.moment("at", required=True)
        if value is None:
            inner.wrong("said", "is missing; write true or false")
        inner.finish()
        if value is None or at is None:
            return (missing(key, where=where), missing(f"{key}_at", where=where))
        word = "yes" if value else "no"
        return (
            Fact(key, value, word, Origin.STATED, at, where),
            Fact(f"{key}_at", at, str(at), Origin.STATED, at, where),
        )
    value = _READERS[said.kind](section, key)
    if value is None:
        return (missing(said.fact, where=where),)
    return (Fact(said.fact, value, str(value), Origin.RECORD, where=where),)


_READERS: dict[str, Callable[[Section, str], Any]] = {
    "flag": lambda section, key: section.flag(key),
    "day": lambda section, key: section.day(key),
    "text": lambda section, key: section.text(key),
    "words": lambda section, key: frozenset(section.texts(key)),
    "whole": lambda section, key: section.integer(key),
}


def all_said(*tables: tuple[Fact, ...]) -> dict[str, Fact]:
    """Return every fact that the tables state, the first table's word going before the others'."""
    return {fact.name: fact for table in reversed(tables) for fact in table}
