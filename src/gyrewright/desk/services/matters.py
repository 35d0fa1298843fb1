"""What stands open on an aircraft, told whole: reports with every word and date since, events, deferrals, questions.

The core says what a defect is; this puts beside it who said what, and which word does not count and why.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import datetime

from django.db.models import Q

from gyrewright.desk.book.kinds import upkeep
from gyrewright.desk.book.kinds.telling import AnswerRead, ReportTaken, WordSent
from gyrewright.desk.book.reading import record_with_id
from gyrewright.desk.book.record import Recorded
from gyrewright.desk.fold.standing import Standing, standing
from gyrewright.desk.services import state
from gyrewright.desk.services.due import house_of
from gyrewright.desk.services.matter import Found, Lock, Matters, Report, Said
from gyrewright.desk.services.people import all_people
from gyrewright.desk.services.places import walk_list
from gyrewright.errors import GyrewrightError, UnknownName
from gyrewright.inspection.walk import NOT
from gyrewright.maintenance.defects import ASSESS, CLOSE, CLOSE_REPEATED, DEFER, Defect, repeats, state_of
from gyrewright.maintenance.events import CLEAR, Event

MARKS = ("withdrawn", "clash", "clash-settled")

_NEEDS: dict[type, str] = {
    upkeep.DefectAssessed: ASSESS,
    upkeep.DefectDeferred: DEFER,
    upkeep.DefectClosed: CLOSE,
    upkeep.EventCleared: CLEAR,
}
_DID: dict[type, str] = {
    upkeep.DefectReported: "reported",
    upkeep.DefectAssessed: "assessed",
    upkeep.DefectDeferred: "deferred",
    upkeep.DefectClosed: "closed",
    upkeep.DefectReopened: "opened again",
    upkeep.DefectNoted: "noted something on",
    upkeep.EventReported: "reported",
    upkeep.EventCleared: "inspected after",
}
_ANSWERS = (
    upkeep.DefectAssessed,
    upkeep.DefectDeferred,
    upkeep.DefectClosed,
    upkeep.DefectReopened,
    upkeep.DefectNoted,
    upkeep.EventCleared,
    upkeep.ClosingLookedAt,
)
"""Acts of others that whoever reported is told of."""


def _records(aircraft: str) -> list[Recorded]:
    return state.records_about(aircraft)


@dataclass(frozen=True, slots=True)
class _Book:
    """The records about one aircraft that count, put together."""

    aircraft: str
    at: datetime
    counting: Standing
    names: dict[str, str]
    grouped: dict[str, list[Recorded]]

    def name(self, person: str) -> str:
        return self.names.get(person, person)

    def of(self, id: str, *kinds: type) -> list[Recorded]:
        return [each for each in self.grouped.get(id, ()) if isinstance(each.act, kinds)]

    def said(self, record: Recorded) -> Said:
        need = _NEEDS.get(type(record.act), "")
        signer = record.act.signed_by if isinstance(record.act, upkeep.EventCleared) else record.by
        is_void = bool(need) and need not in state.entitled_then(self.aircraft)(signer, record.done_at)
        return Said(record, self.name(record.by), _DID.get(type(record.act), "said"), is_void, need)


_POINTS = ("defect", "event", "report")


def _book(aircraft: str, at: datetime) -> _Book:
    records = [each for each in _records(aircraft) if each.about == aircraft]
    counting = standing(records, at=at)
    first = counting.first
    grouped: dict[str, list[Recorded]] = {}
    for each in counting.records:
        points = next((getattr(each.act, name) for name in _POINTS if hasattr(each.act, name)), "")
        if points and isinstance(points, str):
            grouped.setdefault(first.get(points, points), []).append(each)
    names = {id: known.name or id for id, known in all_people().items()}
    return _Book(aircraft, at, counting, names, grouped)


def matters_of(aircraft: str, at: datetime) -> Matters:
    """Return what stands open on an aircraft, and what lately did.

    Raises:
        UnknownName: The book knows no such aircraft.
    """
    made = state.machine(aircraft, at)
    people = state.records_of("roles", Q(kind__in=("person", "role-given", "role-ended", *MARKS)))
    key = (
        "matters",
        aircraft,
        at,
        len(_records(aircraft)),
        state.head_seq() if made.tables.conflicts else 0,
        len(people),
    )
    return state.kept(key, lambda: _matters(aircraft, at))


def _matters(aircraft: str, at: datetime) -> Matters:
    made = state.machine(aircraft, at)
    book = _book(aircraft, at)
    records, walks = made.aircraft.records, made.aircraft.walks
    defects = {each.id: each for each in records.defects or ()} if records else {}
    events = {each.id: each for each in records.events or ()} if records else {}
    in_question = {each.of for each in book.counting.conflicts}
    reports = _reports(book, defects, in_question)
    markers = walks.markers if walks and walks.markers else ()
    locks = [
        _lock(book, each, events, in_question)
        for each in book.counting.records
        if isinstance(each.act, upkeep.EventReported)
    ]
    locks.extend(_locks_in_question(book))
    names = {each.id: each for each in walk_list().items}
    found = [
        Found(
            walk=walk.id,
            item=answer.item,
            name=names[answer.item].name if answer.item in names else answer.item,
            zone=names[answer.item].zone if answer.item in names else "",
            words=answer.words,
            at=walk.ended_at or walk.began_at,
            who=" and ".join(book.name(each) for each in walk.by),
        )
        for walk in (walks.walks if walks and walks.walks else ())
        for answer in walk.answers
        if walk.began_at <= at and answer.answer == NOT and answer.defect not in defects
    ]
    return Matters(
        aircraft=aircraft,
        reports=tuple(reports),
        locks=tuple(locks),
        markers_on=sum(1 for one in markers if one.placed_at <= at and one.off_at(at) is None),
        found=tuple(found),
        conflicts=tuple(each for each in book.counting.conflicts if any(one.about == aircraft for one in each.records)),
    )


def _reports(book: _Book, defects: dict[str, Defect], in_question: set[str]) -> list[Report]:
    found = [
        _report(book, each, defects, in_question)
        for each in book.counting.records
        if isinstance(each.act, upkeep.DefectReported)
    ]
    by_id = {each.id: each for each in found}
    found.extend(_reports_in_question(book))
    runs = _runs(book, defects)
    compared = _compared(book)
    return [
        replace(
            each,
            run=tuple(by_id[id] for id in runs.get(each.id, ()) if id in by_id),
            near=tuple(_near(each, found, compared, runs)) if each.is_open else (),
        )
        for each in found
    ]


def _reports_in_question(book: _Book) -> Iterable[Report]:
    """Yield both contents of every report that two records contradict each other about, each as open."""
    for conflict in book.counting.conflicts:
        for each in conflict.records:
            if isinstance(each.act, upkeep.DefectReported) and each.about == book.aircraft:
                who = book.name(each.by)
                yield Report(conflict.of, book.aircraft, each, each.done_at, who, "in question", is_disputed=True)


def _locks_in_question(book: _Book) -> Iterable[Lock]:
    """Yield both contents of every event that two records contradict each other about, each as locking."""
    for conflict in book.counting.conflicts:
        for each in conflict.records:
            if isinstance(each.act, upkeep.EventReported) and each.about == book.aircraft:
                yield replace(_lock(book, each, {}, set()), id=conflict.of, is_in_question=True)


def _runs(book: _Book, defects: dict[str, Defect]) -> dict[str, tuple[str, ...]]:
    """Return for each report its run of repeats, as ids, while nobody with inspection authority has looked into it."""
    try:
        rules = house_of(book.at)
    except GyrewrightError:
        return {}
    if rules.repeat_times is None or rules.repeat_days is None:
        return {}
    out: dict[str, tuple[str, ...]] = {}
    for run in repeats(defects.values(), times=rules.repeat_times, days=rules.repeat_days, at=book.at):
        last = run[-1]
        if any(act.kind == "closed" and act.counts(CLOSE_REPEATED, {}) and act.at <= book.at for act in last.acts):
            continue
        ids = tuple(each.id for each in run)
        out.update(dict.fromkeys(ids, ids))
    return out


def _compared(book: _Book) -> set[frozenset[str]]:
    """Return every pair of reports about which somebody has said whether they are of the same thing."""
    out: set[frozenset[str]] = set()
    for each in book.counting.records:
        if isinstance(each.act, upkeep.DefectsCompared):
            ids = [book.counting.first.get(id, id) for id in each.act.defects]
            out.update(frozenset((one, other)) for one in ids for other in ids if one != other)
    return out


def _near(
    report: Report, others: Sequence[Report], compared: set[frozenset[str]], runs: dict[str, tuple[str, ...]]
) -> Iterable[Report]:
    """Yield reports of the same zone and symptom in other words, which nobody has compared with this one."""
    act = report.record.act
    if not (act.zone and act.symptom):
        return
    for other in others:
        its = other.record.act
        is_same_place = its.zone == act.zone and its.symptom == act.symptom and its.item != act.item
        is_settled = frozenset((report.id, other.id)) in compared or other.id in runs.get(report.id, ())
        if other.id != report.id and is_same_place and not is_settled and other.at <= report.at:
            yield other


def _report(book: _Book, record: Recorded, defects: dict[str, Defect], in_question: set[str]) -> Report:
    id = book.counting.first.get(record.id, record.id)
    acts = [book.said(each) for each in book.of(id, *_ANSWERS) if not isinstance(each.act, upkeep.ClosingLookedAt)]
    defect = defects.get(id)
    at = defect.at if defect else record.done_at
    # An act older than the report says nothing about it.
    acts = [replace(each, is_void=True, is_late=True) if each.record.done_at < at else each for each in acts]
    name, class_ = "in question", ""
    if defect is not None and id not in in_question:
        found = state_of(defect, entitled={}, at=book.at)
        name, class_ = found.name, found.by_act.class_ if found.by_act else ""
        if any(each.record.id in in_question for each in acts) and found.name == "open":
            name = "in question"
    closing = next((each for each in reversed(acts) if isinstance(each.act, upkeep.DefectClosed)), None)
    looks = [
        each
        for each in book.counting.records
        if closing and isinstance(each.act, upkeep.ClosingLookedAt) and each.act.closing == closing.record.id
    ]
    return Report(
        id=id,
        aircraft=book.aircraft,
        record=record,
        at=at,
        who=book.name(record.by),
        state=name,
        class_=class_,
        acts=tuple(acts),
        earlier=tuple(_line(book.counting, record)),
        taken=tuple(book.said(each) for each in book.of(id, ReportTaken)),
        sent=tuple(book.of(id, WordSent)),
        looked_at=book.said(looks[-1]) if looks else None,
        has_ended=name == "deferred" and _has_ended(acts, at=book.at),
    )


def _has_ended(acts: Iterable[Said], *, at: datetime) -> bool:
    """Return whether the last deferral that counts has come to its end."""
    act = next(
        each.act for each in reversed(list(acts)) if isinstance(each.act, upkeep.DefectDeferred) and not each.is_void
    )
    on = at.astimezone(state.zone()).date()
    return (act.until is not None and at > act.until) or (act.until_on is not None and on > act.until_on)


def _line(counting: Standing, record: Recorded) -> Iterable[Recorded]:
    while record.corrects in counting.replaced:
        record = counting.replaced[record.corrects]
        yield record


def _lock(book: _Book, record: Recorded, events: dict[str, Event], in_question: set[str]) -> Lock:
    id = book.counting.first.get(record.id, record.id)
    program = state.machine(book.aircraft, book.at).aircraft.program
    inspection = program.inspections_after.get(record.act.kind, "") if program else ""
    event = events.get(id)
    clearing = event.cleared(inspection=inspection, entitled={}, at=book.at) if event else None
    acts = [book.said(each) for each in book.of(id, upkeep.EventCleared)]
    acts = [
        replace(each, is_void=True)
        if each.act.inspection != inspection or each.record.done_at < (event.at if event else record.done_at)
        else each
        for each in acts
    ]
    return Lock(
        id=id,
        aircraft=book.aircraft,
        record=record,
        at=event.at if event else record.done_at,
        who=book.name(record.by),
        kind=record.act.kind,
        inspection=inspection,
        clearing=clearing,
        acts=tuple(acts),
        taken=tuple(book.said(each) for each in book.of(id, ReportTaken)),
        sent=tuple(book.of(id, WordSent)),
        is_in_question=id in in_question,
    )


def reports_of(aircraft: str, at: datetime) -> tuple[Report, ...]:
    """Return every report of a defect on an aircraft, oldest first."""
    return matters_of(aircraft, at).reports


def report_with_id(id: str, at: datetime) -> Report:
    """Return a report of a defect, by the id of any record in its line of corrections.

    Raises:
        UnknownName: There is none.
    """
    aircraft = _aircraft_of(id, upkeep.DefectReported, "report of a defect")
    book = _book(aircraft, at)
    wanted = book.counting.first.get(id, id)
    found = next((each for each in reports_of(aircraft, at) if each.id == wanted), None)
    if found is None:
        raise UnknownName(f"no report of a defect with the id {id!r} counts now; it was withdrawn, or is in question")
    return found


def lock_with_id(id: str, at: datetime) -> Lock:
    """Return an event, by the id of any record in its line of corrections.

    Raises:
        UnknownName: There is none.
    """
    aircraft = _aircraft_of(id, upkeep.EventReported, "event")
    book = _book(aircraft, at)
    wanted = book.counting.first.get(id, id)
    found = next((each for each in matters_of(aircraft, at).locks if each.id == wanted), None)
    if found is None:
        raise UnknownName(f"no event with the id {id!r} counts now; it was withdrawn, or is in question")
    return found


def _aircraft_of(id: str, kind: type, called: str) -> str:
    record = record_with_id(id)
    if not isinstance(record.act, kind):
        raise UnknownName(f"no {called} has the id {id!r}")
    return record.about


def unread_answers(report: Report | Lock, person: str, at: datetime) -> tuple[Said, ...]:
    """Return what others have said of a person's report since that person last read the answers."""
    book = _book(report.aircraft, at)
    numbers = {each.id: each.seq for each in book.counting.records}
    read = [numbers.get(each.act.up_to, 0) for each in book.of(report.id, AnswerRead) if each.by == person]
    last = max(read, default=0)
    return tuple(each for each in report.acts if each.record.by != person and each.record.seq > last)
