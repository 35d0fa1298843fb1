"""[CIPM2007] The density of moist air. Coefficients are the paper's; the values were worked out, not printed there."""

import pytest

from gyrewright.air import humidity

DOCUMENT = (
    "Picard, Davis, Glaeser, Fujii: Revised formula for the density of moist air (CIPM-2007), Metrologia 45 (2008)"
)

ROWS = [  # C, Pa, relative humidity, density, saturation Pa, enhancement, vapour mole ratio, compressibility
    (20.0, 101325.0, 0.5, 1.199314, 2339.163, 1.0040256, 0.0115893, 0.9996148),
    (15.0, 101325.0, 0.0, 1.225521, 1705.669, 1.0039276, 0.0, 0.9995922),
    (0.0, 101325.0, 0.0, 1.293049, 611.213, 1.0038016, 0.0, 0.999416),
]


@pytest.mark.source(DOCUMENT, "equations 1 to A1.4, 400 ppm of carbon dioxide")
@pytest.mark.parametrize("row", ROWS, ids=["20 C half saturated", "15 C dry", "0 C dry"])
def test_moist_air_density(row):
    celsius, pressure_pa, ratio, density, saturation_pa, enhancement, mole_ratio, compressibility = row
    day = {"pressure_pa": pressure_pa, "air_temperature_k": celsius + 273.15}
    # Tolerances: about the last digit worked out; the formula itself claims 22 parts per million.
    assert humidity.cipm_saturation_pressure_pa(air_temperature_k=celsius + 273.15) == pytest.approx(
        saturation_pa, abs=0.01
    )
    assert humidity.cipm_enhancement_ratio(**day) == pytest.approx(enhancement, abs=1e-6)
    vapour = humidity.cipm_vapour_mole_ratio(**day, relative_humidity_ratio=ratio)
    assert vapour == pytest.approx(mole_ratio, abs=1e-6)
    ours = humidity.cipm_compressibility_ratio(**day, vapour_mole_ratio=vapour)
    assert ours == pytest.approx(compressibility, abs=1e-6)
    for carbon in ({}, {"carbon_dioxide_ratio": 0.0004}):
        ours = humidity.cipm_density_kg_m3(**day, relative_humidity_ratio=ratio, **carbon)
        assert ours == pytest.approx(density, abs=5e-6)


@pytest.mark.source(DOCUMENT, "table 1 and appendix A1, the printed coefficients")
@pytest.mark.parametrize(
    ("name", "printed"),
    [
        ("WATER_MOLAR_MASS_KG_PER_KMOL", 18.01528),
        ("CIPM_GAS_CONSTANT_J_PER_MOL_K", 8.314472),
        ("CIPM_AIR_MOLAR_MASS_KG_PER_MOL", 28.96546e-3),
        ("CIPM_CARBON_DIOXIDE_RATIO", 0.0004),
        ("CIPM_CARBON_MOLAR_MASS_KG_PER_MOL", 12.011e-3),
        ("CIPM_SATURATION_A_PER_K2", 1.2378847e-5),
        ("CIPM_SATURATION_B_PER_K", -1.9121316e-2),
        ("CIPM_SATURATION_C", 33.93711047),
        ("CIPM_SATURATION_D_K", -6.3431645e3),
        ("CIPM_ENHANCEMENT_ALPHA", 1.00062),
        ("CIPM_ENHANCEMENT_BETA_PER_PA", 3.14e-8),
        ("CIPM_ENHANCEMENT_GAMMA_PER_K2", 5.6e-7),
        ("CIPM_A0_K_PER_PA", 1.58123e-6),
        ("CIPM_A1_PER_PA", -2.9331e-8),
        ("CIPM_A2_PER_K_PA", 1.1043e-10),
        ("CIPM_B0_K_PER_PA", 5.707e-6),
        ("CIPM_B1_PER_PA", -2.051e-8),
        ("CIPM_C0_K_PER_PA", 1.9898e-4),
        ("CIPM_C1_PER_PA", -2.376e-6),
        ("CIPM_D_K2_PER_PA2", 1.83e-11),
        ("CIPM_E_K2_PER_PA2", -0.765e-8),
    ],
)
def test_the_coefficients_are_those_printed(name, printed):
    assert getattr(humidity, name) == printed
