"""What only the law asks about, by the page on which it is asked; the words are those of the answers."""

from __future__ import annotations

from gyrewright.card import COUNTS
from gyrewright.desk.opening.ask import Ask, How
from gyrewright.rules.said import SAID
from gyrewright.words.catalogue import catalogue

OF_FIELD = (
    "flight_airspace",
    "flight_surface",
    "enters_controlled_airspace",
    "controlled_place",
    "airspace_needs_transponder",
    "airspace_excepts_no_electrics",
    "highest_ground",
)
OF_HOUSE = (
    "training_is_paid",
    "instruction_for_hire",
    "instructor_provides_aircraft",
    "same_provider",
    "aircraft_advertised",
    "aircraft_charge",
    "persons_for_hire",
    "flight_offered_as",
    "flight_within_country",
    "flight_abroad",
    "flight_for_hire",
    "flight_in_business",
    "flight_tows",
    "flight_demonstrates_for_sale",
    "flight_for_charity",
    "flight_to_inspection",
)
OF_AIRCRAFT = (
    "registration",
    "certificate_registration",
    "airworthiness_certificate_aboard",
    "airworthiness_certificate_displayed",
    "registration_aboard",
    "registration_temporary",
    "registration_until_on",
    "registered_at_home",
    "manual_or_limitations_aboard",
    "placards_in_place",
    "markings_in_place",
    "aircraft_seats",
    "pilot_stations",
    "dual_controls_working",
    "transponder_fitted",
    "transponder_to_be_used",
    "aircraft_features",
    "equipment_working",
    "position_lights_working",
    "aircraft_vs1",
    "aircraft_vh",
    "aircraft_pressurized",
    "aircraft_rotor",
    "aircraft_gear",
    "aircraft_gear_retractable",
    "aircraft_propeller",
    "aircraft_engine",
    "aircraft_controllable_without_power",
    "flight_needs_crew_or_type_rating",
    "limits_forbid_a_task",
)
"""What every aircraft is asked."""
OF_SOME_AIRCRAFT = (
    "transponder_working",
    "transponder_tested_on",
    "position_broadcast_working",
    "never_had_engine_driven_electrics",
    "night_flight_authorized",
    "equipment_required",
    "purpose_on_certificate",
    "purpose_of_use",
    "test_phase_complete",
    "inside_test_area",
    "crew_needed",
    "limits_require_rating",
    "condition_inspection_months",
    "condition_inspection_on",
    "annual_inspection_on",
    "registration_is_first",
    "registration_applied_on",
    "registration_issued_on",
    "registration_ended_on",
    "training_authority_relied_on",
    "training_authority_aboard",
)
"""What only an aircraft with a special certificate, other equipment or new papers is asked."""

_HOW: dict[str, How] = {"flag": "yes", "day": "day", "words": "words", "whole": "whole"}
_HINTS = {
    "registration": "as painted on it",
    "registration_until_on": "as printed",
    "equipment_working": "airspeed indicator, altimeter, magnetic direction indicator, tachometer, ...",
    "aircraft_features": "liquid cooling, ... or none",
    "aircraft_vs1": "26 kt",
    "aircraft_vh": "85 kt",
    "highest_ground": "3900 ft",
    "flight_airspace": "G",
    "flight_surface": "none",
    "controlled_place": "its name; leave empty where none is entered",
    "aircraft_charge": "above cost, at cost, none",
    "flight_offered_as": "lesson",
    "aircraft_propeller": "ground-adjustable",
    "aircraft_gear": "fixed",
    "aircraft_engine": "single reciprocating",
    "aircraft_rotor": "fixed pitch, semi-rigid, teetering, two blades",
}


def words_of(fact: str) -> str:
    """Return what a fact is called, with a capital; its name where the catalogue has no words."""
    found = catalogue().word("fact", fact)
    text = found[0].text if found else fact.replace("_", " ")
    return text[:1].upper() + text[1:]


def law_asks(names: tuple[str, ...]) -> tuple[Ask, ...]:
    """Return the questions for some keys of a `[law]` table."""
    return tuple(
        Ask(f"law.{name}", words_of(SAID[name].fact), _HOW.get(SAID[name].kind, "text"), _HINTS.get(name, ""))
        for name in names
    )


def card_words(name: str) -> str:
    """Return what a figure of the manual's card is called."""
    if name in COUNTS:
        text = f"how many: {name.replace('_', ' ')}"
    else:
        found = catalogue().word("part", name)
        text = found[0].text if found else name.replace("_", " ")
    return text[:1].upper() + text[1:]
