"""[NWSDA] The weather service's sheet for humid density altitude.

The sheet's vapour pressure and virtual temperature are ours. Its last line has a rounded constant (17.326 where 17.3345
gives zero at standard conditions) and reads 16 ft high; the exact values stand beside it.
"""

import pytest

from gyrewright.air import atmosphere, humidity

DOCUMENT = "NWS, density altitude with humidity (virtual temperature), formula sheet"
FT = 0.3048

ROWS = [  # C, dew point C, station inHg, vapour hPa, virtual K, sheet ft, exact ft, exact dry ft
    (30.0, 20.0, 29.92, 23.341, 305.813, 2037.0, 2020.0, 1725.0),
    (20.0, 10.0, 28.0, 12.269, 294.591, 3009.0, 2992.0, 2828.0),
]


@pytest.mark.source(DOCUMENT, "formulas read; numbers worked out from them, not printed")
@pytest.mark.parametrize("row", ROWS, ids=["30 C", "20 C"])
def test_the_sheet_is_reproduced_and_its_excess_explained(row):
    celsius, dew_celsius, station_inhg, vapour_hpa, virtual_k, sheet_ft, exact_ft, dry_ft = row
    pressure_pa = station_inhg * 3386.39
    temperature_k, dew_point_k = celsius + 273.15, dew_celsius + 273.15
    vapour_pa = humidity.vapour_pressure_pa(dew_point_k=dew_point_k)
    assert vapour_pa / 100.0 == pytest.approx(vapour_hpa, abs=0.002)
    ours_k = humidity.virtual_temperature_k(
        pressure_pa=pressure_pa, air_temperature_k=temperature_k, dew_point_k=dew_point_k
    )
    assert ours_k == pytest.approx(virtual_k, abs=0.01)
    by_sheet_ft = 145366.0 * (1.0 - (17.326 * station_inhg / (ours_k * 1.8)) ** 0.235)
    assert by_sheet_ft == pytest.approx(sheet_ft, abs=3.0)
    at_m = atmosphere.standard_altitude_m(pressure_pa=pressure_pa)
    ours_m = humidity.humid_density_altitude_m(
        pressure_altitude_m=at_m, air_temperature_k=temperature_k, dew_point_k=dew_point_k
    )
    assert ours_m / FT == pytest.approx(exact_ft, abs=3.0)
    dry_m = atmosphere.density_altitude_m(pressure_altitude_m=at_m, air_temperature_k=temperature_k)
    assert dry_m / FT == pytest.approx(dry_ft, abs=3.0)
