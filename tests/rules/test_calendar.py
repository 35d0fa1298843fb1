"""Counting time: month ends, leap days, days, rolling hours, midnight, zones."""

from datetime import UTC, date, datetime, timedelta, timezone
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gyrewright.rules.calendar import (
    add_months,
    age_on,
    first_to_leave,
    good_through,
    hours_between,
    hours_in_window,
    last_day,
    later,
    touches_dark,
    within_days,
)

DAYS = st.dates(date(1990, 1, 1), date(2080, 12, 31))
ZONE = timezone(timedelta(hours=-7))


@pytest.mark.parametrize(
    ("done", "months", "until"),
    [
        (date(2024, 11, 3), 24, date(2026, 11, 30)),
        (date(2024, 2, 29), 12, date(2025, 2, 28)),
        (date(2023, 2, 1), 12, date(2024, 2, 29)),
        (date(2024, 2, 29), 48, date(2028, 2, 29)),
        (date(2026, 12, 31), 2, date(2027, 2, 28)),
        (date(2026, 1, 31), 1, date(2026, 2, 28)),
        (date(2026, 12, 1), 12, date(2027, 12, 31)),
        (date(2027, 6, 14), 0, date(2027, 6, 30)),
    ],
)
def test_calendar_months_run_to_the_end_of_the_last_month(done, months, until):
    assert good_through(done, months) == until


@given(DAYS, st.integers(0, 60))
def test_every_day_of_a_month_is_good_through_the_same_day(done, months):
    until = good_through(done, months)
    assert until == good_through(done.replace(day=1), months) == good_through(last_day(done), months)
    assert until == last_day(until)
    assert (until.year * 12 + until.month) - (done.year * 12 + done.month) == months


@given(DAYS, st.integers(-60, 60))
def test_the_same_day_months_later_never_leaves_its_month(day, months):
    moved = add_months(day, months)
    assert (moved.year * 12 + moved.month) - (day.year * 12 + day.month) == months
    assert moved.day == min(day.day, last_day(moved).day)


@given(DAYS, DAYS, st.integers(0, 400))
def test_a_day_counts_from_its_own_day_to_the_last(done, on, days):
    assert within_days(done, on, days) == (done <= on <= done + timedelta(days=days))


def test_day_ninety_counts_and_day_ninety_one_does_not():
    assert within_days(date(2027, 4, 18), date(2027, 7, 17), 90)
    assert not within_days(date(2027, 4, 17), date(2027, 7, 17), 90)
    assert not within_days(date(2027, 7, 18), date(2027, 7, 17), 90)


def test_a_leap_day_is_a_day_of_the_count():
    assert within_days(date(2028, 2, 1), date(2028, 5, 1), 90)
    assert not within_days(date(2028, 2, 1), date(2028, 5, 2), 90)
    assert within_days(date(2027, 2, 1), date(2027, 5, 2), 90)


def test_age_turns_on_the_birthday_and_on_1_march_for_a_leap_day():
    assert age_on(date(1987, 6, 14), date(2027, 6, 13)) == 39
    assert age_on(date(1987, 6, 14), date(2027, 6, 14)) == 40
    assert age_on(date(2008, 2, 29), date(2025, 2, 28)) == 16
    assert age_on(date(2008, 2, 29), date(2025, 3, 1)) == 17


def at(day, hour, minute=0, zone=ZONE):
    return datetime(day.year, day.month, day.day, hour, minute, tzinfo=zone)


def test_the_window_of_hours_rolls_over_midnight():
    monday, tuesday = date(2027, 6, 14), date(2027, 6, 15)
    taught = [(at(monday, 8), at(monday, 12)), (at(monday, 20), at(tuesday, 0))]
    assert hours_in_window(taught, end=at(tuesday, 10), window_h=24.0) == pytest.approx(6.0)
    assert hours_in_window(taught, end=at(tuesday, 8), window_h=24.0) == pytest.approx(8.0)
    assert first_to_leave(taught, end=at(tuesday, 8), window_h=24.0) == at(tuesday, 8)
    assert first_to_leave(taught, end=at(tuesday, 10), window_h=24.0) == at(tuesday, 10)


def test_an_hour_lost_to_daylight_saving_is_not_taught():
    """On 14 March 2027 clocks in the Pacific zone jump from 02:00 to 03:00: 01:30 to 03:30 is one hour."""
    zone = ZoneInfo("America/Los_Angeles")
    start, end = at(date(2027, 3, 14), 1, 30, zone), at(date(2027, 3, 14), 3, 30, zone)
    assert hours_between(start, end) == pytest.approx(1.0)
    assert hours_in_window([(start, end)], end=end, window_h=24.0) == pytest.approx(1.0)
    assert later(start, 1.0) == end
    assert later(start, 1.0).hour == 3


def test_an_hour_repeated_by_daylight_saving_is_taught_twice():
    """On 7 November 2027 clocks jump from 02:00 back to 01:00: 00:30 to 02:30 is three hours."""
    zone = ZoneInfo("America/Los_Angeles")
    start, end = at(date(2027, 11, 7), 0, 30, zone), at(date(2027, 11, 7), 2, 30, zone)
    assert hours_between(start, end) == pytest.approx(3.0)


def test_moments_in_other_zones_are_the_same_moments():
    here = at(date(2027, 6, 14), 9)
    assert hours_between(here, here.astimezone(UTC)) == 0.0
    assert hours_between(at(date(2027, 6, 14), 23), datetime(2027, 6, 15, 8, tzinfo=UTC)) == pytest.approx(2.0)


@given(st.lists(st.tuples(st.floats(0, 60), st.floats(0, 12)), max_size=8), st.floats(0, 72), st.floats(1, 48))
def test_the_window_never_holds_more_than_was_taught_and_more_never_lowers_it(spans, end_h, window):
    base = at(date(2027, 6, 14), 0)
    taught = [(base + timedelta(hours=start), base + timedelta(hours=start + length)) for start, length in spans]
    end = base + timedelta(hours=end_h)
    total = hours_in_window(taught, end=end, window_h=window)
    assert -1e-9 <= total <= sum(length for _, length in spans) + 1e-6
    assert hours_in_window([*taught, (base, base + timedelta(hours=1))], end=end, window_h=window) >= total - 1e-9
    assert hours_in_window(list(reversed(taught)), end=end, window_h=window) == pytest.approx(total)


DARK = {"light_from": at(date(2027, 6, 14), 5), "dark_from": at(date(2027, 6, 14), 20, 44)}


@pytest.mark.parametrize(
    ("depart", "land", "dark"),
    [
        ((9, 0), (10, 0), False),
        ((5, 0), (6, 0), False),
        ((4, 59), (6, 0), True),
        ((20, 0), (20, 44), False),
        ((20, 0), (20, 45), True),
        ((22, 0), (23, 0), True),
        ((3, 0), (4, 0), True),
    ],
)
def test_the_dark_begins_after_its_moment_and_ends_at_it(depart, land, dark):
    day = date(2027, 6, 14)
    assert touches_dark(depart_at=at(day, *depart), land_at=at(day, *land), **DARK) is dark


def test_a_flight_over_midnight_is_dark():
    assert touches_dark(depart_at=at(date(2027, 6, 14), 23, 30), land_at=at(date(2027, 6, 15), 0, 30), **DARK)
