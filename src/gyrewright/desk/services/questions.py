"""Two truths about one thing, told apart by who entered what, and a person's answer to which of them is true.

What was handed in together is one telling. A flight's numbers are several records; that two people entered them
differently is one question all the same.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable
from dataclasses import dataclass
from datetime import datetime
from typing import Literal

from django.db.models import Q

from gyrewright.desk import clock
from gyrewright.desk.book.kinds import upkeep
from gyrewright.desk.book.kinds.operation import Clash, ClashSettled, Withdrawn
from gyrewright.desk.book.kinds.people import No, NoTakenBack
from gyrewright.desk.book.models import Record
from gyrewright.desk.book.reading import read_rows
from gyrewright.desk.book.record import Entry, Recorded
from gyrewright.desk.book.writing import append
from gyrewright.desk.fold.standing import Conflict, second_content, standing
from gyrewright.desk.refusal import NotAllowed, Refused
from gyrewright.desk.services.entitling import require
from gyrewright.desk.services.exercises import SET_UP
from gyrewright.desk.services.records import new_id
from gyrewright.maintenance.defects import ASSESS, CLOSE, DEFER
from gyrewright.maintenance.events import CLEAR

NEITHER = "neither"


@dataclass(frozen=True, slots=True)
class Telling:
    """What one person entered at one moment: contents as they would count, and the records that hold them."""

    by: str
    entered_at: datetime
    contents: tuple[Recorded, ...]
    held_in: tuple[Recorded, ...]


@dataclass(frozen=True, slots=True)
class Question:
    """Several tellings of the same thing, the earliest first."""

    ids: tuple[str, ...]
    tellings: tuple[Telling, ...]


def question_about(ids: Collection[str]) -> Question | None:
    """Return what is told differently of the records with these ids, or nothing where they agree or it is settled."""
    family = _family(ids)
    open_ones = standing(family).conflicts
    if not open_ones:
        return None
    settled = {each.act.clash for each in family if isinstance(each.act, ClashSettled)}
    doubted = {conflict.of for conflict in open_ones}
    told: dict[datetime, list[tuple[Recorded, Recorded]]] = {}
    for each in family:
        if isinstance(each.act, Clash) and each.act.id in doubted and each.id not in settled:
            first = next(one for one in family if one.id == each.act.id)
            told.setdefault(each.entered_at, []).append((second_content(first, each), each))
            told.setdefault(first.entered_at, [])
            if (first, first) not in told[first.entered_at]:
                told[first.entered_at].append((first, first))
    for conflict in open_ones:
        for each in conflict.records:
            if each.corrects == conflict.of:
                told.setdefault(each.entered_at, []).append((each, each))
    tellings = [
        Telling(pairs[0][0].by, at, tuple(one for one, _ in pairs), tuple(held for _, held in pairs))
        for at, pairs in sorted(told.items())
    ]
    return Question(tuple(sorted(ids)), tuple(tellings))


def _family(ids: Collection[str]) -> list[Recorded]:
    """Return records with these ids, what corrects them, what clashes with either, and what settles it."""
    found = Record.objects.filter(Q(id__in=ids) | Q(corrects__in=ids))
    known = {*ids, *found.values_list("id", flat=True)}
    more = Record.objects.filter(Q(corrects__in=known))
    clashes = [
        each for each in read_rows(Record.objects.filter(kind="clash", about__in=_about(known))) if each.act.id in known
    ]
    names = {each.id for each in clashes}
    settled = [
        each
        for each in read_rows(Record.objects.filter(kind="clash-settled", about__in=_about(known)))
        if each.act.clash in names
    ]
    rows = {each.id: each for each in (*read_rows(found), *read_rows(more), *clashes, *settled)}
    return sorted(rows.values(), key=lambda each: each.seq)


def _about(ids: Iterable[str]) -> set[str]:
    return set(Record.objects.filter(id__in=list(ids)).values_list("about", flat=True))


_GROUNDS = (upkeep.DefectReported, upkeep.EventReported, upkeep.DefectReopened, upkeep.MarkerPlaced)
"""What grounds an aircraft, in whichever words: that it was said is no mistake that an answer here could undo."""

_ENTITLED: dict[type, str] = {
    upkeep.DefectAssessed: ASSESS,
    upkeep.DefectDeferred: DEFER,
    upkeep.DefectClosed: CLOSE,
    upkeep.EventCleared: CLEAR,
    upkeep.WorkDone: "sign work",
    upkeep.WorkSigned: "sign work",
    upkeep.TaskDone: "sign work",
    upkeep.SecondLook: "sign work",
    upkeep.CheckFlown: "sign work",
    upkeep.MarkerPlaced: SET_UP,
    upkeep.MarkerRemoved: SET_UP,
    upkeep.MarkerConfirmed: SET_UP,
}
"""What somebody must be entitled to, to say which of two such acts is true: it may let an aircraft fly."""


_REPORTS: dict[type, str] = {upkeep.DefectReported: ASSESS, upkeep.EventReported: CLEAR}


def _what(act: object) -> tuple[object, ...]:
    """Return what a report is of, whatever its words."""
    return tuple(getattr(act, name, "") for name in ("item", "zone", "symptom", "kind"))


def _may_settle(asked: Question, answer: str, by: str) -> None:
    contents = [each for telling in asked.tellings for each in telling.contents]
    if answer == NEITHER and any(isinstance(each.act, _GROUNDS) for each in contents):
        raise Refused("what was reported is not undone here: it is assessed, inspected or counted off, and signed")
    # Two words for one thing are its reporters' to choose between; of two things neither goes away without a judgement.
    if len({_what(each.act) for each in contents}) > 1:
        for each in contents:
            if isinstance(each.act, tuple(_REPORTS)):
                require(_REPORTS[type(each.act)], person=by, aircraft=each.about)
    for each in contents:
        if isinstance(each.act, No | NoTakenBack) and each.by != by:
            raise NotAllowed("only whoever said this no says which of its words is true")
        act = _ENTITLED.get(type(each.act))
        if act is not None:
            require(act, person=by, aircraft=each.about, relations={"subject": ""})


def settle(*, ids: Collection[str], answer: str, by: str) -> None:
    """Record which telling is true, by its number, or that none of them is. The others stay readable and count not.

    Raises:
        NotAllowed: Which is true may let an aircraft fly, and the person is not entitled to such an act.
        Refused: Nothing is open there any more, the answer is none, or it would undo what grounds an aircraft.
    """
    asked = question_about(ids)
    if asked is None:
        raise Refused("this question has been answered already; look again")
    numbers = [str(number) for number in range(len(asked.tellings))]
    if answer not in (*numbers, NEITHER):
        raise Refused("say which of them is true, or that none is")
    _may_settle(asked, answer, by)
    chosen = asked.tellings[int(answer)] if answer != NEITHER else None
    now, entries = clock.now(), []
    for telling in asked.tellings:
        for held in telling.held_in:
            if isinstance(held.act, Clash):
                true: Literal["first", "second", "neither"] = "neither" if chosen is None else "first"
                true = "second" if telling is chosen else true
                entries.append(Entry(new_id(), ClashSettled(clash=held.id, true=true), now, by, held.about))
            elif held.corrects in ids and telling is not chosen:
                entries.append(Entry(new_id(), Withdrawn(), now, by, held.about, held.id))
    append(entries)


def not_of_flights(conflicts: Iterable[Conflict], *, ids: Collection[str]) -> list[Conflict]:
    """Return the open conflicts that belong to no flight's numbers, each once."""
    found = {each.of: each for each in conflicts if each.of not in ids}
    return list(found.values())
