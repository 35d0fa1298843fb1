"""The limit ruler: where its bar and ticks are, what is red, and what it says."""

from collections.abc import Iterable
from dataclasses import replace
from datetime import date
from itertools import pairwise
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gyrewright.air.weather import CLEAR_M
from gyrewright.finding import Finding, Layer, Limit, Sense, Verdict, Whose
from gyrewright.pictures.ruler import is_broken, ruler
from gyrewright.pictures.speech import PLAIN
from gyrewright.pictures.svg import INK, RED
from pictures.measured import at, document_of, named, outside, overlaps, points, red, told, words

LEFT, WIDTH = 20.0, 500.0
RIGHT = LEFT + WIDTH


def layer(
    limit: Any,
    sense: Sense = Sense.AT_MOST,
    *,
    value: Any,
    whose: Whose = Whose.MAKER,
    binds: bool = False,
    **more: Any,
) -> Layer:
    """Return a layer on which a value stands, `binds` marking it."""
    written = Limit("x", whose, sense, limit, verified_by="somebody", **more)
    if value is None or limit is None:
        return Layer(written, value, None, limit is None, binds)
    margin = limit - value if sense.is_upper else value - limit
    days = margin.days if isinstance(limit, date) else margin
    return Layer(written, value, days, days >= 0, binds)


def finding(dimension: str, *layers: Layer, id: str = "x.y", value: Any = None, **more: Any) -> Finding:
    main = next((each for each in layers if each.binds), None)
    broken = main is not None and is_broken(main)
    return Finding(
        id,
        Verdict.STOP if broken else Verdict.GO,
        value=main.value if main else value,
        dimension=dimension,
        layers=layers,
        **more,
    )


def drawn(found: Finding, units: dict[str, str] | None = None, width: float = WIDTH) -> Any:
    """Return the tree of a ruler that keeps what all rulers promise: nothing overlaps, nothing sticks out."""
    parts, height = ruler(found, x=LEFT, top=10.0, width=width, speech=PLAIN, units=units or {"speed": "kt"}, facts={})
    root = document_of(parts, LEFT + width + 5.0, 10.0 + height + 5.0)
    assert overlaps(root) == []
    assert outside(root) == []
    return root


def ticks(root: Any, kind: str = "") -> list[float]:
    classes = [f"limit{kind}"] if kind else ["limit", "limit binds"]
    return sorted(at(each, "x1") for class_ in classes for each in named(root, "line", class_))


def end_of(root: Any) -> float:
    """Return where the thick bar ends."""
    bar = max(named(root, "rect", "bar"), key=lambda each: at(each, "height"))
    return at(bar, "x") + at(bar, "width")


KT = 1852.0 / 3600.0


def test_bar_and_ticks_are_as_far_from_zero_as_their_numbers() -> None:
    root = drawn(
        finding("speed", layer(25 * KT, value=10 * KT, whose=Whose.HOUSE, binds=True), layer(35 * KT, value=10 * KT))
    )
    house, manual = ticks(root)
    assert (house - LEFT) / (manual - LEFT) == pytest.approx(25 / 35, abs=1e-4)
    assert (end_of(root) - LEFT) / (manual - LEFT) == pytest.approx(10 / 35, abs=1e-4)
    assert manual < RIGHT


@given(st.lists(st.floats(1.0, 100.0), min_size=1, max_size=5), st.floats(0.0, 100.0), st.sampled_from([300.0, 500.0]))
def test_ticks_keep_the_proportions_of_any_limits_and_words_never_overlap(
    limits: list[float], value: float, width: float
) -> None:
    strictest = min(limits)
    layers = [layer(each, value=value, binds=each == strictest) for each in dict.fromkeys(limits)]
    root = drawn(finding("mass", *layers), width=width)
    places = ticks(root)
    for (first, second), (low, high) in zip(pairwise(places), pairwise(sorted(dict.fromkeys(limits))), strict=True):
        per_px = (places[-1] - LEFT) / max(limits)
        assert second - first == pytest.approx((high - low) * per_px, abs=0.05)
    assert bool(red(root)) == (value > strictest)


def test_the_binding_tick_is_heavy_and_says_so() -> None:
    root = drawn(finding("mass", layer(480.0, value=470.0, whose=Whose.HOUSE, binds=True), layer(500.0, value=470.0)))
    (heavy,) = named(root, "line", "limit binds")
    (thin,) = named(root, "line", "limit")
    assert at(heavy, "stroke-width") >= 3.0 * at(thin, "stroke-width")
    said = [each for each in words(root, "label") if "binds" in each]
    assert said == ["house: at most 480 kg, binds"]


def test_what_is_beyond_an_upper_limit_is_red_from_the_limit_to_the_value() -> None:
    root = drawn(finding("speed", layer(15 * KT, value=20.1 * KT, binds=True)))
    (tick,) = ticks(root)
    (beyond,) = named(root, "rect", "beyond")
    assert beyond.get("fill") == RED
    assert at(beyond, "x") == pytest.approx(tick, abs=0.01)
    assert (tick - LEFT) / (at(beyond, "x") + at(beyond, "width") - LEFT) == pytest.approx(15 / 20.1, abs=1e-3)
    assert end_of(root) == pytest.approx(tick, abs=0.01)
    assert red(root) == ["20.1 kt".replace(" ", "\u00a0"), "5.1\u00a0kt too much", "beyond"]


def test_what_is_missing_to_a_lower_limit_is_a_red_dashed_frame_up_to_it() -> None:
    root = drawn(finding("climb", layer(1.524, Sense.AT_LEAST, value=1.0, binds=True), id="performance.climb"))
    (tick,) = ticks(root)
    (missing,) = named(root, "rect", "missing")
    assert missing.get("stroke") == RED
    assert missing.get("stroke-dasharray")
    assert at(missing, "x") == pytest.approx(end_of(root), abs=0.01)
    assert at(missing, "x") + at(missing, "width") == pytest.approx(tick, abs=0.01)
    assert "103 ft/min short" in told(root)


def test_a_little_too_much_can_still_be_seen_beside_the_heavy_tick() -> None:
    root = drawn(finding("mass", layer(500.0, value=500.04, binds=True)))
    (heavy,) = named(root, "line", "limit binds")
    (beyond,) = named(root, "rect", "beyond")
    assert at(beyond, "width") > at(heavy, "stroke-width") / 2.0 + 2.0
    assert "500.04 kg" in words(root)


def test_nothing_is_red_where_the_limit_is_met_exactly() -> None:
    root = drawn(finding("mass", layer(500.0, value=500.0, binds=True)))
    assert red(root) == []
    assert "nothing left" in words(root)


def test_a_figure_that_is_only_demonstrated_turns_nothing_red_and_says_what_it_is() -> None:
    root = drawn(finding("speed", layer(20 * KT, value=22 * KT, demonstrated=True, binds=True)))
    assert red(root) == []
    assert "demonstrated, no limit" in told(root)


def test_a_band_has_a_tick_at_both_ends_and_its_bar_a_torn_edge() -> None:
    root = drawn(
        finding(
            "arm",
            layer(2.082, Sense.AT_LEAST, value=2.131, scope="forward", binds=True),
            layer(2.202, value=2.131, scope="aft"),
        ),
        {"arm": "mm"},
    )
    forward, aft = ticks(root)
    assert (end_of(root) - forward) / (aft - forward) == pytest.approx(49 / 120, abs=1e-3)
    assert len(named(root, "line", "torn")) == 2
    assert "2131 mm" in words(root)


def test_temperature_is_drawn_between_its_limits_and_not_from_zero_kelvin() -> None:
    low, high, value = 253.15, 313.15, 305.15
    root = drawn(finding("temperature", layer(low, Sense.AT_LEAST, value=value), layer(high, value=value, binds=True)))
    cold, hot = ticks(root)
    assert (end_of(root) - cold) / (hot - cold) == pytest.approx(52 / 60, abs=1e-3)
    assert "32 °C" in words(root)
    assert "8 °C left" in words(root)


def test_a_value_far_beyond_what_is_needed_runs_off_the_ruler_with_a_torn_edge() -> None:
    root = drawn(finding("length", layer(457.2, Sense.AT_LEAST, value=3657.6, typed="1500 ft", binds=True)))
    (tick,) = ticks(root)
    assert end_of(root) == pytest.approx(RIGHT, abs=0.01)
    assert len(named(root, "line", "torn")) == 2
    assert LEFT + 0.3 * WIDTH < tick < LEFT + 0.7 * WIDTH
    assert "12,000 ft" in words(root)


def test_no_ceiling_and_a_sun_that_stays_are_said_in_words() -> None:
    clear = finding(
        "length", layer(457.2, Sense.AT_LEAST, value=CLEAR_M, typed="1500 ft", binds=True), id="weather.cloud_base"
    )
    sun = finding("time", layer(0.0, Sense.AT_LEAST, value=24.0, binds=True), id="light.before_sunset")
    dark = finding("time", layer(0.0, Sense.AT_LEAST, value=-24.0, binds=True), id="light.before_sunset")
    assert [words(drawn(each), "value") for each in (clear, sun, dark)] == [
        ["no ceiling"],
        ["the sun stays up"],
        ["the sun stays down"],
    ]


def test_a_value_held_against_the_mean_has_a_bar_of_its_own() -> None:
    gust = layer(15 * KT, value=20 * KT, whose=Whose.HOUSE, binds=True)
    mean = layer(10 * KT, value=12 * KT)
    root = drawn(finding("speed", gust, mean))
    assert {each.get("class") for each in named(root, "rect")} >= {"bar", "beyond"}
    assert len(named(root, "rect", "beyond")) == 2
    assert "manual: at most 10 kt, held against 12 kt" in " ".join(words(root, "label"))


def test_what_is_not_known_has_no_bar_and_says_so() -> None:
    root = drawn(finding("mass", layer(500.0, value=None)))
    assert words(root, "value") == ["not known"]
    assert named(root, "rect", "bar") == []
    assert len(ticks(root)) == 1
    assert red(root) == []


def test_a_layer_without_a_figure_is_told_and_has_no_tick() -> None:
    root = drawn(
        finding(
            "speed",
            layer(15 * KT, value=5 * KT, binds=True),
            layer(None, value=None, whose=Whose.HOUSE, typed="the house gives none"),
        )
    )
    assert len(ticks(root)) == 1
    assert "house: no figure (the house gives none)" in words(root)


def test_an_unverified_limit_says_so_where_that_is_the_reason() -> None:
    bare = layer(500.0, value=470.0, binds=True)
    bare = replace(bare, limit=replace(bare.limit, verified_by=""))
    assert "not checked against its page" in told(drawn(finding("mass", bare, why="unverified")))
    assert "not checked against its page" not in told(drawn(finding("mass", bare, why="go")))


def test_days_are_dates_and_the_bar_is_the_share_of_the_interval_that_is_gone() -> None:
    due = layer(date(2027, 6, 30), value=date(2027, 6, 20), typed="100 days", binds=True)
    root = drawn(finding("", due, id="maintenance.inspection"))
    assert words(root, "value") == ["20 June 2027"]
    assert "10 days left" in words(root)
    assert "manual: until 30 June 2027 (100 days), binds" in words(root)
    (tick,) = ticks(root)
    assert (end_of(root) - LEFT) / (tick - LEFT) == pytest.approx(0.9, abs=0.01)


def test_hours_of_a_meter_are_drawn_over_their_interval() -> None:
    due = layer(490.0, value=488.0, typed="10 h", binds=True)
    root = drawn(finding("time", due, id="maintenance.directive"))
    (tick,) = ticks(root)
    assert (end_of(root) - LEFT) / (tick - LEFT) == pytest.approx(0.8, abs=1e-3)
    assert "manual: at most 490 h (10 h), binds" in words(root)
    assert "488 h" in words(root)


def test_a_limit_of_nothing_is_a_tick_at_the_left_end() -> None:
    root = drawn(finding("speed", layer(0.0, value=0.0, binds=True)))
    assert ticks(root) == [LEFT]
    broken = drawn(finding("speed", layer(0.0, value=3.0, binds=True)))
    (beyond,) = named(broken, "rect", "beyond")
    assert at(beyond, "x") == LEFT


KINDS = ("mass", "speed", "length", "volume", "time", "days", "arm", "temperature", "climb", "")


@pytest.mark.parametrize("dimension", KINDS)
def test_every_kind_of_quantity_can_be_drawn_on_both_sides_of_a_limit(dimension: str) -> None:
    for sense in Sense:
        for value in (250.0, 350.0):
            root = drawn(finding(dimension, layer(300.0, sense, value=value, binds=True)))
            broken = (value > 300.0) == sense.is_upper
            assert bool(red(root)) == broken
            assert (end_of(root) < ticks(root)[0] + 0.1) == (value < 300.0 or (broken and sense.is_upper))


def test_text_and_bars_are_ink_unless_beyond() -> None:
    root = drawn(finding("mass", layer(500.0, value=450.0, binds=True)))
    inks: Iterable[str | None] = [each.get("fill") for each in named(root, "text")]
    assert set(inks) == {INK}
    assert points(named(root, "line")[0]) == []
