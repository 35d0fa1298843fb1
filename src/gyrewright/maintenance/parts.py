"""Parts by serial number: they move between aircraft and take their own hours along."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from itertools import pairwise

from gyrewright.errors import Problem
from gyrewright.maintenance.spans import ON_A_METER, read_span
from gyrewright.reading import Section


@dataclass(frozen=True, slots=True)
class Fit:
    """One stay of a part on one aircraft.

    Attributes:
        meter: The aircraft's meter that runs the part's hours on.
        meter_at: What that meter had in total when the part was fitted. [h or count]
        own: What the part itself had then. [h or count]
        off: When it was taken off again; None while it is fitted.
        own_off: What the part itself had when it was taken off.
    """

    aircraft: str
    on: date
    meter: str = ""
    meter_at: float | None = None
    own: float | None = None
    off: date | None = None
    own_off: float | None = None


@dataclass(frozen=True, slots=True)
class Part:
    """One part, known by its serial number, with every stay in the order of time."""

    name: str
    number: str
    serial: str
    made_on: date | None
    fits: tuple[Fit, ...]
    where: str

    def fitted_to(self, aircraft: str) -> Fit | None:
        """Return the stay that has not ended on an aircraft, or None."""
        return next((fit for fit in reversed(self.fits) if fit.aircraft == aircraft and fit.off is None), None)


def read_parts(section: Section) -> tuple[Part, ...]:
    """Return every `[[part]]` of a section; one serial number fitted twice at once is noted as one problem."""
    parts = []
    seen: set[tuple[str, str]] = set()
    for each in section.sections("part", label="serial"):
        part = _read_part(each)
        key = (part.name, part.serial)
        if key in seen:
            each.wrong(
                "serial",
                f"{part.name} {part.serial!r} has two records, fitted twice at once; keep one [[part]] and write each "
                "stay as a [[part.fit]] with its off date",
            )
        seen.add(key)
        parts.append(part)
    return tuple(parts)


def _read_part(section: Section) -> Part:
    name = section.text("name", required=True)
    number = section.text("number")
    serial = section.text("serial", required=True)
    made_on = section.day("made_on")
    fits = []
    for each in section.sections("fit", label="aircraft"):
        meter = each.text("meter")
        meter_at, own, own_off = (_amount(each, key) for key in ("meter_at", "own", "own_off"))
        if (meter_at is not None or own is not None) and not meter:
            each.wrong("meter", 'is missing; hours without a meter\'s name count for nothing, write meter = "rotor"')
        on = each.day("on", required=True)
        fit = Fit(each.text("aircraft", required=True), on or date.max, meter, meter_at, own, each.day("off"), own_off)
        if fit.off is not None and on is not None and fit.off < on:
            each.wrong("off", f"{fit.off} is before {on}, when it was fitted; correct one of the two dates")
        each.finish()
        fits.append(fit)
    section.finish()
    fits.sort(key=lambda fit: fit.on)
    for before, after in pairwise(fits):
        if before.off is None or before.off > after.on:
            section.wrong(
                "fit",
                f"{name} {serial!r} is fitted to {before.aircraft} and to {after.aircraft} at once from {after.on}; "
                f"write off = the date it came off {before.aircraft}",
            )
        elif before.own_off is not None and after.own is not None and after.own < before.own_off:
            section.wrong(
                "fit",
                f"{name} {serial!r} came off {before.aircraft} with {before.own_off:g} and went on {after.aircraft} "
                f"with {after.own:g}; a part's own hours never run back, correct one of the two",
            )
    return Part(name, number, serial, made_on, tuple(fits), section.where())


def _amount(section: Section, key: str) -> float | None:
    span = read_span(section, key)
    if span is None:
        return None
    if span.kind not in ON_A_METER:
        section.wrong(key, f"{span.typed!r} is not counted on a meter; write it in h or landings")
        return None
    return span.value


def fitted_twice(books: Iterable[tuple[str, str, tuple[Part, ...]]]) -> tuple[Problem, ...]:
    """Return one problem for each serial number that two aircraft's records hold as fitted at the same time.

    Args:
        books: For each aircraft its file, its id and the parts in its records.
    """
    fitted: dict[tuple[str, str], tuple[str, str]] = {}
    problems = []
    for file, aircraft, parts in books:
        for part in parts:
            if part.fitted_to(aircraft) is None:
                continue
            key = (part.name, part.serial)
            if key in fitted and fitted[key][0] != aircraft:
                other, other_file = fitted[key]
                problems.append(
                    Problem(
                        file,
                        f"part[{part.serial}]",
                        f"{part.name} {part.serial!r} is fitted to {aircraft} here and to {other} in {other_file}; "
                        "write its off date in the record of the aircraft that it left",
                    )
                )
            fitted.setdefault(key, (aircraft, file))
    return tuple(problems)
