"""One rule with two texts, the day before and the day of its change."""

from datetime import date

from gyrewright.finding import Verdict

LAST_OLD = date(2024, 12, 1)
FIRST_NEW = date(2024, 12, 2)
RULE = "us.61.57.day"


def test_until_1_december_2024_a_learner_was_no_passenger_and_no_landings_were_asked(ask):
    assert ask(RULE, {"commander_landings": ()}, on=LAST_OLD) == ()


def test_from_2_december_2024_a_learner_is_a_person_aboard_and_landings_are_asked(ask):
    (found,) = ask(RULE, {"commander_landings": ()}, on=FIRST_NEW)
    assert found.verdict is Verdict.STOP
    assert found.params["missing"] == 3
    assert found.id == "rule.us.61.57.day"
    assert "61.57(a)" in found.source.section


def test_the_day_after_it_is_asked_too(ask):
    (found,) = ask(RULE, {"commander_landings": ()}, on=date(2024, 12, 3))
    assert found.verdict is Verdict.STOP


def test_a_passenger_was_asked_about_before_the_change_as_well(ask):
    (found,) = ask(RULE, {"commander_landings": (), "passenger": "P1"}, on=LAST_OLD)
    assert found.verdict is Verdict.STOP
