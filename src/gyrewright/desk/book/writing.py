"""The only way into the book: entries are checked, chained and committed together, and the head is kept outside."""

from __future__ import annotations

import json
import secrets
import uuid
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any

from django.conf import settings
from django.db import OperationalError, transaction

from gyrewright.desk import clock
from gyrewright.desk.book import chain
from gyrewright.desk.book.chain import Head
from gyrewright.desk.book.clockwatch import watch
from gyrewright.desk.book.head import keep_head
from gyrewright.desk.book.kinds import About, Corrects, Kind, kind_of
from gyrewright.desk.book.kinds.operation import BookOpened, Clash, ClashPersonal, ClockConfirmed
from gyrewright.desk.book.models import Personal, Photo, Record
from gyrewright.desk.book.reading import head
from gyrewright.desk.book.record import ELSEWHERE, Entry, Kept, Outcome, recorded
from gyrewright.desk.book.schema import encode
from gyrewright.desk.letters import unseen
from gyrewright.desk.moments import moment_of, moment_text
from gyrewright.desk.refusal import ClockInDoubt, DiskFull, Refused

AT_ONCE = timedelta(seconds=2)
"""An act whose time lies this near to its entry was done by entering it."""

AHEAD = timedelta(minutes=10)
"""How far an act may lie ahead of the desk's clock: two good clocks differ by less."""

_PHONES = ("phone-opened", "phones-lost")


@dataclass(frozen=True, slots=True)
class _Ready:
    """An entry in the texts of its columns."""

    kind: Kind
    entry: Entry
    done_at: str
    body: str
    personal: str
    person: str
    fingerprint: str
    salt: str

    def content(self) -> dict[str, str]:
        """Return what makes two entries the same, apart from their personal part."""
        return {
            "kind": self.kind.name,
            "done_at": self.done_at,
            "by": self.entry.by,
            "about": self.entry.about,
            "corrects": self.entry.corrects,
            "body": self.body,
        }


@contextmanager
def disk_in_words() -> Iterator[None]:
    """Turn the database's words for a full or failing disk into ours; the transaction has been rolled back."""
    try:
        yield
    except (OperationalError, OSError) as error:
        full = disk_full(error)
        if full is None:
            raise
        raise full from error


def disk_full(error: Exception) -> DiskFull | None:
    """Return the refusal that an error of the database or the system stands for, if it speaks of the disk."""
    words = str(error)
    tokens = ("is full", "disk I/O", "No space", "File too large", "readonly database", "unable to open")
    if not isinstance(error, OperationalError | OSError) or not any(token in words for token in tokens):
        return None
    return DiskFull(
        f"the disk that holds {settings.DATA_DIR} is full or fails ({words}): nothing was written;"
        " free some space and do it again"
    )


def append(entries: Sequence[Entry], *, now: Callable[[], datetime] = clock.now) -> list[Kept]:
    """Record entries in one transaction, in their order, and return what became of each.

    All are kept or none. The same id with the same content is stored once; with other content it becomes a clash,
    which is a record of its own. An act done by entering it is the same when it is handed in again a little later.

    Raises:
        Refused: An entry is not of the form of its kind, points nowhere, or lies in the future.
        DefinitionError: A body has missing, unknown or wrong keys.
        ClockInDoubt: This machine's clock contradicts the book.
        DiskFull: The disk takes no more.
    """
    ready = [_ready(entry) for entry in entries]
    with disk_in_words(), transaction.atomic():
        last = head()
        entered_at = _entered_at(now(), ready)
        kept = []
        for each in ready:
            reply, last = _keep(each, entered_at, last)
            kept.append(reply)
        if any(reply.outcome is not Outcome.AGAIN for reply in kept):
            data_dir = settings.DATA_DIR
            transaction.on_commit(lambda: keep_head(data_dir, last) and None)
    return kept


def append_one(entry: Entry, *, now: Callable[[], datetime] = clock.now) -> Kept:
    """Record one entry; see `append`."""
    return append([entry], now=now)[0]


def _ready(entry: Entry) -> _Ready:
    kind = kind_of(entry.act)
    _check_envelope(kind, entry)
    body = encode(entry.act)
    personal = person = digest = salt = ""
    if entry.personal is not None:
        if kind.personal is not type(entry.personal):
            raise Refused(f"{type(entry.personal).__name__} is not the personal part of {kind.called}")
        personal = chain.canonical(encode(entry.personal))
        person = entry.person or (entry.about if kind.about is About.PERSON else entry.by)
        salt = secrets.token_hex(16)
        digest = chain.fingerprint(salt=salt, content=personal.encode())
    return _Ready(kind, entry, moment_text(entry.done_at), chain.canonical(body), personal, person, digest, salt)


def _check_envelope(kind: Kind, entry: Entry) -> None:
    try:
        is_uuid = str(uuid.UUID(entry.id)) == entry.id
    except (ValueError, AttributeError, TypeError):
        is_uuid = False
    if not is_uuid:
        raise Refused(f"{entry.id!r} is no id; ids are UUIDs in small letters, made where the act happens")
    for column, text in (("by", entry.by), ("about", entry.about), ("corrects", entry.corrects)):
        if not isinstance(text, str) or len(text) > 100 or unseen(text) or "\n" in text:
            raise Refused(f"{text!r} cannot stand under {column!r}; write an id of at most 100 characters")
    if not entry.by:
        raise Refused(f"{kind.called} names nobody who did it")
    if not entry.about and kind.about in (About.AIRCRAFT, About.PERSON):
        raise Refused(f"{kind.called} does not say which {kind.about} it is about")
    if entry.about and kind.about is About.NOTHING:
        raise Refused(f"{kind.called} is about no single aircraft or person; leave {entry.about!r} out")
    if entry.corrects and kind.corrects is Corrects.NEVER:
        raise Refused(f"{kind.called} corrects nothing; it is an act of its own")
    if not entry.corrects and kind.corrects is Corrects.MUST:
        raise Refused(f"{kind.called} does not say which record it takes back")


def _entered_at(now: datetime, ready: Sequence[_Ready]) -> datetime:
    ahead = next((each for each in ready if each.entry.done_at > now + AHEAD), None)
    if ahead:
        raise Refused(
            f"{ahead.kind.called} was done at {ahead.done_at}, but this machine's clock shows {moment_text(now)}:"
            " set right whichever clock is wrong and do it again"
        )
    if all(isinstance(each.entry.act, ClockConfirmed) for each in ready):
        return now
    seen = watch(now)
    if seen.doubt:
        raise ClockInDoubt(
            f"this machine's clock {seen.doubt}:"
            " nothing was written; set the clock right, or let two people confirm it on the Records page"
        )
    return max(now, seen.last_at) if seen.last_at else now


def _keep(ready: _Ready, entered_at: datetime, last: Head) -> tuple[Kept, Head]:
    earlier = Record.objects.filter(id=ready.entry.id).values().first()
    if earlier is not None:
        beside = Personal.objects.filter(fingerprint=earlier["personal_fingerprint"]).first()
        if _is_same(ready, earlier, beside, entered_at):
            row = recorded(earlier, personal=beside.content if beside else None)
            return Kept(Outcome.AGAIN, row), last
        kept, last = _keep(_clash(ready, earlier), entered_at, last)
        return Kept(Outcome.CLASH, kept.record), last
    _check_place(ready, last)
    new: dict[str, Any] = {
        "seq": last.seq + 1,
        "id": ready.entry.id,
        **ready.content(),
        "entered_at": moment_text(entered_at),
        "personal_fingerprint": ready.fingerprint,
        "salt": secrets.token_hex(16),
        "prev": last.hash,
    }
    new["hash"] = chain.record_hash(
        prev=last.hash, seq=last.seq + 1, id=ready.entry.id, digest=chain.content_digest(new)
    )
    Record.objects.bulk_create([Record(**new)])
    if ready.fingerprint:
        Personal.objects.bulk_create(
            [Personal(fingerprint=ready.fingerprint, salt=ready.salt, person=ready.person, content=ready.personal)]
        )
    kept = Kept(Outcome.NEW, recorded(new, personal=ready.personal if ready.fingerprint else None))
    return kept, Head(last.seq + 1, new["hash"])


def _is_same(ready: _Ready, earlier: dict[str, Any], beside: Personal | None, entered_at: datetime) -> bool:
    given = ready.content()
    if _done_as_entered(ready.entry.done_at, entered_at) and _done_as_entered(
        moment_of(earlier["done_at"]), moment_of(earlier["entered_at"])
    ):
        # Done by handing a form in, and handed in twice: only the moment of the second touch differs.
        given["done_at"] = earlier["done_at"]
    if any(earlier[name] != text for name, text in given.items()):
        return False
    if beside is None:
        # Erased content cannot be compared; what never was must not appear under a used id.
        return bool(earlier["personal_fingerprint"]) or not ready.personal
    return bool(beside.content == ready.personal)


def _done_as_entered(done_at: datetime, entered_at: datetime) -> bool:
    return abs(done_at - entered_at) <= AT_ONCE


def _clash(ready: _Ready, earlier: dict[str, Any]) -> _Ready:
    sent = chain.canonical(ready.content())
    # The same clash handed in again gets the same id and is stored once.
    id = str(uuid.uuid5(uuid.UUID(ready.entry.id), sent + ready.personal))
    return _ready(
        Entry(
            id=id,
            act=Clash(id=ready.entry.id, sent=sent),
            done_at=ready.entry.done_at,
            by=ready.entry.by,
            about=earlier["about"],
            personal=ClashPersonal(sent=ready.personal) if ready.personal else None,
            person=ready.person,
        )
    )


def _check_place(ready: _Ready, last: Head) -> None:
    is_opening = isinstance(ready.entry.act, BookOpened)
    if is_opening and last.seq:
        raise Refused("this book is already open; one book holds one operation")
    if not is_opening and not last.seq:
        raise Refused("this book is not open yet; open it with the operation's name first")
    if ready.entry.corrects:
        earlier = Record.objects.filter(id=ready.entry.corrects).values("about", "kind", "by").first()
        if earlier is None:
            raise Refused(f"{ready.kind.called} corrects {ready.entry.corrects!r}, which is not in the book")
        if earlier["about"] != ready.entry.about:
            raise Refused(
                f"{ready.kind.called} is about {ready.entry.about!r} but corrects a record about {earlier['about']!r}"
            )
        if earlier["kind"] == "no" and earlier["by"] != ready.entry.by:
            raise Refused("a no is taken back by its speaker alone, and not by withdrawing it for them")
        if earlier["kind"] in _PHONES:
            raise Refused("what a phone has open ends when it hands over or its holder says so, not by withdrawing it")
        if ready.kind.corrects is Corrects.MAY and earlier["kind"] != ready.kind.name:
            raise Refused(f"{ready.kind.called} cannot correct a record of another kind; withdraw that one")
    photos = set(chain.photos_named(json.loads(ready.body)))
    if not photos or ready.entry.by.startswith(ELSEWHERE):
        # Photos that may show people stayed in the book where the aircraft came from.
        return
    lost = photos - set(Photo.objects.filter(fingerprint__in=photos).values_list("fingerprint", flat=True))
    if lost:
        raise Refused(
            f"photo {min(lost)[:12]} has not been handed in; hand in photos before the record that names them"
        )
