"""People: what they hold, what they have done lately, what they weigh, what they say, and who may do what."""

from gyrewright.people.cautions import (
    CautionRule,
    Ends,
    caution_fact,
    cautions,
    papers_ending,
    read_caution_rule,
    written_ends,
)
from gyrewright.people.checks import CHECKS, PeopleRules, checks_for, people_rules_fact, read_people_rules
from gyrewright.people.facts import crew_facts, endorsement_limits, own_limits
from gyrewright.people.person import Insurance, Person
from gyrewright.people.read import read_insurance, read_people

__all__ = [
    "CHECKS",
    "CautionRule",
    "Ends",
    "Insurance",
    "PeopleRules",
    "Person",
    "caution_fact",
    "cautions",
    "checks_for",
    "crew_facts",
    "endorsement_limits",
    "own_limits",
    "papers_ending",
    "people_rules_fact",
    "read_caution_rule",
    "read_insurance",
    "read_people",
    "read_people_rules",
    "written_ends",
]
