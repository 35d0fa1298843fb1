"""Whatever is taken away from the files, contradicted in them or made older, the answer gets no better.

A key that is taken away gives one of four things: a clear line that names file and key, an answer that is UNKNOWN or
worse, a fact that the answer lists as not needed here, or nothing at all where the key is a label that decides nothing.
Which those are is written down below, one by one.
"""

import re
from copy import deepcopy
from datetime import date, datetime, timedelta
from functools import cache, partial

import pytest

from gyrewright.errors import DefinitionError, UnitError
from gyrewright.finding import Verdict
from gyrewright.units import DIMENSIONS, parse_quantity
from kit.files import at_place, demo, good_day, places, with_value, without
from kit.verdicts import improves
from scenarios.fixture import verdict_of, verdict_of_rooms

LABELS = {
    *("title", "name", "page", "conditions", "includes", "datum", "chart", "dated", "notes", "scope", "card"),
    *("by", "entered_by", "words", "demo", "units", "identifier"),
}
"""Keys that name, date or describe something for people, or say how numbers are shown."""

WIDER_WITHOUT = {"purpose", "aboard", "lesson", "demonstrated"}
"""Keys that narrow a limit: without them it holds for more flights, or firmly."""

OTHER_ROOMS = {
    "counts",
    *("serial_number", "equipment", "program", "records", "rules", "origin", "roles", "law", "present", "named"),
    *(
        "people",
        "unweighed",
        "cautions",
        "maintenance",
        "walk",
        "insurance",
        "instructor",
        "student",
        "lessons_instead",
    ),
    *("may_replace_instructor", "least_margin"),
}
"""What only the rooms for law, people, the state of the machine and the ways read; its loss is proved there."""

OF_A_PERSON = {"id", "name", "roles", "mass"}

CHECKED_AGAINST = {"scale", "on"}
"""The weighing's own scale rows, which its sum is checked against, and its day."""

CASES = {
    "good demo flight": demo("0630-sunde-halloran", "dunlin"),
    "stopped demo flight": demo("1330-sunde-halloran", "dunlin"),
    "good day of the scenarios": good_day(),
}


def is_asked_here(path, place):
    """Whether a place is one of this file's: not inside another room's, nor one more number of a long table."""
    words = [each for each in place if isinstance(each, str)]
    if path.endswith("people.toml") and len(place) > 2 and place[2] not in OF_A_PERSON:
        return False
    if set(words[:-1]) & OTHER_ROOMS and path != "people.toml":
        return False
    if words[-1] in ("rows", "points") and any(each for each in place[place.index(words[-1]) + 1 :]):
        return False
    return place[0] != "card" or place[-1] in ("card", "never_exceed", "tire_main")


@cache
def base(name):
    return CASES[name].answer()


def is_about_something_else(path, place, data):
    """Whether a place belongs to another runway or person, another surface, or weather long after the flight."""
    if path.endswith("field.toml") and place[:1] == ("runway",) and len(place) > 1:
        return data["runway"][place[1]]["name"] not in ("25", "27")
    if path.endswith("people.toml") and place[:1] == ("person",) and len(place) > 1:
        return data["person"][place[1]]["id"] not in ("sunde", "halloran", "S1", "I1")
    if path.startswith("flight") and place[:2] == ("weather", "row") and len(place) > 2:
        return data["weather"]["row"][place[2]]["at"] > data["time"]["depart"] + timedelta(hours=2)
    return "surface" in place or "approved" in place


def is_entry(place):
    """Whether a place is an entry of a list, or lies inside a row of weather: entries may go, lists may not."""
    return isinstance(place[-1], int) or (place[:2] == ("weather", "row") and len(place) > 2)


def named(place):
    """The last word of a place: what a line about it must contain."""
    return next(str(each) for each in reversed(place) if isinstance(each, str))


def answered(files, path, data):
    """Return the answer to the files with one of them changed, or the lines with which they are refused."""
    try:
        return files.with_data(path, data).answer(), []
    except DefinitionError as error:
        return None, [str(problem) for problem in error.problems]


def is_clear(lines, path, place):
    """Whether each line names a file and says something, and one of them names what is wrong."""
    words = [str(each) for each in place if isinstance(each, str)]
    return all(": " in line and "\n" not in line for line in lines) and any(
        line.startswith(path) and any(word in line for word in words) for line in lines
    )


def is_told_as_not_needed(before, after, place):
    """Whether the answer lists as not needed what became doubtful, or the subject of the weather that was touched."""
    if place[0] == "weather" and f"weather:{str(place[-1]).removesuffix('_base')}" in after.not_needed:
        return True
    doubtful = {name for name, fact in after.situation.sheet.facts.items() if fact.doubt}
    doubtful -= {name for name, fact in before.situation.sheet.facts.items() if fact.doubt}
    gone = set(after.not_needed) - set(before.not_needed)
    return bool(doubtful or gone) and doubtful <= set(after.not_needed)


def is_label(place):
    words = {each for each in place if isinstance(each, str)}
    return bool(words & (LABELS | OTHER_ROOMS | CHECKED_AGAINST)) or place[-1] in WIDER_WITHOUT


@pytest.mark.parametrize("name", CASES)
def test_what_is_taken_away_is_missed_or_not_needed(name):
    files, before = CASES[name], base(name)
    silent, unclear, better = [], [], []
    for path, data in files.data.items():
        for place in filter(partial(is_asked_here, path), places(data)):
            after, lines = answered(files, path, without(data, place))
            where = f"{path}: {'.'.join(map(str, place))}"
            if after is None:
                if not is_clear(lines, path, place) and not is_entry(place):
                    unclear.append((where, lines))
                continue
            if improves(verdict_of(before), verdict_of(after)) and not is_entry(place):
                better.append(where)
            if verdict_of(after) > verdict_of(before) or is_entry(place) or is_label(place):
                continue
            if not is_about_something_else(path, place, data) and not is_told_as_not_needed(before, after, place):
                silent.append(where)
    assert better == []
    assert unclear == []
    # On a flight that is stopped anyway the loss shows in a finding, not in the verdict.
    assert silent == [] or verdict_of(before) is Verdict.STOP


NUMBER = re.compile(r"[-+]?[\d ]*(\.\d+)?")


def other_quantity(text):
    """Return a quantity of the same kind and another size; None for a text that is no quantity."""
    for dimension in DIMENSIONS:
        try:
            quantity = parse_quantity(dimension, text)
        except UnitError:
            continue
        number = float(NUMBER.match(text).group().replace(" ", ""))
        return f"{number + 1:g} {quantity.unit}"
    return None


@pytest.mark.parametrize("name", CASES)
def test_what_is_contradicted_is_not_used(name):
    files, before = CASES[name], base(name)
    better, silent, count = [], [], 0
    for path, data in files.data.items():
        for place in filter(partial(is_asked_here, path), places(data)):
            text = at_place(data, place)
            other = other_quantity(text) if isinstance(text, str) else None
            if other is None:
                continue
            count += 1
            where = f"{path}: {'.'.join(map(str, place))}"
            after, lines = answered(files, path, with_value(data, place, [text, other]))
            if after is None:
                assert is_clear(lines, path, place), (where, lines)
                continue
            if improves(verdict_of(before), verdict_of(after)):
                better.append(where)
            known = (
                verdict_of(after) > verdict_of(before) or is_label(place) or is_told_as_not_needed(before, after, place)
            )
            if not known and not is_about_something_else(path, place, data):
                silent.append(where)
    assert count > 50
    assert better == []
    assert silent == [] or verdict_of(before) is Verdict.STOP


AGES = [timedelta(minutes=20), timedelta(hours=5), timedelta(days=40), timedelta(days=800)]
AGING_KEYS = {"at", "on", "dated"}


def older(files, path, place, by):
    data = deepcopy(files.data[path])
    value = at_place(data, place)
    at_place(data, place[:-1])[place[-1]] = value - (by if isinstance(value, datetime) else max(by, timedelta(days=1)))
    return answered(files, path, data)


@pytest.mark.parametrize("name", CASES)
def test_what_grows_older_makes_nothing_better(name):
    files, before = CASES[name], base(name)
    aged = [
        (path, place)
        for path, data in files.data.items()
        for place in filter(partial(is_asked_here, path), places(data))
        if place[-1] in AGING_KEYS and isinstance(at_place(data, place), date)
    ]
    assert len(aged) > 5
    for path, place in aged:
        previous = verdict_of(before)
        for by in AGES:
            after, lines = older(files, path, place, by)
            if after is None:
                assert is_clear(lines, path, place)
                continue
            assert not improves(verdict_of(before), verdict_of(after)), (path, place, by)
            if place[-2:] != ("row", "at") and "row" not in place:
                assert verdict_of(after) >= previous, (path, place, by)
                previous = verdict_of(after)


@pytest.mark.parametrize("name", ["good demo flight", "stopped demo flight"])
def test_reports_that_grow_older_make_nothing_better(name):
    files, before = CASES[name], base(name)
    weather = files.data[files.flight]["weather"]
    for kind, group in (("reports", 2), ("forecasts", 2)):
        (text,) = weather[kind]
        words = text.split()
        stamp = words[group]
        previous = verdict_of(before)
        for hours in (0, 1, 3, 12):
            moment = datetime.strptime(f"2027 6 {stamp[:6]} +0000", "%Y %m %d%H%M %z") - timedelta(hours=hours)
            words[group] = f"{moment:%d%H%M}Z"
            data = with_value(files.data[files.flight], ("weather", kind), [" ".join(words)])
            after, lines = answered(files, files.flight, data)
            if after is None:
                assert is_clear(lines, files.flight, ("weather", kind))
                continue
            assert not improves(verdict_of(before), verdict_of(after))
            if kind == "reports":
                assert verdict_of(after) >= previous
                previous = verdict_of(after)


@pytest.mark.parametrize("key", ["reports", "forecasts", "row"])
def test_a_list_of_weather_that_nobody_gives_is_not_an_empty_one(key):
    files = CASES["good demo flight"]
    gone = files.changed(files.flight, lambda data: data["weather"].pop(key)).answer()
    assert verdict_of(gone) is Verdict.UNKNOWN
    empty = files.changed(files.flight, lambda data: data["weather"].update({key: []}))
    assert all(each.doubt == "" for each in empty.question().flight.weather_lists)


def test_a_missing_list_of_limits_or_of_weather_to_avoid_is_unknown():
    files = CASES["good demo flight"]
    for path, place in (
        ("operation.toml", ("house", "limit")),
        ("operation.toml", ("house", "avoid_weather")),
        ("aircraft/dunlin.toml", ("avoid_weather",)),
        ("aircraft/dunlin.toml", ("limit",)),
        (files.flight, ("configuration",)),
        (files.flight, ("loads",)),
    ):
        after, lines = answered(files, path, without(files.data[path], place))
        assert lines == []
        assert verdict_of(after) is Verdict.UNKNOWN


def test_a_table_that_the_file_does_not_mention_is_unknown_and_one_that_the_manual_does_not_print_is_noted():
    files = CASES["good demo flight"]
    path = "aircraft/dunlin.toml"
    silent = files.changed(path, lambda data: data["table"].pop("landing_distance")).answer()
    assert verdict_of(silent) is Verdict.UNKNOWN
    said = files.changed(
        path, lambda data: data["table"].update(landing_distance={"none": "the manual prints none"})
    ).answer()
    assert verdict_of_rooms(said) is Verdict.GO
    assert "performance.landing_distance" not in {each.id for each in said.findings}
    assert "no_table" in [note.id for note in said.assumptions]
