"""What must be off the aircraft and what must be back in place: training markers and the restore list."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from gyrewright.check import check
from gyrewright.finding import Condition, Cure, Finding, Verdict
from gyrewright.inspection.lists import OPENS_NOTHING
from gyrewright.inspection.walk import Marker, Touch, Walk
from gyrewright.inspection.walk_rules import WalkRules


@check("inspection.marker")
def marker(
    markers: tuple[Marker, ...],
    walks: tuple[Walk, ...],
    walk_rules: WalkRules,
    asked_at: datetime,
    depart_at: datetime,
    commander: str,
) -> Finding:
    """Judge training markers: each off and seen off by two, then a full real inspection. Never says where one is."""
    on = [one for one in markers if one.placed_at <= asked_at and one.off_at(asked_at) is None]
    if on:
        numbers = tuple(str(one.number) for one in sorted(on, key=lambda each: each.number))
        placers = ", ".join(sorted({one.placed_by for one in on}))
        cures = (Cure("inspection.count_markers", placers, {"count": len(on)}),)
        params = {"count": len(on), "numbers": numbers, "placers": tuple(sorted({one.placed_by for one in on}))}
        return Finding("inspection.marker", Verdict.STOP, "on", value=len(on), limit=0, params=params, cures=cures)
    off = [when for one in markers if (when := one.off_at(asked_at)) is not None]
    if off:
        last = max(off)
        since = [
            one
            for one in walks
            if one.kind in walk_rules.full
            and one.complete
            and one.began_at >= last
            and one.ended_at
            and one.ended_at <= asked_at
        ]
        if not since:
            params = {"last_at": last}
            cures = (Cure("inspection.walk_round", commander or "commander", {"walk": "full"}),)
            return Finding(
                "inspection.marker",
                Verdict.UNKNOWN,
                "no_inspection",
                lacking=("walk:full",),
                params=params,
                cures=cures,
            )
    return Finding("inspection.marker", Verdict.GO, "go", params={"count": len(markers)})


@check("inspection.restore")
def restore(
    walks: tuple[Walk, ...],
    touches: tuple[Touch, ...],
    restore_items: tuple[str, ...],
    walk_rules: WalkRules,
    asked_at: datetime,
    depart_at: datetime,
    commander: str,
) -> Finding:
    """Judge whether everything that must be put back was put back by touch, after the last thing that undoes it."""
    made = [one for one in walks if one.began_at <= asked_at]
    opening = (one for one in made if one.list_id not in OPENS_NOTHING)
    newest = max(opening, key=lambda one: (one.began_at, one.id), default=None)
    resets = [touch.at for touch in touches if touch.what in walk_rules.restore_reset_by and touch.at <= asked_at]
    resets += [each.to for one in made for each in one.interruptions if each.on in walk_rules.restore_reset_by]
    since = max((*resets, *((newest.began_at,) if newest else ())), default=None)
    done = {item for one in made for item, at in one.restored if at <= asked_at and (since is None or at >= since)}
    left = [item for item in restore_items if item not in done]
    params: dict[str, Any] = {"items": tuple(left), "count": len(left), "of": len(restore_items)}
    if not left:
        return Finding("inspection.restore", Verdict.GO, "go", params=params)
    longest = max((needed.takes for needed in walk_rules.needed), default=None)
    if longest is not None and depart_at - asked_at >= longest:
        condition = Condition("inspection.restore_first", commander or "commander", depart_at, {"count": len(left)})
        return Finding("inspection.restore", Verdict.GO_IF, "later", params=params, conditions=(condition,))
    cures = (Cure("inspection.put_back", commander or "commander", params),)
    return Finding(
        "inspection.restore",
        Verdict.UNKNOWN,
        "left",
        lacking=tuple(f"restored:{item}" for item in left),
        params=params,
        cures=cures,
    )
