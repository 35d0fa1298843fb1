from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import astral
import astral.sun
import pytest
from astral import Observer
from hypothesis import given
from hypothesis import strategies as st

from gyrewright.air import daylight
from gyrewright.air.daylight import (
    NightRule,
    SunState,
    earlier_minute,
    is_night,
    later_minute,
    nights,
    sidereal_time_deg,
    sun_direction,
    sun_position,
    sun_times,
)
from gyrewright.errors import OutOfRange, UnknownName

FIELD = {"latitude_deg": 43.95, "longitude_deg": -120.35, "zone": "America/Los_Angeles"}
CLOCK = ZoneInfo("America/Los_Angeles")
J2000 = datetime(2000, 1, 1, 12, tzinfo=UTC)

LIGHTS = NightRule(altitude_deg=-50.0 / 60.0, begins_after_min=0.0, ends_before_min=0.0)
CIVIL = NightRule(altitude_deg=-6.0, begins_after_min=0.0, ends_before_min=0.0)
RECENCY = NightRule(altitude_deg=-50.0 / 60.0, begins_after_min=60.0, ends_before_min=60.0)

latitudes = st.floats(-60.0, 60.0)
longitudes = st.floats(-180.0, 180.0)
dates = st.dates(date(1950, 1, 1), date(2090, 12, 31))


def test_sunset_on_the_demonstration_day_is_20_44():
    times = sun_times(**FIELD, on=date(2027, 6, 12))
    assert earlier_minute(times.sun.sets).astimezone(CLOCK).strftime("%d %H:%M") == "12 20:44"


@pytest.mark.parametrize("century", [-10.0, -1.0, 0.0, 0.2745, 0.9, 3.0, 10.0])
def test_a_general_library_has_the_same_solar_series_term_by_term(century):
    # Centuries far away make the smallest terms large enough to show.
    right_ascension_deg, declination_deg, _ = sun_position(centuries=century)
    assert right_ascension_deg == pytest.approx(astral.sun.sun_rt_ascension(century), abs=1e-8)
    assert declination_deg == pytest.approx(astral.sun.sun_declination(century), abs=1e-8)


@pytest.mark.parametrize("day", [-9000.0, 0.0, 9659.3])
def test_sidereal_time_less_right_ascension_is_the_librarys_equation_of_time(day):
    right_ascension_deg, _, nutation_deg = sun_position(centuries=day / 36525.0)
    hour_angle_deg = sidereal_time_deg(day=day) + nutation_deg - right_ascension_deg
    ours_min = 4.0 * ((hour_angle_deg - 360.0 * day + 180.0) % 360.0 - 180.0)
    # Theirs is the shorter formula of the almanacs, good to a few seconds.
    assert ours_min == pytest.approx(astral.sun.eq_of_time(day / 36525.0), abs=0.05)


@pytest.mark.parametrize("latitude_deg", [-45.0, 0.0, 30.0, 52.0])
@pytest.mark.parametrize("month", range(1, 13))
def test_a_general_library_differs_by_the_refraction_it_takes_and_by_nothing_else(latitude_deg, month):
    on, there = date(2027, month, 15), Observer(latitude_deg, 10.0, 0.0)
    tomorrow = on + timedelta(days=1)
    place = {"latitude_deg": latitude_deg, "longitude_deg": 10.0, "on": on, "zone": "Etc/GMT-1"}
    # For an edge on the horizon it takes 31.3 arcmin instead of 34, and for civil twilight it refracts a sun that is
    # 6 degrees down by another 3.3 arcmin.
    its_edge_deg = astral.refraction_at_zenith(90.0 + 16.0 / 60.0) + 16.0 / 60.0
    its_twilight_deg = 6.0 + astral.refraction_at_zenith(96.0)
    assert (its_edge_deg, its_twilight_deg) == pytest.approx((0.7891, 6.0549), abs=0.0001)
    rules = [NightRule(-its_edge_deg, 0.0, 0.0), NightRule(-its_twilight_deg, 0.0, 0.0), LIGHTS, CIVIL]
    like_edge, like_twilight, edge, twilight = nights(**place, rules=rules)
    for alike, theirs in (
        (like_edge.begins, astral.sun.sunset(there, on)),
        (like_edge.ends, astral.sun.sunrise(there, tomorrow)),
        (like_twilight.begins, astral.sun.dusk(there, on)),
        (like_twilight.ends, astral.sun.dawn(there, tomorrow)),
    ):
        assert abs((theirs - alike).total_seconds()) < 4.0
    assert 8.0 < (edge.begins - like_edge.begins).total_seconds() < 26.0
    assert 12.0 < (like_twilight.begins - twilight.begins).total_seconds() < 40.0


@given(latitudes, longitudes, dates)
def test_the_events_of_a_day_come_in_their_order(latitude_deg, longitude_deg, on):
    times = sun_times(latitude_deg=latitude_deg, longitude_deg=longitude_deg, on=on, zone="UTC")
    assert times.sun.state is SunState.RISES_AND_SETS
    assert times.sun.rises < times.noon < times.sun.sets
    if times.civil.state is SunState.RISES_AND_SETS:
        assert times.civil.rises < times.sun.rises
        assert times.sun.sets < times.civil.sets


@given(st.floats(-90.0, 90.0), longitudes, dates)
def test_at_each_event_the_sun_stands_at_its_altitude_and_at_noon_on_the_meridian(latitude_deg, longitude_deg, on):
    place = {"latitude_deg": latitude_deg, "longitude_deg": longitude_deg}
    times = sun_times(**place, on=on, zone="UTC")
    events = [(times.sun, -50.0 / 60.0), (times.civil, -6.0)]
    for day, altitude_deg in events:
        for moment in (day.rises, day.sets):
            if moment is not None:
                assert sun_direction(**place, moment=moment)[0] == pytest.approx(altitude_deg, abs=1e-5)
    if abs(latitude_deg) < 66.0:
        azimuth_deg = sun_direction(**place, moment=times.noon)[1]
        altitude_deg = sun_direction(**place, moment=times.noon)[0]
        if altitude_deg < 89.0:
            assert min(azimuth_deg % 180.0, -azimuth_deg % 180.0) == pytest.approx(0.0, abs=0.01)


@given(st.floats(-90.0, 90.0), longitudes, dates)
def test_states_and_times_say_the_same(latitude_deg, longitude_deg, on):
    times = sun_times(latitude_deg=latitude_deg, longitude_deg=longitude_deg, on=on, zone="UTC")
    for day in (times.sun, times.civil):
        assert (day.rises is not None) == (day.state in (SunState.RISES_AND_SETS, SunState.RISES_ONLY))
        assert (day.sets is not None) == (day.state in (SunState.RISES_AND_SETS, SunState.SETS_ONLY))


@pytest.mark.parametrize(
    ("on", "state"), [(date(2026, 12, 21), SunState.NEVER_RISES), (date(2026, 6, 21), SunState.NEVER_SETS)]
)
def test_polar_night_and_midnight_sun_are_states(on, state):
    times = sun_times(latitude_deg=78.2, longitude_deg=15.6, on=on, zone="Europe/Oslo")
    assert (times.sun.rises, times.sun.sets, times.sun.state) == (None, None, state)


def test_the_midnight_sun_begins_with_a_last_sunrise_and_ends_with_a_first_sunset():
    states = []
    for days in range(365):
        on = date(2026, 1, 1) + timedelta(days=days)
        state = sun_times(latitude_deg=69.65, longitude_deg=18.96, on=on, zone="Europe/Oslo").sun.state
        if not states or states[-1] is not state:
            states.append(state)
    assert states == [
        SunState.NEVER_RISES,
        SunState.RISES_AND_SETS,
        SunState.RISES_ONLY,
        SunState.NEVER_SETS,
        SunState.SETS_ONLY,
        SunState.RISES_AND_SETS,
        SunState.NEVER_RISES,
    ]


def test_a_sunset_after_midnight_belongs_to_the_evening_before():
    alaska = ZoneInfo("America/Anchorage")
    times = sun_times(latitude_deg=64.8378, longitude_deg=-147.7164, on=date(2025, 6, 21), zone="America/Anchorage")
    assert times.sun.sets.astimezone(alaska).strftime("%d %H:%M") == "22 00:47"


@pytest.mark.parametrize(
    ("longitude_deg", "zone"),
    [(179.9, "Pacific/Auckland"), (-176.6, "Pacific/Chatham"), (-157.4, "Pacific/Kiritimati")],
)
def test_at_the_date_line_the_noon_is_that_of_the_local_date(longitude_deg, zone):
    times = sun_times(latitude_deg=-10.0, longitude_deg=longitude_deg, on=date(2027, 3, 1), zone=zone)
    clock = ZoneInfo(zone)
    assert times.noon.astimezone(clock).date() == date(2027, 3, 1)
    assert abs(times.noon.astimezone(clock).hour - 12) <= 2
    assert times.sun.rises.astimezone(clock).date() == times.sun.sets.astimezone(clock).date() == date(2027, 3, 1)


def test_both_sides_of_the_date_line_see_one_sun():
    east, west = (
        sun_times(latitude_deg=-10.0, longitude_deg=degrees, on=date(2027, 3, 1), zone="Pacific/Auckland")
        for degrees in (180.0, -180.0)
    )
    assert abs((east.noon - west.noon).total_seconds()) < 0.01


@pytest.mark.parametrize("on", [date(2027, 3, 14), date(2027, 11, 7)], ids=["clocks forward", "clocks back"])
def test_when_the_clocks_change_the_sun_does_not(on):
    before, after = (sun_times(**FIELD, on=on + timedelta(days=days)) for days in (-1, 0))
    moved_min = ((after.sun.rises - before.sun.rises).total_seconds() - 86400.0) / 60.0
    assert abs(moved_min) < 2.0
    jump_min = after.sun.rises.astimezone(CLOCK).hour * 60 + after.sun.rises.astimezone(CLOCK).minute
    jump_min -= before.sun.rises.astimezone(CLOCK).hour * 60 + before.sun.rises.astimezone(CLOCK).minute
    assert abs(abs(jump_min) - 60) <= 2


def test_every_moment_given_out_is_in_utc():
    times = sun_times(**FIELD, on=date(2027, 6, 12))
    assert {moment.tzinfo for moment in (times.noon, times.sun.rises, times.sun.sets, times.civil.sets)} == {UTC}


def test_rounding_goes_to_the_careful_side_and_leaves_whole_minutes_alone():
    moment = datetime(2027, 6, 13, 3, 44, 31, 5, tzinfo=UTC)
    whole = datetime(2027, 6, 13, 3, 44, tzinfo=UTC)
    assert earlier_minute(moment) == whole
    assert later_minute(moment) == whole + timedelta(minutes=1)
    assert earlier_minute(whole) == later_minute(whole) == whole


@given(latitudes, longitudes, dates)
def test_the_three_nights_lie_within_one_another(latitude_deg, longitude_deg, on):
    place = {"latitude_deg": latitude_deg, "longitude_deg": longitude_deg, "on": on, "zone": "UTC"}
    lights, recency, civil = nights(**place, rules=(LIGHTS, RECENCY, CIVIL))
    today = sun_times(**place)
    assert lights.exists
    assert lights.begins == today.sun.sets
    assert abs((lights.ends - sun_times(**{**place, "on": on + timedelta(days=1)}).sun.rises).total_seconds()) < 0.01
    if recency.exists:
        assert lights.begins + timedelta(hours=1) == recency.begins <= recency.ends == lights.ends - timedelta(hours=1)
    else:
        assert lights.ends - lights.begins < timedelta(hours=2)
    if civil.exists:
        assert lights.begins < civil.begins < civil.ends < lights.ends


@pytest.mark.parametrize(
    ("minutes_after_sunset", "lights", "civil", "recency"),
    [(-1.0, False, False, False), (1.0, True, False, False), (45.0, True, True, False), (61.0, True, True, True)],
)
def test_a_moment_can_be_night_by_one_rule_and_not_by_another(minutes_after_sunset, lights, civil, recency):
    place = {"latitude_deg": 43.95, "longitude_deg": -120.35}
    moment = sun_times(**FIELD, on=date(2027, 6, 12)).sun.sets + timedelta(minutes=minutes_after_sunset)
    assert is_night(**place, moment=moment, rule=LIGHTS) is lights
    assert is_night(**place, moment=moment, rule=CIVIL) is civil
    assert is_night(**place, moment=moment, rule=RECENCY) is recency
    assert is_night(**place, moment=moment.astimezone(CLOCK), rule=LIGHTS) is lights


def test_early_in_the_morning_it_is_the_night_of_the_evening_before():
    sunrise = sun_times(**FIELD, on=date(2027, 6, 12)).sun.rises
    place = {"latitude_deg": 43.95, "longitude_deg": -120.35}
    assert is_night(**place, moment=sunrise - timedelta(minutes=1), rule=LIGHTS)
    assert not is_night(**place, moment=sunrise + timedelta(minutes=1), rule=LIGHTS)
    assert not is_night(**place, moment=sunrise - timedelta(minutes=1), rule=RECENCY)


@given(latitudes, longitudes, st.floats(-1.5e9, 2.8e9))
def test_it_is_night_exactly_when_the_sun_is_below_the_altitude(latitude_deg, longitude_deg, seconds):
    moment = J2000 + timedelta(seconds=seconds)
    place = {"latitude_deg": latitude_deg, "longitude_deg": longitude_deg, "moment": moment}
    altitude_deg = sun_direction(**place)[0]
    if abs(altitude_deg + 6.0) > 1e-4:
        assert is_night(**place, rule=CIVIL) == (altitude_deg < -6.0)


def test_nights_that_never_come_and_nights_that_never_end_are_answers():
    place = {"latitude_deg": 78.2, "longitude_deg": 15.6, "zone": "Europe/Oslo", "rules": (LIGHTS, RECENCY)}
    for summer in nights(**place, on=date(2026, 6, 21)):
        assert (summer.exists, summer.begins, summer.ends) == (False, None, None)
    for winter in nights(**place, on=date(2026, 12, 21)):
        assert (winter.exists, winter.begins, winter.ends) == (True, None, None)
    there = {"latitude_deg": 78.2, "longitude_deg": 15.6}
    assert is_night(**there, moment=datetime(2026, 12, 21, 11, tzinfo=UTC), rule=RECENCY)
    assert not is_night(**there, moment=datetime(2026, 6, 21, 23, tzinfo=UTC), rule=LIGHTS)


def test_a_night_shorter_than_two_hours_has_no_inner_night():
    place = {"latitude_deg": 65.6, "longitude_deg": 25.0, "on": date(2026, 6, 20), "zone": "Europe/Helsinki"}
    lights, recency = nights(**place, rules=(LIGHTS, RECENCY))
    assert lights.exists
    assert lights.ends - lights.begins < timedelta(hours=2)
    assert not recency.exists


@pytest.mark.parametrize("year", [1899, 2101])
def test_a_year_for_which_the_series_was_not_made_is_refused(year):
    with pytest.raises(OutOfRange, match=f"year {year} is outside 1900 to 2100"):
        sun_times(**FIELD, on=date(year, 6, 1))
    with pytest.raises(OutOfRange, match=f"year {year} is outside 1900 to 2100"):
        sun_direction(latitude_deg=0.0, longitude_deg=0.0, moment=datetime(year, 6, 1, tzinfo=UTC))


@pytest.mark.parametrize("year", [1900, 2100])
def test_the_first_and_the_last_year_are_answered(year):
    assert sun_times(**FIELD, on=date(year, 6, 1)).sun.state is SunState.RISES_AND_SETS


@pytest.mark.parametrize("zone", ["Mars/Olympus", "", "../etc/passwd", "America"])
def test_an_unknown_zone_is_refused(zone):
    with pytest.raises(UnknownName, match="is not in the time zone database; write a name such as"):
        sun_times(**{**FIELD, "zone": zone}, on=date(2027, 6, 12))


@pytest.mark.parametrize("function", [sun_direction, lambda **given_: is_night(**given_, rule=LIGHTS)])
def test_a_moment_without_a_zone_is_refused(function):
    with pytest.raises(OutOfRange, match="2027-06-12T12:00:00 has no time zone; give an aware datetime"):
        function(latitude_deg=0.0, longitude_deg=0.0, moment=datetime(2027, 6, 12, 12))  # noqa: DTZ001


def test_what_is_no_place_is_refused():
    with pytest.raises(OutOfRange, match="latitude_deg=91 is outside -90 to 90; north is positive"):
        sun_times(**{**FIELD, "latitude_deg": 91.0}, on=date(2027, 6, 12))


def test_the_year_of_the_series_is_counted_from_its_own_epoch():
    assert daylight.J2000 == J2000
