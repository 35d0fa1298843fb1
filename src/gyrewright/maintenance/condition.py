"""Whether defects, deferrals, events and work leave the aircraft fit for this flight."""

from __future__ import annotations

from datetime import date, datetime, timedelta
from typing import Any

from gyrewright.check import Check, check
from gyrewright.finding import Condition, Cure, Finding, Limit, Verdict
from gyrewright.maintenance.defects import (
    ASSESS,
    CLOSE,
    CLOSE_REPEATED,
    DEFER,
    QUESTIONS,
    Defect,
    Entitled,
    State,
    looked_into,
    repeats,
    state_of,
)
from gyrewright.maintenance.events import CLEAR, Event
from gyrewright.maintenance.house import House
from gyrewright.maintenance.program import Program
from gyrewright.maintenance.restriction import Restriction, outside_day
from gyrewright.maintenance.who import who_may
from gyrewright.maintenance.work import CHECK_FLIGHT, SECOND_LOOK, SIGN, Work


def _finding(defect: Defect, verdict: Verdict, why: str, **given: Any) -> Finding:
    params = {
        "id": defect.id,
        "item": defect.item,
        "words": defect.words or defect.symptom,
        "reported_at": defect.at,
        "reporter": defect.by,
        **given.pop("params", {}),
    }
    return Finding("maintenance.defect", verdict, why, about=defect.id, params=params, **given)


@check("maintenance.defect")
def defects(
    defects: tuple[Defect, ...],
    entitled: Entitled,
    maintenance_house: House,
    asked_at: datetime,
    depart_at: datetime,
    land_at: datetime | None,
    flight_on: date,
    purpose: str,
    aboard_count: int,
) -> tuple[Finding, ...]:
    """Judge every defect that is not closed by somebody entitled, and every symptom reported too often."""
    out = []
    for defect in defects:
        if defect.at > asked_at:
            continue
        state = state_of(defect, entitled=entitled, at=asked_at)
        if state.name == "open":
            out.append(_open(state, entitled))
        elif state.name == "assessed":
            out.append(_assessed(state, entitled, purpose, aboard_count, land_at))
        elif state.name == "deferred":
            out.append(_deferred(state, entitled, purpose, aboard_count, depart_at, land_at, flight_on))
    times, days = maintenance_house.repeat_times, maintenance_house.repeat_days
    if times is not None and days is not None:
        for run in repeats(defects, times=times, days=days, at=asked_at):
            if not looked_into(run, entitled=entitled, at=asked_at):
                out.append(_repeated(run, entitled, asked_at, maintenance_house))
    return tuple(out) or (Finding("maintenance.defect", Verdict.GO, "none", params={"count": len(defects)}),)


def _open(state: State, entitled: Entitled) -> Finding:
    void = next((act for act in reversed(state.void) if act.kind == "closed"), None)
    params: dict[str, Any] = {"closed_by": void.by, "closed_at": void.at} if void else {}
    why = "void" if void else "open"
    cures = (
        Cure("maintenance.assess_defect", who_may(entitled, ASSESS), {"item": state.defect.item}),
        Cure("maintenance.close_defect", who_may(entitled, CLOSE), {"item": state.defect.item}),
    )
    return _finding(state.defect, Verdict.STOP, why, params=params, cures=cures)


def _kept(restriction: Restriction, land_at: datetime | None, until: datetime | None) -> tuple[Condition, ...]:
    """Return what the commander must keep to, one condition for each part of a restriction; the day is asked apart."""
    out: list[Condition] = []
    if restriction.aboard_at_most is not None:
        most = {"aboard": restriction.aboard_at_most}
        out.append(Condition("maintenance.aboard_at_most", "commander", until or land_at, most))
    if restriction.not_for:
        params = {"purposes": tuple(sorted(restriction.not_for))}
        out.append(Condition("maintenance.not_for", "commander", until or land_at, params))
    if restriction.also:
        out.append(Condition("maintenance.keep", "commander", until or land_at, {"words": restriction.also}))
    out.extend(
        Condition("maintenance.keep_limit", "commander", until or land_at, {"of": limit.of, "typed": limit.typed})
        for limit in restriction.limits
    )
    return tuple(out)


def _assessed(state: State, entitled: Entitled, purpose: str, aboard: int, land_at: datetime | None) -> Finding:
    act = state.by_act
    assert act is not None
    params: dict[str, Any] = {"assessor": act.by, "assessment": act.words or act.class_, "class": act.class_}
    cures = (Cure("maintenance.close_defect", who_may(entitled, CLOSE), {"item": state.defect.item}),)
    if act.class_ == "G":
        return _finding(state.defect, Verdict.STOP, "grounding", params=params, cures=cures)
    if act.class_ == "N":
        return _finding(state.defect, Verdict.GO, "noted", params=params)
    if not act.restriction.is_any:
        return _finding(state.defect, Verdict.JUDGE, "judge", params={**params, "judge": "commander"}, cures=cures)
    broken = act.restriction.broken_by(purpose=purpose, aboard=aboard)
    if broken:
        return _finding(
            state.defect, Verdict.STOP, f"broken_{broken}", params=_told(params, act.restriction), cures=cures
        )
    conditions = _kept(act.restriction, land_at, None)
    # By day only, and nothing else: the check of daylight carries the condition.
    verdict = Verdict.GO_IF if conditions else Verdict.GO
    return _finding(state.defect, verdict, "restricted", params=params, conditions=conditions)


def _told(params: dict[str, Any], restriction: Restriction) -> dict[str, Any]:
    return {
        **params,
        "aboard": restriction.aboard_at_most if restriction.aboard_at_most is not None else "",
        "purposes": tuple(sorted(restriction.not_for)),
    }


def _deferred(
    state: State,
    entitled: Entitled,
    purpose: str,
    aboard: int,
    depart_at: datetime,
    land_at: datetime | None,
    flight_on: date,
) -> Finding:
    act = state.by_act
    assert act is not None
    until: date | datetime | None = act.until or act.until_on
    params: dict[str, Any] = {
        "deferrer": act.by,
        "until": until or "",
        "look_again": act.look_again or "no look again is written",
    }
    cures = (
        Cure("maintenance.close_defect", who_may(entitled, CLOSE), {"item": state.defect.item}),
        Cure("maintenance.defer_again", who_may(entitled, DEFER), {"item": state.defect.item}),
    )
    required = [question for question in QUESTIONS if act.required.get(question)]
    if required:
        return _finding(state.defect, Verdict.STOP, "required", params={**params, "by_what": required[0]}, cures=cures)
    if not depart_at <= (end := land_at or depart_at):
        return _finding(state.defect, Verdict.UNKNOWN, "times", params=params, lacking=("land_at",))
    expired = (act.until is not None and end > act.until) or (
        act.until_on is not None and max(flight_on, end.astimezone(depart_at.tzinfo).date()) > act.until_on
    )
    if expired:
        return _finding(state.defect, Verdict.STOP, "expired", params=params, cures=cures)
    lacking = [f"deferral_{question}" for question in QUESTIONS if question not in act.required]
    lacking += [] if act.made_safe else ["deferral_made_safe"]
    lacking += [] if act.placard else ["deferral_placard"]
    if lacking:
        return _finding(state.defect, Verdict.UNKNOWN, "unfinished", params=params, lacking=tuple(lacking), cures=cures)
    broken = act.restriction.broken_by(purpose=purpose, aboard=aboard)
    if broken:
        return _finding(
            state.defect, Verdict.STOP, f"broken_{broken}", params=_told(params, act.restriction), cures=cures
        )
    conditions = _kept(act.restriction, land_at, act.until)
    if act.look_again:
        conditions += (
            Condition("maintenance.look_again", "commander", act.until or land_at, {"what": act.look_again}),
        )
    if not conditions and not (act.restriction.day_only or act.until_sunset):
        return _finding(
            state.defect, Verdict.JUDGE, "judge_deferral", params={**params, "judge": "commander"}, cures=cures
        )
    verdict = Verdict.GO_IF if conditions else Verdict.GO
    return _finding(state.defect, verdict, "deferred", params=params, conditions=conditions)


def _repeated(run: tuple[Defect, ...], entitled: Entitled, at: datetime, house: House) -> Finding:
    last = run[-1]
    reports = "; ".join(f"{one.at.date().isoformat()} {one.by}: {one.words or one.symptom}" for one in run)
    closers = sorted({act.by for one in run for act in one.acts if act.kind == "closed" and act.at <= at})
    return Finding(
        "maintenance.repeated",
        Verdict.STOP,
        "stop",
        value=len(run),
        limit=house.repeat_times,
        about=last.id,
        source=house.source,
        params={
            "item": last.item,
            "symptom": last.symptom,
            "times": len(run),
            "days": house.repeat_days,
            "reports": reports,
            "closers": tuple(closers),
        },
        cures=(Cure("maintenance.look_into", who_may(entitled, CLOSE_REPEATED), {"item": last.item}),),
    )


@check("maintenance.day_only")
def day_only(
    defects: tuple[Defect, ...],
    entitled: Entitled,
    asked_at: datetime,
    depart_at: datetime,
    land_at: datetime | None,
    sunrise_at: datetime,
    sunset_at: datetime,
    flight_on: date,
) -> tuple[Finding, ...] | None:
    """Judge whether a flight stays within the day where a defect is carried by day only or until sunset."""
    out = []
    for defect in defects:
        state = state_of(defect, entitled=entitled, at=asked_at)
        act = state.by_act
        if act is None or state.name not in ("assessed", "deferred"):
            continue
        ends_at_sunset = act.until_sunset and (act.until_on is None or act.until_on <= flight_on)
        if not (act.restriction.day_only or ends_at_sunset):
            continue
        params = {"item": defect.item, "sunset_at": sunset_at, "sunrise_at": sunrise_at}
        outside = outside_day(depart_at=depart_at, land_at=land_at, sunrise_at=sunrise_at, sunset_at=sunset_at)
        if outside:
            cures = (
                Cure("maintenance.fly_by_day", "commander", {"sunset_at": sunset_at}),
                Cure("maintenance.close_defect", who_may(entitled, CLOSE), {"item": defect.item}),
            )
            out.append(
                Finding(
                    "maintenance.day_only",
                    Verdict.STOP,
                    outside,
                    value=depart_at if outside == "start" else land_at,
                    limit=sunset_at,
                    about=defect.id,
                    params=params,
                    cures=cures,
                )
            )
        else:
            condition = Condition("maintenance.down_by_sunset", "commander", sunset_at, params)
            out.append(
                Finding(
                    "maintenance.day_only",
                    Verdict.GO_IF,
                    "go_if",
                    value=land_at,
                    limit=sunset_at,
                    about=defect.id,
                    params=params,
                    conditions=(condition,),
                )
            )
    return tuple(out) or None


@check("maintenance.event")
def events(
    event_locks: tuple[Event, ...],
    maintenance_program: Program,
    maintenance_house: House,
    entitled: Entitled,
    asked_at: datetime,
    depart_at: datetime,
    purpose: str,
) -> tuple[Finding, ...]:
    """Judge every event: locked until the right inspection is signed by somebody entitled, however many days later."""
    out = []
    wait_h = maintenance_house.alone_after_event_h
    for event in event_locks:
        if event.at > asked_at:
            continue
        inspection = maintenance_program.inspections_after.get(event.kind, "")
        params = {
            "kind": event.kind,
            "at": event.at,
            "inspection": inspection or "an inspection that the program names",
        }
        cleared = event.cleared(inspection=inspection, entitled=entitled, at=asked_at)
        if cleared is None:
            tried = next((one for one in reversed(event.clearings) if one.at <= asked_at), None)
            why = "locked" if tried is None else "not_cleared"
            if tried is not None:
                params |= {"signer": tried.signed_by, "done": tried.inspection}
            if not inspection:
                why = "no_inspection_named"
            cures = (Cure("maintenance.clear_event", who_may(entitled, CLEAR), {"inspection": params["inspection"]}),)
            out.append(Finding("maintenance.event", Verdict.STOP, why, about=event.id, params=params, cures=cures))
        elif purpose == "student alone" and wait_h is not None and depart_at < cleared.at + timedelta(hours=wait_h):
            free_at = cleared.at + timedelta(hours=wait_h)
            out.append(
                Finding(
                    "maintenance.event",
                    Verdict.STOP,
                    "alone_too_soon",
                    value=depart_at,
                    limit=free_at,
                    about=event.id,
                    source=maintenance_house.source,
                    params={**params, "free_at": free_at, "wait_h": wait_h},
                )
            )
    return tuple(out) or (Finding("maintenance.event", Verdict.GO, "none", params={"count": len(event_locks)}),)


@check("maintenance.work")
def work(
    work_done: tuple[Work, ...],
    maintenance_house: House,
    entitled: Entitled,
    asked_at: datetime,
    purpose: str,
    aboard_count: int,
    commander: str,
) -> tuple[Finding, ...]:
    """Judge every piece of work: signed off, looked at a second time where asked, flown where it may fly otherwise."""
    out = []
    for each in work_done:
        if each.at > asked_at:
            continue
        params = {"what": each.what, "done_at": each.at, "workers": tuple(sorted(each.by))}
        found = _judge_work(each, params, maintenance_house, entitled, asked_at, purpose, aboard_count, commander)
        out.extend(found)
    return tuple(out) or (Finding("maintenance.work", Verdict.GO, "none", params={"count": len(work_done)}),)


def _judge_work(
    each: Work,
    params: dict[str, Any],
    house: House,
    entitled: Entitled,
    at: datetime,
    purpose: str,
    aboard: int,
    commander: str,
) -> list[Finding]:
    def found(verdict: Verdict, why: str, act: str = "", cure: str = "", **given: Any) -> Finding:
        cures = (Cure(cure, who_may(entitled, act), {"what": each.what}),) if cure else ()
        shown = {**params, **given.pop("params", {})}
        return Finding("maintenance.work", verdict, why, about=each.id, params=shown, cures=cures, **given)

    out = []
    if not each.is_signed(entitled=entitled, at=at):
        why = "unsigned" if each.signed is None else "signer"
        signer = {"signer": each.signed.by if each.signed else ""}
        out.append(found(Verdict.STOP, why, SIGN, "maintenance.sign_work", params=signer))
    if each.areas & house.second_look_areas and not each.is_looked_at(entitled=entitled, at=at):
        why = "second_look" if each.second_look is None else "same_eyes"
        looker = {"looker": each.second_look.by if each.second_look else ""}
        out.append(found(Verdict.STOP, why, SECOND_LOOK, "maintenance.look_second", params=looker, source=house.source))
    if each.changes_handling is None:
        out.append(found(Verdict.UNKNOWN, "handling", lacking=("changes_handling",)))
    elif each.changes_handling and not each.is_flown(entitled=entitled, at=at):
        bad = each.check_flight is not None and each.check_flight.result == "bad" and each.check_flight.at <= at
        allowed = entitled.get(CHECK_FLIGHT, frozenset())
        if bad:
            out.append(found(Verdict.STOP, "check_flight_bad", SIGN, "maintenance.sign_work"))
        elif purpose == "check flight" and aboard == 1 and commander in allowed:
            condition = Condition("maintenance.write_result", commander, None, {"what": each.what})
            out.append(found(Verdict.GO_IF, "check_flight_now", conditions=(condition,)))
        else:
            out.append(found(Verdict.STOP, "check_flight", CHECK_FLIGHT, "maintenance.fly_check"))
    return out


def limits_in_force(defects: tuple[Defect, ...], *, entitled: Entitled, at: datetime) -> tuple[Limit, ...]:
    """Return the limits that assessments and deferrals put on flights at a moment, for the stack of limits."""
    out: list[Limit] = []
    for defect in defects:
        state = state_of(defect, entitled=entitled, at=at)
        if state.name in ("assessed", "deferred") and state.by_act is not None:
            out.extend(state.by_act.restriction.limits)
    return tuple(out)


CHECKS: tuple[Check, ...] = (defects, day_only, events, work)
