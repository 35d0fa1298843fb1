"""What a walk says: what was found, what the readings are worth, how it went; facts, each with its age and person."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta
from statistics import median
from typing import Any

from gyrewright.desk.fold.walks import Act, PhoneWalk, missing_items
from gyrewright.desk.services import state
from gyrewright.desk.services.walk_lists import items_by_fingerprint, list_of
from gyrewright.desk.services.walks import answers_in_order, phone_walk, phone_walks_of, walks_of
from gyrewright.errors import UnknownName
from gyrewright.inspection.items import Item
from gyrewright.inspection.read_off import ReadOff, read_offs
from gyrewright.inspection.tempo import Tempo, same_readings, tempo
from gyrewright.inspection.walk import Walk
from gyrewright.release.facts import walk_figures

SAYS = {
    "within": "within {limit}",
    "beyond": "beyond the limit, {limit}",
    "differs": "the definition says {limit}",
    "apart": "too far from {limit}",
    "word": "not as it should be",
    "unread": "cannot be read",
    "": "nothing to hold it against",
}


@dataclass(frozen=True, slots=True)
class Held:
    """A reading with what it was held against, and this aircraft's earlier ones, the newest first."""

    off: ReadOff
    says: str
    is_wrong: bool
    is_held: bool
    earlier: tuple[tuple[str, datetime], ...]


@dataclass(frozen=True, slots=True)
class Pace:
    """How a walk went beside its walker's own earlier ones of the same kind."""

    person: str
    took: timedelta | None
    usual: timedelta | None
    walks: int
    tempo: Tempo | None
    usual_gap_s: float | None
    same: tuple[int, int]
    same_at: datetime | None


@dataclass(frozen=True, slots=True)
class WalkTold:
    """A walk with everything that it says. `phone` is None for one that came from paper or another book."""

    aircraft: str
    walk: Walk
    phone: PhoneWalk | None
    names: Mapping[str, str]
    readings: tuple[Held, ...]
    paces: tuple[Pace, ...]
    missing: tuple[str, ...]

    @property
    def asked(self) -> int:
        """How many items were asked; 0 where nobody knows."""
        return len(self.phone.asked) if self.phone else 0

    @property
    def open_items(self) -> tuple[str, ...]:
        """Items that were asked and have no answer that counts."""
        return tuple(item for item in self.phone.asked if item not in self.phone.live) if self.phone else ()

    @property
    def history(self) -> tuple[Act, ...]:
        """Answers that a restart has made history."""
        if self.phone is None:
            return ()
        live = {one.act.id for several in self.phone.live.values() for one in several}
        return tuple(one for one in self.phone.answers if one.act.id not in live)

    @property
    def clocks(self) -> tuple[tuple[str, int], ...]:
        """Phones whose clock was wrong, and by how much. [s]"""
        acts = (*self.phone.begun, *self.phone.answers) if self.phone else ()
        return tuple(sorted({(one.device, one.skew_s) for one in acts if one.skew_s}))


def told_walk(aircraft: str, walk: Walk, at: datetime) -> WalkTold:
    """Return what a walk says."""
    phone = phone_walk(aircraft, walk.id)
    items = _items(aircraft, walk, at)
    names = {item.id: item.name for item in items} | _names_then(aircraft, phone, at)
    return WalkTold(
        aircraft=aircraft,
        walk=walk,
        phone=phone,
        names=names,
        readings=tuple(_held(aircraft, walk, items, at)),
        paces=tuple(pace_of(aircraft, walk, person, at) for person in walk.by if walk.complete),
        missing=missing_items(phone, state.machine(aircraft, at).aircraft.definition.equipment) if phone else (),
    )


def _items(aircraft: str, walk: Walk, at: datetime) -> tuple[Item, ...]:
    try:
        return list_of(aircraft, walk.list_id or "walk-round", at).items
    except UnknownName:
        return ()


def _names_then(aircraft: str, phone: PhoneWalk | None, at: datetime) -> dict[str, str]:
    """Return the names of items as they were on the list that the walk was made with."""
    rows = items_by_fingerprint(phone.begun[0].act.fingerprint, aircraft, at) if phone and phone.begun else None
    return {id: row["name"] for id, row in (rows or {}).items()}


def _held(aircraft: str, walk: Walk, items: tuple[Item, ...], at: datetime) -> list[Held]:
    figures = walk_figures(state.machine(aircraft, at).aircraft.definition)
    private = {f"{item.id}.{reading.key}" for item in items for reading in item.readings if reading.private}
    before = [each for each in walks_of(aircraft, at) if each.began_at < walk.began_at]
    out = []
    for off in read_offs(items, dict(walk.readings), figures):
        if ".".join(off.key.split(".")[:2]) in private:
            continue
        earlier = [(dict(each.readings)[off.key], each.began_at) for each in before if off.key in dict(each.readings)]
        is_right_word = off.kind == "word" and off.why == "within"
        says = "as it should be" if is_right_word else SAYS[off.why].format(limit=off.limit)
        out.append(Held(off, says, off.why not in ("", "within"), off.why != "", tuple(earlier[:3])))
    return sorted(out, key=lambda each: (not each.is_wrong, not each.is_held))


# --- pace ---


def pace_of(aircraft: str, walk: Walk, person: str, at: datetime) -> Pace:
    """Return how a walk went beside the same person's earlier walks of its kind, on every aircraft of the house."""
    earlier = [
        (where, each)
        for where in state.fleet_ids()
        for each in walks_of(where, at)
        if person in each.by and each.kind == walk.kind and each.complete and each.began_at < walk.began_at
    ]
    lasted = [each.lasted.total_seconds() for _, each in earlier if each.lasted is not None]
    here = [each for where, each in earlier if where == aircraft and each.readings]
    last = max(here, key=lambda each: each.began_at, default=None)
    gaps = [found.median_s for where, each in earlier if (found := _tempo(where, each.id, person)) is not None]
    return Pace(
        person=person,
        took=walk.lasted,
        usual=timedelta(seconds=median(lasted)) if lasted else None,
        walks=len(lasted),
        tempo=_tempo(aircraft, walk.id, person),
        usual_gap_s=median(gaps) if gaps else None,
        same=same_readings(dict(walk.readings), dict(last.readings)) if last else (0, 0),
        same_at=last.began_at if last else None,
    )


def _tempo(aircraft: str, walk: str, person: str) -> Tempo | None:
    phone = phone_walks_of(aircraft).get(walk)
    if phone is None:
        return None
    mine = [one for one in answers_in_order(phone) if one.person == person]
    return tempo([(one.act.item, one.at) for one in mine], [one.at for one in phone.breaks])


def said_of_pace(pace: Pace, name: str, zone: Any) -> list[str]:
    """Return a pace as plain sentences: facts, and no judgement."""
    out = []
    if pace.took is not None:
        usual = f" Usual for {name}: {_min(pace.usual)}, over {pace.walks} earlier walks." if pace.usual else ""
        out.append(f"{name} took {_min(pace.took)}, breaks taken off.{usual}")
    if pace.tempo is not None:
        usual = f", usually {pace.usual_gap_s:.0f} s" if pace.usual_gap_s is not None else ""
        out.append(f"From one answer to the next {pace.tempo.median_s:.0f} s in the middle{usual}.")
        if pace.tempo.quick:
            run = pace.tempo.quick_run
            most = f"; the most in a row {len(run)}, {run[0]} to {run[-1]}" if len(run) > 1 else ""
            out.append(f"{pace.tempo.quick} of {pace.tempo.answers} answers came within 2 s of the one before{most}.")
    if pace.same[0] and pace.same_at is not None:
        day = pace.same_at.astimezone(zone)
        out.append(f"{pace.same[0]} of {pace.same[1]} readings equal those of {day:%-d %b} to the letter.")
    return out


def _min(took: timedelta | None) -> str:
    return f"{took.total_seconds() / 60.0:.0f} min" if took is not None else "not known"
