"""Any number can be followed with pencil and pocket calculator: what is keyed in gives what is written down."""

import math
import re
from functools import cache

import pytest

from gyrewright.errors import UnknownName
from gyrewright.units import unit_named
from gyrewright.words.numbers import dimension_of, in_unit
from gyrewright.words.tell import Said, tell
from gyrewright.words.working import explainer, shown_names, workings
from kit.files import Files, demo, good_day

# One of every kind: both runways, alone and with two aboard, a forecast in rows, a circuit, a load in every aircraft.
FLIGHTS = (
    "0900-okafor-lind-eklund",
    "1900-halloran-alone",
    "table-0630-dunlin-dual-16",
    "table-1330-sanderling-dual-25",
    "table-1330-whimbrel-dual-16",
    "table-1900-dunlin-solo-25",
)


@cache
def answer(flight: str = "0630-sunde-halloran"):
    return demo(flight).answer()


KEYS = {
    "sin": lambda degrees: math.sin(math.radians(degrees)),
    "cos": lambda degrees: math.cos(math.radians(degrees)),
    "smaller": min,
    "larger": max,
}


def keyed_in(expression: str) -> float:
    """Return what a calculator shows for an expression."""
    assert re.fullmatch(r"[-+x/^().,0-9 ]*((sin|cos|smaller|larger)\([-+x/^().,0-9 sincolmarleg]*)*", expression), (
        expression
    )
    return float(eval(expression.replace(" x ", " * ").replace("^", "**"), {"__builtins__": {}}, KEYS))


def all_steps(said: Said):
    for each in workings(said, "all"):
        for step in each.steps:
            yield each, step


def follow(said: Said) -> int:
    """Key in every step of every working; return how many there were."""
    count = 0
    for each, step in all_steps(said):
        if step.expression:
            count += 1
            # Results carry seven digits, what goes in carries seven: a unit in the sixth may differ.
            close = pytest.approx(float(step.result), rel=1e-5, abs=1e-6)
            assert keyed_in(step.expression) == close, f"{each.name}: {step.line}"
    return count


@pytest.mark.parametrize("flight", FLIGHTS)
def test_every_step_of_the_demonstration_gives_what_it_says(flight):
    assert follow(tell(answer(flight))) > 60


def test_every_step_of_the_good_day_gives_what_it_says():
    assert follow(tell(good_day().answer())) > 60


def test_the_last_step_is_the_number_itself():
    said = tell(answer("1330-sunde-halloran"))
    sheet = said.voice.sheet
    checked = 0
    for name in shown_names(said.voice):
        if sheet.cell(name).known is not True:
            continue
        worked = [each for each in workings(said, name) if each.name == name][-1]
        last = worked.steps[-1]
        if last.expression and last.unit:
            dimension = sheet.plan.recipes[name].dimension or dimension_of(name)
            unit = unit_named(dimension, last.unit)
            assert float(last.result) == pytest.approx(in_unit(unit, sheet.value(name)), rel=1e-6, abs=1e-9), name
            checked += 1
    assert checked > 15


def moist(files: Files) -> Files:
    return files.changed("operation.toml", lambda data: data["house"].update(density_altitude_by="moist air"))


def by_equation(files: Files) -> Files:
    return files.changed("operation.toml", lambda data: data["house"].update(pressure_altitude_by="altimeter equation"))


def in_pounds(files: Files) -> Files:
    return files.changed("operation.toml", lambda data: data["units"].update(mass="lb", arm="in", volume="US gal"))


def straight(files: Files) -> Files:
    return files.changed("operation.toml", lambda data: data["house"].update(between_forecasts="straight"))


@pytest.mark.parametrize("change", [moist, by_equation, in_pounds, straight])
def test_steps_hold_however_the_house_counts_and_whatever_units_it_reads(change):
    assert follow(tell(change(demo("0900-okafor-lind-eklund")).answer())) > 60


def test_balance_across_is_worked_like_balance_along():
    files = demo("0630-sunde-halloran", "dunlin")

    def side_by_side(data):
        data["weighing"]["empty_lateral_arm"] = "-10 mm"
        for station, arm in zip(data["station"], ("-250 mm", "250 mm", "0 mm"), strict=True):
            station["lateral_arm"] = arm
        data["fuel"]["lateral_arm"] = "120 mm"
        data["lateral_envelope"] = {
            "left": [["300 kg", "-60 mm"], ["500 kg", "-40 mm"]],
            "right": [["300 kg", "60 mm"], ["500 kg", "40 mm"]],
        }

    said = tell(files.changed("aircraft/dunlin.toml", side_by_side).answer())
    told = workings(said, "loading.lateral")
    lines = [step.line for each in told for step in each.steps]
    assert "The front seat: 88 x (-250) = -22000 kg mm" in lines
    assert "Together: (-2860) + (-22000) + 18500 + 0 = -6360 kg mm" in lines
    assert follow(said) > 60


def test_a_wind_from_anywhere_is_worked_from_its_worst_direction():
    files = demo("0630-sunde-halloran")
    said = tell(
        files.changed(
            files.flight,
            lambda data: data["weather"].update(reports=["METAR X0TB 121310Z VRB03KT 10SM CLR 09/02 A2980"]),
        ).answer()
    )
    assert follow(said) > 60
    lines = [step.line for each in workings(said, "crosswind_m_s") for step in each.steps]
    assert "The wind may come from anywhere; the worst direction counts." in lines


def test_a_wind_that_swings_is_worked_from_its_worst_direction():
    files = demo("0630-sunde-halloran")
    report = "METAR X0TB 121310Z 20010G16KT 150V230 10SM CLR 09/02 A2980"
    said = tell(files.changed(files.flight, lambda data: data["weather"].update(reports=[report])).answer())
    assert follow(said) > 60
    lines = [step.line for each in workings(said, "crosswind_m_s") for step in each.steps]
    assert "The wind swings from 150 to 230 true; the worst direction counts." in lines


def test_what_goes_in_comes_before_what_is_made_of_it():
    names = [each.name for each in workings(tell(answer()), "climb_m_s")]
    assert names.index("fuel_mass_kg") < names.index("take_off_mass_kg") < names.index("climb_m_s") == len(names) - 1
    assert names.index("pressure_altitude_m") < names.index("density_altitude_m") < names.index("climb_m_s")


def test_the_table_is_read_as_printed():
    lines = [
        step.line for each in workings(tell(answer()), "climb_m_s") if each.name == "climb_m_s" for step in each.steps
    ]
    assert lines[0] == "Mass 476.8 kg: the printed 500 kg is used."
    assert "Printed there: 340, 210 ft/min." in lines


def test_a_finding_ends_with_its_limits():
    lines = [step.line for step in workings(tell(answer()), "fuel.enough")[-1].steps]
    assert "House: flight, and a reserve of 30 min: 18.7 + 17 x 0.5 = 27.2 L" in lines
    assert "House, left: 40 - 27.2 = 12.8 L" in lines


def test_a_number_with_something_missing_says_what():
    files = demo()
    said = tell(files.changed(files.flight, lambda data: data["fuel"].pop("gauge")).answer())
    (last,) = [each for each in workings(said, "take_off_mass_kg") if each.name == "take_off_mass_kg"]
    assert last.value == "not known"
    assert [step.line for step in last.steps] == ["Not worked out; lacking: the gauge reading of the fuel."]


def test_an_unknown_name_says_what_is_near():
    with pytest.raises(UnknownName, match=r"no number or finding is called 'climb_ms'; try one of: climb_m_s"):
        workings(tell(answer()), "climb_ms")


def test_every_number_of_a_comparison_can_show_its_working():
    said = tell(answer())
    for told in said.findings:
        name = told.finding.working
        assert not name or explainer(name) is not None or name in said.voice.sheet.facts, name
