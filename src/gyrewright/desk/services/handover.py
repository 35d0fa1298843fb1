"""Taking in what phones hand over: each act once, whatever came twice, late or out of order; and a reply to each.

A phone deletes an act only when the reply names it. So the reply names everything that the book now holds, in whatever
shape: as what it is, as a clash with other content under the same id, or as something that was not understood.
A further kind of act takes the same way by an entry in `SINGLE`.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import Any

from django.db import transaction

from gyrewright.desk import clock
from gyrewright.desk.book.kinds.flight import WalkAccepted
from gyrewright.desk.book.writing import append, disk_in_words
from gyrewright.desk.moments import moment_text
from gyrewright.desk.refusal import Refused
from gyrewright.desk.services import phones, state, walks
from gyrewright.desk.services.erasing import keep_photo
from gyrewright.desk.services.exchange import Exchange, Item, read_exchange
from gyrewright.desk.services.handover_walks import WALK_KINDS, take_walks
from gyrewright.desk.services.releases import supersede
from gyrewright.desk.services.taken import Taken, not_understood, single, unread

SINGLE = ("defect-reported", "event-reported")
"""Kinds of record that a phone may make: the item's body is the record's own. Each needs a field `handed`."""

ACCEPTED = "walk-accepted"
"""Another's walk taken over; what was looked at again for it comes as answers before it."""

STOPS = frozenset(("defect-reported", "event-reported"))
"""Those of them that can only stop a flight: nothing else is taken from plain http."""


def hand_over(
    content: bytes, *, by: str, is_live: bool = True, is_plain: bool = False, only: str = ""
) -> dict[str, Any]:
    """Record what a phone sent and return the reply, ready for JSON.

    Args:
        content: The JSON of the exchange; see `services.exchange`.
        by: Who is logged in where it is handed over.
        is_live: Whether the phone itself sent it; a file of a stranded queue says nothing of the clock now.
        is_plain: Whether it came in plain http: then it may stop a flight and never clear one.
        only: The one aircraft that may be spoken of; empty for any.

    Raises:
        Refused: It is no exchange; nothing of it was taken.
        ClockInDoubt: The desk's own clock contradicts the book; nothing was taken.
        DiskFull: Nothing was taken.
    """
    exchange = replace(read_exchange(content, by=by, at=clock.now(), is_live=is_live), is_plain=is_plain)
    photos, spoiled = _photos(exchange)
    with disk_in_words(), transaction.atomic():
        fleet = frozenset((only,)) if only else frozenset(state.fleet_ids())
        taken = list(_taken(exchange, photos, fleet))
        append([entry for each in taken for entry in each.entries])
        # Only now does the book know what was looked at again.
        over = [_taken_over(exchange, item) for item in _accepting(exchange, fleet)]
        append([entry for each in over for entry in each.entries])
        taken += over
        if is_live:
            _heard(exchange, only=only)
    if any(each.entries for each in taken):
        supersede(by=by)
    results = [
        {"id": each.id, "outcome": each.outcome.value, "says": said_of(each, spoiled)} for each in taken if each.id
    ]
    return {"now": moment_text(clock.now()), "results": results}


def said_of(taken: Taken, spoiled: dict[str, str]) -> str:
    """Return what the reply says of an item beside its outcome."""
    return "; ".join(text for text in (taken.says, spoiled.get(taken.id, "")) if text)


def _photos(exchange: Exchange) -> tuple[dict[str, tuple[str, ...]], dict[str, str]]:
    """Keep the photos of every item; return their fingerprints by item, and what was wrong with any of them."""
    kept: dict[str, tuple[str, ...]] = {}
    spoiled: dict[str, str] = {}
    for item in exchange.items:
        names = []
        for id, content in item.photos:
            try:
                names.append(keep_photo(content=content, person=exchange.by, id=id))
            except Refused as refused:
                spoiled[item.id] = f"kept without a photo: {refused}"
        kept[item.id] = tuple(names)
    return kept, spoiled


def _taken(exchange: Exchange, photos: dict[str, tuple[str, ...]], fleet: frozenset[str]) -> Iterator[Taken]:
    """Yield what becomes of each item; an id that comes twice in one exchange counts once."""
    of_walks, seen = [], set()
    for one in exchange.unread:
        yield unread(exchange, one)
    for item in exchange.items:
        if (item.id, item.sent) in seen:
            continue
        seen.add((item.id, item.sent))
        if item.about not in fleet:
            yield not_understood(exchange, item.id, f"the book knows no aircraft {item.about!r}", item.raw)
        elif item.kind in WALK_KINDS and item.walk:
            of_walks.append(item)
        elif exchange.is_plain and item.kind not in STOPS:
            says = "this clears something, and it came over plain http: do it at the desk"
            yield not_understood(exchange, item.id, says, item.raw)
        elif item.kind == ACCEPTED:
            continue
        elif item.kind in SINGLE:
            yield single(exchange, item, photos[item.id])
        else:
            yield not_understood(exchange, item.id, f"{item.kind!r} is nothing that a phone hands over", item.raw)
    yield from take_walks(exchange, of_walks, photos)


def _accepting(exchange: Exchange, fleet: frozenset[str]) -> list[Item]:
    found = {item.id: item for item in exchange.items if item.kind == ACCEPTED and item.about in fleet}
    return [] if exchange.is_plain else list(found.values())


def _taken_over(exchange: Exchange, item: Item) -> Taken:
    """Return what becomes of somebody's taking another's walk over: it counts only if they may, and looked again."""
    taken = single(exchange, item, ())
    if not taken.entries or not isinstance(taken.entries[0].act, WalkAccepted):
        return taken
    act, by, about = taken.entries[0].act, exchange.by, item.about
    why = walks.against_accepting(aircraft=about, walk=act.walk, seen=act.spots, by=by, at=exchange.at)
    looked = walks.has_looked_again(aircraft=about, walk=act.walk, seen=act.spots, by=by, device=exchange.device)
    if not why and not looked:
        why = "not every item named for it was answered as it should be on this phone"
    return not_understood(exchange, item.id, why, item.raw) if why else taken


def _heard(exchange: Exchange, *, only: str) -> None:
    """Note what the phone says of itself: with which aircraft it is out, and with which no longer."""
    is_plain = exchange.is_plain
    open_ones = dict.fromkeys(about for about, _ in exchange.open_walks if only in ("", about))
    for aircraft in open_ones:
        phones.open_walk(phone=exchange.device, aircraft=aircraft, by=exchange.by, is_plain=is_plain)
    for aircraft in (only,) if only else state.fleet_ids():
        for phone in dict.fromkeys((exchange.device, exchange.earlier)):
            if phone and (aircraft not in open_ones or phone == exchange.earlier):
                phones.report(
                    phone=phone,
                    aircraft=aircraft,
                    by=exchange.by,
                    waiting=exchange.waiting,
                    is_open=False,
                    is_plain=is_plain,
                )
