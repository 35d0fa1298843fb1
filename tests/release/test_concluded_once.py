"""What was concluded for an earlier question and rests on nothing that changed is used again, and changes no answer."""

from dataclasses import replace
from datetime import timedelta
from functools import cache
from pathlib import Path

from hypothesis import given, settings
from hypothesis import strategies as st

from gyrewright.fact import Doubt, doubted
from gyrewright.release.decide import decide, forget
from gyrewright.release.files import read_question
from gyrewright.words.as_json import as_json
from gyrewright.words.tell import tell
from kit.files import DEMO

FLIGHTS = sorted(path.name for path in (DEMO / "flights").glob("*.toml"))


@cache
def question(name):
    path = (DEMO / "flights" / name).as_posix()
    return read_question(path, lambda each: Path(each).read_text(encoding="utf-8"))


def with_fuel(asked, fuel_l):
    fuel = [replace(fact, value=fuel_l, typed=f"{fuel_l} L") if fact.is_known else fact for fact in asked.flight.fuel]
    return replace(asked, flight=replace(asked.flight, fuel=tuple(fuel)))


def later(asked, minutes):
    return replace(asked, asked_at=asked.asked_at + timedelta(minutes=minutes))


def on_runway(asked, name):
    runway = replace(asked.flight.runway, value=name, typed=name, doubt=Doubt.NONE)
    return replace(asked, flight=replace(asked.flight, runway=runway))


def without_fuel(asked, number):
    fuel = list(asked.flight.fuel)
    if fuel:
        fuel[number % len(fuel)] = doubted(fuel[number % len(fuel)], Doubt.MISSING)
    return replace(asked, flight=replace(asked.flight, fuel=tuple(fuel)))


def without_law(asked, number):
    law = asked.flight.law
    return replace(asked, flight=replace(asked.flight, law=law[: number % (len(law) + 1)]))


def renamed(asked, number):
    people = dict(asked.people)
    id = sorted(people)[number % len(people)]
    people[id] = replace(people[id], name=f"Somebody Else {number}")
    return replace(asked, people=people)


CHANGES = st.one_of(
    st.tuples(st.just(with_fuel), st.sampled_from([0.0, 12.5, 30.0, 61.0])),
    st.tuples(st.just(later), st.sampled_from([-90, 1, 7, 200])),
    st.tuples(st.just(on_runway), st.sampled_from(["09", "27", "18", "36", "05"])),
    st.tuples(st.just(without_fuel), st.integers(0, 3)),
    st.tuples(st.just(without_law), st.integers(0, 20)),
    st.tuples(st.just(renamed), st.integers(0, 12)),
)
ASKED = st.tuples(st.sampled_from(FLIGHTS), st.lists(CHANGES, max_size=2), st.sampled_from(["en-US", "en-GB"]))


def told(name, changes, language):
    asked = question(name)
    for change, by in changes:
        asked = change(asked, by)
    return as_json(tell(decide(asked), language=language))


@settings(max_examples=30)
@given(st.lists(ASKED, min_size=2, max_size=8))
def test_an_answer_does_not_depend_on_what_was_asked_before(series):
    after_others = [told(*each) for each in series]
    for each, found in zip(series, after_others, strict=True):
        forget()
        assert told(*each) == found


def test_a_question_asked_again_is_told_the_same():
    for name in FLIGHTS:
        forget()
        first = told(name, [], "en-US")
        assert told(name, [], "en-US") == first
        assert told(name, [(with_fuel, 30.0)], "en-US") == told(name, [(with_fuel, 30.0)], "en-US")
        assert told(name, [], "en-US") == first
