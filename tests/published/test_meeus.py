"""[MEEUS] Worked examples of the sun's place and of sidereal time."""

from datetime import UTC, datetime, timedelta

import pytest

from gyrewright.air.daylight import sidereal_time_deg, sun_position

DOCUMENT = "Meeus, Astronomical Algorithms, 2nd ed. (1998)"
J2000 = datetime(2000, 1, 1, 12, tzinfo=UTC)


def days(moment):
    return (moment - J2000) / timedelta(days=1)


@pytest.mark.source(
    DOCUMENT, "example 25.a: the sun on 13 October 1992 at 0h, low accuracy; read in public test suites"
)
def test_the_apparent_place_of_the_sun():
    right_ascension_deg, declination_deg, _ = sun_position(centuries=days(datetime(1992, 10, 13, tzinfo=UTC)) / 36525.0)
    # Half the last printed digit.
    assert right_ascension_deg % 360.0 == pytest.approx(198.38083, abs=0.000005)
    assert declination_deg == pytest.approx(-7.78507, abs=0.000005)


@pytest.mark.source(DOCUMENT, "examples 12.a and 12.b: mean sidereal time at Greenwich; read in public test suites")
@pytest.mark.parametrize(
    ("moment", "printed_deg"),
    [
        (datetime(1987, 4, 10, tzinfo=UTC), (13 + (10 + 46.3668 / 60.0) / 60.0) * 15.0),
        (datetime(1987, 4, 10, 19, 21, tzinfo=UTC), 128.7378734),
    ],
    ids=["12.a", "12.b"],
)
def test_mean_sidereal_time(moment, printed_deg):
    # The two terms left out are worth 0.000006 degree in 1987.
    assert sidereal_time_deg(day=days(moment)) % 360.0 == pytest.approx(printed_deg, abs=0.00001)


@pytest.mark.source(DOCUMENT, "example 12.a: apparent less mean sidereal time, 13h10m46.1351s and 46.3668s")
def test_nutation_in_right_ascension():
    nutation_deg = sun_position(centuries=days(datetime(1987, 4, 10, tzinfo=UTC)) / 36525.0)[2]
    # The example's -0.2317 s by the full theory; the one term used here stays within 0.1 s of it.
    assert nutation_deg * 240.0 == pytest.approx(46.1351 - 46.3668, abs=0.1)
