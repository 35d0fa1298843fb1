"""The student alone: what must have been taught, tested and endorsed, by whom, and how long ago."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from datetime import date, datetime, timedelta

from gyrewright.arrays import at_most
from gyrewright.finding import Cure
from gyrewright.rules.calendar import touches_dark, within_days
from gyrewright.rules.registry import (
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
from gyrewright.rules.shapes import Endorsement


@evaluator("before solo", items=TEXTS)
def before_solo(
    *,
    items: Sequence[str],
    make_model: str,
    student_presolo_test_for: str,
    student_presolo_errors_reviewed: bool,
    student_presolo_items: Collection[str],
) -> Found:
    """Return whether the written test for this make and model is done and reviewed, and every item has been taught."""
    if student_presolo_test_for != make_model:
        return stops("test", make_model=make_model, test_for=student_presolo_test_for)
    if not student_presolo_errors_reviewed:
        return stops("review", make_model=make_model)
    absent = tuple(item for item in items if item not in student_presolo_items)
    return stops(items=absent, count=len(absent)) if absent else passes(count=len(items))


@evaluator("solo endorsement", days=WHOLE, kind=TEXT)
def solo_endorsement(
    *,
    days: int,
    kind: str,
    make_model: str,
    student_endorsements: Sequence[Endorsement],
    flight_on: date,
    student: str,
) -> Found:
    """Return whether one endorsement of the kind, for this make and model, is young enough and its giver could give it.

    The days run from the training it rests on where that is older than the writing: the careful reading of a text that
    asks for training and endorsement within them.
    """
    return _young(student_endorsements, kind, make_model, days, flight_on, student)


@evaluator("night solo endorsement", days=WHOLE, kind=TEXT)
def night_solo_endorsement(
    *,
    days: int,
    kind: str,
    make_model: str,
    student_endorsements: Sequence[Endorsement],
    flight_on: date,
    student: str,
    depart_at: datetime,
    land_at: datetime,
    dusk_at: datetime,
    dawn_at: datetime,
) -> Found:
    """Return the same for a second endorsement that a flight with any part in the night needs."""
    if not touches_dark(depart_at=depart_at, land_at=land_at, dark_from=dusk_at, light_from=dawn_at):
        return None
    return _young(student_endorsements, kind, make_model, days, flight_on, student)


@evaluator("place endorsement", days=WHOLE, kind=TEXT)
def place_endorsement(
    *,
    days: int,
    kind: str,
    controlled_place: str,
    student_endorsements: Sequence[Endorsement],
    flight_on: date,
    student: str,
) -> Found:
    """Return whether an endorsement names the controlled airspace or airport of this flight and is young enough."""
    if not controlled_place:
        return None
    named = [each for each in student_endorsements if each.place == controlled_place]
    return _young(named, kind, "", days, flight_on, student)


def _young(held: Sequence[Endorsement], kind: str, make_model: str, days: int, flight_on: date, student: str) -> Ruling:
    fitting = [each for each in held if each.what_for == kind]
    params: Params = {"who": student, "make_model": make_model, "endorsement": kind, "days": days}
    train = (Cure("people.endorse", "instructor", {"who": student}),)
    if not fitting:
        return stops("none", cures=train, **params)
    if make_model:
        fitting = [each for each in fitting if each.make_model == make_model]
        if not fitting:
            return stops("make_model", cures=train, **params)
    written = [each for each in fitting if each.given_on <= flight_on] or fitting
    young = [each for each in written if within_days(_counts_from(each), flight_on, days) and each.given_by != student]
    good = [each for each in young if each.giver_in_standing]
    latest = max(good or young or written, key=_counts_from)
    params |= {
        "given_by": latest.given_by,
        "given_on": latest.given_on,
        "rests_on": latest.rests_on or latest.given_on,
        "until": _counts_from(latest) + timedelta(days=days),
    }
    if good:
        return passes(**params)
    if latest.given_on > flight_on:
        return stops("later", **params)
    if latest.given_by == student:
        return stops("own", **params)
    if not young:
        return stops(cures=(Cure("people.endorse", latest.given_by, {"who": student}),), **params)
    if any(each.giver_in_standing is None for each in young):
        return unknown("student_endorsements", why="giver_unsure", **params)
    return stops("giver", **params)


def _counts_from(each: Endorsement) -> date:
    return min(each.given_on, each.rests_on or each.given_on)


@evaluator("student alone")
def student_alone(*, aboard_count: int, flight_for_hire: bool, flight_in_business: bool, flight_abroad: bool) -> Found:
    """Return whether a student flies with nobody else, for nobody's gain, and at home."""
    if aboard_count > 1:
        return stops("passenger", aboard=aboard_count)
    if flight_for_hire or flight_in_business:
        return stops("hire")
    return stops("abroad") if flight_abroad else passes()


@evaluator(
    "solo cross-country",
    away=measured("length"),
    practice_away=measured("length"),
    route_away=measured("length"),
    category=TEXT,
    aircraft=TEXT,
    this_flight=TEXT,
    practice=TEXT,
    route=TEXT,
)
def solo_cross_country(
    *,
    away: float,
    practice_away: float,
    route_away: float,
    category: str,
    aircraft: str,
    this_flight: str,
    practice: str,
    route: str,
    farthest_from_start_m: float,
    lands_elsewhere: bool,
    destination: str | None = None,
    make_model: str,
    student_endorsements: Sequence[Endorsement] | None = None,
    flight_on: date,
) -> Found:
    """Return whether a solo flight away from home has the endorsements that its distance and landings ask for.

    Three ways: landing practice at a named airport near by, a repeated named route, or the endorsements for category
    and make and model together with one for this very flight.
    """
    if not lands_elsewhere and at_most(farthest_from_start_m, away):
        return None
    if student_endorsements is None:
        return unknown("student_endorsements")
    standing = [each for each in student_endorsements if each.given_on <= flight_on]
    good = [each for each in standing if each.giver_in_standing]
    params: Params = {"away_m": farthest_from_start_m}
    for kind, reach in ((practice, practice_away), (route, route_away)):
        near = at_most(farthest_from_start_m, reach)
        if near and destination and any(each.what_for == kind and each.place == destination for each in good):
            return passes("named", place=destination, **params)
    lacking = tuple(
        kind
        for kind, met in (
            (category, any(each.what_for == category for each in good)),
            (aircraft, any(each.what_for == aircraft and each.make_model == make_model for each in good)),
            (this_flight, any(each.what_for == this_flight and each.for_flight_on == flight_on for each in good)),
        )
        if not met
    )
    if not lacking:
        return passes(**params)
    if any(each.giver_in_standing is None for each in standing if each.what_for in lacking):
        return unknown("student_endorsements", why="giver_unsure", **params)
    return stops(lacking=lacking, count=len(lacking), **params)
