"""How much fuel a flight needs, how long what is aboard will last, and what it weighs.

Volumes in liters, consumption in liters an hour, lengths of flight in hours, reserves and endurance in minutes.
"""

from __future__ import annotations

from dataclasses import dataclass

from gyrewright.arrays import Num, Truth, at_most, greatest, least

MIN_PER_H = 60.0


@dataclass(frozen=True, slots=True)
class FuelNeed:
    """Fuel needed at take-off, part by part. [L]"""

    trip_l: Num
    reserve_l: Num
    unusable_l: Num
    total_l: Num


@dataclass(frozen=True, slots=True)
class FuelReadings:
    """Two readings of one tank, each used on its careful side. [L]"""

    for_endurance_l: Num
    for_mass_l: Num
    apart_l: Num


def fuel_mass_kg(*, volume_l: Num, density_kg_per_l: Num) -> Num:
    """Return the mass of a volume of fuel. [kg]"""
    return volume_l * density_kg_per_l


def fuel_volume_l(*, mass_kg: Num, density_kg_per_l: Num) -> Num:
    """Return the volume of a mass of fuel. [L]"""
    return mass_kg / density_kg_per_l


def fuel_burned_l(*, burn_l_per_h: Num, flight_h: Num) -> Num:
    """Return the fuel burned in a flight at the planned consumption. [L]"""
    return burn_l_per_h * flight_h


def fuel_needed(*, burn_l_per_h: Num, flight_h: Num, reserve_min: Num, unusable_l: Num) -> FuelNeed:
    """Return the fuel needed aboard at take-off: flight, reserve and what the engine cannot reach. [L]

    Args:
        burn_l_per_h: Planned consumption. [L/h]
        flight_h: Planned length of the flight. [h]
        reserve_min: Reserve asked for at that consumption. [min]
        unusable_l: Unusable fuel if `aboard` is meant to include it; zero if only usable fuel is spoken of. [L]
    """
    trip_l = fuel_burned_l(burn_l_per_h=burn_l_per_h, flight_h=flight_h)
    reserve_l = fuel_burned_l(burn_l_per_h=burn_l_per_h, flight_h=reserve_min / MIN_PER_H)
    return FuelNeed(trip_l, reserve_l, unusable_l, trip_l + reserve_l + unusable_l)


def usable_fuel_l(*, aboard_l: Num, unusable_l: Num) -> Num:
    """Return what the engine can reach of the fuel aboard, never less than nothing. [L]"""
    return greatest(aboard_l - unusable_l, 0.0)


def endurance_min(*, usable_l: Num, burn_l_per_h: Num) -> Num:
    """Return how long usable fuel lasts at the planned consumption. [min]"""
    return usable_l / burn_l_per_h * MIN_PER_H


def reserve_left_min(*, usable_l: Num, burn_l_per_h: Num, flight_h: Num) -> Num:
    """Return the minutes of fuel left at landing; negative when the fuel ends before the flight. [min]"""
    return endurance_min(usable_l=usable_l, burn_l_per_h=burn_l_per_h) - flight_h * MIN_PER_H


def longest_flight_h(*, usable_l: Num, burn_l_per_h: Num, reserve_min: Num) -> Num:
    """Return the longest flight after which the reserve is still there; negative where there is none. [h]"""
    return (endurance_min(usable_l=usable_l, burn_l_per_h=burn_l_per_h) - reserve_min) / MIN_PER_H


def loaded_fuel_l(*, aboard_l: Num, unusable_l: Num, unusable_in_empty_mass: bool) -> Num:
    """Return the fuel to load into the mass sum, so that unusable fuel is counted once. [L]

    Args:
        aboard_l: All fuel in the tank. [L]
        unusable_l: The part of it that the engine cannot reach. [L]
        unusable_in_empty_mass: Whether the weighing record's empty mass holds the unusable fuel already.
    """
    return usable_fuel_l(aboard_l=aboard_l, unusable_l=unusable_l) if unusable_in_empty_mass else aboard_l


def fuel_readings(*, gauge_l: Num, stick_l: Num) -> FuelReadings:
    """Return the lower reading for endurance, the higher for mass, and how far they are apart. [L]

    Source: common practice; how far apart is too far is the house's number.
    """
    lower, higher = least(gauge_l, stick_l), greatest(gauge_l, stick_l)
    return FuelReadings(lower, higher, higher - lower)


def readings_agree(readings: FuelReadings, *, most_apart_l: float) -> Truth:
    """Return whether two readings of one tank are no further apart than the house allows; equality agrees."""
    return at_most(readings.apart_l, most_apart_l)
