"""Every check of the release by itself: the fact that stops, the fact that clears, and the edge between them."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest

from gyrewright.fact import Fact
from gyrewright.finding import Condition, Source, Verdict, Whose
from gyrewright.release import checks

DEPART = datetime(2027, 7, 14, 14, 0, tzinfo=UTC)
MANUAL = Source("manual", "a manual")
MAKER = {
    "loading.take_off_mass",
    "wind.total",
    "wind.spread",
    "wind.crosswind",
    "wind.tailwind",
    "weather.temperature",
    "weather.pressure_altitude",
    "light.before_sunset",
    "light.after_sunrise",
}


def asked(*, groups=(), aboard=(), has_arms=True, has_lateral=False, has_landing_table=False):
    found = checks.comparisons(
        groups, aboard, has_arms=has_arms, has_lateral=has_lateral, has_landing_table=has_landing_table
    )
    return {(each.id, each.about): each for each in found}


ALWAYS = {
    "loading.take_off_mass": ("take-off mass", "take_off_mass_kg", "take_off_mass_kg", "limits:take-off mass"),
    "loading.landing_mass": ("landing mass", "landing_mass_kg", "landing_mass_kg", "limits:landing mass"),
    "loading.cg": ("center of gravity", "cg_most_aft_m", "cg_most_forward_m", "cg_limits"),
    "fuel.enough": ("reserve", "fuel_lowest_l", "fuel_lowest_l", "limits:fuel"),
    "fuel.capacity": ("fuel", "fuel_highest_l", "fuel_highest_l", "limits:fuel capacity"),
    "fuel.readings_agree": ("gauge and stick apart", "fuel_apart_l", "fuel_apart_l", "limits:gauge and stick apart"),
    "performance.take_off_distance": (
        "take-off distance",
        "take_off_distance_m",
        "take_off_distance_m",
        "limits:distance",
    ),
    "performance.climb": ("climb", "climb_m_s", "climb_m_s", "limits:climb"),
    "wind.total": ("wind", "wind_m_s", "wind_m_s", "limits:wind"),
    "wind.spread": ("gust spread", "spread_m_s", "spread_m_s", "limits:gust spread"),
    "wind.crosswind": ("crosswind", "crosswind_m_s", "crosswind_m_s", "limits:crosswind"),
    "wind.tailwind": ("tailwind", "tailwind_m_s", "tailwind_m_s", "limits:tailwind"),
    "weather.temperature": ("air temperature", "hottest_k", "coldest_k", "limits:air temperature"),
    "weather.visibility": ("visibility", "visibility_m", "visibility_m", "limits:visibility"),
    "weather.cloud_base": ("cloud base", "cloud_base_m", "cloud_base_m", "limits:cloud base"),
    "weather.density_altitude": (
        "density altitude",
        "density_altitude_m",
        "density_altitude_m",
        "limits:density altitude",
    ),
    "weather.pressure_altitude": (
        "pressure altitude",
        "pressure_altitude_m",
        "pressure_altitude_m",
        "limits:pressure altitude",
    ),
    "light.before_sunset": ("before sunset", "before_sunset_h", "before_sunset_h", "limits:before sunset"),
    "light.after_sunrise": ("after sunrise", "after_sunrise_h", "after_sunrise_h", "limits:after sunrise"),
}
TABLE = {
    "mass": "take_off_mass_kg",
    "pressure altitude": "pressure_altitude_m",
    "density altitude": "density_altitude_m",
    "air temperature": "hottest_at_take_off_k",
}


def test_every_flight_is_compared_with_these_limits_and_no_other_number_takes_their_place():
    found = asked()
    ends = {("performance.table_ends", axis) for axis in TABLE}
    assert found.keys() == {(id, "") for id in ALWAYS} | ends
    for id, expected in ALWAYS.items():
        each = found[id, ""]
        assert (each.of, each.upper, each.lower, each.limits) == expected, id
    for axis, value in TABLE.items():
        each = found["performance.table_ends", axis]
        assert (each.of, each.upper, each.lower, each.limits) == (
            f"end of table {axis}",
            value,
            value,
            f"limits:table {axis}",
        )


DIMENSIONS = {
    "mass": {"loading.take_off_mass", "loading.landing_mass", "loading.load"},
    "arm": {"loading.cg", "loading.lateral"},
    "angle": {"loading.hang_full", "loading.hang_empty"},
    "volume": {"fuel.enough", "fuel.capacity", "fuel.readings_agree"},
    "length": {
        "performance.take_off_distance",
        "performance.landing_distance",
        "weather.visibility",
        "weather.cloud_base",
        "weather.density_altitude",
        "weather.pressure_altitude",
    },
    "climb": {"performance.climb"},
    "speed": {"wind.total", "wind.spread", "wind.crosswind", "wind.tailwind"},
    "temperature": {"weather.temperature"},
    "time": {"light.before_sunset", "light.after_sunrise"},
    "days": {"loading.weighing"},
}


def test_every_number_is_of_its_own_kind():
    everything = {"groups": [("front",)], "aboard": ["ann"], "has_lateral": True, "has_landing_table": True}
    found = asked(**everything) | asked(**everything, has_arms=False)
    axes = {
        "mass": "mass",
        "pressure altitude": "length",
        "density altitude": "length",
        "air temperature": "temperature",
    }
    said = {key: each.dimension for key, each in found.items()}
    expected = {id: dimension for dimension, ids in DIMENSIONS.items() for id in ids}
    assert said == {(id, about): axes[about] if id == "performance.table_ends" else expected[id] for id, about in found}


def test_beyond_a_limit_is_a_stop_except_for_a_weighing_which_is_to_be_fetched_anew():
    found = asked(aboard=["ann"])
    assert {id: each.beyond for (id, _), each in found.items() if each.beyond is not Verdict.STOP} == {
        "loading.weighing": Verdict.UNKNOWN
    }


def test_where_the_maker_or_the_house_says_nothing_on_these_it_is_asked_for():
    found = asked()
    assert {id for (id, _), each in found.items() if each.needed == (Whose.MAKER,)} == MAKER
    assert {id for (id, _), each in found.items() if each.needed == (Whose.HOUSE,)} == {"fuel.enough"}
    assert {each.needed for each in found.values()} == {(), (Whose.MAKER,), (Whose.HOUSE,)}


def test_winds_carry_the_mean_and_the_courses_that_tell_when_a_limit_is_met():
    told = {id: (each.mean, each.course, each.mean_course) for (id, _), each in asked().items() if each.course}
    assert told == {
        "wind.total": ("mean_wind_m_s", "wind_course", "mean_wind_course"),
        "wind.spread": ("", "spread_course", ""),
        "wind.crosswind": ("mean_crosswind_m_s", "crosswind_course", "mean_crosswind_course"),
        "wind.tailwind": ("mean_tailwind_m_s", "tailwind_course", "mean_tailwind_course"),
        "weather.temperature": ("", "temperature_course", ""),
        "weather.visibility": ("", "visibility_course", ""),
        "weather.cloud_base": ("", "cloud_base_course", ""),
    }


def test_an_aircraft_without_arms_is_hung_full_and_empty_instead_of_balanced():
    found = asked(has_arms=False)
    assert ("loading.cg", "") not in found
    full, empty = found["loading.hang_full", ""], found["loading.hang_empty", ""]
    assert (full.of, full.upper, full.limits) == ("hang angle", "hang_measured_full_deg", "limits:hang")
    assert (empty.of, empty.upper, empty.limits) == ("hang angle", "hang_measured_empty_deg", "limits:hang")
    assert {id for id, _ in asked()} & {"loading.hang_full", "loading.hang_empty"} == set()


def test_side_by_side_loads_and_printed_landings_are_compared_where_the_aircraft_has_them():
    found = asked(has_lateral=True, has_landing_table=True)
    side, landing = found["loading.lateral", ""], found["performance.landing_distance", ""]
    assert (side.of, side.upper, side.lower, side.limits) == (
        "lateral center of gravity",
        "cg_most_right_m",
        "cg_most_left_m",
        "lateral_limits",
    )
    assert (landing.of, landing.upper, landing.limits) == ("landing distance", "landing_distance_m", "limits:landing")
    assert {id for id, _ in asked()} & {"loading.lateral", "performance.landing_distance"} == set()


def test_every_place_that_has_a_limit_and_every_weighing_of_those_aboard_is_compared():
    found = asked(groups=[("front",), ("rear", "locker")], aboard=["ann", "bo"])
    one, both = found["loading.load", "front"], found["loading.load", "rear+locker"]
    assert (one.of, one.upper, one.limits) == ("load", "group_kg:front", "limits:load:front")
    assert (both.of, both.upper, both.limits) == ("load", "group_kg:rear+locker", "limits:load:rear+locker")
    ages = {about: each.upper for (id, about), each in found.items() if id == "loading.weighing"}
    assert ages == {"ann": "weighing_age_days:ann", "bo": "weighing_age_days:bo"}


def test_the_age_of_the_stick_reading_counts_only_where_there_is_one():
    both = checks.agings(("gauge", "stick"))
    assert [(each.id, each.of, each.age) for each in both] == [
        ("weather.observation_age", "age of observation", "observation_age_h"),
        ("fuel.stick_age", "age of stick reading", "stick_age_h"),
    ]
    assert checks.agings(("gauge",)) == both[:1]


def test_these_are_the_checks_that_compare_no_number():
    assert [each.id for each in checks.CHECKS] == [
        "clock.order",
        "aircraft.verified",
        "weather.reports_read",
        "weather.phenomena",
        "performance.surface",
        "acts.planned",
    ]


# --- reports ----------------------------------------------------------------------------------------------------------


def test_a_group_that_could_not_be_read_leaves_what_it_may_have_carried_unknown():
    unread = (
        ("METAR 1", "9//KT", frozenset({"wind", "gust"})),
        ("METAR 1", "XYZ", frozenset()),
        ("TAF", "Q", frozenset({"wind"})),
    )
    found = checks.reports_read.judge(unread)
    assert (found.verdict, found.why) == (Verdict.UNKNOWN, "unread")
    assert found.lacking == ("weather:gust", "weather:wind")
    assert found.params["groups"] == "'9//KT' in METAR 1, 'Q' in TAF"


@pytest.mark.parametrize("unread", [(), (("METAR 1", "XYZ", frozenset()),)], ids=["all read", "nothing that counts"])
def test_a_report_that_was_read_in_all_that_counts_has_nothing_against_it(unread):
    found = checks.reports_read.judge(unread)
    assert (found.verdict, found.why, found.lacking) == (Verdict.GO, "go", ())


def test_weather_that_is_ruled_out_stops_and_is_named_with_its_report():
    codes = (("TS", "TAF"), ("RA", "METAR"), ("FZRA", "METAR"))
    found = checks.phenomena.judge(codes, frozenset({"TS", "FZRA"}))
    assert (found.verdict, found.why, found.params["met"]) == (Verdict.STOP, "stop", "TS (TAF), FZRA (METAR)")


@pytest.mark.parametrize("codes", [None, (), (("RA", "METAR"),)], ids=["no codes", "none", "another"])
def test_weather_that_nobody_rules_out_does_not_stop(codes):
    found = checks.phenomena.judge(codes, frozenset({"TS", "FZRA"}))
    assert (found.verdict, found.params["avoided"]) == (Verdict.GO, "FZRA, TS")


# --- surface and file -------------------------------------------------------------------------------------------------


def test_a_surface_that_the_manual_does_not_name_stops():
    found = checks.surface.judge(frozenset({"dry asphalt", "dry grass"}), "wet grass", MANUAL)
    assert (found.verdict, found.why, found.source) == (Verdict.STOP, "stop", MANUAL)
    assert found.params == {"surface": "wet grass", "approved": "dry asphalt, dry grass"}
    assert checks.surface.judge(frozenset(), "dry asphalt", MANUAL).verdict is Verdict.STOP


def test_a_surface_that_the_manual_names_passes():
    found = checks.surface.judge(frozenset({"dry asphalt", "dry grass"}), "dry grass", MANUAL)
    assert (found.verdict, found.why, found.source) == (Verdict.GO, "go", MANUAL)


def test_a_file_that_nobody_checked_against_the_manual_is_for_a_person_to_judge():
    found = checks.verified.judge("", MANUAL)
    assert (found.verdict, found.why, found.source) == (Verdict.JUDGE, "unverified", MANUAL)
    found = checks.verified.judge("I2", MANUAL)
    assert (found.verdict, found.source, found.params) == (Verdict.GO, MANUAL, {"by": "I2"})


# --- acts still to come -----------------------------------------------------------------------------------------------

BALLAST = Fact("load_kg:ballast", 10.0, typed="10 kg", by="S1")
FUEL = Fact("planned_fuel", 40.0, typed="40 L")


def test_what_is_planned_before_a_later_start_is_a_condition_of_its_owner_until_then():
    found = checks.planned.judge((BALLAST, FUEL), DEPART - timedelta(minutes=1), DEPART, "I1")
    assert (found.verdict, found.why) == (Verdict.GO_IF, "go_if")
    assert found.conditions == (
        Condition("acts.load_kg", "S1", DEPART, {"typed": "10 kg", "place": "ballast"}),
        Condition("acts.planned_fuel", "I1", DEPART, {"typed": "40 L", "place": ""}),
    )
    assert found.params == {"todo": "ballast 10 kg, fuel 40 L"}


@pytest.mark.parametrize("late_min", [0, 1])
def test_what_is_not_done_at_the_start_stops(late_min):
    found = checks.planned.judge((BALLAST,), DEPART + timedelta(minutes=late_min), DEPART, "I1")
    assert (found.verdict, found.why, len(found.conditions)) == (Verdict.STOP, "stop", 1)
    assert found.params == {"todo": "ballast 10 kg"}


def test_a_flight_on_which_nothing_is_still_to_come_is_not_asked_about_it():
    assert checks.planned.judge((), DEPART, DEPART, "I1") is None


# --- the clock --------------------------------------------------------------------------------------------------------


def test_a_clock_behind_the_newest_fact_is_not_believed():
    newest = ("observation", DEPART)
    found = checks.clock.judge(DEPART - timedelta(seconds=1), newest, "")
    assert (found.verdict, found.why, found.lacking) == (Verdict.UNKNOWN, "behind", ("clock",))
    assert found.params["newest"] == "observation"
    assert found.params["newest_at"] == DEPART
    assert found.params["asked_at"] == DEPART - timedelta(seconds=1)


def test_a_clock_that_jumped_unexplained_is_not_believed():
    found = checks.clock.judge(DEPART, ("observation", DEPART), "it went back 3 h")
    assert (found.verdict, found.why, found.lacking) == (Verdict.UNKNOWN, "jumped", ("clock",))
    assert found.params["doubt"] == "it went back 3 h"


def test_a_clock_at_the_newest_fact_is_believed():
    found = checks.clock.judge(DEPART, ("observation", DEPART), "")
    assert (found.verdict, found.why, found.lacking) == (Verdict.GO, "go", ())
