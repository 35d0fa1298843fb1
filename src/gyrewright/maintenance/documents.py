"""Whether the papers that the aircraft must carry are there and still count on the day of the flight."""

from __future__ import annotations

from datetime import date, datetime, time, tzinfo

from gyrewright.check import Check, check
from gyrewright.finding import BindsNext, Caution, Cure, Finding, Verdict
from gyrewright.maintenance.months import month_end
from gyrewright.maintenance.program import Program
from gyrewright.maintenance.records import Paper

ID = "maintenance.paper"


@check(ID)
def papers(
    maintenance_program: Program,
    papers_held: tuple[Paper, ...],
    flight_ends_on: date,
    local_zone: tzinfo | None,
) -> tuple[Finding, ...]:
    """Judge each paper that does not plainly count, and name the one that ends first of those that do."""
    last_day = flight_ends_on
    out: list[Finding] = []
    good: list[Paper] = []
    for name in dict.fromkeys((*maintenance_program.papers, *(paper.name for paper in papers_held))):
        held = [paper for paper in papers_held if paper.name == name]
        found = _judge(name, _newest(held), last_day)
        if found is None:
            good.append(_newest(held) or held[0])
        else:
            out.append(found)
    if not maintenance_program.papers:
        out.append(Finding(ID, Verdict.UNKNOWN, "no_list", lacking=("papers_asked",)))
    if good:
        first = min(good, key=lambda paper: (paper.expires_on or date.max, paper.name))
        if first.expires_on is None:
            out.append(Finding(ID, Verdict.GO, "go_all", params={"count": len(good)}))
        else:
            end = datetime.combine(first.expires_on, time(23, 59), tzinfo=local_zone)
            days = (first.expires_on - last_day).days
            out.append(
                Finding(
                    ID,
                    Verdict.GO,
                    "go",
                    value=last_day,
                    limit=first.expires_on,
                    margin=days,
                    about=first.name,
                    params={"paper": first.name, "until": first.expires_on, "left_days": days, "count": len(good)},
                    binds_next=BindsNext(at=end),
                )
            )
    return tuple(out)


def _newest(held: list[Paper]) -> Paper | None:
    """Return the paper that counts of several of one name: the one that ends last."""
    return max(held, key=lambda paper: (paper.never_expires, paper.expires_on or date.min), default=None)


def _judge(name: str, paper: Paper | None, last_day: date) -> Finding | None:
    params: dict[str, object] = {"paper": name}
    cure = (Cure("maintenance.renew_paper", "operator", params),)
    if paper is None:
        return Finding(ID, Verdict.UNKNOWN, "no_record", about=name, lacking=(f"paper:{name}",), params=params)
    if paper.expires_on is not None and paper.expires_on < last_day:
        params |= {"until": paper.expires_on, "left_days": (paper.expires_on - last_day).days}
        return Finding(
            ID,
            Verdict.STOP,
            "expired",
            value=last_day,
            limit=paper.expires_on,
            margin=(paper.expires_on - last_day).days,
            about=name,
            params=params,
            cures=cure,
        )
    if paper.aboard is False:
        return Finding(ID, Verdict.STOP, "not_aboard", about=name, params=params)
    if paper.expires_on is None and not paper.never_expires:
        return Finding(ID, Verdict.UNKNOWN, "no_end", about=name, lacking=(f"paper_end:{name}",), params=params)
    if paper.aboard is None:
        return Finding(ID, Verdict.UNKNOWN, "aboard", about=name, lacking=(f"paper_aboard:{name}",), params=params)
    return None


def papers_ending_this_month(papers_held: tuple[Paper, ...], *, on: date) -> tuple[Caution, ...]:
    """Return one caution for each paper that ends in the month of a day, the newest of each name."""
    out = []
    for name in sorted({paper.name for paper in papers_held}):
        paper = _newest([each for each in papers_held if each.name == name])
        if paper is not None and paper.expires_on is not None and on <= paper.expires_on <= month_end(on):
            out.append(Caution("maintenance.ends_this_month", {"what": name, "until": paper.expires_on}))
    return tuple(out)


CHECKS: tuple[Check, ...] = (papers,)
