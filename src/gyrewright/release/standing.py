"""What a law and a house ask of people, papers and the machine, as far as it follows from what the rooms know already.

The law's evaluators ask for facts by name. Some of them are numbers of this flight, some stand in the aircraft's books;
this module says which, so that nobody states twice what is written once.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from datetime import date, datetime
from functools import lru_cache
from typing import Any

from gyrewright import maintenance
from gyrewright.air import daylight
from gyrewright.arrays import Num, least
from gyrewright.finding import Limit, Verdict
from gyrewright.inspection.holding import walk
from gyrewright.sheet import Partial, Recipe, recipe

Entitled = Mapping[str, frozenset[str]]

DUES = lru_cache(maxsize=64)(maintenance.recipes.dues)


# --- the flight -------------------------------------------------------------------------------------------------------


def sunrise_at(sun: daylight.SunTimes) -> datetime | Partial:
    """Return sunrise, as the whole minute after it."""
    return _moment(sun.sun.rises, daylight.later_minute)


def sunset_at(sun: daylight.SunTimes) -> datetime | Partial:
    """Return sunset, as the whole minute before it."""
    return _moment(sun.sun.sets, daylight.earlier_minute)


def dawn_at(sun: daylight.SunTimes) -> datetime | Partial:
    """Return the beginning of morning civil twilight, as the whole minute after it."""
    return _moment(sun.civil.rises, daylight.later_minute)


def dusk_at(sun: daylight.SunTimes) -> datetime | Partial:
    """Return the end of evening civil twilight, as the whole minute before it."""
    return _moment(sun.civil.sets, daylight.earlier_minute)


def _moment(at: datetime | None, careful: Any) -> datetime | Partial:
    return Partial(None, False, "sun_that_day") if at is None else careful(at)


def least_mass_margin_kg(applicable: Mapping[str, tuple[Limit, ...]], take_off_mass_kg: Num) -> Num | Partial:
    """Return how far the take-off mass lies below the lowest limit of law and maker. [kg]"""
    limits = [limit.value for limit in applicable.get("take-off mass", ()) if limit.value is not None]
    if not limits:
        return Partial(0.0, False, "limit:maker:take-off mass")
    return least(*(value - take_off_mass_kg for value in limits))


def careful_mass_margin_kg(
    applicable: Mapping[str, tuple[Limit, ...]],
    take_off_mass_kg: Num,
    unweighed_extra_kg: Mapping[str, float],
    seated: Mapping[str, str],
    **loads: Num,
) -> Num | Partial:
    """Return the smallest margin to any limit of mass, with whoever is unweighed on the careful side of it. [kg]"""
    extra_kg = {seat: unweighed_extra_kg.get(person, 0.0) for seat, person in seated.items()}
    margins = []
    for quantity in ("take-off mass", "load"):
        for limit in applicable.get(quantity, ()):
            if limit.value is None:
                continue
            places = limit.on if quantity == "load" else tuple(extra_kg)
            mass_kg = sum(loads[place] for place in places) if quantity == "load" else take_off_mass_kg
            plain_kg = limit.value - mass_kg if limit.sense.is_upper else mass_kg - limit.value
            margins.append(plain_kg - sum(extra_kg.get(place, 0.0) for place in places))
    return least(*margins) if margins else Partial(0.0, False, "limit:maker:take-off mass")


def least_balance_margin_m(cg_path: Any) -> Num:
    """Return how far inside its limits the center of gravity stays all the way. [m]"""
    return least(cg_path.forward_margin_m, cg_path.aft_margin_m)


def least_station_margin_kg(applicable: Mapping[str, tuple[Limit, ...]], **loads: Num) -> Num | Partial:
    """Return the smallest margin of any station's load to its limits. [kg]"""
    margins = []
    for limit in applicable.get("load", ()):
        if limit.value is not None:
            load = sum(loads[station] for station in limit.on)
            margins.append(limit.value - load if limit.sense.is_upper else load - limit.value)
    return least(*margins) if margins else Partial(0.0, False, "limit:maker:load")


def aircraft_max_mass_kg(applicable: Mapping[str, tuple[Limit, ...]]) -> float | Partial:
    """Return the greatest mass that the maker allows. [kg]"""
    limits = [limit.value for limit in applicable.get("take-off mass", ()) if limit.whose == "maker" and limit.value]
    return min(limits) if limits else Partial(0.0, False, "limit:maker:take-off mass")


# --- the machine ------------------------------------------------------------------------------------------------------


def walk_round_done(
    walks: Any,
    touches: Any,
    markers: Any,
    walk_rules: Any,
    work_done: Any,
    event_locks: Any,
    entitled: Entitled,
    asked_at: datetime,
    depart_at: datetime,
    flight_on: date,
    commander: str,
) -> bool:
    """Return whether every walk-round that the house asks for holds at the start, or is still to come before it.

    One still to come is a condition of its own; the law asks no more than that it is made.
    """
    found = walk.judge(
        walks, touches, markers, walk_rules, work_done, event_locks, entitled, asked_at, depart_at, flight_on, commander
    )
    findings = found if isinstance(found, tuple) else (found,)
    return all(each is None or each.verdict <= Verdict.GO_IF for each in findings)


def standing_recipes(stations: tuple[str, ...]) -> Iterator[Recipe]:
    """Yield what the law asks for and the rooms know."""
    for function in (
        sunrise_at,
        sunset_at,
        dawn_at,
        dusk_at,
        least_mass_margin_kg,
        least_balance_margin_m,
        aircraft_max_mass_kg,
        walk_round_done,
    ):
        yield recipe(function)
    yield from maintenance.RECIPES
    yield from maintenance.LAW_RECIPES
    # Flights of a day that are asked of the same books share what is due; books are told apart by identity.
    yield recipe(DUES, name="dues")
    for name, value in (
        ("take_off_needed_m", "take_off_distance_m"),
        ("landing_needed_m", "landing_distance_m"),
        ("runway_available_m", "runway_length_m"),
    ):
        yield Recipe(name, (value,), lambda value: value, "length")
    for name in ("documents_aboard", "documents_aboard_at"):
        yield Recipe(name, (f"commander_{name}",), lambda said: said)
    loads = tuple(f"load_kg:{id}" for id in stations)
    yield Recipe(
        "careful_mass_margin_kg",
        ("applicable", "take_off_mass_kg", "unweighed_extra_kg", "seated", *loads),
        lambda limits, total_kg, extra_kg, seated, *kg: careful_mass_margin_kg(
            limits, total_kg, extra_kg, seated, **dict(zip(stations, kg, strict=True))
        ),
        "mass",
    )
    yield Recipe(
        "least_station_margin_kg",
        ("applicable", *loads),
        lambda limits, *kg: least_station_margin_kg(limits, **dict(zip(stations, kg, strict=True))),
        "mass",
    )
