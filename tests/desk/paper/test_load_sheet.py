"""A load sheet: for whom, on one page, and every line of its working done again on a calculator."""

from __future__ import annotations

import math
import re

import pytest
from django.urls import reverse

from gyrewright.desk import clock
from gyrewright.desk.services import state
from gyrewright.desk.services.answers import answered
from gyrewright.words.tell import tell


def sheet(client, id, paper="a4"):
    answer = client.get(reverse("flight-load-sheet", args=[id]), {"paper": paper})
    assert answer.status_code == 200, answer.content[:300]
    return answer.content


def test_it_works(demo_day, person_at, flight_at, look):
    pdf = sheet(person_at("sunde"), flight_at("06:30"))
    seen = look.words(pdf)
    # Figures of the demonstration's own table: empty 286.0 kg at 2402 mm, 88 kg, 74 kg, 40 L at 0.72 kg/L.
    assert re.search(r"Empty aircraft .* 286 2402 686972", seen)
    assert "Front seat Tobiah Sunde 88 1312 115456" in seen
    assert "Take-off mass 476.8" in seen
    assert "take-off 476.8 kg at 2132 mm" in seen
    assert "no usable fuel 448 kg at 2131 mm" in seen
    assert "The working" in seen
    assert all(name.startswith("SourceSansPro-") for name in look.fonts(pdf))


def test_ballast_stands_in_the_load_record(demo_day, flight_at, look):
    from gyrewright.desk.book.reading import head
    from gyrewright.desk.paper.load import load_sheet
    from gyrewright.desk.paper.press import printed

    asked = state.moved(state.flight(flight_at("19:00"), clock.now()), loads={"ballast": "8 kg"})
    found = answered(asked, clock.now())
    made = load_sheet(found, tell(found.answer), names={}, head=head(), made_at=clock.now(), base="http://localhost")
    seen = look.words(printed("load", made, paper="a4", made_at=clock.now()))
    assert re.search(r"[Bb]allast.* 8 kg 8 ", seen)


@pytest.mark.parametrize("paper", ["a4", "letter"])
@pytest.mark.parametrize("start", ["06:30", "08:20", "09:00", "19:00"])
def test_one_page_holds_it(demo_day, flight_at, look, paper, start):
    from gyrewright.desk.book.reading import head
    from gyrewright.desk.paper.load import load_sheet
    from gyrewright.desk.paper.press import printed

    asked = state.flight(flight_at(start), clock.now())
    found = answered(asked, clock.now())
    made = load_sheet(found, tell(found.answer), names={}, head=head(), made_at=clock.now(), base="http://localhost")
    assert look.pages(printed("load", made, paper=paper, made_at=clock.now())) == 1


def test_every_line_of_the_working_comes_out_on_a_calculator(demo_day, person_at, flight_at):
    from gyrewright.desk.book.reading import head
    from gyrewright.desk.paper.load import load_sheet

    found = answered(state.flight(flight_at("06:30"), clock.now()), clock.now())
    made = load_sheet(found, tell(found.answer), names={}, head=head(), made_at=clock.now(), base="http://localhost")
    lines = [line for column in made["workings"] for _, _, several in column for line in several if " = " in line]
    assert len(lines) > 10
    for line in lines:
        _, _, sum_ = line.rpartition(": ")
        left, _, right = sum_.partition(" = ")
        keyed = left.replace(" x ", " * ").replace("larger", "max").replace("smaller", "min")
        assert re.fullmatch(r"[\d.()*/+\-, maxin]+", keyed), keyed
        assert eval(keyed) == pytest.approx(float(right.split()[0]), abs=0.51 * 10 ** -_places(right)), line
    assert math.isclose(476.8, 448 + 28.8)


def _places(right: str) -> int:
    return len(right.split()[0].partition(".")[2])


def test_nobody_else_prints_it(demo_day, person_at, flight_at):
    answer = person_at("arrowood").get(reverse("flight-load-sheet", args=[flight_at("06:30")]))
    assert answer.status_code == 403
    assert "those aboard and the releasing person" in answer.content.decode()
    assert person_at("castellane").get(reverse("flight-load-sheet", args=[flight_at("06:30")])).status_code == 404
