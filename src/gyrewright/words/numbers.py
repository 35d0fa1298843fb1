"""Numbers as people read them: in their unit, with the digits the number deserves, and never kinder than it is."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import lru_cache

from gyrewright.arrays import SAME_RATIO
from gyrewright.errors import UnitError
from gyrewright.finding import Sense
from gyrewright.units import DIMENSIONS, Unit, parse_quantity, rounded, unit_named, with_symbol

MOST_PLACES = 9
"""Digits after the point beyond which two numbers that still print alike are left alike."""

LARGE = 10_000.0
"""From here on digits are parted in groups of three."""

TYPED_FIRST = frozenset(("length", "time"))
"""Dimensions that span too much for one preference to serve: a runway in m, a cloud in ft, a visibility in km."""

_SUFFIXES = {
    "kg": "mass",
    "m": "length",
    "kg_m": "moment",
    "l": "volume",
    "l_per_h": "fuel flow",
    "kg_per_l": "fuel density",
    "m_s": "speed",
    "k": "temperature",
    "pa": "pressure",
    "deg": "angle",
    "h": "time",
    "min": "time",
    "days": "days",
    "months": "months",
    "years": "years",
    "rpm": "rotation",
    "w": "power",
    "ratio": "share",
    "per_m_s": "share per wind",
    "count": "count",
}


@lru_cache(maxsize=4096)
def dimension_of(name: str) -> str:
    """Return the dimension that a name's unit suffix speaks of; empty where it has none."""
    base = name.partition(":")[0]
    words = base.split("_")
    for start in range(1, len(words)):
        found = _SUFFIXES.get("_".join(words[start:]))
        if found == "length" and ("arm" in words or words[0] == "cg"):
            return "arm"
        if found == "speed" and words[0] == "climb":
            return "climb"
        if found:
            return found
    return ""


@lru_cache(maxsize=8192)
def typed_symbol(dimension: str, text: str) -> str:
    """Return the unit in which a text was typed; empty where it is no quantity of that dimension."""
    if not text or dimension not in DIMENSIONS:
        return ""
    try:
        return parse_quantity(dimension, text).unit
    except UnitError:
        return ""


@lru_cache(maxsize=8192)
def typed_number(dimension: str, text: str, symbol: str) -> str:
    """Return the number of a typed text as it was typed, if it was typed in that unit; else nothing."""
    if typed_symbol(dimension, text) != symbol:
        return ""
    return text.strip()[: -len(symbol)].rstrip("° ").lstrip("+") if text.strip().endswith(symbol) else ""


def chosen(dimension: str, preferred: Mapping[str, str], typed: Iterable[str]) -> str:
    """Return the unit to read a number in: the operation's, else the one that was typed, else the dimension's first."""
    if dimension not in DIMENSIONS:
        return ""
    favorite = preferred.get(dimension, "")
    if favorite and dimension not in TYPED_FIRST:
        return favorite
    for text in typed:
        symbol = typed_symbol(dimension, text)
        if symbol:
            return symbol
    return favorite or DIMENSIONS[dimension].units[0].symbol


def in_unit(unit: Unit, value: float, *, difference: bool = False) -> float:
    """Return an inside value in a unit, unrounded; a difference of two values ignores where the scale begins."""
    return value / unit.factor if difference else value / unit.factor - unit.offset


def digits(number: float, places: int, *, careful: str = "") -> str:
    """Return a number with so many places, fewer where it has no more; large ones in groups of three."""
    text = rounded(number, places, careful=careful)
    if "." in text and abs(float(text) - number) <= SAME_RATIO * abs(number):
        text = text.rstrip("0").rstrip(".")
    if abs(number) < LARGE:
        return text
    whole, point, rest = text.partition(".")
    return f"{int(whole):,}{point}{rest}"


def shown(dimension: str, value: float, symbol: str, *, difference: bool = False, careful: str = "") -> str:
    """Return a number with its unit, such as "478.8 kg", "20.1 kt", "31 °C", "266°"."""
    if dimension not in DIMENSIONS:
        return digits(value, 3)
    unit = unit_named(dimension, symbol)
    there = in_unit(unit, value, difference=difference)
    number = digits(there, unit.places, careful=careful)
    for places in range(unit.places + 1, MOST_PLACES):
        # What is something never reads as nothing.
        if number.strip("-0.") or abs(there) <= SAME_RATIO:
            break
        number = digits(there, places, careful=careful)
    return with_symbol(number, plural(symbol, number))


def plural(symbol: str, number: str) -> str:
    """Return the unit as it is said with a number: one landing, two landings."""
    return _ONE.get(symbol, symbol) if number == "1" else symbol


_ONE = {"landings": "landing", "days": "day", "months": "month", "years": "year", "times": "time"}


@dataclass(frozen=True, slots=True)
class Compared:
    """A value beside its limit, as numbers in one unit: what is read of them tells the truth about the two."""

    value: str
    limit: str
    margin: str
    symbol: str

    def with_unit(self, number: str) -> str:
        """Return one of the numbers with the unit behind it."""
        return with_symbol(number, plural(self.symbol, number))


def compared(
    dimension: str,
    symbol: str,
    *,
    value: float,
    limit: float,
    margin: float,
    sense: Sense,
    passes: bool,
    typed_limit: str = "",
) -> Compared:
    """Return value, limit and margin with as many digits as it takes for them to read as they are.

    A value beyond its limit never prints like one within it, nor the other way round; the margin is the difference of
    the two numbers as printed, and is nothing only where there is none.
    """
    unit = _unit(dimension, symbol)
    here, there = value / unit.factor - unit.offset, limit / unit.factor - unit.offset
    is_nothing = abs(margin / unit.factor) <= SAME_RATIO * (abs(here) + abs(there))
    written, as_written, places = _written(dimension, typed_limit, symbol)
    if written and abs(as_written - there) > SAME_RATIO * abs(there):
        # What was typed is not the limit itself but what it was made of: an interval, a reserve.
        written, places = "", 0
    places = max(places, unit.places)
    while True:
        have = round(here, places)
        bound = as_written if written else round(there, places)
        left = round(abs(have - bound), places)
        if places >= MOST_PLACES or (_inside(have, bound, sense) == passes and (left or is_nothing)):
            return Compared(_printed(have, places), written or _printed(bound, places), _printed(left, places), symbol)
        places += 1


@lru_cache(maxsize=256)
def _unit(dimension: str, symbol: str) -> Unit:
    return unit_named(dimension, symbol) if dimension in DIMENSIONS else Unit("", 1.0, places=3)


@lru_cache(maxsize=8192)
def _written(dimension: str, text: str, symbol: str) -> tuple[str, float, int]:
    """Return the number of a typed limit as text and as number, and its places; no text where it has no such unit."""
    written = typed_number(dimension, text, symbol)
    if not written:
        return "", 0.0, 0
    return written, float(written.replace(",", "").replace(" ", "")), len(written.partition(".")[2])


def _printed(number: float, places: int) -> str:
    """Return a number that has been rounded already, without idle zeros."""
    text = f"{number:.{places}f}"
    if places:
        text = text.rstrip("0").rstrip(".")
    if -LARGE < number < LARGE:
        return "0" if text == "-0" else text
    whole, point, rest = text.partition(".")
    return f"{int(whole):,}{point}{rest}"


def _inside(have: float, bound: float, sense: Sense) -> bool:
    """Whether two printed numbers read as inside the limit."""
    if have == bound:
        return sense is Sense.AT_MOST or sense is Sense.AT_LEAST
    return (have < bound) == sense.is_upper


def significant(value: float, count: int = 9) -> float:
    """Return a number with so many significant digits, as programs read it."""
    return float(f"{value:.{count}g}")


def calculator(value: float, count: int = 7) -> str:
    """Return a number as a pocket calculator shows it: so many significant digits, no exponent, no idle zeros."""
    if value == 0.0:
        return "0"
    text = f"{value:.{count}g}"
    if "e" in text:
        text = f"{float(text):.{count + 6}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text
