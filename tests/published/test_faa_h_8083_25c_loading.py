"""[PHAK25C] The pilot's handbook's loading examples."""

import pytest

from gyrewright.aircraft.envelope import covers, from_sides
from gyrewright.aircraft.fuel import fuel_mass_kg
from gyrewright.aircraft.loading import Load, burn_path, total, with_mass, with_mass_moved
from gyrewright.arrays import at_most
from gyrewright.units import parse_quantity

BOOK = "FAA-H-8083-25C, Pilot's Handbook of Aeronautical Knowledge (2023)"
LB, IN, GAL = 0.45359237, 0.0254, 3.785411784
LBIN = LB * IN
EXACT = 1e-9


@pytest.mark.source(BOOK, "ch. 10, computational method, Fig. 10-5; the figure's parts are from memory")
def test_weight_and_balance_against_limits():
    rows = [(2100.0, 78.3), (340.0, 85.0), (350.0, 121.0), (80.0, 150.0)]
    envelope, _ = from_sides(
        forward=[(0.0, 78.0 * IN), (3400.0 * LB, 78.0 * IN)], aft=[(0.0, 86.0 * IN), (3400.0 * LB, 86.0 * IN)]
    )
    path = burn_path(
        total((weight * LB, arm * IN) for weight, arm in rows),
        fuel_arm_m=75.0 * IN,
        take_off_fuel_kg=fuel_mass_kg(volume_l=75.0 * GAL, density_kg_per_l=6.0 * LB / GAL),
        end_fuel_kg=450.0 * LB,
        envelope=envelope,
    )
    assert path.take_off_mass_kg / LB == pytest.approx(3320.0, rel=EXACT)
    assert path.take_off_cg_m / IN == pytest.approx(84.8, abs=0.05)
    assert path.forward_ok
    assert path.aft_ok
    assert covers(envelope, path.take_off_mass_kg)


@pytest.mark.source(BOOK, "ch. 10, computations with zero fuel weight, Fig. 10-11")
def test_zero_fuel_weight():
    zero_fuel = total([(4240.0 * LB, 0.0)])
    assert at_most(zero_fuel.mass_kg, 4400.0 * LB)
    assert 4400.0 - zero_fuel.mass_kg / LB == pytest.approx(160.0, rel=EXACT)


@pytest.mark.source(BOOK, "ch. 10, weight shifting: 100 lb from station 30 to station 150")
def test_a_hundred_pounds_moved():
    before = Load(8000.0 * LB, 616_000.0 * LBIN)
    after = with_mass_moved(before, mass_kg=100.0 * LB, from_m=30.0 * IN, to_m=150.0 * IN)
    assert (after.moment_kg_m - before.moment_kg_m) / LBIN == pytest.approx(12_000.0, rel=EXACT)
    assert after.moment_kg_m / LBIN == pytest.approx(628_000.0, rel=EXACT)
    assert before.cg_m / IN == pytest.approx(77.0, rel=EXACT)
    assert after.cg_m / IN == pytest.approx(78.5, rel=EXACT)
    assert (after.cg_m - before.cg_m) / IN == pytest.approx(1.5, rel=EXACT)


@pytest.mark.source(BOOK, "ch. 10, weight addition, first example; from memory")
def test_a_hundred_and_forty_pounds_added():
    before = total([(6860.0 * LB, 80.0 * IN)])
    after = with_mass(before, mass_kg=140.0 * LB, arm_m=150.0 * IN)
    assert (after.cg_m - before.cg_m) / IN == pytest.approx(1.4, rel=EXACT)
    assert after.cg_m / IN == pytest.approx(81.4, abs=0.05)


@pytest.mark.source(BOOK, "ch. 10, terms and definitions: standard weights, used when actual ones are not known")
@pytest.mark.parametrize("lb_per_gal", [6.0, 6.8, 6.5, 7.5, 8.35], ids=["gasoline", "jet a", "jet b", "oil", "water"])
def test_a_gallon_weighs_what_the_standard_weights_say(lb_per_gal):
    density = parse_quantity("fuel density", f"{lb_per_gal} lb/US gal").value
    volume = parse_quantity("volume", "1 US gal").value
    assert fuel_mass_kg(volume_l=volume, density_kg_per_l=density) == pytest.approx(
        parse_quantity("mass", f"{lb_per_gal} lb").value, rel=EXACT
    )


@pytest.mark.source(BOOK, "ch. 10, terms and definitions: standard weight of a person, 170 lb")
def test_a_person_of_standard_weight():
    assert total([(parse_quantity("mass", "170 lb").value, 0.0)]).mass_kg == pytest.approx(77.11, abs=0.005)
