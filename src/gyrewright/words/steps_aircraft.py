"""Workings of the machine: the load sheet, the fuel, the manual's tables and their corrections."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from typing import Any

from gyrewright.aircraft import performance, tables
from gyrewright.aircraft.definition import AXES
from gyrewright.aircraft.envelope import Side, segments
from gyrewright.aircraft.loading import BurnPath
from gyrewright.release.recipes import AXIS_VALUES
from gyrewright.units import M_PER_NMI, unit_named, with_symbol
from gyrewright.words.numbers import calculator, in_unit
from gyrewright.words.pencil import Explain, Pencil, plus, round_symbol, signed

M_S_PER_KT = M_PER_NMI / 3600.0
MOMENTS = {("kg", "mm"): "kg mm", ("kg", "m"): "kg m", ("lb", "in"): "lb in"}
"""The unit of a moment by those of mass and arm; any other pair is worked in kg and m."""


def _symbols(pencil: Pencil) -> tuple[str, str, str]:
    """Return the units of mass, arm and moment that fit together."""
    pair = pencil.symbol("mass", "empty_mass_kg"), pencil.symbol("arm", "empty_arm_m")
    return (*pair, MOMENTS[pair]) if pair in MOMENTS else ("kg", "m", "kg m")


def _rows(pencil: Pencil, name: str) -> list[tuple[str, float, float]]:
    """Return (what, mass, arm) of every row of a load sheet but the fuel. [kg], [m]

    The inputs of a moment are the empty mass and arm, then the loads, then their arms.
    """
    empty_mass, empty_arm, *others = pencil.voice.sheet.plan.recipes[name].inputs
    loads, arms = others[: len(others) // 2], others[len(others) // 2 :]
    rows = [(pencil.voice.word("step", "empty_row"), pencil.value(empty_mass), pencil.value(empty_arm))]
    for load, arm in zip(loads, arms, strict=True):
        rows.append((pencil.voice.part(load.partition(":")[2]), pencil.value(load), pencil.value(arm)))
    return rows


def _zero_fuel_mass(pencil: Pencil, name: str) -> None:
    mass, *_ = _symbols(pencil)
    inputs = pencil.voice.sheet.plan.recipes[name].inputs
    numbers = [pencil.number("mass", pencil.value(each), mass) for each in inputs]
    pencil.get("sum", "mass", plus(numbers), pencil.value(name), mass)


def _zero_fuel_moment(pencil: Pencil, name: str) -> None:
    mass, arm, moment = _symbols(pencil)
    numbers = []
    for what, mass_kg, arm_m in _rows(pencil, name):
        expression = f"{pencil.number('mass', mass_kg, mass)} x {signed(pencil.number('arm', arm_m, arm))}"
        numbers.append(pencil.get("moment_of", "moment", expression, mass_kg * arm_m, moment, what=what))
    pencil.get("sum", "moment", plus(numbers), pencil.value(name), moment)


def _group(pencil: Pencil, name: str) -> None:
    symbol = pencil.symbol("mass", "empty_mass_kg")
    inputs = pencil.voice.sheet.plan.recipes[name].inputs
    numbers = [pencil.number("mass", pencil.value(each), symbol) for each in inputs]
    pencil.get("sum", "mass", plus(numbers), pencil.value(name), symbol)


def _readings(pencil: Pencil) -> tuple[list[str], str]:
    symbol = pencil.symbol("volume", "fuel_usable_l")
    inputs = pencil.voice.sheet.plan.recipes["fuel_lowest_l"].inputs
    return [pencil.number("volume", pencil.value(each), symbol) for each in inputs], symbol


def _lowest(pencil: Pencil, name: str) -> None:
    numbers, symbol = _readings(pencil)
    pencil.get("lower_reading", "volume", f"smaller({', '.join(numbers)})", pencil.value(name), symbol)


def _highest(pencil: Pencil, name: str) -> None:
    numbers, symbol = _readings(pencil)
    pencil.get("higher_reading", "volume", f"larger({', '.join(numbers)})", pencil.value(name), symbol)


def _volume(pencil: Pencil, name: str) -> tuple[str, str]:
    symbol = pencil.symbol("volume", "fuel_usable_l")
    return pencil.number("volume", pencil.value(name), symbol), symbol


def _apart(pencil: Pencil, name: str) -> None:
    high, symbol = _volume(pencil, "fuel_highest_l")
    low, _ = _volume(pencil, "fuel_lowest_l")
    pencil.get("apart", "volume", f"{high} - {low}", pencil.value(name), symbol)


def _loaded(pencil: Pencil, name: str) -> None:
    high, symbol = _volume(pencil, "fuel_highest_l")
    unusable, _ = _volume(pencil, "fuel_unusable_l")
    counts_all = pencil.value("readings_count") == "everything"
    in_empty = pencil.value("unusable_in_empty_mass")
    if counts_all and in_empty:
        pencil.get("loaded_less", "volume", f"larger(0, {high} - {unusable})", pencil.value(name), symbol)
    elif not counts_all and not in_empty:
        pencil.get("loaded_more", "volume", f"{high} + {unusable}", pencil.value(name), symbol)
    else:
        pencil.get("loaded_same" if in_empty else "loaded_all", "volume", high, pencil.value(name), symbol)


def _usable_aboard(pencil: Pencil, name: str) -> None:
    low, symbol = _volume(pencil, "fuel_lowest_l")
    if pencil.value("readings_count") == "usable":
        pencil.get("usable_same", "volume", low, pencil.value(name), symbol)
    else:
        unusable, _ = _volume(pencil, "fuel_unusable_l")
        pencil.get("usable_less", "volume", f"larger(0, {low} - {unusable})", pencil.value(name), symbol)


def _density(pencil: Pencil, volume_l: float) -> str:
    """Return volume times density as keyed in, in liters and kilograms a liter, turned into the unit of mass."""
    expression = f"{calculator(volume_l)} x {calculator(pencil.value('fuel_density_kg_per_l'))}"
    symbol = pencil.symbol("mass", "empty_mass_kg")
    return expression if symbol == "kg" else f"{expression} / {calculator(unit_named('mass', symbol).factor, 9)}"


def _fuel_mass(pencil: Pencil, name: str) -> None:
    symbol = pencil.symbol("mass", "empty_mass_kg")
    pencil.get("fuel_mass", "mass", _density(pencil, pencil.value("fuel_loaded_l")), pencil.value(name), symbol)


def _end_fuel(pencil: Pencil, name: str) -> None:
    symbol = pencil.symbol("mass", "empty_mass_kg")
    if pencil.value(name) == 0.0:
        pencil.say("end_fuel_nothing")
    else:
        pencil.get("end_fuel", "mass", _density(pencil, pencil.value("fuel_unusable_l")), pencil.value(name), symbol)


def _take_off_mass(pencil: Pencil, name: str) -> None:
    symbol = pencil.symbol("mass", "empty_mass_kg")
    numbers = [pencil.number("mass", pencil.value(each), symbol) for each in ("zero_fuel_mass_kg", "fuel_mass_kg")]
    pencil.get("sum", "mass", plus(numbers), pencil.value(name), symbol)


def _landing_mass(pencil: Pencil, name: str) -> None:
    symbol = pencil.symbol("mass", "empty_mass_kg")
    start = pencil.number("mass", pencil.value("take_off_mass_kg"), symbol)
    if pencil.value("take_offs") == "throughout":
        pencil.get("landing_at_once", "mass", start, pencil.value(name), symbol)
    else:
        expression = f"{start} - {_density(pencil, pencil.value('trip_l'))}"
        pencil.get("landing_later", "mass", expression, pencil.value(name), symbol)


def _trip(pencil: Pencil, name: str) -> None:
    symbol = pencil.symbol("volume", "fuel_usable_l")
    burn = calculator(pencil.value("burn_l_per_h") / unit_named("volume", symbol).factor)
    pencil.get("trip", "volume", f"{burn} x {calculator(pencil.value('block_h'))}", pencil.value(name), symbol)


ALONG = ("cg_path", "envelope", "zero_fuel_moment_kg_m", "fuel_arm_m")
ACROSS = ("lateral_path", "lateral_envelope", "zero_fuel_lateral_moment_kg_m", "fuel_lateral_arm_m")
"""Where path, limits, moment and the arm of the fuel stand on the sheet: along the aircraft, and across it."""


def _nearest(names: tuple[str, str, str, str], side: str) -> Explain:
    """Return what explains where the center of gravity comes nearest to one side of its limits."""

    def explain(pencil: Pencil, name: str) -> None:
        path_name, envelope_name, moment_name, fuel_arm_name = names
        path = pencil.value(path_name)
        at_kg = path.forward_mass_kg if side == "forward" else path.aft_mass_kg
        line: Side = getattr(pencil.value(envelope_name), side)
        _cg_at(pencil, name, path, pencil.value(moment_name), pencil.value(fuel_arm_name), at_kg, line)

    return explain


def _cg_at(
    pencil: Pencil, name: str, path: BurnPath, zero_kg_m: float, fuel_m: float, at_kg: float, side: Side
) -> None:
    """Write down the center of gravity at take-off, at the end of the fuel, and where it comes nearest to a limit."""
    mass, arm, moment = _symbols(pencil)
    zero_kg = pencil.value("zero_fuel_mass_kg")
    zero, zero_moment = pencil.number("mass", zero_kg, mass), pencil.number("moment", zero_kg_m, moment)
    fuel_arm = pencil.number("arm", fuel_m, arm)

    def write(key: str, mass_kg: float, cg_m: float) -> None:
        total = pencil.number("mass", mass_kg, mass)
        expression = f"({zero_moment} + ({total} - {zero}) x {signed(fuel_arm)}) / {total}"
        pencil.get(key, "arm", expression, cg_m, arm, mass=f"{total} {mass}")

    write("cg_take_off", float(path.take_off_mass_kg), float(path.take_off_cg_m))
    write("cg_end", float(path.end_mass_kg), float(path.end_cg_m))
    if at_kg not in (path.take_off_mass_kg, path.end_mass_kg):
        write("cg_between", at_kg, pencil.value(name))
    pencil.say("cg_nearest", mass=f"{pencil.number('mass', at_kg, mass)} {mass}")
    _limit_at(pencil, side, at_kg, mass, arm)


def _limit_at(pencil: Pencil, side: Side, at_kg: float, mass: str, arm: str) -> None:
    """Write down how the limit at a mass is read off the envelope."""
    for piece in segments(side):
        if piece.low_kg <= at_kg <= piece.high_kg:
            break
    else:
        return
    low_m = piece.intercept_m + piece.slope_m_per_kg * piece.low_kg
    high_m = piece.intercept_m + piece.slope_m_per_kg * piece.high_kg
    low, high = pencil.number("arm", low_m, arm), pencil.number("arm", high_m, arm)
    if low == high:
        pencil.say("envelope_level", limit=f"{low} {arm}")
        return
    here, start, end = (pencil.number("mass", each, mass) for each in (at_kg, piece.low_kg, piece.high_kg))
    expression = f"{signed(low)} + ({high} - {signed(low)}) x ({here} - {start}) / ({end} - {start})"
    limit_m = piece.intercept_m + piece.slope_m_per_kg * at_kg
    pencil.get("envelope_sloping", "arm", expression, limit_m, arm)


def _weighing_age(pencil: Pencil, name: str) -> None:
    on: date = pencil.value(f"weighed_on:{name.partition(':')[2]}")
    flight: date = pencil.value("flight_on")
    pencil.say("days_between", start=on, end=flight, value=calculator(pencil.value(name)))


# --- the manual's tables ----------------------------------------------------------------------------------------------


def _read_table(pencil: Pencil, table_name: str, dimension: str) -> tuple[float, str]:
    """Write down how a table is read, and return what it says, in the unit it was printed in, and that unit."""
    table = pencil.value(f"table:{table_name}")
    coordinates = [pencil.value(AXIS_VALUES[axis.name]) for axis in table.axes]
    reading = tables.explain(table, *coordinates)
    symbol = round_symbol(dimension, table.values, "m" if dimension == "length" else "ft/min")
    units = []
    for axis, used in zip(table.axes, reading.axes, strict=True):
        kind = AXES[axis.name][0]
        unit = round_symbol(kind, axis.points, pencil.symbol(kind))
        units.append((kind, unit))
        here, low, high = (f"{pencil.number(kind, each, unit)}" for each in (used.coordinate, used.low, used.high))
        what = pencil.voice.part(axis.name)
        gaps: dict[str, Any] = {
            "what": what,
            "here": with_symbol(here, unit),
            "low": with_symbol(low, unit),
            "high": with_symbol(high, unit),
        }
        if used.share:
            expression = f"({signed(here)} - {signed(low)}) / ({signed(high)} - {signed(low)})"
            pencil.reckon("table_share", expression, used.share, **gaps)
        elif used.coordinate < used.low and axis.points[0] == used.low and axis.between != "next higher":
            pencil.say("table_first", **gaps)
        else:
            pencil.say("table_row", **gaps)
    values = [in_unit(unit_named(dimension, symbol), cell.value) for cell in reading.cells]
    _reduce(pencil, reading.axes, units, values, symbol)
    return in_unit(unit_named(dimension, symbol), reading.value), symbol


def _reduce(
    pencil: Pencil,
    axes: Sequence[tables.AxisReading],
    units: Sequence[tuple[str, str]],
    values: list[float],
    symbol: str,
) -> None:
    """Write down the printed values, and go along one axis after the other, the last one first."""
    pencil.say("table_values", values=", ".join(calculator(value) for value in values), unit=symbol)
    shared = [(axis, unit) for axis, unit in zip(axes, units, strict=True) if axis.share]
    while shared:
        axis, (kind, unit) = shared.pop()
        here = with_symbol(pencil.number(kind, axis.coordinate, unit), unit)
        what = pencil.voice.part(axis.name)
        reduced = []
        for low, high in zip(values[::2], values[1::2], strict=True):
            value = low + axis.share * (high - low)
            expression = f"{signed(calculator(low))} + {calculator(axis.share)} x ({signed(calculator(high))} - "
            expression += f"{signed(calculator(low))})"
            pencil.reckon("table_between", expression, value, symbol, what=what, here=here)
            reduced.append(value)
        values = reduced


def _distance(table_name: str, corrections_name: str, headwind_name: str, slope_name: str) -> Explain:
    def explain(pencil: Pencil, name: str) -> None:
        printed, symbol = _read_table(pencil, table_name, "length")
        corrections: performance.Corrections = pencil.value(corrections_name)
        headwind_m_s, slope = pencil.value(headwind_name), pencil.value(slope_name)
        surface = pencil.value("surface_word")
        factors = performance.correction_factors(
            corrections=corrections, headwind_m_s=headwind_m_s, surface=surface, adverse_slope_ratio=slope
        )
        _wind_factor(pencil, corrections, headwind_m_s, float(factors.wind))
        pencil.say("surface_factor", surface=surface, factor=calculator(factors.surface))
        _slope_factor(pencil, corrections, slope, float(factors.slope))
        numbers = [calculator(float(each)) for each in (printed, factors.wind, factors.surface, factors.slope)]
        result = in_unit(unit_named("length", symbol), pencil.value(name))
        pencil.reckon("product", " x ".join(numbers), result, symbol)

    return explain


def _wind_factor(pencil: Pencil, corrections: performance.Corrections, headwind_m_s: float, factor: float) -> None:
    """Write down what the wind along the runway does to a distance, in knots as manuals print it."""
    knots = headwind_m_s / M_S_PER_KT
    headwind, tailwind = corrections.headwind, corrections.tailwind
    if headwind_m_s >= 0.0 and headwind is not None:
        credit = calculator(headwind.credit_per_m_s * M_S_PER_KT)
        counted, most = calculator(headwind.counted_ratio), calculator(headwind.most_m_s / M_S_PER_KT)
        expression = f"1 - {credit} x smaller({calculator(knots)} x {counted}, {most})"
        pencil.reckon("headwind_factor", expression, factor)
    elif headwind_m_s < 0.0 and tailwind is not None:
        penalty = calculator(tailwind.penalty_per_m_s * M_S_PER_KT)
        pencil.reckon("tailwind_factor", f"1 + {penalty} x {calculator(-knots)}", factor)
    else:
        pencil.say("no_wind_rule")


def _slope_factor(pencil: Pencil, corrections: performance.Corrections, slope: float, factor: float) -> None:
    if corrections.slope_penalty_per_ratio is None:
        pencil.say("no_slope_rule")
    elif slope < 0.0 and not corrections.favorable_slope_counts:
        pencil.say("slope_helps")
    else:
        expression = f"1 + {calculator(corrections.slope_penalty_per_ratio)} x {signed(calculator(slope))}"
        pencil.reckon("slope_factor", expression, factor)


def _climb(pencil: Pencil, name: str) -> None:
    _read_table(pencil, "climb", "climb")


EXPLAIN: dict[str, Explain] = {
    "zero_fuel_mass_kg": _zero_fuel_mass,
    "zero_fuel_moment_kg_m": _zero_fuel_moment,
    "group_kg:": _group,
    "fuel_lowest_l": _lowest,
    "fuel_highest_l": _highest,
    "fuel_apart_l": _apart,
    "fuel_loaded_l": _loaded,
    "fuel_usable_aboard_l": _usable_aboard,
    "fuel_mass_kg": _fuel_mass,
    "end_fuel_kg": _end_fuel,
    "take_off_mass_kg": _take_off_mass,
    "landing_mass_kg": _landing_mass,
    "trip_l": _trip,
    "zero_fuel_lateral_moment_kg_m": _zero_fuel_moment,
    "cg_most_forward_m": _nearest(ALONG, "forward"),
    "cg_most_aft_m": _nearest(ALONG, "aft"),
    "cg_most_left_m": _nearest(ACROSS, "forward"),
    "cg_most_right_m": _nearest(ACROSS, "aft"),
    "weighing_age_days:": _weighing_age,
    "take_off_distance_m": _distance("take_off_distance", "corrections", "least_headwind_m_s", "slope_ratio"),
    "ground_roll_m": _distance("ground_roll", "corrections", "least_headwind_m_s", "slope_ratio"),
    "landing_distance_m": _distance(
        "landing_distance", "landing_corrections", "least_headwind_at_landing_m_s", "landing_slope_ratio"
    ),
    "climb_m_s": _climb,
}
