"""Numbers as they stand in a picture: in the reader's unit, with no more digits than they deserve, never kinder.

A value and its limit are printed together, with as many digits as it takes for the two to read as they are: a value
beyond its limit never prints like one within it. Sentences beside a picture follow the same rules; a test holds the
two together.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from datetime import date, datetime, timedelta, tzinfo

from gyrewright.arrays import SAME_RATIO
from gyrewright.errors import UnitError
from gyrewright.fact import Fact
from gyrewright.finding import Finding, Layer, Limit, Sense, Whose
from gyrewright.units import DIMENSIONS, SHOWN, Unit, parse_quantity, rounded, unit_named, with_symbol

MOST_PLACES = 9
LARGE = 10_000.0
MIN_PER_H = 60.0
MIN_PER_DAY = 1440
LONG_MIN = 120
LONG_AGE_H = 48.0

TYPED_FIRST = ("length", "time")
"""Dimensions that span too much for one preference to serve: a runway in m, a cloud in ft, a visibility in km."""

TIMES = "x "
"""How the text of a factor begins: a distance must fit so many times."""

NBSP = "\u00a0"
"""A blank at which no line is broken: a number stays with its unit."""

_ONE = {"landings": "landing", "days": "day", "months": "month", "years": "year", "times": "time"}
_NO_UNIT = Unit("", 1.0, places=3)


@dataclass(frozen=True, slots=True)
class Figures:
    """A value beside its limit, each with its unit; `margin` is the difference of the two as printed."""

    value: str
    limit: str
    margin: str


def typed_symbol(dimension: str, text: str) -> str:
    """Return the unit in which a text was typed; empty where it is no quantity of that dimension."""
    if not text or dimension not in DIMENSIONS:
        return ""
    try:
        return parse_quantity(dimension, text).unit
    except UnitError:
        return ""


def chosen(dimension: str, units: Mapping[str, str], typed: Iterable[str] = ()) -> str:
    """Return the unit to show: the operation's, else the one that was typed, else the dimension's first."""
    if dimension not in DIMENSIONS:
        return ""
    favorite = units.get(dimension, "")
    if favorite and dimension not in TYPED_FIRST:
        return favorite
    return next(filter(None, (typed_symbol(dimension, text) for text in typed)), "") or (
        favorite or DIMENSIONS[dimension].units[0].symbol
    )


def symbol_for(finding: Finding, units: Mapping[str, str], facts: Mapping[str, Fact]) -> str:
    """Return the unit of a finding's numbers: by what was typed for its limits, the runway, and what it rests on."""
    typed = [layer.limit.typed for layer in sorted(finding.layers, key=lambda layer: not layer.binds)]
    names = ["runway_length_m"] if any(layer.limit.whose is Whose.PLACE for layer in finding.layers) else []
    typed += [facts[name].typed for name in (*names, *finding.inputs) if name in facts]
    return chosen(finding.dimension, units, typed)


def unit_of(dimension: str, symbol: str) -> Unit:
    """Return a unit; a number without one for a dimension that is not in the table."""
    return unit_named(dimension, symbol) if dimension in DIMENSIONS else _NO_UNIT


def in_unit(unit: Unit, value: float, *, difference: bool = False) -> float:
    """Return an inside value in a unit, unrounded; a difference of two ignores where the scale begins."""
    return value / unit.factor if difference else value / unit.factor - unit.offset


def digits(number: float, places: int) -> str:
    """Return a number with so many places, fewer where it has no more; large ones in groups of three."""
    text = rounded(number, places)
    if "." in text and abs(float(text) - number) <= SAME_RATIO * abs(number):
        text = text.rstrip("0").rstrip(".")
    if abs(number) < LARGE:
        return text
    whole, point, rest = text.partition(".")
    return f"{int(whole):,}{point}{rest}"


def with_unit(number: str, symbol: str) -> str:
    """Return a printed number with its unit behind it: 1 day, 2 days, 62°, 31 °C."""
    if number == "1":
        symbol = _ONE.get(symbol, symbol)
    return with_symbol(number, symbol, blank=NBSP)


def unit_word(symbol: str) -> str:
    """Return a unit as it names an axis."""
    return SHOWN.get(symbol, symbol)


def figure(dimension: str, value: float, symbol: str) -> str:
    """Return a number with its unit, such as "478.8 kg", "20.1 kt"."""
    unit = unit_of(dimension, symbol)
    return with_unit(digits(in_unit(unit, value), unit.places), unit.symbol)


def beside(
    layer: Layer, dimension: str, symbol: str, *, by_clock: bool = False, say_date: Callable[[date], str] = str
) -> Figures | None:
    """Return value, limit and margin of one layer as they are printed; None where there is nothing to compare.

    Args:
        layer: The layer.
        dimension: Of what kind the numbers are.
        symbol: The unit to print them in.
        by_clock: Whether they are times by the clock, as `is_clock` says.
        say_date: Returns a date in words.
    """
    limit, value = layer.limit, layer.value
    if limit.value is None or value is None:
        return None
    if isinstance(limit.value, date):
        days = "" if layer.margin is None else figure("days", abs(float(layer.margin)), "days")
        return Figures(say_date(value), say_date(limit.value), days)
    if by_clock:
        return _times(layer)
    unit = unit_of(dimension, symbol)
    here, there = in_unit(unit, float(value)), in_unit(unit, float(limit.value))
    is_nothing = abs(float(layer.margin) / unit.factor) <= SAME_RATIO * (abs(here) + abs(there))
    written = _as_typed(dimension, limit, unit)
    places = max(unit.places, len(written.partition(".")[2]))
    while True:
        have = round(here, places)
        bound = float(written.replace(" ", "")) if written else round(there, places)
        left = round(abs(have - bound), places)
        if places >= MOST_PLACES or (_inside(have, bound, limit.sense) == layer.passes and (left or is_nothing)):
            break
        places += 1
    return Figures(
        with_unit(digits(have, places), unit.symbol),
        with_unit(written or digits(bound, places), unit.symbol),
        with_unit(digits(left, places), unit.symbol),
    )


def is_clock(finding: Finding) -> bool:
    """Return whether a finding's number is a time by the clock, and not hours of a meter."""
    room, _, rest = finding.id.partition(".")
    return finding.dimension == "time" and (room in ("light", "time") or rest.endswith("_age"))


def is_as_typed(dimension: str, limit: Limit) -> bool:
    """Return whether what was typed for a limit is the limit itself, and not what it was made of: an interval."""
    symbol = typed_symbol(dimension, limit.typed)
    if not symbol or isinstance(limit.value, date):
        return False
    return bool(_as_typed(dimension, limit, unit_of(dimension, symbol)))


def _as_typed(dimension: str, limit: Limit, unit: Unit) -> str:
    """Return the number of a limit as it was typed, if that is the limit itself in that unit; else nothing."""
    text = limit.typed.strip()
    if not unit.symbol or typed_symbol(dimension, text) != unit.symbol or not text.endswith(unit.symbol):
        return ""
    number = text[: -len(unit.symbol)].rstrip("° ").lstrip("+")
    there = in_unit(unit, float(limit.value))
    return number if abs(float(number.replace(" ", "")) - there) <= SAME_RATIO * abs(there) else ""


def _inside(have: float, bound: float, sense: Sense) -> bool:
    if have == bound:
        return sense is Sense.AT_MOST or sense is Sense.AT_LEAST
    return (have < bound) == sense.is_upper


def _times(layer: Layer) -> Figures:
    limit = layer.limit
    value = duration(layer.value, careful="up" if limit.sense.is_upper else "down")
    typed = typed_symbol("time", limit.typed) == "min" and limit.typed.strip().endswith("min")
    bound = with_unit(limit.typed.strip()[:-3].strip(), "min") if typed else duration(limit.value)
    return Figures(value, bound, duration(layer.margin, careful="down" if layer.passes else "up"))


def duration(value_h: float, *, careful: str = "") -> str:
    """Return the size of a length of time in whole minutes, hours and minutes, or days."""
    minutes = abs(value_h) * MIN_PER_H
    whole = {"up": math.ceil(round(minutes, 6)), "down": math.floor(round(minutes, 6))}.get(careful, round(minutes))
    if whole < LONG_MIN:
        return f"{whole}{NBSP}min"
    hours, left = divmod(whole, 60)
    if hours >= LONG_AGE_H:
        days = -(-whole // MIN_PER_DAY) if careful == "up" else whole // MIN_PER_DAY
        return f"{days}{NBSP}days"
    return f"{hours}{NBSP}h{NBSP}{left}{NBSP}min" if left else f"{hours}{NBSP}h"


def clock(moment: datetime, zone: tzinfo) -> str:
    """Return a moment by the clock of a place, its seconds dropped; what arithmetic lost is given back first."""
    return f"{(moment + timedelta(milliseconds=500)).astimezone(zone):%H:%M}"


def steps(low: float, high: float, count: int) -> tuple[float, ...]:
    """Return about so many round numbers from low to high: 1, 2 or 5 times a power of ten apart."""
    span = high - low
    if span <= 0.0 or count < 1:
        return (low,)
    rough = span / count
    power = 10.0 ** math.floor(math.log10(rough))
    step = power * next(each for each in (1.0, 2.0, 5.0, 10.0) if each * power >= rough * (1.0 - 1e-9))
    first = math.ceil(low / step - 1e-9)
    last = math.floor(high / step + 1e-9)
    return tuple(each * step for each in range(first, last + 1))


def step_text(value: float, every: float) -> str:
    """Return the number of an axis, with the digits that tell it from its neighbors."""
    places = max(0, -math.floor(math.log10(every) + 1e-9)) if every > 0.0 else 0
    text = rounded(value, places)
    return text if abs(value) < LARGE else f"{float(text):,.{places}f}"
