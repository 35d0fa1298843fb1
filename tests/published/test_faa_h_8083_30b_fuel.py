"""[AMT30B] The maintenance technician's handbook: fuel of a measured density."""

import pytest

from gyrewright.aircraft.fuel import fuel_mass_kg

LB, GAL = 0.45359237, 3.785411784


@pytest.mark.source(
    "FAA-H-8083-30B, Aviation Maintenance Technician Handbook - General (2023)",
    "ch. 6, weighing example: 5.9 lb/gal measured instead of 6.0; 18 gal",
)
def test_a_measured_density_instead_of_six_pounds():
    usual, measured = (
        fuel_mass_kg(volume_l=18.0 * GAL, density_kg_per_l=lb_per_gal * LB / GAL) for lb_per_gal in (6.0, 5.9)
    )
    assert (usual - measured) / LB == pytest.approx(1.8, abs=0.01)
