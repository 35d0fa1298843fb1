"""The whole day at once, compared with decide cell by cell, with decide in a loop, and with a copy of the result."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from random import Random

import numpy as np

from bench import demo
from bench.timing import memory_mb, timed
from gyrewright.finding import Verdict
from gyrewright.release.day import Day, day_grids
from gyrewright.release.decide import decide
from gyrewright.release.grid import Grid
from gyrewright.release.question import Aircraft

_CELLS = 1000
_LOOP = 100


def lines() -> Iterator[str]:
    """Yield what the day takes, and whether it is right."""
    day = demo.day()
    times = timed(lambda: day_grids(day), 7)
    grids = day_grids(day)
    shape = _shape(day)
    count = int(np.prod(shape)) * len(grids)
    yield f"the day: {len(day.fleet)} aircraft x {len(day.runways)} runways x {' x '.join(map(str, shape))}"
    rate = count / times.wall_s / 1e6
    yield f"  {count} alternatives, every check, the binding check kept: {times}; {rate:.1f} million/s"
    names = sorted({name.partition(":")[0] for grid in grids.values() for name in grid.names})
    passing = sum(int(np.broadcast_to(grid.passes, shape).sum()) for grid in grids.values())
    now_mb, most_mb = memory_mb()
    yield f"  {passing} alternatives pass; {now_mb:.0f} MB (PSS) now, {most_mb:.0f} MB resident at most"
    written = [np.ascontiguousarray(np.broadcast_to(grid.codes, shape)) for grid in grids.values()]
    bytes_written = sum(each.nbytes for each in written)
    copied = timed(lambda: [each.copy() for each in written], 21)
    yield f"  a copy of the {bytes_written / 1e6:.1f} MB that it writes: {copied}"
    wrong, verdicts = _compare(day, grids, shape)
    said = ", ".join(f"{verdict.code} {number}" for verdict, number in sorted(verdicts.items()))
    yield f"  {_CELLS} random cells asked by decide ({said}): {len(wrong)} differ"
    yield from (f"    {each}" for each in wrong[:10])
    random = Random(1)
    cells = [_cell(day, random, shape) for _ in range(_LOOP)]
    loop = timed(lambda: [decide(day.question_at(*cell)) for cell in cells], 3)
    whole_s = loop.wall_s / _LOOP * count
    longer = whole_s / times.wall_s
    yield f"  decide in a loop, from {_LOOP} cells: {whole_s / 3600.0:.1f} h, {longer:.0f} times as long"
    yield f"  the {len(names)} checks: {', '.join(names)}"


def _shape(day: Day) -> tuple[int, ...]:
    first = day.fleet[0]
    return len(day.starts_min), len(day.fuel_l(first)), len(day.load(first).masses_kg), len(day.crews)


def _cell(day: Day, random: Random, shape: tuple[int, ...]) -> tuple[Aircraft, str, int, int, int, int]:
    start, fuel, load, crew = (random.randrange(length) for length in shape)
    return random.choice(day.fleet), random.choice(day.runways), start, fuel, load, crew


def _compare(
    day: Day, grids: dict[tuple[str, str], Grid], shape: tuple[int, ...]
) -> tuple[list[str], Counter[Verdict]]:
    """Return where decide and the grid differ, in verdict or in a binding check that decide does not fail by.

    Half of the cells are drawn from those that pass, if there are any: they are few, and matter most.
    """
    random = Random(2)
    wrong: list[str] = []
    verdicts: Counter[Verdict] = Counter()
    passing = {key: np.argwhere(np.broadcast_to(grid.passes, shape)) for key, grid in grids.items()}
    fleet = {aircraft.definition.id: aircraft for aircraft in day.fleet}
    some = [key for key, found in passing.items() if len(found)]
    for number in range(_CELLS):
        if number % 2 and some:
            key = random.choice(some)
            start, fuel, load, crew = (int(index) for index in passing[key][random.randrange(len(passing[key]))])
            aircraft, runway = fleet[key[0]], key[1]
        else:
            aircraft, runway, start, fuel, load, crew = _cell(day, random, shape)
        grid = grids[aircraft.definition.id, runway]
        code = int(np.broadcast_to(grid.codes, shape)[start, fuel, load, crew])
        answer = decide(day.question_at(aircraft, runway, start, fuel, load, crew))
        verdicts[answer.verdict] += 1
        bad = {each.id for each in answer.findings if each.verdict is answer.verdict}
        name = grid.binding(code).partition(":")[0]
        if grid.verdict(code) is not answer.verdict or (answer.verdict >= Verdict.UNKNOWN and name not in bad):
            said = f"{grid.verdict(code).code} by {name}; decide: {answer.verdict.code} by {sorted(bad)}"
            wrong.append(f"{aircraft.definition.id} {runway} {start} {fuel} {load} {crew}: {said}")
    return wrong, verdicts
