"""Own minimums: set ahead, tightened on the day, loosened by nobody on the day."""

from __future__ import annotations

from datetime import UTC, datetime

import pytest
from django.urls import reverse

from gyrewright.desk import clock
from gyrewright.desk.book.reading import find_records
from gyrewright.desk.services import state
from kit.desk import client_of, held, words

CARD = {"limit.wind": "14 kt", "limit.crosswind": "9 kt", "limit.visibility": "10 km", "counts": "gust"}


def address(person, name):
    return reverse("person-enter", args=[person, name])


def own(person):
    return [(each.of, each.typed) for each in state.folk(clock.now()).people[person].own_limits]


@pytest.fixture
def pilot(demo_day):
    """Coral Dunmore, who flies nothing today, with minimums of her own."""
    client = client_of("dunmore")
    assert client.post(address("dunmore", "minimums"), CARD).status_code == 302
    return client


def test_they_are_set_ahead_and_stand_on_the_page(pilot):
    assert ("wind", "14 kt") in own("dunmore")
    said = words(pilot.get(reverse("person", args=["dunmore"])))
    assert "Wind at most 14 kt, gusts counted" in said
    assert "Visibility at least 10 km" in said
    assert held(pilot.get(address("dunmore", "minimums")))["limit.wind"] == "14 kt"


def test_today_they_go_to_the_strict_side_with_a_word_why(pilot):
    given = {"of": "wind", "less": "4 kt", "why": "tired"}
    assert pilot.post(address("dunmore", "tighter"), given).status_code == 302
    now = [(each.of, round(each.value / 0.514444, 1)) for each in state.folk(clock.now()).people["dunmore"].own_limits]
    assert ("wind", 10.0) in now
    assert "tightened by 4 kt" in words(pilot.get(reverse("person", args=["dunmore"])))
    # Tomorrow it is gone.
    clock.start(demo_at=datetime(2027, 6, 13, 15, 0, tzinfo=UTC))
    assert min(each.value for each in state.folk(clock.now()).people["dunmore"].own_limits if each.of == "wind") > 7.0


@pytest.mark.parametrize(
    ("given", "says"),
    [
        ({"of": "wind", "less": "4", "why": "tired"}, "4"),
        ({"of": "wind", "less": "-4 kt", "why": "tired"}, "4"),
        ({"of": "wind", "less": "4 kt", "why": ""}, "why is missing"),
        ({"of": "tailwind", "less": "4 kt", "why": "tired"}, "is no choice"),
    ],
)
def test_what_loosens_or_says_nothing_is_refused(pilot, given, says):
    before = own("dunmore")
    answer = pilot.post(address("dunmore", "tighter"), given)
    assert says in words(answer, 400)
    assert own("dunmore") == before
    assert held(answer)["less"] == given["less"]


def test_nobody_changes_them_on_the_day_of_a_flight(demo_day):
    # Wren Halloran flies at 06:30 and at 19:00.
    said = words(client_of("halloran").post(address("halloran", "minimums"), CARD), 403)
    assert "not changed on the day of a flight" in said
    assert find_records(about="halloran", kinds=("minimums",)) == []


def test_they_are_nobody_elses_to_change(pilot):
    assert client_of("okafor-lind").get(address("dunmore", "minimums")).status_code == 403
    assert (
        client_of("okafor-lind")
        .post(address("dunmore", "tighter"), {"of": "wind", "less": "4 kt", "why": "x"})
        .status_code
        == 403
    )


def test_without_any_there_is_nothing_to_tighten(demo_day):
    given = {"of": "wind", "less": "4 kt", "why": "tired"}
    assert "is no choice" in words(client_of("dunmore").post(address("dunmore", "tighter"), given), 400)
