"""What the book says now, read and ready to be asked about: house, people, aircraft, flights, and their questions.

Everything is folded anew when a record comes that it rests on, and kept in memory until then: the book only grows, so
the number of the last record says whether anything changed.
"""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Callable, Hashable, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from functools import cache
from threading import Lock
from typing import Any, TypeVar, cast
from zoneinfo import ZoneInfo

from django.conf import settings
from django.db import connection, transaction
from django.db.models import Max, Q

from gyrewright.desk import clock
from gyrewright.desk.book.clockwatch import watch
from gyrewright.desk.book.models import Record
from gyrewright.desk.book.reading import find_records, read_rows
from gyrewright.desk.book.record import Recorded
from gyrewright.desk.fold.adopted import ADOPTED_KINDS, FIELD, INSURANCE, OPERATION, adopted_files
from gyrewright.desk.fold.aircraft import AircraftTables, fold_aircraft
from gyrewright.desk.fold.asked import (
    FLIGHT_KINDS,
    FUEL_KINDS,
    Asked,
    ballast_seen,
    declared_for,
    flight_table,
    fold_flights,
    fold_fuel,
)
from gyrewright.desk.fold.people import PEOPLE_KINDS, ROLE_KINDS, Known, PeopleTables, fold_people, people
from gyrewright.desk.fold.question import House, aircraft_of, people_of, question_of, read_house
from gyrewright.desk.fold.standing import Conflict
from gyrewright.desk.fold.weather import WEATHER_KINDS, fold_weather
from gyrewright.desk.moments import moment_of
from gyrewright.desk.reader import reader
from gyrewright.errors import UnknownName
from gyrewright.people import Insurance, Person
from gyrewright.people.roles import Entitled, acts_of, entitled
from gyrewright.reading import Problems, section_of
from gyrewright.release.question import Aircraft, Question

T = TypeVar("T")

_KEPT_AT_ONCE = 512
_kept: OrderedDict[Hashable, Any] = OrderedDict()
_lock = Lock()
_newest: dict[Hashable, tuple[int, list[Recorded]]] = {}
"""The newest list of records under each name, with the number of its last one: the next list begins with it."""

AHEAD = timedelta(minutes=10)


def kept(key: Hashable, make: Callable[[], T]) -> T:
    """Return what was made under a key, making it where it is not there; the least recently used goes first.

    What is made while acts are being recorded is kept once they are committed, and forgotten where they are not: the
    number of a record that was rolled back will be another record's.
    """
    whole = (str(settings.DATA_DIR), key)
    meanwhile = _meanwhile()
    with _lock:
        if whole in _kept:
            _kept.move_to_end(whole)
            found: T = _kept[whole]
            return found
    if meanwhile is not None and whole in meanwhile:
        return cast(T, meanwhile[whole])
    made = make()
    if meanwhile is None:
        _keep({whole: made})
    else:
        meanwhile[whole] = made
    return made


def _keep(made: dict[Hashable, Any]) -> None:
    with _lock:
        _kept.update(made)
        for key in made:
            _kept.move_to_end(key)
        while len(_kept) > _KEPT_AT_ONCE:
            _kept.popitem(last=False)


def _meanwhile() -> dict[Hashable, Any] | None:
    """Return what was made inside this thread's open transaction; None where none is open."""
    if not connection.in_atomic_block:
        connection.made_meanwhile = None
        return None
    found: dict[Hashable, Any] | None = getattr(connection, "made_meanwhile", None)
    if found is None:
        found = connection.made_meanwhile = {}
        transaction.on_commit(lambda made=found: _keep(made))  # type: ignore[misc]
    return found


def kept_for_reader(key: tuple[Hashable, ...], make: Callable[[], T]) -> T:
    """Return what was made under a key for somebody who reads in these words and units."""
    return kept((*key, reader().key), make)


def is_kept(key: Hashable) -> bool:
    """Return whether something is there under a key."""
    with _lock:
        return (str(settings.DATA_DIR), key) in _kept


def head_seq() -> int:
    """Return the number of the last record."""
    # Asked for with every thing that is kept; the plain question takes a tenth of the time.
    with connection.cursor() as cursor:
        cursor.execute("SELECT MAX(seq) FROM book_record")
        return int(cursor.fetchone()[0] or 0)


def _last(name: Hashable, where: Q) -> int:
    """Return the number of the last record of a kind; asked of the database once for each state of the book."""
    return kept(("last", name, head_seq()), lambda: _last_of(where))


def _last_of(where: Q) -> int:
    return int(Record.objects.filter(where).aggregate(last=Max("seq"))["last"] or 0)


def _erased() -> int:
    return _last("erased", Q(kind="personal-erased"))


def _tag(records: Sequence[Recorded], at: datetime) -> datetime | None:
    """Return the moment itself where a record's own time is still to come, else nothing: then time changes nothing."""
    return at if any(each.done_at > at for each in records[-50:]) else None


def records_of(name: Hashable, where: Q) -> list[Recorded]:
    """Return the records of a query, kept under a name; where more of them come, only those are read."""
    last, erased = _last(name, where), _erased()

    def read() -> list[Recorded]:
        before, known = _newest.get((str(settings.DATA_DIR), name, erased), (0, []))
        if before > last:
            before, known = 0, []
        found = [*known, *read_rows(Record.objects.filter(where, seq__gt=before).order_by("seq"))]
        if not connection.in_atomic_block:
            _newest[str(settings.DATA_DIR), name, erased] = (last, found)
        return found

    return kept(("records", name, last, erased), read)


def zone() -> ZoneInfo:
    """Return the field's clock; UTC where no field is known yet."""
    where = Q(kind__in=ADOPTED_KINDS)

    def read() -> ZoneInfo:
        records = find_records(kinds=("file-adopted",))
        texts = [each.act.text for each in records if each.act.name == FIELD]
        if not texts:
            return ZoneInfo("UTC")
        name = section_of(texts[-1], file=FIELD, problems=Problems()).text("time_zone")
        return ZoneInfo(name or "UTC")

    return kept(("zone", _last("adopted", where)), read)


def today() -> date:
    """Return the day that it is at the field: by it roles hold, and words of the day are said."""
    return clock.now().astimezone(zone()).date()


def asking_at() -> datetime:
    """Return the moment at which a page asks: the whole minute, or the last record where that is later."""
    now = clock.now()
    minute = now.replace(second=0, microsecond=0)
    last = Record.objects.order_by("-seq").values_list("entered_at", flat=True).first()
    return max(minute, min(moment_of(last), now)) if last else minute


def house(at: datetime) -> House:
    """Return house rules and field as they hold on the local day of a moment."""
    on = at.astimezone(zone()).date()
    records = records_of("adopted", Q(kind__in=ADOPTED_KINDS))

    def read() -> House:
        texts = {name: act.text for name, act in adopted_files(records, on=on, at=at).items()}
        return read_house(texts)

    return kept(("house", on, records[-1].seq if records else 0, _tag(records, at)), read)


def everybody() -> dict[str, Known]:
    """Return every person of the book by id, with name and roles; not to be changed."""
    records = records_of("roles", Q(kind__in=ROLE_KINDS))
    return kept(("everybody", records[-1].seq if records else 0, _erased()), lambda: people(records))


@dataclass(frozen=True, slots=True, eq=False)
class Folk:
    """Everybody, as the core reads them, the insurers' conditions, open questions about people, and who may do what."""

    people: dict[str, Person]
    insurance: tuple[Insurance, ...]
    conflicts: tuple[Conflict, ...]
    entitled: Entitled


def folk(at: datetime) -> Folk:
    """Return everybody as known at a moment."""
    on = at.astimezone(zone()).date()
    records = records_of("people", Q(kind__in=PEOPLE_KINDS))
    adopted = records_of("adopted", Q(kind__in=ADOPTED_KINDS))

    def read() -> Folk:
        tables: PeopleTables = fold_people(records, at=at, on=on, zone=zone())
        insurers = adopted_files(adopted, on=on, at=at).get(INSURANCE)
        people, insurance = people_of(tables.people, insurers.text if insurers else "")
        return Folk(people, insurance, tables.conflicts, entitled(people))

    last = (records[-1].seq if records else 0, adopted[-1].seq if adopted else 0)
    return kept(("folk", on, last, _erased(), _tag(records, at), _tag(adopted, at)), read)


@dataclass(frozen=True, slots=True, eq=False)
class Machine:
    """One aircraft as the core reads it, and open questions about it."""

    aircraft: Aircraft
    tables: AircraftTables


_OF_ALL = ("part-fitted", "part-removed", "phones-lost")


def entitled_then(aircraft: str) -> Callable[[str, datetime], frozenset[str]]:
    """Return a function that tells what a person was entitled to about an aircraft on the day of a moment.

    A role for named aircraft counts for those alone. What lies before the first day of which the book knows any role
    counts by the roles of that day.
    """
    records = records_of("roles", Q(kind__in=ROLE_KINDS))
    local = zone()

    def make() -> Callable[[str, datetime], frozenset[str]]:
        known = people(records)
        first = min((held.from_on for each in known.values() for held in each.roles), default=date.min)

        @cache
        def on_day(person: str, day: date) -> frozenset[str]:
            if person not in known:
                return frozenset()
            held = [each for each in known[person].roles if each.holds(max(day, first))]
            return acts_of(frozenset(each.role for each in held if not each.aircraft or aircraft in each.aircraft))

        return lambda person, moment: on_day(person, moment.astimezone(local).date())

    return kept(("entitled then", aircraft, records[-1].seq if records else 0, local.key), make)


PHONE_WALKS_COUNT = timedelta(days=60)
"""How long parts of walks that found nothing are folded in: older ones say nothing of today, and there are many."""


def lately_walked(at: datetime) -> tuple[date, Q]:
    """Return a query of the records without parts of old walks that found nothing, and the day it goes back to."""
    since = (at - PHONE_WALKS_COUNT).date()
    old = Q(kind="walk-part", entered_at__lt=since.isoformat()) & ~Q(body__contains='"answer":"not"')
    return since, ~old


def records_about(id: str, at: datetime | None = None) -> list[Recorded]:
    """Return every record that an aircraft is folded from: those about it, those of parts, and what settles them."""
    since, lately = lately_walked(at or clock.now())
    # A release freezes much and changes nothing about the aircraft.
    where = Q(about=id) & ~Q(kind__in=("release", "release-superseded"))
    where |= Q(kind__in=_OF_ALL) | Q(kind__in=("withdrawn", "clash", "clash-settled"))
    return records_of(("about", id, since), where & lately)


def machine(id: str, at: datetime) -> Machine:
    """Return one aircraft as known at a moment.

    Raises:
        UnknownName: The book knows no such aircraft.
    """
    records = records_about(id, at)
    if not any(each.kind == "aircraft-defined" and each.about == id for each in records):
        raise UnknownName(f"the book knows no aircraft {id!r}")

    def read() -> Machine:
        tables = fold_aircraft(records, aircraft=id, at=at, might=entitled_then(id))
        return Machine(aircraft_of(tables), tables)

    roles = records_of("roles", Q(kind__in=ROLE_KINDS))
    return kept(("machine", id, records[-1].seq, roles[-1].seq if roles else 0, _tag(records, at)), read)


def fleet_ids() -> tuple[str, ...]:
    """Return the ids of the operation's aircraft, in the order in which they were entered."""
    rows = Record.objects.filter(kind__in=("aircraft-defined", "aircraft-left")).order_by("seq")
    found: dict[str, None] = {}
    for kind, about in rows.values_list("kind", "about"):
        if kind == "aircraft-defined":
            found.setdefault(about)
        else:
            found.pop(about, None)
    return tuple(found)


def fleet(at: datetime) -> tuple[Aircraft, ...]:
    """Return the operation's aircraft as known at a moment."""
    return tuple(machine(id, at).aircraft for id in fleet_ids())


def flights(at: datetime) -> dict[str, Asked]:
    """Return every flight asked for, by id, in the order of their starts; bookings without a purpose are none."""
    records = records_of("flights", Q(kind__in=FLIGHT_KINDS))

    def fold() -> dict[str, Asked]:
        return {id: each for id, each in fold_flights(records, at=at)[0].items() if each.act.purpose}

    return kept(("flights", records[-1].seq if records else 0, _tag(records, at)), fold)


def flight(id: str, at: datetime) -> Asked:
    """Return one flight.

    Raises:
        UnknownName: There is none with this id.
    """
    found = flights(at).get(id)
    if found is None:
        raise UnknownName(f"no flight has the id {id!r}")
    return found


def clock_doubt() -> str:
    """Return what speaks against this machine's clock, or nothing."""
    return watch(clock.now()).doubt


def question(asked: Asked, at: datetime) -> Question:
    """Return the question that a flight asks, from the records as known at a moment.

    Raises:
        DefinitionError: What was asked names a seat, place or person that is not there.
        Refused: House, field or aircraft are not known, or in question.
    """
    made, everybody = machine(asked.aircraft, at), folk(at)
    fuel = _fuel_records(asked.aircraft)
    declared = records_of("declared", Q(kind__in=("declared", "withdrawn", "clash", "clash-settled")))
    since = at - timedelta(days=3)
    given = [each for each in records_of("weather", Q(kind__in=WEATHER_KINDS)) if each.entered_at >= since]
    table = flight_table(
        asked,
        title="",
        fuel=fold_fuel(fuel, asked=asked, at=at),
        weather=fold_weather(given, at=at),
        law=declared_for(declared, flight=asked.id, at=at),
        at=at,
    )
    return question_of(
        table,
        house=house(at),
        aircraft=made.aircraft,
        people=everybody.people,
        insurance=everybody.insurance,
        asked_at=at,
        clock_doubt=clock_doubt(),
        ballast_seen=ballast_seen(fuel, asked=asked, at=at),
        may=everybody.entitled,
    )


def _fuel_records(aircraft: str) -> list[Recorded]:
    return records_of(("fuel", aircraft), Q(kind__in=FUEL_KINDS) & _about_or_mark(aircraft))


def fuel_read(asked: Asked, at: datetime) -> dict[str, str]:
    """Return what stick and gauge showed for a flight as known at a moment, as far as the readings count."""
    found = fold_fuel(_fuel_records(asked.aircraft), asked=asked, at=at)
    return {by_what: each["value"] for by_what, each in found.items() if by_what != "planned"}


def _about_or_mark(aircraft: str) -> Q:
    return Q(about=aircraft) | Q(kind__in=("withdrawn", "clash", "clash-settled"))


def conflicts(asked: Asked, at: datetime) -> tuple[Conflict, ...]:
    """Return the open questions that touch a flight: about its aircraft and its people."""
    of_people = tuple(
        each for each in folk(at).conflicts if any(record.about in asked.people for record in each.records)
    )
    of_aircraft = tuple(
        each
        for each in machine(asked.aircraft, at).tables.conflicts
        if any(record.about == asked.aircraft for record in each.records)
    )
    return of_aircraft + of_people


def moved(asked: Asked, **changes: Any) -> Asked:
    """Return a flight as if something else had been asked for."""
    return replace(asked, record=replace(asked.record, act=replace(asked.act, **changes)))


__all__ = [
    "OPERATION",
    "asking_at",
    "clock_doubt",
    "conflicts",
    "entitled_then",
    "fleet",
    "flight",
    "flights",
    "folk",
    "house",
    "kept",
    "machine",
    "moved",
    "question",
    "zone",
]
