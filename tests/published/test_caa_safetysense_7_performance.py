"""[SSL7] The leaflet's table of factors. An AEROPLANE rule: never shown as a gyroplane's own figure."""

import pytest

from gyrewright.aircraft.performance import Corrections, TailwindPenalty, combined_factor, corrected_distance

LEAFLET = "UK CAA SafetySense Leaflet 7, Aeroplane Performance (issue C family)"
PLACE = "table of factors, read in secondary copies; primary from memory"
LIFT_OFF_M_S = 20.0  # made up: the tailwind row counts in tenths of the lift-off or landing speed

TAKE_OFF = {"weight": 1.2, "elevation": 1.1, "temperature": 1.1, "dry": 1.2, "wet": 1.3, "slope": 1.1, "tail": 1.2}
LANDING = {"weight": 1.1, "elevation": 1.05, "temperature": 1.05, "dry": 1.15, "wet": 1.35, "slope": 1.1, "tail": 1.2}
SOFT = 1.25
SAFETY_TAKE_OFF, SAFETY_LANDING = 1.33, 1.43


def corrections(factors):
    return Corrections(
        None,
        TailwindPenalty((factors["tail"] - 1.0) / (0.1 * LIFT_OFF_M_S), 0.1 * LIFT_OFF_M_S),
        (("paved", 1.0), ("dry grass", factors["dry"]), ("wet grass", factors["wet"]), ("soft", SOFT)),
        (factors["slope"] - 1.0) / 0.02,
        False,
    )


@pytest.mark.source(LEAFLET, PLACE)
@pytest.mark.parametrize("factors", [TAKE_OFF, LANDING], ids=["take-off", "landing"])
@pytest.mark.parametrize(
    ("cause", "changed"),
    [
        ("dry", {"surface": "dry grass"}),
        ("wet", {"surface": "wet grass"}),
        ("slope", {"adverse_slope_ratio": 0.02}),
        ("tail", {"headwind_m_s": -0.1 * LIFT_OFF_M_S}),
    ],
)
def test_one_condition_at_a_time_gives_the_printed_factor(factors, cause, changed):
    calm = {"headwind_m_s": 0.0, "surface": "paved", "adverse_slope_ratio": 0.0}
    distance_m, inside = corrected_distance(
        table_distance_m=400.0, corrections=corrections(factors), **{**calm, **changed}
    )
    assert distance_m / 400.0 == pytest.approx(factors[cause], rel=1e-9)
    assert inside


@pytest.mark.source(LEAFLET, PLACE)
@pytest.mark.parametrize(
    ("factors", "safety", "product"),
    [
        (TAKE_OFF, SAFETY_TAKE_OFF, 1.2 * 1.1 * 1.1 * 1.25 * 1.33),
        (LANDING, SAFETY_LANDING, 1.1 * 1.05 * 1.05 * 1.25 * 1.43),
    ],
    ids=["take-off", "landing"],
)
def test_weight_height_heat_soft_ground_and_safety_multiply(factors, safety, product):
    distance_m, inside = corrected_distance(
        table_distance_m=400.0,
        corrections=corrections(factors),
        headwind_m_s=0.0,
        surface="soft",
        adverse_slope_ratio=0.0,
    )
    whole = combined_factor((factors["weight"], factors["elevation"], factors["temperature"], distance_m, safety))
    assert whole / 400.0 == pytest.approx(product, rel=1e-9)
    assert inside


@pytest.mark.source(LEAFLET, PLACE + "; the product is worked out")
def test_a_heavy_landing_downhill_on_wet_grass():
    distance_m, inside = corrected_distance(
        table_distance_m=400.0 * LANDING["weight"],
        corrections=corrections(LANDING),
        headwind_m_s=0.0,
        surface="wet grass",
        adverse_slope_ratio=0.02,
    )
    assert distance_m / 400.0 == pytest.approx(1.6335, abs=0.0005)
    assert distance_m == pytest.approx(653.4, abs=0.05)
    assert combined_factor((distance_m, SAFETY_LANDING)) == pytest.approx(934.36, abs=0.05)
    assert inside
