"""Every row of the release table: one flight that passes and one that stops."""

from dataclasses import replace
from datetime import date, timedelta

import pytest

from gyrewright.finding import Verdict, worst
from gyrewright.rules.page import row_kind
from gyrewright.rules.shapes import Due, Inoperative

ON = date(2027, 6, 14)
GYRO = "rotorcraft gyroplane"
STOP, UNKNOWN, GO_IF = Verdict.STOP, Verdict.UNKNOWN, Verdict.GO_IF
DECLARED = {"23", "24", "26", "27", "27a", "29", "31", "38", "47", "50"}


class At:
    """A moment of the day, filled in by the test: the table is written before the fixture exists."""

    def __init__(self, hour, minute=0, day=ON):
        self.given = (hour, minute, day)


DARK = {"depart_at": At(22), "land_at": At(23)}
SOLO = {"commander": "S1", "aboard_count": 1}


class Land:
    def __init__(self, **given):
        self.given = {"on": ON - timedelta(days=5), **given}


class End:
    def __init__(self, what_for, **given):
        self.given = {"what_for": what_for, **given}


# row, rule, changes that still pass, changes that stop, what a stop is called
ROWS = [
    ("1", "us.91.203.certificate", {}, {"airworthiness_certificate_displayed": False}, "hidden"),
    ("1", "us.91.203.certificate", {}, {"airworthiness_certificate_aboard": False}, "absent"),
    ("1", "us.91.203.certificate", {}, {"certificate_registration": "N0-202W"}, "other"),
    ("1", "us.21.190", {"aircraft_vh_m_s": 100.0}, {"aircraft_seats": 3}, "seats"),
    ("1", "us.21.190", {}, {"aircraft_vh_m_s": 129.0}, "fast"),
    ("2", "us.91.203.registration", {}, {"registration_until_on": ON - timedelta(days=1)}, "expired"),
    ("2", "us.91.203.registration", {"registration_until_on": ON}, {"registration_ended_on": ON}, "ended"),
    ("2", "us.91.203.registration", {}, {"registration_aboard": False}, "absent"),
    (
        "2",
        "us.91.203.registration",
        {"registration_temporary": True, "registration_applied_on": date(2026, 6, 14)},
        {"registration_temporary": True, "registration_applied_on": date(2026, 6, 13)},
        "expired",
    ),
    (
        "2",
        "us.91.203.registration",
        {"registration_temporary": True, "registration_applied_on": date(2027, 1, 1)},
        {"registration_temporary": True, "registration_applied_on": ON, "flight_within_country": False},
        "abroad",
    ),
    (
        "2",
        "us.91.203.registration",
        {"registration_until_on": None, "registration_issued_on": date(2020, 6, 1), "registration_is_first": True},
        {"registration_until_on": None, "registration_issued_on": date(2020, 5, 31), "registration_is_first": True},
        "expired",
    ),
    ("3", "us.91.9.aboard", {}, {"placards_in_place": False}, "stop"),
    ("4", "us.91.319.use", {}, {"purpose_of_use": "exhibition"}, "purpose"),
    (
        "4",
        "us.91.319.use",
        {"persons_for_hire": True},
        {"test_phase_complete": False, "inside_test_area": False},
        "area",
    ),
    (
        "4",
        "us.91.319.use",
        {"test_phase_complete": False, "inside_test_area": True, "aboard_count": 1},
        {"test_phase_complete": False, "inside_test_area": True, "aboard_count": 2},
        "tests",
    ),
    ("4", "us.91.319.use", {}, {"persons_for_hire": True, "purpose": "private"}, "hire"),
    ("5", "us.91.326.training", {}, {"training_authority": ""}, "stop"),
    ("5", "us.91.326.training", {}, {"training_authority_aboard": False}, "aboard"),
    ("5", "us.91.326.training", {}, {"training_authority_on": ON + timedelta(days=1)}, "later"),
    (
        "5",
        "us.91.326.training",
        {"training_authority": "", "same_provider": False, "aircraft_advertised": False, "aircraft_charge": "cost"},
        {"training_authority": "", "same_provider": False, "aircraft_advertised": True, "aircraft_charge": "cost"},
        "stop",
    ),
    (
        "5",
        "us.91.326.training",
        {"training_is_paid": False, "training_authority": ""},
        {"training_authority": ""},
        "stop",
    ),
    ("6", "us.91.326.old-authority", {}, {"training_authority_on": date(2024, 12, 1)}, "stop"),
    ("7", "us.91.326.no-demo", {}, {"flight_offered_as": "discovery"}, "stop"),
    ("7", "us.91.326.persons", {}, {"passenger": "P1"}, "stop"),
    ("7", "us.91.326.persons", {}, {"aboard_count": 3}, "many"),
    (
        "8",
        "us.91.409.annual",
        {"annual_inspection_on": date(2026, 6, 1)},
        {"annual_inspection_on": date(2026, 5, 31)},
        "stop",
    ),
    ("8", "us.91.327.condition", {}, {"condition_inspection_on": date(2026, 5, 31)}, "stop"),
    ("8", "us.91.319.condition", {}, {"condition_inspection_months": 6}, "stop"),
    ("9", "us.91.409.hundred", {"time_in_service_h": 499.0}, {"time_in_service_h": 499.1}, "stop"),
    (
        "9",
        "us.91.409.hundred",
        {"instruction_for_hire": False, "time_in_service_h": 600.0},
        {"time_in_service_h": 500.0},
        "stop",
    ),
    (
        "9",
        "us.91.409.hundred",
        {"time_in_service_h": 505.0, "flight_to_inspection": True},
        {"time_in_service_h": 509.5, "flight_to_inspection": True},
        "stop",
    ),
    ("9", "us.91.327.hundred", {}, {"time_in_service_h": 505.0, "flight_to_inspection": True}, "stop"),
    ("9", "us.91.319.hundred", {}, {"time_in_service_h": 505.0, "flight_to_inspection": True}, "stop"),
    ("9", "us.91.326.hundred", {}, {"time_in_service_h": 505.0}, "stop"),
    (
        "9",
        "us.91.326.hundred",
        {"time_in_service_h": 505.0, "training_authority_relied_on": False},
        {"hours_inspected_at_h": 404.5, "time_in_service_h": 499.2},
        "stop",
    ),
    ("10", "us.39.7", {"directives": (Due("a", ON),)}, {"directives": (Due("a", ON - timedelta(days=1)),)}, "stop"),
    (
        "11",
        "us.91.403.life",
        {"life_limits": (Due("a", None, 10.0, 9.0),)},
        {"life_limits": (Due("a", None, 10.0, 9.1),)},
        "stop",
    ),
    ("12", "us.91.405", {}, {"undeferred_defects": ("nose wheel shimmy",)}, "stop"),
    (
        "13",
        "us.91.213",
        {"inoperative": (Inoperative("landing lamp", False, False, True, True, None, "M1", True),)},
        {"inoperative": (Inoperative("tachometer", True, False, True, True, None, "M1", True),)},
        "required",
    ),
    (
        "13",
        "us.91.213",
        {"inoperative": (Inoperative("landing lamp", False, True, False, True, True, "M1", True),)},
        {"inoperative": (Inoperative("landing lamp", False, True, False, True, False, "M1", True),)},
        "entry",
    ),
    (
        "13",
        "us.91.213",
        {},
        {"inoperative": (Inoperative("landing lamp", False, False, True, False, None, "M1", True),)},
        "placard",
    ),
    (
        "13",
        "us.91.213",
        {},
        {"inoperative": (Inoperative("landing lamp", False, False, False, True, None, "M1", True),)},
        "connected",
    ),
    (
        "13",
        "us.91.213",
        {},
        {"inoperative": (Inoperative("landing lamp", False, False, True, True, None, "S1", False),)},
        "decider",
    ),
    ("14", "us.91.407.return", {}, {"work_not_returned": ("push-rod end",)}, "stop"),
    ("15", "us.91.407.check", {}, {"check_flight_needed": True}, "stop"),
    (
        "15",
        "us.91.407.check",
        {"check_flight_needed": True, "check_flight_logged": True},
        {"check_flight_needed": True, "aboard_count": 1, "commander_certificate": "sport"},
        "not_rated",
    ),
    (
        "16",
        "us.91.413",
        {"transponder_tested_on": date(2025, 6, 1)},
        {"transponder_tested_on": date(2025, 5, 31), "airspace_needs_transponder": True},
        "stop",
    ),
    ("17", "us.91.7", {}, {"commander_finds_safe": False}, "stop"),
    ("18", "us.91.205", {}, {"equipment_working": frozenset({"altimeter"})}, "stop"),
    ("18", "us.91.319.equipment", {}, {"equipment_required": frozenset({"radio"})}, "stop"),
    ("19", "us.91.9.loading", {"least_mass_margin_kg": 0.0}, {"least_mass_margin_kg": -8.4}, "mass"),
    ("19", "us.91.9.loading", {}, {"least_station_margin_kg": -5.0}, "station"),
    ("19", "us.91.9.loading", {}, {"least_balance_margin_m": -0.009}, "balance"),
    ("19", "us.91.9.loading", {}, {"weighing_used": "2"}, "weighing"),
    ("19", "us.91.9.loading", {}, {"aboard_count": 3}, "seats"),
    ("20", "us.91.103.runway", {"take_off_needed_m": 850.0}, {"take_off_needed_m": 850.1}, "stop"),
    ("20", "us.91.103.runway", {}, {"landing_needed_m": 900.0}, "landing"),
    ("22", "us.91.155.cloud", {"planned_height_m": 1347.0}, {"planned_height_m": 1348.0}, "stop"),
    ("22", "us.91.155.cloud-g-night", {}, {"planned_height_m": 1348.0}, "stop"),
    ("22", "us.91.155.cloud-g", {"planned_height_m": 1500.0}, {"planned_height_m": 1501.0}, "stop"),
    ("22", "us.91.155.cloud-high", {}, {"planned_height_m": 1200.0}, "stop"),
    (
        "25",
        "us.91.215",
        {"airspace_needs_transponder": True},
        {"airspace_needs_transponder": True, "transponder_working": False},
        "stop",
    ),
    (
        "25",
        "us.91.215",
        {"airspace_needs_transponder": True, "position_broadcast_working": False, "deviation_asked_at": At(8)},
        {"airspace_needs_transponder": True, "position_broadcast_working": False, "deviation_asked_at": At(8, 1)},
        "stop",
    ),
    (
        "25",
        "us.91.215",
        {
            "airspace_needs_transponder": True,
            "transponder_working": False,
            "never_had_engine_driven_electrics": True,
            "airspace_excepts_no_electrics": True,
        },
        {
            "airspace_needs_transponder": True,
            "transponder_working": False,
            "never_had_engine_driven_electrics": True,
            "airspace_excepts_no_electrics": False,
        },
        "stop",
    ),
    ("28", "us.91.209", {"land_at": At(20, 50)}, {"land_at": At(20, 50), "position_lights_working": False}, "stop"),
    ("28", "us.91.319.night", DARK, {**DARK, "night_flight_authorized": False}, "stop"),
    ("28", "us.91.327.night", DARK, {**DARK, "night_flight_authorized": False}, "stop"),
    ("30", "us.61.2", {}, {"commander_certificate_valid": False}, "stop"),
    (
        "30",
        "us.61.2",
        {"commander_certificate_temporary": True, "commander_certificate_on": ON - timedelta(days=120)},
        {"commander_certificate_temporary": True, "commander_certificate_on": ON - timedelta(days=121)},
        "temporary",
    ),
    ("30", "us.61.305.age", {"commander_born_on": date(2010, 6, 14)}, {"commander_born_on": date(2010, 6, 15)}, "stop"),
    ("30", "us.61.23.commander", {}, {"commander_licence_conditions_met": False}, "conditions"),
    (
        "30",
        "us.61.23.commander",
        {"commander_licence_until_on": ON},
        {"commander_licence_until_on": ON - timedelta(days=1)},
        "expired",
    ),
    ("30", "us.61.23.commander", {}, {"commander_privileges": "private"}, "route"),
    ("30", "us.61.23.commander", {**DARK, "commander_medical_route": "basicmed"}, DARK, "night"),
    (
        "30",
        "us.61.23.commander",
        {"commander_medical_route": "medical", "commander_medical_exam_on": date(2025, 6, 1)},
        {"commander_medical_route": "medical", "commander_medical_exam_on": date(2025, 5, 31)},
        "expired",
    ),
    (
        "30",
        "us.61.23.commander",
        {"commander_medical_route": "basicmed"},
        {"commander_medical_route": "basicmed", "commander_basicmed_course_on": date(2025, 5, 31)},
        "expired",
    ),
    ("30", "us.61.23.examiner", {}, {"examiner_licence_conditions_met": False}, "conditions"),
    ("30", "us.61.53", {"commander_fitness": "fit with caution"}, {"commander_fitness": "not fit"}, "stop"),
    ("32", "us.61.31", {}, {"commander_ratings": frozenset({"rotorcraft helicopter"})}, "stop"),
    (
        "32",
        "us.61.31",
        {"commander_ratings": frozenset(), "commander_class_endorsements": frozenset({GYRO})},
        {"commander_ratings": frozenset(), "aboard_count": 1},
        "stop",
    ),
    (
        "32",
        "us.61.31",
        {"commander_ratings": frozenset(), "aboard_count": 1, "limits_require_rating": False},
        {"commander_ratings": frozenset(), "aboard_count": 2, "limits_require_rating": False},
        "stop",
    ),
    ("33", "us.61.316", {"aircraft_propeller": "automatic"}, {"aircraft_propeller": "manual"}, "stop"),
    ("33", "us.61.316", {}, {"aircraft_vs1_m_s": 23.2}, "stop"),
    ("33", "us.61.316", {}, {"aircraft_controllable_without_power": False}, "stop"),
    ("34", "us.61.315.passengers", {"passenger_count": 1}, {"passenger_count": 2}, "stop"),
    (
        "34",
        "us.61.315.gain",
        {"passenger_count": 1},
        {"passenger_count": 1, "commander_cost_share_ratio": 0.49},
        "share",
    ),
    ("34", "us.61.315.gain", {}, {"flight_for_hire": True}, "hire"),
    ("34", "us.61.315.gain", {}, {"flight_in_business": True}, "business"),
    ("34", "us.61.315.other", {}, {"flight_tows": True}, "stop"),
    ("34", "us.61.315.restrictions", {}, {"commander_restrictions_kept": False}, "stop"),
    ("34", "us.61.315.ground", {}, {"ground_in_sight": False}, "stop"),
    ("34", "us.61.315.height", {"planned_altitude_m": 3048.0}, {"planned_altitude_m": 3049.0}, "stop"),
    (
        "34",
        "us.61.315.height",
        {"planned_altitude_m": 3600.0, "highest_ground_m": 3000.0},
        {"planned_altitude_m": 3610.0, "highest_ground_m": 3000.0},
        "stop",
    ),
    (
        "35",
        "us.61.325",
        {"enters_controlled_airspace": True},
        {"enters_controlled_airspace": True, "commander_endorsed_for": frozenset()},
        "stop",
    ),
    (
        "35",
        "us.61.327",
        {"aircraft_vh_m_s": 50.0},
        {"aircraft_vh_m_s": 50.0, "commander_endorsed_for": frozenset()},
        "stop",
    ),
    ("35", "us.61.329", DARK, {**DARK, "commander_endorsed_for": frozenset()}, "endorsement"),
    (
        "35",
        "us.61.331",
        {"aircraft_gear_retractable": True},
        {"aircraft_gear_retractable": True, "commander_endorsed_for": frozenset()},
        "stop",
    ),
    ("36", "us.61.56", {"commander_review_on": date(2025, 6, 1)}, {"commander_review_on": date(2025, 5, 31)}, "stop"),
    (
        "36",
        "us.61.56",
        {"commander_review_scope": "sport", "commander_privileges": "sport"},
        {"commander_review_scope": "sport", "commander_privileges": "private"},
        "scope",
    ),
    (
        "37",
        "us.61.57.day",
        {"commander_landings": (Land(on=ON - timedelta(days=90)),)},
        {"commander_landings": (Land(on=ON - timedelta(days=91)),)},
        "stop",
    ),
    ("37", "us.61.57.day", {}, {"commander_landings": (Land(aircraft_class="airplane single-engine land"),)}, "stop"),
    ("37", "us.61.57.day", {}, {"commander_landings": (Land(sole=False),)}, "stop"),
    ("37", "us.61.57.day", {}, {"commander_landings": (Land(landings=2),)}, "stop"),
    ("37", "us.61.57.day", {}, {"commander_landings": (Land(take_offs=2),)}, "stop"),
    ("37", "us.61.57.day", {"commander_landings": (), "regaining_recency": True}, {"commander_landings": ()}, "stop"),
    ("37", "us.61.57.day", {"commander_landings": (), "purpose": "test"}, {"commander_landings": ()}, "stop"),
    (
        "37",
        "us.61.57.night",
        {**DARK, "commander_landings": (Land(night=True),)},
        {**DARK, "commander_landings": (Land(night=False),)},
        "stop",
    ),
    (
        "37",
        "us.61.57.night",
        {**DARK, "commander_landings": (Land(night=True),)},
        {**DARK, "commander_landings": (Land(night=True, full_stop=False),)},
        "stop",
    ),
    ("39", "us.61.87.training", SOLO, {"student_presolo_test_for": "Invented Three"}, "test"),
    ("39", "us.61.87.training", SOLO, {"student_presolo_items": frozenset({"climbs"})}, "stop"),
    ("39", "us.61.87.training", SOLO, {"student_presolo_errors_reviewed": False}, "review"),
    (
        "40",
        "us.61.87.endorsement",
        {"student_endorsements": (End("solo", make_model="Invented Two", given_on=ON - timedelta(days=90)),)},
        {"student_endorsements": (End("solo", make_model="Invented Two", given_on=ON - timedelta(days=91)),)},
        "stop",
    ),
    ("40", "us.61.87.endorsement", {}, {"student_endorsements": ()}, "none"),
    (
        "40",
        "us.61.87.endorsement",
        {},
        {"student_endorsements": (End("solo", make_model="Invented Three"),)},
        "make_model",
    ),
    (
        "40",
        "us.61.87.endorsement",
        {},
        {"student_endorsements": (End("solo", make_model="Invented Two", giver_in_standing=False),)},
        "giver",
    ),
    (
        "40",
        "us.61.87.endorsement",
        {},
        {"student_endorsements": (End("solo", make_model="Invented Two", given_by="S1"),)},
        "own",
    ),
    (
        "40",
        "us.61.87.endorsement",
        {},
        {"student_endorsements": (End("solo", make_model="Invented Two", rests_on=ON - timedelta(days=91)),)},
        "stop",
    ),
    (
        "40",
        "us.61.87.endorsement",
        {},
        {"student_endorsements": (End("solo", make_model="Invented Two", given_on=ON + timedelta(days=1)),)},
        "later",
    ),
    ("40", "us.61.87.night", DARK, {**DARK, "student_endorsements": (End("solo", make_model="Invented Two"),)}, "none"),
    ("41", "us.61.89.alone", {"aboard_count": 1}, {"aboard_count": 2}, "passenger"),
    ("41", "us.61.89.alone", {"aboard_count": 1}, {"aboard_count": 1, "flight_for_hire": True}, "hire"),
    ("41", "us.61.89.alone", {"aboard_count": 1}, {"aboard_count": 1, "flight_abroad": True}, "abroad"),
    ("41", "us.61.89.ground", {}, {"ground_in_sight": False}, "stop"),
    ("41", "us.61.89.night", {}, DARK, "stop"),
    ("42", "us.61.93", {}, {"farthest_from_start_m": 46301.0}, "stop"),
    ("42", "us.61.93", {"farthest_from_start_m": 46300.0}, {"lands_elsewhere": True}, "stop"),
    (
        "42",
        "us.61.93",
        {
            "farthest_from_start_m": 60000.0,
            "student_endorsements": (
                End("cross-country category"),
                End("cross-country aircraft", make_model="Invented Two"),
                End("this cross-country", for_flight_on=ON),
            ),
        },
        {
            "farthest_from_start_m": 60000.0,
            "student_endorsements": (
                End("cross-country category"),
                End("cross-country aircraft", make_model="Invented Two"),
                End("this cross-country", for_flight_on=ON - timedelta(days=1)),
            ),
        },
        "stop",
    ),
    (
        "42",
        "us.61.93",
        {
            "farthest_from_start_m": 40000.0,
            "lands_elsewhere": True,
            "destination": "X1",
            "student_endorsements": (End("landings elsewhere", place="X1"),),
        },
        {
            "farthest_from_start_m": 40000.0,
            "lands_elsewhere": True,
            "destination": "X2",
            "student_endorsements": (End("landings elsewhere", place="X1"),),
        },
        "stop",
    ),
    ("42", "us.61.93.weather", {}, {"cross_country_weather_reviewed": False}, "stop"),
    (
        "42",
        "us.61.94",
        {"controlled_place": "X1", "student_endorsements": (End("controlled airspace", place="X1"),)},
        {"controlled_place": "X2", "student_endorsements": (End("controlled airspace", place="X1"),)},
        "none",
    ),
    (
        "42",
        "us.61.95",
        {"controlled_place": "X1", "student_endorsements": (End("class B", place="X1"),)},
        {"controlled_place": "X1", "student_endorsements": (End("controlled airspace", place="X1"),)},
        "none",
    ),
    ("43", "us.61.195.rating", {}, {"instructor_teaching_ratings": frozenset()}, "stop"),
    ("43", "us.61.195.rating", {}, {"instructor_ratings": frozenset()}, "pilot"),
    (
        "43",
        "us.61.197",
        {"instructor_teaching_recent_on": date(2025, 6, 1)},
        {"instructor_teaching_recent_on": date(2025, 5, 31)},
        "stop",
    ),
    (
        "44",
        "us.61.195.hours",
        {"instructor_taught": ((At(0), At(7)),)},
        {"instructor_taught": ((At(0), At(7, 12)),)},
        "stop",
    ),
    ("45", "us.91.109", {}, {"dual_controls_working": False}, "stop"),
    ("45", "us.91.109", {}, {"pilot_stations": 1}, "stations"),
    (
        "46",
        "us.61.415.airspace",
        {"enters_controlled_airspace": True},
        {"enters_controlled_airspace": True, "instructor_endorsed_for": frozenset()},
        "stop",
    ),
    (
        "46",
        "us.61.415.speed",
        {"aircraft_vh_m_s": 50.0},
        {"aircraft_vh_m_s": 50.0, "instructor_endorsed_for": frozenset()},
        "stop",
    ),
    ("46", "us.61.415.night", DARK, {**DARK, "instructor_endorsed_for": frozenset()}, "endorsement"),
    (
        "48",
        "us.61.39",
        {"student_knowledge_test_on": date(2025, 6, 1)},
        {"student_knowledge_test_on": date(2025, 5, 31)},
        "knowledge",
    ),
    ("48", "us.61.39", {}, {"student_test_report_presented": False}, "report"),
    (
        "48",
        "us.61.39",
        {"student_areas_missed": 3, "student_missed_areas_reviewed": True},
        {"student_areas_missed": 3, "student_missed_areas_reviewed": False},
        "areas",
    ),
    (
        "48",
        "us.61.39",
        {"student_test_training_on": date(2027, 4, 1)},
        {"student_test_training_on": date(2027, 3, 31)},
        "training",
    ),
    ("48", "us.61.39", {}, {"student_test_endorsed_on": date(2027, 6, 5)}, "endorsement"),
    ("48", "us.61.39", {}, {"student_experience_complete": False}, "experience"),
    (
        "48",
        "us.61.43.credit",
        {
            "student_claims_credit": True,
            "student_test_discontinued_on": ON - timedelta(days=60),
            "student_test_begun_on": ON - timedelta(days=60),
        },
        {
            "student_claims_credit": True,
            "student_test_discontinued_on": ON - timedelta(days=61),
            "student_test_begun_on": ON - timedelta(days=61),
        },
        "stop",
    ),
    (
        "48",
        "us.61.43.credit",
        {
            "student_claims_credit": True,
            "student_test_discontinued_on": ON - timedelta(days=60),
            "student_test_begun_on": date(2027, 4, 1),
        },
        {
            "student_claims_credit": True,
            "student_test_discontinued_on": ON - timedelta(days=60),
            "student_test_begun_on": date(2027, 3, 31),
        },
        "stop",
    ),
    (
        "48",
        "us.61.49",
        {
            "student_test_failed": True,
            "student_test_failed_on": date(2027, 6, 1),
            "student_retest_endorsed_on": date(2027, 6, 1),
        },
        {"student_test_failed": True, "student_test_failed_on": date(2027, 6, 1)},
        "stop",
    ),
    ("48", "us.61.43.standard-sport", {}, {"examiner_standard_edition": "FAA-S-8081-29A"}, "stop"),
    (
        "48",
        "us.61.43.standard-private",
        {"examiner_standard_edition": "FAA-S-8081-15B"},
        {"examiner_standard_edition": "FAA-S-8081-29B"},
        "stop",
    ),
    ("49", "us.61.45", {}, {"examiner_accepts_aircraft": False}, "stop"),
    ("49", "us.61.45", {}, {"limits_forbid_a_task": True}, "task"),
    ("49", "us.61.45", {}, {"registered_at_home": False}, "registered"),
    ("49", "us.61.45", {"pilot_stations": 1}, {"pilot_stations": 1, "examiner_accepts_aircraft": False}, "stations"),
    ("51", "us.61.51.flight", {}, {"flight_entry_fields": frozenset({"date"})}, "stop"),
    ("51", "us.61.189", {}, {"endorsements_recorded": False}, "stop"),
    ("51", "us.61.189", {}, {"endorsement_records_kept_until_on": date(2030, 6, 13)}, "short"),
    ("51", "us.91.405.after", {}, {"defects_not_reported": ("vibration",)}, "stop"),
    ("51", "us.830.5", {}, {"event_kinds": frozenset({"fire in flight"})}, "stop"),
    *(
        (row, rule, {}, {fact: False, "asked_at": At(9)}, "stop")
        for row, rule, fact in (
            ("23", "us.91.103.briefing", "briefing_taken"),
            ("24", "us.91.137", "restrictions_clear"),
            ("26", "us.91.129", "radio_and_clearance_arranged"),
            ("27", "us.91.119", "heights_planned"),
            ("27a", "us.91.126.flow", "flow_avoided"),
            ("29", "us.61.3", "commander_documents_aboard"),
            ("31", "us.91.17", "commander_sober"),
            ("38", "us.61.60", "commander_address_current"),
            ("50", "us.91.107", "belts_briefed"),
            ("50", "us.91.319.advised", "nature_advised"),
            ("47", "us.61.413.scope", "instructor_scope_stated"),
        )
    ),
]
LIMITS = {"21": ("reserve", 1 / 3), "22": ("visibility", 1609.344)}


@pytest.fixture
def filled(shapes):
    def fill(value):
        if isinstance(value, At):
            hour, minute, day = value.given
            return shapes["at"](hour, minute, day)
        if isinstance(value, Land):
            return shapes["Landing"](**value.given)
        if isinstance(value, End):
            return shapes["Endorsement"](**value.given)
        if isinstance(value, tuple):
            return tuple(fill(each) for each in value)
        return value

    return lambda changes: {key: fill(value) for key, value in changes.items()}


@pytest.mark.parametrize(
    ("row", "rule", "good", "bad", "why"), ROWS, ids=lambda value: value if isinstance(value, str) else ""
)
def test_each_row_passes_on_a_good_day_and_stops_on_a_bad_one(ask, us, filled, row, rule, good, bad, why):
    assert row in us.rule(rule).rows
    passing = ask(rule, filled(good))
    assert all(found.verdict is Verdict.GO for found in passing), passing
    stopping = ask(rule, filled(bad))
    assert worst(stopping) is STOP
    assert why in {found.why for found in stopping if found.verdict is STOP}


def test_every_row_has_a_stop_that_was_seen(us):
    seen = {row for row, *_ in ROWS} | LIMITS.keys()
    assert set(us.rows) == seen
    assert {rule.id for rule in us.rules if rule.evaluator != "limit"} - {rule for _, rule, *_ in ROWS} == {
        "us.pack",
        "us.61.43.recovery",
        "us.61.51.training",
    }


def test_only_the_rows_that_may_be_are_declared_alone(us):
    kinds = {row: row_kind(us, row) for row in us.rows}
    assert "absent" not in kinds.values()
    assert {row for row, kind in kinds.items() if kind == "declared"} == DECLARED


@pytest.mark.parametrize(
    ("row", "rule", "good", "bad", "why"), ROWS, ids=lambda value: value if isinstance(value, str) else ""
)
def test_every_rule_with_an_input_missing_never_passes_where_it_stopped(ask, us, filled, row, rule, good, bad, why):
    """Take each changed fact away: a stop may become UNKNOWN, or another stop, never a pass."""
    changes = filled(bad)
    for name in changes:
        found = ask(rule, {**changes, name: None})
        if found and worst(found) < UNKNOWN:
            assert name in OPTIONAL, (rule, name, found)


# Facts whose absence says something of its own: no end has been noted, no deviation asked for. The words of the flight
# fall back to the good day's.
OPTIONAL = {
    "registration_ended_on",
    "deviation_asked_at",
    # what only restricts or informs: rows 27, 27a and 47
    "heights_planned",
    "flow_avoided",
    "instructor_scope_stated",
}


def test_a_declaration_still_to_come_is_a_condition_with_owner_and_moment(ask, shapes):
    (found,) = ask("us.91.107", {"belts_briefed": False})
    assert found.verdict is GO_IF
    assert found.conditions[0].owner == "the commander"
    assert found.conditions[0].until == shapes["at"](9)


def test_what_only_restricts_is_a_condition_until_it_is_said_and_what_informs_is_a_note(ask):
    (found,) = ask("us.91.119", {"heights_planned": None})
    assert (found.verdict, found.conditions[0].id) == (GO_IF, "rules.declare")
    (found,) = ask("us.61.413.scope", {"instructor_scope_stated": None})
    assert (found.verdict, found.conditions[0].owner) == (GO_IF, "the instructor")
    (found,) = ask("us.91.126.flow", {"flow_avoided": None})
    assert (found.verdict, found.why, found.conditions) == (Verdict.GO, "note", ())


def test_an_old_declaration_is_unknown(ask, shapes):
    (found,) = ask("us.91.103.briefing", {"briefing_taken_at": shapes["at"](5, 59)})
    assert (found.verdict, found.why) == (UNKNOWN, "old")
    (found,) = ask("us.91.103.briefing", {"briefing_taken_at": shapes["at"](6)})
    assert found.verdict is Verdict.GO


def test_a_declaration_made_after_the_start_is_worth_nothing(ask, shapes):
    (found,) = ask("us.91.17", {"commander_sober_at": shapes["at"](9, 1)})
    assert found.verdict is UNKNOWN


def test_an_untested_transponder_out_of_its_airspace_stays_off(ask):
    (found,) = ask("us.91.413", {"transponder_tested_on": date(2025, 5, 31)})
    assert found.verdict is GO_IF
    assert found.conditions[0].id == "rules.transponder_off"


def test_a_check_flight_is_a_condition_for_a_rated_pilot_alone(ask):
    changes = {"check_flight_needed": True, "aboard_count": 1, "commander_certificate": "private"}
    (found,) = ask("us.91.407.check", changes)
    assert found.verdict is GO_IF
    assert found.conditions[0].owner == "I1"


def test_a_look_round_not_done_is_unknown_until_done(ask):
    (found,) = ask("us.91.7", {"walk_round_done": False, "commander_finds_safe": None})
    assert found.verdict is UNKNOWN


def test_a_reserve_limit_of_twenty_minutes_stands_day_and_night(us, shapes):
    from gyrewright.rules import limits_in_force

    for light in ("day", "twilight", "night"):
        limits = [
            each for each in limits_in_force(us, ON, replace(shapes["flight"], light=light)) if each.of == "reserve"
        ]
        assert [each.value for each in limits] == [pytest.approx(20 / 60)]


@pytest.mark.parametrize(
    ("words", "miles"),
    [
        ({"airspace": "G", "privileges": "private"}, {1.0}),
        ({"airspace": "G", "privileges": "sport"}, {1.0, 3.0}),
        ({"airspace": "G", "privileges": "private", "light": "night"}, {3.0}),
        ({"airspace": "E", "privileges": "private"}, {3.0}),
        ({"airspace": "E above 10000 ft", "privileges": "private"}, {5.0}),
        ({"airspace": "G", "privileges": "student private", "purpose": "student alone"}, {1.0, 3.0}),
        ({"airspace": "G", "privileges": "student private", "purpose": "student alone", "light": "night"}, {3.0, 5.0}),
        ({"airspace": "G", "privileges": "private", "surface": "D"}, {1.0, 3.0}),
    ],
)
def test_visibility_asked_for_follows_airspace_light_and_pilot(us, shapes, words, miles):
    from gyrewright.rules import limits_in_force

    limits = limits_in_force(us, ON, replace(shapes["flight"], **words))
    found = {round(each.value / 1609.344, 6) for each in limits if each.of == "visibility"}
    assert found == miles
