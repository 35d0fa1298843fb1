"""The Records page: what was entered, in order; the head; whether the book is whole."""

from __future__ import annotations

import uuid
from collections.abc import Collection, Mapping
from dataclasses import fields, is_dataclass
from datetime import date, datetime
from typing import Any

from django.conf import settings
from django.db.models import Q
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_POST, require_safe

from gyrewright.desk import clock
from gyrewright.desk.access import Reach
from gyrewright.desk.access import reach as reach_of
from gyrewright.desk.book.clockwatch import watch
from gyrewright.desk.book.kinds import KINDS
from gyrewright.desk.book.models import Record
from gyrewright.desk.book.reading import head, read_rows, record_with_id
from gyrewright.desk.book.record import Recorded
from gyrewright.desk.book.verify import verify
from gyrewright.desk.fold.standing import standing
from gyrewright.desk.pages.visit import Visit
from gyrewright.desk.refusal import DiskFull
from gyrewright.desk.services import state
from gyrewright.desk.services.copies import last_copy, make_copy
from gyrewright.desk.services.exercises import secret_fields
from gyrewright.desk.services.freezing import freeze_for_waiting, frozen_copies, waiting
from gyrewright.desk.services.people import all_people, is_own
from gyrewright.desk.services.records import confirm_clock
from gyrewright.desk.services.wholeness import looked_at_all
from gyrewright.desk.services.withdrawing import may_withdraw, withdraw_mistake
from gyrewright.errors import UnknownName

ON_A_PAGE = 50
HIDDEN = "told once the exercise has ended"


@require_safe
def show_records(request: Visit) -> HttpResponse:
    """Show records, newest first, as far as this person reaches."""
    return render(request, "desk/records.html", _list(request))


def _list(request: Visit) -> dict[str, Any]:
    found = Record.objects.order_by("-seq")
    if request.reach is Reach.OWN:
        found = found.filter(Q(by=request.person) | Q(about=request.person) | Q(about__in=request.aircraft))
    kind, about = request.GET.get("kind", ""), request.GET.get("about", "").strip()[:100]
    if kind in KINDS:
        found = found.filter(kind=kind)
    if about:
        found = found.filter(about=about)
    before = request.GET.get("before", "")
    if before.isascii() and before.isdigit() and len(before) < 12:
        found = found.filter(seq__lt=int(before))
    rows = read_rows(found[: ON_A_PAGE + 1])
    names = _names()
    return {
        "rows": [_row(each, names) for each in rows[:ON_A_PAGE]],
        "older": rows[ON_A_PAGE - 1].seq if len(rows) > ON_A_PAGE else None,
        "kinds": sorted((each.called, each.name) for each in KINDS.values()),
        "kind": kind,
        "about": about,
        "is_own": request.reach is Reach.OWN,
        "head": head(),
        "last_copy": last_copy(),
        "waiting": waiting(),
        "may_copy": reach_of(route="copy-make", roles=request.roles) is not Reach.NONE,
        "may_see_frozen": reach_of(route="frozen", roles=request.roles) is not Reach.NONE,
        "may_verify": reach_of(route="records-verify", roles=request.roles) is not Reach.NONE,
        "new_id": str(uuid.uuid4()),
        **_clock(request),
    }


def _clock(request: Visit) -> dict[str, Any]:
    """Return what speaks against this machine's clock and who has found it right, for those who may say so too."""
    seen = watch(clock.now())
    names = _names()
    return {
        "doubt": seen.doubt,
        "confirmed_by": [names.get(each, each) for each in seen.confirmed_by],
        "may_confirm": reach_of(route="clock-confirm", roles=request.roles) is not Reach.NONE
        and request.person not in seen.confirmed_by,
        "clock_id": str(uuid.uuid4()),
    }


def _names() -> dict[str, str]:
    return {id: known.name for id, known in all_people().items() if known.name}


def _row(record: Recorded, names: dict[str, str]) -> dict[str, Any]:
    return {
        "record": record,
        "by": names.get(record.by, record.by),
        "about": names.get(record.about, record.about),
        "gist": _gist(record, names),
    }


def _gist(record: Recorded, names: dict[str, str]) -> str:
    parts = []
    for name, value in _told(record):
        text = _text(value, names)
        if text and len(text) <= 60 and "\n" not in text:
            parts.append(f"{name} {text}")
    return "; ".join(parts[:3])


def told(act: Any, names: Mapping[str, str], hidden: Collection[str] = ()) -> list[tuple[str, str]]:
    """Return an act's fields by name as texts; what was not said is left out, and what is hidden is said to be."""
    given = [(name, HIDDEN if name in hidden and value else value) for name, value in _given(act)]
    return [(name, text) for name, value in given if (text := _text(value, dict(names)))]


def _told(record: Recorded) -> list[tuple[str, Any]]:
    """Return what a record says, without what tells where a training marker hangs that is still looked for."""
    hidden = secret_fields(record, state.asking_at())
    return [(name, HIDDEN if name in hidden and value else value) for name, value in _given(record.act)]


def _given(act: Any) -> list[tuple[str, Any]]:
    return [(each.name.replace("_", " "), getattr(act, each.name)) for each in fields(act)]


def _text(value: Any, names: dict[str, str]) -> str:
    if value is None or value == () or value == {} or value == "":
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, datetime):
        return value.strftime("%-d %b %Y %H:%M UTC")
    if isinstance(value, date):
        return value.strftime("%-d %b %Y")
    if isinstance(value, tuple):
        return ", ".join(_text(each, names) for each in value)
    if is_dataclass(value):
        return " ".join(text for _, part in _given(value) if (text := _text(part, names)))
    if isinstance(value, dict):
        return ", ".join(f"{key} {_text(each, names)}" for key, each in value.items())
    return names.get(value, str(value)) if isinstance(value, str) else str(value)


@require_safe
def show_record(request: Visit, id: uuid.UUID) -> HttpResponse:
    """Show one record as it was entered, with what points at it."""
    record = record_with_id(str(id))
    if request.reach is Reach.OWN and not is_own(record, person=request.person, aircraft=request.aircraft):
        # The same words as for an id that is not there: who may not see it does not learn that it exists.
        raise UnknownName(f"no record has the id {str(id)!r}")
    names = _names()
    later = read_rows(Record.objects.filter(Q(corrects=record.id) | Q(kind="clash", body__contains=record.id)))
    family = [record, *later]
    counts = {each.id for each in standing(family).records}
    # What lies beside the chain is shown to the person it is about and to whoever wrote it, to nobody else here.
    sees_personal = request.person in (record.by, record.about)
    page = {
        "record": record,
        "by": names.get(record.by, record.by),
        "about": names.get(record.about, record.about),
        "facts": [(name, text, "\n" in text) for name, value in _told(record) if (text := _text(value, names))],
        "personal": (
            [(name, _text(value, names)) for name, value in _given(record.personal)]
            if sees_personal and record.personal is not None
            else []
        ),
        "has_hidden": record.personal is not None and not sees_personal,
        "may_withdraw": may_withdraw(record, by=request.person),
        "withdraw_id": str(uuid.uuid4()),
        "later": [_row(each, names) for each in later],
        "counts": record.id in counts,
    }
    return render(request, "desk/record.html", page)


@require_POST
def verify_book(request: Visit) -> HttpResponse:
    """Walk the whole chain and say on the Records page what was found."""
    found = verify(settings.DATA_DIR)
    looked_at_all(head=found.head, broken="" if found.is_whole else str(found.breaks[0]))
    request.reach = reach_of(route="records", roles=request.roles)
    return render(request, "desk/records.html", _list(request) | {"verified": found})


@require_POST
def confirm_this_clock(request: Visit) -> HttpResponse:
    """Record that this person found the machine's clock right."""
    confirm_clock(
        id=request.POST.get("id", ""), by=request.person, read_from=request.POST.get("read_from", "").strip()[:200]
    )
    return redirect("records")


@require_POST
def copy_book(request: Visit) -> HttpResponse:
    """Make a copy of the whole book in the data folder."""
    make_copy(id=request.POST.get("id", ""), by=request.person)
    return redirect("records")


@require_safe
def show_frozen(request: Visit) -> HttpResponse:
    """Show every copy that was set aside after an event, and whether its file is still untouched."""
    names = _names()
    page = {
        "frozen": [{"copy": each, "by": names.get(each.record.by, each.record.by)} for each in frozen_copies()],
        "waiting": waiting(),
        "may_freeze": reach_of(route="frozen-make", roles=request.roles) is not Reach.NONE,
        "folder": settings.DATA_DIR / "frozen",
    }
    return render(request, "desk/frozen.html", page)


@require_POST
def freeze_now(request: Visit) -> HttpResponse:
    """Set a copy aside for the events that still wait for one."""
    if waiting() and freeze_for_waiting(by=request.person) is None:
        raise DiskFull("no copy could be set aside: free some space in the data folder and try again")
    return redirect("frozen")


@require_POST
def withdraw_record(request: Visit, id: uuid.UUID) -> HttpResponse:
    """Record that a record was entered by mistake, and show it as taken back."""
    record = record_with_id(str(id))
    if request.reach is Reach.OWN and not is_own(record, person=request.person, aircraft=request.aircraft):
        raise UnknownName(f"no record has the id {str(id)!r}")
    withdraw_mistake(
        id=request.POST.get("id", "") or str(uuid.uuid4()),
        record=record.id,
        why=request.POST.get("why", "").strip()[:400],
        by=request.person,
    )
    return redirect("record", id=record.id)
