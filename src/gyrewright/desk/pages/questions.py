"""Two truths beside each other, and a person's answer to which of them counts."""

from __future__ import annotations

import uuid
from collections.abc import Mapping
from typing import Any

from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_POST, require_safe

from gyrewright.desk.access import Reach
from gyrewright.desk.book.reading import record_with_id
from gyrewright.desk.pages.records import told
from gyrewright.desk.pages.visit import Visit
from gyrewright.desk.services import state
from gyrewright.desk.services.exercises import secret_fields
from gyrewright.desk.services.people import all_people, is_own
from gyrewright.desk.services.questions import Question, question_about, settle
from gyrewright.errors import UnknownName


@require_safe
def show_question(request: Visit, id: uuid.UUID) -> HttpResponse:
    """Show what is told differently of one record."""
    _reached(request, str(id))
    asked = question_about((str(id),))
    names = {each: known.name or each for each, known in all_people().items()}
    page = {"id": str(id), "question": tellings(asked, names, request.person) if asked else None}
    return render(request, "desk/question.html", page)


@require_POST
def settle_question(request: Visit, id: uuid.UUID) -> HttpResponse:
    """Record which telling is true."""
    _reached(request, str(id))
    settle(ids=(str(id),), answer=request.POST.get("true", ""), by=request.person)
    return redirect("question", id=id)


def _reached(request: Visit, id: str) -> None:
    record = record_with_id(id)
    if request.reach is Reach.OWN and not is_own(record, person=request.person, aircraft=request.aircraft):
        raise UnknownName(f"no record has the id {id!r}")


_WHICH = ("meter", "by_what", "kind", "task", "name")
"""Fields that tell several acts of one kind apart."""


def tellings(asked: Question, names: Mapping[str, str], person: str) -> list[dict[str, Any]]:
    """Return each telling in words, without what all of them say alike, nor what is only its writer's to read."""
    several = []
    for telling in asked.tellings:
        facts: dict[str, str] = {}
        for content in telling.contents:
            hidden = secret_fields(content, state.asking_at())
            which = next((str(value) for each in _WHICH if (value := getattr(content.act, each, ""))), "")
            of = f"{content.called} {which}".strip()
            facts |= {f"{of}: {name}": text for name, text in told(content.act, names, hidden) if text != which}
            facts[f"{of}: done"] = f"{content.done_at:%-d %b %Y %H:%M} UTC"
            if content.personal is not None and person in (content.by, content.about):
                facts |= {f"{of}: {name}": text for name, text in told(content.personal, names)}
        several.append(facts)
    alike = set(several[0].items()).intersection(*(set(each.items()) for each in several[1:])) if several else set()
    return [
        {
            "number": number,
            "by": names.get(telling.by, telling.by),
            "at": telling.entered_at,
            "facts": [item for item in facts.items() if item not in alike],
        }
        for number, (telling, facts) in enumerate(zip(asked.tellings, several, strict=True))
    ]
