"""What is done on the flight page: each act is one form and one service."""

from __future__ import annotations

import uuid
from datetime import datetime, timedelta
from typing import Any, Literal

from django.contrib.auth import authenticate
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods, require_POST

from gyrewright.desk.accounts.door import is_open
from gyrewright.desk.accounts.models import Account
from gyrewright.desk.book.kinds.flight import FlightAsked
from gyrewright.desk.pages.flight import asked_for
from gyrewright.desk.pages.visit import Visit
from gyrewright.desk.refusal import NotAllowed, Refused
from gyrewright.desk.services import bookings, flights, releases, state, whatif
from gyrewright.desk.services.answers import answered
from gyrewright.desk.services.people import all_people
from gyrewright.desk.services.records import new_id
from gyrewright.desk.services.statements import FITNESS, to_sign
from gyrewright.desk.services.toml_text import toml_text
from gyrewright.errors import GyrewrightError
from gyrewright.limits import PURPOSES
from gyrewright.release.flight import PARTS

FORMS: tuple[Literal["report", "forecast"], ...] = ("report", "forecast")
OBSERVED = ("wind", "gust", "visibility", "cloud_base", "temperature", "dew_point", "altimeter")


def _id(request: Visit) -> str:
    return request.POST.get("id") or new_id()


@require_POST
def change(request: Visit, id: uuid.UUID) -> HttpResponse:
    """Ask in earnest for what was tried as a what-if."""
    at = state.asking_at()
    asked = asked_for(request, id, at)
    wanted = whatif.chosen(request.POST.dict())
    if not wanted:
        raise Refused("nothing else was chosen")
    question = whatif.applied(state.question(asked, at), asked, wanted, at)
    aircraft, act = whatif.in_earnest(asked, question, wanted)
    kept = flights.change_flight(id=_id(request), flight=asked.id, aircraft=aircraft, act=act, by=request.person)
    return redirect("flight", id=asked.id if aircraft == asked.aircraft else kept.record.id)


@require_POST
def drop(request: Visit, id: uuid.UUID) -> HttpResponse:
    """Say that the flight will not be made."""
    asked = asked_for(request, id, state.asking_at())
    flights.drop_flight(id=_id(request), flight=asked.id, by=request.person)
    return redirect("today")


@require_POST
def report(request: Visit, id: uuid.UUID) -> HttpResponse:
    """Take in a pasted report or forecast, or what somebody read at the field, and what stick and gauge show."""
    asked = asked_for(request, id, state.asking_at())
    readings = {key: text for key in ("stick", "gauge") if (text := request.POST.get(key, "").strip())}
    pasted = request.POST.get("report", "").strip()
    observed = {key: request.POST.get(key, "").strip() for key in ("wind_from", *OBSERVED)}
    none = [form for form in FORMS if form in request.POST.getlist("none")]
    if not readings and not pasted and not none and not any(observed.values()):
        raise Refused("nothing was written; paste a report, or write what you read")
    if pasted:
        flights.give_report(id=_id(request), text=pasted, by=request.person)
    for form in none:
        flights.give_none(id=new_id(), form=form, by=request.person)
    if any(observed.values()):
        row: dict[str, Any] = {"at": state.asking_at(), "by": request.person}
        row |= {key: text for key, text in observed.items() if text}
        if "wind_from" in row:
            row["reference"] = request.POST.get("reference", "")
        row["weather"] = request.POST.get("weather", "").upper().split()
        flights.give_observation(id=new_id(), text=toml_text({"observation": row}), by=request.person)
    if readings:
        ids = {key: new_id() for key in readings}
        flights.measure_fuel(ids=ids, aircraft=asked.aircraft, readings=readings, by=request.person)
    return redirect("flight", id=asked.id)


@sensitive_post_parameters("password")
@require_POST
def sign(request: Visit, id: uuid.UUID) -> HttpResponse:
    """Record one person's declarations in one signed act.

    Whoever is logged in signs by touch. Another person at the same desk signs by their own password; in the
    demonstration, which has none, by touch as well.
    """
    at = state.asking_at()
    asked = asked_for(request, id, at)
    person = request.POST.get("person", "")
    signer = _signer(request, person)
    needed = next((each for each in to_sign(answered(asked, at)) if each.person == person), None)
    if needed is None:
        raise Refused("this person declares nothing for this flight")
    if "all" in request.POST:
        answers = {each.name: True for each in needed.statements}
        fitness = "fit" if needed.asks_fitness else ""
    else:
        words = {each.name: request.POST.get(f"say.{each.name}", "") for each in needed.statements}
        answers = {name: word == "yes" for name, word in words.items() if word in ("yes", "no")}
        fitness = request.POST.get(FITNESS, "")
    said = {name: request.POST.get(name, "").strip()[:20] for name in (each.name for each in needed.amounts)}
    flights.declare(
        id=_id(request), flight=asked.id, person=person, answers=answers, by=signer, fitness=fitness, **said
    )
    return redirect("flight", id=asked.id)


def _signer(request: Visit, person: str) -> str:
    if person == request.person:
        return person
    account = Account.objects.filter(person=person, is_open=True).first()
    if account is None:
        raise NotAllowed("this person has no log-in here yet; the manager opens one")
    if is_open():
        return person
    if authenticate(request, name=account.name, password=request.POST.get("password", "")) is None:
        raise NotAllowed("this is not their password; nothing was signed")
    return person


@require_POST
def no(request: Visit, id: uuid.UUID) -> HttpResponse:
    """Record a no."""
    asked = asked_for(request, id, state.asking_at())
    flights.say_no(id=_id(request), flight=asked.id, by=request.person)
    return redirect("flight", id=asked.id)


@require_POST
def no_back(request: Visit, id: uuid.UUID) -> HttpResponse:
    """Take one's own no back."""
    asked = asked_for(request, id, state.asking_at())
    flights.take_back_no(id=_id(request), no=request.POST.get("no", ""), by=request.person)
    return redirect("flight", id=asked.id)


@require_POST
def judge(request: Visit, id: uuid.UUID) -> HttpResponse:
    """Record what the named person judges."""
    asked = asked_for(request, id, state.asking_at())
    flights.judge(
        id=_id(request),
        flight=asked.id,
        finding=request.POST.get("finding", ""),
        answer="yes" if request.POST.get("answer") == "yes" else "no",
        why=request.POST.get("why", "").strip()[:2000],
        by=request.person,
    )
    return redirect("flight", id=asked.id)


@require_POST
def release(request: Visit, id: uuid.UUID) -> HttpResponse:
    """Release the flight and go to its sheet."""
    asked = asked_for(request, id, state.asking_at())
    kept = releases.release_flight(id=_id(request), flight=asked.id, by=request.person)
    return redirect("release", id=kept.record.id)


@require_http_methods(["GET", "HEAD", "POST"])
def ask(request: Visit) -> HttpResponse:
    """Show the form for a new flight, or take it in."""
    at = state.asking_at()
    said, status = "", 200
    if request.method == "POST":
        try:
            aircraft = request.POST.get("aircraft", "")
            booked = request.POST.get("booking", "")
            kept = flights.ask_flight(
                id=_id(request), aircraft=aircraft, act=_act(request, at), by=request.person, booking=booked
            )
            return redirect("flight", id=kept.record.id)
        except GyrewrightError as refused:
            said, status = str(refused), 400
    definition = None
    given: dict[str, Any] = {key: str(value) for key, value in request.POST.items()}
    if "booking" in request.GET:
        given = _booked(request.GET["booking"], at)
    chosen = request.GET.get("aircraft") or given.get("aircraft") or ""
    fleet = [each.definition for each in state.fleet(at)]
    if any(each.id == chosen for each in fleet):
        definition = next(each for each in fleet if each.id == chosen)
    stations = definition.stations if definition else ()
    folk = state.folk(at).people
    runways = state.house(at).field.runways
    page = {
        "said": said,
        "given": given,
        "fleet": fleet,
        "definition": definition,
        "seats": [(each, given.get(f"seat.{each.id}", "")) for each in stations if each.kind == "seat"],
        "places": [(each, given.get(f"load.{each.id}", "")) for each in stations if each.kind != "seat"],
        "people": sorted((person.name, id) for id, person in folk.items()),
        "names": {id: known.name for id, known in all_people().items()},
        "runways": [runway.name for runway in runways],
        "purposes": PURPOSES,
        "parts": [(part, given.get(part, "")) for part in PARTS],
        "on": given.get("on") or at.astimezone(state.zone()).date().isoformat(),
        "id": new_id(),
    }
    return render(request, "desk/ask.html", page, status=status)


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


def _act(request: Visit, at: datetime) -> FlightAsked:
    given = {key: str(value).strip() for key, value in request.POST.items()}
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
        configuration=(),
        present=tuple(request.POST.getlist("present")),
        planned={
            key: given[key] for key in ("planned_height", "planned_altitude", "farthest_from_start") if given.get(key)
        },
        plain={"lands_elsewhere": False} if given.get("elsewhere") == "no" else {},
        **parts,
    )
