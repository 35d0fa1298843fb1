import random
from datetime import date
from importlib import resources

import pytest
from pygeomag import GeoMag

from gyrewright.air.magnetism import decimal_year, load_model, magnetic_field, model_on, variation
from gyrewright.errors import DefinitionError, OutOfRange

PLACE = {"latitude_deg": 43.95, "longitude_deg": -120.35, "height_m": 994.0}


def text_of(file):
    return resources.files("gyrewright").joinpath("data/wmm", file).read_text(encoding="utf-8")


def turned(first_deg, second_deg):
    return (first_deg - second_deg + 180.0) % 360.0 - 180.0


@pytest.mark.parametrize(("file", "theirs"), [("wmm2025.toml", "WMM_2025.COF"), ("wmm2020.toml", "WMM_2020.COF")])
def test_a_general_library_gives_the_same_field_at_random_places_and_times(file, theirs):
    model, library = load_model(text_of(file)), GeoMag(coefficients_file=f"wmm/{theirs}")
    draw = random.Random(file)
    for _ in range(120):
        latitude_deg, longitude_deg = draw.uniform(-89.9, 89.9), draw.uniform(-180.0, 180.0)
        height_m, year = draw.uniform(-1000.0, 850000.0), model.epoch + draw.uniform(0.0, 4.999)
        ours = magnetic_field(
            model, latitude_deg=latitude_deg, longitude_deg=longitude_deg, height_m=height_m, decimal_year=year
        )
        other = library.calculate(glat=latitude_deg, glon=longitude_deg, alt=height_m / 1000.0, time=year)
        # Both sum the same series; what is left is the rounding of the ellipsoid's smaller axis in the library.
        assert ours.horizontal_nt == pytest.approx(other.h, abs=2e-6)
        assert ours.inclination_deg == pytest.approx(other.i, abs=1e-8)
        assert abs(turned(ours.declination_deg, other.d)) * ours.horizontal_nt < 1e-4


@pytest.mark.parametrize("file", ["wmm2025.toml", "wmm2020.toml"])
def test_the_shipped_lines_are_the_agencies_own(file):
    year = file[3:7]
    library = resources.files("pygeomag").joinpath("wmm", f"WMM_{year}.COF").read_text(encoding="utf-8").splitlines()
    body = [line.split() for line in library[1:] if not line.startswith("9999")]
    ours = text_of(file).split('coefficients = """\n')[1].split('"""')[0]
    assert [line.split() for line in ours.splitlines()] == body
    assert library[0].split()[:2] == [f"{year}.0", f"WMM-{year}"]


def test_the_demonstration_field_has_13_6_degrees_east_on_its_day():
    assert round(variation(**PLACE, on=date(2027, 6, 12)), 1) == 13.6


@pytest.mark.parametrize("latitude_deg", [90.0, -90.0])
def test_at_the_poles_the_field_is_the_limit_of_the_places_around(latitude_deg):
    model = model_on(date(2026, 1, 1))
    there = {"longitude_deg": 10.0, "height_m": 0.0, "decimal_year": 2026.0}
    pole = magnetic_field(model, latitude_deg=latitude_deg, **there)
    beside = magnetic_field(model, latitude_deg=latitude_deg * (1.0 - 1e-9), **there)
    assert pole.horizontal_nt == pytest.approx(beside.horizontal_nt, rel=1e-6)
    assert pole.declination_deg == pytest.approx(beside.declination_deg, abs=1e-4)


def test_both_sides_of_the_date_line_are_one_place():
    model = model_on(date(2026, 1, 1))
    there = {"latitude_deg": -17.0, "height_m": 0.0, "decimal_year": 2026.0}
    east, west = (magnetic_field(model, longitude_deg=degrees, **there) for degrees in (180.0, -180.0))
    assert east.declination_deg == pytest.approx(west.declination_deg, abs=1e-9)


@pytest.mark.parametrize(
    ("on", "name"),
    [
        (date(2020, 1, 1), "WMM-2020"),
        (date(2024, 12, 31), "WMM-2020"),
        (date(2025, 1, 1), "WMM-2025"),
        (date(2029, 12, 31), "WMM-2025"),
    ],
)
def test_each_day_has_the_model_of_its_years(on, name):
    assert model_on(on).name == name


@pytest.mark.parametrize(("on", "needed"), [(date(2019, 12, 31), "WMM-2015"), (date(2030, 1, 1), "WMM-2030")])
def test_a_day_outside_every_model_is_refused_and_the_model_it_needs_is_named(on, needed):
    with pytest.raises(
        OutOfRange, match=f"{on} needs {needed}, and only WMM-2020 and WMM-2025 are here; add the model"
    ):
        variation(**PLACE, on=on)


def test_a_model_is_not_stretched_beyond_its_years():
    with pytest.raises(OutOfRange, match=r"2030.00 is outside WMM-2025, 2025 until before 2030"):
        magnetic_field(model_on(date(2026, 1, 1)), **PLACE, decimal_year=2030.0)


@pytest.mark.parametrize(
    ("change", "text"),
    [
        ({"latitude_deg": 90.1}, "latitude_deg=90.1 is outside -90 to 90; north is positive"),
        ({"latitude_deg": -90.1}, "latitude_deg=-90.1"),
        ({"longitude_deg": 180.1}, "longitude_deg=180.1 is outside -180 to 180; east is positive"),
        ({"longitude_deg": -180.1}, "longitude_deg=-180.1"),
        ({"latitude_deg": float("nan")}, "latitude_deg=nan"),
        ({"height_m": -1001.0}, "height_m=-1001 is outside -1000 to 850000; give meters above the sea"),
        ({"height_m": 850001.0}, "height_m=850001"),
    ],
)
def test_what_is_no_place_is_refused(change, text):
    with pytest.raises(OutOfRange, match=text):
        variation(**{**PLACE, **change}, on=date(2027, 6, 12))


@pytest.mark.parametrize("change", [{"latitude_deg": 90.0}, {"longitude_deg": -180.0}, {"height_m": -1000.0}])
def test_the_ends_of_each_interval_are_places(change):
    assert -180.0 <= variation(**{**PLACE, **change}, on=date(2027, 6, 12)) <= 180.0
    assert variation(**{**PLACE, "height_m": 850000.0}, on=date(2027, 6, 12))


def test_a_year_is_counted_in_its_own_days():
    assert decimal_year(date(2025, 1, 1)) == 2025.0
    assert decimal_year(date(2028, 7, 1)) == 2028.0 + 182.0 / 366.0
    assert decimal_year(date(2027, 12, 31)) == 2027.0 + 364.0 / 365.0


def problems(text):
    with pytest.raises(DefinitionError) as caught:
        load_model(text, file="some.toml")
    return [str(problem) for problem in caught.value.problems]


def test_every_problem_of_a_broken_model_file_is_named_at_once():
    whole = text_of("wmm2025.toml")
    assert "is this a coefficient file" in problems("WMM-2025  11/13/2024")[0]
    assert problems("epoch = 2025")[0].startswith("some.toml: name: None is no str")
    assert len(problems("epoch = 2025")) == 4  # a whole number is no decimal year
    hole = whole.replace("  2  1    2951.1   -3133.6       -5.2      -27.7\n", "")
    assert problems(hole) == ["some.toml: coefficients: degree 2 order 1 is missing; add its line"]
    twice = whole.replace(
        "  2  1    2951.1   -3133.6       -5.2      -27.7\n", "  2  2 1 2 3 4\n  1 x 1 2 3 4\n 13 1 1 2 3 4\n"
    )
    found = problems(twice)
    assert [text.split(": ", 2)[2].split(";")[0] for text in found] == [
        "'  1 x 1 2 3 4'",
        "' 13 1 1 2 3 4'",
        "'  2  2    1649.3    -815.1       -8.0      -12.1'",
        "degree 2 order 1 is missing",
    ]
