"""What is done on the flight page: each act is one form and one service."""

from __future__ import annotations

import uuid
from typing import Any, Literal

from django.db import transaction
from django.http import HttpResponse
from django.shortcuts import redirect
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_POST

from gyrewright.desk.fold.asked import Asked
from gyrewright.desk.pages.flight import asked_for, show_again
from gyrewright.desk.pages.signer import signer_of
from gyrewright.desk.pages.visit import Visit
from gyrewright.desk.refusal import ClockInDoubt, DiskFull, NotAllowed, Refused
from gyrewright.desk.services import asked_more, flights, releases, state, whatif
from gyrewright.desk.services.answers import answered
from gyrewright.desk.services.asked_more import OF_A_FLIGHT
from gyrewright.desk.services.records import new_id
from gyrewright.desk.services.statements import FITNESS, to_sign
from gyrewright.desk.services.toml_text import toml_text
from gyrewright.errors import DefinitionError

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
def say(request: Visit, id: uuid.UUID) -> HttpResponse:
    """Take in what the law asks about this flight."""
    at = state.asking_at()
    found = answered(asked_for(request, id, at), at)
    said = {name: request.POST.get(name, "") for name in OF_A_FLIGHT}
    asked_more.say_more(id=_id(request), found=found, said=said, by=request.person)
    return redirect("flight", id=id)


@require_POST
def drop(request: Visit, id: uuid.UUID) -> HttpResponse:
    """Say that the flight will not be made."""
    asked = asked_for(request, id, state.asking_at())
    flights.drop_flight(id=_id(request), flight=asked.id, by=request.person)
    return redirect("today")


@require_POST
def report(request: Visit, id: uuid.UUID) -> HttpResponse:
    """Take in a pasted report or forecast, or what somebody read at the field, and what stick and gauge show.

    All of it is kept or none; what is refused stands in the form again, to be set right.
    """
    asked = asked_for(request, id, state.asking_at())
    try:
        with transaction.atomic():
            _take_in(request, asked)
    except (NotAllowed, DiskFull, ClockInDoubt):
        raise
    except (Refused, DefinitionError) as error:
        return show_again(request, id, given=request.POST.dict(), said=str(error))
    return redirect("flight", id=asked.id)


def _take_in(request: Visit, asked: Asked) -> None:
    readings = {key: text for key in ("stick", "gauge") if (text := request.POST.get(key, "").strip())}
    pasted = request.POST.get("report", "").strip()
    observed = {key: request.POST.get(key, "").strip() for key in ("wind_from", *OBSERVED)}
    none = [form for form in FORMS if form in request.POST.getlist("none")]
    if not readings and not pasted and not none and not any(observed.values()):
        raise Refused("nothing was written; paste a report, or write what you read")
    id = _id(request)
    if pasted:
        flights.give_report(id=id, text=pasted, by=request.person)
    for form in none:
        flights.give_none(id=_part(id, f"no {form}"), form=form, by=request.person)
    if any(observed.values()):
        row: dict[str, Any] = {"at": state.asking_at(), "by": request.person}
        row |= {key: text for key, text in observed.items() if text}
        if "wind_from" in row:
            row["reference"] = request.POST.get("reference", "")
        row["weather"] = request.POST.get("weather", "").upper().split()
        text = toml_text({"observation": row})
        flights.give_observation(id=_part(id, "observation"), text=text, by=request.person)
    if readings:
        ids = {key: _part(id, key) for key in readings}
        flights.measure_fuel(ids=ids, aircraft=asked.aircraft, readings=readings, by=request.person)


def _part(id: str, name: str) -> str:
    """Return the id of a part of one act: the same act handed in again has the same parts."""
    try:
        return str(uuid.uuid5(uuid.UUID(id), name))
    except ValueError:
        raise Refused(f"{id!r} is no id; open the page again and redo it") from None


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
    signer = signer_of(request, person)
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
    """Record what the named person judges: one finding, or several that only lack a second person's check."""
    asked = asked_for(request, id, state.asking_at())
    several = request.POST.getlist("finding")
    if len(several) > 1:
        why = request.POST.get("why", "").strip()[:2000]
        ids = {finding: new_id() for finding in several}
        flights.judge_unverified(ids=ids, flight=asked.id, why=why, by=request.person)
        return redirect("flight", id=asked.id)
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
