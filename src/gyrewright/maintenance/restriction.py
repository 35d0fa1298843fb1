"""What a flight must keep to while a defect is carried: by day, with whom, for what, within which limits."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from gyrewright.finding import Limit, Source, Whose
from gyrewright.limits import PURPOSES, read_limits
from gyrewright.reading import Section


@dataclass(frozen=True, slots=True)
class Restriction:
    """Each field that says something must be kept; none saying anything is no restriction at all."""

    day_only: bool = False
    aboard_at_most: int | None = None
    not_for: frozenset[str] = frozenset()
    also: str = ""
    limits: tuple[Limit, ...] = ()

    @property
    def is_any(self) -> bool:
        """Whether anything is restricted."""
        return bool(self.day_only or self.aboard_at_most is not None or self.not_for or self.also or self.limits)

    def broken_by(self, *, purpose: str, aboard: int) -> str:
        """Return which part a flight does not keep to: "aboard", "purpose", or empty. Daylight is asked apart."""
        if self.aboard_at_most is not None and aboard > self.aboard_at_most:
            return "aboard"
        return "purpose" if purpose in self.not_for else ""


NONE = Restriction()


def read_restriction(section: Section, key: str, *, by: str) -> Restriction:
    """Return the restriction written in a table of a section; absent: none."""
    if key not in section:
        return NONE
    inner = section.section(key)
    restriction = Restriction(
        day_only=bool(inner.flag("day_only")),
        aboard_at_most=inner.integer("aboard_at_most", high=4),
        not_for=frozenset(inner.texts("not_for", accepted=PURPOSES)),
        also=inner.text("also"),
        limits=read_limits(
            inner, whose=Whose.HOUSE, document=Source("defect record", section.where()), entered_by=by, verified_by=by
        ),
    )
    inner.finish()
    return restriction


def outside_day(*, depart_at: datetime, land_at: datetime | None, sunrise_at: datetime, sunset_at: datetime) -> str:
    """Return which end of a flight lies outside the day, "start" or "end", or empty; both edges belong to the day."""
    if depart_at < sunrise_at or depart_at > sunset_at:
        return "start"
    return "end" if land_at is not None and land_at > sunset_at else ""
