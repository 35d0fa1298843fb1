"""What holds for every request: the content policy, who may come here, and refusals as one sentence."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from django.conf import settings
from django.contrib.auth.views import redirect_to_login
from django.http import HttpRequest, HttpResponse, HttpResponseBase, JsonResponse
from django.shortcuts import redirect, render

from gyrewright.desk import clock
from gyrewright.desk.access import EVERYONE, IN_JSON, OPEN, Reach, is_answered, reach
from gyrewright.desk.book.writing import disk_full
from gyrewright.desk.letters import unseen
from gyrewright.desk.pages.visit import Visit
from gyrewright.desk.phones import places
from gyrewright.desk.reader import set_reader
from gyrewright.desk.refusal import BookBroken, ClockInDoubt, DiskFull, Fault, NotAllowed, Refused, TooLarge
from gyrewright.desk.services import state
from gyrewright.desk.services.freezing import freeze_for_waiting
from gyrewright.desk.services.people import aircraft_of, roles_held
from gyrewright.desk.services.reading import house_reader, reader_of
from gyrewright.errors import GyrewrightError, UnknownName

Respond = Callable[[HttpRequest], HttpResponse]

POLICY = "; ".join(
    (
        "default-src 'none'",
        "style-src 'self'",
        "img-src 'self'",
        "script-src 'self'",
        "connect-src 'self'",
        "font-src 'none'",
        "form-action 'self'",
        "frame-ancestors 'none'",
        "base-uri 'none'",
    )
)


def content_policy(respond: Respond) -> Respond:
    """Add the content policy to every answer. A page with an inline part adds the hash of that part itself."""

    def answer(request: HttpRequest) -> HttpResponse:
        response = respond(request)
        response.headers.setdefault("Content-Security-Policy", POLICY)
        response.headers.setdefault("Permissions-Policy", "camera=(self), geolocation=(), microphone=()")
        # A page shows what one person may see: no cache may show it to the next.
        response.headers.setdefault("Cache-Control", "no-store")
        return response

    return answer


DRAINED_BYTES = 1_000_000_000
"""How much of a body that is too large is still read and thrown away: who sends it sees the answer only after that."""

_AT_ONCE = 1_000_000


class size_limit:  # noqa: N801 - Django names middleware as it is listed
    """Refuse a body larger than anything that is taken in, before any of it is kept in memory or on the disk."""

    def __init__(self, respond: Respond) -> None:
        self.respond = respond

    def __call__(self, request: HttpRequest) -> HttpResponse:
        """Look at the length that is announced."""
        length = request.META.get("CONTENT_LENGTH") or "0"
        size = int(length) if length.isascii() and length.isdigit() else 0
        most = settings.BODY_BYTES
        if size <= most:
            return self.respond(request)
        left = min(size, DRAINED_BYTES)
        while left > 0 and (read := request.META["wsgi.input"].read(min(left, _AT_ONCE))):
            left -= len(read)
        said = f"this is {size / 1e6:,.0f} MB and at most {most / 1e6:,.0f} MB are taken in at once; nothing was kept"
        return refusal(request, TooLarge(said))


_ELSEWHERE = {
    places.PHONES: "this page is at the laptop itself; open it there",
    places.PLAIN: "this connection can be read by anybody in the network, so it shows no such page;"
    " use the address in https, or the laptop itself",
}


def from_nearby(respond: Respond) -> Respond:
    """Answer a listener for phones only to phones of a private network, whatever network this machine is in."""

    def answer(request: HttpRequest) -> HttpResponse:
        if settings.LISTENER != places.HERE and not places.is_private(request.META.get("REMOTE_ADDR", "")):
            return HttpResponse("only phones of the local network are answered\n", "text/plain", 403)
        return respond(request)

    return answer


class default_deny:  # noqa: N801 - Django names middleware as it is listed
    """Let a request through only where the table of who sees what has a row that reaches this person."""

    def __init__(self, respond: Respond) -> None:
        self.respond = respond

    def __call__(self, request: HttpRequest) -> HttpResponse:
        """Pass on; the house reads until it is known who comes."""
        set_reader(house_reader(clock.now()))
        return self.respond(request)

    def process_view(
        self, request: Visit, view: Any, args: tuple[Any, ...], kwargs: dict[str, Any]
    ) -> HttpResponseBase | None:
        """Decide before the view runs; who comes, in which roles and how far they reach is put on the request."""
        route = request.resolver_match.view_name if request.resolver_match else ""
        request.reach = Reach.NONE
        if not is_answered(route, settings.LISTENER):
            return refusal(request, NotAllowed(_ELSEWHERE[settings.LISTENER]))
        if route in OPEN:
            return None
        if not request.user.is_authenticated and route in IN_JSON:
            return JsonResponse(
                {"error": "not logged in; log in on this phone, and nothing kept on it is lost"}, status=401
            )
        if not request.user.is_authenticated:
            return redirect_to_login(request.get_full_path(), login_url="door")
        if request.user.must_change and route not in EVERYONE:
            return redirect("own-password")
        today = state.today()
        request.person = request.user.person
        request.roles = roles_held(request.person, on=today)
        request.aircraft = aircraft_of(request.person, on=today)
        set_reader(reader_of(request.person, clock.now()))
        if route in EVERYONE:
            return None
        request.reach = reach(route=route, roles=request.roles)
        if request.reach is Reach.NONE:
            return refusal(request, NotAllowed("this page is not for the roles you hold today; ask the manager"))
        return None


class letters_seen:  # noqa: N801 - Django names middleware as it is listed
    """Refuse a request in which a letter stands that nobody can see."""

    def __init__(self, respond: Respond) -> None:
        self.respond = respond

    def __call__(self, request: HttpRequest) -> HttpResponse:
        """Pass on."""
        return self.respond(request)

    def process_view(
        self, request: Visit, view: Any, args: tuple[Any, ...], kwargs: dict[str, Any]
    ) -> HttpResponseBase | None:
        """Look through the address and every field before the view runs."""
        given = [("the address", str(each)) for each in kwargs.values()]
        for fields in (request.GET, request.POST):
            for name, several in fields.lists():
                given += [("the name of a field", name), *((f"the field {name!r}", each) for each in several)]
        for where, text in given:
            if code := unseen(text):
                return refusal(request, Refused(f"{where} holds a letter that nobody can see ({code}); type it anew"))
        return None


class freezes_after_events:  # noqa: N801 - Django names middleware as it is listed
    """Set a copy of the whole book aside after a request that brought an accident or another event in.

    Here and not in each service: an event comes in by many ways, and every one of them freezes a copy.
    """

    def __init__(self, respond: Respond) -> None:
        self.respond = respond

    def __call__(self, request: HttpRequest) -> HttpResponse:
        """Pass on, then freeze what waits for a copy."""
        response = self.respond(request)
        person = getattr(request, "person", "")
        if request.method == "POST" and person and response.status_code < 400:
            freeze_for_waiting(by=person)
        return response


class refusals_in_words:  # noqa: N801 - Django names middleware as it is listed
    """Turn what the desk refuses into a page with one sentence."""

    def __init__(self, respond: Respond) -> None:
        self.respond = respond

    def __call__(self, request: HttpRequest) -> HttpResponse:
        """Pass on."""
        return self.respond(request)

    def process_exception(self, request: HttpRequest, error: Exception) -> HttpResponse | None:
        """Return the page of a refusal, or None for what is no refusal."""
        said = error if isinstance(error, GyrewrightError) else disk_full(error)
        return None if said is None else refusal(request, said)


_STATUS = {
    NotAllowed: 403,
    UnknownName: 404,
    ClockInDoubt: 409,
    TooLarge: 413,
    DiskFull: 507,
    BookBroken: 500,
    Fault: 500,
}


_SECRET = ("password", "old", "new", "again")
_MOST_AGAIN = 60_000


def refusal(request: HttpRequest, error: Exception) -> HttpResponse:
    """Return one sentence as a page.

    Where only the machine stood against an act, and not what was typed, the page holds it to be done again.
    """
    status = next((number for kind, number in _STATUS.items() if isinstance(error, kind)), 400)
    match = request.resolver_match
    if match is not None and match.view_name in IN_JSON:
        return JsonResponse({"error": str(error)}, status=status)
    page: dict[str, Any] = {"sentence": str(error), "is_demo": settings.IS_DEMO}
    if request.method == "POST" and isinstance(error, DiskFull | ClockInDoubt) and not request.FILES:
        typed = [(name, each) for name, several in request.POST.lists() for each in several]
        typed = [(name, each) for name, each in typed if name != "csrfmiddlewaretoken"]
        is_open = not any(name in _SECRET for name, _ in typed)
        page["again"] = typed if is_open and sum(len(each) for _, each in typed) < _MOST_AGAIN else []
    return render(request, "desk/refusal.html", page, status=status)
