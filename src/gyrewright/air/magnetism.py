"""Magnetic variation from the World Magnetic Model: spherical harmonics to degree 12, summed here.

The coefficients are the agencies' own, one file per model under `data/wmm`. A date outside every model's years is
refused: the field drifts by up to a degree in some years, and nothing is extrapolated.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import date
from functools import lru_cache

from gyrewright.air.position import check_position
from gyrewright.errors import DefinitionError, OutOfRange, Problem

# [WMM2025R] sec. 1.2: the ellipsoid of WGS 84, and the sphere to which the coefficients belong.
EQUATOR_RADIUS_KM = 6378.137
FLATTENING = 1.0 / 298.257223563
REFERENCE_RADIUS_KM = 6371.2
LOWEST_M = -1000.0  # [WMM2025R] sec. 1.2: 1 km below to 850 km above the ellipsoid
HIGHEST_M = 850000.0

DEGREE = 12
_SQUARED_ECCENTRICITY = FLATTENING * (2.0 - FLATTENING)
_SHIPPED = ("wmm2025.toml", "wmm2020.toml")
_YEARS_PER_MODEL = 5


@dataclass(frozen=True, slots=True)
class Term:
    """One harmonic of order m: coefficients and yearly change [nT, nT/year], and the factors of its recursion."""

    degree: int
    g_nt: float
    h_nt: float
    g_nt_per_year: float
    h_nt_per_year: float
    from_last: float  # how much of the harmonic one degree lower enters this one
    from_last_but_one: float
    slope: float  # the root of n^2 - m^2, for the derivative


@dataclass(frozen=True, slots=True)
class Model:
    """A world magnetic model, valid from its epoch until before its end [decimal years]; `orders[m]` from degree m."""

    name: str
    epoch: float
    ends: float
    orders: tuple[tuple[Term, ...], ...]

    def covers(self, decimal_year: float) -> bool:
        """Return whether a moment lies in the years that the model is for."""
        return self.epoch <= decimal_year < self.ends


@dataclass(frozen=True, slots=True)
class MagneticField:
    """The field at a place and time: declination east positive and inclination down positive [deg], level part [nT].

    Where the level part is below 2000 nT, near the poles, a compass is of no use; below 6000 nT it needs caution.
    """

    declination_deg: float
    inclination_deg: float
    horizontal_nt: float


def load_model(text: str, *, file: str = "magnetic model") -> Model:
    """Return the model described by the text of a coefficient file.

    Args:
        text: TOML with `name`, `epoch`, `ends` and `coefficients`, the last in lines of degree, order, g, h, and the
            yearly change of both, as the agencies print them.
        file: The name by which a problem is reported.

    Raises:
        DefinitionError: A key or a line is missing or wrong; carries every problem found.
    """
    import tomllib  # slow to load, and a flight whose file states the variation never comes here

    try:
        data = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise DefinitionError([Problem(file, "", f"{error}; is this a coefficient file?")]) from error
    kinds: dict[str, type] = {"name": str, "epoch": float, "ends": float, "coefficients": str}
    problems = [
        Problem(file, key, f"{data.get(key)!r} is no {kind.__name__}; see the shipped files for the form")
        for key, kind in kinds.items()
        if not isinstance(data.get(key), kind)
    ]
    if problems:
        raise DefinitionError(problems)
    rows: dict[tuple[int, int], list[float]] = {}
    for line in data["coefficients"].split("\n"):
        words = line.split()
        if not words:
            continue
        try:
            place = int(words[0]), int(words[1])
            numbers = [float(word) for word in words[2:]]
        except (ValueError, IndexError):
            place, numbers = (0, 0), []
        if len(numbers) != 4 or not 0 <= place[1] <= place[0] or not 1 <= place[0] <= DEGREE or place in rows:
            problems.append(Problem(file, "coefficients", f"{line!r}; each line has n, m, g, h and two yearly changes"))
        else:
            rows[place] = numbers
    problems += [
        Problem(file, "coefficients", f"degree {n} order {m} is missing; add its line")
        for n in range(1, DEGREE + 1)
        for m in range(n + 1)
        if (n, m) not in rows
    ]
    if problems:
        raise DefinitionError(problems)
    orders = tuple(tuple(_term(n, m, rows[n, m]) for n in range(max(m, 1), DEGREE + 1)) for m in range(DEGREE + 1))
    return Model(data["name"], data["epoch"], data["ends"], orders)


def _term(n: int, m: int, numbers: list[float]) -> Term:
    # Schmidt's quasi-normalized functions: each from the two below it; the first of an order from that of the last.
    g, h, g_change, h_change = numbers
    if n == m:
        diagonal = math.sqrt((2 * n - 1) / (2 * n)) if n > 1 else 1.0
        return Term(n, g, h, g_change, h_change, from_last=diagonal, from_last_but_one=0.0, slope=0.0)
    root = math.sqrt(n * n - m * m)
    below = math.sqrt((n - 1) ** 2 - m * m)
    return Term(n, g, h, g_change, h_change, from_last=(2 * n - 1) / root, from_last_but_one=below / root, slope=root)


@lru_cache
def _shipped_model(file: str) -> Model:
    from importlib import resources

    text = resources.files("gyrewright").joinpath("data", "wmm", file).read_text(encoding="utf-8")
    return load_model(text, file=file)


def model_on(on: date) -> Model:
    """Return the shipped model that is valid on a day.

    Raises:
        OutOfRange: No shipped model covers the day; names the one that is needed.
    """
    moment = decimal_year(on)
    for file in _SHIPPED:
        model = _shipped_model(file)
        if model.covers(moment):
            return model
    needed = on.year - on.year % _YEARS_PER_MODEL
    have = " and ".join(_shipped_model(file).name for file in reversed(_SHIPPED))
    raise OutOfRange(
        f"magnetic variation on {on.isoformat()[:10]} needs WMM-{needed}, and only {have} are here; add the model's "
        "file or take the variation printed on a current chart"
    )


def decimal_year(on: date) -> float:
    """Return a day as a year with a fraction, counted to its beginning."""
    first, next_first = date(on.year, 1, 1), date(on.year + 1, 1, 1)
    return on.year + (on.toordinal() - first.toordinal()) / (next_first.toordinal() - first.toordinal())


def magnetic_field(
    model: Model, *, latitude_deg: float, longitude_deg: float, height_m: float, decimal_year: float
) -> MagneticField:
    """Return the magnetic field of the earth's core at a place and time.

    Rocks, cables and the sun's storms are not in it: the agencies' own error of the declination is about half a
    degree at middle latitudes. Height above the sea is taken for height above the ellipsoid (less than 0.001 degree).

    Args:
        model: From `load_model` or `model_on`.
        latitude_deg: Geodetic, north positive. [deg]
        longitude_deg: East positive. [deg]
        height_m: -1000 to 850 000. [m]
        decimal_year: From the model's epoch until before its end.

    Raises:
        OutOfRange: The place is none, or the height or the time lies outside.

    Source: [WMM2025R] sec. 1.2, eqs. 4 to 19. Symbols there -> here: phi' -> geocentric, lambda -> longitude,
        a -> REFERENCE_RADIUS_KM, P(n, m) -> harmonic.
    """
    check_position(latitude_deg, longitude_deg)
    if not LOWEST_M <= height_m <= HIGHEST_M:
        raise OutOfRange(f"height_m={height_m:g} is outside {LOWEST_M:g} to {HIGHEST_M:g}; give meters above the sea")
    if not model.covers(decimal_year):
        raise OutOfRange(
            f"{decimal_year:.2f} is outside {model.name}, {model.epoch:g} until before {model.ends:g}; take the model "
            "of that time"
        )
    latitude = math.radians(latitude_deg)
    sine, cosine = math.sin(latitude), math.cos(latitude)
    normal_km = EQUATOR_RADIUS_KM / math.sqrt(1.0 - _SQUARED_ECCENTRICITY * sine * sine)
    from_axis_km = (normal_km + height_m / 1000.0) * cosine
    above_equator_km = (normal_km * (1.0 - _SQUARED_ECCENTRICITY) + height_m / 1000.0) * sine
    radius_km = math.hypot(from_axis_km, above_equator_km)
    north, east, down = _geocentric_field(
        model,
        up=above_equator_km / radius_km,
        out=from_axis_km / radius_km,
        longitude=math.radians(longitude_deg),
        shrink=REFERENCE_RADIUS_KM / radius_km,
        years=decimal_year - model.epoch,
    )
    tilt = math.atan2(above_equator_km, from_axis_km) - latitude
    level_north = north * math.cos(tilt) - down * math.sin(tilt)
    downward = north * math.sin(tilt) + down * math.cos(tilt)
    horizontal = math.hypot(level_north, east)
    return MagneticField(
        declination_deg=math.degrees(math.atan2(east, level_north)),
        inclination_deg=math.degrees(math.atan2(downward, horizontal)),
        horizontal_nt=horizontal,
    )


def _geocentric_field(
    model: Model, *, up: float, out: float, longitude: float, shrink: float, years: float
) -> tuple[float, float, float]:
    """Return north, east and down of the sphere [nT]; `up`, `out`: sine and cosine of the geocentric latitude."""
    powers = [shrink ** (n + 2) for n in range(DEGREE + 1)]
    north = east = down = 0.0

    last, last_but_one, steepness = 1.0, 0.0, 0.0  # steepness: the derivative by `up`
    for term in model.orders[0]:
        n = term.degree
        steepness = up * steepness + n * last
        last, last_but_one = term.from_last * up * last - term.from_last_but_one * last_but_one, last
        strength = powers[n] * (term.g_nt + years * term.g_nt_per_year)
        north -= strength * out * steepness
        down -= (n + 1) * strength * last

    # Beyond order 0 a harmonic is carried divided by `out`, so that nothing is ever divided by zero at the poles.
    diagonal = 1.0
    for m in range(1, DEGREE + 1):
        terms = model.orders[m]
        cos_m, sin_m = math.cos(m * longitude), math.sin(m * longitude)
        diagonal *= terms[0].from_last * (out if m > 1 else 1.0)
        last, last_but_one = diagonal, 0.0
        for term in terms:
            n = term.degree
            if n > m:
                last, last_but_one = term.from_last * up * last - term.from_last_but_one * last_but_one, last
            g = powers[n] * (term.g_nt + years * term.g_nt_per_year)
            h = powers[n] * (term.h_nt + years * term.h_nt_per_year)
            in_phase = g * cos_m + h * sin_m
            north += in_phase * (n * up * last - term.slope * last_but_one)
            east += m * (g * sin_m - h * cos_m) * last
            down -= (n + 1) * in_phase * last * out
    return north, east, down


def variation(*, latitude_deg: float, longitude_deg: float, height_m: float, on: date) -> float:
    """Return the magnetic variation at a place on a day, east positive. [deg]

    Accuracy and arguments as for `magnetic_field`; the model is the shipped one of that day.

    Raises:
        OutOfRange: The place is none, the height lies outside, or no shipped model covers the day.

    Source: [WMM2025], [WMM2020].
    """
    field = magnetic_field(
        model_on(on),
        latitude_deg=latitude_deg,
        longitude_deg=longitude_deg,
        height_m=height_m,
        decimal_year=decimal_year(on),
    )
    return field.declination_deg
