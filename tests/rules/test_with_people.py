"""The law asked about people as a file gives them: names meet, and stories of the field come out right."""

from datetime import date, datetime, timedelta, timezone

import pytest

from gyrewright.fact import Fact
from gyrewright.finding import Verdict, worst
from gyrewright.people import crew_facts, read_people
from gyrewright.reading import Problems, section_of
from gyrewright.rules.force import fact_names

ZONE = timezone(timedelta(hours=-7))
HEAD = """
[[person]]
id = "{id}"
name = "Somebody"
roles = ["{role}"]
"""
OF_THE_FLIGHT = {
    "commander",
    "commander_cost_share_ratio",
    "commander_finds_safe",
    "examiner_accepts_aircraft",
    "examiner_standard_edition",
    "instructor",
    "instructor_provides_aircraft",
    "instructor_scope_stated",
    "instructor_scope_stated_at",
    "passenger",
    "student",
    "training_authority_aboard",
    "training_authority_relied_on",
    "training_entry_fields",
    "training_is_paid",
}


def people_of(*texts):
    problems = Problems()
    people = read_people(section_of("".join(texts), file="people.toml", problems=problems))
    assert problems.found == []
    return people


def one(id, role, more=""):
    return HEAD.format(id=id, role=role) + more


def crew(people, on, hour=9, *, alone=False, **parts):
    aboard = tuple(dict.fromkeys(id for id in parts.values() if id))
    depart = datetime(on.year, on.month, on.day, hour, tzinfo=ZONE)
    base = {"aircraft_id": "G1", "make_model": "Invented Two", "flight_on": on, "depart_at": depart, "alone": alone}
    base["aboard"] = aboard
    facts = crew_facts(people, **{**base, **parts})
    return facts | {"depart_at": Fact("depart_at", depart), "land_at": Fact("land_at", depart + timedelta(hours=1))}


@pytest.fixture
def told(ask):
    """Ask a rule about the good day with a crew's facts in place of its people."""

    def asked(id, facts, on, **more):
        people_facts = {name: fact for name, fact in facts.items() if fact.is_known}
        gone = {name: None for name, fact in facts.items() if not fact.is_known}
        return ask(id, {**gone, **people_facts, **more}, on=on)

    return asked


def test_every_fact_about_people_that_the_law_asks_for_is_given_by_name(us):
    people = people_of(*(one(id, "pilot") for id in ("I1", "S1", "E1", "P1")))
    parts = {"commander": "I1", "instructor": "I1", "student": "S1", "examiner": "E1", "passenger": "P1"}
    given = set(crew(people, date(2027, 6, 14), **parts)) | OF_THE_FLIGHT
    first = {"commander", "instructor", "student", "examiner", "passenger", "training"}
    asked = {name for rule in us.rules for name in fact_names(rule) if name.split("_")[0] in first}
    assert asked - given == set()


LANDINGS = """
[[person.landings]]
on = 2027-04-18
aircraft_class = "rotorcraft gyroplane"
take_offs = 2
landings = 2
sole = true
[[person.landings]]
on = 2027-04-02
aircraft_class = "rotorcraft gyroplane"
take_offs = 1
landings = 1
sole = true
[[person.landings]]
on = 2027-07-10
aircraft_class = "airplane single-engine land"
take_offs = 9
landings = 9
sole = true
"""


def test_a_renter_with_a_friend_lacks_one_landing_and_airplanes_do_not_count(told):
    """Two landings on day 90 count, one on day 106 does not; the cure is one more, alone."""
    people = people_of(one("N1", "pilot", LANDINGS), one("P1", "pilot"))
    on = date(2027, 7, 17)
    facts = crew(people, on, commander="N1", passenger="P1")
    (found,) = told("us.61.57.day", facts, on, purpose="rental", passenger="P1", commander="N1")
    assert found.verdict is Verdict.STOP
    assert (found.params["landings"], found.params["missing"]) == (2, 1)
    (cure,) = found.cures
    assert (cure.id, cure.params["count"]) == ("people.land_alone", 1)
    assert told("us.61.57.day", facts, on, purpose="rental", passenger="", aboard_count=1) == ()


TEST = """
[person.studies]
knowledge_test_on = 2027-05-01
test_report_presented = true
areas_missed = 3
missed_areas_reviewed = false
test_training_on = 2027-07-06
test_endorsed_on = 2027-07-06
experience_complete = true
claims_credit = false
test_failed = false
"""


def test_a_test_day_lacks_the_statement_on_missed_areas_and_nothing_else(told):
    on = date(2027, 7, 31)
    people = people_of(one("S4", "student", TEST), one("E1", "examiner"))
    facts = crew(people, on, commander="S4", student="S4", examiner="E1")
    (found,) = told("us.61.39", facts, on)
    assert (found.verdict, found.why, found.params["count"]) == (Verdict.STOP, "areas", 3)
    (aircraft,) = told("us.91.319.condition", {}, on, condition_inspection_on=date(2026, 7, 31))
    assert aircraft.verdict is Verdict.GO
    assert aircraft.params["ends_this_month"]
    (august,) = told("us.91.319.condition", {}, date(2027, 8, 1), condition_inspection_on=date(2026, 7, 31))
    assert august.verdict is Verdict.STOP


def test_a_later_test_is_stopped_by_the_end_of_the_second_month(told):
    people = people_of(one("S4", "student", TEST.replace("= false", "= true", 1)), one("E1", "examiner"))
    for on, verdict in ((date(2027, 9, 30), Verdict.GO), (date(2027, 10, 1), Verdict.STOP)):
        facts = crew(people, on, commander="S4", student="S4", examiner="E1")
        assert worst(told("us.61.39", facts, on)) is verdict


TAUGHT = """
[[person.taught]]
start = 2027-07-13T13:00:00-07:00
end = 2027-07-13T20:12:00-07:00
"""


def test_an_instructors_day_rolls_and_is_not_counted_by_calendar_days(told):
    """7.2 h given, the earliest begun 20 h before the start: one hour more is too much, 0.8 h is not."""
    on = date(2027, 7, 14)
    people = people_of(one("I1", "instructor", TAUGHT), one("S1", "student"))
    facts = crew(people, on, commander="I1", instructor="I1", student="S1")
    (found,) = told("us.61.195.hours", facts, on)
    assert found.verdict is Verdict.STOP
    assert found.params["total_h"] == pytest.approx(8.2)
    assert found.params["left_h"] == pytest.approx(0.8)
    assert found.params["frees_at"] == datetime(2027, 7, 14, 13, tzinfo=ZONE)
    assert {cure.id for cure in found.cures} == {"rules.teach_less", "rules.another_instructor"}
    short = datetime(2027, 7, 14, 9, 48, tzinfo=ZONE)
    assert told("us.61.195.hours", facts, on, land_at=short)[0].verdict is Verdict.GO


SOLO = """
[[person.endorsement]]
what_for = "solo"
make_model = "Invented Two"
given_by = "I1"
given_on = {given_on}
"""
GIVER = """
[person.teaching]
period = [{{ from = 2022-06-01, until = 2024-06-30 }}, {{ from = 2027-06-01, until = 2029-05-31 }}]
""".replace("{{", "{").replace("}}", "}")


@pytest.mark.parametrize(
    ("given_on", "verdict"),
    [
        ("2027-05-31", Verdict.STOP),
        ("2027-06-01", Verdict.GO),
        ("2027-06-14", Verdict.GO),
        ("2027-06-15", Verdict.STOP),
    ],
)
def test_an_endorsement_is_worth_what_its_giver_was_on_that_day(told, given_on, verdict):
    on = date(2027, 6, 14)
    people = people_of(one("I1", "instructor", GIVER), one("S1", "student", SOLO.format(given_on=given_on)))
    facts = crew(people, on, commander="S1", student="S1", alone=True)
    assert worst(told("us.61.87.endorsement", facts, on, student="S1")) is verdict


def test_an_operation_with_an_authority_of_2025_may_go_on_teaching_in_its_own_aircraft(told):
    more = '[[person.authority]]\nwhat_for = "training in an experimental aircraft"\nid = "A-7"\nissued_on = {}\n'
    for issued, verdict in (("2024-12-01", Verdict.STOP), ("2025-03-01", Verdict.GO)):
        people = people_of(one("I1", "instructor", more.format(issued)), one("S1", "student"))
        on = date(2027, 6, 14)
        facts = crew(people, on, commander="I1", instructor="I1", student="S1")
        assert worst(told("us.91.326.training", facts, on)) is Verdict.GO
        assert worst(told("us.91.326.old-authority", facts, on)) is verdict
