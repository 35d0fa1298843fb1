"""What stands behind a finding's sentence: its layers, what it rests on, what would cure it and who may."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import datetime

from gyrewright.fact import Doubt, Fact
from gyrewright.finding import Condition, Layer, Verdict
from gyrewright.rules.pack import Pack
from gyrewright.units import as_read
from gyrewright.words.catalogue import PARTS
from gyrewright.words.gaps import WHEN_SAID, lacking_words, layer_numbers
from gyrewright.words.tell import Said, Told, condition_words
from gyrewright.words.voice import Voice, as_sentence, capital


@dataclass(frozen=True, slots=True)
class ToldLayer:
    """One layer of a limit in words: whose it is, what it allows, how the value stands to it, who may relax it."""

    layer: Layer
    whose: str
    allows: str
    stands: str
    source: str
    relaxed: str


@dataclass(frozen=True, slots=True)
class ToldInput:
    """One fact that a finding rests on, with what was typed and how old it was when this was asked."""

    name: str
    words: str
    typed: str
    origin: str
    at: datetime | None
    age: str
    by: str
    doubt: str
    why: str
    where: str


@dataclass(frozen=True, slots=True)
class ToldCure:
    """One change that would make something pass, and who may make it."""

    id: str
    words: str
    who: str


@dataclass(frozen=True, slots=True)
class ToldCondition:
    """Something to be done or kept: what, who sees to it, until when."""

    id: str
    words: str
    owner: str
    until: datetime | None


def layers_of(told: Told) -> tuple[ToldLayer, ...]:
    """Return the layers of a finding in words, in the order of whose they are."""
    voice, finding = told.voice, told.finding
    out = []
    for layer in finding.layers:
        limit = layer.limit
        numbers = layer_numbers(voice, finding, layer, told.gaps.symbol)
        if limit.value is None:
            allows, stands = voice.word("page", "no_figure", typed=as_read(limit.typed)), ""
        else:
            bound = numbers.with_unit(numbers.limit) if numbers else as_read(limit.typed)
            allows = voice.word("sense", limit.sense.value, limit=bound)
            if limit.typed and as_read(limit.typed) != bound:
                allows += f" ({as_read(limit.typed)})"
            stands = _stands(voice, layer, numbers.with_unit(numbers.margin) if numbers else "")
        out.append(
            ToldLayer(
                layer=layer,
                whose=voice.layer(limit),
                allows=allows,
                stands=stands,
                source=voice.source(limit.source),
                relaxed=voice.word("relaxed", limit.whose.value),
            )
        )
    return tuple(out)


def _stands(voice: Voice, layer: Layer, margin: str) -> str:
    """Return how a value stands to one layer."""
    if layer.value is None:
        return voice.word("page", "untold")
    if not layer.passes:
        key = "beyond" if layer.limit.demonstrated else "broken"
    elif margin.startswith("0 "):
        key = "holds exactly"
    else:
        key = "holds" if layer.limit.sense.is_upper else "holds lower"
    told = voice.word("page", key, margin=margin)
    return f"{told}, {voice.word('page', 'demonstrated')}" if layer.limit.demonstrated else told


def inputs_of(voice: Voice, names: Iterable[str]) -> tuple[ToldInput, ...]:
    """Return facts in words, with their ages."""
    facts = voice.sheet.facts
    return tuple(_input(voice, facts[name]) for name in names if name in facts)


def _input(voice: Voice, fact: Fact) -> ToldInput:
    return ToldInput(
        name=fact.name,
        words=voice.word("fact", fact.name),
        typed=typed_of(voice, fact),
        origin=fact.origin.value,
        at=fact.at,
        age=voice.age(fact.at) if fact.at is not None else "",
        by=voice.by(fact.by) if fact.by else "",
        doubt=fact.doubt.value,
        why=fact.why,
        where=fact.where,
    )


def typed_of(voice: Voice, fact: Fact) -> str:
    """Return what was typed for a fact: a time reads as a time, a person by name."""
    if isinstance(fact.value, datetime):
        return voice.moment(fact.value)
    if isinstance(fact.value, str):
        return voice.names.get(fact.value, fact.typed)
    return as_read(fact.typed)


def cures_of(told: Told) -> tuple[ToldCure, ...]:
    """Return what would cure a finding and who may do it: its own cures, else its kind's, and what to fetch."""
    voice, finding = told.voice, told.finding
    if finding.verdict in (Verdict.GO, Verdict.GO_IF):
        return ()
    out = [
        ToldCure(cure.id, as_sentence(voice.word("cure", cure.id, **voice.named(cure.params))), voice.who(cure.who))
        for cure in finding.cures
    ]
    if not out and (finding.verdict is not Verdict.UNKNOWN or not finding.lacking):
        words = told.say("cure") or (voice.word("cure", "judge") if finding.verdict is Verdict.JUDGE else "")
        if words:
            out.append(ToldCure(finding.id, words, _who(told)))
    if finding.verdict is Verdict.UNKNOWN and not out:
        out.extend(_fetch(voice, name) for name in finding.lacking)
    return tuple(out)


def _who(told: Told) -> str:
    template = told.voice.words.finding(told.finding.id, "cure_by")
    return told.voice.fill(template, told.gaps.get) if template else ""


def _fetch(voice: Voice, name: str) -> ToldCure:
    """Return the cure of a missing fact: to find it out, and where it belongs."""
    fact = voice.sheet.facts.get(name)
    words = lacking_words(voice, name)
    where = fact.where if fact is not None else ""
    told = voice.word("cure", "fetch where" if where else "fetch", fact=words, where=where)
    part = name.partition("_")[0]
    person = voice.sheet.value(part) if part in PARTS else None
    who = voice.names.get(person or "", "") or voice.word("fetched_by", name)
    return ToldCure(f"{FETCH}{name}", told, who)


def all_cures(said: Said) -> tuple[ToldCure, ...]:
    """Return the shortest list of cures for a whole answer: each once, for the worst reason first.

    Facts to be found out are one cure for each place that they belong in and each hand that can bring them.
    """
    found: dict[str, ToldCure] = {}
    lacking: dict[str, str] = {}
    for told in said.findings:
        for cure in cures_of(told):
            if cure.id.startswith(FETCH):
                lacking.setdefault(cure.id.removeprefix(FETCH), cure.who)
            else:
                found.setdefault(cure.words, cure)
    return (*found.values(), *_fetched_together(said.voice, lacking))


def _fetched_together(voice: Voice, lacking: Mapping[str, str]) -> Iterator[ToldCure]:
    """Yield the cures of missing facts, given who can bring each: those of one place and one hand together."""
    together: dict[tuple[str, str, str], dict[str, None]] = {}
    for name, who in lacking.items():
        if name.endswith(WHEN_SAID) and name.removesuffix(WHEN_SAID) in lacking:
            continue  # whoever says a thing says when
        fact = voice.sheet.facts.get(name)
        file, _, key = (fact.where if fact is not None else "").partition(": ")
        head = key.partition(".")[0]
        words = lacking_words(voice, name)
        if key != head:
            words = voice.word("cure", "fetch key", fact=words, place=key)
        together.setdefault((file, head, who), {})[words] = None
    for (file, head, who), several in together.items():
        where = f"{file}: {head}" if head else file
        words = voice.word("cure", "fetch where" if where else "fetch", fact="; ".join(several), where=where)
        yield ToldCure(FETCH, words, who)


FETCH = "fetch:"
"""How the id of a cure begins that is a fact to be found out."""


def conditions_told(voice: Voice, conditions: Iterable[Condition]) -> tuple[ToldCondition, ...]:
    """Return conditions in words."""
    return tuple(
        ToldCondition(
            each.id,
            as_sentence(condition_words(voice, each)),
            voice.who(each.owner),
            each.until,
        )
        for each in conditions
    )


def known(said: Said) -> tuple[ToldInput, ...]:
    """Return the facts with an age, or in doubt, that this answer rests on, the newest first."""
    names = dict.fromkeys(name for told in said.findings for name in told.finding.inputs)
    facts = said.voice.sheet.facts
    dated = [facts[name] for name in names if name in facts and _is_dated(facts[name])]
    ordered = sorted(dated, key=lambda fact: fact.at.timestamp() if fact.at else 0.0, reverse=True)
    return inputs_of(said.voice, (fact.name for fact in ordered))


def _is_dated(fact: Fact) -> bool:
    return (fact.at is not None and not isinstance(fact.value, datetime)) or fact.doubt is Doubt.CONTRADICTORY


def dated_inputs(told: Told) -> Iterator[ToldInput]:
    """Yield the facts of a finding that have an age or are in doubt."""
    facts = told.voice.sheet.facts
    for each in inputs_of(told.voice, told.finding.inputs):
        if _is_dated(facts[each.name]) or each.doubt:
            yield each


def cautions_of(said: Said) -> tuple[str, ...]:
    """Return the cautions in words."""
    return tuple(_caution(said, each.id, dict(each.params)) for each in said.answer.cautions)


def _caution(said: Said, id: str, gaps: dict[str, object]) -> str:
    voice = said.voice
    if id.endswith(DEMONSTRATED):
        owner = id.removesuffix(DEMONSTRATED)
        for told in said.findings:
            if told.finding.id == owner:
                for layer in told.finding.layers:
                    if layer.limit.demonstrated and not layer.passes:
                        numbers = layer_numbers(voice, told.finding, layer, told.gaps.symbol)
                        if numbers:
                            value, limit = numbers.with_unit(numbers.value), numbers.with_unit(numbers.limit)
                            return capital(
                                voice.word("caution", "demonstrated", name=told.name, value=value, limit=limit)
                            )
    return as_sentence(voice.word("caution", id, **gaps))


DEMONSTRATED = ".demonstrated"
"""How a caution's id ends where a maker has demonstrated less and not forbidden more."""


def assumptions_of(said: Said) -> tuple[str, ...]:
    """Return how it was counted, in words."""
    voice = said.voice
    out = []
    for note in said.answer.assumptions:
        gaps = dict(note.params)
        if "how" in gaps:
            found = voice.words.word("how", gaps["how"])
            gaps["how"] = found[0].text if found else gaps["how"]
        if "table" in gaps:
            gaps["table"] = voice.part(gaps["table"])
        out.append(capital(voice.word("assumption", note.id, **gaps)))
    return tuple(out)


def rooms_not_looked_at(said: Said) -> str:
    """Return what the answer leaves out, as a list in words."""
    return said.voice.joined(said.voice.word("not_looked_at", each) for each in said.answer.not_looked_at)


def pack_of(said: Said) -> Pack | None:
    """Return the rule pack, where any of its rules was asked."""
    asked = any(told.finding.id.startswith(RULE) for told in said.findings)
    return said.answer.situation.question.pack if asked else None


RULE = "rule."
"""How the id of a finding of the law begins."""


def not_needed_of(said: Said) -> tuple[str, ...]:
    """Return in words the facts that no check of this flight rests on; those of one family once."""
    voice = said.voice
    kept: list[str] = []
    counted: dict[str, int] = {}
    for name in said.answer.not_needed:
        family = "card" if name.startswith("card:") else name.partition("_")[0] if "_" in name else ""
        if family == "card" or family in PARTS:
            counted[family] = counted.get(family, 0) + 1
        else:
            kept.append(voice.word("fact", name))
    for family, count in counted.items():
        key = "card_numbers" if family == "card" else "facts_about"
        kept.append(voice.word("page", key, count=str(count), facts=count, who=family))
    return tuple(dict.fromkeys(kept))
