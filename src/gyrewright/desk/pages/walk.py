"""Walk-round: the page of an aircraft's list for a phone, its service worker, and taking in what phones hand over."""

from __future__ import annotations

import uuid
from typing import Any

from django.conf import settings
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.middleware.csrf import get_token
from django.shortcuts import render
from django.urls import reverse
from django.views.decorators.http import require_POST, require_safe

from gyrewright.desk import clock
from gyrewright.desk.book.kinds.walking import OddButRight
from gyrewright.desk.book.models import Photo, Record
from gyrewright.desk.book.writing import append_one
from gyrewright.desk.pages import phone_page
from gyrewright.desk.pages.visit import Visit
from gyrewright.desk.refusal import TooLarge
from gyrewright.desk.services import state, walk_today
from gyrewright.desk.services.exchange import is_device
from gyrewright.desk.services.handover import hand_over
from gyrewright.desk.services.people import all_people
from gyrewright.desk.services.phones import open_walk
from gyrewright.desk.services.pins import public_key
from gyrewright.desk.services.reporting import events_that_lock
from gyrewright.desk.services.walk_lists import keep_list
from gyrewright.desk.services.walk_page import page_data
from gyrewright.errors import UnknownName

DEVICE = "gyrewright_phone"


@require_safe
def show_page(request: Visit, aircraft: str, walk_list: str) -> HttpResponse:
    """Show the phone's page of an aircraft and a list."""
    at = state.asking_at()
    found = page_data(aircraft, walk_list, at)
    entry = keep_list(found.walk_list)
    if entry is not None:
        append_one(entry)
    device = request.COOKIES.get(DEVICE, "")
    if not is_device(device):
        device = str(uuid.uuid4())
    now = clock.now()
    people = all_people()
    data = found.data | {
        "now": now.isoformat(),
        "zone": str(state.zone()),
        "device": device,
        # With it a page that is left at once can still say so.
        "pass": get_token(request),
        "person": request.person,
        "personName": people[request.person].name if request.person in people else request.person,
        "people": {
            id: known.name for id, known in people.items() if id != request.person and known.roles_on(state.today())
        },
        "addresses": {
            "index": reverse("walk"),
            "token": reverse("walk-token"),
            "handOver": reverse("walk-hand-over"),
            "worker": reverse("walk-worker"),
            "later": f"{reverse('walk-later')}?v={phone_page.later_version()}",
            "background": reverse("walk-background", args=[aircraft, walk_list]),
            "door": f"{reverse('door')}?next={request.path}",
        },
        "odd": {item: _odd(each.act) for item, each in walk_today.odd_but_right(aircraft, at).items()},
        "hardest": walk_today.look_hardest(aircraft, found.walk_list, at),
        "rests": walk_today.rests(aircraft, at),
        "since": walk_today.since_last_walk(aircraft, at),
        "flight": walk_today.next_flight(aircraft, at),
        "accept": walk_today.to_accept(aircraft, request.person, found.walk_list, at),
    }
    # After what the page says was asked: from here on this phone itself may hold something.
    open_walk(phone=device, aircraft=aircraft, by=request.person)
    response = as_page(request, found.data["aircraft"]["name"], data)
    response.set_cookie(DEVICE, device, max_age=63_072_000, samesite="Strict")
    return response


DEMO = "Demonstration: invented people, aircraft and place. "
DECIDE = "The aircraft's own manual, local law and licensed people decide."


def as_page(request: HttpRequest, name: str, data: dict[str, Any]) -> HttpResponse:
    """Return the phone's page with its data, under the policy that allows its own parts alone."""
    data |= {"notice": (DEMO if settings.IS_DEMO else "") + DECIDE}
    page = {
        "name": name,
        "style": phone_page.style_element(),
        "script": phone_page.script_element(),
        "data": phone_page.data_element(data),
    }
    response = render(request, "desk/phone.html", page)
    response.headers["Content-Security-Policy"] = phone_page.policy()
    return response


def _odd(act: OddButRight) -> list[str]:
    return [act.words, *(reverse("walk-odd-photo", args=[name]) for name in act.photos)]


@require_safe
def show_odd_photo(request: Visit, name: str) -> HttpResponse:
    """Show the photo of something odd but right to whoever walks round: it shows a part, and nobody.

    Raises:
        UnknownName: No such thing has this photo.
    """
    found = Photo.objects.filter(fingerprint=name).first()
    if found is None or not Record.objects.filter(kind="odd-but-right", body__contains=name).exists():
        raise UnknownName(f"no photo is kept under {name[:12]!r}")
    kept = {"Cache-Control": "private, max-age=31536000, immutable"}
    return HttpResponse(bytes(found.jpeg), content_type="image/jpeg", headers=kept)


@require_safe
def show_background(request: Visit, aircraft: str, walk_list: str) -> HttpResponse:
    """Return what goes wrong at each item, why that matters, earlier readings, and the key that locks a PIN."""
    at = state.asking_at()
    found = page_data(aircraft, walk_list, at)
    earlier = walk_today.earlier_readings(aircraft, at, found.walk_list.items)
    events = [(each.on[0], each.question) for each in events_that_lock(aircraft)]
    return JsonResponse({"wrong": found.background, "earlier": earlier, "events": events, "key": public_key()})


@require_safe
def show_worker(request: HttpRequest) -> HttpResponse:
    """Return the service worker; it holds nothing of anybody."""
    return HttpResponse(
        phone_page.worker(), content_type="text/javascript; charset=utf-8", headers={"Cache-Control": "no-cache"}
    )


@require_safe
def show_later(request: HttpRequest) -> HttpResponse:
    """Return the scripts that come after the page; another content is another address."""
    return HttpResponse(
        phone_page.later_script(),
        content_type="text/javascript; charset=utf-8",
        headers={"Cache-Control": "public, max-age=31536000, immutable"},
    )


@require_safe
def show_token(request: Visit) -> HttpResponse:
    """Return a fresh token for handing over."""
    return JsonResponse({"token": get_token(request), "now": clock.now().isoformat()})


@require_POST
def take_in(request: Visit) -> HttpResponse:
    """Take in what a phone hands over, and reply to each act."""
    return JsonResponse(hand_over(taken(request), by=request.person))


def taken(request: HttpRequest) -> bytes:
    """Return the body of a hand-over.

    Raises:
        TooLarge: It is more than is taken in at once.
    """
    content = request.read(settings.BODY_BYTES + 1)
    if len(content) > settings.BODY_BYTES:
        raise TooLarge(f"at most {settings.BODY_BYTES / 1e6:,.0f} MB are taken in at once; nothing was kept")
    return bytes(content)
