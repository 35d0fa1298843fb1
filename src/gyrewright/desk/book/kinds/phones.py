"""Acts about phones: what they have open, what ends that, and the authority that they trust."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import Literal

from gyrewright.desk.book.kinds.registry import About, Corrects, kind


@dataclass(frozen=True, slots=True)
class PhonePersonal:
    """What its holder calls a phone: it may name a person."""

    called: str


@kind(
    "phone-opened",
    called="walk-round opened on a phone",
    about=About.AIRCRAFT,
    personal=PhonePersonal,
    corrects=Corrects.NEVER,
)
@dataclass(frozen=True, slots=True)
class PhoneOpened:
    """A phone, by the id it gave itself, took the aircraft's walk-round along; its holder is who did it.

    From here on it may know of the aircraft what the desk does not.
    """

    phone: str


@dataclass(frozen=True, slots=True)
class PhoneDoneWhy:
    """Free words on what was done in the place of a lost phone."""

    why: str


@kind(
    "phone-done",
    called="phone reported",
    about=About.AIRCRAFT,
    personal=PhoneDoneWhy,
    corrects=Corrects.NEVER,
)
@dataclass(frozen=True, slots=True)
class PhoneDone:
    """A phone holds nothing of the aircraft any more: it handed over, or a person says so and signs."""

    phone: str
    how: Literal["handed over", "nothing open", "looked at instead"]


@kind("authority-made", called="authority for phones made", about=About.NOTHING, corrects=Corrects.NEVER)
@dataclass(frozen=True, slots=True)
class AuthorityMade:
    """The certificate authority of this data folder, by its fingerprint: what phones were asked to trust."""

    fingerprint: str
    name: str
    until: date


@kind("phones-lost", called="list of phones lost", about=About.NOTHING, corrects=Corrects.NEVER)
@dataclass(frozen=True, slots=True)
class PhonesLost:
    """The book goes on in another folder than the one whose authority phones trust: it was put back from a copy.

    Phones may have opened walk-rounds since that copy, of which this book knows nothing.
    """

    fingerprint: str


@kind("phones-asked", called="every phone was asked", about=About.AIRCRAFT, corrects=Corrects.NEVER)
@dataclass(frozen=True, slots=True)
class PhonesAsked:
    """A person says: every phone that can have opened this aircraft's walk-round has handed over or holds nothing."""

    lost: str
