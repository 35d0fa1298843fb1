"""A tag to hang on the aircraft: what is wrong with it, what may be flown until when, and who may take the tag off."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from typing import Any

from gyrewright.desk.book.chain import Head
from gyrewright.desk.paper.frame import frame, when
from gyrewright.desk.refusal import Refused
from gyrewright.desk.services.matter import Lock, Report
from gyrewright.words.catalogue import FIRST

GROUNDED, DEFERRED, LIMITED = "GROUNDED", "DEFERRED", "LIMITED"


def tag_sheet(
    matter: Report | Lock,
    *,
    aircraft: str,
    helpers: Sequence[str],
    head: Head,
    made_at: datetime,
    base: str,
    language: str = FIRST,
) -> dict[str, Any]:
    """Return the tag of an open report or of a lock.

    Args:
        matter: The report, or the event that locks.
        aircraft: Name and registration.
        helpers: Names of those who can put it right.
        head: The head of the chain now.
        made_at: Now.
        base: Where this desk answers.
        language: The words around it.

    Raises:
        Refused: It is put right; the tag comes off.
    """
    mark, says, keeps = _mark(matter)
    sheet = frame(
        kind="Tag",
        title=aircraft,
        fingerprint=matter.record.hash,
        base=base,
        head=head,
        made_at=made_at,
        language=language,
    )
    return sheet | {
        "mark": mark,
        "says": says,
        "what": matter.what[:1].upper() + matter.what[1:],
        "words": getattr(matter.record.act, "words", ""),
        "reported": when(matter.at),
        "keeps": keeps,
        "helpers": list(helpers),
    }


def _mark(matter: Report | Lock) -> tuple[str, str, list[str]]:
    """Return the word on the tag, the sentence below it, and what flights keep to."""
    if isinstance(matter, Lock):
        if not matter.is_locked:
            raise Refused("the inspection after this event is done and signed: the tag comes off")
        inspection = f" The inspection for it: {matter.inspection}." if matter.inspection else ""
        return GROUNDED, f"Locked until the right inspection is done and signed.{inspection}", []
    if not matter.is_open:
        raise Refused("this report is closed: the tag comes off")
    deferral = matter.deferral
    if deferral is not None and not matter.grounds:
        placard = [f"Placard: {deferral.act.placard}"] if deferral.act.placard else []
        return DEFERRED, f"Left for later, lawfully, until {_until(deferral.act)}.", [*placard, *_keep(deferral.keep)]
    if matter.grounds:
        if matter.has_ended and deferral is not None:
            return GROUNDED, f"It was left for later until {_until(deferral.act)}: that is past.", []
        says = "It stays on the ground until it is put right."
        return GROUNDED, says if matter.class_ == "G" else "Nobody entitled has assessed it yet.", []
    keep = _keep(matter.assessment.keep) if matter.assessment is not None else []
    words = [matter.assessment.words] if matter.assessment is not None and matter.assessment.words else []
    return LIMITED, "Assessed by somebody entitled: it is to be kept in mind on every flight.", [*keep, *words]


def _until(act: Any) -> str:
    if act.until is not None:
        return when(act.until)
    if act.until_on is None:
        return "a day that nobody wrote down"
    return f"{'sunset of ' if act.until_sunset else 'the end of '}{act.until_on:%-d %B %Y}"


def _keep(keep: Any) -> list[str]:
    """Return a restriction line by line."""
    if not keep:
        return []
    out = ["By day only."] if keep["day_only"] else []
    if keep["aboard_at_most"] is not None:
        out.append(f"At most {keep['aboard_at_most']} aboard.")
    if keep["not_for"]:
        out.append(f"Not for: {', '.join(keep['not_for'])}.")
    if keep["also"]:
        out.append(str(keep["also"]))
    for row in keep["limit_rows"]:
        bounds = (f"{sense.replace('_', ' ')} {row[sense]}" for sense in ("at_most", "at_least") if sense in row)
        out.append(f"{str(row.get('of', '')).capitalize()} {', '.join(bounds)}.")
    return out
