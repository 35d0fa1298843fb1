"""A forecast over time: which complete conditions may hold, and when."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime

from gyrewright.air.reports.facts import WEATHER_FACTS, Conditions, Period, State
from gyrewright.air.reports.taf import AFRESH, Taf

_NOTHING_KNOWN = Conditions(lost=frozenset(WEATHER_FACTS))


@dataclass(frozen=True, slots=True)
class Spell:
    """Complete conditions that may hold from `start` to `end`.

    `kind` and `probability_percent` are those of the group that brings them. From `certain_from` to `certain_to` they
    are the prevailing ones; before, a change may not have brought them yet, after, the next may have ended them; both
    are None for temporary and probable conditions. All times are None where the validity of the forecast is lost.
    """

    kind: str
    probability_percent: int | None
    start: datetime | None
    end: datetime | None
    certain_from: datetime | None
    certain_to: datetime | None
    conditions: Conditions

    def overlaps(self, *, start: datetime, end: datetime) -> bool:
        """Return whether these conditions may hold at some moment from start to end, both included."""
        if self.start is None or self.end is None:
            return True
        return self.start <= end and start <= self.end


def overridden(base: Conditions, change: Conditions) -> Conditions:
    """Return the base with every fact replaced that the change says anything about, be it that it is lost."""
    facts: dict[str, object] = {}
    states: dict[State, set[str]] = {State.UNREAD: set(), State.CONTRADICTORY: set(), State.MISSING: set()}
    for fact in WEATHER_FACTS:
        source = base if change.state(fact) is State.NOT_STATED else change
        facts[fact] = getattr(source, fact)
        if (state := source.state(fact)) in states:
            states[state].add(fact)
    return Conditions(
        **facts,  # type: ignore[arg-type]
        lost=frozenset(states[State.UNREAD]),
        contradictory=frozenset(states[State.CONTRADICTORY]),
        missing=frozenset(states[State.MISSING]),
    )


def conditions_over(taf: Taf) -> tuple[Spell, ...]:
    """Return the complete conditions that the forecast allows, in the order in which its groups bring them.

    An FM group replaces everything; BECMG, TEMPO and PROB replace only what they state. During a BECMG both the old
    and the new conditions may hold. Every value that a fact may have at a time stands in some spell that covers it;
    where independent changes overlap, their combinations are not all listed, nor are the values passed on the way
    from the old to the new. A group that may have opened a period of its own makes everything unknown from the FM
    group before it to the next. A forecast that is empty, canceled or without a validity allows no known conditions.

    Source: [AIM2023] 7-1-29; [AWH28] ch. 27.
    """
    if not taf.periods or taf.valid_from is None:
        return (Spell("unknown", None, taf.valid_from, taf.valid_to, None, None, _NOTHING_KNOWN),)
    prevailing: list[Spell] = []
    passing: list[Spell] = []
    for track in _tracks(taf.periods):
        prevailing.extend(_prevailing(track))
        first = track[0]
        passing.extend(
            Spell("unknown", None, first.start, first.end, None, None, _NOTHING_KNOWN)
            for period in track
            if period.kind == "unknown"
        )
    for period in taf.periods:
        if period.kind in ("temporary", "probable"):
            passing.extend(_passing(period, prevailing))
    return (*prevailing, *passing)


def _tracks(periods: tuple[Period, ...]) -> Iterator[list[Period]]:
    """Part the periods where one starts afresh."""
    track: list[Period] = []
    for period in periods:
        if period.kind in AFRESH and track:
            yield track
            track = []
        track.append(period)
    yield track


def _prevailing(track: list[Period]) -> Iterator[Spell]:
    """Yield the conditions that a period and the lasting changes after it bring, one after the other."""
    first = track[0]
    opening, closing = _times(first)
    conditions = first.conditions
    changes = sorted((period for period in track if period.kind == "becoming"), key=_times)
    start = certain_from = opening
    kind = first.kind
    for change in changes:
        change_start, change_end = max(_times(change)[0], opening), min(_times(change)[1], closing)
        yield from _spell(kind, start, change_end, certain_from, change_start, conditions)
        conditions = overridden(conditions, change.conditions)
        kind, start, certain_from = change.kind, change_start, change_end
    yield from _spell(kind, start, closing, certain_from, closing, conditions)


def _spell(
    kind: str, start: datetime, end: datetime, certain_from: datetime, certain_to: datetime, conditions: Conditions
) -> Iterator[Spell]:
    """Yield a spell if it has any length; it is certain at no time where one change overlaps the next."""
    if start >= end:
        return
    is_certain = certain_from < certain_to
    yield Spell(
        kind, None, start, end, certain_from if is_certain else None, certain_to if is_certain else None, conditions
    )


def _passing(period: Period, prevailing: list[Spell]) -> Iterator[Spell]:
    """Yield what a temporary or probable change makes of every prevailing spell that it meets."""
    opening, closing = _times(period)
    for base in prevailing:
        base_start, base_end = _times(base)
        start, end = max(opening, base_start), min(closing, base_end)
        if start < end:
            conditions = overridden(base.conditions, period.conditions)
            yield Spell(period.kind, period.probability_percent, start, end, None, None, conditions)


def _times(of: Period | Spell) -> tuple[datetime, datetime]:
    """Return start and end of what has both, as all but unknown periods do once the validity is known."""
    assert of.start is not None
    assert of.end is not None
    return of.start, of.end
