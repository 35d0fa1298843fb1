"""Edges found on a grid and closed in on, against the closed forms of the loading and against decide."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from gyrewright.aircraft.loading import Load
from gyrewright.aircraft.loading_edges import mass_at_station, most_fuel
from gyrewright.check import compare
from gyrewright.fact import Fact
from gyrewright.finding import Limit, Sense, Whose
from gyrewright.release import choices
from gyrewright.release.edges import Span, careful, spans
from gyrewright.release.grid import Survey
from gyrewright.release.situation import situation_of
from gyrewright.release.solved import (
    COLDEST_K,
    HOTTEST_K,
    capacity_l,
    fuel_numbers,
    heat_numbers,
    highest_temperature,
)
from kit import draw
from scenarios.fixture import Flight, question

KG = 1e-5


def only(situation, *ids):
    """The situation with no other checks than some comparisons."""
    kept = tuple(each for each in situation.comparisons if each.id in ids)
    return Survey(replace(situation, checks=(), agings=(), comparisons=kept), ())


def everything_but(situation, station=""):
    """The load without fuel, and without what lies at a station."""
    sheet = situation.sheet
    kg = sheet.value(f"load_kg:{station}") if station else 0.0
    arm = sheet.value(f"arm_m:{station}") if station else 0.0
    return Load(sheet.value("zero_fuel_mass_kg") - kg, sheet.value("zero_fuel_moment_kg_m") - kg * arm)


def most_mass(situation):
    return min(limit.value for limit in situation.sheet.value("limits:take-off mass"))


@settings(max_examples=60)
@given(st.integers(0, 100_000))
def test_the_most_fuel_is_that_of_the_closed_form(seed):
    asked, _ = draw.question(seed)
    full_l = capacity_l(asked)
    situation = situation_of(choices.with_fuel(asked, full_l))
    sheet = situation.sheet
    if sheet.value("zero_fuel_mass_kg") is None or asked.definition.no_arms:
        return
    density = sheet.value("fuel_density_kg_per_l")
    found = spans(only(situation, "loading.take_off_mass", "loading.cg"), fuel_numbers, low=0.0, high=full_l)
    # What a reading of nothing leaves as load, and what the path ends with.
    shift_kg = (
        Survey(situation, ())
        .sheet.with_facts({name: Fact(name, 0.0) for name in ("fuel_lowest_l", "fuel_highest_l")})
        .value("fuel_mass_kg")
    )
    answer = most_fuel(
        everything_but(situation),
        fuel_arm_m=sheet.value("fuel_arm_m"),
        envelope=sheet.value("envelope"),
        most_mass_kg=most_mass(situation),
        end_fuel_kg=sheet.value("end_fuel_kg"),
        tank_kg=full_l * density + shift_kg,
    )
    # The closed form asks for every amount from the end of the path on: the stretch that begins with nothing aboard.
    first = next((span for span in found if span.low == 0.0), None)
    assert (first is not None) == bool(answer.exists) or answer.fuel_kg - sheet.value("end_fuel_kg") < KG
    if first is not None:
        assert first.high * density + shift_kg == pytest.approx(answer.fuel_kg, abs=KG)


@settings(max_examples=60)
@given(st.integers(0, 100_000))
def test_the_mass_that_a_place_takes_is_that_of_the_closed_form(seed):
    asked, _ = draw.question(seed)
    station = next(each.id for each in asked.definition.stations if each.kind != "seat")
    situation = situation_of(choices.with_load(asked, station, 0.0))
    sheet = situation.sheet
    if sheet.value("fuel_mass_kg") is None or sheet.value("zero_fuel_mass_kg") is None or asked.definition.no_arms:
        return
    name = f"load_kg:{station}"
    found = spans(only(situation, "loading.take_off_mass", "loading.cg"), lambda at: {name: at}, low=0.0, high=60.0)
    answer = mass_at_station(
        everything_but(situation, station),
        arm_m=sheet.value(f"arm_m:{station}"),
        fuel_arm_m=sheet.value("fuel_arm_m"),
        take_off_fuel_kg=sheet.value("fuel_mass_kg"),
        end_fuel_kg=sheet.value("end_fuel_kg"),
        envelope=sheet.value("envelope"),
        most_mass_kg=most_mass(situation),
        least_kg=0.0,
        most_kg=60.0,
    )
    best = max(found, key=lambda span: span.high - span.low, default=None)
    assert (best is not None) == bool(answer.exists) or answer.high_kg - answer.low_kg < KG
    if best is not None:
        assert (best.low, best.high) == pytest.approx((answer.low_kg, answer.high_kg), abs=KG)


def test_the_highest_temperature_passes_and_a_tenth_of_a_degree_more_does_not():
    asked = question(Flight())
    highest_k, name = highest_temperature(asked)

    def verdict(at_k):
        sheet = situation_of(asked).sheet.with_facts(
            {key: Fact(key, value) for key, value in heat_numbers(at_k).items()}
        )
        found = Survey(replace(situation_of(asked), sheet=sheet), ()).grid()
        return bool(found.passes), found.binding(int(found.codes))

    assert verdict(highest_k)[0]
    assert verdict(highest_k - 0.1)[0]
    assert verdict(highest_k + 0.1) == (False, name)


def limited(*limits):
    """A survey of one number under some limits: `of` is the number itself."""
    situation = situation_of(question(Flight()))
    written = tuple(Limit("climb", Whose.HOUSE, sense, value, verified_by="test") for sense, value in limits)
    sheet = situation.sheet.with_facts({"x": Fact("x", 0.0), "limits:x": Fact("limits:x", written)})
    comparison = compare("test.x", "climb", "x", "climb", limits="limits:x")
    return Survey(replace(situation, sheet=sheet, checks=(), agings=(), comparisons=(comparison,)), ())


def found_between(*limits, low=0.0, high=10.0):
    return spans(limited(*limits), lambda at: {"x": at}, low=low, high=high)


def test_a_limit_inside_a_cell_is_found_to_the_last_digits():
    (span,) = found_between((Sense.AT_LEAST, np.e), (Sense.AT_MOST, np.pi))
    assert (span.low, span.high) == pytest.approx((np.e, np.pi), abs=1e-8)
    assert (span.binds_low, span.binds_high) == ("test.x", "test.x")


def test_a_stretch_that_reaches_an_end_is_bound_by_nothing_there():
    assert found_between() == (Span(0.0, 10.0, "", ""),)
    (span,) = found_between((Sense.AT_MOST, 4.0))
    assert (span.low, span.binds_low, span.binds_high) == (0.0, "", "test.x")


def test_where_nothing_passes_there_is_no_stretch():
    assert found_between((Sense.AT_LEAST, 11.0)) == ()


def test_rounding_goes_to_the_side_that_passes():
    rounded = careful(Span(29.96, 33.38, "a", "b"), 0.1)
    assert (rounded.low, rounded.high) == (30.0, 33.3)
    assert careful(Span(30.0, 33.3, "", ""), 0.1) == Span(30.0, 33.3, "", "")
    assert careful(Span(30.01, 30.09, "", ""), 0.1) is None


def test_the_coldest_and_hottest_looked_at_hold_every_day_that_tables_print():
    assert COLDEST_K < 243.15
    assert HOTTEST_K > 323.15
