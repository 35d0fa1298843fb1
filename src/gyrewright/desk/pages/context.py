"""What every page's template gets."""

from __future__ import annotations

from typing import Any

from django.conf import settings
from django.http import HttpRequest

from gyrewright.desk.access import Reach, reach

PAGES = (("records", "Records"), ("accounts", "Accounts"))
"""The pages in their order on top, as route and word; each shown to those whom its route reaches."""


def every_page(request: HttpRequest) -> dict[str, Any]:
    """Return the pages this person may open, which one this is, and whether this is the demonstration."""
    roles: frozenset[str] = getattr(request, "roles", frozenset())
    match = request.resolver_match
    here = match.view_name if match else ""
    return {
        "is_demo": settings.IS_DEMO,
        "pages": [
            {"route": route, "word": word, "is_here": here.split("-")[0] in (route, route.removesuffix("s"))}
            for route, word in PAGES
            if reach(route=route, roles=roles) is not Reach.NONE
        ],
        "person": getattr(request, "person", ""),
    }
