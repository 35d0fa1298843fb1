"""A record as it is read back, and an entry as it is handed in. Frozen data; no database here."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum
from typing import Any

from gyrewright.desk.book.kinds import kind_named
from gyrewright.desk.book.schema import decode
from gyrewright.desk.moments import moment_of

ELSEWHERE = "elsewhere:"
"""Stands before the id of a person of another book."""


@dataclass(frozen=True, slots=True)
class Entry:
    """An act handed in to be recorded.

    Attributes:
        id: UUID text, made where the act happened; the same id is stored once.
        act: Frozen dataclass of a registered kind.
        done_at: When it was done, as its doer says. When it was entered is the desk's to write.
        by: Person who did it.
        about: Aircraft or person that it is about.
        corrects: Id of the earlier record that it takes the place of.
        personal: Personal part, by the kind's personal dataclass.
        person: Whose personal content that is; the person it is about, or the doer, where it is left out.
    """

    id: str
    act: Any
    done_at: datetime
    by: str
    about: str = ""
    corrects: str = ""
    personal: Any = None
    person: str = ""


@dataclass(frozen=True, slots=True)
class Recorded:
    """A record of the book."""

    seq: int
    id: str
    kind: str
    done_at: datetime
    entered_at: datetime
    by: str
    about: str
    corrects: str
    act: Any
    personal: Any
    is_erased: bool
    hash: str

    @property
    def called(self) -> str:
        """The kind as a person calls it."""
        return kind_named(self.kind).called


class Outcome(StrEnum):
    """What became of an entry."""

    NEW = "new"
    AGAIN = "again"
    CLASH = "clash"


@dataclass(frozen=True, slots=True)
class Kept:
    """The reply to an entry: what became of it, and the record that holds it (for a clash, the clash's record)."""

    outcome: Outcome
    record: Recorded


def recorded(row: Mapping[str, Any], *, personal: str | None) -> Recorded:
    """Return a row of the table as a record; `personal` is the text beside the chain, None where there is none."""
    kind = kind_named(row["kind"])
    beside = None
    if personal is not None and kind.personal is not None:
        beside = decode(kind.personal, json.loads(personal), called=kind.name)
    return Recorded(
        seq=row["seq"],
        id=row["id"],
        kind=row["kind"],
        done_at=moment_of(row["done_at"]),
        entered_at=moment_of(row["entered_at"]),
        by=row["by"],
        about=row["about"],
        corrects=row["corrects"],
        act=decode(kind.schema, json.loads(row["body"]), called=kind.name),
        personal=beside,
        is_erased=bool(row["personal_fingerprint"]) and personal is None,
        hash=row["hash"],
    )
