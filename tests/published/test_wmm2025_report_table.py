"""[WMM2025R] Declination of the printed test values."""

from importlib import resources

import pytest

from gyrewright.air.magnetism import load_model, magnetic_field

MODEL = load_model(resources.files("gyrewright").joinpath("data/wmm/wmm2025.toml").read_text(encoding="utf-8"))

ROWS = [  # case, year, height km, latitude, longitude, declination
    ("WM25R-01", 2025.0, 0.0, 80.0, 0.0, 1.28),
    ("WM25R-03", 2025.0, 0.0, -80.0, 240.0, 68.78),
    ("WM25R-04", 2025.0, 100.0, 80.0, 0.0, 0.85),
    ("WM25R-06", 2025.0, 100.0, -80.0, 240.0, 68.21),
    ("WM25R-07", 2027.5, 0.0, 80.0, 0.0, 2.59),
    ("WM25R-10", 2027.5, 100.0, 80.0, 0.0, 2.16),
    ("WM25R-12", 2027.5, 100.0, -80.0, 240.0, 67.93),
]


@pytest.mark.source("NOAA NCEI and BGS, WMM2025 technical report", "table of 12 test values, declination column")
@pytest.mark.parametrize("row", ROWS, ids=lambda row: row[0])
def test_the_printed_declinations_are_reproduced(row):
    _, year, height_km, latitude_deg, longitude_deg, declination_deg = row
    field = magnetic_field(
        MODEL,
        latitude_deg=latitude_deg,
        longitude_deg=longitude_deg - 360.0 if longitude_deg > 180.0 else longitude_deg,
        height_m=height_km * 1000.0,
        decimal_year=year,
    )
    # Half the last printed digit.
    assert field.declination_deg == pytest.approx(declination_deg, abs=0.005)
