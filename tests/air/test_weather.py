"""The weather over a flight: what reports and typed rows say, spell by spell, and the courses made of them."""

from datetime import UTC, datetime

import pytest

from gyrewright.air.course import largest, minutes
from gyrewright.air.reports import decode_metar, decode_taf
from gyrewright.air.weather import (
    ALL_SUBJECTS,
    FORECAST_SUBJECTS,
    Sample,
    agreed,
    cloud_base_course,
    crosswind_course,
    forecast,
    headwind_course,
    mean_crosswind_course,
    mean_tailwind_course,
    mean_wind_course,
    rows,
    sample_of,
    spread_course,
    tailwind_course,
    temperature_course,
    trends,
    visibility_course,
    wind_course,
)
from gyrewright.sheet import Partial

NOON = datetime(2027, 6, 12, 12, tzinfo=UTC)
KT = 1852.0 / 3600.0


def observed(text):
    return sample_of(decode_metar(f"METAR X0TB 121150Z {text}", received_on=NOON).conditions)


def one(samples, **how):
    """Return the spell of one sample that holds for an hour."""
    return rows([(0.0, samples, "a"), (60.0, samples, "b")], straight=True, subjects=ALL_SUBJECTS)


def value(course):
    return largest(course, 10.0, 50.0)


def test_a_sky_without_a_ceiling_counts_as_20_kilometers_high():
    assert observed("18003KT 10SM CLR 09/02 A2980").cloud_base_m == pytest.approx(12_000 * 0.3048)  # an automatic CLR
    assert observed("18003KT 10SM SKC 09/02 A2980").cloud_base_m == 20_000.0
    # Some reports leave out what is higher than 5000 ft: no ceiling below it is all that few or scattered cloud says.
    assert observed("18003KT 10SM FEW030 SCT250 09/02 A2980").cloud_base_m == pytest.approx(5000 * 0.3048)
    assert observed("18003KT 10SM FEW030 BKN050 09/02 A2980").cloud_base_m == pytest.approx(5000 * 0.3048)


def test_a_wind_without_a_gust_gusts_to_its_mean():
    calm = observed("18012KT 10SM SKC 09/02 A2980")
    assert (calm.wind_m_s, calm.gust_m_s) == (pytest.approx(12 * KT), pytest.approx(12 * KT))
    gusty = observed("18012G20KT 10SM SKC 09/02 A2980")
    assert (gusty.wind_m_s, gusty.gust_m_s) == (pytest.approx(12 * KT), pytest.approx(20 * KT))


def test_more_than_can_be_measured_is_not_a_number():
    assert observed("180P99KT 10SM SKC 09/02 A2980").wind_m_s is None
    assert observed("18012KT M1/4SM SKC 09/02 A2980").visibility_m is None


def test_the_lowest_visibility_in_any_direction_counts():
    assert observed("18012KT 6000 1500NE SKC 09/02 Q1013").visibility_m == 1500.0


def test_what_is_in_the_vicinity_counts_as_weather():
    assert observed("18012KT 10SM VCTS SKC 09/02 A2980").phenomena == ("TS",)
    assert observed("18012KT 10SM -SHRA BR SKC 09/02 A2980").phenomena == ("SH", "RA", "BR")
    assert observed("18012KT 10SM SKC 09/02 A2980").phenomena == ()


def test_a_forecast_says_nothing_of_temperature_and_pressure():
    taf = decode_taf("TAF X0TB 121120Z 1212/1312 18003KT P6SM SKC", received_on=NOON)
    (spell,) = forecast(taf)
    assert spell.subjects == FORECAST_SUBJECTS
    assert (spell.start_min, spell.end_min) == (minutes(NOON), minutes(NOON) + 24 * 60.0)
    assert temperature_course((spell,)).pieces == ()
    assert value(temperature_course((spell,))) == Partial(None, False, "weather:temperature")


def test_a_forecast_whose_times_are_lost_may_hold_at_any_time():
    taf = decode_taf("TAF X0TB 121120Z 12// 18003KT P6SM SKC", received_on=NOON)
    assert {(spell.start_min, spell.end_min) for spell in forecast(taf)} == {(-1e12, 1e12)}


def test_a_trend_changes_what_it_speaks_of_and_leaves_the_rest():
    report = decode_metar("METAR X0TB 121150Z 18003KT 9999 SKC 09/02 Q1013 TEMPO 20025G40KT", received_on=NOON)
    (spell,) = trends(report)
    assert (spell.first.gust_m_s, spell.first.visibility_m) == (pytest.approx(40 * KT), 10_000.0)
    assert spell.by == "trend, TEMPO" or spell.by.startswith("trend, ")


# --- courses ----------------------------------------------------------------------------------------------------------


def test_components_count_the_gust_across_and_the_mean_along():
    spells = one(Sample(wind_from_deg=210.0, wind_m_s=10.0, gust_m_s=20.0))
    assert value(wind_course(spells)) == 20.0
    assert value(mean_wind_course(spells)) == 10.0
    assert value(spread_course(spells)) == 10.0
    assert value(crosswind_course(spells, 180.0, 0.0)) == pytest.approx(10.0)
    assert value(mean_crosswind_course(spells, 180.0, 0.0)) == pytest.approx(5.0)
    assert value(headwind_course(spells, 180.0, 0.0)) == pytest.approx(10.0 * 0.75**0.5)
    assert value(tailwind_course(spells, 180.0, 0.0)) == 0.0
    assert value(tailwind_course(spells, 360.0, 0.0)) == pytest.approx(20.0 * 0.75**0.5)
    assert value(mean_tailwind_course(spells, 360.0, 0.0)) == pytest.approx(10.0 * 0.75**0.5)


def test_a_magnetic_wind_meets_the_runway_by_the_variation():
    true = one(Sample(wind_from_deg=200.0, wind_m_s=10.0, gust_m_s=10.0))
    magnetic = one(Sample(wind_from_deg=186.0, is_true=False, wind_m_s=10.0, gust_m_s=10.0))
    for runway in (86.0, 177.0, 266.0, 357.0):
        across = value(crosswind_course(true, runway, 14.0))
        assert value(crosswind_course(magnetic, runway, 14.0)) == pytest.approx(across)


def test_a_wind_from_anywhere_is_all_behind_and_all_across():
    spells = one(Sample(variable=True, wind_m_s=5.0, gust_m_s=8.0))
    assert value(crosswind_course(spells, 90.0, 0.0)) == 8.0
    assert value(tailwind_course(spells, 90.0, 0.0)) == 8.0
    assert value(headwind_course(spells, 90.0, 0.0)) == -5.0


def test_calm_has_no_direction_and_needs_none():
    spells = one(Sample(wind_m_s=0.0, gust_m_s=0.0))
    assert value(crosswind_course(spells, 90.0, 0.0)) == 0.0
    assert value(tailwind_course(spells, 90.0, 0.0)) == 0.0


def test_a_wind_without_a_direction_has_no_components():
    spells = one(Sample(wind_m_s=5.0, gust_m_s=5.0))
    assert value(wind_course(spells)) == 5.0
    assert value(crosswind_course(spells, 90.0, 0.0)) == Partial(None, False, "weather:wind")


def test_between_rows_the_worse_end_counts_unless_the_data_say_straight():
    typed = [(0.0, Sample(visibility_m=9000.0), "a"), (60.0, Sample(visibility_m=3000.0), "b")]
    worse = rows(typed, straight=False, subjects=ALL_SUBJECTS)
    straight = rows(typed, straight=True, subjects=ALL_SUBJECTS)
    lowest = [min(piece.at(30.0) for piece in visibility_course(each).pieces[:2]) for each in (worse, straight)]
    assert lowest[0] == 3000.0
    assert visibility_course(straight).pieces[0].at(30.0) == 6000.0


def test_after_the_last_row_nothing_is_forecast():
    spells = one(Sample(cloud_base_m=900.0))
    assert largest(cloud_base_course(spells), 0.0, 60.0) == 900.0
    assert largest(cloud_base_course(spells), 0.0, 61.0) == Partial(None, False, "weather:cloud")


# --- more than one report of one time ---------------------------------------------------------------------------------


def test_what_samples_of_one_time_differ_in_is_not_known():
    one = Sample(wind_from_deg=180.0, wind_m_s=5.0, gust_m_s=9.0, altimeter_pa=101300.0, phenomena=())
    other = Sample(wind_from_deg=200.0, wind_m_s=5.0, gust_m_s=8.0, altimeter_pa=101300.0, phenomena=("RA",))
    both = agreed([one, other])
    assert both == Sample(wind_m_s=5.0, altimeter_pa=101300.0)
    assert agreed([other, one]) == both
    assert agreed([one, one]) == one


def test_a_variable_wind_and_one_from_somewhere_differ():
    both = agreed([Sample(variable=True, wind_m_s=3.0), Sample(wind_from_deg=90.0, wind_m_s=3.0)])
    assert (both.variable, both.wind_from_deg, both.wind_m_s) == (False, None, 3.0)
