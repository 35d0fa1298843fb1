"""What every page's template gets."""

from __future__ import annotations

from typing import Any

from django.conf import settings
from django.http import HttpRequest

from gyrewright.desk import clock
from gyrewright.desk.access import Reach, is_answered, reach
from gyrewright.desk.accounts.door import is_open
from gyrewright.desk.reader import reader
from gyrewright.desk.services.opening_gaps import is_opening
from gyrewright.desk.services.people import person_known
from gyrewright.errors import UnknownName

PAGES = (
    ("today", "Today"),
    ("flight-next", "Flight"),
    ("walk", "Walk-round"),
    ("aircraft", "Aircraft"),
    ("upkeep", "Upkeep"),
    ("people", "People"),
    ("phones", "Phones"),
    ("records", "Records"),
    ("accounts", "Accounts"),
    ("opening", "Opening"),
)
"""The pages in their order on top, as route and word; each shown to those whom its route reaches.

The opening is one of them until a first flight has been released."""


def every_page(request: HttpRequest) -> dict[str, Any]:
    """Return the pages this person may open, which one this is, and whether this is the demonstration."""
    roles: frozenset[str] = getattr(request, "roles", frozenset())
    match = request.resolver_match
    here = match.view_name.split("-")[0] if match else ""
    here = {"record": "records", "account": "accounts", "release": "flight", "person": "people"}.get(here, here)
    return {
        "is_demo": settings.IS_DEMO,
        "language": reader().language,
        "has_open_door": is_open(),
        "now": clock.now(),
        "pages": [
            {"route": route, "word": word, "is_here": here == route.split("-")[0]}
            for route, word in PAGES
            if reach(route=route, roles=roles) is not Reach.NONE
            and is_answered(route, settings.LISTENER)
            and (route != "opening" or is_opening())
        ],
        "person": getattr(request, "person", ""),
        "person_name": _name(getattr(request, "person", "")),
    }


def _name(person: str) -> str:
    """Return a person's name; the id where none is known."""
    if not person:
        return ""
    try:
        return person_known(person).name or person
    except UnknownName:
        return person
