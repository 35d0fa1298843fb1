"""A walk-round exercise with markers, as data: what was hung, found and counted, and who may be told where."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta

from gyrewright.inspection.found import Share, share

INSTRUCTS = frozenset(("instructor", "named instructor", "chief instructor"))


@dataclass(frozen=True, slots=True)
class Counted:
    """Who took a label off or counted it, and when."""

    by: str
    at: datetime


@dataclass(frozen=True, slots=True)
class Marker:
    """A label that was hung beside a part. `place`, `zone` and `label` are for whoever may be told where it is.

    It is off once its placer has taken it off and another person has counted it after that.
    """

    id: str
    aircraft: str
    exercise: str
    number: int
    label: str
    place: str
    zone: str
    placed_by: str
    placed_at: datetime
    removed: Counted | None = None
    confirmed: Counted | None = None
    is_in_question: bool = False

    @property
    def is_off(self) -> bool:
        """Whether it was taken off and counted by two people, its placer and another."""
        if self.is_in_question or self.removed is None or self.confirmed is None:
            return False
        pair = {self.removed.by, self.confirmed.by}
        in_order = self.placed_at <= self.removed.at <= self.confirmed.at
        return in_order and len(pair) == 2 and self.placed_by in pair


@dataclass(frozen=True, slots=True)
class Find:
    """Something the student found, by the number of a label or without one, and what they would do about it."""

    id: str
    number: int | None
    words: str
    at: datetime
    marker: Marker | None = None
    nothing_there: bool = False


@dataclass(frozen=True, slots=True)
class Exercise:
    """One exercise.

    Attributes:
        markers: The labels that were hung for it; none where it is one to try false finds.
        finds: What the student found, in order.
        ended_at: When its instructor ended it; from then on places may be told.
    """

    id: str
    aircraft: str
    student: str
    by: str
    at: datetime
    markers: tuple[Marker, ...] = ()
    finds: tuple[Find, ...] = ()
    ended_at: datetime | None = None
    ended_by: str = ""

    @property
    def is_ended(self) -> bool:
        """Whether it has ended."""
        return self.ended_at is not None

    @property
    def found(self) -> tuple[Marker, ...]:
        """The labels found, each once, in the order in which they were found."""
        found = {each.marker.id: each.marker for each in self.finds if each.marker}
        return tuple(found.values())

    @property
    def missed(self) -> tuple[Marker, ...]:
        """The labels not found."""
        found = {each.id for each in self.found}
        return tuple(each for each in self.markers if each.id not in found)

    @property
    def score(self) -> Share:
        """Found of placed, with its exact interval."""
        return share(len(self.found), len(self.markers))

    @property
    def false_finds(self) -> tuple[Find, ...]:
        """Finds at which nothing was: numbers that hung nowhere, and what the instructor says was in order."""
        return tuple(
            each
            for each in self.finds
            if (each.number is not None and each.marker is None) or (each.number is None and each.nothing_there)
        )

    @property
    def beside_labels(self) -> tuple[Find, ...]:
        """What the student saw that carries no label: it may be a real defect."""
        return tuple(each for each in self.finds if each.number is None)

    @property
    def took(self) -> timedelta | None:
        """How long it took, from the first label hung or the opening to the end."""
        if self.ended_at is None:
            return None
        began = max((each.placed_at for each in self.markers), default=self.at)
        return self.ended_at - began

    @property
    def on(self) -> tuple[Marker, ...]:
        """The labels that are not yet off by two people's count."""
        return tuple(each for each in self.markers if not each.is_off)

    @property
    def uncounted(self) -> tuple[Marker, ...]:
        """The labels that their placer has taken off and nobody else has counted yet."""
        return tuple(each for each in self.on if each.removed is not None)

    def tells_places(self, *, person: str, roles: frozenset[str]) -> bool:
        """Whether somebody may be told where labels hang: its student never before it has ended, in whatever role."""
        if self.is_ended:
            return True
        return person != self.student and (person == self.by or bool(roles & INSTRUCTS))
