"""Events that lock the aircraft until somebody entitled has done the right inspection and signed it.

A lock survives a new day and every other record; nothing but its own clearing takes it off.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from gyrewright.maintenance.defects import Entitled
from gyrewright.maintenance.months import NEVER
from gyrewright.reading import Section

CLEAR = "event inspection"


@dataclass(frozen=True, slots=True)
class Clearing:
    """An inspection after an event, with what it found, and who signed."""

    at: datetime
    inspection: str
    by: str
    signed_by: str
    found: str


@dataclass(frozen=True, slots=True)
class Event:
    """Something that happened to the aircraft: a hard landing, rotor or propeller contact, a new vibration, ..."""

    id: str
    kind: str
    at: datetime
    by: str
    words: str
    clearings: tuple[Clearing, ...]
    where: str

    def cleared(self, *, inspection: str, entitled: Entitled, at: datetime) -> Clearing | None:
        """Return the clearing that counts at a moment: right inspection, signed by somebody entitled; else None."""
        allowed = entitled.get(CLEAR, frozenset())
        good = [
            one
            for one in self.clearings
            if one.at <= at and one.signed_by in allowed and inspection and one.inspection == inspection and one.found
        ]
        return max(good, key=lambda one: one.at, default=None)


def read_events(section: Section) -> tuple[Event, ...]:
    """Return every `[[event]]`; one cleared before it happened is noted as one problem."""
    out = []
    for each in section.sections("event", label="id"):
        at = each.moment("at", required=True)
        id = each.text("id", required=True)
        clearings = []
        for act in each.sections("cleared", label="inspection"):
            done = act.moment("at", required=True)
            if at and done and done < at:
                act.wrong(
                    "at", f"{id!r} was cleared before it happened, on {at.isoformat()}; correct one of the two times"
                )
            clearings.append(
                Clearing(
                    done or NEVER,
                    act.text("inspection", required=True),
                    act.text("by"),
                    act.text("signed_by", required=True),
                    act.text("found", required=True),
                )
            )
            act.finish()
        event = Event(
            id,
            each.text("kind", required=True),
            at or NEVER,
            each.text("by"),
            each.text("words"),
            tuple(sorted(clearings, key=lambda one: one.at)),
            each.where(),
        )
        each.finish()
        out.append(event)
    return tuple(out)
