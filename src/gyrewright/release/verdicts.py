"""The verdicts of checks on a sheet, as numbers: along its axes, where it has any."""

from __future__ import annotations

from typing import Any

import numpy as np

from gyrewright.check import Aging, Check, Comparison
from gyrewright.finding import Verdict, worst
from gyrewright.release.judge import ask, compared, lacking_layers, passes
from gyrewright.sheet import Sheet


def worst_of(check: Check, sheet: Sheet) -> int:
    """Return the verdict of a check on one sheet."""
    found = ask(check, sheet)
    return int(worst(found)) if found else int(Verdict.GO)


def standing(sheet: Sheet) -> int:
    """Return how many cautions stand whatever the numbers say: about the people, and about what ends this month."""
    about_people, _ = sheet.value("crew_cautions") or ((), ())
    return len(about_people) + len(sheet.value("upkeep_cautions") or ())


def verdicts_of(comparison: Comparison, sheet: Sheet) -> tuple[Any, Any]:
    """Return a comparison's verdicts on its own axes, and how many demonstrated figures are exceeded there."""
    stack = sheet.cell(comparison.limits)
    if stack.known is False:
        return np.uint16(Verdict.UNKNOWN), 0
    limits = stack.value
    lacking = lacking_layers(comparison, limits)
    failed: Any = False
    unknown: Any = bool(lacking) | ~np.asarray(stack.known)
    beyond: Any = 0
    unverified = False
    for limit in limits:
        if limit.value is None:
            continue
        name = compared(comparison, limit)
        cell = sheet.cell(name)
        unverified = unverified or not limit.verified_by
        if cell.known is False:
            unknown = True
            continue
        broken = ~np.asarray(passes(limit, cell.value)) & cell.known
        if cell.known is not True:
            unknown = unknown | ~np.asarray(cell.known)
        if limit.demonstrated:
            beyond = beyond + broken
        else:
            failed = failed | broken
    rest = Verdict.JUDGE if unverified else Verdict.GO
    verdicts = np.where(
        failed, np.uint16(comparison.beyond), np.where(unknown, np.uint16(Verdict.UNKNOWN), np.uint16(rest))
    )
    return verdicts, beyond


def age_verdicts(aging: Aging, sheet: Sheet) -> Any:
    """Return an aging's verdicts on its own axes."""
    age, stack = sheet.cell(aging.age), sheet.cell(f"limits:{aging.of}")
    asked, depart = sheet.cell("asked_min"), sheet.cell("depart_min")
    if False in (stack.known is not False, asked.known is not False, depart.known is not False):
        return np.uint16(Verdict.UNKNOWN)
    limits = [limit for limit in stack.value if limit.value is not None]
    if not limits:
        return np.uint16(Verdict.GO)
    if age.known is False:
        return np.uint16(Verdict.UNKNOWN)
    fresh: Any = True
    for limit in limits:
        fresh = fresh & np.asarray(passes(limit, age.value))
    can_renew = np.asarray(asked.value < depart.value - min(limit.value for limit in limits) * 60.0)
    verdicts = np.where(
        fresh, np.uint16(Verdict.GO), np.where(can_renew, np.uint16(Verdict.GO_IF), np.uint16(Verdict.UNKNOWN))
    )
    return np.where(age.known, verdicts, np.uint16(Verdict.UNKNOWN))


def caution_verdicts(cautions: Any, sheet: Sheet) -> Any:
    """Return whether so many cautions ask for a second view."""
    stack = sheet.cell("limits:cautions")
    if stack.known is not True:
        return np.uint16(Verdict.GO)
    too_many: Any = False
    for limit in stack.value:
        if limit.value is not None:
            too_many = too_many | (np.asarray(cautions) >= limit.value)
    return np.where(too_many, np.uint16(Verdict.JUDGE), np.uint16(Verdict.GO))
