"""What is done about a defect: assessed, deferred, closed, opened again, noted, held against others.

Each act is for whoever the table of acts names for this aircraft. A form carries the last act that its user had seen:
where somebody else has acted since, nothing is kept and the user looks again.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, datetime
from typing import Any, Literal

from gyrewright.desk import clock
from gyrewright.desk.book.kinds import upkeep
from gyrewright.desk.book.models import Record
from gyrewright.desk.book.reading import record_with_id
from gyrewright.desk.book.record import Entry, Kept, Outcome
from gyrewright.desk.book.writing import append
from gyrewright.desk.refusal import NotAllowed, Refused
from gyrewright.desk.services.entitling import require
from gyrewright.desk.services.matter import Report
from gyrewright.desk.services.matters import report_with_id
from gyrewright.desk.services.records import as_before, new_id
from gyrewright.desk.services.releases import supersede
from gyrewright.errors import DefinitionError
from gyrewright.limits import PURPOSES
from gyrewright.maintenance.defects import ASSESS, CLOSE, CLOSE_REPEATED, DEFER, QUESTIONS
from gyrewright.maintenance.restriction import read_restriction
from gyrewright.reading import Problems, section_of

REPORT = "report a defect"

_BY_WHAT = {
    "equipment_list": "the list of equipment that the type must have",
    "this_flight": "the rule for this kind of flight",
    "directive": "a directive",
}


def assess(
    *,
    id: str,
    defect: str,
    class_: Literal["G", "L", "N"],
    words: str,
    restriction: upkeep.Restriction | None = None,
    by: str,
    seen: str = "",
) -> Kept:
    """Record an entitled person's judgement: it grounds, it limits the flight, or it is watched.

    Raises:
        NotAllowed: The table of acts does not let this person assess.
        Refused: No class was chosen, no words were written, or what limits the flight does not say how.
    """
    report = _open_to(defect, ASSESS, by, seen, id)
    if class_ not in ("G", "L", "N"):
        raise Refused("say whether it grounds the aircraft, limits the flight, or is watched")
    if not words.strip():
        raise Refused("write what you looked at and found: the reporter reads it, and whoever looks next")
    if class_ == "L":
        _check_restriction(restriction)
    elif restriction is not None:
        raise Refused("only a defect that limits the flight carries something to keep to")
    act = upkeep.DefectAssessed(defect=report.id, class_=class_, words=words.strip(), restriction=restriction)
    return _keep([_entry(id, act, report, by)], by)


def defer(
    *,
    id: str,
    defect: str,
    required: dict[str, bool],
    judged_safe: bool | None,
    made_safe: Literal["", "removed", "deactivated"],
    placard: str,
    until_on: date | None,
    until_sunset: bool,
    look_again: str,
    words: str,
    restriction: upkeep.Restriction | None,
    by: str,
    seen: str = "",
) -> Kept:
    """Record that a defect is lawfully left for later, once the four questions are answered in their order.

    Args:
        id: Made with the form.
        defect: The report.
        required: For the equipment list, this kind of flight, and a directive: whether it requires the thing.
        judged_safe: Whether whoever defers judges that it is no hazard.
        made_safe: Whether it was removed or deactivated.
        placard: The words on the placard in the cockpit.
        until_on: The day at whose end it ends.
        until_sunset: Whether it ends at that day's sunset instead.
        look_again: What is looked at before each flight meanwhile.
        words: Why it may wait.
        restriction: What flights keep to meanwhile.
        by: Who defers.
        seen: The last act about it that this person had seen.

    Raises:
        NotAllowed: The table of acts does not let this person defer.
        Refused: A question is open or answered so that nothing can be deferred, or a part of the deferral is missing.
    """
    report = _open_to(defect, DEFER, by, seen, id)
    for question in QUESTIONS:
        if question not in required:
            raise Refused(f"answer first whether {_BY_WHAT[question]} requires it")
        if required[question]:
            raise Refused(
                f"{_BY_WHAT[question]} requires it, so it cannot be deferred; assess it as grounding, or put it right"
            )
    if judged_safe is None:
        raise Refused("answer the fourth question: do you judge that it is no hazard?")
    if not judged_safe:
        raise Refused("you judge it a hazard, so it cannot be deferred; assess it as grounding, or put it right")
    if made_safe not in ("removed", "deactivated"):
        raise Refused("say whether it was removed or deactivated; until then it cannot be deferred")
    for text, lack in (
        (placard, "write the words of the placard that hangs in the cockpit"),
        (look_again, "write what is looked at before each flight meanwhile"),
        (words, "write why it may wait"),
    ):
        if not text.strip():
            raise Refused(lack)
    if until_on is None:
        raise Refused("a deferral has an end; choose its last day")
    if until_on < _today():
        raise Refused(f"{until_on.isoformat()} is past; a deferral ends on a day to come")
    if restriction is not None:
        _check_restriction(restriction)
    act = upkeep.DefectDeferred(
        defect=report.id,
        until_on=until_on,
        until_sunset=until_sunset,
        required=upkeep.Required(**required),
        made_safe=made_safe,
        placard=placard.strip(),
        words=words.strip(),
        look_again=look_again.strip(),
        restriction=restriction,
        judged_safe=True,
    )
    return _keep([_entry(id, act, report, by)], by)


def close(
    *,
    id: str,
    defect: str,
    words: str,
    is_nothing_done: bool,
    areas: tuple[str, ...] = (),
    workers: tuple[str, ...] = (),
    changes_handling: bool | None = None,
    reference: str = "",
    by: str,
    seen: str = "",
) -> Kept:
    """Record what put a defect right, with the work that did it and where its signed entry stands.

    The work is a record of its own: it waits for a second look where the house asks for one, and for a check flight
    where it may have changed how the aircraft flies. A closing for which nothing was done says so, and stays a question
    until another entitled person has looked at it.

    Raises:
        NotAllowed: The table of acts does not let this person close it; a third report is for inspection authority.
        Refused: It does not say what was done, on which areas, or where the signed entry stands.
    """
    report = _open_to(defect, CLOSE, by, seen, id)
    if report.run:
        try:
            require(CLOSE_REPEATED, person=by, aircraft=report.aircraft)
        except NotAllowed as error:
            times = len(report.run)
            raise NotAllowed(f"this is report {times} of the same symptom, and {error}") from None
    if not words.strip():
        raise Refused("write what was done, or what was looked at and found")
    if is_nothing_done:
        if areas or reference.strip():
            raise Refused("either nothing was done, or work was: take one of the two away")
        closed = upkeep.DefectClosed(defect=report.id, words=words.strip())
        return _keep([_entry(id, closed, report, by)], by)
    if not areas:
        raise Refused("say which areas the work touched: the second look hangs on that; or that nothing was done")
    if changes_handling is None:
        raise Refused("say whether the work may have changed how the aircraft flies: the check flight hangs on that")
    if not reference.strip():
        raise Refused("write where the signed entry stands, book and page; this record is not that entry")
    work = upkeep.WorkDone(
        what=words.strip(), areas=areas, workers=tuple(sorted(set(workers))) or (by,), changes_handling=changes_handling
    )
    done = _entry(_part_of(id, "work"), work, report, by)
    signed = _entry(_part_of(id, "signed"), upkeep.WorkSigned(work=done.id, reference=reference.strip()), report, by)
    closed = upkeep.DefectClosed(defect=report.id, words=words.strip(), work=done.id, reference=reference.strip())
    require("sign work", person=by, aircraft=report.aircraft)
    return _keep([done, signed, _entry(id, closed, report, by)], by)


def reopen(*, id: str, defect: str, words: str, by: str, seen: str = "") -> Kept:
    """Record that a defect is there again or was never put right. Anybody may who may report one."""
    report = _report(defect, seen, id)
    require(REPORT, person=by, aircraft=report.aircraft)
    if not words.strip():
        raise Refused("write what you saw: it grounds the aircraft until somebody entitled has assessed it")
    return _keep([_entry(id, upkeep.DefectReopened(defect=report.id, words=words.strip()), report, by)], by)


def note(*, id: str, defect: str, words: str, photos: tuple[str, ...] = (), by: str) -> Kept:
    """Record what somebody looked at, tried or heard about a defect; it changes nothing of what the defect is."""
    report = report_with_id(defect, clock.now())
    require(REPORT, person=by, aircraft=report.aircraft)
    if not words.strip():
        raise Refused("write what you looked at, and what you saw")
    act = upkeep.DefectNoted(defect=report.id, words=words.strip(), photos=photos)
    return _keep([_entry(id, act, report, by)], by)


def compare(*, id: str, defects: Sequence[str], same: bool | None, words: str, by: str) -> Kept:
    """Record whether reports in different words are of the same thing; those that are count together.

    Raises:
        NotAllowed: The table of acts does not let this person assess.
        Refused: Fewer than two reports were named, on more than one aircraft, or nothing was said.
    """
    now = clock.now()
    found = [report_with_id(each, now) for each in dict.fromkeys(defects)]
    if len(found) < 2 or len({each.aircraft for each in found}) > 1:
        raise Refused("name at least two reports on one aircraft")
    require(ASSESS, person=by, aircraft=found[0].aircraft)
    if same is None:
        raise Refused("say whether these reports are of the same thing")
    act = upkeep.DefectsCompared(defects=tuple(each.id for each in found), same=same, words=words.strip())
    return _keep([_entry(id, act, found[-1], by)], by)


def look_at_closing(*, id: str, defect: str, words: str, by: str) -> Kept:
    """Record that another entitled person looked at a closing for which nothing was done, and leaves it closed.

    Raises:
        NotAllowed: The table of acts does not let this person close, or they closed it themself.
        Refused: It is not closed, or work stands behind the closing.
    """
    report = report_with_id(defect, clock.now())
    require(CLOSE, person=by, aircraft=report.aircraft)
    closing = report.closing
    if closing is None or not report.is_closed_without_action:
        raise Refused("no closing of this report waits to be looked at")
    if closing.record.by == by:
        raise NotAllowed("somebody else than whoever closed it looks at the closing")
    if not words.strip():
        raise Refused("write what you looked at, and why nothing more is needed")
    act = upkeep.ClosingLookedAt(closing=closing.record.id, words=words.strip())
    return _keep([_entry(id, act, report, by)], by)


def _today() -> date:
    from gyrewright.desk.services.state import zone

    return clock.now().astimezone(zone()).date()


def _report(defect: str, seen: str, id: str) -> Report:
    """Return a report as its user saw it; a form that was sent before is not asked again.

    Raises:
        Refused: Somebody has acted on it since.
    """
    report = report_with_id(defect, clock.now())
    if report.is_disputed:
        raise Refused("two records of this report contradict each other; say first which is true")
    last = report.last_act
    if seen and last.record.id != seen and not _is_kept(id):
        raise Refused(
            f"{last.who} has {last.did} it in the meantime: look at it again before you act; nothing was kept"
        )
    return report


def _is_kept(id: str) -> bool:
    return Record.objects.filter(id=id).exists()


def _open_to(defect: str, act: str, by: str, seen: str, id: str) -> Report:
    report = _report(defect, seen, id)
    require(act, person=by, aircraft=report.aircraft)
    if report.state == "closed" and not _is_kept(id):
        raise Refused("this report is closed; if it is there again, open it again first")
    return report


def _check_restriction(restriction: upkeep.Restriction | None) -> None:
    """Read a restriction once as it will be read later.

    Raises:
        Refused: It asks nothing, or does not read.
    """
    if restriction is None or restriction == upkeep.Restriction():
        raise Refused(
            "say what flights keep to meanwhile: by day only, how many aboard, what it is not for, or in words"
        )
    unknown = sorted(set(restriction.not_for) - set(PURPOSES))
    if unknown:
        raise Refused(f"{unknown[0]!r} is no purpose of a flight; use: {', '.join(PURPOSES)}")
    if restriction.limits:
        problems = Problems()
        section = section_of(f"[restriction]\n{_nested(restriction.limits)}", file="the limit", problems=problems)
        read_restriction(section, "restriction", by="")
        try:
            problems.stop_if_any()
        except DefinitionError as error:
            raise Refused(f"the limit does not read: {error.problems[0].text}") from None


def _nested(limits: str) -> str:
    return limits.replace("[[limit]]", "[[restriction.limit]]")


def _part_of(id: str, name: str) -> str:
    """Return the id of an act that is recorded with another, the same each time the form is sent."""
    import uuid

    return str(uuid.uuid5(uuid.UUID(id), name)) if id else new_id()


def _entry(id: str, act: Any, report: Report, by: str) -> Entry:
    # A phone's clock may run a little ahead of this one: what is done about a report is done after it.
    done_at: datetime = max(clock.now(), report.at)
    return Entry(id or new_id(), act, done_at, by, report.aircraft)


def _keep(entries: Sequence[Entry], by: str) -> Kept:
    for each in entries:
        if _is_kept(each.id) and record_with_id(each.id).act != each.act:
            raise Refused(
                "this form was sent before with other words, and those are kept; open the page again to add to them"
            )
    kept = append([as_before(each) for each in entries])[-1]
    if kept.outcome is Outcome.NEW:
        supersede(by=by)
    return kept
