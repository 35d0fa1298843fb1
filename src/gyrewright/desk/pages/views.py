"""Pages that Django itself asks for."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse

from gyrewright.desk.pages.middleware import refusal
from gyrewright.desk.refusal import Fault, NotAllowed, Refused
from gyrewright.errors import UnknownName


def form_too_old(request: HttpRequest, reason: str = "") -> HttpResponse:
    """Answer a form whose token is missing or old."""
    return refusal(request, NotAllowed("this form is too old or came from elsewhere; open the page again and redo it"))


def not_taken(request: HttpRequest, exception: Exception | None = None) -> HttpResponse:
    """Answer a request that Django itself does not take: another host, too many fields, a form too large."""
    return refusal(request, Refused("this request was not taken; open the desk by the address it printed and redo it"))


def not_here(request: HttpRequest, exception: Exception | None = None) -> HttpResponse:
    """Answer an address that leads nowhere."""
    return refusal(request, UnknownName("the desk has no page at this address; go back to the first page"))


def broke(request: HttpRequest) -> HttpResponse:
    """Answer where the desk itself is at fault; what happened is written where it was started."""
    said = "the desk itself is at fault here; look at Records whether the last act was kept before you redo it"
    return refusal(request, Fault(said))
