"""The release sheet: what a named person released, frozen, to be read on the screen and printed."""

from __future__ import annotations

import json
import uuid
from datetime import datetime
from typing import Any

from django.http import HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from gyrewright.desk import clock
from gyrewright.desk.access import Reach, sees_masses
from gyrewright.desk.book.chain import head_code
from gyrewright.desk.book.reading import head, record_with_id
from gyrewright.desk.book.record import Recorded
from gyrewright.desk.fold.asked import Asked
from gyrewright.desk.fold.frozen import answer_of, has_whole
from gyrewright.desk.pages.flight import is_ones_own
from gyrewright.desk.pages.visit import Visit
from gyrewright.desk.services import state
from gyrewright.desk.services.people import all_people
from gyrewright.desk.services.proving import prove
from gyrewright.desk.services.releases import release_with_id, releases_of
from gyrewright.errors import UnknownName


def release_for(request: Visit, id: uuid.UUID, at: datetime) -> tuple[Recorded, Asked]:
    """Return a release that this visitor reaches, and its flight.

    Raises:
        UnknownName: There is none with this id, or none that this visitor may see.
    """
    record = release_with_id(str(id))
    asked = state.flight(record.act.flight, at)
    if request.reach is Reach.OWN and record.by != request.person and not is_ones_own(asked, request):
        raise UnknownName(f"no release has the id {str(id)!r}")
    return record, asked


@require_safe
def show_release(request: Visit, id: uuid.UUID) -> HttpResponse:
    """Show a release's sheet."""
    now = clock.now()
    record, asked = release_for(request, id, now)
    names = {each: known.name or each for each, known in all_people().items()}
    sees = sees_masses(person=request.person, aboard=asked.aboard, releasing=record.by)
    is_whole = sees and has_whole(record)
    answer = answer_of(record, whole=is_whole)
    conditions = {one["sentence"]: one for each in answer["findings"] for one in each["conditions"]}
    made = next(each for each in releases_of(asked, now) if each.record.id == record.id)
    page = {
        "record": record,
        "asked": asked,
        "by": names.get(record.by, record.by),
        "ended": made.ended,
        "answer": answer,
        "conditions": list(conditions.values()),
        "judged": [judged_told(each, names) for each in record.act.judged],
        "findings": [each for each in answer["findings"] if each["verdict"] != "GO"],
        "held": [each for each in answer["findings"] if each["verdict"] == "GO"],
        "layers": [each for each in answer["findings"] if each["layers"]],
        "facts": json.loads(record.personal.facts) if is_whole else {},
        "sees": sees,
        "carries": json.loads(record.personal.carry) if is_whole else [],
        "code": head_code(record.hash),
        "proof": prove(record.id),
        "met": made.met,
        "head": head(),
    }
    return render(request, "desk/release.html", page)


def judged_told(id: str, names: dict[str, str]) -> dict[str, Any]:
    """Return who judged, when, which finding, and why."""
    record = record_with_id(id)
    return {
        "by": names.get(record.by, record.by),
        "at": record.done_at,
        "finding": record.act.finding,
        "why": record.personal.why if record.personal else "",
    }
