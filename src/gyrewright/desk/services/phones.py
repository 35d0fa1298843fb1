"""Phones: heard from, out with a walk-round, reported, forgotten. Every time here is the desk's own."""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import datetime

from django.db import transaction

from gyrewright.desk import clock
from gyrewright.desk.book.kinds.phones import PhoneDone, PhoneDoneWhy, PhoneOpened, PhonePersonal, PhonesAsked
from gyrewright.desk.book.reading import find_records
from gyrewright.desk.book.record import Kept
from gyrewright.desk.phones.models import Pass, Phone
from gyrewright.desk.refusal import NotAllowed, Refused
from gyrewright.desk.services import state
from gyrewright.desk.services.people import person_known
from gyrewright.desk.services.records import record_act
from gyrewright.desk.services.releases import supersede
from gyrewright.errors import UnknownName
from gyrewright.inspection.phones import Phone as Out
from gyrewright.people.roles import may

_ID = re.compile(r"[0-9a-zA-Z-]{8,64}")

LOOKS_INSTEAD = "assess a defect"
"""The act of the table of roles that entitles to look at an aircraft in the place of a lost phone."""


@dataclass(frozen=True, slots=True)
class OutWith:
    """A phone that is out with an aircraft's walk-round, and when it was last heard from at all."""

    aircraft: str
    out: Out
    last_heard_at: datetime | None


def hear(*, phone: str, person: str, called: str = "", is_plain: bool = False, waiting: int | None = None) -> Phone:
    """Note that a phone was heard from now, under the id that it gave itself, in the hands of a person.

    Raises:
        Refused: The id is none.
    """
    if not _ID.fullmatch(phone):
        raise Refused("a phone names itself by 8 to 64 letters, digits and dashes; load its page again")
    now = clock.now()
    found, is_new = Phone.objects.get_or_create(
        id=phone,
        defaults={
            "called": called.strip()[:60] or _called(phone, person),
            "person": person,
            "is_plain": is_plain,
            "first_heard_at": now,
            "last_heard_at": now,
            "waiting": waiting,
        },
    )
    if not is_new:
        found.last_heard_at, found.person, found.is_plain = now, person, is_plain
        found.called = called.strip()[:60] or found.called
        found.waiting = found.waiting if waiting is None else waiting
        found.save()
    return found


def _called(phone: str, person: str) -> str:
    return f"{person_known(person).name.split()[0][:40]}'s phone {phone[:4]}"


def open_walk(*, phone: str, aircraft: str, by: str, called: str = "", is_plain: bool = False) -> None:
    """Record that a phone takes an aircraft's walk-round along; once, until it has reported.

    Whoever serves a walk-round calls this before the phone can have it.
    """
    with transaction.atomic():
        known = hear(phone=phone, person=by, called=called, is_plain=is_plain)
        if _is_out(phone, aircraft):
            return
        act, personal = PhoneOpened(phone), PhonePersonal(known.called)
        record_act(act=act, by=by, about=aircraft, personal=personal, person=by)
        supersede(by=by)


def report(*, phone: str, aircraft: str, by: str, waiting: int, is_open: bool, is_plain: bool = False) -> bool:
    """Take what a phone says of itself after an exchange; return whether it is still out with the aircraft.

    Args:
        phone: Its id.
        aircraft: Whose walk-round it speaks of.
        by: Who holds it.
        waiting: How many acts it has still to hand over.
        is_open: Whether its page still shows the walk-round, or a walk on it is not finished.
        is_plain: Whether it spoke in plain http: then it ends nothing, since nobody knows who spoke.
    """
    with transaction.atomic():
        hear(phone=phone, person=by, is_plain=is_plain, waiting=waiting)
        if not _is_out(phone, aircraft):
            return False
        if waiting or is_open or is_plain:
            return True
        record_act(act=PhoneDone(phone, "handed over"), by=by, about=aircraft)
    return False


def say_nothing_open(*, id: str, phone: str, aircraft: str, by: str) -> Kept:
    """Record the holder's word that a phone holds nothing of an aircraft.

    Raises:
        NotAllowed: Somebody else holds it.
        Refused: It is not out with this aircraft.
    """
    found = _out_of(phone, aircraft)
    if by not in {each.holder for each in found}:
        raise NotAllowed("only whoever holds the phone can say that nothing on it is open")
    return record_act(id=id, act=PhoneDone(phone, "nothing open"), by=by, about=aircraft)


def say_looked_instead(*, id: str, phone: str, aircraft: str, why: str, by: str) -> Kept:
    """Record that somebody entitled has looked at the aircraft in the place of a phone that is lost.

    Raises:
        NotAllowed: The person is not entitled to assess a defect.
        Refused: It is not out with this aircraft, or nobody says what was looked at.
    """
    _out_of(phone, aircraft)
    person = state.folk(clock.now()).people.get(by)
    if person is None or not may(person, LOOKS_INSTEAD, relations={}).allowed:
        raise NotAllowed("only somebody who may assess a defect can look at the aircraft in a lost phone's place")
    if len(why.strip()) < 8:
        raise Refused("write what became of the phone and what was looked at in its place")
    personal = PhoneDoneWhy(why=why.strip())
    return record_act(
        id=id, act=PhoneDone(phone, "looked at instead"), by=by, about=aircraft, personal=personal, person=by
    )


def say_all_asked(*, id: str, aircraft: str, by: str) -> Kept:
    """Record that every phone that can have opened an aircraft since the copy was asked.

    Raises:
        NotAllowed: The person may not assess a defect.
        Refused: The list of phones was not lost.
    """
    person = state.folk(clock.now()).people.get(by)
    if person is None or not may(person, LOOKS_INSTEAD, relations={}).allowed:
        raise NotAllowed("only somebody who may assess a defect can say that every phone was asked")
    lost = find_records(kinds=("phones-lost",), newest_first=True, count=1)
    if not lost:
        raise Refused("the list of phones was not lost; there is nothing to ask")
    return record_act(id=id, act=PhonesAsked(lost[0].id), by=by, about=aircraft)


def _is_out(phone: str, aircraft: str) -> bool:
    return any(each.out.id == phone for each in out_with(aircraft, clock.now()))


def _out_of(phone: str, aircraft: str) -> list[Out]:
    found = [each.out for each in out_with(aircraft, clock.now()) if each.out.id == phone]
    if not found:
        raise Refused("this phone is not out with this aircraft any more; load the page again")
    return found


def out_with(aircraft: str, at: datetime) -> list[OutWith]:
    """Return the phones that are out with an aircraft's walk-round."""
    walks = state.machine(aircraft, at).aircraft.walks
    heard = dict(Phone.objects.values_list("id", "last_heard_at"))
    phones = walks.phones if walks is not None and walks.phones is not None else ()
    return [OutWith(aircraft, each, heard.get(each.id)) for each in phones if each.opened_at <= at]


def is_unknown(aircraft: str, at: datetime) -> str:
    """Return why nobody knows which phones are out with an aircraft; empty where that is known."""
    walks = state.machine(aircraft, at).aircraft.walks
    if walks is None or walks.phones is None:
        return "two truths about its phones are open"
    return walks.phones_unknown


def known_phones() -> list[Phone]:
    """Return every phone that was heard from, the last heard first."""
    return list(Phone.objects.order_by("-last_heard_at"))


def forget(*, phone: str, by: str, is_manager: bool) -> None:
    """Take a phone off the list, and its passes with it. What it has open stays open until somebody answers for it.

    Raises:
        NotAllowed: It is another's phone, and the person is no manager.
        UnknownName: There is no such phone.
    """
    found = Phone.objects.filter(id=phone).first()
    if found is None:
        raise UnknownName("this phone is not on the list; load the page again")
    if found.person != by and not is_manager:
        raise NotAllowed("only its holder or the manager forgets a phone")
    Pass.objects.filter(phone=phone).delete()
    found.delete()
