"""A day on which nothing stands against the flight, and how one rule is asked about it."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta, timezone
from functools import cache

import pytest

from gyrewright.fact import Fact, missing
from gyrewright.finding import Finding, Verdict
from gyrewright.rules import Flight, checks_in_force, in_force, maybe_facts, packaged, read_pack

ON = date(2027, 6, 14)
ZONE = timezone(timedelta(hours=-7))


def at(hour: int, minute: int = 0, day: date = ON) -> datetime:
    return datetime(day.year, day.month, day.day, hour, minute, tzinfo=ZONE)


@dataclass(frozen=True)
class Landing:
    on: date
    aircraft_class: str = "rotorcraft gyroplane"
    take_offs: int = 3
    landings: int = 3
    sole: bool | None = True
    night: bool | None = False
    full_stop: bool | None = True


@dataclass(frozen=True)
class Endorsement:
    what_for: str
    make_model: str = ""
    place: str = ""
    given_by: str = "I1"
    given_on: date = ON - timedelta(days=22)
    rests_on: date | None = None
    for_flight_on: date | None = None
    giver_in_standing: bool | None = True


DAYLIGHT = {"sunrise_at": at(5), "dawn_at": at(4, 25), "sunset_at": at(20, 44), "dusk_at": at(21, 20)}
DARK = {"depart_at": at(22), "land_at": at(23), "block_h": 1.0}

ROTOR = "fixed pitch, semi-rigid, teetering, two blades"
MEDICAL = {
    "medical_route": "licence",
    "medical_exam_on": date(2026, 5, 3),
    "born_on": date(1980, 1, 1),
    "licence_until_on": date(2029, 1, 1),
    "licence_conditions_met": True,
    "basicmed_course_on": date(2026, 7, 1),
    "basicmed_exam_on": date(2024, 7, 1),
    "basicmed_history_clear": True,
}
PILOT = {
    "certificate": "sport",
    "certificate_valid": True,
    "certificate_on": date(2020, 1, 1),
    "certificate_temporary": False,
    "privileges": "sport",
    "fitness": "fit",
    "fitness_at": at(7),
    "sober": True,
    "sober_at": at(7),
    "ratings": frozenset({"rotorcraft gyroplane"}),
    "class_endorsements": frozenset(),
    "review_on": date(2026, 2, 3),
    "review_scope": "full",
    "landings": (Landing(date(2027, 6, 1)), Landing(date(2027, 6, 2), night=True)),
    "endorsed_for": frozenset({"controlled airspace", "fast aircraft", "night", "retractable gear"}),
    "restrictions_kept": True,
    "cost_share_ratio": 0.5,
    "address_current": True,
    "address_current_at": at(7, day=date(2027, 1, 1)),
}
GOOD: dict[str, object] = {
    **DAYLIGHT,
    **{f"commander_{key}": value for key, value in {**MEDICAL, **PILOT}.items()},
    **{f"examiner_{key}": value for key, value in MEDICAL.items()},
    "flight_on": ON,
    "asked_at": at(8),
    "depart_at": at(9),
    "land_at": at(10),
    "block_h": 1.0,
    "purpose": "instruction",
    "lesson": "",
    "aboard_count": 2,
    "commander": "I1",
    "instructor": "I1",
    "student": "S1",
    "passenger": "",
    "passenger_count": 0,
    "make_model": "Invented Two",
    "certificate": "amateur-built",
    "pack_read_on": date(2026, 11, 25),
    "pack_begins": date(2024, 12, 2),
    "airworthiness_certificate_aboard": True,
    "airworthiness_certificate_displayed": True,
    "certificate_registration": "N0-101D",
    "registration": "N0-101D",
    "registration_aboard": True,
    "registration_temporary": False,
    "registration_until_on": date(2030, 1, 31),
    "flight_within_country": True,
    "manual_or_limitations_aboard": True,
    "placards_in_place": True,
    "markings_in_place": True,
    "purpose_on_certificate": "amateur-built",
    "purpose_of_use": "amateur-built",
    "persons_for_hire": False,
    "test_phase_complete": True,
    "crew_needed": 1,
    "training_is_paid": True,
    "same_provider": True,
    "aircraft_advertised": True,
    "aircraft_charge": "above cost",
    "training_authority": "L-1",
    "training_authority_on": date(2025, 3, 1),
    "training_authority_aboard": True,
    "training_authority_relied_on": True,
    "flight_offered_as": "lesson",
    "annual_inspection_on": date(2026, 7, 12),
    "condition_inspection_on": date(2026, 7, 12),
    "condition_inspection_months": 12,
    "instruction_for_hire": True,
    "instructor_provides_aircraft": True,
    "hours_inspected_at_h": 400.0,
    "hours_were_due_at_h": 400.0,
    "time_in_service_h": 450.0,
    "flight_to_inspection": False,
    "directives": (),
    "life_limits": (),
    "undeferred_defects": (),
    "inoperative": (),
    "work_not_returned": (),
    "check_flight_needed": False,
    "check_flight_logged": False,
    "transponder_fitted": True,
    "transponder_to_be_used": True,
    "airspace_needs_transponder": False,
    "transponder_working": True,
    "position_broadcast_working": True,
    "transponder_tested_on": date(2026, 1, 5),
    "walk_round_done": True,
    "commander_finds_safe": True,
    "equipment_working": frozenset(
        {
            *("airspeed indicator", "altimeter", "magnetic direction indicator", "tachometer", "oil pressure gauge"),
            *("fuel quantity gauge", "safety belts", "shoulder harness", "coolant temperature gauge"),
            *("position lights", "anticollision light", "electrical source", "spare fuses", "landing light"),
        }
    ),
    "equipment_required": frozenset({"airspeed indicator", "altimeter"}),
    "aircraft_features": frozenset({"liquid cooling"}),
    "flight_for_hire": False,
    "flight_in_business": False,
    "flight_abroad": False,
    "least_mass_margin_kg": 20.2,
    "least_station_margin_kg": 5.0,
    "least_balance_margin_m": 0.01,
    "weighing_used": "3",
    "weighing_in_force": "3",
    "aircraft_seats": 2,
    "runway_available_m": 850.0,
    "take_off_needed_m": 400.0,
    "landing_needed_m": 200.0,
    "cloud_base_m": 1500.0,
    "planned_height_m": 300.0,
    "ground_in_sight": True,
    **{
        name: value
        for said in (
            *("briefing_taken", "restrictions_clear", "radio_and_clearance_arranged", "heights_planned"),
            *(
                "flow_avoided",
                "belts_briefed",
                "nature_advised",
                "commander_documents_aboard",
                "instructor_scope_stated",
            ),
        )
        for name, value in ((said, True), (f"{said}_at", at(8)))
    },
    "position_lights_working": True,
    "night_flight_authorized": True,
    "limits_require_rating": True,
    "aircraft_vs1_m_s": 15.0,
    "aircraft_vh_m_s": 44.0,
    "aircraft_pressurized": False,
    "aircraft_rotor": ROTOR,
    "aircraft_gear": "fixed",
    "aircraft_gear_retractable": False,
    "aircraft_propeller": "ground-adjustable",
    "aircraft_controllable_without_power": True,
    "flight_tows": False,
    "flight_demonstrates_for_sale": False,
    "flight_for_charity": False,
    "flight_needs_crew_or_type_rating": False,
    "planned_altitude_m": 1300.0,
    "highest_ground_m": 1000.0,
    "enters_controlled_airspace": False,
    "student_presolo_test_for": "Invented Two",
    "student_presolo_errors_reviewed": True,
    "student_presolo_items": frozenset(
        {
            *("preparation and systems", "taxi and run-up", "take-offs and landings with crosswind"),
            *("straight flight and turns", "climbs", "traffic pattern", "collision, windshear and wake", "descents"),
            *("airspeeds", "emergencies", "ground reference", "approaches", "high rate of descent and recovery"),
            *("go-around", "power-off landing and power failure"),
        }
    ),
    "student_endorsements": (Endorsement("solo", "Invented Two"), Endorsement("solo night", "Invented Two")),
    "farthest_from_start_m": 5000.0,
    "lands_elsewhere": False,
    "destination": "",
    "cross_country_planning_reviewed": True,
    "cross_country_weather_reviewed": True,
    "controlled_place": "",
    "instructor_ratings": frozenset({"rotorcraft gyroplane"}),
    "instructor_teaching_ratings": frozenset({"rotorcraft gyroplane"}),
    "instructor_teaching_on": date(2025, 6, 1),
    "instructor_teaching_recent_on": date(2026, 6, 1),
    "instructor_taught": (),
    "instructor_endorsed_for": frozenset({"controlled airspace", "fast aircraft", "night"}),
    "dual_controls_working": True,
    "pilot_stations": 2,
    "student_knowledge_test_on": date(2026, 3, 15),
    "student_test_report_presented": True,
    "student_areas_missed": 0,
    "student_test_training_on": date(2027, 6, 6),
    "student_test_endorsed_on": date(2027, 6, 6),
    "student_experience_complete": True,
    "student_claims_credit": False,
    "student_test_failed": False,
    "examiner_accepts_aircraft": True,
    "registered_at_home": True,
    "limits_forbid_a_task": False,
    "test_commander_agreed": True,
    "examiner_standard_edition": "FAA-S-8081-29B",
    "planned_recovery_height_m": 500.0,
    "flight_entry_fields": frozenset({"date", "total time", "departure", "arrival", "aircraft", "kind", "conditions"}),
    "training_entry_fields": frozenset(
        {"description", "length", "signature", "certificate number", "expiry or end of recent experience"}
    ),
    "endorsements_recorded": True,
    "endorsement_records_kept_until_on": date(2031, 1, 1),
    "defects_not_reported": (),
    "event_kinds": frozenset(),
    "authority_notified": False,
    "records_frozen": False,
}
FLIGHT = Flight("instruction", 2, "", frozenset(), "amateur-built", "sport", "sport", "G", "none", "day")


@cache
def pack(name="us"):
    return read_pack(packaged(name))


@pytest.fixture(scope="session")
def us():
    return pack()


@pytest.fixture(scope="session")
def good():
    return dict(GOOD)


@pytest.fixture(scope="session")
def shapes():
    return {"Landing": Landing, "Endorsement": Endorsement, "at": at, "flight": FLIGHT}


def as_facts(values):
    return {name: value if isinstance(value, Fact) else Fact(name, value) for name, value in values.items()}


def put(check, facts):
    """Ask a check as the engine does: a missing input is an UNKNOWN that names it."""
    facts = {**facts, **maybe_facts((check,), facts)}
    given = [facts.get(name) or missing(name) for name in check.inputs]
    lacking = tuple(fact.name for fact in given if not fact.is_known)
    if lacking:
        return (Finding(check.id, Verdict.UNKNOWN, why="unknown", lacking=lacking),)
    found = check.judge(*(fact.value for fact in given))
    return () if found is None else found if isinstance(found, tuple) else (found,)


@pytest.fixture(scope="session")
def ask():
    """Ask one rule about the good day with some facts changed; None stands for a fact that nobody has given.

    The words of the flight follow the rule's own gates, unless they are given.
    """

    def asked(id, changes=None, *, on=ON, words=None, name="us"):
        rule = pack(name).rule(id)
        flight = FLIGHT
        if words is None:
            words = {gate: sorted(accepted)[0] for gate, accepted in rule.gates.items()}
            words |= {
                "purpose": sorted(rule.when.purpose or {"instruction"})[0],
                "lesson": sorted(rule.when.lesson or {""})[0],
            }
        flight = replace(flight, **words)
        values = {**GOOD, "flight_on": on, "purpose": flight.purpose, "certificate": flight.certificate}
        values["commander_privileges"] = flight.privileges
        values |= changes or {}
        facts = as_facts({key: value for key, value in values.items() if value is not None})
        checks = [each for each in checks_in_force(pack(name), on, flight, phase=rule.phase) if each.id == f"rule.{id}"]
        if not checks:
            assert in_force(rule, on) is None or words is not None
            return None
        return put(checks[0], facts)

    return asked
