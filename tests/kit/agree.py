"""Whether decide and the ways agree on a drawn question: for each comparison a line, empty where they do."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace
from datetime import timedelta
from functools import partial
from random import Random

import numpy as np

from gyrewright.air.course import minutes
from gyrewright.finding import Verdict
from gyrewright.release import choices
from gyrewright.release.answer import Answer
from gyrewright.release.decide import decide
from gyrewright.release.edges import Span
from gyrewright.release.grid import Axis, Grid, grid
from gyrewright.release.open_end import block_axis, longest
from gyrewright.release.question import Question
from gyrewright.release.search import Offer, acceptable
from gyrewright.release.situation import situation_of
from gyrewright.release.solved import (
    STEP_KG,
    STEP_L,
    capacity_l,
    fuel_numbers,
    fuel_spans,
    load_spans,
)
from gyrewright.release.stretches import stretches
from gyrewright.release.ways import NO_WAY_ROUND, Ways, ways
from gyrewright.release.windows import day_minutes, start_choice, windows
from kit import draw


def failing(answer: Answer) -> set[str]:
    """Return the names of the checks that an answer fails by, with what they are about where a grid says so."""
    bad = [each for each in answer.findings if each.verdict >= Verdict.UNKNOWN]
    return {each.id for each in bad} | {f"{each.id}:{each.about}" for each in bad}


def stopped(answer: Answer) -> set[str]:
    """Return the ids of the checks that stop an answer."""
    return {each.id for each in answer.findings if each.verdict is Verdict.STOP}


def passes(answer: Answer) -> bool:
    """Return whether no reason was found, or only one that a condition or a person can meet."""
    return answer.verdict <= Verdict.JUDGE


def cells(seed: int, count: int) -> Iterator[str]:
    """Yield a line for some alternatives: what decide and the grid say where they do not answer alike."""
    question, _ = draw.question(seed)
    random = Random(seed)
    full_l = capacity_l(question)
    station = next(each.id for each in question.definition.stations if each.kind != "seat")
    if full_l is None or question.flight.depart_at is None:
        return
    planned = choices.with_load(choices.with_fuel(question, full_l), station, 0.0)
    litres = np.array([random.uniform(0.0, full_l) for _ in range(5)])
    kilograms = np.array([random.uniform(0.0, 25.0) for _ in range(4)])
    blocks_h = np.array(sorted(random.uniform(0.1, 3.0) for _ in range(3)))
    name = f"load_kg:{station}"
    fuel = Axis("fuel", litres, fuel_numbers, fuel_numbers)
    load = Axis("load", kilograms, lambda at: {name: at}, lambda at: {name: at})
    choice = start_choice(planned)
    minute = day_minutes(planned)
    places = sorted(random.sample(range(len(minute)), min(6, len(minute))))
    for stretch in stretches(choice, minute):
        own = [place for place in places if minute[place] in stretch.points]
        if not own:
            continue
        starts = replace(choice.axis(minute[own]), stride=1)
        if random.random() < 0.5:
            axes, shape = [starts, fuel, load], [len(own), len(litres), len(kilograms)]
        else:
            axes, shape = [starts, fuel], [len(own), len(litres)]
        found = grid(stretch.survey.situation, axes)
        codes = np.broadcast_to(found.codes, shape)
        for _ in range(count):
            at = tuple(random.randrange(length) for length in shape)
            one = choices.with_start(planned, float(starts.points[at[0]]))
            one = choices.with_fuel(one, float(litres[at[1]]))
            if len(at) > 2:
                one = choices.with_load(one, station, float(kilograms[at[2]]))
            yield from _told(seed, "grid", decide(one), found, int(codes[at]))
    # The length of the flight is varied apart: with it the light may change, and so the law that is asked.
    for number, hours in enumerate(blocks_h):
        found = grid(
            situation_of(choices.with_block(question, float(hours))), [block_axis(blocks_h[number : number + 1])]
        )
        code = int(np.broadcast_to(found.codes, (1,))[0])
        answer = decide(choices.with_block(question, float(hours)))
        yield from _told(seed, "block", answer, found, code)


def _told(seed: int, what: str, answer: Answer, found: Grid, code: int) -> Iterator[str]:
    verdict, name = found.verdict(code), found.binding(code)
    if verdict is not answer.verdict:
        yield f"seed {seed}: {what} says {verdict.code} by {name}, decide {answer.verdict.code} by {failing(answer)}"
    elif verdict >= Verdict.UNKNOWN and name not in failing(answer):
        yield f"seed {seed}: {what} names {name}, which decide does not fail by: {failing(answer)}"
    else:
        yield ""


def offers(seed: int) -> Iterator[str]:
    """Yield a line for every offer: what is wrong where decide answers it otherwise, or it goes round something."""
    question, fleet = draw.question(seed)
    found = ways(question, fleet=fleet)
    if any(each.id in NO_WAY_ROUND and each.verdict is Verdict.STOP for each in found.asked.findings):
        yield f"seed {seed}: something is offered although somebody said no" if found.offers or found.windows else ""
        return
    for offer in found.offers:
        yield _wrong(seed, question, found, offer)
    if not found.offers and found.asked.verdict > Verdict.JUDGE:
        yield ""


def _wrong(seed: int, question: Question, found: Ways, offer: Offer) -> str:
    again = decide(offer.question)
    asked = offer.question
    if again.verdict is not offer.answer.verdict or not acceptable(offer.answer):
        return f"seed {seed}: an offer says {offer.answer.verdict.code}, decide {again.verdict.code}"
    if any(each in stopped(again) for each in NO_WAY_ROUND):
        return f"seed {seed}: an offer stands against a no"
    told = (
        "metars",
        "tafs",
        "people",
        "pack",
        "operation",
        "field",
        "asked_at",
        "clock_doubt",
        "insurance",
        "entitled",
    )
    if any(getattr(asked, name) is not getattr(question, name) for name in told):
        return f"seed {seed}: an offer changes a fact"
    if (asked.flight.observation, asked.flight.rows) != (question.flight.observation, question.flight.rows):
        return f"seed {seed}: an offer changes the weather"
    same = asked.definition.id == question.definition.id
    if same and "fuel.readings_agree" in stopped(found.asked) - stopped(again):
        return f"seed {seed}: an offer hides that gauge and stick differ"
    return ""


def starts(seed: int) -> Iterator[str]:
    """Yield a line for every edge of a window, and for minutes inside: what is wrong where decide says otherwise."""
    question, _ = draw.question(seed)
    random = Random(seed)
    day = day_minutes(question)
    for window in windows(question):
        first, last = minutes(window.start_at), minutes(window.end_at)
        inside = [first, last, *(float(random.randrange(int(first), int(last) + 1)) for _ in range(3))]
        for minute in inside:
            answer = decide(choices.with_start(question, minute))
            yield "" if passes(answer) else f"seed {seed}: a start inside a window is stopped by {failing(answer)}"
        for minute, name in ((first - 1.0, window.binds_before), (last + 1.0, window.binds_after)):
            if day[0] <= minute <= day[-1]:
                yield from _stopped(seed, "window", decide(choices.with_start(question, minute)), name)


def edges(seed: int) -> Iterator[str]:
    """Yield a line for every edge of fuel and load: a step inside passes, a step beyond fails by the named check."""
    question, _ = draw.question(seed)
    full_l = capacity_l(question)
    if full_l is not None:
        for span in fuel_spans(question):
            yield from _edge(seed, "fuel", span, STEP_L, full_l, partial(choices.with_fuel, question))
    for station in question.definition.stations:
        if station.kind != "seat":
            asked = partial(choices.with_load, question, station.id)
            for span in load_spans(question, station.id, 30.0):
                yield from _edge(seed, "load", span, STEP_KG, 30.0, asked)


def _edge(
    seed: int, what: str, span: Span, step: float, high: float, asked: Callable[[float], Question]
) -> Iterator[str]:
    def answer(at: float) -> Answer:
        return decide(choices.started_in_time(asked(at)))

    low, top = np.ceil(span.low / step - 1e-6) * step, np.floor(span.high / step + 1e-6) * step
    if low <= top:
        for at in (float(low), float(top)):
            inside = answer(round(at, 6))
            said = f"seed {seed}: {what} of {at} lies inside {span} and is stopped by {failing(inside)}"
            yield "" if passes(inside) else said
    for at, name in ((span.low - step, span.binds_low), (span.high + step, span.binds_high)):
        if 0.0 <= at <= high:
            yield from _stopped(seed, f"{what} of {at}", answer(float(at)), name, narrow=True)


def _stopped(seed: int, what: str, answer: Answer, name: str, *, narrow: bool = False) -> Iterator[str]:
    if passes(answer):
        # The stretch that does not pass may be narrower than a step: then both sides of it are stretches of their own.
        yield "" if narrow else f"seed {seed}: {what} is beyond an edge named {name} and passes"
    else:
        said = f"seed {seed}: {what} is beyond an edge named {name} and fails by {failing(answer)}"
        yield "" if name in failing(answer) else said


def ends(seed: int) -> Iterator[str]:
    """Yield a line for an open end: the flight until then passes, a minute longer fails by the named check."""
    question, _ = draw.question(seed)
    least = next(fact for fact in question.operation.counting if fact.name == "least_useful_h")
    if not passes(decide(choices.with_block(question, least.value))):
        return
    length_min, name = longest(question, least.value)
    until = decide(choices.with_block(question, length_min / 60.0))
    yield "" if passes(until) else f"seed {seed}: the flight of {length_min} min is stopped by {failing(until)}"
    if name:
        yield from _stopped(
            seed, "a minute more", decide(choices.with_block(question, (length_min + 1.0) / 60.0)), name
        )
    opened = decide(choices.with_open_end(question))
    down_by = next(each for each in opened.findings if each.id == "time.open_end").params["down_by"]
    assert question.flight.depart_at is not None
    right = down_by == question.flight.depart_at + timedelta(minutes=length_min)
    yield "" if right else f"seed {seed}: the answer says down by {down_by}"
