"""Phones that are out with an aircraft's walk-round: what was found on them is known only once they have reported.

The books write a row for each phone that opened the walk-round and has not reported since, by the clock of whoever
keeps the books and never by the phone's; the row goes when the phone has handed over, or somebody answers for it:

    [[phone]]
    id = "5f0c"
    name = "May's phone"
    holder = "sunde"
    opened_at = 2027-06-12T06:12:00-07:00
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from gyrewright.check import check
from gyrewright.finding import Cure, Finding, Verdict
from gyrewright.reading import Section


@dataclass(frozen=True, slots=True)
class Phone:
    """A phone that has the walk-round open and has not reported since."""

    id: str
    name: str
    holder: str
    opened_at: datetime


def read_phones(section: Section) -> tuple[Phone, ...] | None:
    """Return the `[[phone]]` rows of an aircraft's books, None where there is no such list; problems are noted."""
    if "phone" not in section:
        return None
    found = (_read(each) for each in section.sections("phone", label="id"))
    return tuple(each for each in found if each is not None)


def _read(section: Section) -> Phone | None:
    opened = section.moment("opened_at", required=True)
    id, name, holder = (section.text(key, required=True) for key in ("id", "name", "holder"))
    section.finish()
    return Phone(id, name, holder, opened) if opened else None


@check("inspection.phone")
def phone(phones: tuple[Phone, ...], asked_at: datetime) -> tuple[Finding, ...]:
    """Judge whether a phone may still hold what was found on this aircraft. A list that is not known clears nothing."""
    out = sorted((each for each in phones if each.opened_at <= asked_at), key=lambda each: (each.opened_at, each.id))
    if not out:
        return (Finding("inspection.phone", Verdict.GO, "go"),)
    return tuple(
        Finding(
            "inspection.phone",
            Verdict.UNKNOWN,
            "out",
            about=each.id,
            lacking=(f"phone:{each.name}",),
            params={"phone": each.name, "holder": each.holder, "opened_at": each.opened_at},
            cures=(Cure("inspection.hand_over", each.holder, {"phone": each.name}),),
        )
        for each in out
    )
