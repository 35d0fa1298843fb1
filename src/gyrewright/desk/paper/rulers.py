"""Limit rulers of a frozen answer: what was drawn on the screen then can be drawn again from what was kept."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from typing import Any

from gyrewright.desk.paper.drawn import for_paper
from gyrewright.desk.worded import picture_words
from gyrewright.finding import Finding, Layer, Limit, Sense, Source, Verdict, Whose
from gyrewright.pictures.ruler import ruler
from gyrewright.pictures.speech import Speech
from gyrewright.pictures.svg import document
from gyrewright.units import DIMENSIONS, unit_named
from gyrewright.words.catalogue import catalogue

_PAD = 4.0


def finding_of(kept: Mapping[str, Any]) -> Finding:
    """Return a finding as far as a ruler needs it, from its place in a frozen answer."""
    dimension, symbol = kept["dimension"], kept["unit"]

    def inside(value: Any, *, difference: bool = False) -> Any:
        if isinstance(value, str):
            return date.fromisoformat(value)
        if value is None or dimension not in DIMENSIONS:
            return value
        unit = unit_named(dimension, symbol)
        return value * unit.factor if difference else (value + unit.offset) * unit.factor

    layers = []
    for each in kept["layers"]:
        limit = Limit(
            of=kept["id"],
            whose=Whose(each["whose"]),
            sense=Sense(each["sense"]),
            value=inside(each["limit"]),
            typed=each["typed"],
            source=Source(each["source"]["kind"], each["source"]["title"], each["source"]["section"]),
            demonstrated=each["demonstrated"],
            counts=each["counts"],
            verified_by=each["verified_by"],
            scope=each["scope"],
        )
        margin = inside(each["margin"], difference=True)
        layers.append(Layer(limit, inside(each["value"]), margin, each["passes"], each["binds"]))
    verdict = next(one for one in Verdict if one.code == kept["verdict"])
    return Finding(
        id=kept["id"],
        verdict=verdict,
        why=kept["why"],
        value=inside(kept["value"]),
        limit=inside(kept["limit"]),
        margin=inside(kept["margin"], difference=True),
        dimension=dimension,
        layers=tuple(layers),
        about=kept["about"],
    )


def ruler_drawn(kept: Mapping[str, Any], *, width: float, language: str) -> str:
    """Return the ruler of a frozen finding as a drawing for paper.

    Args:
        kept: The finding as the answer's JSON has it; it has at least one layer.
        width: How wide it is drawn. [px] Type keeps its size, so a wider drawing prints smaller on the same room.
        language: In which words.
    """
    words = catalogue(language)

    def layer(limit: Limit) -> str:
        found = words.word("layer", limit.whose.value)
        whose = found[0].text if found else limit.whose.value
        part = words.word("part", limit.scope) if limit.scope else None
        scope = part[0].text if part else limit.scope
        return f"{whose} ({scope})" if scope and scope not in (whose, limit.whose.value) else whose

    finding = finding_of(kept)
    parts, high = ruler(
        finding,
        x=_PAD,
        top=_PAD,
        width=width - 2.0 * _PAD,
        speech=Speech(words=picture_words(language), layer=layer),
        units={finding.dimension: kept["unit"]},
        facts={},
    )
    drawn = document(parts, width=width, height=high + 2.0 * _PAD, title=kept["question"], desc=kept["sentence"])
    return for_paper(drawn)


def share_left(kept: Mapping[str, Any]) -> float:
    """Return how small a frozen finding's margin is beside its limit; the smallest binds next."""
    binds = kept["binds_next"] or {}
    share = binds.get("share")
    return float(share) if share is not None else float("inf")
