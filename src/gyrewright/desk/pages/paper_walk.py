"""Keying in a walk-round that was done on paper: which list the sheet is of, then what stands on it."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from django.conf import settings
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods, require_safe

from gyrewright.desk.book.models import Photo
from gyrewright.desk.pages.visit import Visit
from gyrewright.desk.refusal import Refused
from gyrewright.desk.services import state
from gyrewright.desk.services.erasing import keep_photo
from gyrewright.desk.services.paper_walks import (
    Break,
    Given,
    PaperList,
    paper_list,
    readings_asked,
    record_paper_walk,
)
from gyrewright.desk.services.people import all_people
from gyrewright.desk.services.records import new_id, record_by_code
from gyrewright.desk.services.walk_lists import list_of
from gyrewright.inspection.lists import INTERRUPTIONS
from gyrewright.inspection.walk import ANSWERS, RESTARTS

BREAKS = 4
"""How many breaks the page has room for."""


@require_safe
def open_walk_code(request: Visit, name: str) -> HttpResponse:
    """Go to where a walk is keyed in, by the code on its sheet."""
    return redirect("walk-paper", aircraft=record_by_code(name).about, walk_list="walk-round")


@require_http_methods(["GET", "HEAD", "POST"])
def key_in_walk(request: Visit, aircraft: str, walk_list: str) -> HttpResponse:
    """Ask which sheet it is; show its items, none of them answered; take in what was keyed in."""
    at = state.asking_at()
    definition = state.machine(aircraft, at).aircraft.definition
    today = list_of(aircraft, walk_list, at)
    page: dict[str, Any] = {
        "definition": definition,
        "walk_list": today,
        "events": sorted({word for row in today.events for word in row.on}),
        "mark": request.GET.get("mark", ""),
        "event": request.GET.get("event", ""),
        "also": request.GET.getlist("also"),
        "said": "",
    }
    if not page["mark"]:
        return render(request, "desk/paper-walk-which.html", page)
    try:
        sheet = paper_list(
            aircraft=aircraft, walk_list=walk_list, mark=page["mark"], event=page["event"], also=page["also"], at=at
        )
    except Refused as refused:
        return render(request, "desk/paper-walk-which.html", page | {"said": str(refused)}, status=400)
    photos: list[str] = []
    status = 200
    if request.method == "POST":
        try:
            photos = _photos(request)
            kept = record_paper_walk(
                id=request.POST.get("id") or new_id(),
                aircraft=aircraft,
                sheet=sheet,
                given=_given(request, sheet, tuple(photos)),
                by=request.person,
            )
            return redirect("record", id=kept.record.id)
        except Refused as refused:
            page["said"], status = str(refused), 400
    walkers = [*request.POST.getlist("walked_by"), "", ""]
    page |= {
        "sheet": sheet,
        "stands": _stands(sheet, request),
        "answers": ANSWERS,
        "photos": photos,
        "people": _people(at),
        "given": request.POST,
        "walker": walkers[0],
        "second_walker": walkers[1],
        "most_mb": settings.PHOTO_BYTES // 1_000_000,
        "breaks": [_break(request, number) for number in range(1, BREAKS + 1)],
        "interruptions": INTERRUPTIONS,
        "restarts": RESTARTS,
        "id": request.POST.get("id") or new_id(),
    }
    return render(request, "desk/paper-walk.html", page, status=status)


def _people(at: datetime) -> list[tuple[str, str]]:
    on = at.astimezone(state.zone()).date()
    known = all_people().items()
    return sorted(
        ((id, each.name or id) for id, each in known if each.roles_on(on) - {"visitor"}), key=lambda one: one[1]
    )


def _photos(request: Visit) -> list[str]:
    """Keep what was handed in, and return it with what an earlier try has kept already."""
    earlier = [
        name
        for name in request.POST.getlist("kept")
        if Photo.objects.filter(fingerprint=name, person=request.person).exists()
    ]
    files = request.FILES.getlist("photo")
    return [*earlier, *(keep_photo(content=each.read(), person=request.person) for each in files)]


def _break(request: Visit, number: int) -> Break:
    given = (request.POST.get(f"break.{number}.{key}", "").strip() for key in ("from", "to", "on", "item", "restarted"))
    return Break(*given)


def _given(request: Visit, sheet: PaperList, photos: tuple[str, ...]) -> Given:
    post = request.POST

    def by_item(prefix: str) -> dict[str, str]:
        return {key.removeprefix(prefix): str(value) for key, value in post.items() if key.startswith(prefix)}

    return Given(
        on=post.get("on", ""),
        began=post.get("began", ""),
        ended=post.get("ended", ""),
        walked_by=tuple(each for each in post.getlist("walked_by") if each),
        read_out_by=post.get("read_out_by", ""),
        answers={item: answer for item, answer in by_item("a.").items() if answer},
        words=by_item("w."),
        small=frozenset(by_item("s.")),
        readings={
            f"{item.id}.{each.key}": "; ".join(filter(None, map(str.strip, post.getlist(f"r.{item.id}.{each.key}"))))
            for item in sheet.items
            for each in readings_asked(item)
        },
        breaks=[_break(request, number) for number in range(1, BREAKS + 1)],
        photos=photos,
    )


def _stands(sheet: PaperList, request: Visit) -> list[tuple[str, list[dict[str, Any]]]]:
    """Return the items stand by stand, with what was keyed in for each so far."""
    out: list[tuple[str, list[dict[str, Any]]]] = []
    for item in sheet.items:
        if not out or out[-1][0] != item.stand:
            out.append((item.stand, []))
        out[-1][1].append(
            {
                "item": item,
                "answer": request.POST.get(f"a.{item.id}", ""),
                "words": request.POST.get(f"w.{item.id}", ""),
                "small": f"s.{item.id}" in request.POST,
                "readings": [
                    (f"r.{item.id}.{each.key}", each, request.POST.getlist(f"r.{item.id}.{each.key}"))
                    for each in readings_asked(item)
                ],
            }
        )
    return out
