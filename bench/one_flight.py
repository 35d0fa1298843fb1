"""One flight, warm: the same process asks again, reports decoded, findings and sentences included."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from bench import demo
from bench.timing import timed
from gyrewright.reading import Problems
from gyrewright.release.decide import decide
from gyrewright.release.files import decoded
from gyrewright.release.question import Question
from gyrewright.release.ways import ways
from gyrewright.words.tell import Said, tell


def lines() -> Iterator[str]:
    """Yield what one flight takes."""
    for name, path in (("the flight of 06:30", demo.ASKED), ("the flight of 13:30", demo.STOPPED)):
        asked = demo.question(path)

        def answered(asked: Question = asked) -> Said:
            metars, tafs = decoded(asked.flight, asked.asked_at, Problems())
            return tell(decide(replace(asked, metars=metars, tafs=tafs)))

        said = answered()
        count = len(said.answer.findings)
        verdict = said.answer.verdict.code
        yield f"decide, warm, {name}: {timed(answered, 1000)}; {verdict}, {count} findings in sentences"
        yield f"  of it the findings alone: {timed(lambda asked=asked: decide(asked), 200)}"  # type: ignore[misc]
    fleet = demo.fleet()
    for name, path in (("06:30, which passes", demo.ASKED), ("13:30, which does not", demo.STOPPED)):
        asked = demo.question(path)
        found = ways(asked, fleet=fleet)
        times = timed(lambda asked=asked: ways(asked, fleet=fleet), 7)  # type: ignore[misc]
        yield f"ways, warm, {name}: {times}; {len(found.offers)} offers, {len(found.windows)} windows"
