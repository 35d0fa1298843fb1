"""An answer as programs read it: the one JSON form, as `answer.schema.json` describes it.

Numbers are in the unit that stands beside them, unrounded to nine significant digits. What is not known is null, never
zero and never left out.
"""

from __future__ import annotations

import json
import math
from datetime import date, datetime
from importlib.resources import files
from typing import TYPE_CHECKING, Any
from zoneinfo import ZoneInfo

from gyrewright.finding import BindsNext, Source
from gyrewright.units import DIMENSIONS, unit_named
from gyrewright.words.detail import (
    ToldInput,
    ToldLayer,
    assumptions_of,
    cautions_of,
    conditions_told,
    cures_of,
    inputs_of,
    layers_of,
    pack_of,
)
from gyrewright.words.numbers import in_unit, significant
from gyrewright.words.tell import Said, Told
from gyrewright.words.voice import Voice

if TYPE_CHECKING:
    from gyrewright.words.working import Working

SCHEMA = "gyrewright.answer/1"
WORKING_SCHEMA = "gyrewright.working/1"


def schema() -> dict[str, Any]:
    """Return the JSON Schema of an answer."""
    text = files("gyrewright.words").joinpath("answer.schema.json").read_text(encoding="utf-8")
    loaded: dict[str, Any] = json.loads(text)
    return loaded


def as_json(said: Said) -> dict[str, Any]:
    """Return an answer as plain data, ready to be written as JSON."""
    answer, voice = said.answer, said.voice
    operation = answer.situation.question.operation
    return {
        "schema": SCHEMA,
        "demo": operation.demo,
        "computed_at": _moment(answer.computed_at, said.voice.zone),
        "valid_until": _moment(answer.valid_until, said.voice.zone),
        "verdict": answer.verdict.code,
        "sentence": said.sentence,
        "findings": [_finding(told) for told in said.findings],
        "cautions": [
            {"id": caution.id, "sentence": words}
            for caution, words in zip(answer.cautions, cautions_of(said), strict=True)
        ],
        "not_looked_at": [{"id": each, "words": voice.word("not_looked_at", each)} for each in answer.not_looked_at],
        "assumptions": [
            {"id": note.id, "sentence": words}
            for note, words in zip(answer.assumptions, assumptions_of(said), strict=True)
        ],
        "not_needed": [{"fact": each, "words": voice.word("fact", each)} for each in answer.not_needed],
        "rules": _rules(said),
        "caution_text": voice.word("page", "caution_text"),
    }


def _rules(said: Said) -> list[dict[str, Any]]:
    """Return the rule pack where the law was looked at. A pack's revision is the day on which it was read."""
    pack = pack_of(said)
    if pack is None:
        return []
    read_on = pack.read_on.isoformat()
    return [
        {"pack": pack.name, "title": pack.title, "revision": read_on, "read_on": read_on, "reminder": pack.reminder}
    ]


def _finding(told: Told) -> dict[str, Any]:
    voice, finding, symbol = told.voice, told.finding, told.gaps.symbol
    cures = cures_of(told)
    dimension = finding.dimension
    return {
        "id": finding.id,
        "about": finding.about,
        "question": told.question,
        "verdict": finding.verdict.code,
        "why": finding.why,
        "sentence": told.sentence,
        "value": _number(dimension, finding.value, symbol),
        "limit": _number(dimension, finding.limit, symbol),
        "margin": _number(dimension, finding.margin, symbol, difference=True),
        "unit": symbol,
        "dimension": dimension,
        "layers": [_layer(dimension, symbol, each) for each in layers_of(told)],
        "source": _source(finding.source),
        "inputs": [_input(voice, each) for each in inputs_of(voice, finding.inputs)],
        "lacking": [{"fact": each, "words": voice.word("fact", each)} for each in finding.lacking],
        "conditions": [
            {"id": each.id, "sentence": each.words, "owner": each.owner, "until": _moment(each.until, voice.zone)}
            for each in conditions_told(voice, finding.conditions)
        ],
        "cure": [{"id": each.id, "sentence": each.words, "who": each.who} for each in cures],
        "who_may_cure": list(dict.fromkeys(each.who for each in cures)),
        "binds_next": _binds_next(finding.binds_next, voice.zone),
        "holds_until": _moment(finding.holds_until, voice.zone),
        "working": finding.working or None,
        "unconfirmed": finding.unconfirmed,
    }


def _layer(dimension: str, symbol: str, told: ToldLayer) -> dict[str, Any]:
    layer, limit = told.layer, told.layer.limit
    return {
        "whose": limit.whose.value,
        "scope": limit.scope,
        "sense": limit.sense.value,
        "limit": _number(dimension, limit.value, symbol),
        "typed": limit.typed,
        "value": _number(dimension, layer.value, symbol),
        "margin": _number(dimension, layer.margin, symbol, difference=True),
        "passes": layer.passes,
        "binds": layer.binds,
        "demonstrated": limit.demonstrated,
        "counts": limit.counts,
        "verified_by": limit.verified_by,
        "source": _source(limit.source),
        "words": f"{told.whose}: {told.allows}" + (f", {told.stands}" if told.stands else ""),
    }


def _input(voice: Voice, told: ToldInput) -> dict[str, Any]:
    age_min, asked_at = None, voice.asked_at
    if told.at is not None and asked_at is not None:
        age_min = significant((asked_at - told.at).total_seconds() / 60.0)
    return {
        "fact": told.name,
        "words": told.words,
        "typed": told.typed,
        "origin": told.origin,
        "at": _moment(told.at, voice.zone),
        "age_min": age_min,
        "by": told.by,
        "doubt": told.doubt,
        "why": told.why,
        "where": told.where,
    }


def _source(source: Source) -> dict[str, Any]:
    return {
        "kind": source.kind,
        "title": source.title,
        "section": source.section,
        "dated": source.dated.isoformat() if source.dated else None,
        "link": source.link,
        "revision": source.revision,
    }


def _binds_next(binds: BindsNext | None, zone: ZoneInfo) -> dict[str, Any] | None:
    if binds is None:
        return None
    share = significant(binds.share) if binds.share is not None and math.isfinite(binds.share) else None
    return {"share": share, "at": _moment(binds.at, zone), "by": binds.by}


def _moment(at: datetime | None, zone: ZoneInfo) -> str | None:
    """Return a moment by the field's clock, whatever clock it came from: two that are the same read the same."""
    return at.astimezone(zone).isoformat() if at is not None else None


def _number(dimension: str, value: Any, symbol: str, *, difference: bool = False) -> float | str | None:
    if isinstance(value, date):
        return value.isoformat()
    if not isinstance(value, int | float) or isinstance(value, bool) or not math.isfinite(value):
        return None
    if dimension in DIMENSIONS:
        value = in_unit(unit_named(dimension, symbol), float(value), difference=difference)
    return significant(float(value)) + 0.0


def working_as_json(workings: tuple[Working, ...]) -> dict[str, Any]:
    """Return workings as plain data, ready to be written as JSON."""
    return {
        "schema": WORKING_SCHEMA,
        "workings": [
            {
                "name": each.name,
                "title": each.title,
                "value": each.value,
                "rule": each.rule,
                "inputs": [
                    {"fact": fact.name, "words": fact.words, "typed": fact.typed, "where": fact.where}
                    for fact in each.inputs
                ],
                "numbers": list(each.numbers),
                "steps": [
                    {"words": step.words, "expression": step.expression, "result": step.result, "unit": step.unit}
                    for step in each.steps
                ],
            }
            for each in workings
        ],
    }
