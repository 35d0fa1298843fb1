"""What every sheet has around it: which house, what it is, how to find it again, and whose word decides."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import Any

from django.conf import settings

from gyrewright.desk.book.chain import Head, head_code
from gyrewright.desk.paper.drawn import code_drawn
from gyrewright.desk.services import state
from gyrewright.desk.services.records import book_opening
from gyrewright.finding import Verdict
from gyrewright.words.catalogue import FIRST, catalogue

CODE_DIGITS = 20
"""How many hex digits of a record's fingerprint are printed: what `head_code` shows and the drawn code leads to."""


def when(moment: datetime) -> str:
    """Return a moment by the field's clock with its date, and in UTC beside it."""
    local, utc = moment.astimezone(state.zone()), moment.astimezone(UTC)
    beside = utc.strftime("%H:%M") if utc.date() == local.date() else utc.strftime("%-d %b %H:%M")
    return f"{local.strftime('%-d %b %Y %H:%M')} {local.tzname()} ({beside} UTC)"


def clock(moment: datetime) -> str:
    """Return the time of a moment by the field's clock, with UTC beside it."""
    local, utc = moment.astimezone(state.zone()), moment.astimezone(UTC)
    return f"{local:%H:%M} ({utc:%H:%M} UTC)"


def marks(language: str) -> dict[str, str]:
    """Return the word of each verdict's mark, by its code."""
    words = catalogue(language).tables["mark"]
    return {verdict.code: words[verdict.name].text for verdict in Verdict}


def frame(
    *,
    kind: str,
    title: str,
    fingerprint: str,
    base: str,
    head: Head,
    made_at: datetime,
    language: str = FIRST,
    leads: str = "S",
) -> dict[str, Any]:
    """Return the texts around a sheet.

    Args:
        kind: What sheet it is, in a word or two.
        title: What it is about.
        fingerprint: That of the record whose page the sheet's code leads to.
        base: Where this desk answers, such as "http://localhost:8127".
        head: The head of the chain when the sheet was made.
        made_at: When that was.
        language: One of `catalogue.LANGUAGES`.
        leads: Where the drawn code leads: "S" to the record's page, "W" to where a walk on paper is keyed in.
    """
    opening = book_opening()
    return {
        "language": language,
        "kind": kind,
        "title": title,
        "house": opening.act.operation if opening else "",
        "demo": settings.IS_DEMO,
        "code": head_code(fingerprint),
        "codesvg": code_drawn(f"{base}/{leads}/{fingerprint[:CODE_DIGITS]}"),
        "head": f"{head.seq} · {head.code}",
        "made": when(made_at),
        "marks": marks(language),
    }
