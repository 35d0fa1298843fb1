"""Accounts, for the manager: who can log in, letting somebody in, a new password, ending a log-in."""

from __future__ import annotations

from typing import Any

from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_POST, require_safe

from gyrewright.desk.accounts.models import Account
from gyrewright.desk.pages.visit import Visit
from gyrewright.desk.refusal import NotAllowed
from gyrewright.desk.services import state
from gyrewright.desk.services.accounts import close_account, give_password, open_account, passing_word
from gyrewright.desk.services.people import all_people


def _page(request: Visit, told: dict[str, str] | None = None) -> HttpResponse:
    known = all_people()
    today = state.today()
    rows: list[dict[str, Any]] = [
        {
            "account": account,
            "who": known[account.person].name if account.person in known else account.person,
            "roles": ", ".join(sorted(known[account.person].roles_on(today))) if account.person in known else "",
        }
        for account in Account.objects.order_by("name")
    ]
    with_account = {row["account"].person for row in rows}
    without = [(id, person.name or id) for id, person in sorted(known.items()) if id not in with_account]
    return render(request, "desk/accounts.html", {"rows": rows, "without": without, "told": told})


@require_safe
def show_accounts(request: Visit) -> HttpResponse:
    """Show the accounts."""
    return _page(request)


@require_POST
def open_one(request: Visit) -> HttpResponse:
    """Let a person log in, with a password for one log-in that is shown once."""
    password = passing_word()
    account = open_account(
        name=request.POST.get("name", ""),
        person=request.POST.get("person", ""),
        password=password,
        by=request.person,
        must_change=True,
    )
    return _page(request, {"name": account.name, "password": password})


@require_POST
def give_new_password(request: Visit) -> HttpResponse:
    """Give another person a password for one log-in, shown once."""
    name = request.POST.get("name", "")
    if name.casefold() == request.user.name.casefold():
        raise NotAllowed("change your own password on its own page, by typing the old one")
    return _page(request, {"name": name, "password": give_password(name=name, by=request.person)})


@require_POST
def close_one(request: Visit) -> HttpResponse:
    """End a person's log-in."""
    close_account(name=request.POST.get("name", ""), by=request.person)
    return redirect("accounts")
