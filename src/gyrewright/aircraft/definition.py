"""The machine as its manual and its weighing record describe it.

Everything that differs between makers is data here: the stations and their limits, whether unusable fuel is in the
empty mass, the shape of the envelope, the axes of a table and how to read between its lines, how much head wind counts.
What a manual does not give stays a missing fact; what it says it does not give is written down as such.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from datetime import date
from typing import TypeVar

from gyrewright.aircraft.envelope import from_polygon, from_sides, lateral_envelope
from gyrewright.aircraft.performance import Corrections, HeadwindCredit, TailwindPenalty, correction_problems
from gyrewright.aircraft.tables import BELOW, BETWEEN, Axis, Table, build_table
from gyrewright.aircraft.weighing import ScaleRow, weighed
from gyrewright.card import CARD_NUMBERS, COUNTS
from gyrewright.errors import OutOfRange, UnitError, shown
from gyrewright.fact import Doubt, Fact, Origin, missing
from gyrewright.finding import Limit, Source, Whose
from gyrewright.limits import read_limits
from gyrewright.reading import Section
from gyrewright.units import unit_named

STATION_KINDS = ("seat", "locker", "ballast")
SURFACES = ("hard", "wet hard", "dry grass", "wet grass", "soft grass")
"""Kind of runway and its state today, in one word or two."""
CERTIFICATES = ("standard", "light-sport", "amateur-built", "experimental")
AXES = {
    "mass": ("mass", "kg"),
    "pressure altitude": ("length", "m"),
    "density altitude": ("length", "m"),
    "air temperature": ("temperature", "k"),
}
TABLES = {
    "take_off_distance": "length",
    "ground_roll": "length",
    "landing_distance": "length",
    "climb": "climb",
}


@dataclass(frozen=True, slots=True)
class Station:
    """A place for mass: its arm is a fact, and so is its lateral arm where seats are side by side."""

    id: str
    kind: str
    arm: Fact
    lateral_arm: Fact
    where: str


@dataclass(frozen=True, slots=True)
class Printed:
    """A table of the manual with the page it stands on; `absent` says why there is none, in the manual's own terms."""

    table: Table | None
    page: str
    conditions: str = ""
    absent: str = ""
    where: str = ""


@dataclass(frozen=True, slots=True, eq=False)
class Definition:
    """One aircraft, as its file describes it. Two of them are the same only if they are one and the same."""

    file: str
    demo: bool
    id: str
    name: str
    make_model: str
    serial_number: str
    certificate: str
    equipment: frozenset[str]
    manual: Source
    entered_by: str
    verified_by: str
    weighed_on: date | None
    empty_mass: Fact
    empty_arm: Fact
    empty_lateral_arm: Fact
    stations: tuple[Station, ...]
    fuel_arm: Fact
    fuel_lateral_arm: Fact
    fuel: tuple[Fact, ...]
    envelope: Fact
    envelope_page: str
    lateral_envelope: Fact
    no_arms: str
    hang: tuple[Fact, ...]
    tables: tuple[tuple[str, Printed], ...]
    corrections: Fact
    landing_corrections: Fact
    surfaces: Fact
    limits: tuple[Limit, ...]
    card: tuple[Fact, ...]
    card_page: str
    counts: tuple[tuple[str, int], ...]
    avoid_weather: frozenset[str] | None
    records_path: str
    program_path: str

    @property
    def balances_across(self) -> bool:
        """Whether the file speaks of lateral balance anywhere: then all of it is needed."""
        arms = (self.empty_lateral_arm, self.fuel_lateral_arm, *(station.lateral_arm for station in self.stations))
        return any(fact.doubt is not Doubt.MISSING for fact in (self.lateral_envelope, *arms))

    def table(self, name: str) -> Printed:
        """Return a table by name; one that the file does not mention is empty and says nothing."""
        return dict(self.tables).get(name) or Printed(None, "")


def read_definition(section: Section) -> Definition:
    """Return the aircraft that a file describes; problems are noted in the section."""
    manual = section.section("manual")
    entered_by, verified_by = manual.text("entered_by"), manual.text("verified_by")
    document = Source(
        "manual",
        manual.text("title", required=True),
        dated=manual.day("dated"),
        revision=manual.text("revision", required=True),
    )
    manual.finish()
    weighing = section.section("weighing")
    stations = tuple(_stations(section))
    fuel = section.section("fuel")
    envelope, page = _envelope(section.section("envelope"), "envelope")
    lateral, _ = _envelope(section.section("lateral_envelope"), "lateral_envelope", sides=("left", "right"))
    definition = Definition(
        file=section.file,
        demo=bool(section.flag("demo")),
        id=section.text("id", required=True),
        name=section.text("name", required=True),
        make_model=section.text("make_model", required=True),
        serial_number=section.text("serial_number"),
        certificate=section.choice("certificate", CERTIFICATES),
        equipment=frozenset(section.texts("equipment")),
        manual=document,
        entered_by=entered_by,
        verified_by=verified_by,
        weighed_on=weighing.day("on"),
        empty_mass=weighing.fact(
            "empty_mass", "mass", called="empty_mass_kg", low=50.0, high=1000.0, origin=Origin.WEIGHED
        ),
        empty_arm=weighing.fact("empty_arm", "arm", called="empty_arm_m", low=-10.0, high=10.0, origin=Origin.WEIGHED),
        empty_lateral_arm=weighing.fact("empty_lateral_arm", "arm", called="empty_lateral_arm_m", low=-3.0, high=3.0),
        stations=stations,
        fuel_arm=fuel.fact("arm", "arm", called="fuel_arm_m", origin=Origin.MANUAL, low=-10.0, high=10.0),
        fuel_lateral_arm=fuel.fact("lateral_arm", "arm", called="fuel_lateral_arm_m", low=-3.0, high=3.0),
        fuel=_fuel(fuel),
        envelope=envelope,
        envelope_page=page,
        lateral_envelope=lateral,
        no_arms=section.text("no_arms"),
        hang=_hang(section.section("hang")),
        tables=tuple(_tables(section.section("table"))),
        corrections=_corrections(section.section("corrections"), "corrections"),
        landing_corrections=_corrections(section.section("landing_corrections"), "landing_corrections"),
        surfaces=_surfaces(section.section("surfaces")),
        limits=read_limits(
            section, whose=Whose.MAKER, document=document, entered_by=entered_by, verified_by=verified_by
        ),
        card=_card(section.section("card")),
        card_page=section.section("card").text("page"),
        counts=_counts(section.section("counts")),
        avoid_weather=frozenset(section.texts("avoid_weather")) if "avoid_weather" in section else None,
        records_path=section.text("records"),
        program_path=section.text("program"),
    )
    _check_scales(weighing, definition)
    weighing.text("by")
    weighing.text("includes")
    section.text("datum")
    for each in (weighing, fuel):
        each.finish()
    _check_loads(section, definition)
    section.finish()
    return definition


def _stations(section: Section) -> Iterator[Station]:
    seen: set[str] = set()
    for each in section.sections("station", label="id"):
        id = each.text("id", required=True)
        if id in seen:
            each.wrong("id", f"{shown(id)} is there twice; each station has a name of its own")
        seen.add(id)
        yield Station(
            id=id,
            kind=each.choice("kind", STATION_KINDS, required=True),
            arm=each.fact("arm", "arm", called=f"arm_m:{id}", origin=Origin.MANUAL, low=-10.0, high=10.0),
            lateral_arm=each.fact("lateral_arm", "arm", called=f"lateral_arm_m:{id}", low=-3.0, high=3.0),
            where=each.where(),
        )
        each.finish()
    if not seen:
        section.wrong("station", "there is none; describe each seat, locker and ballast place in a [[station]] table")


def _fuel(section: Section) -> tuple[Fact, ...]:
    included = section.flag("unusable_in_empty_mass")
    counts = section.choice("readings_count", ("usable", "everything"))
    where = section.where
    return (
        section.fact("usable", "volume", called="fuel_usable_l", origin=Origin.MANUAL, low=1.0, high=500.0),
        section.fact("unusable", "volume", called="fuel_unusable_l", origin=Origin.MANUAL, low=0.0, high=50.0),
        section.fact(
            "density", "fuel density", called="fuel_density_kg_per_l", origin=Origin.MANUAL, low=0.6, high=0.9
        ),
        section.fact("burn", "fuel flow", called="burn_l_per_h", origin=Origin.MANUAL, low=1.0, high=100.0),
        missing("unusable_in_empty_mass", where=where("unusable_in_empty_mass"))
        if included is None
        else Fact("unusable_in_empty_mass", included, str(included).lower(), Origin.MANUAL),
        Fact("readings_count", counts, counts, Origin.MANUAL)
        if counts
        else missing("readings_count", where=where("readings_count")),
    )


def _envelope(section: Section, called: str, sides: tuple[str, str] = ("forward", "aft")) -> tuple[Fact, str]:
    page = section.text("page")
    where = section.where()
    first, second = sides
    given = [name for name in (first, second, "polygon") if name in section]
    lines = {name: _line(section, name) for name in given}
    section.finish()
    if not given:
        return missing(called, where=where), page
    if not all(lines.values()):
        return missing(called, where=where), page
    if given == ["polygon"]:
        envelope, problems = from_polygon(lines["polygon"])
    elif given == list(sides):
        build = from_sides if called == "envelope" else lateral_envelope
        envelope, problems = build(**lines)
    else:
        envelope, problems = None, (f"needs `{first}` and `{second}`, or `polygon` alone",)
    for problem in problems:
        section.wrong("", problem)
    if envelope is None:
        return missing(called, where=where), page
    return Fact(called, envelope, "as drawn", Origin.MANUAL, where=where), page


def _line(section: Section, name: str) -> list[tuple[float, float]]:
    """Return the (mass in kg, arm in m) points of a line written as [["340 kg", "2082 mm"], ...]."""
    rows = section.raw(name)
    points = []
    for row in rows if isinstance(rows, list) else [rows]:
        if not isinstance(row, list) or len(row) != 2:
            section.wrong(name, f'{shown(row)} is not a pair of mass and arm such as ["340 kg", "2082 mm"]')
            return []
        mass = section.parsed(name, row[0], "mass", 50.0, 2000.0)
        arm = section.parsed(name, row[1], "arm", -10.0, 10.0)
        if mass is None or arm is None:
            return []
        points.append((mass.value, arm.value))
    return points


def _hang(section: Section) -> tuple[Fact, ...]:
    facts = tuple(
        section.fact(key, "angle", called=f"hang_{key}_deg", low=-30.0, high=45.0)
        for key in ("least", "most", "measured_full", "measured_empty")
    )
    section.finish()
    return facts


def _tables(section: Section) -> Iterator[tuple[str, Printed]]:
    for name in section.keys():  # noqa: SIM118
        if name not in TABLES:
            section.raw(name)
            section.wrong(name, f"is no table that is used; accepted here: {', '.join(TABLES)}")
            continue
        each = section.section(name)
        absent = each.text("none")
        table = None if absent else _table(each, TABLES[name])
        yield name, Printed(table, each.text("page"), each.text("conditions"), absent, each.where())
        each.finish()


def _table(section: Section, dimension: str) -> Table | None:
    axes: list[Axis] = []
    typed: dict[str, tuple[str, ...]] = {}
    for each in section.sections("axis", label="of"):
        of = each.choice("of", tuple(AXES), required=True)
        if of and of in typed:
            each.wrong("of", f"{of!r} is there twice; each axis of a table is another one")
        between = each.choice("between", BETWEEN, required=True)
        below = each.choice("below", BELOW, required=True)
        written = each.raw("points")
        points = []
        for text in written if isinstance(written, list) else []:
            quantity = each.parsed("points", text, AXES[of][0]) if of else None
            if quantity is not None:
                points.append(quantity.value)
        if not isinstance(written, list) or not written:
            each.wrong("points", 'is not a list of quantities such as ["0 ft", "2000 ft"]')
        axes.append(Axis(of, tuple(points), between or "linear", below or "no data"))
        typed[of] = tuple(written) if isinstance(written, list) and len(points) == len(written) else ()
        each.finish()
    symbol = section.text("unit", required=True)
    rows = section.raw("rows")
    try:
        factor = unit_named(dimension, symbol).factor if symbol else 1.0
    except UnitError as error:
        section.wrong("unit", str(error))
        return None
    if not axes or rows is None:
        section.wrong("", "needs at least one [[axis]] and `rows`")
        return None
    if not all(typed.values()):
        return None
    table, problems = build_table(axes=axes, values=rows, typed=typed)
    for problem in problems:
        section.wrong("rows", problem)
    return table and replace(table, values=tuple(value * factor for value in table.values))


def _corrections(section: Section, called: str) -> Fact:
    """Return the printed corrections of a distance table; a rule that the file leaves out makes all of them missing.

    A rule that the manual does not give is written as such: `headwind = "none"`.
    """
    where = section.where()
    section.text("page")
    if not section.keys():
        return missing(called, where=where)
    headwind, headwind_said = _rule(section, "headwind", _headwind)
    tailwind, tailwind_said = _rule(section, "tailwind", _tailwind)
    slope, slope_said = _rule(section, "slope", _slope)
    surface = section.section("surface")
    added = [(name, surface.quantity(name, "share", low=-0.5, high=5.0)) for name in surface.keys()]  # noqa: SIM118
    surface.finish()
    section.finish()
    unsaid = [
        name
        for name, said in (("headwind", headwind_said), ("tailwind", tailwind_said), ("slope", slope_said))
        if not said
    ]
    if unsaid or not added:
        return missing(called, where=section.where((unsaid or ["surface"])[0]))
    corrections = Corrections(
        headwind=headwind,
        tailwind=tailwind,
        surface_factors=tuple((name, 1.0 + share.value) for name, share in added if share is not None),
        slope_penalty_per_ratio=slope[0] if slope else None,
        favorable_slope_counts=slope[1] if slope else False,
    )
    problems = correction_problems(corrections)
    for problem in problems:
        section.wrong("", problem)
    return (
        missing(called, where=where)
        if problems
        else Fact(called, corrections, "as printed", Origin.MANUAL, where=where)
    )


_T = TypeVar("_T")


def _rule(section: Section, name: str, read: Callable[[Section], _T | None]) -> tuple[_T | None, bool]:
    """Return the rule in a table of the section, and whether the file says anything about it."""
    if section.raw(name) == "none":
        return None, True
    if name not in section:
        return None, False
    rule = read(section.section(name))
    return rule, rule is not None


def _headwind(section: Section) -> HeadwindCredit | None:
    counted = section.quantity("counted", "share", low=0.0, high=1.0, required=True)
    most = section.quantity("at_most", "speed", low=0.0, high=60.0, required=True)
    shorter = section.quantity("shorter", "share per wind", low=0.0, required=True)
    section.finish()
    if not (counted and most and shorter):
        return None
    return HeadwindCredit(counted_ratio=counted.value, most_m_s=most.value, credit_per_m_s=shorter.value)


def _tailwind(section: Section) -> TailwindPenalty | None:
    longer = section.quantity("longer", "share per wind", low=0.0, required=True)
    most = section.quantity("at_most", "speed", low=0.0, high=60.0, required=True)
    section.finish()
    return TailwindPenalty(most_m_s=most.value, penalty_per_m_s=longer.value) if longer and most else None


def _slope(section: Section) -> tuple[float, bool] | None:
    longer = section.quantity("longer_for_each_percent", "share", low=0.0, high=1.0, required=True)
    favorable = section.flag("favorable_counts")
    if favorable is None:
        section.wrong("favorable_counts", "is missing; write whether a slope that helps may be counted, true or false")
    section.finish()
    # The file says how much longer for each percent of slope; inside, for a slope of one in one.
    return (longer.value * 100.0, bool(favorable)) if longer else None


def _surfaces(section: Section) -> Fact:
    section.text("page")
    approved = section.texts("approved", accepted=SURFACES)
    where = section.where("approved")
    section.finish()
    if not approved:
        return missing("approved_surfaces", where=where)
    return Fact("approved_surfaces", frozenset(approved), ", ".join(approved), Origin.MANUAL, where=where)


def _card(section: Section) -> tuple[Fact, ...]:
    section.text("page")
    facts = tuple(
        section.fact(name, dimension, called=f"card:{name}", origin=Origin.MANUAL)
        for name, dimension in CARD_NUMBERS.items()
    )
    section.finish()
    return facts


def _counts(section: Section) -> tuple[tuple[str, int], ...]:
    found = [(name, section.integer(name, high=200)) for name in COUNTS]
    section.finish()
    return tuple((name, count) for name, count in found if count is not None)


SCALES_APART_KG, SCALES_APART_M = 0.1, 0.001
"""How far a weighing record's own sum may be from its scale rows: what rounding to the last printed digit explains."""


def _check_scales(section: Section, definition: Definition) -> None:
    """Note a weighing record whose scale rows do not give the empty mass and arm that it states."""
    rows = []
    for each in section.sections("scale", label="at"):
        point = each.text("at", required=True)
        reads = each.quantity("reads", "mass", low=0.0, high=1000.0, required=True)
        tare = each.quantity("tare", "mass", low=0.0, high=100.0, required=True)
        arm = each.quantity("arm", "arm", low=-10.0, high=10.0, required=True)
        each.finish()
        if reads is None or tare is None or arm is None:
            return
        rows.append(ScaleRow(point=point, scale_kg=reads.value, tare_kg=tare.value, arm_m=arm.value))
    mass, arm_fact = definition.empty_mass, definition.empty_arm
    if not rows or not mass.is_known or not arm_fact.is_known:
        return
    try:
        load = weighed(rows)
    except OutOfRange as error:
        section.wrong("scale", str(error))
        return
    if abs(load.mass_kg - mass.value) > SCALES_APART_KG:
        section.wrong("empty_mass", f"{mass.typed} is not the {load.mass_kg:.2f} kg that the scales add up to")
    elif abs(load.cg_m - arm_fact.value) > SCALES_APART_M:
        section.wrong("empty_arm", f"{arm_fact.typed} is not the {load.cg_m * 1000.0:.1f} mm that the scales give")


def _check_loads(section: Section, definition: Definition) -> None:
    """Note limits that speak of a station which the aircraft does not have."""
    known = {station.id for station in definition.stations}
    if not known:
        return
    for limit in definition.limits:
        if limit.of != "load":
            continue
        if not limit.on:
            section.wrong("limit[load]", "says no station; add on = [...], from: " + ", ".join(sorted(known)))
        for each in limit.on:
            if each not in known:
                section.wrong("limit[load].on", f"{shown(each)} is no station; use: {', '.join(sorted(known))}")
