"""The chain: how a record is hashed, and how a walk along the records finds the first break. No database here.

A record's content is hashed first, then bound to its place:

    content_digest = sha256(canonical JSON of kind, done_at, entered_at, by, about, corrects, body,
                            personal_fingerprint, salt)
    hash           = sha256(canonical JSON of [prev, seq, id, content_digest])

The two steps let one aircraft's records leave with proof: for every other record it is enough to show seq, id and
content digest. The salt (16 random bytes a record) keeps anyone from guessing what such a digest hides.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from gyrewright.desk.refusal import Refused

FIRST_PREV = "0" * 64
"""What the first record has for `prev`."""

CONTENT = ("kind", "done_at", "entered_at", "by", "about", "corrects", "body", "personal_fingerprint", "salt")
"""The columns that the content digest covers."""

COLUMNS = ("seq", "id", *CONTENT, "prev", "hash")
"""Every column of a record, in the order of the export."""


def canonical(value: Any) -> str:
    """Return the one JSON text of a value: keys sorted, no spaces, text as it is.

    Raises:
        Refused: The value holds a number with a point, whose text differs between programs, or a thing JSON has not.
    """
    _check(value)
    return json.dumps(value, ensure_ascii=False, sort_keys=True, separators=(",", ":"))


def _check(value: Any) -> None:
    if isinstance(value, str):
        try:
            value.encode()
        except UnicodeEncodeError:
            raise Refused("a text holds half of a character pair; type it again") from None
    elif isinstance(value, dict):
        for key, each in value.items():
            if not isinstance(key, str):
                raise Refused(f"{key!r} is no key; keys are texts")
            _check(key)
            _check(each)
    elif isinstance(value, list | tuple):
        for each in value:
            _check(each)
    elif value is not None and not isinstance(value, bool | int):
        raise Refused(f"{value!r} cannot be written in a record; write a quantity as text with its unit")


def content_digest(record: Mapping[str, Any]) -> str:
    """Return the digest of a record's content."""
    return hashlib.sha256(canonical({name: record[name] for name in CONTENT}).encode()).hexdigest()


def record_hash(*, prev: str, seq: int, id: str, digest: str) -> str:
    """Return the fingerprint that binds a content to its place in the chain."""
    return hashlib.sha256(canonical([prev, seq, id, digest]).encode()).hexdigest()


def fingerprint(*, salt: str, content: bytes) -> str:
    """Return the fingerprint of what lies beside the chain. The salt is erased with the content."""
    return hashlib.sha256(bytes.fromhex(salt) + content).hexdigest()


def head_code(head_hash: str) -> str:
    """Return the head as it is printed on sheets and read aloud: the first 20 hex digits in groups of four."""
    return " ".join(head_hash[start : start + 4] for start in range(0, 20, 4))


@dataclass(frozen=True, slots=True)
class Head:
    """The last record of a chain: its number and its fingerprint. An empty book has number 0."""

    seq: int
    hash: str

    @property
    def code(self) -> str:
        """The fingerprint as it is printed."""
        return head_code(self.hash)


EMPTY = Head(0, FIRST_PREV)


@dataclass(frozen=True, slots=True)
class Break:
    """A place where the book does not hold: the record's number, and what is wrong in words."""

    seq: int
    what: str

    def __str__(self) -> str:
        """Return the break as one line."""
        return f"record {self.seq}: {self.what}" if self.seq else self.what


@dataclass(frozen=True, slots=True)
class Walk:
    """What a walk along the chain found: the last record that holds, and the first break if there is one."""

    head: Head
    broken: Break | None = None


def walk(records: Iterable[Mapping[str, Any]], *, start: Head = EMPTY) -> Walk:
    """Return how far the chain holds. Stops at the first break.

    Records come in the order of their number and go on from `start`. A record carries its content columns, or, where
    its content belongs to others, `content_digest` in their place.
    """
    head = start
    for record in records:
        seq = record["seq"]
        if seq != head.seq + 1:
            lost = f"record {head.seq + 1} is missing" if seq > head.seq + 1 else f"number {seq} comes twice"
            return Walk(head, Break(head.seq + 1, lost))
        if record["prev"] != head.hash:
            return Walk(head, Break(seq, "does not follow the record before it: one of the two was changed or moved"))
        # keys() matters: `in` on a database row looks at its values.
        has_digest = "content_digest" in record.keys()  # noqa: SIM118
        digest = record["content_digest"] if has_digest else content_digest(record)
        computed = record_hash(prev=head.hash, seq=seq, id=record["id"], digest=digest)
        if record["hash"] != computed:
            return Walk(head, Break(seq, "was changed: its content no longer has the fingerprint it was given"))
        head = Head(seq, computed)
    return Walk(head)


def photos_named(body: Any) -> Iterator[str]:
    """Yield every photo that a body names."""
    if isinstance(body, dict):
        for key, value in body.items():
            if key == "photos":
                yield from value
            else:
                yield from photos_named(value)
    elif isinstance(body, list):
        for each in body:
            yield from photos_named(each)
