"""A02, backwards: the solo is offered until the first limit is forecast to be met, and not a minute longer."""

from dataclasses import replace
from datetime import datetime
from functools import cache

from gyrewright.finding import Verdict
from gyrewright.release.choices import with_block
from gyrewright.release.decide import decide
from gyrewright.release.ways import ways
from kit.agree import failing
from scenarios.fixture import question
from scenarios.test_a02 import FLIGHT

DOWN_BY = datetime.fromisoformat("2027-07-14T09:37:00-05:00")


@cache
def found():
    asked = question(FLIGHT)
    return ways(asked, fleet=(asked.aircraft,))


def alone(found):
    """Return what is offered to the student alone; the other offer is to fly it dual."""
    return [each for each in found.offers if each.question.flight.purpose.value == "student alone"]


def test_the_flight_as_asked_is_stopped_and_one_change_is_offered_with_its_own_verdict():
    assert found().asked.verdict is Verdict.STOP
    (offer,) = alone(found())
    assert [change.kind for change in offer.changes] == ["block"]
    assert offer.answer.verdict is Verdict.GO_IF


def test_the_student_is_down_by_0937_and_never_by_0943():
    (offer,) = alone(found())
    end = next(each for each in offer.answer.findings if each.id == "time.open_end")
    (condition,) = end.conditions
    assert (condition.owner, condition.until) == ("S2", DOWN_BY)
    assert end.params["binds"] == "wind.spread"
    assert end.params["length_min"] == 17.0


def test_a_minute_more_is_stopped_by_the_spread():
    asked = question(FLIGHT)
    assert decide(with_block(asked, 17.0 / 60.0)).verdict is Verdict.GO
    assert "wind.spread" in failing(decide(with_block(asked, 18.0 / 60.0)))


def test_less_than_is_useful_is_not_offered():
    house = (*FLIGHT.edits, ("operation.toml", 'least_useful = "10 min"', 'least_useful = "18 min"'))
    asked = question(replace(FLIGHT, edits=house))
    assert alone(ways(asked, fleet=(asked.aircraft,))) == []


def test_an_offer_to_a_student_alone_leaves_the_margin_that_the_house_asks_for():
    # The flight of 10 min that is asked first ends with a spread of 4.57 kt of 5: 8.6 % of the limit are left.
    for margin, count in (("5 %", 1), ("30 %", 0)):
        house = (*FLIGHT.edits, ("operation.toml", 'least_margin = "0 %"', f'least_margin = "{margin}"'))
        asked = question(replace(FLIGHT, edits=house))
        assert len(alone(ways(asked, fleet=(asked.aircraft,)))) == count


def test_a_house_that_does_not_say_what_is_useful_or_enough_gets_no_offer_to_a_student_alone():
    for line in ('least_useful = "10 min"', 'least_margin = "0 %"'):
        asked = question(replace(FLIGHT, edits=(*FLIGHT.edits, ("operation.toml", line, ""))))
        assert alone(ways(asked, fleet=(asked.aircraft,))) == []
