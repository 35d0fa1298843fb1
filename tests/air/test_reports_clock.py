"""Dates for the days and hours that reports print: gyrewright.air.reports.clock."""

from datetime import UTC, date, datetime, timedelta, timezone

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gyrewright.air.reports import clock, decode_metar, decode_taf
from gyrewright.errors import ReportError


def observed(time, received_on):
    report = decode_metar(f"METAR KAAA {time} 24010KT", received_on=received_on)
    return report.observed_at, report.is_from_future


@pytest.mark.parametrize(
    ("time", "received_on", "moment", "from_future"),
    [
        ("151753Z", datetime(2027, 6, 15, 18, 0, tzinfo=UTC), datetime(2027, 6, 15, 17, 53, tzinfo=UTC), False),
        ("151800Z", datetime(2027, 6, 15, 18, 0, tzinfo=UTC), datetime(2027, 6, 15, 18, 0, tzinfo=UTC), False),
        ("151801Z", datetime(2027, 6, 15, 18, 0, tzinfo=UTC), datetime(2027, 6, 15, 18, 1, tzinfo=UTC), True),
        # The next month's first day, a few minutes ahead of the clock: not a month old.
        ("010000Z", datetime(2027, 1, 31, 23, 58, tzinfo=UTC), datetime(2027, 2, 1, 0, 0, tzinfo=UTC), True),
        ("312353Z", datetime(2027, 2, 1, 0, 5, tzinfo=UTC), datetime(2027, 1, 31, 23, 53, tzinfo=UTC), False),
        ("312353Z", datetime(2028, 1, 1, 0, 5, tzinfo=UTC), datetime(2027, 12, 31, 23, 53, tzinfo=UTC), False),
        ("010000Z", datetime(2027, 12, 31, 23, 58, tzinfo=UTC), datetime(2028, 1, 1, 0, 0, tzinfo=UTC), True),
        # No such day this month: the nearest month that has one.
        ("310000Z", datetime(2027, 3, 1, 6, 0, tzinfo=UTC), datetime(2027, 1, 31, 0, 0, tzinfo=UTC), False),
        ("300000Z", datetime(2027, 1, 31, 6, 0, tzinfo=UTC), datetime(2027, 1, 30, 0, 0, tzinfo=UTC), False),
        ("310000Z", datetime(2027, 7, 1, 0, 0, tzinfo=UTC), datetime(2027, 7, 31, 0, 0, tzinfo=UTC), True),
        ("300000Z", datetime(2027, 2, 15, 0, 0, tzinfo=UTC), datetime(2027, 1, 30, 0, 0, tzinfo=UTC), False),
        ("290000Z", datetime(2028, 3, 1, 12, 0, tzinfo=UTC), datetime(2028, 2, 29, 0, 0, tzinfo=UTC), False),
        # Half of February away, or half of March.
        ("151200Z", datetime(2027, 3, 1, 0, 0, tzinfo=UTC), datetime(2027, 2, 15, 12, 0, tzinfo=UTC), False),
        # A date alone lasts until its end.
        ("152359Z", date(2027, 6, 15), datetime(2027, 6, 15, 23, 59, tzinfo=UTC), False),
        ("160000Z", date(2027, 6, 15), datetime(2027, 6, 16, 0, 0, tzinfo=UTC), True),
        ("010053Z", date(2027, 6, 30), datetime(2027, 7, 1, 0, 53, tzinfo=UTC), True),
        # Four days ahead is ahead, not twenty-seven days ago.
        ("191753Z", datetime(2027, 6, 15, 18, 0, tzinfo=UTC), datetime(2027, 6, 19, 17, 53, tzinfo=UTC), True),
    ],
)
def test_the_month_is_the_nearest_and_the_future_is_flagged(time, received_on, moment, from_future):
    assert observed(time, received_on) == (moment, from_future)


def test_a_moment_in_another_zone_is_the_same_moment():
    received = datetime(2027, 6, 30, 19, 0, tzinfo=timezone(timedelta(hours=-6)))
    assert observed("010053Z", received) == (datetime(2027, 7, 1, 0, 53, tzinfo=UTC), False)


@pytest.mark.parametrize("time", ["001200Z", "321200Z", "152500Z", "152400Z", "151260Z", "15120Z", "151200", "l51200Z"])
def test_a_time_that_cannot_be_is_lost(time):
    report = decode_metar(f"METAR KAAA {time} 24010KT", received_on=date(2027, 6, 15))
    assert report.observed_at is None
    assert [one.text for one in report.unread] == [time]
    assert "time" in report.lost


def test_a_time_of_day_needs_its_zone():
    naive = datetime(2027, 6, 15, 18, 0)  # noqa: DTZ001
    for decode in (decode_metar, decode_taf):
        with pytest.raises(ReportError, match="2027-06-15T18:00:00 has no time zone; give a UTC time, or a date alone"):
            decode("METAR KAAA 151200Z", received_on=naive)


@pytest.mark.parametrize("received_on", [date.min, date.max, datetime.max.replace(tzinfo=UTC), date(9999, 12, 1)])
def test_the_ends_of_the_calendar_are_no_crash(received_on):
    for text in ("METAR KAAA 312359Z BECMG TL0100 9999 RMK TSB10", "METAR KAAA 010000Z BECMG TL0100 RMK TSB10"):
        decode_metar(text, received_on=received_on)
    decode_taf("TAF KAAA 312330Z 3118/0124 24010KT FM010000 9999", received_on=received_on)


@given(st.datetimes(min_value=datetime(1950, 1, 1), max_value=datetime(2100, 1, 1)), st.integers(0, 13 * 24 * 60))  # noqa: DTZ001
def test_a_report_of_the_last_days_gets_its_own_date_back(received, minutes_ago):
    received = received.replace(tzinfo=UTC)
    moment = (received - timedelta(minutes=minutes_ago)).replace(second=0, microsecond=0)
    assert observed(f"{moment:%d%H%M}Z", received) == (moment, False)


NOON = datetime(2027, 6, 15, 12, 0, tzinfo=UTC)


@pytest.mark.parametrize(
    ("hour", "minute", "moment"),
    [
        (12, 0, NOON),
        (11, 59, NOON + timedelta(hours=23, minutes=59)),
        (24, 0, NOON + timedelta(hours=12)),
        (24, 1, None),
        (25, 0, None),
        (12, 60, None),
        (12, 59, NOON + timedelta(minutes=59)),
    ],
)
def test_the_next_time_of_day(hour, minute, moment):
    assert clock.next_at(hour=hour, minute=minute, after=NOON) == moment


@pytest.mark.parametrize(
    ("hour", "minute", "moment"),
    [
        (None, 0, NOON),
        (None, 1, NOON - timedelta(minutes=59)),
        (12, 0, NOON),
        (23, 59, NOON - timedelta(hours=12, minutes=1)),
        (24, 0, None),
        (None, 60, None),
        (None, 59, NOON - timedelta(minutes=1)),
    ],
)
def test_the_last_time_of_day(hour, minute, moment):
    assert clock.last_at(hour=hour, minute=minute, before=NOON) == moment


@pytest.mark.parametrize(
    ("day", "hour", "minute", "moment"),
    [
        (15, 24, 0, NOON + timedelta(hours=12)),
        (15, 24, 1, None),
        (15, 25, 0, None),
        (15, 0, 60, None),
        (15, 0, 59, NOON - timedelta(hours=11, minutes=1)),
        (0, 0, 0, None),
        (32, 0, 0, None),
    ],
)
def test_the_nearest_day(day, hour, minute, moment):
    assert clock.nearest(day=day, hour=hour, minute=minute, to=NOON) == moment
