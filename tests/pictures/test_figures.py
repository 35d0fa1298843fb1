"""Numbers as they are printed in pictures: the same as in the sentences beside them, and never kinder than they are."""

from datetime import UTC, date, datetime
from itertools import pairwise
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gyrewright.finding import Finding, Layer, Limit, Sense, Verdict, Whose
from gyrewright.pictures import figures
from gyrewright.pictures.frame import facts_of, units_of
from gyrewright.pictures.speech import PLAIN
from gyrewright.words.gaps import layer_numbers, symbol_of
from gyrewright.words.voice import voice_of
from pictures.measured import answered

FLIGHTS = ("0630-sunde-halloran", "0900-okafor-lind-eklund", "1330-sunde-halloran", "1900-halloran-alone")


def plain(text: str) -> str:
    """Return a printed number as sentences print it."""
    return text.replace("\u00a0", " ")


@pytest.mark.parametrize("flight", FLIGHTS)
def test_every_number_of_a_ruler_reads_as_in_the_sentence_beside_it(flight: str) -> None:
    answer = answered(flight)
    voice = voice_of(answer.situation)
    compared = 0
    for finding in answer.findings:
        for layer in finding.layers:
            symbol = figures.symbol_for(finding, units_of(answer), facts_of(answer))
            assert symbol == symbol_of(voice, finding)
            by_clock = figures.is_clock(finding)
            here = figures.beside(layer, finding.dimension, symbol, by_clock=by_clock, say_date=PLAIN.date)
            there = layer_numbers(voice, finding, layer, symbol)
            assert (here is None) == (there is None)
            if here is None or there is None:
                continue
            compared += 1
            for name in ("value", "limit"):
                assert plain(getattr(here, name)) == there.with_unit(getattr(there, name)), (finding.id, name)
            assert plain(here.margin) == there.with_unit(there.margin), finding.id
    assert compared > 30


def a_layer(value: float, limit: float, sense: Sense = Sense.AT_MOST, typed: str = "") -> Layer:
    margin = limit - value if sense.is_upper else value - limit
    return Layer(Limit("load", Whose.MAKER, sense, limit, typed), value, margin, margin >= 0.0, binds=True)


def test_a_value_just_beyond_its_limit_gets_the_digits_to_say_so() -> None:
    found = figures.beside(a_layer(450.04, 450.0), "mass", "kg")
    assert found is not None
    assert [plain(each) for each in (found.value, found.limit, found.margin)] == ["450.04 kg", "450 kg", "0.04 kg"]


@given(st.floats(300.0, 600.0), st.floats(-1.0, 1.0), st.sampled_from([Sense.AT_MOST, Sense.AT_LEAST]))
def test_printed_numbers_stand_to_each_other_as_the_real_ones(limit: float, apart: float, sense: Sense) -> None:
    layer = a_layer(limit + apart, limit, sense)
    found = figures.beside(layer, "mass", "kg")
    assert found is not None
    value, bound = (float(each.split("\u00a0")[0]) for each in (found.value, found.limit))
    passes = value <= bound if sense is Sense.AT_MOST else value >= bound
    assert passes == layer.passes or abs(apart) < 1e-6


def test_a_limit_reads_as_it_was_typed_where_that_is_the_limit_itself() -> None:
    as_typed = figures.beside(a_layer(8.0, 10.0, typed="10.00 kg"), "mass", "kg")
    made_of_it = figures.beside(a_layer(8.0, 30.0, typed="10 kg"), "mass", "kg")
    assert as_typed is not None
    assert made_of_it is not None
    assert (plain(as_typed.limit), plain(made_of_it.limit)) == ("10.00 kg", "30 kg")


def test_dates_read_as_dates_and_what_is_left_between_them_as_days() -> None:
    limit = Limit("", Whose.MAKER, Sense.AT_MOST, date(2027, 6, 30))
    found = figures.beside(Layer(limit, date(2027, 6, 29), 1, True), "", "", say_date=PLAIN.date)
    assert found is not None
    assert (found.value, found.limit, plain(found.margin)) == ("29 June 2027", "30 June 2027", "1 day")


def test_hours_of_a_meter_are_hours_and_a_time_by_the_clock_is_hours_and_minutes() -> None:
    assert not figures.is_clock(Finding("maintenance.life", Verdict.GO, dimension="time"))
    assert figures.is_clock(Finding("light.before_sunset", Verdict.GO, dimension="time"))
    assert figures.is_clock(Finding("fuel.stick_age", Verdict.GO, dimension="time"))
    assert plain(figures.figure("time", 488.4, "h")) == "488.4 h"
    assert plain(figures.duration(13.1333333)) == "13 h 8 min"


@pytest.mark.parametrize(
    ("hours", "careful", "said"), [(0.501, "up", "31 min"), (0.499, "down", "29 min"), (73.0, "", "3 days")]
)
def test_a_length_of_time_is_rounded_to_the_side_on_which_it_reads_no_better(
    hours: float, careful: str, said: str
) -> None:
    assert plain(figures.duration(hours, careful=careful)) == said


def test_lengths_are_shown_as_they_were_typed_and_other_things_as_the_operation_prefers() -> None:
    units = {"length": "ft", "mass": "lb"}
    assert figures.chosen("length", units, ["850 m"]) == "m"
    assert figures.chosen("length", units, [""]) == "ft"
    assert figures.chosen("mass", units, ["88 kg"]) == "lb"
    assert figures.chosen("", units, []) == ""


@given(st.floats(-1e4, 1e4), st.floats(0.01, 1e4), st.integers(2, 8))
def test_the_numbers_of_an_axis_are_round_inside_and_evenly_apart(low: float, span: float, count: int) -> None:
    ticks = figures.steps(low, low + span, count)
    apart = {round((second - first) / span, 6) for first, second in pairwise(ticks)}
    assert all(low - 1e-6 * span <= tick <= low + span + 1e-6 * span for tick in ticks)
    assert 1 <= len(ticks) <= count + 1
    assert len(apart) <= 1


def test_the_numbers_of_an_axis_are_told_apart() -> None:
    ticks = figures.steps(0.0, 1.0, 5)
    assert [figures.step_text(tick, ticks[1] - ticks[0]) for tick in ticks] == [
        "0.0",
        "0.2",
        "0.4",
        "0.6",
        "0.8",
        "1.0",
    ]
    assert figures.step_text(12000.0, 1000.0) == "12,000"


def test_a_clock_shows_the_minute_that_has_begun_and_what_arithmetic_lost_is_given_back() -> None:
    zone = ZoneInfo("America/Los_Angeles")
    assert figures.clock(datetime(2027, 6, 12, 13, 30, 59, tzinfo=UTC), zone) == "06:30"
    assert figures.clock(datetime(2027, 6, 12, 13, 29, 59, 999999, tzinfo=UTC), zone) == "06:30"
