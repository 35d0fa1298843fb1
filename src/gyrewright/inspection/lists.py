"""Walk-round lists: read, checked as a whole, and cut to one aircraft and one event.

A list is data: zones in walking order, stands of five to nine items, what each event asks for, what an interruption
costs. An owner's own items come from a second file and take their place behind an item of the list. The fingerprint
of a list is that of its content, so that an old walk keeps the list it was made with.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Collection, Iterable
from dataclasses import asdict, dataclass, replace
from datetime import date
from importlib import resources
from typing import Any

from gyrewright.errors import UnknownName
from gyrewright.inspection.equipment import fits, is_said
from gyrewright.inspection.items import EVENTS, Item, read_item
from gyrewright.inspection.listcheck import LEAST, MOST, check_lists, check_whole
from gyrewright.reading import Problems, Section, section_of

INTERRUPTIONS = (
    "spoken to",
    "away",
    "touched by another",
    "moved",
    "new day",
    "engine stopped",
    "brake set",
    "lock put back",
    "left and came back",
    "refueled",
)
"""What can break into a walk, or undo what it put back."""

SCOPES = ("stand", "zone", "walk")
OPENS_NOTHING = ("start",)
"""Lists after the walk-round that open nothing which its restore list closes: begun later, they undo none of it."""

CLEARERS = ("maintainer", "manager", "commander")


@dataclass(frozen=True, slots=True)
class Zone:
    """A part of the aircraft, in walking order."""

    id: str
    name: str


@dataclass(frozen=True, slots=True)
class Stand:
    """A place to stand, for five to nine items; short neighbors share one."""

    name: str
    zones: tuple[str, ...]
    where: str


@dataclass(frozen=True, slots=True)
class ListEvent:
    """What a list asks for at some events.

    Attributes:
        on: The events.
        asks: Items are asked whose `when` holds one of these words.
        question: How a person is asked whether it happened.
        locks: The aircraft is out of service until somebody entitled has closed it.
        cleared_by: Who may close it.
        stood_over_days: For storage: how long standing makes the event. [days]
    """

    on: tuple[str, ...]
    asks: tuple[str, ...]
    question: str = ""
    locks: bool = False
    cleared_by: str = ""
    stood_over_days: float | None = None


@dataclass(frozen=True, slots=True)
class Restart:
    """What an interruption costs: `from_h` is how long being away must have lasted. [h]"""

    on: str
    restarts: str
    from_h: float
    source: str


@dataclass(frozen=True, slots=True)
class WalkStand:
    """A stand as one aircraft at one event has it; `parts` are the list's own stands that share it."""

    parts: tuple[Stand, ...]
    items: tuple[Item, ...]


@dataclass(frozen=True, slots=True)
class WalkList:
    """A list, its items in walking order.

    Attributes:
        revision: Raised with every change of content.
        place: Order among lists that are walked for the same event, lowest first.
        restore_reset_by: Interruptions that empty the restore list.
        gates: Printed with the release and said beforehand; never operated.
        own: Titles of the files that added an owner's items.
        fingerprint: SHA-256 over the content, in hexadecimal.
    """

    id: str
    name: str
    revision: int
    dated: date | None
    place: int
    source: str
    zones: tuple[Zone, ...]
    stands: tuple[Stand, ...]
    items: tuple[Item, ...]
    events: tuple[ListEvent, ...]
    restarts: tuple[Restart, ...]
    restore_reset_by: tuple[str, ...] = ()
    gates: tuple[str, ...] = ()
    own: tuple[str, ...] = ()
    fingerprint: str = ""

    def item(self, id: str) -> Item:
        """Return the item with this id.

        Raises:
            UnknownName: The list has none.
        """
        for each in self.items:
            if each.id == id:
                return each
        raise UnknownName(f"{id!r} is no item of the list {self.id!r}, revision {self.revision}")


def read_list(section: Section, *own: Section) -> WalkList:
    """Return the list that a file describes, with the owner's items of further files; problems are noted in them.

    Args:
        section: The list's own file.
        own: Files of items from the aircraft's manual, each with `list`, `title` and `[[item]]` tables that say which
            item they follow.
    """
    section.choice("kind", ("list",))
    zones = tuple(_zone(each) for each in section.sections("zone", label="id"))
    stands = tuple(_stand(each, zones) for each in section.sections("stand", label="id"))
    source = section.text("source", required=True)
    placed: list[tuple[Section, Item]] = []
    by_name = {stand.name: stand for stand in stands}
    for each in section.sections("item", label="id"):
        name = each.choice("stand", tuple(by_name), required=True)
        where = by_name[name].where if name else ""
        placed.append((each, read_item(each, stand=name, where=where, source="", own=False)))
    walk_list = WalkList(
        id=section.text("id", required=True),
        name=section.text("name", required=True),
        revision=section.integer("revision", required=True, low=1) or 0,
        dated=section.day("dated", required=True),
        place=section.integer("place", required=True) or 0,
        source=source,
        zones=zones,
        stands=stands,
        items=(),
        events=tuple(_event(each) for each in section.sections("event", label="on")),
        restarts=tuple(_restart(each) for each in section.sections("restart", label="on")),
        restore_reset_by=section.texts("restore_reset_by", accepted=INTERRUPTIONS),
        gates=section.texts("gates"),
        own=tuple(_add_own(each, section.text("id"), by_name, placed) for each in own),
    )
    section.finish()
    check_whole(
        section,
        placed=placed,
        zones=tuple(zone.id for zone in zones),
        stands=tuple((stand.name, stand.zones) for stand in stands),
        asked=tuple((event.on, frozenset(event.on + event.asks)) for event in walk_list.events),
    )
    whole = replace(walk_list, items=tuple(item for _, item in placed))
    return replace(whole, fingerprint=fingerprint(whole))


def shipped_list(name: str) -> WalkList:
    """Return one list that comes with the package, without reading the others.

    Raises:
        DefinitionError: The package's own file is wrong.
    """
    problems = Problems()
    file = resources.files("gyrewright") / "data" / "lists" / f"{name}.toml"
    found = read_list(section_of(file.read_text(encoding="utf-8"), file=file.name, problems=problems))
    problems.stop_if_any()
    return found


def shipped_lists() -> tuple[WalkList, ...]:
    """Return the lists that come with the package, in the order in which lists are walked.

    Raises:
        DefinitionError: One of the package's own files is wrong.
    """
    problems = Problems()
    folder = resources.files("gyrewright") / "data" / "lists"
    found = [
        read_list(section_of(file.read_text(encoding="utf-8"), file=file.name, problems=problems))
        for file in folder.iterdir()
        if file.name.endswith(".toml")
    ]
    problems.found += check_lists({each.id: each.items for each in found})
    problems.stop_if_any()
    return tuple(sorted(found, key=lambda each: each.place))


def fingerprint(walk_list: WalkList) -> str:
    """Return the SHA-256 of a list's content, in hexadecimal: comments and layout of its file do not count."""
    content = asdict(replace(walk_list, fingerprint=""))
    text = json.dumps(content, sort_keys=True, ensure_ascii=False, separators=(",", ":"), default=str)
    return hashlib.sha256(text.encode()).hexdigest()


def lists_for(lists: Iterable[WalkList], *, event: str, also: Collection[str] = ()) -> tuple[WalkList, ...]:
    """Return the lists that an event, and what else holds today, call for, in the order in which they are walked."""
    words = _known({event, *also})
    return tuple(
        sorted((each for each in lists if any(words & set(row.on) for row in each.events)), key=lambda each: each.place)
    )


def items_for(
    walk_list: WalkList, *, event: str, equipment: Collection[str], also: Collection[str] = ()
) -> tuple[Item, ...]:
    """Return the items that an aircraft is walked by at an event, in walking order, in the words that fit it.

    An item is left out only where the equipment says that its part is not there; on silence it is asked.

    Args:
        walk_list: The list.
        event: What calls for the walk, one of `items.EVENTS`.
        equipment: The words of the aircraft's definition, and those of `equipment.TODAY` that are known.
        also: What else holds: refueled, cold, dusty...

    Raises:
        UnknownName: A word is no event.
    """
    words = _known({event, *also})
    asked = set(words).union(*(row.asks for row in walk_list.events if words & set(row.on)))
    return tuple(
        _fitted(item, words, asked, equipment)
        for item in walk_list.items
        if asked & set(item.when) and fits(item.needs, equipment)
    )


def stands(
    walk_list: WalkList, *, event: str, equipment: Collection[str], also: Collection[str] = ()
) -> tuple[WalkStand, ...]:
    """Return the stands of a walk in order, short neighbors sharing one as long as it keeps to nine items.

    The restore list comes after everything else and shares no stand with what comes before it.
    """
    by_name = {stand.name: stand for stand in walk_list.stands}
    found: list[WalkStand] = []
    for item in items_for(walk_list, event=event, equipment=equipment, also=also):
        stand = by_name[item.stand]
        if found and found[-1].parts == (stand,):
            found[-1] = WalkStand((stand,), (*found[-1].items, item))
        else:
            found.append(WalkStand((stand,), (item,)))
    return tuple(_shared(found))


def restart_scope(walk_list: WalkList, *, on: Collection[str], away_h: float = 0.0) -> str:
    """Return what must be walked again after an interruption: one of `SCOPES`, the widest that a rule asks for, or "".

    Args:
        walk_list: The list.
        on: What happened, each one of `INTERRUPTIONS`.
        away_h: How long the walk stood still. [h]

    Raises:
        UnknownName: A word is no interruption.
    """
    unknown = sorted(set(on) - set(INTERRUPTIONS))
    if unknown:
        raise UnknownName(f"{unknown[0]!r} is no interruption; use one of: {', '.join(INTERRUPTIONS)}")
    asked = [rule.restarts for rule in walk_list.restarts if rule.on in on and away_h >= rule.from_h]
    return max(asked, key=SCOPES.index, default="")


def restore_items(items: Iterable[Item]) -> tuple[str, ...]:
    """Return the ids of the items that close what others open, in walking order."""
    return tuple(item.id for item in items if item.of)


def definition_keys(items: Iterable[Item]) -> tuple[str, ...]:
    """Return the keys of an aircraft's definition by which the readings of these items are judged."""
    found: set[str] = set()
    for item in items:
        found.update(key for reading in item.readings for key in reading.definition_keys)
        found.update({item.rest} - {""})
    return tuple(sorted(found))


def _known(words: set[str]) -> set[str]:
    unknown = sorted(words - set(EVENTS))
    if unknown:
        raise UnknownName(f"{unknown[0]!r} is no event that calls for a walk-round; use one of: {', '.join(EVENTS)}")
    return words


def _fitted(item: Item, words: set[str], asked: set[str], equipment: Collection[str]) -> Item:
    """Return the item with the readings that this walk asks for, in the first variant's words that fit."""
    kept = tuple(
        each for each in item.readings if fits(each.needs, equipment) and (not each.when or asked & set(each.when))
    )
    for variant in item.variants:
        if is_said(variant.needs, equipment) and (not variant.events or words & set(variant.events)):
            texts: dict[str, Any] = dict(variant.texts)
            return replace(item, readings=kept, variants=(), **texts)
    return replace(item, readings=kept, variants=())


def _shared(found: list[WalkStand]) -> list[WalkStand]:
    out: list[WalkStand] = []
    for stand in found:
        last = out[-1] if out else None
        short = last is not None and min(len(last.items), len(stand.items)) < LEAST
        restore_begins = last is not None and not last.items[0].of and bool(stand.items[0].of)
        if last is not None and short and not restore_begins and len(last.items) + len(stand.items) <= MOST:
            out[-1] = WalkStand(last.parts + stand.parts, last.items + stand.items)
        else:
            out.append(stand)
    return out


def _zone(section: Section) -> Zone:
    zone = Zone(section.text("id", required=True), section.text("name", required=True))
    section.finish()
    return zone


def _stand(section: Section, zones: tuple[Zone, ...]) -> Stand:
    stand = Stand(
        name=section.text("id", required=True),
        zones=section.texts("zones", accepted=tuple(zone.id for zone in zones), required=True),
        where=section.text("where", required=True),
    )
    section.finish()
    return stand


def _event(section: Section) -> ListEvent:
    on = section.texts("on", accepted=EVENTS, required=True)
    stood = section.quantity("stood_over", "days", low=1.0, high=1000.0)
    event = ListEvent(
        on=on,
        asks=section.texts("asks", accepted=EVENTS) or on,
        question=section.text("question"),
        locks=bool(section.flag("locks")),
        cleared_by=section.choice("cleared_by", CLEARERS),
        stood_over_days=stood.value if stood else None,
    )
    if event.locks and not event.cleared_by:
        section.wrong("cleared_by", "is missing; an event that locks says who may close it")
    section.finish()
    return event


def _restart(section: Section) -> Restart:
    since = section.quantity("from", "time", low=0.0, high=24.0)
    rule = Restart(
        on=section.choice("on", INTERRUPTIONS, required=True),
        restarts=section.choice("restarts", SCOPES, required=True) or SCOPES[-1],
        from_h=since.value if since else 0.0,
        source=section.text("source", required=True),
    )
    section.finish()
    return rule


def _add_own(section: Section, list_id: str, stands: dict[str, Stand], placed: list[tuple[Section, Item]]) -> str:
    """Put the items of an owner's file behind those they follow; return the file's title."""
    section.choice("kind", ("list items",))
    title = section.text("title", required=True)
    meant = section.text("list", required=True)
    if meant and meant != list_id:
        section.wrong("list", f"{meant!r} is not the list at hand; these items belong to {list_id!r}")
    for each in section.sections("item", label="id"):
        follows = each.text("follows", required=True)
        at = next((number for number, (_, item) in enumerate(placed) if item.id == follows), None)
        if at is None:
            if follows:
                each.wrong("follows", f"{follows!r} is no item of the list {list_id!r}")
            continue
        before = placed[at][1]
        where = stands[before.stand].where if before.stand in stands else ""
        placed.insert(at + 1, (each, read_item(each, stand=before.stand, where=where, source=title, own=True)))
    section.finish()
    return title
