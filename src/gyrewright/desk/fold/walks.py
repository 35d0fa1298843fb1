"""Walks put together from the parts that phones handed over, as the rows of a records file.

Parts may come late, twice, out of order and from several phones: the rows are the same. Where two answers to one item
stand, the worse counts until a person has said which is true. What was found not right stays found through every
restart. A restart makes earlier answers history: they are kept and count for nothing.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime, timedelta
from functools import lru_cache
from typing import Any

from gyrewright.desk.book.kinds.operation import Clash, ClashSettled
from gyrewright.desk.book.kinds.walking import Answered, AnswerSettled, Begun, Broken, WalkConfirmed, WalkPart
from gyrewright.desk.book.record import Recorded
from gyrewright.desk.fold.tables import Table
from gyrewright.inspection.lists import items_for, shipped_list
from gyrewright.inspection.walk import ANSWERS, NOT

WORSE = {word: number for number, word in enumerate(("as it should be", "could not look", "not"))}
"""Answers from good to bad."""


@dataclass(frozen=True, slots=True)
class Act:
    """One act of a walk: who handed it over through which phone, and when it was done by the desk's clock.

    `skew_s` is how far that phone's clock was ahead. [s]
    """

    act: Any
    by: str
    at: datetime
    device: str
    skew_s: int

    @property
    def person(self) -> str:
        """Who did it: who touched, else whose page it was, else who handed it over."""
        return getattr(self.act, "doer", "") or getattr(self.act, "person", "") or self.by


@dataclass(slots=True)
class PhoneWalk:
    """One walk as its parts and what people said of it since make it.

    Attributes:
        answers: Every answer that was not corrected, oldest first.
        live: The answers that count, by item.
        double: Items whose answers contradict each other and were not settled.
        clashes: Ids of acts that came with two contents, and were not settled.
        rows: The rows made of it so far, by what else they rest on.
    """

    id: str
    begun: list[Act] = field(default_factory=list)
    answers: list[Act] = field(default_factory=list)
    breaks: list[Act] = field(default_factory=list)
    signed: list[Act] = field(default_factory=list)
    left: list[Act] = field(default_factory=list)
    changed: list[tuple[Act, Act]] = field(default_factory=list)
    settled: dict[str, str] = field(default_factory=dict)
    confirmed: dict[str, bool] = field(default_factory=dict)
    live: dict[str, tuple[Act, ...]] = field(default_factory=dict)
    double: tuple[str, ...] = ()
    clashes: tuple[str, ...] = ()
    rows: dict[Any, Table | None] = field(default_factory=dict, compare=False, repr=False)

    @property
    def asked(self) -> tuple[str, ...]:
        """Every item that a phone of this walk asked, in walking order."""
        return tuple(dict.fromkeys(item for one in self.begun for item in one.act.asked))

    @property
    def valid_signatures(self) -> list[Act]:
        """Signatures that nothing was begun again after."""
        return [one for one in self.signed if not any(_undoes(each, one) for each in self.breaks)]

    @property
    def signers(self) -> tuple[str, ...]:
        """Who signed, and was there to say so."""
        counted = (one for one in self.valid_signatures if self.stands(one))
        return tuple(dict.fromkeys(one.act.signer for one in counted))

    @property
    def only_said(self) -> tuple[str, ...]:
        """Who is said to have signed and has not confirmed it."""
        open_ones = (one for one in self.valid_signatures if one.act.how == "said" and one.act.id not in self.confirmed)
        return tuple(dict.fromkeys(one.act.signer for one in open_ones if one.act.signer not in self.signers))

    def stands(self, one: Act) -> bool:
        """Whether a signature is its signer's own."""
        return one.act.how != "said" or self.confirmed.get(one.act.id, False)

    @property
    def is_answered(self) -> bool:
        """Whether every item asked has an answer that counts."""
        return bool(self.begun) and all(item in self.live for item in self.asked)

    @property
    def is_left(self) -> bool:
        """Whether its holder has said that it goes no further."""
        return bool(self.left)

    @property
    def began_at(self) -> datetime:
        """When it began, by the desk's clock."""
        return min(one.at for one in (*self.begun, *self.answers, *self.breaks, *self.signed, *self.left))

    @property
    def ended_at(self) -> datetime | None:
        """When it was signed with every item answered; None until then."""
        signed = self.valid_signatures
        return max(one.at for one in signed) if signed and self.is_answered else None


def phone_walks(records: Iterable[Recorded]) -> dict[str, PhoneWalk]:
    """Return walks by id from parts, confirmations, settlements and clashes, in any order.

    A walk to which nothing came since the last time is the same object: it is for reading alone.
    """
    known = sorted(records, key=lambda each: each.seq)
    contested = _contested(known)
    groups: dict[str, list[Recorded]] = {}
    for record in known:
        if isinstance(record.act, WalkPart | WalkConfirmed | AnswerSettled):
            groups.setdefault(record.act.walk, []).append(record)
    return {
        id: _put_together(_Group(tuple(each.hash for each in group), id, tuple(group), contested))
        for id, group in groups.items()
        if any(isinstance(each.act, WalkPart) for each in group)
    }


@dataclass(frozen=True, slots=True, eq=False)
class _Group:
    """The records of one walk; the same as another by the fingerprints of its records and by what contests them."""

    hashes: tuple[str, ...]
    walk: str
    records: tuple[Recorded, ...]
    contested: Mapping[str, _Contested]

    @property
    def key(self) -> tuple[object, ...]:
        return (self.hashes, tuple(each.key for each in self.contested.values()))

    def __hash__(self) -> int:
        return hash(self.hashes)

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _Group) and self.key == other.key


@lru_cache(maxsize=4096)
def _put_together(group: _Group) -> PhoneWalk:
    walk = PhoneWalk(group.walk)
    for record in group.records:
        act = record.act
        if isinstance(act, WalkPart):
            for name in ("begun", "answers", "breaks", "signed", "left"):
                getattr(walk, name).extend(_acts(record, getattr(act, name), group.contested))
        elif isinstance(act, AnswerSettled):
            walk.settled[act.item] = act.true
    for record in group.records:
        act = record.act
        if isinstance(act, WalkConfirmed) and any(
            one.act.id == act.signature and one.act.signer == record.by for one in walk.signed
        ):
            walk.confirmed[act.signature] = act.is_mine
    _settle(walk, group.contested)
    return walk


def _acts(record: Recorded, acts: Sequence[Any], contested: Mapping[str, _Contested]) -> Iterator[Act]:
    device, skew_s = record.act.device, record.act.skew_s
    for act in acts:
        at = min(act.at - timedelta(seconds=skew_s), record.entered_at)
        for one in contested[act.id].contents(act) if act.id in contested else (act,):
            yield Act(one, record.by, at, device, skew_s)


@dataclass(frozen=True, slots=True)
class _Contested:
    """What came under one id with different contents, and what a person said of it."""

    sent: tuple[dict[str, Any], ...]
    true: tuple[str, ...]

    @property
    def key(self) -> tuple[object, ...]:
        return (json.dumps(self.sent, sort_keys=True), self.true)

    @property
    def is_open(self) -> bool:
        return "" in self.true

    def contents(self, first: Any) -> tuple[Any, ...]:
        """Return the contents that count: both while it is open, for an answer; else the one said to be true."""
        seconds = [(_second(first, sent), true) for sent, true in zip(self.sent, self.true, strict=True)]
        kept = [second for second, true in seconds if true in ("", "second") and second is not None]
        return (*(() if {"second", "neither"} & set(self.true) else (first,)), *kept)


def _second(first: Any, sent: Mapping[str, Any]) -> Any:
    """Return an answer with what a clash says in its place; other acts are not made from a clash."""
    body = sent.get("body", {})
    if not isinstance(first, Answered) or body.get("answer") not in ANSWERS:
        return None
    readings = {key: text for key, text in body.get("readings", {}).items() if isinstance(text, str)}
    words = body.get("words", "")
    return replace(first, answer=body["answer"], readings=readings, words=words if isinstance(words, str) else "")


def _contested(records: Iterable[Recorded]) -> dict[str, _Contested]:
    several = list(records)
    answers = {each.act.clash: each.act.true for each in several if isinstance(each.act, ClashSettled)}
    found: dict[str, list[tuple[dict[str, Any], str]]] = {}
    for each in several:
        if isinstance(each.act, Clash):
            sent = json.loads(each.act.sent)
            if str(sent.get("kind", "")).startswith("walk-"):
                found.setdefault(each.act.id, []).append((sent, answers.get(each.id, "")))
    return {
        id: _Contested(tuple(sent for sent, _ in pairs), tuple(true for _, true in pairs))
        for id, pairs in found.items()
    }


def _settle(walk: PhoneWalk, contested: Mapping[str, _Contested]) -> None:
    """Say of a walk what counts now."""
    corrected = {one.act.corrects: one for one in walk.answers if one.act.corrects}
    walk.changed = [(one, corrected[one.act.id]) for one in walk.answers if one.act.id in corrected]
    walk.answers = [one for one in walk.answers if one.act.id not in corrected]
    walk.answers.sort(key=lambda one: (one.at, one.device, one.act.n))
    ids = {one.act.id for name in ("begun", "answers", "breaks", "signed", "left") for one in getattr(walk, name)}
    walk.clashes = tuple(sorted(id for id in ids if id in contested and contested[id].is_open))
    standing: dict[str, list[Act]] = {}
    for one in walk.answers:
        if not any(_restarts(each, one) for each in walk.breaks):
            standing.setdefault(one.act.item, []).append(one)
    for item, several in standing.items():
        true = walk.settled.get(item)
        chosen = [one for one in several if one.act.id == true]
        walk.live[item] = tuple(chosen or several)
    walk.double = tuple(item for item, several in walk.live.items() if _differ(several))


def _differ(several: Sequence[Act]) -> bool:
    """Whether answers to one item say different things; a figure that only one of them has contradicts nothing."""
    first = several[0].act
    for one in several[1:]:
        if one.act.answer != first.answer:
            return True
        both = set(one.act.readings) & set(first.readings)
        if any(one.act.readings[key] != first.readings[key] for key in both):
            return True
    return False


def _before(one: Act, other: Act) -> bool:
    """Whether an act came before another: by the count of one phone, by the clock between two."""
    if one.device == other.device:
        return bool(one.act.n < other.act.n)
    return one.at <= other.at


def _restarts(one: Act, answer: Act) -> bool:
    """Whether a break makes an answer history."""
    act: Broken = one.act
    scope = act.restarted
    reached = (
        scope == "walk"
        or answer.act.item in act.again
        or (scope == "zone" and answer.act.zone == act.zone)
        or (scope == "stand" and answer.act.stand == act.stand)
    )
    return reached and _before(answer, one)


def _undoes(one: Act, signature: Act) -> bool:
    begins_again = one.act.restarted != "nothing" or bool(one.act.again)
    return begins_again and _before(signature, one)


# --- rows ---


def walk_row(walk: PhoneWalk, *, equipment: frozenset[str], defects: Mapping[tuple[str, str], str]) -> Table | None:
    """Return a walk as a row of a records file; None for one that its holder left with nothing found.

    Args:
        walk: The walk.
        equipment: What the aircraft has, to see whether the list now asks for more.
        defects: Ids of defect reports by walk and item.
    """
    mine = tuple(sorted(pair for pair in defects.items() if pair[0][0] == walk.id))
    key = (equipment, mine)
    if key not in walk.rows:
        walk.rows[key] = _row(walk, equipment, dict(mine))
    row = walk.rows[key]
    # What is said of a walk later is written into its row: each fold gets one of its own.
    return {**row, "answer": [{**answer} for answer in row["answer"]]} if row is not None else None


def _row(walk: PhoneWalk, equipment: frozenset[str], defects: Mapping[tuple[str, str], str]) -> Table | None:
    answers = list(_answer_rows(walk, defects))
    if not walk.begun and not walk.answers:
        return None
    if walk.is_left and not answers and walk.ended_at is None:
        return None
    begun: Begun | None = walk.begun[0].act if walk.begun else None
    row: Table = {
        "id": walk.id,
        "kind": begun.event if begun else "not known",
        "by": list(walk.signers or walk.only_said or dict.fromkeys(one.person for one in (*walk.begun, *walk.answers))),
        "began_at": walk.began_at,
        "complete": walk.ended_at is not None,
        "answer": answers,
        "interruption": [each for one in walk.breaks for each in _break_rows(one)],
        "readings": _readings(walk),
        "restored": _restored(walk),
    }
    if begun:
        row |= {"list": begun.list, "revision": begun.revision}
    if walk.ended_at is not None:
        row["ended_at"] = max(walk.ended_at, walk.began_at)
    doubt = _doubt(walk, equipment)
    if doubt:
        row["doubt"] = doubt
    return row


def _doubt(walk: PhoneWalk, equipment: frozenset[str]) -> str:
    if walk.double or walk.clashes:
        return "in_question"
    if not walk.signers:
        return "unconfirmed" if walk.only_said else ""
    return "old_list" if missing_items(walk, equipment) else ""


def missing_items(walk: PhoneWalk, equipment: frozenset[str]) -> tuple[str, ...]:
    """Return what the package's list asks for now at what this walk was made for, and this walk has no answer to."""
    if not walk.begun:
        return ()
    begun: Begun = walk.begun[0].act
    now = asked_now(begun.list, begun.event, begun.also, equipment)
    return tuple(item for item in now if item not in walk.live)


@lru_cache(maxsize=256)
def asked_now(list_id: str, event: str, also: tuple[str, ...], equipment: frozenset[str]) -> tuple[str, ...]:
    """Return the items that today's list of the package asks an aircraft for at an event."""
    try:
        items = items_for(shipped_list(list_id), event=event, equipment=equipment, also=also)
    except (FileNotFoundError, ValueError):
        return ()
    return tuple(item.id for item in items)


def _answer_rows(walk: PhoneWalk, defects: Mapping[tuple[str, str], str]) -> Iterator[Table]:
    """Yield what was not plainly right: everything ever found, and the worst of what counts now elsewhere."""
    found: set[str] = set()
    for one in walk.answers:
        act: Answered = one.act
        overruled = walk.settled.get(act.item) not in (None, act.id)
        if act.answer == NOT and not overruled:
            found.add(act.item)
            yield _answer_row(act, defects.get((walk.id, act.item), ""))
    for item, several in walk.live.items():
        worst = max(several, key=lambda one: WORSE[one.act.answer]).act
        if item not in found and worst.answer != "as it should be":
            yield _answer_row(worst, "")


def _answer_row(act: Answered, defect: str) -> Table:
    row: Table = {"item": act.item, "answer": act.answer}
    row |= {key: value for key, value in (("class", act.class_), ("words", act.words), ("defect", defect)) if value}
    if act.small:
        row["small"] = True
    return row


def _break_rows(one: Act) -> Iterator[Table]:
    """Yield a row for each thing that broke into a walk at once; the first carries how long it took."""
    act: Broken = one.act
    skew = timedelta(seconds=one.skew_s)
    begins, ends = act.from_ - skew, act.to - skew
    # Being away has a length, and the rules ask for it.
    for number, word in enumerate(sorted(act.on, key=lambda word: word != "away")):
        row: Table = {"on": word, "from": begins if number == 0 else ends, "to": ends, "restarted": act.restarted}
        yield {**row, "zone": act.zone} if act.zone else row


def _readings(walk: PhoneWalk) -> dict[str, str]:
    return {
        f"{item}.{key}": text
        for item, several in sorted(walk.live.items())
        for key, text in sorted(several[-1].act.readings.items())
        if text
    }


def _restored(walk: PhoneWalk) -> list[Table]:
    """Return what was put back by touch; an item that two phones contradict each other on is not."""
    rows = []
    for item, several in walk.live.items():
        if all(one.act.restores and one.act.answer == "as it should be" for one in several):
            rows.append({"at": max(one.at for one in several), "items": [item]})
    return rows


def is_of_phones(act: object) -> bool:
    """Return whether an act belongs to a walk that phones handed over."""
    return isinstance(act, WalkPart | WalkConfirmed | AnswerSettled | Clash | ClashSettled)
