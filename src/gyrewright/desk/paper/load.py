"""The load sheet on paper: every mass with its arm, the whole path of the fuel, and the working to do again by hand."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from datetime import datetime
from typing import Any

from gyrewright.aircraft.envelope import limits_at
from gyrewright.desk.book.chain import Head
from gyrewright.desk.pages.speech import speech_of
from gyrewright.desk.paper.drawn import for_paper
from gyrewright.desk.paper.frame import frame
from gyrewright.desk.services.answers import Answered, is_of_masses
from gyrewright.errors import UnknownName
from gyrewright.finding import Verdict
from gyrewright.pictures import loading
from gyrewright.pictures.frame import View
from gyrewright.release.flight import EMPTY
from gyrewright.units import unit_named
from gyrewright.words.catalogue import FIRST
from gyrewright.words.numbers import calculator, chosen, digits, in_unit
from gyrewright.words.tell import Said
from gyrewright.words.voice import capital
from gyrewright.words.working import workings

_ENVELOPE_PX = 560.0
_TARGETS = ("loading.take_off_mass", "loading.cg", "loading.hang", "loading.lateral")
"""The findings whose working is printed, as far as this aircraft has them."""

_SAID = ("loading.take_off_mass", "loading.cg", "loading.load", "loading.lateral", "loading.hang")
"""The findings of which the sheet says so where they hold."""


def load_sheet(
    found: Answered,
    said: Said,
    *,
    names: Mapping[str, str],
    head: Head,
    made_at: datetime,
    base: str,
    language: str = FIRST,
) -> dict[str, Any]:
    """Return a flight's load sheet, for those who may see masses."""
    definition = found.question.definition
    sheet = frame(
        kind="Load sheet",
        title=said.question,
        fingerprint=found.asked.record.hash,
        base=base,
        head=head,
        made_at=made_at,
        language=language,
    )
    symbols = _symbols(said)
    told = [
        each
        for each in said.findings
        if is_of_masses(each.finding) and (each.finding.verdict is not Verdict.GO or each.finding.id in _SAID)
    ]
    has_arms = not definition.no_arms
    return sheet | {
        "mass_unit": symbols["mass"],
        "arm_unit": symbols["arm"],
        "moment_unit": f"{symbols['mass']} {symbols['arm']}",
        "has_arms": has_arms,
        "no_arms": definition.no_arms,
        "rows": list(_rows(found, said, names, symbols)),
        "totals": list(_totals(said, symbols)),
        "path": list(_path(said, symbols)) if has_arms else [],
        "envelopesvg": for_paper(
            loading.loading(found.answer, View(width=_ENVELOPE_PX, speech=speech_of(said), heading=False))
        ),
        "findings": [[each.finding.verdict.code, each.question, each.sentence] for each in told],
        "workings": _halved(list(_workings(said))),
        "manual": said.voice.source(definition.manual),
    }


def _symbols(said: Said) -> dict[str, str]:
    facts = said.voice.sheet.facts
    typed = {"mass": ("empty_mass_kg",), "arm": ("empty_arm_m",)}
    return {
        dimension: chosen(dimension, said.voice.preferred, [facts[name].typed for name in names if name in facts])
        for dimension, names in typed.items()
    }


def _number(said: Said, name: str, dimension: str, symbols: Mapping[str, str]) -> float | None:
    """Return a number of the sheet in the unit of its column; None where it is not known."""
    sheet = said.voice.sheet
    if name not in sheet or sheet.cell(name).known is not True:
        return None
    return in_unit(unit_named(dimension, symbols[dimension]), float(sheet.value(name)))


def _rows(found: Answered, said: Said, names: Mapping[str, str], symbols: Mapping[str, str]) -> Iterator[list[str]]:
    """Yield what is loaded: place, who or what, mass, arm, moment; empty where it is not known, to be written in."""
    question = found.question
    aboard = dict(question.flight.seats)
    facts = said.voice.sheet.facts

    def row(place: str, what: str, mass: float | None, arm: float | None) -> list[str]:
        moment = calculator(mass * arm) if mass is not None and arm is not None else ""
        return [capital(place.removeprefix("the ")), what, _text(mass), _text(arm), moment]

    weighed = said.voice.day_of(question.definition.weighed_on) if question.definition.weighed_on else ""
    empty = said.voice.word("step", "empty_row")
    yield row(
        empty,
        f"{said.voice.word('fact', 'empty_mass_kg')}{f', {weighed}' if weighed else ''}",
        _number(said, "empty_mass_kg", "mass", symbols),
        _number(said, "empty_arm_m", "arm", symbols),
    )
    for station in question.definition.stations:
        who = aboard.get(station.id, "")
        mass_fact = facts.get(f"load_kg:{station.id}")
        what = names.get(who, who) if who else (mass_fact.typed if mass_fact is not None else "")
        what = "empty" if who == EMPTY else what
        yield row(
            said.voice.part(station.id),
            what,
            _number(said, f"load_kg:{station.id}", "mass", symbols),
            _number(said, f"arm_m:{station.id}", "arm", symbols),
        )
    fuel = said.voice.sheet
    litres = said.voice.quantity("volume", float(fuel.value("fuel_loaded_l"))) if _known(said, "fuel_loaded_l") else ""
    yield row(
        "fuel",
        litres,
        _number(said, "fuel_mass_kg", "mass", symbols),
        _number(said, "fuel_arm_m", "arm", symbols),
    )


def _totals(said: Said, symbols: Mapping[str, str]) -> Iterator[list[str]]:
    """Yield the sums: without fuel, and at take-off."""
    mass_kg, moment_kg_m = "zero_fuel_mass_kg", "zero_fuel_moment_kg_m"
    scale = unit_named("mass", symbols["mass"]).factor * unit_named("arm", symbols["arm"]).factor
    sheet = said.voice.sheet
    empty = _number(said, mass_kg, "mass", symbols)
    moment = float(sheet.value(moment_kg_m)) / scale if _known(said, moment_kg_m) else None
    yield [capital(said.voice.word("number", mass_kg)), _text(empty), _text(moment)]
    fuel = float(sheet.value("fuel_mass_kg")) if _known(said, "fuel_mass_kg") else None
    arm_m = float(sheet.value("fuel_arm_m")) if _known(said, "fuel_arm_m") else None
    whole = moment + fuel * arm_m / scale if moment is not None and fuel is not None and arm_m is not None else None
    take_off = _number(said, "take_off_mass_kg", "mass", symbols)
    yield [capital(said.voice.word("number", "take_off_mass_kg")), _text(take_off), _text(whole)]


def _known(said: Said, name: str) -> bool:
    return name in said.voice.sheet and said.voice.sheet.cell(name).known is True


def _text(number: float | None) -> str:
    return "" if number is None else calculator(number)


def _path(said: Said, symbols: Mapping[str, str]) -> Iterator[list[str]]:
    """Yield the ends of the fuel's path: what, mass, forward limit, center of gravity, aft limit."""
    sheet = said.voice.sheet
    if not _known(said, "cg_path") or not _known(said, "envelope"):
        return
    path, envelope = sheet.value("cg_path"), sheet.value("envelope")
    ends = str(sheet.value("burn_path_ends_at") or "no usable fuel")
    mass_unit, arm_unit = unit_named("mass", symbols["mass"]), unit_named("arm", symbols["arm"])
    for what, mass_kg, cg_m in (
        ("take-off", path.take_off_mass_kg, path.take_off_cg_m),
        (ends, path.end_mass_kg, path.end_cg_m),
    ):
        forward, aft = (float(each) for each in limits_at(envelope, float(mass_kg)))
        yield [
            what,
            digits(in_unit(mass_unit, float(mass_kg)), mass_unit.places),
            *(digits(in_unit(arm_unit, float(each)), arm_unit.places) for each in (forward, cg_m, aft)),
        ]


def _workings(said: Said) -> Iterator[list[Any]]:
    """Yield every working once: title, rule, the lines to key in."""
    seen: set[str] = set()
    present = {told.finding.id for told in said.findings}
    for target in _TARGETS:
        if target not in present:
            continue
        try:
            several = workings(said, target)
        except UnknownName:
            continue
        for each in several:
            if each.name in seen:
                continue
            seen.add(each.name)
            yield [capital(each.title), each.rule, [step.line for step in each.steps]]


def _halved(several: list[list[Any]]) -> list[list[list[Any]]]:
    """Return workings in two columns of about the same height, in their order."""
    heights = [2 + len(lines) for _, _, lines in several]
    at = next((place for place in range(len(several)) if 2 * sum(heights[: place + 1]) > sum(heights)), 0)
    return [several[: at + 1], several[at + 1 :]]
