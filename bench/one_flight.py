"""One flight, warm: the same process asks again, reports decoded, findings and sentences included."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from itertools import cycle

from bench import demo
from bench.timing import timed
from gyrewright.reading import Problems
from gyrewright.release.decide import decide, forget
from gyrewright.release.files import decoded
from gyrewright.release.flight import Flight
from gyrewright.release.question import Question
from gyrewright.release.ways import ways
from gyrewright.words.tell import Said, tell


def _with_fuel(flight: Flight, fuel_l: float) -> Flight:
    """Return the flight with other fuel aboard, by gauge and stick alike."""
    fuel = tuple(
        replace(fact, value=fuel_l, typed=f"{fuel_l:.2f} L") if fact.is_known else fact for fact in flight.fuel
    )
    return replace(flight, fuel=fuel)


def lines() -> Iterator[str]:
    """Yield what one flight takes."""
    for name, path in (("the flight of 06:30", demo.ASKED), ("the flight of 13:30", demo.STOPPED)):
        asked = demo.question(path)

        def answered(asked: Question = asked) -> Said:
            metars, tafs = decoded(asked.flight, asked.asked_at, Problems())
            return tell(decide(replace(asked, metars=metars, tafs=tafs)))

        fuels = cycle(replace(asked, flight=_with_fuel(asked.flight, 20.0 + 0.01 * step)) for step in range(1001))

        def another(fuels: Iterator[Question] = fuels) -> Said:
            return answered(next(fuels))

        def anew() -> Said:
            forget()
            return answered()

        said = answered()
        count = len(said.answer.findings)
        verdict = said.answer.verdict.code
        yield f"decide, warm, {name}: {timed(answered, 1000)}; {verdict}, {count} findings in sentences"
        yield f"  with other fuel at each call: {timed(another, 1000)}"
        yield f"  with nothing kept from earlier calls: {timed(anew, 300)}"
    fleet = demo.fleet()
    for name, path in (("06:30, which passes", demo.ASKED), ("13:30, which does not", demo.STOPPED)):
        asked = demo.question(path)
        found = ways(asked, fleet=fleet)
        times = timed(lambda asked=asked: ways(asked, fleet=fleet), 7)  # type: ignore[misc]
        yield f"ways, warm, {name}: {times}; {len(found.offers)} offers, {len(found.windows)} windows"
