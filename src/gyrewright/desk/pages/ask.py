"""Asking for a flight: one form, filled from an earlier flight where somebody says which, and never by itself."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any

from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods

from gyrewright.aircraft.definition import Definition
from gyrewright.desk.access import Reach
from gyrewright.desk.access import reach as reach_of
from gyrewright.desk.book.kinds.flight import FlightAsked
from gyrewright.desk.fold.asked import Asked
from gyrewright.desk.pages.flight import is_ones_own
from gyrewright.desk.pages.visit import Visit
from gyrewright.desk.refusal import ClockInDoubt, DiskFull, NotAllowed, Refused
from gyrewright.desk.services import bookings, flights, state
from gyrewright.desk.services.people import all_people
from gyrewright.desk.services.records import new_id
from gyrewright.errors import DefinitionError
from gyrewright.limits import PURPOSES
from gyrewright.release.flight import EMPTY, PARTS, RUNWAY_STATES, TAKE_OFFS

PLANNED = ("planned_height", "planned_altitude", "farthest_from_start")
SEVERAL = ("present", "configuration")
EARLIER_SHOWN = 6


@dataclass(frozen=True, slots=True)
class Field:
    """One field of the form: its name there, its words, what is in it, and what may be chosen if it is a choice."""

    name: str
    words: str
    value: str = ""
    options: tuple[tuple[str, str], ...] = ()
    is_needed: bool = False
    example: str = ""
    kind: str = "text"
    is_many: bool = False
    chosen: tuple[str, ...] = ()


@require_http_methods(["GET", "HEAD", "POST"])
def ask(request: Visit) -> HttpResponse:
    """Show the form for a new flight, or take it in; what is refused stands in the form again."""
    at = state.asking_at()
    said, given = "", {}
    several: dict[str, tuple[str, ...]] = {}
    if request.method == "POST":
        given = {key: str(value).strip() for key, value in request.POST.items()}
        several = {name: tuple(each for each in request.POST.getlist(name) if each) for name in SEVERAL}
        try:
            act = _act(given, several)
            kept = flights.ask_flight(
                id=given.get("id") or new_id(),
                aircraft=given.get("aircraft", ""),
                act=act,
                by=request.person,
                booking=given.get("booking", ""),
            )
            return redirect("flight", id=kept.record.id)
        except (NotAllowed, DiskFull, ClockInDoubt):
            raise
        except (Refused, DefinitionError) as error:
            said = str(error)
    reached = _reached(request, at)
    like = next((each for each in reached if each.id == request.GET.get("like")), None)
    if like is not None:
        given, several = _as_given(like), {"present": like.act.present, "configuration": like.act.configuration or ()}
    if "booking" in request.GET:
        given = _booked(request.GET["booking"], at)
    chosen = like.aircraft if like else request.GET.get("aircraft") or given.get("aircraft", "")
    definition = next((each.definition for each in state.fleet(at) if each.definition.id == chosen), None)
    names = {id: known.name or id for id, known in all_people().items()}
    page = {
        "said": said,
        "definition": definition,
        "fleet": [each.definition for each in state.fleet(at)],
        "earlier": [(each, _called(each, names)) for each in _one_of_each(reached)[:EARLIER_SHOWN]],
        "fields": list(_fields(definition, given, several, at)) if definition else [],
        "booking": given.get("booking", ""),
        "id": given.get("id") or new_id() if request.method == "POST" else new_id(),
    }
    return render(request, "desk/ask.html", page, status=400 if said else 200)


def _reached(request: Visit, at: datetime) -> list[Asked]:
    """Return the flights within this person's reach, newest first."""
    is_all = reach_of(route="flight", roles=request.roles) is Reach.ALL
    fleet = state.fleet_ids()
    found = [each for each in state.flights(at).values() if each.aircraft in fleet]
    found.sort(key=lambda each: each.act.depart_at, reverse=True)
    return [each for each in found if is_all or is_ones_own(each, request)]


def _one_of_each(several: Sequence[Asked]) -> list[Asked]:
    """Return the first flight of each pair, aircraft and lesson."""
    found: dict[Any, Asked] = {}
    for each in several:
        key = (each.aircraft, each.act.purpose, each.act.lesson, tuple(sorted(each.act.seats.items())))
        found.setdefault(key, each)
    return list(found.values())


def _called(asked: Asked, names: Mapping[str, str]) -> str:
    seated = [each for each in asked.act.seats.values() if each not in ("", EMPTY)]
    aboard = [names.get(each, each) for each in sorted(seated, key=lambda one: one != asked.act.commander)]
    return ", ".join(part for part in (" and ".join(aboard), asked.aircraft, asked.act.lesson) if part)


def _as_given(asked: Asked) -> dict[str, str]:
    """Return who, what and how high from an earlier flight; when, fuel, and the runway are the day's own."""
    act = asked.act
    given = {part: getattr(act, part) for part in PARTS}
    given |= {"purpose": act.purpose, "lesson": act.lesson, "block": act.block, "take_offs": act.take_offs}
    given |= {f"seat.{seat}": person for seat, person in act.seats.items()}
    given |= {f"load.{place}": mass for place, mass in act.loads.items()}
    given |= dict(act.planned)
    if act.plain.get("lands_elsewhere") is False:
        given["elsewhere"] = "no"
    return given


def _booked(id: str, at: datetime) -> dict[str, str]:
    """Return what a booking says of a flight: aircraft, day, start and length. Who and what for is still to be said."""
    booked = bookings.booking(id, at)
    start = booked.act.start_at.astimezone(state.zone())
    return {
        "booking": booked.id,
        "aircraft": booked.aircraft,
        "on": start.date().isoformat(),
        "start": f"{start:%H:%M}",
        "block": f"{(booked.act.end_at - booked.act.start_at) / timedelta(hours=1):.2g} h",
    }


def _fields(
    definition: Definition, given: Mapping[str, str], several: Mapping[str, tuple[str, ...]], at: datetime
) -> Iterator[Field]:
    def field(name: str, words: str, *options: tuple[str, str], **more: Any) -> Field:
        return Field(name, words, given.get(name, more.pop("value", "")), options, **more)

    people = tuple(sorted(((id, person.name) for id, person in state.folk(at).people.items()), key=lambda one: one[1]))
    yield field("purpose", "What for", *_plain(PURPOSES), is_needed=True)
    yield field("lesson", "Lesson")
    for part in PARTS:
        is_needed = part == "commander"
        yield field(part, part.capitalize(), *(() if is_needed else (("", "nobody"),)), *people, is_needed=is_needed)
    for station in definition.stations:
        if station.kind == "seat":
            yield field(f"seat.{station.id}", f"Seat: {station.id}", (EMPTY, EMPTY), *people, is_needed=True)
        else:
            yield field(f"load.{station.id}", f"In the {station.id}", example="0 kg")
    yield field("fuel", "Fuel meant to be aboard", example="40 L")
    on = at.astimezone(state.zone()).date().isoformat()
    yield field("on", "Day", value=on, kind="date", is_needed=True)
    yield field("start", "Start, by the field's clock", kind="time", is_needed=True)
    yield field("block", "Length, engine running", example="1.0 h, or open", is_needed=True)
    yield field("take_offs", "Take-offs", *_plain(TAKE_OFFS), is_needed=True)
    runways = [runway.name for runway in state.house(at).field.runways]
    yield field("runway", "Runway", *_plain(runways), is_needed=True)
    yield field("runway_state", "Runway is", *_plain(RUNWAY_STATES), is_needed=True)
    yield field("planned_height", "Height above ground", example="800 ft")
    yield field("planned_altitude", "Altitude", example="4100 ft")
    yield field("farthest_from_start", "Farthest from here", example="5 km")
    yield field("elsewhere", "Lands elsewhere", ("", ""), ("no", "no"))
    # What a limit of the manual hangs on, such as a door that is off: asked for where there is one.
    changed = sorted({each for limit in definition.limits for each in limit.when.configuration})
    if changed:
        chosen = several.get("configuration", ())
        yield Field("configuration", "Changed for this flight", options=_plain(changed), is_many=True, chosen=chosen)
    yield Field("present", "At the field besides", options=people, is_many=True, chosen=several.get("present", ()))


def _plain(words: Sequence[str]) -> tuple[tuple[str, str], ...]:
    return tuple((each, each) for each in words)


def _act(given: Mapping[str, str], several: Mapping[str, tuple[str, ...]]) -> FlightAsked:
    try:
        day = datetime.fromisoformat(f"{given.get('on', '')}T{given.get('start', '')}")
    except ValueError:
        raise Refused("write the day and the start, such as 13:30") from None
    parts: Any = {part: given.get(part, "") for part in PARTS}
    if not parts["commander"]:
        raise Refused("say who commands")
    return FlightAsked(
        depart_at=day.replace(tzinfo=state.zone()),
        block=given.get("block", ""),
        purpose=given.get("purpose", ""),
        lesson=given.get("lesson", ""),
        runway=given.get("runway", ""),
        runway_state=given.get("runway_state", ""),  # type: ignore[arg-type]
        take_offs=given.get("take_offs", ""),  # type: ignore[arg-type]
        seats={key.removeprefix("seat."): value for key, value in given.items() if key.startswith("seat.") and value},
        loads={key.removeprefix("load."): value for key, value in given.items() if key.startswith("load.") and value},
        fuel=given.get("fuel", ""),
        configuration=several["configuration"],
        present=several["present"],
        planned={key: given[key] for key in PLANNED if given.get(key)},
        plain={"lands_elsewhere": False} if given.get("elsewhere") == "no" else {},
        **parts,
    )
