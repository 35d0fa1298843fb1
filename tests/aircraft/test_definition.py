"""What an aircraft's file may say: the weighing record's own sums."""

import pytest

from gyrewright.aircraft.definition import read_definition
from gyrewright.errors import DefinitionError
from gyrewright.reading import Problems, section_of
from kit.files import demo

DUNLIN = demo("0630-sunde-halloran", "dunlin")
PATH = "aircraft/dunlin.toml"


def problems(**weighing):
    """Return what is wrong with the file of the Dunlin once some of its weighing record is another."""
    files = DUNLIN.changed(PATH, lambda data: data["weighing"].update(weighing))
    found = Problems()
    section = section_of(files.texts[PATH], file=PATH, problems=found)
    section.raw("kind")
    section.raw("law")
    read_definition(section)
    return [str(each) for each in found.found]


def test_a_weighing_record_that_adds_up_is_taken():
    assert problems() == []


@pytest.mark.parametrize(("mass", "fits"), [("286.099 kg", True), ("285.901 kg", True), ("286.1001 kg", False)])
def test_the_empty_mass_may_differ_from_its_scales_by_a_tenth_of_a_kilogram(mass, fits):
    lines = problems(empty_mass=mass)
    assert (lines == []) is fits
    if not fits:
        assert "is not the 286.00 kg that the scales add up to" in lines[0]


@pytest.mark.parametrize(("arm", "fits"), [("2402.95 mm", True), ("2400.97 mm", True), ("2402.9641 mm", False)])
def test_the_empty_arm_may_differ_from_its_scales_by_a_millimeter(arm, fits):
    # 10.73 kg at 400 mm and 275.27 kg at 2480 mm balance at 2401.964 mm.
    lines = problems(empty_arm=arm)
    assert (lines == []) is fits
    if not fits:
        assert "is not the 2402.0 mm that the scales give" in lines[0]


def test_a_scale_without_its_tare_is_refused():
    scales = [{"at": "all", "reads": "286 kg", "arm": "2402 mm"}]
    with pytest.raises(DefinitionError, match=r"weighing.scale\[all\].tare: is missing"):
        DUNLIN.changed(PATH, lambda data: data["weighing"].update(scale=scales)).question()


def test_lateral_balance_is_asked_for_as_soon_as_the_file_speaks_of_it():
    plain = DUNLIN.question().definition
    assert not plain.balances_across
    spoken = DUNLIN.changed(PATH, lambda data: data["station"][0].update(lateral_arm="0 mm"))
    assert spoken.question().definition.balances_across
    answer = spoken.answer()
    (across,) = [each for each in answer.findings if each.id == "loading.lateral"]
    assert across.verdict.code == "UNKNOWN"
