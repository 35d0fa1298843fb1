"""Times, lengths of time, lists, people and sources as a person reads them."""

from datetime import UTC, date, datetime
from functools import cache

import pytest

from gyrewright.finding import Limit, Sense, Source, Whose
from gyrewright.words.voice import Voice, as_sentence, voice_of
from kit.files import demo


@cache
def voice() -> Voice:
    return voice_of(demo().answer().situation)


@pytest.mark.parametrize(
    ("hours", "careful", "text"),
    [
        (0.25, "", "15 min"),
        (1.99, "", "119 min"),
        (2.0, "", "2 h"),
        (2.5, "", "2 h 30 min"),
        (47.0, "", "47 h"),
        (50.0, "", "2 days"),
        (50.0, "up", "3 days"),
        (0.0041, "up", "1 min"),
        (0.0041, "down", "0 min"),
        (-0.5, "", "30 min"),
    ],
)
def test_a_length_of_time_reads_in_minutes_then_hours_then_days(hours, careful, text):
    assert voice().duration(hours, careful=careful) == text


def test_hours_of_flying_are_never_days():
    assert voice().text("longest_h", 86.8, "shorter") == "86 h 48 min"


def test_a_time_has_its_date_only_where_it_is_another_day():
    assert voice().moment(datetime(2027, 6, 12, 13, 30, tzinfo=UTC)) == "06:30"
    assert voice().moment(datetime(2027, 6, 13, 13, 30, tzinfo=UTC)) == "13 June 2027 06:30"


def test_a_time_that_something_may_not_be_before_is_rounded_up():
    at = datetime(2027, 6, 12, 13, 30, 20, tzinfo=UTC)
    assert voice().text("fresh_from", at, "later") == "06:31"
    assert voice().text("depart_at", at) == "06:30"


@pytest.mark.parametrize(
    ("several", "text"), [([], ""), (["a"], "a"), (["a", "b"], "a and b"), (["a", "b", "c"], "a, b and c")]
)
def test_a_list_reads_as_one(several, text):
    assert voice().joined(several) == text


def test_people_are_called_by_name_by_id_or_by_their_part():
    assert voice().text("who", "sunde") == "Tobiah Sunde"
    assert voice().who("commander") == "Tobiah Sunde"
    assert voice().who("sunde or arrowood") == "Tobiah Sunde and Pell Arrowood"
    assert voice().who("maintainer") == "maintainer"


@pytest.mark.parametrize(
    ("text", "by"),
    [
        ("METAR X0TB 121310Z 18003KT 10SM CLR 09/02 A2980", "METAR X0TB 121310Z"),
        ("forecast, from", "forecast"),
        ("sunde", "Tobiah Sunde"),
        ("morning briefing", "morning briefing"),
    ],
)
def test_a_report_is_called_by_station_and_time(text, by):
    assert voice().by(text) == by


def test_a_source_reads_in_one_line():
    manual = Source("manual", "Flight manual", "2-3", date(2025, 3, 10), revision="4")
    assert voice().source(manual) == "Flight manual, page 2-3, revision 4, 10 March 2025"
    assert voice().source(Source("house rules", "Order book", "rule 4")) == "Order book, rule 4"
    assert voice().source(Source()) == ""


def test_a_layer_says_whose_it_is_and_for_whom():
    def layer(scope):
        return voice().layer(Limit("wind", Whose.HOUSE, Sense.AT_MOST, 5.0, scope=scope))

    assert layer("student alone") == "house (student alone)"
    assert layer("") == layer("house") == "house"


def test_a_clause_becomes_a_sentence_once():
    assert as_sentence("the tank is dipped") == "The tank is dipped."
    assert as_sentence("Done.") == "Done."


def test_something_small_never_reads_as_nothing():
    assert voice().text("over_h", 0.04) == "0.04 h"
    assert voice().text("over_h", 0.0) == "0 h"


@pytest.mark.parametrize(
    ("name", "value", "text"),
    [
        ("aboard", ("sunde", "halloran"), "Tobiah Sunde and Wren Halloran"),
        ("surfaces", frozenset({"hard", "dry grass"}), "dry grass and hard"),
        ("is_due", True, "yes"),
        ("count", 3, "3"),
        ("on", date(2027, 6, 12), "12 June 2027"),
        ("fuel_l", 40.0, "40 L"),
        ("nothing", None, "?"),
    ],
)
def test_any_value_has_words(name, value, text):
    assert voice().text(name, value) == text
