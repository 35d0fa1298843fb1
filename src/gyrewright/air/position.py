"""Where on the earth: the check that both sky and compass make of a latitude and a longitude."""

from __future__ import annotations

from gyrewright.errors import OutOfRange

POLE_DEG = 90.0
DATE_LINE_DEG = 2.0 * POLE_DEG


def check_position(latitude_deg: float, longitude_deg: float) -> None:
    """Refuse what is no place.

    Raises:
        OutOfRange: Latitude beyond 90 degrees or longitude beyond 180, to either side.
    """
    for name, value, end, positive in (
        ("latitude_deg", latitude_deg, POLE_DEG, "north"),
        ("longitude_deg", longitude_deg, DATE_LINE_DEG, "east"),
    ):
        if not -end <= value <= end:
            raise OutOfRange(f"{name}={value:g} is outside -{end:g} to {end:g}; {positive} is positive")
