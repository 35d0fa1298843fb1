"""What a phone sends in one exchange, as it came: read strictly, and kept whole where it cannot be read.

The form, as JSON; a phone's file of a stranded queue has the same:

    {"form": 1, "device": UUID, "earlier": UUID or "", "now": moment, "waiting": count,
     "open": [{"about": aircraft, "walk": UUID or ""}, ...],
     "skew_s": whole seconds, as last noted, for a file,
     "items": [{"id": UUID, "kind": "...", "about": aircraft, "walk": UUID or "", "at": moment, "n": count,
                "person": person, "body": {...}, "photos": [{"id": UUID, "jpeg": base64}, ...]}, ...]}

Moments are by the phone's own clock, as ISO 8601 with an offset. `n` counts all acts of one phone. `person` is whose
page it was. `waiting` says how much the phone holds back beyond these items, `open` which aircraft's
page it shows or which walks on it go on.
"""

from __future__ import annotations

import base64
import binascii
import hashlib
import json
import uuid
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from typing import Any

from gyrewright.desk.book.chain import canonical
from gyrewright.desk.book.kinds.handed import Handed
from gyrewright.desk.refusal import Refused

FORM = 1
MOST_ITEMS = 2000
SLIGHT = timedelta(minutes=1)
"""A phone's clock that differs by less is taken as right: the exchange itself takes time."""


def is_device(text: object) -> bool:
    """Return whether a text can be a phone's id, or an act's: a UUID in small letters."""
    try:
        return isinstance(text, str) and str(uuid.UUID(text)) == text
    except ValueError:
        return False


@dataclass(frozen=True, slots=True)
class Item:
    """One act as a phone made it. `sent` is the digest of its content; photos come with their ids."""

    id: str
    kind: str
    about: str
    walk: str
    at: datetime
    n: int
    person: str
    body: Mapping[str, Any]
    photos: tuple[tuple[str, bytes], ...]
    sent: str
    raw: Mapping[str, Any]


@dataclass(frozen=True, slots=True)
class Unread:
    """An item that is none: what is wrong with it, and what came. `id` is empty where it has none."""

    id: str
    why: str
    raw: Any


@dataclass(frozen=True, slots=True)
class Exchange:
    """What one phone sent at once, and by whom it was handed over.

    Attributes:
        by: Who is logged in where it was handed over.
        at: When, by the desk's clock.
        phone_at: When, by the phone's; for a file, when that was saved.
        skew: How far the phone's clock was ahead; zero within a minute.
        earlier: Another id under which the phone's page was given out, if any.
        is_plain: Whether it came in plain http: then nobody knows who spoke, and it may stop but not clear.
    """

    device: str
    by: str
    at: datetime
    phone_at: datetime
    skew: timedelta
    earlier: str
    waiting: int
    open_walks: tuple[tuple[str, str], ...]
    items: tuple[Item, ...]
    unread: tuple[Unread, ...]
    is_plain: bool = False

    def done_at(self, phone_at: datetime) -> datetime:
        """Return when an act was done by the desk's clock: never later than now."""
        return min(phone_at - self.skew, self.at)

    def handed(self, item: Item | None = None) -> Handed:
        """Return how an item came in, or what stands for the whole exchange."""
        skew_s = round(self.skew.total_seconds())
        return Handed(self.device, item.at, skew_s, item.sent) if item else Handed(self.device, self.phone_at, skew_s)


def read_exchange(content: bytes, *, by: str, at: datetime, is_live: bool = True) -> Exchange:
    """Return what a phone sent.

    Args:
        content: The JSON.
        by: Who is logged in.
        at: Now.
        is_live: Whether the phone sent it just now; a file's own time says nothing about the phone's clock.

    Raises:
        Refused: It is no exchange at all; nothing of it was taken.
    """
    try:
        table = json.loads(content)
    except (ValueError, RecursionError):
        raise Refused("this is no phone's hand-over: it is not JSON; take the file that the phone saved") from None
    if not isinstance(table, dict) or table.get("form") != FORM or not is_device(table.get("device")):
        raise Refused(f"this is no phone's hand-over of form {FORM}; take the file that the phone saved")
    try:
        return _exchange(table, by, at, is_live)
    except (KeyError, TypeError, AttributeError, OverflowError) as error:
        raise Refused(f"this is no phone's hand-over of form {FORM}: {error!r}"[:300]) from None


def _exchange(table: Mapping[str, Any], by: str, at: datetime, is_live: bool) -> Exchange:
    items, several = [], table.get("items", [])
    if not isinstance(several, list) or len(several) > MOST_ITEMS:
        raise Refused(f"a hand-over brings a list of at most {MOST_ITEMS} items")
    unread = []
    for raw in several:
        try:
            items.append(_item(raw))
        except (Refused, KeyError, TypeError, ValueError, RecursionError) as error:
            why = str(error) if isinstance(error, Refused) else f"its form is not that of an item: {error!r}"[:300]
            unread.append(Unread(_id_of(raw), why, raw))
    phone_at = _moment(table.get("now"))
    skew = phone_at - at if is_live else timedelta(seconds=int(table.get("skew_s", 0)))
    waiting, opened = table.get("waiting", 0), table.get("open", [])
    return Exchange(
        device=table["device"],
        by=by,
        at=at,
        phone_at=phone_at,
        skew=skew if abs(skew) >= SLIGHT else timedelta(0),
        earlier=table["earlier"] if is_device(table.get("earlier")) else "",
        waiting=waiting if isinstance(waiting, int) and 0 <= waiting < 1_000_000 else 0,
        open_walks=tuple((_word(each["about"]), each["walk"]) for each in opened if _is_walk(each.get("walk"))),
        items=tuple(items),
        unread=tuple(unread),
    )


def _is_walk(text: Any) -> bool:
    """Return whether something names a walk: by its id, or as one that may be begun on this page any moment."""
    return text == "" or is_device(text)


def _id_of(raw: Any) -> str:
    id = raw.get("id") if isinstance(raw, dict) else None
    return id if isinstance(id, str) and is_device(id) else ""


def _word(text: Any) -> str:
    if not isinstance(text, str) or len(text) > 100 or any(ord(letter) < 32 for letter in text):
        raise Refused(f"{str(text)[:60]!r} is no id")
    return text


def _moment(text: Any) -> datetime:
    if not isinstance(text, str):
        raise Refused("a moment is missing; a phone says its own time with everything it sends")
    try:
        at = datetime.fromisoformat(text)
    except ValueError:
        raise Refused(f"{text[:40]!r} is no moment") from None
    if at.tzinfo is None:
        raise Refused(f"{text[:40]!r} has no offset from UTC")
    # A year near the ends of the calendar cannot be moved by a skew.
    if not 1990 <= at.year <= 2200:
        raise Refused(f"{text[:40]!r} lies outside the years 1990 to 2200; set the phone's clock")
    return at.astimezone(UTC)


def _item(raw: Any) -> Item:
    if not isinstance(raw, dict) or not _id_of(raw):
        raise Refused("an item has no id; ids are UUIDs in small letters")
    n = raw["n"]
    if not isinstance(n, int) or isinstance(n, bool) or not 0 <= n < 2**53:
        raise Refused(f"{str(n)[:40]!r} is no count")
    if not isinstance(raw["body"], dict):
        raise Refused("its body is not a table")
    walk = raw.get("walk", "")
    if walk and not is_device(walk):
        raise Refused(f"{str(walk)[:40]!r} is no walk's id")
    photos = tuple((_photo_id(each), _bytes(each["jpeg"])) for each in raw.get("photos", ()))
    content = {name: raw.get(name) for name in ("id", "kind", "about", "walk", "at", "n", "person", "body")}
    content["photos"] = [id for id, _ in photos]
    return Item(
        id=raw["id"],
        kind=_word(raw["kind"]),
        about=_word(raw["about"]),
        walk=walk,
        at=_moment(raw["at"]),
        n=n,
        person=_word(raw.get("person", "")),
        body=raw["body"],
        photos=photos,
        sent=hashlib.sha256(canonical(content).encode()).hexdigest()[:32],
        raw=content,
    )


def _photo_id(photo: Any) -> str:
    id = _id_of(photo)
    if not id:
        raise Refused("a photo has no id")
    return id


def _bytes(text: Any) -> bytes:
    try:
        return base64.b64decode(text, validate=True)
    except (binascii.Error, TypeError, ValueError):
        raise Refused("a photo did not arrive whole; hand it over again") from None
