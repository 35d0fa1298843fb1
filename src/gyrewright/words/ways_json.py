"""The ways of a flight for programs."""

from __future__ import annotations

from dataclasses import fields
from datetime import datetime
from typing import Any

from gyrewright.release.carry import Carry
from gyrewright.release.ways import Ways
from gyrewright.words.as_json import as_json
from gyrewright.words.numbers import significant
from gyrewright.words.tell import Said, tell
from gyrewright.words.tell_ways import offers_told


def ways_as_json(said: Said, ways: Ways, carries: tuple[Carry, ...]) -> dict[str, Any]:
    """Return the ways as plain data; names carry their units."""
    return {
        "schema": "gyrewright.ways/1",
        "asked": as_json(said),
        "offers": [
            {
                "changes": [{"kind": each.kind, **_plain(each.params)} for each in offer.changes],
                "sentence": told.changes,
                "verdict": offer.answer.verdict.code,
                "still_to_do": list(told.todo),
                "binds": list(told.edges),
                "answer": as_json(tell(offer.answer)),
            }
            for offer, told in zip(ways.offers, offers_told(ways), strict=True)
        ],
        "needs": [
            {
                "aircraft": need.aircraft_id,
                "fuel_l": need.fuel_l,
                "highest_k": significant(need.highest_k),
                "binds": need.binds,
            }
            for need in ways.needs
        ],
        "windows": [
            {
                "start_at": window.start_at.isoformat(),
                "end_at": window.end_at.isoformat(),
                "binds_before": window.binds_before,
                "binds_after": window.binds_after,
            }
            for window in ways.windows
        ],
        "stands_against": list(ways.stands_against),
        "carry": [_plain({each.name: getattr(carry, each.name) for each in fields(Carry)}) for carry in carries],
    }


def _plain(params: Any) -> dict[str, Any]:
    out: dict[str, Any] = {}
    for name, value in params.items():
        if isinstance(value, datetime):
            out[name] = value.isoformat()
        elif isinstance(value, float):
            out[name] = significant(value)
        else:
            out[name] = value
    return out
