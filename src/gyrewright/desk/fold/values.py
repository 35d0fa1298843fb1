"""Every value of an aircraft's file that was read off a page of its manual, one by one, under a key of its own.

What a second person types again from the page is compared with these, and two revisions of a manual differ in these.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from gyrewright.arrays import SAME_RATIO
from gyrewright.card import CARD_NUMBERS
from gyrewright.errors import UnitError
from gyrewright.limits import QUANTITIES
from gyrewright.units import DIMENSIONS, parse_quantity

SIDES = ("at_most", "at_least", "below", "above", "times", "none")
NUMBER, WORDS = "number", "words"
"""What a value holds beside quantities of a dimension: plain numbers, or words in any order."""
_ABOUT = ("on", "aboard", "purpose", "lesson", "configuration", "counts", "scope")
_FUEL = {
    "usable": "volume",
    "unusable": "volume",
    "density": "fuel density",
    "burn": "fuel flow",
    "arm": "arm",
    "lateral_arm": "arm",
}
_AXES = {"mass": "mass", "pressure altitude": "length", "density altitude": "length", "air temperature": "temperature"}
_CORRECTIONS = {
    "counted": "share",
    "at_most": "speed",
    "shorter": "share per wind",
    "longer": "share per wind",
    "longer_for_each_percent": "share",
}
_HANG = ("least", "most")


@dataclass(frozen=True, slots=True)
class Value:
    """One value, or one line of values, as it stands in the file.

    Attributes:
        key: What it is called in records; the same in every text of the file.
        group: The part of the file that it belongs to.
        label: What it is, in words.
        typed: Its pieces as typed.
        dimensions: The dimension of each piece, or `NUMBER` or `WORDS`; the last one stands for all that follow.
        page: The page of the manual, where the file names it.
        row: Where it stands among the file's limits; None for what is no limit.
    """

    key: str
    group: str
    label: str
    typed: tuple[str, ...]
    dimensions: tuple[str, ...]
    page: str = ""
    row: int | None = None

    @property
    def text(self) -> str:
        """All of it as a person reads it."""
        return ", ".join(self.typed)

    @property
    def is_long(self) -> bool:
        """Whether it is a line of values and not a single one."""
        return len(self.typed) > 2

    def is_same(self, pieces: Iterable[str]) -> bool:
        """Return whether pieces typed again say the same, in whatever unit they were typed."""
        return _read(pieces, self.dimensions) == _read(self.typed, self.dimensions, is_known=True)

    def is_typed(self, text: str) -> bool:
        """Return whether a text typed again from the page says the same."""
        return self.is_same(split(text, self.dimensions))


def split(text: str, dimensions: tuple[str, ...]) -> tuple[str, ...]:
    """Return the pieces of a text: parted by commas, semicolons and lines, plain numbers by spaces too."""
    between = r"[\s,;]+" if NUMBER in dimensions else r"[,;\n]+"
    return tuple(each.strip() for each in re.split(between, text) if each.strip())


def _read(pieces: Iterable[str], dimensions: tuple[str, ...], *, is_known: bool = False) -> tuple[object, ...] | None:
    """Return what pieces mean inside, rounded to what no reading of a page could tell apart; None if one is unread."""
    texts = list(pieces)
    if dimensions == (WORDS,):
        return tuple(sorted({each.casefold() for each in texts}))
    out: list[object] = []
    for number, text in enumerate(texts):
        dimension = dimensions[min(number, len(dimensions) - 1)]
        try:
            value = float(text) if dimension == NUMBER else parse_quantity(dimension, text).value
        except (UnitError, ValueError):
            if not is_known:
                return None
            out.append(text.casefold())
            continue
        out.append(float(f"{value * (1.0 + SAME_RATIO):.6g}"))
    return tuple(out)


def values_of(table: Mapping[str, Any]) -> tuple[Value, ...]:
    """Return every value of an aircraft's file, in the order of the file; what does not read there is left out."""
    found = (*_limits(table), *_stations(table), *_fuel(table), *_envelopes(table), *_hang(table))
    return (*found, *_tables(table), *_corrections(table), *_words(table), *_card(table))


def _limits(table: Mapping[str, Any]) -> Iterator[Value]:
    seen: dict[str, int] = {}
    for row, each in enumerate(_list(table, "limit")):
        of = str(each.get("of", ""))
        about = "; ".join(f"{name} {_plain(each[name])}" for name in _ABOUT if name in each)
        sides = [side for side in SIDES if side in each]
        key = f"limit {of}, {' and '.join(sides)}" + (f" ({about})" if about else "")
        seen[key] = seen.get(key, 0) + 1
        if seen[key] > 1:
            key += f" #{seen[key]}"
        dimension = QUANTITIES[of].dimension if of in QUANTITIES else ""
        kinds = tuple(NUMBER if side == "times" else WORDS if side == "none" else dimension for side in sides)
        if sides and all(kind in (NUMBER, WORDS) or kind in DIMENSIONS for kind in kinds):
            words = " and ".join(side.replace("_", " ") for side in sides)
            label = f"{of}, {words}" + (f" ({_said(each)})" if _said(each) else "")
            typed = tuple(str(each[side]) for side in sides)
            yield Value(key, "limits", label, typed, kinds, str(each.get("page", "")), row)


def _said(limit: Mapping[str, Any]) -> str:
    """Return in few words what else bears on a limit."""
    parts = [_plain(limit[name]) for name in ("on", "scope") if name in limit]
    if "counts" in limit:
        parts.append("gusts counted" if limit["counts"] == "gust" else "mean wind")
    if "aboard" in limit and "scope" not in limit:
        parts.append(f"{_plain(limit['aboard'])} aboard")
    return ", ".join(parts)


def _plain(value: Any) -> str:
    return ", ".join(str(each) for each in value) if isinstance(value, list) else str(value)


def _list(table: Mapping[str, Any], key: str) -> list[Mapping[str, Any]]:
    found = table.get(key, [])
    return [each for each in found if isinstance(each, Mapping)] if isinstance(found, list) else []


def _part(table: Mapping[str, Any], key: str) -> Mapping[str, Any]:
    found = table.get(key, {})
    return found if isinstance(found, Mapping) else {}


def _stations(table: Mapping[str, Any]) -> Iterator[Value]:
    for each in _list(table, "station"):
        for name in ("arm", "lateral_arm"):
            if name in each:
                label = f"{each.get('id')} {name.replace('_', ' ')}"
                yield Value(f"station {each.get('id')}, {name}", "loading", label, (str(each[name]),), ("arm",))


def _fuel(table: Mapping[str, Any]) -> Iterator[Value]:
    fuel = _part(table, "fuel")
    for name, dimension in _FUEL.items():
        if name in fuel:
            label = f"fuel, {name.replace('_', ' ')}"
            yield Value(f"fuel, {name}", "loading", label, (str(fuel[name]),), (dimension,), str(fuel.get("page", "")))


def _envelopes(table: Mapping[str, Any]) -> Iterator[Value]:
    for name in ("envelope", "lateral_envelope"):
        part = _part(table, name)
        for side in ("forward", "aft", "left", "right", "polygon"):
            points = part.get(side)
            if isinstance(points, list):
                typed = tuple(str(each) for point in points if isinstance(point, list) for each in point)
                dimensions = tuple("mass" if number % 2 == 0 else "arm" for number in range(max(len(typed), 2)))
                label = f"{name.replace('_', ' ')}, {side}"
                yield Value(f"{name}, {side}", "loading", label, typed, dimensions, str(part.get("page", "")))


def _hang(table: Mapping[str, Any]) -> Iterator[Value]:
    hang = _part(table, "hang")
    for name in _HANG:
        if name in hang:
            yield Value(f"hang, {name}", "loading", f"hang angle, {name}", (str(hang[name]),), ("angle",))


def _tables(table: Mapping[str, Any]) -> Iterator[Value]:
    for name, part in _part(table, "table").items():
        if not isinstance(part, Mapping) or "rows" not in part:
            continue
        called, page = name.replace("_", " "), str(part.get("page", ""))
        for axis in _list(part, "axis"):
            points = tuple(str(each) for each in axis.get("points", []))
            dimension = _AXES.get(str(axis.get("of")), "")
            if points and dimension:
                label = f"{called} table, {axis['of']}"
                yield Value(f"table {name}, {axis['of']}", "tables", label, points, (dimension,), page)
        numbers = tuple(_flat(part["rows"]))
        unit = f" in {part['unit']}" if "unit" in part else ""
        yield Value(f"table {name}, rows", "tables", f"{called} table, its numbers{unit}", numbers, (NUMBER,), page)


def _flat(value: Any) -> Iterator[str]:
    if isinstance(value, list):
        for each in value:
            yield from _flat(each)
    else:
        yield str(value)


def _corrections(table: Mapping[str, Any]) -> Iterator[Value]:
    for name in ("corrections", "landing_corrections"):
        part = _part(table, name)
        page, called = str(part.get("page", "")), name.replace("_", " ")
        for rule, held in part.items():
            if not isinstance(held, Mapping):
                continue
            for key, text in held.items():
                dimension = "share" if rule == "surface" else _CORRECTIONS.get(key, "")
                if dimension and isinstance(text, str):
                    label = f"{called}, {rule}, {key.replace('_', ' ')}"
                    yield Value(f"{name}, {rule}, {key}", "corrections", label, (text,), (dimension,), page)


def _words(table: Mapping[str, Any]) -> Iterator[Value]:
    part = _part(table, "surfaces")
    if isinstance(part.get("approved"), list):
        approved = tuple(str(each) for each in part["approved"])
        yield Value(
            "surfaces, approved", "corrections", "surfaces approved", approved, (WORDS,), str(part.get("page", ""))
        )


def _card(table: Mapping[str, Any]) -> Iterator[Value]:
    card = _part(table, "card")
    for name, dimension in CARD_NUMBERS.items():
        if name in card:
            label = name.replace("_", " ")
            yield Value(f"card, {name}", "card", label, (str(card[name]),), (dimension,), str(card.get("page", "")))


@dataclass(frozen=True, slots=True)
class Changed:
    """One difference between two texts of a file; a value that came or went has an empty side."""

    label: str
    page: str
    old: str
    new: str


def differences(old: Mapping[str, Any], new: Mapping[str, Any]) -> tuple[tuple[Changed, ...], tuple[Value, ...]]:
    """Return what differs between two texts of a file, and the values that stayed as they were."""
    before = {each.key: each for each in values_of(old)}
    after = {each.key: each for each in values_of(new)}
    changed, same = [], []
    for key, value in after.items():
        was = before.get(key)
        if was is None:
            changed.append(Changed(value.label, value.page, "", value.text))
        elif not value.is_same(was.typed):
            changed.append(Changed(value.label, value.page, was.text, value.text))
        else:
            same.append(value)
    changed += [Changed(value.label, value.page, value.text, "") for key, value in before.items() if key not in after]
    return tuple(changed), tuple(same)
