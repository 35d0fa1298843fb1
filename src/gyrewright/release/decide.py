"""One flight, its facts, and every reason: the answer to the question as asked."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from gyrewright.check import Aging, Check, Comparison
from gyrewright.finding import Caution, Finding, Verdict, worst
from gyrewright.release.answer import Answer, Note
from gyrewright.release.flight import OPEN
from gyrewright.release.judge import age, ask, forget_asked, judge, passes
from gyrewright.release.question import Question
from gyrewright.release.reported import weather_not_needed
from gyrewright.release.situation import Situation, situation_of
from gyrewright.sheet import Asked, Plan, Sheet

NOT_LOOKED_AT = ("notices", "ground", "unwritten")
"""What no answer looks at; it leaves the verdict alone and is named right under it."""
PICKING = frozenset(
    ("aboard", "aircraft_id", "crew_people", "field", "flight_airspace", "flight_surface", "make_model", "runway_name")
)
"""Facts by which the checks themselves are picked: no check need rest on them for the answer to turn on them."""


def decide(question: Question) -> Answer:
    """Return the answer to a question: all findings, worst first, and what they rest on."""
    if question.flight.block.value == OPEN:
        from gyrewright.release.open_end import decide_open

        return decide_open(question)
    return answer_of(situation_of(question))


def arranged(answer: Answer, findings: Iterable[Finding]) -> Answer:
    """Return the answer with other findings, in their order and with the verdict that follows."""
    ordered = tuple(sorted(findings, key=_order))
    return replace(answer, findings=ordered, binding=binding_of(ordered), verdict=worst(ordered))


_KEPT_MOST = 64
_before: dict[Plan, Sheet] = {}
"""The last sheet that was answered, by its plan: what the next one shares with it is not concluded again."""


def forget() -> None:
    """Forget every earlier answer: the next is worked out from its facts alone, and is the same."""
    _before.clear()
    forget_asked()


def answer_of(situation: Situation) -> Answer:
    """Return the answer to a question that has been laid out.

    The same question always has the same answer: what was asked before saves work and changes nothing.
    """
    sheet = situation.sheet
    earlier = _before.get(sheet.plan)
    if earlier is not None and earlier is not sheet:
        sheet.take_over(earlier)
    asked: tuple[Check | Aging | Comparison, ...] = (
        *situation.checks,
        *situation.agings,
        *situation.comparisons,
    )
    concluded = [_conclude(each, sheet) for each in asked]
    found = [finding for _, findings in concluded for finding in findings]
    if len(_before) >= _KEPT_MOST:
        _before.clear()
    _before[sheet.plan] = sheet
    cautions = tuple(_cautions(found, sheet))
    counted = _too_many(cautions, situation)
    if counted is not None:
        found.append(counted)
    findings = tuple(sorted(found, key=_order))
    reached = sheet.plan.reached((*[names for names, _ in concluded], _ASKED_BESIDES))
    touched = reached & sheet.facts.keys()
    lives = [finding.holds_until for finding in findings if finding.holds_until is not None]
    return Answer(
        situation=situation,
        verdict=worst(findings),
        findings=findings,
        binding=binding_of(findings),
        cautions=cautions,
        computed_at=situation.question.asked_at,
        valid_until=min(lives, default=None),
        not_looked_at=NOT_LOOKED_AT,
        assumptions=tuple(_assumptions(situation, touched)),
        not_needed=tuple(sorted({*(set(sheet.facts) - touched - PICKING), *weather_not_needed(reached)})),
    )


def _conclude(each: Check | Aging | Comparison, sheet: Sheet) -> tuple[tuple[str, ...], tuple[Finding, ...]]:
    """Return what a check finds, and the names of what it asked; concluded once for the same facts."""
    kept = sheet.kept(id(each))
    if kept is not None and kept[1][0] is each:
        return kept[0], kept[1][1]
    if isinstance(each, Check):
        names, findings = each.inputs, ask(each, sheet)
    else:
        asked = Asked(sheet)
        finding = age(each, asked) if isinstance(each, Aging) else judge(each, asked)
        names, findings = tuple(asked.names), () if finding is None else (finding,)
    # The check is kept with what it found, so that its identity is not given to another.
    sheet.keep(id(each), names, (each, findings))
    return names, findings


_ASKED_BESIDES = ("crew_cautions", "upkeep_cautions", "limits:cautions", "commander")
"""What an answer rests on beside its checks."""


def _order(finding: Finding) -> tuple[int, float]:
    """Worst first; among equals the one furthest beyond its limit, or with the smallest share left, first."""
    share = finding.binds_next.share if finding.binds_next and finding.binds_next.share is not None else None
    return (-finding.verdict, 1e9 if share is None else share)


def binding_of(findings: tuple[Finding, ...]) -> Finding | None:
    """Return the finding that the one sentence names: the first of the worst."""
    return findings[0] if findings else None


def _cautions(findings: Iterable[Finding], sheet: Sheet) -> Iterable[Caution]:
    """Yield every caution: about the people, about what ends this month, and for every figure that a maker has
    demonstrated, and not forbidden, beyond which the flight is.
    """
    about_people, _ = sheet.value("crew_cautions") or ((), ())
    yield from about_people
    yield from sheet.value("upkeep_cautions") or ()
    for finding in findings:
        for layer in finding.layers:
            if layer.limit.demonstrated and layer.margin is not None and not layer.passes:
                params = {"value": layer.value, "limit": layer.limit.value, "dimension": finding.dimension}
                yield Caution(f"{finding.id}.demonstrated", params)


def _too_many(cautions: tuple[Caution, ...], situation: Situation) -> Finding | None:
    """Return the finding that asks a second view when more cautions stand than the house lets one person weigh."""
    limits = situation.sheet.cell("limits:cautions")
    if limits.known is not True:
        return None
    for limit in limits.value:
        if limit.value is not None and not passes(limit, float(len(cautions))):
            commander = situation.sheet.value("commander") or ""
            return Finding(
                "cautions.counted",
                Verdict.JUDGE,
                "judge",
                value=float(len(cautions)),
                limit=limit.value,
                dimension="count",
                source=limit.source,
                params={"count": len(cautions), "who": commander},
            )
    return None


def _assumptions(situation: Situation, touched: frozenset[str]) -> Iterable[Note]:
    """Yield how this answer counted, where counting otherwise would have been a choice too."""
    for fact in situation.question.operation.counting:
        if fact.is_known and fact.name in touched:
            yield Note(f"counting.{fact.name}", {"how": fact.typed})
    for name in ("take_off_distance", "climb", "landing_distance"):
        absent = situation.question.definition.table(name).absent
        if absent:
            yield Note("no_table", {"table": name, "why": absent})
