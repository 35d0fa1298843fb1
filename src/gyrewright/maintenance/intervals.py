"""Whether a flight fits into what is left of every interval, directive, notice and life.

The plan is compared, not the moment: what the meter shows, plus what is booked before, plus this flight, plus what the
house wants left over, must not pass the strictest layer's limit. Equal passes.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date, datetime, time, timedelta, tzinfo
from typing import Any

from gyrewright.arrays import Num, Truth, at_most
from gyrewright.check import Check, check
from gyrewright.finding import (
    BindsNext,
    Condition,
    Cure,
    Finding,
    Layer,
    Limit,
    Sense,
    Source,
    Verdict,
)
from gyrewright.maintenance.clocks import (
    FINISHED,
    IN_DATE,
    NO_EVIDENCE,
    NOT_ASKED,
    OVER,
    UNCLEAR,
    Due,
)
from gyrewright.maintenance.defects import Entitled
from gyrewright.maintenance.house import House
from gyrewright.maintenance.program import KINDS
from gyrewright.maintenance.records import Decision, History
from gyrewright.maintenance.who import who_may

ACCEPT_BEYOND = "sign flights beyond an interval"
DECIDE_NOTICE = "decide on a notice"


SAME_H = 1e-6
"""Less than this is nothing: no meter shows four thousandths of a second."""


def fits(*, planned: Num, latest: Num) -> Truth:
    """Return whether a planned reading is within the latest one allowed; equality passes. Takes arrays."""
    return at_most(planned, latest)


@dataclass(frozen=True, slots=True)
class _Plan:
    """What a flight, and all that comes before it, will add to the clocks."""

    block_h: float | None
    before_h: float
    allowance_h: float
    reading_stands: timedelta
    counts: Mapping[str, float]
    asked_at: datetime
    zone: tzinfo | None
    last_day: date

    def flown(self, due: Due) -> float | None:
        """Return what the flight adds to a clock; None where that is left open or not known."""
        return self.block_h if due.unit == "h" else self.counts.get(due.clock.meter)

    def spare_if_open(self, due: Due) -> float | None:
        """Return what is left for a flight whose end is left open; None where it is not open, or nothing is left."""
        if self.block_h is not None or due.unit != "h" or due.state != IN_DATE or self.is_stale(due):
            return None
        if due.binding is None or isinstance(due.binding.latest, date) or not isinstance(due.now, float):
            return None
        spare = due.binding.latest - due.now - self.before_h - self.allowance_h
        return spare if spare > SAME_H else None

    def is_stale(self, due: Due) -> bool:
        """Whether the meter was read too long ago."""
        return due.read_at is not None and self.asked_at - due.read_at > self.reading_stands


def _judge(dues: tuple[Due, ...], plan: _Plan, entitled: Entitled) -> tuple[Finding, ...]:
    """Return one finding for each clock that does not plainly pass, and one for the tightest that does.

    The passing ones are one finding for meters and one for dates: twenty lines of "fits" would hide the one that binds.
    """
    found: list[Finding] = []
    by_meter: list[tuple[float, str, Due]] = []
    by_date: list[tuple[date, str, Due]] = []
    left_open: list[tuple[float, str, Due]] = []
    for due in dues:
        if not _is_open(due):
            continue
        share = _passes(due, plan)
        spare = plan.spare_if_open(due)
        if spare is not None:
            left_open.append((spare, due.task.id, due))
        elif share is None:
            found.append(_judge_one(due, plan, entitled))
        elif isinstance(share, date):
            by_date.append((share, due.task.id, due))
        else:
            by_meter.append((share, due.task.id, due))
    for passing in (left_open, by_meter, by_date):
        if passing:
            found.append(_judge_one(min(passing, key=lambda one: one[:2])[2], plan, entitled))
    return tuple(found)


def _passes(due: Due, plan: _Plan) -> float | date | None:
    """Return how tightly a clock passes, as the share left or as its date; None where it does not plainly pass."""
    if due.state != IN_DATE or due.binding is None:
        return None
    latest, now = due.binding.latest, due.now
    if isinstance(latest, date):
        return latest if plan.last_day <= latest else None
    flown = plan.flown(due)
    if flown is None or not isinstance(now, float) or plan.is_stale(due):
        return None
    planned = now + flown + (plan.before_h + plan.allowance_h if due.unit == "h" else 0.0)
    return _share(due, latest, planned) if fits(planned=planned, latest=latest) else None


def _share(due: Due, latest: float, planned: float) -> float:
    """Return what the plan leaves of a clock, as a share of what is left of it now: the one that is reached first is
    the tightest, however long its interval.
    """
    left = latest - due.now if isinstance(due.now, float) else 0.0
    return (latest - planned) / left if left > 0.0 else 0.0


def _judge_one(due: Due, plan: _Plan, entitled: Entitled) -> Finding:
    if due.state in (NO_EVIDENCE, UNCLEAR):
        return _unknown(due, entitled)
    if due.clock.by_calendar:
        return _by_date(due, plan.last_day, plan.zone, entitled)
    if plan.is_stale(due):
        return _stale(due, plan.asked_at)
    if due.unit == "h":
        return _on_meter(due, plan.block_h, plan.before_h, plan.allowance_h, entitled)
    flown = plan.flown(due)
    if flown is None:
        return _finding(due, Verdict.UNKNOWN, "count", lacking=(f"counts_planned:{due.clock.meter}",))
    return _on_meter(due, flown, 0.0, 0.0, entitled)


def _unknown(due: Due, entitled: Entitled) -> Finding:
    why = "no_evidence" if due.state == NO_EVIDENCE else due.lacking[0].split(":")[0]
    if due.state == NO_EVIDENCE and due.task.part and due.lacking and due.lacking[0].startswith("part"):
        why = "part"
    return _finding(
        due,
        Verdict.UNKNOWN,
        why if due.said_by or why != "no_evidence" else "no_record",
        lacking=due.lacking,
        cures=(Cure("maintenance.show_or_do", _signers(due, entitled), {"task": due.task.name}),),
    )


def _stale(due: Due, asked_at: datetime) -> Finding:
    assert due.read_at is not None
    return _finding(
        due,
        Verdict.UNKNOWN,
        "stale_reading",
        lacking=(f"meter_reading:{due.clock.meter}",),
        params={"read_at": due.read_at, "age_h": (asked_at - due.read_at) / timedelta(hours=1)},
    )


def _signers(due: Due, entitled: Entitled) -> str:
    return who_may(entitled, due.task.act) if due.task.act else "maintainer"


def _source(due: Due) -> Source:
    if due.binding is not None and due.binding.variation.source.title:
        return due.binding.variation.source
    return due.task.source


def _finding(due: Due, verdict: Verdict, why: str, **given: Any) -> Finding:
    params: dict[str, Any] = {
        "task": due.task.name,
        "meter": due.clock.meter,
        "unit": due.unit,
        "said_by": tuple(due.said_by.split(", ")) if due.said_by else (),
        "whose": due.binding.variation.whose.value if due.binding else "",
        **given.pop("params", {}),
    }
    dimension = {"h": "time", "times": "count"}.get(due.unit, "")
    return Finding(
        id=f"maintenance.{due.task.kind}",
        verdict=verdict,
        why=why,
        dimension=dimension,
        source=_source(due),
        about=due.task.id,
        params=params,
        **given,
    )


def _limit(due: Due, whose_layer: int, latest: float | date) -> Limit:
    layer = due.layers[whose_layer]
    return Limit(
        of="interval",
        whose=layer.variation.whose,
        sense=Sense.AT_MOST,
        value=latest,
        typed=due.clock.span.typed if due.clock.span else "",
        source=layer.variation.source if layer.variation.source.title else due.task.source,
        scope=layer.variation.name,
        when=layer.variation.when,
    )


def _on_meter(due: Due, flown: float | None, before: float, allowance: float, entitled: Entitled) -> Finding:
    assert due.binding is not None
    assert isinstance(due.now, float)
    now: float = due.now
    planned = now + before + (flown or 0.0) + allowance
    layers = tuple(
        Layer(
            _limit(due, number, layer.latest),
            planned,
            layer.latest - planned,
            bool(fits(planned=planned, latest=layer.latest)),
            layer is due.binding,
        )
        for number, layer in enumerate(due.layers)
        if layer.bears and not isinstance(layer.latest, date)
    )
    latest = due.binding.latest
    assert not isinstance(latest, date)
    spare = latest - now - before - allowance
    suffix = "h" if due.unit == "h" else "count"
    params = {
        f"due_{suffix}": due.binding.due,
        f"latest_{suffix}": latest,
        f"now_{suffix}": now,
        f"before_{suffix}": before,
        f"flight_{suffix}": flown if flown is not None else 0.0,
        f"allowance_{suffix}": allowance,
        f"longest_{suffix}": max(spare, 0.0),
        f"over_{suffix}": max(now - latest, 0.0),
    }
    given: dict[str, Any] = {
        "value": planned,
        "limit": latest,
        "margin": latest - planned,
        "layers": layers,
        "params": params,
    }
    cure = Cure("maintenance.do_task", _signers(due, entitled), {"task": due.task.name})
    if due.state == OVER:
        return _finding(due, Verdict.STOP, f"over_{suffix}", cures=(cure,), **given)
    if not fits(planned=planned, latest=latest):
        shorter = (
            (Cure("maintenance.fly_shorter", "commander", {"longest_h": spare}),)
            if spare > 0.0 and due.unit == "h"
            else ()
        )
        return _finding(due, Verdict.STOP, f"beyond_{suffix}", cures=(*shorter, cure), **given)
    if flown is None:
        if spare <= SAME_H:
            return _finding(due, Verdict.STOP, f"beyond_{suffix}", cures=(cure,), **given)
        condition = Condition(
            "maintenance.down_by_meter",
            "commander",
            None,
            {"meter": due.clock.meter, "at_h": latest, "longest_h": spare},
        )
        return _finding(due, Verdict.GO_IF, f"open_{suffix}", conditions=(condition,), **given)
    share = _share(due, latest, planned)
    return _finding(due, Verdict.GO, f"go_{suffix}", binds_next=BindsNext(share=share, by=due.clock.meter), **given)


def _by_date(due: Due, last_day: date, zone: tzinfo | None, entitled: Entitled) -> Finding:
    assert due.binding is not None
    latest = due.binding.latest
    assert isinstance(latest, date)
    days = (latest - last_day).days
    layers = tuple(
        Layer(
            _limit(due, number, layer.latest),
            last_day,
            (layer.latest - last_day).days,
            last_day <= layer.latest,
            layer is due.binding,
        )
        for number, layer in enumerate(due.layers)
        if layer.bears and isinstance(layer.latest, date)
    )
    given: dict[str, Any] = {
        "value": last_day,
        "limit": latest,
        "margin": days,
        "layers": layers,
        "params": {"due_on": due.binding.due, "latest_on": latest, "left_days": days, "on": last_day},
    }
    if days < 0:
        cure = Cure("maintenance.do_task", _signers(due, entitled), {"task": due.task.name})
        return _finding(due, Verdict.STOP, "over_on", cures=(cure,), **given)
    end = datetime.combine(latest, time(23, 59), tzinfo=zone)
    return _finding(due, Verdict.GO, "go_on", binds_next=BindsNext(at=end), **given)


def as_it_stands(due: Due, *, asked_at: datetime, on: date, zone: tzinfo | None, entitled: Entitled) -> Finding:
    """Return what one clock says by itself, with no flight planned: what it shows now against every layer's limit.

    Its `why` is one of "stands_h", "stands_count", "stands_on" and the same with "past" in front; what is not known
    keeps the words that it has before a flight. How old a reading may be is a question of a flight and is not asked.

    Args:
        due: The clock, worked out.
        asked_at: When this is asked.
        on: The local day.
        zone: The clock of the place.
        entitled: Who may carry out which act.
    """
    plan = _Plan(
        block_h=0.0,
        before_h=0.0,
        allowance_h=0.0,
        reading_stands=timedelta.max,
        counts={due.clock.meter: 0.0},
        asked_at=asked_at,
        zone=zone,
        last_day=on,
    )
    found = _judge_one(due, plan, entitled)
    if found.verdict is Verdict.UNKNOWN:
        return found
    state = "past" if found.verdict is Verdict.STOP else "stands"
    return replace(found, why=f"{state}_{found.why.rpartition('_')[2]}")


def _of_kind(kind: str) -> Check:
    """Return the check that judges every task of one kind."""

    def judge(
        dues: tuple[Due, ...],
        maintenance_history: History,
        maintenance_house: House,
        block_h: float | None,
        booked_before_h: float,
        interval_allowance_h: float,
        meter_reading_stands_h: float,
        counts_planned: Mapping[str, float],
        asked_at: datetime,
        flight_ends_on: date,
        local_zone: tzinfo | None,
        entitled: Entitled,
    ) -> tuple[Finding, ...]:
        mine = tuple(due for due in dues if due.task.kind == kind)
        if kind == "inspection" and not mine:
            # A program without any inspection says nothing about upkeep.
            return (Finding(f"maintenance.{kind}", Verdict.UNKNOWN, "no_program", lacking=("maintenance_program",)),)
        plan = _Plan(
            block_h=block_h,
            before_h=booked_before_h,
            allowance_h=interval_allowance_h,
            reading_stands=timedelta(hours=meter_reading_stands_h),
            counts=counts_planned,
            asked_at=asked_at,
            zone=local_zone,
            last_day=flight_ends_on,
        )
        binding, advised = mine, []
        if kind == "notice":
            binding = tuple(due for due in mine if notice_binds(due, maintenance_house, maintenance_history))
            advised = [
                _advised(due, maintenance_history, entitled) for due in mine if due not in binding and _is_open(due)
            ]
        found = (*_judge(binding, plan, entitled), *advised)
        if mine and not found:
            return (Finding(f"maintenance.{kind}", Verdict.GO, "none_open", params={"count": len(mine)}),)
        return found

    return check(f"maintenance.{kind}")(judge)


def _is_open(due: Due) -> bool:
    return due.state not in (FINISHED, NOT_ASKED)


def _advised(due: Due, history: History, entitled: Entitled) -> Finding:
    decision = _decision(due, history)
    if decision is not None and decision.by in entitled.get(DECIDE_NOTICE, frozenset()):
        return _finding(due, Verdict.GO, "declined", params={"by": decision.by, "reason": decision.reason})
    if due.state == IN_DATE:
        return _finding(due, Verdict.GO, "advised")
    cure = Cure("maintenance.decide_notice", who_may(entitled, DECIDE_NOTICE), {"task": due.task.name})
    return _finding(due, Verdict.UNKNOWN, "undecided", lacking=(f"decision:{due.task.id}",), cures=(cure,))


@check("maintenance.directive_list")
def directive_list(directives_read_on: date, maintenance_house: House, flight_on: date) -> Finding:
    """Judge whether somebody has read through the list of directives, and lately enough for the house."""
    stands = maintenance_house.directives_stand_days
    age = (flight_on - directives_read_on).days
    params = {"read_on": directives_read_on, "age_days": age}
    if age < 0 or (stands is not None and age > stands):
        return Finding(
            "maintenance.directive_list", Verdict.UNKNOWN, "old", lacking=("directives_read_on",), params=params
        )
    return Finding("maintenance.directive_list", Verdict.GO, "go", params=params)


def _decision(due: Due, history: History) -> Decision | None:
    made = [one for one in history.decisions if one.task == due.task.id]
    return max(made, key=lambda one: (one.on, one.decided == "follow"), default=None)


def notice_binds(due: Due, house: House, history: History) -> bool:
    """Return whether a maker's notice must be followed: as printed, by the house's areas, or as was decided."""
    if due.task.printed == "mandatory" or due.task.areas & house.mandatory_areas:
        return True
    decision = _decision(due, history)
    return decision is not None and decision.decided == "follow"


@check("maintenance.flown_past")
def flown_past(
    dues: tuple[Due, ...], maintenance_house: House, purpose: str, entitled: Entitled
) -> tuple[Finding, ...] | None:
    """Bar the purposes that the house names while flights beyond an interval have not been signed for."""
    if purpose not in maintenance_house.flown_past_bars:
        return None
    return tuple(
        Finding(
            "maintenance.flown_past",
            Verdict.STOP,
            "stop",
            about=due.task.id,
            source=maintenance_house.source,
            params={"task": due.task.name, "beyond": round(due.beyond, 3), "unit": due.unit},
            cures=(Cure("maintenance.sign_beyond", who_may(entitled, ACCEPT_BEYOND), {"task": due.task.name}),),
        )
        for due in dues
        if due.beyond > 0.0
    )


CHECKS: tuple[Check, ...] = (*(_of_kind(kind) for kind in KINDS), directive_list, flown_past)
