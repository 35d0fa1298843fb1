"""What a reading of a walk says, held against the aircraft's own figures: limits, counts, papers, and its companions.

Nothing here is of any type: a reading names the key of a figure, and the aircraft's definition holds it. Where the
definition is silent a reading is only what it is.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date, datetime
from typing import Protocol

from gyrewright.arrays import at_least, at_most
from gyrewright.check import check
from gyrewright.errors import UnitError
from gyrewright.finding import Cure, Finding, Verdict
from gyrewright.inspection.items import Item, Reading
from gyrewright.inspection.walk import Walk
from gyrewright.units import parse_quantity

RELEASE_HAS_ITS_OWN = frozenset(("gauge and stick apart", "ballast_on_sheet"))
"""Figures that the release compares by checks of their own."""


@dataclass(frozen=True, slots=True)
class Figure:
    """A figure of the aircraft's definition: its value inside, and as it was typed."""

    value: float | str | date
    typed: str


Figures = Mapping[str, Figure]


@dataclass(frozen=True, slots=True)
class ReadOff:
    """One reading and what it says.

    Attributes:
        why: "within", "beyond", "differs", "apart", "word", "unread", or "" where there is nothing to hold it against.
        text: As it was typed.
        limit: The figure that it was held against, as typed, or the other reading.
    """

    item: str
    key: str
    name: str
    kind: str
    grade: str
    why: str
    text: str
    limit: str = ""


def read_offs(items: Iterable[Item], readings: Mapping[str, str], figures: Figures) -> Iterator[ReadOff]:
    """Yield what each reading of a walk says, in the order of the list.

    Args:
        items: The items of the aircraft's list.
        readings: What was typed, by `item.key` or `item.key.part`.
        figures: The aircraft's own figures.
    """
    for item in items:
        for reading in item.readings:
            typed = {key: text for key, text in readings.items() if _is_of(key, item, reading)}
            if not typed:
                continue
            parts = sorted(typed)
            for key in parts:
                why, limit = _held(reading, typed[key], figures)
                yield _off(item, reading, key, typed[key], why, limit)
            yield from _apart(item, reading, typed, readings, figures)


def _is_of(key: str, item: Item, reading: Reading) -> bool:
    whole = f"{item.id}.{reading.key}"
    return key == whole or key.startswith(f"{whole}.")


def _off(item: Item, reading: Reading, key: str, text: str, why: str, limit: str) -> ReadOff:
    part = key.removeprefix(f"{item.id}.{reading.key}").lstrip(".")
    name = f"{reading.name}, {part}" if part else reading.name
    return ReadOff(item.id, key, name, reading.kind, item.grade, why, text, limit)


def value_of(reading: Reading, text: str) -> float | str | date | None:
    """Return a reading's value inside; None where the text is none of its kind."""
    if reading.kind == "quantity":
        try:
            return parse_quantity(reading.dimension, text).value
        except UnitError:
            return None
    if reading.kind == "count":
        return float(text) if text.isascii() and text.isdigit() else None
    if reading.kind == "date":
        try:
            return date.fromisoformat(text)
        except ValueError:
            return None
    if reading.kind == "word":
        words = text.split(", ") if reading.several else [text]
        return text if set(words) <= set(reading.words) else None
    return text or None


def _held(reading: Reading, text: str, figures: Figures) -> tuple[str, str]:
    """Return why a reading is or is not as it should be, and what it was held against."""
    value = value_of(reading, text)
    if value is None:
        return "unread", ""
    if reading.kind == "word":
        right = set(text.split(", ") if reading.several else [text]) <= set(reading.right_words)
        return ("within" if right else "word"), ", ".join(reading.right_words)
    for key, passes in ((reading.at_least, at_least), (reading.at_most, at_most)):
        most = _number(figures.get(key)) if key not in RELEASE_HAS_ITS_OWN else None
        if most is not None and isinstance(value, float) and not passes(value, most):
            return "beyond", figures[key].typed
    figure = figures.get(reading.equals) if reading.equals not in RELEASE_HAS_ITS_OWN else None
    if figure is not None and value != figure.value:
        return "differs", figure.typed
    held = [figures[key].typed for key in (reading.at_least, reading.at_most, reading.equals) if key in figures]
    return ("within", " to ".join(dict.fromkeys(held))) if held else ("", "")


def _number(figure: Figure | None) -> float | None:
    return figure.value if figure is not None and isinstance(figure.value, float) else None


def _apart(
    item: Item, reading: Reading, typed: Mapping[str, str], readings: Mapping[str, str], figures: Figures
) -> Iterator[ReadOff]:
    """Yield a reading whose parts, or whose companion, lie further apart than the definition allows."""
    other = readings.get(reading.agrees_with, "") if reading.agrees_with else ""
    most = _number(figures.get(reading.apart)) if reading.apart not in RELEASE_HAS_ITS_OWN else None
    values = {key: value_of(reading, text) for key, text in typed.items()}
    if other:
        values[reading.agrees_with] = value_of(reading, other)
    numbers = {key: value for key, value in values.items() if isinstance(value, float)}
    if len(numbers) < 2:
        return
    low, high = min(numbers, key=lambda key: numbers[key]), max(numbers, key=lambda key: numbers[key])
    # Two counts that belong together are the same count; two quantities need a figure to be told apart by.
    if most is None and reading.kind == "count" and other:
        most = 0.0
    if most is None or at_most(numbers[high] - numbers[low], most):
        return
    if other:
        own = next(iter(typed))
        yield _off(item, reading, own, typed[own], "apart", other)
    else:
        yield _off(item, reading, high, typed[high], "apart", typed[low])


class Reported(Protocol):
    """A defect report, known from another book."""

    @property
    def item(self) -> str: ...

    @property
    def at(self) -> datetime: ...


@check("inspection.reading")
def reading(
    walks: tuple[Walk, ...],
    defects: tuple[Reported, ...],
    walk_items: tuple[Item, ...],
    walk_figures: Figures,
    asked_at: datetime,
    commander: str,
) -> tuple[Finding, ...] | None:
    """Judge the newest reading at every item against the aircraft's own figures, by the item's class.

    A newer reading takes an older one's place, and a later report on the item decides in the place of both. A reading
    that is not as it should be is that, whatever the item was answered.
    """
    newest: dict[str, tuple[str, Walk]] = {}
    for one in sorted((one for one in walks if one.began_at <= asked_at), key=lambda one: (one.began_at, one.id)):
        read = {_item(key) for key, _ in one.readings}
        newest = {key: found for key, found in newest.items() if _item(key) not in read}
        newest |= {key: (text, one) for key, text in one.readings}
    readings = {key: text for key, (text, _) in newest.items()}
    out = []
    for off in read_offs(walk_items, readings, walk_figures):
        walk = newest[off.key][1]
        reported = any(defect.item == off.item and walk.began_at <= defect.at <= asked_at for defect in defects)
        if off.why not in ("", "within") and not reported:
            out.append(_finding(off, walk, commander or "commander"))
    return tuple(out) or None


def _item(key: str) -> str:
    return key.partition(".")[0]


def _finding(off: ReadOff, one: Walk, commander: str) -> Finding:
    verdict = {"G": Verdict.STOP, "L": Verdict.JUDGE}.get(off.grade, Verdict.GO)
    if off.why == "unread" and off.grade != "N":
        verdict = Verdict.UNKNOWN
    params = {
        "item": off.item,
        "name": off.name,
        "reading": off.text,
        "limit": off.limit,
        "walker": one.by,
        "at": one.ended_at or one.began_at,
        "judge": commander,
    }
    again = Cure("inspection.read_again", commander, {"item": off.item})
    report = Cure("inspection.report_defect", "commander", {"item": off.item})
    return Finding(
        "inspection.reading",
        verdict,
        off.why,
        about=off.key,
        params=params,
        cures=(again, report) if verdict is not Verdict.GO else (),
        lacking=(f"item:{off.item}",) if verdict is Verdict.UNKNOWN else (),
    )
