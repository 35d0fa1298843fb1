"""The weather of a question: what was observed last, what is forecast, and the spells that follow from both."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from gyrewright.air import weather
from gyrewright.air.course import minutes
from gyrewright.air.reports import Metar, Taf
from gyrewright.air.weather import Sample, Spells
from gyrewright.fact import Doubt, Fact, Origin, missing
from gyrewright.release.flight import WeatherRow
from gyrewright.release.question import Question
from gyrewright.sheet import Partial


@dataclass(frozen=True, slots=True)
class Reported:
    """What was observed last, and what is forecast."""

    observed_min: float
    observed: Sample
    observed_by: str
    rows: tuple[tuple[float, Sample, str], ...]
    row_subjects: frozenset[str]
    forecasts: Spells


def weather_facts(question: Question) -> Iterator[Fact]:
    flight = question.flight
    dated = [(each.observed_at, each) for each in question.metars if each.observed_at is not None]
    metar = max(dated, key=lambda pair: pair[0])[1] if dated else None
    typed = flight.observation
    if typed is not None and (metar is None or metar.observed_at is None or typed.at >= metar.observed_at):
        at, observed, by = typed.at, sample_of_row(typed), typed.by or "own reading"
    elif metar is not None and metar.observed_at is not None:
        at, observed, by = metar.observed_at, weather.sample_of(metar.conditions), metar.text
    else:
        for name in ("reported", "observed_at", "unread"):
            yield missing(name, where=f"{flight.file}: weather")
        return
    rows = tuple((minutes(row.at), sample_of_row(row), row.by or "typed forecast") for row in flight.rows)
    reported = Reported(
        observed_min=minutes(at),
        observed=observed,
        observed_by=by,
        rows=rows,
        row_subjects=_row_subjects(flight.rows),
        forecasts=(
            *(spell for taf in question.tafs for spell in weather.forecast(taf)),
            *(weather.trends(metar) if metar is not None and metar.observed_at == at else ()),
        ),
    )
    yield Fact("reported", reported, by, Origin.OBSERVED, at)
    yield Fact("observed_at", at, str(at), Origin.OBSERVED, at)
    reports: tuple[Metar | Taf, ...] = (*question.metars, *question.tafs)
    unread = tuple(
        (report.text.partition(" ")[0], each.text, each.may_have_carried)
        for report in reports
        for each in report.unread
    )
    yield Fact("unread", unread, f"{len(unread)} groups")


_ROW_FACTS = {
    "wind": ("wind_from", "wind", "gust"),
    "visibility": ("visibility",),
    "cloud": ("cloud_base",),
    "temperature": ("temperature",),
    "dew_point": ("dew_point",),
    "altimeter": ("altimeter",),
}


def _row_subjects(rows: tuple[WeatherRow, ...]) -> frozenset[str]:
    """Return what a typed forecast speaks of: a fact that no row gives is not its subject."""
    return frozenset(
        subject
        for subject, names in _ROW_FACTS.items()
        if any(getattr(row, name).doubt is not Doubt.MISSING for row in rows for name in names)
    )


def sample_of_row(row: WeatherRow) -> Sample:
    """Return the sample that a typed row gives; what it does not give is unknown."""

    def value(fact: Fact) -> Any:
        return fact.value if fact.is_known else None

    direction = value(row.wind_from)
    return Sample(
        wind_from_deg=None if direction == "variable" else direction,
        is_true=row.reference != "magnetic",
        variable=direction == "variable",
        wind_m_s=value(row.wind),
        gust_m_s=value(row.gust) if value(row.gust) != "none" else value(row.wind),
        visibility_m=value(row.visibility),
        cloud_base_m=value(row.cloud_base),
        air_temperature_k=value(row.temperature),
        dew_point_k=value(row.dew_point),
        altimeter_pa=value(row.altimeter),
        phenomena=value(row.phenomena),
    )


def spells(reported: Reported, observation_stands_h: float, between_forecasts: str, asked_at: datetime) -> Spells:
    """Return the spells of the flight's weather: the observation as long as it stands, and every forecast beside it.

    A typed forecast begins with the observation; where the house reads straight lines, they start from the time asked,
    until when what was observed is taken to hold.
    """
    stands = weather.Spell(
        reported.observed_min,
        reported.observed_min + observation_stands_h * 60.0,
        reported.observed,
        reported.observed,
        reported.observed_by,
        weather.ALL_SUBJECTS - reported.row_subjects,
    )
    if not reported.rows:
        return (stands, *reported.forecasts)
    now = [(reported.observed_min, reported.observed, reported.observed_by)]
    asked_min = minutes(asked_at)
    if between_forecasts == "straight" and reported.observed_min < asked_min < min(row[0] for row in reported.rows):
        now.append((asked_min, reported.observed, reported.observed_by))
    later = [row for row in reported.rows if row[0] >= reported.observed_min]
    typed = weather.rows([*now, *later], straight=between_forecasts == "straight", subjects=reported.row_subjects)
    return (stands, *typed, *reported.forecasts)


def weather_codes(spells: Spells, depart_min: float, land_min: float) -> Any:
    """Return the weather codes of every spell that the flight meets, each with its report."""
    met = []
    for spell in spells:
        if "weather" not in spell.subjects or spell.start_min > land_min or spell.end_min <= depart_min:
            continue
        for sample in (spell.first, spell.last):
            if sample.phenomena is None:
                return Partial(None, False, "weather:weather")
            met += [(code, spell.by) for code in sample.phenomena]
    return tuple(dict.fromkeys(met))
