"""Walk-rounds of an aircraft, by form, paper and phone, and the phones that are out with one."""

from __future__ import annotations

import tomllib
from collections.abc import Iterable
from datetime import datetime

from gyrewright.desk.book.kinds import aircraft as defined
from gyrewright.desk.book.kinds import flight, phones, upkeep, walking
from gyrewright.desk.book.record import Recorded
from gyrewright.desk.fold.aircraft_state import State, of
from gyrewright.desk.fold.tables import table
from gyrewright.desk.fold.walks import is_of_phones, phone_walks, walk_row

LOST = "the book was put back from a copy, and phones that opened it since are not in it"
"""Why nobody knows which phones are out, until a person says that all were asked."""


def equipment_of(counting: Iterable[Recorded]) -> frozenset[str]:
    texts = [each.act.text for each in counting if isinstance(each.act, defined.AircraftDefined)]
    return frozenset(tomllib.loads(texts[-1]).get("equipment", ())) if texts else frozenset()


def add_phone_walks(state: State, known: Iterable[Recorded], counting: Iterable[Recorded], at: datetime) -> None:
    """Add the walks that phones handed over, from every act of them that had been done."""
    aircraft = state.tables.aircraft
    mine = [each for each in known if is_of_phones(each.act) and each.about == aircraft and each.done_at <= at]
    if not any(isinstance(each.act, walking.WalkPart) for each in mine):
        return
    equipment = equipment_of(counting)
    reports = [each for each in counting if isinstance(each.act, upkeep.DefectReported) and each.act.walk]
    defects = {
        (each.act.walk, each.act.list_item or each.act.item): state.first.get(each.id, each.id) for each in reports
    }
    for walk in phone_walks(mine).values():
        row = walk_row(walk, equipment=equipment, defects=defects)
        if row is not None:
            state.by_id[walk.id] = state.add("walk", row)


@of(flight.Walk)
def _walk(state: State, record: Recorded, act: flight.Walk) -> None:
    without = ("walked_by", "answers", "interruptions", "fingerprint", "also", "asked")
    row = {"id": record.id, **table(act, without=without)}
    row |= {"by": list(act.walked_by), "entered_at": record.entered_at}
    row["answer"] = [table(each, without=("at",)) for each in act.answers]
    row["interruption"] = [table(each) for each in act.interruptions]
    if act.asked:
        state.on_paper.append((row, act))
    state.by_id[record.id] = state.add("walk", row)


@of(flight.WalkAccepted)
def _accepted(state: State, record: Recorded, act: flight.WalkAccepted) -> None:
    walk = state.find(act.walk)
    if walk is not None:
        row = {"by": record.by, "at": record.done_at, "spots": list(act.spots)}
        walk.setdefault("accepted", []).append(row)


@of(flight.ItemJudged)
def _judged(state: State, record: Recorded, act: flight.ItemJudged) -> None:
    walk = state.find(act.walk)
    for answer in walk["answer"] if walk else ():
        if answer["item"] == act.item:
            answer["judged"] = {"by": record.by, "at": record.done_at, "may": act.may, "reason": act.reason}


@of(phones.PhoneOpened)
def _phone_opened(state: State, record: Recorded, act: phones.PhoneOpened) -> None:
    name = record.personal.called if record.personal is not None else f"phone {act.phone[:4]}"
    state.add("phone", {"id": act.phone, "name": name, "holder": record.by, "opened_at": record.done_at})


@of(phones.PhoneDone)
def _phone_done(state: State, record: Recorded, act: phones.PhoneDone) -> None:
    out = state.tables.books.get("phone", [])
    out[:] = [row for row in out if row["id"] != act.phone]


@of(phones.PhonesLost)
def lose_phones(state: State, record: Recorded, act: phones.PhonesLost) -> None:
    state.lost = record.id
    state.tables.books["phones_unknown"] = LOST


@of(phones.PhonesAsked)
def _phones_asked(state: State, record: Recorded, act: phones.PhonesAsked) -> None:
    if act.lost == state.lost:
        state.tables.books.pop("phones_unknown", None)
