"""Entering the texts that count later, page by page or whole: house rules, field, insurers, an aircraft, its program.

A page is merged into the text that counts now, and the whole is read before it is recorded as the newer one: nothing
half-read enters the book, and what was there before stays readable in its own record.
"""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Literal

from gyrewright.desk import clock
from gyrewright.desk.book.reading import find_records
from gyrewright.desk.book.record import Entry, Kept, Recorded
from gyrewright.desk.book.writing import append
from gyrewright.desk.fold.adopted import FIELD, INSURANCE, OPERATION
from gyrewright.desk.fold.standing import standing
from gyrewright.desk.opening import house, manual, program
from gyrewright.desk.opening.ask import Page, Table, merged
from gyrewright.desk.refusal import Refused
from gyrewright.desk.services import adopting, state
from gyrewright.desk.services.entitling import require_reach
from gyrewright.desk.services.people import all_people
from gyrewright.desk.services.releases import supersede
from gyrewright.desk.services.toml_text import toml_text
from gyrewright.errors import UnknownName
from gyrewright.reading import Problems, section_of

File = Literal["field", "house", "insurers", "aircraft", "program"]

PAGES: dict[str, tuple[Page, ...]] = {
    "field": house.FIELD_PAGES,
    "house": house.HOUSE_PAGES,
    "insurers": house.INSURERS_PAGES,
    "aircraft": manual.PAGES,
    "program": program.PAGES,
}
CALLED = {
    "field": "the field",
    "house": "the house rules",
    "insurers": "the insurers",
    "aircraft": "the aircraft",
    "program": "the maintenance program",
}
_ADOPTED = {"field": FIELD, "house": OPERATION, "insurers": INSURANCE}
_EMPTY: dict[str, Table] = {
    "field": {"kind": "field"},
    # The people, the field and the fleet of a desk are records; as files they would have these names.
    "house": {"kind": "operation", "field": "field.toml", "people": "people.toml", "aircraft": ["aircraft.toml"]},
    "insurers": {},
    "aircraft": {"kind": "aircraft"},
    "program": {"kind": "program"},
}


@dataclass(frozen=True, slots=True)
class Text:
    """The text of a file that counts now: its record, or None where there is none yet."""

    file: str
    about: str
    record: Recorded | None

    @property
    def text(self) -> str:
        """The text, empty where there is none yet."""
        return self.record.act.text if self.record else ""

    @property
    def table(self) -> Table:
        """What it holds; the bare beginning of such a file where there is none yet."""
        return tomllib.loads(self.text) if self.text else dict(_EMPTY[self.file])

    @property
    def seen(self) -> str:
        """What a form carries to tell whether somebody else entered another text meanwhile."""
        return self.record.id if self.record else ""


def text_now(file: str, about: str = "") -> Text:
    """Return the text of a file that counts now.

    Raises:
        UnknownName: There is no such file, or the book knows no such aircraft.
    """
    if file not in PAGES:
        raise UnknownName(f"there is no file {file!r}; there are: {', '.join(PAGES)}")
    if file in _ADOPTED:
        records = find_records(kinds=("file-adopted", "withdrawn", "clash", "clash-settled"))
        found = [each for each in standing(records).records if getattr(each.act, "name", "") == _ADOPTED[file]]
        return Text(file, "", found[-1] if found else None)
    if about and about not in state.fleet_ids():
        raise UnknownName(f"the book knows no aircraft {about!r}")
    kind = "aircraft-defined" if file == "aircraft" else "program-adopted"
    records = find_records(about=about, kinds=(kind, "withdrawn", "clash", "clash-settled")) if about else []
    found = [each for each in standing(records).records if each.kind == kind]
    return Text(file, about, found[-1] if found else None)


def page_named(file: str, name: str) -> Page:
    """Return a page of a file.

    Raises:
        UnknownName: There is no such page.
    """
    found = next((page for page in PAGES.get(file, ()) if page.name == name), None)
    if found is None:
        raise UnknownName(f"{CALLED.get(file, file)} has no page {name!r}")
    return found


def enter_page(
    *, file: str, about: str, page: Page, posted: Mapping[str, str], seen: str, by: str, from_paper: str = ""
) -> Kept:
    """Record a file with what was written on one of its pages.

    Raises:
        Refused: Nothing was written, somebody entered another text meanwhile, or a field is not readable.
        DefinitionError: The whole does not read; lists every problem.
    """
    _may(file, by)
    now = text_now(file, about)
    if now.seen != seen:
        raise Refused(
            f"somebody entered {CALLED[file]} anew while this page was open; open it again, nothing was written"
        )
    before = now.table
    after = merged(page, before, posted, zone=state.zone())
    if after == before:
        raise Refused("nothing new was written on this page")
    if file == "aircraft":
        after.setdefault("manual", {}).setdefault("entered_by", _name(by))
    if file == "house":
        after.setdefault("house", {})
    return _record(file, about, toml_text(after) + "\n", by=by, from_paper=from_paper, why=f"page: {page.title}")


def enter_text(*, file: str, about: str, text: str, seen: str, by: str, from_paper: str = "") -> Kept:
    """Record the whole text of a file as it was pasted or uploaded.

    Raises:
        Refused: It is of another kind, of another aircraft, or somebody entered another text meanwhile.
        DefinitionError: It does not read; lists every problem.
    """
    _may(file, by)
    now = text_now(file, about)
    if now.seen != seen:
        raise Refused(
            f"somebody entered {CALLED[file]} anew while this page was open; open it again, nothing was written"
        )
    if text == now.text:
        raise Refused("this is the text that counts already")
    problems = Problems()
    section = section_of(text, file=CALLED[file], problems=problems)
    problems.stop_if_any()
    wanted = _EMPTY[file].get("kind")
    said = section.raw("kind")
    if wanted and said != wanted:
        raise Refused(f"this text says kind = {said!r}; {CALLED[file]} begins with kind = {wanted!r}")
    return _record(file, about, text, by=by, from_paper=from_paper, why="whole text")


def _may(file: str, by: str) -> None:
    require_reach("opening-house" if file in _ADOPTED else "opening-aircraft", person=by, is_own=False)


def _record(file: str, about: str, text: str, *, by: str, from_paper: str, why: str) -> Kept:
    now = clock.now()
    made: Entry
    if file in _ADOPTED:
        made = adopting.adopted(
            name=_ADOPTED[file],
            text=text,
            holds_from=_holds_from(file, now),
            by=by,
            people=dict(state.folk(now).people) if file == "insurers" else None,
            done_at=now,
            why=why,
            from_paper=from_paper,
        )
    elif file == "aircraft":
        made = adopting.defined(text=text, by=by, done_at=now, why=why, from_paper=from_paper)
        if about and made.about != about:
            raise Refused(f"this text is about {made.about!r}, not about {about!r}; enter it as another aircraft")
        if not about and made.about in state.fleet_ids():
            raise Refused(f"{made.about} is entered already; open its own pages")
    else:
        made = adopting.program(text=text, aircraft=about, by=by, done_at=now, why=why, from_paper=from_paper)
    kept = append([made])[0]
    supersede(by=by)
    return kept


def _holds_from(file: str, now: datetime) -> date:
    """Return today by the field's clock; for a first text the day before: no clock is known yet to say today by."""
    if text_now(file).record is None:
        return (now - timedelta(days=1)).date()
    return now.astimezone(state.zone()).date()


def _name(person: str) -> str:
    known = all_people().get(person)
    return known.name if known and known.name else person
