"""Any computed number can show its working: what went in, the rule in words, and the steps, from the facts upward."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from difflib import get_close_matches

from gyrewright.errors import UnknownName
from gyrewright.finding import Finding, Layer
from gyrewright.words import steps_air, steps_aircraft
from gyrewright.words.detail import ToldInput, inputs_of
from gyrewright.words.gaps import factor_of, is_clock, layer_numbers
from gyrewright.words.numbers import calculator, dimension_of, shown
from gyrewright.words.pencil import Explain, Pencil, Step
from gyrewright.words.tell import Said, Told
from gyrewright.words.voice import Voice, capital

EXPLAIN: dict[str, Explain] = {**steps_air.EXPLAIN, **steps_aircraft.EXPLAIN}
"""How each number of the sheet is explained; a name that ends in a colon stands for a family."""

ALL = "all"


@dataclass(frozen=True, slots=True)
class Working:
    """How one number was got.

    Attributes:
        name: The number as the code and `--working` call it.
        title: The same in words.
        value: The number with its unit; empty where something is missing.
        rule: The rule in words.
        inputs: The facts that go straight into it.
        numbers: The worked numbers that go into it, in words with their values; their own workings come before.
        steps: What to key in.
    """

    name: str
    title: str
    value: str
    rule: str
    inputs: tuple[ToldInput, ...]
    numbers: tuple[str, ...]
    steps: tuple[Step, ...]


def workings(said: Said, name: str) -> tuple[Working, ...]:
    """Return the working of a number and of every number that goes into it, in the order in which they are reckoned.

    Args:
        said: The answer in words.
        name: A number of the sheet, the id of a finding, or "all".

    Raises:
        UnknownName: There is nothing of that name to show.
    """
    voice = said.voice
    findings = [told for told in said.findings if told.finding.id == name or name == ALL]
    targets = [told.finding.working for told in findings if told.finding.working in voice.sheet.plan.recipes]
    if not findings:
        if name not in voice.sheet.plan.recipes or explainer(name) is None:
            raise UnknownName(_no_such(voice, said, name))
        targets = [name]
    symbols = {told.finding.working: told.gaps.symbol for told in said.findings if told.finding.working}
    out: dict[str, Working] = {}
    for target in dict.fromkeys(targets):
        for each in _below(voice, target):
            if each not in out:
                out[each] = working(voice, each, symbols)
    compared = [_against(told) for told in findings if told.finding.layers and told.finding.value is not None]
    return (*out.values(), *compared)


def _no_such(voice: Voice, said: Said, name: str) -> str:
    names = sorted({*shown_names(voice), *(told.finding.id for told in said.findings)})
    near = get_close_matches(name, names, n=3) or names
    return f"no number or finding is called {name!r}; try one of: {', '.join([*near, ALL])}"


def shown_names(voice: Voice) -> tuple[str, ...]:
    """Return the names of every number of an answer that can show its working."""
    return tuple(name for name in voice.sheet.plan.recipes if explainer(name) is not None)


def explainer(name: str) -> Explain | None:
    """Return what writes the steps of a number, or None where it has none."""
    return EXPLAIN.get(name) or EXPLAIN.get(name.partition(":")[0] + ":")


def _below(voice: Voice, name: str) -> Iterator[str]:
    """Yield the numbers that go into one, each before what is made of it, and the number itself last."""
    for each in voice.sheet.plan.recipes[name].inputs:
        if each in voice.sheet.plan.recipes and each not in voice.sheet.facts:
            yield from _below(voice, each)
    if explainer(name) is not None:
        yield name


def working(voice: Voice, name: str, symbols: Mapping[str, str]) -> Working:
    """Return the working of one number alone, in the units in which the answer reads the numbers of its findings."""
    into = tuple(dict.fromkeys(_into(voice, name)))
    numbers = [each for each in into if each not in voice.sheet.facts]
    cell = voice.sheet.cell(name)
    steps: tuple[Step, ...] = ()
    explain = explainer(name)
    if cell.known is True and explain is not None:
        pencil = Pencil(voice, symbols)
        explain(pencil, name)
        steps = tuple(pencil.steps)
    else:
        lacking = voice.joined(voice.word("fact", each) for each in cell.lacking)
        steps = (Step(voice.word("step", "lacking", lacking=lacking)),)
    return Working(
        name=name,
        title=title_of(voice, name),
        value=_value(voice, name, symbols),
        rule=capital(voice.word("working", name)),
        inputs=inputs_of(voice, into),
        numbers=tuple(f"{title_of(voice, each)}: {_value(voice, each, symbols)}" for each in numbers),
        steps=steps,
    )


def _into(voice: Voice, name: str) -> Iterator[str]:
    """Yield the facts and numbers that go into a number, through what is no number itself (a path, a spell)."""
    for each in voice.sheet.plan.recipes[name].inputs:
        if each in voice.sheet.facts or explainer(each) is not None:
            yield each
        else:
            yield from _into(voice, each)


def title_of(voice: Voice, name: str) -> str:
    """Return what a number of the sheet is, in words."""
    return voice.word("number", name)


def _value(voice: Voice, name: str, symbols: Mapping[str, str]) -> str:
    value = voice.sheet.value(name)
    if value is None:
        return voice.word("step", "unknown")
    dimension = voice.sheet.plan.recipes[name].dimension or dimension_of(name)
    if dimension == "time":
        return voice.duration(value) if value >= 0.0 else f"-{voice.duration(value)}"
    if name in symbols:
        return shown(dimension, value, symbols[name])
    facts = voice.sheet.facts
    typed = (facts[leaf].typed for leaf in voice.sheet.plan.leaves(name) if leaf in facts)
    return voice.quantity(dimension, value, *typed)


def _against(told: Told) -> Working:
    """Return how a finding's number was held against its limits."""
    voice, finding = told.voice, told.finding
    steps = [step for layer in finding.layers for step in _layer_steps(told, finding, layer)]
    return Working(
        name=finding.id if not finding.about else f"{finding.id} {finding.about}",
        title=told.name,
        value=told.sentence,
        rule=voice.word("step", "against"),
        inputs=(),
        numbers=(),
        steps=tuple(steps),
    )


def _layer_steps(told: Told, finding: Finding, layer: Layer) -> Iterator[Step]:
    voice = told.voice
    whose = voice.layer(layer.limit)
    if layer.limit.value is None:
        yield Step(f"{capital(whose)}: {voice.word('page', 'no_figure', typed=layer.limit.typed)}")
        return
    numbers = layer_numbers(voice, finding, layer, told.gaps.symbol)
    if numbers is None:
        yield Step(f"{capital(whose)}: {voice.word('page', 'untold')}")
        return
    if finding.id == "fuel.enough":
        yield _need(voice, layer, whose)
    factor = factor_of(layer)
    if factor != 1.0:
        runway = Pencil(voice).number("length", layer.limit.value * factor, told.gaps.symbol)
        result = Pencil(voice).number("length", layer.limit.value, told.gaps.symbol)
        yield Step(
            voice.word("step", "longest", whose=capital(whose)), f"{runway} / {factor:g}", result, told.gaps.symbol
        )
    value, limit = numbers.value.replace(",", ""), numbers.limit.replace(",", "")
    if is_clock(finding) or isinstance(finding.value, date):
        gaps = {"whose": capital(whose), "value": value, "limit": limit, "margin": numbers.margin}
        yield Step(voice.word("step", "left_time" if layer.passes else "over_time", **gaps))
        return
    upper = layer.limit.sense.is_upper
    first, second = (limit, value) if upper == layer.passes else (value, limit)
    key = "left" if layer.passes else "over"
    words = voice.word("step", key, whose=capital(whose))
    yield Step(words, f"{first} - {_bracket(second)}", numbers.margin.replace(",", ""), numbers.symbol)


def _bracket(number: str) -> str:
    return f"({number})" if number.startswith("-") else number


def _need(voice: Voice, layer: Layer, whose: str) -> Step:
    """Return what a reserve makes of the fuel needed."""
    pencil = Pencil(voice)
    symbol = pencil.symbol("volume", "fuel_usable_l")
    trip = pencil.number("volume", pencil.value("trip_l"), symbol)
    burn = pencil.number("volume", pencil.value("burn_l_per_h"), symbol)
    unusable_l = pencil.value("fuel_unusable_l") if pencil.value("readings_count") == "everything" else 0.0
    reserve_h = (layer.limit.value - pencil.value("trip_l") - unusable_l) / pencil.value("burn_l_per_h")
    expression = f"{trip} + {burn} x {calculator(reserve_h)}"
    if unusable_l:
        expression += f" + {pencil.number('volume', unusable_l, symbol)}"
    result = pencil.number("volume", layer.limit.value, symbol)
    return Step(voice.word("step", "need", whose=capital(whose), typed=layer.limit.typed), expression, result, symbol)
