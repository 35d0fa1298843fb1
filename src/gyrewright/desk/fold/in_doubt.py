"""Two truths about what grounds an aircraft: nothing that locked it stops locking it because it is in question.

Where a meter or a paper is in question, nobody knows it. Where a defect, an event, work or a marker is, both contents
stand as if nobody had done anything about them, so that another phone's word never makes an answer milder. What is
right is for a person to say.
"""

from __future__ import annotations

from typing import Any, Protocol

from gyrewright.desk.book.kinds import upkeep
from gyrewright.desk.book.record import Recorded
from gyrewright.desk.fold.tables import Table, table

IN_QUESTION = "two records of this contradict each other; a person has to say which is true"


class Folded(Protocol):
    """What has been folded so far."""

    def find(self, id: str) -> Table | None: ...

    def add(self, name: str, row: Table) -> Table: ...

    @property
    def by_id(self) -> dict[str, Table]: ...


def doubt_locks(state: Folded, record: Recorded) -> bool:
    """Enter one of two contents that contradict each other in its strictest reading; return False where none locks."""
    act = record.act
    if isinstance(act, upkeep.DefectReported | upkeep.EventReported | upkeep.WorkDone):
        _stand_open(state, record, act)
    elif isinstance(act, upkeep.DefectAssessed | upkeep.DefectDeferred | upkeep.DefectClosed | upkeep.DefectReopened):
        defect = state.find(act.defect)
        if defect is not None:
            at = max(record.done_at, defect["at"])
            row = {"kind": "reopened", "at": at, "by": record.by, "words": IN_QUESTION}
            defect.setdefault("act", []).append(row)
    elif isinstance(act, upkeep.MarkerPlaced):
        row = {"number": act.number, "placed_by": record.by, "placed_at": record.done_at}
        state.add("marker", row)
    elif isinstance(act, upkeep.MarkerRemoved | upkeep.MarkerConfirmed):
        marker = state.find(act.placed)
        if marker is not None:
            marker.pop("removed" if isinstance(act, upkeep.MarkerRemoved) else "confirmed", None)
    elif isinstance(act, upkeep.CheckFlown):
        work = state.find(act.work)
        if work is not None and work.get("check_flight", {"at": record.done_at})["at"] <= record.done_at:
            work.pop("check_flight", None)
    else:
        # A signature, a second look or a clearing that is in question is simply none.
        return isinstance(act, upkeep.EventCleared | upkeep.WorkSigned | upkeep.SecondLook | upkeep.DefectsCompared)
    return True


def _stand_open(state: Folded, record: Recorded, act: Any) -> None:
    name = {upkeep.DefectReported: "defect", upkeep.EventReported: "event"}.get(type(act), "work")
    used = {id for row_id, row in state.by_id.items() for id in (row_id, row.get("id"))}
    id, number = record.id, 1
    while id in used:
        number += 1
        id = f"{record.id} ({number})"
    row: Table = {"id": id, "at": record.done_at, **table(act, without=("walk", "zone", "list_item", "workers"))}
    row["by"] = (list(act.workers) or [record.by]) if isinstance(act, upkeep.WorkDone) else record.by
    state.by_id[id] = state.add(name, row)
