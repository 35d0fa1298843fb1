"""Distance needed against distance there: bars on one scale, red only beyond the end of the runway."""

from dataclasses import replace
from typing import Any

import pytest

from gyrewright.fact import Doubt
from gyrewright.pictures.distance import distance
from gyrewright.pictures.frame import View
from gyrewright.pictures.svg import DESK, PHONE, RED
from gyrewright.release import choices
from gyrewright.release.decide import decide
from pictures.measured import answered, at, named, red, sound, told, words

SHORT = "table-1330-dunlin-dual-16"


def meters(root: Any) -> Any:
    """Return what turns a place on the paper into a distance, read off the axis alone."""
    # The words at the ends are held inside the picture; the ticks are where they belong.
    texts = [float(each.text or "") for each in named(root, "text", "tick")]
    xs = [at(each, "x1") for each in named(root, "line") if at(each, "y2") - at(each, "y1") == 6.0]
    assert len(texts) == len(xs)
    return lambda x: texts[0] + (x - xs[0]) * (texts[-1] - texts[0]) / (xs[-1] - xs[0])


def ends(root: Any) -> list[float]:
    """Return where each bar ends, what is beyond included."""
    meter = meters(root)
    beyond = {at(each, "y") + 3.0: at(each, "x") + at(each, "width") for each in named(root, "rect", "beyond")}
    return [meter(beyond.get(at(each, "y"), at(each, "x") + at(each, "width"))) for each in named(root, "rect", "bar")]


@pytest.mark.parametrize("width", [DESK, PHONE])
def test_bars_are_as_long_as_the_sheet_says(width: float) -> None:
    answer = answered(SHORT)
    sheet = answer.situation.sheet
    root = sound(distance(answer, View(width=width)))
    to_height = float(sheet.value("take_off_distance_m"))
    wanted = [
        float(sheet.value("ground_roll_m")),
        to_height,
        to_height * 1.33,
        float(sheet.value("landing_distance_m")),
    ]
    assert ends(root) == pytest.approx(wanted, abs=1.0)


def test_only_the_distance_that_does_not_fit_is_red_and_says_by_how_much() -> None:
    root = sound(distance(answered(SHORT)))
    assert [each for each in red(root) if each == "beyond"] == ["beyond"]
    assert "to 15 m height x 1.33, house: 576 m, 96 m too long" in told(root)
    (beyond,) = named(root, "rect", "beyond")
    assert meters(root)(at(beyond, "x")) == pytest.approx(480.0, abs=0.6)


def test_where_everything_fits_nothing_is_red() -> None:
    root = sound(distance(answered("0630-sunde-halloran")))
    assert red(root) == []
    assert "runway 25: 850 m" in words(root)


def test_the_end_of_the_runway_is_a_heavy_tick_across_every_bar() -> None:
    root = sound(distance(answered(SHORT)))
    ticks = {at(each, "x1") for each in named(root, "line", "limit binds")}
    assert len(ticks) == 1
    assert meters(root)(ticks.pop()) == pytest.approx(480.0, abs=0.6)
    assert len(named(root, "line", "limit binds")) == 1 + len(named(root, "rect", "bar"))


def test_the_axis_is_named_with_its_unit_even_in_feet() -> None:
    answer = answered(SHORT)
    question = answer.situation.question
    runways = tuple(
        replace(each, length=replace(each.length, typed="1575 ft", value=480.06)) for each in question.field.runways
    )
    found = decide(replace(question, field=replace(question.field, runways=runways)))
    root = sound(distance(found))
    assert "distance, ft" in words(root)
    assert "runway 16: 1575 ft" in words(root)


def test_a_runway_or_a_temperature_that_is_not_known_is_told_and_nothing_is_made_up() -> None:
    question = answered(SHORT).situation.question
    nowhere = sound(distance(decide(choices.with_runway(question, "99"))))
    assert named(nowhere, "rect", "bar") == []
    assert "Not known:" in told(nowhere)
    runways = tuple(
        replace(each, length=replace(each.length, value=None, doubt=Doubt.MISSING)) for each in question.field.runways
    )
    unmeasured = sound(distance(decide(replace(question, field=replace(question.field, runways=runways)))))
    assert "Not known: runway length m." in told(unmeasured)
    assert named(unmeasured, "line", "limit binds") == []
    assert len(named(unmeasured, "rect", "bar")) >= 2
    assert RED not in (each.get("fill") for each in unmeasured.iter())
