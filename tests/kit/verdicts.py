"""What it means that one answer is better than another."""

from __future__ import annotations

from gyrewright.finding import Finding, Verdict
from gyrewright.release.answer import Answer


def improves(before: Verdict, after: Verdict) -> bool:
    """Whether a verdict went from STOP or UNKNOWN to one that a release may be written on, or up among those three.

    From STOP to UNKNOWN is no improvement: neither can be released.
    """
    return after < before and after <= Verdict.JUDGE


def told(answer: Answer) -> dict[tuple[str, str], Verdict]:
    """Return the worst verdict of each check, by id and what it is about."""
    out: dict[tuple[str, str], Verdict] = {}
    for each in answer.findings:
        key = (each.id, each.about)
        out[key] = max(each.verdict, out.get(key, Verdict.GO))
    return out


def numbers(finding: Finding) -> tuple[float, ...]:
    """Return value and limit of a finding, where it has numbers."""
    return tuple(float(each) for each in (finding.value, finding.limit) if isinstance(each, (int, float)))
