"""Defects: what stands open, one report with every word and date, and what may be done about it by whom."""

from __future__ import annotations

import uuid
from collections.abc import Callable
from datetime import date
from typing import Any

from django.conf import settings
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods, require_safe

from gyrewright.desk.access import Reach
from gyrewright.desk.access import reach as reach_of
from gyrewright.desk.book.kinds.upkeep import Restriction
from gyrewright.desk.pages.reporting import SAID, said_before, status_of
from gyrewright.desk.pages.visit import Visit
from gyrewright.desk.refusal import Refused
from gyrewright.desk.services import defects, state
from gyrewright.desk.services.due import house_of
from gyrewright.desk.services.entitling import allowed
from gyrewright.desk.services.matter import Lock, Report
from gyrewright.desk.services.matters import matters_of, report_with_id
from gyrewright.desk.services.people import all_people
from gyrewright.desk.services.records import new_id
from gyrewright.desk.services.reporting import keep_photos
from gyrewright.desk.services.taking import is_taken, read_answers, take
from gyrewright.desk.services.telling import helpers, message_of, told_by_hand
from gyrewright.desk.services.toml_text import toml_text
from gyrewright.desk.services.upkeep import AREAS
from gyrewright.errors import GyrewrightError, UnknownName
from gyrewright.limits import PURPOSES
from gyrewright.maintenance.defects import ASSESS, CLOSE, CLOSE_REPEATED, DEFER

REPORT = "report a defect"
LIMITED = ("wind", "crosswind", "gust spread")
"""What a carried defect may put a number on, beside what it says in words."""

QUESTIONS = (
    ("equipment_list", "Does the type's list of equipment require it?"),
    ("this_flight", "Does the rule for this kind of flight require it?"),
    ("directive", "Does a directive require it?"),
    ("judged_safe", "Do you, who are competent to, judge that it is no hazard?"),
)
"""The four questions before a deferral, in their order."""

_FORMS = {"assess": ASSESS, "defer": DEFER, "close": CLOSE}
"""Acts with a page of their own, and the act of the table of roles that each takes."""


@require_safe
def show_defects(request: Visit) -> HttpResponse:
    """Show what stands open on every aircraft."""
    at = state.asking_at()
    fleet = [(each.definition, matters_of(each.definition.id, at)) for each in state.fleet(at)]
    return render(request, "desk/defects.html", {"fleet": fleet, "may_report": may_report(request)})


def may_report(request: Visit) -> bool:
    """Return whether this visitor may report anything."""
    return reach_of(route="report-defect", roles=request.roles) is not Reach.NONE


@require_safe
def show_defect(request: Visit, id: uuid.UUID) -> HttpResponse:
    """Show one report with everything said since."""
    return render(request, "desk/defect.html", _page(request, str(id)))


def _page(request: Visit, id: str) -> dict[str, Any]:
    at = state.asking_at()
    report = report_with_id(id, at)
    definition = state.machine(report.aircraft, at).aircraft.definition
    conflicts = [each for each in matters_of(report.aircraft, at).conflicts if _touches(each.of, report)]
    acts = _FORMS | ({"close": CLOSE_REPEATED} if report.run else {})
    person, aircraft = request.person, report.aircraft
    may = {name: bool(allowed(act, person=person, aircraft=aircraft).allowed) for name, act in acts.items()}
    return {
        "report": report,
        "definition": definition,
        "conflicts": conflicts,
        "may": may,
        "may_report": may_report(request),
        "is_taken": is_taken(report),
        "is_mine": report.record.by == request.person,
        "said": said_before(request),
        "tell": tell_whom(report),
        "names": {each: known.name or each for each, known in all_people().items()},
    }


def _touches(of: str, report: Report) -> bool:
    return of in {report.id, report.record.id, *(each.record.id for each in report.acts)}


def tell_whom(matter: Report | Lock) -> dict[str, Any]:
    """Return the message about a report, ready to send, to whom, and what became of it so far."""
    at = state.asking_at()
    message = message_of(matter, at)
    names = {id: known.name or id for id, known in all_people().items()}
    return {
        "message": message,
        "helpers": [(each, message.to(each.address)) for each in helpers(matter.aircraft, at)],
        "open": message.to(""),
        "sent": [(each, names.get(each.act.to, each.act.to)) for each in matter.sent],
        "has_mail": settings.MAIL is not None,
    }


@require_http_methods(["GET", "HEAD", "POST"])
def act_on(request: Visit, id: uuid.UUID, act: str) -> HttpResponse:
    """Show the page of an act, or take it in and go back to the report.

    Raises:
        UnknownName: There is no such act.
    """
    if act not in _ACTS:
        raise UnknownName(f"nothing is done about a defect under {act!r}")
    report = report_with_id(str(id), state.asking_at())
    said, status = "", 200
    if request.method == "POST":
        try:
            _ACTS[act](request, report)
            return redirect("defect", id=report.id)
        except GyrewrightError as error:
            said, status = str(error), status_of(error)
    if act not in _FORMS:
        if said:
            # A short form stands on the report's own page; what was typed into it is shown there again.
            page = _page(request, report.id) | {"said": said, "given": request.POST}
            return render(request, "desk/defect.html", page, status=status)
        return redirect("defect", id=report.id)
    page = {
        "report": report,
        "definition": state.machine(report.aircraft, state.asking_at()).aircraft.definition,
        "act": act,
        "said": said,
        "given": request.POST,
        "chosen": {name: request.POST.getlist(name) for name in ("not_for", "areas", "workers")},
        "id": request.POST.get("id") or new_id(),
        "seen": request.POST.get("seen") or report.last_act.record.id,
        "questions": QUESTIONS,
        "answered": {name: request.POST.get(name, "") for name, _ in QUESTIONS},
        "looked_at_twice": sorted(_looked_at_twice()),
        "purposes": PURPOSES,
        "limited": LIMITED,
        "areas": (*AREAS, *sorted(_looked_at_twice() - set(AREAS))),
        "people": sorted((person.name, one) for one, person in state.folk(state.asking_at()).people.items()),
        "may": bool(allowed(_FORMS[act], person=request.person, aircraft=report.aircraft).allowed),
    }
    return render(request, f"desk/defect-{act}.html", page, status=status)


def _looked_at_twice() -> frozenset[str]:
    """Return the areas for which the house asks for a second look."""
    try:
        return house_of(state.asking_at()).second_look_areas
    except GyrewrightError:
        return frozenset()


def _text(request: Visit, name: str) -> str:
    return request.POST.get(name, "").strip()[:4000]


def _yes_no(request: Visit, name: str) -> bool | None:
    """Return what was answered; None where nothing was."""
    return {"yes": True, "no": False}.get(request.POST.get(name, ""))


def _restriction(request: Visit) -> Restriction | None:
    """Return what flights keep to, as far as the form says anything."""
    aboard, of, most = _text(request, "aboard"), _text(request, "limit_of"), _text(request, "at_most")
    if aboard and aboard not in ("1", "2"):
        raise Refused("write how many may be aboard at most: 1 or 2")
    if bool(of) != bool(most):
        raise Refused("a number needs what it is on, and its unit: choose one and write such as 10 kt")
    row = {"of": of, "at_most": most, **({"counts": "gust"} if of in ("wind", "crosswind") else {})}
    made = Restriction(
        day_only=request.POST.get("day_only") == "yes",
        aboard_at_most=int(aboard) if aboard else None,
        not_for=tuple(sorted(set(request.POST.getlist("not_for")))),
        also=_text(request, "also"),
        limits=toml_text({"limit": [row]}) if of else "",
    )
    return None if made == Restriction() else made


def _assess(request: Visit, report: Report) -> None:
    class_: Any = request.POST.get("class", "")
    defects.assess(
        id=request.POST.get("id", ""),
        defect=report.id,
        class_=class_,
        words=_text(request, "words"),
        restriction=_restriction(request) if class_ == "L" else None,
        by=request.person,
        seen=request.POST.get("seen", ""),
    )


def _defer(request: Visit, report: Report) -> None:
    required = {
        name: answer
        for name in ("equipment_list", "this_flight", "directive")
        if (answer := _yes_no(request, name)) is not None
    }
    made_safe: Any = request.POST.get("made_safe", "")
    defects.defer(
        id=request.POST.get("id", ""),
        defect=report.id,
        required=required,
        judged_safe=_yes_no(request, "judged_safe"),
        made_safe=made_safe,
        placard=_text(request, "placard"),
        until_on=_day(request, "until_on"),
        until_sunset=request.POST.get("until") == "sunset",
        look_again=_text(request, "look_again"),
        words=_text(request, "words"),
        restriction=_restriction(request),
        by=request.person,
        seen=request.POST.get("seen", ""),
    )


def _day(request: Visit, name: str) -> date | None:
    text = _text(request, name)
    if not text:
        return None
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise Refused(f"{text!r} is no day; write it as 2027-06-30") from None


def _close(request: Visit, report: Report) -> None:
    defects.close(
        id=request.POST.get("id", ""),
        defect=report.id,
        words=_text(request, "words"),
        is_nothing_done=request.POST.get("done") == "nothing",
        areas=tuple(request.POST.getlist("areas")),
        workers=tuple(request.POST.getlist("workers")),
        changes_handling=_yes_no(request, "changes_handling"),
        reference=_text(request, "reference"),
        by=request.person,
        seen=request.POST.get("seen", ""),
    )


def _reopen(request: Visit, report: Report) -> None:
    id, words, seen = request.POST.get("id", ""), _text(request, "words"), request.POST.get("seen", "")
    defects.reopen(id=id, defect=report.id, words=words, by=request.person, seen=seen)


def _note(request: Visit, report: Report) -> None:
    id = request.POST.get("id", "")
    photos = keep_photos(request.FILES.getlist("photo"), person=request.person, record=id)
    words = _text(request, "words")
    defects.note(id=id, defect=report.id, words=words, photos=photos.kept, by=request.person)
    if photos.refused:
        request.session[SAID] = f"the note is kept, and this of it is not: {'; '.join(photos.refused)}"


def _take(request: Visit, report: Report) -> None:
    take(id=request.POST.get("id", ""), matter=report, by=request.person)


def _read(request: Visit, report: Report) -> None:
    read_answers(id=request.POST.get("id", ""), matter=report, by=request.person)


def _compare(request: Visit, report: Report) -> None:
    defects.compare(
        id=request.POST.get("id", ""),
        defects=(request.POST.get("other", ""), report.id),
        same=_yes_no(request, "same"),
        words=_text(request, "words"),
        by=request.person,
    )


def _look_at_closing(request: Visit, report: Report) -> None:
    defects.look_at_closing(
        id=request.POST.get("id", ""), defect=report.id, words=_text(request, "words"), by=request.person
    )


def _told(request: Visit, report: Report) -> None:
    told_by_hand(id=request.POST.get("id", ""), matter=report, to=request.POST.get("to", ""), by=request.person)


_ACTS: dict[str, Callable[[Visit, Report], None]] = {
    "assess": _assess,
    "defer": _defer,
    "close": _close,
    "reopen": _reopen,
    "note": _note,
    "take": _take,
    "read": _read,
    "compare": _compare,
    "leave-closed": _look_at_closing,
    "told": _told,
}
"""What can be done about a report, by the word in its address."""
