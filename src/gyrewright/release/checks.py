"""Every check that is made on a flight, room by room: the registry that decide, ways, bench and docs share."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from datetime import datetime

from gyrewright.check import Aging, Check, Comparison, check, compare
from gyrewright.fact import Fact
from gyrewright.finding import Condition, Finding, Source, Verdict, Whose

_MAKER = (Whose.MAKER,)


def comparisons(
    groups: Iterable[tuple[str, ...]],
    aboard: Iterable[str],
    *,
    has_arms: bool,
    has_lateral: bool,
    has_landing_table: bool,
) -> Iterator[Comparison]:
    """Yield every comparison of a number with limits that this aircraft and this crew call for."""
    yield compare("loading.take_off_mass", "take-off mass", "take_off_mass_kg", "mass", needed=_MAKER)
    yield compare("loading.landing_mass", "landing mass", "landing_mass_kg", "mass")
    for group in groups:
        name = "+".join(group)
        yield compare("loading.load", "load", f"group_kg:{name}", "mass", limits=f"limits:load:{name}", about=name)
    if not has_arms:
        yield compare("loading.hang_full", "hang angle", "hang_measured_full_deg", "angle", limits="limits:hang")
        yield compare("loading.hang_empty", "hang angle", "hang_measured_empty_deg", "angle", limits="limits:hang")
    else:
        yield compare(
            "loading.cg", "center of gravity", "cg_most_aft_m", "arm", lower="cg_most_forward_m", limits="cg_limits"
        )
    if has_lateral:
        yield compare(
            "loading.lateral",
            "lateral center of gravity",
            "cg_most_right_m",
            "arm",
            lower="cg_most_left_m",
            limits="lateral_limits",
        )
    yield compare("fuel.enough", "reserve", "fuel_lowest_l", "volume", limits="limits:fuel", needed=(Whose.HOUSE,))
    yield compare("fuel.capacity", "fuel", "fuel_highest_l", "volume", limits="limits:fuel capacity")
    yield compare("fuel.readings_agree", "gauge and stick apart", "fuel_apart_l", "volume")
    yield compare(
        "performance.take_off_distance", "take-off distance", "take_off_distance_m", "length", limits="limits:distance"
    )
    yield compare("performance.climb", "climb", "climb_m_s", "climb")
    if has_landing_table:
        yield compare(
            "performance.landing_distance", "landing distance", "landing_distance_m", "length", limits="limits:landing"
        )
    for axis, value, dimension in (
        ("mass", "take_off_mass_kg", "mass"),
        ("pressure altitude", "pressure_altitude_m", "length"),
        ("density altitude", "density_altitude_m", "length"),
        ("air temperature", "hottest_at_take_off_k", "temperature"),
    ):
        yield compare(
            "performance.table_ends",
            f"end of table {axis}",
            value,
            dimension,
            limits=f"limits:table {axis}",
            about=axis,
        )
    yield compare(
        "wind.total",
        "wind",
        "wind_m_s",
        "speed",
        mean="mean_wind_m_s",
        course="wind_course",
        mean_course="mean_wind_course",
        needed=_MAKER,
    )
    yield compare("wind.spread", "gust spread", "spread_m_s", "speed", course="spread_course", needed=_MAKER)
    yield compare(
        "wind.crosswind",
        "crosswind",
        "crosswind_m_s",
        "speed",
        mean="mean_crosswind_m_s",
        course="crosswind_course",
        mean_course="mean_crosswind_course",
        needed=_MAKER,
    )
    yield compare(
        "wind.tailwind",
        "tailwind",
        "tailwind_m_s",
        "speed",
        mean="mean_tailwind_m_s",
        course="tailwind_course",
        mean_course="mean_tailwind_course",
        needed=_MAKER,
    )
    yield compare(
        "weather.temperature",
        "air temperature",
        "hottest_k",
        "temperature",
        lower="coldest_k",
        course="temperature_course",
        needed=_MAKER,
    )
    yield compare("weather.visibility", "visibility", "visibility_m", "length", course="visibility_course")
    yield compare("weather.cloud_base", "cloud base", "cloud_base_m", "length", course="cloud_base_course")
    yield compare("weather.density_altitude", "density altitude", "density_altitude_m", "length")
    yield compare("weather.pressure_altitude", "pressure altitude", "pressure_altitude_m", "length", needed=_MAKER)
    yield compare("light.before_sunset", "before sunset", "before_sunset_h", "time", needed=_MAKER)
    yield compare("light.after_sunrise", "after sunrise", "after_sunrise_h", "time", needed=_MAKER)
    for person in aboard:
        age = f"weighing_age_days:{person}"
        yield compare("loading.weighing", "age of weighing", age, "days", about=person, beyond=Verdict.UNKNOWN)


def agings(readings: tuple[str, ...]) -> tuple[Aging, ...]:
    """Return the readings whose age counts: a tank that is only planned yet has no stick reading."""
    weather = Aging("weather.observation_age", "age of observation", "observation_age_h")
    stick = Aging("fuel.stick_age", "age of stick reading", "stick_age_h")
    return (weather, stick) if "stick" in readings else (weather,)


# --- everything else that is not a number against a limit -------------------------------------------------------------


@check("weather.reports_read")
def reports_read(unread: tuple[tuple[str, str, frozenset[str]], ...]) -> Finding:
    """Say whether every group of every report was read; what could not be is named with what it may have carried."""
    serious = [each for each in unread if each[2]]
    if serious:
        names = tuple(f"weather:{fact}" for fact in sorted(frozenset[str]().union(*(each[2] for each in serious))))
        groups = ", ".join(f"{group!r} in {report}" for report, group, _ in serious)
        return Finding("weather.reports_read", Verdict.UNKNOWN, "unread", lacking=names, params={"groups": groups})
    return Finding("weather.reports_read", Verdict.GO, "go")


@check("weather.phenomena")
def phenomena(weather_codes: tuple[tuple[str, str], ...] | None, avoided_weather: frozenset[str]) -> Finding:
    """Say whether a report that counts for this flight carries weather that maker or house rules out."""
    met = [(code, by) for code, by in weather_codes or () if code in avoided_weather]
    if met:
        said = ", ".join(f"{code} ({by})" for code, by in met)
        return Finding("weather.phenomena", Verdict.STOP, "stop", params={"met": said})
    return Finding("weather.phenomena", Verdict.GO, "go", params={"avoided": ", ".join(sorted(avoided_weather))})


@check("performance.surface")
def surface(approved_surfaces: frozenset[str], surface_word: str, manual: Source) -> Finding:
    """Say whether the manual approves the surface in its state of today."""
    params = {"surface": surface_word, "approved": ", ".join(sorted(approved_surfaces))}
    if surface_word in approved_surfaces:
        return Finding("performance.surface", Verdict.GO, "go", source=manual, params=params)
    return Finding("performance.surface", Verdict.STOP, "stop", source=manual, params=params)


@check("aircraft.verified")
def verified(manual_verified_by: str, manual: Source) -> Finding:
    """Say whether a second person checked the aircraft's file against the manual."""
    if manual_verified_by:
        return Finding("aircraft.verified", Verdict.GO, "go", source=manual, params={"by": manual_verified_by})
    return Finding("aircraft.verified", Verdict.JUDGE, "unverified", source=manual)


@check("acts.planned")
def planned(planned_facts: tuple[Fact, ...], asked_at: datetime, depart_at: datetime, commander: str) -> Finding | None:
    """Turn what is only planned yet (fuel, ballast) into conditions with an owner, or into a STOP at the start."""
    if not planned_facts:
        return None
    conditions = []
    for fact in planned_facts:
        kind, _, place = fact.name.partition(":")
        act = "acts.nothing_there" if kind == "load_kg" and not fact.value else f"acts.{kind}"
        conditions.append(Condition(act, fact.by or commander, depart_at, {"typed": fact.typed, "place": place}))
    todo = ", ".join(f"{fact.name.partition(':')[2] or 'fuel'} {fact.typed}" for fact in planned_facts)
    if asked_at < depart_at:
        return Finding("acts.planned", Verdict.GO_IF, "go_if", conditions=tuple(conditions), params={"todo": todo})
    return Finding("acts.planned", Verdict.STOP, "stop", conditions=tuple(conditions), params={"todo": todo})


@check("clock.order")
def clock(asked_at: datetime, newest_fact: tuple[str, datetime], machine_clock_doubt: str) -> Finding:
    """Say whether the clock can be believed: it may not be earlier than the newest fact, nor jump unexplained."""
    name, at = newest_fact
    params = {"asked_at": asked_at, "newest": name, "newest_at": at, "doubt": machine_clock_doubt}
    if at > asked_at:
        return Finding("clock.order", Verdict.UNKNOWN, "behind", lacking=("clock",), params=params)
    if machine_clock_doubt:
        return Finding("clock.order", Verdict.UNKNOWN, "jumped", lacking=("clock",), params=params)
    return Finding("clock.order", Verdict.GO, "go", params=params)


CHECKS: tuple[Check, ...] = (
    clock,
    verified,
    reports_read,
    phenomena,
    surface,
    planned,
)
