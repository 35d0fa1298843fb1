"""What walk-rounds and exercises teach: misses by zone, items never failed, what maintainers alone find, proposals."""

from __future__ import annotations

from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_POST, require_safe

from gyrewright.desk.pages.reporting import status_of
from gyrewright.desk.pages.visit import Visit
from gyrewright.desk.services import state
from gyrewright.desk.services.entitling import allowed
from gyrewright.desk.services.exercise import INSTRUCTS
from gyrewright.desk.services.exercises import exercises
from gyrewright.desk.services.teaching import DECIDE, by_zone, decide_item, ended, list_record, total
from gyrewright.errors import GyrewrightError

FEW = 3
"""So many people's exercises are told together to somebody who does not teach: fewer would say who found what."""


@require_safe
def show_teaching(request: Visit) -> HttpResponse:
    """Show what was learned, without anybody's name."""
    return _shown(request)


def _shown(request: Visit, said: str = "", status: int = 200) -> HttpResponse:
    at = state.asking_at()
    over = ended(exercises(at).values())
    is_held_back = 0 < len({each.student for each in over}) < FEW and not request.roles & INSTRUCTS
    if is_held_back:
        over = ()
    page = {
        "over": over,
        "is_held_back": is_held_back,
        "few": FEW,
        "total": total(over),
        "zones": by_zone(over),
        "record": list_record(at),
        "may_decide": bool(allowed(DECIDE, person=request.person).allowed),
        "given": request.POST,
        "said": said,
    }
    return render(request, "desk/teaches.html", page, status=status)


@require_POST
def decide(request: Visit) -> HttpResponse:
    """Take in a decision on a proposal."""
    given = {name: request.POST.get(name, "").strip()[:1000] for name in ("item", "proposal", "decided", "why")}
    try:
        decide_item(id=request.POST.get("id", ""), by=request.person, **given)
    except GyrewrightError as error:
        return _shown(request, str(error), status_of(error))
    return redirect("teaches")
