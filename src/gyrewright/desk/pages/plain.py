"""A walk-round on a phone without the authority, over plain http: by a pass, with nothing in it about anybody.

The pass stands in the address, so that the page's own script needs to know nothing of it. No cookie is set.
"""

from __future__ import annotations

import uuid
from collections.abc import Callable
from functools import wraps
from typing import Any

from django.conf import settings
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.urls import reverse
from django.views.decorators.csrf import csrf_exempt
from django.views.decorators.http import require_POST, require_safe

from gyrewright.desk import clock
from gyrewright.desk.book.writing import append_one
from gyrewright.desk.pages import phone_page
from gyrewright.desk.pages.walk import as_page, taken
from gyrewright.desk.phones import places
from gyrewright.desk.phones.models import Pass
from gyrewright.desk.refusal import NotAllowed
from gyrewright.desk.services import passes, state, walk_today
from gyrewright.desk.services.exchange import read_exchange
from gyrewright.desk.services.handover import hand_over
from gyrewright.desk.services.phones import open_walk
from gyrewright.desk.services.reporting import events_that_lock
from gyrewright.desk.services.walk_lists import keep_list
from gyrewright.desk.services.walk_page import page_data

LIST = "walk-round"

View = Callable[[HttpRequest, Pass], HttpResponse]


def _by_pass(view: View) -> Callable[[HttpRequest, str], HttpResponse]:
    @wraps(view)
    def shown(request: HttpRequest, token: str) -> HttpResponse:
        if settings.LISTENER != places.PLAIN:
            raise NotAllowed("passes are for plain http; use the desk's own door here")
        return view(request, passes.pass_for(token))

    return shown


def _in_json(view: Callable[[HttpRequest, str], HttpResponse]) -> Callable[[HttpRequest, str], HttpResponse]:
    @wraps(view)
    def shown(request: HttpRequest, token: str) -> HttpResponse:
        try:
            return view(request, token)
        except NotAllowed as refused:
            # The page's script takes this for being logged out, and keeps everything.
            return JsonResponse({"error": str(refused)}, status=401)

    return shown


@require_safe
def show_walk(request: HttpRequest, token: str) -> HttpResponse:
    """Show the walk-round of the pass's aircraft."""
    return _by_pass(lambda request, given: _page(request, given, token))(request, token)


def _page(request: HttpRequest, given: Pass, token: str) -> HttpResponse:
    at = state.asking_at()
    found = page_data(given.aircraft, LIST, at)
    entry = keep_list(found.walk_list)
    if entry is not None:
        append_one(entry)
    device = given.phone or str(uuid.uuid4())
    here = {name: reverse(f"plain-{name}", args=[token]) for name in ("token", "hand-over", "background")}
    # Who walks is known to the pass. Names, flights and earlier walks stay at the desk.
    data: dict[str, Any] = found.data | {
        "now": clock.now().isoformat(),
        "zone": str(state.zone()),
        "device": device,
        "person": "",
        "personName": "the holder of this pass",
        "people": {},
        "addresses": {
            "index": reverse("plain"),
            "token": here["token"],
            "handOver": here["hand-over"],
            "worker": "",
            "later": f"{reverse('walk-later')}?v={phone_page.later_version()}",
            "background": here["background"],
            "door": reverse("plain"),
        },
        "odd": {item: each.act.words for item, each in walk_today.odd_but_right(given.aircraft, at).items()},
        "hardest": None,
        "rests": walk_today.rests(given.aircraft, at),
        "since": [],
        "flight": None,
        "accept": [],
    }
    open_walk(phone=device, aircraft=given.aircraft, by=given.person, is_plain=True)
    return as_page(request, found.data["aircraft"]["name"], data)


@require_safe
@_in_json
@_by_pass
def show_token(request: HttpRequest, given: Pass) -> HttpResponse:
    """Say that the pass holds, and the desk's time; the pass itself is what lets a phone hand over."""
    return JsonResponse({"token": "", "now": clock.now().isoformat()})


@require_safe
@_in_json
@_by_pass
def show_background(request: HttpRequest, given: Pass) -> HttpResponse:
    """Return what goes wrong at each item, why that matters, and what locks; no earlier readings, no key for PINs."""
    wrong = page_data(given.aircraft, LIST, state.asking_at()).background
    events = [(each.on[0], each.question) for each in events_that_lock(given.aircraft)]
    return JsonResponse({"wrong": wrong, "earlier": {}, "events": events})


@csrf_exempt
@require_POST
@_in_json
@_by_pass
def take_in(request: HttpRequest, given: Pass) -> HttpResponse:
    """Take in what the phone hands over in the name of whoever the pass was made for."""
    content = taken(request)
    exchange = read_exchange(content, by=given.person, at=clock.now())
    passes.bind(given, phone=exchange.device)
    return JsonResponse(hand_over(content, by=given.person, is_plain=True, only=given.aircraft))
