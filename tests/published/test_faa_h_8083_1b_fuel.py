"""[WBH1B] The weight-and-balance handbook's fuel figures."""

import pytest

from gyrewright.aircraft.fuel import endurance_min, fuel_burned_l, fuel_mass_kg, fuel_needed, fuel_volume_l

BOOK = "FAA-H-8083-1B, Aircraft Weight and Balance Handbook (2016)"
LB, GAL = 0.45359237, 3.785411784


@pytest.mark.source(BOOK, "ch. 6, fuel planning: 16 gal/h, 130 min, 45 min reserve")
def test_fuel_with_reserve_by_flow():
    need = fuel_needed(burn_l_per_h=16.0 * GAL, flight_h=130.0 / 60.0, reserve_min=45.0, unusable_l=0.0)
    assert need.reserve_l / GAL == pytest.approx(12.0, rel=1e-9)
    assert need.total_l / GAL == pytest.approx(47.0, abs=0.5)  # the book rounds 46.67 up
    assert need.total_l / GAL == pytest.approx(46.67, abs=0.005)  # worked out


@pytest.mark.source(BOOK, "ch. 9, fuel dump: two engines at 3,170 lb/h, 19 min, 2,300 lb/min")
def test_fuel_burned_before_it_is_let_go():
    # Printed 105.66 lb/min and 2,007.54 lb: cut off on the way; 105.667 and 2,007.67. The density cancels.
    density = 0.72
    flow_l_per_h = fuel_volume_l(mass_kg=2.0 * 3170.0 * LB, density_kg_per_l=density)

    def pounds(volume_l):
        return fuel_mass_kg(volume_l=volume_l, density_kg_per_l=density) / LB

    a_minute = fuel_burned_l(burn_l_per_h=flow_l_per_h, flight_h=1.0 / 60.0)
    burned = fuel_burned_l(burn_l_per_h=flow_l_per_h, flight_h=19.0 / 60.0)
    assert pounds(a_minute) == pytest.approx(105.66, abs=0.01)
    assert pounds(a_minute) == pytest.approx(105.6667, abs=0.0001)  # worked out
    assert pounds(burned) == pytest.approx(2007.54, abs=0.2)
    assert pounds(burned) == pytest.approx(2007.667, abs=0.001)  # worked out
    remaining_lb = 28_500.0 - pounds(burned)
    assert remaining_lb == pytest.approx(26_492.46, abs=0.2)
    dump_min = endurance_min(usable_l=remaining_lb, burn_l_per_h=2300.0 * 60.0)
    assert dump_min == pytest.approx(11.52, abs=0.01)


@pytest.mark.source(BOOK, "ch. 3, draining the fuel: specific gravity times 8.345 lb/gal")
@pytest.mark.parametrize(("specific_gravity", "lb_per_gal"), [(0.81, 6.76), (0.82, 6.84)])
def test_fuel_weight_from_a_measured_specific_gravity(specific_gravity, lb_per_gal):
    water_kg_per_l = 8.345 * LB / GAL
    gallon_kg = fuel_mass_kg(volume_l=GAL, density_kg_per_l=specific_gravity * water_kg_per_l)
    assert gallon_kg / LB == pytest.approx(lb_per_gal, abs=0.005)
