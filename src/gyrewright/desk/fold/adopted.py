"""The operation's own files as they hold on a day: house rules, field, insurers."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date, datetime

from gyrewright.desk.book.kinds.operation import FileAdopted
from gyrewright.desk.book.record import Recorded
from gyrewright.desk.fold.standing import standing
from gyrewright.desk.refusal import Refused

OPERATION, FIELD, INSURANCE = "operation", "field", "insurance"
"""The names under which files are adopted."""

ADOPTED_KINDS = ("file-adopted", "withdrawn", "clash", "clash-settled")


def adopted_files(
    records: Iterable[Recorded], *, on: date, at: datetime | None = None, known_at: datetime | None = None
) -> dict[str, FileAdopted]:
    """Return each file that holds on a day, by name: the newest text whose own day has come.

    Raises:
        Refused: Two truths about one of them are open; a person has to settle which counts.
    """
    counting = standing(records, at=at, known_at=known_at)
    for conflict in counting.conflicts:
        names = sorted({each.act.name for each in conflict.records if isinstance(each.act, FileAdopted)})
        if names:
            raise Refused(f"two texts of {', '.join(names)} contradict each other; settle on Records which one counts")
    found: dict[str, FileAdopted] = {}
    for each in counting.records:
        act = each.act
        if isinstance(act, FileAdopted) and act.holds_from <= on:
            known = found.get(act.name)
            if known is None or known.holds_from <= act.holds_from:
                found[act.name] = act
    return found
