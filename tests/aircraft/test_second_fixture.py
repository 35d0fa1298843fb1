"""The second set of invented machines, G1 and G2, with the other reading rules: half the headwind, linear everywhere.

Everything here is invented; nothing was published. Tolerances are the scenarios' own: 0.1 kg, 0.002 m, 15 ft/min, 15 m,
and for the density altitudes given with them 150 ft.
"""

import math

import pytest

from gyrewright.aircraft.envelope import from_sides
from gyrewright.aircraft.fuel import fuel_mass_kg, fuel_needed, fuel_readings, fuel_volume_l, readings_agree
from gyrewright.aircraft.loading import burn_path, total
from gyrewright.aircraft.loading_edges import ballast, most_fuel
from gyrewright.aircraft.performance import Corrections, HeadwindCredit, TailwindPenalty, corrected_distance
from gyrewright.aircraft.tables import Axis, build_table, highest_coordinate, lookup

KT, FT = 1852.0 / 3600.0, 0.3048
KG, CG_M, FT_MIN, M = 0.1, 0.002, 15.0, 15.0

ALTITUDES = Axis("density altitude", tuple(feet * FT for feet in (0.0, 2000.0, 4000.0, 6000.0)), "linear", "first")
TABLES = {
    "G1 distance": ((400.0, 450.0, 500.0), [[250, 290, 340, 405], [300, 350, 415, 500], [360, 425, 510, 625]]),
    "G1 climb": ((400.0, 450.0, 500.0), [[1000, 880, 750, 610], [850, 720, 590, 450], [700, 570, 440, 300]]),
    "G2 distance": ((440.0, 500.0, 560.0), [[270, 315, 375, 450], [330, 390, 470, 570], [400, 475, 575, 710]]),
    "G2 climb": ((440.0, 500.0, 560.0), [[1050, 930, 800, 660], [850, 720, 590, 450], [680, 545, 415, 280]]),
}
CORRECTIONS = Corrections(
    HeadwindCredit(0.5, 10.0 * KT, 0.01 / KT),
    TailwindPenalty(0.05 / KT, 5.0 * KT),
    (("paved", 1.0), ("dry short grass", 1.20), ("wet grass", 1.30)),
    None,
    False,
)
MACHINES = {
    "G1": {"empty": (288.0, 0.120), "limits": (-0.210, -0.050), "most": 500.0, "fuel": 0.080, "tank": 68.0},
    "G2": {"empty": (330.0, 0.100), "limits": (-0.180, -0.020), "most": 560.0, "fuel": 0.150, "tank": 80.0},
}
FRONT, REAR, MOUNT, SIDE_BY_SIDE = -0.950, -0.150, -1.100, -0.600


def table(name):
    masses, values = TABLES[name]
    made, problems = build_table(axes=[Axis("mass", masses, "linear", "first"), ALTITUDES], values=values)
    assert problems == ()
    return made


def envelope(machine):
    forward_m, aft_m = MACHINES[machine]["limits"]
    most_kg = MACHINES[machine]["most"]
    made, _ = from_sides(forward=[(0.0, forward_m), (most_kg, forward_m)], aft=[(0.0, aft_m), (most_kg, aft_m)])
    return made


def path(machine, items, fuel_l):
    return burn_path(
        total([MACHINES[machine]["empty"], *items]),
        fuel_arm_m=MACHINES[machine]["fuel"],
        take_off_fuel_kg=fuel_mass_kg(volume_l=fuel_l, density_kg_per_l=0.72),
        end_fuel_kg=0.0,
        envelope=envelope(machine),
    )


def most(machine, items):
    answer = most_fuel(
        total([MACHINES[machine]["empty"], *items]),
        fuel_arm_m=MACHINES[machine]["fuel"],
        envelope=envelope(machine),
        most_mass_kg=MACHINES[machine]["most"],
        end_fuel_kg=0.0,
        tank_kg=fuel_mass_kg(volume_l=MACHINES[machine]["tank"], density_kg_per_l=0.72),
    )
    assert answer.exists
    return fuel_volume_l(mass_kg=answer.fuel_kg, density_kg_per_l=0.72)


def factored_m(machine, mass_kg, density_altitude_ft, headwind_kt):
    table_m, table_inside = lookup(table(f"{machine} distance"), mass_kg, density_altitude_ft * FT)
    distance_m, inside = corrected_distance(
        table_distance_m=table_m,
        corrections=CORRECTIONS,
        headwind_m_s=headwind_kt * KT,
        surface="paved",
        adverse_slope_ratio=0.0,
        table_inside=table_inside,
    )
    assert inside
    return distance_m * 1.33


def climb_ft_min(machine, mass_kg, density_altitude_ft):
    climb, inside = lookup(table(f"{machine} climb"), mass_kg, density_altitude_ft * FT)
    assert inside
    return climb


def test_a_heavy_student_and_an_instructor_are_too_much_for_the_first_machine():
    crew = [(118.0, FRONT), (88.0, REAR)]
    assert path("G1", crew, 20.0).take_off_mass_kg == pytest.approx(508.4, abs=KG)
    assert most("G1", crew) == pytest.approx(8.3, abs=0.05)
    need = fuel_needed(burn_l_per_h=17.0, flight_h=0.8, reserve_min=30.0, unusable_l=4.0)
    assert (need.trip_l, need.reserve_l, need.unusable_l) == pytest.approx((13.6, 8.5, 4.0), abs=1e-9)
    assert need.total_l == pytest.approx(26.1, abs=1e-9)


def test_the_second_machine_carries_them_with_a_little_more_than_they_need():
    crew = [(118.0, SIDE_BY_SIDE), (88.0, SIDE_BY_SIDE)]
    need = fuel_needed(burn_l_per_h=20.0, flight_h=0.8, reserve_min=30.0, unusable_l=4.0)
    assert need.total_l == pytest.approx(30.0, abs=1e-9)
    assert most("G2", crew) == pytest.approx(33.3, abs=0.05)
    loaded = path("G2", crew, 30.0)
    assert loaded.take_off_mass_kg == pytest.approx(557.6, abs=KG)
    assert loaded.take_off_cg_m == pytest.approx(-0.157, abs=CG_M)
    assert loaded.forward_ok
    assert loaded.aft_ok


def test_the_second_machine_is_short_of_climb_and_runway_in_the_heat():
    assert climb_ft_min("G2", 557.6, 4780.0) == pytest.approx(369.0, abs=FT_MIN)
    assert factored_m("G2", 557.6, 4780.0, 8.0) == pytest.approx(795.0, abs=M)
    # At 28 C, 4,132 ft by the gas law, it climbs and fits.
    assert climb_ft_min("G2", 557.6, 4132.0) == pytest.approx(413.0, abs=FT_MIN)
    assert factored_m("G2", 557.6, 4132.0, 8.0) == pytest.approx(740.0, abs=M)


def test_the_highest_density_altitude_for_the_climb_floor_is_the_one_at_29_8_degrees():
    # 29.8 C at this field and pressure is 4,329 ft by the gas law.
    highest_m, exists = highest_coordinate(
        table("G2 climb"), 557.6, along="density altitude", target=400.0, sense="at least"
    )
    assert exists
    assert highest_m / FT == pytest.approx(4329.0, abs=11.0)  # a tenth of a degree


def test_a_student_alone_in_limits():
    loaded = path("G1", [(80.0, FRONT)], 40.0)
    assert loaded.take_off_mass_kg == pytest.approx(396.8, abs=KG)
    assert climb_ft_min("G1", loaded.take_off_mass_kg, 3170.0) == pytest.approx(805.0, abs=FT_MIN)
    assert factored_m("G1", loaded.take_off_mass_kg, 3170.0, 9.0) == pytest.approx(405.0, abs=M)


def light(fuel_l):
    return ballast(
        total([MACHINES["G1"]["empty"], (55.0, FRONT)]),
        mount_arm_m=MOUNT,
        mount_most_kg=20.0,
        station_now_kg=55.0,
        station_least_kg=60.0,
        station_most_kg=125.0,
        fuel_arm_m=MACHINES["G1"]["fuel"],
        take_off_fuel_kg=fuel_mass_kg(volume_l=fuel_l, density_kg_per_l=0.72),
        end_fuel_kg=0.0,
        envelope=envelope("G1"),
        most_mass_kg=500.0,
    )


def test_a_light_student_alone_is_aft_without_ballast():
    bare = path("G1", [(55.0, FRONT)], 40.0)
    assert bare.take_off_cg_m == pytest.approx(-0.041, abs=0.0005)
    assert bare.aft_ok is False
    block = path("G1", [(55.0, FRONT), (10.0, MOUNT)], 40.0)
    assert block.take_off_mass_kg == pytest.approx(381.8, abs=KG)
    assert block.take_off_cg_m == pytest.approx(-0.069, abs=0.0005)
    assert block.aft_ok
    assert block.forward_ok


def test_the_least_ballast_is_set_by_the_station_at_forty_liters_and_by_the_balance_at_sixty_four():
    assert light(40.0).low_kg == 5.0
    five = path("G1", [(55.0, FRONT), (5.0, MOUNT)], 40.0)
    assert five.take_off_cg_m == pytest.approx(-0.055, abs=0.0005)
    full = path("G1", [(55.0, FRONT), (5.0, MOUNT)], 64.0)
    assert full.take_off_cg_m == pytest.approx(-0.0495, abs=0.00005)
    assert full.aft_ok is False
    answer = light(64.0)
    assert answer.exists
    assert answer.low_kg > 5.0
    for step_kg, passes in ((0.1, True), (-0.1, False)):
        assert path("G1", [(55.0, FRONT), (answer.low_kg + step_kg, MOUNT)], 64.0).aft_ok is passes


def test_an_ordinary_good_day():
    loaded = path("G1", [(75.0, FRONT), (88.0, REAR)], 40.0)
    assert loaded.take_off_mass_kg == pytest.approx(479.8, abs=KG)
    assert 500.0 - loaded.take_off_mass_kg == pytest.approx(20.2, abs=KG)
    assert loaded.take_off_cg_m == pytest.approx(-0.099, abs=CG_M)
    assert climb_ft_min("G1", 479.8, 2840.0) == pytest.approx(576.0, abs=FT_MIN)
    assert factored_m("G1", 479.8, 2840.0, 8.0 * math.cos(math.radians(20.0))) == pytest.approx(547.0, abs=M)
    need = fuel_needed(burn_l_per_h=17.0, flight_h=1.0, reserve_min=30.0, unusable_l=4.0)
    assert need.total_l == pytest.approx(29.5, abs=1e-9)


def test_a_cold_day():
    loaded = path("G1", [(75.0, FRONT), (96.0, REAR)], 30.0)
    assert loaded.take_off_mass_kg == pytest.approx(480.6, abs=KG)
    assert loaded.take_off_cg_m == pytest.approx(-0.103, abs=CG_M)
    assert climb_ft_min("G1", 480.6, 800.0) == pytest.approx(705.0, abs=FT_MIN)
    assert factored_m("G1", 480.6, 800.0, 6.0 * math.cos(math.radians(10.0))) == pytest.approx(465.0, abs=M)


def test_a_mass_above_the_last_row_has_no_data_and_one_below_the_first_uses_it():
    assert lookup(table("G1 distance"), 500.1, 0.0)[1] is False
    assert lookup(table("G1 distance"), 380.0, 0.0) == (250.0, True)
    assert lookup(table("G1 distance"), 400.0, 6001.0 * FT)[1] is False


def test_readings_more_than_five_liters_apart_disagree():
    assert readings_agree(fuel_readings(gauge_l=40.0, stick_l=34.9), most_apart_l=5.0) is False
    assert readings_agree(fuel_readings(gauge_l=40.0, stick_l=35.0), most_apart_l=5.0) is True
