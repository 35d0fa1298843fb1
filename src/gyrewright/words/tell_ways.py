"""What would have to change, in sentences: offers, windows, needs, and the numbers to carry away."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, fields
from datetime import datetime
from typing import Any

from gyrewright.release.carry import Carry
from gyrewright.release.solved import Tank
from gyrewright.release.ways import NO_WAY_ROUND, Change, Need, Offer, Ways, Window
from gyrewright.units import DIMENSIONS, rounded, unit_named, with_symbol
from gyrewright.words.detail import conditions_told
from gyrewright.words.numbers import chosen, dimension_of, in_unit
from gyrewright.words.tell import Said, next_up, tell
from gyrewright.words.voice import Voice, as_sentence, capital

CAREFUL = {"low": "up", "high": "down", "least": "up", "most": "down", "highest": "down"}
"""Which way an edge is rounded, by the first word of its name: always to the side that passes."""


@dataclass(frozen=True, slots=True)
class ToldOffer:
    """One way in words: what changes, the mark of its answer, what must still be done, why not more."""

    changes: str
    mark: str
    todo: tuple[str, ...]
    edges: tuple[str, ...]
    next: str
    said: Said


def offers_told(ways: Ways) -> Iterator[ToldOffer]:
    """Yield every offer in words, in its order."""
    for offer in ways.offers:
        yield _offer(offer)


def _offer(offer: Offer) -> ToldOffer:
    said = tell(offer.answer)
    voice = said.voice
    closest = next(iter(next_up(said.findings)), None)
    conditions = [each for finding in offer.answer.findings for each in finding.conditions]
    return ToldOffer(
        changes=capital(voice.joined(_change(voice, change) for change in offer.changes)),
        mark=said.mark,
        todo=tuple(dict.fromkeys(each.words for each in conditions_told(voice, conditions))),
        edges=tuple(text for change in offer.changes for text in _edges(voice, change)),
        next=voice.word("ways", "next", name=closest.name, left=closest.left) if closest and closest.left else "",
        said=said,
    )


def _change(voice: Voice, change: Change) -> str:
    gaps = {name: edge(voice, name, value) for name, value in change.params.items()}
    if "station" in change.params:
        gaps["place"] = voice.place(change.params["station"])
    for name in ("fuel_l", "mass_kg"):
        low = name.replace("fuel", "low").replace("mass", "low")
        gaps.setdefault(low, gaps.get(name, ""))
        gaps.setdefault(low.replace("low", "high"), gaps.get(name, ""))
    return voice.word("way", change.kind, **gaps)


def edge(voice: Voice, name: str, value: Any) -> Any:
    """Return a number that somebody will compare by hand, rounded to the side that passes; anything else as it is."""
    if not isinstance(value, int | float) or isinstance(value, bool):
        return value
    dimension = dimension_of(name)
    if dimension not in DIMENSIONS:
        return value
    symbol = chosen(dimension, voice.preferred, ())
    unit = unit_named(dimension, symbol)
    careful = CAREFUL.get(name.partition("_")[0], "")
    places = max(unit.places, 1)
    return with_symbol(rounded(in_unit(unit, value), places, careful=careful), symbol)


def _edges(voice: Voice, change: Change) -> Iterator[str]:
    low, high = ("before", "after") if change.kind == "start" else ("edge_low", "edge_high")
    for key, name in ((low, "binds_low"), (high, "binds_high")):
        binds = change.params.get(name)
        if binds:
            yield voice.word("ways", key, binds=binds)


def needs_told(voice: Voice, needs: tuple[Need, ...], names: dict[str, str]) -> Iterator[str]:
    """Yield what cooler air would do, for each aircraft."""
    for need in needs:
        gaps = {
            "aircraft": capital(names.get(need.aircraft_id, need.aircraft_id)),
            "highest_k": edge(voice, "highest_k", need.highest_k),
            "binds": need.binds,
        }
        if need.fuel_l is None:
            yield voice.word("ways", "need", **gaps)
        else:
            yield voice.word("ways", "need_fuel", fuel_l=edge(voice, "fuel_l", need.fuel_l), **gaps)


def tanks_told(voice: Voice, tanks: tuple[Tank, ...], names: dict[str, str]) -> Iterator[str]:
    """Yield for each aircraft what the flight needs and the pair leaves room for, whatever the weather."""
    for tank in tanks:
        if tank.needs_l is None:
            continue
        gaps = {
            "aircraft": capital(names.get(tank.aircraft_id, tank.aircraft_id)),
            "least_l": edge(voice, "least_l", tank.needs_l),
        }
        if tank.most_l is None:
            yield voice.word("ways", "tank_nothing", binds=tank.binds_most, **gaps)
        else:
            key = "tank" if tank.has_answer else "tank_none"
            yield voice.word("ways", key, most_l=edge(voice, "most_l", tank.most_l), binds=tank.binds_most, **gaps)


def windows_told(voice: Voice, windows: tuple[Window, ...]) -> Iterator[str]:
    """Yield every stretch of starts that pass, with what binds before and after it."""
    for window in windows:
        text = voice.word("ways", "window", start_at=window.start_at, end_at=window.end_at)
        binds = [
            voice.word("ways", key, binds=name)
            for key, name in (("window_before", window.binds_before), ("window_after", window.binds_after))
            if name
        ]
        yield as_sentence("; ".join([text, *binds]))


def against_told(said: Said, ways: Ways) -> Iterator[str]:
    """Yield why nothing passes, where nothing does."""
    if any(id in NO_WAY_ROUND for id in ways.stands_against):
        yield said.voice.word("ways", "no_round")
        return
    if not ways.offers:
        yield said.voice.word("ways", "no_way")
    names = dict.fromkeys(told.name for told in said.findings if told.finding.id in ways.stands_against)
    if names:
        yield said.voice.word("ways", "against", several=said.voice.joined(names))


def carry_told(voice: Voice, carry: Carry) -> tuple[str, list[tuple[str, str]]]:
    """Return a runway's heading, and its numbers with their names; "never" where nothing passes."""
    rows = []
    for each in fields(Carry):
        if each.name == "runway":
            continue
        name, value = each.name, getattr(carry, each.name)
        if name == "least_headwind_m_s" and value is not None and value < 0.0:
            name, value = "most_tailwind_m_s", -value
        if value is None:
            text = voice.word("ways", "never")
        elif isinstance(value, datetime):
            text = voice.moment(value)
        else:
            text = edge(voice, name, value)
        rows.append((voice.word("carry", name), text))
    return voice.word("carry", "runway", runway=carry.runway), rows
