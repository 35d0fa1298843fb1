"""The day's windows: bars to the minute, what binds in between, the sun, and the start asked for."""

from dataclasses import replace
from datetime import UTC, datetime, timedelta
from itertools import pairwise
from typing import Any
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gyrewright.errors import OutOfRange
from gyrewright.pictures.day import Row, day_of, gaps_of, rows_of
from gyrewright.pictures.frame import View
from gyrewright.pictures.speech import PLAIN
from gyrewright.pictures.svg import BLUE, DESK, PHONE
from gyrewright.pictures.windows import windows, windows_of
from gyrewright.pictures.windows_text import windows_text
from gyrewright.release import choices
from gyrewright.release.answer import Answer
from gyrewright.release.decide import decide
from gyrewright.release.files import read_fleet_of
from gyrewright.release.ways import Window
from gyrewright.release.ways import windows as windows_found
from kit.files import demo
from pictures.measured import answered, at, moment, named, red, sound, told, words

FLIGHT = "0630-sunde-halloran"
WINDOWS = (
    Window(moment("06:16"), moment("07:10"), "", "weather.observation_age"),
    Window(moment("07:17"), moment("09:59"), "weather.observation_age", "wind.crosswind"),
    Window(moment("18:00"), moment("19:44"), "wind.crosswind", "light.before_sunset"),
)
ROWS = (Row("Whimbrel, 25", WINDOWS), Row("Dunlin, 16", (), "take-off distance"))


def moved(answer: Answer, asked_at: str, depart_at: str, zone: str = "America/Los_Angeles") -> Answer:
    """Return the answer as if it had been asked at another time, for another start, by another clock."""
    question = answer.situation.question
    at, start = (datetime.fromisoformat(each) for each in (asked_at, depart_at))
    field = replace(question.field, zone=ZoneInfo(zone))
    flight = replace(question.flight, depart_at=start)
    question = replace(question, asked_at=at, field=field, flight=flight)
    return replace(answer, situation=replace(answer.situation, question=question), computed_at=at)


def minutes_at(root: Any) -> Any:
    """Return what turns a place on the paper into minutes since midnight, read off the hours of the axis alone."""
    hours = [(at(each, "x"), each.text or "") for each in named(root, "text", "hour")]
    (x1, first), (x2, last) = hours[0], hours[-1]
    low, high = (int(text[:2]) * 60 + int(text[3:]) for text in (first, last))
    return lambda x: low + (x - x1) * (high - low) / (x2 - x1)


@pytest.mark.parametrize("width", [DESK, PHONE])
def test_bars_begin_and_end_at_their_minute(width: float) -> None:
    root = sound(windows_of(answered(FLIGHT), ROWS, View(width=width)))
    minute = minutes_at(root)
    drawn = [
        (minute(at(each, "x")), minute(at(each, "x") + at(each, "width"))) for each in named(root, "rect", "window")
    ]
    expected = [(376, 430), (437, 599), (1080, 1184)]
    assert [each == pytest.approx(want, abs=0.3) for each, want in zip(drawn, expected, strict=True)] == [True] * 3


@pytest.mark.parametrize("width", [DESK, PHONE])
def test_every_window_says_its_times_and_every_gap_what_binds(width: float) -> None:
    said = told(sound(windows_of(answered(FLIGHT), ROWS, View(width=width))))
    for each in ("06:16–07:10", "07:17–09:59", "18:00–19:44", "observation age binds", "crosswind binds"):
        assert each in said
    assert "before sunset binds" in said
    assert "no start passes: take-off distance binds" in said


def test_dots_fill_the_day_between_the_windows_from_when_it_was_looked_at() -> None:
    root = sound(windows_of(answered(FLIGHT), ROWS))
    minute = minutes_at(root)
    gaps = [(round(minute(at(each, "x1"))), round(minute(at(each, "x2")))) for each in named(root, "line", "gap")]
    assert gaps == [(430, 437), (599, 1080), (1184, 1260), (376, 1260)]
    assert all(each.get("stroke-dasharray") for each in named(root, "line", "gap"))


def test_the_start_asked_for_is_a_blue_line_through_all_rows() -> None:
    root = sound(windows_of(answered(FLIGHT), ROWS))
    (asked,) = named(root, "line", "asked")
    assert asked.get("stroke") == BLUE
    assert minutes_at(root)(at(asked, "x1")) == pytest.approx(390.0, abs=0.3)
    rows = [at(each, "y") for each in named(root, "text", "row")]
    assert at(asked, "y1") < min(rows)
    assert at(asked, "y2") > max(rows)
    assert "asked for 06:30" in words(root)
    assert red(root) == []


def test_sunset_is_marked_where_the_checks_count_it() -> None:
    root = sound(windows_of(answered(FLIGHT), ROWS))
    assert "sunset 20:44" in words(root)
    (night,) = named(root, "rect", "night")
    assert minutes_at(root)(at(night, "x")) == pytest.approx(20 * 60 + 44, abs=0.4)


def test_sunrise_is_marked_where_the_day_is_looked_at_before_it() -> None:
    early = moved(answered(FLIGHT), "2027-06-12T03:00:00-07:00", "2027-06-12T05:00:00-07:00")
    root = sound(windows_of(early, ROWS))
    assert "sunrise 05:19" in words(root)
    assert len(named(root, "rect", "night")) == 2


def test_a_start_on_another_day_is_told_and_not_drawn() -> None:
    tomorrow = moved(answered(FLIGHT), "2027-06-12T06:16:00-07:00", "2027-06-13T07:00:00-07:00")
    root = sound(windows_of(tomorrow, ROWS))
    assert named(root, "line", "asked") == []
    assert "asked for 13 June 2027 07:00" in words(root)
    assert "asked for 13 June 2027 07:00" in windows_text(tomorrow, ROWS)


def test_a_day_on_which_the_clock_is_put_forward_is_an_hour_shorter() -> None:
    spring = moved(answered(FLIGHT), "2027-03-14T00:30:00-08:00", "2027-03-14T04:00:00-07:00")
    zone = ZoneInfo("America/Los_Angeles")
    # As windows are found: in local time, an hour before the clock jumps and two after it.
    window = Window(datetime(2027, 3, 14, 1, tzinfo=zone), datetime(2027, 3, 14, 5, tzinfo=zone), "", "")
    rows = (Row("x", (window,)),)
    day = day_of(spring, rows)
    clocks = [hour.astimezone(day.zone).hour for hour in day.hours]
    assert clocks[:5] == [1, 3, 4, 5, 6]
    assert {second - first for first, second in pairwise(day.hours)} == {timedelta(hours=1)}
    root = sound(windows_of(spring, rows))
    (bar,) = named(root, "rect", "window")
    hours = {each.text: at(each, "x") for each in named(root, "text", "hour")}
    assert at(bar, "width") == pytest.approx(3.0 * (hours["08:00"] - hours["04:00"]) / 4.0, abs=0.1)


def test_a_day_on_which_the_clock_is_put_back_shows_one_hour_twice() -> None:
    autumn = moved(answered(FLIGHT), "2027-11-07T00:10:00-07:00", "2027-11-07T00:30:00-07:00")
    day = day_of(autumn, ())
    assert [hour.astimezone(day.zone).hour for hour in day.hours][:4] == [0, 1, 1, 2]


def test_a_zone_half_an_hour_off_has_its_own_full_hours() -> None:
    day = day_of(moved(answered(FLIGHT), "2027-06-12T06:16:00+05:30", "2027-06-12T07:00:00+05:30", "Asia/Kolkata"), ())
    assert all(hour.astimezone(day.zone).minute == 0 for hour in day.hours)
    assert len(day.hours) >= 3


def test_where_the_sun_never_sets_the_day_ends_at_midnight() -> None:
    question = answered(FLIGHT).situation.question
    field = replace(question.field, latitude=replace(question.field.latitude, value=78.0))
    north = replace(
        answered(FLIGHT), situation=replace(answered(FLIGHT).situation, question=replace(question, field=field))
    )
    day = day_of(north, ROWS)
    assert (day.sunrise_at, day.sunset_at) == (None, None)
    assert day.end_at.astimezone(day.zone).hour == 0
    sound(windows_of(north, ROWS))


def test_a_day_that_nothing_tells_of_is_refused_with_what_to_give() -> None:
    answer = answered(FLIGHT)
    question = answer.situation.question
    question = replace(question, asked_at=None, flight=replace(question.flight, depart_at=None))
    untold = replace(answer, situation=replace(answer.situation, question=question), computed_at=None)
    with pytest.raises(OutOfRange, match="give one of them"):
        day_of(untold, ())


def spans_of(marks: list[int]) -> tuple[Window, ...]:
    """Return windows that begin and end at minutes of the day, in pairs."""
    at = [moment("00:00") + timedelta(minutes=mark) for mark in marks]
    pairs = zip(at[::2], at[1::2], strict=False)
    return tuple(Window(first, last, "wind.crosswind", "performance.climb") for first, last in pairs)


STARTS = st.lists(st.integers(380, 1200), min_size=2, max_size=10, unique=True).map(sorted)


@given(STARTS, st.sampled_from([DESK, PHONE]))
def test_whatever_the_windows_no_words_overlap_and_every_time_is_told(marks: list[int], width: float) -> None:
    midnight = moment("00:00")
    spans = [
        Window(
            midnight + timedelta(minutes=first),
            midnight + timedelta(minutes=last),
            "wind.crosswind",
            "performance.climb",
        )
        for first, last in zip(marks[::2], marks[1::2], strict=False)
    ]
    picture = windows_of(answered(FLIGHT), (Row("Whimbrel, 25", spans),), View(width=width))
    said = told(sound(picture))
    for each in spans:
        assert f"{each.start_at:%H:%M}–{each.end_at:%H:%M}" in said
    assert "crosswind binds" in said


def test_rows_are_every_runway_with_the_windows_that_the_core_finds() -> None:
    answer = answered("1900-halloran-alone")
    rows = rows_of(answer, View())
    names = [runway.name for runway in answer.situation.question.field.runways]
    assert [row.label for row in rows] == [f"Sanderling, {name}" for name in names]
    asked = next(row for row in rows if row.label.endswith(", 25"))
    assert asked.windows == windows_found(answer.situation.question)
    assert all(bool(row.windows) != bool(row.binds) for row in rows)
    assert sound(windows(answer)) is not None


def test_the_fleet_has_rows_of_its_own_with_no_more_fuel_than_its_tanks_hold() -> None:
    files = demo("1330-sunde-halloran")
    fleet = tuple(read_fleet_of(files.flight, files.fetch))
    question = answered("1330-sunde-halloran").situation.question
    field = replace(question.field, runways=question.field.runways[1:2])
    answer = decide(replace(question, field=field))
    rows = rows_of(answer, View(fleet=fleet))
    assert [row.label for row in rows] == ["Dunlin, 25", "Whimbrel, 25", "Sanderling, 25"]
    smaller = next(each for each in fleet if each.definition.name == "Sanderling")
    tank = Row("Sanderling, 25", windows_found(choices.with_aircraft(replace(question, field=field), smaller, 38.0)))
    assert rows[2].windows == tank.windows
    assert "capacity" not in rows[2].binds


# --- as text ----------------------------------------------------------------------------------------------------------


def test_as_text_every_letter_stands_for_its_quarter_of_an_hour() -> None:
    lines = windows_text(answered(FLIGHT), ROWS).splitlines()
    row = next(line for line in lines if line.startswith("Whimbrel, 25"))
    axis = lines[lines.index(row) - 1]
    letters = {hour: row[axis.index(f"{hour:02d}:00")] for hour in (6, 8, 10, 18, 20)}
    assert letters == {6: " ", 8: "#", 10: ".", 18: "#", 20: "."}
    begins = axis.index("06:00")
    assert row[begins : begins + 7] == " #>#++#"
    assert "06:16-07:10; observation age binds; 07:17-09:59; crosswind binds; 18:00-19:44;" in " ".join(lines)


@given(STARTS, st.text(max_size=60))
def test_as_text_no_line_is_longer_than_80_columns(marks: list[int], name: str) -> None:
    midnight = moment("00:00")
    spans = tuple(
        Window(
            midnight + timedelta(minutes=first),
            midnight + timedelta(minutes=last),
            "wind.crosswind",
            "performance.climb",
        )
        for first, last in zip(marks[::2], marks[1::2], strict=False)
    )
    text = windows_text(answered(FLIGHT), (Row(name, spans), Row(name, (), "x" * 200)))
    assert max(len(line) for line in text.splitlines()) <= 80


def test_gaps_and_windows_together_are_the_day() -> None:
    answer = answered(FLIGHT)
    day = day_of(answer, ROWS)
    parts = [(gap.start_at, gap.end_at) for gap in gaps_of(ROWS[0], day, PLAIN)]
    parts += [(each.start_at, each.end_at) for each in WINDOWS]
    ordered = sorted((first.astimezone(UTC), last.astimezone(UTC)) for first, last in parts)
    assert all(one[1] == other[0] for one, other in pairwise(ordered))
    assert (ordered[0][0], ordered[-1][1]) == (day.looked_from, day.end_at)


def test_a_gap_names_what_ends_the_window_before_it_and_then_what_holds_back_the_next() -> None:
    answer = answered(FLIGHT)
    row = Row(
        "x",
        (
            Window(moment("08:00"), moment("09:00"), "performance.climb", "wind.crosswind"),
            Window(moment("15:00"), moment("16:00"), "weather.visibility", ""),
        ),
    )
    gaps = gaps_of(row, day_of(answer, (row,)), PLAIN)
    assert [(gap.first, gap.last) for gap in gaps] == [("climb", "climb"), ("crosswind", "visibility"), ("", "")]
    root = sound(windows_of(answer, (row,)))
    said = {each.text: at(each, "x") for each in named(root, "text", "binds")}
    assert said["crosswind binds"] < said["visibility binds"]
    assert "crosswind binds, visibility binds;" in " ".join(windows_text(answer, (row,)).split())
