"""Pages that Django itself asks for."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse

from gyrewright.desk.pages.middleware import refusal
from gyrewright.desk.refusal import NotAllowed


def form_too_old(request: HttpRequest, reason: str = "") -> HttpResponse:
    """Answer a form whose token is missing or old."""
    return refusal(request, NotAllowed("this form is too old or came from elsewhere; open the page again and redo it"))
