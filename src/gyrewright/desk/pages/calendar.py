"""Calendar files: one taken in as bookings, and the day's flights given out."""

from __future__ import annotations

from typing import Any

from django.http import HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_POST, require_safe

from gyrewright.desk import clock
from gyrewright.desk.access import Reach
from gyrewright.desk.pages.flight import is_ones_own
from gyrewright.desk.pages.visit import Visit
from gyrewright.desk.refusal import Refused
from gyrewright.desk.services import bookings, state
from gyrewright.desk.services.calendar_out import calendar_of
from gyrewright.desk.services.calendar_text import MOST_BYTES
from gyrewright.desk.services.releases import releases_of


@require_safe
def show_calendar(request: Visit) -> HttpResponse:
    """Show what is booked, and where a calendar file is handed in."""
    return render(request, "desk/calendar.html", _page())


def _page() -> dict[str, Any]:
    at = state.asking_at()
    return {
        "booked": [each for each in bookings.bookings(at).values() if each.is_open and each.act.end_at > at],
        "fleet": state.fleet_ids(),
        "most_kb": MOST_BYTES // 1000,
    }


@require_POST
def take_calendar(request: Visit) -> HttpResponse:
    """Take a calendar file in, all of it or nothing, and say what became of it."""
    given = request.FILES.get("file")
    try:
        if given is None:
            raise Refused("no file was chosen; choose a calendar file, its name ends in .ics")
        # One byte more than is read: enough to see that it is too large, whatever its length claims.
        taken = bookings.take_in(given.read(MOST_BYTES + 1), by=request.person)
    except Refused as refused:
        return render(request, "desk/calendar.html", _page() | {"said": str(refused)}, status=400)
    return render(request, "desk/calendar.html", _page() | {"taken": taken})


@require_safe
def give_day(request: Visit) -> HttpResponse:
    """Give out the day's flights, as far as this person reaches, as a calendar file."""
    at = state.asking_at()
    zone = state.zone()
    on = at.astimezone(zone).date()
    flights = [
        asked
        for asked in state.flights(at).values()
        if asked.act.depart_at.astimezone(zone).date() == on
        and (request.reach is Reach.ALL or is_ones_own(asked, request))
    ]
    released = [
        each.id
        for each in flights
        if each.is_open and any(one.holds for one in releases_of(each, clock.now(), answer_at=at))
    ]
    names = {each.definition.id: each.definition.name for each in state.fleet(at)}
    response = HttpResponse(calendar_of(flights, released=released, names=names), content_type="text/calendar")
    response.headers["Content-Disposition"] = f'attachment; filename="flights-{on.isoformat()}.ics"'
    return response
