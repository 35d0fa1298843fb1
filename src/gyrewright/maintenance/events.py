"""Events that lock the aircraft until somebody entitled has done the right inspection and signed it.

A lock survives a new day and every other record; nothing but its own clearing takes it off.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from gyrewright.maintenance.defects import Entitled, read_entitled_to, was_entitled
from gyrewright.maintenance.months import NEVER
from gyrewright.reading import Section

CLEAR = "event inspection"


@dataclass(frozen=True, slots=True)
class Clearing:
    """An inspection after an event, with what it found, and who signed.

    `entitled_to` is what the signer was entitled to then; None: what the roles of today say.
    """

    at: datetime
    inspection: str
    by: str
    signed_by: str
    found: str
    entitled_to: frozenset[str] | None = None


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
        good = [
            one
            for one in self.clearings
            if one.at <= at
            and was_entitled(CLEAR, by=one.signed_by, then=one.entitled_to, now=entitled)
            and inspection
            and one.inspection == inspection
            and one.found
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
                    read_entitled_to(act),
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
