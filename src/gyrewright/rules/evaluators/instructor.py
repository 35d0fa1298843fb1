"""The instructor under the law: what may be taught, whether the certificate is in use, hours in a rolling window."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from datetime import date, datetime

from gyrewright.arrays import at_most
from gyrewright.finding import Cure
from gyrewright.rules.calendar import first_to_leave, good_through, hours_between, hours_in_window
from gyrewright.rules.registry import (
    DAY,
    TEXT,
    WHOLE,
    Found,
    Params,
    evaluator,
    judged,
    measured,
    passes,
    stops,
    unknown,
)


@evaluator("teaching rating", aircraft_class=TEXT)
def teaching_rating(
    *, aircraft_class: str, instructor_ratings: Collection[str], instructor_teaching_ratings: Collection[str]
) -> Found:
    """Return whether the instructor holds the category and class both as a pilot and as an instructor."""
    if aircraft_class not in instructor_ratings:
        return stops("pilot", held=aircraft_class)
    return passes(held=aircraft_class) if aircraft_class in instructor_teaching_ratings else stops(held=aircraft_class)


@evaluator("instructor in date", months=WHOLE, printed_before=DAY)
def instructor_in_date(
    *,
    months: int | None = None,
    printed_before: date | None = None,
    teaching_on: date | None = None,
    teaching_printed_until_on: date | None = None,
    teaching_renewed_on: date | None = None,
    teaching_recent_on: date | None = None,
    flight_on: date,
    instructor: str,
) -> Found:
    """Return whether an instructor may use the certificate on that day.

    A certificate issued before `printed_before` ends on its printed day (every certificate, where the text of the day
    knows no other clock); renewed within the very month of that day, a person must judge it, for the text asks for
    renewal before the month. Otherwise recent experience keeps it for `months` calendar months.
    """
    params: Params = {"who": instructor}
    if teaching_on is None:
        return unknown("teaching_on", **params)
    if teaching_on > flight_on:
        return stops("later", **params)
    printed = months is None or (printed_before is not None and teaching_on < printed_before)
    if printed and (teaching_renewed_on is None or teaching_renewed_on > flight_on):
        if teaching_printed_until_on is None:
            return unknown("teaching_printed_until_on", **params)
        params["until"] = teaching_printed_until_on
        return passes(**params) if flight_on <= teaching_printed_until_on else stops("printed", **params)
    if printed and teaching_renewed_on is not None:
        if teaching_printed_until_on is None:
            return unknown("teaching_printed_until_on", **params)
        if teaching_renewed_on > teaching_printed_until_on:
            return stops("lapsed", until=teaching_printed_until_on, renewed_on=teaching_renewed_on, **params)
        if teaching_renewed_on.replace(day=1) == teaching_printed_until_on.replace(day=1):
            return judged(
                Cure("rules.judge_renewal", "manager", {"who": instructor}),
                renewed_on=teaching_renewed_on,
                until=teaching_printed_until_on,
                **params,
            )
        if months is None:
            return unknown("teaching_printed_until_on", **params)
    recent = teaching_recent_on or teaching_renewed_on
    if months is None or recent is None:
        return unknown("teaching_recent_on", **params)
    if recent > flight_on:
        return stops("later", **params)
    until = good_through(recent, months)
    params |= {"recent_on": recent, "until": until}
    return passes(**params) if flight_on <= until else stops(**params)


@evaluator("teaching hours", most=measured("time"), window=measured("time"))
def teaching_hours(
    *,
    most: float,
    window: float,
    instructor_taught: Sequence[tuple[datetime, datetime]],
    depart_at: datetime,
    land_at: datetime,
    instructor: str,
) -> Found:
    """Return whether flight training given stays within its hours in any window, the planned lesson included.

    The window rolls; it is asked at the landing, where it holds the most of this lesson. Training in every aircraft
    and for every student counts.
    """
    planned = hours_between(depart_at, land_at)
    given = hours_in_window(instructor_taught, end=land_at, window_h=window)
    total = given + planned
    params: Params = {
        "given_h": given,
        "planned_h": planned,
        "total_h": total,
        "most_h": most,
        "window_h": window,
        "who": instructor,
        "left_h": max(0.0, most - hours_in_window(instructor_taught, end=depart_at, window_h=window)),
        "frees_at": first_to_leave(instructor_taught, end=land_at, window_h=window),
    }
    if at_most(total, most):
        return passes(**params)
    cures = (
        Cure("rules.teach_less", instructor, {"left_h": params["left_h"]}),
        Cure("rules.another_instructor", "another instructor"),
    )
    return stops(cures=cures, **params)


@evaluator("dual controls", stations=WHOLE)
def dual_controls(*, stations: int, dual_controls_working: bool, pilot_stations: int) -> Found:
    """Return whether the aircraft has its pilot stations, with fully working dual controls."""
    if pilot_stations < stations:
        return stops("stations", stations=pilot_stations)
    return passes() if dual_controls_working else stops()
