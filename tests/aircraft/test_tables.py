"""Printed tables: reading, refusing, explaining, and asking backwards."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from gyrewright.aircraft.tables import Axis, Table, build_table, explain, highest_coordinate, lookup
from gyrewright.errors import OutOfRange, UnknownName

MASS = Axis("mass", (420.0, 500.0), "next higher", "first")
ALTITUDE = Axis("pressure altitude", (0.0, 600.0, 1200.0), "linear", "first")
TEMPERATURE = Axis("air temperature", (273.15, 288.15, 303.15), "linear", "no data")
VALUES = [
    [[180.0, 205.0, 235.0], [215.0, 245.0, 275.0], [260.0, 295.0, 330.0]],
    [[265.0, 300.0, 340.0], [315.0, 360.0, 405.0], [380.0, 430.0, 485.0]],
]


def made(axes, values):
    table, problems = build_table(axes=axes, values=values)
    assert problems == ()
    return table


@pytest.fixture
def table():
    return made([MASS, ALTITUDE, TEMPERATURE], VALUES)


def test_every_printed_value_comes_back_as_printed(table):
    for i, mass in enumerate(MASS.points):
        for j, altitude in enumerate(ALTITUDE.points):
            for k, temperature in enumerate(TEMPERATURE.points):
                assert lookup(table, mass, altitude, temperature) == (VALUES[i][j][k], True)


def test_between_the_lines_linear_axes_share_and_the_mass_takes_the_next_row(table):
    value, inside = lookup(table, 421.0, 300.0, 280.65)
    assert value == pytest.approx((265.0 + 300.0 + 315.0 + 360.0) / 4, abs=1e-9)
    assert inside is True
    assert type(value) is float


@pytest.mark.parametrize(
    ("coordinates", "value", "inside"),
    [
        ((300.0, 0.0, 273.15), 180.0, True),
        ((420.0, -100.0, 273.15), 180.0, True),
        ((420.0, 0.0, 270.0), 180.0, False),
        ((500.0, 0.0, 273.15), 265.0, True),
        ((500.1, 0.0, 273.15), 265.0, False),
        ((420.0, 1200.1, 273.15), 260.0, False),
        ((420.0, 0.0, 303.2), 235.0, False),
        ((500.1, 1300.0, 310.0), 485.0, False),
    ],
)
def test_outside_the_edge_is_shown_and_only_a_first_point_may_stand_for_what_is_below(
    table, coordinates, value, inside
):
    assert lookup(table, *coordinates) == (value, inside)


def test_a_mass_converted_from_pounds_still_meets_its_row(table):
    assert lookup(table, 420.0 * (1 + 5e-10), 0.0, 273.15) == (180.0, True)
    assert lookup(table, 500.0 * (1 + 5e-10), 0.0, 273.15) == (265.0, True)
    assert lookup(table, 420.0, 0.0, 273.15 * (1 - 5e-10)) == (180.0, True)
    assert lookup(table, 420.0 * (1 + 5e-9), 0.0, 273.15) == (265.0, True)


def test_a_table_of_one_point_answers_there_only():
    single = made([Axis("mass", (800.0,), "linear", "no data")], [286.5])
    assert lookup(single, 800.0) == (286.5, True)
    assert lookup(single, 799.0) == (286.5, False)
    assert lookup(single, 801.0) == (286.5, False)
    many, inside = lookup(single, np.array([799.0, 800.0, 801.0]))
    assert many.tolist() == [286.5] * 3
    assert inside.tolist() == [False, True, False]


@st.composite
def tables_and_places(draw):
    axes, values = [], 1
    for number in range(draw(st.integers(1, 3))):
        points = tuple(sorted(draw(st.sets(st.floats(-50.0, 700.0), min_size=1, max_size=4))))
        between = draw(st.sampled_from(["linear", "next higher"]))
        axes.append(Axis(f"axis {number}", points, between, draw(st.sampled_from(["first", "no data"]))))
        values *= len(points)
    flat = draw(st.lists(st.floats(-100.0, 900.0), min_size=values, max_size=values))
    table = Table(tuple(axes), tuple(flat))
    places = []
    for axis in axes:
        anywhere = st.floats(axis.points[0] - 5.0, axis.points[-1] + 5.0)
        printed = st.sampled_from(axis.points)
        nearly = printed.flatmap(lambda x: st.sampled_from([x * (1 + 4e-10), x * (1 - 4e-10)]))
        places.append(draw(st.lists(anywhere | printed | nearly, min_size=4, max_size=4)))
    return table, places


@settings(max_examples=200)
@given(tables_and_places())
def test_many_are_looked_up_exactly_as_one(drawn):
    table, places = drawn
    many, inside = lookup(table, *(np.array(place) for place in places))
    for number, place in enumerate(zip(*places, strict=True)):
        one, has_data = lookup(table, *place)
        assert many[number] == one
        assert inside[number] == has_data


def test_coordinates_of_different_shapes_broadcast(table):
    masses = np.array([400.0, 450.0, 550.0])[:, None]
    temperatures = np.array([273.15, 300.0])
    value, inside = lookup(table, masses, 300.0, temperatures)
    assert value.shape == (3, 2)
    assert inside.tolist() == [[True, True], [True, True], [False, False]]
    assert value[1, 1] == lookup(table, 450.0, 300.0, 300.0)[0]


@settings(max_examples=100)
@given(tables_and_places())
def test_the_explanation_adds_up_to_the_value(drawn):
    table, places = drawn
    coordinates = [place[0] for place in places]
    reading = explain(table, *coordinates)
    assert (reading.value, reading.inside) == lookup(table, *coordinates)
    assert math.fsum(cell.weight for cell in reading.cells) == pytest.approx(1.0, abs=1e-12)
    assert math.fsum(cell.weight * cell.value for cell in reading.cells) == pytest.approx(reading.value, abs=1e-9)
    for cell in reading.cells:
        assert cell.value == lookup(table, *cell.at)[0]
        assert all(point in axis.points for point, axis in zip(cell.at, table.axes, strict=True))


def test_an_explanation_shows_rows_columns_and_shares(table):
    reading = explain(table, 430.0, 300.0, 277.15)
    mass, altitude, temperature = reading.axes
    assert (mass.low, mass.high, mass.share) == (500.0, 500.0, 0.0)
    assert (altitude.low, altitude.high, altitude.share) == (0.0, 600.0, 0.5)
    assert temperature.share == pytest.approx(4.0 / 15.0)
    assert [cell.at for cell in reading.cells] == [
        (500.0, 0.0, 273.15),
        (500.0, 0.0, 288.15),
        (500.0, 600.0, 273.15),
        (500.0, 600.0, 288.15),
    ]


@pytest.mark.parametrize(
    ("axes", "values", "said"),
    [
        ([MASS], [1.0, None], "mass 500: no value; a hole is not filled"),
        ([MASS], [1.0, float("nan")], "mass 500: nan is no number"),
        ([MASS], [1.0, True], "mass 500: True is no number"),
        ([MASS], [1.0, "225"], "mass 500: '225' is no number"),
        ([MASS], [1.0], "the table: 1 values along mass, which has 2 points"),
        ([MASS, ALTITUDE], [[1.0, 2.0, 3.0], [1.0, 2.0]], "mass 500: 2 values along pressure altitude"),
        ([MASS, ALTITUDE], [1.0, 2.0], "mass 420: one value where 3 along pressure altitude are needed"),
        ([MASS, ALTITUDE], ["abc", "abc"], "mass 420: one value where 3"),
        ([Axis("mass", (500.0, 420.0), "linear", "first")], [1.0, 2.0], "mass: 500 is followed by 420; points must"),
        ([Axis("mass", (500.0, 500.0), "linear", "first")], [1.0, 2.0], "mass: 500 is followed by 500"),
        ([Axis("mass", (), "linear", "first")], [], "mass: no points"),
        ([Axis("mass", (float("inf"),), "linear", "first")], [1.0], "a point that is no number"),
        ([Axis("mass", (1.0,), "nearest", "first")], [1.0], "between 'nearest'; write one of: linear, next higher"),
        ([Axis("mass", (1.0,), "linear", "zero")], [1.0], "below 'zero'; write one of: first, no data"),
        ([], [], "no axis"),
    ],
)
def test_a_bad_table_is_told_what_is_wrong_with_it(axes, values, said):
    table, problems = build_table(axes=axes, values=values)
    assert table is None
    assert any(said in problem for problem in problems), problems


def test_all_holes_come_at_once():
    _, problems = build_table(axes=[MASS, ALTITUDE], values=[[None, 1.0, None], [1.0, 1.0]])
    assert len(problems) == 3


def test_a_table_with_values_missing_is_never_made():
    with pytest.raises(OutOfRange, match="the axes ask for 2 values, 1 were given"):
        Table((MASS,), (1.0,))


def test_a_coordinate_too_few_is_refused_with_the_names(table):
    with pytest.raises(OutOfRange, match="2 coordinates for 3 axes; give: mass, pressure altitude, air temperature"):
        lookup(table, 420.0, 0.0)


def test_the_highest_temperature_for_a_distance(table):
    # 500 kg row at 0: 265, 300, 340 at 273.15, 288.15, 303.15.
    keywords = {"along": "air temperature", "sense": "at most"}
    highest, exists = highest_coordinate(table, 480.0, 0.0, target=320.0, **keywords)
    assert (highest, exists) == (pytest.approx(295.65, abs=1e-9), True)
    assert highest_coordinate(table, 480.0, 0.0, target=340.0, **keywords) == (303.15, True)
    assert highest_coordinate(table, 480.0, 0.0, target=900.0, **keywords) == (303.15, True)
    assert highest_coordinate(table, 480.0, 0.0, target=264.9, **keywords) == (273.15, False)
    assert highest_coordinate(table, 480.0, 0.0, target=265.0, **keywords) == (273.15, True)
    assert highest_coordinate(table, 501.0, 0.0, target=320.0, **keywords)[1] is False


def test_the_highest_mass_on_a_next_higher_axis_is_a_printed_one(table):
    keywords = {"along": "mass", "sense": "at most"}
    assert highest_coordinate(table, 0.0, 273.15, target=200.0, **keywords) == (420.0, True)
    assert highest_coordinate(table, 0.0, 273.15, target=265.0, **keywords) == (500.0, True)
    assert highest_coordinate(table, 0.0, 273.15, target=179.0, **keywords) == (420.0, False)


def test_an_axis_that_is_not_there_is_named(table):
    with pytest.raises(UnknownName, match="no axis 'humidity'; choose one of: mass, pressure altitude"):
        highest_coordinate(table, 0.0, 273.15, along="humidity", target=1.0, sense="at most")


@settings(max_examples=150)
@given(
    st.lists(st.integers(100, 140), min_size=1, max_size=5),
    st.floats(95.0, 145.0),
    st.sampled_from(["at most", "at least"]),
    st.sampled_from(["linear", "next higher"]),
)
def test_the_highest_coordinate_is_an_edge(values, target, sense, between):
    axis = Axis("x", tuple(10.0 * number for number in range(len(values))), between, "first")
    curve = made([axis], [float(value) for value in values])

    def gap(x):
        value, _ = lookup(curve, x)
        return target - value if sense == "at most" else value - target

    highest, exists = highest_coordinate(curve, along="x", target=target, sense=sense)
    many, many_exist = highest_coordinate(curve, along="x", target=np.array([target, target]), sense=sense)
    assert many.tolist() == [highest, highest]
    assert many_exist.tolist() == [exists, exists]
    if not exists:
        assert gap(0.0) < 1e-6
        return
    assert all(gap(x) >= -1e-6 for x in np.linspace(0.0, highest, 50))
    if highest < axis.points[-1]:
        assert gap(highest + 1e-3) < 1e-6
