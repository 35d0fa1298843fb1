"""[WMM2025] Rows of the agencies' file of test values, WMM2025_TEST_VALUES.txt."""

from importlib import resources

import pytest

from gyrewright.air.magnetism import load_model, magnetic_field

MODEL = load_model(resources.files("gyrewright").joinpath("data/wmm/wmm2025.toml").read_text(encoding="utf-8"))

ROWS = [  # case, year, height km, latitude, longitude, declination, inclination, horizontal nT
    ("WM25-01", 2025.0, 28.0, 89.0, -121.0, -99.77, 88.47, 1504.298146),
    ("WM25-03", 2025.0, 54.0, 82.0, 87.0, 54.89, 87.68, 2302.427342),
    ("WM25-05", 2025.0, 51.0, -33.0, 109.0, -5.49, -67.5, 21838.046477),
    ("WM25-06", 2025.0, 39.0, -59.0, -8.0, -15.75, -58.55, 14918.115796),
    ("WM25-08", 2025.0, 94.0, -29.0, -110.0, 15.74, -38.25, 24181.990098),
    ("WM25-10", 2025.0, 18.0, 0.0, 21.0, 1.29, -26.06, 29282.246275),
    ("WM25-11", 2025.5, 6.0, -36.0, -137.0, 20.28, -52.11, 25353.230658),
    ("WM25-13", 2025.5, 8.0, -52.0, -75.0, 14.91, -49.63, 20005.506364),
    ("WM25-15", 2025.5, 44.0, 33.0, -118.0, 11.1, 57.89, 23678.743422),
    ("WM25-16", 2026.0, 74.0, -57.0, 3.0, -22.51, -58.65, 14362.206593),
    ("WM25-18", 2026.0, 69.0, 23.0, 63.0, 1.17, 35.92, 34565.858527),
    ("WM25-20", 2026.5, 14.0, 0.0, 80.0, -3.1, -17.15, 39489.089663),
    ("WM25-21", 2026.5, 43.0, 17.0, 52.0, 1.19, 23.95, 36002.676553),
]


@pytest.mark.source("NOAA NCEI and BGS, WMM2025 official test values", "WMM2025_TEST_VALUES.txt, the row of that place")
@pytest.mark.parametrize("row", ROWS, ids=lambda row: row[0])
def test_the_official_test_values_are_reproduced(row):
    _, year, height_km, latitude_deg, longitude_deg, declination_deg, inclination_deg, horizontal_nt = row
    field = magnetic_field(
        MODEL,
        latitude_deg=latitude_deg,
        longitude_deg=longitude_deg,
        height_m=height_km * 1000.0,
        decimal_year=year,
    )
    # Half the last printed digit of the angles. The file prints the horizontal part to a millionth of a nanotesla; the
    # agencies' programs differ among themselves by a few ten-thousandths.
    assert field.declination_deg == pytest.approx(declination_deg, abs=0.005)
    assert field.inclination_deg == pytest.approx(inclination_deg, abs=0.005)
    assert field.horizontal_nt == pytest.approx(horizontal_nt, abs=0.001)
