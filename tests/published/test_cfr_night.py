"""[CFR14-1.1], [USNO] What sunrise, sunset and night mean."""

from datetime import date, datetime, timedelta, timezone

import pytest

from gyrewright.air import daylight
from gyrewright.air.daylight import NightRule, nights

DOCUMENT = "14 CFR 1.1, 91.209 and 61.57(b), 2024 edition; USNO definitions of rise, set and twilight"


@pytest.mark.source(DOCUMENT, "altitude of the sun's center at rise and set, and at the bounds of civil twilight")
def test_the_two_altitudes_are_those_of_the_definitions():
    rise_set_deg = daylight.RISE_SET_ALTITUDE_DEG
    assert rise_set_deg == pytest.approx(-0.8333, abs=0.00005)  # half the last printed digit
    assert daylight.CIVIL_ALTITUDE_DEG == -6.0


@pytest.mark.source(
    DOCUMENT, "three nights: 1.1 civil twilight; 91.209 sunset to sunrise; 61.57(b) an hour inside that"
)
def test_the_three_nights_of_the_law_are_three_different_nights():
    by_1_1 = NightRule(altitude_deg=-6.0, begins_after_min=0.0, ends_before_min=0.0)
    lights = NightRule(altitude_deg=-5.0 / 6.0, begins_after_min=0.0, ends_before_min=0.0)
    recency = NightRule(altitude_deg=-5.0 / 6.0, begins_after_min=60.0, ends_before_min=60.0)
    place = {"latitude_deg": 37.7667, "longitude_deg": -122.4333, "on": date(2012, 1, 1), "zone": "Etc/GMT+8"}
    night_1_1, night_lights, night_recency = nights(**place, rules=(by_1_1, lights, recency))
    # Sunset 17:01 and, next morning, sunrise 07:25 as the naval observatory prints them; 0.6 min.
    clock = timezone(timedelta(hours=-8))
    assert abs((night_lights.begins - datetime(2012, 1, 1, 17, 1, tzinfo=clock)).total_seconds()) <= 36.0
    assert abs((night_lights.ends - datetime(2012, 1, 2, 7, 25, tzinfo=clock)).total_seconds()) <= 36.0
    assert (night_recency.begins - night_lights.begins).total_seconds() == 3600.0
    assert (night_lights.ends - night_recency.ends).total_seconds() == 3600.0
    assert night_lights.begins < night_1_1.begins < night_recency.begins
    assert night_recency.ends < night_1_1.ends < night_lights.ends
