"""How the numbers of a flight follow from its facts: the rooms' formulas, wired to the names on the sheet.

Functions here only pick and pass on; what is computed lives in the rooms. The wiring depends on what the aircraft has
(its stations, the axes of its tables) and on how the house counts.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace
from datetime import date, datetime
from functools import lru_cache
from typing import Any

from gyrewright.air import atmosphere, daylight, humidity, weather
from gyrewright.air.course import largest, minutes, smallest
from gyrewright.air.field import Runway
from gyrewright.air.wind import magnetic_to_true_deg
from gyrewright.aircraft import fuel, loading, performance, tables
from gyrewright.aircraft.definition import TABLES, Definition, Printed
from gyrewright.aircraft.envelope import Envelope, limits_at
from gyrewright.arrays import Num, greatest, least
from gyrewright.finding import Limit, Sense, Source, Whose
from gyrewright.limits import QUANTITIES
from gyrewright.sheet import Partial, Recipe, recipe

HOURS_OF_DAY = 24.0

AXIS_VALUES = {
    "mass": "take_off_mass_kg",
    "pressure altitude": "pressure_altitude_m",
    "density altitude": "density_altitude_m",
    "air temperature": "hottest_at_take_off_k",
}
"""Which number of the sheet meets which axis of a printed table."""


# --- limits -----------------------------------------------------------------------------------------------------------


def applicable(
    all_limits: tuple[Limit, ...], purpose: str, aboard_count: int, lesson: str, configuration: frozenset[str]
) -> dict[str, tuple[Limit, ...]]:
    """Return the limits that this flight meets, by the quantity they are on."""
    found: dict[str, list[Limit]] = {}
    for limit in all_limits:
        if limit.when.holds(purpose=purpose, aboard=aboard_count, lesson=lesson, configuration=configuration):
            found.setdefault(limit.of, []).append(limit)
    return {of: tuple(limits) for of, limits in found.items()}


def limit_recipes(groups: Iterable[tuple[str, ...]]) -> Iterator[Recipe]:
    """Yield a recipe for the limits on each quantity, and for each group of stations on which loads are limited."""
    yield recipe(applicable)
    for of in QUANTITIES:
        yield Recipe(f"limits:{of}", ("applicable",), lambda found, of=of: found.get(of, ()))
    for group in groups:
        yield Recipe(
            f"limits:load:{'+'.join(group)}",
            ("applicable",),
            lambda found, group=group: tuple(limit for limit in found.get("load", ()) if limit.on == group),
        )


# --- time and light ---------------------------------------------------------------------------------------------------


def depart_min(depart_at: datetime) -> float:
    """Return the start as minutes since 1970."""
    return minutes(depart_at)


def land_min(depart_min: Num, block_h: Num) -> Num:
    """Return the planned engine stop as minutes since 1970."""
    return depart_min + block_h * 60.0


def last_take_off_min(depart_min: Num, land_min: Num, take_offs: str) -> Num:
    """Return the latest minute at which the flight may take off: the first, or any until it ends."""
    return land_min if take_offs == "throughout" else depart_min


@lru_cache(maxsize=64)
def sun(latitude_deg: float, longitude_deg: float, flight_on: date, zone: str) -> daylight.SunTimes:
    """Return the sun's times on the day of the flight; the flights of a day share them."""
    return daylight.sun_times(latitude_deg=latitude_deg, longitude_deg=longitude_deg, on=flight_on, zone=zone)


def before_sunset_h(sun: daylight.SunTimes, land_min: Num) -> Num:
    """Return how long before sunset the flight ends, sunset taken as the whole minute before it. [h]"""
    if sun.sun.state is daylight.SunState.NEVER_SETS or sun.sun.state is daylight.SunState.RISES_ONLY:
        return HOURS_OF_DAY
    if sun.sun.sets is None:
        return -HOURS_OF_DAY
    return (minutes(daylight.earlier_minute(sun.sun.sets)) - land_min) / 60.0


def after_sunrise_h(sun: daylight.SunTimes, depart_min: Num) -> Num:
    """Return how long after sunrise the flight starts, sunrise taken as the whole minute after it. [h]"""
    if sun.sun.state is daylight.SunState.NEVER_SETS or sun.sun.state is daylight.SunState.SETS_ONLY:
        return HOURS_OF_DAY
    if sun.sun.rises is None:
        return -HOURS_OF_DAY
    return (depart_min - minutes(daylight.later_minute(sun.sun.rises))) / 60.0


# --- weather over the flight ------------------------------------------------------------------------------------------


def runway_true_deg(runway: Runway, variation_deg: float) -> float:
    """Return the direction of the runway from true north. [deg]"""
    if runway.reference == "true":
        return runway.heading_deg
    return float(magnetic_to_true_deg(magnetic_deg=runway.heading_deg, variation_deg=variation_deg))


_WHOLE = ("depart_min", "land_min")
_TAKE_OFFS = ("depart_min", "last_take_off_min")


def weather_recipes(*, moist: bool) -> Iterator[Recipe]:
    """Yield the courses of the weather and their extremes over the flight."""
    yield recipe(runway_true_deg)
    for course in (
        weather.wind_course,
        weather.mean_wind_course,
        weather.spread_course,
        weather.visibility_course,
        weather.cloud_base_course,
        weather.temperature_course,
        weather.dew_point_course,
        weather.altimeter_course,
        weather.crosswind_course,
        weather.mean_crosswind_course,
        weather.headwind_course,
        weather.tailwind_course,
        weather.mean_tailwind_course,
    ):
        yield recipe(course)
    for name, course_name, extreme, span, dimension in (
        ("wind_m_s", "wind_course", largest, _WHOLE, "speed"),
        ("mean_wind_m_s", "mean_wind_course", largest, _WHOLE, "speed"),
        ("spread_m_s", "spread_course", largest, _WHOLE, "speed"),
        ("crosswind_m_s", "crosswind_course", largest, _WHOLE, "speed"),
        ("mean_crosswind_m_s", "mean_crosswind_course", largest, _WHOLE, "speed"),
        ("tailwind_m_s", "tailwind_course", largest, _WHOLE, "speed"),
        ("mean_tailwind_m_s", "mean_tailwind_course", largest, _WHOLE, "speed"),
        ("visibility_m", "visibility_course", smallest, _WHOLE, "length"),
        ("cloud_base_m", "cloud_base_course", smallest, _WHOLE, "length"),
        ("hottest_k", "temperature_course", largest, _WHOLE, "temperature"),
        ("coldest_k", "temperature_course", smallest, _WHOLE, "temperature"),
        ("hottest_at_take_off_k", "temperature_course", largest, _TAKE_OFFS, "temperature"),
        ("lowest_altimeter_pa", "altimeter_course", smallest, _TAKE_OFFS, "pressure"),
        ("least_headwind_m_s", "headwind_course", smallest, _TAKE_OFFS, "speed"),
        ("least_headwind_at_landing_m_s", "headwind_course", smallest, _WHOLE, "speed"),
    ):
        yield Recipe(name, (course_name, *span), extreme, dimension)
    yield recipe(pressure_altitude_m, dimension="length")
    if moist:
        yield Recipe("highest_dew_point_k", ("dew_point_course", *_TAKE_OFFS), largest, "temperature")
        yield recipe(moist_density_altitude_m, name="density_altitude_m", dimension="length")
    else:
        yield recipe(density_altitude_m, dimension="length")


def pressure_altitude_m(elevation_m: float, lowest_altimeter_pa: Num, pressure_altitude_by: str) -> Num:
    """Return the pressure altitude of the field, as the house counts it. [m]"""
    if pressure_altitude_by == "inch rule":
        return atmosphere.pressure_altitude_by_inch_rule_m(elevation_m=elevation_m, altimeter_pa=lowest_altimeter_pa)
    return atmosphere.pressure_altitude_m(elevation_m=elevation_m, altimeter_pa=lowest_altimeter_pa)


def density_altitude_m(pressure_altitude_m: Num, hottest_at_take_off_k: Num, density_altitude_by: str) -> Num:
    """Return the density altitude of the field in dry air. [m]"""
    return atmosphere.density_altitude_m(
        pressure_altitude_m=pressure_altitude_m, air_temperature_k=hottest_at_take_off_k
    )


def moist_density_altitude_m(
    pressure_altitude_m: Num, hottest_at_take_off_k: Num, highest_dew_point_k: Num, density_altitude_by: str
) -> Num:
    """Return the density altitude of the field in moist air. [m]"""
    return humidity.humid_density_altitude_m(
        pressure_altitude_m=pressure_altitude_m,
        air_temperature_k=hottest_at_take_off_k,
        dew_point_k=least(highest_dew_point_k, hottest_at_take_off_k),
    )


# --- loading and fuel -------------------------------------------------------------------------------------------------


def fuel_loaded_l(
    fuel_highest_l: Num, fuel_unusable_l: float, unusable_in_empty_mass: bool, readings_count: str
) -> Num:
    """Return the fuel that counts as load: everything aboard that the empty mass does not hold already. [L]"""
    aboard_l = fuel_highest_l if readings_count == "everything" else fuel_highest_l + fuel_unusable_l
    return fuel.loaded_fuel_l(
        aboard_l=aboard_l, unusable_l=fuel_unusable_l, unusable_in_empty_mass=unusable_in_empty_mass
    )


def fuel_usable_aboard_l(fuel_lowest_l: Num, fuel_unusable_l: float, readings_count: str) -> Num:
    """Return the fuel that the engine can reach, by the lower reading. [L]"""
    if readings_count == "usable":
        return fuel_lowest_l
    return fuel.usable_fuel_l(aboard_l=fuel_lowest_l, unusable_l=fuel_unusable_l)


def fuel_mass_kg(fuel_loaded_l: Num, fuel_density_kg_per_l: float) -> Num:
    """Return the mass of the fuel that counts as load. [kg]"""
    return fuel.fuel_mass_kg(volume_l=fuel_loaded_l, density_kg_per_l=fuel_density_kg_per_l)


def end_fuel_kg(
    burn_path_ends_at: str, fuel_unusable_l: float, unusable_in_empty_mass: bool, fuel_density_kg_per_l: float
) -> float:
    """Return the fuel that counts as load where the burn path ends. [kg]"""
    if burn_path_ends_at == "empty tank" or unusable_in_empty_mass:
        return 0.0
    return fuel_unusable_l * fuel_density_kg_per_l


def take_off_mass_kg(zero_fuel_mass_kg: Num, fuel_mass_kg: Num) -> Num:
    """Return the mass at take-off. [kg]"""
    return zero_fuel_mass_kg + fuel_mass_kg


def landing_mass_kg(take_off_mass_kg: Num, trip_l: Num, fuel_density_kg_per_l: float, take_offs: str) -> Num:
    """Return the mass at the heaviest landing: right after the first take-off of a circuit, else at the end. [kg]"""
    if take_offs == "throughout":
        return take_off_mass_kg
    return take_off_mass_kg - trip_l * fuel_density_kg_per_l


def trip_l(burn_l_per_h: float, block_h: Num) -> Num:
    """Return the fuel that the flight burns. [L]"""
    return fuel.fuel_burned_l(burn_l_per_h=burn_l_per_h, flight_h=block_h)


def fuel_limits(
    stack: tuple[Limit, ...], trip_l: Num, burn_l_per_h: float, fuel_unusable_l: float, readings_count: str
) -> tuple[Limit, ...]:
    """Return the limits on the reserve as litres that a reading must show at the start. [L]"""
    unusable_l = fuel_unusable_l if readings_count == "everything" else 0.0
    return tuple(
        limit if limit.value is None else replace(limit, value=trip_l + burn_l_per_h * limit.value + unusable_l)
        for limit in stack
    )


def fuel_capacity_limits(
    fuel_usable_l: float, fuel_unusable_l: float, readings_count: str, manual: Source, verified_by: str
) -> tuple[Limit, ...]:
    """Return what the tank holds, as a reading would show it. [L]"""
    most_l = fuel_usable_l + (fuel_unusable_l if readings_count == "everything" else 0.0)
    return (Limit("fuel", Whose.MAKER, Sense.AT_MOST, most_l, source=manual, verified_by=verified_by),)


def fuel_apart_l(fuel_lowest_l: Num, fuel_highest_l: Num) -> Num:
    """Return how far the readings of the tank are apart. [L]"""
    return fuel_highest_l - fuel_lowest_l


def cg_path(
    zero_fuel_mass_kg: Num,
    zero_fuel_moment_kg_m: Num,
    fuel_arm_m: float,
    fuel_mass_kg: Num,
    end_fuel_kg: float,
    envelope: Envelope,
) -> loading.BurnPath:
    """Return the way of the center of gravity from take-off until the fuel is gone."""
    return loading.burn_path(
        loading.Load(zero_fuel_mass_kg, zero_fuel_moment_kg_m),
        fuel_arm_m=fuel_arm_m,
        take_off_fuel_kg=fuel_mass_kg,
        end_fuel_kg=end_fuel_kg,
        envelope=envelope,
    )


def cg_most_forward_m(cg_path: loading.BurnPath, envelope: Envelope) -> Partial:
    """Return the center of gravity where it comes nearest to its forward limit. [m]"""
    forward, _ = limits_at(envelope, cg_path.forward_mass_kg)
    return Partial(forward + cg_path.forward_margin_m, cg_path.covered, "envelope_at_this_mass")


def cg_most_aft_m(cg_path: loading.BurnPath, envelope: Envelope) -> Partial:
    """Return the center of gravity where it comes nearest to its aft limit. [m]"""
    _, aft = limits_at(envelope, cg_path.aft_mass_kg)
    return Partial(aft - cg_path.aft_margin_m, cg_path.covered, "envelope_at_this_mass")


def cg_limits(
    cg_path: loading.BurnPath, envelope: Envelope, envelope_source: Source, verified_by: str
) -> tuple[Limit, ...]:
    """Return the limits of the center of gravity, each where the path comes nearest to it. [m]"""
    forward, _ = limits_at(envelope, cg_path.forward_mass_kg)
    _, aft = limits_at(envelope, cg_path.aft_mass_kg)
    common: dict[str, Any] = {"source": envelope_source, "verified_by": verified_by}
    return (
        Limit("center of gravity", Whose.MAKER, Sense.AT_LEAST, forward, scope="forward", **common),
        Limit("center of gravity", Whose.MAKER, Sense.AT_MOST, aft, scope="aft", **common),
    )


def lateral_path(
    zero_fuel_mass_kg: Num,
    zero_fuel_lateral_moment_kg_m: Num,
    fuel_lateral_arm_m: float,
    fuel_mass_kg: Num,
    end_fuel_kg: float,
    lateral_envelope: Envelope,
) -> loading.BurnPath:
    """Return the way of the center of gravity across, for seats side by side."""
    return loading.burn_path(
        loading.Load(zero_fuel_mass_kg, zero_fuel_lateral_moment_kg_m),
        fuel_arm_m=fuel_lateral_arm_m,
        take_off_fuel_kg=fuel_mass_kg,
        end_fuel_kg=end_fuel_kg,
        envelope=lateral_envelope,
    )


def hang_limits(hang_least_deg: float, hang_most_deg: float, manual: Source, verified_by: str) -> tuple[Limit, ...]:
    """Return the maker's band for the hang angle, for a manual without arms. [deg]"""
    common: dict[str, Any] = {"source": manual, "verified_by": verified_by}
    return (
        Limit("hang angle", Whose.MAKER, Sense.AT_LEAST, hang_least_deg, **common),
        Limit("hang angle", Whose.MAKER, Sense.AT_MOST, hang_most_deg, **common),
    )


def lateral_recipes(stations: tuple[str, ...]) -> Iterator[Recipe]:
    """Yield the balance across of an aircraft whose manual limits it."""
    loads = tuple(f"load_kg:{id}" for id in stations)
    arms = tuple(f"lateral_arm_m:{id}" for id in stations)
    across = ("empty_mass_kg", "empty_lateral_arm_m", *loads, *arms)
    yield Recipe("zero_fuel_lateral_moment_kg_m", across, _moment, "moment")
    yield recipe(lateral_path)
    path = {"cg_path": "lateral_path", "envelope": "lateral_envelope"}
    yield recipe(cg_most_forward_m, name="cg_most_left_m", dimension="arm", **path)
    yield recipe(cg_most_aft_m, name="cg_most_right_m", dimension="arm", **path)
    yield recipe(cg_limits, name="lateral_limits", **path)


def loading_recipes(
    stations: tuple[str, ...], readings: tuple[str, ...], groups: Iterable[tuple[str, ...]]
) -> Iterator[Recipe]:
    """Yield the masses, the fuel and the way of the center of gravity for this aircraft's stations."""
    loads = tuple(f"load_kg:{id}" for id in stations)
    arms = tuple(f"arm_m:{id}" for id in stations)
    yield Recipe("zero_fuel_mass_kg", ("empty_mass_kg", *loads), lambda *masses: sum(masses[1:], masses[0]), "mass")
    yield Recipe("zero_fuel_moment_kg_m", ("empty_mass_kg", "empty_arm_m", *loads, *arms), _moment, "moment")
    for group in groups:
        yield Recipe(f"group_kg:{'+'.join(group)}", tuple(f"load_kg:{id}" for id in group), _sum, "mass")
    # Where the house does not say which readings count, that is the fact that is missing.
    tank = tuple(f"fuel_{reading}_l" for reading in readings) or ("fuel_readings",)
    yield Recipe("fuel_lowest_l", tank, least, "volume")
    yield Recipe("fuel_highest_l", tank, greatest, "volume")
    for function, dimension in (
        (fuel_loaded_l, "volume"),
        (fuel_usable_aboard_l, "volume"),
        (fuel_mass_kg, "mass"),
        (end_fuel_kg, "mass"),
        (take_off_mass_kg, "mass"),
        (landing_mass_kg, "mass"),
        (trip_l, "volume"),
        (fuel_apart_l, "volume"),
        (cg_path, ""),
        (cg_most_forward_m, "arm"),
        (cg_most_aft_m, "arm"),
        (cg_limits, ""),
    ):
        yield recipe(function, dimension=dimension)
    yield recipe(fuel_limits, name="limits:fuel", stack="limits:reserve")
    yield recipe(fuel_capacity_limits, name="limits:fuel capacity")
    yield recipe(hang_limits, name="limits:hang")


def _sum(*masses: Num) -> Num:
    return sum(masses[1:], masses[0])


def _moment(empty_kg: Num, empty_m: float, *loads_then_arms: Any) -> Num:
    half = len(loads_then_arms) // 2
    pairs = zip(loads_then_arms[:half], loads_then_arms[half:], strict=True)
    return loading.total([(empty_kg, empty_m), *pairs]).moment_kg_m


# --- take-off, climb, landing -----------------------------------------------------------------------------------------


def surface_word(runway: Runway, runway_state: str) -> str:
    """Return the surface as manuals name it: the kind of runway and its state today."""
    if runway.surface == "hard":
        return "hard" if runway_state == "dry" else f"{runway_state} hard"
    return f"{runway_state} grass"


def distance_limits(stack: tuple[Limit, ...], runway_length_m: Num, runway_source: Source) -> tuple[Limit, ...]:
    """Return the runway, and the factors that must fit into it, as the longest distance each allows. [m]"""
    whole = Limit(
        "take-off distance", Whose.PLACE, Sense.AT_MOST, runway_length_m, source=runway_source, verified_by="chart"
    )
    return (
        whole,
        *(limit if limit.value is None else replace(limit, value=runway_length_m / limit.value) for limit in stack),
    )


def _looked_up(table: tables.Table, *coordinates: Num) -> Partial:
    value, inside = tables.lookup(table, *coordinates)
    return Partial(value, inside, "table_there")


def _corrected(
    printed_m: Num,
    corrections: performance.Corrections,
    headwind_m_s: Num,
    surface: str,
    slope_ratio: Num,
) -> Partial:
    distance_m, has_data = performance.corrected_distance(
        table_distance_m=printed_m,
        corrections=corrections,
        headwind_m_s=headwind_m_s,
        surface=surface,
        adverse_slope_ratio=slope_ratio,
    )
    return Partial(distance_m, has_data, "table_there")


def performance_recipes(axes: tuple[tuple[str, tuple[str, ...]], ...]) -> Iterator[Recipe]:
    """Yield what the manual's tables say of this take-off, climb and landing."""
    yield recipe(surface_word)
    yield recipe(distance_limits, name="limits:distance", stack="limits:take-off distance")
    yield recipe(distance_limits, name="limits:landing", stack="limits:landing distance")
    yield Recipe("landing_slope_ratio", ("slope_ratio",), lambda slope: -slope, "share")
    take_off = ("corrections", "least_headwind_m_s", "surface_word", "slope_ratio")
    landing = ("landing_corrections", "least_headwind_at_landing_m_s", "surface_word", "landing_slope_ratio")
    for name, axis_names in axes:
        along = tuple(AXIS_VALUES[axis] for axis in axis_names)
        dimension = TABLES[name]
        printed = "climb_m_s" if name == "climb" else f"printed_{name}_m"
        yield Recipe(printed, (f"table:{name}", *along), _looked_up, dimension)
        if name != "climb":
            corrected = landing if name == "landing_distance" else take_off
            yield Recipe(f"{name}_m", (printed, *corrected), _corrected, dimension)


def table_ends(definition: Definition, axis_name: str, *, upper: bool) -> tuple[Limit, ...]:
    """Return where the tables that decide end along an axis; nothing is extrapolated beyond it."""
    limits = []
    for name in ("take_off_distance", "climb", "landing_distance"):
        printed: Printed = definition.table(name)
        for axis in printed.table.axes if printed.table else ():
            if axis.name == axis_name and (upper or axis.below == "no data"):
                limits.append(
                    Limit(
                        f"end of table {name}",
                        Whose.MAKER,
                        Sense.AT_MOST if upper else Sense.AT_LEAST,
                        axis.points[-1] if upper else axis.points[0],
                        source=replace(definition.manual, section=printed.page),
                        verified_by=definition.verified_by,
                        scope=name,
                    )
                )
    return tuple(limits)
