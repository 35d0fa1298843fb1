"""The field: where it is, how high, and its runways as the chart and the survey give them."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from zoneinfo import ZoneInfo

from gyrewright.errors import shown
from gyrewright.fact import Fact, Origin, missing
from gyrewright.finding import Source
from gyrewright.reading import Section

REFERENCES = ("true", "magnetic")
SURFACES = ("hard", "grass")


@dataclass(frozen=True, slots=True)
class Runway:
    """One direction of a runway. Slope is positive where it rises in the direction of take-off."""

    name: str
    heading_deg: float
    reference: str
    length: Fact
    slope: Fact
    surface: str
    where: str
    notes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Field:
    """A place to fly from. `variation` is east positive, or None where the magnetic model is to give it."""

    name: str
    identifier: str
    elevation: Fact
    latitude: Fact
    longitude: Fact
    variation: Fact
    variation_by_model: bool
    zone: ZoneInfo
    runways: tuple[Runway, ...]
    source: Source
    notes: tuple[str, ...] = ()

    def runway(self, name: str) -> Runway | None:
        """Return the runway direction of that name, or None."""
        return next((runway for runway in self.runways if runway.name == name), None)


def _angle(section: Section, name: str, *, letters: str, high: float) -> Fact:
    """Return an angle written as "43.95 N" or "14 E": degrees and the side, positive for the first letter."""
    text = section.text(name)
    if not text:
        return missing(f"{name}_deg", where=section.where(name))
    number, _, side = text.partition(" ")
    try:
        value = float(number.removesuffix("°"))
    except ValueError:
        value = -1.0
    if side not in letters or len(side) != 1 or not 0.0 <= value <= high:
        section.wrong(
            name, f"{shown(text)} is not degrees and {letters[0]} or {letters[1]}, such as {example(letters)!r}"
        )
        return missing(f"{name}_deg", where=section.where(name))
    signed = value if side == letters[0] else -value
    return Fact(f"{name}_deg", signed, text, Origin.RECORD, where=section.where(name))


def example(letters: str) -> str:
    """Return an example of an angle with its side."""
    return {"NS": "43.95 N", "EW": "120.35 W"}[letters]


def _zone(section: Section) -> ZoneInfo:
    name = section.text("time_zone", required=True)
    try:
        return ZoneInfo(name or "UTC")
    except (LookupError, ValueError, OSError):
        section.wrong("time_zone", f"{shown(name)} is no time zone; write one such as America/Los_Angeles")
        return ZoneInfo("UTC")


def read_field(section: Section) -> Field:
    """Return the field that a file describes; problems are noted in the section."""
    chart: date | None = section.day("dated")
    by_model = section.raw("variation") == "model"
    field = Field(
        name=section.text("name", required=True),
        identifier=section.text("identifier", required=True),
        elevation=section.fact(
            "elevation", "length", called="elevation_m", origin=Origin.RECORD, low=-450.0, high=6000.0
        ),
        latitude=_angle(section, "latitude", letters="NS", high=90.0),
        longitude=_angle(section, "longitude", letters="EW", high=180.0),
        variation=missing("variation_deg") if by_model else _angle(section, "variation", letters="EW", high=180.0),
        variation_by_model=by_model,
        zone=_zone(section),
        runways=tuple(_read_runway(each) for each in section.sections("runway")),
        source=Source("chart", section.text("chart"), dated=chart),
        notes=section.texts("notes"),
    )
    if not field.runways:
        section.wrong("runway", "there is none; describe each direction in a [[runway]] table")
    for name in {runway.name for runway in field.runways}:
        if sum(runway.name == name for runway in field.runways) > 1:
            section.wrong("runway", f"{shown(name)} is described more than once; keep one table for each direction")
    section.finish()
    return field


def _read_runway(section: Section) -> Runway:
    heading = section.quantity("heading", "angle", low=0.0, high=360.0, required=True)
    runway = Runway(
        name=section.text("name", required=True),
        heading_deg=heading.value if heading else 0.0,
        reference=section.choice("reference", REFERENCES, required=True),
        length=section.fact("length", "length", called="runway_length_m", origin=Origin.RECORD, low=20.0, high=6000.0),
        slope=section.fact("slope", "share", called="slope_ratio", origin=Origin.RECORD, low=-0.15, high=0.15),
        surface=section.choice("surface", SURFACES, required=True),
        where=section.where(),
        notes=section.texts("notes"),
    )
    section.finish()
    return runway
