"""What was found on the walks and has not become a defect report: by the class of the item."""

from __future__ import annotations

from datetime import datetime
from typing import Any, Protocol

from gyrewright.check import check
from gyrewright.finding import Condition, Cure, Finding, Verdict
from gyrewright.inspection.walk import COULD_NOT_LOOK, NOT, Answer, Walk
from gyrewright.inspection.walk_rules import Entitled, who_may

JUDGE_SMALL = "assess a defect"


class Reported(Protocol):
    """A defect report, known from another book."""

    @property
    def id(self) -> str: ...


@check("inspection.answer")
def answers(
    walks: tuple[Walk, ...],
    defects: tuple[Reported, ...],
    entitled: Entitled,
    asked_at: datetime,
    depart_at: datetime,
    purpose: str,
    aboard_count: int,
) -> tuple[Finding, ...] | None:
    """Judge every answer that was not "as it should be" and has not become a defect report.

    What was found stays found, however many walks come later, until a report takes it over; what could not be looked at
    is asked only of the newest walk that had the item.
    """
    reports = frozenset(defect.id for defect in defects)
    out: list[Finding] = []
    made = sorted((one for one in walks if one.began_at <= asked_at), key=lambda one: (one.began_at, one.id))
    for number, one in enumerate(made):
        for answer in one.answers:
            if answer.answer == NOT and answer.defect not in reports:
                out.append(_not_right(one, answer, entitled, asked_at, depart_at, purpose, aboard_count))
            elif (
                answer.answer == COULD_NOT_LOOK
                and answer.class_ != "N"
                and not _looked_later(answer.item, one, made[number + 1 :], asked_at)
            ):
                out.append(_not_looked(one, answer))
    return tuple(out) or None


def _not_looked(one: Walk, answer: Answer) -> Finding:
    return Finding(
        "inspection.answer",
        Verdict.UNKNOWN,
        "not_looked",
        about=answer.item,
        lacking=(f"item:{answer.item}",),
        params=_told(one, answer),
        cures=(Cure("inspection.look", "commander", {"item": answer.item}),),
    )


def _looked_later(item: str, one: Walk, later: list[Walk], asked_at: datetime) -> bool:
    """Whether a later walk of the same kind, finished by then, had no trouble with an item."""
    return any(
        other.complete
        and other.ended_at is not None
        and other.ended_at <= asked_at
        and other.kind == one.kind
        and not any(answer.item == item and answer.answer == COULD_NOT_LOOK for answer in other.answers)
        for other in later
    )


def _told(one: Walk, answer: Answer) -> dict[str, Any]:
    return {"item": answer.item, "words": answer.words, "walker": one.by, "at": one.ended_at or one.began_at}


def _not_right(
    one: Walk,
    answer: Answer,
    entitled: Entitled,
    asked_at: datetime,
    depart_at: datetime,
    purpose: str,
    aboard: int,
) -> Finding:
    params = _told(one, answer)
    cures = (Cure("inspection.report_defect", "commander", {"item": answer.item}),)

    def found(verdict: Verdict, why: str, **given: Any) -> Finding:
        return Finding(
            "inspection.answer", verdict, why, about=answer.item, params={**params, **given.pop("params", {})}, **given
        )

    if answer.class_ == "N":
        return found(Verdict.GO, "noted")
    if answer.class_ == "L":
        keep = answer.keep
        if not keep.is_any:
            return found(Verdict.JUDGE, "judge", params={"judge": "commander"}, cures=cures)
        if keep.aboard_at_most is not None and aboard > keep.aboard_at_most:
            return found(Verdict.STOP, "broken_aboard", params={"aboard": keep.aboard_at_most}, cures=cures)
        if purpose in keep.not_for:
            return found(Verdict.STOP, "broken_purpose", params={"purposes": tuple(sorted(keep.not_for))}, cures=cures)
        conditions = _kept(answer, depart_at)
        return found(Verdict.GO_IF if conditions else Verdict.GO, "restricted", conditions=conditions)
    # A grounding item, or one whose class nobody knows: the careful reading is the same.
    judged = answer.judged
    if (
        answer.small
        and judged is not None
        and judged.at <= asked_at
        and judged.by in entitled.get(JUDGE_SMALL, frozenset())
    ):
        told = {"judge": judged.by, "reason": judged.reason}
        return (
            found(Verdict.GO, "judged_small", params=told)
            if judged.may
            else found(Verdict.STOP, "judged_no", params=told)
        )
    if answer.small:
        cure = Cure("inspection.judge_small", who_may(entitled, JUDGE_SMALL), {"item": answer.item})
        return found(Verdict.STOP, "small", cures=(cure, *cures))
    return found(Verdict.STOP, "grounding", cures=cures)


def _kept(answer: Answer, depart_at: datetime) -> tuple[Condition, ...]:
    out = []
    keep = answer.keep
    if keep.words:
        out.append(Condition("inspection.keep", "commander", depart_at, {"words": keep.words}))
    if keep.aboard_at_most is not None:
        out.append(Condition("inspection.aboard_at_most", "commander", depart_at, {"aboard": keep.aboard_at_most}))
    if keep.not_for:
        out.append(Condition("inspection.not_for", "commander", depart_at, {"purposes": tuple(sorted(keep.not_for))}))
    return tuple(out)


@check("inspection.day_only")
def day_only(
    walks: tuple[Walk, ...],
    defects: tuple[Reported, ...],
    asked_at: datetime,
    depart_at: datetime,
    land_at: datetime | None,
    sunrise_at: datetime,
    sunset_at: datetime,
) -> tuple[Finding, ...] | None:
    """Judge whether a flight stays within the day where an item found not right limits it to the day."""
    reports = frozenset(defect.id for defect in defects)
    out = []
    for one in walks:
        for answer in one.answers:
            if one.began_at > asked_at or answer.answer != NOT or answer.defect in reports or not answer.keep.day_only:
                continue
            params = {"item": answer.item, "sunset_at": sunset_at, "sunrise_at": sunrise_at}
            by_day = sunrise_at <= depart_at <= sunset_at and (land_at is None or land_at <= sunset_at)
            condition = Condition("inspection.down_by_sunset", "commander", sunset_at, params)
            out.append(
                Finding(
                    "inspection.day_only",
                    Verdict.GO_IF if by_day else Verdict.STOP,
                    "go_if" if by_day else "stop",
                    value=land_at,
                    limit=sunset_at,
                    about=answer.item,
                    params=params,
                    conditions=(condition,) if by_day else (),
                )
            )
    return tuple(out) or None
