"""The start-to-take-off card: today's figures, the manual's own numbers, the items of start and run-up, the gates.

Nothing here is supplied by the tool. A number that the manual's definition or the answer does not hold is a line to be
written on, with the place where it is to be found.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime
from typing import Any

from gyrewright.aircraft.definition import Definition
from gyrewright.desk.book.chain import Head
from gyrewright.desk.paper.frame import frame, when
from gyrewright.desk.paper.items import item_printed
from gyrewright.desk.services.answers import Answered
from gyrewright.desk.worded import list_in
from gyrewright.inspection.lists import items_for, shipped_list
from gyrewright.release.flight import EMPTY
from gyrewright.units import as_read
from gyrewright.words.catalogue import FIRST
from gyrewright.words.tell import Said
from gyrewright.words.voice import Voice, capital

ROTOR = (
    ("Pre-rotate to", ("prerotation_target",)),
    ("Least to roll with", ("prerotation_least_to_roll",)),
    ("Most with the drive engaged", ("prerotation_most_engaged",)),
    ("Green band", ("rotor_lowest", "rotor_highest")),
    ("Never above", ("rotor_most",)),
    ("In flight never below", ("rotor_least_in_flight",)),
    ("Brake only below", ("rotor_brake_below",)),
)
SPEEDS = (
    ("Best climb", ("best_climb",)),
    ("Approach", ("approach",)),
    ("Turbulence", ("turbulence",)),
    ("Never exceed", ("never_exceed",)),
    ("Least in level flight", ("least_level",)),
)
ENGINE = (
    ("Oil temperature", ("oil_temperature_lowest", "oil_temperature_highest")),
    ("Oil pressure", ("oil_pressure_lowest", "oil_pressure_highest")),
    ("Oil pressure when cold, at most", ("oil_pressure_cold",)),
    ("Coolant, at most", ("coolant_highest",)),
    ("Cylinder head, at most", ("cylinder_head_highest",)),
    ("Fuel pressure", ("fuel_pressure_lowest", "fuel_pressure_highest")),
    ("Ignition drop, at most", ("ignition_drop_most",)),
    ("Full throttle, standing", ("static_rpm",)),
    ("Continuous", ("engine_continuous",)),
    ("Five minutes", ("engine_five_minutes",)),
)
"""What is printed, each with the manual's numbers by which it goes: one, or the two ends of a band."""

TODAY = (
    ("hottest_at_take_off_k", "temperature"),
    ("lowest_altimeter_pa", "pressure"),
    ("density_altitude_m", "length"),
    ("wind_m_s", "speed"),
    ("crosswind_m_s", "speed"),
    ("ground_roll_m", "length"),
    ("take_off_distance_m", "length"),
    ("climb_m_s", "climb"),
)
"""Worked numbers of the answer that are looked at again before the start, each with its dimension."""

_ON_THE_RUNWAY = ("ground_roll_m", "take_off_distance_m")
"""Distances, read in the unit of the runway's length."""
_TABLES = {"ground_roll_m": "ground_roll", "take_off_distance_m": "take_off_distance", "climb_m_s": "climb"}


def card_sheet(
    found: Answered, said: Said, *, head: Head, made_at: datetime, base: str, language: str = FIRST
) -> dict[str, Any]:
    """Return the card for a flight as it is answered now."""
    definition, voice = found.question.definition, said.voice
    start = list_in(shipped_list("start"), language)
    equipment = definition.equipment | _today_words(found)
    sheet = frame(
        kind="Start to take-off",
        title=f"{definition.name} {definition.id}, {_runway(found)}, {_start(found)}",
        fingerprint=found.asked.record.hash,
        base=base,
        head=head,
        made_at=made_at,
        language=language,
    )
    return sheet | {
        "verdict": found.verdict.code,
        "sentence": said.sentence if found.verdict.code != "GO" else "",
        "today": list(_today(definition, voice)),
        "runway": _runway_length(voice),
        "rotor": list(_numbers(definition, ROTOR)),
        "speeds": list(_numbers(definition, SPEEDS)),
        "engine": list(_numbers(definition, ENGINE)),
        "gates": list(start.gates),
        "items": [
            item_printed(item, definition, language) for item in items_for(start, event="start", equipment=equipment)
        ],
        "list": f"{start.name}, revision {start.revision}",
        "manual": voice.source(definition.manual),
        "page": voice.word("source", "page", page=definition.card_page) if definition.card_page else "",
    }


def _today_words(found: Answered) -> frozenset[str]:
    seats = [who for _, who in found.question.flight.seats]
    if len(seats) < 2:
        return frozenset()
    return frozenset(("second seat empty" if EMPTY in seats else "second seat taken",))


def _runway(found: Answered) -> str:
    runway = found.question.flight.runway
    return f"runway {runway.typed}" if runway.is_known else "runway not said"


def _start(found: Answered) -> str:
    depart_at = found.question.flight.depart_at
    return when(depart_at) if depart_at else "start not said"


def _runway_length(voice: Voice) -> str:
    fact = voice.sheet.facts.get("runway_length_m")
    return fact.typed if fact is not None and fact.is_known else ""


def _today(definition: Definition, voice: Voice) -> Iterator[list[Any]]:
    """Yield today's numbers: name, value or nothing, and where it comes from."""
    sheet = voice.sheet
    runway = sheet.facts.get("runway_length_m")
    for name, dimension in TODAY:
        value = ""
        if name in sheet and sheet.cell(name).known is True:
            facts = sheet.facts
            typed = [facts[leaf].typed for leaf in sheet.plan.leaves(name) if leaf in facts]
            if name in _ON_THE_RUNWAY and runway is not None:
                typed.insert(0, runway.typed)
            value = voice.quantity(dimension, float(sheet.value(name)), *typed)
        page = definition.table(_TABLES[name]).page if name in _TABLES else ""
        where = voice.word("source", "page", page=page) if page else ""
        if not value:
            where = "see the manual's tables" if name in _TABLES else "see the day's report"
        yield [capital(voice.word("number", name)), [value], where]


def _numbers(definition: Definition, names: tuple[tuple[str, tuple[str, ...]], ...]) -> Iterator[list[Any]]:
    """Yield the manual's numbers: name, each value or nothing, and where a missing one is to be found."""
    typed = {fact.name.removeprefix("card:"): as_read(fact.typed) for fact in definition.card if fact.is_known}
    for label, keys in names:
        values = [typed.get(key, "") for key in keys]
        yield [label, values, "" if all(values) else "see the manual"]
