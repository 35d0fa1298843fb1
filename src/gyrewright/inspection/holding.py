"""Whether a walk holds for this flight: finished, recent, not ended by anything since, and this commander's."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from gyrewright.check import check
from gyrewright.finding import BindsNext, Condition, Cure, Finding, Verdict
from gyrewright.inspection.walk import DOUBTS, Marker, Touch, Walk
from gyrewright.inspection.walk_rules import (
    WALK,
    Entitled,
    Happened,
    Needed,
    WalkRules,
    answers_for,
    ended_by,
    holds_until,
    not_restarted,
)


@dataclass(frozen=True, slots=True)
class _Case:
    """What a walk is held against."""

    rules: WalkRules
    touches: tuple[Touch, ...]
    markers: tuple[Marker, ...]
    work: tuple[Happened, ...]
    events: tuple[Happened, ...]
    walkers: frozenset[str]
    asked_at: datetime
    depart_at: datetime
    flight_on: date
    commander: str


@check("inspection.walk")
def walk(
    walks: tuple[Walk, ...],
    touches: tuple[Touch, ...],
    markers: tuple[Marker, ...],
    walk_rules: WalkRules,
    work_done: tuple[Happened, ...],
    event_locks: tuple[Happened, ...],
    entitled: Entitled,
    asked_at: datetime,
    depart_at: datetime,
    flight_on: date,
    commander: str,
) -> tuple[Finding, ...]:
    """Judge, for each kind of walk that the house asks for, whether one holds at the start."""
    if not walk_rules.needed:
        return (Finding("inspection.walk", Verdict.UNKNOWN, "no_rule", lacking=("walk_rules",)),)
    case = _Case(
        rules=walk_rules,
        touches=touches,
        markers=markers,
        work=work_done,
        events=event_locks,
        walkers=entitled.get(WALK, frozenset()),
        asked_at=asked_at,
        depart_at=depart_at,
        flight_on=flight_on,
        commander=commander,
    )
    return tuple(_found(walks, needed, case) for needed in walk_rules.needed)


def _flaw(one: Walk, needed: Needed, case: _Case) -> str:
    """Return why a walk does not count for this flight, as a word of the catalogue, or empty where it does."""
    if not one.complete or one.ended_at is None or one.ended_at > case.asked_at:
        return "unfinished"
    if one.doubt:
        return one.doubt
    if not holds_until(one, needed, flight_on=case.flight_on, depart_at=case.depart_at)[0]:
        return "old"
    if ended_by(
        one,
        needed,
        touches=case.touches,
        work=case.work,
        events=case.events,
        markers=case.markers,
        at=case.asked_at,
    ):
        return "ended"
    if not_restarted(one, case.rules.restarts):
        return "interrupted"
    whose = answers_for(one, needed, commander=case.commander, walkers=case.walkers, at=case.asked_at)
    return "" if whose else "not_yours"


_NEARNESS = ("", "not_yours", *DOUBTS, "interrupted", "unfinished", "ended", "old")


def _found(walks: tuple[Walk, ...], needed: Needed, case: _Case) -> Finding:
    tried = [
        (one, _flaw(one, needed, case)) for one in walks if one.kind in needed.counts and one.began_at <= case.asked_at
    ]
    commander = case.commander or "commander"
    best = min(tried, key=lambda one: (_NEARNESS.index(one[1]), -one[0].began_at.timestamp(), one[0].id), default=None)
    params: dict[str, Any] = {"walk": needed.name}
    if best is not None:
        done, flaw = best
        params |= {"by": done.by, "done_at": done.ended_at or done.began_at}
        if not flaw:
            until = holds_until(done, needed, flight_on=case.flight_on, depart_at=case.depart_at)[1]
            return Finding(
                "inspection.walk",
                Verdict.GO,
                "go",
                about=needed.name,
                params=params,
                binds_next=BindsNext(at=until) if until else None,
                holds_until=until,
            )
    why = best[1] if best else "none"
    about = {"walk": needed.name}
    given: dict[str, Any] = {
        "about": needed.name,
        "params": params,
        "cures": (Cure("inspection.walk_round", commander, about),),
    }
    # Still going on is never a matter of time left; anything else can still be done before a later start.
    if why not in ("unfinished", *DOUBTS) and case.depart_at - case.asked_at >= needed.takes:
        condition = Condition("inspection.walk_first", commander, case.depart_at, about)
        return Finding("inspection.walk", Verdict.GO_IF, "later", conditions=(condition,), **given)
    return Finding("inspection.walk", Verdict.UNKNOWN, why, lacking=(f"walk:{needed.name}",), **given)
