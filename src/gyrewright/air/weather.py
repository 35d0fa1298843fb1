"""The weather of a flight: spells of time, each with what holds in it, from reports, forecasts and typed readings.

A spell runs from one sample to another, mostly the same one. Spells overlap where more than one thing may hold; the
courses made of them then count the worse. What a kind of report does not speak of (a temperature, in a forecast) is not
its subject; what it should have told and does not is unknown there, and stays so.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, fields, replace
from itertools import pairwise
from typing import Any

from gyrewright.air.course import Course, Piece, course, minutes
from gyrewright.air.reports import Metar, Taf, conditions_over, overridden
from gyrewright.air.reports.facts import Cloud, Conditions, Phenomenon, Relation, Visibility
from gyrewright.air.wind import Components, components, components_any_direction, components_in_sector

CLEAR_M = 20_000.0
"""Where no ceiling is reported the base counts as this high, above any limit that may be written on it."""

CODES = (
    *("MI", "PR", "BC", "DR", "BL", "SH", "TS", "FZ"),
    *("DZ", "RA", "SN", "SG", "IC", "PL", "GR", "GS", "UP"),
    *("BR", "FG", "FU", "VA", "DU", "SA", "HZ", "PY", "PO", "SQ", "FC", "SS", "DS"),
)
"""The two-letter codes of descriptors and phenomena in weather reports (WMO code table 4678)."""

ALWAYS_MIN = 1e12
"""Longer than any time that is asked about."""

FORECAST_SUBJECTS = frozenset(("wind", "visibility", "cloud", "weather"))
ALL_SUBJECTS = FORECAST_SUBJECTS | {"temperature", "dew_point", "altimeter"}


@dataclass(frozen=True, slots=True)
class Sample:
    """The weather at one time. None is unknown. A wind from anywhere has `variable`, or a sector."""

    wind_from_deg: float | None = None
    is_true: bool = True
    variable: bool = False
    sector_deg: tuple[float, float] | None = None
    wind_m_s: float | None = None
    gust_m_s: float | None = None
    visibility_m: float | None = None
    cloud_base_m: float | None = None
    air_temperature_k: float | None = None
    dew_point_k: float | None = None
    altimeter_pa: float | None = None
    phenomena: tuple[str, ...] | None = None


@dataclass(frozen=True, slots=True)
class Spell:
    """A stretch of time, what holds at its ends, who says so, and what that speaks of."""

    start_min: float
    end_min: float
    first: Sample
    last: Sample
    by: str
    subjects: frozenset[str] = ALL_SUBJECTS


Spells = tuple[Spell, ...]


def sample_of(conditions: Conditions) -> Sample:
    """Return the sample that decoded conditions give: what they lost, or call missing, is unknown."""
    wind = conditions.wind if "wind" not in conditions.lost | conditions.contradictory else None
    mean = gust = None
    if wind is not None and wind.wind_relation is Relation.EXACTLY:
        mean = wind.wind_m_s
        if not wind.gust_is_missing and wind.gust_relation is Relation.EXACTLY:
            gust = wind.gust_m_s if wind.gust_m_s is not None else mean
    sector = None
    if wind is not None and wind.sector_from_true_deg is not None and wind.sector_to_true_deg is not None:
        sector = (wind.sector_from_true_deg, wind.sector_to_true_deg)
    return Sample(
        wind_from_deg=wind.wind_from_true_deg if wind else None,
        variable=bool(wind and wind.wind_is_variable),
        sector_deg=sector,
        wind_m_s=mean,
        gust_m_s=gust,
        visibility_m=_visibility_m(conditions.visibility),
        cloud_base_m=_base_m(conditions.cloud),
        air_temperature_k=conditions.temperature.air_temperature_k if conditions.temperature else None,
        dew_point_k=conditions.dew_point.dew_point_k if conditions.dew_point else None,
        altimeter_pa=conditions.altimeter.altimeter_pa if conditions.altimeter else None,
        phenomena=_codes(conditions.weather),
    )


_DIRECTION = ("wind_from_deg", "is_true", "variable", "sector_deg")


def agreed(samples: Sequence[Sample]) -> Sample:
    """Return what samples of one time agree on; where two of them differ nothing is known."""
    first = samples[0]
    unlike = {
        each.name for each in fields(Sample) if any(getattr(s, each.name) != getattr(first, each.name) for s in samples)
    }
    changes: dict[str, Any] = dict.fromkeys(unlike)
    if not unlike.isdisjoint(_DIRECTION):
        changes |= {"wind_from_deg": None, "is_true": True, "variable": False, "sector_deg": None}
    return replace(first, **changes)


def _visibility_m(visibility: Visibility | None) -> float | None:
    """Return the lowest visibility in any direction; "less than" says nothing about how little."""
    if visibility is None or visibility.relation is Relation.LESS_THAN:
        return None
    return min([visibility.visibility_m, *(each.visibility_m for each in visibility.directional)])


def _base_m(cloud: Cloud | None) -> float | None:
    """Return the height of the ceiling, or the height below which there is none where a report reaches no further."""
    if cloud is None or cloud.has_ceiling:
        return cloud.ceiling_m if cloud else None
    if cloud.no_ceiling_below_m is not None:
        return cloud.no_ceiling_below_m
    return CLEAR_M if cloud.has_ceiling is False else None


def _codes(weather: tuple[Phenomenon, ...] | None) -> tuple[str, ...] | None:
    """Return descriptors and phenomena as their two-letter codes, those in the vicinity included."""
    if weather is None:
        return None
    found = [code for each in weather for code in (each.descriptor, *each.phenomena) if code]
    return tuple(dict.fromkeys(found))


def forecast(taf: Taf) -> Spells:
    """Return a spell for everything that a forecast says may hold; one whose times are lost may hold at any time."""
    spells = []
    for each in conditions_over(taf):
        sample = sample_of(each.conditions)
        start = minutes(each.start) if each.start else -ALWAYS_MIN
        end = minutes(each.end) if each.end else ALWAYS_MIN
        spells.append(Spell(start, end, sample, sample, f"forecast, {each.kind}", FORECAST_SUBJECTS))
    return tuple(spells)


def trends(metar: Metar) -> Spells:
    """Return a spell for every change of the next two hours that a report itself announces."""
    spells = []
    for each in metar.trends:
        sample = sample_of(overridden(metar.conditions, each.conditions))
        start = minutes(each.start) if each.start else -ALWAYS_MIN
        end = minutes(each.end) if each.end else ALWAYS_MIN
        spells.append(Spell(start, end, sample, sample, f"trend, {each.kind}", FORECAST_SUBJECTS))
    return tuple(spells)


def rows(samples: Iterable[tuple[float, Sample, str]], *, straight: bool, subjects: frozenset[str]) -> Spells:
    """Return the spells between typed (minute, sample, by): straight where the data say so, else both ends count.

    The last row is an instant: what comes after it is not forecast.
    """
    ordered = sorted(samples, key=lambda row: row[0])
    spells: list[Spell] = []
    for (start, first, first_by), (end, last, last_by) in pairwise(ordered):
        if straight:
            spells.append(Spell(start, end, first, last, f"{first_by} to {last_by}", subjects))
        else:
            spells.append(Spell(start, end, first, first, first_by, subjects))
            spells.append(Spell(start, end, last, last, last_by, subjects))
    if ordered:
        minute, sample, by = ordered[-1]
        spells.append(Spell(minute, minute, sample, sample, by, subjects))
    return tuple(spells)


def _course(spells: Spells, subject: str, pick: Callable[[Sample], float | None]) -> Course:
    pieces = []
    for spell in spells:
        if subject not in spell.subjects:
            continue
        first = pick(spell.first)
        last = first if spell.last is spell.first else pick(spell.last)
        if first is None or last is None:
            first = last = None
        pieces.append(Piece(spell.start_min, spell.end_min, first, last, spell.by))
    return course(pieces, f"weather:{subject}")


def mean_wind_course(spells: Spells) -> Course:
    """Return the mean wind over time. [m/s]"""
    return _course(spells, "wind", lambda sample: sample.wind_m_s)


def wind_course(spells: Spells) -> Course:
    """Return the wind including gusts over time. [m/s]"""
    return _course(spells, "wind", lambda sample: sample.gust_m_s)


def spread_course(spells: Spells) -> Course:
    """Return the gust spread, gust less mean wind, over time. [m/s]"""
    return _course(
        spells,
        "wind",
        lambda sample: (
            None if sample.gust_m_s is None or sample.wind_m_s is None else sample.gust_m_s - sample.wind_m_s
        ),
    )


def _parts(sample: Sample, speed_m_s: float | None, runway_true_deg: float, variation_deg: float) -> Components | None:
    if speed_m_s is None:
        return None
    if speed_m_s == 0.0:
        return Components(0.0, 0.0)
    runway_deg = runway_true_deg if sample.is_true else (runway_true_deg - variation_deg) % 360.0
    if sample.sector_deg is not None:
        first, last = sample.sector_deg
        return components_in_sector(
            sector_from_deg=first, sector_to_deg=last, wind_m_s=speed_m_s, runway_deg=runway_deg
        )
    if sample.variable:
        return components_any_direction(wind_m_s=speed_m_s)
    if sample.wind_from_deg is None:
        return None
    return components(wind_from_deg=sample.wind_from_deg, wind_m_s=speed_m_s, runway_deg=runway_deg)


def crosswind_course(spells: Spells, runway_true_deg: float, variation_deg: float) -> Course:
    """Return the wind across the runway, counted in the gust, over time. [m/s]"""

    def pick(sample: Sample) -> float | None:
        parts = _parts(sample, sample.gust_m_s, runway_true_deg, variation_deg)
        return float(parts.cross_m_s) if parts else None

    return _course(spells, "wind", pick)


def mean_crosswind_course(spells: Spells, runway_true_deg: float, variation_deg: float) -> Course:
    """Return the mean wind across the runway over time. [m/s]"""

    def pick(sample: Sample) -> float | None:
        parts = _parts(sample, sample.wind_m_s, runway_true_deg, variation_deg)
        return float(parts.cross_m_s) if parts else None

    return _course(spells, "wind", pick)


def headwind_course(spells: Spells, runway_true_deg: float, variation_deg: float) -> Course:
    """Return the mean wind along the runway, negative from behind, over time. [m/s]"""

    def pick(sample: Sample) -> float | None:
        parts = _parts(sample, sample.wind_m_s, runway_true_deg, variation_deg)
        return float(parts.head_m_s) if parts else None

    return _course(spells, "wind", pick)


def mean_tailwind_course(spells: Spells, runway_true_deg: float, variation_deg: float) -> Course:
    """Return the mean wind from behind, zero where it is a head wind, over time. [m/s]"""

    def pick(sample: Sample) -> float | None:
        parts = _parts(sample, sample.wind_m_s, runway_true_deg, variation_deg)
        return max(0.0, -float(parts.head_m_s)) if parts else None

    return _course(spells, "wind", pick)


def tailwind_course(spells: Spells, runway_true_deg: float, variation_deg: float) -> Course:
    """Return the wind from behind counted in the gust, zero where it is a head wind, over time. [m/s]"""

    def pick(sample: Sample) -> float | None:
        parts = _parts(sample, sample.gust_m_s, runway_true_deg, variation_deg)
        return max(0.0, -float(parts.head_m_s)) if parts else None

    return _course(spells, "wind", pick)


def visibility_course(spells: Spells) -> Course:
    """Return the lowest visibility over time. [m]"""
    return _course(spells, "visibility", lambda sample: sample.visibility_m)


def cloud_base_course(spells: Spells) -> Course:
    """Return the height of the lowest ceiling above ground over time. [m]"""
    return _course(spells, "cloud", lambda sample: sample.cloud_base_m)


def temperature_course(spells: Spells) -> Course:
    """Return the air temperature over time. [K]"""
    return _course(spells, "temperature", lambda sample: sample.air_temperature_k)


def dew_point_course(spells: Spells) -> Course:
    """Return the dew point over time. [K]"""
    return _course(spells, "dew_point", lambda sample: sample.dew_point_k)


def altimeter_course(spells: Spells) -> Course:
    """Return the altimeter setting over time. [Pa]"""
    return _course(spells, "altimeter", lambda sample: sample.altimeter_pa)
