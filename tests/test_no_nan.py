"""What is not known is never a number that is not one: no NaN is read, computed, or compared with a limit.

Beside arrays travels a mask. Where it is false the value is a placeholder; it is finite all the same, so that nothing
downstream can come to compare a NaN, for which every comparison is quietly false.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from gyrewright.air.course import Piece, course, largest, minutes, smallest
from gyrewright.aircraft.envelope import from_sides
from gyrewright.aircraft.loading import Load, burn_path
from gyrewright.aircraft.performance import Corrections, HeadwindCredit, TailwindPenalty, corrected_distance
from gyrewright.aircraft.tables import Axis, build_table, lookup
from gyrewright.finding import Limit, Sense, Whose
from gyrewright.release import grid as survey_of
from gyrewright.release import judge as judging
from gyrewright.release import verdicts as grids
from gyrewright.release.decide import answer_of
from gyrewright.release.judge import passes
from gyrewright.release.situation import situation_of
from kit.alternatives import BALLAST, BLOCK, FUEL, HEAT, START, days
from kit.files import demo
from scenarios.fixture import Flight, question


def is_finite(value: Any) -> bool:
    return bool(np.all(np.isfinite(value))) if isinstance(value, (float, int, np.ndarray)) else True


@pytest.fixture
def compared(monkeypatch):
    """Watch every comparison with a limit; a value that is no finite number fails the test."""
    seen = []

    def watched(limit, value):
        assert is_finite(limit.value), limit
        assert is_finite(value), (limit.of, value)
        seen.append(limit.of)
        return passes(limit, value)

    monkeypatch.setattr(judging, "passes", watched)
    monkeypatch.setattr(grids, "passes", watched)
    return seen


def test_the_watch_would_notice(compared):
    limit = Limit("climb", Whose.HOUSE, Sense.AT_LEAST, 1.0)
    with pytest.raises(AssertionError):
        judging.passes(limit, float("nan"))
    with pytest.raises(AssertionError):
        grids.passes(limit, np.array([1.0, np.nan]))


def test_decide_compares_no_nan(compared):
    for name in ("0630-sunde-halloran", "1330-sunde-halloran", "1900-halloran-alone"):
        files = demo(name)
        files.answer()
        for key in ("fuel", "weather", "loads", "seats"):
            files.changed(files.flight, lambda data, key=key: data.pop(key)).answer()
    assert len(compared) > 100


@settings(max_examples=30)
@given(days(), st.data())
def test_no_nan_is_computed_or_compared_over_a_grid(day, data):
    varied = data.draw(st.lists(st.sampled_from([FUEL, BALLAST, BLOCK, START, HEAT]), min_size=1, unique=True))
    points = [data.draw(each.points) for each in varied]
    asked = question(replace(day, block_h=0.5))
    for each, values in zip(varied, points, strict=True):
        asked = each.asked(asked, values[0])
    situation = situation_of(asked)
    with pytest.MonkeyPatch.context() as patch, np.errstate(all="raise", under="ignore"):
        watched: list[Any] = []

        def watch(limit: Limit, value: Any) -> Any:
            assert is_finite(limit.value)
            assert is_finite(value), (limit.of, value)
            watched.append(limit)
            return passes(limit, value)

        patch.setattr(judging, "passes", watch)
        patch.setattr(grids, "passes", watch)
        axes = [each.axis(values) for each, values in zip(varied, points, strict=True)]
        survey = survey_of.Survey(situation, axes)
        survey.grid()
        answer_of(situation)
    assert watched
    for sheet in (situation.sheet, survey.sheet):
        for name, cell in sheet._cells.items():
            assert is_finite(cell.value), name
            assert is_finite(cell.known), name


def test_a_mask_has_a_place_for_every_value_that_it_hides():
    asked = FUEL.asked(question(Flight(depart="2027-07-14T08:50:00-05:00", block_h=0.5)), 40.0)
    # An observation stands for three hours here: the last start has no weather at all.
    starts = [minutes(datetime.fromisoformat(f"2027-07-14T{clock}:00-05:00")) for clock in ("08:50", "11:00", "18:00")]
    with np.errstate(all="raise", under="ignore"):
        survey = survey_of.Survey(situation_of(asked), [START.axis(starts), FUEL.axis([0.0, 40.0])])
        survey.grid()
    cell = survey.sheet.cell("wind_m_s")
    assert cell.known.ravel().tolist() == [True, False, False]
    assert np.isfinite(cell.value).all()


# --- the edges of the inside ------------------------------------------------------------------------------------------


def test_no_number_that_is_not_one_is_read():
    files = demo("0630-sunde-halloran", "dunlin")
    for word in ("nan", "inf", "-inf", "1e999", "nan kg", "inf kg", "1e400 kg"):
        assert files.changed(files.flight, lambda data, word=word: data["fuel"].update(gauge=word)).problems()
    for number in (float("nan"), float("inf")):

        def hole(data, number=number):
            data["table"]["climb"]["rows"][0][0] = number

        def factor(data, number=number):
            data["house"]["limit"].append({"of": "take-off distance", "times": number, "page": "x"})

        def bare(data, number=number):
            data["fuel"]["usable"] = number

        assert files.changed("aircraft/dunlin.toml", hole).problems()
        assert files.changed("operation.toml", factor).problems()
        assert files.changed("aircraft/dunlin.toml", bare).problems()


def test_outside_a_table_or_an_envelope_the_placeholder_is_finite():
    axis = Axis("mass", (400.0, 500.0), "linear", "no data")
    table, _ = build_table(axes=[axis], values=[100.0, 200.0])
    far = np.array([-1e6, 0.0, 399.9, 450.0, 500.1, 1e9])
    with np.errstate(all="raise"):
        value, inside = lookup(table, far)
        corrections = Corrections(
            HeadwindCredit(0.5, 5.0, 0.01), TailwindPenalty(2.0, 0.1), (("hard", 1.0),), None, False
        )
        distance, has_data = corrected_distance(
            table_distance_m=value,
            corrections=corrections,
            headwind_m_s=np.array([-50.0, -1.0, 0.0, 3.0, 50.0, 0.0]),
            surface="grass",
            adverse_slope_ratio=0.1,
            table_inside=inside,
        )
        envelope, _ = from_sides(forward=[(300.0, -0.2), (500.0, -0.2)], aft=[(300.0, 0.0), (500.0, 0.1)])
        path = burn_path(
            Load(np.array([1.0, 250.0, 400.0, 900.0]), np.array([0.1, 5.0, 10.0, 20.0])),
            fuel_arm_m=0.1,
            take_off_fuel_kg=np.array([0.0, 10.0, 200.0, 40.0]),
            end_fuel_kg=0.0,
            envelope=envelope,
        )
    assert np.isfinite(value).all()
    assert list(inside) == [False, False, False, True, False, False]
    assert np.isfinite(distance).all()
    assert not has_data.any()
    for each in (path.forward_margin_m, path.aft_margin_m, path.forward_mass_kg, path.take_off_cg_m, path.end_cg_m):
        assert np.isfinite(each).all()


def test_weather_that_is_not_known_is_a_finite_placeholder():
    known = Piece(0.0, 60.0, 5.0, 8.0, "report")
    unknown = Piece(60.0, 120.0, None, None, "report")
    told = course([known, unknown], "weather:wind")
    starts, ends = np.array([0.0, 30.0, 70.0, 300.0]), np.array([50.0, 90.0, 80.0, 400.0])
    with np.errstate(all="raise"):
        for extreme in (largest, smallest):
            found = extreme(told, starts, ends)
            assert list(found.known) == [True, False, False, False]
            assert np.isfinite(found.value).all()
