"""One page for every form: what it asks, what was typed, and what is wrong with it, in one sentence."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import replace
from typing import Any
from uuid import UUID, uuid4, uuid5

from django.http import HttpResponse
from django.shortcuts import redirect, render

from gyrewright.desk.access import Reach
from gyrewright.desk.access import reach as reach_of
from gyrewright.desk.book.models import Record
from gyrewright.desk.book.reading import find_records, record_with_id
from gyrewright.desk.book.record import Recorded
from gyrewright.desk.pages.forms.fields import SEVERAL, Field, Given, filled
from gyrewright.desk.pages.forms.form import Form, Scene
from gyrewright.desk.pages.visit import Visit
from gyrewright.desk.refusal import ClockInDoubt, DiskFull, NotAllowed, Refused
from gyrewright.desk.services import state
from gyrewright.desk.services.people import is_own
from gyrewright.desk.services.records import new_id
from gyrewright.errors import GyrewrightError, UnknownName

_CHOSEN = ("task", "meter", "part", "serial", "work", "paper", "role")
"""What an address may choose beforehand."""


def form_named(forms: Mapping[str, Form], name: str) -> Form:
    """Return a form by its name.

    Raises:
        UnknownName: There is none.
    """
    if name not in forms:
        raise UnknownName(f"there is nothing to enter under {name!r}")
    return forms[name]


def scene_of(request: Visit, form: Form, about: str) -> Scene:
    """Return where a form stands for this visitor; the record it corrects is one of its own kind and subject."""
    given = request.POST if request.method == "POST" else request.GET
    corrects = given.get("corrects", "")
    return Scene(
        about=about,
        by=request.person,
        at=state.asking_at(),
        id=form_id(request) if request.method == "POST" else new_id(),
        earlier=_earlier(corrects, form, about) if corrects else None,
        chosen={name: text for name in _CHOSEN if (text := str(request.GET.get(name, ""))[:200])},
    )


def form_id(request: Visit) -> str:
    """Return the id of an act: that of the form it was typed into, together with what was typed.

    Handing in the same form twice enters it once; going back and typing something else is another act.
    """
    text = request.POST.get("id", "")
    try:
        form = UUID(text) if text else uuid4()
    except ValueError:
        raise Refused("this form is broken; open it again and type it anew") from None
    typed = sorted((key, *values) for key, values in request.POST.lists() if key not in ("id", "csrfmiddlewaretoken"))
    return str(uuid5(form, json.dumps([request.path, typed])))


def _earlier(id: str, form: Form, about: str) -> Recorded:
    found = record_with_id(id)
    if found.about != about or found.kind != form.kind or form.fill is None:
        raise Refused("that record cannot be corrected by this form")
    if any(each.act is not None for each in find_records(corrects=id)):
        raise Refused("that record has been corrected or withdrawn already; correct the newer one")
    return found


def enter(
    request: Visit,
    form: Form,
    scene: Scene,
    *,
    title: str,
    back: str,
    back_words: str,
    more: Mapping[str, Any] | None = None,
) -> HttpResponse:
    """Show a form, or take in what was typed and go back to the page it belongs to.

    What is refused is said above the form, and everything that was typed is still in it.
    """
    fields = form.fields(scene)
    said, status = "", 200
    if request.method == "POST":
        if Record.objects.filter(id=scene.id).exists():
            return redirect(back)
        try:
            given = Given(request.POST, fields, scene.zone)
            given.check()
            form.record(scene, given)
            return redirect(back)
        except GyrewrightError as error:
            said, status = str(error), status_of(error)
        several = {each.name: request.POST.getlist(each.name) for each in fields if each.kind == SEVERAL}
        fields = filled(fields, request.POST.dict(), several)
    elif scene.earlier is not None and form.fill is not None:
        fields = _as_it_was(fields, form.fill(scene.earlier))
    page = {
        "form": form,
        "fields": fields,
        "said": said,
        "scene": scene,
        "form_id": request.POST.get("id") or new_id(),
        "earlier_by": scene.name(scene.earlier.by) if scene.earlier is not None else "",
        "title": title,
        "back": back,
        "back_words": back_words,
        **(more or {}),
    }
    return render(request, "desk/enter.html", page, status=status)


def _as_it_was(fields: tuple[Field, ...], held: Mapping[str, Any]) -> tuple[Field, ...]:
    return tuple(
        replace(each, values=tuple(held.get(each.name, ())))
        if each.kind == SEVERAL
        else replace(each, value=str(held.get(each.name, "")))
        for each in fields
    )


def opens_record(request: Visit, record: Recorded) -> bool:
    """Return whether a visitor may open a record, so that only those are offered as links."""
    far = reach_of(route="record", roles=request.roles)
    own = is_own(record, person=request.person, aircraft=request.aircraft)
    return far is Reach.ALL or (far is Reach.OWN and own)


def status_of(error: GyrewrightError) -> int:
    """Return the status under which a form is shown again."""
    if isinstance(error, NotAllowed):
        return 403
    if isinstance(error, ClockInDoubt):
        return 409
    return 507 if isinstance(error, DiskFull) else 400
