"""In which words and units one reads, chosen by oneself."""

from __future__ import annotations

from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods

from gyrewright.desk import clock
from gyrewright.desk.pages.visit import Visit
from gyrewright.desk.reader import set_reader
from gyrewright.desk.services import reading
from gyrewright.desk.services.records import new_id
from gyrewright.units import DIMENSIONS, SHOWN

LANGUAGES = (("", "as the house"), ("en-US", "American English"), ("en-GB", "British English"))


@require_http_methods(["GET", "HEAD", "POST"])
def own_reading(request: Visit) -> HttpResponse:
    """Show what one has chosen, or take in another choice."""
    now = clock.now()
    if request.method == "POST":
        units = {each: request.POST.get(f"unit.{each}", "") for each in reading.CHOSEN}
        reading.choose_reading(
            id=request.POST.get("id") or new_id(),
            person=request.person,
            language=request.POST.get("language", ""),
            units={each: symbol for each, symbol in units.items() if symbol},
            by=request.person,
        )
        set_reader(reading.reader_of(request.person, clock.now()))
        return redirect("own-reading")
    chosen = reading.chosen_by(request.person, now)
    choices = [
        (each, chosen.units.get(each, ""), [(unit.symbol, SHOWN.get(unit.symbol, unit.symbol)) for unit in kind.units])
        for each in reading.CHOSEN
        for kind in (DIMENSIONS[each],)
    ]
    page = {"languages": LANGUAGES, "own_language": chosen.language, "units": choices, "id": new_id()}
    return render(request, "desk/own-reading.html", page)
