"""What must hold for every rule: less known or older never passes more, and order does not matter."""

from dataclasses import replace
from datetime import date, datetime, timedelta
from itertools import permutations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from gyrewright.finding import Verdict, worst
from gyrewright.rules import in_force, packaged, read_pack
from gyrewright.rules.force import fact_names
from gyrewright.rules.pack import LIMIT
from gyrewright.rules.registry import EVALUATORS

PACK = read_pack(packaged("us"))
ON = date(2027, 6, 14)
GYRO = "rotorcraft gyroplane"
RULES = [rule.id for rule in PACK.rules if rule.evaluator != LIMIT and in_force(rule, ON)]
# What is asked for only where the flight calls for it, and says something by being absent.
SAYS_BY_ABSENCE = {"registration_ended_on", "deviation_asked_at"}


def level(found):
    return worst(found) if found else Verdict.GO


def call(id, **facts):
    rule = PACK.rule(id)
    value = in_force(rule, ON)
    found = EVALUATORS[rule.evaluator].function(**value.parameters, **facts)
    return (
        Verdict.GO if found is None else max(each.verdict for each in (found if isinstance(found, tuple) else (found,)))
    )


@pytest.mark.parametrize("id", RULES)
def test_a_fact_taken_away_never_lets_a_flight_pass_that_did_not(ask, id):
    base = level(ask(id, {}))
    for name in fact_names(PACK.rule(id)):
        if name in ("flight_on", "purpose", "certificate", "commander_privileges", *SAYS_BY_ABSENCE):
            continue
        without = level(ask(id, {name: None}))
        assert without >= min(base, Verdict.UNKNOWN), (id, name)


@pytest.mark.parametrize("id", RULES)
def test_an_older_date_never_passes_where_the_younger_did_not(ask, id):
    """Take every date of the good day back by steps of months: once it stops, it never passes again."""
    rule = PACK.rule(id)
    for name in fact_names(rule):
        if not name.endswith("_on") or name in ("flight_on", "registration_ended_on", "commander_born_on"):
            continue
        if name in ("training_authority_on", "instructor_teaching_on", "pack_begins"):
            continue  # a date of issue: an older one may be of another kind
        levels = []
        for months in range(0, 100, 3):
            day = ON - timedelta(days=30 * months)
            levels.append(level(ask(id, {name: day})) >= Verdict.UNKNOWN)
        first = levels.index(True) if True in levels else len(levels)
        assert all(levels[first:]), (id, name)


@st.composite
def landings(draw):
    one = st.builds(
        lambda days, ups, downs, sole, night, stop, kind: _Landing(
            ON - timedelta(days=days), kind, ups, downs, sole, night, stop
        ),
        st.integers(0, 120),
        st.integers(0, 3),
        st.integers(0, 3),
        st.sampled_from([True, False, None]),
        st.sampled_from([True, False, None]),
        st.sampled_from([True, False, None]),
        st.sampled_from([GYRO, "airplane single-engine land"]),
    )
    return tuple(draw(st.lists(one, max_size=6)))


class _Landing:
    def __init__(self, on, aircraft_class, take_offs, landings, sole, night, full_stop):
        self.on, self.aircraft_class, self.take_offs, self.landings = on, aircraft_class, take_offs, landings
        self.sole, self.night, self.full_stop = sole, night, full_stop

    def aged(self, days):
        made = _Landing.__new__(_Landing)
        made.__dict__ = {**self.__dict__, "on": self.on - timedelta(days=days)}
        return made


RECENT = {"flight_on": ON, "aboard_count": 2, "commander": "P"}
BY_DAY = {**RECENT, "passenger": "X", "purpose": "private"}
ZONE_AT = datetime.fromisoformat
BY_NIGHT = {
    **RECENT,
    "depart_at": ZONE_AT("2027-06-14T22:30:00-07:00"),
    "land_at": ZONE_AT("2027-06-14T23:00:00-07:00"),
    "sunset_at": ZONE_AT("2027-06-14T20:44:00-07:00"),
    "sunrise_at": ZONE_AT("2027-06-14T05:00:00-07:00"),
}
CASES = [("us.61.57.day", BY_DAY), ("us.61.57.night", BY_NIGHT)]


@pytest.mark.parametrize(("id", "given_facts"), CASES)
@given(done=landings(), data=st.data())
@settings(max_examples=60)
def test_a_landing_removed_or_aged_never_improves_and_order_does_not_matter(id, given_facts, done, data):
    before = call(id, done=done, **given_facts)
    assert call(id, done=tuple(reversed(done)), **given_facts) is before
    for index in range(len(done)):
        assert call(id, done=done[:index] + done[index + 1 :], **given_facts) >= before
    days = data.draw(st.integers(1, 120))
    assert call(id, done=tuple(each.aged(days) for each in done), **given_facts) >= before


@given(
    st.lists(
        st.tuples(
            st.sampled_from(["solo", "night"]),
            st.sampled_from(["A", "B"]),
            st.integers(0, 120),
            st.sampled_from([True, False, None]),
        ),
        max_size=4,
    )
)
@settings(max_examples=80)
def test_an_endorsement_aged_or_of_another_hand_never_improves(shapes, rows):
    make = shapes["Endorsement"]
    held = tuple(
        make(kind, make_model, given_on=ON - timedelta(days=days), giver_in_standing=standing)
        for kind, make_model, days, standing in rows
    )
    facts = {"make_model": "A", "flight_on": ON, "student": "S"}
    before = call("us.61.87.endorsement", student_endorsements=held, **facts)
    older = tuple(replace(each, given_on=each.given_on - timedelta(days=30)) for each in held)
    assert call("us.61.87.endorsement", student_endorsements=older, **facts) >= before
    doubted = tuple(replace(each, giver_in_standing=None if each.giver_in_standing else False) for each in held)
    assert call("us.61.87.endorsement", student_endorsements=doubted, **facts) >= before
    if before is Verdict.GO:
        assert call("us.61.87.endorsement", student_endorsements=(), **facts) is Verdict.STOP


def test_the_verdict_does_not_depend_on_the_order_of_endorsements(shapes):
    make = shapes["Endorsement"]
    held = (
        make("solo", "A", given_on=ON - timedelta(days=100)),
        make("solo", "A", given_on=ON - timedelta(days=10)),
        make("solo", "B", given_on=ON),
    )
    facts = {"make_model": "A", "flight_on": ON, "student": "S"}
    found = {call("us.61.87.endorsement", student_endorsements=order, **facts) for order in permutations(held)}
    assert found == {Verdict.GO}


@given(st.lists(st.sampled_from(["a", "b", "c"]), max_size=3))
def test_one_more_defect_never_improves(items):
    before = call("us.91.405", items=tuple(items))
    assert call("us.91.405", items=(*items, "one more")) >= before
    assert call("us.91.405", items=(*items, "one more")) is Verdict.STOP


@given(st.integers(0, 200), st.integers(0, 200))
def test_more_flown_never_improves_the_hours_left(now, more):
    facts = {
        "instruction_for_hire": True,
        "persons_for_hire": False,
        "instructor_provides_aircraft": True,
        "hours_inspected_at_h": 0.0,
        "hours_were_due_at_h": None,
        "block_h": 1.0,
        "flight_to_inspection": False,
    }
    early = call("us.91.409.hundred", time_in_service_h=float(now), **facts)
    late = call("us.91.409.hundred", time_in_service_h=float(now + more), **facts)
    assert late >= early


def test_a_younger_endorsement_that_is_worth_nothing_does_not_spoil_an_older_good_one(shapes):
    make = shapes["Endorsement"]
    good = make("solo", "A", given_on=ON - timedelta(days=50))
    facts = {"make_model": "A", "flight_on": ON, "student": "S"}
    for other in (
        make("solo", "A", given_on=ON - timedelta(days=1), giver_in_standing=False),
        make("solo", "A", given_on=ON - timedelta(days=1), giver_in_standing=None),
        make("solo", "A", given_on=ON + timedelta(days=1)),
        make("solo", "A", given_on=ON, given_by="S"),
    ):
        assert call("us.61.87.endorsement", student_endorsements=(good, other), **facts) is Verdict.GO
        assert call("us.61.87.endorsement", student_endorsements=(other,), **facts) >= Verdict.UNKNOWN
