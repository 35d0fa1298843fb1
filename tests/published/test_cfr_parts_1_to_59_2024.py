"""[CFR14-1] Definitions, registration and directives of the 1 January 2024 edition.

Dates are derived from the text, not printed there; speeds and masses are those printed. Every comparison is exact.
"""

from datetime import date

import pytest

from gyrewright.rules import in_force, packaged, read_pack
from gyrewright.rules.registry import EVALUATORS
from gyrewright.rules.shapes import Due

DOCUMENT = "14 CFR parts 1 to 59, edition of 1 January 2024"


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
    "aircraft_vh_m_s": 120 * 1852 / 3600,
    "aircraft_max_mass_kg": 1320 * 0.45359237,
    "aircraft_engine": "single reciprocating",
}
PAPER = {"registration_aboard": True, "registration_temporary": False}


@pytest.mark.parametrize(
    ("rule", "on", "facts", "verdict"),
    cases(
        ("1.1: light-sport aircraft", "us.61.316", date(2025, 10, 21), {**AIRCRAFT}, "GO"),
        (
            "1.1: light-sport aircraft",
            "us.61.316",
            date(2025, 10, 21),
            {**AIRCRAFT, "aircraft_max_mass_kg": 1321 * 0.45359237},
            "STOP",
        ),
        (
            "1.1: light-sport aircraft",
            "us.61.316",
            date(2025, 10, 21),
            {**AIRCRAFT, "aircraft_vh_m_s": 121 * 1852 / 3600},
            "STOP",
        ),
        (
            "1.1: light-sport aircraft",
            "us.61.316",
            date(2025, 10, 21),
            {**AIRCRAFT, "aircraft_vs1_m_s": 46 * 1852 / 3600},
            "STOP",
        ),
        ("1.1: light-sport aircraft", "us.61.316", date(2025, 10, 21), {**AIRCRAFT, "aircraft_seats": 3}, "STOP"),
        (
            "1.1: light-sport aircraft",
            "us.61.316",
            date(2025, 10, 21),
            {**AIRCRAFT, "aircraft_propeller": "automatic"},
            "STOP",
        ),
        (
            "1.1: light-sport aircraft",
            "us.61.316",
            date(2025, 10, 21),
            {**AIRCRAFT, "aircraft_gear": "retractable"},
            "STOP",
        ),
        (
            "1.1: light-sport aircraft",
            "us.61.316",
            date(2025, 10, 21),
            {**AIRCRAFT, "aircraft_pressurized": True},
            "STOP",
        ),
        (
            "1.1: light-sport aircraft",
            "us.61.316",
            date(2025, 10, 21),
            {**AIRCRAFT, "aircraft_rotor": "three blades"},
            "STOP",
        ),
        (
            "1.1: light-sport aircraft",
            "us.61.316",
            date(2025, 10, 21),
            {**AIRCRAFT, "aircraft_engine": "turbine"},
            "STOP",
        ),
        (
            "47.40: seven years from the end of the month of issue",
            "us.91.203.registration",
            date(2032, 2, 29),
            {**PAPER, "registration_issued_on": date(2025, 2, 10), "registration_is_first": True},
            "GO",
        ),
        (
            "47.40: seven years from the end of the month of issue",
            "us.91.203.registration",
            date(2032, 3, 1),
            {**PAPER, "registration_issued_on": date(2025, 2, 10), "registration_is_first": True},
            "STOP",
        ),
        (
            "47.31(c): twelve months from the application, inside the country",
            "us.91.203.registration",
            date(2026, 3, 10),
            {
                **PAPER,
                "registration_temporary": True,
                "registration_applied_on": date(2025, 3, 10),
                "flight_within_country": True,
            },
            "GO",
        ),
        (
            "47.31(c): twelve months from the application, inside the country",
            "us.91.203.registration",
            date(2026, 3, 11),
            {
                **PAPER,
                "registration_temporary": True,
                "registration_applied_on": date(2025, 3, 10),
                "flight_within_country": True,
            },
            "STOP",
        ),
        (
            "47.31(c): twelve months from the application, inside the country",
            "us.91.203.registration",
            date(2025, 6, 1),
            {
                **PAPER,
                "registration_temporary": True,
                "registration_applied_on": date(2025, 3, 10),
                "flight_within_country": False,
            },
            "STOP",
        ),
        (
            "47.41: ends with ownership",
            "us.91.203.registration",
            date(2025, 6, 1),
            {**PAPER, "registration_until_on": date(2030, 1, 31), "registration_ended_on": date(2025, 6, 1)},
            "STOP",
        ),
        (
            "39.7: each operation out of compliance",
            "us.39.7",
            date(2025, 6, 1),
            {"block_h": 1.0, "items": (Due("hub bar", None, 490.1, 489.1),)},
            "GO",
        ),
        (
            "39.7: each operation out of compliance",
            "us.39.7",
            date(2025, 6, 1),
            {"block_h": 1.0, "items": (Due("hub bar", None, 490.1, 489.2),)},
            "STOP",
        ),
    ),
)
def test_a_bound_of_the_2024_edition(rule, on, facts, verdict):
    wanted = EVALUATORS[PACK.rule(rule).evaluator].facts
    given = {name: on for name in ("flight_on",) if name in wanted}
    assert judged(rule, on, {**given, **facts}) == verdict
