"""The standard atmosphere, and the day measured against it: pressure altitude, density, density altitude (dry air).

Altitudes are geopotential, as an altimeter shows them. A field's elevation is geometric; the two differ by 0.16 m at
1000 m and by 1.4 m at 3000 m, which is neglected for elevations. Moist air is in `humidity`.

One number outside the interval in which a formula holds raises OutOfRange. In an array such an element cannot raise:
it is replaced by the low end of the interval, and the caller masks it with `inside`.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any

from gyrewright.arrays import Num, Truth, at_most, both, choose, exp, greatest, is_plain, least, sqrt
from gyrewright.errors import OutOfRange
from gyrewright.units import M_PER_FT, PA_PER_INHG, ZERO_C_K

if TYPE_CHECKING:
    from typing import TypeGuard

# Defining constants. [USSA1976] table 2 (p. 2) and table 4 (p. 3).
SEA_LEVEL_PRESSURE_PA = 101325.0
SEA_LEVEL_TEMPERATURE_K = ZERO_C_K + 15.0
LAPSE_K_PER_M = 0.0065  # fall of temperature with height, up to the tropopause
TROPOPAUSE_M = 11000.0
GRAVITY_M_S2 = 9.80665
GAS_CONSTANT_J_PER_KMOL_K = 8314.32  # the value of 1976, kept by the standard; later ones differ in the fifth digit
MOLAR_MASS_KG_PER_KMOL = 28.9644  # dry air
HEAT_RATIO = 1.4  # of the specific heats, for the speed of sound
EARTH_RADIUS_M = 6356766.0  # the sphere on which geopotential height is reckoned, eq. 18

# Derived, once.
AIR_GAS_CONSTANT_J_PER_KG_K = GAS_CONSTANT_J_PER_KMOL_K / MOLAR_MASS_KG_PER_KMOL
SEA_LEVEL_DENSITY_KG_M3 = SEA_LEVEL_PRESSURE_PA / (AIR_GAS_CONSTANT_J_PER_KG_K * SEA_LEVEL_TEMPERATURE_K)
_LAPSE_HEIGHT_M = SEA_LEVEL_TEMPERATURE_K / LAPSE_K_PER_M
_PRESSURE_POWER = GRAVITY_M_S2 / (AIR_GAS_CONSTANT_J_PER_KG_K * LAPSE_K_PER_M)
_TROPOPAUSE_TEMPERATURE_K = SEA_LEVEL_TEMPERATURE_K - LAPSE_K_PER_M * TROPOPAUSE_M
_TROPOPAUSE_PRESSURE_RATIO = (_TROPOPAUSE_TEMPERATURE_K / SEA_LEVEL_TEMPERATURE_K) ** _PRESSURE_POWER
_TROPOPAUSE_DENSITY_RATIO = _TROPOPAUSE_PRESSURE_RATIO * SEA_LEVEL_TEMPERATURE_K / _TROPOPAUSE_TEMPERATURE_K
_SCALE_HEIGHT_M = AIR_GAS_CONSTANT_J_PER_KG_K * _TROPOPAUSE_TEMPERATURE_K / GRAVITY_M_S2  # above the tropopause

# The reading rule that many operations use instead of the equation; common practice, no source.
INCH_RULE_SETTING_PA = 29.92 * PA_PER_INHG
INCH_RULE_M_PER_PA = 1000.0 * M_PER_FT / PA_PER_INHG
# Density altitude per degree above standard; common practice, no source. Handbooks round it to 120 ft.
DENSITY_RULE_M_PER_K = 118.8 * M_PER_FT
# True airspeed per height, [PHAK25C] ch. 8: 2 percent in 1000 ft.
AIRSPEED_RULE_PER_M = 0.02 / (1000.0 * M_PER_FT)

LOWEST_M = -5000.0  # [USSA1976] tabulates from here
HIGHEST_M = 20000.0  # top of the isothermal layer


def _pressure_pa(altitude_m: Num) -> Num:
    below = least(altitude_m, TROPOPAUSE_M)
    above = greatest(altitude_m, TROPOPAUSE_M) - TROPOPAUSE_M
    ratio = (1.0 - below / _LAPSE_HEIGHT_M) ** _PRESSURE_POWER * exp(-above / _SCALE_HEIGHT_M)
    return SEA_LEVEL_PRESSURE_PA * ratio


def _density_kg_m3(altitude_m: Num) -> Num:
    temperature_k = SEA_LEVEL_TEMPERATURE_K - LAPSE_K_PER_M * least(altitude_m, TROPOPAUSE_M)
    return _pressure_pa(altitude_m) / (AIR_GAS_CONSTANT_J_PER_KG_K * temperature_k)


def _log(value: Num) -> Num:
    if is_plain(value):
        return math.log(value)
    import numpy as np

    return np.log(value)


_THINNEST_KG_M3 = _density_kg_m3(HIGHEST_M)
_THICKEST_KG_M3 = _density_kg_m3(LOWEST_M)

# What each input may be, and what to think of when it is not. Wide enough for every place and day on record.
VALID: dict[str, tuple[float, float, str]] = {
    "geopotential_altitude_m": (LOWEST_M, HIGHEST_M, "give meters above the standard datum plane"),
    "geometric_altitude_m": (LOWEST_M, HIGHEST_M, "give meters above mean sea level"),
    "pressure_altitude_m": (LOWEST_M, HIGHEST_M, "give meters; were feet meant?"),
    "elevation_m": (-500.0, 9000.0, "give meters above mean sea level; were feet meant?"),
    "altimeter_pa": (80000.0, 110000.0, "give pascals; 29.92 inHg is 101321 Pa and 1013 hPa is 101300 Pa"),
    "pressure_pa": (_pressure_pa(HIGHEST_M), _pressure_pa(LOWEST_M), "give pascals; were hPa or inHg meant?"),  # type: ignore[dict-item]
    "air_temperature_k": (183.15, 333.15, "give kelvins; was it typed in degrees?"),
    "dew_point_k": (183.15, 333.15, "give kelvins; was it typed in degrees?"),
}


def inside(**quantities: Num) -> Truth:
    """Return whether every named quantity lies where the formulas hold, element by element.

    Args:
        quantities: Any of the names in `VALID`, such as `air_temperature_k` or `altimeter_pa`.
    """
    checks = [both(value >= VALID[name][0], value <= VALID[name][1]) for name, value in quantities.items()]
    return both(checks[0], *checks[1:])


def checked(name: str, value: Num) -> Num:
    """Return the value if the formulas hold there; an array comes back with every other element replaced.

    Raises:
        OutOfRange: A single value lies outside the interval in `VALID`, or is no number.
    """
    low, high, advice = VALID[name]
    if not _is_one(value):
        return choose(inside(**{name: value}), value, low)
    if not low <= value <= high:
        raise OutOfRange(f"{name}={value:g} is outside {low:g} to {high:g}; {advice}")
    return value


def _is_one(value: Any) -> TypeGuard[float]:
    return is_plain(value)


def standard_temperature_k(*, geopotential_altitude_m: Num) -> Num:
    """Return the temperature of the standard atmosphere. [K]

    Valid from -5000 to 20 000 m.

    Source: [USSA1976] eq. 23, p. 10.
    """
    altitude_m = checked("geopotential_altitude_m", geopotential_altitude_m)
    return SEA_LEVEL_TEMPERATURE_K - LAPSE_K_PER_M * least(altitude_m, TROPOPAUSE_M)


def standard_pressure_pa(*, geopotential_altitude_m: Num) -> Num:
    """Return the pressure of the standard atmosphere. [Pa]

    Valid from -5000 to 20 000 m.

    Source: [USSA1976] eqs. 33a and 33b, p. 12.
    """
    return _pressure_pa(checked("geopotential_altitude_m", geopotential_altitude_m))


def standard_density_kg_m3(*, geopotential_altitude_m: Num) -> Num:
    """Return the density of the standard atmosphere. [kg/m3]

    Valid from -5000 to 20 000 m.

    Source: [USSA1976] eq. 42, p. 15.
    """
    return _density_kg_m3(checked("geopotential_altitude_m", geopotential_altitude_m))


def standard_altitude_m(*, pressure_pa: Num) -> Num:
    """Return the altitude at which the standard atmosphere has this pressure: the pressure altitude. [m]

    Valid from 5475 Pa (20 000 m) to 177 687 Pa (-5000 m).

    Source: [USSA1976] eqs. 33a and 33b, p. 12, solved for the altitude.
    """
    ratio = checked("pressure_pa", pressure_pa) / SEA_LEVEL_PRESSURE_PA
    return _altitude_of_ratio_m(ratio, _TROPOPAUSE_PRESSURE_RATIO, _PRESSURE_POWER)


def _altitude_of_ratio_m(ratio: Num, at_tropopause: float, power: float) -> Num:
    lower = _LAPSE_HEIGHT_M * (1.0 - greatest(ratio, at_tropopause) ** (1.0 / power))
    return lower - _SCALE_HEIGHT_M * _log(least(ratio / at_tropopause, 1.0))


def pressure_altitude_m(*, elevation_m: Num, altimeter_pa: Num) -> Num:
    """Return the pressure altitude of a place from its altimeter setting, by the altimetry equation. [m]

    An altimeter shows the elevation when set to the reported setting, and both scales are the standard atmosphere's:
    turning it to the standard setting adds the standard altitude of the setting. Valid for an elevation of -500 to
    9000 m and a setting of 800 to 1100 hPa.

    Source: [PHAK25C] ch. 11 (the table of corrections is this equation, rounded); [USSA1976] eq. 33a.
    """
    setting_pa = checked("altimeter_pa", altimeter_pa)
    return checked("elevation_m", elevation_m) + standard_altitude_m(pressure_pa=setting_pa)


def pressure_altitude_by_inch_rule_m(*, elevation_m: Num, altimeter_pa: Num) -> Num:
    """Return the pressure altitude by the rule of 1000 ft for each inch of mercury below 29.92. [m]

    Against `pressure_altitude_m` it reads up to 57 ft too high down to a setting of 29.00 inHg, and up to 97 ft too
    low up to 31.00 inHg, at any elevation (tests/air/test_atmosphere.py).

    Source: common practice, no source; [PHAK25C] ch. 8 uses the same 1000 ft.
    """
    short_pa = INCH_RULE_SETTING_PA - checked("altimeter_pa", altimeter_pa)
    return checked("elevation_m", elevation_m) + INCH_RULE_M_PER_PA * short_pa


def station_pressure_pa(*, elevation_m: Num, altimeter_pa: Num) -> Num:
    """Return the pressure at the place itself from its altimeter setting. [Pa]

    Validity and source as for `pressure_altitude_m`, read backwards through the standard atmosphere.
    """
    return _pressure_pa(pressure_altitude_m(elevation_m=elevation_m, altimeter_pa=altimeter_pa))


def dry_air_density_kg_m3(*, pressure_pa: Num, air_temperature_k: Num) -> Num:
    """Return the density of dry air by the gas law. [kg/m3]

    Humidity lowers it by up to 3 percent on a saturated day of 40 C and is neglected here.

    Source: [USSA1976] eq. 42, p. 15.
    """
    temperature_k = checked("air_temperature_k", air_temperature_k)
    return checked("pressure_pa", pressure_pa) / (AIR_GAS_CONSTANT_J_PER_KG_K * temperature_k)


def density_altitude_of_m(*, density_kg_m3: Num) -> Num:
    """Return the altitude at which the standard atmosphere has this density. [m]

    Raises:
        OutOfRange: A single density is one that the standard atmosphere has nowhere from -5000 to 20 000 m.

    Source: [USSA1976] eqs. 33a, 33b and 42, solved for the altitude.
    """
    low, high = _THINNEST_KG_M3, _THICKEST_KG_M3
    within = both(density_kg_m3 >= low, density_kg_m3 <= high)
    if _is_one(density_kg_m3) and not within:
        raise OutOfRange(
            f"density_kg_m3={density_kg_m3:g} is outside {low:g} to {high:g}; check pressure altitude and temperature"
        )
    ratio = choose(within, density_kg_m3, low) / SEA_LEVEL_DENSITY_KG_M3
    return _altitude_of_ratio_m(ratio, _TROPOPAUSE_DENSITY_RATIO, _PRESSURE_POWER - 1.0)


def density_altitude_m(*, pressure_altitude_m: Num, air_temperature_k: Num) -> Num:
    """Return the altitude at which the standard atmosphere is as thin as this dry air. [m]

    Exact by the gas law. Humidity raises it (`humidity.humid_density_altitude_m`) and is neglected here.

    Raises:
        OutOfRange: One input, or the density that comes of both, lies outside its interval.

    Source: [USSA1976] eqs. 33a and 42.
    """
    pressure_pa = _pressure_pa(checked("pressure_altitude_m", pressure_altitude_m))
    temperature_k = checked("air_temperature_k", air_temperature_k)
    return density_altitude_of_m(density_kg_m3=pressure_pa / (AIR_GAS_CONSTANT_J_PER_KG_K * temperature_k))


def density_altitude_by_rule_m(
    *, pressure_altitude_m: Num, above_standard_k: Num, rule_m_per_k: float = DENSITY_RULE_M_PER_K
) -> Num:
    """Return the density altitude by the pocket rule: so much for each degree above standard. [m]

    Kept to compare with; the exact one is `density_altitude_m`. The usual 118.8 ft per degree reads about 130 ft too
    high at 3440 ft and 31 C.

    Args:
        pressure_altitude_m: Pressure altitude. [m]
        above_standard_k: Air temperature less the standard one at that altitude; handbooks use 15 C less 2 C for
            each 1000 ft, the standard atmosphere 1.98 C. [K]
        rule_m_per_k: The rule itself: 118.8 ft unless told; [IFH15B] rounds it to 120 ft. [m/K]

    Source: [PHAK25C] ch. 8, [IFH15B] ch. 4.
    """
    return checked("pressure_altitude_m", pressure_altitude_m) + rule_m_per_k * above_standard_k


def speed_of_sound_m_s(*, air_temperature_k: Num) -> Num:
    """Return the speed of sound in dry air. [m/s]

    Source: [USSA1976] eq. 50, p. 18.
    """
    temperature_k = checked("air_temperature_k", air_temperature_k)
    return sqrt(HEAT_RATIO * AIR_GAS_CONSTANT_J_PER_KG_K * temperature_k)


def true_airspeed_m_s(*, calibrated_airspeed_m_s: Num, density_kg_m3: Num) -> Num:
    """Return the true airspeed at a density. [m/s]

    Compressibility is neglected: less than 0.1 percent below 60 m/s and 3000 m.

    Source: definition of equivalent airspeed; [PHAK25C] ch. 8.
    """
    return calibrated_airspeed_m_s * sqrt(SEA_LEVEL_DENSITY_KG_M3 / density_kg_m3)


def true_airspeed_by_rule_m_s(*, calibrated_airspeed_m_s: Num, altitude_m: Num) -> Num:
    """Return the true airspeed by the pocket rule of 2 percent for each 1000 ft. [m/s]

    Source: [PHAK25C] ch. 8.
    """
    return calibrated_airspeed_m_s * (1.0 + AIRSPEED_RULE_PER_M * altitude_m)


def geopotential_altitude_m(*, geometric_altitude_m: Num) -> Num:
    """Return the geopotential altitude of a geometric one. [m]

    Source: [USSA1976] eq. 18, p. 8.
    """
    height_m = checked("geometric_altitude_m", geometric_altitude_m)
    return EARTH_RADIUS_M * height_m / (EARTH_RADIUS_M + height_m)


def geometric_altitude_m(*, geopotential_altitude_m: Num) -> Num:
    """Return the geometric altitude of a geopotential one. [m]

    Source: [USSA1976] eq. 19, p. 9.
    """
    height_m = checked("geopotential_altitude_m", geopotential_altitude_m)
    return EARTH_RADIUS_M * height_m / (EARTH_RADIUS_M - height_m)


def altimeter_steps_over(*, altimeter_pa: float, highest_pa: float, step_pa: float) -> int:
    """Return in how many steps, the last one begun counting as whole, a setting exceeds the highest that can be set.

    Equality is that of `arrays.at_most`: 31.10 inHg is one tenth over 31.00, although the floating-point numbers
    differ by slightly more.

    Args:
        altimeter_pa: The reported setting. [Pa]
        highest_pa: The highest setting that the procedure lets be set. [Pa]
        step_pa: The step of the procedure. [Pa]

    Source: [AIM2023] 7-2-3 b; its numbers are the caller's data.
    """
    steps = max(math.ceil((altimeter_pa - highest_pa) / step_pa), 0)
    enough_with_one_less = steps > 0 and at_most(altimeter_pa, highest_pa + (steps - 1) * step_pa)
    return steps - 1 if enough_with_one_less else steps
