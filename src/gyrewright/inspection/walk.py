"""Walks round the aircraft as they were made: answers, readings, interruptions, restored things, training markers.

Only what was not plainly right needs an entry; who walked says with `complete` that every item was answered.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime, timedelta

from gyrewright.inspection.lists import INTERRUPTIONS, SCOPES
from gyrewright.inspection.phones import Phone, read_phones
from gyrewright.limits import PURPOSES
from gyrewright.reading import Section

NEVER = datetime.max.replace(tzinfo=UTC)
"""Stands in for a moment that a file lacks, where that is noted as a problem already."""

NOT = "not"
COULD_NOT_LOOK = "could not look"
ANSWERS = ("as it should be", NOT, COULD_NOT_LOOK)
CLASSES = ("G", "L", "N")
RESTARTS = ("nothing", *SCOPES)
DOUBTS = ("unconfirmed", "old_list", "in_question")
"""Why a finished walk does not count yet: nobody has confirmed the signature given in their name; the list has since
come to ask for more; two answers to one item contradict each other."""


@dataclass(frozen=True, slots=True)
class Judged:
    """A signed judgement that a small finding on a grounding item may fly, or may not."""

    by: str
    at: datetime
    may: bool
    reason: str


@dataclass(frozen=True, slots=True)
class Keep:
    """What a flight keeps to when an item that limits the flight is not right."""

    words: str = ""
    day_only: bool = False
    aboard_at_most: int | None = None
    not_for: frozenset[str] = frozenset()

    @property
    def is_any(self) -> bool:
        """Whether anything is asked."""
        return bool(self.words or self.day_only or self.aboard_at_most is not None or self.not_for)


@dataclass(frozen=True, slots=True)
class Answer:
    """One answer that is not plainly "as it should be".

    Attributes:
        class_: The item's class in the revision of the list that was walked: G, L or N; empty where nobody knows.
        small: Whether the walker called it small.
        defect: The id of the defect report that it became; from then on the report decides.
    """

    item: str
    answer: str
    class_: str
    words: str = ""
    small: bool = False
    defect: str = ""
    keep: Keep = Keep()
    judged: Judged | None = None


@dataclass(frozen=True, slots=True)
class Interruption:
    """A break in a walk, and what was begun again after it."""

    on: str
    from_: datetime
    to: datetime
    zone: str
    restarted: str


@dataclass(frozen=True, slots=True)
class Accepted:
    """A commander's acceptance of another's walk, with the items looked at again."""

    by: str
    at: datetime
    spots: tuple[str, ...]


@dataclass(frozen=True, slots=True, eq=False)
class Walk:
    """One walk. `by` names everybody who walked it and answers for it; `doubt` is one of `DOUBTS` or empty."""

    id: str
    kind: str
    list_id: str
    revision: int | None
    by: tuple[str, ...]
    began_at: datetime
    ended_at: datetime | None
    complete: bool
    answers: tuple[Answer, ...]
    readings: tuple[tuple[str, str], ...]
    interruptions: tuple[Interruption, ...]
    restored: tuple[tuple[str, datetime], ...]
    accepted: tuple[Accepted, ...]
    where: str
    doubt: str = ""

    @property
    def lasted(self) -> timedelta | None:
        """How long it took, breaks taken off; None while it goes on."""
        if self.ended_at is None:
            return None
        away = sum((one.to - one.from_ for one in self.interruptions), timedelta(0))
        return self.ended_at - self.began_at - away


@dataclass(frozen=True, slots=True)
class Touch:
    """Something that happened to the aircraft between walks: refueled, moved, flown, touched by another, ..."""

    what: str
    at: datetime
    by: str


@dataclass(frozen=True, slots=True)
class Counted:
    """Who took a marker off, or saw that it was off, and when."""

    by: str
    at: datetime


@dataclass(frozen=True, slots=True)
class Marker:
    """A numbered label clipped beside a part in training. Where it is stays out of every answer."""

    number: int
    placed_by: str
    placed_at: datetime
    removed: Counted | None
    confirmed: Counted | None

    def off_at(self, at: datetime) -> datetime | None:
        """Return since when it counts as off: taken off and seen off by its placer and one other; None until then."""
        if self.removed is None or self.confirmed is None:
            return None
        pair = {self.removed.by, self.confirmed.by}
        when = max(self.removed.at, self.confirmed.at)
        in_order = self.placed_at <= self.removed.at <= self.confirmed.at <= at
        return when if in_order and len(pair) == 2 and self.placed_by in pair else None


@dataclass(frozen=True, slots=True)
class Book:
    """What is written of walks on one aircraft. None where the file has no such list.

    `phones_unknown` says why nobody knows which phones are out with it.
    """

    file: str
    walks: tuple[Walk, ...] | None
    touches: tuple[Touch, ...] | None
    markers: tuple[Marker, ...] | None
    phones: tuple[Phone, ...] | None = None
    phones_unknown: str = ""


def read_walks(section: Section) -> Book:
    """Return what a section holds of `[[walk]]`, `[[touch]]`, `[[marker]]` and `[[phone]]`; problems are noted.

    The section may hold other things; whoever owns it finishes it.
    """
    return Book(
        section.file,
        tuple(_read_walk(each) for each in section.sections("walk", label="id")) if "walk" in section else None,
        tuple(_read_touch(each) for each in section.sections("touch", label="at")) if "touch" in section else None,
        tuple(_read_marker(each) for each in section.sections("marker", label="number"))
        if "marker" in section
        else None,
        read_phones(section),
        section.text("phones_unknown"),
    )


def _read_walk(section: Section) -> Walk:
    began, ended = section.moment("began_at", required=True), section.moment("ended_at")
    if began and ended and ended < began:
        section.wrong(
            "ended_at", f"{ended.isoformat()} is before it began, {began.isoformat()}; correct one of the two"
        )
    section.moment("entered_at")
    readings = section.section("readings")
    restored: list[tuple[str, datetime]] = []
    for each in section.sections("restored", label="at"):
        at = each.moment("at", required=True)
        restored.extend((item, at or NEVER) for item in each.texts("items", required=True))
        each.finish()
    walk = Walk(
        id=section.text("id", required=True),
        kind=section.text("kind", required=True),
        list_id=section.text("list"),
        revision=section.integer("revision"),
        by=section.texts("by", required=True),
        began_at=began or NEVER,
        ended_at=ended,
        complete=bool(section.flag("complete")),
        answers=tuple(_read_answer(each) for each in section.sections("answer", label="item")),
        readings=tuple(sorted((item, readings.text(item)) for item in readings.keys())),  # noqa: SIM118
        interruptions=tuple(_read_interruption(each) for each in section.sections("interruption", label="from")),
        restored=tuple(restored),
        accepted=tuple(_read_accepted(each) for each in section.sections("accepted", label="by")),
        where=section.where(),
        doubt=section.choice("doubt", DOUBTS),
    )
    if walk.complete and ended is None:
        section.wrong("ended_at", "is missing; a complete walk has an end")
    section.finish()
    return walk


def _read_answer(section: Section) -> Answer:
    keep = section.section("keep")
    judged = section.section("judged") if "judged" in section else None
    answer = Answer(
        item=section.text("item", required=True),
        answer=section.choice("answer", ANSWERS, required=True),
        class_=section.choice("class", CLASSES),
        words=section.text("words"),
        small=bool(section.flag("small")),
        defect=section.text("defect"),
        keep=Keep(
            keep.text("words"),
            bool(keep.flag("day_only")),
            keep.integer("aboard_at_most", high=4),
            frozenset(keep.texts("not_for", accepted=PURPOSES)),
        ),
        judged=None
        if judged is None
        else Judged(
            judged.text("by", required=True),
            judged.moment("at", required=True) or NEVER,
            bool(judged.flag("may")),
            judged.text("reason", required=True),
        ),
    )
    keep.finish()
    if judged is not None:
        judged.finish()
    section.finish()
    return answer


def _read_interruption(section: Section) -> Interruption:
    from_, to = section.moment("from", required=True), section.moment("to", required=True)
    interruption = Interruption(
        section.choice("on", INTERRUPTIONS, required=True),
        from_ or NEVER,
        to or NEVER,
        section.text("zone"),
        section.choice("restarted", RESTARTS, required=True),
    )
    if from_ and to and to < from_:
        section.wrong("to", f"{to.isoformat()} is before {from_.isoformat()}; correct one of the two")
    section.finish()
    return interruption


def _read_accepted(section: Section) -> Accepted:
    accepted = Accepted(
        section.text("by", required=True), section.moment("at", required=True) or NEVER, section.texts("spots")
    )
    section.finish()
    return accepted


def _read_touch(section: Section) -> Touch:
    touch = Touch(section.text("what", required=True), section.moment("at", required=True) or NEVER, section.text("by"))
    section.finish()
    return touch


def _read_marker(section: Section) -> Marker:
    section.text("label")
    section.text("place")
    marker = Marker(
        section.integer("number", required=True, low=1) or 0,
        section.text("placed_by", required=True),
        section.moment("placed_at", required=True) or NEVER,
        _read_counted(section, "removed"),
        _read_counted(section, "confirmed"),
    )
    section.finish()
    return marker


def _read_counted(section: Section, key: str) -> Counted | None:
    if key not in section:
        return None
    inner = section.section(key)
    counted = Counted(inner.text("by", required=True), inner.moment("at", required=True) or NEVER)
    inner.finish()
    return counted
