"""Acts of a walk-round exercise with markers, and what people decide about items of the walk-round by what it showed.

Markers are labels beside a part. Nothing on the aircraft is ever loosened, removed, covered or switched.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from gyrewright.desk.book.kinds.registry import About, Corrects, kind


@kind("exercise-opened", called="marker exercise", about=About.AIRCRAFT, corrects=Corrects.NEVER)
@dataclass(frozen=True, slots=True)
class ExerciseOpened:
    """An instructor sets up a walk-round with markers for a student; with none placed it is one to try false finds."""

    student: str


@kind("marker-found", called="marker found", about=About.AIRCRAFT, corrects=Corrects.NEVER)
@dataclass(frozen=True, slots=True)
class MarkerFound:
    """The student found a label by its number, or something without one, and says what they would do about it."""

    exercise: str
    number: int | None = None
    words: str = ""


@kind("exercise-ended", called="marker exercise ended", about=About.AIRCRAFT, corrects=Corrects.NEVER)
@dataclass(frozen=True, slots=True)
class ExerciseEnded:
    """The exercise is over and places may be told. It takes no marker off and unlocks nothing.

    `nothing_there` holds the finds without a label at which nothing was wrong.
    """

    exercise: str
    nothing_there: tuple[str, ...] = ()


@kind("item-decided", called="walk-round item decided on", about=About.NOTHING, corrects=Corrects.NEVER)
@dataclass(frozen=True, slots=True)
class ItemDecided:
    """A person's decision on a proposal about an item of a list. The list itself changes by its own revision."""

    list: str
    revision: int
    item: str
    proposal: Literal["move", "reword"]
    decided: Literal["yes", "no"]
    why: str
