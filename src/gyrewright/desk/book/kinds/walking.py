"""Acts of a walk-round as phones hand them over, and what people say about them later.

A phone makes the ids, and counts its acts. `at` is its own clock as it stood; `sent` is the digest of what it sent,
which tells one content under an id from another. What one exchange brings of one walk is one record, a part; the fold
puts the parts of a walk together, in whatever order they came and through however many phones.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import datetime
from typing import Annotated, Literal

from gyrewright.desk.book.kinds.handed import Handed
from gyrewright.desk.book.kinds.registry import About, Corrects, kind
from gyrewright.desk.book.schema import Long


@dataclass(frozen=True, slots=True)
class Begun:
    """A phone began a walk, or joined one: by which list, what called for it, and the items that it asked.

    `pair` says who walks with the phone's person and what they do: "caller" or "doer", a blank, and their id.
    """

    id: str
    at: datetime
    sent: str
    event: str
    list: str
    revision: int
    fingerprint: str
    asked: tuple[str, ...]
    also: tuple[str, ...] = ()
    person: str = ""
    pair: str = ""


@dataclass(frozen=True, slots=True)
class Answered:
    """What was said at one item. `n` counts the acts of one phone, so that their order does not hang on its clock.

    `person` is whose page it was, where that is not who handed it over. Where two walk, one is the `caller`, who reads
    out and answers, and the other the `doer`, who touches. `corrects` is an earlier answer of the
    same phone. `class_` and `restores` are the list's own word on the item, looked up when it was handed over.
    """

    id: str
    at: datetime
    sent: str
    n: int
    item: str
    answer: Literal["as it should be", "not", "could not look"]
    stand: str = ""
    zone: str = ""
    class_: Literal["", "G", "L", "N"] = ""
    restores: bool = False
    readings: dict[str, str] = field(default_factory=dict)
    words: str = ""
    small: bool = False
    person: str = ""
    doer: str = ""
    caller: str = ""
    corrects: str = ""
    photos: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Broken:
    """A break in a walk as its walker named it, and what was begun again. `noticed` says how the phone knew.

    `again` names the items whose answers it made history: short stands share one place on a walk, and the restore list
    is emptied by what undoes it.
    """

    id: str
    at: datetime
    sent: str
    n: int
    on: tuple[str, ...]
    from_: datetime
    to: datetime
    restarted: Literal["nothing", "stand", "zone", "walk"]
    stand: str = ""
    zone: str = ""
    again: tuple[str, ...] = ()
    noticed: Literal["", "hidden", "time", "day"] = ""
    words: str = ""


@dataclass(frozen=True, slots=True)
class Signed:
    """A walk signed: by the phone's own person, by another with a PIN of their own, or only said in their name."""

    id: str
    at: datetime
    sent: str
    n: int
    signer: str
    how: Literal["own", "pin", "said"]


@dataclass(frozen=True, slots=True)
class Left:
    """The holder of a phone says that a walk goes no further, and that nothing of it is open."""

    id: str
    at: datetime
    sent: str
    n: int
    why: str = ""


@kind("walk-part", called="part of a walk-round", about=About.AIRCRAFT, corrects=Corrects.NEVER)
@dataclass(frozen=True, slots=True)
class WalkPart:
    """What one exchange brought of one walk; each act in it has its own id and is kept once.

    `skew_s` is how far the phone's clock was ahead of the desk's then; 0 within a minute. [s]
    """

    walk: str
    device: str
    skew_s: int = 0
    begun: tuple[Begun, ...] = ()
    answers: tuple[Answered, ...] = ()
    breaks: tuple[Broken, ...] = ()
    signed: tuple[Signed, ...] = ()
    left: tuple[Left, ...] = ()


@kind("walk-confirmed", called="walk-round confirmed", about=About.AIRCRAFT, corrects=Corrects.NEVER)
@dataclass(frozen=True, slots=True)
class WalkConfirmed:
    """Whoever was said to have signed a walk on another's phone says whether they did."""

    walk: str
    signature: str
    is_mine: bool


@kind("answer-settled", called="two answers settled", about=About.AIRCRAFT, corrects=Corrects.NEVER)
@dataclass(frozen=True, slots=True)
class AnswerSettled:
    """Two phones said different things of one item: a person says which of the answers is true."""

    walk: str
    item: str
    true: str


@kind("list-kept", called="walk-round list", about=About.NOTHING, corrects=Corrects.NEVER)
@dataclass(frozen=True, slots=True)
class ListKept:
    """A list as it was shown, whole, so that old walks can be read by the list they were made with."""

    list: str
    revision: int
    fingerprint: str
    text: Annotated[str, Long()]


@kind("list-items-adopted", called="own walk-round items", about=About.AIRCRAFT)
@dataclass(frozen=True, slots=True)
class ListItemsAdopted:
    """Items from the aircraft's own manual, as the text of their file; a newer one takes its place."""

    text: Annotated[str, Long()]


@kind("odd-but-right", called="odd but right", about=About.AIRCRAFT)
@dataclass(frozen=True, slots=True)
class OddButRight:
    """What looks wrong at an item of this aircraft and is as it should be. Empty words take an earlier one away."""

    item: str
    words: str
    photos: tuple[str, ...] = ()
    handed: Handed | None = None


@kind("not-understood", called="sent and not understood", about=About.ANYTHING, corrects=Corrects.NEVER)
@dataclass(frozen=True, slots=True)
class NotUnderstood:
    """What a phone sent and the desk could not take as what it claims to be: kept as it came, with the reason."""

    sent: Annotated[str, Long()]
    why: str
    handed: Handed
