"""After flight, the numbers: the form, what follows from them at once, and their correction."""

from __future__ import annotations

import uuid
from collections.abc import Mapping
from datetime import datetime, timedelta
from typing import Any

from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_POST, require_safe

from gyrewright.desk import clock
from gyrewright.desk.access import Reach
from gyrewright.desk.access import reach as reach_of
from gyrewright.desk.book.kinds.flight import FlightDone
from gyrewright.desk.fold.asked import Asked
from gyrewright.desk.pages.flight import asked_for
from gyrewright.desk.pages.questions import tellings
from gyrewright.desk.pages.visit import Visit
from gyrewright.desk.refusal import Refused
from gyrewright.desk.services import flown, logs, state
from gyrewright.desk.services.flown_text import (
    BOTH,
    LANDED,
    MOST_LANDINGS,
    NONE,
    TIMES,
    event_questions,
    touches_night,
    written,
)
from gyrewright.desk.services.follows import Follows, counted, follows, is_over, used_clocks
from gyrewright.desk.services.people import all_people
from gyrewright.desk.services.questions import question_about, settle
from gyrewright.desk.services.records import new_id
from gyrewright.desk.services.releases import releases_of, supersede
from gyrewright.maintenance.clocks import Due
from gyrewright.maintenance.spans import HOURS

SHOWN = 5


@require_safe
def show_after(request: Visit, id: uuid.UUID) -> HttpResponse:
    """Show the form for a flight's numbers; once they are entered, them and what follows from them."""
    asked = asked_for(request, id, state.asking_at())
    return render(request, "desk/after.html", _page(request, asked))


@require_POST
def enter_after(request: Visit, id: uuid.UUID) -> HttpResponse:
    """Take a flight's numbers in, or others in their place; what is refused is shown with everything as typed."""
    now = clock.now()
    asked = asked_for(request, id, state.asking_at())
    given = {key: str(value) for key, value in request.POST.items()}
    events = request.POST.getlist("event")
    try:
        found = written(given, events, flown.around(asked, now))
        if given.get("corrects"):
            flown.correct_flight(id=given.get("id") or new_id(), flight=asked.id, written=found, by=request.person)
        else:
            flown.enter_flight(flight=asked.id, written=found, by=request.person)
    except Refused as refused:
        page = _page(request, asked) | {"said": str(refused), "form": _form(asked, given, events)}
        return render(request, "desk/after.html", page, status=400)
    return redirect("flight-after", id=asked.id)


@require_POST
def enter_log(request: Visit, id: uuid.UUID) -> HttpResponse:
    """Take in what this person's own log says: the same as the flight's numbers, or otherwise."""
    now = clock.now()
    asked = asked_for(request, id, state.asking_at())
    given = {key: str(value).strip() for key, value in request.POST.items()}
    if given.get("same"):
        count = counted(asked, max(now, state.asking_at())) if asked.done else None
        mine = next((each for each in count.own if each.person == request.person), None) if count else None
        if count is None or mine is None:
            raise Refused("the flight's own numbers come first, and only those aboard keep a log of it")
        numbers: Any = (f"{count.flight_h:.1f} h", mine.take_offs, mine.landings)
    else:
        numbers = (_in_hours(given.get("hours", "")), _number(given, "take_offs"), _number(given, "landings"))
    hours, take_offs, landings = numbers
    logs.log_own(
        id=given.get("id", ""),
        flight=asked.id,
        person=request.person,
        hours=hours,
        take_offs=take_offs,
        landings=landings,
        remarks=given.get("remarks", "")[:2000],
        by=request.person,
        at=now,
    )
    return redirect("flight-after", id=asked.id)


def _in_hours(text: str) -> str:
    return f"{text} h" if text and text.replace(".", "", 1).isdigit() else text


def _number(given: Mapping[str, str], name: str) -> int | None:
    text = given.get(name, "")
    if not text:
        return None
    if not (text.isascii() and text.isdigit() and int(text) <= MOST_LANDINGS):
        raise Refused(f"{text!r} is no number of {name.replace('_', '-')}; write a whole number")
    return int(text)


@require_POST
def answer_logs(request: Visit, id: uuid.UUID) -> HttpResponse:
    """Take in why the logs differ and each stays as it is."""
    asked = asked_for(request, id, state.asking_at())
    why = request.POST.get("why", "").strip()[:2000]
    logs.answer_logs(id=request.POST.get("id") or new_id(), flight=asked.id, why=why, by=request.person, at=clock.now())
    return redirect("flight-after", id=asked.id)


@require_POST
def settle_after(request: Visit, id: uuid.UUID) -> HttpResponse:
    """Record whose numbers of a flight are true."""
    asked = asked_for(request, id, state.asking_at())
    answer = request.POST.get("true", "")
    settle(ids=flown.ids_of(asked, clock.now()), answer=answer, by=request.person)
    supersede(by=request.person)
    return redirect("flight-after", id=asked.id)


def _page(request: Visit, asked: Asked) -> dict[str, Any]:
    at = max(clock.now(), state.asking_at())
    names = {id: known.name or id for id, known in all_people().items()}
    released = releases_of(asked, at, answer_at=at)
    page: dict[str, Any] = {
        "asked": asked,
        "id": asked.id,
        "names": names,
        "name": state.machine(asked.aircraft, at).aircraft.definition.name,
        "crew": _crew(asked, names),
        "release": next(iter(released), None),
        "may_enter": reach_of(route="flight-after-enter", roles=request.roles) is not Reach.NONE,
        "new_id": new_id(),
    }
    if asked.done is None:
        return page | {"form": _form(asked, {}, [])}
    page |= {"done": asked.done, "act": asked.done.act, "by": names.get(asked.done.by, asked.done.by)}
    question = question_about(flown.ids_of(asked, at))
    page |= {"question": tellings(question, names, request.person) if question else None}
    if asked.in_question:
        return page
    found = follows(asked, at)
    given, events = _as_entered(asked, found)
    compared = logs.logs_of(asked, at, found)
    is_aboard = request.person in asked.done.act.aboard
    return page | {
        "logs": _logs(compared, found, names),
        "differences": [each.what.format(name=names.get(each.person, each.person)) for each in compared.differences],
        "logs_open": compared.is_open,
        "logs_answered": compared.answered,
        "logs_answered_by": names.get(compared.answered.by, "") if compared.answered else "",
        "my_log": compared.own.get(request.person),
        "may_log": is_aboard and page["may_enter"],
        "log_who": names.get(asked.act.instructor or asked.act.commander, ""),
        "my_part": next((each for each in found.own if each.person == request.person), None),
        "follows": found,
        "meters": [_meter(each) for each in found.meters],
        "clocks": [_clock(each.before, each.now) for each in used_clocks(found.dues)][:SHOWN],
        "next_due": _told(found.dues[0].now) if found.dues else "",
        "own": [(names.get(each.person, each.person), each) for each in found.own],
        "lock_who": ", ".join(names.get(who, who) for who in found.locks[0].who) if found.locks else "",
        "fuel_used": _volume(found.fuel_used_l),
        "fuel_rate": _volume(found.fuel_used_l / found.air_h) if found.fuel_used_l and found.air_h else "",
        "fuel_before": _volume(found.fuel_before_l),
        "felt": asked.done.personal.felt if asked.done.personal else "",
        "form": _form(asked, given, events),
    }


def _crew(asked: Asked, names: Mapping[str, str]) -> str:
    act = asked.act
    lead = act.instructor or act.examiner or act.commander
    others = sorted(asked.aboard - {lead})
    first = [names.get(lead, lead)] if lead in asked.aboard else []
    return " with ".join([*first, *(names.get(each, each) for each in others)])


# --- the form ---


def _form(asked: Asked, given: Mapping[str, str], events: list[str]) -> dict[str, Any]:
    around = flown.around(asked, clock.now())
    names = {id: known.name or id for id, known in all_people().items()}
    people = [(each, names.get(each, each)) for each in sorted(asked.aboard)]
    if len(people) > 1:
        people.append((BOTH, "Both together"))
    shows_night, _ = touches_night(around, _span(asked))
    parts = [("day", "", ""), ("night", ", at night", "night ")] if shows_night else [("day", "", "")]
    return {
        "given": given,
        "times": [(key, word, given.get(key, "")) for key, word in TIMES.items()],
        "landed": [
            {
                "who": f"{name}{suffix}",
                "cells": [
                    (
                        f"{prefix}.{person}.{column}",
                        f"{name}, {before}{_COLUMNS[column]}",
                        _COLUMNS[column],
                        given.get(f"{prefix}.{person}.{column}", ""),
                    )
                    for column in LANDED
                ],
            }
            for person, name in people
            for prefix, suffix, before in parts
        ],
        "columns": [_COLUMNS[column] for column in LANDED],
        "meters": [
            (f"meter.{name}", name, "h" if meter.counts == HOURS else "count", given.get(f"meter.{name}", ""))
            for name, meter in around.meters.items()
        ],
        "volume": around.volume_unit,
        "events": [(each.on[0], each.question, each.on[0] in events) for each in event_questions(around.program)],
        "none": NONE,
        "is_none": NONE in events,
        "from_paper": given.get("from_paper", ""),
    }


_COLUMNS = {"take_offs": "take-offs", "full_stops": "landings to a full stop", "touch_and_goes": "touch-and-goes"}


def _span(asked: Asked) -> tuple[datetime, ...]:
    """Return the moments between which the flight may have been flown, as far as it was asked for."""
    start = asked.act.depart_at
    if asked.done is not None:
        return (asked.done.act.off_at, asked.done.act.on_at)
    return (start - timedelta(hours=1), start, start + timedelta(hours=4))


def _as_entered(asked: Asked, found: Follows) -> tuple[dict[str, str], list[str]]:
    """Return what was entered, as the form's fields, so that a correction changes only what was wrong."""
    assert asked.done is not None
    act: FlightDone = asked.done.act
    zone = state.zone()
    given = {
        key: moment.astimezone(zone).strftime("%H:%M")
        for key, moment in (("out", act.out_at), ("off", act.off_at), ("on", act.on_at), ("in", act.in_at))
        if moment is not None
    }
    for each in act.landed:
        for column in LANDED:
            if getattr(each, column):
                given[f"{'night' if each.night else 'day'}.{each.by or BOTH}.{column}"] = str(getattr(each, column))
    mine = found.beside
    given |= {f"meter.{name}": record.act.shows for name, record in mine.meters.items()}
    given |= {by_what: record.act.aboard for by_what, record in mine.fuel.items()}
    given |= {"oil": act.oil, "rotor": act.rotor_noted, "from_paper": act.from_paper}
    if mine.oil is not None:
        given["oil_added"] = mine.oil.act.oil
    if asked.done.personal:
        given["felt"] = asked.done.personal.felt
    return {key: value for key, value in given.items() if value}, list(act.events) or ([NONE] if act.no_event else [])


# --- the logs beside each other ---


def _logs(compared: logs.Logs, found: Follows, names: Mapping[str, str]) -> list[dict[str, Any]]:
    return [
        {
            "who": names.get(each.person, each.person),
            "given": each,
            "log": compared.own.get(each.person),
        }
        for each in found.own
    ]


# --- what follows, in words ---


def _hours(value: float) -> str:
    return f"{int(value * 10 + 1e-6) / 10:.1f} h"


def _volume(value_l: float | None) -> str:
    return "" if value_l is None else f"{value_l:.0f} L"


def _meter(moved: Any) -> dict[str, Any]:
    def text(value: float | None) -> str:
        if value is None:
            return ""
        return f"{value:.1f} h" if moved.counts == HOURS else f"{value:g}"

    return {
        "name": moved.name,
        "now": text(moved.now),
        "before": text(moved.before),
        "used": text(moved.used),
        "before_at": moved.before_at,
    }


def _clock(before: Due | None, now: Due) -> dict[str, Any]:
    return {
        "name": now.task.name,
        "before": _left(before) if before is not None else "",
        "now": _left(now),
        "is_over": is_over(now),
    }


def _left(due: Due) -> str:
    if due.remaining is None:
        return due.state
    if due.unit == "h":
        return _hours(due.remaining) if due.remaining >= 0 else f"{-due.remaining:.1f} h over"
    return f"{due.remaining:g} {due.unit}" if due.remaining >= 0 else f"{-due.remaining:g} {due.unit} over"


def _told(due: Due) -> str:
    left = _left(due)
    return f"{due.task.name}: {left}{' left' if not is_over(due) else ''}"
