"""What would have to change: the ways in which a flight could go, each asked again and answered by decide itself."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import UTC, datetime, time, timedelta
from typing import Any

import numpy as np
from numpy.typing import NDArray

from gyrewright.air.course import minutes, moment_of
from gyrewright.finding import Verdict
from gyrewright.release import choices
from gyrewright.release.answer import Answer
from gyrewright.release.decide import decide
from gyrewright.release.edges import Span, of_numbers, spans
from gyrewright.release.flight import OPEN
from gyrewright.release.grid import Axis, grid
from gyrewright.release.question import Aircraft, Question
from gyrewright.release.situation import Situation, situation_of

NO_WAY_ROUND = ("people.no", "people.refused")
"""Findings that no change of choices goes round: somebody's no, and a judge's no."""

CHECK_STRIDE_MIN = 15
STEP_L = 0.1
STEP_KG = 0.1

KINDS = ("fuel", "load", "runway", "start", "seats", "block", "aircraft", "instructor", "lesson")
"""Kinds of change, the smallest first: the order in which ways are offered."""


@dataclass(frozen=True, slots=True)
class Change:
    """One thing done differently, and how much so, to order ways by."""

    kind: str
    params: Mapping[str, Any]
    size: float = 0.0


@dataclass(frozen=True, slots=True)
class Offer:
    """A way the flight could go: what changes, the question with it, and the answer to that question."""

    changes: tuple[Change, ...]
    question: Question
    answer: Answer


@dataclass(frozen=True, slots=True)
class Window:
    """A stretch of starts that pass, and what binds before and after it; "" where the day looked at ends."""

    start_at: datetime
    end_at: datetime
    binds_before: str
    binds_after: str


@dataclass(frozen=True, slots=True)
class Need:
    """What the day itself would have to bring, which nobody chooses: the highest temperature at which it would pass."""

    aircraft_id: str
    fuel_l: float | None
    highest_k: float
    binds: str


@dataclass(frozen=True, slots=True)
class Ways:
    """The answer to "what would have to change".

    Attributes:
        asked: The flight as asked.
        offers: Where the flight as asked does not pass: what does, single changes first, the smallest first.
        needs: What would pass in cooler air.
        windows: When the flight as asked could start, on its runway and in its aircraft.
        stands_against: Where nothing passes, the checks that stop every way that was tried.
    """

    asked: Answer
    offers: tuple[Offer, ...]
    needs: tuple[Need, ...]
    windows: tuple[Window, ...]
    stands_against: tuple[str, ...]


def ways(question: Question, *, fleet: Sequence[Aircraft] = (), over: Iterable[str] = KINDS) -> Ways:
    """Return the ways in which a flight could go.

    Args:
        question: The flight as asked.
        fleet: The operation's aircraft.
        over: The kinds of change to look at.
    """
    asked = decide(question)
    if any(finding.id in NO_WAY_ROUND and finding.verdict is Verdict.STOP for finding in asked.findings):
        against = tuple(finding.id for finding in asked.findings if finding.id in NO_WAY_ROUND)
        return Ways(asked, (), (), (), against)
    kinds = tuple(kind for kind in KINDS if kind in frozenset(over))
    if asked.verdict <= Verdict.JUDGE:
        return Ways(asked, (), (), windows(question) if "start" in kinds else (), ())
    singles = [offer for kind in kinds for offer in _singles(kind, question, fleet)]
    passing = [offer for offer in singles if offer.answer.verdict <= Verdict.JUDGE]
    offers = sorted([*passing, *_pairs(kinds, singles)], key=_rank)
    return Ways(
        asked=asked,
        offers=tuple(offers),
        needs=tuple(_needs(question, fleet)),
        windows=windows(question) if "start" in kinds else (),
        stands_against=() if offers else _common([asked, *(offer.answer for offer in singles)]),
    )


def _rank(offer: Offer) -> tuple[int, int, float]:
    return (
        len(offer.changes),
        max(KINDS.index(change.kind) for change in offer.changes),
        sum(change.size for change in offer.changes),
    )


def _common(answers: Sequence[Answer]) -> tuple[str, ...]:
    """Return the checks that stop all of the answers."""
    stops = [{each.id for each in answer.findings if each.verdict >= Verdict.UNKNOWN} for answer in answers]
    return tuple(each.id for each in answers[0].findings if all(each.id in found for found in stops))


def _offer(question: Question, *changes: Change) -> Offer:
    ready = choices.started_in_time(question)
    return Offer(changes, ready or question, decide(ready or question))


def _singles(kind: str, question: Question, fleet: Sequence[Aircraft]) -> Iterator[Offer]:
    """Yield every change of one kind that is worth asking about, whether it passes or not."""
    if kind == "fuel":
        yield from _fuels(question)
    elif kind == "load":
        yield from _loads(question)
    elif kind == "runway":
        here = question.flight.runway.value
        for runway in question.field.runways:
            if runway.name != here:
                yield _offer(choices.with_runway(question, runway.name), Change("runway", {"runway": runway.name}))
    elif kind == "start":
        yield from _starts(question)
    elif kind == "seats":
        swapped = choices.with_seats_swapped(question)
        if swapped is not None:
            yield _offer(swapped, Change("seats", {}))
    elif kind == "block":
        yield from _blocks(question)
    elif kind == "aircraft":
        for aircraft in fleet:
            if aircraft.definition.id != question.definition.id:
                yield from _aircraft(question, aircraft)
    elif kind == "instructor":
        aboard = {person for _, person in question.flight.seats}
        for person in question.operation.instructors:
            if person not in aboard and dict(question.flight.parts).get("instructor") in aboard:
                name = question.people[person].name
                yield _offer(choices.with_instructor(question, person), Change("instructor", {"person": name}))
    elif kind == "lesson":
        allowed = dict(question.operation.lessons_instead).get(question.flight.lesson.value or "", ())
        for lesson in allowed:
            yield _offer(choices.with_lesson(question, lesson), Change("lesson", {"lesson": lesson}))


# --- numbers ----------------------------------------------------------------------------------------------------------


def fuel_numbers(points: NDArray[np.float64]) -> Mapping[str, Any]:
    """Return the fuel readings for an array of litres."""
    return {"fuel_lowest_l": points, "fuel_highest_l": points}


def heat_numbers(points: NDArray[np.float64]) -> Mapping[str, Any]:
    """Return the highest temperature of the flight for an array of kelvins."""
    return {"hottest_k": points, "hottest_at_take_off_k": points}


def capacity_l(question: Question) -> float | None:
    """Return what a reading of the full tank shows. [L]"""
    limits = situation_of(question).sheet.value("limits:fuel capacity")
    return float(limits[0].value) if limits else None


def fuel_spans(question: Question) -> tuple[Span, ...]:
    """Return the stretches of fuel, in litres that both readings show, with which the flight passes."""
    full_l = capacity_l(question)
    if full_l is None:
        return ()
    prepared = choices.with_fuel(question, full_l)
    situation = situation_of(choices.started_in_time(prepared) or prepared)
    return spans(situation, of_numbers(fuel_numbers), low=0.0, high=full_l, bends=_fuel_bends(situation))


def _fuel_bends(situation: Situation) -> list[float]:
    """Return the litres at which the mass meets a printed row or a corner of the envelope."""
    sheet, definition = situation.sheet, situation.question.definition
    dry_kg, density = sheet.value("zero_fuel_mass_kg"), sheet.value("fuel_density_kg_per_l")
    if dry_kg is None or density is None:
        return []
    masses = [
        point
        for _, printed in definition.tables
        for axis in (printed.table.axes if printed.table else ())
        if axis.name == "mass"
        for point in axis.points
    ]
    envelope = definition.envelope.value
    if envelope is not None:
        masses += [*envelope.forward.masses_kg, *envelope.aft.masses_kg]
    unusable_l = definition.fuel[1].value or 0.0
    return [(mass - dry_kg) / density + shift for mass in masses for shift in (0.0, unusable_l, -unusable_l)]


def _careful(span: Span, step: float) -> tuple[float, float]:
    """Return the ends of a span rounded to the side that passes."""
    low = np.ceil(span.low / step - 1e-6) * step
    high = np.floor(span.high / step + 1e-6) * step
    return round(float(low), 6), round(float(high), 6)


def _nearest(value: float, low: float, high: float) -> float:
    return min(max(value, low), high)


def _fuels(question: Question) -> Iterator[Offer]:
    readings = [fact.value for fact in question.flight.fuel if fact.is_known]
    here = min(readings) if readings else 0.0
    for span in fuel_spans(question):
        low, high = _careful(span, STEP_L)
        if low > high:
            continue
        litres = _nearest(here, low, high)
        if readings and litres == here:
            continue
        params = {
            "fuel_l": litres,
            "low_l": low,
            "high_l": high,
            "binds_low": span.binds_low,
            "binds_high": span.binds_high,
        }
        yield _offer(choices.with_fuel(question, litres), Change("fuel", params, abs(litres - here)))


def _loads(question: Question) -> Iterator[Offer]:
    loads = {fact.name: fact.value for fact in question.flight.loads}
    for station in question.definition.stations:
        if station.kind == "seat":
            continue
        name = f"load_kg:{station.id}"
        here = loads.get(name)
        most = [
            limit.value
            for limit in question.definition.limits
            if limit.of == "load" and limit.on == (station.id,) and limit.sense.is_upper and limit.value is not None
        ]
        if here is None or not most:
            continue
        planned = choices.with_load(question, station.id, here)
        situation = situation_of(choices.started_in_time(planned) or planned)
        for span in spans(situation, of_numbers(lambda at, name=name: {name: at}), low=0.0, high=min(most)):  # type: ignore[misc]
            low, high = _careful(span, STEP_KG)
            if low > high:
                continue
            kg = _nearest(here, low, high)
            if kg == here:
                continue
            params = {
                "mass_kg": kg,
                "low_kg": low,
                "high_kg": high,
                "station": station.id,
                "binds_low": span.binds_low,
                "binds_high": span.binds_high,
            }
            yield _offer(choices.with_load(question, station.id, kg), Change("load", params, abs(kg - here)))


def _blocks(question: Question) -> Iterator[Offer]:
    """Yield the flight with its end left open, where it is the length asked for that fails."""
    if question.flight.block.value == OPEN:
        return
    opened = choices.with_open_end(question)
    yield _offer(opened, Change("block", {}))


def _aircraft(question: Question, aircraft: Aircraft) -> Iterator[Offer]:
    """Yield the flight in another aircraft with the fuel that it needs, or with what it can carry at most."""
    readings = [fact.value for fact in question.flight.fuel if fact.is_known]
    here = min(readings) if readings else 0.0
    moved = choices.with_aircraft(question, aircraft, here)
    found = fuel_spans(moved)
    params: dict[str, Any] = {"aircraft": aircraft.definition.name, "id": aircraft.definition.id}
    if not found:
        yield _offer(moved, Change("aircraft", {**params, "fuel_l": here}))
    for span in found:
        low, high = _careful(span, STEP_L)
        if low <= high:
            litres = _nearest(here, low, high)
            params |= {"fuel_l": litres, "low_l": low, "high_l": high}
            yield _offer(choices.with_aircraft(question, aircraft, litres), Change("aircraft", params))


# --- time -------------------------------------------------------------------------------------------------------------


def start_axis(question: Question, points: NDArray[np.float64]) -> Axis:
    """Return the axis of the start, in minutes."""
    zone = question.field.zone

    def facts(point: float) -> Mapping[str, Any]:
        local = moment_of(point).astimezone(zone)
        return {"depart_at": local, "flight_on": local.date()}

    return Axis("start", points, lambda at: {"depart_min": at}, facts, stride=CHECK_STRIDE_MIN)


def day_minutes(question: Question) -> NDArray[np.float64]:
    """Return every minute from when the question is asked until the end of that local day."""
    asked_at = question.asked_at
    if asked_at is None:
        return np.array([], float)
    local = asked_at.astimezone(question.field.zone)
    end = datetime.combine(local.date() + timedelta(days=1), time(), tzinfo=question.field.zone).astimezone(UTC)
    return np.arange(np.ceil(minutes(asked_at)), minutes(end))


def windows(question: Question) -> tuple[Window, ...]:
    """Return when the flight could start today, to the minute, and what binds at each edge."""
    points = day_minutes(question)
    if not len(points) or question.flight.block.value == OPEN:
        return ()
    found = grid(situation_of(question), [start_axis(question, points)])
    codes = np.broadcast_to(found.codes, points.shape)
    passing = codes < Verdict.UNKNOWN * 256
    edges = np.flatnonzero(np.diff(passing)) + 1
    starts = [0, *edges] if passing[0] else list(edges)
    zone = question.field.zone
    out = []
    for number in range(0, len(starts), 2):
        first = int(starts[number])
        last = int(starts[number + 1]) - 1 if number + 1 < len(starts) else len(points) - 1
        out.append(
            Window(
                moment_of(float(points[first])).astimezone(zone),
                moment_of(float(points[last])).astimezone(zone),
                found.binding(int(codes[first - 1])) if first else "",
                found.binding(int(codes[last + 1])) if last + 1 < len(points) else "",
            )
        )
    return tuple(out)


def _starts(question: Question) -> Iterator[Offer]:
    depart_at = question.flight.depart_at
    if depart_at is None:
        return
    for window in windows(question):
        if window.start_at <= depart_at <= window.end_at:
            continue
        start = window.start_at if window.start_at > depart_at else window.end_at
        params = {
            "start_at": start,
            "from_at": window.start_at,
            "until_at": window.end_at,
            "binds_low": window.binds_before,
            "binds_high": window.binds_after,
        }
        size = abs((start - depart_at).total_seconds()) / 3600.0
        yield _offer(choices.with_start(question, minutes(start)), Change("start", params, size))


def _pairs(kinds: Sequence[str], singles: Sequence[Offer]) -> Iterator[Offer]:
    """Yield pairs of changes that pass where neither does alone: another runway or aircraft, and something with it."""
    for first in singles:
        if first.answer.verdict <= Verdict.JUDGE or first.changes[0].kind not in ("runway", "aircraft"):
            continue
        for kind in kinds:
            if kind in ("fuel", "load", "start", "block") or (kind == "runway" and first.changes[0].kind == "aircraft"):
                if kind == "fuel" and first.changes[0].kind == "aircraft":
                    continue
                for second in _singles(kind, first.question, ()):
                    if second.answer.verdict <= Verdict.JUDGE:
                        yield replace(second, changes=(*first.changes, *second.changes))


# --- what the day would have to bring ---------------------------------------------------------------------------------


def highest_temperature(question: Question) -> tuple[float, str] | None:
    """Return the highest temperature at which the flight would pass, all else alike, and what binds above it. [K]"""
    situation = situation_of(choices.started_in_time(question) or question)
    sheet = situation.sheet
    bends = [
        point
        for _, printed in question.definition.tables
        for axis in (printed.table.axes if printed.table else ())
        if axis.name == "air temperature"
        for point in axis.points
    ]
    if sheet.value("hottest_k") is None:
        return None
    found = spans(situation, of_numbers(heat_numbers), low=230.0, high=330.0, bends=bends)
    return (found[-1].high, found[-1].binds_high) if found else None


def _needs(question: Question, fleet: Sequence[Aircraft]) -> Iterator[Need]:
    now_k = situation_of(question).sheet.value("hottest_k")
    if now_k is None:
        return
    found = highest_temperature(question)
    if found is not None and found[0] < now_k:
        yield Need(question.definition.id, None, *found)
    for aircraft in fleet:
        if aircraft.definition.id == question.definition.id:
            continue
        moved = choices.with_aircraft(question, aircraft, 0.0)
        cool = _cooled_fuel(moved)
        if cool is None:
            continue
        found = highest_temperature(choices.with_aircraft(question, aircraft, cool))
        if found is not None and found[0] < now_k:
            yield Need(aircraft.definition.id, cool, *found)


def _cooled_fuel(question: Question) -> float | None:
    """Return the least fuel that the flight needs in this aircraft, whatever the air: reserve and trip."""
    full_l = capacity_l(question)
    if full_l is None:
        return None
    situation = situation_of(choices.with_fuel(question, full_l))
    limits = situation.sheet.value("limits:fuel")
    needed = [limit.value for limit in limits or () if limit.value is not None]
    if not needed or max(needed) > full_l:
        return None
    return _careful(Span(max(needed), full_l, "", ""), STEP_L)[0]
