"""The wind's plan: directions as on the ground, lengths as the speeds, the part across as the check counts it."""

import math
from dataclasses import replace
from typing import Any

import pytest

from gyrewright.pictures.frame import View
from gyrewright.pictures.plan import strongest, toward
from gyrewright.pictures.svg import DESK, PHONE
from gyrewright.pictures.wind import wind
from gyrewright.release import choices
from gyrewright.release.answer import Answer
from gyrewright.release.decide import decide
from kit.files import demo
from pictures.measured import answered, at, named, points, red, sound, told, words

GUSTY = "1330-sunde-halloran"
KT = 1852.0 / 3600.0


def reported(wind_group: str, flight: str = GUSTY) -> Answer:
    """Return the answer with another wind in the report and in the forecast."""

    def change(data: Any) -> None:
        weather = data["weather"]
        weather["reports"] = [each.replace("20014G22KT", wind_group) for each in weather["reports"]]
        weather["forecasts"] = [each.replace("20014G22KT", wind_group.split()[0]) for each in weather["forecasts"]]

    files = demo(flight)
    return files.changed(files.flight, change).answer()


def vector(element: Any, backward: bool = False) -> tuple[float, float]:
    """Return the way from a line's first end to its second."""
    sign = -1.0 if backward else 1.0
    return sign * (at(element, "x2") - at(element, "x1")), sign * (at(element, "y2") - at(element, "y1"))


def bearing(way: tuple[float, float]) -> float:
    """Return the direction of a way on the paper, north up. [deg]"""
    return math.degrees(math.atan2(way[0], -way[1])) % 360.0


def the(root: Any, name: str, class_: str) -> Any:
    (found,) = [each for each in named(root, name, class_) if at(each, "x2") or name != "line"]
    return found


@pytest.mark.parametrize("width", [DESK, PHONE])
@pytest.mark.parametrize(("runway", "true_deg"), [("25", 266.0), ("16", 177.0), ("07", 86.0), ("34", 357.0)])
def test_the_runway_lies_as_it_does_and_the_wind_comes_from_where_it_does(
    runway: str, true_deg: float, width: float
) -> None:
    answer = decide(choices.with_runway(answered(GUSTY).situation.question, runway))
    root = sound(wind(answer, View(width=width)))
    middle = the(root, "line", "runway-middle")
    assert bearing(vector(middle)) == pytest.approx(true_deg, abs=0.2)
    assert bearing(vector(the(root, "line", "gust"), backward=True)) == pytest.approx(200.0, abs=0.2)
    across = bearing(vector(the(root, "line", "projection")))
    assert min((across - true_deg) % 180.0, (true_deg - across) % 180.0) < 0.5
    assert f"runway {runway}, {true_deg:g}° true" in told(root)


def test_lengths_on_the_plan_are_as_the_speeds() -> None:
    answer = answered(GUSTY)
    root = sound(wind(answer))
    plan = next(each for each in named(root, "g", "plan"))
    bar, beyond = (the(plan, "line", class_) for class_ in ("bar", "beyond"))
    across = math.hypot(*vector(bar)) + math.hypot(*vector(beyond))
    tip = at(bar, "x1"), at(bar, "y1")
    gust = the(plan, "line", "gust")
    gust_px = math.hypot(at(gust, "x1") - tip[0], at(gust, "y1") - tip[1])
    assert across / gust_px == pytest.approx(float(answer.situation.sheet.value("crosswind_m_s")) / (22 * KT), abs=1e-3)
    assert math.hypot(*vector(bar)) / across == pytest.approx(15 / 20.098, abs=1e-3)
    mean = the(plan, "line", "mean")
    mean_px = math.hypot(at(mean, "x1") - tip[0], at(mean, "y1") - tip[1])
    assert mean_px / gust_px == pytest.approx(14 / 22, abs=2e-3)


def test_what_is_across_is_what_the_check_counts() -> None:
    for flight in (GUSTY, "0630-sunde-halloran", "1900-halloran-alone"):
        answer = answered(flight)
        found = strongest(answer)
        assert found is not None
        assert found.across_m_s == pytest.approx(float(answer.situation.sheet.value("crosswind_m_s")), abs=1e-9)


def test_beyond_the_limit_is_red_on_the_plan_and_on_the_ruler_and_nowhere_else() -> None:
    root = sound(wind(answered(GUSTY)))
    assert red(root).count("beyond") == 2
    assert {each for each in red(root) if each != "beyond"} >= {"20.1\u00a0kt", "5.1\u00a0kt too much"}
    assert red(sound(wind(answered("0630-sunde-halloran")))) == []


def test_words_stand_beside_what_they_name() -> None:
    said = told(sound(wind(answered(GUSTY))))
    assert "200° true at 14 kt, gusts 22 kt" in said
    assert "across 20.1 kt in the gust" in said
    assert "house 15 kt" in said
    assert "true north up" in said
    assert "along the runway at least 5.7 kt ahead, mean" in said


def test_calm_is_said_and_has_no_arrow() -> None:
    root = sound(wind(reported("00000KT")))
    assert "calm" in words(root)
    assert named(root, "line", "gust") == []
    assert named(root, "polygon", "head") == []


def test_a_wind_that_swings_is_a_sector_between_its_ends() -> None:
    root = sound(wind(reported("20014G22KT 170V230")))
    (sector,) = named(root, "polyline", "sector")
    middle, *arc = points(sector)[:-1]
    ends = [bearing((x - middle[0], y - middle[1])) for x, y in (arc[0], arc[-1])]
    assert ends == [pytest.approx(170.0, abs=0.2), pytest.approx(230.0, abs=0.2)]
    assert "from 170° to 230° true at 14 kt, gusts 22 kt" in told(root)


def test_a_wind_from_anywhere_is_a_ring_and_counts_wholly_across() -> None:
    answer = reported("VRB04KT")
    root = sound(wind(answer))
    (ring,) = named(root, "circle", "anywhere")
    bar = the(next(iter(named(root, "g", "plan"))), "line", "bar")
    assert math.hypot(*vector(bar)) == pytest.approx(at(ring, "r"), abs=0.1)
    assert "from anywhere at 4 kt" in told(root)
    assert "along the runway up to 4 kt behind, mean" in told(root).replace("4.0", "4")


def test_a_magnetic_wind_is_turned_to_true_before_it_is_drawn() -> None:
    answer = answered(GUSTY)
    question = answer.situation.question
    row = question.flight.rows[0]
    assert question.field.variation.value == 14.0
    observed = replace(
        row,
        at=question.asked_at,
        wind_from=replace(row.temperature, name="wind_from_deg", value=186.0, typed="186 deg"),
        reference="magnetic",
        wind=replace(row.temperature, name="wind_m_s", value=14 * KT, typed="14 kt"),
        gust=replace(row.temperature, name="gust_m_s", value=22 * KT, typed="22 kt"),
    )
    typed = decide(replace(question, tafs=(), flight=replace(question.flight, observation=observed)))
    found = strongest(typed)
    assert found is not None
    assert found.from_true_deg == pytest.approx(200.0)
    assert found.across_m_s == pytest.approx(float(answer.situation.sheet.value("crosswind_m_s")), abs=1e-9)


def test_a_wind_that_is_not_known_leaves_the_runway_alone_and_is_named() -> None:
    question = answered(GUSTY).situation.question
    root = sound(wind(decide(replace(question, metars=(), tafs=()))))
    assert "The wind is not known." in words(root)
    assert "Not known:" in told(root)
    assert named(root, "line", "runway-middle")
    assert named(root, "line", "gust") == []


def test_without_a_runway_there_is_no_plan() -> None:
    root = sound(wind(decide(choices.with_runway(answered(GUSTY).situation.question, "99"))))
    assert named(root, "g", "plan") == []
    assert "The wind is not known." in told(root)


def test_directions_on_the_paper_go_round_with_the_compass() -> None:
    for angle, way in ((0.0, (0.0, -1.0)), (90.0, (1.0, 0.0)), (180.0, (0.0, 1.0)), (270.0, (-1.0, 0.0))):
        assert toward(angle) == pytest.approx(way, abs=1e-12)
