"""Sheets to print, as PDF: a release, a flight's load sheet and card; and the page that a printed code leads to."""

from __future__ import annotations

import uuid
from collections.abc import Mapping
from dataclasses import replace
from datetime import datetime
from typing import Any

from django.conf import settings
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_safe

from gyrewright.desk import clock
from gyrewright.desk.access import sees_masses
from gyrewright.desk.book.reading import find_records, head, record_with_id
from gyrewright.desk.book.record import Recorded
from gyrewright.desk.book.writing import append_one
from gyrewright.desk.fold.asked import Asked
from gyrewright.desk.pages.flight import asked_for
from gyrewright.desk.pages.release import judged_told, release_for
from gyrewright.desk.pages.visit import Visit
from gyrewright.desk.paper.blanks import BLANKS, Known, blank_sheet
from gyrewright.desk.paper.card import card_sheet
from gyrewright.desk.paper.load import load_sheet
from gyrewright.desk.paper.press import LARGE, SMALL, printed
from gyrewright.desk.paper.release import release_sheet
from gyrewright.desk.paper.tag import tag_sheet
from gyrewright.desk.paper.walk import PRINTED_FOR, walk_sheet
from gyrewright.desk.phones.authority import authority_in
from gyrewright.desk.reader import as_read, question_as_read, reader_words
from gyrewright.desk.refusal import NotAllowed
from gyrewright.desk.services import state
from gyrewright.desk.services.answers import Answered, answered
from gyrewright.desk.services.authority import authority_files
from gyrewright.desk.services.matter import Lock, Report
from gyrewright.desk.services.matters import lock_with_id, report_with_id
from gyrewright.desk.services.people import all_people
from gyrewright.desk.services.records import record_by_code
from gyrewright.desk.services.releases import may_release, releases_of
from gyrewright.desk.services.telling import helpers
from gyrewright.desk.services.walk_lists import keep_list, list_of
from gyrewright.errors import UnknownName
from gyrewright.words.catalogue import FIRST
from gyrewright.words.tell import tell


def _names() -> dict[str, str]:
    return {id: known.name or id for id, known in all_people().items()}


def base_of(request: Visit) -> str:
    """Return where this desk answers: by the name that phones know where it has one, else as it was asked now."""
    if authority_in(authority_files()) is not None:
        return f"https://{settings.PHONES_NAME}:{settings.PHONES_PORT}"
    return request.build_absolute_uri("/").rstrip("/")


def _language() -> str:
    return reader_words(state.house(clock.now()).operation.words)


def _as_read(found: Answered) -> Answered:
    """Return what was found in the words and units of whoever prints it."""
    return replace(found, question=question_as_read(found.question), answer=as_read(found.answer))


def _pdf(
    request: Visit, template: str, sheet: Mapping[str, Any], *, name: str, made_at: datetime, small: bool = False
) -> HttpResponse:
    """Return a sheet on the paper that the address asks for, or on the one that is usual where its words are."""
    usual = SMALL if small else LARGE
    paper = request.GET.get("paper") or usual[0 if sheet["language"] != FIRST else 1]
    pdf = printed(template, sheet, paper=paper, made_at=made_at)
    return HttpResponse(
        pdf, content_type="application/pdf", headers={"Content-Disposition": f'inline; filename="{name}-{paper}.pdf"'}
    )


@require_safe
def print_release(request: Visit, id: uuid.UUID) -> HttpResponse:
    """Return a release on paper."""
    now = clock.now()
    record, asked = release_for(request, id, now)
    names = _names()
    made = next(each for each in releases_of(asked, now) if each.record.id == record.id)
    sheet = release_sheet(
        record,
        sees=sees_masses(person=request.person, aboard=asked.aboard, releasing=record.by),
        by=names.get(record.by, record.by),
        judged=[judged_told(each, names) for each in record.act.judged],
        aboard=[names.get(each, each) for each in asked.aboard],
        ended=made.ended,
        base=base_of(request),
        language=_language(),
    )
    return _pdf(request, "release", sheet, name=f"release-{record.hash[:8]}", made_at=record.done_at)


@require_safe
def print_load(request: Visit, id: uuid.UUID) -> HttpResponse:
    """Return a flight's load sheet, for those aboard and whoever releases."""
    at = state.asking_at()
    asked = asked_for(request, id, at)
    found = _as_read(answered(asked, at))
    releasing = request.person if may_release(found, request.person) else ""
    if not sees_masses(person=request.person, aboard=asked.aboard, releasing=releasing):
        raise NotAllowed("a load sheet tells masses: those aboard and the releasing person print it")
    sheet = load_sheet(
        found,
        tell(found.answer),
        names=_names(),
        head=head(),
        made_at=at,
        base=base_of(request),
        language=_language(),
    )
    return _pdf(request, "load", sheet, name=_called("load-sheet", asked), made_at=at)


@require_safe
def print_card(request: Visit, id: uuid.UUID) -> HttpResponse:
    """Return the card from start to take-off for a flight."""
    at = state.asking_at()
    asked = asked_for(request, id, at)
    found = _as_read(answered(asked, at))
    sheet = card_sheet(found, tell(found.answer), head=head(), made_at=at, base=base_of(request), language=_language())
    return _pdf(request, "card", sheet, name=_called("start-to-take-off", asked), made_at=at, small=True)


def _called(what: str, asked: Asked) -> str:
    return f"{what}-{asked.record.hash[:8]}"


@require_safe
def print_defect_tag(request: Visit, id: uuid.UUID) -> HttpResponse:
    """Return the tag of an open report."""
    return _tag(request, report_with_id(str(id), state.asking_at()))


@require_safe
def print_event_tag(request: Visit, id: uuid.UUID) -> HttpResponse:
    """Return the tag of an event that locks."""
    return _tag(request, lock_with_id(str(id), state.asking_at()))


def _tag(request: Visit, matter: Report | Lock) -> HttpResponse:
    at = state.asking_at()
    definition = state.machine(matter.aircraft, at).aircraft.definition
    sheet = tag_sheet(
        matter,
        aircraft=f"{definition.name} {definition.id}",
        helpers=[each.name for each in helpers(matter.aircraft, at)],
        head=head(),
        made_at=at,
        base=base_of(request),
        language=_language(),
    )
    return _pdf(request, "tag", sheet, name=f"tag-{_slug(definition.id)}", made_at=at, small=True)


# --- for a day without power ---


@require_safe
def show_papers(request: Visit) -> HttpResponse:
    """Show what can be printed for each aircraft, for a day without power."""
    at = state.asking_at()
    made = [state.machine(id, at).aircraft.definition for id in state.fleet_ids()]
    return render(request, "desk/papers.html", {"fleet": made})


def _defined(aircraft: str) -> Recorded:
    """Return the record that defines an aircraft."""
    found = find_records(about=aircraft, kinds=("aircraft-defined",), newest_first=True, count=1)
    if not found:
        raise UnknownName(f"the book knows no aircraft {aircraft!r}")
    return found[0]


@require_safe
def print_walk(request: Visit, aircraft: str, walk_list: str) -> HttpResponse:
    """Return a walk-round list for an aircraft and an event on paper; the book keeps the list as it is printed."""
    at = state.asking_at()
    definition = state.machine(aircraft, at).aircraft.definition
    found = list_of(aircraft, walk_list, at)
    words = {word for row in found.events for word in row.on}
    event = request.GET.get("event") or next((each for each in PRINTED_FOR if each in words), sorted(words)[0])
    if event not in words:
        raise UnknownName(f"the list {found.name!r} is not walked {event!r}; choose one of: {', '.join(sorted(words))}")
    entry = keep_list(found)
    if entry is not None:
        append_one(entry)
    sheet = walk_sheet(
        found,
        definition,
        event=event,
        also=[each for each in request.GET.getlist("also") if each],
        defined=_defined(aircraft),
        head=head(),
        made_at=at,
        base=base_of(request),
        language=_language(),
    )
    return _pdf(request, "walk", sheet, name=f"{walk_list}-{_slug(aircraft)}", made_at=at, small=True)


@require_safe
def print_blank(request: Visit, aircraft: str, name: str) -> HttpResponse:
    """Return a blank form for an aircraft."""
    if name not in BLANKS:
        raise UnknownName(f"there is no blank form {name!r}; choose one of: {', '.join(BLANKS)}")
    at = state.asking_at()
    machine = state.machine(aircraft, at)
    meters = tuple(str(each["name"]) for each in machine.tables.books.get("meter", ()))
    known = Known(machine.aircraft.definition, state.house(at), meters, _language())
    template, sheet = blank_sheet(
        name, known, defined=_defined(aircraft), head=head(), made_at=at, base=base_of(request)
    )
    return _pdf(request, template, sheet, name=f"blank-{name}-{_slug(aircraft)}", made_at=at)


def _slug(aircraft: str) -> str:
    return "".join(letter if letter.isascii() and letter.isalnum() else "-" for letter in aircraft)


@require_safe
def find_sheet(request: Visit) -> HttpResponse:
    """Go to the page of the record whose printed code was typed."""
    return _to_page(record_by_code(request.GET.get("code", "")))


@require_safe
def open_code(request: Visit, name: str) -> HttpResponse:
    """Go to the page of the record whose printed code was read by a camera."""
    return _to_page(record_by_code(name))


def _to_page(record: Recorded) -> HttpResponse:
    if record.kind == "release":
        return redirect("release", id=record.id)
    if record.kind == "flight-asked":
        while record.corrects:
            record = record_with_id(record.corrects)
        return redirect("flight", id=record.id)
    if record.kind == "aircraft-defined":
        return redirect("upkeep-aircraft", record.about)
    page = {"defect-reported": "defect", "event-reported": "event"}.get(record.kind, "record")
    return redirect(page, id=record.id)
