"""What a phone's page says of one aircraft today, beyond its list: all of it with its age, none of it an answer."""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import Any

from gyrewright.desk.book.kinds.flight import FlightDone
from gyrewright.desk.book.kinds.upkeep import DefectReported, Touched
from gyrewright.desk.book.kinds.walking import OddButRight
from gyrewright.desk.book.reading import find_records
from gyrewright.desk.book.record import Recorded
from gyrewright.desk.fold.standing import standing
from gyrewright.desk.reader import as_read
from gyrewright.desk.services import state
from gyrewright.desk.services.answers import answered
from gyrewright.desk.services.people import all_people
from gyrewright.desk.services.releases import sentence_without_masses, valid_until
from gyrewright.errors import GyrewrightError
from gyrewright.finding import Verdict
from gyrewright.inspection.choosing import hardest, spots
from gyrewright.inspection.items import Item
from gyrewright.inspection.lists import WalkList, items_for
from gyrewright.inspection.walk import Walk
from gyrewright.words.tell import tell

RECENT = timedelta(days=30)
SHOWN_EARLIER = 2
AHEAD = timedelta(hours=18)
MARKS = ("withdrawn", "clash", "clash-settled")


def _records(aircraft: str, *kinds: str, at: datetime) -> list[Recorded]:
    return list(standing(find_records(about=aircraft, kinds=(*kinds, *MARKS)), at=at).records)


def odd_but_right(aircraft: str, at: datetime) -> dict[str, Recorded]:
    """Return what looks wrong on this aircraft and is not, by item: the newest word on each."""
    found: dict[str, Recorded] = {}
    for record in _records(aircraft, "odd-but-right", at=at):
        if isinstance(record.act, OddButRight):
            found[record.act.item] = record
    return {item: record for item, record in found.items() if record.act.words}


def look_hardest(aircraft: str, walk_list: WalkList, at: datetime) -> dict[str, str] | None:
    """Return the item to look hardest at today and why; nothing where the list has none."""
    on = at.astimezone(state.zone()).date()
    chosen = hardest(walk_list.items, aircraft=aircraft, on=on, reasons=_reasons(aircraft, at))
    return {"item": chosen.item, "why": chosen.why} if chosen else None


def _reasons(aircraft: str, at: datetime) -> dict[str, str]:
    """Return items with what speaks for them: reports of the last weeks, the newest first."""
    out: dict[str, str] = {}
    for record in reversed(_records(aircraft, "defect-reported", at=at)):
        if isinstance(record.act, DefectReported) and at - record.done_at <= RECENT:
            day = record.done_at.astimezone(state.zone())
            out.setdefault(record.act.item, f"Reported {day:%-d %b}: {record.act.words or record.act.symptom}.")
    return out


def earlier_readings(aircraft: str, at: datetime, items: tuple[Item, ...]) -> dict[str, list[list[str]]]:
    """Return the last readings by item and key with the day of each, the newest first; private ones are left out."""
    private = {f"{item.id}.{reading.key}" for item in items for reading in item.readings if reading.private}
    out: dict[str, list[list[str]]] = {}
    for walk in sorted(_walks(aircraft, at), key=lambda each: each.began_at, reverse=True):
        day = walk.began_at.astimezone(state.zone())
        for key, text in walk.readings:
            rows = out.setdefault(key, [])
            if len(rows) < SHOWN_EARLIER:
                rows.append([text, f"{day:%-d %b}"])
    return {key: rows for key, rows in out.items() if ".".join(key.split(".")[:2]) not in private}


def _walks(aircraft: str, at: datetime) -> tuple[Walk, ...]:
    book = state.machine(aircraft, at).aircraft.walks
    return book.walks if book is not None and book.walks is not None else ()


def since_last_walk(aircraft: str, at: datetime) -> list[str]:
    """Return what is known to have happened to the aircraft since the last finished walk, in words, the newest last."""
    ended = max((each.ended_at for each in _walks(aircraft, at) if each.ended_at is not None), default=None)
    zone = state.zone()
    out = []
    for record in _records(aircraft, "touched", "work-done", "event-reported", at=at):
        if ended is not None and record.done_at > ended:
            what = getattr(record.act, "what", "") or getattr(record.act, "kind", "")
            out.append(f"{what} {record.done_at.astimezone(zone):%H:%M}")
    return out[-5:]


def rests(aircraft: str, at: datetime) -> dict[str, dict[str, str]]:
    """Return what must have stood first: a warm engine is not opened, fuel is not sampled before it has settled."""
    cards = state.machine(aircraft, at).aircraft.definition.card
    hours = {fact.name: fact.value for fact in cards if fact.is_known}
    ran = _last(aircraft, at, ("flown", "engine stopped"))
    fueled = _last(aircraft, at, ("refueled",))
    told = (
        ("engine_cooling", ran, "The engine ran: leave it closed"),
        ("fuel_standing", fueled, "It was refueled: let it stand"),
    )
    out = {}
    for key, since, says in told:
        stands = hours.get(f"card:{key}")
        if since is not None and stands is not None:
            out[key] = {"says": says, "until": (since + timedelta(hours=stands)).isoformat()}
    return out


def _last(aircraft: str, at: datetime, words: tuple[str, ...]) -> datetime | None:
    moments = [
        record.act.on_at if isinstance(record.act, FlightDone) else record.done_at
        for record in _records(aircraft, "touched", "flight-done", at=at)
        if (isinstance(record.act, Touched) and record.act.what in words)
        or (isinstance(record.act, FlightDone) and "flown" in words)
    ]
    return max(moments, default=None)


def next_flight(aircraft: str, at: datetime) -> dict[str, Any] | None:
    """Return what the desk says of this aircraft's next flight, without masses, with when it said so and until when."""
    coming = [
        asked
        for asked in state.flights(at).values()
        if asked.aircraft == aircraft
        and asked.is_open
        and timedelta(0) <= asked.act.depart_at - at <= timedelta(hours=18)
    ]
    if not coming:
        return None
    asked = min(coming, key=lambda each: each.act.depart_at)
    start = asked.act.depart_at.astimezone(state.zone()).strftime("%H:%M")
    try:
        found = answered(asked, at)
        said = tell(as_read(found.answer))
    except GyrewrightError:
        return None
    computed, expires = found.answer.computed_at, valid_until(found)
    if computed is None or expires is None:
        return None
    words = {Verdict.GO_IF: "only if", Verdict.GO: "no reason found against"}
    return {
        "start": start,
        "mark": words.get(found.verdict, found.verdict.code),
        "sentence": sentence_without_masses(said) if found.verdict is not Verdict.GO else "",
        "computed": computed.isoformat(),
        "expires": expires.isoformat(),
    }


def to_accept(aircraft: str, person: str, walk_list: WalkList, at: datetime) -> list[dict[str, Any]]:
    """Return walks of today by others that this person may take for their own, with what to look at again."""
    house = state.house(at).operation.walk_rules
    counts = [each.spots for each in house.needed if each.whose == "commander"] if house else []
    machine = state.machine(aircraft, at).aircraft
    names = {id: known.name for id, known in all_people().items()}
    zone = state.zone()
    out = []
    for walk in _walks(aircraft, at):
        ended = walk.ended_at
        is_today = ended is not None and ended.astimezone(zone).date() == at.astimezone(zone).date()
        if not counts or not walk.complete or not is_today or person in walk.by or walk.list_id != walk_list.id:
            continue
        if any(one.by == person for one in walk.accepted):
            continue
        items = items_for(walk_list, event=walk.kind, equipment=machine.definition.equipment)
        chosen = spots(items, walk=walk.id, count=max(counts))
        by = ", ".join(names.get(each, each) for each in walk.by)
        out.append({"walk": walk.id, "by": by, "ended": ended.isoformat() if ended else "", "spots": chosen})
    return out[-3:]
