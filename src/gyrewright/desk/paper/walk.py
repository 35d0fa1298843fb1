"""A walk-round on paper: the same items in the same order with the same numbers as on the phone, and room to answer."""

from __future__ import annotations

from collections.abc import Collection
from datetime import datetime
from typing import Any

from gyrewright.aircraft.definition import Definition
from gyrewright.desk.book.chain import Head
from gyrewright.desk.book.record import Recorded
from gyrewright.desk.paper.frame import frame
from gyrewright.desk.paper.items import item_printed
from gyrewright.desk.services.paper_walks import list_mark
from gyrewright.desk.worded import list_in
from gyrewright.inspection.lists import WalkList, stands
from gyrewright.words.catalogue import FIRST
from gyrewright.words.spelling import spelled

PRINTED_FOR = ("first of the day", "each flight", "turnaround", "after transport", "after storage")
"""The events for which pages offer a sheet; its address takes any event of the list."""


def walk_sheet(
    walk_list: WalkList,
    definition: Definition,
    *,
    event: str,
    also: Collection[str],
    defined: Recorded,
    head: Head,
    made_at: datetime,
    base: str,
    language: str = FIRST,
) -> dict[str, Any]:
    """Return the sheet of one list for one aircraft at one event.

    Args:
        walk_list: The list, with the aircraft's own items.
        definition: The aircraft, whose figures stand beside the readings.
        event: What calls for the walk.
        also: What else holds: refueled, cold...
        defined: The record that defines the aircraft; the sheet's code leads to where a walk of it is keyed in.
        head: The head of the chain now.
        made_at: Now.
        base: Where this desk answers.
        language: The words around the list.
    """
    walk_list = list_in(walk_list, language)
    found = stands(walk_list, event=event, equipment=definition.equipment, also=also)
    sheet = frame(
        kind=walk_list.name,
        title=f"{definition.name} {definition.id}, {event}",
        fingerprint=defined.hash,
        base=base,
        head=head,
        made_at=made_at,
        language=language,
        leads="W",
    )
    return sheet | {
        "legend": "Boxes, from the left: as it should be, not, could not look.",
        "foot": f"{walk_list.name}, revision {list_mark(walk_list)}",
        "event": ", ".join((event, *sorted(also))),
        "count": sum(len(stand.items) for stand in found),
        "restarts": [
            [rule.on, f"{rule.from_h * 60.0:g} min" if rule.from_h else "", rule.restarts]
            for rule in walk_list.restarts
        ],
        "stands": [
            [
                " · ".join(spelled(part.name, language) for part in stand.parts),
                " · ".join(dict.fromkeys(part.where for part in stand.parts)),
                [item_printed(item, definition, language) for item in stand.items],
            ]
            for stand in found
        ],
    }
