"""The pilot in command under the law: certificate, medical route, rating, review, recent take-offs and landings."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from datetime import date, datetime, timedelta
from typing import Any

from gyrewright.arrays import at_most
from gyrewright.finding import Cure
from gyrewright.rules.calendar import age_on, good_through, hours_between, later, touches_dark, within_days
from gyrewright.rules.registry import (
    FLAG,
    LISTS,
    TEXT,
    TEXTS,
    WHOLE,
    Found,
    Params,
    Ruling,
    evaluator,
    measured,
    passes,
    stops,
    unknown,
)
from gyrewright.rules.shapes import Landing


@evaluator("certificate held", temporary_days=WHOLE)
def certificate_held(
    *,
    temporary_days: int,
    held: str,
    held_valid: bool,
    held_on: date | None = None,
    held_temporary: bool,
    flight_on: date,
) -> Found:
    """Return whether a pilot's certificate stands; a temporary one for its days."""
    params: Params = {"certificate": held}
    if not held_valid:
        return stops(**params)
    if held_temporary:
        if held_on is None:
            return unknown("held_on")
        until = held_on + timedelta(days=temporary_days)
        if not within_days(held_on, flight_on, temporary_days):
            return stops("temporary", until=until, **params)
    return passes(**params)


@evaluator("age", ages=LISTS)
def age(*, ages: Mapping[str, Sequence[str]], held: str, born_on: date, flight_on: date) -> Found:
    """Return whether a pilot is old enough for the certificate; `ages` is years -> certificates."""
    for years, certificates in ages.items():
        if held in certificates:
            params: Params = {"certificate": held, "age_years": age_on(born_on, flight_on), "least_years": int(years)}
            return passes(**params) if params["age_years"] >= int(years) else stops(**params)
    return unknown("held")


@evaluator(
    "medical",
    accepted=LISTS,
    night_accepted=LISTS,
    age=WHOLE,
    months_under=WHOLE,
    months_from=WHOLE,
    course_months=WHOLE,
    exam_months=WHOLE,
)
def medical(
    *,
    accepted: Mapping[str, Sequence[str]],
    night_accepted: Mapping[str, Sequence[str]],
    age: int,
    months_under: int,
    months_from: int,
    course_months: int,
    exam_months: int,
    route: str,
    privileges: str,
    exam_on: date | None = None,
    born_on: date | None = None,
    licence_until_on: date | None = None,
    licence_conditions_met: bool | None = None,
    course_on: date | None = None,
    physician_exam_on: date | None = None,
    history_clear: bool | None = None,
    depart_at: datetime,
    land_at: datetime,
    dusk_at: datetime,
    dawn_at: datetime,
    flight_on: date,
) -> Found:
    """Return whether the medical route taken is one that the privileges allow, by day or night, and is in date.

    `accepted` and `night_accepted` are privilege -> routes ("medical", "basicmed", "licence"). A certificate by
    examination runs in calendar months that depend on the age at the examination.
    """
    dark = touches_dark(depart_at=depart_at, land_at=land_at, dark_from=dusk_at, light_from=dawn_at)
    table = {**accepted, **night_accepted} if dark else accepted
    params: Params = {"route": route, "privileges": privileges}
    if privileges not in table:
        return unknown("privileges", **params)
    if route not in table[privileges]:
        return stops("night" if dark and route in accepted.get(privileges, ()) else "route", **params)
    if route == "medical":
        if exam_on is None or born_on is None:
            return unknown(*(n for n, v in (("exam_on", exam_on), ("born_on", born_on)) if v is None), **params)
        months = months_under if age_on(born_on, exam_on) < age else months_from
        return _until(good_through(exam_on, months), exam_on, flight_on, params)
    if licence_until_on is None:
        return unknown("licence_until_on", **params)
    if flight_on > licence_until_on:
        return stops("expired", until=licence_until_on, **params)
    if route == "licence":
        if licence_conditions_met is None:
            return unknown("licence_conditions_met", **params)
        return passes(until=licence_until_on, **params) if licence_conditions_met else stops("conditions", **params)
    if course_on is None or physician_exam_on is None or history_clear is None:
        clocks = (("course_on", course_on), ("physician_exam_on", physician_exam_on), ("history_clear", history_clear))
        return unknown(*(name for name, value in clocks if value is None), **params)
    if not history_clear:
        return stops("conditions", **params)
    if course_on > flight_on or physician_exam_on > flight_on:
        return stops("later", **params)
    until = min(good_through(course_on, course_months), good_through(physician_exam_on, exam_months), licence_until_on)
    return _until(until, course_on, flight_on, params)


def _until(until: date, done_on: date, flight_on: date, params: Mapping[str, Any]) -> Ruling:
    if done_on > flight_on:
        return stops("later", **params)
    return passes(until=until, **params) if flight_on <= until else stops("expired", until=until, **params)


@evaluator("fit", lifetime=measured("time"))
def fit(*, lifetime: float, fitness: str, fitness_at: datetime, depart_at: datetime) -> Found:
    """Return what a pilot's own word about fitness is worth at the start; "fit with caution" passes here."""
    if fitness == "not fit":
        return stops(said_at=fitness_at)
    if fitness not in ("fit", "fit with caution"):
        return unknown("fitness")
    age_h = hours_between(fitness_at, depart_at)
    if age_h < 0.0 or not at_most(age_h, lifetime):
        return unknown("fitness", why="old", said_at=fitness_at)
    return passes(said_at=fitness_at, holds_until=later(fitness_at, lifetime))


@evaluator("rating", aircraft_class=TEXT, own_limits_decide=TEXTS)
def rating(
    *,
    aircraft_class: str,
    own_limits_decide: Sequence[str],
    ratings: Collection[str],
    class_endorsements: Collection[str],
    certificate: str,
    aboard_count: int,
    limits_require_rating: bool | None = None,
) -> Found:
    """Return whether the commander holds the rating, or the endorsement that stands for it.

    With nobody else aboard an aircraft whose certificate is one of `own_limits_decide`, its own limits say whether a
    rating is needed.
    """
    if aircraft_class in ratings:
        return passes(held=aircraft_class)
    if aircraft_class in class_endorsements:
        return passes("endorsed", held=aircraft_class)
    if aboard_count == 1 and certificate in own_limits_decide:
        if limits_require_rating is None:
            return unknown("limits_require_rating")
        if not limits_require_rating:
            return passes("excepted", held=aircraft_class)
    return stops(held=aircraft_class)


@evaluator("review", months=WHOLE, sport_scope=FLAG)
def review(
    *,
    months: int,
    sport_scope: bool | None = None,
    reviewed_on: date,
    review_scope: str | None = None,
    privileges: str,
    flight_on: date,
    commander: str,
) -> Found:
    """Return whether the commander's review is good, and wide enough for the privileges used.

    With `sport_scope`, a review given under sport privileges serves sport privileges only.
    """
    until = good_through(reviewed_on, months)
    params: Params = {"reviewed_on": reviewed_on, "until": until, "who": commander}
    if reviewed_on > flight_on:
        return stops("later", **params)
    if flight_on > until:
        return stops(cures=(Cure("people.fly_review", commander, {"who": commander}),), **params)
    if sport_scope and privileges != "sport":
        if review_scope is None:
            return unknown("review_scope", **params)
        if review_scope == "sport":
            return stops("scope", **params)
    return passes(ends_this_month=until.replace(day=1) == flight_on.replace(day=1), **params)


@evaluator("recent landings", take_offs=WHOLE, landings=WHOLE, days=WHOLE, carrying=TEXT, aircraft_class=TEXT)
def recent_landings(
    *,
    take_offs: int,
    landings: int,
    days: int,
    carrying: str,
    aircraft_class: str,
    done: Sequence[Landing],
    flight_on: date,
    aboard_count: int,
    passenger: str,
    purpose: str,
    regaining_recency: bool | None = None,
    commander: str,
) -> Found:
    """Return whether the commander's own recent take-offs and landings allow somebody else aboard.

    `carrying` is "persons" (anybody else aboard) or "passengers" (only somebody who is neither taught nor tested).
    Only what the commander flew alone at the controls counts, in the same category and class, and the last day counts.
    Dual flown only to regain recency, and a test, are excepted where persons count.
    """
    if aboard_count <= 1 or (carrying == "passengers" and not passenger):
        return None
    if carrying == "persons" and not passenger and (purpose == "test" or regaining_recency):
        return passes("excepted")
    counted = [each for each in done if each.aircraft_class == aircraft_class and within_days(each.on, flight_on, days)]
    return _enough(counted, take_offs, landings, days, commander, flight_on)


@evaluator(
    "recent night landings",
    take_offs=WHOLE,
    landings=WHOLE,
    days=WHOLE,
    aircraft_class=TEXT,
    after_sunset=measured("time"),
    before_sunrise=measured("time"),
)
def recent_night_landings(
    *,
    take_offs: int,
    landings: int,
    days: int,
    aircraft_class: str,
    after_sunset: float,
    before_sunrise: float,
    done: Sequence[Landing] | None = None,
    flight_on: date,
    aboard_count: int,
    commander: str,
    depart_at: datetime,
    land_at: datetime,
    sunset_at: datetime,
    sunrise_at: datetime,
) -> Found:
    """Return the same for the hours that count as night, where only night landings to a full stop count."""
    dark = touches_dark(
        depart_at=depart_at,
        land_at=land_at,
        dark_from=later(sunset_at, after_sunset),
        light_from=later(sunrise_at, -before_sunrise),
    )
    if aboard_count <= 1 or not dark:
        return None
    if done is None:
        return unknown("done")
    counted = [
        each
        for each in done
        if each.aircraft_class == aircraft_class
        and each.night is not False
        and each.full_stop is not False
        and within_days(each.on, flight_on, days)
    ]
    if any(each.night is None or each.full_stop is None for each in counted):
        sure = [each for each in counted if each.night and each.full_stop]
        found = _enough(sure, take_offs, landings, days, commander, flight_on)
        return found if found.why == "go" else unknown("done")
    return _enough(counted, take_offs, landings, days, commander, flight_on)


def _enough(
    counted: Sequence[Landing], take_offs: int, landings: int, days: int, commander: str, flight_on: date
) -> Ruling:
    sure = [each for each in counted if each.sole]
    have = (sum(each.take_offs for each in sure), sum(each.landings for each in sure))
    params: Params = {
        "take_offs": have[0],
        "landings": have[1],
        "need_take_offs": take_offs,
        "need_landings": landings,
        "days": days,
        "who": commander,
    }
    if have[0] >= take_offs and have[1] >= landings:
        return passes(until=_last_good_day(sure, take_offs, landings, days), **params)
    open_ones = [each for each in counted if each.sole is None]
    could = (
        have[0] + sum(each.take_offs for each in open_ones) >= take_offs
        and have[1] + sum(each.landings for each in open_ones) >= landings
    )
    if could:
        return unknown("done", **params)
    missing = max(take_offs - have[0], landings - have[1])
    return stops(
        cures=(Cure("people.land_alone", commander, {"count": missing, "who": commander}),), missing=missing, **params
    )


def _last_good_day(sure: Sequence[Landing], take_offs: int, landings: int, days: int) -> date:
    """Return the last day on which these still suffice: the oldest that cannot be spared sets it."""

    def enough(since: date) -> bool:
        kept = [each for each in sure if each.on >= since]
        return sum(each.take_offs for each in kept) >= take_offs and sum(each.landings for each in kept) >= landings

    return max(each.on for each in sure if enough(each.on)) + timedelta(days=days)
