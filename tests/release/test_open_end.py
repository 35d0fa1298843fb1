"""A flight whose end is left open: from the shortest useful one until the first check that stops it."""

from dataclasses import replace
from datetime import datetime, timedelta

import pytest

from gyrewright.finding import Verdict
from gyrewright.release.choices import with_block, with_open_end
from gyrewright.release.decide import decide
from gyrewright.release.open_end import longest
from kit.agree import failing
from scenarios.fixture import Flight, Row, question

NOW = datetime.fromisoformat(Flight().asked_at)


def opened(flight):
    return decide(with_open_end(question(flight)))


def end_of(answer):
    return next(each for each in answer.findings if each.id == "time.open_end")


def test_the_fuel_says_when_to_be_down():
    # 40 L less 4 L unusable and half an hour's reserve: 27.5 L at 17 L/h are 97.06 min.
    answer = opened(Flight())
    assert answer.verdict is Verdict.GO_IF
    assert end_of(answer).params["length_min"] == 97.0
    assert end_of(answer).params["binds"] == "fuel.enough"
    (condition,) = end_of(answer).conditions
    assert condition.until == NOW + timedelta(minutes=97)
    assert condition.owner == "I1"


def test_a_minute_more_fails_by_the_named_check():
    asked = question(Flight())
    assert decide(with_block(asked, 97.0 / 60.0)).verdict is Verdict.GO
    assert "fuel.enough" in failing(decide(with_block(asked, 98.0 / 60.0)))


def test_what_is_too_short_to_be_useful_is_answered_by_what_stops_it():
    answer = opened(Flight(fuel_l=14.0))
    assert answer.verdict is Verdict.STOP
    assert "fuel.enough" in failing(answer)
    assert all(each.id != "time.open_end" for each in answer.findings)


def test_a_house_that_does_not_say_what_is_useful_leaves_the_length_missing():
    answer = opened(Flight(edits=(("operation.toml", 'least_useful = "10 min"', ""),)))
    assert answer.verdict is Verdict.UNKNOWN
    assert "block_h" in {name for each in answer.findings for name in each.lacking}


def test_without_a_start_nothing_is_promised():
    asked = with_open_end(question(Flight()))
    answer = decide(replace(asked, flight=replace(asked.flight, depart_at=None)))
    assert answer.verdict is Verdict.UNKNOWN


def test_the_law_of_the_night_is_asked_where_the_flight_would_reach_it():
    # Sunset is at 20:20; the student alone must be down an hour before by the house, others by the maker's rule.
    evening = Flight(asked_at="2027-07-14T19:10:00-05:00", observed=Row("2027-07-14T19:05:00-05:00"), fuel_l=60.0)
    length_min, binds = longest(question(evening), 10.0 / 60.0)
    assert binds == "light.before_sunset"
    until = decide(with_block(question(evening), length_min / 60.0))
    longer = decide(with_block(question(evening), (length_min + 1.0) / 60.0))
    assert until.verdict <= Verdict.JUDGE
    assert "light.before_sunset" in failing(longer)


@pytest.mark.parametrize("least_min", [10.0, 10.5, 20.0])
def test_the_end_is_a_whole_minute_whatever_the_shortest_useful_flight_is(least_min):
    length_min, _ = longest(question(Flight()), least_min / 60.0)
    assert length_min == 97.0


def test_a_flight_of_which_only_the_shortest_passes_ends_with_it():
    # 10.5 min and not 11: 18.5 L less what is needed for them.
    asked = question(Flight(fuel_l=round(4.0 + 8.5 + 17.0 * 10.6 / 60.0, 3)))
    assert longest(asked, 10.5 / 60.0) == (10.5, "fuel.enough")
