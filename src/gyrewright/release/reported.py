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
    """Yield the facts of the weather: the newest observation, the forecasts, and what of the reports was not read.

    A reading taken at the field goes before a report of the same minute. Reports of the same minute that differ
    contradict each other, unless one of them says that it is a correction.
    """
    flight = question.flight
    yield from flight.weather_lists
    newest = _newest_reports(question.metars)
    typed = flight.observation
    if typed is not None and (not newest or newest[0].observed_at is None or typed.at >= newest[0].observed_at):
        at, observed, by = typed.at, sample_of_row(typed), typed.by or "own reading"
    elif newest and newest[0].observed_at is not None:
        at, by = newest[0].observed_at, " and ".join(sorted(metar.text for metar in newest))
        observed = weather.agreed([weather.sample_of(metar.conditions) for metar in newest])
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
            *(spell for metar in newest if metar.observed_at == at for spell in weather.trends(metar)),
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


def _newest_reports(metars: tuple[Metar, ...]) -> list[Metar]:
    """Return the reports of the newest time, each once: one as a rule, several where they differ."""
    dated = [(each.observed_at, each) for each in metars if each.observed_at is not None]
    if not dated:
        return []
    newest_at = max(at for at, _ in dated)
    newest = {each.text: each for at, each in dated if at == newest_at}
    corrections = [each for each in newest.values() if each.is_correction]
    return corrections or list(newest.values())


_ROW_FACTS = {
    "wind": ("wind_from", "wind", "gust"),
    "visibility": ("visibility",),
    "cloud": ("cloud_base",),
    "temperature": ("temperature",),
    "dew_point": ("dew_point",),
    "altimeter": ("altimeter",),
    "weather": ("phenomena",),
}


_ASKED_BY = {
    "wind": tuple(
        f"{name}_course"
        for name in ("wind", "mean_wind", "spread", "crosswind", "mean_crosswind", "headwind", "tailwind")
    ),
    "visibility": ("visibility_course",),
    "cloud": ("cloud_base_course",),
    "temperature": ("temperature_course",),
    "dew_point": ("dew_point_course",),
    "altimeter": ("altimeter_course",),
    "weather": ("weather_codes",),
}
"""Which numbers of the sheet ask for which subject of the weather."""


def weather_not_needed(reached: frozenset[str]) -> Iterator[str]:
    """Yield the subjects of the weather, as facts are called, that nothing reached by the checks rests on."""
    for subject, names in _ASKED_BY.items():
        if reached.isdisjoint(names):
            yield f"weather:{subject}"


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


def spells(
    reported: Reported,
    observation_stands_h: float,
    between_forecasts: str,
    asked_at: datetime,
    reports: str,
    forecasts: str,
    forecast_rows: str,
) -> Spells:
    """Return the spells of the flight's weather: the observation as long as it stands, and every forecast beside it.

    The last three only say that each list was given: a list that nobody has given is not an empty one.
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
    """Return the weather codes of every spell that the flight meets, each with its report; known if they cover it."""
    unknown = Partial(None, False, "weather:weather")
    met: list[tuple[str, str]] = []
    covered: float | None = None
    for spell in sorted(spells, key=lambda spell: (spell.start_min, spell.end_min)):
        # A spell that ends as the flight begins is past, unless it is an instant of its own.
        past = spell.end_min < depart_min or spell.start_min != spell.end_min == depart_min
        if "weather" not in spell.subjects or spell.start_min > land_min or past:
            continue
        if spell.start_min > (depart_min if covered is None else covered):
            return unknown
        covered = max(depart_min if covered is None else covered, spell.end_min)
        for sample in (spell.first, spell.last):
            if sample.phenomena is None:
                return unknown
            met += [(code, spell.by) for code in sample.phenomena]
    if covered is None or covered < land_min:
        return unknown
    return tuple(dict.fromkeys(met))
