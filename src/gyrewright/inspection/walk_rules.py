"""How long a walk holds, what ends it, whose walk a commander may accept: the house's own data.

The house's file writes a `[walk]` table:

    [walk]
    full = ["first of the day"]
    restore_reset_by = ["engine stopped", "brake set"]
    [[walk.needed]]
    name = "first of the day"
    counts = ["first of the day"]
    holds = "day"
    whose = "entitled"
    takes = "30 min"
    ended_by = ["moved", "work", "event"]
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from typing import Protocol

from gyrewright.inspection.lists import INTERRUPTIONS, SCOPES, Restart, WalkList
from gyrewright.inspection.walk import RESTARTS, Marker, Touch, Walk
from gyrewright.reading import Section

WALK = "walk round"

Entitled = Mapping[str, frozenset[str]]


class Happened(Protocol):
    """Something that happened to the aircraft, known from another book."""

    @property
    def at(self) -> datetime: ...


@dataclass(frozen=True, slots=True)
class Needed:
    """One kind of walk that must hold at the start.

    Attributes:
        name: What the house calls it.
        counts: The kinds of walk that count as it.
        holds: How long it holds; None: for the day on which it ended.
        whose: "commander": the one who commands walks, or accepts with spot checks; "entitled": anybody entitled walks.
        spots: How many items a commander looks at again to accept another's walk.
        takes: How long it takes; a start further off than this leaves time to do it.
        ended_by: What ends it: words of touches, "work" and "event".
    """

    name: str
    counts: frozenset[str]
    holds: timedelta | None
    whose: str
    spots: int
    takes: timedelta
    ended_by: frozenset[str]


@dataclass(frozen=True, slots=True, eq=False)
class WalkRules:
    """The house's rules on walks.

    Attributes:
        full: The kinds of walk that count as a full, real inspection after a marker exercise.
        restore_reset_by: Touches and interruptions after which the restore list starts again.
        pace_share: A walk shorter than this share of the walker's own median is judged; None: no such rule.
        pace_walks: How many earlier walks the median needs.
        same_readings: From how many readings on a walk that repeats every one of the last is judged; None: no rule.
    """

    needed: tuple[Needed, ...]
    restarts: tuple[Restart, ...] = ()
    full: frozenset[str] = frozenset()
    restore_reset_by: frozenset[str] = frozenset()
    pace_share: float | None = None
    pace_walks: int = 1
    same_readings: int | None = None


def read_walk_rules(section: Section) -> WalkRules | None:
    """Return the rules of a house's `[walk]` table, finished here; None where it writes none."""
    needed = []
    for each in section.sections("needed"):
        holds = each.text("holds", required=True)
        takes = each.quantity("takes", "time", low=0.0, high=24.0, required=True)
        length = None if holds in ("day", "") else each.parsed("holds", holds, "time", 0.0, 240.0)
        needed.append(
            Needed(
                name=each.text("name", required=True),
                counts=frozenset(each.texts("counts", required=True)),
                holds=timedelta(hours=length.value) if length else None,
                whose=each.choice("whose", ("commander", "entitled"), required=True),
                spots=each.integer("spots", high=100) or 0,
                takes=timedelta(hours=takes.value if takes else 0.0),
                ended_by=frozenset(each.texts("ended_by")),
            )
        )
        each.finish()
    share = section.quantity("pace_share", "share", low=0.0, high=1.0)
    rules = WalkRules(
        needed=tuple(needed),
        restarts=tuple(_read_restart(each) for each in section.sections("restart", label="on")),
        full=frozenset(section.texts("full")),
        restore_reset_by=frozenset(section.texts("restore_reset_by", accepted=INTERRUPTIONS)),
        pace_share=share.value if share else None,
        pace_walks=section.integer("pace_walks", low=1, high=1000, required=share is not None) or 1,
        same_readings=section.integer("same_readings", low=1, high=1000),
    )
    here = bool(section.keys())
    section.finish()
    return rules if here else None


def for_list(rules: WalkRules, walk_list: WalkList) -> WalkRules:
    """Return the rules with what an interruption of a walk by this list costs, where the house writes nothing stricter.

    The list's own words on restarts and on what empties the restore list are added to those of the house.
    """
    return replace(
        rules,
        restarts=(*rules.restarts, *walk_list.restarts),
        restore_reset_by=rules.restore_reset_by | frozenset(walk_list.restore_reset_by),
    )


def _read_restart(section: Section) -> Restart:
    since = section.quantity("from", "time", low=0.0, high=240.0)
    restart = Restart(
        on=section.choice("on", INTERRUPTIONS, required=True),
        restarts=section.choice("restarts", SCOPES, required=True) or SCOPES[-1],
        from_h=since.value if since else 0.0,
        source=section.text("source"),
    )
    section.finish()
    return restart


def ended_by(
    walk: Walk,
    needed: Needed,
    *,
    touches: Iterable[Touch],
    work: Iterable[Happened],
    events: Iterable[Happened],
    markers: Iterable[Marker],
    at: datetime,
) -> str:
    """Return what ended a walk before a moment, by the house's words, or empty."""
    since = walk.ended_at or walk.began_at
    happened = [(touch.at, touch.what) for touch in touches if touch.what in needed.ended_by]
    happened += [(one.at, "work") for one in work if "work" in needed.ended_by]
    happened += [(one.at, "event") for one in events if "event" in needed.ended_by]
    happened += [(off, "marker") for marker in markers if (off := marker.off_at(at)) is not None]
    # What happened in the very minute of the end counts as after it.
    ends = sorted(
        (when, what) for when, what in happened if since <= when <= at or (what == "marker" and walk.began_at < when)
    )
    return ends[0][1] if ends else ""


def holds_until(walk: Walk, needed: Needed, *, flight_on: date, depart_at: datetime) -> tuple[bool, datetime | None]:
    """Return whether a finished walk still holds at the start, and until when where that is a length of time."""
    if walk.ended_at is None:
        return False, None
    if needed.holds is None:
        return walk.ended_at.astimezone(depart_at.tzinfo).date() == flight_on, None
    until = walk.ended_at + needed.holds
    return depart_at <= until, until


def not_restarted(walk: Walk, restarts: Iterable[Restart]) -> str:
    """Return what should have been begun again after an interruption and was not: "stand", "zone", "walk", or empty."""
    rules = tuple(restarts)
    worst = 0
    for one in walk.interruptions:
        asked = max(
            (
                RESTARTS.index(rule.restarts)
                for rule in rules
                if rule.on == one.on and one.to - one.from_ >= timedelta(hours=rule.from_h)
            ),
            default=0,
        )
        if RESTARTS.index(one.restarted) < asked:
            worst = max(worst, asked)
    return RESTARTS[worst] if worst else ""


def answers_for(walk: Walk, needed: Needed, *, commander: str, walkers: frozenset[str], at: datetime) -> str:
    """Return whose walk it is for this commander: "own", "accepted", "entitled", or empty where it does not count."""
    if commander and commander in walk.by:
        return "own"
    if not walkers & frozenset(walk.by):
        return ""
    if needed.whose == "entitled":
        return "entitled"
    accepted = any(
        one.by == commander and one.at <= at and len(set(one.spots)) >= needed.spots for one in walk.accepted
    )
    return "accepted" if accepted else ""


def who_may(entitled: Entitled, act: str) -> str:
    """Return the ids of those entitled to an act, in the order of the alphabet; the act itself where nobody is."""
    return ", ".join(sorted(entitled.get(act, frozenset()))) or act
