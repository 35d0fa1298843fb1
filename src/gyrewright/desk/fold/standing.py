"""Which records count: corrections take the place of what they correct, withdrawals take records out, conflicts ask.

Nothing is settled by clock or rank. Two corrections of one record, or two contents under one id, count for neither
until a person has said which is true.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime

from gyrewright.desk.book.kinds import kind_named
from gyrewright.desk.book.kinds.operation import Clash, ClashSettled, Withdrawn
from gyrewright.desk.book.record import Recorded
from gyrewright.desk.book.schema import decode
from gyrewright.desk.moments import moment_of


@dataclass(frozen=True, slots=True)
class Conflict:
    """Two truths or more about one thing, all kept: one question to a person."""

    of: str
    records: tuple[Recorded, ...]


@dataclass(frozen=True, slots=True)
class Standing:
    """The records that count, by the time they were done, and the conflicts that are open.

    `first` gives for each correction the id of the record at the start of its line: what others point at. `replaced`
    holds, by id, what a correction took the place of.
    """

    records: tuple[Recorded, ...]
    conflicts: tuple[Conflict, ...] = ()
    first: Mapping[str, str] = field(default_factory=dict)
    replaced: Mapping[str, Recorded] = field(default_factory=dict)


def standing(records: Iterable[Recorded], *, at: datetime | None = None, known_at: datetime | None = None) -> Standing:
    """Return which records count.

    Args:
        records: Records in any order, with every record that corrects one of them.
        at: What was done later does not count yet.
        known_at: What was entered later was not known yet, corrections included.
    """
    known = sorted(
        (each for each in records if known_at is None or each.entered_at <= known_at), key=lambda each: each.seq
    )
    known, conflicts = _without_clashes(known)
    live: dict[str, list[Recorded]] = {}
    counting = []
    # Newest first: a correction that was itself withdrawn no longer takes anything's place.
    for each in reversed(known):
        if each.id in live:
            continue
        if each.corrects:
            live.setdefault(each.corrects, []).append(each)
        if not isinstance(each.act, Withdrawn):
            counting.append(each)
    disputed = {id: tuple(reversed(found)) for id, found in live.items() if len(found) > 1 and _differ(found)}
    doubtful = {each.id for found in disputed.values() for each in found}
    counting = [each for each in counting if each.id not in doubtful and (at is None or each.done_at <= at)]
    conflicts.extend(Conflict(id, found) for id, found in disputed.items())
    counting.sort(key=lambda each: (each.done_at, each.seq))
    first: dict[str, str] = {}
    for each in known:
        if each.corrects:
            first[each.id] = first.get(each.corrects, each.corrects)
    replaced = {each.id: each for each in known if each.id in live}
    return Standing(tuple(counting), tuple(sorted(conflicts, key=lambda each: each.of)), first, replaced)


def _differ(found: Sequence[Recorded]) -> bool:
    return any(
        (each.kind, each.act, each.personal) != (found[0].kind, found[0].act, found[0].personal) for each in found
    )


def _without_clashes(known: Sequence[Recorded]) -> tuple[list[Recorded], list[Conflict]]:
    answers = {each.act.clash: each.act.true for each in known if isinstance(each.act, ClashSettled)}
    clashes: dict[str, list[Recorded]] = {}
    for each in known:
        if isinstance(each.act, Clash):
            clashes.setdefault(each.act.id, []).append(each)
    plain = [each for each in known if not isinstance(each.act, Clash | ClashSettled)]
    conflicts = []
    for id, found in clashes.items():
        first = next((each for each in plain if each.id == id), None)
        if first is None:
            continue
        open_ones = [each for each in found if each.id not in answers]
        if open_ones:
            plain.remove(first)
            conflicts.append(Conflict(id, (first, *(second_content(first, each) for each in open_ones))))
            continue
        true = [each for each in found if answers[each.id] == "second"]
        if any(answers[each.id] == "neither" for each in found) or true:
            plain.remove(first)
        plain.extend(second_content(first, each) for each in true[-1:])
    plain.sort(key=lambda each: each.seq)
    return plain, conflicts


def second_content(first: Recorded, clash: Recorded) -> Recorded:
    """Return the second content of a clash as if it had been recorded under the first's id."""
    sent = json.loads(clash.act.sent)
    kind = kind_named(sent["kind"])
    personal = None
    if clash.personal is not None and kind.personal is not None:
        personal = decode(kind.personal, json.loads(clash.personal.sent), called=kind.name)
    return replace(
        first,
        kind=sent["kind"],
        done_at=moment_of(sent["done_at"]),
        by=sent["by"],
        about=sent["about"],
        corrects=sent["corrects"],
        act=decode(kind.schema, json.loads(sent["body"]), called=kind.name),
        personal=personal,
        is_erased=clash.is_erased,
    )
