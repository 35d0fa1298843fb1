"""[WBH1B] The weight-and-balance handbook's examples: balance, weighing, envelopes, ballast, records."""

import pytest

from gyrewright.aircraft.envelope import covers, from_sides, limits_at
from gyrewright.aircraft.fuel import fuel_mass_kg, fuel_volume_l
from gyrewright.aircraft.loading import (
    Load,
    arm_at_percent,
    percent_of_chord,
    total,
    with_mass,
    with_mass_moved,
)
from gyrewright.aircraft.loading_edges import mass_at_station
from gyrewright.aircraft.weighing import Change, ScaleRow, empty_load, revised, weighed
from gyrewright.arrays import at_most

BOOK = "FAA-H-8083-1B, Aircraft Weight and Balance Handbook (2016)"
LB, IN, GAL = 0.45359237, 0.0254, 3.785411784
LBIN = LB * IN
EXACT = 1e-9


def loaded(rows):
    return total((weight * LB, arm * IN) for weight, arm in rows)


@pytest.mark.source(BOOK, "ch. 8, Figs 8-3 and 8-4; ch. 10, Fig. 10-8")
def test_a_helicopter_along_and_across_on_its_first_leg():
    along = loaded([(1545.0, 101.4), (200.0, 64.0), (170.0, 64.0), (288.0, 96.0)])
    across = loaded([(1545.0, 0.2), (200.0, 13.5), (170.0, -13.5), (288.0, -8.4)])
    assert along.mass_kg / LB == pytest.approx(2203.0, rel=EXACT)
    assert along.moment_kg_m / LBIN == pytest.approx(207_991.0, abs=0.5)  # worked out, not printed
    assert along.cg_m / IN == pytest.approx(94.4, abs=0.05)
    assert across.moment_kg_m / LBIN == pytest.approx(-1705.0, abs=0.5)
    assert across.cg_m / IN == pytest.approx(-0.77, abs=0.005)
    assert at_most(along.mass_kg, 2250.0 * LB)


@pytest.mark.source(BOOK, "ch. 2, Figs 2-4 to 2-10")
@pytest.mark.parametrize(("datum_in", "cg_in"), [(0.0, 110.0), (110.0, 0.0), (150.0, -40.0)])
def test_three_weights_on_a_lever_balance_at_one_place_from_any_datum(datum_in, cg_in):
    load = loaded((weight, arm - datum_in) for weight, arm in ((100.0, 50.0), (100.0, 90.0), (200.0, 150.0)))
    assert load.mass_kg / LB == pytest.approx(400.0, rel=EXACT)
    assert load.cg_m / IN == pytest.approx(cg_in, abs=1e-9)
    if datum_in == 0.0:
        assert load.moment_kg_m / LBIN == pytest.approx(44_000.0, rel=EXACT)


@pytest.mark.source(BOOK, "ch. 3, Figs 3-8 and 3-9; ch. 10: nosewheel, datum ahead")
def test_empty_balance_on_a_nosewheel():
    # The book's D - F L / W is the same as standing the nose at D - L and the rest at D.
    load = weighed(
        [ScaleRow("nose", 340.0 * LB, 0.0, (128.0 - 78.0) * IN), ScaleRow("mains", 1666.0 * LB, 0.0, 128.0 * IN)]
    )
    assert load.cg_m / IN == pytest.approx(114.8, abs=0.05)
    assert load.cg_m / IN == pytest.approx(114.78, abs=0.005)  # worked out


@pytest.mark.source(BOOK, "ch. 3, Figs 3-12 and 3-13; ch. 10: tailwheel, datum ahead")
def test_empty_balance_on_a_tailwheel():
    load = weighed(
        [ScaleRow("tail", 67.0 * LB, 0.0, (7.5 + 222.0) * IN), ScaleRow("mains", 1151.0 * LB, 0.0, 7.5 * IN)]
    )
    assert load.cg_m / IN == pytest.approx(19.7, abs=0.05)
    assert load.cg_m / IN == pytest.approx(19.712, abs=0.0005)  # worked out


@pytest.mark.source(BOOK, "ch. 10, Fig. 10-6")
def test_empty_balance_from_three_net_weights():
    rows = [("left main", 830.0, 128.0), ("right main", 836.0, 128.0), ("nose", 340.0, 50.0)]
    scales = [ScaleRow(point, weight * LB, 0.0, arm * IN) for point, weight, arm in rows]
    assert [weighed([row]).moment_kg_m / LBIN for row in scales] == pytest.approx(
        [106_240.0, 107_008.0, 17_000.0], rel=EXACT
    )
    load = empty_load(scales, fuel_aboard_kg=0.0, fuel_arm_m=0.0)
    assert load.mass_kg / LB == pytest.approx(2006.0, rel=EXACT)
    assert load.cg_m / IN == pytest.approx(114.8, abs=0.05)


@pytest.mark.source(BOOK, "ch. 3, Figs 3-5 to 3-7: chocks on the scales; the figure's parts are from memory")
def test_chocks_are_taken_off_the_scales():
    rows = [("right main", 846.0, 16.0, 46.0), ("left main", 852.0, 16.0, 46.0), ("nose", 348.0, 8.0, -32.0)]
    load = weighed([ScaleRow(point, scale * LB, tare * LB, arm * IN) for point, scale, tare, arm in rows])
    assert load.mass_kg / LB == pytest.approx(2006.0, rel=EXACT)
    assert load.cg_m / IN == pytest.approx(32.8, abs=0.05)


@pytest.mark.source(BOOK, "ch. 5, Figs 5-3 and 5-5; the figure's parts are from memory")
def test_an_airplane_that_may_take_off_and_not_yet_land():
    load = loaded([(1874.0, 36.1), (300.0, 37.0), (175.0, 74.0), (528.0, 46.6), (100.0, 97.0), (50.0, 116.0)])
    assert load.mass_kg / LB == pytest.approx(3027.0, rel=EXACT)
    assert load.cg_m / IN == pytest.approx(43.54, abs=0.005)
    over_kg = load.mass_kg - 2950.0 * LB
    assert over_kg / LB == pytest.approx(77.0, rel=EXACT)
    assert not at_most(load.mass_kg, 2950.0 * LB)
    # The book says slightly under 13 gal.
    assert fuel_volume_l(mass_kg=over_kg, density_kg_per_l=6.0 * LB / GAL) / GAL == pytest.approx(12.83, abs=0.01)


@pytest.mark.source(BOOK, "ch. 7, Fig. 7-13; ch. 10: permanent ballast for a forward empty balance")
def test_the_least_ballast_that_brings_an_empty_airplane_to_its_forward_limit():
    envelope, _ = from_sides(
        forward=[(0.0, 33.0 * IN), (3000.0 * LB, 33.0 * IN)], aft=[(0.0, 60.0 * IN), (3000.0 * LB, 60.0 * IN)]
    )  # only the forward limit is the book's
    answer = mass_at_station(
        loaded([(1876.0, 32.2)]),
        arm_m=228.0 * IN,
        fuel_arm_m=0.0,
        take_off_fuel_kg=0.0,
        end_fuel_kg=0.0,
        envelope=envelope,
        most_mass_kg=3000.0 * LB,
        least_kg=0.0,
        most_kg=100.0 * LB,
    )
    assert answer.exists
    assert answer.low_kg / LB == pytest.approx(7.7, abs=0.05)
    assert answer.low_kg / LB == pytest.approx(7.696, abs=0.0005)  # worked out


@pytest.mark.source(BOOK, "ch. 10: 50 lb of baggage moved from 246 to 118 in at 4,709 lb")
def test_moved_baggage_moves_the_balance():
    before = loaded([(4709.0, 100.0)])
    after = with_mass_moved(before, mass_kg=50.0 * LB, from_m=246.0 * IN, to_m=118.0 * IN)
    assert (after.cg_m - before.cg_m) / IN == pytest.approx(-1.36, abs=0.005)


@pytest.mark.source(BOOK, "ch. 10: a 56 lb battery moved 107.8 in for 1.5 in at 4,026 lb")
def test_the_printed_distance_moves_the_balance_as_asked():
    before = loaded([(4026.0, 100.0)])
    after = with_mass_moved(before, mass_kg=56.0 * LB, from_m=0.0, to_m=107.8 * IN)
    half_last_digit_in = 0.05 * 56.0 / 4026.0
    assert (after.cg_m - before.cg_m) / IN == pytest.approx(1.5, abs=half_last_digit_in)


@pytest.mark.source(BOOK, "ch. 7, Fig. 7-3: revision record and aft check")
def test_a_revision_record_and_its_aft_check():
    # Printed: installed moment 425.13 for 13 x 32.70 = 425.10, hence 68,144.15 and, cut off, 36.20 and 45.98.
    before = loaded([(1876.0, 36.14)])
    records = revised(
        before,
        [
            Change("first taken out", -2.5 * LB, 15.0 * IN),
            Change("second taken out", -3.12 * LB, 13.5 * IN),
            Change("put in", 13.0 * LB, 32.7 * IN),
        ],
    )
    assert (before.mass_kg - records[1].mass_kg) / LB == pytest.approx(5.62, rel=EXACT)
    assert (before.moment_kg_m - records[1].moment_kg_m) / LBIN == pytest.approx(79.62, abs=0.005)
    assert records[1].cg_m / IN == pytest.approx(36.21, abs=0.005)
    after = records[-1]
    assert after.mass_kg / LB == pytest.approx(1883.38, abs=0.005)
    assert after.moment_kg_m / LBIN == pytest.approx(68_144.12, abs=0.05)
    assert after.cg_m / IN == pytest.approx(36.18, abs=0.005)
    assert 3100.0 - after.mass_kg / LB == pytest.approx(1216.62, abs=0.005)
    checked = after
    for weight, arm in ((170.0, 37.0), (340.0, 74.0), (528.0, 48.2), (100.0, 97.0), (60.0, 116.0)):
        checked = with_mass(checked, mass_kg=weight * LB, arm_m=arm * IN)
    assert checked.mass_kg / LB == pytest.approx(3081.38, abs=0.005)
    assert checked.cg_m / IN == pytest.approx(45.99, abs=0.01)
    assert at_most(checked.cg_m, 46.0 * IN)


@pytest.mark.source(BOOK, "ch. 3, Figs 3-17 to 3-19")
def test_percent_of_mean_chord_and_back():
    chord_in = 206.0 - 144.0
    keywords = {"leading_edge_m": 144.0 * IN, "chord_m": chord_in * IN}
    assert percent_of_chord(cg_m=161.0 * IN, **keywords) == pytest.approx(27.4, abs=0.05)
    # Printed 160.9, cut off from 160.99.
    assert arm_at_percent(chord_percent=27.4, **keywords) / IN == pytest.approx(160.99, abs=0.005)


@pytest.mark.source(BOOK, "ch. 6, Fig. 6-5; ch. 10: loaded twin")
def test_percent_of_mean_chord_of_a_loaded_twin():
    percent = percent_of_chord(cg_m=42.47 * IN, leading_edge_m=20.1 * IN, chord_m=61.6 * IN)
    assert percent == pytest.approx(36.3, abs=0.05)
    assert percent / 100.0 * 61.6 == pytest.approx(22.37, abs=0.005)


@pytest.mark.source(BOOK, "ch. 7, forward adverse-load check: one gallon for each 12 hp; 230 hp is implied")
def test_the_least_fuel_of_a_forward_check():
    fuel_kg = fuel_mass_kg(volume_l=230.0 / 12.0 * GAL, density_kg_per_l=6.0 * LB / GAL)
    assert fuel_kg / LB == pytest.approx(115.0, rel=EXACT)


TAPERING_FORWARD = [(2110.0, 138.7), (2694.0, 141.0), (2900.0, 143.0)]
TAPERING_AFT = [(2110.0, 144.6), (2570.0, 147.4), (2745.0, 147.9), (2900.0, 148.2)]


@pytest.mark.source(BOOK, "ch. 2, type certificate data extract; values between the points are worked out")
@pytest.mark.parametrize(("weight_lb", "forward_in", "aft_in"), [(2402.0, 139.85, 146.377), (2797.0, 142.0, 148.001)])
def test_an_envelope_that_tapers_differently_on_its_two_sides(weight_lb, forward_in, aft_in):
    envelope, problems = from_sides(
        forward=[(weight * LB, arm * IN) for weight, arm in TAPERING_FORWARD],
        aft=[(weight * LB, arm * IN) for weight, arm in TAPERING_AFT],
    )
    assert problems == ()
    forward_m, aft_m = limits_at(envelope, weight_lb * LB)
    assert forward_m / IN == pytest.approx(forward_in, abs=0.001)
    assert aft_m / IN == pytest.approx(aft_in, abs=0.002)
    assert covers(envelope, 2110.0 * LB)
    assert not covers(envelope, 2901.0 * LB)


@pytest.mark.source(BOOK, "ch. 9, Figs 9-12 to 9-19: 2,500 lb off-loaded from a forward hold")
def test_off_loading_a_forward_hold():
    keywords = {"leading_edge_m": 549.13 * IN, "chord_m": 141.5 * IN}
    before_m = arm_at_percent(chord_percent=22.5, **keywords)
    assert before_m / IN == pytest.approx(580.97, abs=0.01)
    after = with_mass(Load(90_000.0 * LB, 90_000.0 * LB * before_m), mass_kg=-2500.0 * LB, arm_m=352.1 * IN)
    assert after.mass_kg / LB == pytest.approx(87_500.0, rel=EXACT)
    assert after.cg_m / IN == pytest.approx(587.51, abs=0.02)
    assert percent_of_chord(cg_m=after.cg_m, **keywords) == pytest.approx(27.12, abs=0.02)
    # Printed: 3,000 lb put back move it "5.51 inches", to 21.59 %. It is 7.80 in, or 5.51 points, to 21.61 %.
    back = with_mass(after, mass_kg=3000.0 * LB, arm_m=352.1 * IN)
    assert (after.cg_m - back.cg_m) / IN == pytest.approx(7.80, abs=0.005)
    assert percent_of_chord(cg_m=back.cg_m, **keywords) == pytest.approx(21.61, abs=0.01)


@pytest.mark.source(BOOK, "ch. 9, Figs 9-55 to 9-57: three weight limits in turn; the arm is worked out")
def test_three_weight_limits_in_turn():
    index = 100.0 * LBIN
    zero_fuel = Load(0.0, 0.0)
    for weight, moment in ((9005.0, 25_934.0), (340.0, 439.0), (3950.0, 13_221.0)):
        zero_fuel = with_mass(zero_fuel, mass_kg=weight * LB, arm_m=moment * index / (weight * LB))
    take_off_kg = zero_fuel.mass_kg + (2312.0 - 136.0) * LB
    landing_kg = zero_fuel.mass_kg + 680.0 * LB
    assert zero_fuel.mass_kg / LB == pytest.approx(13_295.0, rel=EXACT)
    assert take_off_kg / LB == pytest.approx(15_471.0, rel=EXACT)
    assert landing_kg / LB == pytest.approx(13_975.0, rel=EXACT)
    assert zero_fuel.moment_kg_m / index == pytest.approx(39_594.0, rel=EXACT)
    assert zero_fuel.cg_m / IN == pytest.approx(297.81, abs=0.02)
    limits_lb = ((zero_fuel.mass_kg, 14_000.0), (take_off_kg, 16_600.0), (landing_kg, 16_000.0))
    assert all(at_most(mass_kg, limit_lb * LB) for mass_kg, limit_lb in limits_lb)


@pytest.mark.source(BOOK, "ch. 9, pallet examples, Figs 9-28 and 9-29")
def test_a_floor_that_bears_so_much_for_each_square_foot():
    area_ft2 = 36.0 * 48.0 / 144.0
    most_lb = area_ft2 * 169.0
    assert most_lb == pytest.approx(2028.0, rel=EXACT)
    room = mass_at_station(
        total([(47.0 * LB, 0.0), (33.0 * LB, 0.0)]),
        arm_m=0.0,
        fuel_arm_m=0.0,
        take_off_fuel_kg=0.0,
        end_fuel_kg=0.0,
        envelope=None,
        most_mass_kg=most_lb * LB,
        least_kg=0.0,
        most_kg=10_000.0,
    )
    assert room.high_kg / LB == pytest.approx(1948.0, rel=EXACT)
    second_lb = total([(44.0 * LB, 0.0), (27.0 * LB, 0.0), (786.5 * LB, 0.0)]).mass_kg / LB
    assert second_lb == pytest.approx(857.5, rel=EXACT)
    assert second_lb / (48.5 * 33.5 / 144.0) == pytest.approx(76.0, abs=0.1)
