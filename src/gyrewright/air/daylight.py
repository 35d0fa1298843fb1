"""Sunrise, sunset, civil twilight and the nights of the law, for one place.

A day is the stretch around one noon of the sun, a night the stretch between two noons. The noon of a local date is the
one nearest to twelve on that date's clock, so that the sunset of a date is the one that ends its daylight: in western
longitudes it may fall on the next date in UTC, in high summer after midnight. Local date and zone go in, aware UTC
datetimes come out, unrounded; `earlier_minute` and `later_minute` round to the careful side.

The horizon is that of the sea. A hill hides the sun earlier; from the air it is seen a little longer.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from enum import StrEnum
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from gyrewright.air.position import check_position
from gyrewright.errors import OutOfRange, UnknownName

ARCMIN_PER_DEG = 60.0
REFRACTION_ARCMIN = 34.0  # of a sun on the horizon; [USNO] definitions
SEMIDIAMETER_ARCMIN = 16.0  # the upper edge rises and sets, not the center; [USNO] definitions
RISE_SET_ALTITUDE_DEG = -(REFRACTION_ARCMIN + SEMIDIAMETER_ARCMIN) / ARCMIN_PER_DEG
CIVIL_ALTITUDE_DEG = -6.0  # [USNO] definitions

FIRST_YEAR = 1900
LAST_YEAR = 2100
DAYS_PER_CENTURY = 36525.0
J2000 = datetime(2000, 1, 1, 12, tzinfo=UTC)
FULL_CIRCLE_DEG = 360.0

# The sun's place, [MEEUS] ch. 25; rows are powers of centuries since J2000, in degrees.
MEAN_LONGITUDE_DEG = (280.46646, 36000.76983, 0.0003032)
MEAN_ANOMALY_DEG = (357.52911, 35999.05029, -0.0001537)
CENTER_1_DEG = (1.914602, -0.004817, -0.000014)  # of the sine of the anomaly
CENTER_2_DEG = (0.019993, -0.000101)  # of twice the anomaly
CENTER_3_DEG = 0.000289  # of three times the anomaly
NODE_DEG = (125.04, -1934.136)  # the moon's, for nutation
ABERRATION_DEG = -0.00569
NUTATION_LONGITUDE_DEG = -0.00478
NUTATION_OBLIQUITY_DEG = 0.00256
OBLIQUITY_ARCSEC = (23.0 * 3600.0 + 26.0 * 60.0 + 21.448, -46.8150, -0.00059, 0.001813)
ARCSEC_PER_DEG = 3600.0
# Sidereal time at Greenwich, [MEEUS] eq. 12.4, without its two last terms: below 0.0004 degree until 2100.
SIDEREAL_DEG = 280.46061837
SIDEREAL_DEG_PER_DAY = 360.98564736629


class SunState(StrEnum):
    """What the sun does with one altitude between the midnight before a noon and the midnight after it."""

    RISES_AND_SETS = "rises and sets"
    NEVER_SETS = "never sets"
    NEVER_RISES = "never rises"
    RISES_ONLY = "rises and does not set"  # the last sunrise before the midnight sun
    SETS_ONLY = "sets and had not risen"  # the first sunset after it


@dataclass(frozen=True, slots=True)
class SunDay:
    """When the sun's center passes one altitude around one noon; None where `state` says that it does not."""

    rises: datetime | None
    sets: datetime | None
    state: SunState


@dataclass(frozen=True, slots=True)
class SunTimes:
    """The sun's day: noon, sunrise and sunset; the bounds of civil twilight are the `rises` and `sets` of `civil`."""

    noon: datetime
    sun: SunDay
    civil: SunDay


@dataclass(frozen=True, slots=True)
class NightRule:
    """What a rule calls night: from so long after the sun sinks below an altitude until so long before it is back."""

    altitude_deg: float
    begins_after_min: float
    ends_before_min: float


@dataclass(frozen=True, slots=True)
class Night:
    """One night between two noons. Where it exists, None means: dark already at the first noon, still at the second."""

    exists: bool
    begins: datetime | None
    ends: datetime | None


def sun_times(*, latitude_deg: float, longitude_deg: float, on: date, zone: str) -> SunTimes:
    """Return noon, sunrise, sunset and civil twilight of a local date.

    Within 0.6 min of every published table tried (tests/published). Near the poles, where the sun only grazes the
    horizon, an error of a hundredth of a degree in its height is worth minutes.

    Args:
        latitude_deg: North positive. [deg]
        longitude_deg: East positive. [deg]
        on: The date on the clock of the place.
        zone: That clock, as the time zone database names it, such as "America/Los_Angeles".

    Raises:
        OutOfRange: The place is none, or the year lies outside 1900 to 2100.
        UnknownName: The time zone database has no such zone.

    Source: [MEEUS] ch. 12, 13, 15 and 25; altitudes by [USNO] and 14 CFR 1.1.
    """
    place = _Place(latitude_deg, longitude_deg)
    noon = place.noon(_clock_noon(on, zone))
    around = place.around_noon(noon)
    sun, civil = (_sun_day(place, around, altitude) for altitude in (RISE_SET_ALTITUDE_DEG, CIVIL_ALTITUDE_DEG))
    return SunTimes(_moment(noon.time), sun, civil)


def nights(
    *, latitude_deg: float, longitude_deg: float, on: date, zone: str, rules: Sequence[NightRule]
) -> tuple[Night, ...]:
    """Return the night that begins in the evening of a local date, as each of the rules counts it.

    A flight early in the morning falls in the night of the date before. Errors, accuracy and source as for
    `sun_times`.
    """
    place = _Place(latitude_deg, longitude_deg)
    around = place.around_midnight(place.noon(_clock_noon(on, zone)))
    return tuple(_night(place, around, rule) for rule in rules)


def is_night(*, latitude_deg: float, longitude_deg: float, moment: datetime, rule: NightRule) -> bool:
    """Return whether a moment is night, as a rule counts it; its first and last instant belong to it.

    Args:
        latitude_deg: North positive. [deg]
        longitude_deg: East positive. [deg]
        moment: An aware datetime.
        rule: What counts as night.

    Raises:
        OutOfRange: The place is none, the year lies outside 1900 to 2100, or the datetime has no zone.

    Source: as for `sun_times`.
    """
    time = _days(moment)
    place = _Place(latitude_deg, longitude_deg)
    noon = place.noon(time)
    if noon.time > time:
        noon = place.noon(noon.time - 1.0)
    night = _night(place, place.around_midnight(noon), rule)
    return (
        night.exists
        and (night.begins is None or night.begins <= moment)
        and (night.ends is None or moment <= night.ends)
    )


def earlier_minute(moment: datetime) -> datetime:
    """Return the moment without its seconds: the careful side for a sunset or whatever else must be over by then."""
    return moment.replace(second=0, microsecond=0)


def later_minute(moment: datetime) -> datetime:
    """Return the next whole minute, or the moment itself if it is one: the careful side for a sunrise."""
    whole = earlier_minute(moment)
    return whole if whole == moment else whole + timedelta(minutes=1)


def sun_position(*, centuries: float) -> tuple[float, float, float]:
    """Return right ascension, declination, and nutation in right ascension (equation of the equinoxes). [deg]

    Within 0.01 degree; time is counted in Julian centuries from J2000, and the minute between dynamical and universal
    time is neglected (0.001 degree).

    Source: [MEEUS] ch. 25, low accuracy, apparent place.
    """
    t = centuries
    anomaly = math.radians(_series(MEAN_ANOMALY_DEG, t))
    center_deg = (
        _series(CENTER_1_DEG, t) * math.sin(anomaly)
        + _series(CENTER_2_DEG, t) * math.sin(2.0 * anomaly)
        + CENTER_3_DEG * math.sin(3.0 * anomaly)
    )
    node = math.radians(_series(NODE_DEG, t))
    nutation_deg = NUTATION_LONGITUDE_DEG * math.sin(node)
    longitude = math.radians(_series(MEAN_LONGITUDE_DEG, t) + center_deg + ABERRATION_DEG + nutation_deg)
    obliquity = math.radians(_series(OBLIQUITY_ARCSEC, t) / ARCSEC_PER_DEG + NUTATION_OBLIQUITY_DEG * math.cos(node))
    sine = math.sin(longitude)
    return (
        math.degrees(math.atan2(math.cos(obliquity) * sine, math.cos(longitude))),
        math.degrees(math.asin(math.sin(obliquity) * sine)),
        nutation_deg * math.cos(obliquity),
    )


def sidereal_time_deg(*, day: float) -> float:
    """Return the mean sidereal time at Greenwich, unreduced. [deg]

    Time is counted in days of universal time from J2000.

    Source: [MEEUS] eq. 12.4.
    """
    return SIDEREAL_DEG + SIDEREAL_DEG_PER_DAY * day


def sun_direction(*, latitude_deg: float, longitude_deg: float, moment: datetime) -> tuple[float, float]:
    """Return altitude above the horizon and azimuth from true north of the sun's center. [deg]

    As seen from the earth's center and without refraction, so 0.0024 degree high at most by the first and 0.6 degree
    low at the horizon by the second. Arguments, errors, accuracy and source as for `is_night` and `sun_times`.
    """
    place = _Place(latitude_deg, longitude_deg)
    sky = place.sky(_days(moment))
    west = math.cos(sky.declination) * math.sin(sky.hour_angle)
    south = math.cos(sky.hour_angle) * math.cos(sky.declination) * place.sine - math.sin(sky.declination) * place.cosine
    altitude = math.asin(place.sine_of_altitude(sky))
    return math.degrees(altitude), math.degrees(math.atan2(west, south)) + FULL_CIRCLE_DEG / 2.0


def _series(powers: tuple[float, ...], t: float) -> float:
    total = 0.0
    for factor in reversed(powers):
        total = total * t + factor
    return total


def _check_year(year: int) -> None:
    if not FIRST_YEAR <= year <= LAST_YEAR:
        raise OutOfRange(f"year {year} is outside {FIRST_YEAR} to {LAST_YEAR}; check the date")


def _clock_noon(on: date, zone: str) -> float:
    """Return twelve o'clock of a local date, in days from J2000."""
    _check_year(on.year)
    try:
        clock = ZoneInfo(zone)
    except (ZoneInfoNotFoundError, ValueError, OSError) as error:
        raise UnknownName(
            f"{zone!r} is not in the time zone database; write a name such as 'America/Los_Angeles'"
        ) from error
    return (datetime(on.year, on.month, on.day, 12, tzinfo=clock) - J2000) / timedelta(days=1)


def _days(moment: datetime) -> float:
    """Return an aware datetime in days from J2000."""
    if moment.utcoffset() is None:
        raise OutOfRange(f"{moment.isoformat()} has no time zone; give an aware datetime")
    _check_year(moment.year)
    return (moment - J2000) / timedelta(days=1)


def _moment(day: float) -> datetime:
    return J2000 + timedelta(days=day)


@dataclass(frozen=True, slots=True)
class _Sky:
    """Where the sun stands at one time (days from J2000): hour angle from noon, and declination [rad]."""

    time: float
    hour_angle: float
    declination: float


class _Place:
    """The sky over one place."""

    __slots__ = ("cosine", "longitude_deg", "sine")

    def __init__(self, latitude_deg: float, longitude_deg: float) -> None:
        check_position(latitude_deg, longitude_deg)
        self.longitude_deg = longitude_deg
        self.sine = math.sin(math.radians(latitude_deg))
        self.cosine = math.cos(math.radians(latitude_deg))

    def sky(self, time: float) -> _Sky:
        """Return the sun's stand; its hour angle from half a turn before noon to half a turn after it."""
        right_ascension_deg, declination_deg, nutation_deg = sun_position(centuries=time / DAYS_PER_CENTURY)
        angle_deg = sidereal_time_deg(day=time) + nutation_deg + self.longitude_deg - right_ascension_deg
        return _Sky(time, math.radians(math.remainder(angle_deg, FULL_CIRCLE_DEG)), math.radians(declination_deg))

    def sine_of_altitude(self, sky: _Sky) -> float:
        return self.sine * math.sin(sky.declination) + self.cosine * math.cos(sky.declination) * math.cos(
            sky.hour_angle
        )

    def noon(self, near: float) -> _Sky:
        """Return the upper transit nearest to a time; the second step brings it from seconds to milliseconds."""
        first = self.sky(near)
        second = self.sky(near - first.hour_angle / math.tau)
        return self.sky(second.time - second.hour_angle / math.tau)

    def around_noon(self, noon: _Sky) -> tuple[_Sky, _Sky, _Sky]:
        """Return the midnight before, the noon, the midnight after; half a day off is within 15 s of the transit."""
        return self.sky(noon.time - 0.5), noon, self.sky(noon.time + 0.5)

    def around_midnight(self, noon: _Sky) -> tuple[_Sky, _Sky, _Sky]:
        """Return a noon, the midnight after it and the noon after that."""
        return noon, self.sky(noon.time + 0.5), self.noon(noon.time + 1.0)

    def passages(
        self, around: tuple[_Sky, _Sky, _Sky], altitude_deg: float
    ) -> tuple[float | None, float | None, list[bool]]:
        """Return when the sun comes up through an altitude and goes down through it, and at which times it is above."""
        level = math.sin(math.radians(altitude_deg))
        above = [self.sine_of_altitude(sky) > level for sky in around]
        up = down = None
        for start, end in ((0, 1), (1, 2)):
            if above[start] != above[end]:
                found = self.passage(around[start], around[end], level, rising=above[end])
                up, down = (found, down) if above[end] else (up, found)
        return up, down, above

    def passage(self, start: _Sky, end: _Sky, level: float, *, rising: bool) -> float:
        """Return when the sun passes a level between two times that lie on its two sides.

        Newton's steps from the middle, and halving wherever one would leave the bracket or gain less than halving
        does; ends when a step is too short for a datetime to show.
        """
        low, high = (start.time, end.time) if rising else (end.time, start.time)
        time = (start.time + end.time) / 2.0
        drift = (end.declination - start.declination) / (end.time - start.time)
        last_step = step = end.time - start.time
        while timedelta(days=step):
            sky = self.sky(time)
            excess = self.sine_of_altitude(sky) - level
            low, high = (low, time) if excess > 0.0 else (time, high)
            slope = drift * (
                self.sine * math.cos(sky.declination)
                - self.cosine * math.sin(sky.declination) * math.cos(sky.hour_angle)
            ) - math.tau * self.cosine * math.cos(sky.declination) * math.sin(sky.hour_angle)
            last_step, step = step, -excess / slope if slope else last_step
            if not min(low, high) < time + step < max(low, high) or abs(step) > abs(last_step) / 2.0:
                step = (low + high) / 2.0 - time
            time += step
        return time


def _sun_day(place: _Place, around: tuple[_Sky, _Sky, _Sky], altitude_deg: float) -> SunDay:
    up, down, above = place.passages(around, altitude_deg)
    if up is None and down is None:
        return SunDay(None, None, SunState.NEVER_SETS if above[1] else SunState.NEVER_RISES)
    if up is None or down is None:
        state = SunState.SETS_ONLY if up is None else SunState.RISES_ONLY
    else:
        state = SunState.RISES_AND_SETS
    return SunDay(None if up is None else _moment(up), None if down is None else _moment(down), state)


def _night(place: _Place, around: tuple[_Sky, _Sky, _Sky], rule: NightRule) -> Night:
    up, down, above = place.passages(around, rule.altitude_deg)
    begins = None if down is None else _moment(down) + timedelta(minutes=rule.begins_after_min)
    ends = None if up is None else _moment(up) - timedelta(minutes=rule.ends_before_min)
    if all(above) or (begins is not None and ends is not None and begins > ends):
        return Night(False, None, None)
    return Night(True, begins, ends)
