"""[ECFR14] Sections as amended in 2025 and 2026, in the rendering of 29 September 2026.

Dates are derived from the text, not printed there; speeds and heights are those printed. Every comparison is exact.
"""

from datetime import date, datetime, timedelta, timezone

import pytest

from gyrewright.rules import in_force, packaged, read_pack
from gyrewright.rules.registry import EVALUATORS

DOCUMENT = "14 CFR, a rendering of the eCFR of 29 September 2026"


PACK = read_pack(packaged("us"))


def cases(*rows):
    """Make a marked case of each row: place in the document, rule, day, facts, verdict."""
    return [
        pytest.param(*row[1:], marks=pytest.mark.source(DOCUMENT, row[0]), id=f"{row[0]} {n}")
        for n, row in enumerate(rows)
    ]


def judged(id, on, facts):
    """Return the worst verdict of the text in force on the day; "not asked" where the question does not arise."""
    rule = PACK.rule(id)
    value = in_force(rule, on)
    if value is None:
        return "not in force"
    found = EVALUATORS[rule.evaluator].function(**value.parameters, **facts)
    if found is None:
        return "not asked"
    return max(each.verdict for each in (found if isinstance(found, tuple) else (found,))).code


AIRCRAFT = {
    "aircraft_vs1_m_s": 45 * 1852 / 3600,
    "aircraft_seats": 2,
    "aircraft_pressurized": False,
    "aircraft_rotor": "fixed pitch, semi-rigid, teetering, two blades",
    "aircraft_gear": "fixed",
    "aircraft_propeller": "ground-adjustable",
    "aircraft_controllable_without_power": True,
}
FIELDS = {"description", "length", "signature", "certificate number", "expiry or end of recent experience"}
ZONE = timezone(timedelta(hours=-7))
LATE = {
    "depart_at": datetime(2025, 10, 22, 20, tzinfo=ZONE),
    "land_at": datetime(2025, 10, 22, 21, tzinfo=ZONE),
    "dusk_at": datetime(2025, 10, 22, 18, 30, tzinfo=ZONE),
    "dawn_at": datetime(2025, 10, 22, 6, 50, tzinfo=ZONE),
}
KT = 1852 / 3600
FT = 0.3048


@pytest.mark.parametrize(
    ("rule", "on", "facts", "verdict"),
    cases(
        ("61.316(a)(1): 45 knots", "us.61.316", date(2025, 10, 22), {**AIRCRAFT}, "GO"),
        (
            "61.316(a)(1): 45 knots",
            "us.61.316",
            date(2025, 10, 22),
            {**AIRCRAFT, "aircraft_vs1_m_s": 45.1 * KT},
            "STOP",
        ),
        ("61.316(a)(2): two seats", "us.61.316", date(2025, 10, 22), {**AIRCRAFT, "aircraft_seats": 3}, "STOP"),
        (
            "61.316: no limit of weight",
            "us.61.316",
            date(2025, 10, 22),
            {**AIRCRAFT, "aircraft_max_mass_kg": 900.0},
            "GO",
        ),
        (
            "61.316: no limit of level speed",
            "us.61.316",
            date(2025, 10, 22),
            {**AIRCRAFT, "aircraft_vh_m_s": 140 * KT},
            "GO",
        ),
        (
            "61.316(a): automated controllable pitch",
            "us.61.316",
            date(2025, 10, 22),
            {**AIRCRAFT, "aircraft_propeller": "automatic"},
            "GO",
        ),
        (
            "61.316(a): manual pitch, airplanes only",
            "us.61.316",
            date(2025, 10, 22),
            {**AIRCRAFT, "aircraft_propeller": "manual"},
            "STOP",
        ),
        (
            "61.316(a): control after loss of power",
            "us.61.316",
            date(2025, 10, 22),
            {**AIRCRAFT, "aircraft_controllable_without_power": False},
            "STOP",
        ),
        ("61.315(c)(4): one passenger", "us.61.315.passengers", date(2025, 10, 22), {"passenger_count": 1}, "GO"),
        ("61.315(c)(4): one passenger", "us.61.315.passengers", date(2025, 10, 22), {"passenger_count": 2}, "STOP"),
        (
            "61.315(c)(11): 10,000 feet or 2,000 above ground",
            "us.61.315.height",
            date(2025, 10, 22),
            {"planned_altitude_m": 10000 * FT, "highest_ground_m": 1000.0},
            "GO",
        ),
        (
            "61.315(c)(11): 10,000 feet or 2,000 above ground",
            "us.61.315.height",
            date(2025, 10, 22),
            {"planned_altitude_m": 10001 * FT, "highest_ground_m": 1000.0},
            "STOP",
        ),
        (
            "61.315(c)(11): 10,000 feet or 2,000 above ground",
            "us.61.315.height",
            date(2025, 10, 22),
            {"planned_altitude_m": 12000 * FT, "highest_ground_m": 10000 * FT},
            "GO",
        ),
        (
            "61.315(c)(11): 10,000 feet or 2,000 above ground",
            "us.61.315.height",
            date(2025, 10, 22),
            {"planned_altitude_m": 12001 * FT, "highest_ground_m": 10000 * FT},
            "STOP",
        ),
        (
            "61.315(c)(14), 61.327(b): 87 knots",
            "us.61.327",
            date(2025, 10, 22),
            {"aircraft_vh_m_s": 87 * KT, "held": ()},
            "not asked",
        ),
        (
            "61.315(c)(14), 61.327(b): 87 knots",
            "us.61.327",
            date(2025, 10, 22),
            {"aircraft_vh_m_s": 88 * KT, "held": ()},
            "STOP",
        ),
        (
            "61.315(b): at least half of the cost",
            "us.61.315.gain",
            date(2025, 10, 22),
            {
                "flight_for_hire": False,
                "flight_in_business": False,
                "passenger_count": 1,
                "commander_cost_share_ratio": 0.5,
            },
            "GO",
        ),
        (
            "61.315(b): at least half of the cost",
            "us.61.315.gain",
            date(2025, 10, 22),
            {
                "flight_for_hire": False,
                "flight_in_business": False,
                "passenger_count": 1,
                "commander_cost_share_ratio": 0.49,
            },
            "STOP",
        ),
        ("61.329: night", "us.61.329", date(2025, 10, 22), {**LATE, "held": {"night"}}, "GO"),
        ("61.329: night", "us.61.329", date(2025, 10, 22), {**LATE, "held": ()}, "STOP"),
        (
            "61.315(c)(5), before 22 October 2025: night",
            "us.61.329",
            date(2025, 10, 21),
            {**LATE, "held": {"night"}},
            "STOP",
        ),
        ("61.331: retractable gear", "us.61.331", date(2025, 10, 22), {"needed": True, "held": ()}, "STOP"),
        ("61.305: 17 years", "us.61.305.age", date(2026, 3, 1), {"held": "sport", "born_on": date(2009, 3, 1)}, "GO"),
        (
            "61.305: 17 years",
            "us.61.305.age",
            date(2026, 2, 28),
            {"held": "sport", "born_on": date(2009, 3, 1)},
            "STOP",
        ),
        (
            "21.190(a), until 23 July 2026: gyroplanes barred",
            "us.21.190",
            date(2026, 7, 23),
            {"certificate": "light-sport", "aircraft_seats": 2, "aircraft_vh_m_s": 80.0},
            "STOP",
        ),
        (
            "22.100: two seats",
            "us.21.190",
            date(2026, 7, 24),
            {"certificate": "light-sport", "aircraft_seats": 3, "aircraft_vh_m_s": 80.0},
            "STOP",
        ),
        (
            "22.100: 250 knots",
            "us.21.190",
            date(2026, 7, 24),
            {"certificate": "light-sport", "aircraft_seats": 2, "aircraft_vh_m_s": 250 * KT},
            "GO",
        ),
        (
            "22.100: 250 knots",
            "us.21.190",
            date(2026, 7, 24),
            {"certificate": "light-sport", "aircraft_seats": 2, "aircraft_vh_m_s": 251 * KT},
            "STOP",
        ),
        (
            "91.327(b): twelve calendar months",
            "us.91.327.condition",
            date(2027, 7, 31),
            {"done_on": date(2026, 7, 24)},
            "GO",
        ),
        (
            "91.327(b): twelve calendar months",
            "us.91.327.condition",
            date(2027, 8, 1),
            {"done_on": date(2026, 7, 24)},
            "STOP",
        ),
        (
            "61.43, appendix A: edition from 14 October 2026",
            "us.61.43.standard-sport",
            date(2026, 10, 14),
            {"examiner_standard_edition": "FAA-S-8081-29A"},
            "STOP",
        ),
        (
            "61.43, appendix A: edition from 14 October 2026",
            "us.61.43.standard-sport",
            date(2026, 10, 14),
            {"examiner_standard_edition": "FAA-S-8081-29B"},
            "GO",
        ),
        (
            "61.51(h), until 28 February 2027: what a training entry carries",
            "us.61.51.training",
            date(2027, 2, 28),
            {"entry_fields": FIELDS},
            "GO",
        ),
        (
            "61.51(h), until 28 February 2027: what a training entry carries",
            "us.61.51.training",
            date(2027, 2, 28),
            {"entry_fields": FIELDS - {"signature"}},
            "STOP",
        ),
        (
            "61.423: three years",
            "us.61.189",
            date(2026, 9, 1),
            {"endorsements_recorded": True, "endorsement_records_kept_until_on": date(2029, 9, 1)},
            "GO",
        ),
        (
            "61.423: three years",
            "us.61.189",
            date(2026, 9, 1),
            {"endorsements_recorded": True, "endorsement_records_kept_until_on": date(2029, 8, 31)},
            "STOP",
        ),
    ),
)
def test_a_bound_of_the_amended_sections(rule, on, facts, verdict):
    wanted = EVALUATORS[PACK.rule(rule).evaluator].facts
    given = {name: on for name in ("flight_on",) if name in wanted}
    assert judged(rule, on, {**given, **facts}) == verdict
