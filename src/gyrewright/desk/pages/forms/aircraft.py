"""The acts of the Aircraft page that are forms of a row of fields: a weighing, and the aircraft's papers."""

from __future__ import annotations

from typing import Any

from gyrewright.desk.book.kinds.aircraft import AircraftWeighed, WeighedItem
from gyrewright.desk.book.record import Kept, Recorded
from gyrewright.desk.pages.forms.fields import DAY, Field, Given, paper
from gyrewright.desk.pages.forms.form import Form, Scene, by_name
from gyrewright.desk.pages.forms.parts import PAPER
from gyrewright.desk.pages.forms.shared import day
from gyrewright.desk.refusal import Refused
from gyrewright.desk.services import definitions

SCALES, ABOARD = 4, 3


def _rows(kind: str, count: int, called: str, hints: tuple[str, ...]) -> tuple[Field, ...]:
    out = []
    for number in range(1, count + 1):
        hint = hints[number - 1] if number <= len(hints) else ""
        out += [
            Field(f"{kind}{number}", f"{called} {number}", hint=hint),
            Field(
                f"{kind}{number}.mass",
                f"{called} {number}: {'shows' if kind == 'scale' else 'weighs'}",
                hint="such as 10.7 kg",
            ),
            Field(f"{kind}{number}.arm", f"{called} {number}: its arm", hint="such as 400 mm"),
        ]
    return tuple(out)


def _weighing_fields(scene: Scene) -> tuple[Field, ...]:
    return (
        Field("weighed_on", "Weighed on", DAY, required=True),
        Field("signed_by", "Signed by", hint="as the weighing record has it", required=True),
        paper(),
        *_rows("scale", SCALES, "Scale", ("such as: nose wheel", "left main wheel", "right main wheel")),
        *_rows("aboard", ABOARD, "Besides", ("aboard and no part of the empty mass, such as: usable fuel",)),
    )


def _items(given: Given, kind: str, count: int, called: str) -> tuple[WeighedItem, ...]:
    out = []
    for number in range(1, count + 1):
        name, mass, arm = (given.text(f"{kind}{number}{part}") for part in ("", ".mass", ".arm"))
        if not (name or mass or arm):
            continue
        if not (name and mass and arm):
            raise Refused(f"{called} {number}: write what it is, its mass and its arm, each with its unit")
        out.append(WeighedItem(name, mass, arm))
    return tuple(out)


def _weigh(scene: Scene, given: Given) -> Kept:
    act = AircraftWeighed(
        weighed_on=day(given, "weighed_on"),
        readings=_items(given, "scale", SCALES, "scale"),
        aboard=_items(given, "aboard", ABOARD, "aboard"),
        signed_by=given.text("signed_by"),
        from_paper=given.text("from_paper"),
    )
    return definitions.weigh_aircraft(id=scene.id, aircraft=scene.about, act=act, by=scene.by, corrects=scene.corrects)


def _fill_weighing(record: Recorded) -> dict[str, Any]:
    act: AircraftWeighed = record.act
    out: dict[str, Any] = {
        "weighed_on": act.weighed_on.isoformat(),
        "signed_by": act.signed_by,
        "from_paper": act.from_paper,
    }
    for kind, items in (("scale", act.readings), ("aboard", act.aboard)):
        for number, each in enumerate(items, start=1):
            out |= {f"{kind}{number}": each.name, f"{kind}{number}.mass": each.mass, f"{kind}{number}.arm": each.arm}
    return out


WEIGHED = Form(
    "weighing",
    "A weighing",
    "Enter the weighing",
    _weighing_fields,
    _weigh,
    "aircraft-weighed",
    _fill_weighing,
    "What each scale showed, less its tare, and where it stood. Empty mass and arm are worked out from it, and count"
    " from its day on. Say what was aboard that the empty mass does not hold.",
    "enter a weighing",
)

AIRCRAFT = by_name(WEIGHED, PAPER)
"""Every form of the Aircraft page by its name in the address."""
