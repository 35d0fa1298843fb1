"""Today: the weather, the flights asked for, what changed since each aircraft last flew, what is due, kept safe."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from django.http import HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from gyrewright.desk import clock
from gyrewright.desk.access import Reach, sees_masses
from gyrewright.desk.access import reach as reach_of
from gyrewright.desk.book.reading import find_records, head
from gyrewright.desk.book.record import Recorded
from gyrewright.desk.fold.asked import Asked
from gyrewright.desk.pages.flight import is_ones_own
from gyrewright.desk.pages.today_reports import reports_today
from gyrewright.desk.pages.visit import Visit
from gyrewright.desk.services import state
from gyrewright.desk.services.answers import Answered, answered
from gyrewright.desk.services.copies import last_copy
from gyrewright.desk.services.freezing import waiting
from gyrewright.desk.services.logs import has_question
from gyrewright.desk.services.people import all_people
from gyrewright.desk.services.releases import may_release, releases_of, sentence_without_masses
from gyrewright.errors import GyrewrightError
from gyrewright.maintenance.clocks import IN_DATE
from gyrewright.maintenance.due import due_list
from gyrewright.words.tell import tell
from gyrewright.words.voice import voice_of

SHOWN = 3
CHANGES = (
    "defect-reported",
    "defect-assessed",
    "defect-deferred",
    "defect-closed",
    "event-reported",
    "event-cleared",
    "work-done",
    "work-signed",
    "touched",
    "task-done",
    "marker-placed",
    "aircraft-defined",
)


@require_safe
def show_today(request: Visit) -> HttpResponse:
    """Show the day."""
    at = state.asking_at()
    zone = state.zone()
    on = at.astimezone(zone).date()
    names = {id: known.name or id for id, known in all_people().items()}
    reached = [
        asked
        for asked in state.flights(at).values()
        if asked.act.depart_at.astimezone(zone).date() == on
        and asked.dropped_at is None
        and (request.reach is Reach.ALL or is_ones_own(asked, request))
    ]
    page: dict[str, Any] = {
        "on": on,
        "at": at,
        "rows": [_row(asked, at, request, names) for asked in reached],
        "is_own": request.reach is Reach.OWN,
        "may_ask": reach_of(route="flight-ask", roles=request.roles) is not Reach.NONE,
        "may_book": reach_of(route="calendar", roles=request.roles) is not Reach.NONE,
        "last_copy": last_copy(),
        "reports": reports_today(request, at),
        "waiting": waiting(),
        "head": head(),
        "doubt": state.clock_doubt(),
    }
    try:
        page |= {"place": state.house(at).field.name, "weather": _weather(reached, at)}
        page |= {"machines": [_machine(id, at, names) for id in state.fleet_ids()]}
    except GyrewrightError as error:
        page["lacking"] = str(error)
    return render(request, "desk/today.html", page)


def _row(asked: Asked, at: datetime, request: Visit, names: dict[str, str]) -> dict[str, Any]:
    act = asked.act
    lead = act.instructor or act.examiner or act.commander
    others = [names.get(each, each) for each in act.seats.values() if each and each not in (lead, "empty")]
    alone = lead not in act.seats.values()
    crew = " and ".join(others) if alone else " with ".join([names.get(lead, lead), *others])
    row: dict[str, Any] = {"asked": asked, "crew": f"{crew} alone" if alone or not others else crew}
    if asked.done is not None:
        name = state.machine(asked.aircraft, at).aircraft.definition.name
        return row | {"name": name, "asks": has_question(asked, at)}
    try:
        found = answered(asked, at)
    except GyrewrightError as error:
        return row | {"problem": str(error)}
    releasing = request.person if may_release(found, request.person) else ""
    sees = sees_masses(person=request.person, aboard=asked.aboard, releasing=releasing)
    key = ("row", asked.id, asked.record.seq, at, state.head_seq())
    whole, hidden, more = state.kept(key, lambda: _sentences(found))
    released = next((each for each in releases_of(asked, clock.now(), answer_at=at) if each.holds), None)
    return row | {
        "verdict": found.verdict,
        "sentence": whole if sees else hidden,
        "more": more,
        "name": found.question.definition.name,
        "released": released,
        "is_over": asked.act.depart_at <= at,
    }


def _sentences(found: Answered) -> tuple[str, str, str]:
    said = tell(found.answer)
    return said.sentence, sentence_without_masses(said), said.more


def _weather(reached: list[Asked], at: datetime) -> dict[str, Any]:
    """Return the newest report, its age, and the end of the day, as the first flight's answer counts them."""
    for asked in reached:
        try:
            found = answered(asked, at)
        except GyrewrightError:
            continue
        sheet = found.answer.situation.sheet
        voice = voice_of(found.answer.situation)
        observed = sheet.value("observed_at")
        reported = sheet.cell("reported")
        return {
            "report": sheet.value("reported").observed_by if reported.known is True else "",
            "age": voice.age(observed) if observed is not None else "",
            "sunset": sheet.value("sunset_at"),
        }
    return {}


def _machine(id: str, at: datetime, names: dict[str, str]) -> dict[str, Any]:
    return state.kept(("of the day", id, at, state.head_seq()), lambda: _of_the_day(id, at, names))


def _of_the_day(id: str, at: datetime, names: dict[str, str]) -> dict[str, Any]:
    made = state.machine(id, at)
    records = find_records(about=id)
    flown = [each for each in records if each.kind in ("flight-done", "meter-read") and each.done_at <= at]
    last = max(flown, key=lambda each: each.done_at) if flown else None
    since = [
        _changed(each, names)
        for each in records
        if each.kind in CHANGES and last is not None and last.done_at < each.done_at <= at
    ]
    return {
        "definition": made.aircraft.definition,
        "last": last,
        "by": names.get(last.by, last.by) if last else "",
        "since": since[-6:],
        "due": _due(id, at),
    }


def _changed(record: Recorded, names: dict[str, str]) -> str:
    act = record.act
    what = next(
        (getattr(act, name) for name in ("what", "words", "item", "task", "kind") if getattr(act, name, "")), ""
    )
    return f"{record.called} {what}, {names.get(record.by, record.by)}".replace("  ", " ")


def _due(id: str, at: datetime) -> list[str]:
    made = state.machine(id, at).aircraft
    if made.program is None or made.records is None:
        return ["nobody can say: its program or its books are not entered"]
    on = at.astimezone(state.zone()).date()
    out = []
    for due in due_list(made.program, made.records, on=on, purpose="instruction")[:SHOWN]:
        if due.state != IN_DATE or due.remaining is None:
            out.append(f"{due.task.name}: {due.state}")
        elif due.unit == "h":
            out.append(f"{due.task.name}: {int(due.remaining * 10 + 1e-6) / 10:g} h left")
        else:
            out.append(f"{due.task.name}: {due.remaining:g} {due.unit} left")
    return out
