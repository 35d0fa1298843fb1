"""Acts of walk-rounds as phones hand them over: what one exchange brings of one walk becomes one record.

An act keeps its id, its place in the phone's own count and the phone's time. What the list says of an item is looked
up in the list that the walk was begun with, and taken from the phone only where nobody kept that list.
"""

from __future__ import annotations

import uuid
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from datetime import datetime
from typing import Any

from gyrewright.desk.book.kinds import upkeep
from gyrewright.desk.book.kinds.walking import Answered, Begun, Broken, Left, Signed, WalkPart
from gyrewright.desk.book.models import Record
from gyrewright.desk.book.reading import read_rows
from gyrewright.desk.book.record import Entry
from gyrewright.desk.book.schema import decode
from gyrewright.desk.moments import moment_text
from gyrewright.desk.refusal import Refused
from gyrewright.desk.services.exchange import Exchange, Item
from gyrewright.desk.services.pins import is_their_pin
from gyrewright.desk.services.taken import Became, Taken, clash, not_understood
from gyrewright.desk.services.walk_lists import items_by_fingerprint
from gyrewright.errors import DefinitionError, UnitError
from gyrewright.inspection.items import EVENTS
from gyrewright.inspection.lists import INTERRUPTIONS
from gyrewright.units import parse_quantity

WALK_KINDS: dict[str, tuple[str, type]] = {
    "walk-begun": ("begun", Begun),
    "walk-answer": ("answers", Answered),
    "walk-break": ("breaks", Broken),
    "walk-signed": ("signed", Signed),
    "walk-left": ("left", Left),
}
"""What a phone calls each act of a walk, its place in a part, and its form."""

_SPACE = uuid.UUID("b57a3a1e-1f0d-4c55-9a59-7f1f6f4d9f30")
Photos = Mapping[str, tuple[str, ...]]
Rows = Mapping[str, Mapping[str, Any]]


def parts_of(aircraft: str, walk: str) -> list[WalkPart]:
    """Return the parts of a walk that the book holds, in the order in which they came."""
    rows = Record.objects.filter(about=aircraft, kind="walk-part", body__contains=walk).order_by("seq")
    return [each.act for each in read_rows(rows) if each.act.walk == walk]


def acts_of(part: WalkPart) -> Iterator[Any]:
    """Yield every act of a part."""
    for place, _ in WALK_KINDS.values():
        yield from getattr(part, place)


def take_walks(exchange: Exchange, items: Sequence[Item], photos: Photos) -> Iterator[Taken]:
    """Yield what becomes of each act of a walk; the first of each walk carries the record of all of them."""
    for about, walk in dict.fromkeys((each.about, each.walk) for each in items):
        mine = [each for each in items if (each.about, each.walk) == (about, walk)]
        yield from _take_walk(exchange, about, walk, mine, photos)


def _take_walk(exchange: Exchange, about: str, walk: str, items: list[Item], photos: Photos) -> Iterator[Taken]:
    parts = parts_of(about, walk)
    known = {act.id: act.sent for part in parts for act in acts_of(part)}
    begun = [each for part in parts for each in part.begun]
    new: dict[str, list[Any]] = {}
    more: list[Entry] = []
    replies: list[Taken] = []
    rows = items_by_fingerprint(begun[0].fingerprint, about, exchange.at) if begun else None
    # A walk's beginning says by which list the others are read, wherever it stands in the exchange.
    for item in sorted(items, key=lambda each: each.kind != "walk-begun"):
        if item.id in known:
            same = known[item.id] == item.sent
            replies.append(Taken(item.id, Became.AGAIN) if same else clash(exchange, item))
            continue
        place, form = WALK_KINDS[item.kind]
        try:
            act = _act(exchange, item, form, photos.get(item.id, ()))
        except (DefinitionError, Refused, TypeError, ValueError) as error:
            replies.append(not_understood(exchange, item.id, str(error), item.raw))
            continue
        says = ""
        if isinstance(act, Begun):
            rows = rows if begun else items_by_fingerprint(act.fingerprint, about, exchange.at)
            begun.append(act)
            more.extend(_since(exchange, item, act))
        elif isinstance(act, Answered):
            act, says = _by_the_list(act, rows)
            if not exchange.is_plain:
                more.extend(_aboard(exchange, item, act, rows))
        elif isinstance(act, Signed):
            says = _of_signature(act, bool(item.body.get("secret")))
        elif isinstance(act, Broken):
            more.extend(_touches(exchange, item, act))
        known[item.id] = item.sent
        new.setdefault(place, []).append(act)
        replies.append(Taken(item.id, Became.KEPT, says))
    if not new:
        yield from replies
        return
    skew_s = round(exchange.skew.total_seconds())
    part = WalkPart(
        walk=walk, device=exchange.device, skew_s=skew_s, **{place: tuple(acts) for place, acts in new.items()}
    )
    ids = sorted(act.id for act in acts_of(part))
    done_at = max(exchange.done_at(act.at) for act in acts_of(part))
    record = Entry(str(uuid.uuid5(_SPACE, walk + "".join(ids))), part, done_at, exchange.by, about)
    first = next(number for number, reply in enumerate(replies) if reply.outcome is Became.KEPT)
    replies[first] = replace(replies[first], entries=(record, *more))
    yield from replies


def _act(exchange: Exchange, item: Item, form: type, photos: tuple[str, ...]) -> Any:
    """Return the act that an item spells.

    Raises:
        DefinitionError: A key is missing, unknown or of the wrong type.
        Refused: A word of it is none.
    """
    body = dict(item.body)
    own: dict[str, Any] = {"id": item.id, "at": moment_text(item.at), "sent": item.sent}
    person = item.person if item.person != exchange.by and not exchange.is_plain else ""
    if exchange.is_plain:
        body = _of_nobody_known(body, exchange.by, form)
    if form is Begun:
        own |= {"person": person}
    else:
        own |= {"n": item.n}
    if form is Answered:
        own |= {"person": person, **({"photos": list(photos)} if photos else {})}
    if form is Broken:
        own |= {name: _moment_text(body.pop(short, None)) for name, short in (("from_", "from"), ("to", "to"))}
    if form is Signed:
        own |= {"how": _how(exchange, item, body.pop("secret", ""))}
    overlap = sorted(set(own) & set(body))
    if overlap:
        raise Refused(f"{overlap[0]!r} is not for the phone to say")
    act = decode(form, {**body, **own}, called=item.kind)
    _check_words(act)
    return act


def _of_nobody_known(body: dict[str, Any], by: str, form: type) -> dict[str, Any]:
    """Return the body of an act that came in plain http: it takes nothing back and signs in nobody's name but said."""
    if form is Answered:
        # Beside an earlier answer, not in its place: what was found stays found until a person settles the two.
        return {name: value for name, value in body.items() if name != "corrects"}
    if form is Signed:
        return {**body, "signer": body.get("signer") or by, "secret": ""}
    return body


def _moment_text(text: Any) -> str:
    if not isinstance(text, str):
        raise Refused("a break says from when to when")
    at = datetime.fromisoformat(text)
    return moment_text(at)


def _how(exchange: Exchange, item: Item, secret: object) -> str:
    """Return how a signature stands: by whoever is logged in, by somebody else's own PIN, or only said."""
    signer = item.body.get("signer")
    if exchange.is_plain:
        return "said"
    if signer == exchange.by:
        return "own"
    known = isinstance(signer, str) and isinstance(secret, str) and bool(secret)
    return "pin" if known and is_their_pin(person=str(signer), walk=item.walk, secret=str(secret)) else "said"


def _of_signature(act: Signed, had_pin: bool) -> str:
    if act.how != "said":
        return ""
    why = "the PIN is not theirs, or they have none; " if had_pin else ""
    return f"{why}the signature of {act.signer} stands as said until they confirm it on the Walk-round page"


def _check_words(act: Any) -> None:
    if isinstance(act, Begun):
        _among((act.event, *act.also), EVENTS)
    if isinstance(act, Broken):
        _among(act.on, INTERRUPTIONS)
        if act.to < act.from_:
            raise Refused("a break ends before it begins")


def _among(words: Iterable[str], known: tuple[str, ...]) -> None:
    unknown = [word for word in words if word not in known]
    if unknown:
        raise Refused(f"{unknown[0]!r} is none of: {', '.join(known)}")


def _by_the_list(act: Answered, rows: Rows | None) -> tuple[Answered, str]:
    """Return an answer with the list's own word on its item, and what has to be said about it."""
    if rows is None:
        return act, "the list that it was walked by is not known here; kept with what the phone says of the item"
    row = rows.get(act.item)
    if row is None:
        says = f"{act.item!r} is no item of the list that this walk was begun with; kept, and somebody has to look"
        return replace(act, class_="", restores=False), says
    act = replace(act, class_=row["grade"], restores=bool(row["of"]), zone=row["zone"], stand=row["stand"])
    return act, "; ".join(_doubtful(act, row))


def _doubtful(act: Answered, row: Mapping[str, Any]) -> Iterator[str]:
    """Yield what is odd about the readings of an answer; they are kept as they were typed."""
    known = {reading["key"]: reading for reading in row["readings"]}
    for key, text in act.readings.items():
        reading = known.get(key.split(".")[0])
        if reading is None:
            yield f"{act.item} has no reading {key!r}; kept"
            continue
        value = _inside(reading, text)
        if value is None:
            yield f"{reading['name']} at {act.item}: {text!r} is not {_form(reading)}; kept as typed, look again"
        elif isinstance(value, float) and not _believed(reading, value):
            yield f"{reading['name']} at {act.item}: {text} is outside what is believed; kept as typed, look again"


def _form(reading: Mapping[str, Any]) -> str:
    return f"a {reading['dimension']}" if reading["kind"] == "quantity" else f"a {reading['kind']}"


def _believed(reading: Mapping[str, Any], value: float) -> bool:
    low, high = reading["low"], reading["high"]
    return (low is None or value >= low) and (high is None or value <= high)


def _inside(reading: Mapping[str, Any], text: str) -> float | str | None:
    """Return a reading's value inside, its own word for words, and None where it does not read."""
    kind = reading["kind"]
    if kind == "quantity":
        try:
            return parse_quantity(reading["dimension"], text).value
        except UnitError:
            return None
    if kind == "count":
        return float(text) if text.isascii() and text.isdigit() else None
    if kind == "word":
        words = text.split(", ") if reading["several"] else [text]
        return text if set(words) <= set(reading["words"]) else None
    return text or None


def _aboard(exchange: Exchange, item: Item, act: Answered, rows: Rows | None) -> Iterable[Entry]:
    """Yield what an answer says is aboard, as what the release goes by: nobody types a figure twice."""
    row = (rows or {}).get(act.item)
    for reading in row["readings"] if row else ():
        text = act.readings.get(reading["key"], "")
        value = _inside(reading, text) if text else None
        if not isinstance(value, float) or not _believed(reading, value):
            continue
        said: Any = None
        if reading["apart"] == "gauge and stick apart" and reading["key"] in ("stick", "gauge"):
            said = upkeep.FuelMeasured(by_what=reading["key"], aboard=text)
        elif reading["equals"] == "ballast_on_sheet":
            said = upkeep.Touched(what="ballast seen in place", ballast=text)
        if said is not None:
            id = str(uuid.uuid5(uuid.UUID(item.id), reading["key"]))
            yield Entry(id, said, exchange.done_at(item.at), exchange.by, item.about)


_HAPPENED = ("touched by another", "moved", "refueled", "engine stopped", "brake set", "lock put back")
"""Breaks that say what happened to the aircraft itself: they end earlier walks as well."""


_SAID = {
    "after transport": "transported",
    "after refueling": "refueled",
    "after other hands": "touched by another",
}
"""What a walk was begun for, as what happened to the aircraft: that ends earlier walks."""


def _since(exchange: Exchange, item: Item, act: Begun) -> Iterator[Entry]:
    for word in (act.event, *act.also):
        if word in _SAID:
            id = str(uuid.uuid5(uuid.UUID(item.id), word))
            said = upkeep.Touched(what=_SAID[word])
            yield Entry(id, said, exchange.done_at(item.at), exchange.by, item.about)


def _touches(exchange: Exchange, item: Item, act: Broken) -> Iterator[Entry]:
    for word in act.on:
        if word in _HAPPENED:
            id = str(uuid.uuid5(uuid.UUID(item.id), word))
            yield Entry(id, upkeep.Touched(what=word), exchange.done_at(act.to), exchange.by, item.about)
