"""[USNO] Rise, set and twilight tables of the U.S. Naval Observatory, printed to the minute."""

from datetime import date, datetime, timedelta, timezone

import pytest

from gyrewright.air.daylight import sun_times

DOCUMENT = "U.S. Naval Observatory, Astronomical Applications Department, annual sunrise and sunset tables"
# A printed minute stands for half a minute to either side; 0.1 more, as the tables round places and refraction.
TOLERANCE_S = 0.6 * 60.0

ROWS = [  # case, date, latitude, longitude east, hours of the clock before UTC (east positive), sunrise, sunset
    ("SUN-SF-01", "2012-01-01", 37.7667, -122.4333, -8, "07:25", "17:01"),
    ("SUN-SF-03", "2012-03-20", 37.7667, -122.4333, -8, "06:12", "18:22"),
    ("SUN-SF-05", "2012-09-22", 37.7667, -122.4333, -8, "05:58", "18:06"),
    ("SUN-SF-06", "2012-11-04", 37.7667, -122.4333, -8, "06:39", "17:07"),
    ("SUN-GA-02", "2016-02-29", 34.1167, -84.0, -5, "07:05", "18:32"),
    ("SUN-GA-03", "2016-03-20", 34.1167, -84.0, -5, "06:39", "18:48"),
    ("SUN-GA-05", "2016-06-21", 34.1167, -84.0, -5, "05:25", "19:51"),
    ("SUN-GA-07", "2016-09-22", 34.1167, -84.0, -5, "06:24", "18:32"),
    ("SUN-GA-08", "2016-10-31", 34.1167, -84.0, -5, "06:55", "17:44"),
    ("SUN-GA-09", "2016-12-21", 34.1167, -84.0, -5, "07:38", "17:31"),
    ("SUN-AZ-01", "2023-01-01", 36.95, -112.52, -7, "07:43", "17:24"),
    ("SUN-AZ-03", "2023-06-21", 36.95, -112.52, -7, "05:11", "19:53"),
    ("SUN-AZ-04", "2023-07-04", 36.95, -112.52, -7, "05:16", "19:53"),
    ("SUN-AZ-07", "2023-12-21", 36.95, -112.52, -7, "07:39", "17:17"),
    ("SUN-GO-01", "2015-01-01", 39.742476, -105.1786, -7, "07:22", "16:47"),
    ("SUN-GO-03", "2015-01-03", 39.742476, -105.1786, -7, "07:22", "16:49"),
    ("SUN-GO-04", "2015-08-02", 39.742476, -105.1786, -7, "05:00", "19:13"),
    ("SUN-CO-01", "2015-01-02", 39.0, -105.0, -7, "07:19", "16:49"),
    ("SUN-CO-03", "2015-08-02", 39.0, -105.0, -7, "05:01", "19:10"),
    ("SUN-CO-04", "2015-12-02", 39.0, -105.0, -7, "07:01", "16:38"),
    ("SUN-BJ-02", "2015-04-02", 39.917, 116.383, 8, "05:58", "18:39"),
    ("SUN-BJ-03", "2015-08-02", 39.917, 116.383, 8, "05:13", "19:28"),
    ("SUN-BJ-04", "2015-12-02", 39.917, 116.383, 8, "07:17", "16:50"),
    ("SUN-TO-01", "2001-04-01", 43.6667, -79.4167, -4, "06:59", "19:45"),
    ("SUN-TO-03", "2001-04-30", 43.6667, -79.4167, -4, "06:11", "20:19"),
]


def zone_of(hours):
    """The database writes the sign the other way round: Etc/GMT+8 is eight hours behind."""
    return f"Etc/GMT{-hours:+d}"


def seconds_off(moment, on, clock, hours):
    printed = datetime.fromisoformat(f"{on}T{clock}").replace(tzinfo=timezone(timedelta(hours=hours)))
    return abs((moment - printed).total_seconds())


@pytest.mark.source(DOCUMENT, "the row of that place and date")
@pytest.mark.parametrize("row", ROWS, ids=lambda row: row[0])
def test_the_printed_minutes_are_reproduced(row):
    _, on, latitude_deg, longitude_deg, hours, sunrise, sunset = row
    times = sun_times(
        latitude_deg=latitude_deg, longitude_deg=longitude_deg, on=date.fromisoformat(on), zone=zone_of(hours)
    )
    assert seconds_off(times.sun.rises, on, sunrise, hours) <= TOLERANCE_S
    assert seconds_off(times.sun.sets, on, sunset, hours) <= TOLERANCE_S


@pytest.mark.source(DOCUMENT, "one-day table, Boston, 21 June 2024: civil twilight ends on the next date in UTC")
def test_civil_twilight_of_a_local_date_ends_on_the_next_date_in_utc():
    times = sun_times(latitude_deg=42.32, longitude_deg=-71.09, on=date(2024, 6, 21), zone="America/New_York")
    assert seconds_off(times.civil.rises, "2024-06-21", "08:33", 0) <= TOLERANCE_S
    assert seconds_off(times.civil.sets, "2024-06-22", "00:59", 0) <= TOLERANCE_S


@pytest.mark.source("a public astronomy library's test suite quoting the USNO", "Bluffton, Ohio, 12 September 2018")
def test_rise_and_set_in_utc():
    times = sun_times(latitude_deg=40.8939, longitude_deg=-83.8917, on=date(2018, 9, 12), zone="America/New_York")
    assert seconds_off(times.sun.rises, "2018-09-12", "11:13", 0) <= TOLERANCE_S
    assert seconds_off(times.sun.sets, "2018-09-12", "23:50", 0) <= TOLERANCE_S
