"""Workings of the day: wind along and across the runway, the worst of the weather, altitudes, light."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass

from gyrewright.air import atmosphere, humidity
from gyrewright.air.course import moment_of
from gyrewright.air.weather import Sample, Spell
from gyrewright.air.wind import components, components_any_direction, components_in_sector
from gyrewright.units import M_PER_FT, PA_PER_INHG, ZERO_C_K, unit_named, with_symbol
from gyrewright.words.numbers import calculator
from gyrewright.words.pencil import Explain, Pencil, signed

PRESSURE_POWER = atmosphere.GRAVITY_M_S2 / (atmosphere.AIR_GAS_CONSTANT_J_PER_KG_K * atmosphere.LAPSE_K_PER_M)
"""The power in the law by which pressure falls with height."""
PA_PER_HPA = 100.0
HALF_CIRCLE_DEG = 180.0
FULL_CIRCLE_DEG = 360.0


@dataclass(frozen=True, slots=True)
class _Extreme:
    """How an extreme of the weather is taken: of what, over which stretch, the largest or the smallest."""

    subject: str
    dimension: str
    is_largest: bool
    whole_flight: bool
    read: Callable[[Pencil, Sample, str], tuple[float, str]]


def _plain(attribute: str, dimension: str) -> Callable[[Pencil, Sample, str], tuple[float, str]]:
    def read(pencil: Pencil, sample: Sample, symbol: str) -> tuple[float, str]:
        value = getattr(sample, attribute)
        return value, pencil.number(dimension, value, symbol)

    return read


def _spread(pencil: Pencil, sample: Sample, symbol: str) -> tuple[float, str]:
    assert sample.gust_m_s is not None
    assert sample.wind_m_s is not None
    gust, mean = (pencil.number("speed", each, symbol) for each in (sample.gust_m_s, sample.wind_m_s))
    return sample.gust_m_s - sample.wind_m_s, f"{gust} - {mean}"


def _part(speed: str, way: str) -> Callable[[Pencil, Sample, str], tuple[float, str]]:
    """Return how a component is read: of the gust or the mean wind, across, ahead or from behind."""

    def read(pencil: Pencil, sample: Sample, symbol: str) -> tuple[float, str]:
        size_m_s = sample.gust_m_s if speed == "gust" else sample.wind_m_s
        assert size_m_s is not None
        size = pencil.number("speed", size_m_s, symbol)
        runway_deg = pencil.value("runway_true_deg")
        if not sample.is_true:
            runway_deg = (runway_deg - pencil.value("variation_deg")) % FULL_CIRCLE_DEG
        if size_m_s == 0.0:
            return 0.0, "0"
        if sample.sector_deg is not None:
            first, last = sample.sector_deg
            parts = components_in_sector(
                sector_from_deg=first, sector_to_deg=last, wind_m_s=size_m_s, runway_deg=runway_deg
            )
            angle = _worst_angle(first, last, runway_deg, way)
        elif sample.variable:
            parts = components_any_direction(wind_m_s=size_m_s)
            angle = 90.0 if way == "cross" else HALF_CIRCLE_DEG
        else:
            assert sample.wind_from_deg is not None
            parts = components(wind_from_deg=sample.wind_from_deg, wind_m_s=size_m_s, runway_deg=runway_deg)
            angle = _apart(sample.wind_from_deg, runway_deg)
        if way == "cross":
            return float(parts.cross_m_s), f"{size} x sin({calculator(angle)})"
        if way == "tail":
            head = float(parts.head_m_s)
            return max(0.0, -head), f"larger(0, 0 - {size} x cos({calculator(angle)}))"
        return float(parts.head_m_s), f"{size} x cos({calculator(angle)})"

    return read


def _apart(first_deg: float, second_deg: float) -> float:
    """Return the angle between two directions, 0 to 180. [deg]"""
    apart = abs(first_deg - second_deg) % FULL_CIRCLE_DEG
    return min(apart, FULL_CIRCLE_DEG - apart)


def _worst_angle(first: float, last: float, runway_deg: float, way: str) -> float:
    """Return the angle at which a wind that swings through a sector is worst. [deg]"""
    width = (last - first) % FULL_CIRCLE_DEG or FULL_CIRCLE_DEG
    angles = [_apart(first, runway_deg), _apart(last, runway_deg)]
    for corner in (90.0, HALF_CIRCLE_DEG, 270.0):
        if (runway_deg + corner - first) % FULL_CIRCLE_DEG <= width:
            angles.append(_apart(corner, 0.0))
    if way == "cross":
        return min(angles, key=lambda angle: abs(angle - 90.0))
    return max(angles)


_EXTREMES: dict[str, _Extreme] = {
    "wind_m_s": _Extreme("wind", "speed", True, True, _plain("gust_m_s", "speed")),
    "mean_wind_m_s": _Extreme("wind", "speed", True, True, _plain("wind_m_s", "speed")),
    "spread_m_s": _Extreme("wind", "speed", True, True, _spread),
    "crosswind_m_s": _Extreme("wind", "speed", True, True, _part("gust", "cross")),
    "mean_crosswind_m_s": _Extreme("wind", "speed", True, True, _part("mean", "cross")),
    "tailwind_m_s": _Extreme("wind", "speed", True, True, _part("gust", "tail")),
    "mean_tailwind_m_s": _Extreme("wind", "speed", True, True, _part("mean", "tail")),
    "visibility_m": _Extreme("visibility", "length", False, True, _plain("visibility_m", "length")),
    "cloud_base_m": _Extreme("cloud", "length", False, True, _plain("cloud_base_m", "length")),
    "hottest_k": _Extreme("temperature", "temperature", True, True, _plain("air_temperature_k", "temperature")),
    "coldest_k": _Extreme("temperature", "temperature", False, True, _plain("air_temperature_k", "temperature")),
    "hottest_at_take_off_k": _Extreme(
        "temperature", "temperature", True, False, _plain("air_temperature_k", "temperature")
    ),
    "highest_dew_point_k": _Extreme("dew_point", "temperature", True, False, _plain("dew_point_k", "temperature")),
    "lowest_altimeter_pa": _Extreme("altimeter", "pressure", False, False, _plain("altimeter_pa", "pressure")),
    "least_headwind_m_s": _Extreme("wind", "speed", False, False, _part("mean", "head")),
    "least_headwind_at_landing_m_s": _Extreme("wind", "speed", False, True, _part("mean", "head")),
}


def _met(pencil: Pencil, extreme: _Extreme) -> Iterator[tuple[Spell, float, float]]:
    """Yield the spells that count, each with the first and last minute in which it does."""
    start = pencil.value("depart_min")
    end = pencil.value("land_min" if extreme.whole_flight else "last_take_off_min")
    for spell in pencil.value("spells"):
        past = spell.end_min < start or (spell.end_min == start and spell.start_min != spell.end_min)
        if extreme.subject in spell.subjects and spell.start_min <= end and not past:
            yield spell, max(spell.start_min, start), min(spell.end_min, end)


def _extreme(pencil: Pencil, name: str) -> None:
    """Write down what every report that counts says, and take the worst."""
    extreme = _EXTREMES[name]
    symbol = pencil.symbol_of(name, extreme.dimension, "elevation_m")
    best: float | None = None
    for spell, start, end in _met(pencil, extreme):
        gaps = {"by": pencil.voice.by(spell.by), "start": moment_of(start), "end": moment_of(end)}
        first, expression = extreme.read(pencil, spell.first, symbol)
        if "(" in expression:
            _note_angle(pencil, spell.first)
        pencil.get("reported" if start < end else "reported_at", extreme.dimension, expression, first, symbol, **gaps)
        values = [first]
        if spell.last != spell.first:
            last, last_expression = extreme.read(pencil, spell.last, symbol)
            pencil.get("reported_last", extreme.dimension, last_expression, last, symbol, **gaps)
            values = [_between(pencil, extreme, spell, first, last, minute, symbol) for minute in (start, end)]
        for value in values:
            if best is None or (value > best) == extreme.is_largest:
                best = value
    pencil.say(
        "largest" if extreme.is_largest else "smallest",
        value=with_symbol(pencil.number(extreme.dimension, pencil.value(name), symbol), symbol),
    )


def _between(
    pencil: Pencil, extreme: _Extreme, spell: Spell, first: float, last: float, minute: float, symbol: str
) -> float:
    """Write down a value on the straight line between two forecast times."""
    share = (minute - spell.start_min) / (spell.end_min - spell.start_min)
    value = first + share * (last - first)
    low, high = (pencil.number(extreme.dimension, each, symbol) for each in (first, last))
    gone, whole = calculator(minute - spell.start_min), calculator(spell.end_min - spell.start_min)
    expression = f"{signed(low)} + ({high} - {signed(low)}) x {gone} / {whole}"
    pencil.get("on_the_line", extreme.dimension, expression, value, symbol, at=moment_of(minute))
    return value


def _note_angle(pencil: Pencil, sample: Sample) -> None:
    """Write down the angle that a component is reckoned with."""
    runway_deg = pencil.value("runway_true_deg")
    reference = "true"
    if not sample.is_true:
        runway_deg = (runway_deg - pencil.value("variation_deg")) % FULL_CIRCLE_DEG
        reference = "magnetic"
    runway = calculator(runway_deg)
    if sample.sector_deg is not None:
        pencil.say("angle_sector", first=calculator(sample.sector_deg[0]), last=calculator(sample.sector_deg[1]))
    elif sample.variable or sample.wind_from_deg is None:
        pencil.say("angle_any")
    else:
        wind = calculator(sample.wind_from_deg)
        apart = calculator(_apart(sample.wind_from_deg, runway_deg))
        pencil.say("angle", wind=wind, runway=runway, reference=reference, apart=apart)


def _runway_true(pencil: Pencil, name: str) -> None:
    runway = pencil.value("runway")
    heading = calculator(runway.heading_deg)
    if runway.reference == "true":
        pencil.say("runway_true", heading=heading)
        return
    variation = pencil.value("variation_deg")
    total = runway.heading_deg + variation
    expression = f"{heading} {'+' if variation >= 0 else '-'} {calculator(abs(variation))}"
    turned = pencil.value(name)
    if total - turned >= HALF_CIRCLE_DEG:
        expression += " - 360"
    elif turned - total >= HALF_CIRCLE_DEG:
        expression += " + 360"
    pencil.reckon("runway_magnetic", expression, turned, "deg", side="E" if variation >= 0 else "W")


def _variation(pencil: Pencil, name: str) -> None:
    pencil.say("variation", value=f"{calculator(pencil.value(name), 4)} deg")


def _pressure_altitude(pencil: Pencil, name: str) -> None:
    elevation_m, setting_pa = pencil.value("elevation_m"), pencil.value("lowest_altimeter_pa")
    if pencil.value("pressure_altitude_by") == "inch rule":
        elevation = pencil.number("length", elevation_m, "ft")
        setting = pencil.number("pressure", setting_pa, "inHg")
        standard = calculator(atmosphere.INCH_RULE_SETTING_PA / PA_PER_INHG)
        per_inch = calculator(atmosphere.INCH_RULE_M_PER_PA * PA_PER_INHG / M_PER_FT)
        expression = f"{signed(elevation)} + {per_inch} x ({standard} - {setting})"
        pencil.get("pressure_altitude_inch", "length", expression, pencil.value(name), "ft")
        return
    power = 1.0 / PRESSURE_POWER
    # The altitude of a setting is a small difference of two large numbers: it takes more digits.
    setting = calculator(setting_pa / PA_PER_HPA, 9)
    symbol = pencil.symbol_of("lowest_altimeter_pa", "pressure")
    if symbol not in ("hPa", "mb"):
        typed = pencil.number("pressure", setting_pa, symbol)
        factor = calculator(unit_named("pressure", symbol).factor / PA_PER_HPA, 9)
        pencil.reckon("in_hectopascals", f"{typed} x {factor}", setting_pa / PA_PER_HPA, "hPa", count=9)
    sea_level = calculator(atmosphere.SEA_LEVEL_PRESSURE_PA / PA_PER_HPA)
    height = calculator(atmosphere.SEA_LEVEL_TEMPERATURE_K / atmosphere.LAPSE_K_PER_M, 9)
    of_setting_m = float(atmosphere.standard_altitude_m(pressure_pa=setting_pa))
    pencil.reckon(
        "altitude_of_setting", f"{height} x (1 - ({setting} / {sea_level}) ^ {calculator(power, 9)})", of_setting_m, "m"
    )
    elevation = calculator(elevation_m)
    total_m = pencil.value(name)
    pencil.reckon("pressure_altitude", f"{signed(elevation)} + {signed(calculator(of_setting_m))}", total_m, "m")
    _in_reader_unit(pencil, total_m)


def _in_reader_unit(pencil: Pencil, value_m: float) -> None:
    symbol = pencil.symbol("length", "elevation_m")
    if symbol != "m":
        pencil.get("converted", "length", f"{calculator(value_m)} / {calculator(M_PER_FT)}", value_m, symbol)


def _density_altitude(pencil: Pencil, name: str) -> None:
    pressure_altitude_m, temperature_k = pencil.value("pressure_altitude_m"), pencil.value("hottest_at_take_off_k")
    sea_level_k = calculator(atmosphere.SEA_LEVEL_TEMPERATURE_K)
    lapse = calculator(atmosphere.LAPSE_K_PER_M)
    power = PRESSURE_POWER
    height = calculator(pressure_altitude_m, 9)
    symbol = pencil.symbol("length", "elevation_m")
    if symbol == "ft":
        feet = pencil.number("length", pressure_altitude_m, "ft")
        pencil.reckon("in_meters", f"{signed(feet)} x {calculator(M_PER_FT)}", pressure_altitude_m, "m")
        height = calculator(pressure_altitude_m)
    pressure_ratio = atmosphere.standard_pressure_pa(geopotential_altitude_m=pressure_altitude_m) / (
        atmosphere.SEA_LEVEL_PRESSURE_PA
    )
    expression = f"(1 - {lapse} x {signed(height)} / {sea_level_k}) ^ {calculator(power, 9)}"
    pencil.reckon("pressure_ratio", expression, float(pressure_ratio))
    counted_k = temperature_k
    if "highest_dew_point_k" in pencil.voice.sheet and pencil.value("density_altitude_by") == "moist air":
        counted_k = _virtual(pencil, float(pressure_ratio), temperature_k)
    celsius = calculator(counted_k - ZERO_C_K)
    temperature_ratio = counted_k / atmosphere.SEA_LEVEL_TEMPERATURE_K
    pencil.reckon(
        "temperature_ratio", f"({signed(celsius)} + {calculator(ZERO_C_K)}) / {sea_level_k}", temperature_ratio
    )
    density_ratio = float(pressure_ratio) / temperature_ratio
    pencil.reckon(
        "density_ratio", f"{calculator(float(pressure_ratio))} / {calculator(temperature_ratio)}", density_ratio
    )
    value_m = pencil.value(name)
    expression = f"{sea_level_k} / {lapse} x (1 - {calculator(density_ratio)} ^ {calculator(1.0 / (power - 1.0), 9)})"
    pencil.reckon("density_altitude", expression, value_m, "m")
    _in_reader_unit(pencil, value_m)


def _virtual(pencil: Pencil, pressure_ratio: float, temperature_k: float) -> float:
    """Write down the temperature at which dry air would be as thin as this moist air, and return it. [K]"""
    dew_point_k = min(pencil.value("highest_dew_point_k"), temperature_k)
    dew = calculator(dew_point_k - ZERO_C_K)
    vapor_pa = float(humidity.vapour_pressure_pa(dew_point_k=dew_point_k))
    pencil.reckon(
        "vapor_pressure",
        f"{calculator(humidity.FREEZING_VAPOUR_PA)} x 10 ^ ({calculator(humidity.VAPOUR_POWER)} x {signed(dew)} / "
        f"({calculator(humidity.VAPOUR_OFFSET_K)} + {signed(dew)}))",
        vapor_pa,
        "Pa",
    )
    pressure_pa = pressure_ratio * atmosphere.SEA_LEVEL_PRESSURE_PA
    pencil.reckon(
        "air_pressure",
        f"{calculator(pressure_ratio)} x {calculator(atmosphere.SEA_LEVEL_PRESSURE_PA)}",
        pressure_pa,
        "Pa",
    )
    virtual_k = float(
        humidity.virtual_temperature_k(
            pressure_pa=pressure_pa, air_temperature_k=temperature_k, dew_point_k=dew_point_k
        )
    )
    pencil.reckon(
        "virtual_temperature",
        f"{calculator(temperature_k)} / (1 - {calculator(vapor_pa)} / {calculator(pressure_pa)} x "
        f"(1 - {calculator(humidity.VAPOUR_MASS_RATIO)})) - {calculator(ZERO_C_K)}",
        virtual_k - ZERO_C_K,
        "C",
    )
    return virtual_k


def _before_sunset(pencil: Pencil, name: str) -> None:
    _sun(pencil, name, pencil.value("sun").sun.sets, "before_sunset", "sun_never_sets")


def _after_sunrise(pencil: Pencil, name: str) -> None:
    _sun(pencil, name, pencil.value("sun").sun.rises, "after_sunrise", "sun_never_sets")


def _sun(pencil: Pencil, name: str, at: object, key: str, never: str) -> None:
    if at is None:
        pencil.say(never)
        return
    pencil.say(key, at=at, value=pencil.voice.duration(pencil.value(name)), late=pencil.value(name) < 0.0)


def _age(fact: str) -> Explain:
    def explain(pencil: Pencil, name: str) -> None:
        pencil.say("age", at=pencil.value(fact), value=pencil.voice.duration(pencil.value(name)))

    return explain


EXPLAIN: dict[str, Explain] = {
    **dict.fromkeys(_EXTREMES, _extreme),
    "runway_true_deg": _runway_true,
    "variation_deg": _variation,
    "pressure_altitude_m": _pressure_altitude,
    "density_altitude_m": _density_altitude,
    "before_sunset_h": _before_sunset,
    "after_sunrise_h": _after_sunrise,
    "observation_age_h": _age("observed_at"),
    "stick_age_h": _age("stick_at"),
}
