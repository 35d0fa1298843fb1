"""Water in the air: vapour pressure, relative humidity, moist density, humid density altitude, cloud base.

Two descriptions side by side. Reports give a dew point, and for them the weather service's short formula is exact
enough by far. The reference formula of the metrologists (CIPM-2007) is kept to check it against.
"""

from __future__ import annotations

from gyrewright.air.atmosphere import (
    AIR_GAS_CONSTANT_J_PER_KG_K,
    MOLAR_MASS_KG_PER_KMOL,
    checked,
    density_altitude_of_m,
    standard_pressure_pa,
)
from gyrewright.arrays import Num, Truth, at_most, exp, greatest, is_plain, least
from gyrewright.errors import OutOfRange
from gyrewright.units import M_PER_FT, ZERO_C_K

WATER_MOLAR_MASS_KG_PER_KMOL = 18.01528  # [CIPM2007] sec. 2
VAPOUR_MASS_RATIO = WATER_MOLAR_MASS_KG_PER_KMOL / MOLAR_MASS_KG_PER_KMOL

# Vapour pressure over water, [NWSDA]: 6.11 hPa x 10^(7.5 t / (237.7 + t)), t in C.
FREEZING_VAPOUR_PA = 611.0
VAPOUR_POWER = 7.5
VAPOUR_OFFSET_K = 237.7

# Spread closes by this much with height: temperature falls 3 C in 1000 ft, dew point 0.5 C. [AWH28] ch. 6
RISING_AIR_COOLS_K_PER_M = 3.0 / (1000.0 * M_PER_FT)
DEW_POINT_FALLS_K_PER_M = 0.5 / (1000.0 * M_PER_FT)

# [CIPM2007] table 1 and appendix A1.
CIPM_GAS_CONSTANT_J_PER_MOL_K = 8.314472
CIPM_AIR_MOLAR_MASS_KG_PER_MOL = 28.96546e-3  # at the carbon dioxide share below
CIPM_CARBON_DIOXIDE_RATIO = 0.0004
CIPM_CARBON_MOLAR_MASS_KG_PER_MOL = 12.011e-3  # added for each mole of oxygen that has become carbon dioxide
CIPM_SATURATION_A_PER_K2 = 1.2378847e-5
CIPM_SATURATION_B_PER_K = -1.9121316e-2
CIPM_SATURATION_C = 33.93711047
CIPM_SATURATION_D_K = -6.3431645e3
CIPM_ENHANCEMENT_ALPHA = 1.00062
CIPM_ENHANCEMENT_BETA_PER_PA = 3.14e-8
CIPM_ENHANCEMENT_GAMMA_PER_K2 = 5.6e-7
CIPM_A0_K_PER_PA = 1.58123e-6
CIPM_A1_PER_PA = -2.9331e-8
CIPM_A2_PER_K_PA = 1.1043e-10
CIPM_B0_K_PER_PA = 5.707e-6
CIPM_B1_PER_PA = -2.051e-8
CIPM_C0_K_PER_PA = 1.9898e-4
CIPM_C1_PER_PA = -2.376e-6
CIPM_D_K2_PER_PA2 = 1.83e-11
CIPM_E_K2_PER_PA2 = -0.765e-8


def vapour_pressure_pa(*, dew_point_k: Num) -> Num:
    """Return the pressure of the water vapour in air with this dew point. [Pa]

    Within 0.5 percent of the reference formula from 0 to 40 C (tests/air/test_humidity.py). Over water also below
    freezing, as dew points are reported.

    Source: [NWSDA].
    """
    celsius = checked("dew_point_k", dew_point_k) - ZERO_C_K
    power: Num = 10.0 ** (VAPOUR_POWER * celsius / (VAPOUR_OFFSET_K + celsius))
    return FREEZING_VAPOUR_PA * power


def dew_point_fits(*, air_temperature_k: Num, dew_point_k: Num) -> Truth:
    """Return whether the dew point is no higher than the temperature, element by element; equal is fog and passes."""
    return at_most(dew_point_k, air_temperature_k)


def _checked_dew_point_k(air_temperature_k: Num, dew_point_k: Num) -> Num:
    temperature_k = checked("air_temperature_k", air_temperature_k)
    point_k = checked("dew_point_k", dew_point_k)
    fits = dew_point_fits(air_temperature_k=temperature_k, dew_point_k=point_k)
    if is_plain(fits) and not fits:
        raise OutOfRange(
            f"dew_point_k={point_k:g} is above air_temperature_k={temperature_k:g}; the dew point is never the higher, "
            "were they swapped?"
        )
    return least(point_k, temperature_k)


def relative_humidity_ratio(*, air_temperature_k: Num, dew_point_k: Num) -> Num:
    """Return the relative humidity as a share of saturation, 0 to 1.

    Raises:
        OutOfRange: A single dew point above the temperature. In arrays mask with `dew_point_fits`.

    Source: definition; vapour pressures by [NWSDA].
    """
    point_k = _checked_dew_point_k(air_temperature_k, dew_point_k)
    return vapour_pressure_pa(dew_point_k=point_k) / vapour_pressure_pa(dew_point_k=air_temperature_k)


def virtual_temperature_k(*, pressure_pa: Num, air_temperature_k: Num, dew_point_k: Num) -> Num:
    """Return the temperature at which dry air would be as thin as this moist air. [K]

    Raises:
        OutOfRange: A single dew point above the temperature, or so high that the vapour would be the whole pressure.
            In arrays mask the first with `dew_point_fits`; the second happens nowhere below 10 000 m.

    Source: [NWSDA]; mass ratio from [CIPM2007] and [USSA1976] instead of the sheet's 0.622.
    """
    vapour_pa = vapour_pressure_pa(dew_point_k=_checked_dew_point_k(air_temperature_k, dew_point_k))
    share = vapour_pa / checked("pressure_pa", pressure_pa)
    if is_plain(share) and share >= 1.0:
        raise OutOfRange(
            f"dew_point_k={dew_point_k:g} needs more than the whole pressure_pa={pressure_pa:g}; check both"
        )
    return air_temperature_k / (1.0 - least(share, 1.0) * (1.0 - VAPOUR_MASS_RATIO))


def moist_air_density_kg_m3(*, pressure_pa: Num, air_temperature_k: Num, dew_point_k: Num) -> Num:
    """Return the density of moist air by the gas law. [kg/m3]

    Within 0.1 percent of `cipm_density_kg_m3` from 0 to 30 C at sea level (tests/air/test_humidity.py).

    Errors and source as for `virtual_temperature_k`.
    """
    virtual_k = virtual_temperature_k(
        pressure_pa=pressure_pa, air_temperature_k=air_temperature_k, dew_point_k=dew_point_k
    )
    return checked("pressure_pa", pressure_pa) / (AIR_GAS_CONSTANT_J_PER_KG_K * virtual_k)


def humid_density_altitude_m(*, pressure_altitude_m: Num, air_temperature_k: Num, dew_point_k: Num) -> Num:
    """Return the altitude at which the standard atmosphere, which is dry, is as thin as this moist air. [m]

    Never lower than `atmosphere.density_altitude_m` for the same day; about 300 ft higher at a dew point of 20 C.
    The weather service's own sheet reads 15 to 20 ft higher still, by a rounded constant that is not used here.

    Errors and source as for `virtual_temperature_k`.
    """
    pressure_pa = standard_pressure_pa(geopotential_altitude_m=checked("pressure_altitude_m", pressure_altitude_m))
    density_kg_m3 = moist_air_density_kg_m3(
        pressure_pa=pressure_pa, air_temperature_k=air_temperature_k, dew_point_k=dew_point_k
    )
    return density_altitude_of_m(density_kg_m3=density_kg_m3)


def cloud_base_m(
    *,
    air_temperature_k: Num,
    dew_point_k: Num,
    air_cools_k_per_m: float = RISING_AIR_COOLS_K_PER_M,
    dew_point_falls_k_per_m: float = DEW_POINT_FALLS_K_PER_M,
) -> Num:
    """Return the height above the ground at which air rising from it begins to condense. [m]

    An estimate for cumulus on a well-mixed afternoon; it says nothing about layers that drift in. Zero is fog.

    Raises:
        OutOfRange: A single dew point above the temperature. In arrays mask with `dew_point_fits`.

    Source: [AWH28] ch. 6.
    """
    spread_k = air_temperature_k - _checked_dew_point_k(air_temperature_k, dew_point_k)
    return greatest(spread_k, 0.0) / (air_cools_k_per_m - dew_point_falls_k_per_m)


def cipm_saturation_pressure_pa(*, air_temperature_k: Num) -> Num:
    """Return the vapour pressure over water at saturation, by the reference formula. [Pa]

    Source: [CIPM2007] eq. A1.1.
    """
    kelvin = checked("air_temperature_k", air_temperature_k)
    return exp(
        CIPM_SATURATION_A_PER_K2 * kelvin * kelvin
        + CIPM_SATURATION_B_PER_K * kelvin
        + CIPM_SATURATION_C
        + CIPM_SATURATION_D_K / kelvin
    )


def cipm_enhancement_ratio(*, pressure_pa: Num, air_temperature_k: Num) -> Num:
    """Return by how much the presence of air raises the vapour pressure at saturation, as a factor.

    Source: [CIPM2007] eq. A1.2.
    """
    celsius = checked("air_temperature_k", air_temperature_k) - ZERO_C_K
    pressure_part = CIPM_ENHANCEMENT_BETA_PER_PA * checked("pressure_pa", pressure_pa)
    return CIPM_ENHANCEMENT_ALPHA + pressure_part + CIPM_ENHANCEMENT_GAMMA_PER_K2 * celsius * celsius


def cipm_vapour_mole_ratio(*, pressure_pa: Num, air_temperature_k: Num, relative_humidity_ratio: Num) -> Num:
    """Return the share of the molecules that are water.

    Source: [CIPM2007] eq. A1.3.
    """
    enhancement = cipm_enhancement_ratio(pressure_pa=pressure_pa, air_temperature_k=air_temperature_k)
    saturation_pa = cipm_saturation_pressure_pa(air_temperature_k=air_temperature_k)
    return relative_humidity_ratio * enhancement * saturation_pa / pressure_pa


def cipm_compressibility_ratio(*, pressure_pa: Num, air_temperature_k: Num, vapour_mole_ratio: Num) -> Num:
    """Return how far moist air departs from an ideal gas, as a factor.

    Source: [CIPM2007] eq. A1.4.
    """
    kelvin = checked("air_temperature_k", air_temperature_k)
    celsius = kelvin - ZERO_C_K
    pressure_per_k = checked("pressure_pa", pressure_pa) / kelvin
    first = (
        CIPM_A0_K_PER_PA
        + CIPM_A1_PER_PA * celsius
        + CIPM_A2_PER_K_PA * celsius * celsius
        + (CIPM_B0_K_PER_PA + CIPM_B1_PER_PA * celsius) * vapour_mole_ratio
        + (CIPM_C0_K_PER_PA + CIPM_C1_PER_PA * celsius) * vapour_mole_ratio * vapour_mole_ratio
    )
    second = CIPM_D_K2_PER_PA2 + CIPM_E_K2_PER_PA2 * vapour_mole_ratio * vapour_mole_ratio
    return 1.0 - pressure_per_k * first + pressure_per_k * pressure_per_k * second


def cipm_density_kg_m3(
    *,
    pressure_pa: Num,
    air_temperature_k: Num,
    relative_humidity_ratio: Num,
    carbon_dioxide_ratio: Num = CIPM_CARBON_DIOXIDE_RATIO,
) -> Num:
    """Return the density of moist air by the formula that weighing laboratories use. [kg/m3]

    Its authors claim 22 parts per million from 600 to 1100 hPa and 15 to 27 C; beyond that it serves here only to
    compare with.

    Source: [CIPM2007] eqs. 1 to A1.4.
    """
    vapour = cipm_vapour_mole_ratio(
        pressure_pa=pressure_pa, air_temperature_k=air_temperature_k, relative_humidity_ratio=relative_humidity_ratio
    )
    compressibility = cipm_compressibility_ratio(
        pressure_pa=pressure_pa, air_temperature_k=air_temperature_k, vapour_mole_ratio=vapour
    )
    more_carbon = carbon_dioxide_ratio - CIPM_CARBON_DIOXIDE_RATIO
    dry_kg_per_mol = CIPM_AIR_MOLAR_MASS_KG_PER_MOL + CIPM_CARBON_MOLAR_MASS_KG_PER_MOL * more_carbon
    water_kg_per_mol = WATER_MOLAR_MASS_KG_PER_KMOL / 1000.0
    ideal = pressure_pa * dry_kg_per_mol / (compressibility * CIPM_GAS_CONSTANT_J_PER_MOL_K * air_temperature_k)
    return ideal * (1.0 - vapour * (1.0 - water_kg_per_mol / dry_kg_per_mol))
