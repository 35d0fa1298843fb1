"""Phones, at the laptop itself: what is out, how a phone comes to trust the desk, which are known; and plain http."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any

import segno
from cryptography import x509
from cryptography.hazmat.primitives.serialization import Encoding
from django.conf import settings
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.safestring import SafeString, mark_safe
from django.views.decorators.http import require_POST, require_safe

from gyrewright.desk import clock
from gyrewright.desk.access import VISITOR, Reach, reach
from gyrewright.desk.pages.visit import Visit
from gyrewright.desk.phones.authority import authority_in, fingerprint_of
from gyrewright.desk.services import passes, phones, state
from gyrewright.desk.services.authority import authority_files, machine_now, places
from gyrewright.desk.services.people import all_people
from gyrewright.desk.services.records import book_opening, new_id
from gyrewright.errors import UnknownName

WARN_BEFORE = timedelta(days=60)
"""From here on the page says that the authority will end."""


@dataclass(frozen=True, slots=True)
class Trust:
    """The authority as a person compares it."""

    fingerprint: tuple[str, ...]
    until: datetime
    ends_soon: bool


def _trust() -> Trust | None:
    found, at = authority_in(authority_files()), machine_now()
    if found is None:
        return None
    until = found.not_valid_after_utc
    return Trust(in_rows(fingerprint_of(found)), until, until - at < WARN_BEFORE)


def in_rows(fingerprint: str) -> tuple[str, ...]:
    """Return a fingerprint as phones show it: pairs, eight in a row."""
    pairs = [fingerprint[place : place + 2].upper() for place in range(0, len(fingerprint), 2)]
    return tuple(" ".join(pairs[place : place + 8]) for place in range(0, len(pairs), 8))


def qr(text: str) -> SafeString:
    """Return a code for a text as a drawing in the page."""
    drawn = segno.make(text, error="m").svg_inline(scale=4, border=4, svgclass="qr", lineclass=None, omitsize=True)
    # Drawn here from a text of ours; the text itself is not in it.
    return mark_safe(drawn)


def _plain_base() -> str:
    """Return the address of the plain listener by number where there is one: names may be bound to https by then."""
    now = places()
    host = str(now.addresses[0]) if now.addresses else now.names[0]
    return f"http://{host}:{settings.PLAIN_PORT}"


@require_safe
def show_phones(request: Visit) -> HttpResponse:
    """Show what phones have open, how one comes to trust this desk, and which are known."""
    return _phones_page(request)


@require_POST
def make_pass(request: Visit) -> HttpResponse:
    """Make a pass for a phone without the authority, and show it once."""
    given = passes.give_pass(person=request.person, aircraft=request.POST.get("aircraft", ""))
    address = _plain_base() + reverse("plain-walk", args=[given.token])
    return _phones_page(request, {"given": given, "address": address, "code": qr(address)})


def _phones_page(request: Visit, told: dict[str, Any] | None = None) -> HttpResponse:
    at = clock.now()
    sees_all = request.reach is Reach.ALL
    people = {id: each.name or id for id, each in all_people().items()}
    out, unknown = _out(at)
    known = [each for each in phones.known_phones() if sees_all or each.person == request.person]
    address = f"https://{settings.PHONES_NAME}:{settings.PHONES_PORT}/"
    file = _plain_base() + reverse("plain")
    page: dict[str, Any] = {
        "is_on": settings.HAS_PHONES,
        "told": told,
        "fleet": state.fleet_ids() if settings.PLAIN_WALKS and not request.roles <= {VISITOR} else (),
        "out": [
            {"row": each, "holder": people.get(each.out.holder, each.out.holder)}
            for each in out
            if sees_all or each.out.holder == request.person
        ],
        "unknown": unknown,
        "may_look": reach(route="phones-looked", roles=request.roles) is Reach.ALL,
        "is_manager": reach(route="accounts", roles=request.roles) is Reach.ALL,
        "known": [{"phone": each, "holder": people.get(each.person, each.person)} for each in known],
        "address": address,
        "file_address": file,
        "addresses": places().addresses,
        "names": places().names,
    }
    if settings.HAS_PHONES:
        page |= {"trust": _trust(), "address_code": qr(address), "file_code": qr(file)}
    return render(request, "desk/phones.html", page)


def _out(at: datetime) -> tuple[list[phones.OutWith], list[tuple[str, str]]]:
    out: list[phones.OutWith] = []
    unknown = []
    for aircraft in state.fleet_ids():
        try:
            out += phones.out_with(aircraft, at)
            why = phones.is_unknown(aircraft, at)
        except (ValueError, UnknownName):
            # Its definition is in question: its own page says so.
            continue
        if why:
            unknown.append((aircraft, why))
    return out, unknown


@require_POST
def say_nothing_open(request: Visit) -> HttpResponse:
    """Take the holder's word that a phone holds nothing of an aircraft."""
    phones.say_nothing_open(
        id=request.POST.get("id") or new_id(),
        phone=request.POST.get("phone", ""),
        aircraft=request.POST.get("aircraft", ""),
        by=request.person,
    )
    return redirect("phones")


@require_POST
def say_looked(request: Visit) -> HttpResponse:
    """Take the word of somebody entitled that they looked at the aircraft in a lost phone's place."""
    phones.say_looked_instead(
        id=request.POST.get("id") or new_id(),
        phone=request.POST.get("phone", ""),
        aircraft=request.POST.get("aircraft", ""),
        why=request.POST.get("why", ""),
        by=request.person,
    )
    return redirect("phones")


@require_POST
def say_asked(request: Visit) -> HttpResponse:
    """Take the word of somebody entitled that every phone was asked about an aircraft."""
    phones.say_all_asked(
        id=request.POST.get("id") or new_id(), aircraft=request.POST.get("aircraft", ""), by=request.person
    )
    return redirect("phones")


@require_POST
def forget_one(request: Visit) -> HttpResponse:
    """Take a phone off the list."""
    is_manager = reach(route="accounts", roles=request.roles) is Reach.ALL
    phones.forget(phone=request.POST.get("phone", ""), by=request.person, is_manager=is_manager)
    return redirect("phones")


# --- what anybody in the network may read ---


@require_safe
def show_plain(request: HttpRequest) -> HttpResponse:
    """Show a phone without the authority what this is, and how it comes by the authority."""
    opening = book_opening()
    page = {
        "operation": opening.act.operation if opening else "",
        "trust": _trust(),
        "address": f"https://{settings.PHONES_NAME}:{settings.PHONES_PORT}/",
    }
    return render(request, "desk/plain.html", page)


@require_safe
def authority_file(request: HttpRequest) -> HttpResponse:
    """Give out the authority's certificate, in the form that phones install."""
    found = authority_in(authority_files())
    if found is None:
        raise UnknownName("this desk has no authority for phones; start it with --phones")
    answer = HttpResponse(_der(found), content_type="application/x-x509-ca-cert")
    answer.headers["Content-Disposition"] = 'attachment; filename="desk-authority.crt"'
    return answer


def _der(certificate: x509.Certificate) -> bytes:
    return certificate.public_bytes(Encoding.DER)
