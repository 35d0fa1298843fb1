"""A15: the ordinary good day."""

import socket

import pytest

from gyrewright.finding import Verdict
from scenarios.fixture import (
    CG_M,
    CLIMB_FT_MIN,
    DENSITY_ALTITUDE_FT,
    DISTANCE_M,
    KT,
    MASS_KG,
    ROOMS,
    Flight,
    against,
    answer,
    finding,
    value,
    verdict_of,
)

FLIGHT = Flight()


def test_nothing_stands_against_it():
    asked = answer(FLIGHT)
    assert verdict_of(asked) is Verdict.GO
    assert against(asked) == set()


def test_the_numbers_of_the_good_day():
    asked = answer(FLIGHT)
    mass = finding(asked, "loading.take_off_mass")
    assert mass.value == pytest.approx(479.8, abs=MASS_KG)
    assert mass.margin == pytest.approx(20.2, abs=MASS_KG)
    assert asked.situation.sheet.value("cg_path").take_off_cg_m == pytest.approx(-0.099, abs=CG_M)
    assert value(asked, "density_altitude_m", "length", "ft") == pytest.approx(2840.0, abs=DENSITY_ALTITUDE_FT)
    assert value(asked, "climb_m_s", "climb", "ft/min") == pytest.approx(576.0, abs=CLIMB_FT_MIN)
    distance = finding(asked, "performance.take_off_distance")
    assert distance.value * 1.33 == pytest.approx(547.0, abs=DISTANCE_M)
    assert distance.limit * 1.33 == pytest.approx(760.0)
    # 8 kt from 20 degrees off the runway, to the digit given.
    assert finding(asked, "wind.crosswind").value == pytest.approx(2.7 * KT, abs=0.05 * KT)
    fuel = finding(asked, "fuel.enough")
    assert (fuel.value, fuel.limit) == (40.0, pytest.approx(29.5))


def test_the_tightest_margin_is_named():
    named = answer(FLIGHT).binding
    assert named.id == "loading.take_off_mass"
    assert named.margin == pytest.approx(20.0, abs=0.5)


def test_every_check_that_was_made_is_listed_with_its_limit_and_source():
    asked = answer(FLIGHT)
    assert len(asked.findings) >= 20
    for each in asked.findings:
        if each.limit is not None and each.id.partition(".")[0] in ROOMS:
            assert each.layers
            assert any(layer.binds for layer in each.layers)


def test_the_answer_needs_no_network(monkeypatch):
    def refused(*args, **kwargs):
        raise OSError("no network")

    monkeypatch.setattr(socket, "socket", refused)
    monkeypatch.setattr(socket, "getaddrinfo", refused)
    assert verdict_of(answer(FLIGHT)) is Verdict.GO


ROOMS_OF_AN_ANSWER = {"inspection", "maintenance", "people", "rule"}


def test_defects_intervals_papers_people_and_walk_round_are_part_of_the_answer():
    asked = answer(FLIGHT)
    ids = {each.id for each in asked.findings}
    assert {each.partition(".")[0] for each in ids} >= ROOMS_OF_AN_ANSWER
    assert ids >= {
        "maintenance.defect",
        "maintenance.inspection",
        "maintenance.paper",
        "people.fit",
        "people.no",
        "inspection.walk",
        "inspection.restore",
        "rule.us.61.57.day",
        "rule.us.91.409.annual",
    }
    assert asked.cautions == ()


def test_no_room_passes_in_silence():
    """Take away what one room knows, and the whole answer is unknown."""
    for path, old in (
        ("g1.toml", 'records = "g1-records.toml"\n'),
        ("g1.toml", 'program = "g1-program.toml"\n'),
        ("people.toml", 'fitness = "fit"\nfitness_at = AGO_60min\n'),
        ("operation.toml", 'name = "walk-round"\ncounts = ["walk-round"]'),
    ):
        gone = "" if path != "operation.toml" else 'name = "walk-round"\ncounts = ["turnaround"]'
        assert answer(Flight(edits=((path, old, gone),))).verdict is Verdict.UNKNOWN, old
