"""Today: the weather, the flights asked for, what changed since each aircraft last flew, what is due, kept safe."""

from __future__ import annotations

from datetime import date, datetime
from typing import Any

from django.http import HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from gyrewright.desk import clock
from gyrewright.desk.access import Reach, sees_masses
from gyrewright.desk.access import reach as reach_of
from gyrewright.desk.book.reading import head
from gyrewright.desk.fold.asked import Asked
from gyrewright.desk.fold.bookings import Booking
from gyrewright.desk.fold.standing import Conflict
from gyrewright.desk.pages.flight import is_ones_own
from gyrewright.desk.pages.today_reports import reports_today
from gyrewright.desk.pages.visit import Visit
from gyrewright.desk.reader import as_read
from gyrewright.desk.services import state
from gyrewright.desk.services.answers import Answered, answered
from gyrewright.desk.services.bookings import bookings
from gyrewright.desk.services.copies import last_copy
from gyrewright.desk.services.due import NextDue, booked_beyond, next_due, standing_of
from gyrewright.desk.services.flown import ids_of
from gyrewright.desk.services.freezing import waiting
from gyrewright.desk.services.logs import has_question
from gyrewright.desk.services.people import all_people, is_own
from gyrewright.desk.services.questions import not_of_flights
from gyrewright.desk.services.releases import may_release, releases_of, sentence_without_masses
from gyrewright.desk.services.since import since_flown
from gyrewright.desk.services.wholeness import look
from gyrewright.errors import GyrewrightError
from gyrewright.finding import Verdict
from gyrewright.release.question import Aircraft
from gyrewright.units import rounded
from gyrewright.words.tell import tell
from gyrewright.words.voice import voice_of

SHOWN = 3
CHANGES_SHOWN = 6
PURPOSE = "instruction"
"""What due dates are asked for on this page: the flights to which most layers apply."""


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
        "looked": look(),
        "booked": _booked(on, at, request),
        "questions": _questions(at, request),
        "doubt": state.clock_doubt(),
    }
    try:
        page |= {"place": state.house(at).field.name, "weather": _weather(reached, at)}
        machines = [_machine(id, at, names) for id in state.fleet_ids()]
        page |= {"machines": machines, "opens": _opens(machines, request)}
    except GyrewrightError as error:
        page["lacking"] = str(error)
    return render(request, "desk/today.html", page)


def _opens(machines: list[dict[str, Any]], request: Visit) -> frozenset[str]:
    """Return the records, among those told here, that this person may open; told is more than may be read in full."""
    told = [each.record for machine in machines for each in machine.get("changes", ())]
    reach = reach_of(route="record", roles=request.roles)
    return frozenset(
        record.id
        for record in told
        if reach is Reach.ALL
        or (reach is Reach.OWN and is_own(record, person=request.person, aircraft=request.aircraft))
    )


def _booked(on: date, at: datetime, request: Visit) -> list[Booking]:
    """Return what is booked for the rest of the day and not asked for yet, for those who take bookings in."""
    if reach_of(route="calendar", roles=request.roles) is Reach.NONE:
        return []
    zone = state.zone()
    return [
        each
        for each in bookings(at).values()
        if each.is_open and each.act.end_at > at and each.act.start_at.astimezone(zone).date() == on
    ]


def _questions(at: datetime, request: Visit) -> list[Conflict]:
    """Return what two records say differently, apart from flights' own numbers, as far as this person reaches."""
    found = [each for id in state.fleet_ids() for each in _conflicts_of(id, at)]
    found += state.folk(at).conflicts if state.fleet_ids() else ()
    flights = state.flights(at).values()
    ids = {id for asked in flights if found and asked.done is not None for id in ids_of(asked, at)}
    everything = not_of_flights(found, ids=ids)
    if reach_of(route="question", roles=request.roles) is Reach.ALL:
        return everything
    return [
        each
        for each in everything
        if any(is_own(one, person=request.person, aircraft=request.aircraft) for one in each.records)
    ]


def _conflicts_of(id: str, at: datetime) -> tuple[Conflict, ...]:
    try:
        return state.machine(id, at).tables.conflicts
    except GyrewrightError:
        return ()


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
    whole, hidden, more = state.kept_for_reader(key, lambda: _sentences(found))
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
    said = tell(as_read(found.answer))
    return said.sentence, sentence_without_masses(said), said.more


def _weather(reached: list[Asked], at: datetime) -> dict[str, Any]:
    """Return the newest report, its age, and the end of the day, as the first flight's answer counts them."""
    for asked in reached:
        try:
            found = answered(asked, at)
        except GyrewrightError:
            continue
        sheet = found.answer.situation.sheet
        voice = voice_of(as_read(found.answer).situation)
        observed = sheet.value("observed_at")
        reported = sheet.cell("reported")
        return {
            "report": sheet.value("reported").observed_by if reported.known is True else "",
            "age": voice.age(observed) if observed is not None else "",
            "sunset": sheet.value("sunset_at"),
        }
    return {}


def _machine(id: str, at: datetime, names: dict[str, str]) -> dict[str, Any]:
    on = at.astimezone(state.zone()).date()
    return state.kept_for_reader(("of the day", id, on, state.head_seq()), lambda: _of_the_day(id, at, names))


def _of_the_day(id: str, at: datetime, names: dict[str, str]) -> dict[str, Any]:
    try:
        made = state.machine(id, at).aircraft
        dues = next_due(made, at=at, purpose=PURPOSE)
        since = since_flown(id, at=at, dues=dues, names=names)
    except GyrewrightError as error:
        return {"id": id, "problem": str(error)}
    is_known = made.program is not None and made.records is not None
    stands = standing_of(made, at=at, purpose=PURPOSE).open if is_known else ()
    return {
        "id": id,
        "definition": made.definition,
        "since": since,
        "changes": since.changes[:CHANGES_SHOWN],
        "more": max(0, len(since.changes) - CHANGES_SHOWN),
        "by": names.get(since.flown.by, since.flown.by) if since.flown else "",
        "against": [each.sentence for each in stands if each.finding.verdict is Verdict.STOP],
        "due": [_due(each) for each in dues if each.binds][:SHOWN],
        "beyond": _beyond(made, at) if is_known else None,
        "is_known": is_known,
    }


def _beyond(aircraft: Aircraft, at: datetime) -> dict[str, Any] | None:
    """Return the first booked flight that would be flown over a clock, its hours rounded to the careful side."""
    found = booked_beyond(aircraft, at=at, purpose=PURPOSE)
    if found is None:
        return None
    takes, left = rounded(found.block_h, 1, careful="up"), rounded(max(found.left_h, 0.0), 1, careful="down")
    return {"at": found.at, "takes": f"{takes} h", "left": f"{left} h", "name": found.due.task.name}


def _due(each: NextDue) -> dict[str, Any]:
    due = each.due
    if not each.is_in_date or due.remaining is None:
        return {"name": due.task.name, "left": due.state, "is_over": True}
    amount = f"{int(due.remaining * 10 + 1e-6) / 10:g} h" if due.unit == "h" else f"{due.remaining:g} {due.unit}"
    expected = each.expected_on if due.unit == "h" else None
    return {"name": due.task.name, "left": f"{amount} left", "expected_on": expected, "is_over": False}
