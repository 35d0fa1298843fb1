"""When the demonstration's day has room for two people, as its table has it: by performance, wind and climb alone.

The table judges three moments; a flight of 1.1 h is judged over its whole length, by the worse of two forecasts.
"""

from dataclasses import replace
from datetime import time
from functools import cache

import numpy as np
import pytest

from gyrewright.air.course import moment_of
from gyrewright.release import choices
from gyrewright.release.grid import grid
from gyrewright.release.situation import situation_of
from gyrewright.release.windows import day_minutes, start_axis
from kit import draw

FUEL_L = {"Dunlin": 40.0, "Whimbrel": 40.0, "Sanderling": 30.0}
MORNING, AFTERNOON, EVENING = time(6, 30), time(13, 30), time(19, 0)


@cache
def starts(name, runway):
    """The local starts that pass, of all minutes from when it was asked, with the binding check of the others."""
    base = next(each for each in draw.bases() if each.name == "0630-sunde-halloran")
    aircraft = next(each for each in base.fleet if each.definition.name == name)
    asked = choices.with_runway(choices.with_aircraft(base.question, aircraft, FUEL_L[name]), runway)
    minutes = day_minutes(asked)
    found = grid(replace(situation_of(asked), checks=(), agings=()), [start_axis(asked, minutes)])
    codes = np.broadcast_to(found.codes, minutes.shape)
    zone = asked.field.zone
    return {
        moment_of(float(minute)).astimezone(zone).time(): "" if ok else found.binding(int(code))
        for minute, ok, code in zip(minutes, np.broadcast_to(found.passes, minutes.shape), codes, strict=True)
    }


@pytest.mark.parametrize(
    ("name", "runway", "passing"),
    [
        ("Dunlin", "25", {MORNING}),
        ("Dunlin", "16", set()),
        ("Whimbrel", "25", {MORNING, EVENING}),
        ("Whimbrel", "16", {MORNING, AFTERNOON, EVENING}),
        ("Sanderling", "25", set()),
        ("Sanderling", "16", set()),
    ],
)
def test_two_people_pass_at_the_moments_at_which_the_table_says_so(name, runway, passing):
    found = starts(name, runway)
    assert {moment for moment in (MORNING, AFTERNOON, EVENING) if not found[moment]} == passing


def test_the_dunlin_stops_passing_when_the_air_grows_too_warm_to_climb():
    found = starts("Dunlin", "25")
    passing = [moment for moment, binds in found.items() if not binds]
    assert max(passing) < time(8)
    after = min(moment for moment in found if moment > max(passing))
    assert found[after] == "performance.climb"


def test_the_wind_of_the_middle_of_the_day_keeps_the_whimbrel_off_the_hard_runway():
    assert starts("Whimbrel", "25")[AFTERNOON] == "wind.crosswind"


def test_two_people_in_the_sanderling_are_below_the_climb_of_the_house_all_day():
    assert not [moment for moment, binds in starts("Sanderling", "25").items() if not binds]
