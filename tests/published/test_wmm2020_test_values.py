"""[WMM2020] Declination of the printed test values."""

from importlib import resources

import pytest

from gyrewright.air.magnetism import load_model, magnetic_field

MODEL = load_model(resources.files("gyrewright").joinpath("data/wmm/wmm2020.toml").read_text(encoding="utf-8"))

ROWS = [  # case, year, height km, latitude, longitude, declination
    ("WM20R-01", 2020.0, 0.0, 80.0, 0.0, -1.28),
    ("WM20R-02", 2020.0, 0.0, 0.0, 120.0, 0.16),
    ("WM20R-05", 2020.0, 100.0, 0.0, 120.0, 0.16),
    ("WM20R-06", 2020.0, 100.0, -80.0, 240.0, 68.78),
    ("WM20R-08", 2022.5, 0.0, 0.0, 120.0, -0.06),
    ("WM20R-09", 2022.5, 0.0, -80.0, 240.0, 69.13),
    ("WM20R-10", 2022.5, 100.0, 80.0, 0.0, -0.41),
    ("WM20R-11", 2022.5, 100.0, 0.0, 120.0, -0.05),
]


@pytest.mark.source("NOAA NCEI and BGS, WMM2020 official test values", "declination column")
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
