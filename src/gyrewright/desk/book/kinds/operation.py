"""Acts about the operation and its book."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import Annotated, Literal

from gyrewright.desk.book.kinds.registry import About, Corrects, kind
from gyrewright.desk.book.schema import Long


@kind("book-opened", called="book opened", about=About.NOTHING, corrects=Corrects.NEVER)
@dataclass(frozen=True, slots=True)
class BookOpened:
    """The first record of every book. A demonstration says so here, once and for good."""

    operation: str
    is_demo: bool = False


@kind("file-adopted", called="file adopted", about=About.NOTHING)
@dataclass(frozen=True, slots=True)
class FileAdopted:
    """The text of one of the operation's files (field, house rules, people's roles, insurer), as it holds from a day.

    A newer text of the same name takes its place from its own day on; the older one stays readable.
    """

    name: str
    text: Annotated[str, Long()]
    holds_from: date
    why: str = ""
    from_paper: str = ""


@dataclass(frozen=True, slots=True)
class WithdrawnWhy:
    """The free words of a withdrawal: they may speak of people."""

    why: str


@kind("withdrawn", called="withdrawn", about=About.ANYTHING, personal=WithdrawnWhy, corrects=Corrects.MUST)
@dataclass(frozen=True, slots=True)
class Withdrawn:
    """The earlier record never was: it was entered by mistake. It stays readable and counts for nothing."""


@dataclass(frozen=True, slots=True)
class ClashPersonal:
    """The personal part that came with the second content, as canonical JSON."""

    sent: Annotated[str, Long()]


@kind("clash", called="clash", about=About.ANYTHING, personal=ClashPersonal, corrects=Corrects.NEVER)
@dataclass(frozen=True, slots=True)
class Clash:
    """A second content that came under the id of a record already kept. Both are kept; a person decides."""

    id: str
    sent: Annotated[str, Long()]


@kind("clash-settled", called="clash settled", about=About.ANYTHING, corrects=Corrects.NEVER)
@dataclass(frozen=True, slots=True)
class ClashSettled:
    """A person's answer to a clash: which of the two contents is true, or neither."""

    clash: str
    true: Literal["first", "second", "neither"]


@kind("clock-confirmed", called="clock confirmed", about=About.NOTHING, corrects=Corrects.NEVER)
@dataclass(frozen=True, slots=True)
class ClockConfirmed:
    """One person says that this machine's clock is right now. Two different people end a doubt."""

    read_from: str


@kind("personal-erased", called="personal content erased", about=About.PERSON, corrects=Corrects.NEVER)
@dataclass(frozen=True, slots=True)
class PersonalErased:
    """Personal content that was erased, by fingerprint, and the ground for it. The chain stays whole."""

    fingerprints: tuple[str, ...]
    ground: str


@kind("copy-made", called="copy made", about=About.NOTHING, corrects=Corrects.NEVER)
@dataclass(frozen=True, slots=True)
class CopyMade:
    """A copy of the whole book, checked after it was written, with the head it holds."""

    file: str
    head_seq: int
    head_hash: str
    sha256: str


@kind("copy-frozen", called="copy frozen", about=About.ANYTHING, corrects=Corrects.NEVER)
@dataclass(frozen=True, slots=True)
class CopyFrozen:
    """A copy of the whole book set aside after an event, never to be touched."""

    event: str
    file: str
    head_seq: int
    head_hash: str
    sha256: str


@kind("account-opened", called="account opened", about=About.PERSON, corrects=Corrects.NEVER)
@dataclass(frozen=True, slots=True)
class AccountOpened:
    """A person may log in from now on."""


@kind("password-set", called="password set", about=About.PERSON, corrects=Corrects.NEVER)
@dataclass(frozen=True, slots=True)
class PasswordSet:
    """A person's password was changed: by themself, by another, or by the command on the laptop."""

    where: Literal["page", "laptop"]


@kind("account-closed", called="account closed", about=About.PERSON, corrects=Corrects.NEVER)
@dataclass(frozen=True, slots=True)
class AccountClosed:
    """A person can no longer log in."""
