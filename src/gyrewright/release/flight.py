"""A flight as somebody asks for it: who, what, when, which aircraft, with what aboard and in what weather."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime

from gyrewright.air.weather import CLEAR_M, CODES
from gyrewright.fact import Fact, Origin, missing
from gyrewright.limits import PURPOSES
from gyrewright.reading import Section
from gyrewright.rules.said import read_said

TAKE_OFFS = ("first only", "throughout")
RUNWAY_STATES = ("dry", "wet", "soft")
PARTS = ("commander", "instructor", "student", "examiner", "passenger")
EMPTY = "empty"
WEATHER_LISTS = (("reports", "reports"), ("forecasts", "forecasts"), ("row", "forecast_rows"))
"""The lists in which a flight gives its weather, by key, and the facts that each was given."""
OPEN = "open"
"""A flight whose length is left open: how long it may last is part of the answer."""


@dataclass(frozen=True, slots=True)
class WeatherRow:
    """The weather at one time as a person types it, observed or forecast."""

    at: datetime
    by: str
    wind_from: Fact
    reference: str
    wind: Fact
    gust: Fact
    visibility: Fact
    cloud_base: Fact
    temperature: Fact
    dew_point: Fact
    altimeter: Fact
    phenomena: Fact


@dataclass(frozen=True, slots=True)
class Flight:
    """The question. Paths are as written, relative to the flight's own file."""

    file: str
    title: str
    operation_path: str
    asked_at: datetime | None
    aircraft_id: str
    purpose: Fact
    lesson: Fact
    depart_at: datetime | None
    block: Fact
    take_offs: Fact
    runway: Fact
    runway_state: Fact
    seats: tuple[tuple[str, str], ...]
    parts: tuple[tuple[str, str], ...]
    loads: tuple[Fact, ...]
    fuel: tuple[Fact, ...]
    configuration: frozenset[str] | None
    reports: tuple[str, ...]
    forecasts: tuple[str, ...]
    observation: WeatherRow | None
    rows: tuple[WeatherRow, ...]
    weather_lists: tuple[Fact, ...]
    present: tuple[str, ...]
    named: tuple[str, ...]
    law: tuple[Fact, ...]


def read_flight(section: Section) -> Flight:
    """Return the flight that a file asks for; problems are noted in the section."""
    time = section.section("time")
    seats = section.section("seats")
    parts = section.section("parts")
    weather = section.section("weather")
    observed = weather.section("observation") if "observation" in weather else None
    flight = Flight(
        file=section.file,
        title=section.text("title"),
        operation_path=section.text("operation", required=True),
        asked_at=section.moment("asked_at"),
        aircraft_id=section.text("aircraft", required=True),
        purpose=_word(section, "purpose", "purpose", PURPOSES),
        lesson=_word(section, "lesson", "lesson", ()),
        depart_at=time.moment("depart", required=True),
        block=_block(time),
        take_offs=_word(time, "take_offs", "take_offs", TAKE_OFFS),
        runway=_word(section, "runway", "runway_name", ()),
        runway_state=_word(section, "runway_state", "runway_state", RUNWAY_STATES),
        seats=tuple((seat, seats.text(seat)) for seat in seats.keys()),  # noqa: SIM118
        parts=tuple((part, parts.text(part)) for part in PARTS if part in parts),
        loads=_loads(section.section("loads")),
        fuel=_fuel(section.section("fuel")),
        configuration=frozenset(section.texts("configuration")) if "configuration" in section else None,
        reports=weather.texts("reports"),
        forecasts=weather.texts("forecasts"),
        observation=_row(observed) if observed else None,
        rows=_rows(weather),
        weather_lists=tuple(_list_said(weather, key, called) for key, called in WEATHER_LISTS),
        present=section.texts("present"),
        named=section.texts("named"),
        law=read_said(section.section("law")),
    )
    for each in (time, parts, weather, section):
        each.finish()
    return flight


def _rows(section: Section) -> tuple[WeatherRow, ...]:
    """Return the typed forecast, one row for each time."""
    rows = tuple(_row(each) for each in section.sections("row", label="at"))
    for at in {row.at for row in rows}:
        if sum(row.at == at for row in rows) > 1:
            section.wrong("row", f"{at.isoformat()} is there twice; write one row for each time")
    return rows


def _list_said(section: Section, key: str, called: str) -> Fact:
    """Return that a list of weather was given, be it empty; nobody knows what a list that is not there would say."""
    value = section.raw(key)
    if not isinstance(value, list):
        return missing(called, where=section.where(key))
    return Fact(called, len(value), str(len(value) or "none"), where=section.where(key))


def _block(section: Section) -> Fact:
    if section.raw("block") == OPEN:
        return Fact("block_h", OPEN, OPEN, where=section.where("block"))
    return section.fact("block", "time", called="block_h", low=0.0, high=24.0)


def _word(section: Section, key: str, called: str, accepted: tuple[str, ...]) -> Fact:
    word = section.choice(key, accepted) if accepted else section.text(key)
    where = section.where(key)
    return Fact(called, word, word, where=where) if word else missing(called, where=where)


def _loads(section: Section) -> tuple[Fact, ...]:
    """Return what is put into lockers and ballast places, one fact for each place that the file names."""
    return tuple(
        section.fact(place, "mass", called=f"load_kg:{place}", low=0.0, high=100.0)
        for place in section.keys()  # noqa: SIM118
    )


def _fuel(section: Section) -> tuple[Fact, ...]:
    facts = tuple(
        section.fact(key, "volume", called=f"fuel_{key}_l", origin=origin, low=0.0, high=1000.0)
        for key, origin in (("gauge", Origin.OBSERVED), ("stick", Origin.OBSERVED), ("planned", Origin.PLANNED))
    )
    section.finish()
    return facts


def _row(section: Section) -> WeatherRow:
    at = section.moment("at", required=True)
    row = WeatherRow(
        at=at or datetime.max.replace(tzinfo=UTC),
        by=section.text("by"),
        wind_from=_or_word(section, "wind_from", "angle", "wind_from_deg", "variable", at, 360.0),
        reference=section.choice("reference", ("true", "magnetic"), required="wind_from" in section),
        wind=section.fact("wind", "speed", called="wind_m_s", at=at, low=0.0, high=60.0),
        gust=_or_word(section, "gust", "speed", "gust_m_s", "none", at, 80.0),
        visibility=section.fact("visibility", "length", called="visibility_m", at=at, low=0.0, high=100_000.0),
        cloud_base=_cloud(section, at),
        temperature=section.fact(
            "temperature", "temperature", called="air_temperature_k", at=at, low=220.0, high=330.0
        ),
        dew_point=section.fact("dew_point", "temperature", called="dew_point_k", at=at, low=200.0, high=320.0),
        altimeter=section.fact("altimeter", "pressure", called="altimeter_pa", at=at, low=90_000.0, high=108_000.0),
        phenomena=_phenomena(section, at),
    )
    wind, gust = row.wind.value, row.gust.value
    if isinstance(wind, float) and isinstance(gust, float) and gust < wind:
        section.wrong("gust", f"{row.gust.typed} is less than the wind, {row.wind.typed}; were the two exchanged?")
    air, dew = row.temperature.value, row.dew_point.value
    if isinstance(air, float) and isinstance(dew, float) and dew > air:
        text = f"{row.dew_point.typed} is above the temperature, {row.temperature.typed}; were the two exchanged?"
        section.wrong("dew_point", text)
    section.finish()
    return row


def _or_word(
    section: Section, key: str, dimension: str, called: str, word: str, at: datetime | None, high: float
) -> Fact:
    """Return a quantity, or the one word that may stand in its place."""
    if section.raw(key) == word:
        return Fact(called, word, word, at=at, where=section.where(key))
    return section.fact(key, dimension, called=called, at=at, low=0.0, high=high)


def _phenomena(section: Section, at: datetime | None) -> Fact:
    """Return the weather as the two-letter codes of weather reports; an empty list says that there is none."""
    if "weather" not in section:
        return missing("phenomena", where=section.where("weather"))
    codes = section.texts("weather", accepted=CODES)
    return Fact("phenomena", codes, " ".join(codes) or "none", at=at, where=section.where("weather"))


def _cloud(section: Section, at: datetime | None) -> Fact:
    if section.raw("cloud_base") == "none":
        return Fact("cloud_base_m", CLEAR_M, "no ceiling", at=at, where=section.where("cloud_base"))
    return section.fact("cloud_base", "length", called="cloud_base_m", at=at, low=0.0, high=CLEAR_M)
