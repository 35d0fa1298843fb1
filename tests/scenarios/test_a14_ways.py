"""A14: the instructor has taught 7.2 h in the last 24 h. A shorter lesson passes, and so does another instructor."""

from dataclasses import replace
from datetime import datetime, timedelta
from functools import cache

from gyrewright.finding import Verdict
from gyrewright.release.choices import with_block
from gyrewright.release.decide import decide
from gyrewright.release.ways import ways
from kit.agree import failing
from scenarios.fixture import Flight, Row, question

HOURS = "rule.us.61.195.hours"
NOW = datetime.fromisoformat(Flight().asked_at)
BEGAN = NOW - timedelta(hours=20)


def asked(block_h=1.0):
    """Return the ordinary good day with the instructor who has taught so much."""
    return tired(question(Flight(block_h=block_h)))


def tired(flight, began=BEGAN):
    """Return a question on whose day I1 has taught 7.2 h on end, begun 20 h ago."""
    taught = ((began, began + timedelta(hours=7.2)),)
    return replace(flight, people={**flight.people, "I1": replace(flight.people["I1"], taught=taught)})


@cache
def found():
    return ways(asked(), fleet=(asked().aircraft,))


def test_one_hour_is_stopped_and_eight_tenths_pass():
    assert "rule.us.61.195.hours" in failing(decide(asked(1.0)))
    assert decide(asked(1.0)).verdict is Verdict.STOP
    assert decide(asked(0.8)).verdict is Verdict.GO
    assert HOURS in failing(decide(with_block(asked(), 49.0 / 60.0)))


def test_the_end_left_open_is_offered_until_eight_tenths_of_an_hour():
    offer = next(each for each in found().offers if [change.kind for change in each.changes] == ["block"])
    end = next(each for each in offer.answer.findings if each.id == "time.open_end")
    assert offer.answer.verdict is Verdict.GO_IF
    assert end.params["length_min"] == 48.0
    assert end.params["binds"] == HOURS


def test_the_other_instructor_is_offered():
    offer = next(each for each in found().offers if [change.kind for change in each.changes] == ["instructor"])
    assert offer.answer.verdict is Verdict.GO
    assert offer.changes[0].params["person"] == "I2"
    assert dict(offer.question.flight.parts)["commander"] == "I2"


def test_the_window_rolls_with_the_start_and_does_not_follow_the_calendar():
    # Begun 22.5 h ago, the earliest hour leaves the 24 h in an hour and a half; by landing 0.2 h of it must have left.
    began = NOW - timedelta(hours=22.5)
    evening = Row("2027-07-14T20:00:00-05:00", wind=(250, 8, None), altimeter="1018 hPa")
    first = ways(tired(question(Flight(rows=[evening])), began)).windows[0]
    assert first.start_at == began + timedelta(hours=24.2) - timedelta(hours=1.0)
    assert first.binds_before == HOURS


def test_another_instructor_is_offered_only_where_the_house_names_one():
    line = 'may_replace_instructor = ["I1", "I2"]'
    silent = question(Flight(edits=(("operation.toml", line, ""),)))
    kinds = {change.kind for offer in ways(tired(silent)).offers for change in offer.changes}
    assert kinds
    assert "instructor" not in kinds
