"""What a house adds to law and manual for its upkeep, as data: nothing here has a default that decides.

The house's own file writes a `[maintenance]` table. A number that every flight needs and that is not written there is
missing; a rule that a house does not write is a rule that it does not have.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from gyrewright.fact import Fact, Origin, missing
from gyrewright.finding import Source
from gyrewright.limits import PURPOSES
from gyrewright.maintenance.spans import read_hours
from gyrewright.reading import Section

HOUSE_RULES = Source("house rules")


@dataclass(frozen=True, slots=True, eq=False)
class House:
    """The house rules on upkeep.

    Attributes:
        no_over_for: Purposes for which no interval may be flown over, whatever a maker permits.
        mandatory_areas: A maker's notice about one of these is treated as mandatory.
        second_look_areas: Work on one of these needs a second look by another qualified person.
        repeat_times: This many reports of one symptom ...
        repeat_days: ... within this many days go to somebody with inspection authority; None: no such rule.
        flown_past_bars: Purposes barred once an interval was flown past, until the list of flights beyond is signed.
        alone_after_event_h: How long after an event no student flies alone. [h]
        directives_stand_days: How old the last look through the list of directives may be. [days]
        cautions_ending: Whether a paper that ends this month is a caution.
        manager_told_after_h: How long a report may lie unanswered before the manager is told; None: no such time. [h]
        item_asked_after: How many looks that found nothing make an item of the walk-round a question; None: none do.
    """

    no_over_for: frozenset[str] = frozenset()
    mandatory_areas: frozenset[str] = frozenset()
    second_look_areas: frozenset[str] = frozenset()
    repeat_times: int | None = None
    repeat_days: int | None = None
    flown_past_bars: frozenset[str] = frozenset()
    alone_after_event_h: float | None = None
    directives_stand_days: float | None = None
    cautions_ending: bool = False
    manager_told_after_h: float | None = None
    item_asked_after: int | None = None
    source: Source = HOUSE_RULES


def read_house(section: Section, *, document: Source = HOUSE_RULES) -> dict[str, Fact]:
    """Return the facts that a house's `[maintenance]` table gives.

    Facts: `interval_allowance_h` (what a plan must leave over), `meter_reading_stands_h` (how old a reading may be) and
    `maintenance_house` (a `House`). The section is finished here.
    """
    allowance = read_hours(section, "interval_allowance")
    stands = read_hours(section, "meter_reading_stands")
    repeat_times = section.integer("repeat_times", low=2, high=100)
    repeat_days = section.integer("repeat_days", low=1, high=4000)
    if (repeat_times is None) != (repeat_days is None):
        section.wrong("repeat_times", "and repeat_days belong together; write both or none")
        repeat_times = repeat_days = None
    directives = read_hours(section, "directives_stand")
    house = House(
        no_over_for=frozenset(section.texts("no_over_for", accepted=PURPOSES)),
        mandatory_areas=frozenset(section.texts("mandatory_areas")),
        second_look_areas=frozenset(section.texts("second_look_areas")),
        repeat_times=repeat_times,
        repeat_days=repeat_days,
        flown_past_bars=frozenset(section.texts("flown_past_bars", accepted=PURPOSES)),
        alone_after_event_h=read_hours(section, "alone_after_event"),
        directives_stand_days=None if directives is None else directives / 24.0,
        cautions_ending=bool(section.flag("cautions_ending_this_month")),
        manager_told_after_h=read_hours(section, "manager_told_after"),
        item_asked_after=section.integer("item_asked_after", low=1, high=100_000),
        source=document,
    )
    here = bool(section.keys())
    section.finish()
    return {
        "interval_allowance_h": _fact(section, "interval_allowance", "interval_allowance_h", allowance),
        "meter_reading_stands_h": _fact(section, "meter_reading_stands", "meter_reading_stands_h", stands),
        "maintenance_house": Fact("maintenance_house", house, "", Origin.HOUSE, where=section.where())
        if here
        else missing("maintenance_house", where=section.where()),
    }


def _fact(section: Section, key: str, name: str, value: float | None) -> Fact:
    where = section.where(key)
    if value is None:
        return missing(name, where=where)
    typed: Any = section.raw(key)
    return Fact(name, value, str(typed), Origin.HOUSE, where=where)
