"""An answer as a page of plain text: it reads well in a narrow terminal, in a pipe, without color, and aloud."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable, Iterator
from datetime import datetime
from typing import TYPE_CHECKING

from gyrewright.finding import Verdict
from gyrewright.words.detail import (
    ToldInput,
    ToldLayer,
    all_cures,
    assumptions_of,
    cautions_of,
    conditions_told,
    dated_inputs,
    known,
    layers_of,
    not_needed_of,
    pack_of,
    rooms_not_looked_at,
)
from gyrewright.words.tell import Said, Told, clocks, next_up
from gyrewright.words.voice import Voice, capital

if TYPE_CHECKING:
    from gyrewright.words.working import Working

WIDTH = 80
SHOWN_CLOCKS = 8
"""How many of the times at which something ends are named."""
SHOWN_NEXT = 5
"""How many of the margins that hold are named as binding next."""


def wrapped(text: str, *, first: str = "", indent: str = "") -> Iterator[str]:
    """Yield a text in lines of the page's width; the first begins with `first`, the others with `indent`."""
    yield from textwrap.wrap(
        text,
        WIDTH,
        initial_indent=first,
        subsequent_indent=indent or " " * len(first),
        break_long_words=False,
        break_on_hyphens=False,
    )


def items(texts: Iterable[str]) -> Iterator[str]:
    """Yield texts as a list."""
    for text in texts:
        yield from wrapped(text, first="- ")


def numbered(texts: Iterable[str]) -> Iterator[str]:
    """Yield texts as a numbered list."""
    for number, text in enumerate(texts, start=1):
        yield from wrapped(text, first=f"{number}. ", indent="   ")


def head(said: Said) -> Iterator[str]:
    """Yield what every output about a flight begins with: the question, the mark, the sentence, what was left out."""
    answer, voice = said.answer, said.voice
    yield from demo_line(said)
    yield from wrapped(said.question)
    yield ""
    yield said.mark
    yield from wrapped(f"{said.sentence} {said.more}".strip())
    if answer.not_looked_at:
        yield from wrapped(voice.word("page", "not_looked_at", rooms=rooms_not_looked_at(said)))
    yield ""


def demo_line(said: Said) -> Iterator[str]:
    """Yield the line that marks invented data, where it is."""
    if said.answer.situation.question.operation.demo:
        yield from wrapped(said.voice.word("page", "demo"))
        yield ""


def page(said: Said) -> list[str]:
    """Return the whole answer, line by line."""
    return tidy([*head(said), *_times(said), *_body(said), *foot(said.voice)])


def tidy(lines: Iterable[str]) -> list[str]:
    """Return lines without a second empty one in a row, and without blanks at their ends."""
    out: list[str] = []
    for line in lines:
        if line.strip() or not out or out[-1]:
            out.append(line.rstrip())
    return out


def foot(voice: Voice) -> Iterator[str]:
    """Yield what every page ends with: the usual cautions, and who releases."""
    yield ""
    yield from wrapped(voice.word("page", "caution_text"))
    yield from wrapped(voice.word("page", "last"))


def _times(said: Said) -> Iterator[str]:
    answer, voice = said.answer, said.voice
    flight = answer.situation.question.flight
    gaps = {"asked_at": answer.computed_at, "zone": voice.clock_name()}
    key = "asked" if flight.depart_at is not None and flight.block.is_known else "asked open"
    told = voice.word("page", key, **gaps)
    if answer.valid_until is not None:
        told += " " + voice.word("page", "valid", valid_until=answer.valid_until)
    yield from wrapped(told)


def _section(voice: Voice, key: str, lines: Iterable[str], **gaps: object) -> Iterator[str]:
    """Yield a heading and its lines; nothing at all where there are no lines."""
    several = list(lines)
    if several:
        yield ""
        yield voice.word("page", key, **gaps)
        yield from several


def _body(said: Said) -> Iterator[str]:
    answer, voice = said.answer, said.voice
    against = [told for told in said.findings if told.finding.verdict is not Verdict.GO]
    held = [told for told in said.findings if told.finding.verdict is Verdict.GO]
    yield from _section(voice, "cures", _cures(said))
    yield from _section(voice, "conditions", _conditions(said))
    yield from _section(voice, "reasons", (line for told in against for line in _reason(told)))
    yield from _section(voice, "next", _next(said))
    yield from _section(voice, "cautions", items(cautions_of(said)), count=str(len(answer.cautions)))
    yield from _section(voice, "held", (line for told in held for line in _held(told)), count=str(len(held)))
    yield from _section(voice, "known", _known(said))
    yield from _section(voice, "assumptions", items(assumptions_of(said)))
    yield from _section(voice, "rules", _pack(said))
    yield from _section(voice, "not_needed", wrapped(capital("; ".join(not_needed_of(said))) + "."))


def _pack(said: Said) -> Iterator[str]:
    pack = pack_of(said)
    if pack is not None:
        gaps = {"title": pack.title, "read_on": pack.read_on, "reminder": pack.reminder}
        yield from items([said.voice.word("page", "rule_pack", **gaps)])


def _cures(said: Said) -> Iterator[str]:
    voice = said.voice
    cures = all_cures(said)
    texts = [f"{cure.words} {voice.word('page', 'who', who=cure.who)}" if cure.who else cure.words for cure in cures]
    if texts:
        yield from numbered(texts)
    elif said.answer.verdict > Verdict.GO_IF:
        yield from wrapped(voice.word("page", "no_cure"))


def _conditions(said: Said) -> Iterator[str]:
    voice = said.voice
    texts: dict[str, None] = {}
    for told in said.findings:
        for each in conditions_told(voice, told.finding.conditions):
            owner = voice.word("page", "owner", owner=each.owner)
            until = f", {voice.word('page', 'until', until=each.until)}" if each.until else ""
            texts[f"{each.words} {capital(owner)}{until}."] = None
    yield from numbered(texts)


def _reason(told: Told) -> Iterator[str]:
    """Yield a reason against: its question, what was found, the limits side by side, and what it rests on."""
    voice, finding = told.voice, told.finding
    yield ""
    yield from wrapped(f"{told.mark}: {told.question}")
    yield from wrapped(told.sentence, first="  ")
    layers = layers_of(told)
    for each in layers:
        yield from wrapped(_layer_line(voice, each), first="  - ")
    binding = next((each for each in layers if each.layer.binds), None)
    source = binding.source if binding else voice.source(finding.source)
    if source:
        relaxed = f" {binding.relaxed}" if binding and finding.verdict is Verdict.STOP else ""
        yield from wrapped(voice.word("page", "written", source=source) + relaxed, first="  ")
    basis = told.say("basis")
    if basis and finding.verdict is not Verdict.UNKNOWN:
        yield from wrapped(basis, first="  ")
    inputs = [_input_words(voice, each) for each in dated_inputs(told)]
    if inputs:
        yield from wrapped(voice.word("page", "rests_on", inputs="; ".join(inputs)), first="  ")
    yield from _working_line(told, "  ")


def _layer_line(voice: Voice, told: ToldLayer) -> str:
    """Return one layer in a line: whose, what it allows, how the value stands to it, and whether it binds."""
    words = [f"{told.whose}: {told.allows}", told.stands, voice.word("page", "binds") if told.layer.binds else ""]
    return ", ".join(each for each in words if each)


def _working_line(told: Told, first: str) -> Iterator[str]:
    name = told.finding.working
    if name:
        yield from wrapped(told.voice.word("page", "working", name=name), first=first)


def _held(told: Told) -> Iterator[str]:
    """Yield something that holds, in few lines: what was found, every layer where there are several, where written."""
    voice, finding = told.voice, told.finding
    yield from wrapped(told.whole, first="- ")
    layers = layers_of(told)
    if len(layers) > 1:
        yield from wrapped("; ".join(_layer_line(voice, each) for each in layers) + ".", first="  ")
    if finding.unconfirmed:
        yield from wrapped(voice.word("page", "unconfirmed"), first="  ")
    source = voice.source(finding.source)
    if source:
        yield from wrapped(f"{source}.", first="  ")


def _next(said: Said) -> Iterator[str]:
    voice = said.voice
    yield from numbered(f"{capital(told.name)}: {told.left}." for told in next_up(said.findings)[:SHOWN_NEXT])
    several = clocks(said)
    if several:
        yield voice.word("page", "clocks")
        for at, words in several[:SHOWN_CLOCKS]:
            yield from wrapped(f"{voice.moment(at)} {words}", first="  ")
        if len(several) > SHOWN_CLOCKS:
            yield from wrapped(voice.word("clock", "later", count=str(len(several) - SHOWN_CLOCKS)), first="  ")


def _input_words(voice: Voice, told: ToldInput) -> str:
    """Return a fact in words with what was typed, by whom, and how old it was."""
    words = f"{told.words}: {told.typed}" if told.typed else told.words
    extra = [
        voice.word("doubt", told.doubt) if told.doubt else "",
        voice.word("page", "by", by=told.by) if told.by else "",
        told.age,
    ]
    return ", ".join([words, *(each for each in extra if each)])


def _known(said: Said) -> Iterator[str]:
    voice, question = said.voice, said.answer.situation.question
    yield from items(capital(_input_words(voice, each)) + "." for each in known(said))
    for taf in question.tafs:
        age = f", {voice.age(taf.issued_at)}" if isinstance(taf.issued_at, datetime) else ""
        yield from items([f"{taf.text}{age}."])


def working_page(said: Said, several: Iterable[Working]) -> list[str]:
    """Return workings, line by line."""
    lines = list(head(said))
    for each in several:
        lines += _working(said.voice, each)
    return tidy([*lines, *foot(said.voice)])


def _working(voice: Voice, told: Working) -> Iterator[str]:
    yield ""
    yield from wrapped(f"{voice.word('page', 'working_title')}: {told.title} ({told.name})")
    yield from wrapped(told.rule, first="  ")
    for fact in told.inputs:
        if fact.typed or fact.doubt:
            where = f" ({fact.where})" if fact.where else ""
            yield from wrapped(f"{capital(_input_words(voice, fact))}{where}", first="  - ")
    for number in told.numbers:
        yield from wrapped(capital(number), first="  - ")
    for index, step in enumerate(told.steps, start=1):
        yield from wrapped(step.line, first=f"  {index}. ", indent="     ")
    yield from wrapped(told.value, first="  = ", indent="    ")


def brief(said: Said, name: str) -> Iterator[str]:
    """Yield an answer in few lines: the mark, what the flight is called, and the sentence."""
    yield from wrapped(f"{said.mark}: {name}")
    yield from wrapped(f"{said.sentence} {said.more}".strip(), first="  ")
