"""What became of an item that a phone handed over: what the reply says of it, and what is written for it."""

from __future__ import annotations

import json
import uuid
from dataclasses import dataclass, replace
from enum import StrEnum

from gyrewright.desk.book.chain import canonical
from gyrewright.desk.book.kinds import kind_named
from gyrewright.desk.book.kinds.operation import Clash
from gyrewright.desk.book.kinds.walking import NotUnderstood
from gyrewright.desk.book.models import Record
from gyrewright.desk.book.record import Entry
from gyrewright.desk.book.schema import decode
from gyrewright.desk.refusal import Refused
from gyrewright.desk.services.exchange import Exchange, Item, Unread
from gyrewright.desk.services.reporting import as_handed
from gyrewright.errors import DefinitionError


class Became(StrEnum):
    """What became of an item; in every case the book holds it now, and the phone may let go of it."""

    KEPT = "kept"
    AGAIN = "again"
    CLASH = "clash"
    ODD = "not understood"


@dataclass(frozen=True, slots=True)
class Taken:
    """The reply to one item, and the records that it makes."""

    id: str
    outcome: Became
    says: str = ""
    entries: tuple[Entry, ...] = ()


_BESIDE = "kept beside what came under the same number before; a person says which of the two is true"


def not_understood(exchange: Exchange, id: str, why: str, raw: object) -> Taken:
    """Return what keeps something as it came, with the reason why it cannot be taken as what it claims to be."""
    text = json.dumps(raw, ensure_ascii=True, sort_keys=True)[:900_000]
    record = str(uuid.uuid5(uuid.UUID(exchange.device), text))
    says = f"kept as it came, but not understood: {why}"
    if Record.objects.filter(id=record).exists():
        return Taken(id, Became.ODD, says)
    act = NotUnderstood(sent=text, why=why[:500], handed=exchange.handed())
    return Taken(id, Became.ODD, says, (Entry(record, act, exchange.at, exchange.by),))


def unread(exchange: Exchange, one: Unread) -> Taken:
    """Return what keeps an item whose form nobody could read."""
    return not_understood(exchange, one.id, one.why, one.raw)


def clash(exchange: Exchange, item: Item) -> Taken:
    """Return what keeps a second content under an id that the book has: one question to a person."""
    sent = canonical(item.raw)
    record = str(uuid.uuid5(uuid.UUID(item.id), sent))
    if Record.objects.filter(id=record).exists():
        return Taken(item.id, Became.CLASH, _BESIDE)
    act = Clash(id=item.id, sent=sent)
    return Taken(item.id, Became.CLASH, _BESIDE, (Entry(record, act, exchange.at, exchange.by, item.about),))


def single(exchange: Exchange, item: Item, photos: tuple[str, ...]) -> Taken:
    """Return what becomes of an item that is a record by itself: its body is the record's, with how it came in."""
    kind = kind_named(item.kind)
    known = Record.objects.filter(id=item.id).values_list("body", flat=True).first()
    if known is not None and json.loads(known).get("handed", {}).get("sent") == item.sent:
        return Taken(item.id, Became.AGAIN)
    if known is not None and Record.objects.filter(kind="clash", body__contains=item.sent).exists():
        return Taken(item.id, Became.CLASH, _BESIDE)
    try:
        body = {**item.body, **({"photos": list(photos)} if photos else {})}
        act = as_handed(replace(decode(kind.schema, body, called=kind.called), handed=exchange.handed(item)))
    except (DefinitionError, Refused) as error:
        return not_understood(exchange, item.id, str(error), item.raw)
    # A second content under a used id is kept beside the first by the book itself, whole.
    entry = Entry(item.id, act, exchange.done_at(item.at), exchange.by, item.about)
    outcome, says = (Became.KEPT, "") if known is None else (Became.CLASH, _BESIDE)
    return Taken(item.id, outcome, says, (entry,))
