from datetime import UTC, date, datetime, timedelta, timezone

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gyrewright.maintenance.months import add_months, last_day_of_flight, month_end, through_calendar_months


@pytest.mark.parametrize(
    ("day", "months", "then"),
    [
        (date(2024, 2, 29), 12, date(2025, 2, 28)),
        (date(2024, 2, 29), 48, date(2028, 2, 29)),
        (date(2027, 8, 31), 6, date(2028, 2, 29)),
        (date(2026, 8, 31), 6, date(2027, 2, 28)),
        (date(2027, 12, 31), 1, date(2028, 1, 31)),
        (date(2027, 1, 30), 1, date(2027, 2, 28)),
        (date(2022, 6, 29), 60, date(2027, 6, 29)),
    ],
)
def test_the_same_day_of_a_later_month_or_its_last(day, months, then):
    assert add_months(day, months) == then


@pytest.mark.parametrize(
    ("day", "months", "last"),
    [
        (date(2026, 6, 1), 12, date(2027, 6, 30)),
        (date(2026, 6, 30), 12, date(2027, 6, 30)),
        (date(2026, 7, 1), 12, date(2027, 7, 31)),
        (date(2027, 2, 10), 12, date(2028, 2, 29)),
        (date(2026, 12, 31), 2, date(2027, 2, 28)),
    ],
)
def test_calendar_months_end_with_their_month(day, months, last):
    assert through_calendar_months(day, months) == last


@given(st.dates(date(1990, 1, 1), date(2080, 1, 1)), st.integers(1, 240))
def test_calendar_months_never_end_before_the_same_day_does(day, months):
    assert through_calendar_months(day, months) >= add_months(day, months)
    assert through_calendar_months(day, months) == month_end(add_months(day.replace(day=1), months))


def test_a_flight_over_midnight_ends_on_the_next_day_whatever_clock_its_end_is_written_in():
    zone = timezone(timedelta(hours=-7))
    start = datetime(2027, 6, 30, 23, 40, tzinfo=zone)
    end = (start + timedelta(hours=1)).astimezone(UTC)
    assert last_day_of_flight(flight_on=date(2027, 6, 30), depart_at=start, land_at=end) == date(2027, 7, 1)
    assert last_day_of_flight(flight_on=date(2027, 6, 30), depart_at=start, land_at=None) == date(2027, 6, 30)
