"""The flight page: the question, the answer, what would make it pass, every reason, pictures, working, what-if."""

from __future__ import annotations

import uuid
from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Any
from urllib.parse import urlencode

from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils.safestring import SafeString, mark_safe
from django.views.decorators.http import require_safe

from gyrewright.desk import clock
from gyrewright.desk.access import Reach, may, sees_masses
from gyrewright.desk.access import reach as reach_of
from gyrewright.desk.fold.asked import Asked
from gyrewright.desk.pages.speech import speech_of
from gyrewright.desk.pages.visit import Visit
from gyrewright.desk.reader import as_read, question_as_read
from gyrewright.desk.refusal import NotAllowed
from gyrewright.desk.services import state, whatif
from gyrewright.desk.services.answers import Answered, answered, finding_key, is_of_masses, of_question, tells_mass
from gyrewright.desk.services.asked_more import open_questions
from gyrewright.desk.services.flights import UNVERIFIED
from gyrewright.desk.services.people import all_people
from gyrewright.desk.services.records import new_id
from gyrewright.desk.services.releases import (
    against_release,
    may_release,
    releases_of,
    sentence_without_masses,
    valid_until,
)
from gyrewright.desk.services.statements import FIT, to_sign
from gyrewright.errors import UnknownName
from gyrewright.finding import Verdict
from gyrewright.people.person import FITNESS
from gyrewright.pictures import distance, loading, wind, windows
from gyrewright.pictures.frame import View, facts_of, units_of
from gyrewright.pictures.ruler import ruler
from gyrewright.pictures.svg import DESK, PHONE, document
from gyrewright.release.flight import EMPTY
from gyrewright.release.ways import NO_WAY_ROUND, ways
from gyrewright.words.detail import (
    all_cures,
    assumptions_of,
    cautions_of,
    conditions_told,
    dated_inputs,
    known,
    layers_of,
    pack_of,
    rooms_not_looked_at,
)
from gyrewright.words.main_numbers import MainNumber, main_numbers
from gyrewright.words.tell import Said, Told, next_up, tell
from gyrewright.words.tell_ways import against_told, needs_told, offers_told, tanks_told, windows_told
from gyrewright.words.working import workings

RULER_WIDE, RULER_NARROW = 640.0, 350.0

INSTRUCTORS = frozenset(("instructor", "named instructor", "chief instructor"))

PICTURES = {"loading": loading.loading, "windows": windows.windows, "wind": wind.wind, "distance": distance.distance}
"""The pictures of a flight by name. That of the loading shows masses."""


@dataclass(frozen=True, slots=True)
class Seen:
    """A flight as one visitor sees it now."""

    asked: Asked
    at: datetime
    wanted: Mapping[str, str]
    found: Answered
    said: Said
    sees: bool


def is_ones_own(asked: Asked, request: Visit) -> bool:
    """Return whether a flight is a person's own: theirs to fly, asked by them, or in their aircraft."""
    return request.person in asked.people or request.person == asked.record.by or asked.aircraft in request.aircraft


def asked_for(request: Visit, id: uuid.UUID, at: datetime) -> Asked:
    """Return a flight that this visitor reaches.

    Raises:
        UnknownName: There is none with this id, or none that this visitor may see.
    """
    asked = state.flight(str(id), at)
    if request.reach is Reach.OWN and not is_ones_own(asked, request):
        raise UnknownName(f"no flight has the id {str(id)!r}")
    return asked


def seen(request: Visit, id: uuid.UUID) -> Seen:
    """Return a flight with its answer, as asked or with what the address chooses instead."""
    at = state.asking_at()
    asked = asked_for(request, id, at)
    wanted = whatif.chosen(request.GET.dict())
    found = answered(asked, at)
    if wanted:
        found = of_question(asked, whatif.applied(found.question, asked, wanted, at), at)
    releasing = request.person if may_release(found, request.person) else ""
    sees = sees_masses(person=request.person, aboard=asked.aboard, releasing=releasing)
    # Somebody who is only tried out has not agreed to show what they weigh.
    tried = {each for _, each in found.question.flight.seats if each and each != EMPTY} - asked.aboard
    if tried and not releasing and request.person not in tried:
        sees = False
    found = replace(found, question=question_as_read(found.question), answer=as_read(found.answer))
    return Seen(asked, at, wanted, found, tell(found.answer), sees)


@require_safe
def next_flight(request: Visit) -> HttpResponse:
    """Send on to the next flight that is still to be made, or to Today where there is none."""
    at = state.asking_at()
    for id, asked in state.flights(at).items():
        reached = request.reach is Reach.ALL or is_ones_own(asked, request)
        if asked.is_open and asked.act.depart_at >= at and reached:
            return redirect("flight", id=id)
    return redirect("today")


@require_safe
def show_flight(request: Visit, id: uuid.UUID) -> HttpResponse:
    """Show the flight page; a flight that is flown has its numbers instead, for nothing is left to ask."""
    if asked_for(request, id, state.asking_at()).done is not None:
        return redirect("flight-after", id=id)
    look = seen(request, id)
    return render(request, "desk/flight.html", _page(request, look))


def show_again(request: Visit, id: uuid.UUID, *, given: Mapping[str, str], said: str) -> HttpResponse:
    """Show the flight page with what somebody wrote into its form, and why that was not taken in."""
    page = _page(request, seen(request, id)) | {"given_fields": _given_fields(given), "given": given, "said": said}
    return render(request, "desk/flight.html", page, status=400)


GIVEN_FIELDS = (
    ("stick", "Fuel by stick", ""),
    ("gauge", "Fuel by gauge", ""),
    ("wind_from", "Wind from", "180 deg"),
    ("reference", "by", ""),
    ("wind", "Wind, mean", "8 kt"),
    ("gust", "Gust", "14 kt or none"),
    ("visibility", "Visibility", "10 km"),
    ("cloud_base", "Cloud base", "3000 ft or none"),
    ("temperature", "Temperature", "22 C"),
    ("dew_point", "Dew point", "8 C"),
    ("altimeter", "Altimeter", "29.92 inHg"),
    ("weather", "Weather, two-letter codes", "none"),
)
"""What is read at the field and given on the page: the form's name, the words, how one is written."""


def _given_fields(given: Mapping[str, str]) -> list[dict[str, str]]:
    return [
        {"name": name, "words": words, "example": example, "value": given.get(name, "")}
        for name, words, example in GIVEN_FIELDS
    ]


def _page(request: Visit, look: Seen) -> dict[str, Any]:
    found, said, asked = look.found, look.said, look.asked
    names = {each: known.name or each for each, known in all_people().items()}
    key = ("told", asked.id, asked.record.seq, look.at, state.head_seq(), tuple(sorted(look.wanted.items())), look.sees)
    releases = releases_of(asked, clock.now(), answer_at=look.at) if not look.wanted else ()
    against_now = against_release(found, clock.now())
    is_own = is_ones_own(asked, request)
    may_change = may(route="flight-change", roles=request.roles, is_own=is_own) and asked.is_open
    return {
        **state.kept(key, lambda: _told(look, names)),
        "look": look,
        "id": asked.id,
        "asked": asked,
        "verdict": found.verdict,
        "sentence": _sentence(look),
        "more": said.more,
        "valid_until": valid_until(found) if found.verdict < Verdict.UNKNOWN else None,
        "wanted": dict(look.wanted),
        "query": urlencode(look.wanted),
        "choices": _choices(look),
        "conflicts": state.conflicts(asked, look.at),
        "together": _together(found, request.person) if not look.wanted else [],
        "forecasts": found.question.tafs,
        "signing": [_signing(each, request, names) for each in to_sign(found)] if not look.wanted else [],
        "open_questions": open_questions(found) if may_change and not look.wanted else (),
        "my_no": _my_no(look, request.person),
        "noes": found.answer.situation.sheet.value("aboard_noes") or (),
        "is_mine": request.person in asked.people,
        "releases": releases,
        "released": next((each for each in releases if each.holds), None),
        "may_release": may_release(found, request.person),
        "against_release": against_now,
        "may_ask": reach_of(route="flight-ask", roles=request.roles) is not Reach.NONE,
        "may_give": reach_of(route="flight-report", roles=request.roles) is not Reach.NONE,
        "names": names,
        "fitness_words": FITNESS,
        "fit_words": FIT,
        "given_fields": _given_fields({}),
        "new_ids": [new_id() for _ in range(7)],
        "pictures": [name for name in PICTURES if look.sees or name != "loading"],
    }


def _told(look: Seen, names: Mapping[str, str]) -> dict[str, Any]:
    """Return what the page tells of an answer to everybody who sees as much: the same until something is entered."""
    said, found = look.said, look.found
    judged = {each.key: each for each in (*found.judgements, *found.refusals)}
    against = [told for told in said.findings if told.finding.verdict is not Verdict.GO]
    held = [told for told in said.findings if told.finding.verdict is Verdict.GO]
    binding = [told for told in next_up(list(said.findings)) if look.sees or not is_of_masses(told.finding)]
    return {
        "question": said.question,
        "not_looked_at": rooms_not_looked_at(said),
        "cures": _cures(look),
        "conditions": _conditions(look),
        "reasons": [_reason(told, look, judged, names) for told in against],
        "held": [_held(told, look) for told in held],
        "next": [(told.name, told.left) for told in binding[:3]],
        "numbers": _numbers(look) if found.verdict < Verdict.UNKNOWN else (),
        "cautions": cautions_of(said),
        "assumptions": assumptions_of(said),
        "pack": pack_of(said),
        "known": [each for each in known(said) if look.sees or not tells_mass(each.name)],
    }


def _numbers(look: Seen) -> list[MainNumber]:
    """Return the numbers of the first screen: a good day ends there."""
    told = {each.finding.id: each.finding for each in look.said.findings}
    return [
        each for each in main_numbers(look.said) if look.sees or each.id not in told or not is_of_masses(told[each.id])
    ]


def _together(found: Answered, person: str) -> list[str]:
    """Return what this person may judge with one reason: what passes, but by limits nobody checked; two at least."""
    keys = [
        each.key
        for each in found.judgements
        if each.who == person and not each.is_yes and each.finding.why == UNVERIFIED
    ]
    return keys if len(keys) > 1 else []


def _sentence(look: Seen) -> str:
    return look.said.sentence if look.sees else sentence_without_masses(look.said)


def _choices(look: Seen) -> dict[str, Any]:
    """Return what may be chosen otherwise, for the what-if form."""
    question, wanted = look.found.question, look.wanted
    flight = question.flight
    fuel = [fact for fact in flight.fuel if fact.is_known]
    planned = next((fact for fact in fuel if fact.name == "fuel_planned_l"), None)
    places = [station for station in question.definition.stations if station.kind != "seat"]
    loads = {fact.name.partition(":")[2]: fact.typed for fact in flight.loads}
    return {
        "fuel": (planned or fuel[0]).typed if fuel else "",
        "start": (flight.depart_at or look.at).astimezone(state.zone()).strftime("%H:%M"),
        "block": flight.block.typed,
        "runways": [(runway.name, runway.name == flight.runway.value) for runway in question.field.runways],
        "fleet": [
            (each.definition.id, each.definition.name, each.definition.id == question.definition.id)
            for each in state.fleet(look.at)
        ],
        "instructors": _instructors(look),
        "lesson": str(flight.lesson.value or ""),
        "lessons": sorted({each.act.lesson for each in state.flights(look.at).values() if each.act.lesson}),
        "seats": wanted.get("seats", ""),
        "has_two": len([person for _, person in flight.seats if person and person != "empty"]) == 2,
        "places": [
            (f"{whatif.LOAD}{each.id}", look.said.voice.part(each.id), loads.get(each.id, "")) for each in places
        ]
        if look.sees
        else [],
    }


def _instructors(look: Seen) -> list[tuple[str, str]]:
    """Return who else could teach, where somebody teaches."""
    question = look.found.question
    if not dict(question.flight.parts).get("instructor"):
        return []
    teaching = (each for each in question.people.values() if each.roles & INSTRUCTORS)
    return sorted(((each.name, each.id) for each in teaching), key=lambda one: one[0])


def _cures(look: Seen) -> list[Any]:
    if look.found.verdict <= Verdict.GO_IF:
        return []
    return list(all_cures(look.said))


def _conditions(look: Seen) -> list[Any]:
    voice = look.said.voice
    found = {}
    for told in look.said.findings:
        for each in conditions_told(voice, told.finding.conditions):
            found.setdefault(each.words, each)
    return list(found.values())


def _source(told: Told) -> str:
    layers = layers_of(told)
    binding = next((each for each in layers if each.layer.binds), None)
    source = binding.source if binding else told.voice.source(told.finding.source)
    relaxed = binding.relaxed if binding and told.finding.verdict is Verdict.STOP else ""
    return f"{source}. {relaxed}".strip() if source else relaxed


def _reason(told: Told, look: Seen, judged: Mapping[str, Any], names: Mapping[str, str]) -> dict[str, Any]:
    finding = told.finding
    hidden = not look.sees and is_of_masses(finding)
    inputs = [each for each in dated_inputs(told) if look.sees or not tells_mass(each.name)]
    judgement = judged.get(finding_key(finding))
    return {
        "verdict": finding.verdict,
        "question": told.question,
        "sentence": "" if hidden else told.sentence,
        "hidden": hidden,
        "rulers": () if hidden or not finding.layers else _rulers(told, look),
        "source": _source(told),
        "inputs": inputs,
        "working": "" if hidden else finding.working,
        "unconfirmed": finding.unconfirmed,
        "judgement": judgement,
        "judge": names.get(judgement.who, judgement.who) if judgement else "",
    }


def _rulers(told: Told, look: Seen) -> tuple[tuple[str, SafeString], ...]:
    """Return a finding's ruler as two drawings, a wide and a narrow one: type keeps its size."""
    answer = look.found.answer
    out = []
    for name, width in (("wide", RULER_WIDE), ("narrow", RULER_NARROW)):
        parts, high = ruler(
            told.finding,
            x=4.0,
            top=4.0,
            width=width - 8.0,
            speech=speech_of(look.said),
            units=units_of(answer),
            facts=facts_of(answer),
        )
        drawn = document(parts, width=width, height=high + 8.0, title=told.question, desc=told.sentence)
        # Every text of a drawing is escaped where it is written; see pictures.svg.
        out.append((name, mark_safe(drawn)))
    return tuple(out)


def _held(told: Told, look: Seen) -> dict[str, Any]:
    hidden = not look.sees and is_of_masses(told.finding)
    return {
        "question": told.question,
        "sentence": "Within every limit." if hidden else told.sentence,
        "source": _source(told),
        "working": "" if hidden else told.finding.working,
        "unconfirmed": told.finding.unconfirmed,
    }


def _signing(each: Any, request: Visit, names: Mapping[str, str]) -> dict[str, Any]:
    return {
        "person": each.person,
        "name": each.name,
        "parts": ", ".join(each.parts),
        "statements": each.statements,
        "asks_fitness": each.asks_fitness,
        "amounts": each.amounts,
        "is_done": each.is_done,
        "is_me": each.person == request.person,
        "id": new_id(),
    }


def _my_no(look: Seen, person: str) -> Any:
    from gyrewright.desk.book.reading import find_records
    from gyrewright.desk.fold.standing import standing

    records = standing(find_records(about=person, kinds=("no", "no-taken-back", "withdrawn"))).records
    back = {each.act.no for each in records if each.kind == "no-taken-back"}
    mine = [each for each in records if each.kind == "no" and each.id not in back]
    return next((each for each in reversed(mine) if each.act.flight in ("", look.asked.id)), None)


# --- what loads after the page ---


@require_safe
def show_ways(request: Visit, id: uuid.UUID) -> HttpResponse:
    """Show what would make the flight pass, as a part of the page or as a page of its own."""
    look = seen(request, id)
    wanted = tuple(sorted(look.wanted.items()))
    key = ("ways", look.asked.id, look.asked.record.seq, state.head_seq(), look.at, wanted, look.sees)
    page = state.kept_for_reader(key, lambda: _ways(look))
    whole = "part" not in request.GET
    return render(request, "desk/ways-page.html" if whole else "desk/ways.html", {**page, "id": look.asked.id})


def _ways(look: Seen) -> dict[str, Any]:
    question, said = look.found.question, look.said
    is_refused = bool(look.found.refusals)
    fleet = state.fleet(look.at)
    asked_question = state.question(look.asked, look.at)
    found = ways(question, fleet=() if is_refused else fleet, over=() if is_refused else _KINDS)
    offers = []
    for offer, told in zip(found.offers, offers_told(found), strict=True):
        wanted = whatif.difference(asked_question, offer.question)
        offers.append(
            {
                "changes": told.changes,
                "verdict": offer.answer.verdict,
                "todo": told.todo,
                "edges": told.edges,
                "next": told.next if look.sees else "",
                "query": urlencode(wanted),
            }
        )
    names = {each.definition.id: f"the {each.definition.name}" for each in fleet}
    blocked = found.asked.verdict > Verdict.JUDGE or is_refused
    return {
        "offers": offers,
        "needs": list(needs_told(said.voice, found.needs, names)),
        "tanks": list(tanks_told(said.voice, found.tanks, names)) if blocked and look.sees and not found.offers else [],
        "against": list(against_told(said, found)) if blocked and not is_refused else [],
        "is_refused": is_refused or any(each in NO_WAY_ROUND for each in found.stands_against),
        "windows": list(windows_told(said.voice, found.windows)),
        "needs_none": not blocked,
    }


_KINDS = ("fuel", "load", "runway", "start", "seats", "block", "aircraft", "instructor", "lesson", "dual")


@require_safe
def show_working(request: Visit, id: uuid.UUID, name: str) -> HttpResponse:
    """Show how a number of the answer was got."""
    look = seen(request, id)
    several = workings(look.said, name)
    tells = any(tells_mass(fact.name) for each in several for fact in each.inputs)
    of_masses = any(is_of_masses(told.finding) for told in look.said.findings if name in _names_of(told))
    if not look.sees and (tells or of_masses):
        raise NotAllowed("this working tells masses: those aboard and the releasing person see it")
    page = {"look": look, "id": look.asked.id, "question": look.said.question, "workings": several}
    return render(request, "desk/working.html", page | {"query": urlencode(look.wanted)})


def _names_of(told: Told) -> tuple[str, ...]:
    return (told.finding.id, told.finding.working)


@require_safe
def show_picture(request: Visit, id: uuid.UUID, name: str) -> HttpResponse:
    """Send a picture of the flight, drawn for the width asked for."""
    look = seen(request, id)
    if name not in PICTURES:
        raise UnknownName(f"there is no picture {name!r}; use {', '.join(PICTURES)}")
    if name == "loading" and not look.sees:
        raise NotAllowed("the loading is seen by those aboard and the releasing person")
    width = PHONE if request.GET.get("w") == "phone" else DESK
    wanted = tuple(sorted(look.wanted.items()))
    key = ("picture", name, width, look.asked.id, look.asked.record.seq, state.head_seq(), look.at, wanted)

    def draw() -> str:
        fleet = state.fleet(look.at) if name == "windows" else ()
        view = View(width=width, speech=speech_of(look.said), heading=False, fleet=fleet)
        drawn: str = PICTURES[name](look.found.answer, view)
        return drawn

    return HttpResponse(state.kept_for_reader(key, draw), content_type="image/svg+xml")
