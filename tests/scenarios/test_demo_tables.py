"""The performance tables of the demonstration's manuals, entry by entry, as its files are read.

Everything is invented. `demo_tables.txt` is the tests' own copy of what the scenario prints; that a change of any one
entry of the files is noticed is tried by changing every one.
"""

from copy import deepcopy
from pathlib import Path

import pytest

from gyrewright.aircraft.definition import read_definition
from gyrewright.aircraft.tables import lookup
from gyrewright.reading import Problems, Section
from kit.files import demo
from scenarios.fixture import FT, FT_MIN

AIRCRAFT = ("dunlin", "whimbrel", "sanderling")
DATA = {each: demo("0630-sunde-halloran", each).data[f"aircraft/{each}.toml"] for each in AIRCRAFT}


def printed():
    """Return every printed value: aircraft, table, coordinates (kg, m, K) and the value (m or m/s)."""
    out = []
    points: list[str] = []
    for line in Path(__file__).with_name("demo_tables.txt").read_text().splitlines():
        first, *cells = [part.strip() for part in line.split("|")]
        aircraft, *places = first.split()
        if line.startswith("#"):
            continue
        if aircraft == "aircraft":
            points, names = cells, places
            continue
        numbers = [float(each) for each in places]
        for point, cell in zip(points, cells, strict=True):
            at = float(point.split()[0])
            if point.endswith("ft"):
                out.append((aircraft, "climb", (numbers[0], at * FT), float(cell) * FT_MIN))
            elif names == ["ft"]:
                out.append((aircraft, "landing_distance", (numbers[0] * FT, at + 273.15), float(cell)))
            else:
                roll, distance = cell.split("/")
                place = (numbers[0], numbers[1] * FT, at + 273.15)
                out.append((aircraft, "ground_roll", place, float(roll)))
                out.append((aircraft, "take_off_distance", place, float(distance)))
    return out


PRINTED = printed()


def unlike(aircraft, data):
    """Return the printed values of an aircraft that its file, read, does not give."""
    problems = Problems()
    section = Section(data, file=f"{aircraft}.toml", problems=problems)
    definition = read_definition(section)
    found = []
    for owner, name, place, value in PRINTED:
        if owner == aircraft:
            table = definition.table(name).table
            read, inside = lookup(table, *place)
            at_points = all(pytest.approx(at) in axis.points for at, axis in zip(place, table.axes, strict=True))
            if not inside or not at_points or read != pytest.approx(value, abs=1e-9):
                found.append((name, place))
    return found


def test_the_whole_print_is_here():
    assert len(PRINTED) == 3 * (32 + 32 + 10 + 16)


@pytest.mark.parametrize("aircraft", AIRCRAFT)
def test_every_entry_is_read_as_it_is_printed(aircraft):
    assert unlike(aircraft, DATA[aircraft]) == []


def entries(rows, place=()):
    for number, each in enumerate(rows):
        if isinstance(each, list):
            yield from entries(each, (*place, number))
        else:
            yield (*place, number)


@pytest.mark.parametrize("aircraft", AIRCRAFT)
def test_a_change_of_any_one_entry_is_noticed(aircraft):
    count = 0
    for name, table in DATA[aircraft]["table"].items():
        for place in entries(table["rows"]):
            data = deepcopy(DATA[aircraft])
            inner = data["table"][name]["rows"]
            for number in place[:-1]:
                inner = inner[number]
            inner[place[-1]] += 1
            found = unlike(aircraft, data)
            assert [each[0] for each in found] == [name]
            count += 1
    assert count == 90


@pytest.mark.parametrize("aircraft", AIRCRAFT)
def test_a_change_of_any_point_of_an_axis_is_noticed(aircraft):
    for name, table in DATA[aircraft]["table"].items():
        for number, axis in enumerate(table["axis"]):
            for place, point in enumerate(axis["points"]):
                data = deepcopy(DATA[aircraft])
                value, unit = point.split()
                data["table"][name]["axis"][number]["points"][place] = f"{float(value) + 1.0} {unit}"
                assert unlike(aircraft, data), (name, point)
