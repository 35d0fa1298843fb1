"""[PHAK25C] The pilot's handbook on pressure, density, airspeed, wind and the compass."""

import math

import pytest

from gyrewright.air import atmosphere, wind
from gyrewright.units import parse_quantity, to_unit

DOCUMENT = "FAA-H-8083-25C, Pilot's Handbook of Aeronautical Knowledge (2023)"
FT = 0.3048
KT = 1852.0 / 3600.0
INHG = 3386.389


@pytest.mark.source(DOCUMENT, "ch. 11, Fig. 11-3: correction for 29.7 inHg at sea level; from memory")
def test_a_low_setting_raises_pressure_altitude():
    exact_m = atmosphere.pressure_altitude_m(elevation_m=0.0, altimeter_pa=29.7 * INHG)
    assert exact_m / FT == pytest.approx(205.0, abs=1.0)  # the table prints whole feet


@pytest.mark.source(DOCUMENT, "ch. 11, sample problem 1: 5,883 ft and 30.10 inHg give 5,718 ft")
def test_a_high_setting_lowers_pressure_altitude():
    exact_m = atmosphere.pressure_altitude_m(elevation_m=5883.0 * FT, altimeter_pa=30.1 * INHG)
    assert exact_m / FT == pytest.approx(5718.0, abs=2.0)  # interpolated in the table by whole feet


@pytest.mark.source(DOCUMENT, "ch. 8: 29.98 left set where 29.68 holds reads 300 ft high by the rule")
def test_an_altimeter_not_set_anew_reads_high_by_the_inch_rule():
    by_rule = [
        atmosphere.pressure_altitude_by_inch_rule_m(elevation_m=0.0, altimeter_pa=setting * INHG)
        for setting in (29.68, 29.98)
    ]
    assert (by_rule[0] - by_rule[1]) / FT == pytest.approx(300.0, abs=1.0)
    exact = [atmosphere.pressure_altitude_m(elevation_m=0.0, altimeter_pa=setting * INHG) for setting in (29.68, 29.98)]
    assert (exact[0] - exact[1]) / FT == pytest.approx(278.0, abs=1.0)  # worked out, not printed


@pytest.mark.source(DOCUMENT, "ch. 8: 5,048 ft and 30 C give 7,855 ft")
def test_density_altitude_of_a_hot_day():
    exact_m = atmosphere.density_altitude_m(pressure_altitude_m=5048.0 * FT, air_temperature_k=303.15)
    assert exact_m / FT == pytest.approx(7855.0, abs=10.0)  # read with a flight computer
    assert exact_m / FT == pytest.approx(7859.0, abs=3.0)  # worked out, not printed


@pytest.mark.source(DOCUMENT, "ch. 11: 5,000 ft at 20 C above standard is more than 7,000 ft")
def test_density_altitude_at_twenty_degrees_above_standard():
    standard_k = atmosphere.standard_temperature_k(geopotential_altitude_m=5000.0 * FT)
    exact_m = atmosphere.density_altitude_m(pressure_altitude_m=5000.0 * FT, air_temperature_k=standard_k + 20.0)
    assert exact_m / FT > 7000.0
    assert exact_m / FT == pytest.approx(7272.0, abs=3.0)  # worked out, not printed


@pytest.mark.source(DOCUMENT, "ch. 5: speed of sound 661 kt at 15 C and 574 kt at -55 C")
@pytest.mark.parametrize(("celsius", "printed_kt"), [(15.0, 661.0), (-55.0, 574.0)])
def test_speed_of_sound(celsius, printed_kt):
    # The book's second value is rounded from a rounded temperature: 575.6 exactly.
    ours = atmosphere.speed_of_sound_m_s(air_temperature_k=celsius + 273.15) / KT
    assert ours == pytest.approx(printed_kt, abs=1.61)


@pytest.mark.source(DOCUMENT, "ch. 8: true airspeed grows by 2 percent in 1,000 ft")
@pytest.mark.parametrize(
    ("altitude_ft", "by_rule_kt", "exact_kt"), [(2000.0, 52.0, 51.49), (5000.0, 55.0, 53.86), (10000.0, 60.0, 58.18)]
)
def test_true_airspeed_of_fifty_knots(altitude_ft, by_rule_kt, exact_kt):
    ours = atmosphere.true_airspeed_by_rule_m_s(calibrated_airspeed_m_s=50.0 * KT, altitude_m=altitude_ft * FT)
    assert ours / KT == pytest.approx(by_rule_kt, abs=0.01)
    density_kg_m3 = atmosphere.standard_density_kg_m3(geopotential_altitude_m=altitude_ft * FT)
    ours = atmosphere.true_airspeed_m_s(calibrated_airspeed_m_s=50.0 * KT, density_kg_m3=density_kg_m3)
    assert ours / KT == pytest.approx(exact_kt, abs=0.02)  # worked out, not printed


@pytest.mark.source(DOCUMENT, "ch. 8 with FAA-H-8083-15B ch. 4: 120 ft for each degree, 2 percent in each 1,000 ft")
def test_the_two_rules_of_thumb_together():
    by_rule_m = atmosphere.density_altitude_by_rule_m(
        pressure_altitude_m=3000.0 * FT, above_standard_k=11.0, rule_m_per_k=120.0 * FT
    )
    assert by_rule_m / FT == pytest.approx(4320.0)
    ours = atmosphere.true_airspeed_by_rule_m_s(calibrated_airspeed_m_s=100.0 * KT, altitude_m=3000.0 * FT)
    assert ours / KT == pytest.approx(106.0)


@pytest.mark.source(DOCUMENT, "ch. 11, sample problem 10, Fig. 11-31: runway 17, wind 140 at 25")
def test_head_and_cross_component():
    head_m_s, cross_m_s = wind.components(wind_from_deg=140.0, wind_m_s=25.0 * KT, runway_deg=170.0)
    assert head_m_s / KT == pytest.approx(22.0, abs=0.5)  # read off a chart in whole knots
    assert cross_m_s / KT == pytest.approx(13.0, abs=0.51)  # exactly 12.5, which the book rounds up
    assert wind.crosswind_from_right_m_s(wind_from_deg=140.0, wind_m_s=25.0 * KT, runway_deg=170.0) < 0.0


@pytest.mark.source(DOCUMENT, "ch. 11: crosswind capability of 0.2 of a stalling speed of 45 kt is 9 kt")
def test_a_limit_of_nine_knots_straight_across_is_a_wind_of_nine_knots():
    ours = wind.strongest_wind_m_s(crosswind_limit_m_s=0.2 * 45.0 * KT, angle_deg=90.0)
    assert ours / KT == pytest.approx(9.0)


@pytest.mark.source(DOCUMENT, "ch. 16: 120 kt with 20 kt of wind ahead and behind")
def test_ground_speed_straight_into_and_down_the_wind():
    for wind_from_deg, printed_kt in ((90.0, 100.0), (270.0, 140.0)):
        ours = wind.wind_triangle(
            course_deg=90.0, true_airspeed_m_s=120.0 * KT, wind_from_deg=wind_from_deg, wind_m_s=20.0 * KT
        )
        assert ours.ground_speed_m_s / KT == pytest.approx(printed_kt)


@pytest.mark.source(DOCUMENT, "ch. 16, wind triangle: course east, wind north-east at 40, airspeed 120, 220 NM")
def test_the_wind_triangle():
    ours = wind.wind_triangle(course_deg=90.0, true_airspeed_m_s=120.0 * KT, wind_from_deg=45.0, wind_m_s=40.0 * KT)
    assert ours.correction_deg == pytest.approx(-14.0, abs=0.5)  # drawn with a protractor
    assert ours.heading_deg == pytest.approx(76.0, abs=0.5)
    assert ours.ground_speed_m_s / KT == pytest.approx(88.0, abs=1.0)  # measured on the drawing
    time_h = 220.0 * 1852.0 / ours.ground_speed_m_s / 3600.0
    assert time_h == pytest.approx(2.5, abs=0.02)
    assert 8.0 * time_h == pytest.approx(20.0, abs=0.1)
    # Worked out, not printed.
    assert ours.correction_deg == pytest.approx(-13.63, abs=0.005)
    assert ours.ground_speed_m_s / KT == pytest.approx(88.33, abs=0.005)


@pytest.mark.source(DOCUMENT, "ch. 16, variation: 10 W, 14 E and 9 E")
@pytest.mark.parametrize(
    ("true_deg", "variation_deg", "magnetic_deg"),
    [(180, -10, 190), (180, 14, 166), (360, 9, 351), (90, 9, 81), (180, 9, 171), (270, 9, 261)],
)
def test_true_to_magnetic_and_back(true_deg, variation_deg, magnetic_deg):
    assert wind.true_to_magnetic_deg(true_deg=true_deg, variation_deg=variation_deg) == magnetic_deg
    assert wind.magnetic_to_true_deg(magnetic_deg=magnetic_deg, variation_deg=variation_deg) == true_deg


@pytest.mark.source(DOCUMENT, "ch. 16, deviation: 0 at 180 and 2 at 210 give 1 at 195")
def test_the_deviation_card_between_its_entries():
    assert wind.deviation_deg(card=[(180.0, 0.0), (210.0, 2.0)], heading_deg=195.0) == 1.0


@pytest.mark.source(DOCUMENT, "ch. 16: 20 kt are 23 mph, a nautical mile is 6,076.1 ft")
def test_knots_and_miles_per_hour():
    assert to_unit("speed", parse_quantity("speed", "20 kt").value, "mph") == pytest.approx(23.0, abs=0.05)
    assert to_unit("length", parse_quantity("length", "1 NM").value, "ft") == pytest.approx(6076.1, abs=0.05)


@pytest.mark.source(DOCUMENT, "ch. 11, crosswind component chart, by its definition; worked out, not printed")
@pytest.mark.parametrize(
    ("runway_deg", "wind_from_deg", "wind_kt", "head_kt", "cross_kt", "side"),
    [
        (360.0, 360.0, 15.0, 15.0, 0.0, 0.0),
        (360.0, 180.0, 15.0, -15.0, 0.0, 0.0),
        (10.0, 350.0, 20.0, 18.794, 6.84, -1.0),
        (270.0, 330.0, 18.0, 9.0, 15.588, 1.0),
    ],
)
def test_components_by_plane_trigonometry(runway_deg, wind_from_deg, wind_kt, head_kt, cross_kt, side):
    given = {"wind_from_deg": wind_from_deg, "wind_m_s": wind_kt * KT, "runway_deg": runway_deg}
    head_m_s, cross_m_s = wind.components(**given)
    assert head_m_s / KT == pytest.approx(head_kt, abs=0.001)
    assert cross_m_s / KT == pytest.approx(cross_kt, abs=0.001)
    from_right_m_s = wind.crosswind_from_right_m_s(**given)
    assert from_right_m_s == 0.0 if side == 0.0 else math.copysign(1.0, from_right_m_s) == side
