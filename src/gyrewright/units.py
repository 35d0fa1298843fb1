"""The closed table of conversions between what people write and what the inside computes with.

Inside: SI, with three written exceptions (litres of fuel, minutes and hours of time). At the edge a quantity is text
with its unit, and a field takes only units of its own dimension. Nothing is guessed: a bare number and an ambiguous
unit are refused, and what was typed is kept beside the value by whoever reads it.

Sources: exact factors [SP811] App. B.8 and B.9 and the international yard and pound agreement of 1959, unless noted.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass

from gyrewright.errors import UnitError, shown

KG_PER_LB = 0.45359237  # exact, 1959
M_PER_FT = 0.3048  # exact, 1959
M_PER_IN = 0.0254  # exact, 1959
M_PER_NMI = 1852.0  # exact, 1929
M_PER_SM = 1609.344  # exact: 5280 ft
L_PER_US_GAL = 3.785411784  # exact: 231 cubic inches
L_PER_IMP_GAL = 4.54609  # exact
L_PER_US_QT = L_PER_US_GAL / 4.0
PA_PER_INHG = 3386.389  # [SP811] App. B.8, conventional inch of mercury
PA_PER_PSI = 4.4482216152605 / M_PER_IN**2  # exact pound-force over a square inch
PA_PER_MMHG = 133.322387415  # exact: 13 595.1 kg/m3 x 9.80665 m/s2 x 1 mm
ZERO_C_K = 273.15  # exact
W_PER_HP = 745.69987158227022  # exact: 550 ft lbf/s


@dataclass(frozen=True, slots=True)
class Unit:
    """One way to write a dimension: value inside = (typed + offset) x factor; `places` are those a person reads."""

    symbol: str
    factor: float
    offset: float = 0.0
    places: int = 0


@dataclass(frozen=True, slots=True)
class Dimension:
    """A kind of quantity: the suffix its name carries inside, and the units in which it may be typed."""

    name: str
    suffix: str
    units: tuple[Unit, ...]


def _dimension(name: str, suffix: str, *units: Unit) -> tuple[str, Dimension]:
    return name, Dimension(name, suffix, units)


DIMENSIONS: dict[str, Dimension] = dict(
    (
        _dimension("mass", "kg", Unit("kg", 1.0, places=1), Unit("lb", KG_PER_LB, places=0), Unit("g", 0.001)),
        _dimension(
            "length",
            "m",
            Unit("m", 1.0),
            Unit("ft", M_PER_FT),
            Unit("mm", 0.001),
            Unit("cm", 0.01, places=1),
            Unit("in", M_PER_IN, places=2),
            Unit("km", 1000.0, places=1),
            Unit("SM", M_PER_SM, places=1),
            Unit("NM", M_PER_NMI, places=1),
        ),
        _dimension("arm", "m", Unit("mm", 0.001), Unit("m", 1.0, places=3), Unit("in", M_PER_IN, places=2)),
        _dimension(
            "moment", "kg_m", Unit("kg m", 1.0, places=2), Unit("kg mm", 0.001), Unit("lb in", KG_PER_LB * M_PER_IN)
        ),
        _dimension(
            "volume",
            "l",
            Unit("L", 1.0, places=1),
            Unit("US gal", L_PER_US_GAL, places=1),
            Unit("Imp gal", L_PER_IMP_GAL, places=1),
            Unit("US qt", L_PER_US_QT, places=1),
        ),
        _dimension(
            "fuel flow",
            "l_per_h",
            Unit("L/h", 1.0, places=1),
            Unit("US gal/h", L_PER_US_GAL, places=1),
            Unit("Imp gal/h", L_PER_IMP_GAL, places=1),
        ),
        _dimension(
            "fuel density",
            "kg_per_l",
            Unit("kg/L", 1.0, places=2),
            Unit("lb/US gal", KG_PER_LB / L_PER_US_GAL, places=1),
            Unit("kg/m3", 0.001),
        ),
        _dimension(
            "speed",
            "m_s",
            Unit("kt", M_PER_NMI / 3600.0, places=1),
            Unit("m/s", 1.0, places=1),
            Unit("km/h", 1.0 / 3.6),
            Unit("mph", M_PER_SM / 3600.0),
        ),
        _dimension("climb", "m_s", Unit("ft/min", M_PER_FT / 60.0), Unit("m/s", 1.0, places=1)),
        _dimension(
            "temperature",
            "k",
            Unit("C", 1.0, offset=ZERO_C_K, places=0),
            Unit("F", 5.0 / 9.0, offset=ZERO_C_K * 1.8 - 32.0),
            Unit("K", 1.0, places=1),
        ),
        _dimension(
            "pressure",
            "pa",
            Unit("hPa", 100.0),
            Unit("inHg", PA_PER_INHG, places=2),
            Unit("mb", 100.0),
            Unit("Pa", 1.0),
            Unit("bar", 1e5, places=2),
            Unit("psi", PA_PER_PSI, places=1),
            Unit("mmHg", PA_PER_MMHG),
        ),
        _dimension("angle", "deg", Unit("deg", 1.0)),
        _dimension("time", "h", Unit("h", 1.0, places=1), Unit("min", 1.0 / 60.0), Unit("s", 1.0 / 3600.0)),
        _dimension("days", "days", Unit("days", 1.0), Unit("day", 1.0)),
        _dimension("months", "months", Unit("months", 1.0), Unit("month", 1.0)),
        _dimension("years", "years", Unit("years", 1.0), Unit("year", 1.0)),
        _dimension("rotation", "rpm", Unit("rpm", 1.0)),
        _dimension("voltage", "v", Unit("V", 1.0, places=1)),
        _dimension("power", "w", Unit("kW", 1000.0, places=1), Unit("hp", W_PER_HP)),
        _dimension("share", "ratio", Unit("%", 0.01, places=1)),
        _dimension("share per wind", "per_m_s", Unit("% per kt", 0.01 / (M_PER_NMI / 3600.0), places=1)),
        _dimension("count", "count", Unit("landings", 1.0), Unit("landing", 1.0), Unit("times", 1.0)),
    )
)

# Words that people use for more than one unit, with the question they must answer.
AMBIGUOUS = {
    "gal": "write 'US gal' or 'Imp gal'",
    "gallon": "write 'US gal' or 'Imp gal'",
    "gallons": "write 'US gal' or 'Imp gal'",
    "mi": "write 'SM' (statute) or 'NM' (nautical)",
    "mile": "write 'SM' (statute) or 'NM' (nautical)",
    "miles": "write 'SM' (statute) or 'NM' (nautical)",
    "qt": "write 'US qt'",
}

# Spellings of one unit that cannot be mistaken for another.
_ALIASES = {
    "°": "deg",
    "°C": "C",
    "°F": "F",
    "degC": "C",
    "degF": "F",
    "l": "L",
    "litres": "L",
    "liters": "L",
    "knots": "kt",
    "kts": "kt",
    "lbs": "lb",
    "inch": "in",
    "hours": "h",
    "hour": "h",
    "minutes": "min",
    "fpm": "ft/min",
    "kg/l": "kg/L",
    "l/h": "L/h",
    "RPM": "rpm",
}

SHOWN = {"C": "°C", "F": "°F", "deg": "°"}
"""Units that a person reads otherwise than they are typed; every sentence and picture shows them so."""

_DEGREES = re.compile(r"([+-]?\d[\d .]*?) ?(?:°(C|F)|(C|F)|(?:deg|°))\s*\Z")

_QUANTITY = re.compile(r"\s*([+-]?(?:\d{1,3}(?: \d{3})+|\d+)(?:\.\d+)?|[+-]?\.\d+)\s*([^\s\d.,].*?)?\s*\Z", re.ASCII)


@dataclass(frozen=True, slots=True)
class Quantity:
    """A number as computed with, and the text it was read from."""

    value: float
    typed: str
    unit: str


def parse_quantity(dimension: str, text: str) -> Quantity:
    """Return the quantity written in `text`, in the unit that its dimension uses inside.

    Args:
        dimension: A key of `DIMENSIONS`.
        text: A number and its unit, such as "194 lb", "2402 mm", "62 L", "29.92 inHg". A blank may part groups of
            three digits; the decimal mark is a point. A comma is refused: it means one thing here and another there.

    Raises:
        UnitError: No number, no unit, an ambiguous unit, or a unit of another dimension.
    """
    kind = DIMENSIONS[dimension]
    match = _QUANTITY.match(text)
    accepted = ", ".join(unit.symbol for unit in kind.units)
    if match is None:
        raise UnitError(f"{shown(text)} is no {dimension}; write a number and a unit ({accepted})")
    number, symbol = match.groups()
    if not symbol:
        raise UnitError(f"{shown(text)} has no unit; add one of: {accepted}")
    symbol = _ALIASES.get(symbol, symbol)
    for unit in kind.units:
        if unit.symbol == symbol:
            typed = float(number.replace(" ", ""))
            if not math.isfinite(typed):
                raise UnitError(f"{shown(text)} is too large to be a {dimension}; check the number")
            return Quantity((typed + unit.offset) * unit.factor, text.strip(), symbol)
    if symbol in AMBIGUOUS:
        raise UnitError(f"{shown(text)} is ambiguous; {AMBIGUOUS[symbol]}")
    raise UnitError(f"{dimension} cannot be read in {shown(symbol)}; use one of: {accepted}")


def with_symbol(number: str, symbol: str, *, blank: str = " ") -> str:
    """Return a printed number with its unit as a person reads it: 62 kg, 31 °C, 266°."""
    shown_as = SHOWN.get(symbol, symbol)
    return f"{number}{shown_as}" if shown_as == "°" else f"{number}{blank}{shown_as}".rstrip()


def as_read(typed: str) -> str:
    """Return a text as it was typed, its degrees as everything else shows them: "35 C" reads "35 °C"."""
    match = _DEGREES.match(typed.strip())
    if match is None:
        return typed
    number, with_sign, letter = match.groups()
    return with_symbol(number, with_sign or letter or "deg")


def unit_named(dimension: str, symbol: str) -> Unit:
    """Return the unit of a dimension by its symbol.

    Raises:
        UnitError: The dimension has no such unit.
    """
    for unit in DIMENSIONS[dimension].units:
        if unit.symbol == symbol:
            return unit
    accepted = ", ".join(unit.symbol for unit in DIMENSIONS[dimension].units)
    raise UnitError(f"{dimension} cannot be shown in {shown(symbol)}; use one of: {accepted}")


def to_unit(dimension: str, value: float, symbol: str) -> float:
    """Return an inside value in the named unit, unrounded."""
    unit = unit_named(dimension, symbol)
    return value / unit.factor - unit.offset


def rounded(value: float, places: int, *, careful: str = "") -> str:
    """Return a number as text; `careful` "up" or "down" rounds to that side: a failure never looks like a pass."""
    scale = 10.0**places
    if careful == "up":
        value = math.ceil(round(value * scale, 6)) / scale
    elif careful == "down":
        value = math.floor(round(value * scale, 6)) / scale
    else:  # halves go up, as people round
        value = math.copysign(math.floor(round(abs(value) * scale, 6) + 0.5) / scale, value)
    text = f"{value:.{places}f}"
    return text[1:] if text.startswith("-") and not text.strip("-0.") else text
