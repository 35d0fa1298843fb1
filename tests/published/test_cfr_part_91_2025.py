"""[CFR14-91] Flight and aircraft: windows, hours and minima of the 1 January 2025 edition.

Dates and hours are derived from the text, not printed there; every comparison is exact.
"""

from datetime import date, datetime, timedelta, timezone

import pytest

from gyrewright.rules import Flight, in_force, limits_in_force, packaged, read_pack
from gyrewright.rules.registry import EVALUATORS
from gyrewright.rules.shapes import Inoperative

DOCUMENT = "14 CFR part 91, edition of 1 January 2025"


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


ZONE = timezone(timedelta(hours=-8))


def at(hour, minute=0):
    return datetime(2025, 3, 10, hour, minute, tzinfo=ZONE)


HUNDRED = {
    "instruction_for_hire": True,
    "persons_for_hire": False,
    "instructor_provides_aircraft": True,
    "hours_inspected_at_h": 400.0,
    "flight_to_inspection": False,
}
TRANSPONDER = {
    "transponder_fitted": True,
    "transponder_to_be_used": True,
    "airspace_needs_transponder": False,
    "commander": "P",
    "land_at": at(10),
}
SUN = {"sunset_at": at(18), "sunrise_at": at(6, 30)}
TWILIGHT = {"dusk_at": at(18, 25), "dawn_at": at(6, 5)}
PAID = {"training_is_paid": True, "same_provider": True, "aircraft_advertised": True, "aircraft_charge": "above cost"}
CHECK = {"check_flight_needed": True, "check_flight_logged": False, "commander": "P", "land_at": at(10)}


@pytest.mark.parametrize(
    ("rule", "on", "facts", "verdict"),
    cases(
        (
            "91.409(b): ten hours over are taken off the next hundred",
            "us.91.409.hundred",
            date(2025, 3, 10),
            {
                **HUNDRED,
                "time_in_service_h": 3390.0,
                "block_h": 12.5,
                "hours_inspected_at_h": 3309.5,
                "hours_were_due_at_h": 3302.5,
            },
            "GO",
        ),
        (
            "91.409(b): ten hours over are taken off the next hundred",
            "us.91.409.hundred",
            date(2025, 3, 10),
            {
                **HUNDRED,
                "time_in_service_h": 3390.0,
                "block_h": 12.6,
                "hours_inspected_at_h": 3309.5,
                "hours_were_due_at_h": 3302.5,
            },
            "STOP",
        ),
        (
            "91.409(b): done early, the next hundred counts from then",
            "us.91.409.hundred",
            date(2025, 3, 10),
            {
                **HUNDRED,
                "time_in_service_h": 3389.0,
                "block_h": 1.0,
                "hours_inspected_at_h": 3290.0,
                "hours_were_due_at_h": 3302.5,
            },
            "GO",
        ),
        (
            "91.409(b): done early, the next hundred counts from then",
            "us.91.409.hundred",
            date(2025, 3, 10),
            {
                **HUNDRED,
                "time_in_service_h": 3389.0,
                "block_h": 1.1,
                "hours_inspected_at_h": 3290.0,
                "hours_were_due_at_h": 3302.5,
            },
            "STOP",
        ),
        (
            "91.409(b): ten hours over en route",
            "us.91.409.hundred",
            date(2025, 3, 10),
            {**HUNDRED, "time_in_service_h": 509.0, "block_h": 1.0, "flight_to_inspection": True},
            "GO",
        ),
        (
            "91.409(b): ten hours over en route",
            "us.91.409.hundred",
            date(2025, 3, 10),
            {**HUNDRED, "time_in_service_h": 509.1, "block_h": 1.0, "flight_to_inspection": True},
            "STOP",
        ),
        (
            "91.409(b): no over-run for a lesson",
            "us.91.409.hundred",
            date(2025, 3, 10),
            {**HUNDRED, "time_in_service_h": 500.0, "block_h": 0.5},
            "STOP",
        ),
        (
            "91.409(b): 100 hours",
            "us.91.409.hundred",
            date(2025, 3, 10),
            {**HUNDRED, "time_in_service_h": 499.5, "block_h": 0.5},
            "GO",
        ),
        (
            "91.409(b): an aircraft that the instructor does not provide",
            "us.91.409.hundred",
            date(2025, 3, 10),
            {**HUNDRED, "time_in_service_h": 700.0, "block_h": 0.5, "instructor_provides_aircraft": False},
            "not asked",
        ),
        (
            "91.409(b): persons for hire",
            "us.91.409.hundred",
            date(2025, 3, 10),
            {
                **HUNDRED,
                "time_in_service_h": 700.0,
                "block_h": 0.5,
                "instructor_provides_aircraft": False,
                "persons_for_hire": True,
            },
            "STOP",
        ),
        (
            "91.319(g): no over-run in the text",
            "us.91.319.hundred",
            date(2025, 3, 10),
            {**HUNDRED, "time_in_service_h": 500.5, "block_h": 0.5, "flight_to_inspection": True},
            "STOP",
        ),
        (
            "91.326(b)(4)(vii): ten hours over en route",
            "us.91.326.hundred",
            date(2025, 3, 10),
            {
                **HUNDRED,
                "time_in_service_h": 509.0,
                "block_h": 1.0,
                "flight_to_inspection": True,
                "training_authority_relied_on": True,
            },
            "GO",
        ),
        (
            "91.326(b)(4)(vii): ten hours over en route",
            "us.91.326.hundred",
            date(2025, 3, 10),
            {
                **HUNDRED,
                "time_in_service_h": 509.5,
                "block_h": 1.0,
                "flight_to_inspection": True,
                "training_authority_relied_on": True,
            },
            "STOP",
        ),
        (
            "91.326(b)(4)(vii): only under a training authority",
            "us.91.326.hundred",
            date(2025, 3, 10),
            {**HUNDRED, "time_in_service_h": 600.0, "block_h": 1.0, "training_authority_relied_on": False},
            "not asked",
        ),
        (
            "91.409(a): annual, twelve calendar months",
            "us.91.409.annual",
            date(2026, 3, 31),
            {"done_on": date(2025, 3, 10)},
            "GO",
        ),
        (
            "91.409(a): annual, twelve calendar months",
            "us.91.409.annual",
            date(2026, 4, 1),
            {"done_on": date(2025, 3, 10)},
            "STOP",
        ),
        (
            "91.413(a): 24 calendar months",
            "us.91.413",
            date(2026, 12, 31),
            {**TRANSPONDER, "transponder_tested_on": date(2024, 12, 2)},
            "GO",
        ),
        (
            "91.413(a): 24 calendar months",
            "us.91.413",
            date(2027, 1, 1),
            {**TRANSPONDER, "transponder_tested_on": date(2024, 12, 2)},
            "GO-IF",
        ),
        (
            "91.413(a): 24 calendar months",
            "us.91.413",
            date(2027, 1, 1),
            {**TRANSPONDER, "airspace_needs_transponder": True, "transponder_tested_on": date(2024, 12, 2)},
            "STOP",
        ),
        (
            "91.215(d)(3): one hour before",
            "us.91.215",
            date(2025, 3, 10),
            {
                "airspace_needs_transponder": True,
                "transponder_working": False,
                "position_broadcast_working": True,
                "depart_at": at(9),
                "deviation_asked_at": at(8),
            },
            "GO",
        ),
        (
            "91.215(d)(3): one hour before",
            "us.91.215",
            date(2025, 3, 10),
            {
                "airspace_needs_transponder": True,
                "transponder_working": False,
                "position_broadcast_working": True,
                "depart_at": at(9),
                "deviation_asked_at": at(8, 1),
            },
            "STOP",
        ),
        (
            "91.209(a): sunset to sunrise",
            "us.91.209",
            date(2025, 3, 10),
            {**SUN, "depart_at": at(17), "land_at": at(18), "position_lights_working": False},
            "not asked",
        ),
        (
            "91.209(a): sunset to sunrise",
            "us.91.209",
            date(2025, 3, 10),
            {**SUN, "depart_at": at(17), "land_at": at(18, 1), "position_lights_working": False},
            "STOP",
        ),
        (
            "91.209(a): sunset to sunrise",
            "us.91.209",
            date(2025, 3, 10),
            {**SUN, "depart_at": at(6, 29), "land_at": at(7), "position_lights_working": False},
            "STOP",
        ),
        (
            "91.319(d)(2): day only",
            "us.91.319.night",
            date(2025, 3, 10),
            {**TWILIGHT, "depart_at": at(17), "land_at": at(18, 25), "night_flight_authorized": False},
            "not asked",
        ),
        (
            "91.319(d)(2): day only",
            "us.91.319.night",
            date(2025, 3, 10),
            {**TWILIGHT, "depart_at": at(17), "land_at": at(18, 26), "night_flight_authorized": False},
            "STOP",
        ),
        (
            "91.326(b): copy of the authority aboard",
            "us.91.326.training",
            date(2025, 3, 10),
            {
                **PAID,
                "training_authority": "L",
                "training_authority_on": date(2024, 12, 2),
                "training_authority_aboard": False,
            },
            "STOP",
        ),
        (
            "91.326(b): authority",
            "us.91.326.training",
            date(2025, 3, 10),
            {
                **PAID,
                "training_authority": "L",
                "training_authority_on": date(2024, 12, 2),
                "training_authority_aboard": True,
            },
            "GO",
        ),
        (
            "91.326(c): both provided by one",
            "us.91.326.training",
            date(2025, 3, 10),
            {**PAID, "training_authority": ""},
            "STOP",
        ),
        (
            "91.326(c): not advertised, cost only",
            "us.91.326.training",
            date(2025, 3, 10),
            {
                **PAID,
                "same_provider": False,
                "aircraft_advertised": False,
                "aircraft_charge": "cost",
                "training_authority": "",
            },
            "GO",
        ),
        (
            "91.326(c): more than its cost",
            "us.91.326.training",
            date(2025, 3, 10),
            {
                **PAID,
                "same_provider": False,
                "aircraft_advertised": False,
                "aircraft_charge": "above cost",
                "training_authority": "",
            },
            "STOP",
        ),
        ("91.326(c): nobody pays", "us.91.326.training", date(2025, 3, 10), {"training_is_paid": False}, "GO"),
        (
            "91.326(d): ends on 1 December 2026",
            "us.91.326.old-authority",
            date(2026, 11, 30),
            {"relied_on": True, "issued_on": date(2024, 12, 1)},
            "GO",
        ),
        (
            "91.326(d): ends on 1 December 2026",
            "us.91.326.old-authority",
            date(2026, 12, 1),
            {"relied_on": True, "issued_on": date(2024, 12, 1)},
            "STOP",
        ),
        (
            "91.326(d): issued from 2 December 2024 on",
            "us.91.326.old-authority",
            date(2026, 12, 2),
            {"relied_on": True, "issued_on": date(2024, 12, 2)},
            "GO",
        ),
        (
            "91.326(b)(4)(i): discovery flights",
            "us.91.326.no-demo",
            date(2025, 3, 10),
            {"training_authority_relied_on": True, "flight_offered_as": "discovery"},
            "STOP",
        ),
        (
            "91.109(a): dual controls",
            "us.91.109",
            date(2025, 3, 10),
            {"dual_controls_working": False, "pilot_stations": 2},
            "STOP",
        ),
        (
            "91.407(b): nobody aboard until flown",
            "us.91.407.check",
            date(2025, 3, 10),
            {**CHECK, "aboard_count": 2, "commander_certificate": "private"},
            "STOP",
        ),
        (
            "91.407(b): at least a private pilot",
            "us.91.407.check",
            date(2025, 3, 10),
            {**CHECK, "aboard_count": 1, "commander_certificate": "sport"},
            "STOP",
        ),
        (
            "91.407(b): at least a private pilot",
            "us.91.407.check",
            date(2025, 3, 10),
            {**CHECK, "aboard_count": 1, "commander_certificate": "private"},
            "GO-IF",
        ),
        (
            "91.213(d)(2): required by the rule for this flight",
            "us.91.213",
            date(2025, 3, 10),
            {"inoperative": (Inoperative("altimeter", True, False, True, True, None, "M", True),)},
            "STOP",
        ),
        (
            "91.213(d)(3): placarded",
            "us.91.213",
            date(2025, 3, 10),
            {"inoperative": (Inoperative("lamp", False, False, True, False, None, "M", True),)},
            "STOP",
        ),
        (
            "91.213(d)(3): removed, with an entry",
            "us.91.213",
            date(2025, 3, 10),
            {"inoperative": (Inoperative("lamp", False, True, False, True, True, "M", True),)},
            "GO",
        ),
        (
            "91.155(a): 500 feet below cloud in class E",
            "us.91.155.cloud",
            date(2025, 3, 10),
            {"cloud_base_m": 1000 * 0.3048, "planned_height_m": 500 * 0.3048},
            "GO",
        ),
        (
            "91.155(a): 500 feet below cloud in class E",
            "us.91.155.cloud",
            date(2025, 3, 10),
            {"cloud_base_m": 1000 * 0.3048, "planned_height_m": 501 * 0.3048},
            "STOP",
        ),
    ),
)
def test_a_clock_or_bound_of_part_91_ends_where_the_text_says(rule, on, facts, verdict):
    wanted = EVALUATORS[PACK.rule(rule).evaluator].facts
    given = {name: on for name in ("flight_on",) if name in wanted}
    assert judged(rule, on, {**given, **facts}) == verdict


def limits(of, **words):
    flight = Flight(
        "private", 1, "", frozenset(), "standard", "private", "none", **{"surface": "none", "light": "day", **words}
    )
    return sorted(each.value for each in limits_in_force(PACK, date(2025, 3, 10), flight) if each.of == of)


@pytest.mark.parametrize(
    ("words", "miles"),
    [
        pytest.param(words, miles, marks=pytest.mark.source(DOCUMENT, place), id=place)
        for place, words, miles in (
            ("91.155(a): class B", {"airspace": "B"}, [3]),
            ("91.155(a): class C", {"airspace": "C"}, [3]),
            ("91.155(a): class D", {"airspace": "D"}, [3]),
            ("91.155(a): class E", {"airspace": "E"}, [3]),
            ("91.155(a): class E at 10,000 feet", {"airspace": "E above 10000 ft"}, [5]),
            ("91.155(a): class G, low, day", {"airspace": "G"}, [1]),
            ("91.155(a): class G, low, night", {"airspace": "G", "light": "night"}, [3]),
            ("91.155(a): class G above 1,200 feet, day", {"airspace": "G above 1200 ft"}, [1]),
            ("91.155(a): class G above 1,200 feet, night", {"airspace": "G above 1200 ft", "light": "night"}, [3]),
            ("91.155(a): class G at 10,000 feet", {"airspace": "G above 10000 ft"}, [5]),
        )
    ],
)
def test_visibility_is_that_of_the_table(words, miles):
    assert limits("visibility", **words) == [each * 1609.344 for each in miles]


@pytest.mark.source(DOCUMENT, "91.155(c): ceiling of 1,000 feet; (d): three statute miles on the ground")
def test_ceiling_and_ground_visibility_in_a_surface_area():
    assert limits("cloud base", airspace="E", surface="E") == [pytest.approx(1000 * 0.3048)]
    assert limits("visibility", airspace="G", surface="D") == [1609.344, 3 * 1609.344]


@pytest.mark.source(DOCUMENT, "91.151(b): rotorcraft, 20 minutes, day and night")
@pytest.mark.parametrize("light", ["day", "night"])
def test_the_reserve_of_a_rotorcraft(light):
    assert limits("reserve", airspace="G", light=light) == [pytest.approx(20 / 60)]
