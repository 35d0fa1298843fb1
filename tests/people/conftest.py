"""The people of the scenarios, as a file gives them."""

from __future__ import annotations

from datetime import date, datetime, timedelta, timezone

import pytest

from gyrewright.people import crew_facts, read_insurance, read_people
from gyrewright.people.mass import MassRule
from gyrewright.reading import Problems, section_of

ZONE = timezone(timedelta(hours=-7))
PEOPLE = """
[[person]]
id = "I1"
name = "First instructor"
roles = ["instructor", "pilot"]
mass = { value = "88 kg", origin = "weighed", at = 2027-07-12T08:00:00-07:00, by = "M1" }
born_on = 1980-01-01
certificate = "sport"
certificate_on = 2019-01-01
certificate_temporary = false
certificate_valid = true
privileges = "sport"
ratings = []
class_endorsements = ["rotorcraft gyroplane"]
review_on = 2026-02-03
review_scope = "full"
endorsement = []
authority = []

[person.medical]
route = "licence"
licence_until_on = 2029-01-01
licence_conditions_met = true

[person.teaching]
privileges = "sport"
ratings = ["rotorcraft gyroplane"]
on = 2022-06-01
printed_until_on = 2024-06-30
recent_on = 2026-06-01
period = [{ from = 2022-06-01, until = 2024-06-30 }, { from = 2024-07-01, until = 2028-06-30 }]

[[person.taught]]
start = 2027-07-13T13:00:00-07:00
end = 2027-07-13T20:12:00-07:00

[[person.landings]]
on = 2027-07-01
aircraft_class = "rotorcraft gyroplane"
aircraft = "G1"
take_offs = 4
landings = 4
sole = true
night = false
full_stop = true

[person.today]
fitness = "fit"
fitness_at = 2027-07-14T07:00:00-07:00
slept = "7.5 h"
lessons = 2

[person.declared]
sober = { said = true, at = 2027-07-14T07:00:00-07:00 }

[[person]]
id = "I2"
name = "Second instructor"
roles = ["instructor", "pilot"]
mass = { value = "96 kg", origin = "weighed", at = 2027-07-12T08:00:00-07:00, by = "M1" }

[[person.authority]]
what_for = "training in an experimental aircraft"
id = "A-7"
issued_on = 2025-03-01
aircraft = ["G2"]

[[person]]
id = "S2"
name = "Second student"
roles = ["student"]
mass = "80 kg"
certificate = "student"
privileges = "student sport"

[[person.endorsement]]
what_for = "solo"
text = "solo in the pattern, alone"
make_model = "G one"
place = "H1"
lessons = ["circuits"]
given_by = "I1"
given_on = 2027-06-22
rests_on = 2027-06-22
giver_present = true

[[person.endorsement.limit]]
of = "wind"
at_most = "10 kt"
counts = "mean"

[[person.endorsement.limit]]
of = "crosswind"
at_most = "5 kt"
counts = "gust"

[[person.limit]]
of = "wind"
at_most = "12 kt"
counts = "gust"

[[person.today.tighten]]
of = "wind"
by = "5 kt"
why = "fatigue"

[person.studies]
last_lesson_on = 2027-07-01
presolo_items = ["climbs"]

[[person]]
id = "E1"
name = "Examiner"
roles = ["examiner", "pilot"]
mass = { value = "82 kg", origin = "weighed", at = 2027-07-12T08:00:00-07:00 }

[[person]]
id = "M1"
name = "Maintainer"
roles = ["maintainer", "inspector"]

[[insurance]]
aircraft = "G1"
document = "Policy 7"
dated = 2027-01-01
from = 2027-01-01
until = 2027-12-31
named = ["I1", "I2"]

[[insurance]]
aircraft = "G3"
none = "the owner carries no policy"
"""
RULE = MassRule(fresh_days=7.0, share=0.08, near_kg=15.0)


def read(text=PEOPLE):
    """Return people, insurance and problems of a text."""
    problems = Problems()
    top = section_of(text, file="people.toml", problems=problems)
    people = read_people(top)
    insurance = read_insurance(top, people)
    top.finish()
    return people, insurance, problems


def at(hour, minute=0, day=14):
    return datetime(2027, 7, day, hour, minute, tzinfo=ZONE)


@pytest.fixture
def text():
    return PEOPLE


@pytest.fixture
def people():
    made, _, problems = read()
    assert problems.found == []
    return made


@pytest.fixture
def insurance():
    return read()[1]


@pytest.fixture
def read_text():
    return read


@pytest.fixture
def moment():
    return at


@pytest.fixture
def crew(people, insurance):
    """Return the facts of a crew: a dual lesson unless changed."""

    def made(who=None, **given):
        base = {
            "commander": "I1",
            "instructor": "I1",
            "student": "S2",
            "aboard": ("I1", "S2"),
            "aircraft_id": "G1",
            "make_model": "G one",
            "flight_on": date(2027, 7, 14),
            "depart_at": at(9),
            "mass_rule": RULE,
            "insurance": insurance,
        }
        return crew_facts(who or people, **{**base, **given})

    return made
