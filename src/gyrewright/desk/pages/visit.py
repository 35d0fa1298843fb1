"""A request with what `default_deny` has put on it: who comes, in which roles, and how far they reach."""

from __future__ import annotations

from django.http import HttpRequest

from gyrewright.desk.access import Reach
from gyrewright.desk.accounts.models import Account


class Visit(HttpRequest):
    """What a view gets. Only its type: Django makes the request."""

    user: Account
    person: str
    roles: frozenset[str]
    aircraft: frozenset[str]
    reach: Reach
