"""Blank forms for a day without power: what is asked before a flight, worked by hand, found, and written after it.

Each is for one aircraft, with what its definition holds printed in place: stations and arms, limits with their pages,
meters, the events that are asked about. Nothing of a flight, a person or a day is in them.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from gyrewright.aircraft.definition import Definition
from gyrewright.desk.book.chain import Head
from gyrewright.desk.book.record import Recorded
from gyrewright.desk.fold.question import House
from gyrewright.desk.paper.drawn import for_paper
from gyrewright.desk.paper.frame import frame
from gyrewright.desk.services.statements import FIT
from gyrewright.desk.services.statements import WORDS as STATEMENTS
from gyrewright.desk.worded import list_in, picture_words
from gyrewright.finding import Limit
from gyrewright.inspection.lists import shipped_list
from gyrewright.limits import PURPOSES
from gyrewright.pictures.frame import View
from gyrewright.pictures.loading import to_plot_on
from gyrewright.pictures.speech import Speech
from gyrewright.release.flight import PARTS
from gyrewright.units import as_read, unit_named
from gyrewright.words.catalogue import Catalogue, catalogue
from gyrewright.words.numbers import calculator, chosen, in_unit
from gyrewright.words.spelling import spelled
from gyrewright.words.voice import capital

_PLOT_PX = 620.0


@dataclass(frozen=True, slots=True)
class Known:
    """What a blank form is made for."""

    definition: Definition
    house: House
    meters: tuple[str, ...]
    language: str

    def part(self, key: str) -> str:
        """Return a station or quantity in words."""
        found = catalogue(self.language).word("part", key)
        return (found[0].text if found else key.replace("_", " ")).removeprefix("the ")


def blank_sheet(
    name: str, known: Known, *, defined: Recorded, head: Head, made_at: datetime, base: str
) -> tuple[str, dict[str, Any]]:
    """Return the template and the data of a blank form.

    Args:
        name: One of `BLANKS`.
        known: What it is made for.
        defined: The record that defines the aircraft; the sheet's code leads to it.
        head: The head of the chain now.
        made_at: Now.
        base: Where this desk answers.
    """
    title, make = BLANKS[name]
    definition = known.definition
    sheet = frame(
        kind=title,
        title=f"{definition.name} {definition.id}",
        fingerprint=defined.hash,
        base=base,
        head=head,
        made_at=made_at,
        language=known.language,
    )
    return f"blank-{name}", sheet | make(known)


def _flight(known: Known) -> dict[str, Any]:
    definition = known.definition
    return {
        "seats": [capital(known.part(each.id)) for each in definition.stations if each.kind == "seat"],
        "places": [capital(known.part(each.id)) for each in definition.stations if each.kind != "seat"],
        "parts": [capital(each) for each in PARTS],
        "purposes": list(PURPOSES),
        "runways": [each.name for each in known.house.field.runways],
        "statements": [spelled(each, known.language) for each in (FIT, *STATEMENTS.values())],
        "limits": list(_limits(known, (*definition.limits, *known.house.operation.limits), of=_OF_THE_DAY)),
    }


_OF_THE_DAY = (
    "wind",
    "gust spread",
    "crosswind",
    "tailwind",
    "air temperature",
    "visibility",
    "cloud base",
    "pressure altitude",
    "reserve",
    "take-off distance",
    "climb",
)
_OF_LOADING = ("take-off mass", "load")


def _limits(known: Known, limits: Iterable[Limit], *, of: tuple[str, ...]) -> Iterator[list[Any]]:
    """Yield limits as they were typed: of what, and for each layer whose, what it allows, where it is written."""
    words = catalogue(known.language)
    several = tuple(limits)
    for name in of:
        found: dict[str, list[list[str]]] = {}
        for each in several:
            if each.of == name and each.typed:
                on = " + ".join(known.part(place) for place in each.on)
                counted = f", {each.counts} counted" if each.counts else ""
                found.setdefault(capital(f"{each.of} {on}".strip()) + counted, []).append(_layer(each, words))
        yield from ([title, layers] for title, layers in found.items())


def _layer(limit: Limit, words: Catalogue) -> list[str]:
    layer = words.word("layer", limit.whose.value)
    whose = layer[0].text if layer else limit.whose.value
    page = limit.source.section
    where = f"page {page}" if page and limit.source.kind == "manual" else page
    return [f"{whose} ({limit.scope})" if limit.scope else whose, f"{limit.sense.value} {as_read(limit.typed)}", where]


def _load(known: Known) -> dict[str, Any]:
    definition = known.definition
    preferred = dict(known.house.operation.units)
    mass = chosen("mass", preferred, [definition.empty_mass.typed])
    arm = chosen("arm", preferred, [definition.empty_arm.typed])

    def inside(dimension: str, symbol: str, fact: Any) -> str:
        return calculator(in_unit(unit_named(dimension, symbol), float(fact.value))) if fact.is_known else ""

    empty = [inside("mass", mass, definition.empty_mass), inside("arm", arm, definition.empty_arm)]
    moment = calculator(float(empty[0]) * float(empty[1])) if all(empty) else ""
    fuel: Mapping[str, Any] = {fact.name: fact for fact in definition.fuel}
    density, readings = fuel["fuel_density_kg_per_l"], fuel["readings_count"]
    envelope = definition.envelope.value if definition.envelope.is_known else None
    view = View(width=_PLOT_PX, speech=Speech(words=picture_words(known.language)))
    return {
        "mass_unit": mass,
        "arm_unit": arm,
        "moment_unit": f"{mass} {arm}",
        "has_arms": not definition.no_arms,
        "no_arms": definition.no_arms,
        "empty": [*empty, moment],
        "stations": [[capital(known.part(each.id)), inside("arm", arm, each.arm)] for each in definition.stations],
        "fuel_arm": inside("arm", arm, definition.fuel_arm),
        "density": density.typed if density.is_known else "",
        "unusable": fuel["fuel_unusable_l"].typed if fuel["fuel_unusable_l"].is_known else "",
        "counts": readings.typed if readings.is_known else "",
        "in_empty": fuel["unusable_in_empty_mass"].value if fuel["unusable_in_empty_mass"].is_known else None,
        "limits": list(_limits(known, (*definition.limits, *known.house.operation.limits), of=_OF_LOADING)),
        "page": definition.envelope_page,
        "plotsvg": for_paper(to_plot_on(envelope, mass_unit=mass, arm_unit=arm, view=view))
        if envelope is not None
        else "",
        "weighed": definition.weighed_on.isoformat() if definition.weighed_on else "",
    }


def _defect(known: Known) -> dict[str, Any]:
    return {"meters": list(known.meters)}


def _after(known: Known) -> dict[str, Any]:
    questions = [
        row.question for row in list_in(shipped_list("special"), known.language).events if row.question and row.locks
    ]
    return {"meters": list(known.meters), "events": questions}


BLANKS: dict[str, tuple[str, Callable[[Known], dict[str, Any]]]] = {
    "flight": ("Flight question, by hand", _flight),
    "load": ("Load sheet, by hand", _load),
    "defect": ("Defect report", _defect),
    "after-flight": ("After the flight", _after),
}
"""Every blank form by name: its title, and what is printed in it."""

ON_LARGE = frozenset(("flight", "load"))
"""Forms that need a large sheet."""
