"""What a crew wrote after a flight, read: every problem at once, and nothing taken for granted.

A number typed bare is in the unit that its label names. What is left empty was not read; only a person's line of
landings may be left empty, and then says none.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta
from itertools import pairwise

from gyrewright.air.daylight import RISE_SET_ALTITUDE_DEG, NightRule, is_night
from gyrewright.air.field import Field
from gyrewright.aircraft.definition import Definition
from gyrewright.desk.book.kinds.flight import FlightDone, Landed
from gyrewright.desk.fold.asked import Asked
from gyrewright.desk.refusal import Refused
from gyrewright.errors import UnitError
from gyrewright.inspection.lists import ListEvent, shipped_list
from gyrewright.maintenance.meters import Meter
from gyrewright.maintenance.program import Program
from gyrewright.maintenance.spans import HOURS
from gyrewright.rules.pack import Pack
from gyrewright.units import parse_quantity

NONE = "none"
"""How the form says that none of the events happened."""

BOTH = "both"
"""How the form names landings with two pairs of hands on the controls."""

LANDED = ("take_offs", "full_stops", "touch_and_goes")
TIMES = {"out": "moved off", "off": "wheels off", "on": "wheels on", "in": "at rest"}
MOST_LANDINGS = 200
OVER_MIDNIGHT = timedelta(hours=6)
"""A flight that ends earlier by the clock than it began went over midnight, if that makes it no longer than this."""


@dataclass(frozen=True, slots=True)
class Around:
    """What the numbers of a flight are read against."""

    asked: Asked
    definition: Definition
    program: Program | None
    meters: Mapping[str, Meter]
    field: Field
    night: NightRule
    volume_unit: str
    now: datetime


@dataclass(frozen=True, slots=True)
class Written:
    """What was written, as acts and texts.

    Attributes:
        act: The flight's own record.
        felt: Words for what was felt; they may speak of people.
        needs_look: Whether that has to be looked at before the next flight.
        meters: What each meter that was read showed.
        fuel: What stick and gauge showed, as far as they were read.
        oil_added: Oil put in after the flight.
        events: Words by kind of event that happened.
    """

    act: FlightDone
    felt: str
    needs_look: bool
    meters: Mapping[str, str]
    fuel: Mapping[str, str]
    oil_added: str
    events: Mapping[str, str]


def night_rule(pack: Pack, on: datetime) -> NightRule:
    """Return which hours count as night for recent experience by the pack; sunset to sunrise where it is silent."""
    for rule in pack.rules:
        if rule.evaluator != "recent night landings":
            continue
        held = [each for each in rule.values if each.begins <= on.date() and not each.repealed]
        if held:
            given = held[-1].parameters
            return NightRule(RISE_SET_ALTITUDE_DEG, given["after_sunset"] * 60.0, given["before_sunrise"] * 60.0)
    return NightRule(RISE_SET_ALTITUDE_DEG, 0.0, 0.0)


def event_questions(program: Program | None) -> tuple[ListEvent, ...]:
    """Return every event that locks an aircraft, each with its question: the shipped ones, then the program's own."""
    shipped = tuple(each for each in shipped_list("special").events if each.locks)
    known = {kind for each in shipped for kind in each.on}
    own = sorted(set(program.inspections_after) - known) if program else ()
    return (*shipped, *(ListEvent((kind,), (), question=f"{kind.capitalize()}?", locks=True) for kind in own))


def touches_night(around: Around, moments: Iterable[datetime]) -> tuple[bool, bool]:
    """Return whether any, and whether every one of some moments lies in the hours that count as night."""
    place = {"latitude_deg": around.field.latitude.value, "longitude_deg": around.field.longitude.value}
    if None in place.values():
        return True, False
    found = [is_night(moment=each, rule=around.night, **place) for each in moments]
    return any(found), all(found)


def written(given: Mapping[str, str], chosen_events: Iterable[str], around: Around) -> Written:
    """Return what was written after a flight.

    Args:
        given: The form's fields by name.
        chosen_events: The kinds of event that were marked, or `NONE` alone.
        around: What it is read against.

    Raises:
        Refused: Something does not read, contradicts itself, or was left open; says all of it.
    """
    wrong: list[str] = []
    text = {key: value.strip() for key, value in given.items()}
    times = _times(text, around, wrong)
    landed = _landed(text, around, times, wrong)
    meters = _meters(text, around, wrong)
    fuel = {key: _fuel(text, key, around, wrong) for key in ("stick", "gauge") if text.get(key)}
    rotor = _measured(text, "rotor", "rotation", "rpm", wrong)
    oil_added = _measured(text, "oil_added", "volume", around.volume_unit, wrong)
    events = _events(text, list(chosen_events), around, wrong)
    _overspeed(rotor, events, around, wrong)
    if wrong:
        raise Refused("; ".join(wrong))
    asked = around.asked.act
    act = FlightDone(
        off_at=times["off"],
        on_at=times["on"],
        out_at=times.get("out"),
        in_at=times.get("in"),
        flight=around.asked.id,
        commander=asked.commander,
        instructor=asked.instructor,
        student=asked.student,
        aboard=tuple(sorted(around.asked.aboard)),
        purpose=asked.purpose,
        take_offs=sum(each.take_offs for each in landed),
        landings=sum(each.full_stops + each.touch_and_goes for each in landed),
        landed=landed,
        oil=text.get("oil", "")[:200],
        rotor_noted=rotor,
        events=tuple(sorted(events)),
        no_event=not events,
        from_paper=text.get("from_paper", "")[:200],
    )
    felt = text.get("felt", "")[:2000]
    needs_look = bool(text.get("needs_look"))
    if needs_look and not felt:
        raise Refused("say in words what has to be looked at before the next flight")
    read = {key: value for key, value in fuel.items() if value}
    return Written(act, felt, needs_look, meters, read, oil_added, events)


# --- times ---


def _times(text: Mapping[str, str], around: Around, wrong: list[str]) -> dict[str, datetime]:
    zone = around.field.zone
    day = around.asked.act.depart_at.astimezone(zone).date()
    found: dict[str, datetime] = {}
    for key, word in TIMES.items():
        typed = text.get(key, "")
        if not typed:
            if key in ("off", "on"):
                wrong.append(f"write when the {word.split()[0]} were {word.split()[1]} the ground, such as 07:41")
            continue
        try:
            clock = datetime.strptime(typed.replace(".", ":"), "%H:%M").time()  # noqa: DTZ007 - only its time counts
        except ValueError:
            wrong.append(f"{word}: {typed!r} is no time; write it such as 07:41")
            continue
        found[key] = datetime.combine(day, clock, tzinfo=zone)
    return _in_order(found, around, wrong)


def _in_order(found: dict[str, datetime], around: Around, wrong: list[str]) -> dict[str, datetime]:
    keys = [key for key in TIMES if key in found]
    for before, after in pairwise(keys):
        if found[after] >= found[before]:
            continue
        next_day = found[after] + timedelta(days=1)
        if next_day - found[keys[0]] > OVER_MIDNIGHT:
            wrong.append(
                f"{TIMES[after]} {found[after]:%H:%M} lies before {TIMES[before]} {found[before]:%H:%M};"
                " correct one of the two"
            )
            return found
        found[after] = next_day
    if "off" in found and found.get("on") == found["off"]:
        wrong.append("wheels off and wheels on are the same minute; a flight takes longer")
    last = found[keys[-1]] if keys else None
    if last is not None and last > around.now + timedelta(minutes=1):
        wrong.append(
            f"{last:%H:%M} is later than this clock shows ({around.now.astimezone(last.tzinfo):%H:%M});"
            " enter the numbers once the flight has ended"
        )
    return found


# --- take-offs and landings ---


def _landed(
    text: Mapping[str, str], around: Around, times: Mapping[str, datetime], wrong: list[str]
) -> tuple[Landed, ...]:
    out: list[Landed] = []
    people = sorted(around.asked.aboard)
    for by in (*people, *((BOTH,) if len(people) > 1 else ())):
        for prefix, night in (("day", False), ("night", True)):
            numbers = {}
            for name in LANDED:
                typed = text.get(f"{prefix}.{by}.{name}", "")
                if typed and not (typed.isascii() and typed.isdigit() and int(typed) <= MOST_LANDINGS):
                    wrong.append(f"{typed!r} is no number of take-offs or landings; write a whole number")
                    return ()
                numbers[name] = int(typed or 0)
            if any(numbers.values()):
                out.append(Landed(by="" if by == BOTH else by, night=night, **numbers))
    take_offs = sum(each.take_offs for each in out)
    landings = sum(each.full_stops + each.touch_and_goes for each in out)
    if not take_offs and not landings:
        wrong.append("write whose the take-offs and landings were, at least one of each")
    elif take_offs != landings:
        wrong.append(
            f"{take_offs} take-off{'s' * (take_offs != 1)} and {landings} landing{'s' * (landings != 1)}: whatever"
            " stands on the ground again has landed as often as it took off; correct one of the numbers"
        )
    if "off" in times and "on" in times and not wrong:
        any_night, all_night = touches_night(around, (times["off"], times["on"]))
        if any(each.night for each in out) and not any_night:
            wrong.append("no part of this flight lies in the hours that count as night; write its landings by day")
        if all_night and any(not each.night for each in out):
            wrong.append("the whole flight lies in the hours that count as night; write its landings under night")
    return tuple(out)


# --- what was read off the machine ---


def _measured(text: Mapping[str, str], key: str, dimension: str, unit: str, wrong: list[str]) -> str:
    typed = text.get(key, "")
    if not typed:
        return ""
    try:
        float(typed)
    except ValueError:
        pass
    else:
        typed = f"{typed} {unit}"
    try:
        quantity = parse_quantity(dimension, typed)
    except UnitError as error:
        wrong.append(f"{key.replace('_', ' ')}: {error}")
        return ""
    if quantity.value < 0.0:
        wrong.append(f"{key.replace('_', ' ')}: {typed} is below nothing; read it again")
        return ""
    return quantity.typed


def _meters(text: Mapping[str, str], around: Around, wrong: list[str]) -> dict[str, str]:
    out = {}
    for name, meter in around.meters.items():
        dimension, unit = ("time", "h") if meter.counts == HOURS else ("count", "times")
        shows = _measured({name: text.get(f"meter.{name}", "")}, name, dimension, unit, wrong)
        if shows:
            out[name] = shows
    return out


def _fuel(text: Mapping[str, str], key: str, around: Around, wrong: list[str]) -> str:
    typed = _measured({f"fuel by {key}": text[key]}, f"fuel by {key}", "volume", around.volume_unit, wrong)
    facts = {fact.name: fact.value for fact in around.definition.fuel}
    usable, unusable = facts.get("fuel_usable_l"), facts.get("fuel_unusable_l")
    if typed and usable is not None and parse_quantity("volume", typed).value > usable + (unusable or 0.0) + 1e-9:
        wrong.append(f"fuel by {key}: {typed} is more than the tank holds ({usable + (unusable or 0.0):g} L)")
        return ""
    return typed


# --- events ---


def _events(text: Mapping[str, str], chosen: list[str], around: Around, wrong: list[str]) -> dict[str, str]:
    known = [kind for each in event_questions(around.program) for kind in each.on]
    unknown = [each for each in chosen if each != NONE and each not in known]
    if unknown:
        wrong.append(f"{unknown[0]!r} is no event of the list")
    if not chosen:
        wrong.append("say whether one of the events happened, or that none of them did")
    if NONE in chosen and len(chosen) > 1:
        wrong.append("an event is marked, and that none happened as well; take one of the two away")
    words = text.get("event_words", "")[:2000]
    return {each: words for each in chosen if each in known}


def _overspeed(rotor: str, events: Mapping[str, str], around: Around, wrong: list[str]) -> None:
    most = next((fact for fact in around.definition.card if fact.name == "card:rotor_most" and fact.is_known), None)
    if not rotor or most is None or "rotor overspeed" in events:
        return
    if parse_quantity("rotation", rotor).value > most.value + 1e-9:
        wrong.append(
            f"a rotor speed of {rotor} lies over the {most.typed} of the manual: that is a rotor overspeed;"
            " mark that event, or correct the number"
        )
