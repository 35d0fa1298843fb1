"""One thing to look at on the aircraft, and how it is read from a list.

An item says where to stand, what to do, what right looks like, what goes wrong there and why that matters. It holds no
figure of any type: a reading names the key of the aircraft's definition by which it is judged.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass

from gyrewright.inspection.equipment import WORDS
from gyrewright.inspection.keys import dimension_of
from gyrewright.reading import Section
from gyrewright.units import DIMENSIONS

VERBS = ("look", "touch", "move", "count", "measure", "drain", "listen", "say")
CLASSES = ("G", "L", "N")
"""What it means if the item is not as it should be: grounds the aircraft, limits the flight, is noted."""

EVENTS = (
    "first of the day",
    "each flight",
    "turnaround",
    "after refueling",
    "after transport",
    "after assembly",
    "after storage",
    "after other hands",
    "after maintenance",
    "after special inspection",
    "start",
    "end of flight",
    "end of day",
    "frost",
    "cold",
    "carburetor icing",
    "rain",
    "heat",
    "hot restart",
    "strong sun",
    "dust or dry grass",
    "hard landing",
    "bird strike",
    "rotor contact",
    "propeller contact",
    "rotor overspeed",
    "engine overspeed",
    "engine overheated",
    "oil pressure lost",
    "coolant lost",
    "lightning",
    "gust or low g",
    "new vibration",
    "water or extinguisher",
    "bump",
    "overweight",
)
"""What can call for a walk-round or add to it; lists share these words."""

NO_PHONE = ("fuel", "propeller", "engine running")
RESTS = ("engine_cooling", "fuel_standing")
KINDS = ("quantity", "count", "word", "date", "text")
EACH = ("seat", "side", "locker", "electric pump", "propeller blade", "rotor blade")
ROOM = {"name": 50, "where": 60, "caution": 110, "do": 155, "right": 125, "wrong": 125, "why": 125}
"""How many characters fit, so that a phone held at arm's length shows an item on one screen."""

ID = re.compile(r"[A-Z]\d\d\Z")
OWN_ID = re.compile(r"[A-Z]-\d{1,2}\Z")


@dataclass(frozen=True, slots=True)
class Reading:
    """Something to read off and write down.

    Attributes:
        key: Its name within the item; `item.key` names it within the list.
        kind: "quantity", "count", "word", "date" or "text".
        dimension: For a quantity, its kind in `units.DIMENSIONS`.
        unit: The unit shown unless the house has another.
        low: The least that is believed (inside units); below it a slip of unit or finger is suspected.
        high: The most that is believed.
        words: The answers to choose from.
        right_words: Those among them that mean "as it should be".
        several: Whether more than one word may be chosen.
        each: Read once for each of these parts.
        times: The definition's key for how many parts there are.
        at_least: The definition's key for its lower limit.
        at_most: The definition's key for its upper limit.
        about: The definition's key for the figure it should be near.
        equals: The definition's key for the figure or count that it must be.
        baseline: Compared with this aircraft's earlier readings, after the new one is entered.
        agrees_with: Another reading (`item.key`) that belongs to it.
        apart: The limit on the difference between it and the other, or between its own parts.
        private: Shown only to those aboard and to whoever releases.
        optional: May be left empty.
        needs: Equipment without which it is not asked.
        when: Events at which it is asked; empty means whenever its item is.
    """

    key: str
    name: str
    kind: str
    dimension: str = ""
    unit: str = ""
    low: float | None = None
    high: float | None = None
    words: tuple[str, ...] = ()
    right_words: tuple[str, ...] = ()
    several: bool = False
    each: str = ""
    times: str = ""
    at_least: str = ""
    at_most: str = ""
    about: str = ""
    equals: str = ""
    baseline: bool = False
    agrees_with: str = ""
    apart: str = ""
    private: bool = False
    optional: bool = False
    needs: tuple[str, ...] = ()
    when: tuple[str, ...] = ()

    @property
    def definition_keys(self) -> tuple[str, ...]:
        """The keys of the aircraft's definition that it is judged by."""
        keys = (self.at_least, self.at_most, self.about, self.equals, self.times, self.apart)
        return tuple(key for key in keys if key)


@dataclass(frozen=True, slots=True)
class Variant:
    """Other words for the same item on some aircraft or at some events; what it leaves empty stays as it is."""

    needs: tuple[str, ...]
    events: tuple[str, ...]
    texts: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class Item:
    """One item of a list.

    Attributes:
        id: Letter of its zone and a number; never reused for anything else.
        how: What is done, of `VERBS`, the main one first.
        grade: "G", "L" or "N": what it means if it is not as it should be.
        when: Events that ask for it.
        needs: Equipment without which it is not asked.
        caution: Shown before `do`, where looking can hurt.
        no_phone: Why no phone belongs there: look, step back, then answer.
        rest: The definition's key for how long the engine or the fuel must have stood first.
        helper: Needs a second person.
        photo: A photo is wanted where it is not right.
        critical: One of those that killed people; spot checks and the item to look hardest at are drawn from these.
        after: Items that must be answered "as it should be" before this one is asked.
        linked: Items whose readings belong with this one's.
        restore: Restore items that close what this one opens, moves or ties.
        of: For a restore item: the items whose state it closes.
        own: An owner's item, from the aircraft's own manual.
    """

    id: str
    zone: str
    stand: str
    name: str
    where: str
    how: tuple[str, ...]
    caution: str
    do: str
    right: str
    wrong: str
    why: str
    grade: str
    when: tuple[str, ...]
    source: str
    needs: tuple[str, ...] = ()
    no_phone: str = ""
    rest: str = ""
    helper: bool = False
    photo: bool = False
    critical: bool = False
    after: tuple[str, ...] = ()
    linked: tuple[str, ...] = ()
    restore: tuple[str, ...] = ()
    of: tuple[str, ...] = ()
    readings: tuple[Reading, ...] = ()
    variants: tuple[Variant, ...] = ()
    own: bool = False


def read_item(section: Section, *, stand: str, where: str, source: str, own: bool) -> Item:
    """Return the item that a table describes; problems are noted in the section.

    Args:
        section: The `[[item]]` table.
        stand: The stand it belongs to.
        where: Where to stand, unless the item says otherwise.
        source: The source, unless the item names its own.
        own: Whether it is an owner's item, whose id carries a dash.
    """
    id = section.text("id", required=True)
    if id and not (OWN_ID if own else ID).match(id):
        accepted = "its zone's letter, a dash and a number, such as K-1" if own else "a letter and two digits"
        section.wrong("id", f"{id!r} is no id; write {accepted}")
    page = section.text("page", required=own)
    if page and not own:
        section.wrong("page", "belongs to an owner's item; write the place into `source`")
    grade = section.choice("class", CLASSES, required=True)
    item = Item(
        id=id,
        zone=id[:1],
        stand=stand,
        name=_text(section, "name", required=True),
        where=_text(section, "where") or where,
        how=section.texts("how", accepted=VERBS, required=True),
        caution=_text(section, "caution"),
        do=_text(section, "do", required=True),
        right=_text(section, "right", required=True),
        wrong=_text(section, "wrong", required=True),
        why=_text(section, "why", required=True),
        grade=grade,
        when=section.texts("when", accepted=EVENTS, required=True),
        source=section.text("source", required=not source) or (f"{source}, page {page}" if page else source),
        needs=section.texts("needs", accepted=WORDS),
        no_phone=section.choice("no_phone", NO_PHONE),
        rest=section.choice("rest", RESTS),
        helper=bool(section.flag("helper")),
        photo=bool(section.flag("photo")),
        critical=bool(section.flag("critical")),
        after=section.texts("after"),
        linked=section.texts("linked"),
        restore=section.texts("restore"),
        of=section.texts("of"),
        readings=tuple(_readings(section)),
        variants=tuple(_variant(each) for each in section.sections("variant", label="needs")),
        own=own,
    )
    for name in ("how", "when"):
        if section.raw(name) == []:
            section.wrong(name, "is empty; name at least one word")
    section.finish()
    return item


def _text(section: Section, name: str, *, required: bool = False) -> str:
    text = section.text(name, required=required)
    if len(text) > ROOM[name]:
        section.wrong(name, f"is {len(text)} characters long; a phone shows {ROOM[name]}: say it shorter")
    return text


def _variant(section: Section) -> Variant:
    texts = tuple((name, text) for name in ROOM if (text := _text(section, name)))
    source = section.text("source")
    variant = Variant(
        needs=section.texts("needs", accepted=WORDS),
        events=section.texts("events", accepted=EVENTS),
        texts=(*texts, ("source", source)) if source else texts,
    )
    if not variant.needs and not variant.events:
        section.wrong("", "says for whom it is nowhere; write `needs` or `events`")
    if not texts:
        section.wrong("", f"changes nothing; write one of: {', '.join(ROOM)}")
    section.finish()
    return variant


def _readings(section: Section) -> Iterable[Reading]:
    seen: set[str] = set()
    for each in section.sections("reading", label="key"):
        reading = _reading(each)
        if reading.key in seen:
            each.wrong("key", f"{reading.key!r} is there twice; each reading has a name of its own")
        seen.add(reading.key)
        yield reading


def _reading(section: Section) -> Reading:
    kind = section.choice("kind", KINDS, required=True)
    dimension = section.choice("dimension", tuple(DIMENSIONS), required=kind == "quantity")
    words = section.texts("words", required=kind == "word")
    low: float | None = 0.0 if kind == "count" else _bound(section, "low", dimension)
    high = section.integer("high", required=True) if kind == "count" else _bound(section, "high", dimension)
    reading = Reading(
        key=section.text("key", required=True),
        name=section.text("name", required=True),
        kind=kind,
        dimension=dimension,
        unit=_unit(section, dimension),
        low=low,
        high=high,
        words=words,
        right_words=section.texts("right_words", accepted=words or ("",), required=kind == "word"),
        several=bool(section.flag("several")),
        each=section.choice("each", EACH),
        times=_key(section, "times", "count"),
        at_least=_key(section, "at_least", dimension),
        at_most=_key(section, "at_most", dimension),
        about=_key(section, "about", dimension),
        equals=_key(section, "equals", dimension or kind),
        baseline=bool(section.flag("baseline")),
        agrees_with=section.text("agrees_with"),
        apart=_key(section, "apart", dimension),
        private=bool(section.flag("private")),
        optional=bool(section.flag("optional")),
        needs=section.texts("needs", accepted=WORDS),
        when=section.texts("when", accepted=EVENTS),
    )
    if low is not None and high is not None and low >= high:
        section.wrong("high", "is not above `low`")
    section.finish()
    return reading


def _unit(section: Section, dimension: str) -> str:
    unit = section.text("unit", required=bool(dimension))
    accepted = tuple(each.symbol for each in DIMENSIONS[dimension].units) if dimension else ()
    if unit and unit not in accepted:
        section.wrong(
            "unit", f"{unit!r} is no unit of {dimension or 'it'}; use one of: {', '.join(accepted) or 'none'}"
        )
    return unit


def _key(section: Section, name: str, dimension: str) -> str:
    """Return a key of the aircraft's definition that holds a figure of the reading's own kind."""
    key = section.text(name)
    if not key:
        return ""
    kind = dimension_of(key)
    if not kind:
        section.wrong(name, f"{key!r} is no figure of a definition; see the keys of readings")
    elif kind != dimension:
        section.wrong(name, f"{key!r} is a {kind}, the reading is a {dimension or 'word'}; name another key")
    return key


def _bound(section: Section, name: str, dimension: str) -> float | None:
    """Return the least or most that is believed, inside; quantities must say both."""
    if not dimension:
        if name in section:
            section.raw(name)
            section.wrong(name, "bounds a quantity or a count only")
        return None
    quantity = section.quantity(name, dimension, required=True)
    return quantity.value if quantity else None
