"""What an unread group may have carried, and the bounds on looking for it: gyrewright.air.reports.tokens."""

import time
from datetime import UTC, datetime

import pytest

from gyrewright.air.reports import WEATHER_FACTS, decode_metar, decode_taf
from gyrewright.air.reports.tokens import ANYTHING, LONGEST_REPORT

RECEIVED = datetime(2027, 6, 15, 18, 0, tzinfo=UTC)


def carried(groups):
    report = decode_metar(f"METAR KAAA 151753Z {groups}", received_on=RECEIVED)
    return [(one.text, set(one.may_have_carried)) for one in report.unread]


@pytest.mark.parametrize(
    ("text", "facts"),
    [
        ("24O10KT", {"wind"}),
        ("24010KX", {"wind"}),
        ("21010Z", {"wind"}),
        ("200V2B0", {"wind"}),
        ("1OSM", {"visibility"}),
        ("99X9", {"visibility"}),
        ("CAVQK", {"visibility", "weather", "cloud"}),
        ("R3l/2700FT", {"runway_visual_range"}),
        ("+T5RA", {"weather"}),
        ("BKNO14", {"cloud"}),
        ("8KN014", {"cloud"}),
        ("VVO04", {"cloud"}),
        ("18/1B", {"temperature", "dew_point"}),
        ("A2O92", {"altimeter"}),
        ("Q10I8", {"altimeter"}),
        ("RERX", {"recent_weather"}),
        ("NOSIC", {"change"}),
    ],
)
def test_one_wrong_character_leaves_the_kind_to_be_seen(text, facts):
    assert carried(text) == [(text, facts)]


def test_what_resembles_several_kinds_may_have_been_any_of_them():
    # Q1013, 10/13, or a visibility between the steps of the code.
    assert carried("1013") == [("1013", {"altimeter", "temperature", "dew_point", "visibility"})]


def test_what_resembles_nothing_may_have_been_anything():
    assert carried("XQJZW") == [("XQJZW", set(ANYTHING))]
    assert set(ANYTHING) == {*WEATHER_FACTS, "change"}


@pytest.mark.parametrize("text", ["BKN 014", "BKN0 14", "B KN014", "B N014"])
def test_a_group_torn_in_two_is_known_by_its_halves_together(text):
    assert all("cloud" in facts for _, facts in carried(text))


def test_words_longer_than_any_group_are_not_compared():
    assert carried("R27R/P1000VP4000FT/X") == [("R27R/P1000VP4000FT/X", {"runway_visual_range"})]
    assert carried("R27R/P1000VP4000FT/UX") == [("R27R/P1000VP4000FT/UX", set(ANYTHING))]


def test_with_many_groups_unread_each_may_have_been_anything():
    found = carried("21010Z " * 65)
    assert [facts for _, facts in found] == [{"wind"}] * 64 + [set(ANYTHING)]


UNITS = ("RA", "RAB01", " /", "BECMG 1600/1618 9999 TEMPO 1600/1618 9000 ", "TS N-N-", "AC1", "ABCDEFGHIJKLMNOPQRST ")


@pytest.mark.parametrize("unit", UNITS)
@pytest.mark.parametrize("head", ["METAR KAAA 151753Z ", "METAR KAAA 151753Z RMK ", "TAF KAAA 1518/1624 "])
def test_the_longest_text_takes_a_bounded_time(head, unit):
    text = (head + unit * LONGEST_REPORT)[:LONGEST_REPORT]
    begun = time.process_time()
    (decode_taf if head.startswith("TAF") else decode_metar)(text, received_on=RECEIVED)
    assert time.process_time() - begun < 2.0  # measured: at most 0.35 s
