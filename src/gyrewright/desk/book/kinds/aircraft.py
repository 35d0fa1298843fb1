"""Acts about an aircraft as it is defined, weighed and papered."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import Annotated

from gyrewright.desk.book.kinds.registry import About, Corrects, kind
from gyrewright.desk.book.schema import Long, Measured


@kind("aircraft-defined", called="aircraft definition", about=About.AIRCRAFT, travels=True)
@dataclass(frozen=True, slots=True)
class AircraftDefined:
    """The aircraft's file as read from its manual, whole. A new manual revision is a new text."""

    text: Annotated[str, Long()]
    manual_revision: str = ""
    why: str = ""
    from_paper: str = ""


@kind("limit-verified", called="limit verified", about=About.AIRCRAFT, travels=True)
@dataclass(frozen=True, slots=True)
class LimitVerified:
    """A second person, or the same one blind on another day, typed a value again from the page."""

    key: str
    typed: str
    page: str
    manual_revision: str


@kind("revision-acknowledged", called="manual revision acknowledged", about=About.AIRCRAFT)
@dataclass(frozen=True, slots=True)
class RevisionAcknowledged:
    """A pilot has read what a manual revision changed."""

    manual_revision: str


@dataclass(frozen=True, slots=True)
class WeighedItem:
    """One scale reading, or one thing that was aboard or absent."""

    name: str
    mass: Annotated[str, Measured("mass")]
    arm: Annotated[str, Measured("arm", least=None)] = ""


@kind("aircraft-weighed", called="aircraft weighed", about=About.AIRCRAFT, travels=True)
@dataclass(frozen=True, slots=True)
class AircraftWeighed:
    """A weighing: the scales, what was aboard, and who signed it on paper."""

    weighed_on: date
    readings: tuple[WeighedItem, ...]
    aboard: tuple[WeighedItem, ...] = ()
    signed_by: str = ""
    from_paper: str = ""


@kind("aircraft-arrived", called="aircraft arrived", about=About.AIRCRAFT, corrects=Corrects.NEVER)
@dataclass(frozen=True, slots=True)
class AircraftArrived:
    """An aircraft's records came from another book, with the head they were proved against."""

    from_operation: str
    head_seq: int
    head_hash: str
    records: int
    sha256: str


@kind("aircraft-left", called="aircraft left", about=About.AIRCRAFT)
@dataclass(frozen=True, slots=True)
class AircraftLeft:
    """The aircraft no longer belongs to this operation. Its records stay."""

    why: str = ""
