"""The numbers to carry away from the laptop: per runway, what to compare a windsock, a stick and a thermometer with."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from gyrewright.arrays import greatest
from gyrewright.finding import Limit
from gyrewright.release import choices
from gyrewright.release.edges import Span, spans
from gyrewright.release.grid import Survey
from gyrewright.release.question import Question
from gyrewright.release.situation import situation_of
from gyrewright.release.solved import fuel_spans, highest_temperature
from gyrewright.release.windows import Starts

STRONGEST_M_S = 40.0


@dataclass(frozen=True, slots=True)
class Carry:
    """One runway's numbers, each with the check that sets it; None where nothing passes whatever the number is.

    Attributes:
        runway: Its name.
        most_wind_m_s: Most wind in the gust, from any direction that the other numbers allow.
        most_spread_m_s: Most gust spread.
        most_crosswind_m_s: Most crosswind in the gust.
        least_headwind_m_s: Least steady wind along the runway; negative for a tailwind that is still allowed.
        least_fuel_l: Least that the lower reading must show at the start.
        most_fuel_l: Most that the higher reading may show at the start.
        highest_k: Highest air temperature at any take-off.
        earliest_at: First start of the stretch that holds the start asked for.
        latest_at: Last start of it.
    """

    runway: str
    most_wind_m_s: float | None
    most_spread_m_s: float | None
    most_crosswind_m_s: float | None
    least_headwind_m_s: float | None
    least_fuel_l: float | None
    most_fuel_l: float | None
    highest_k: float | None
    earliest_at: datetime | None
    latest_at: datetime | None


def numbers_to_carry(question: Question) -> tuple[Carry, ...]:
    """Return the numbers to carry away for every runway of the field."""
    starts, known = Starts(question), Survey(situation_of(question), ())
    # What does not rest on the runway is found once, here.
    starts.windows()
    known.grid()
    return tuple(_carry(choices.with_runway(question, runway.name), starts, known) for runway in question.field.runways)


def _carry(question: Question, starts: Starts, known: Survey) -> Carry:
    here = known.moved(situation_of(question))
    sheet = here.sheet
    fuels = fuel_spans(question, known)
    fuel_l = sheet.value("fuel_lowest_l")
    fuel = next((span for span in fuels if fuel_l is None or span.low <= fuel_l <= span.high), None)
    fuel = fuel or (fuels[0] if fuels else None)
    heat = highest_temperature(question, known)
    depart_at = question.flight.depart_at
    windows = starts.moved(question).windows() if depart_at else ()
    window = next((each for each in windows if depart_at and each.start_at <= depart_at <= each.end_at), None)
    headwind = _least_headwind(here)
    return Carry(
        runway=str(question.flight.runway.value),
        most_wind_m_s=_strictest(sheet.value("limits:wind")),
        most_spread_m_s=_strictest(sheet.value("limits:gust spread")),
        most_crosswind_m_s=_strictest(sheet.value("limits:crosswind")),
        least_headwind_m_s=headwind.low if headwind else None,
        least_fuel_l=fuel.low if fuel else None,
        most_fuel_l=fuel.high if fuel else None,
        highest_k=heat[0] if heat else None,
        earliest_at=window.start_at if window else None,
        latest_at=window.end_at if window else None,
    )


def _strictest(limits: Iterable[Limit] | None) -> float | None:
    """Return the least of the figures, demonstrated ones included: by hand there is no second look at a caution."""
    figures = [float(limit.value) for limit in limits or () if limit.value is not None]
    return min(figures, default=None)


def _wind_along(points: Any) -> Mapping[str, Any]:
    behind = greatest(0.0, -points)
    return {
        "least_headwind_m_s": points,
        "least_headwind_at_landing_m_s": points,
        "tailwind_m_s": behind,
        "mean_tailwind_m_s": behind,
    }


def _least_headwind(survey: Survey) -> Span | None:
    found = spans(survey, _wind_along, low=-STRONGEST_M_S, high=STRONGEST_M_S, bends=(0.0,))
    return found[-1] if found else None
