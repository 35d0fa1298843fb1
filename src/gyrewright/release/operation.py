"""The operation: who it is, how it counts, its house rules, and which files belong to it."""

from __future__ import annotations

from dataclasses import dataclass

from gyrewright.air.weather import CODES
from gyrewright.errors import UnknownName
from gyrewright.fact import Fact, Origin, missing
from gyrewright.finding import Limit, Source, Whose
from gyrewright.inspection.walk_rules import WalkRules, read_walk_rules
from gyrewright.limits import read_limits
from gyrewright.maintenance.house import read_house
from gyrewright.people.cautions import CautionRule, read_caution_rule
from gyrewright.people.checks import PeopleRules, read_people_rules
from gyrewright.people.mass import read_mass_rule
from gyrewright.reading import Section
from gyrewright.rules.house import prove_house
from gyrewright.rules.pack import pack_named
from gyrewright.rules.said import read_said
from gyrewright.units import DIMENSIONS

HOUSE_CHOICES: dict[str, tuple[str, ...]] = {
    "pressure_altitude_by": ("altimeter equation", "inch rule"),
    "density_altitude_by": ("dry air", "moist air"),
    "between_forecasts": ("worse end", "straight"),
    "burn_path_ends_at": ("no usable fuel", "empty tank"),
}
"""What differs between houses in how a number is counted; each must be said, none is assumed."""


@dataclass(frozen=True, slots=True)
class Operation:
    """An operation as its own file describes it. Paths are as written, relative to that file."""

    name: str
    demo: bool
    file: str
    field_path: str
    people_path: str
    aircraft_paths: tuple[str, ...]
    words: str
    units: tuple[tuple[str, str], ...]
    counting: tuple[Fact, ...]
    readings: tuple[str, ...]
    limits: tuple[Limit, ...]
    rule_pack: str
    law: tuple[Fact, ...]
    upkeep: tuple[Fact, ...]
    walk_rules: WalkRules | None
    people_rules: PeopleRules
    caution_rule: CautionRule
    house: Source
    avoid_weather: frozenset[str] | None
    instructors: tuple[str, ...]
    lessons_instead: tuple[tuple[str, tuple[str, ...]], ...]


def read_operation(section: Section) -> Operation:
    """Return the operation that a file describes; problems are noted in the section."""
    units = section.section("units")
    chosen = []
    for name in units.keys():  # noqa: SIM118 - a section is not a mapping
        symbol = units.text(name)
        dimension = name.replace("_", " ")
        if dimension not in DIMENSIONS:
            units.wrong(name, f"is no kind of quantity; use one of: {', '.join(sorted(DIMENSIONS))}")
        elif symbol not in {unit.symbol for unit in DIMENSIONS[dimension].units}:
            accepted = ", ".join(unit.symbol for unit in DIMENSIONS[dimension].units)
            units.wrong(name, f"{symbol!r} is no unit of {dimension}; use one of: {accepted}")
        else:
            chosen.append((dimension, symbol))
    units.finish()

    house = section.section("house")
    document = Source("house rules", house.text("title"), dated=house.day("dated"))
    set_by = house.text("set_by")
    counting = [_counted(house, name, accepted) for name, accepted in HOUSE_CHOICES.items()]
    for key in ("observation_stands", "least_useful", "time_to_prepare"):
        counting.append(house.fact(key, "time", called=f"{key}_h", origin=Origin.HOUSE, high=24.0))
    counting.append(house.fact("least_margin", "share", called="least_margin_ratio", origin=Origin.HOUSE, high=0.5))
    aircraft = section.texts("aircraft", required=True)
    if not aircraft and isinstance(section.raw("aircraft"), list):
        section.wrong("aircraft", 'names no file; list the aircraft\'s files, such as ["aircraft.toml"]')
    operation = Operation(
        name=section.text("name", required=True),
        demo=bool(section.flag("demo")),
        file=section.file,
        field_path=section.text("field", required=True),
        people_path=section.text("people", required=True),
        aircraft_paths=aircraft,
        words=section.choice("words", ("en-US", "en-GB")) or "en-US",
        units=tuple(chosen),
        counting=tuple(counting),
        readings=house.texts("fuel_readings", accepted=("gauge", "stick")),
        limits=read_limits(house, whose=Whose.HOUSE, document=document, entered_by=set_by, verified_by=set_by),
        rule_pack=section.text("rules", required=True),
        law=read_said(section.section("law")),
        upkeep=tuple(read_house(house.section("maintenance"), document=document).values()),
        walk_rules=read_walk_rules(house.section("walk")) if "walk" in house else None,
        people_rules=read_people_rules(house.section("people"), read_mass_rule(house.section("unweighed"))),
        caution_rule=read_caution_rule(house.section("cautions")),
        house=document,
        instructors=house.texts("may_replace_instructor"),
        lessons_instead=_lessons(house.section("lessons_instead")),
        avoid_weather=frozenset(house.texts("avoid_weather", accepted=CODES)) if "avoid_weather" in house else None,
    )
    house.finish()
    section.finish()
    _prove(section, operation)
    return operation


def _prove(section: Section, operation: Operation) -> None:
    """Note every house limit that is laxer than the operation's law, or that there is no such law."""
    if not operation.rule_pack:
        return
    try:
        pack = pack_named(operation.rule_pack)
    except UnknownName as error:
        section.wrong("rules", str(error))
        return
    for problem in prove_house(pack, operation.limits, file=section.file):
        section.problems.found.append(problem)


def _counted(house: Section, name: str, accepted: tuple[str, ...]) -> Fact:
    word = house.choice(name, accepted)
    where = house.where(name)
    return Fact(name, word, word, Origin.HOUSE, where=where) if word else missing(name, where=where)


def _lessons(section: Section) -> tuple[tuple[str, tuple[str, ...]], ...]:
    """Return which lessons may take the place of which, as the house allows."""
    pairs = tuple((lesson, section.texts(lesson)) for lesson in section.keys())  # noqa: SIM118
    section.finish()
    return pairs
