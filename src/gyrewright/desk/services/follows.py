"""What follows from the numbers of a flight, said at once: meters, clocks, locks, walk-rounds, fuel, people's logs."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta

from gyrewright.desk.book.kinds.flight import FlightDone
from gyrewright.desk.book.record import Recorded
from gyrewright.desk.fold.asked import Asked
from gyrewright.desk.fold.people import is_instruction
from gyrewright.desk.services import state
from gyrewright.desk.services.due import house_of
from gyrewright.desk.services.flown import Beside, beside
from gyrewright.maintenance.clocks import IN_DATE, Due
from gyrewright.maintenance.due import due_list
from gyrewright.maintenance.events import CLEAR
from gyrewright.maintenance.meters import Meter
from gyrewright.maintenance.records import History, Records
from gyrewright.people.roles import entitled
from gyrewright.rules.calendar import hours_in_window
from gyrewright.units import parse_quantity

DAY_H = 24.0


@dataclass(frozen=True, slots=True)
class MeterMoved:
    """A meter before and after; `used` in its own unit. None where it was not read, then or now."""

    name: str
    counts: str
    before: float | None
    before_at: datetime | None
    now: float | None

    @property
    def used(self) -> float | None:
        """How far it moved since it was read last."""
        return None if self.before is None or self.now is None else self.now - self.before


@dataclass(frozen=True, slots=True)
class DueMoved:
    """One clock of the program before and after."""

    before: Due | None
    now: Due


@dataclass(frozen=True, slots=True)
class Lock:
    """An event that locks the aircraft: the inspection that the manual asks for, and who may clear it."""

    event: Recorded
    inspection: str
    who: tuple[str, ...]
    is_cleared: bool


@dataclass(frozen=True, slots=True)
class Own:
    """What the flight adds to one person's log."""

    person: str
    take_offs: int
    landings: int
    night_landings: int
    taught_h: float
    taught_day_h: float | None


@dataclass(frozen=True, slots=True)
class Counted:
    """What one flight's numbers count: hours from moving off and in the air, each meter, each person's own part."""

    flight_h: float
    air_h: float
    meters: tuple[MeterMoved, ...]
    own: tuple[Own, ...]
    beside: Beside


@dataclass(frozen=True, slots=True)
class Follows(Counted):
    """Everything that follows from one flight's numbers."""

    dues: tuple[DueMoved, ...]
    locks: tuple[Lock, ...]
    walks_ended: tuple[str, ...]
    fuel_before_l: float | None
    fuel_left_l: float | None
    next_flight: Asked | None

    @property
    def fuel_used_l(self) -> float | None:
        """Fuel that the flight took, as far as it was read before and after. [L]"""
        if self.fuel_before_l is None or self.fuel_left_l is None:
            return None
        return self.fuel_before_l - self.fuel_left_l


def counted(asked: Asked, at: datetime) -> Counted:
    """Return what the numbers of a flight that has them count."""
    assert asked.done is not None
    act: FlightDone = asked.done.act
    mine = beside(asked)
    before, now = _histories(state.machine(asked.aircraft, at).aircraft.records, mine, act)
    return Counted(
        flight_h=_hours(act.began_at, act.ended_at),
        air_h=_hours(act.off_at, act.on_at),
        meters=_meters(before, now, mine),
        own=tuple(_own(act, at)),
        beside=mine,
    )


def follows(asked: Asked, at: datetime) -> Follows:
    """Return what follows from the numbers of a flight that has them."""
    assert asked.done is not None
    act: FlightDone = asked.done.act
    count = counted(asked, at)
    before, now = _histories(state.machine(asked.aircraft, at).aircraft.records, count.beside, act)
    return Follows(
        flight_h=count.flight_h,
        air_h=count.air_h,
        meters=count.meters,
        own=count.own,
        beside=count.beside,
        dues=_dues(asked, before, now, at),
        locks=_locks(asked, count.beside, at),
        walks_ended=_walks_ended(asked, act, at),
        fuel_before_l=_fuel_before(asked, act),
        fuel_left_l=_least([each.act.aboard for each in count.beside.fuel.values()]),
        next_flight=_next(asked, act, at),
    )


def _hours(start: datetime, end: datetime) -> float:
    return (end - start) / timedelta(hours=1)


# --- the machine ---


def _histories(records: Records | None, mine: Beside, act: FlightDone) -> tuple[History | None, History | None]:
    """Return the aircraft's history as it was before the flight and as it was at its end."""
    if records is None:
        return None, None
    ids = {each.id for each in mine.meters.values()}

    def cut(meter: Meter, *, with_mine: bool) -> Meter:
        kept = tuple(each for each in meter.readings if each.at <= act.ended_at and (with_mine or each.id not in ids))
        return replace(meter, readings=kept)

    def history(*, with_mine: bool) -> History:
        meters = {name: cut(meter, with_mine=with_mine) for name, meter in records.history.meters.items()}
        return replace(records.history, meters=meters)

    return history(with_mine=False), history(with_mine=True)


def _meters(before: History | None, now: History | None, mine: Beside) -> tuple[MeterMoved, ...]:
    if before is None or now is None:
        return ()
    out = []
    for name, meter in now.meters.items():
        was, read = before.meters[name].latest, meter.latest
        out.append(
            MeterMoved(
                name=name,
                counts=meter.counts,
                before=was.total if was else None,
                before_at=was.at if was else None,
                now=read.total if read and name in mine.meters else None,
            )
        )
    return tuple(out)


def _dues(asked: Asked, before: History | None, now: History | None, at: datetime) -> tuple[DueMoved, ...]:
    made = state.machine(asked.aircraft, at).aircraft
    program, records = made.program, made.records
    if program is None or records is None or before is None or now is None:
        return ()
    on: date = asked.act.depart_at.astimezone(state.zone()).date()
    may = entitled(state.folk(at).people)

    def listed(history: History) -> dict[tuple[str, str], Due]:
        stood = replace(records, history=history)
        never = house_of(at).no_over_for
        found = due_list(program, stood, on=on, purpose=asked.act.purpose, entitled=may, no_over=never)
        return {(each.task.id, each.clock.meter): each for each in found}

    earlier = listed(before)
    return tuple(DueMoved(earlier.get(key), due) for key, due in listed(now).items())


def used_clocks(dues: tuple[DueMoved, ...]) -> tuple[DueMoved, ...]:
    """Return the clocks that the flight has moved, the most urgent first."""
    return tuple(
        each
        for each in dues
        if each.before is None or each.before.remaining != each.now.remaining or each.before.state != each.now.state
    )


def first_due(dues: tuple[DueMoved, ...]) -> Due | None:
    """Return what is due next, or what nobody can say about first."""
    return dues[0].now if dues else None


def is_over(due: Due) -> bool:
    """Return whether a clock is over, or nobody can say."""
    return due.state != IN_DATE


def _locks(asked: Asked, mine: Beside, at: datetime) -> tuple[Lock, ...]:
    made = state.machine(asked.aircraft, at).aircraft
    may = entitled(state.folk(at).people)
    after: Mapping[str, str] = made.program.inspections_after if made.program else {}
    known = {each.id: each for each in (made.records.events or ())} if made.records else {}
    out = []
    for kind, record in mine.events.items():
        inspection = after.get(kind, "")
        event = known.get(record.id)
        cleared = event is not None and event.cleared(inspection=inspection, entitled=may, at=at) is not None
        out.append(Lock(record, inspection, tuple(sorted(may.get(CLEAR, frozenset()))), cleared))
    return tuple(out)


def _walks_ended(asked: Asked, act: FlightDone, at: datetime) -> tuple[str, ...]:
    """Return the house's names of the walk-rounds that hold no longer because of the flight or its events."""
    rules = state.house(at).operation.walk_rules
    ends = {"flown"} | ({"event"} if act.events else set())
    return tuple(each.name for each in rules.needed if each.ended_by & ends) if rules else ()


# --- fuel ---


def _least(texts: list[str]) -> float | None:
    """Return the least of several readings. [L]"""
    return min((parse_quantity("volume", each).value for each in texts), default=None)


def _fuel_before(asked: Asked, act: FlightDone) -> float | None:
    """Return the least that stick and gauge showed before the start, if nothing was put in or flown since. [L]"""
    return _least(list(state.fuel_read(asked, act.began_at).values()))


# --- people ---


def _own(act: FlightDone, at: datetime) -> list[Own]:
    people = state.folk(at).people
    out = []
    for person in act.aboard:
        landed = [each for each in act.landed if each.by == person]
        teaches = is_instruction(act) and act.instructor == person
        taught = people[person].taught if person in people else None
        in_day = None
        if teaches and taught is not None:
            in_day = hours_in_window(taught, end=act.ended_at, window_h=DAY_H)
        out.append(
            Own(
                person=person,
                take_offs=sum(each.take_offs for each in landed),
                landings=sum(each.full_stops + each.touch_and_goes for each in landed),
                night_landings=sum(each.full_stops for each in landed if each.night),
                taught_h=_hours(act.began_at, act.ended_at) if teaches else 0.0,
                taught_day_h=in_day,
            )
        )
    return out


def _next(asked: Asked, act: FlightDone, at: datetime) -> Asked | None:
    """Return the next flight that is still to be made in this aircraft."""
    later = (
        each
        for each in state.flights(at).values()
        if each.is_open and each.aircraft == asked.aircraft and each.act.depart_at >= act.on_at
    )
    return next(later, None)
