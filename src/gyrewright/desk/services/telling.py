"""Reports reach whoever can put them right, and answers whoever reported: what is waiting, for whom, since when.

A message is made ready and sent by people, or by mail where an operation has set that up. A report waits on Today
until somebody who can put it right has said that they have it, or has acted on it; after the house's time its manager
is told.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime, timedelta
from urllib.parse import quote

from django.conf import settings
from django.urls import reverse

from gyrewright.desk import clock
from gyrewright.desk.book.kinds.telling import WordSent
from gyrewright.desk.book.record import Kept
from gyrewright.desk.refusal import Refused
from gyrewright.desk.services import state
from gyrewright.desk.services.due import house_of
from gyrewright.desk.services.matter import Lock, Matter, Matters, Said
from gyrewright.desk.services.matters import matters_of, unread_answers
from gyrewright.desk.services.people import all_people
from gyrewright.desk.services.records import record_act
from gyrewright.desk.services.taking import is_taken
from gyrewright.errors import GyrewrightError

MAINTAINS = frozenset(("maintainer", "inspector"))
_ADDRESS = re.compile(r"[A-Za-z0-9._%+-]+@[A-Za-z0-9.-]+\.[A-Za-z0-9-]{2,}|[A-Za-z0-9._%+-]+@localhost")


@dataclass(frozen=True, slots=True)
class Helper:
    """Somebody whom a report has to reach.

    Attributes:
        person: Their id.
        name: Their name.
        contact: How they are reached, as entered.
        address: The mail address in it, if there is one.
        is_named: Whether their role names this aircraft.
    """

    person: str
    name: str
    contact: str
    address: str
    is_named: bool


@dataclass(frozen=True, slots=True)
class Message:
    """A message ready to send: to whom, and its words."""

    subject: str
    body: str

    def to(self, address: str) -> str:
        """Return the link that opens it in a mail program."""
        return f"mailto:{quote(address)}?subject={quote(self.subject)}&body={quote(self.body)}"


@dataclass(frozen=True, slots=True)
class Waiting:
    """A report that nobody who can put it right has yet.

    Attributes:
        matter: The report or the event.
        name: The aircraft, as it is called.
        since: How long it has waited.
        is_overdue: Whether the house's time is over, or the house has written none.
        failed: Why mail of it could not be sent, the newest failure; empty where none failed since.
    """

    matter: Matter
    name: str
    since: timedelta
    is_overdue: bool
    failed: str = ""

    @property
    def page(self) -> str:
        """The path of its page."""
        return page_of(self.matter)


@dataclass(frozen=True, slots=True)
class Answered:
    """What became of something that a person reported, as far as they have not read it yet."""

    matter: Matter
    name: str
    answers: tuple[Said, ...]

    @property
    def page(self) -> str:
        """The path of its page."""
        return page_of(self.matter)


def address_in(contact: str) -> str:
    """Return the mail address that a person's contact holds; empty where it holds none."""
    found = _ADDRESS.search(contact)
    return found[0] if found else ""


def helpers(aircraft: str, at: datetime) -> tuple[Helper, ...]:
    """Return whom a report has to reach: those whose role names the aircraft, or every maintainer where none does."""
    on = at.astimezone(state.zone()).date()
    found = []
    for person, known in all_people().items():
        held = [each for each in known.roles if each.role in MAINTAINS and each.holds(on)]
        here = [each for each in held if not each.aircraft or aircraft in each.aircraft]
        if here:
            is_named = any(aircraft in each.aircraft for each in here)
            found.append(Helper(person, known.name or person, known.contact, address_in(known.contact), is_named))
    named = [each for each in found if each.is_named]
    return tuple(sorted(named or found, key=lambda each: each.name))


def managers() -> tuple[Helper, ...]:
    """Return the accountable managers of today."""
    on = clock.now().astimezone(state.zone()).date()
    return tuple(
        Helper(person, known.name or person, known.contact, address_in(known.contact), False)
        for person, known in all_people().items()
        if "manager" in known.roles_on(on)
    )


def base_address() -> str:
    """Return the address under which the desk is reached: by its name where phones are served, else on this machine."""
    if settings.HAS_PHONES:
        return f"https://{settings.PHONES_NAME}:{settings.PHONES_PORT}"
    return f"http://127.0.0.1:{settings.PORT}"


def page_of(matter: Matter) -> str:
    """Return the path of a matter's page."""
    return reverse("event" if isinstance(matter, Lock) else "defect", args=[matter.id])


def message_of(matter: Matter, at: datetime) -> Message:
    """Return the message that tells of a report: where, what, whose words, since when, and where to answer."""
    definition = state.machine(matter.aircraft, at).aircraft.definition
    called = f"{definition.name} {definition.id}"
    act = matter.record.act
    local = matter.at.astimezone(state.zone()).strftime("%-d %b %Y %H:%M %Z")
    if isinstance(matter, Lock):
        head = f"{called} is locked after: {matter.kind}."
        what = [f"Asked for: {matter.inspection or 'an inspection that its program does not name yet'}."]
    else:
        head = f"{called} is grounded: {matter.what}."
        what = ["Nobody entitled has assessed it yet."] if matter.state == "open" else []
    photos = [base_address() + reverse("photo", args=[name]) for name in act.photos]
    lines = [
        head,
        *([f'"{act.words}"'] if act.words else []),
        f"Reported by {matter.who}, {local}.",
        *what,
        "",
        f"To answer: {base_address()}{page_of(matter)}",
        *[f"Photo: {each}" for each in photos],
        *([] if settings.HAS_PHONES else ["(These addresses open on the desk's own machine.)"]),
    ]
    subject = f"{called}: {matter.kind if isinstance(matter, Lock) else matter.what}"
    if settings.IS_DEMO:
        subject, lines = f"Demonstration: {subject}", ["A demonstration: none of this is real.", "", *lines]
    return Message(subject[:150], "\n".join(lines))


def house_time(at: datetime) -> timedelta | None:
    """Return how long a report may wait before the manager is told; None where the house has written no time."""
    try:
        hours = house_of(at).manager_told_after_h
    except GyrewrightError:
        return None
    return None if hours is None else timedelta(hours=hours)


def waiting(at: datetime) -> tuple[Waiting, ...]:
    """Return every report and lock that nobody who can put it right has yet, the oldest first."""
    allowed_for = house_time(at)
    found = []
    for matters in _fleet(at):
        name = state.machine(matters.aircraft, at).aircraft.definition.name
        for matter in _untaken(matters):
            since = at - matter.at
            failed = last_failure(matter)
            found.append(Waiting(matter, name, since, allowed_for is None or since >= allowed_for, failed))
    return tuple(sorted(found, key=lambda each: each.matter.at))


def _fleet(at: datetime) -> Iterator[Matters]:
    for id in state.fleet_ids():
        try:
            yield matters_of(id, at)
        except GyrewrightError:
            # What cannot be read says so on its own page.
            continue


def _untaken(matters: Matters) -> Iterator[Matter]:
    for matter in matters.standing:
        if not is_taken(matter):
            yield matter


def last_failure(matter: Matter) -> str:
    """Return why the newest mail of a matter could not be sent; empty where it went, or none was tried."""
    newest: dict[str, str] = {each.act.to: each.act.failed for each in matter.sent if each.act.how == "mail"}
    return next((failed for failed in newest.values() if failed), "")


def told_by_hand(*, id: str, matter: Matter, to: str, by: str) -> Kept:
    """Record that somebody told a person of a report themself.

    Raises:
        Refused: The report has to reach somebody else.
    """
    known = {each.person for each in (*helpers(matter.aircraft, clock.now()), *managers())}
    if to not in known:
        raise Refused("say whom you told: a maintainer of this aircraft, or the manager")
    act = WordSent(report=matter.id, to=to, how="by hand")
    return record_act(id=id, act=act, by=by, about=matter.aircraft)


def answers_for(person: str, at: datetime) -> tuple[Answered, ...]:
    """Return what became of everything that a person reported and has not read the answer to."""
    found = []
    for matters in _fleet(at):
        name = state.machine(matters.aircraft, at).aircraft.definition.name
        for matter in matters.all:
            if matter.record.by == person and (new := unread_answers(matter, person, at)):
                found.append(Answered(matter, name, new))
    return tuple(sorted(found, key=lambda each: each.answers[-1].record.seq, reverse=True))


def still_unanswered(person: str, at: datetime) -> tuple[Matter, ...]:
    """Return what a person reported and nobody has answered yet."""
    return tuple(
        matter
        for matters in _fleet(at)
        for matter in matters.standing
        if matter.record.by == person and not matter.acts
    )
