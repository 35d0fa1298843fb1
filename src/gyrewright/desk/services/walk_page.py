"""What the phone's page of one aircraft and list holds: everything that a walk needs with no network, as plain data.

Nothing in it is an answer, and no earlier reading: those come apart, and are shown once a new one is stored.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from gyrewright.aircraft.definition import Definition
from gyrewright.desk.reader import reader
from gyrewright.desk.services import state
from gyrewright.desk.services.walk_lists import list_of
from gyrewright.desk.worded import list_in
from gyrewright.inspection.equipment import fits, is_said
from gyrewright.inspection.items import Item, Reading
from gyrewright.inspection.lists import WalkList
from gyrewright.inspection.walk_rules import WalkRules
from gyrewright.units import DIMENSIONS, unit_named

SIDES = ("left", "right")
LEAST_BLADES, MOST_BLADES = 2, 4
"""Where a definition does not say how many blades there are: two are asked for, and there is room for two more."""


@dataclass(frozen=True, slots=True)
class PageData:
    """The list as it was cut to an aircraft, and its data as the phone gets them."""

    walk_list: WalkList
    data: dict[str, Any]
    background: dict[str, tuple[str, str]]


def page_data(aircraft: str, list_id: str, at: datetime) -> PageData:
    """Return what a phone's page holds of an aircraft and a list.

    Raises:
        UnknownName: There is no such aircraft or list.
    """
    machine = state.machine(aircraft, at)
    definition = machine.aircraft.definition
    kept = list_of(aircraft, list_id, at)
    walk_list = list_in(kept, reader().language)
    items = [item for item in walk_list.items if fits(item.needs, definition.equipment)]
    rules = state.house(at).operation.walk_rules
    words = {word for row in walk_list.events for word in row.on}
    used = {reading.dimension for item in items for reading in item.readings}
    data = {
        "aircraft": {"id": definition.id, "name": definition.name},
        "list": {
            "id": walk_list.id,
            "name": walk_list.name,
            "revision": walk_list.revision,
            "fingerprint": walk_list.fingerprint,
        },
        "zones": {zone.id: zone.name for zone in walk_list.zones},
        "stands": {stand.name: stand.where for stand in walk_list.stands},
        "events": [{"on": row.on, "asks": row.asks, "question": row.question} for row in walk_list.events],
        "restarts": _restarts(walk_list, rules),
        "resets": sorted({*walk_list.restore_reset_by, *(rules.restore_reset_by if rules else ())}),
        "needed": [each.name for each in rules.needed if each.counts & words] if rules else [],
        "gates": list(walk_list.gates),
        "items": in_columns([_row(item, definition) for item in items]),
        "units": {name: [unit.symbol for unit in kind.units] for name, kind in DIMENSIONS.items() if name in used},
    }
    background = {item.id: (_worded(item, definition, "wrong"), _worded(item, definition, "why")) for item in items}
    return PageData(kept, data, background)


def in_columns(rows: list[dict[str, Any]]) -> dict[str, list[Any]]:
    """Return rows column by column, an empty cell as 0: alike things side by side make a small page."""
    names = dict.fromkeys(name for row in rows for name in row)
    return {name: [row.get(name, 0) for row in rows] for name in names}


def _restarts(walk_list: WalkList, rules: WalkRules | None) -> list[dict[str, Any]]:
    rows = [*walk_list.restarts, *(rules.restarts if rules else ())]
    return [{"on": row.on, "from_s": round(row.from_h * 3600.0), "scope": row.restarts} for row in rows]


def _row(item: Item, definition: Definition) -> dict[str, Any]:
    """Return an item as the phone gets it; what is empty is left out."""
    own = _variant(item, definition, frozenset())
    row: dict[str, Any] = {
        "id": item.id,
        "stand": item.stand,
        "class": item.grade,
        "when": item.when,
        "name": item.name,
        "where": item.where,
        "caution": item.caution,
        "do": item.do,
        "right": item.right,
        "phone": item.no_phone,
        "rest": item.rest,
        "helper": item.helper,
        "after": item.after,
        "linked": item.linked,
        "restores": bool(item.of),
        "fields": [field for reading in item.readings for field in _fields(reading, definition)],
    } | {key: text for key, text in own.items() if key not in ("wrong", "why", "source")}
    others = [
        {"events": variant.events, **dict(variant.texts)}
        for variant in item.variants
        if variant.events and is_said(variant.needs, definition.equipment)
    ]
    if others:
        row["others"] = others
    return {key: value for key, value in row.items() if value not in ("", False, (), [])}


def _variant(item: Item, definition: Definition, events: frozenset[str]) -> Mapping[str, str]:
    """Return the words of the first variant that fits the aircraft whatever the event."""
    for variant in item.variants:
        if not variant.events and is_said(variant.needs, definition.equipment):
            return dict(variant.texts)
    return {}


def _worded(item: Item, definition: Definition, name: str) -> str:
    return _variant(item, definition, frozenset()).get(name) or str(getattr(item, name))


def _fields(reading: Reading, definition: Definition) -> Iterator[dict[str, Any]]:
    """Yield a field for each part that a reading is taken at."""
    if not fits(reading.needs, definition.equipment):
        return
    for part, is_optional in _parts(reading, definition):
        field: dict[str, Any] = {
            "key": f"{reading.key}.{part}" if part else reading.key,
            "name": f"{reading.name}, {_said(reading, part)}" if part else reading.name,
            "kind": reading.kind,
            "unit": reading.unit,
            "of": reading.dimension,
            "bounds": _bounds(reading),
            "words": reading.words,
            "right": reading.right_words,
            "several": reading.several,
            "optional": reading.optional or is_optional,
            "when": reading.when,
        }
        yield {key: value for key, value in field.items() if value not in ("", False, (), [])}


def _parts(reading: Reading, definition: Definition) -> Iterator[tuple[str, bool]]:
    """Yield the parts of a reading, and whether each may be left empty because nobody knows whether it is there."""
    if not reading.each:
        yield "", False
    elif reading.each == "side":
        yield from ((side, False) for side in SIDES)
    elif reading.each in ("seat", "locker"):
        yield from ((station.id, False) for station in definition.stations if station.kind == reading.each)
    else:
        counts = dict(definition.counts)
        known = counts.get(reading.times)
        least, most = (known, known) if known else (LEAST_BLADES, MOST_BLADES)
        yield from ((str(number), number > least) for number in range(1, most + 1))


def _said(reading: Reading, part: str) -> str:
    return part if reading.each in ("side", "seat", "locker") else f"{reading.each.split()[-1]} {part}"


def _bounds(reading: Reading) -> list[float]:
    """Return the least and the most that are believed, in the unit shown; nothing where none are given."""
    if reading.low is None or reading.high is None:
        return []
    if not reading.dimension:
        return [reading.low, reading.high]
    unit = unit_named(reading.dimension, reading.unit)
    return [float(f"{each / unit.factor - unit.offset:.6g}") for each in (reading.low, reading.high)]
