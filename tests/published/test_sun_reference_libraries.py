"""[SUNREF] Days for which no printed table was found, computed by two independent reference libraries."""

from datetime import date, datetime, timedelta, timezone

import pytest

from gyrewright.air.daylight import SunState, sun_times

DOCUMENT = "two independent reference libraries (an ephemeris program on DE421; a program after Meeus)"

ROWS = [  # place, date, latitude, longitude, hours of the clock, tolerance s, sunrise, sunset, civil dawn, civil dusk
    ("Queenstown", "2025-06-21", -45.0312, 168.6626, 12, 30, "08:24:17", "17:09:54", "07:50:23", "17:43:48"),
    ("Equator", "2025-03-20", 0.0, 0.0, 0, 30, "06:04:06", "18:10:36", "05:43:26", "18:31:16"),
    ("Fairbanks", "2025-06-21", 64.8378, -147.7164, -9, 90, "01:57:43", "23:47:43", None, None),
]


@pytest.mark.source(DOCUMENT, "computed, not printed; tolerance as their own difference")
@pytest.mark.parametrize("row", ROWS, ids=lambda row: row[0])
def test_the_computed_times_are_met(row):
    _, on, latitude_deg, longitude_deg, hours, tolerance_s, *clocks = row
    zone = f"Etc/GMT{-hours:+d}" if hours else "UTC"
    times = sun_times(latitude_deg=latitude_deg, longitude_deg=longitude_deg, on=date.fromisoformat(on), zone=zone)
    ours = (times.sun.rises, times.sun.sets, times.civil.rises, times.civil.sets)
    for moment, clock in zip(ours, clocks, strict=True):
        if clock is None:
            assert moment is None
        else:
            there = datetime.fromisoformat(f"{on}T{clock}").replace(tzinfo=timezone(timedelta(hours=hours)))
            assert abs((moment - there).total_seconds()) <= tolerance_s


@pytest.mark.source(DOCUMENT, "Fairbanks, 21 June 2025: the sun sets, civil twilight does not end")
def test_a_night_without_an_end_of_civil_twilight_is_a_state_and_no_error():
    times = sun_times(latitude_deg=64.8378, longitude_deg=-147.7164, on=date(2025, 6, 21), zone="America/Anchorage")
    assert times.sun.state is SunState.RISES_AND_SETS
    assert times.civil.state is SunState.NEVER_SETS


@pytest.mark.source(DOCUMENT, "Utqiagvik, 21 June 2025: the sun never sets")
def test_the_midnight_sun_is_a_state_and_no_error():
    times = sun_times(latitude_deg=71.2906, longitude_deg=-156.7886, on=date(2025, 6, 21), zone="America/Anchorage")
    assert (times.sun.rises, times.sun.sets, times.sun.state) == (None, None, SunState.NEVER_SETS)
