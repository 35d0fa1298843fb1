"""Limits as data: one way to write a limit, whoever set it, and the stack that they form on one quantity.

A maker's manual, a house, an endorsement, an insurer and a pilot's own minimums all write `[[limit]]` tables:

    [[limit]]
    of = "crosswind"
    at_most = "15 kt"
    counts = "gust"
    aboard = [2]
    page = "4-3"

Strictest wins, and every layer stays visible. Where a text gives no figure, the file says so (`none = "the manual
gives no figure"`): silence is not permission.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

from gyrewright.errors import shown
from gyrewright.finding import Limit, Sense, Source, When, Whose
from gyrewright.reading import Section


@dataclass(frozen=True, slots=True)
class Limited:
    """A quantity that limits may be written on."""

    dimension: str
    low: float | None = None
    high: float | None = None
    times: bool = False


QUANTITIES: dict[str, Limited] = {
    "take-off mass": Limited("mass", 50.0, 1000.0),
    "landing mass": Limited("mass", 50.0, 1000.0),
    "load": Limited("mass", 0.0, 400.0),
    "hang angle": Limited("angle", -30.0, 45.0),
    "reserve": Limited("time", 0.0, 10.0),
    "gauge and stick apart": Limited("volume", 0.0, 200.0),
    "take-off distance": Limited("share", 1.0, 5.0, times=True),
    "landing distance": Limited("share", 1.0, 5.0, times=True),
    "climb": Limited("climb", -5.0, 30.0),
    "wind": Limited("speed", 0.0, 60.0),
    "gust spread": Limited("speed", 0.0, 60.0),
    "crosswind": Limited("speed", 0.0, 60.0),
    "tailwind": Limited("speed", 0.0, 60.0),
    "air temperature": Limited("temperature", 200.0, 340.0),
    "density altitude": Limited("length", -1000.0, 10000.0),
    "pressure altitude": Limited("length", -1000.0, 10000.0),
    "visibility": Limited("length", 0.0, 100_000.0),
    "cloud base": Limited("length", 0.0, 20_000.0),
    "before sunset": Limited("time", -24.0, 24.0),
    "after sunrise": Limited("time", -24.0, 24.0),
    "age of observation": Limited("time", 0.0, 100.0),
    "age of stick reading": Limited("time", 0.0, 1000.0),
    "age of weighing": Limited("days", 0.0, 4000.0),
    "cautions": Limited("count"),
}
"""What limits may be written on, with the bounds that catch a slip of unit. `times` marks a plain factor."""

WINDS = ("wind", "crosswind", "tailwind")
"""Quantities whose limits must say whether they mean the mean wind or the gust."""

PURPOSES = ("instruction", "student alone", "rental", "private", "test", "check flight", "ferry")
"""What a flight is for."""

_SIDES = (("at_most", Sense.AT_MOST), ("at_least", Sense.AT_LEAST), ("below", Sense.BELOW), ("above", Sense.ABOVE))


def read_when(section: Section) -> When:
    """Return the flights that a limit applies to, from the keys `purpose`, `aboard`, `lesson`, `configuration`."""
    aboard = section.raw("aboard")
    if aboard is not None and not (isinstance(aboard, list) and all(isinstance(each, int) for each in aboard)):
        section.wrong("aboard", f"{shown(aboard)} is not a list of whole numbers such as [1] or [2]")
        aboard = None
    return When(
        purpose=frozenset(section.texts("purpose", accepted=PURPOSES)),
        aboard=frozenset(aboard or ()),
        lesson=frozenset(section.texts("lesson")),
        configuration=frozenset(section.texts("configuration")),
    )


def read_limits(
    section: Section, *, whose: Whose, document: Source, entered_by: str, verified_by: str
) -> tuple[Limit, ...]:
    """Return every limit written in the `[[limit]]` tables of a section.

    Args:
        section: The section that holds them.
        whose: The layer that they belong to.
        document: The document they stand in; a limit's own `page` and `dated` are added to it.
        entered_by: Who typed them, unless a limit names somebody else.
        verified_by: Who checked them against the page, unless a limit names somebody else.
    """
    out: list[Limit] = []
    for each in section.sections("limit", label="of"):
        of = each.choice("of", tuple(QUANTITIES), required=True)
        limited = QUANTITIES.get(of)
        common: dict[str, Any] = {
            "of": of,
            "whose": whose,
            "source": replace(
                document, section=each.text("page") or document.section, dated=each.day("dated") or document.dated
            ),
            "demonstrated": bool(each.flag("demonstrated")),
            "counts": each.choice("counts", ("gust", "mean")),
            "on": each.texts("on"),
            "entered_by": each.text("entered_by") or entered_by,
            "verified_by": each.text("verified_by") if "verified_by" in each else verified_by,
            "scope": each.text("scope"),
            "when": read_when(each),
        }
        if of in WINDS and not common["counts"] and "none" not in each:
            each.wrong("counts", 'is missing; write "gust" or "mean", as the limit\'s text says or the house reads it')
        absent = each.text("none")
        sides = [(key, sense) for key, sense in _SIDES if key in each]
        if limited is None:
            for key, _ in _SIDES:
                each.raw(key)
            each.raw("times")
        elif absent:
            out.append(Limit(sense=Sense.AT_MOST, value=None, typed=absent, **common))
        elif limited.times:
            factor = each.raw("times")
            if not isinstance(factor, int | float) or isinstance(factor, bool) or not 1.0 <= factor <= 5.0:
                each.wrong(
                    "times", f"{shown(factor)} is not a factor from 1 to 5; write how often it must fit, such as 1.33"
                )
            else:
                out.append(Limit(sense=Sense.AT_MOST, value=float(factor), typed=f"x {factor:g}", **common))
        elif not sides:
            each.wrong("", f'says no limit; write one of {", ".join(key for key, _ in _SIDES)}, or none = "why"')
        for key, sense in sides:
            if limited is None or limited.times:
                each.raw(key)
                continue
            quantity = each.quantity(key, limited.dimension, low=limited.low, high=limited.high)
            if quantity is not None:
                out.append(Limit(sense=sense, value=quantity.value, typed=quantity.typed, **common))
        each.finish()
    return tuple(out)
