"""A flight as asked for at the desk, in the shape of a flight's file, with what records say beside it."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime

from gyrewright.desk.book.kinds.flight import FlightAsked, FlightDone, FlightDropped
from gyrewright.desk.book.kinds.people import Declared
from gyrewright.desk.book.kinds.upkeep import FuelMeasured, Touched
from gyrewright.desk.book.record import Recorded
from gyrewright.desk.fold.standing import Conflict, standing
from gyrewright.desk.fold.tables import Table
from gyrewright.people.read import DECLARATIONS as OF_PEOPLE
from gyrewright.release.flight import PARTS
from gyrewright.rules.said import DECLARATIONS as OF_FLIGHTS
from gyrewright.rules.said import SAID
from gyrewright.units import parse_quantity

FLIGHT_KINDS = ("flight-asked", "flight-dropped", "flight-done", "withdrawn", "clash", "clash-settled")
"""What the list of flights is folded from."""

FUEL_KINDS = ("fuel-measured", "touched", *FLIGHT_KINDS)
"""What the fuel aboard an aircraft is folded from."""


@dataclass(frozen=True, slots=True)
class Asked:
    """A flight of the day: its id, the record that holds what is asked for now, and what became of it.

    `done` holds its numbers once it is flown; where two truths about them are open, the one entered first, and
    `in_question` says so.
    """

    id: str
    record: Recorded
    dropped_at: datetime | None = None
    done: Recorded | None = None
    in_question: bool = False

    @property
    def act(self) -> FlightAsked:
        """What is asked for."""
        act: FlightAsked = self.record.act
        return act

    @property
    def aircraft(self) -> str:
        """The aircraft's id."""
        return self.record.about

    @property
    def is_open(self) -> bool:
        """Whether it is still to be flown."""
        return self.dropped_at is None and self.done is None

    @property
    def people(self) -> frozenset[str]:
        """Everybody who has a part in it, sits in it, supervises it or is named on it."""
        parts = (getattr(self.act, part) for part in PARTS)
        seats = (person for person in self.act.seats.values() if person != "empty")
        return frozenset(person for person in (*parts, *seats, *self.act.named) if person)

    @property
    def aboard(self) -> frozenset[str]:
        """Everybody who sits in it."""
        return frozenset(person for person in self.act.seats.values() if person and person != "empty")


def fold_flights(
    records: Iterable[Recorded], *, at: datetime | None = None, known_at: datetime | None = None
) -> tuple[dict[str, Asked], tuple[Conflict, ...]]:
    """Return every flight by id in the order of their starts, and open questions about them."""
    counting = standing(records, at=at, known_at=known_at)
    found: dict[str, Asked] = {}
    later = []
    for each in counting.records:
        if isinstance(each.act, FlightAsked):
            id = counting.first.get(each.id, each.id)
            found[id] = Asked(id, each)
        else:
            later.append(each)
    for each in later:
        if isinstance(each.act, FlightDropped | FlightDone):
            id = counting.first.get(each.act.flight, each.act.flight)
            flight = found.get(id)
            if flight is None:
                continue
            if isinstance(each.act, FlightDropped):
                found[id] = Asked(id, flight.record, each.done_at, flight.done)
            else:
                found[id] = Asked(id, flight.record, flight.dropped_at, each)
    for each in _doubted_flights(counting.conflicts):
        id = counting.first.get(each.act.flight, each.act.flight)
        if id in found and (at is None or each.done_at <= at):
            found[id] = Asked(id, found[id].record, found[id].dropped_at, found[id].done or each, True)
    ordered = sorted(found.values(), key=lambda each: (each.act.depart_at, each.record.seq))
    return {each.id: each for each in ordered}, counting.conflicts


def _doubted_flights(conflicts: Iterable[Conflict]) -> list[Recorded]:
    """Return the records of flights that two truths are told of: which is true is open, that they flew is not."""
    return [each for found in conflicts for each in found.records if isinstance(each.act, FlightDone)]


def fold_fuel(records: Iterable[Recorded], *, asked: Asked, at: datetime) -> Table:
    """Return the fuel table of a flight.

    A reading counts until the aircraft has flown or was filled after it, for no flight before which another is still
    to fly, and not where other fuel was asked for since. Where none counts, what is meant to be aboard is planned:
    somebody still has to see to it.
    """
    counting = standing(records, at=at)
    doubted = any(isinstance(each.act, FuelMeasured) for found in counting.conflicts for each in found.records)
    flights, _ = fold_flights(records, at=at)
    flies_before = any(
        each.is_open and each.id != asked.id and at <= each.act.depart_at < asked.act.depart_at
        for each in flights.values()
        if each.aircraft == asked.aircraft
    )
    out: Table = {}
    doubted_flights = [each for each in _doubted_flights(counting.conflicts) if each.done_at <= at]
    for each in sorted((*counting.records, *doubted_flights), key=lambda each: (each.done_at, each.seq)):
        if each.about != asked.aircraft:
            continue
        act = each.act
        if isinstance(act, FlightDone) or (isinstance(act, Touched) and act.fuel):
            out.clear()
        elif isinstance(act, FuelMeasured):
            out[act.by_what] = {"value": act.aboard, "at": each.done_at, "by": each.by}
    if doubted or flies_before:
        out.clear()
    if asked.act.fuel and all(each["at"] < asked.record.done_at for each in out.values()):
        return {"planned": asked.act.fuel}
    return out


@dataclass(frozen=True, slots=True)
class BallastSeen:
    """The ballast that somebody last saw in place, and whether that was since the flight was asked for. [kg]"""

    mass_kg: float
    since_asked: bool


def ballast_seen(records: Iterable[Recorded], *, asked: Asked, at: datetime) -> BallastSeen | None:
    """Return the ballast last seen in place; None where nobody has said anything of it."""
    said = [
        each
        for each in standing(records, at=at).records
        if isinstance(each.act, Touched) and each.act.ballast and each.about == asked.aircraft
    ]
    if not said:
        return None
    last = max(said, key=lambda each: each.done_at)
    return BallastSeen(parse_quantity("mass", last.act.ballast).value, last.done_at >= asked.record.done_at)


def declared_for(records: Iterable[Recorded], *, flight: str, at: datetime) -> Table:
    """Return what its people have declared for a flight, as its file's `[law]` table would hold it."""
    out: Table = {}
    counting = standing(records, at=at)
    for each in counting.records:
        if not isinstance(each.act, Declared) or each.act.flight != flight:
            continue
        for name, answer in each.act.answers.items():
            if name in OF_PEOPLE or name not in SAID:
                continue
            out[name] = {"said": answer, "at": each.done_at} if name in OF_FLIGHTS else answer
    for conflict in counting.conflicts:
        for each in conflict.records:
            if isinstance(each.act, Declared):
                for name in each.act.answers:
                    out.pop(name, None)
    return out


def flight_table(asked: Asked, *, title: str, fuel: Table, weather: Table, law: Table, at: datetime) -> Table:
    """Return what the flight's file would hold."""
    act = asked.act
    time: Table = {"depart": act.depart_at, "block": act.block}
    if act.take_offs:
        time["take_offs"] = act.take_offs
    out: Table = {
        "kind": "flight",
        "title": title,
        "operation": "operation",
        "asked_at": at,
        "aircraft": asked.aircraft,
        "time": time,
        "seats": dict(act.seats),
        "parts": {part: getattr(act, part) for part in PARTS if getattr(act, part)},
        "fuel": fuel,
        "loads": dict(act.loads),
        "weather": weather,
        "present": _list(act.present),
        "named": _list(act.named),
        "law": {**act.planned, **act.plain, **law},
    }
    for key in ("purpose", "lesson", "runway", "runway_state"):
        if getattr(act, key):
            out[key] = getattr(act, key)
    if act.configuration is not None:
        out["configuration"] = _list(act.configuration)
    return out


def _list(texts: Sequence[str]) -> list[str]:
    return list(texts)
