"""The release on paper: what was found, what to keep to, the numbers to carry away; the reasons on its back."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping, Sequence
from datetime import datetime
from typing import Any

from gyrewright.desk.book.chain import Head
from gyrewright.desk.book.record import Recorded
from gyrewright.desk.fold.frozen import answer_of, has_whole
from gyrewright.desk.paper.frame import clock, frame, when
from gyrewright.desk.paper.rulers import ruler_drawn, share_left
from gyrewright.words.catalogue import FIRST

RULERS = 4
"""How many of the nearest limits are drawn on the first page."""
_RULER_PX = 430.0


def release_sheet(
    record: Recorded,
    *,
    sees: bool,
    by: str,
    judged: Sequence[Mapping[str, Any]],
    aboard: Iterable[str],
    ended: str,
    base: str,
    language: str = FIRST,
) -> dict[str, Any]:
    """Return a release's sheet.

    Args:
        record: The release.
        sees: Whether masses, totals and margins may be printed.
        by: Name of the person who released.
        judged: Each judgement it rests on: "by", "at" and "why".
        aboard: Names of those aboard, who sign that they have read it.
        ended: Why it no longer holds, as a clause; empty where it does.
        base: Where this desk answers.
        language: The words around the frozen answer, which keeps its own.
    """
    is_whole = sees and has_whole(record)
    answer = answer_of(record, whole=is_whole)
    act = record.act
    sheet = frame(
        kind="Release",
        title=act.asked,
        fingerprint=record.hash,
        base=base,
        head=Head(record.seq, record.hash),
        made_at=record.done_at,
        language=language,
    )
    findings = answer["findings"]
    conditions = {one["sentence"]: one for each in findings for one in each["conditions"]}
    return sheet | {
        "verdict": act.verdict,
        "sentence": answer["sentence"],
        "by": by,
        "at": when(record.done_at),
        "until": when(act.valid_until),
        "ended": ended,
        "aboard": [each for each in aboard if each != by],
        "conditions": [
            [one["sentence"], one["owner"], clock(datetime.fromisoformat(one["until"])) if one["until"] else ""]
            for one in conditions.values()
        ],
        "judged": [[each["by"], when(each["at"]), each["why"] or "the reason has been erased"] for each in judged],
        "cautions": [each["sentence"] for each in answer["cautions"]],
        "not_looked_at": [each["words"] for each in answer["not_looked_at"]],
        "assumptions": [each["sentence"] for each in answer["assumptions"]],
        "carries": _carries(json.loads(record.personal.carry) if is_whole and record.personal.carry else []),
        "sees": sees,
        "rulers": _rulers(findings, language),
        "against": [_told(each) for each in findings if each["verdict"] != "GO"],
        "held": [
            _told(each) for each in findings if each["verdict"] == "GO" and (each["layers"] or not each["sentence"])
        ],
        "further": sum(1 for each in findings if each["verdict"] == "GO" and not each["layers"] and each["sentence"]),
        "rules": [f"{each['title']}, as read on {each['read_on']}. {each['reminder']}" for each in answer["rules"]],
        "lists": ", ".join(f"{name} {revision}" for name, revision in sorted(act.lists.items())),
        "record": f"{record.seq}, after head {act.head_seq}",
    }


def _carries(kept: Sequence[Sequence[Any]]) -> dict[str, Any]:
    """Return the numbers to carry away as one table: a column a runway, a row a number; empty where nothing passes."""
    names: dict[str, None] = {}
    for _, rows in kept:
        names.update((name, None) for name, _ in rows)
    return {
        "runways": [title for title, _ in kept],
        "empty": [not rows for _, rows in kept],
        "rows": [[name, [dict(map(tuple, rows)).get(name, "") for _, rows in kept]] for name in names],
    }


def _rulers(findings: Iterable[Mapping[str, Any]], language: str) -> list[list[str]]:
    """Return the nearest limits, each with its question and its drawing."""
    drawable = [
        each
        for each in findings
        if any(layer["binds"] and not layer["demonstrated"] for layer in each["layers"])
        and each["value"] is not None
        and each.get("dimension", "") not in ("", "days", "months", "years")
    ]
    drawable.sort(key=lambda each: (each["verdict"] == "GO", share_left(each)))
    # A table that ends where the mass does says nothing new: one number is drawn once.
    drawable = list({(each["working"] or each["question"]): each for each in reversed(drawable)}.values())[::-1]
    return [[each["question"], ruler_drawn(each, width=_RULER_PX, language=language)] for each in drawable[:RULERS]]


def _told(kept: Mapping[str, Any]) -> list[str]:
    return [kept["verdict"], kept["question"], kept["sentence"], _where(kept)]


def _where(kept: Mapping[str, Any]) -> str:
    """Return where the limit that binds is written."""
    binding = next((each["source"] for each in kept["layers"] if each["binds"]), kept["source"])
    page = f"page {binding['section']}" if binding["kind"] == "manual" and binding["section"] else binding["section"]
    return ", ".join(each for each in (binding["title"], page) if each)
