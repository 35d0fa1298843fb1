"""An aircraft by its manual: checking values against the page, a new revision, who has read it, weighing."""

from __future__ import annotations

import tomllib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime
from uuid import UUID, uuid5

from gyrewright.desk import clock
from gyrewright.desk.book.kinds.aircraft import (
    AircraftDefined,
    AircraftWeighed,
    LimitVerified,
    RevisionAcknowledged,
)
from gyrewright.desk.book.kinds.flight import ReleaseSuperseded
from gyrewright.desk.book.reading import find_records
from gyrewright.desk.book.record import Entry, Kept, Outcome, Recorded
from gyrewright.desk.fold.checked import Checked, weighing_table
from gyrewright.desk.fold.standing import Conflict, standing
from gyrewright.desk.fold.values import Changed, Value, differences
from gyrewright.desk.refusal import Refused
from gyrewright.desk.services import state
from gyrewright.desk.services.adopting import defined
from gyrewright.desk.services.entitling import require
from gyrewright.desk.services.records import new_id
from gyrewright.desk.services.trying import done_on
from gyrewright.desk.services.upkeep import keep
from gyrewright.errors import DefinitionError, OutOfRange
from gyrewright.people.roles import packaged_roles
from gyrewright.release.question import Aircraft

_MARKS = ("withdrawn", "clash", "clash-settled")
VERIFY = "verify a limit"
ACKNOWLEDGE = "acknowledge a manual revision"


def checked_of(aircraft: str, at: datetime) -> Checked:
    """Return an aircraft's file with what has been checked of it."""
    return state.machine(aircraft, at).tables.checked


def counting(aircraft: str, *kinds: str, at: datetime | None = None) -> list[Recorded]:
    """Return the records of some kinds about an aircraft that count, in the order of time."""
    records = find_records(about=aircraft, kinds=(*kinds, *_MARKS))
    return [each for each in standing(records, at=at).records if each.kind in kinds]


def in_question(aircraft: str, at: datetime) -> tuple[Conflict, ...]:
    """Return the open questions about an aircraft's file itself: while there is one, nothing else can be said of it."""
    return standing(find_records(about=aircraft, kinds=("aircraft-defined", *_MARKS)), at=at).conflicts


# --- checking against the page ----------------------------------------------------------------------------------------


def is_house_of_one(at: datetime) -> bool:
    """Return whether only one person here may check values: then a second blind typing on another day counts."""
    roles = packaged_roles()[VERIFY].roles
    return sum(1 for person in state.folk(at).people.values() if person.roles & roles) == 1


def may_verify(aircraft: str, *, by: str, at: datetime) -> str:
    """Return as a clause why a person cannot check an aircraft's values; empty where they can."""
    entered = checked_of(aircraft, at).entered
    if entered is None or entered.by != by:
        return ""
    if not is_house_of_one(at):
        return "another person than the one who typed it types it again from the page"
    zone = state.zone()
    if entered.entered_at.astimezone(zone).date() == at.astimezone(zone).date():
        return "it was typed today: type it again from the page on another day, without looking at what was typed"
    return ""


def verify(*, id: str, aircraft: str, typed: Mapping[str, str], by: str) -> list[Kept]:
    """Record that values were typed again from the page and came out the same.

    Args:
        id: Of the whole act; each value's record has an id made from it.
        aircraft: The aircraft.
        typed: What was typed for each value, by its key; one that was left empty was not looked at.
        by: Who typed.

    Raises:
        NotAllowed: The person is not one who checks, or typed it in the first place.
        Refused: Nothing was typed, or something came out otherwise; it is not said how, so that the second typing
            stays blind. Nothing is recorded then.
    """
    now = clock.now()
    against = may_verify(aircraft, by=by, at=now)
    entered = checked_of(aircraft, now).entered
    worker = entered.by if entered is not None and not is_house_of_one(now) else ""
    require(VERIFY, person=by, aircraft=aircraft, relations={"worker": worker})
    if against:
        raise Refused(against)
    values = {each.key: each for each in checked_of(aircraft, now).values}
    given = {key: text for key, text in typed.items() if text}
    if not given:
        raise Refused("nothing was typed; type what the page says for at least one value")
    wrong = [values[key].label for key, text in given.items() if key in values and not values[key].is_typed(text)]
    unknown = [key for key in given if key not in values]
    if unknown:
        raise Refused("the aircraft's file was changed while this page was open; open it again")
    if wrong:
        raise Refused(
            f"{'; '.join(wrong)}: that is not what was entered. Look at the page again; if it says what you typed, "
            "the file is wrong: leave the field empty here, and have the file corrected"
        )
    revision = state.machine(aircraft, now).aircraft.definition.manual.revision
    entries = [
        Entry(
            str(uuid5(UUID(id), key)),
            LimitVerified(key=key, typed=text, page=values[key].page, manual_revision=revision),
            now,
            by,
            aircraft,
        )
        for key, text in given.items()
    ]
    return keep(entries, aircraft=aircraft, by=by)


# --- a new revision ---------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Compared:
    """A text that somebody would adopt, held against the one that counts.

    `is_revision` tells a new revision of the manual from a correction of what was typed from the same one.
    """

    revision: str
    before: str
    is_revision: bool
    changed: tuple[Changed, ...]
    same: tuple[Value, ...]


def compare(*, aircraft: str, text: str) -> Compared:
    """Return how a text differs from the one that counts; nothing is recorded.

    Raises:
        Refused: It does not read, is another aircraft's, or says nothing new.
    """
    try:
        entry = defined(text=text, by="nobody")
    except DefinitionError as error:
        several = len(error.problems)
        raise Refused(f"{several} thing{'' if several == 1 else 's'} in it cannot be read:\n{error}") from None
    if entry.about != aircraft:
        raise Refused(f"this text is about {entry.about!r}, not about {aircraft!r}")
    now = clock.now()
    known = state.machine(aircraft, now)
    entered = known.tables.checked.entered
    before = entered.act.text if entered is not None else ""
    if entered is not None and before == text:
        raise Refused("this is the text that counts already, letter for letter")
    old, new = tomllib.loads(before) if before else {}, tomllib.loads(text)
    changed, same = differences(old, new)
    was = known.aircraft.definition.manual.revision
    revision = str(new.get("manual", {}).get("revision", ""))
    return Compared(revision, was, revision != was, changed, same)


def adopt(*, id: str, aircraft: str, text: str, why: str, by: str) -> Kept:
    """Record a new text of an aircraft's file, and end every release that was given on the old one.

    A text of another revision of the manual takes the old one's place from now on; one of the same revision corrects
    what was typed.

    Raises:
        NotAllowed: The person does not answer for the aircraft.
        Refused: The text does not read, or says nothing new.
    """
    require("adopt a manual revision", person=by, aircraft=aircraft)
    found = compare(aircraft=aircraft, text=text)
    now = clock.now()
    entered = checked_of(aircraft, now).entered
    corrects = entered.id if entered is not None and not found.is_revision else ""
    act = AircraftDefined(text=text, manual_revision=found.revision, why=why)
    entries = [Entry(id, act, now, by, aircraft, corrects)]
    because = (
        f"revision {found.revision} of the manual was adopted"
        if found.is_revision
        else "what was typed from the manual was corrected"
    )
    entries += [
        Entry(new_id(), ReleaseSuperseded(release=each.id, because=because), now, by, aircraft)
        for each in _open_releases(aircraft, now)
    ]
    return keep(entries, aircraft=aircraft, by=by)[0]


def _open_releases(aircraft: str, at: datetime) -> Iterable[Recorded]:
    records = counting(aircraft, "release", "release-superseded", at=at)
    ended = {each.act.release for each in records if isinstance(each.act, ReleaseSuperseded)}
    return [each for each in records if each.kind == "release" and each.id not in ended and each.act.valid_until > at]


# --- who has read it --------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Read:
    """Who has to read what a revision changed, and when each did; nobody has to, before a first one was adopted.

    `changed` is held against the last text of the revision before.
    """

    revision: str
    since: Recorded | None
    done: dict[str, Recorded]
    lacking: tuple[str, ...]
    changed: tuple[Changed, ...] = ()


def readers(aircraft: str, at: datetime) -> Read:
    """Return who has read the revision that counts, of everybody who flies."""
    texts = counting(aircraft, "aircraft-defined", at=at)
    revision = texts[-1].act.manual_revision if texts else ""
    # The first text with this revision that did not begin the book of the aircraft.
    since = next((each for each in texts[1:] if each.act.manual_revision == revision), None)
    if since is None or texts[0].act.manual_revision == revision:
        return Read(revision, None, {}, ())
    done: dict[str, Recorded] = {}
    for each in counting(aircraft, "revision-acknowledged", at=at):
        if each.act.manual_revision == revision:
            done.setdefault(each.by, each)
    fly = state.folk(at).entitled.get(ACKNOWLEDGE, frozenset())
    earlier = [each.act.text for each in texts if each.seq < since.seq and each.act.manual_revision != revision]
    changed, _ = differences(tomllib.loads(earlier[-1]), tomllib.loads(texts[-1].act.text))
    return Read(revision, since, done, tuple(sorted(fly - set(done))), changed)


def acknowledge(*, id: str, aircraft: str, by: str) -> Kept:
    """Record that a person has read what the revision that counts has changed."""
    require(ACKNOWLEDGE, person=by)
    now = clock.now()
    found = readers(aircraft, now)
    if found.since is None:
        raise Refused("no new revision of this aircraft's manual has been adopted")
    if by in found.done:
        return Kept(Outcome.AGAIN, found.done[by])
    act = RevisionAcknowledged(manual_revision=found.revision)
    return keep([Entry(id, act, now, by, aircraft)], aircraft=aircraft, by=by)[0]


def to_read(person: str, at: datetime) -> tuple[Aircraft, ...]:
    """Return the aircraft whose manual's revision a person has still to read."""
    return tuple(each for each in state.fleet(at) if person in readers(each.definition.id, at).lacking)


# --- weighing ---------------------------------------------------------------------------------------------------------


def weigh_aircraft(*, id: str, aircraft: str, act: AircraftWeighed, by: str, corrects: str = "") -> Kept:
    """Record a weighing; empty mass and arm follow from its scales, and count from its own day on.

    Raises:
        NotAllowed: The person may not.
        Refused: No scale, or more aboard than they show.
    """
    require("enter a weighing", person=by, aircraft=aircraft)
    if act.weighed_on > clock.now().astimezone(state.zone()).date():
        raise Refused(f"{act.weighed_on} is still to come; a weighing is entered once it is done")
    if not act.signed_by:
        raise Refused("say who signed the weighing")
    try:
        weighing_table(act, by)
    except OutOfRange as error:
        raise Refused(str(error)) from None
    entry = Entry(id, act, done_on(act.weighed_on), by, aircraft, corrects)
    return keep([entry], aircraft=aircraft, by=by)[0]
