"""Run every measurement and print it: `python -m bench`, from the project's folder, on an otherwise quiet machine."""

from __future__ import annotations

import os
import sys

from bench import cold, desk_load, one_day, one_flight, verifying


def main() -> None:
    """Print every measurement."""
    _say(f"{os.cpu_count()} cores; load before: {os.getloadavg()[0]:.2f}")
    for part in (one_flight, cold, one_day, verifying, desk_load):
        _say("")
        for line in part.lines():
            _say(line)


def _say(line: str) -> None:
    sys.stdout.write(f"{line}\n")
    sys.stdout.flush()


if __name__ == "__main__":
    main()
