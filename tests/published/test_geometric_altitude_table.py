"""[GEOMTAB] The same atmosphere tabulated against geometric altitude.

The page heads its columns "geopotential"; its values are those of geometric altitude (20 000 ft geopotential would be
-12.32 F).
"""

import pytest

from gyrewright.air import atmosphere

FT = 0.3048
PSI = 4.4482216152605 / 0.0254**2
SLUG_PER_FT3 = 4.4482216152605 / FT**4  # a slug is a pound-force per foot per second squared

ROWS = [  # ft, F, psi, 1e-4 slug/ft3
    (5000.0, 41.17, 12.228, 20.48),
    (10000.0, 23.36, 10.108, 17.56),
    (15000.0, 5.55, 8.297, 14.96),
    (20000.0, -12.26, 6.759, 12.67),
]


@pytest.mark.source("a public engineering table of the U.S. Standard Atmosphere", "English units, 5000 to 20 000 ft")
@pytest.mark.parametrize("row", ROWS, ids=lambda row: f"{row[0]:.0f} ft")
def test_a_table_in_geometric_feet_is_reproduced(row):
    geometric_ft, fahrenheit, psi, density = row
    altitude_m = atmosphere.geopotential_altitude_m(geometric_altitude_m=geometric_ft * FT)
    temperature_k = atmosphere.standard_temperature_k(geopotential_altitude_m=altitude_m)
    pressure_pa = atmosphere.standard_pressure_pa(geopotential_altitude_m=altitude_m)
    density_kg_m3 = atmosphere.standard_density_kg_m3(geopotential_altitude_m=altitude_m)
    # Half the last printed digit and a little, since the table was itself converted from rounded numbers.
    assert temperature_k * 1.8 - 459.67 == pytest.approx(fahrenheit, abs=0.006)
    assert pressure_pa / PSI == pytest.approx(psi, abs=0.0015)
    assert density_kg_m3 / SLUG_PER_FT3 * 1e4 == pytest.approx(density, abs=0.006)


@pytest.mark.source("a public engineering table of the U.S. Standard Atmosphere", "its heading, shown to be wrong")
def test_the_table_would_not_fit_if_its_feet_were_geopotential():
    temperature_k = atmosphere.standard_temperature_k(geopotential_altitude_m=20000.0 * FT)
    assert temperature_k * 1.8 - 459.67 == pytest.approx(-12.32, abs=0.006)
