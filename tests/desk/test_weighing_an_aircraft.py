"""Entering a weighing: what the scales showed, and the empty mass that follows and counts."""

from __future__ import annotations

import pytest
from django.urls import reverse

from gyrewright.desk import clock
from gyrewright.desk.book.reading import find_records
from gyrewright.desk.services import state
from kit.desk import client_of, held, words

DUNLIN = "N0-101D"
WEIGH = reverse("aircraft-enter", args=[DUNLIN, "weighing"])
GIVEN = {
    "weighed_on": "2027-06-10",
    "signed_by": "Pell Arrowood",
    "from_paper": "weighing report 7",
    "scale1": "nose wheel",
    "scale1.mass": "11.0 kg",
    "scale1.arm": "400 mm",
    "scale2": "both main wheels",
    "scale2.mass": "277.0 kg",
    "scale2.arm": "2480 mm",
}


def definition():
    return state.machine(DUNLIN, clock.now()).aircraft.definition


def test_it_works(demo_day):
    client = client_of("arrowood")
    assert not any(value for name, value in held(client.get(WEIGH)).items() if name.startswith("scale"))
    answer = client.post(WEIGH, GIVEN)
    assert (answer.status_code, answer.url) == (302, reverse("aircraft-one", args=[DUNLIN]))
    # (11 x 400 + 277 x 2480) / 288, by hand: 2400.6 mm.
    assert (definition().empty_mass.typed, definition().empty_arm.typed) == ("288.00 kg", "2400.6 mm")
    assert definition().weighed_on.isoformat() == "2027-06-10"
    said = words(client.get(answer.url))
    assert "10 Jun 2027: empty 288.00 kg at 2400.6 mm, signed by Pell Arrowood" in said
    assert "Nose wheel 11.0 kg at 400 mm; Both main wheels 277.0 kg at 2480 mm" in said
    assert "from weighing report 7" in said


def test_a_weighing_older_than_the_files_own_changes_nothing_and_stays_readable(demo_day):
    client = client_of("arrowood")
    assert client.post(WEIGH, {**GIVEN, "weighed_on": "2020-01-10"}).status_code == 302
    assert definition().empty_mass.typed == "286.0 kg"
    assert "10 Jan 2020: empty 288.00 kg" in words(client.get(reverse("aircraft-one", args=[DUNLIN])))


@pytest.mark.parametrize(
    ("change", "says"),
    [
        ({"weighed_on": ""}, "weighed on is missing"),
        ({"weighed_on": "2027-06-20"}, "is still to come"),
        ({"signed_by": ""}, "signed by is missing"),
        ({"scale1.arm": ""}, "scale 1: write what it is, its mass and its arm"),
        ({"scale1.mass": "11"}, "11"),
        ({"scale1.arm": "400 kg"}, "arm cannot be read"),
        ({"aboard1": "lead", "aboard1.mass": "400 kg", "aboard1.arm": "2000 mm"}, "lead"),
        ({name: "" for name in GIVEN if name.startswith("scale")}, "no scale rows"),
    ],
)
def test_what_cannot_be_is_refused_in_one_sentence_and_nothing_is_lost(demo_day, change, says):
    answer = client_of("arrowood").post(WEIGH, {**GIVEN, **change})
    assert says in words(answer, 400)
    assert held(answer)["from_paper"] == "weighing report 7"
    assert definition().empty_mass.typed == "286.0 kg"


def test_only_maintenance_weighs_and_a_correction_takes_the_place(demo_day):
    assert client_of("okafor-lind").post(WEIGH, GIVEN).status_code == 403
    client = client_of("arrowood")
    client.post(WEIGH, GIVEN)
    wrong = find_records(about=DUNLIN, kinds=("aircraft-weighed",))[-1]
    assert held(client.get(WEIGH, {"corrects": wrong.id}))["scale2.mass"] == "277.0 kg"
    assert client.post(WEIGH, {**GIVEN, "corrects": wrong.id, "scale2.mass": "276.0 kg"}).status_code == 302
    assert definition().empty_mass.typed == "287.00 kg"
