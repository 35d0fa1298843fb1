"""A comparison becomes a finding: every layer side by side, the strictest marked, what binds next."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import replace
from datetime import timedelta
from typing import Any

from gyrewright.air.course import first_beyond, minutes, moment_of
from gyrewright.arrays import at_least, at_most
from gyrewright.check import Aging, Check, Comparison
from gyrewright.finding import BindsNext, Condition, Cure, Finding, Layer, Limit, Sense, Source, Verdict, Whose
from gyrewright.sheet import Asked, Plan, Sheet
from gyrewright.units import ZERO_C_K

_ORDER = {whose: rank for rank, whose in enumerate(Whose)}


def passes(limit: Limit, value: Any) -> Any:
    """Return whether a value is on the allowed side of a limit; numbers alike to 1e-9 are equal."""
    if limit.sense is Sense.AT_MOST:
        return at_most(value, limit.value)
    if limit.sense is Sense.AT_LEAST:
        return at_least(value, limit.value)
    if limit.sense is Sense.BELOW:
        return not_(at_least(value, limit.value))
    return not_(at_most(value, limit.value))


def not_(truth: Any) -> Any:
    """Return the opposite, element by element."""
    return (not truth) if isinstance(truth, bool) else ~truth


def margin(limit: Limit, value: Any) -> Any:
    """Return how far a value lies inside a limit, negative beyond it."""
    return limit.value - value if limit.sense.is_upper else value - limit.value


def compared(comparison: Comparison, limit: Limit) -> str:
    """Return the name of the value that a limit is compared with."""
    if limit.counts == "mean" and comparison.mean:
        return comparison.mean
    return comparison.upper if limit.sense.is_upper else comparison.lower


def lacking_layers(comparison: Comparison, limits: Iterable[Limit]) -> tuple[str, ...]:
    """Return the names of the layers that must speak on this quantity and do not."""
    heard = {limit.whose for limit in limits}
    about = f":{comparison.about}" if comparison.about else ""
    return tuple(f"limit:{whose.value}:{comparison.of}{about}" for whose in comparison.needed if whose not in heard)


def judge(comparison: Comparison, sheet: Asked | Sheet) -> Finding | None:
    """Return what a comparison finds on one flight's sheet; None where nobody limits the quantity."""
    stack = sheet.cell(comparison.limits)
    if stack.known is not True:
        return _unknown(comparison, sheet, stack.lacking, ())
    limits: tuple[Limit, ...] = stack.value
    lacking = list(lacking_layers(comparison, limits))
    if not limits and not lacking:
        return None
    layers = []
    for limit in sorted(limits, key=lambda each: _ORDER[each.whose]):
        if limit.value is None:
            layers.append(Layer(limit, None, None, True))
            continue
        cell = sheet.cell(compared(comparison, limit))
        if cell.known is not True:
            lacking.extend(cell.lacking)
            layers.append(Layer(limit, None, None, False))
        else:
            layers.append(Layer(limit, cell.value, margin(limit, cell.value), passes(limit, cell.value)))
    heard = tuple(layers)
    weighed = [layer for layer in heard if layer.margin is not None]
    failed = [layer for layer in weighed if not layer.passes and not layer.limit.demonstrated]
    if not failed and lacking:
        return _unknown(comparison, sheet, tuple(dict.fromkeys(lacking)), heard)
    firm = failed or [layer for layer in weighed if not layer.limit.demonstrated] or weighed
    if not firm:
        return _finding(comparison, sheet, Verdict.GO, "no figure", heard, None)
    # A value of zero leaves all of every limit: then the strictest of them binds.
    binding = min(firm, key=lambda layer: (_tightness(layer, weighed, comparison.dimension), layer.margin))
    marked = tuple(
        Layer(layer.limit, layer.value, layer.margin, layer.passes, binds=True) if layer is binding else layer
        for layer in heard
    )
    if failed and comparison.beyond is Verdict.UNKNOWN:
        stale = _finding(comparison, sheet, Verdict.UNKNOWN, "stale", marked, binding)
        return replace(stale, lacking=(f"fresh:{comparison.id}",))
    if failed:
        return _finding(comparison, sheet, Verdict.STOP, "stop", marked, binding)
    if any(not layer.limit.verified_by for layer in weighed):
        return _finding(comparison, sheet, Verdict.JUDGE, "unverified", marked, binding)
    return _finding(comparison, sheet, Verdict.GO, "go", marked, binding)


def _tightness(layer: Layer, layers: list[Layer], dimension: str) -> float:
    """Return the margin as a share: of the limit, or of the width where the quantity is held in a band.

    Against a limit of zero a share means nothing: a broken one is infinitely far beyond, a kept one says nothing.
    """
    uppers = [each.limit.value for each in layers if each.limit.sense.is_upper]
    lowers = [each.limit.value for each in layers if not each.limit.sense.is_upper]
    # A share of a temperature is one of degrees Celsius: kelvins would make every margin look like nothing.
    zero = ZERO_C_K if dimension == "temperature" else 0.0
    span = min(uppers) - max(lowers) if uppers and lowers else abs(layer.limit.value - zero)
    if span > 0.0:
        return float(layer.margin / span)
    return math.inf if layer.passes else -math.inf


def _unknown(
    comparison: Comparison, sheet: Asked | Sheet, lacking: tuple[str, ...], layers: tuple[Layer, ...]
) -> Finding:
    return replace(
        _finding(comparison, sheet, Verdict.UNKNOWN, "unknown", layers, None), lacking=tuple(dict.fromkeys(lacking))
    )


def _finding(
    comparison: Comparison,
    sheet: Asked | Sheet,
    verdict: Verdict,
    why: str,
    layers: tuple[Layer, ...],
    binding: Layer | None,
) -> Finding:
    weighed = [layer for layer in layers if layer.margin is not None]
    upper = binding.limit.sense.is_upper if binding else True
    value_name = compared(comparison, binding.limit) if binding else comparison.upper
    return Finding(
        id=comparison.id,
        verdict=verdict,
        why=why,
        value=binding.value if binding else sheet.value(value_name),
        limit=binding.limit.value if binding else None,
        margin=binding.margin if binding else None,
        dimension=comparison.dimension,
        layers=layers,
        source=binding.limit.source if binding else (layers[0].limit.source if layers else Source()),
        inputs=sheet.plan.leaves(value_name),
        binds_next=_next(comparison, sheet, binding, weighed, upper),
        working=value_name,
        about=comparison.about,
        params={"side": "upper" if upper else "lower"},
        cures=_cures(comparison, binding) if verdict is Verdict.STOP else (),
    )


def _cures(comparison: Comparison, binding: Layer | None) -> tuple[Cure, ...]:
    """Return who may change the limit that stops: an endorsement's only its signer, in writing, before the flight."""
    if binding is None or binding.limit.whose is not Whose.ENDORSEMENT:
        return ()
    signer = binding.limit.entered_by
    return (Cure("people.change_limitation", signer, {"who": signer, "of": comparison.of}),)


def _next(
    comparison: Comparison, sheet: Asked | Sheet, binding: Layer | None, layers: list[Layer], upper: bool
) -> BindsNext | None:
    if binding is None:
        return None
    tightness = _tightness(binding, layers, comparison.dimension)
    share = tightness if math.isfinite(tightness) else None
    course_name = comparison.mean_course if binding.limit.counts == "mean" else comparison.course
    course = sheet.value(course_name) if course_name else None
    depart_at = sheet.value("depart_at")
    if course is None or depart_at is None:
        return BindsNext(share=share)
    met = first_beyond(course, binding.limit.value, minutes(depart_at), upper=upper)
    return BindsNext(share=share, at=moment_of(met[0]) if met else None, by=met[1] if met else "")


def age(aging: Aging, sheet: Asked | Sheet) -> Finding | None:
    """Return what the age of a reading means at the start: fresh, to be renewed in time, or stale."""
    stack = sheet.cell(f"limits:{aging.of}")
    if stack.known is True and all(limit.value is None for limit in stack.value):
        return None
    cells = {name: sheet.cell(name) for name in (aging.age, f"limits:{aging.of}", "asked_at", "depart_at", "commander")}
    lacking = tuple(dict.fromkeys(lack for cell in cells.values() for lack in cell.lacking))
    if lacking:
        return Finding(aging.id, Verdict.UNKNOWN, "unknown", lacking=lacking, inputs=sheet.plan.leaves(aging.age))
    age_h, limits, asked_at, depart_at, commander = (cell.value for cell in cells.values())
    layers = [
        Layer(limit, age_h, limit.value - age_h, passes(limit, age_h)) for limit in limits if limit.value is not None
    ]
    tightest = min(layers, key=lambda layer: float(layer.margin))
    limit_h = tightest.limit.value
    found = Finding(
        id=aging.id,
        verdict=Verdict.GO,
        why="go",
        value=age_h,
        limit=limit_h,
        margin=tightest.margin,
        dimension="time",
        layers=tuple(replace(each, binds=each is tightest) for each in layers),
        source=tightest.limit.source,
        inputs=sheet.plan.leaves(aging.age),
        working=aging.age,
        holds_until=depart_at + timedelta(hours=limit_h - age_h),
        params={"taken_at": depart_at - timedelta(hours=age_h), "limit_h": limit_h, "age_h": age_h},
    )
    if tightest.passes:
        return found
    fresh_from = depart_at - timedelta(hours=limit_h)
    if asked_at < fresh_from:
        renew = Condition(f"{aging.id}.renew", commander, depart_at, {"fresh_from": fresh_from, "depart_at": depart_at})
        return replace(found, verdict=Verdict.GO_IF, why="go_if", conditions=(renew,), holds_until=None)
    fetch = Cure(f"{aging.id}.fetch", commander, {"limit_h": limit_h})
    return replace(
        found, verdict=Verdict.UNKNOWN, why="stale", cures=(fetch,), lacking=(f"fresh:{aging.id}",), holds_until=None
    )


ASKED_MOST = 20_000
"""How many answers to checks are kept; when there are more, they are all forgotten and asked again."""

_asked: dict[tuple[int, int, tuple[Any, ...]], tuple[Check, Plan, tuple[Finding, ...]]] = {}


def forget_asked() -> None:
    """Forget what checks found: each is asked again."""
    _asked.clear()


def ask(check: Check, sheet: Sheet) -> tuple[Finding, ...]:
    """Return what a check finds on one flight's sheet; UNKNOWN, naming them, where facts are missing.

    A check rests on its inputs alone: what it found for the same ones is not asked again, so that a flight asked anew
    with other fuel costs no second reading of the law. Inputs that cannot be told apart by value are asked each time.
    """
    cells = [sheet.cell(name) for name in check.inputs]
    if [cell for cell in cells if cell.known is not True]:
        lacking = tuple(dict.fromkeys(lack for cell in cells for lack in cell.lacking))
        inputs = sheet.plan.rests_on(check.inputs)
        return (Finding(check.id, Verdict.UNKNOWN, "unknown", lacking=lacking, inputs=inputs),)
    values = tuple(cell.value for cell in cells)
    key = (id(check), id(sheet.plan), values)
    try:
        kept = _asked.get(key)
    except TypeError:
        return _asked_now(check, sheet, values)
    if kept is None:
        if len(_asked) >= ASKED_MOST:
            _asked.clear()
        # Check and plan are kept with the answer, so that their identity is not given to others.
        kept = _asked[key] = (check, sheet.plan, _asked_now(check, sheet, values))
    return kept[2]


def _asked_now(check: Check, sheet: Sheet, values: tuple[Any, ...]) -> tuple[Finding, ...]:
    found = check.judge(*values)
    if found is None:
        return ()
    inputs = sheet.plan.rests_on(check.inputs)
    several = found if isinstance(found, tuple) else (found,)
    return tuple(each if each.inputs else replace(each, inputs=inputs) for each in several)
