"""The demonstration scenario's own take-off distances and climbs, to the printed digit.

Everything here is invented for the demonstration; nothing was published. The tables are the scenario's print, with
ground roll and distance to 15 m in each cell.
"""

import math

import pytest

from gyrewright.aircraft.performance import (
    Corrections,
    HeadwindCredit,
    TailwindPenalty,
    corrected_distance,
    correction_problems,
)
from gyrewright.aircraft.tables import Axis, build_table, highest_coordinate, lookup

KT, FT = 1852.0 / 3600.0, 0.3048

# mass kg -> rows by pressure altitude 0, 2000, 4000, 6000 ft, columns 0, 15, 30, 40 C: (roll m, to 15 m)
DISTANCE = {
    "D": {
        420.0: [
            [(70, 180), (75, 205), (85, 235), (95, 250)],
            [(80, 215), (90, 245), (105, 275), (110, 300)],
            [(95, 260), (110, 295), (125, 330), (135, 355)],
            [(115, 310), (130, 350), (145, 395), (160, 425)],
        ],
        500.0: [
            [(100, 265), (110, 300), (125, 340), (135, 370)],
            [(120, 315), (135, 360), (150, 405), (160, 440)],
            [(140, 380), (160, 430), (180, 485), (195, 525)],
            [(165, 450), (190, 515), (215, 580), (230, 625)],
        ],
    },
    "W": {
        460.0: [
            [(60, 150), (65, 165), (70, 180), (70, 185)],
            [(65, 170), (70, 185), (75, 200), (80, 205)],
            [(75, 190), (80, 205), (85, 220), (90, 230)],
            [(80, 210), (90, 230), (95, 245), (100, 260)],
        ],
        560.0: [
            [(90, 235), (95, 250), (105, 270), (110, 285)],
            [(100, 260), (110, 280), (115, 305), (125, 320)],
            [(110, 290), (120, 315), (130, 340), (135, 355)],
            [(125, 325), (135, 350), (145, 380), (155, 395)],
        ],
    },
    "S": {
        380.0: [
            [(85, 235), (95, 270), (110, 310), (120, 340)],
            [(100, 285), (115, 330), (130, 380), (145, 410)],
            [(120, 350), (140, 400), (160, 460), (175, 500)],
            [(150, 425), (170, 490), (195, 565), (215, 615)],
        ],
        450.0: [
            [(120, 340), (135, 390), (155, 450), (170, 490)],
            [(145, 415), (165, 475), (190, 545), (210, 595)],
            [(175, 505), (205, 580), (230, 665), (255, 730)],
            [(215, 615), (250, 710), (285, 815), (310, 890)],
        ],
    },
}
# mass kg -> climb ft/min at density altitude 0, 2000, 4000, 6000, 8000 ft
CLIMB = {
    "D": {420.0: [900, 750, 600, 450, 300], 500.0: [620, 480, 340, 210, 70]},
    "W": {460.0: [1050, 960, 870, 780, 690], 560.0: [780, 700, 620, 540, 460]},
    "S": {380.0: [700, 560, 420, 270, 140], 450.0: [480, 350, 230, 100, -20]},
}
# pressure altitude ft, air temperature C, density altitude ft, wind from (magnetic), wind kt
DAY = {
    "06:30": (3380.0, 9.0, 3462.0, 166.0, 3.0),
    "13:30": (3440.0, 31.0, 6018.0, 186.0, 14.0),
    "19:00": (3450.0, 24.0, 5265.0, 196.0, 6.0),
}
# heading (magnetic), surface, rise in its direction, length m
RUNWAY = {25: (252.0, "hard", 0.006, 850.0), 16: (163.0, "dry grass", 0.0, 480.0)}
# front and rear kg, fuel L
CREW = {
    ("D", "dual"): (286.0 + 88.0 + 76.0, 40.0),
    ("D", "solo"): (286.0 + 74.0, 40.0),
    ("W", "dual"): (322.0 + 90.0 + 84.0, 40.0),
    ("S", "dual"): (252.0 + 78.0 + 70.0, 30.0),
    ("S", "solo"): (252.0 + 74.0, 30.0),
}
# time, aircraft, crew, runway, mass kg, table mass kg, roll m, to 15 m, factored by 1.33, available m, climb ft/min
ROWS = [
    ("06:30", "D", "dual", 25, 479, 500, 149, 399, 531, 850, 380),
    ("06:30", "D", "dual", 16, 479, 500, 159, 427, 568, 480, 380),
    ("06:30", "D", "solo", 25, 389, 420, 101, 273, 363, 850, 640),
    ("06:30", "D", "solo", 16, 389, 420, 108, 292, 389, 480, 640),
    ("06:30", "W", "dual", 25, 525, 560, 116, 303, 403, 850, 640),
    ("06:30", "W", "dual", 16, 525, 560, 124, 324, 431, 480, 640),
    ("06:30", "S", "dual", 25, 422, 450, 187, 533, 709, 850, 260),
    ("06:30", "S", "dual", 16, 422, 450, 200, 570, 759, 480, 260),
    ("06:30", "S", "solo", 25, 348, 380, 128, 369, 490, 850, 460),
    ("06:30", "S", "solo", 16, 348, 380, 137, 394, 524, 480, 460),
    ("13:30", "D", "dual", 25, 479, 500, 163, 439, 584, 850, 210),
    ("13:30", "D", "dual", 16, 479, 500, 160, 433, 576, 480, 210),
    ("13:30", "D", "solo", 25, 389, 420, 113, 299, 397, 850, 450),
    ("13:30", "D", "solo", 16, 389, 420, 112, 294, 391, 480, 450),
    ("13:30", "W", "dual", 25, 525, 560, 119, 312, 416, 850, 540),
    ("13:30", "W", "dual", 16, 525, 560, 117, 308, 409, 480, 540),
    ("13:30", "S", "dual", 25, 422, 450, 208, 601, 799, 850, 100),
    ("13:30", "S", "dual", 16, 422, 450, 205, 591, 787, 480, 100),
    ("13:30", "S", "solo", 25, 348, 380, 144, 416, 553, 850, 270),
    ("13:30", "S", "solo", 16, 348, 380, 142, 409, 545, 480, 270),
    ("19:00", "D", "dual", 25, 479, 500, 161, 432, 575, 850, 260),
    ("19:00", "D", "dual", 16, 479, 500, 175, 470, 625, 480, 260),
    ("19:00", "D", "solo", 25, 389, 420, 111, 295, 392, 850, 510),
    ("19:00", "D", "solo", 16, 389, 420, 121, 320, 426, 480, 510),
    ("19:00", "W", "dual", 25, 525, 560, 120, 313, 417, 850, 570),
    ("19:00", "W", "dual", 16, 525, 560, 130, 341, 453, 480, 570),
    ("19:00", "S", "dual", 25, 422, 450, 204, 587, 780, 850, 150),
    ("19:00", "S", "dual", 16, 422, 450, 222, 638, 848, 480, 150),
    ("19:00", "S", "solo", 25, 348, 380, 141, 406, 540, 850, 330),
    ("19:00", "S", "solo", 16, 348, 380, 153, 441, 587, 480, 330),
]
CORRECTIONS = Corrections(
    HeadwindCredit(1.0, 20.0 * KT, 0.015 / KT),
    TailwindPenalty(0.05 / KT, 5.0 * KT),
    (("hard", 1.0), ("dry grass", 1.15), ("wet grass", 1.25)),
    5.0,
    False,
)


def made(axes, values):
    table, problems = build_table(axes=axes, values=values)
    assert problems == ()
    return table


def distance_table(aircraft, which):
    masses = DISTANCE[aircraft]
    return made(
        [
            Axis("mass", tuple(masses), "next higher", "first"),
            Axis("pressure altitude", tuple(feet * FT for feet in (0.0, 2000.0, 4000.0, 6000.0)), "linear", "first"),
            Axis("air temperature", (273.15, 288.15, 303.15, 313.15), "linear", "first"),
        ],
        [[[float(cell[which]) for cell in row] for row in rows] for rows in masses.values()],
    )


def climb_table(aircraft):
    masses = CLIMB[aircraft]
    altitudes = tuple(feet * FT for feet in (0.0, 2000.0, 4000.0, 6000.0, 8000.0))
    return made(
        [Axis("mass", tuple(masses), "next higher", "first"), Axis("density altitude", altitudes, "linear", "first")],
        [[climb * FT / 60.0 for climb in row] for row in masses.values()],
    )


@pytest.mark.parametrize("row", ROWS, ids=[" ".join(str(part) for part in row[:4]) for row in ROWS])
def test_distances_and_climbs_of_the_day_come_out_as_printed(row):
    time, aircraft, crew, runway, mass, table_mass, roll_m, to_15_m, factored_m, available_m, climb_ft_min = row
    pressure_altitude_ft, celsius, density_altitude_ft, wind_from_deg, wind_kt = DAY[time]
    heading_deg, surface, slope_ratio, length_m = RUNWAY[runway]
    without_fuel_kg, fuel_l = CREW[aircraft, crew]
    mass_kg = without_fuel_kg + 0.72 * fuel_l
    headwind_m_s = wind_kt * KT * math.cos(math.radians(wind_from_deg - heading_deg))
    assert mass_kg == pytest.approx(mass, abs=0.5)
    assert min(printed for printed in DISTANCE[aircraft] if printed >= mass_kg) == table_mass
    assert length_m == available_m
    distances = []
    for which in (0, 1):
        table_m, table_inside = lookup(
            distance_table(aircraft, which), mass_kg, pressure_altitude_ft * FT, celsius + 273.15
        )
        distance_m, inside = corrected_distance(
            table_distance_m=table_m,
            corrections=CORRECTIONS,
            headwind_m_s=headwind_m_s,
            surface=surface,
            adverse_slope_ratio=slope_ratio,
            table_inside=table_inside,
        )
        assert inside
        distances.append(distance_m)
    assert distances[0] == pytest.approx(roll_m, abs=0.5)
    assert distances[1] == pytest.approx(to_15_m, abs=0.5)
    assert distances[1] * 1.33 == pytest.approx(factored_m, abs=0.5)
    climb_m_s, inside = lookup(climb_table(aircraft), mass_kg, density_altitude_ft * FT)
    assert climb_m_s / FT * 60.0 == pytest.approx(climb_ft_min, abs=5.0)
    assert inside


def test_the_corrections_are_sound():
    assert correction_problems(CORRECTIONS) == ()


@pytest.mark.parametrize(
    ("wind_kt", "factor", "inside"),
    [(20.0, 0.70, True), (30.0, 0.70, True), (-5.0, 1.25, True), (-5.1, 1.25, False)],
)
def test_wind_counts_to_the_printed_ends(wind_kt, factor, inside):
    distance_m, has_data = corrected_distance(
        table_distance_m=100.0,
        corrections=CORRECTIONS,
        headwind_m_s=wind_kt * KT,
        surface="hard",
        adverse_slope_ratio=-0.006,  # no credit for going down
    )
    assert distance_m == pytest.approx(100.0 * factor, abs=1e-9)
    assert has_data is inside


@pytest.mark.parametrize(
    ("mass_kg", "altitude_ft", "celsius"), [(501.0, 3000.0, 20.0), (480.0, 6001.0, 20.0), (480.0, 3000.0, 40.1)]
)
def test_nothing_is_extrapolated_above_the_last_row_or_column(mass_kg, altitude_ft, celsius):
    assert lookup(distance_table("D", 1), mass_kg, altitude_ft * FT, celsius + 273.15)[1] is False


def test_below_the_first_row_and_column_the_first_is_used():
    assert lookup(distance_table("D", 1), 300.0, -500.0 * FT, 263.15) == (180.0, True)


def test_the_highest_temperature_for_a_runway_is_an_edge():
    table = distance_table("D", 1)
    highest_k, exists = highest_coordinate(
        table, 478.8, 3440.0 * FT, along="air temperature", target=480.0 / (1.33 * 1.15), sense="at most"
    )
    assert exists is False  # the factored distance on grass fails already in the first column
    highest_k, exists = highest_coordinate(
        table, 388.8, 3440.0 * FT, along="air temperature", target=480.0 / (1.33 * 1.15), sense="at most"
    )
    assert exists
    for step_k, fits in ((-0.1, True), (0.1, False)):
        distance_m, _ = lookup(table, 388.8, 3440.0 * FT, highest_k + step_k)
        assert (distance_m * 1.33 * 1.15 <= 480.0) is fits
