"""The numbers of a flight that people look for first, each in a line: what it is, how much, how much is left."""

from __future__ import annotations

from dataclasses import dataclass

from gyrewright.finding import Verdict
from gyrewright.words.tell import Said, Told

FIRST = (
    "loading.take_off_mass",
    "loading.cg",
    "performance.climb",
    "performance.take_off_distance",
    "wind.crosswind",
    "fuel.enough",
)
"""The findings whose numbers they are, in their order."""

DENSITY_ALTITUDE = "density_altitude_m"


@dataclass(frozen=True, slots=True)
class MainNumber:
    """One line; `id` is that of its finding, or the name of its fact where no limit stands beside it."""

    id: str
    name: str
    value: str
    left: str


def main_numbers(said: Said) -> tuple[MainNumber, ...]:
    """Return the numbers within their limits; one beyond, or that nobody knows, has a reason of its own instead."""
    told = {each.finding.id: each for each in said.findings if each.finding.verdict is Verdict.GO}
    out = [line for id in FIRST if id in told and (line := _line(told[id]))]
    sheet, voice = said.answer.situation.sheet, said.voice
    if DENSITY_ALTITUDE in sheet and sheet.value(DENSITY_ALTITUDE) is not None:
        name = voice.fill(voice.words.tables["weather.density_altitude"]["name"], lambda gap: None)
        value = voice.text(DENSITY_ALTITUDE, sheet.value(DENSITY_ALTITUDE))
        out.insert(min(2, len(out)), MainNumber(DENSITY_ALTITUDE, name, value, ""))
    return tuple(out)


def _line(told: Told) -> MainNumber | None:
    value, gaps = told.gaps.get("value"), told.gaps
    if "factored" in gaps.variants():
        # A distance is read against the runway that it has to fit into, times what the house asks for.
        value = told.voice.word("left", "of", value=gaps.get("factored"), limit=gaps.get("runway"))
    return MainNumber(told.finding.id, told.name, str(value), told.left) if value else None
