"""Limits of lesser certificates: which aircraft, how high, where, how fast, with whom."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from datetime import datetime

from gyrewright.arrays import at_least, at_most
from gyrewright.rules.calendar import touches_dark
from gyrewright.rules.registry import (
    FLAG,
    TEXT,
    TEXTS,
    WHOLE,
    Found,
    Params,
    evaluator,
    measured,
    passes,
    stops,
    unknown,
)


@evaluator(
    "sport aircraft",
    stall=measured("speed"),
    seats=WHOLE,
    rotors=TEXTS,
    gears=TEXTS,
    propellers=TEXTS,
    vh=measured("speed"),
    mass=measured("mass"),
    engines=TEXTS,
    controllable=FLAG,
)
def sport_aircraft(
    *,
    stall: float,
    seats: int,
    rotors: Sequence[str],
    gears: Sequence[str],
    propellers: Sequence[str],
    vh: float | None = None,
    mass: float | None = None,
    engines: Sequence[str] = (),
    controllable: bool | None = None,
    aircraft_vs1_m_s: float,
    aircraft_seats: int,
    aircraft_pressurized: bool,
    aircraft_rotor: str,
    aircraft_gear: str,
    aircraft_propeller: str,
    aircraft_vh_m_s: float | None = None,
    aircraft_max_mass_kg: float | None = None,
    aircraft_engine: str | None = None,
    aircraft_controllable_without_power: bool | None = None,
) -> Found:
    """Return whether an aircraft is one that a sport pilot may fly by the text of the day."""
    asked = (
        ("aircraft_vh_m_s", vh is not None and aircraft_vh_m_s is None),
        ("aircraft_max_mass_kg", mass is not None and aircraft_max_mass_kg is None),
        ("aircraft_engine", bool(engines) and aircraft_engine is None),
        ("aircraft_controllable_without_power", bool(controllable) and aircraft_controllable_without_power is None),
    )
    broken = [
        why
        for why, holds in (
            ("slow speed", at_most(aircraft_vs1_m_s, stall)),
            ("seats", aircraft_seats <= seats),
            ("pressurized cabin", not aircraft_pressurized),
            ("rotor", aircraft_rotor in rotors),
            ("landing gear", aircraft_gear in gears),
            ("propeller", aircraft_propeller in propellers),
            ("top speed", vh is None or aircraft_vh_m_s is None or at_most(aircraft_vh_m_s, vh)),
            ("mass", mass is None or aircraft_max_mass_kg is None or at_most(aircraft_max_mass_kg, mass)),
            ("engine", not engines or aircraft_engine is None or aircraft_engine in engines),
            ("control without power", not controllable or aircraft_controllable_without_power is not False),
        )
        if not holds
    ]
    if broken:
        return stops(broken=tuple(broken), count=len(broken))
    lacking = [name for name, lacks in asked if lacks]
    return unknown(*lacking) if lacking else passes()


@evaluator("passengers", most=WHOLE)
def passengers(*, most: int, passenger_count: int) -> Found:
    """Return whether no more passengers are aboard than the certificate allows."""
    params: Params = {"passengers": passenger_count, "most": most}
    return passes(**params) if passenger_count <= most else stops(**params)


@evaluator("not for gain", least_share=measured("share"))
def not_for_gain(
    *,
    least_share: float,
    flight_for_hire: bool,
    flight_in_business: bool,
    commander_cost_share_ratio: float | None = None,
    passenger_count: int,
) -> Found:
    """Return whether the flight is neither for hire nor in business, and costs are shared as allowed."""
    if flight_for_hire:
        return stops("hire")
    if flight_in_business:
        return stops("business")
    if passenger_count == 0:
        return passes()
    if commander_cost_share_ratio is None:
        return unknown("commander_cost_share_ratio")
    params: Params = {"share_ratio": commander_cost_share_ratio, "least_ratio": least_share}
    return passes(**params) if at_least(commander_cost_share_ratio, least_share) else stops("share", **params)


@evaluator("height", above_sea=measured("length"), above_ground=measured("length"))
def height(*, above_sea: float, above_ground: float, planned_altitude_m: float, highest_ground_m: float) -> Found:
    """Return whether the planned altitude stays under the higher of a height above sea and one above the ground."""
    limit = max(above_sea, highest_ground_m + above_ground)
    params: Params = {"altitude_m": planned_altitude_m, "limit_m": limit}
    return passes(**params) if at_most(planned_altitude_m, limit) else stops(**params)


@evaluator("endorsed", endorsement=TEXT)
def endorsed(*, endorsement: str, needed: bool, held: Collection[str]) -> Found:
    """Return whether an endorsement is held where the flight needs it."""
    if not needed:
        return None
    return passes(endorsement=endorsement) if endorsement in held else stops(endorsement=endorsement)


@evaluator("endorsed for speed", endorsement=TEXT, above=measured("speed"))
def endorsed_for_speed(*, endorsement: str, above: float, aircraft_vh_m_s: float, held: Collection[str]) -> Found:
    """Return whether an endorsement is held for an aircraft whose top level speed is above a figure."""
    if at_most(aircraft_vh_m_s, above):
        return None
    params: Params = {"endorsement": endorsement, "vh_m_s": aircraft_vh_m_s, "limit_m_s": above}
    return passes(**params) if endorsement in held else stops(**params)


@evaluator("night privilege", endorsement=TEXT)
def night_privilege(
    *,
    endorsement: str = "",
    held: Collection[str],
    depart_at: datetime,
    land_at: datetime,
    dusk_at: datetime,
    dawn_at: datetime,
) -> Found:
    """Return whether the commander may fly at night: never where no endorsement opens it, else with it."""
    if not touches_dark(depart_at=depart_at, land_at=land_at, dark_from=dusk_at, light_from=dawn_at):
        return None
    if endorsement and endorsement in held:
        return passes(endorsement=endorsement)
    return stops("endorsement" if endorsement else "stop", dusk_at=dusk_at, land_at=land_at)
