"""[AMT30B] The maintenance technician's handbook: weighing and loading."""

import pytest

from gyrewright.aircraft.envelope import from_sides
from gyrewright.aircraft.loading import Load, burn_path, total, with_mass
from gyrewright.aircraft.weighing import Change, revised

BOOK = "FAA-H-8083-30B, Aviation Maintenance Technician Handbook - General (2023)"
LB, IN = 0.45359237, 0.0254


@pytest.mark.source(BOOK, "ch. 6, Figs 6-26 to 6-28: totals after the fuel is taken off")
def test_empty_balance_from_the_corrected_totals():
    # The scale readings are an image: the printed totals stand for them.
    load = Load(1331.5 * LB, 66_698.0 * LB * IN)
    assert load.cg_m / IN == pytest.approx(50.1, abs=0.05)
    assert load.cg_m / IN == pytest.approx(50.092, abs=0.0005)  # worked out


@pytest.mark.source(BOOK, "ch. 6, example loading, Figs 6-33 and 6-34")
def test_six_items_too_heavy_and_too_far_aft():
    rows = [
        (2650.0, 86.8),
        (180.0, 85.5),
        (160.0, 118.1),
        (210.0, 118.1),
        (190.0, 118.1),
        (205.0, 155.7),
        (50.0, 22.5),
        (100.0, 178.7),
    ]
    envelope, _ = from_sides(
        forward=[(0.0, 50.0 * IN), (4200.0 * LB, 50.0 * IN)], aft=[(0.0, 94.6 * IN), (4200.0 * LB, 94.6 * IN)]
    )  # only the aft limit is the book's
    path = burn_path(
        total((weight * LB, arm * IN) for weight, arm in rows),
        fuel_arm_m=93.6 * IN,
        take_off_fuel_kg=480.0 * LB,
        end_fuel_kg=480.0 * LB,
        envelope=envelope,
    )
    assert path.take_off_mass_kg / LB == pytest.approx(4225.0, rel=1e-9)
    assert path.take_off_mass_kg / LB - 4200.0 == pytest.approx(25.0, rel=1e-9)
    assert path.take_off_cg_m / IN == pytest.approx(96.42, abs=0.01)
    assert path.aft_margin_m / IN == pytest.approx(-1.82, abs=0.005)
    assert path.aft_ok is False
    assert path.covered is False


@pytest.mark.source(BOOK, "ch. 3, signed numbers: 3 and 10 lb taken out of 2,000")
def test_what_is_taken_out_has_a_minus_sign():
    before = total([(2000.0 * LB, 0.0)])
    after = revised(before, [Change("first", -3.0 * LB, 0.0), Change("second", -10.0 * LB, 0.0)])[-1]
    assert after.mass_kg / LB == pytest.approx(1987.0, rel=1e-9)
    assert with_mass(before, mass_kg=-13.0 * LB, arm_m=0.0).mass_kg / LB == pytest.approx(1987.0, rel=1e-9)
