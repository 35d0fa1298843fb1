"""Where on the earth: what is a place and what is none."""

import pytest

from gyrewright.air.position import check_position
from gyrewright.errors import OutOfRange


@pytest.mark.parametrize(("latitude", "longitude"), [(90.0, 180.0), (-90.0, -180.0), (0.0, 0.0), (43.95, -120.35)])
def test_the_poles_and_the_date_line_are_places(latitude, longitude):
    check_position(latitude, longitude)


@pytest.mark.parametrize(
    ("latitude", "longitude", "says"),
    [
        (90.01, 0.0, "latitude_deg=90.01 is outside -90 to 90; north is positive"),
        (-90.01, 0.0, "latitude_deg=-90.01 is outside -90 to 90; north is positive"),
        (0.0, 180.01, "longitude_deg=180.01 is outside -180 to 180; east is positive"),
        (0.0, -180.01, "longitude_deg=-180.01 is outside -180 to 180; east is positive"),
        (float("nan"), 0.0, "latitude_deg=nan is outside"),
    ],
)
def test_beyond_them_there_is_no_place(latitude, longitude, says):
    with pytest.raises(OutOfRange, match=says):
        check_position(latitude, longitude)
