"""Whether a release outlives a changed fact: it does where the fact is what its own condition waited for.

A release "only if" names what has still to happen. When that happens, a fact changes. The release ends by it only
where the flight, asked anew, is worse off than it was when it was released; see docs/decisions.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from gyrewright.desk.book.record import Recorded
from gyrewright.desk.fold.frozen import answer_of
from gyrewright.desk.services import state
from gyrewright.desk.services.answers import Answered
from gyrewright.finding import Verdict
from gyrewright.units import parse_quantity
from gyrewright.words.as_json import as_json
from gyrewright.words.tell import tell

FAMILIES = (
    frozenset(("planned_facts", "fuel_planned_l", "fuel_stick_l", "fuel_gauge_l", "stick_at")),
    frozenset(("reported", "observed_at", "unread")),
)
"""Facts that one act gives together: a dipped tank is no plan any more, a report comes with its time."""

_SEVERITY = {each.code: int(each) for each in Verdict}
_NO_CHANGE = 1e-6
"""Shares are frozen with nine digits; what differs by less is the same."""


def met_since(release: Recorded, found: Answered, changed: Sequence[str]) -> tuple[str, ...]:
    """Return the conditions of a release that were met by the facts that changed, and by nothing else.

    Empty where the release does not outlive the change: no condition was met, another fact changed as well, or the
    answer is worse than the one that was released.
    """
    key = ("met", release.id, found.answer.computed_at, state.head_seq())
    return state.kept(key, lambda: _met_since(release, found, changed))


def _met_since(release: Recorded, found: Answered, changed: Sequence[str]) -> tuple[str, ...]:
    then = answer_of(release, whole=True)
    now = as_json(tell(found.answer))
    asked, asks = _conditions(then), _conditions(now)
    met = {key: each for key, each in asked.items() if key not in asks}
    if not met or any(key not in asked for key in asks):
        return ()
    if not set(changed) <= _waited_for(met.values(), then, now):
        return ()
    if "fuel_planned_l" in changed and not _as_planned(release, found):
        return ()
    return tuple(dict.fromkeys(key[1] for key in met)) if _is_no_worse(then, now, found) else ()


Key = tuple[str, str, str]


def _conditions(answer: Mapping[str, Any]) -> dict[Key, tuple[str, str]]:
    """Return every condition of an answer by id, sentence and owner, with the finding that asks for it."""
    return {
        (one["id"], one["sentence"], one["owner"]): (each["id"], each["about"])
        for each in answer["findings"]
        for one in each["conditions"]
    }


def _waited_for(findings: Iterable[tuple[str, str]], then: Mapping[str, Any], now: Mapping[str, Any]) -> frozenset[str]:
    """Return the facts that findings waited for: what they rested on or lacked then, and rest on now."""
    wanted = set(findings)
    names: set[str] = set()
    for answer in (then, now):
        for each in answer["findings"]:
            if (each["id"], each["about"]) in wanted:
                names.update(one["fact"] for one in (*each["inputs"], *each["lacking"]))
                names.update(one["id"].removeprefix("acts.") for one in each["conditions"])
    for family in FAMILIES:
        if names & family:
            names |= family
    # What is put aboard is named by its place: "load_kg:baggage".
    kinds = tuple(f"{name}:" for name in names if name in ("load_kg", "configuration"))
    everything = {one["fact"] for answer in (then, now) for each in answer["findings"] for one in each["inputs"]}
    return frozenset(names | {name for name in everything if kinds and name.startswith(kinds)})


def _as_planned(release: Recorded, found: Answered) -> bool:
    """Return whether fuel was read as it had been planned, as near as the house lets two readings differ."""
    planned = json.loads(release.personal.facts).get("fuel_planned_l", "")
    sheet = found.answer.situation.sheet
    if not planned:
        return True
    facts = [sheet.facts[name] for name in ("fuel_stick_l", "fuel_gauge_l") if name in sheet.facts]
    read = [fact.value for fact in facts if fact.is_known]
    apart = sheet.cell("limits:gauge and stick apart")
    allowed = [limit.value for limit in apart.value if limit.value is not None] if apart.known is True else []
    wanted = parse_quantity("volume", planned).value
    return bool(read) and all(abs(each - wanted) <= min(allowed, default=0.0) + 1e-9 for each in read)


def _is_no_worse(then: Mapping[str, Any], now: Mapping[str, Any], found: Answered) -> bool:
    """Return whether nothing is found now that was not found then, and nothing that passes passes more narrowly.

    A margin may shrink as long as it stays as wide as the house asks of a way that it would offer.
    """
    if any(not each.is_yes for each in found.judgements) or found.refusals:
        return False
    said = {each["sentence"] for each in then["cautions"]}
    if any(each["sentence"] not in said for each in now["cautions"]):
        return False
    counting = {fact.name: fact for fact in found.question.operation.counting}
    least = counting["least_margin_ratio"].value if counting["least_margin_ratio"].is_known else None
    before = {(each["id"], each["about"]): each for each in then["findings"]}
    for each in now["findings"]:
        was = before.get((each["id"], each["about"]))
        if _SEVERITY[each["verdict"]] > (_SEVERITY[was["verdict"]] if was else 0):
            return False
        share, had = _share(each), _share(was) if was else None
        if share is None or (had is not None and share >= had - _NO_CHANGE):
            continue
        if (had is not None or was is None) and (least is None or share < least - _NO_CHANGE):
            return False
    return True


def _share(finding: Mapping[str, Any]) -> float | None:
    share: float | None = (finding["binds_next"] or {}).get("share")
    return share
