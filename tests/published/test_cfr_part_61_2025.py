"""[CFR14-61] Pilots and instructors: windows, counts and clocks of the 1 January 2025 edition.

Calendar months and day counts are derived from the text, not printed there; every comparison is exact to the day.
"""

from datetime import date, datetime, timedelta, timezone
from types import SimpleNamespace

import pytest

from gyrewright.rules import in_force, packaged, read_pack
from gyrewright.rules.registry import EVALUATORS

DOCUMENT = "14 CFR part 61, edition of 1 January 2025"


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
GYRO = "rotorcraft gyroplane"


def at(hour, minute=0, day=date(2025, 3, 10)):
    return datetime(day.year, day.month, day.day, hour, minute, tzinfo=ZONE)


def landed(on, count=3, **given):
    made = {
        "aircraft_class": GYRO,
        "take_offs": count,
        "landings": count,
        "sole": True,
        "night": False,
        "full_stop": True,
    }
    return SimpleNamespace(on=on, **{**made, **given})


def endorsed(what_for, given_on, **given):
    made = {"make_model": "A", "place": "", "given_by": "I", "rests_on": None, "for_flight_on": None}
    return SimpleNamespace(what_for=what_for, given_on=given_on, **{**made, "giver_in_standing": True, **given})


REVIEW = {"privileges": "private", "commander": "P"}
CARRYING = {"aboard_count": 2, "passenger": "X", "purpose": "private", "commander": "P"}
DAYLIGHT = {"dusk_at": at(18, 30), "dawn_at": at(6)}
DAY = {"depart_at": at(9), "land_at": at(10), **DAYLIGHT}
NIGHT = {
    "depart_at": at(20),
    "land_at": at(21),
    "sunset_at": at(18),
    "sunrise_at": at(6, 30),
    "aboard_count": 2,
    "commander": "P",
}
SOLO = {"make_model": "A", "student": "S"}
MEDICAL = {"privileges": "private", "route": "medical", **DAY}
BASICMED = {
    "privileges": "private",
    "route": "basicmed",
    "licence_until_on": date(2030, 1, 1),
    "history_clear": True,
    **DAY,
}
LICENCE = {"privileges": "sport", "route": "licence", **DAY}
TEST = {
    "student_knowledge_test_on": date(2024, 3, 15),
    "student_test_report_presented": True,
    "student_areas_missed": 0,
    "student_test_training_on": date(2025, 3, 1),
    "student_test_endorsed_on": date(2025, 3, 1),
    "student_experience_complete": True,
}
AWAY = {"lands_elsewhere": False, "destination": "", "make_model": "A", "student_endorsements": ()}
HOURS = {"depart_at": at(12), "land_at": at(13), "instructor": "I"}


@pytest.mark.parametrize(
    ("rule", "on", "facts", "verdict"),
    cases(
        (
            "61.56(c): 24 calendar months",
            "us.61.56",
            date(2027, 1, 31),
            {**REVIEW, "reviewed_on": date(2025, 1, 2), "review_scope": "full"},
            "GO",
        ),
        (
            "61.56(c): 24 calendar months",
            "us.61.56",
            date(2027, 2, 1),
            {**REVIEW, "reviewed_on": date(2025, 1, 2), "review_scope": "full"},
            "STOP",
        ),
        (
            "61.56(c): 24 calendar months",
            "us.61.56",
            date(2026, 2, 28),
            {**REVIEW, "reviewed_on": date(2024, 2, 29)},
            "GO",
        ),
        (
            "61.56(c): 24 calendar months",
            "us.61.56",
            date(2026, 3, 1),
            {**REVIEW, "reviewed_on": date(2024, 2, 29)},
            "STOP",
        ),
        (
            "61.57(a)(1): 90 days",
            "us.61.57.day",
            date(2025, 3, 31),
            {**CARRYING, "done": (landed(date(2024, 12, 31)),)},
            "GO",
        ),
        (
            "61.57(a)(1): 90 days",
            "us.61.57.day",
            date(2025, 4, 1),
            {**CARRYING, "done": (landed(date(2024, 12, 31)),)},
            "STOP",
        ),
        (
            "61.57(a)(1): three take-offs and landings",
            "us.61.57.day",
            date(2025, 3, 10),
            {**CARRYING, "done": (landed(date(2025, 3, 1), 2),)},
            "STOP",
        ),
        (
            "61.57(a)(1): three take-offs and landings",
            "us.61.57.day",
            date(2025, 3, 10),
            {**CARRYING, "done": (landed(date(2025, 3, 1), 2), landed(date(2025, 3, 2), 1))},
            "GO",
        ),
        (
            "61.57(a)(1)(i): sole manipulator",
            "us.61.57.day",
            date(2025, 3, 10),
            {**CARRYING, "done": (landed(date(2025, 3, 1), sole=False),)},
            "STOP",
        ),
        (
            "61.57(a)(1)(ii): category and class",
            "us.61.57.day",
            date(2025, 3, 10),
            {**CARRYING, "done": (landed(date(2025, 3, 1), aircraft_class="rotorcraft helicopter"),)},
            "STOP",
        ),
        (
            "61.57(a)(1): persons",
            "us.61.57.day",
            date(2025, 3, 10),
            {**CARRYING, "passenger": "", "purpose": "instruction", "done": ()},
            "STOP",
        ),
        (
            "61.57(a)(1): alone",
            "us.61.57.day",
            date(2025, 3, 10),
            {**CARRYING, "aboard_count": 1, "done": ()},
            "not asked",
        ),
        (
            "61.57(e)(5): dual to regain recency",
            "us.61.57.day",
            date(2025, 3, 10),
            {**CARRYING, "passenger": "", "regaining_recency": True, "done": ()},
            "GO",
        ),
        (
            "61.57(e)(6): practical test",
            "us.61.57.day",
            date(2025, 3, 10),
            {**CARRYING, "passenger": "", "purpose": "test", "done": ()},
            "GO",
        ),
        ("61.57(b): one hour after sunset", "us.61.57.night", date(2025, 3, 10), {**NIGHT, "done": ()}, "STOP"),
        (
            "61.57(b): one hour after sunset",
            "us.61.57.night",
            date(2025, 3, 10),
            {**NIGHT, "depart_at": at(18), "land_at": at(19), "done": ()},
            "not asked",
        ),
        (
            "61.57(b): one hour after sunset",
            "us.61.57.night",
            date(2025, 3, 10),
            {**NIGHT, "depart_at": at(18), "land_at": at(19, 1), "done": ()},
            "STOP",
        ),
        (
            "61.57(b): one hour before sunrise",
            "us.61.57.night",
            date(2025, 3, 10),
            {**NIGHT, "depart_at": at(5, 29), "land_at": at(6), "done": ()},
            "STOP",
        ),
        (
            "61.57(b): one hour before sunrise",
            "us.61.57.night",
            date(2025, 3, 10),
            {**NIGHT, "depart_at": at(5, 30), "land_at": at(6), "done": ()},
            "not asked",
        ),
        (
            "61.57(b): full stop",
            "us.61.57.night",
            date(2025, 3, 10),
            {**NIGHT, "done": (landed(date(2025, 3, 1), night=True, full_stop=False),)},
            "STOP",
        ),
        (
            "61.57(b): full stop",
            "us.61.57.night",
            date(2025, 3, 10),
            {**NIGHT, "done": (landed(date(2025, 3, 1), night=True),)},
            "GO",
        ),
        (
            "61.57(b): 90 days",
            "us.61.57.night",
            date(2025, 6, 8),
            {**NIGHT, "done": (landed(date(2025, 3, 10), night=True),)},
            "GO",
        ),
        (
            "61.57(b): 90 days",
            "us.61.57.night",
            date(2025, 6, 9),
            {**NIGHT, "done": (landed(date(2025, 3, 10), night=True),)},
            "STOP",
        ),
        (
            "61.87(n): 90 days",
            "us.61.87.endorsement",
            date(2025, 6, 8),
            {**SOLO, "student_endorsements": (endorsed("solo", date(2025, 3, 10)),)},
            "GO",
        ),
        (
            "61.87(n): 90 days",
            "us.61.87.endorsement",
            date(2025, 6, 9),
            {**SOLO, "student_endorsements": (endorsed("solo", date(2025, 3, 10)),)},
            "STOP",
        ),
        (
            "61.87(n): make and model",
            "us.61.87.endorsement",
            date(2025, 3, 11),
            {**SOLO, "student_endorsements": (endorsed("solo", date(2025, 3, 10), make_model="B"),)},
            "STOP",
        ),
        (
            "61.1(b): authorized instructor",
            "us.61.87.endorsement",
            date(2025, 3, 11),
            {**SOLO, "student_endorsements": (endorsed("solo", date(2025, 3, 10), giver_in_standing=False),)},
            "STOP",
        ),
        (
            "61.195(i): no endorsement of oneself",
            "us.61.87.endorsement",
            date(2025, 3, 11),
            {**SOLO, "student_endorsements": (endorsed("solo", date(2025, 3, 10), given_by="S"),)},
            "STOP",
        ),
        (
            "61.87(o): night",
            "us.61.87.night",
            date(2025, 3, 10),
            {
                **SOLO,
                **DAYLIGHT,
                "depart_at": at(18, 40),
                "land_at": at(19),
                "student_endorsements": (endorsed("solo", date(2025, 3, 10)),),
            },
            "STOP",
        ),
        (
            "61.87(o): night",
            "us.61.87.night",
            date(2025, 3, 10),
            {
                **SOLO,
                **DAYLIGHT,
                "depart_at": at(18, 40),
                "land_at": at(19),
                "student_endorsements": (endorsed("solo night", date(2025, 3, 10)),),
            },
            "GO",
        ),
        (
            "61.89(a)(1): passenger",
            "us.61.89.alone",
            date(2025, 3, 10),
            {"aboard_count": 2, "flight_for_hire": False, "flight_in_business": False, "flight_abroad": False},
            "STOP",
        ),
        (
            "61.93(a): 25 nautical miles",
            "us.61.93",
            date(2025, 3, 10),
            {**AWAY, "farthest_from_start_m": 25 * 1852.0},
            "not asked",
        ),
        (
            "61.93(a): 25 nautical miles",
            "us.61.93",
            date(2025, 3, 10),
            {**AWAY, "farthest_from_start_m": 25.1 * 1852.0},
            "STOP",
        ),
        (
            "61.93(b)(2): 50 nautical miles",
            "us.61.93",
            date(2025, 3, 10),
            {
                **AWAY,
                "destination": "X",
                "lands_elsewhere": True,
                "farthest_from_start_m": 50 * 1852.0,
                "student_endorsements": (endorsed("repeated route", date(2025, 3, 1), place="X"),),
            },
            "GO",
        ),
        (
            "61.93(b)(2): 50 nautical miles",
            "us.61.93",
            date(2025, 3, 10),
            {
                **AWAY,
                "destination": "X",
                "lands_elsewhere": True,
                "farthest_from_start_m": 50.1 * 1852.0,
                "student_endorsements": (endorsed("repeated route", date(2025, 3, 1), place="X"),),
            },
            "STOP",
        ),
        (
            "61.94: 90 days",
            "us.61.94",
            date(2025, 6, 8),
            {
                "controlled_place": "X",
                "student": "S",
                "student_endorsements": (endorsed("controlled airspace", date(2025, 3, 10), place="X"),),
            },
            "GO",
        ),
        (
            "61.94: 90 days",
            "us.61.94",
            date(2025, 6, 9),
            {
                "controlled_place": "X",
                "student": "S",
                "student_endorsements": (endorsed("controlled airspace", date(2025, 3, 10), place="X"),),
            },
            "STOP",
        ),
        (
            "61.195(a): 8 hours in 24",
            "us.61.195.hours",
            date(2025, 3, 10),
            {**HOURS, "instructor_taught": ((at(4), at(11)),)},
            "GO",
        ),
        (
            "61.195(a): 8 hours in 24",
            "us.61.195.hours",
            date(2025, 3, 10),
            {**HOURS, "instructor_taught": ((at(4), at(11, 1)),)},
            "STOP",
        ),
        (
            "61.195(a): any 24 consecutive hours",
            "us.61.195.hours",
            date(2025, 3, 10),
            {
                **HOURS,
                "instructor_taught": ((at(6, day=date(2025, 3, 9)), at(13, day=date(2025, 3, 9))), (at(5), at(12))),
            },
            "GO",
        ),
        (
            "61.195(a): any 24 consecutive hours",
            "us.61.195.hours",
            date(2025, 3, 10),
            {
                **HOURS,
                "instructor_taught": ((at(6, day=date(2025, 3, 9)), at(13, 1, day=date(2025, 3, 9))), (at(5), at(12))),
            },
            "STOP",
        ),
        (
            "61.195(b): ratings",
            "us.61.195.rating",
            date(2025, 3, 10),
            {"instructor_ratings": {GYRO}, "instructor_teaching_ratings": {"rotorcraft helicopter"}},
            "STOP",
        ),
        (
            "61.197: 24 calendar months",
            "us.61.197",
            date(2027, 2, 28),
            {"teaching_on": date(2025, 2, 1), "teaching_recent_on": date(2025, 2, 1), "instructor": "I"},
            "GO",
        ),
        (
            "61.197: 24 calendar months",
            "us.61.197",
            date(2027, 3, 1),
            {"teaching_on": date(2025, 2, 1), "teaching_recent_on": date(2025, 2, 1), "instructor": "I"},
            "STOP",
        ),
        (
            "61.19(d)(2): printed expiry",
            "us.61.197",
            date(2026, 11, 30),
            {"teaching_on": date(2024, 11, 30), "teaching_printed_until_on": date(2026, 11, 30), "instructor": "I"},
            "GO",
        ),
        (
            "61.19(d)(2): printed expiry",
            "us.61.197",
            date(2026, 12, 1),
            {"teaching_on": date(2024, 11, 30), "teaching_printed_until_on": date(2026, 11, 30), "instructor": "I"},
            "STOP",
        ),
        (
            "61.197(e): renewal before the month of expiry",
            "us.61.197",
            date(2026, 12, 1),
            {
                "teaching_on": date(2024, 11, 30),
                "teaching_printed_until_on": date(2026, 11, 30),
                "teaching_renewed_on": date(2026, 11, 1),
                "instructor": "I",
            },
            "JUDGE",
        ),
        (
            "61.39(a)(1)(i): knowledge test, 24 calendar months",
            "us.61.39",
            date(2026, 3, 31),
            {**TEST, "student_test_training_on": date(2026, 3, 1), "student_test_endorsed_on": date(2026, 3, 1)},
            "GO",
        ),
        (
            "61.39(a)(1)(i): knowledge test, 24 calendar months",
            "us.61.39",
            date(2026, 4, 1),
            {**TEST, "student_test_training_on": date(2026, 3, 1), "student_test_endorsed_on": date(2026, 3, 1)},
            "STOP",
        ),
        ("61.109(d)(3): two calendar months of preparation", "us.61.39", date(2025, 5, 31), TEST, "GO"),
        ("61.109(d)(3): two calendar months of preparation", "us.61.39", date(2025, 6, 1), TEST, "STOP"),
        (
            "61.39(a)(6)(iii): areas missed",
            "us.61.39",
            date(2025, 3, 10),
            {**TEST, "student_areas_missed": 2, "student_missed_areas_reviewed": False},
            "STOP",
        ),
        (
            "61.39(a)(6)(iii): areas missed",
            "us.61.39",
            date(2025, 3, 10),
            {**TEST, "student_areas_missed": 2},
            "UNKNOWN",
        ),
        (
            "61.43(f): 60 days",
            "us.61.43.credit",
            date(2025, 3, 2),
            {
                "student_claims_credit": True,
                "student_test_discontinued_on": date(2025, 1, 1),
                "student_test_begun_on": date(2025, 1, 1),
            },
            "GO",
        ),
        (
            "61.43(f): 60 days",
            "us.61.43.credit",
            date(2025, 3, 3),
            {
                "student_claims_credit": True,
                "student_test_discontinued_on": date(2025, 1, 1),
                "student_test_begun_on": date(2025, 1, 1),
            },
            "STOP",
        ),
        (
            "61.39(g): second calendar month after",
            "us.61.43.credit",
            date(2025, 3, 31),
            {
                "student_claims_credit": True,
                "student_test_discontinued_on": date(2025, 2, 20),
                "student_test_begun_on": date(2025, 1, 31),
            },
            "GO",
        ),
        (
            "61.39(g): second calendar month after",
            "us.61.43.credit",
            date(2025, 4, 1),
            {
                "student_claims_credit": True,
                "student_test_discontinued_on": date(2025, 2, 20),
                "student_test_begun_on": date(2025, 1, 31),
            },
            "STOP",
        ),
        (
            "61.49: retest",
            "us.61.49",
            date(2025, 3, 10),
            {
                "student_test_failed": True,
                "student_test_failed_on": date(2025, 3, 9),
                "student_retest_endorsed_on": date(2025, 3, 10),
                "flight_on": date(2025, 3, 10),
            },
            "GO",
        ),
        (
            "61.49: retest",
            "us.61.49",
            date(2025, 3, 10),
            {
                "student_test_failed": True,
                "student_test_failed_on": date(2025, 3, 9),
                "student_retest_endorsed_on": date(2025, 3, 8),
                "flight_on": date(2025, 3, 10),
            },
            "STOP",
        ),
        (
            "61.17: 120 days",
            "us.61.2",
            date(2025, 5, 1),
            {"held": "sport", "held_valid": True, "held_temporary": True, "held_on": date(2025, 1, 1)},
            "GO",
        ),
        (
            "61.17: 120 days",
            "us.61.2",
            date(2025, 5, 2),
            {"held": "sport", "held_valid": True, "held_temporary": True, "held_on": date(2025, 1, 1)},
            "STOP",
        ),
        (
            "61.23(d)(1)(iii): third class, 40 and over, 24 calendar months",
            "us.61.23.commander",
            date(2026, 5, 31),
            {**MEDICAL, "exam_on": date(2024, 5, 3), "born_on": date(1984, 5, 3)},
            "GO",
        ),
        (
            "61.23(d)(1)(iii): third class, 40 and over, 24 calendar months",
            "us.61.23.commander",
            date(2026, 6, 1),
            {**MEDICAL, "exam_on": date(2024, 5, 3), "born_on": date(1984, 5, 3)},
            "STOP",
        ),
        (
            "61.23(d)(1)(iii): third class, under 40, 60 calendar months",
            "us.61.23.commander",
            date(2029, 5, 31),
            {**MEDICAL, "exam_on": date(2024, 5, 3), "born_on": date(1984, 5, 4)},
            "GO",
        ),
        (
            "61.23(d)(1)(iii): third class, under 40, 60 calendar months",
            "us.61.23.commander",
            date(2029, 6, 1),
            {**MEDICAL, "exam_on": date(2024, 5, 3), "born_on": date(1984, 5, 4)},
            "STOP",
        ),
        (
            "61.23(c)(3): course within 24 calendar months",
            "us.61.23.commander",
            date(2027, 1, 31),
            {**BASICMED, "course_on": date(2025, 1, 1), "physician_exam_on": date(2024, 1, 1)},
            "GO",
        ),
        (
            "61.23(c)(3): course within 24 calendar months",
            "us.61.23.commander",
            date(2027, 2, 1),
            {**BASICMED, "course_on": date(2025, 1, 1), "physician_exam_on": date(2024, 1, 1)},
            "STOP",
        ),
        (
            "61.23(c)(3): examination within 48 calendar months",
            "us.61.23.commander",
            date(2028, 1, 31),
            {**BASICMED, "course_on": date(2027, 1, 1), "physician_exam_on": date(2024, 1, 1)},
            "GO",
        ),
        (
            "61.23(c)(3): examination within 48 calendar months",
            "us.61.23.commander",
            date(2028, 2, 1),
            {**BASICMED, "course_on": date(2027, 1, 1), "physician_exam_on": date(2024, 1, 1)},
            "STOP",
        ),
        (
            "61.23(c)(2): conditions of the licence",
            "us.61.23.commander",
            date(2025, 3, 10),
            {**LICENCE, "licence_until_on": date(2025, 3, 10), "licence_conditions_met": True},
            "GO",
        ),
        (
            "61.23(c)(2): conditions of the licence",
            "us.61.23.commander",
            date(2025, 3, 10),
            {**LICENCE, "licence_until_on": date(2025, 3, 10), "licence_conditions_met": False},
            "STOP",
        ),
        (
            "61.23(a)(3): private privileges on a licence",
            "us.61.23.commander",
            date(2025, 3, 10),
            {**LICENCE, "privileges": "private", "licence_until_on": date(2025, 3, 10), "licence_conditions_met": True},
            "STOP",
        ),
        (
            "61.31(d): category and class",
            "us.61.31",
            date(2025, 3, 10),
            {
                "ratings": {"rotorcraft helicopter"},
                "class_endorsements": (),
                "certificate": "standard",
                "aboard_count": 1,
            },
            "STOP",
        ),
        (
            "61.317: endorsement in place of a rating",
            "us.61.31",
            date(2025, 3, 10),
            {"ratings": (), "class_endorsements": {GYRO}, "certificate": "standard", "aboard_count": 2},
            "GO",
        ),
    ),
)
def test_a_clock_of_part_61_ends_on_its_day(rule, on, facts, verdict):
    wanted = EVALUATORS[PACK.rule(rule).evaluator].facts
    given = {name: on for name in ("flight_on",) if name in wanted}
    assert judged(rule, on, {**given, **{name: value for name, value in facts.items() if name in wanted}}) == verdict
