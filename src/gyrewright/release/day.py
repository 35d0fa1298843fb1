"""The whole day at once: every aircraft, runway, start, fuel, load and crew that the day could see.

Numbers are worked out once for all alternatives of an aircraft and a runway. What is not a number (papers, people, the
books) is asked for each crew and for the starts at which its answer changes; crews and aircraft share every answer
whose facts they share. Aircraft run side by side, as far as the machine has cores for them.
"""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from gyrewright.check import Aging, Check
from gyrewright.fact import Fact, Origin
from gyrewright.release import choices
from gyrewright.release.axes import filled
from gyrewright.release.blocks import OWN, Block, Crew, Day, Load, Shared, blocks_of
from gyrewright.release.grid import CAUTIONS, STANDING, Asked, Codes, Grid, asked_of, coded, combined, named, path_of
from gyrewright.release.question import Aircraft
from gyrewright.release.separate import is_number, over_numbers
from gyrewright.release.situation import situation_of
from gyrewright.release.solved import fuel_numbers
from gyrewright.release.verdicts import age_verdicts, caution_verdicts, standing, verdicts_of, worst_of
from gyrewright.sheet import Cell, Partial, Sheet

__all__ = ["Crew", "Day", "Load", "day_grids"]

Mask = NDArray[np.bool_]
Found = tuple[Any, Any]

_LOOKED_AT_MIN = 60.0
_SETTING = frozenset({"all_limits", "purpose", "aboard_count", "lesson", "configuration", "flight_on"})
"""What decides which limits a number meets, and the date."""
_RUNWAY = frozenset({"runway_name", "runway", "runway_length_m", "slope_ratio", "runway_source"})


def day_grids(day: Day) -> dict[tuple[str, str], Grid]:
    """Return a grid for every aircraft and runway; its axes are starts, fuel, load and crews."""
    shared = Shared(day)
    with ThreadPoolExecutor(max_workers=min(len(day.fleet), os.cpu_count() or 1)) as pool:
        found = pool.map(lambda aircraft: list(_grids(day, aircraft, shared)), day.fleet)
        return dict(pair for pairs in found for pair in pairs)


def _grids(day: Day, aircraft: Aircraft, shared: Shared) -> Iterator[tuple[tuple[str, str], Grid]]:
    """Yield the grid of every runway for one aircraft."""
    machine = _Machine(day, aircraft, shared)
    sheet = machine.blocks[0].sheet.with_facts(machine.varied)
    parts: dict[Asked, Found] = {}
    for name in day.runways:
        facts = situation_of(choices.with_runway(machine.blocks[0].situation.question, name)).sheet.facts
        moved = {each: shared.fact(facts[each]) for each in _RUNWAY}
        sheet = sheet.with_facts(moved)
        parts = {asked: part for asked, part in parts.items() if not machine.path(asked) & _RUNWAY}
        yield (aircraft.definition.id, name), _Runway(machine, moved, sheet, parts).grid()


class _Machine:
    """One aircraft on the day: its blocks, the numbers that vary, and which facts its blocks differ in."""

    def __init__(self, day: Day, aircraft: Aircraft, shared: Shared) -> None:
        self.shared = shared
        self.blocks = list(blocks_of(day, aircraft, shared))
        self.varied = _numbers(day, aircraft, self.blocks)
        self.numbers = self.varied.keys() - {"depart_min"}
        self.shape = (len(day.starts_min), 1, 1, len(day.crews))
        apart_min = float(np.diff(day.starts_min).max()) if len(day.starts_min) > 1 else _LOOKED_AT_MIN
        self.stride = max(1, int(_LOOKED_AT_MIN // apart_min))
        self.asked: dict[Asked, None] = {}
        for block in self.blocks:
            self.asked |= dict.fromkeys(asked_of(block.situation))
        # Blocks that part one situation by the light alone differ in nothing but the limits.
        facts = list({id(block.situation.question): block.sheet.facts for block in self.blocks}.values())
        names = frozenset[str]().union(*facts)
        differing = {name for name in names if any(each.get(name) is not facts[0].get(name) for each in facts)}
        self.differing = (differing | {"all_limits"}) - OWN
        self._paths: dict[Asked, frozenset[str]] = {}

    def path(self, asked: Asked) -> frozenset[str]:
        """Return every name that a check rests on."""
        if asked not in self._paths:
            self._paths[asked] = path_of(asked, self.blocks[0].situation)
        return self._paths[asked]

    def mask(self, blocks: Sequence[Block]) -> Mask:
        """Return which starts and crews some blocks are about."""
        mask = np.zeros(self.shape, bool)
        for block in blocks:
            mask[block.first : block.end, 0, 0, block.crew] = True
        return mask


class _Runway:
    """All alternatives of one aircraft from one runway.

    Args:
        machine: The aircraft's day.
        moved: What rests on the choice of the runway.
        sheet: Holds every number along its axes, for the first block.
        parts: What is known already, check by check; what is found here is added.
    """

    def __init__(self, machine: _Machine, moved: dict[str, Fact], sheet: Sheet, parts: dict[Asked, Found]) -> None:
        self.machine, self.sheet, self.parts = machine, sheet, parts
        self.blocks = [replace(each, sheet=each.sheet.with_facts(moved)) for each in machine.blocks]
        groups: dict[tuple[int, ...], list[Block]] = {}
        for block in self.blocks:
            groups.setdefault(tuple(id(block.sheet.facts.get(name)) for name in _SETTING), []).append(block)
        self.settings = [
            (sheet.with_facts({name: each[0].sheet.facts[name] for name in _SETTING}) if number else sheet, each)
            for number, each in enumerate(groups.values())
        ]

    def grid(self) -> Grid:
        """Return the grid of all alternatives."""
        asked = self.machine.asked
        codes: list[Any] = []
        cautions: Any = self._plain(None)
        for place, each in enumerate(asked):
            if each not in self.parts:
                self.parts[each] = self._part(each)
            verdicts, beyond = self.parts[each]
            codes.append(coded(verdicts, place))
            cautions = cautions + beyond
        too_many = self._in_settings(frozenset({"all_limits"}), lambda sheet: (caution_verdicts(cautions, sheet), 0))
        codes.append(coded(too_many[0], len(asked)))
        return Grid(combined(codes), (*(named(each) for each in asked), CAUTIONS))

    def _part(self, asked: Asked) -> Found:
        path = self.machine.path(asked)
        if isinstance(asked, Check):
            return (self._over_numbers(asked) if path & self.machine.numbers else self._plain(asked), 0)

        def on(sheet: Sheet) -> Found:
            return (age_verdicts(asked, sheet), 0) if isinstance(asked, Aging) else verdicts_of(asked, sheet)

        own = (self.machine.differing - self.machine.varied.keys() - _SETTING) & path
        if not own and all(asked in block.asked for block in self.blocks):
            return self._in_settings(path, on)
        there = [block for block in self.blocks if asked in block.asked]
        return _merged(
            [(on(block.sheet.with_facts(self.machine.varied)), self.machine.mask([block])) for block in there]
        )

    def _in_settings(self, path: frozenset[str], on: Callable[[Sheet], Found]) -> Found:
        """Return what is found under the limits and on the date of each block; at once where none of it matters."""
        if not path & _SETTING & self.machine.differing:
            return on(self.sheet)
        alike: list[tuple[Sheet, list[Block]]] = []
        for sheet, blocks in self.settings:
            known = next((each for each in alike if _same_setting(each[0], sheet, path)), None)
            if known is None:
                alike.append((sheet, list(blocks)))
            else:
                known[1].extend(blocks)
        if len(alike) == 1:
            return on(alike[0][0])
        return _merged([(on(sheet), self.machine.mask(blocks)) for sheet, blocks in alike])

    def _plain(self, asked: Check | None) -> Codes:
        """Return a check's verdicts, or with None how many cautions stand, for each start and crew."""
        out = np.zeros(self.machine.shape, np.uint16)
        leaves = self.sheet.plan.rests_on(asked.inputs if asked is not None else STANDING)
        turns = bool(OWN & set(leaves))
        differing = [name for name in leaves if name in self.machine.differing]
        facts = self.blocks[0].sheet.facts
        # Other aircraft and runways ask the same where all facts are the same.
        alike = (asked, leaves, *(id(facts.get(name)) for name in leaves if name not in {*differing, *OWN}))
        found = self.machine.shared.found.setdefault(alike, {})
        for block in self.blocks:
            if asked is None or asked in block.asked:
                facts = block.sheet.facts
                key = (block.first, block.end, *[id(facts.get(name)) for name in differing])
                if key not in found:
                    found[key] = self._along(block, asked, turns)
                out[block.first : block.end, 0, 0, block.crew] = found[key]
        return out

    def _along(self, block: Block, asked: Check | None, turns: bool) -> Codes:
        """Return what is found at each start of a block; at once where nothing turns with the start."""

        def at(place: int) -> int:
            sheet = self.machine.shared.sheet_at(block, block.first + place)
            return standing(sheet) if asked is None else worst_of(asked, sheet)

        count = block.end - block.first
        return filled(at, count, self.machine.stride) if turns else np.full(count, at(0), np.uint16)

    def _over_numbers(self, asked: Check) -> Any:
        """Return the verdicts of a check that rests on numbers: on all of them, for each set of its other inputs."""
        plan, varied = self.sheet.plan, self.machine.varied.keys()
        others = [name for name in asked.inputs if not is_number(name, plan, varied)]
        turns = any(OWN & plan.path(name) for name in others)
        groups: list[tuple[list[Cell], Mask]] = []
        for block in self.blocks:
            if asked not in block.asked:
                continue
            for place in range(block.first, block.end) if turns else (block.first,):
                sheet = self.machine.shared.sheet_at(block, place)
                cells = [sheet.cell(name) for name in others]
                mask = next((mask for known, mask in groups if known == cells), None)
                if mask is None:
                    mask = np.zeros(self.machine.shape, bool)
                    groups.append((cells, mask))
                mask[place : place + 1 if turns else block.end, 0, 0, block.crew] = True
        found = []
        for cells, mask in groups:
            known = dict(zip(others, cells, strict=True))
            inputs = [(name, known.get(name)) for name in asked.inputs]
            found.append(((over_numbers(asked, inputs, self.sheet), 0), mask))
        return _merged(found)[0]


def _same_setting(first: Sheet, second: Sheet, path: frozenset[str]) -> bool:
    """Return whether what rests on a path meets the same limits on two sheets, and the same date if on any."""
    if "flight_on" in path and first.facts["flight_on"] != second.facts["flight_on"]:
        return False
    if "applicable" not in path and "all_limits" not in path:
        return True
    names = {name for name in path if name.startswith("limits:")} or {"applicable"}
    names = {name for name in names if first.plan.recipes[name].inputs == ("applicable",)} or {"applicable"}
    return all(first.value(name) == second.value(name) for name in names)


def _merged(found: Sequence[tuple[Found, Mask]]) -> Found:
    """Return what is found here and there as one: each where its mask says, nothing elsewhere."""
    if len(found) == 1 and found[0][1].all():
        return found[0][0]
    verdicts: Any = np.uint16(0)
    cautions: Any = np.uint16(0)
    for (here, beyond), mask in found:
        verdicts = np.where(mask, here, verdicts)
        cautions = np.where(mask, beyond, cautions) if np.ndim(beyond) or beyond else cautions
    return verdicts, cautions


def _numbers(day: Day, aircraft: Aircraft, blocks: Sequence[Block]) -> dict[str, Fact]:
    """Return the numbers that vary, each along its own axis."""
    place = day.load(aircraft)
    first = {block.crew: block.sheet.facts for block in reversed(blocks)}
    values: dict[str, Any] = {
        "depart_min": day.starts_min.reshape(-1, 1, 1, 1),
        **fuel_numbers(day.fuel_l(aircraft).reshape(1, -1, 1, 1)),
        f"load_kg:{place.station}": place.masses_kg.reshape(1, 1, -1, 1),
    }
    for station in aircraft.definition.stations:
        if station.kind == "seat":
            name = f"load_kg:{station.id}"
            masses = [first[crew][name].value for crew in range(len(day.crews))]
            known = np.array([mass is not None for mass in masses]).reshape(1, 1, 1, -1)
            kg = np.array([mass or 0.0 for mass in masses], float).reshape(1, 1, 1, -1)
            values[name] = kg if known.all() else Partial(kg, known, name)
    return {name: Fact(name, value, "varied", Origin.PLANNED) for name, value in values.items()}
