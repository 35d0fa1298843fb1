"""Reporting a defect or an event: pages for a phone in the hand, at most six touches from Today, photo included."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods, require_safe

from gyrewright.desk import clock
from gyrewright.desk.book.record import Kept
from gyrewright.desk.pages.upkeep import aircraft_with_id
from gyrewright.desk.pages.visit import Visit
from gyrewright.desk.refusal import ClockInDoubt, DiskFull, NotAllowed, Refused
from gyrewright.desk.services import state
from gyrewright.desk.services.places import places
from gyrewright.desk.services.records import new_id
from gyrewright.desk.services.reporting import (
    SYMPTOMS,
    Photos,
    events_that_lock,
    keep_photos,
    report_defect,
    report_event,
)
from gyrewright.errors import GyrewrightError

SAID = "said"
"""Where the session keeps a sentence for the next page."""


@require_safe
def begin(request: Visit) -> HttpResponse:
    """Ask which aircraft, and whether something is not right or something happened."""
    at = state.asking_at()
    return render(request, "desk/report-begin.html", {"fleet": [each.definition for each in state.fleet(at)]})


@require_http_methods(["GET", "HEAD", "POST"])
def defect(request: Visit, id: str) -> HttpResponse:
    """Show the form for a defect, or take it in and go to its page."""
    aircraft = aircraft_with_id(id, state.asking_at())
    given: dict[str, Any] = {**request.GET.dict(), **request.POST.dict()}
    said, status = "", 200
    if request.method == "POST":
        try:
            photos = _photos(request)
            kept = report_defect(
                id=given.get("id") or new_id(),
                aircraft=id,
                by=request.person,
                item=given.get("item", "")[:100],
                zone=given.get("zone", ""),
                symptom=given.get("symptom", "")[:100],
                words=given.get("words", "").strip()[:4000],
                photos=photos.kept,
                walk=given.get("walk", "")[:100],
                list_item=given.get("list_item", "")[:10],
                done_at=when(given.get("when", "")),
            )
            return _told(request, "defect", kept, photos)
        except GyrewrightError as error:
            said, status = str(error), status_of(error)
    page = {
        "definition": aircraft.definition,
        "places": places(),
        "symptoms": SYMPTOMS,
        "given": given,
        "said": said,
        "id": request.POST.get("id") or new_id(),
        "now": clock.now().astimezone(state.zone()),
    }
    return render(request, "desk/report-defect.html", page, status=status)


@require_http_methods(["GET", "HEAD", "POST"])
def event(request: Visit, id: str) -> HttpResponse:
    """Show the form for an event that locks the aircraft, or take it in and go to the lock's page."""
    aircraft = aircraft_with_id(id, state.asking_at())
    given = request.POST.dict()
    said, status = "", 200
    if request.method == "POST":
        try:
            photos = _photos(request)
            kept = report_event(
                id=given.get("id") or new_id(),
                aircraft=id,
                by=request.person,
                kind=given.get("kind", ""),
                words=given.get("words", "").strip()[:4000],
                photos=photos.kept,
                done_at=when(given.get("when", "")),
            )
            return _told(request, "event", kept, photos)
        except GyrewrightError as error:
            said, status = str(error), status_of(error)
    page = {
        "definition": aircraft.definition,
        "events": [(each.on[0], each.question) for each in events_that_lock(id)],
        "given": given,
        "said": said,
        "id": given.get("id") or new_id(),
        "now": clock.now().astimezone(state.zone()),
    }
    return render(request, "desk/report-event.html", page, status=status)


def _photos(request: Visit) -> Photos:
    files = [*request.FILES.getlist("photo"), *request.FILES.getlist("more")]
    return keep_photos(files, person=request.person, record=request.POST.get("id", ""))


def _told(request: Visit, route: str, kept: Kept, photos: Photos) -> HttpResponse:
    """Go to the page of what was reported; what could not be kept beside it is said there."""
    if photos.refused:
        request.session[SAID] = f"the report is kept, and this of it is not: {'; '.join(photos.refused)}"
    return redirect(route, id=kept.record.id)


def said_before(request: Visit) -> str:
    """Return the sentence that an earlier page left for this one."""
    return str(request.session.pop(SAID, ""))


def when(text: str) -> datetime | None:
    """Return when something was done, as written by the field's clock; None for now.

    Raises:
        Refused: It does not read, or is still to come.
    """
    if not text.strip():
        return None
    try:
        moment = datetime.fromisoformat(text.strip())
    except ValueError:
        raise Refused(f"{text!r} is no day and time; write it as 2027-06-12 13:30, or leave it empty for now") from None
    moment = moment.replace(tzinfo=state.zone())
    if moment > clock.now():
        raise Refused("that time is still to come; write when it was, or leave it empty for now")
    return moment


def status_of(error: GyrewrightError) -> int:
    """Return the status with which a form that was refused is shown again."""
    if isinstance(error, NotAllowed):
        return 403
    if isinstance(error, ClockInDoubt):
        return 409
    return 507 if isinstance(error, DiskFull) else 400
