"""Whether the newest walk was unusually quick for its walker, or repeats the last readings to the letter."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime
from statistics import median
from typing import Any

from gyrewright.check import check
from gyrewright.finding import Finding, Verdict
from gyrewright.inspection.walk import Walk
from gyrewright.inspection.walk_rules import WalkRules


@check("inspection.pace")
def pace(
    walks: tuple[Walk, ...], walk_rules: WalkRules, asked_at: datetime, commander: str
) -> tuple[Finding, ...] | None:
    """Judge the newest finished walk of each kind against its walkers' own pace and against the last readings."""
    out: list[Finding | None] = []
    finished = sorted(
        (one for one in walks if one.complete and one.ended_at and one.ended_at <= asked_at),
        key=lambda one: (one.began_at, one.id),
    )
    for kind in dict.fromkeys(one.kind for one in finished):
        of_kind = [one for one in finished if one.kind == kind]
        newest, earlier = of_kind[-1], of_kind[:-1]
        params: dict[str, Any] = {"walk": kind, "walker": newest.by, "judge": commander or "commander"}
        out.extend(_quick(newest, who, earlier, walk_rules, params) for who in newest.by)
        least = walk_rules.same_readings
        if least is not None and earlier and len(newest.readings) >= least and newest.readings == earlier[-1].readings:
            shown = {**params, "count": len(newest.readings), "last_at": earlier[-1].ended_at or earlier[-1].began_at}
            out.append(Finding("inspection.pace", Verdict.JUDGE, "same", about=kind, params=shown))
    found = tuple(each for each in out if each is not None)
    return found or None


def _quick(
    newest: Walk, who: str, earlier: list[Walk], walk_rules: WalkRules, params: Mapping[str, Any]
) -> Finding | None:
    """Return a judgement where one walker was far quicker than his or her own median."""
    own = [one.lasted.total_seconds() / 60.0 for one in earlier if who in one.by and one.lasted is not None]
    lasted = newest.lasted
    if walk_rules.pace_share is None or len(own) < walk_rules.pace_walks or lasted is None:
        return None
    usual, took = median(own), lasted.total_seconds() / 60.0
    if took >= walk_rules.pace_share * usual:
        return None
    return Finding(
        "inspection.pace",
        Verdict.JUDGE,
        "quick",
        value=took,
        limit=walk_rules.pace_share * usual,
        about=newest.kind,
        params={**params, "walker": (who,), "took_min": took, "usual_min": usual, "walks": len(own)},
    )
