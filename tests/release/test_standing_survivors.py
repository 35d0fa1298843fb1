"""What the release works out for law and house: margins of mass and balance, and the sun."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from types import SimpleNamespace

import pytest

from gyrewright.finding import Limit, Sense, Verdict, Whose
from gyrewright.inspection.walk import Walk
from gyrewright.inspection.walk_rules import Needed, WalkRules
from gyrewright.release import standing
from gyrewright.sheet import Partial
from scenarios.fixture import Flight, answer, finding

LACKING = Partial(0.0, False, "limit:maker:take-off mass")


def limit(value, sense=Sense.AT_MOST, on=(), whose=Whose.MAKER):
    return Limit("load" if on else "take-off mass", whose, sense, value, on=on)


def stack(*limits):
    out = {}
    for each in limits:
        out.setdefault(each.of, []).append(each)
    return {of: tuple(each) for of, each in out.items()}


# --- mass -------------------------------------------------------------------------------------------------------------


def test_the_least_margin_of_mass_is_that_of_the_lowest_limit():
    both = stack(limit(450.0), limit(440.0, whose=Whose.LAW), limit(None, whose=Whose.HOUSE))
    assert standing.least_mass_margin_kg(both, 430.0) == pytest.approx(10.0)
    assert standing.least_mass_margin_kg(both, 445.0) == pytest.approx(-5.0)
    for nothing in ({}, stack(limit(None)), stack(limit(100.0, on=("front",)))):
        assert standing.least_mass_margin_kg(nothing, 430.0) == LACKING


def test_the_greatest_mass_is_the_makers_lowest_and_nobody_elses():
    both = stack(limit(450.0), limit(460.0), limit(400.0, whose=Whose.HOUSE), limit(None))
    assert standing.aircraft_max_mass_kg(both) == 450.0
    assert standing.aircraft_max_mass_kg(stack(limit(400.0, whose=Whose.HOUSE))) == LACKING


def test_the_least_margin_of_a_place_counts_inwards_and_all_that_it_limits_together():
    seats = stack(
        limit(110.0, on=("front",)), limit(50.0, Sense.AT_LEAST, on=("front",)), limit(190.0, on=("front", "rear"))
    )
    given = [({"front": 100.0, "rear": 60.0}, 10.0), ({"front": 55.0, "rear": 60.0}, 5.0)]
    given += [({"front": 100.0, "rear": 85.0}, 5.0), ({"front": 45.0, "rear": 60.0}, -5.0)]
    for loads, margin in given:
        assert standing.least_station_margin_kg(seats, **loads) == pytest.approx(margin)
    for nothing in ({}, stack(limit(None, on=("front",)))):
        assert standing.least_station_margin_kg(nothing, front=60.0) == Partial(0.0, False, "limit:maker:load")


@pytest.mark.parametrize(
    ("limits", "extra_kg", "margin"),
    [
        ([limit(450.0)], {}, 20.0),
        ([limit(450.0)], {"S1": 6.0}, 14.0),
        ([limit(450.0)], {"S1": 6.0, "I1": 5.0}, 9.0),
        ([limit(450.0), limit(440.0, whose=Whose.HOUSE)], {"S1": 6.0}, 4.0),
        ([limit(420.0, Sense.AT_LEAST)], {"S1": 6.0}, 4.0),
        ([limit(450.0), limit(105.0, on=("front",))], {"S1": 6.0}, -1.0),
        ([limit(450.0), limit(105.0, on=("front",))], {"I1": 6.0}, 5.0),
        ([limit(450.0), limit(95.0, Sense.AT_LEAST, on=("front",))], {"S1": 6.0}, -1.0),
        ([limit(450.0), limit(170.0, on=("front", "rear"))], {"S1": 6.0, "I1": 5.0}, -1.0),
        ([limit(450.0), limit(22.0, on=("locker",))], {"S1": 6.0}, 2.0),
        ([limit(450.0), limit(None, whose=Whose.HOUSE), limit(None, on=("rear",))], {"S1": 6.0}, 14.0),
        ([limit(None), limit(450.0), limit(None, on=("rear",)), limit(105.0, on=("front",))], {"S1": 6.0}, -1.0),
    ],
)
def test_whoever_is_unweighed_counts_to_the_careful_side_of_every_limit_of_mass(limits, extra_kg, margin):
    seated, loads = {"front": "S1", "rear": "I1"}, {"front": 100.0, "rear": 60.0, "locker": 20.0}
    found = standing.careful_mass_margin_kg(stack(*limits), 430.0, extra_kg, seated, **loads)
    assert found == pytest.approx(margin)


def test_without_any_limit_of_mass_nobody_knows_the_careful_margin():
    assert standing.careful_mass_margin_kg({}, 430.0, {}, {"front": "S1"}, front=100.0) == LACKING


def test_the_least_margin_of_balance_is_the_nearer_of_both_sides():
    for forward, aft, least in ((0.02, 0.05, 0.02), (0.05, 0.02, 0.02), (0.05, -0.01, -0.01)):
        path = SimpleNamespace(forward_margin_m=forward, aft_margin_m=aft)
        assert standing.least_balance_margin_m(path) == least


S1 = 'id = "S1"\nname = "S1"\nroles = ["student"]\nmass = {{ value = "{kg} kg", origin = "{origin}", '


def weighed(kg, origin, house=""):
    edits = [("people.toml", S1.format(kg=75, origin="weighed"), S1.format(kg=kg, origin=origin))]
    edits += [("operation.toml", house, "")] if house else []
    return answer(Flight(block_h=0.25, fuel_l=20.0, edits=tuple(edits)))


AGE = '[[house.limit]]\nof = "age of weighing"\nat_most = "7 days"\npage = "HR1"\n'


def test_a_stated_mass_is_no_weighing_however_lately_it_was_stated():
    assert finding(weighed(75, "weighed"), "loading.weighing", "S1").verdict is Verdict.GO
    found = finding(weighed(75, "stated"), "loading.weighing", "S1")
    assert (found.verdict, found.lacking) == (Verdict.UNKNOWN, ("weighed_on:S1",))


@pytest.mark.parametrize(("kg", "verdict", "why"), [(81, Verdict.UNKNOWN, "unknown"), (82, Verdict.GO, "careful")])
def test_in_a_house_that_takes_stated_masses_the_scale_must_say_within_the_careful_margin(kg, verdict, why):
    # The seat wants 60 kg at least; 8 % less than stated must leave the 15 kg within which the house asks for a scale.
    found = finding(weighed(kg, "stated", AGE), "people.scale")
    assert (found.verdict, found.why) == (verdict, why)
    assert found.params["margin_kg"] == pytest.approx(kg - 60.0 - 0.08 * kg)


# --- walk-rounds ------------------------------------------------------------------------------------------------------

NEEDED = Needed("daily", frozenset({"full"}), None, "entitled", 0, timedelta(minutes=30), frozenset())


def walked(*walks, needed=(NEEDED,), depart_at=None):
    asked_at = at(8, 0)
    depart_at = depart_at or at(8, 10)
    entitled = {"walk round": frozenset({"I1"})}
    given = ((), (), WalkRules(needed), (), (), entitled, asked_at, depart_at, depart_at.date(), "I1")
    return standing.walk_round_done(walks, *given)


def made(by="I1", complete=True):
    return Walk("w", "full", "list", 1, (by,), at(7, 20), at(7, 50), complete, (), (), (), (), (), "")


def test_the_walk_round_of_the_law_is_done_where_every_walk_holds_or_is_still_to_come():
    assert walked(made())
    assert not walked()
    assert not walked(made(complete=False))
    assert not walked(made(by="S1"))
    assert not walked(made(), needed=())
    assert walked(depart_at=at(8, 30))
    other = Needed("each", frozenset({"short"}), None, "entitled", 0, timedelta(minutes=30), frozenset())
    assert not walked(made(), needed=(NEEDED, other))
    assert not walked(made(), needed=(other, NEEDED))


# --- sun --------------------------------------------------------------------------------------------------------------


def at(hour, minute, second=0):
    return datetime(2027, 6, 12, hour, minute, second, tzinfo=UTC)


def test_the_day_begins_with_the_whole_minute_after_and_ends_with_the_one_before():
    sun = SimpleNamespace(
        sun=SimpleNamespace(rises=at(5, 20, 30), sets=at(20, 44, 30)),
        civil=SimpleNamespace(rises=at(4, 50, 30), sets=at(21, 14, 30)),
    )
    assert standing.sunrise_at(sun) == at(5, 21)
    assert standing.sunset_at(sun) == at(20, 44)
    assert standing.dawn_at(sun) == at(4, 51)
    assert standing.dusk_at(sun) == at(21, 14)


def test_where_the_sun_does_not_rise_or_set_nobody_knows_when():
    never = SimpleNamespace(rises=None, sets=None)
    sun = SimpleNamespace(sun=never, civil=never)
    for function in (standing.sunrise_at, standing.sunset_at, standing.dawn_at, standing.dusk_at):
        assert function(sun) == Partial(None, False, "sun_that_day")
