"""A number over time: its extremes over a flight, for one and for many, and the first moment beyond a limit."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta, timezone

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from gyrewright.air.course import Piece, course, first_beyond, largest, minutes, moment_of, smallest
from gyrewright.sheet import Partial

LACKING = Partial(None, False, "wind")


def line(*pieces):
    return course([Piece(*each) for each in pieces], "wind")


RISING = (0.0, 60.0, 4.0, 10.0, "TAF")
LATER = (60.0, 120.0, 6.0, 6.0, "TAF 2")
GAP = (60.0, 120.0, None, None, "TAF 2")


def test_minutes_count_from_1970_in_utc_and_come_back_to_the_second():
    moment = datetime(1970, 1, 2, 1, 30, 30, tzinfo=timezone(timedelta(hours=1)))
    assert minutes(moment) == 24.0 * 60.0 + 30.5
    assert moment_of(minutes(moment)) == moment
    assert moment_of(minutes(moment)).tzinfo is UTC
    assert moment_of(0.51 / 60.0) == datetime(1970, 1, 1, 0, 0, 1, tzinfo=UTC)
    assert moment_of(0.49 / 60.0) == datetime(1970, 1, 1, tzinfo=UTC)


def test_a_piece_runs_straight_between_its_ends():
    piece = Piece(*RISING)
    assert [piece.at(minute) for minute in (0.0, 15.0, 60.0)] == pytest.approx([4.0, 5.5, 10.0])
    assert Piece(30.0, 90.0, 4.0, 10.0, "").at(45.0) == pytest.approx(5.5)
    assert Piece(30.0, 30.0, 4.0, 10.0, "").at(30.0) == 4.0
    assert Piece(*LATER).at(100.0) == 6.0


def test_pieces_are_put_in_the_order_in_which_they_begin_and_end():
    made = line(LATER, (0.0, 90.0, 1.0, 1.0, "b"), RISING)
    assert [(piece.start_min, piece.end_min) for piece in made.pieces] == [(0.0, 60.0), (0.0, 90.0), (60.0, 120.0)]
    assert made.lacking == "wind"


@pytest.mark.parametrize(
    ("pieces", "start", "end", "least", "most"),
    [
        ((RISING,), 0.0, 60.0, 4.0, 10.0),
        ((RISING,), 15.0, 30.0, 5.5, 7.0),
        ((RISING,), 60.0, 60.0, None, None),  # what ends as the flight begins is past
        ((RISING, LATER), 60.0, 60.0, 6.0, 6.0),
        ((RISING, LATER), 61.0, 90.0, 6.0, 6.0),
        ((RISING, LATER), 50.0, 70.0, 6.0, 10.0),
        ((RISING, LATER), 0.0, 120.0, 4.0, 10.0),
        ((RISING, LATER), 0.0, 120.1, None, None),
        ((RISING,), -1.0, 30.0, None, None),
        ((LATER,), 0.0, 90.0, None, None),
        ((LATER,), 0.0, 30.0, None, None),
        ((RISING, (61.0, 120.0, 6.0, 6.0, "")), 30.0, 90.0, None, None),  # a minute that nothing covers
        ((RISING, (50.0, 120.0, 1.0, 1.0, "")), 30.0, 90.0, 1.0, 10.0),
        ((RISING, GAP), 30.0, 90.0, None, None),
        ((RISING, GAP), 30.0, 60.0, 7.0, 10.0),  # what begins as the flight ends does not count
        ((RISING, GAP), 30.0, 60.1, None, None),
        ((RISING, GAP), 60.0, 60.0, None, None),
        ((RISING, (10.0, 20.0, None, None, "")), 30.0, 50.0, 7.0, 9.0),  # a gap that is past
        ((RISING, (10.0, 30.0, None, None, "")), 30.0, 50.0, 7.0, 9.0),
        ((RISING, (10.0, 20.0, 30.0, 30.0, "")), 0.0, 60.0, 4.0, 30.0),  # a temporary wind beside it
        ((RISING, (10.0, 20.0, 1.0, 1.0, "")), 0.0, 60.0, 1.0, 10.0),
        ((RISING, (30.0, 30.0, 12.0, 12.0, "")), 30.0, 60.0, 7.0, 12.0),  # an instant as the flight begins
        ((RISING, (30.0, 30.0, 12.0, 12.0, "")), 31.0, 59.0, 7.1, 9.9),
        ((RISING, (60.0, 60.0, 12.0, 12.0, "")), 30.0, 60.0, 7.0, 12.0),  # one as it ends
        (((0.0, 30.0, -3.0, -3.0, ""),), 0.0, 30.0, -3.0, -3.0),
        (((-10.0, 0.0, None, None, ""), RISING), 30.0, 50.0, 7.0, 9.0),
        ((), 0.0, 30.0, None, None),
    ],
)
def test_extremes_over_a_flight_are_known_only_where_every_minute_is_covered(pieces, start, end, least, most):
    made = line(*pieces)
    for function, expected in ((smallest, least), (largest, most)):
        one = function(made, start, end)
        many = function(made, np.array([start, start]), end)
        assert many.lacking == "wind"
        if expected is None:
            assert one == LACKING
            assert many.known.tolist() == [False, False]
            assert many.value.tolist() == [0.0, 0.0]
        else:
            assert one == pytest.approx(expected)
            assert many.known.tolist() == [True, True]
            assert many.value.tolist() == pytest.approx([expected, expected])


PIECES = st.lists(
    st.tuples(
        st.integers(0, 6),
        st.integers(0, 4),
        st.one_of(st.none(), st.integers(-9, 9)),
        st.integers(-9, 9),
    ).map(
        lambda drawn: Piece(
            float(drawn[0]),
            float(drawn[0] + drawn[1]),
            None if drawn[2] is None else float(drawn[2]),
            None if drawn[2] is None else float(drawn[3]),
            "",
        )
    ),
    max_size=5,
)


@given(PIECES, st.integers(0, 8), st.integers(0, 4))
def test_many_flights_get_the_extremes_of_one_and_no_minute_lies_beyond_them(pieces, start, length):
    made = course(pieces, "wind")
    for function, beyond in ((smallest, np.less), (largest, np.greater)):
        one = function(made, float(start), float(start + length))
        many = function(made, np.array([float(start)]), np.array([float(start + length)]))
        assert many.known.tolist() == [not isinstance(one, Partial)]
        if isinstance(one, Partial):
            continue
        assert many.value.tolist() == pytest.approx([one])
        for piece in pieces:
            if piece.start_min < start + length and piece.end_min > start:
                assert not beyond(piece.at(max(piece.start_min, float(start))), one)


@pytest.mark.parametrize(
    ("pieces", "limit", "start", "upper", "expected"),
    [
        ((RISING,), 7.0, 0.0, True, (30.0, "TAF")),
        ((RISING,), 7.0, 15.0, True, (30.0, "TAF")),
        ((RISING,), 7.0, 45.0, True, (45.0, "TAF")),
        ((RISING,), 4.0, 0.0, True, (0.0, "TAF")),
        ((RISING,), 10.0, 0.0, True, None),  # equal is not beyond
        ((RISING,), 11.0, 0.0, True, None),
        ((RISING,), 3.5, 0.0, True, (0.0, "TAF")),
        ((RISING,), 3.5, 5.0, True, (5.0, "TAF")),
        (((0.0, 60.0, 7.0, 7.0, "a"),), 7.0, 0.0, True, None),
        (((0.0, 60.0, 7.0, 7.0, "a"),), 7.0, 0.0, False, None),
        ((RISING,), 7.0, 0.0, False, (0.0, "TAF")),
        (((0.0, 60.0, 10.0, 4.0, "TAF"),), 7.0, 0.0, False, (30.0, "TAF")),
        (((0.0, 60.0, 10.0, 4.0, "TAF"),), 4.0, 0.0, False, None),
        ((RISING,), 7.0, 61.0, True, None),  # past
        ((RISING,), 7.0, 60.0, True, (60.0, "TAF")),
        ((GAP,), 7.0, 0.0, True, None),
        ((GAP, (70.0, 80.0, 9.0, 9.0, "b")), 7.0, 0.0, True, (70.0, "b")),
        ((RISING, (10.0, 20.0, 8.0, 8.0, "b")), 7.0, 0.0, True, (10.0, "b")),  # a jump before the crossing
        ((RISING, (40.0, 50.0, 8.0, 8.0, "b")), 7.0, 0.0, True, (30.0, "TAF")),
        ((RISING, (30.0, 50.0, 8.0, 8.0, "b")), 7.0, 0.0, True, (30.0, "TAF")),
        (((0.0, 60.0, 6.0, 6.0, "a"), (60.0, 90.0, 8.0, 8.0, "b")), 7.0, 0.0, True, (60.0, "b")),
        ((), 7.0, 0.0, True, None),
    ],
)
def test_the_first_minute_beyond_a_limit_is_the_crossing_or_the_jump(pieces, limit, start, upper, expected):
    found = first_beyond(line(*pieces), limit, start, upper=upper)
    assert found == (None if expected is None else (pytest.approx(expected[0]), expected[1]))
