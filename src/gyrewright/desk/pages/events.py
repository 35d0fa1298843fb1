"""The page of an event: what happened, what locks, and what takes the lock off."""

from __future__ import annotations

import uuid
from collections.abc import Collection

from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods, require_safe

from gyrewright.desk.pages.defects import tell_whom
from gyrewright.desk.pages.reporting import said_before, status_of
from gyrewright.desk.pages.visit import Visit
from gyrewright.desk.services import state
from gyrewright.desk.services.entitling import allowed
from gyrewright.desk.services.events import clear_event
from gyrewright.desk.services.matters import lock_with_id, matters_of
from gyrewright.desk.services.records import new_id
from gyrewright.desk.services.taking import is_taken, read_answers, take
from gyrewright.desk.services.telling import told_by_hand
from gyrewright.errors import GyrewrightError, UnknownName
from gyrewright.inspection.items import EVENTS, Item
from gyrewright.inspection.lists import items_for, shipped_list
from gyrewright.maintenance.events import CLEAR


@require_safe
def show_event(request: Visit, id: uuid.UUID) -> HttpResponse:
    """Show an event and its lock."""
    return _shown(request, str(id))


def _shown(request: Visit, id: str, said: str = "", status: int = 200) -> HttpResponse:
    at = state.asking_at()
    lock = lock_with_id(id, at)
    aircraft = state.machine(lock.aircraft, at).aircraft
    people = state.folk(at).people
    craft = lock.aircraft
    signers = [(each.name, one) for one, each in people.items() if allowed(CLEAR, person=one, aircraft=craft).allowed]
    named = sorted(set(aircraft.program.inspections_after.values())) if aircraft.program else []
    page = {
        "lock": lock,
        "definition": aircraft.definition,
        "worksheet": worksheet(lock.kind, aircraft.definition.equipment),
        "inspections": named,
        "signers": sorted(signers),
        "people": sorted((person.name, one) for one, person in people.items()),
        "may": bool(allowed(CLEAR, person=request.person, aircraft=lock.aircraft).allowed),
        "is_taken": is_taken(lock),
        "tell": tell_whom(lock),
        "is_mine": lock.record.by == request.person,
        "said": said or said_before(request),
        "given": request.POST,
        "id": request.POST.get("id") or new_id(),
        "conflicts": [each for each in matters_of(lock.aircraft, at).conflicts if each.of == lock.id],
        "names": {one: person.name for one, person in people.items()},
    }
    return render(request, "desk/event.html", page, status=status)


def worksheet(kind: str, equipment: Collection[str]) -> tuple[Item, ...]:
    """Return what is opened up after an event, for an aircraft so equipped; the maker's pages go first."""
    if kind not in EVENTS:
        return ()
    return items_for(shipped_list("special"), event=kind, equipment=equipment)


@require_http_methods(["POST"])
def act_on(request: Visit, id: uuid.UUID, act: str) -> HttpResponse:
    """Take in what is done about an event.

    Raises:
        UnknownName: There is no such act.
    """
    lock = lock_with_id(str(id), state.asking_at())
    mine = request.POST.get("id", "")
    try:
        if act == "clear":
            given = {
                name: request.POST.get(name, "").strip()[:4000]
                for name in ("inspection", "found", "worker", "signed_by", "reference")
            }
            clear_event(id=mine, event=lock.id, by=request.person, **given)
        elif act == "take":
            take(id=mine, matter=lock, by=request.person)
        elif act == "told":
            told_by_hand(id=mine, matter=lock, to=request.POST.get("to", ""), by=request.person)
        elif act == "read":
            read_answers(id=mine, matter=lock, by=request.person)
        else:
            raise UnknownName(f"nothing is done about an event under {act!r}")
    except UnknownName:
        raise
    except GyrewrightError as error:
        return _shown(request, lock.id, str(error), status_of(error))
    return redirect("event", id=lock.id)
