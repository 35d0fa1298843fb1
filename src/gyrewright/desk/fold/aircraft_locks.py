"""What locks an aircraft until somebody entitled has acted: defects, events, work and training markers."""

from __future__ import annotations

import itertools
from collections.abc import Iterable
from typing import Any

from gyrewright.desk.book.kinds import upkeep
from gyrewright.desk.book.record import Recorded
from gyrewright.desk.fold.aircraft_state import State, of
from gyrewright.desk.fold.tables import Table, table, with_limits


@of(upkeep.DefectReported)
def _defect(state: State, record: Recorded, act: upkeep.DefectReported) -> None:
    row = {
        "id": record.id,
        "at": state.first_at(record),
        "by": record.by,
        **table(act, without=("walk", "zone", "list_item")),
    }
    state.by_id[record.id] = state.add("defect", row)


_DEFECT_ACTS = {
    upkeep.DefectAssessed: "assessed",
    upkeep.DefectDeferred: "deferred",
    upkeep.DefectClosed: "closed",
    upkeep.DefectReopened: "reopened",
}


@of(*_DEFECT_ACTS)
def _defect_act(state: State, record: Recorded, act: Any) -> None:
    defect = state.find(act.defect)
    # An act that is older than the report says nothing about it.
    if defect is None or record.done_at < defect["at"]:
        return
    if isinstance(act, upkeep.DefectDeferred) and act.judged_safe is False:
        return
    row: Table = {"kind": _DEFECT_ACTS[type(act)], **state.signed(record.by, record.done_at)}
    row |= table(act, without=("defect", "until_on", "work", "reference", "judged_safe"))
    if isinstance(act, upkeep.DefectDeferred) and act.until is None and act.until_on is not None:
        row["until"] = act.until_on
    if "restriction" in row:
        row["restriction"] = with_limits(row["restriction"])
    defect.setdefault("act", []).append(row)


@of(upkeep.DefectsCompared)
def _compared(state: State, record: Recorded, act: upkeep.DefectsCompared) -> None:
    ids = sorted({state.first.get(id, id) for id in act.defects})
    for pair in itertools.combinations(ids, 2):
        state.same[pair] = act.same


def take_over(state: State, records: Iterable[Recorded]) -> None:
    """Let each report of what a walk found take its place: from then on the report decides."""
    for each in records:
        if not isinstance(each.act, upkeep.DefectReported) or not each.act.walk:
            continue
        walk = state.find(each.act.walk) or {}
        for answer in walk.get("answer", ()):
            if answer["item"] == (each.act.list_item or each.act.item):
                answer.setdefault("defect", state.first.get(each.id, each.id))


def join_alike(state: State) -> None:
    """Point every report that was found to be of the same thing as others at the oldest of them."""
    groups: dict[str, set[str]] = {}
    for pair in [pair for pair, same in state.same.items() if same]:
        joined = set(pair).union(*(groups.get(id, ()) for id in pair))
        groups.update(dict.fromkeys(joined, joined))
    for group in groups.values():
        rows = sorted((row for id in group if (row := state.find(id))), key=lambda row: (row["at"], row["id"]))
        for later in rows[1:]:
            later["like"] = rows[0]["id"]


@of(upkeep.EventReported)
def _event(state: State, record: Recorded, act: upkeep.EventReported) -> None:
    row = {"id": record.id, "at": state.first_at(record), "by": record.by, **table(act)}
    state.by_id[record.id] = state.add("event", row)


@of(upkeep.EventCleared)
def _cleared(state: State, record: Recorded, act: upkeep.EventCleared) -> None:
    event = state.find(act.event)
    if event is not None and record.done_at >= event["at"]:
        row = table(act, without=("event", "worker", "reference"))
        signed = state.signed(act.signed_by, record.done_at) | {"by": act.worker or record.by}
        event.setdefault("cleared", []).append({**signed, **row})


@of(upkeep.WorkDone)
def _work(state: State, record: Recorded, act: upkeep.WorkDone) -> None:
    row = {"id": record.id, "at": record.done_at, **table(act, without=("workers",))}
    row["by"] = list(act.workers) or [record.by]
    state.by_id[record.id] = state.add("work", row)


_WORK_ACTS = {
    upkeep.WorkSigned: "signed",
    upkeep.SecondLook: "second_look",
    upkeep.CheckFlown: "check_flight",
}


@of(*_WORK_ACTS)
def _work_act(state: State, record: Recorded, act: Any) -> None:
    work = state.find(act.work)
    if work is not None:
        row = state.signed(record.by, record.done_at)
        if isinstance(act, upkeep.CheckFlown):
            row["result"] = act.result
        work[_WORK_ACTS[type(act)]] = row


@of(upkeep.MarkerPlaced)
def _marker(state: State, record: Recorded, act: upkeep.MarkerPlaced) -> None:
    row = {**table(act, without=("zone", "exercise")), "placed_by": record.by, "placed_at": record.done_at}
    state.by_id[record.id] = state.add("marker", row)


@of(upkeep.MarkerRemoved, upkeep.MarkerConfirmed)
def _counted(state: State, record: Recorded, act: Any) -> None:
    marker = state.find(act.placed)
    if marker is not None:
        key = "removed" if isinstance(act, upkeep.MarkerRemoved) else "confirmed"
        marker[key] = {"by": record.by, "at": record.done_at}
