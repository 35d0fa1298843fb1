"""Draw situations and let decide, the grids and the ways answer them: `python -m soak`, from the project's folder.

Ends when so many situations have been compared, when the time is up, or with Ctrl-C; it then says with which seed to go
on. Exit 1 where anything did not agree.
"""

from __future__ import annotations

import argparse
import os
import sys
import time
from collections.abc import Callable, Iterator
from concurrent.futures import ProcessPoolExecutor
from pathlib import Path

sys.path.append(str(Path(__file__).parent.parent / "tests"))

from kit import agree

_CELLS = 20
_AT_ONCE = 8
_PARTS: dict[str, Callable[[int], Iterator[str]]] = {
    "alternatives": lambda seed: agree.cells(seed, _CELLS),
    "offers": agree.offers,
    "starts": agree.starts,
    "edges": agree.edges,
    "open ends": agree.ends,
}


def compared(seed: int) -> tuple[dict[str, int], list[str]]:
    """Return how many situations of each part were compared for a seed, and what did not agree."""
    counts: dict[str, int] = {}
    wrong: list[str] = []
    for name, part in _PARTS.items():
        said = list(part(seed))
        counts[name] = len(said)
        wrong += [f"{name}: {each}" for each in said if each]
    return counts, wrong


def main() -> int:
    """Compare until enough, and say what was found."""
    parser = argparse.ArgumentParser(prog="python -m soak", description="Fuzz decide against the ways.")
    parser.add_argument("--situations", type=int, default=100_000, help="how many to compare at least")
    parser.add_argument("--minutes", type=float, default=60.0, help="when to end in any case")
    parser.add_argument("--seed", type=int, default=0, help="with which seed to begin")
    asked = parser.parse_args()
    begun = time.monotonic()
    totals = dict.fromkeys(_PARTS, 0)
    wrong: list[str] = []
    seed = asked.seed
    workers = os.cpu_count() or 1
    with ProcessPoolExecutor(workers) as pool:
        try:
            while sum(totals.values()) < asked.situations and time.monotonic() - begun < asked.minutes * 60.0:
                for counts, found in pool.map(compared, range(seed, seed + _AT_ONCE * workers)):
                    totals = {name: count + counts[name] for name, count in totals.items()}
                    wrong += found
                    for each in found:
                        _say(each)
                seed += _AT_ONCE * workers
                if seed // (_AT_ONCE * workers) % 10 == 0:
                    _say(f"{_told(totals)} after {(time.monotonic() - begun) / 60.0:.1f} min; go on with --seed {seed}")
        except KeyboardInterrupt:
            pass
    _say(f"{_told(totals)}; {len(wrong)} do not agree; go on with --seed {seed}")
    return 1 if wrong else 0


def _told(totals: dict[str, int]) -> str:
    parts = ", ".join(f"{name} {count}" for name, count in totals.items())
    return f"{sum(totals.values())} situations compared ({parts})"


def _say(line: str) -> None:
    sys.stdout.write(f"{line}\n")
    sys.stdout.flush()


if __name__ == "__main__":
    raise SystemExit(main())
