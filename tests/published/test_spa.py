"""[SPA2008] The reference algorithm for the sun's position, with its own printed example.

The example's printed sunset of 17:20:19 is that of the evening before: the algorithm works on the day in UT, and for
western longitudes that day holds the previous evening. The right one is given beside it.
"""

import math
from datetime import UTC, date, datetime, timedelta, timezone

import pytest

from gyrewright.air.daylight import sun_direction, sun_times

DOCUMENT = "Reda and Andreas, Solar Position Algorithm, NREL/TP-560-34302 (revised 2008)"
# The algorithm is good to a second; ours leaves out the seasons of the sun's size and the minute of dynamical time.
TOLERANCE_S = 10.0
GOLDEN = {"latitude_deg": 39.742476, "longitude_deg": -105.1786}


@pytest.mark.source(DOCUMENT, "appendix, table of sunrise and sunset test values")
@pytest.mark.parametrize(
    ("latitude_deg", "on", "sunrise", "sunset"),
    [(35.0, "1994-01-02", "07:08:12", "16:59:55"), (-35.0, "2004-12-04", "04:38:57", "19:02:02")],
)
def test_sunrise_and_sunset_to_the_second(latitude_deg, on, sunrise, sunset):
    times = sun_times(latitude_deg=latitude_deg, longitude_deg=0.0, on=date.fromisoformat(on), zone="UTC")
    for ours, printed in ((times.sun.rises, sunrise), (times.sun.sets, sunset)):
        assert abs((ours - datetime.fromisoformat(f"{on}T{printed}+00:00")).total_seconds()) <= TOLERANCE_S


@pytest.mark.source(DOCUMENT, "appendix A.5: sunrise printed 06:12:43; sunset 17:20:19 printed for the wrong evening")
def test_the_sunset_of_a_date_is_its_own_evening_and_not_the_one_before():
    clock = timezone(timedelta(hours=-7))
    today = sun_times(**GOLDEN, on=date(2003, 10, 17), zone="Etc/GMT+7")
    yesterday = sun_times(**GOLDEN, on=date(2003, 10, 16), zone="Etc/GMT+7")
    for ours, right in (
        (today.sun.rises, datetime(2003, 10, 17, 6, 12, 43, tzinfo=clock)),
        (today.sun.sets, datetime(2003, 10, 17, 17, 18, 51, tzinfo=clock)),
        (yesterday.sun.sets, datetime(2003, 10, 16, 17, 20, 19, tzinfo=clock)),
    ):
        assert abs((ours - right).total_seconds()) <= TOLERANCE_S


@pytest.mark.source(DOCUMENT, "appendix A.5: topocentric zenith angle 50.11162 and azimuth 194.34024 degrees")
def test_the_sun_stands_where_the_worked_example_says():
    altitude_deg, azimuth_deg = sun_direction(**GOLDEN, moment=datetime(2003, 10, 17, 19, 30, 30, tzinfo=UTC))
    # What the example adds and we do not: parallax, and refraction at 820 mbar and 11 C (its eq. 42).
    seen_deg = altitude_deg - 8.794 / 3600.0 * math.cos(math.radians(altitude_deg))
    bend_deg = 1.02 / 60.0 / math.tan(math.radians(seen_deg + 10.3 / (seen_deg + 5.11)))
    seen_deg += bend_deg * 820.0 / 1010.0 * 283.0 / (273.0 + 11.0)
    assert 90.0 - seen_deg == pytest.approx(50.11162, abs=0.001)
    # 0.01 degree is what the shorter solar theory claims.
    assert azimuth_deg == pytest.approx(194.34024, abs=0.01)
