"""Coming in, going out, one's own password."""

from __future__ import annotations

from django.conf import settings
from django.contrib.auth import authenticate, login, logout, update_session_auth_hash
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils.http import url_has_allowed_host_and_scheme
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods, require_POST

from gyrewright.desk.access import Reach, reach
from gyrewright.desk.accounts.door import MustWait, is_open
from gyrewright.desk.accounts.models import Account
from gyrewright.desk.pages.visit import Visit
from gyrewright.desk.phones import places
from gyrewright.desk.refusal import NotAllowed, Refused
from gyrewright.desk.services import state
from gyrewright.desk.services.accounts import change_own_password
from gyrewright.desk.services.opening_gaps import is_opening
from gyrewright.desk.services.people import all_people, roles_held
from gyrewright.desk.services.pins import set_pin


def front(request: Visit) -> HttpResponse:
    """Send on to the first page, or to the door; in plain http to the one page that there is."""
    if settings.LISTENER == places.PLAIN:
        return redirect("plain")
    return redirect(_first_page(request.user) if request.user.is_authenticated else "door")


def _first_page(account: Account) -> str:
    """Return where somebody begins: whoever manages at the opening while it lasts, everybody else at the day."""
    roles = roles_held(account.person, on=state.today())
    opens = reach(route="opening-house", roles=roles) is not Reach.NONE and is_opening()
    return "opening" if opens else "today"


def _next(request: Visit) -> str:
    wanted = request.POST.get("next") or request.GET.get("next") or ""
    safe = url_has_allowed_host_and_scheme(wanted, allowed_hosts={request.get_host()})
    return wanted if safe and wanted.startswith("/") else ""


@sensitive_post_parameters("password")
@require_http_methods(["GET", "HEAD", "POST"])
def come_in(request: Visit) -> HttpResponse:
    """Show the door, or log in."""
    said, status = "", 200
    name = request.POST.get("name", "")
    if request.method == "POST":
        try:
            account = authenticate(request, name=name, password=request.POST.get("password", ""))
        except MustWait as wait:
            account, said, status = None, str(wait), 429
        if account is not None:
            login(request, account)
            return redirect("own-password" if account.must_change else _next(request) or _first_page(request.user))
        if not said:
            said, status = "this name and this password do not belong together; type both again", 403
    elif request.user.is_authenticated:
        return redirect(_first_page(request.user))
    page = {"said": said, "name": name, "next": _next(request), "demo_people": _demo_people()}
    return render(request, "desk/door.html", page, status=status)


def _demo_people() -> list[tuple[str, str, str]]:
    """Return whom the demonstration's door offers: id, name and roles; nobody on an operation's own data."""
    if not is_open():
        return []
    today = state.today()
    with_account = set(Account.objects.filter(is_open=True).values_list("person", flat=True))
    return sorted(
        (id, known.name, ", ".join(sorted(known.roles_on(today))))
        for id, known in all_people().items()
        if id in with_account
    )


@require_POST
def come_in_to_demo(request: Visit) -> HttpResponse:
    """Come in as a person of the demonstration, without a password: invented people, on this machine alone."""
    if not settings.IS_DEMO:
        raise NotAllowed("this is an operation's own data; everybody comes in by name and password")
    account = Account.objects.filter(person=request.POST.get("person", ""), is_open=True).first()
    if account is None:
        raise Refused("the demonstration has nobody by this id; choose one from the door")
    login(request, account, backend="gyrewright.desk.accounts.door.NameAndPassword")
    return redirect(_next(request) or "today")


@require_POST
def go_out(request: Visit) -> HttpResponse:
    """End the session."""
    logout(request)
    return redirect("door")


@sensitive_post_parameters("old", "new", "again")
@require_http_methods(["GET", "HEAD", "POST"])
def own_password(request: Visit) -> HttpResponse:
    """Show the form for one's own password, or change it; other sessions of the account end."""
    said = ""
    if request.method == "POST":
        try:
            if request.POST.get("new", "") != request.POST.get("again", ""):
                raise Refused("the new password was typed in two ways; type it twice the same")
            change_own_password(account=request.user, old=request.POST.get("old", ""), new=request.POST.get("new", ""))
            update_session_auth_hash(request, request.user)
            return redirect(_first_page(request.user))
        except Refused as refused:
            said = str(refused)
    page = {"said": said, "must": request.user.must_change}
    return render(request, "desk/own-password.html", page, status=400 if said else 200)


@sensitive_post_parameters("password", "pin")
@require_POST
def own_pin(request: Visit) -> HttpResponse:
    """Give oneself a PIN to sign with on somebody else's phone."""
    try:
        set_pin(account=request.user, password=request.POST.get("password", ""), pin=request.POST.get("pin", ""))
    except Refused as refused:
        page = {"said_of_pin": str(refused), "must": request.user.must_change}
        return render(request, "desk/own-password.html", page, status=400)
    return render(request, "desk/own-password.html", {"said_of_pin": "your PIN is kept; nobody can read it back"})
