"""Work done on the aircraft: who did it, who signed it off, who looked a second time, and the check flight after it."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from gyrewright.maintenance.defects import Entitled, read_entitled_to, was_entitled
from gyrewright.maintenance.months import NEVER
from gyrewright.reading import Section

SIGN = "sign work"
SECOND_LOOK = "second look"
CHECK_FLIGHT = "fly a check flight"


@dataclass(frozen=True, slots=True)
class Signed:
    """Who did something and when; `result` is "good" or "bad" for a check flight.

    `entitled_to` is what that person was entitled to then; None: what the roles of today say.
    """

    by: str
    at: datetime
    result: str = ""
    entitled_to: frozenset[str] | None = None


@dataclass(frozen=True, slots=True)
class Work:
    """One piece of work.

    Attributes:
        areas: What it touched ("rotor", "controls", "engine", ...).
        by: Everybody who had a hand in it.
        signed: Who approved it for return to service; None where nobody has.
        changes_handling: Whether it could change how the aircraft flies; None where nobody has said.
    """

    id: str
    what: str
    areas: frozenset[str]
    at: datetime
    by: frozenset[str]
    signed: Signed | None
    second_look: Signed | None
    changes_handling: bool | None
    check_flight: Signed | None
    where: str

    def is_signed(self, *, entitled: Entitled, at: datetime) -> bool:
        """Whether somebody entitled has signed it off by then."""
        return _counts(self.signed, SIGN, self, entitled, at, another=False)

    def is_looked_at(self, *, entitled: Entitled, at: datetime) -> bool:
        """Whether another qualified person, who neither did nor signed it, has looked a second time by then."""
        return _counts(self.second_look, SECOND_LOOK, self, entitled, at, another=True)

    def is_flown(self, *, entitled: Entitled, at: datetime) -> bool:
        """Whether somebody entitled has flown it since and found it good."""
        good = self.check_flight is not None and self.check_flight.result == "good"
        return good and _counts(self.check_flight, CHECK_FLIGHT, self, entitled, at, another=False)


def _counts(signed: Signed | None, act: str, work: Work, entitled: Entitled, at: datetime, *, another: bool) -> bool:
    if signed is None or not work.at <= signed.at <= at:
        return False
    if not was_entitled(act, by=signed.by, then=signed.entitled_to, now=entitled):
        return False
    signer = frozenset((work.signed.by,)) if work.signed else frozenset()
    return not another or signed.by not in work.by | signer


def read_work(section: Section) -> tuple[Work, ...]:
    """Return every `[[work]]` of a section."""
    out = []
    for each in section.sections("work", label="id"):
        at = each.moment("at", required=True)
        areas = each.texts("areas", required=True)
        work = Work(
            id=each.text("id", required=True),
            what=each.text("what", required=True),
            areas=frozenset(areas),
            at=at or NEVER,
            by=frozenset(each.texts("by", required=True)),
            signed=_read_signed(each, "signed"),
            second_look=_read_signed(each, "second_look"),
            changes_handling=each.flag("changes_handling"),
            check_flight=_read_signed(each, "check_flight", result=True),
            where=each.where(),
        )
        each.finish()
        out.append(work)
    return tuple(out)


def _read_signed(section: Section, key: str, *, result: bool = False) -> Signed | None:
    if key not in section:
        return None
    inner = section.section(key)
    by = inner.text("by", required=True)
    at = inner.moment("at", required=True)
    said = inner.choice("result", ("good", "bad"), required=True) if result else ""
    signed = Signed(by, at or NEVER, said, read_entitled_to(inner))
    inner.finish()
    return signed
