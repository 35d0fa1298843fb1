"""Walks at the desk: which were made on an aircraft, what waits for a person, and what people say about them."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta

from django.db.models import Q

from gyrewright.desk import clock
from gyrewright.desk.book.kinds.flight import ItemJudged, WalkAccepted
from gyrewright.desk.book.kinds.operation import Clash
from gyrewright.desk.book.kinds.walking import AnswerSettled, OddButRight, WalkConfirmed
from gyrewright.desk.book.models import Record
from gyrewright.desk.book.reading import find_records, read_rows
from gyrewright.desk.book.record import Kept, Recorded
from gyrewright.desk.fold.aircraft import fold_aircraft
from gyrewright.desk.fold.question import aircraft_of
from gyrewright.desk.fold.walks import Act, PhoneWalk, phone_walks
from gyrewright.desk.refusal import NotAllowed, Refused
from gyrewright.desk.services import state
from gyrewright.desk.services.entitling import allowed, require
from gyrewright.desk.services.records import record_act
from gyrewright.desk.services.releases import supersede
from gyrewright.desk.services.walk_lists import list_of
from gyrewright.errors import UnknownName
from gyrewright.inspection.answers import JUDGE_SMALL
from gyrewright.inspection.choosing import spots
from gyrewright.inspection.lists import items_for
from gyrewright.inspection.walk import NOT, Walk

PHONE_KINDS = ("walk-part", "walk-confirmed", "answer-settled", "clash", "clash-settled")


@dataclass(frozen=True, slots=True)
class Question:
    """Something about a walk that only a person can say.

    `kind` is "double", "clash" or "confirm"; `answers` are the answers among which one is true; `signature` is what was
    said in somebody's name.
    """

    kind: str
    aircraft: str
    walk: str
    item: str = ""
    answers: tuple[Act, ...] = ()
    clash: Recorded | None = None
    signature: Act | None = None


def walks_of(aircraft: str, at: datetime) -> tuple[Walk, ...]:
    """Return every walk on an aircraft as the release reads it, the newest first."""
    book = state.machine(aircraft, at).aircraft.walks
    walks = book.walks if book is not None and book.walks is not None else ()
    return tuple(sorted(walks, key=lambda each: each.began_at, reverse=True))


def walk_with_id(id: str, at: datetime) -> tuple[str, Walk]:
    """Return a walk and the aircraft it was made on.

    Raises:
        UnknownName: There is none.
    """
    for aircraft in state.fleet_ids():
        for walk in walks_of(aircraft, at):
            if walk.id == id:
                return aircraft, walk
    found = _old_walk(id, at)
    if found is None:
        raise UnknownName(f"no walk-round has the id {id!r}")
    return found


def _old_walk(id: str, at: datetime) -> tuple[str, Walk] | None:
    """Return a walk that is too old to be folded into its aircraft, from its own parts alone."""
    parts = [
        each for each in read_rows(Record.objects.filter(kind="walk-part", body__contains=id)) if each.act.walk == id
    ]
    if not parts:
        return None
    aircraft = parts[0].about
    defined = find_records(about=aircraft, kinds=("aircraft-defined",))
    made = aircraft_of(fold_aircraft([*defined, *parts], aircraft=aircraft, at=at))
    walks = made.walks.walks if made.walks is not None and made.walks.walks is not None else ()
    return next(((aircraft, walk) for walk in walks if walk.id == id), None)


def phone_walks_of(aircraft: str) -> dict[str, PhoneWalk]:
    """Return the walks that phones handed over of an aircraft, by id, with every act of them."""
    records = _phone_records(aircraft)
    key = ("phone walks", aircraft, records[-1].seq if records else 0)
    return state.kept(key, lambda: phone_walks(records))


def phone_walk(aircraft: str, walk: str) -> PhoneWalk | None:
    """Return one walk that phones handed over, however old; None for a walk from paper or another book."""
    found = phone_walks_of(aircraft).get(walk)
    if found is None:
        rows = Record.objects.filter(about=aircraft, kind__in=PHONE_KINDS, body__contains=walk)
        found = phone_walks(read_rows(rows)).get(walk)
    return found


def _phone_records(aircraft: str) -> list[Recorded]:
    since, lately = state.lately_walked(clock.now())
    return state.records_of(("walks", aircraft, since), Q(about=aircraft, kind__in=PHONE_KINDS) & lately)


def questions_of(aircraft: str) -> list[Question]:
    """Return what waits for a person: answers that contradict each other, clashes, signatures given for somebody."""
    out = []
    records = _phone_records(aircraft)
    clashes = {each.act.id: each for each in records if isinstance(each.act, Clash)}
    for walk in phone_walks(records).values():
        for item in walk.double:
            contested = [one for one in walk.live[item] if one.act.id in walk.clashes]
            if not contested:
                out.append(Question("double", aircraft, walk.id, item, walk.live[item]))
        out += [Question("clash", aircraft, walk.id, clash=clashes[id]) for id in walk.clashes if id in clashes]
        for one in walk.valid_signatures:
            if one.act.how == "said" and one.act.id not in walk.confirmed:
                out.append(Question("confirm", aircraft, walk.id, signature=one))
    return out


def confirm(*, id: str, aircraft: str, walk: str, signature: str, is_mine: bool, by: str) -> Kept:
    """Record whether a signature that another's phone gave in somebody's name is theirs.

    Raises:
        NotAllowed: It was given in somebody else's name.
    """
    found = phone_walks_of(aircraft).get(walk)
    signed = [one for one in found.signed if one.act.id == signature] if found else []
    if not signed or signed[0].act.signer != by:
        raise NotAllowed("only the person in whose name it was signed says whether it is theirs")
    kept = record_act(id=id, act=WalkConfirmed(walk, signature, is_mine), by=by, about=aircraft)
    supersede(by=by)
    return kept


def settle(*, id: str, aircraft: str, walk: str, item: str, true: str, by: str) -> Kept:
    """Record which of two answers to an item is true.

    Where one of them found something, only whoever said so, or somebody who may assess a defect, can say otherwise.

    Raises:
        NotAllowed: The person is neither.
        Refused: Nothing asks for it.
    """
    found = phone_walks_of(aircraft).get(walk)
    answers = found.live.get(item, ()) if found and item in found.double else ()
    chosen = [one for one in answers if one.act.id == true]
    if not chosen:
        raise Refused("nothing asks for this any more; load the page again")
    against = [one for one in answers if one.act.answer == NOT and one.act.id != true]
    assesses = allowed(JUDGE_SMALL, person=by, aircraft=aircraft).allowed
    if any(one.person != by for one in against) and not assesses:
        raise NotAllowed("something was found there: only who found it, or who may assess a defect, says it is nothing")
    kept = record_act(id=id, act=AnswerSettled(walk, item, true), by=by, about=aircraft)
    supersede(by=by)
    return kept


def spots_for(aircraft: str, walk: Walk, at: datetime) -> tuple[str, ...]:
    """Return the items that a commander looks at again before this walk counts as theirs."""
    rules = state.house(at).operation.walk_rules
    count = max((each.spots for each in rules.needed if each.whose == "commander"), default=0) if rules else 0
    walk_list = list_of(aircraft, walk.list_id or "walk-round", at)
    equipment = state.machine(aircraft, at).aircraft.definition.equipment
    return spots(items_for(walk_list, event=walk.kind, equipment=equipment), walk=walk.id, count=count)


def against_accepting(*, aircraft: str, walk: str, seen: tuple[str, ...], by: str, at: datetime) -> str:
    """Return why a walk cannot be taken over by a person who looked at these items again; empty where it can."""
    try:
        found = walk_with_id(walk, at)[1]
    except UnknownName:
        return "that walk has not been handed over"
    if not allowed("walk round", person=by, aircraft=aircraft).allowed:
        return "only somebody who may walk round takes a walk over"
    if by in found.by:
        return "this walk is your own"
    if not found.complete:
        return "this walk is not finished; only a finished one can be taken over"
    lacking = [item for item in spots_for(aircraft, found, at) if item not in seen]
    if lacking:
        return f"look again at {', '.join(lacking)} first, and say for each that it is as it should be"
    return ""


def has_looked_again(*, aircraft: str, walk: str, seen: tuple[str, ...], by: str, device: str) -> bool:
    """Return whether a person has answered each of these items of a walk on one phone, as it should be."""
    found = phone_walk(aircraft, walk)
    right = {
        one.act.item
        for one in (found.answers if found else ())
        if one.by == by and one.device == device and one.act.answer == "as it should be"
    }
    return set(seen) <= right


def accept(*, id: str, walk: str, seen: tuple[str, ...], by: str) -> Kept:
    """Record that somebody who commands takes another's walk for theirs, with what they looked at again.

    Raises:
        NotAllowed: The person may not walk round themself.
        Refused: It is their own, it is not finished, or an item named for it was not looked at.
    """
    at = clock.now()
    aircraft, _ = walk_with_id(walk, at)
    require("walk round", person=by, aircraft=aircraft)
    against = against_accepting(aircraft=aircraft, walk=walk, seen=seen, by=by, at=at)
    if against:
        raise Refused(against)
    kept = record_act(id=id, act=WalkAccepted(walk, seen), by=by, about=aircraft)
    supersede(by=by)
    return kept


def judge_item(*, id: str, walk: str, item: str, may: bool, reason: str, by: str) -> Kept:
    """Record whether something small at a grounding item may fly, by somebody who may assess a defect.

    Raises:
        NotAllowed: The person may not.
        Refused: Nobody called it small, or no reason is given.
    """
    aircraft, found = walk_with_id(walk, clock.now())
    require(JUDGE_SMALL, person=by, aircraft=aircraft)
    if not any(each.item == item and each.answer == NOT and each.small for each in found.answers):
        raise Refused(f"nobody called anything small at {item} on this walk")
    if len(reason.split()) < 2:
        raise Refused("write in a few words why")
    kept = record_act(id=id, act=ItemJudged(walk, item, may, reason.strip()), by=by, about=aircraft)
    supersede(by=by)
    return kept


def say_odd_but_right(*, id: str, aircraft: str, item: str, words: str, by: str, photos: tuple[str, ...] = ()) -> Kept:
    """Record what looks wrong at an item of this aircraft and is right; empty words take an earlier one away.

    Raises:
        NotAllowed: The person may not assess a defect: whoever calls odd things right must be able to.
        Refused: The item is none of this aircraft's list.
    """
    require(JUDGE_SMALL, person=by, aircraft=aircraft)
    known = {each.id for each in list_of(aircraft, "walk-round", clock.now()).items}
    if item not in known:
        raise Refused(f"{item!r} is no item of the walk-round; write its id, such as K08")
    if len(words) > ODD_MOST:
        raise Refused(f"say it in at most {ODD_MOST} letters; a phone has to show it")
    return record_act(id=id, act=OddButRight(item=item, words=words.strip(), photos=photos), by=by, about=aircraft)


ODD_MOST = 160


def answers_in_order(walk: PhoneWalk) -> list[Act]:
    """Return every answer of a walk as it was given, corrected and restarted ones among them."""
    corrected = [before for before, _ in walk.changed]
    return sorted((*walk.answers, *corrected), key=lambda one: (one.at, one.act.n))


def is_recent(moment: datetime, at: datetime) -> bool:
    """Return whether a walk is shown on the first page."""
    return at - moment <= timedelta(hours=36)
