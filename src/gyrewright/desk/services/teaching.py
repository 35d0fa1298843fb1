"""What exercises and walk-rounds teach: shares with their exact intervals, and items that ask for another look.

Nothing here ranks people. What one person found is for that person and whoever teaches them; everything else is told
without names. A statistic proposes; a person decides.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import datetime

from django.db.models import Q

from gyrewright.desk import clock
from gyrewright.desk.book.kinds.flight import Walk
from gyrewright.desk.book.kinds.training import ItemDecided
from gyrewright.desk.book.kinds.upkeep import DefectReported
from gyrewright.desk.book.models import Record
from gyrewright.desk.book.record import Entry, Kept, Recorded
from gyrewright.desk.book.writing import append_one
from gyrewright.desk.fold.standing import standing
from gyrewright.desk.fold.walks import phone_walks
from gyrewright.desk.refusal import Refused
from gyrewright.desk.services import state
from gyrewright.desk.services.due import house_of
from gyrewright.desk.services.entitling import require
from gyrewright.desk.services.exercise import Exercise
from gyrewright.desk.services.people import all_people
from gyrewright.desk.services.places import walk_list
from gyrewright.desk.services.records import as_before, new_id
from gyrewright.errors import GyrewrightError
from gyrewright.inspection.found import Share, share
from gyrewright.inspection.items import EVENTS, Item
from gyrewright.inspection.lists import items_for
from gyrewright.inspection.surgery import Proposal, Seen, by_maintainers_alone, never_failed, proposals
from gyrewright.inspection.walk import ANSWERS, COULD_NOT_LOOK, NOT

DECIDE = "decide on a walk-round item"


@dataclass(frozen=True, slots=True)
class OfZone:
    """Found of placed in one zone of the walk-round."""

    zone: str
    name: str
    score: Share


def ended(exercises: Iterable[Exercise]) -> tuple[Exercise, ...]:
    """Return the exercises that have ended; a label that is still looked for counts for nothing yet."""
    return tuple(each for each in exercises if each.is_ended)


def of_student(exercises: Iterable[Exercise], student: str) -> tuple[Exercise, ...]:
    """Return the ended exercises of one student."""
    return tuple(each for each in ended(exercises) if each.student == student)


def total(exercises: Iterable[Exercise]) -> Share:
    """Return found of placed over some exercises."""
    every = tuple(exercises)
    return share(sum(len(each.found) for each in every), sum(len(each.markers) for each in every))


def by_zone(exercises: Iterable[Exercise]) -> tuple[OfZone, ...]:
    """Return found of placed by zone, in walking order; zones in which nothing hung are left out."""
    placed: Counter[str] = Counter()
    found: Counter[str] = Counter()
    for each in exercises:
        placed.update(marker.zone for marker in each.markers)
        found.update(marker.zone for marker in each.found)
    names = {zone.id: zone.name for zone in walk_list().zones}
    order = [*names, *sorted(set(placed) - set(names))]
    return tuple(
        OfZone(zone, names.get(zone, zone or "no zone written"), share(found[zone], placed[zone]))
        for zone in order
        if placed[zone]
    )


# --- the walk-round list by its own record ---


@dataclass(frozen=True, slots=True)
class Decided:
    """What a person decided on a proposal."""

    record: Recorded
    who: str


@dataclass(frozen=True, slots=True)
class ListRecord:
    """What walk-rounds and reports say of the walk-round list.

    Attributes:
        walks: How many finished walk-rounds it rests on.
        proposals: What nobody has decided on yet.
        decided: What was decided, the newest first.
        asked_after: The house's number of looks after which an item that never failed is asked about.
    """

    walks: int
    seen: dict[str, Seen]
    never: tuple[tuple[Item, Seen], ...]
    maintainers: tuple[tuple[Item, Seen], ...]
    proposals: tuple[Proposal, ...]
    decided: tuple[Decided, ...]
    asked_after: int | None


def list_record(at: datetime) -> ListRecord:
    """Return what the walk-rounds and reports of every aircraft say of the walk-round list."""
    return state.kept(("list record", at, state.head_seq()), lambda: _list_record(at))


def _list_record(at: datetime) -> ListRecord:
    by_list = walk_list()
    looks: Counter[str] = Counter()
    failed: Counter[str] = Counter()
    maintainers: Counter[str] = Counter()
    others: Counter[str] = Counter()
    walks = 0
    by_name = {item.name: item.id for item in by_list.items}
    for aircraft in state.fleet_ids():
        records = [each for each in state.records_about(aircraft) if each.about == aircraft]
        counting = standing(records, at=at).records
        for looked, not_right in (*_phone_looks(records, at), *_paper_looks(counting, aircraft, at)):
            walks += 1
            looks.update(looked | not_right)
            failed.update(not_right)
        for each in counting:
            if isinstance(each.act, DefectReported):
                item = each.act.list_item or by_name.get(each.act.item, "")
                if item:
                    (maintainers if _maintains(each, aircraft) else others)[item] += 1
    ids = {*looks, *failed, *maintainers, *others}
    seen = {id: Seen(id, looks[id], failed[id], maintainers[id], others[id]) for id in ids}
    try:
        asked_after = house_of(at).item_asked_after
    except GyrewrightError:
        asked_after = None
    decided = _decided(at)
    closed = {(each.record.act.item, each.record.act.proposal) for each in decided}
    open_ones = proposals(by_list.items, seen, asked_after=asked_after)
    return ListRecord(
        walks=walks,
        seen=seen,
        never=never_failed(by_list.items, seen),
        maintainers=by_maintainers_alone(by_list.items, seen),
        proposals=tuple(each for each in open_ones if (each.item.id, each.what) not in closed),
        decided=decided,
        asked_after=asked_after,
    )


def _maintains(record: Recorded, aircraft: str) -> bool:
    return "close a defect" in state.entitled_then(aircraft)(record.by, record.done_at)


def _phone_looks(records: list[Recorded], at: datetime) -> Iterator[tuple[set[str], set[str]]]:
    """Yield for each walk-round on a phone the items that were right and those that were not."""
    for walk in phone_walks(records).values():
        if walk.ended_at is None or walk.ended_at > at or not walk.begun or walk.begun[0].act.list != "walk-round":
            continue
        not_right = {one.act.item for one in walk.answers if one.act.answer == NOT}
        right = {item for item, several in walk.live.items() if any(one.act.answer == ANSWERS[0] for one in several)}
        yield right - not_right, not_right


def _paper_looks(counting: Iterable[Recorded], aircraft: str, at: datetime) -> Iterator[tuple[set[str], set[str]]]:
    """Yield the same for each finished walk-round that was entered whole."""
    equipment = state.machine(aircraft, at).aircraft.definition.equipment
    asks = {
        kind: {item.id for item in items_for(walk_list(), event=kind, equipment=equipment)}
        for kind in {each.act.kind for each in counting if isinstance(each.act, Walk)} & set(EVENTS)
    }
    for each in counting:
        act = each.act
        if not isinstance(act, Walk) or not act.complete or act.list != "walk-round" or act.kind not in asks:
            continue
        asked = asks[act.kind]
        not_right = {one.item for one in act.answers if one.answer == NOT}
        unseen = {one.item for one in act.answers if one.answer == COULD_NOT_LOOK}
        yield asked - not_right - unseen, not_right


def _decided(at: datetime) -> tuple[Decided, ...]:
    records = state.records_of("items decided", Q(kind="item-decided"))
    names = {id: known.name or id for id, known in all_people().items()}
    found = [each for each in records if each.done_at <= at]
    return tuple(Decided(each, names.get(each.by, each.by)) for each in reversed(found))


def decide_item(*, id: str, item: str, proposal: str, decided: str, why: str, by: str) -> Kept:
    """Record what a person decided on a proposal. The list itself changes by its own revision, and not by this.

    Raises:
        NotAllowed: The table of acts does not let this person.
        Refused: It is no open proposal, or says neither yes nor no, or not why.
    """
    require(DECIDE, person=by)
    by_list = walk_list()
    open_ones = {(each.item.id, each.what) for each in list_record(clock.now()).proposals}
    if (item, proposal) not in open_ones and not Record.objects.filter(id=id).exists():
        raise Refused("this is no open proposal; look at the page again")
    if decided not in ("yes", "no"):
        raise Refused("decide: yes or no")
    if not why.strip():
        raise Refused("write why, for whoever asks in three years")
    act = ItemDecided(
        list=by_list.id,
        revision=by_list.revision,
        item=item,
        proposal=proposal,  # type: ignore[arg-type]
        decided=decided,  # type: ignore[arg-type]
        why=why.strip(),
    )
    return append_one(as_before(Entry(id or new_id(), act, clock.now(), by)))
