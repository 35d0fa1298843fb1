"""A13: a cold morning in March. Only the numbers; the paper and its two times are proved with the records."""

from dataclasses import replace
from datetime import datetime

import pytest

from gyrewright.finding import Verdict
from scenarios.fixture import (
    CG_M,
    CLIMB_FT_MIN,
    DENSITY_ALTITUDE_FT,
    DISTANCE_M,
    MASS_KG,
    Flight,
    Row,
    against,
    answer,
    finding,
    value,
    verdict_of,
)

FLIGHT = Flight(
    asked_at="2027-03-02T09:20:00-06:00",
    seats={"front": "S1", "rear": "I2"},
    parts={"commander": "I2", "instructor": "I2", "student": "S1"},
    runway="09",
    fuel_l=30.0,
    observed=Row("2027-03-02T09:10:00-06:00", wind=(80, 6, None), temperature="2 C", altimeter="1022 hPa"),
)


def test_nothing_stands_against_it():
    asked = answer(FLIGHT)
    assert verdict_of(asked) is Verdict.GO
    assert against(asked) == set()


def test_the_numbers_of_the_cold_morning():
    asked = answer(FLIGHT)
    assert finding(asked, "loading.take_off_mass").value == pytest.approx(480.6, abs=MASS_KG)
    assert asked.situation.sheet.value("cg_path").take_off_cg_m == pytest.approx(-0.103, abs=CG_M)
    assert value(asked, "density_altitude_m", "length", "ft") == pytest.approx(800.0, abs=DENSITY_ALTITUDE_FT)
    assert value(asked, "climb_m_s", "climb", "ft/min") == pytest.approx(705.0, abs=CLIMB_FT_MIN)
    assert finding(asked, "performance.take_off_distance").value * 1.33 == pytest.approx(465.0, abs=DISTANCE_M)


ON_PAPER = """began_at = 2027-03-02T08:55:00-06:00
ended_at = 2027-03-02T09:12:00-06:00
entered_at = 2027-03-02T13:00:00-06:00
complete = true
"""
PAPER = ("g1-records.toml", "began_at = AGO_33min\nended_at = AGO_20min\ncomplete = true\n", ON_PAPER)
WALKERS = (
    "g1-records.toml",
    'id = "G1-TODAY"\nkind = "walk-round"\nlist = "walk-round"\nrevision = 1\nby = ["S1", "I1"]',
    'id = "G1-TODAY"\nkind = "walk-round"\nlist = "walk-round"\nrevision = 1\nby = ["S1", "I2"]',
)
RESTORED = ("g1-records.toml", "at = AGO_20min\nitems", "at = 2027-03-02T09:12:00-06:00\nitems")


def test_a_walk_on_paper_keyed_in_later_counts_from_when_it_was_done():
    asked = answer(replace(FLIGHT, edits=(PAPER, WALKERS, RESTORED)))
    assert verdict_of(asked) is Verdict.GO
    walk = finding(asked, "inspection.walk")
    assert walk.params["done_at"] == datetime.fromisoformat("2027-03-02T09:12:00-06:00")
    assert walk.params["by"] == ("S1", "I2")
    assert "13:00" not in repr(walk)
