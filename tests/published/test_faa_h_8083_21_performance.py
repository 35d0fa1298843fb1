"""[RFH21] The rotorcraft handbook's performance charts, and its rule for jump take-off."""

import pytest

from gyrewright.aircraft.tables import Axis, build_table, highest_coordinate, lookup

BOOK = "FAA-H-8083-21, Rotorcraft Flying Handbook (2000)"
LB, FT, MPH = 0.45359237, 0.3048, 1609.344 / 3600.0


def table(values, *axes):
    made, problems = build_table(axes=axes, values=values)
    assert problems == ()
    return made


@pytest.mark.source(BOOK, "ch. 8, sample problem 3, Fig. 8-4: 2,850 lb, 95 F")
def test_take_off_distance_between_two_altitude_rows():
    chart = table(
        [1102.0 * FT, 1538.0 * FT], Axis("pressure altitude", (4000.0 * FT, 6000.0 * FT), "linear", "no data")
    )
    distance_m, inside = lookup(chart, 5000.0 * FT)
    assert distance_m / FT == pytest.approx(1320.0, rel=1e-9)
    assert inside


@pytest.mark.source(BOOK, "ch. 8, sample problem 1, Fig. 8-2: 8,000 ft, 15 C, most weight 1,280 lb")
def test_a_hover_weight_read_from_the_graph_is_not_carried_beyond_it():
    graph = table([1280.0 * LB], Axis("pressure altitude", (8000.0 * FT,), "linear", "no data"))
    most_kg, inside = lookup(graph, 8000.0 * FT)
    assert (most_kg - 1250.0 * LB) / LB == pytest.approx(30.0, abs=20.0)  # read from a graph
    assert inside
    assert lookup(graph, 8001.0 * FT)[1] is False


@pytest.mark.source(BOOK, "ch. 19, Fig. 19-5, sample problem: 1,800 lb, 2,000 ft, standard, calm")
def test_the_gyroplane_take_off_point_comes_back_as_printed():
    chart = table(
        [[940.0 * FT]],
        Axis("mass", (1800.0 * LB,), "linear", "no data"),
        Axis("pressure altitude", (2000.0 * FT,), "linear", "no data"),
    )
    distance_m, inside = lookup(chart, 1800.0 * LB, 2000.0 * FT)
    assert distance_m / FT == pytest.approx(940.0, abs=20.0)  # half a division of the chart
    assert inside
    assert lookup(chart, 1801.0 * LB, 2000.0 * FT)[1] is False


# 1,000 ft of density altitude, 100 lb and 10 mph of ground roll stand for one another; at 1,800 lb and 2,000 ft it
# jumps without rolling in calm air.
JUMP = (
    Axis("mass", (1700.0 * LB, 1800.0 * LB), "linear", "no data"),
    Axis("density altitude", (2000.0 * FT, 3000.0 * FT), "linear", "no data"),
)


@pytest.mark.source(BOOK, "ch. 20, jump take-off: 1,000 ft = 100 lb = 10 mph of wind = 10 mph of roll; 3,000 ft")
@pytest.mark.parametrize(("reduce_lb", "wind_mph"), [(100.0, 0.0), (0.0, 10.0), (50.0, 5.0)])
def test_a_jump_take_off_trades_weight_wind_and_height(reduce_lb, wind_mph):
    speed_over_ground = table([[-10.0 * MPH, 0.0], [0.0, 10.0 * MPH]], *JUMP)
    needed_m_s, inside = lookup(speed_over_ground, (1800.0 - reduce_lb) * LB, 3000.0 * FT)
    assert needed_m_s / MPH == pytest.approx(wind_mph, abs=1e-9)
    assert inside
    heaviest_kg, exists = highest_coordinate(
        speed_over_ground, 3000.0 * FT, along="mass", target=wind_mph * MPH, sense="at most"
    )
    assert heaviest_kg / LB == pytest.approx(1800.0 - reduce_lb, rel=1e-9)
    assert exists
