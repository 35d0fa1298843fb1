"""Meters that are kept apart: each has its name, its readings, its corrections and its replacements.

A done task, a directive or a life names the meter that it counts on; hours of one meter never stand in for another's.
What a meter shows and the total behind it differ once it has been replaced.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from itertools import pairwise

from gyrewright.maintenance.spans import COUNT, HOURS
from gyrewright.reading import Section

COUNTS = (HOURS, COUNT)
_DIMENSION = {HOURS: "time", COUNT: "count"}


@dataclass(frozen=True, slots=True)
class Reading:
    """What a meter showed, and the total that this stands for. [h or count]"""

    id: str
    at: datetime
    shows: float
    total: float
    by: str
    typed: str
    where: str
    corrects: str = ""


@dataclass(frozen=True, slots=True)
class Meter:
    """One meter and its standing readings in the order of time; corrected ones are kept apart, for the record."""

    name: str
    counts: str
    readings: tuple[Reading, ...]
    corrected: tuple[Reading, ...] = ()

    @property
    def latest(self) -> Reading | None:
        """The newest standing reading."""
        return self.readings[-1] if self.readings else None


@dataclass(frozen=True, slots=True)
class _Replaced:
    at: datetime
    old_shows: float
    new_shows: float


def read_meters(section: Section) -> dict[str, Meter]:
    """Return every `[[meter]]` of a section by its name; a meter that runs backwards is noted as one problem."""
    out: dict[str, Meter] = {}
    for each in section.sections("meter"):
        meter = _read_meter(each)
        if meter.name in out:
            each.wrong("name", f"{meter.name!r} is written twice; put all its readings under one [[meter]]")
        out[meter.name] = meter
    return out


def _read_meter(section: Section) -> Meter:
    name = section.text("name", required=True)
    counts = section.choice("counts", COUNTS) or HOURS
    dimension = _DIMENSION[counts]
    replaced = []
    for each in section.sections("replaced", label="at"):
        at = each.moment("at", required=True)
        old = each.quantity("old_shows", dimension, low=0.0, required=True)
        new = each.quantity("new_shows", dimension, low=0.0, required=True)
        each.text("by")
        each.text("why")
        each.finish()
        if at and old and new:
            replaced.append(_Replaced(at, old.value, new.value))
    replaced.sort(key=lambda change: change.at)
    readings: list[Reading] = []
    for each in section.sections("reading", label="id"):
        at = each.moment("at", required=True)
        shows = each.quantity("shows", dimension, low=0.0, required=True)
        text, by, corrects = each.text("id"), each.text("by"), each.text("corrects")
        each.finish()
        if at and shows:
            total = _total(shows.value, at, replaced)
            readings.append(Reading(text, at, shows.value, total, by, shows.typed, each.where(), corrects))
    section.finish()
    ids = [reading.id for reading in readings if reading.id]
    for twice in sorted({one for one in ids if ids.count(one) > 1}):
        section.wrong("reading", f"id {twice!r} is used twice; give each reading its own")
    for reading in readings:
        if reading.corrects and reading.corrects not in ids:
            section.wrong("reading", f"corrects {reading.corrects!r}, but no reading has that id")
    voided = {reading.corrects for reading in readings if reading.corrects}
    standing = sorted((one for one in readings if not one.id or one.id not in voided), key=_by_time)
    _refuse_backwards(section, name, standing, replaced)
    return Meter(
        name, counts, tuple(standing), tuple(sorted((one for one in readings if one.id in voided), key=_by_time))
    )


def _by_time(reading: Reading) -> tuple[datetime, float]:
    return reading.at, reading.total


def _total(shows: float, at: datetime, replaced: list[_Replaced]) -> float:
    base, start = 0.0, 0.0
    for change in replaced:
        if change.at > at:
            break
        base, start = base + change.old_shows - start, change.new_shows
    return base + shows - start


def _refuse_backwards(section: Section, name: str, standing: list[Reading], replaced: list[_Replaced]) -> None:
    points = [(one.at, one.total, one.typed) for one in standing]
    for change in replaced:
        before = [other for other in replaced if other.at < change.at]
        points.append((change.at, _total(change.old_shows, change.at, before), f"{change.old_shows:g} (taken out)"))
    points.sort(key=lambda point: (point[0], point[1]))
    for (before_at, earlier, typed), (at, total, now) in pairwise(points):
        if total < earlier:
            section.wrong(
                "reading",
                f"{name} runs backwards: {now} on {at.date()} after {typed} on {before_at.date()}; correct the "
                'wrong one with a new reading that says corrects = "its id", or write [[meter.replaced]]',
            )
            return


def read_at(section: Section, key: str, counts: Mapping[str, str]) -> dict[str, float]:
    """Return what named meters showed in total, from a table such as `{ airframe = "396.0 h" }`.

    Args:
        section: The record.
        key: The key that holds the table.
        counts: What each known meter counts, by its name.
    """
    value = section.raw(key)
    if value is None:
        return {}
    example = f'{key} = {{ airframe = "396.0 h" }}'
    if not isinstance(value, dict):
        section.wrong(key, f"{value!r} does not say which meter; write {example}")
        return {}
    out: dict[str, float] = {}
    for meter, text in value.items():
        if meter not in counts:
            section.wrong(
                key, f"{meter!r} is no meter of this aircraft; use one of: {', '.join(sorted(counts)) or 'none'}"
            )
            continue
        quantity = section.parsed(f"{key}.{meter}", text, _DIMENSION[counts[meter]], 0.0)
        if quantity is not None:
            out[meter] = quantity.value
    return out
