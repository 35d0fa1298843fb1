"""Walk-round exercises with markers: set up, hung, found, taken off and counted, ended.

Registering a label locks the aircraft, before it is hung. It stays locked until each label is off by two people's count
and a full, real walk-round has been done after that; ending an exercise unlocks nothing.
"""

from __future__ import annotations

import json
import uuid
from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime
from typing import Any

from django.db.models import Q

from gyrewright.desk import clock
from gyrewright.desk.book.kinds.operation import Clash
from gyrewright.desk.book.kinds.training import ExerciseEnded, ExerciseOpened, MarkerFound
from gyrewright.desk.book.kinds.upkeep import MarkerConfirmed, MarkerPlaced, MarkerRemoved
from gyrewright.desk.book.models import Record
from gyrewright.desk.book.reading import record_with_id
from gyrewright.desk.book.record import Entry, Kept, Recorded
from gyrewright.desk.book.writing import append
from gyrewright.desk.fold.standing import Standing, standing
from gyrewright.desk.refusal import NotAllowed, Refused
from gyrewright.desk.services import state
from gyrewright.desk.services.entitling import require
from gyrewright.desk.services.exercise import Counted, Exercise, Find, Marker
from gyrewright.desk.services.people import all_people
from gyrewright.desk.services.places import walk_list
from gyrewright.desk.services.records import as_before, new_id
from gyrewright.desk.services.releases import supersede
from gyrewright.errors import UnknownName
from gyrewright.inspection.labels import shipped_labels

SET_UP = "set up a marker exercise"
TAKE_OFF = "take a marker off"
COUNT = "confirm marker removed"

MOST_NUMBER = 999
_KINDS = ("exercise-opened", "marker-placed", "marker-removed", "marker-confirmed", "marker-found", "exercise-ended")
_MARKS = ("withdrawn", "clash", "clash-settled")


def exercises(at: datetime) -> dict[str, Exercise]:
    """Return every exercise by id, the oldest first, with the labels that hang outside any under an empty id."""
    records = state.records_of("exercises", Q(kind__in=(*_KINDS, *_MARKS)))
    key = ("exercises", records[-1].seq if records else 0, at)
    return state.kept(key, lambda: _fold(standing(records, at=at)))


def _fold(counting: Standing) -> dict[str, Exercise]:
    markers = _markers(counting)
    ended = {each.act.exercise: each for each in counting.records if isinstance(each.act, ExerciseEnded)}
    found: dict[str, Exercise] = {}
    for each in counting.records:
        if isinstance(each.act, ExerciseOpened):
            mine = tuple(one for one in markers if one.exercise == each.id)
            end = ended.get(each.id)
            found[each.id] = Exercise(
                id=each.id,
                aircraft=each.about,
                student=each.act.student,
                by=each.by,
                at=each.done_at,
                markers=mine,
                finds=_finds(counting, each.id, mine, end),
                ended_at=end.done_at if end else None,
                ended_by=end.by if end else "",
            )
    lone = tuple(one for one in markers if one.exercise not in found)
    if lone:
        first = lone[0]
        found[""] = Exercise("", "", "", first.placed_by, first.placed_at, lone)
    return found


def _markers(counting: Standing) -> tuple[Marker, ...]:
    by_id: dict[str, Marker] = {}
    for each in counting.records:
        if isinstance(each.act, MarkerPlaced):
            by_id[each.id] = _marker(each)
    # What two records contradict each other about hangs on the aircraft until a person has settled it.
    for conflict in counting.conflicts:
        for number, each in enumerate(conflict.records):
            if isinstance(each.act, MarkerPlaced):
                id = each.id if not number else f"{each.id} ({number + 1})"
                by_id[id] = replace(_marker(each), is_in_question=True)
    for each in sorted(counting.records, key=lambda one: (one.done_at, one.seq)):
        if isinstance(each.act, MarkerRemoved | MarkerConfirmed) and each.act.placed in by_id:
            key = "removed" if isinstance(each.act, MarkerRemoved) else "confirmed"
            marker = by_id[each.act.placed]
            by_id[each.act.placed] = replace(marker, **{key: Counted(each.by, each.done_at)})  # type: ignore[arg-type]
    return tuple(by_id.values())


def _marker(record: Recorded) -> Marker:
    act: MarkerPlaced = record.act
    return Marker(
        id=record.id,
        aircraft=record.about,
        exercise=act.exercise,
        number=act.number,
        label=act.label,
        place=act.place,
        zone=act.zone,
        placed_by=record.by,
        placed_at=record.done_at,
    )


def _finds(counting: Standing, exercise: str, markers: Sequence[Marker], end: Recorded | None) -> tuple[Find, ...]:
    by_number = {each.number: each for each in markers}
    out = []
    for each in counting.records:
        if not isinstance(each.act, MarkerFound) or each.act.exercise != exercise:
            continue
        if end is not None and each.done_at > end.done_at:
            continue
        act: MarkerFound = each.act
        marker = by_number.get(act.number) if act.number is not None else None
        is_nothing = end is not None and each.id in end.act.nothing_there
        out.append(Find(each.id, act.number, act.words, each.done_at, marker, is_nothing))
    return tuple(out)


def exercise_with_id(id: str, at: datetime) -> Exercise:
    """Return one exercise.

    Raises:
        UnknownName: There is none.
    """
    found = exercises(at).get(id) if id else None
    if found is None:
        raise UnknownName(f"no marker exercise has the id {id!r}")
    return found


def markers_on(at: datetime) -> tuple[Marker, ...]:
    """Return every label that is on an aircraft, of exercises and outside them."""
    return tuple(marker for each in exercises(at).values() for marker in each.on)


def open_exercise(*, id: str, aircraft: str, student: str, by: str) -> Kept:
    """Record that an exercise is set up for a student.

    Raises:
        NotAllowed: The table of acts does not let this person, or it is for themself.
        Refused: The aircraft or the student is not known, or another exercise on the aircraft is still going on.
    """
    require(SET_UP, person=by, aircraft=aircraft, relations={"subject": student})
    if aircraft not in state.fleet_ids():
        raise Refused(f"the operation has no aircraft {aircraft!r}")
    if student not in state.folk(clock.now()).people:
        raise Refused("say who will look for the markers")
    going = [each for each in exercises(clock.now()).values() if each.aircraft == aircraft and not each.is_ended]
    if going and not _is_kept(id):
        name = _name(going[0].student)
        raise Refused(f"an exercise for {name} is going on with {aircraft}; end that one first")
    return _keep([Entry(id or new_id(), ExerciseOpened(student=student), clock.now(), by, aircraft)], by)


def place_marker(
    *, id: str, exercise: str, number: int, label: str, zone: str, item: str = "", place: str, is_beside: bool, by: str
) -> Kept:
    """Register a label. The aircraft is locked from then on; the label is hung after that.

    Args:
        id: Made with the form.
        exercise: The exercise.
        number: The number printed on the label.
        label: What it says.
        zone: The zone of the walk-round that it hangs in.
        item: The item that it hangs beside, if one is meant.
        place: Where it hangs, in words.
        is_beside: Whether the placer states what `Labels.statement` says.
        by: Who places it.

    Raises:
        NotAllowed: The table of acts does not let this person.
        Refused: The number hangs somewhere already, a part of it is missing, or nothing is hung there.
    """
    now = clock.now()
    at = exercise_with_id(exercise, now)
    require(SET_UP, person=by, aircraft=at.aircraft, relations={"subject": at.student})
    if _is_kept(id):
        return _keep([_placed(id, at, number, label, zone, place, by)], by)
    if at.is_ended:
        raise Refused("this exercise has ended; set up another")
    if not 1 <= number <= MOST_NUMBER:
        raise Refused(f"write the number printed on the label, from 1 to {MOST_NUMBER}")
    if not label.strip():
        raise Refused("write what the label says")
    if not place.strip():
        raise Refused("write where it hangs, so that you find it again")
    by_list = walk_list()
    if zone not in {each.id for each in by_list.zones}:
        raise Refused("say in which zone of the walk-round it hangs")
    why = shipped_labels().why_not(zone=zone, item=item)
    if why:
        raise Refused(f"no label hangs there: {why}")
    if not is_beside:
        raise Refused("a label hangs beside the part and changes nothing; state that, or hang it elsewhere")
    hung = next((each for each in markers_on(now) if each.number == number), None)
    if hung is not None:
        since = hung.placed_at.astimezone(state.zone()).strftime("%-d %b %H:%M")
        raise Refused(
            f"label {number} hangs on {hung.aircraft} since {since} ({_name(hung.placed_by)}); take that one off and"
            " count it first, or use another number"
        )
    return _keep([_placed(id, at, number, label, zone, place, by)], by)


def _placed(id: str, at: Exercise, number: int, label: str, zone: str, place: str, by: str) -> Entry:
    act = MarkerPlaced(number=number, label=label.strip(), place=place.strip(), zone=zone, exercise=at.id)
    return Entry(id or new_id(), act, clock.now(), by, at.aircraft)


def find_marker(*, id: str, exercise: str, number: int | None, words: str, by: str) -> Kept:
    """Record what the student found, by a label's number or without one, and what they would do about it.

    The reply says nothing of whether a label of that number hangs anywhere.

    Raises:
        NotAllowed: It is neither the student nor the instructor who writes for them.
        Refused: The exercise has ended, or nothing was written.
    """
    at = exercise_with_id(exercise, clock.now())
    if by not in (at.student, at.by):
        raise NotAllowed("finds are written by the student of the exercise, or by its instructor for them")
    if at.is_ended and not _is_kept(id):
        raise Refused("this exercise has ended; what is found now counts for nothing")
    if number is not None and not 1 <= number <= MOST_NUMBER:
        raise Refused(f"write the number printed on the label, from 1 to {MOST_NUMBER}")
    if number is None and not words.strip():
        raise Refused("write the label's number, or in words what you saw without one")
    act = MarkerFound(exercise=at.id, number=number, words=words.strip())
    return _keep([Entry(id or new_id(), act, clock.now(), by, at.aircraft)], by)


def take_off(*, id: str, marker: str, by: str) -> Kept:
    """Record that the placer took a label off.

    Raises:
        NotAllowed: Somebody else hung it.
        Refused: It is off already.
    """
    found = _hung(marker)
    require(TAKE_OFF, person=by, aircraft=found.aircraft, relations={"planner": found.placed_by})
    if found.removed is not None and not _is_kept(id):
        raise Refused(f"label {found.number} was taken off already; now another person counts it")
    return _keep([Entry(id or new_id(), MarkerRemoved(placed=found.id), clock.now(), by, found.aircraft)], by)


def count_off(*, id: str, markers: Sequence[str], counted: int | None, by: str) -> list[Kept]:
    """Record that a second person counted the labels that their placer took off.

    Args:
        id: Made with the form.
        markers: The labels that are counted together.
        counted: How many labels this person holds in the hand.
        by: Who counts.

    Raises:
        NotAllowed: It is the placer, or somebody whom the table of acts does not let.
        Refused: The count is not the number taken off, or there is nothing to count.
    """
    found = [_hung(each) for each in dict.fromkeys(markers)]
    if not found:
        raise Refused("no label that was taken off waits to be counted")
    for each in found:
        require(COUNT, person=by, aircraft=each.aircraft, relations={"planner": each.placed_by})
        if each.removed is None:
            raise Refused(f"label {each.number} is still on; its placer takes it off first")
    if counted is None:
        raise Refused("count the labels in your hand and write how many there are")
    if counted != len(found):
        raise Refused(
            f"{len(found)} were taken off by the book and you count {counted}: look again, with the placer; the"
            " aircraft stays locked"
        )
    entries = [
        Entry(_part_of(id, each.id), MarkerConfirmed(placed=each.id), clock.now(), by, each.aircraft) for each in found
    ]
    kept = append([as_before(each) for each in entries])
    supersede(by=by)
    return kept


def end_exercise(*, id: str, exercise: str, judged: dict[str, bool], by: str) -> Kept:
    """Record that an exercise is over. It takes no label off and unlocks nothing; places may be told from now on.

    Args:
        id: Made with the form.
        exercise: The exercise.
        judged: For each find without a label whether something was really there.
        by: Who ends it.

    Raises:
        NotAllowed: The table of acts does not let this person.
        Refused: A find without a label has not been answered.
    """
    at = exercise_with_id(exercise, clock.now())
    require(SET_UP, person=by, aircraft=at.aircraft, relations={"subject": at.student})
    if at.is_ended and not _is_kept(id):
        raise Refused("this exercise has ended already")
    unanswered = [each for each in at.beside_labels if each.id not in judged]
    if unanswered:
        words = unanswered[0].words
        raise Refused(f"the student saw without a label: “{words}”; say whether something is really there")
    nothing = tuple(each.id for each in at.beside_labels if not judged[each.id])
    act = ExerciseEnded(exercise=at.id, nothing_there=nothing)
    return _keep([Entry(id or new_id(), act, clock.now(), by, at.aircraft)], by)


def _hung(marker: str) -> Marker:
    found = next((one for each in exercises(clock.now()).values() for one in each.markers if one.id == marker), None)
    if found is None:
        raise UnknownName(f"no label has the id {marker!r}")
    if found.is_in_question:
        raise Refused("two records of this label contradict each other; say first which is true")
    return found


def _name(person: str) -> str:
    known = all_people().get(person)
    return known.name if known and known.name else person


def _part_of(id: str, name: str) -> str:
    return str(uuid.uuid5(uuid.UUID(id), name)) if id else new_id()


def _is_kept(id: str) -> bool:
    return Record.objects.filter(id=id).exists()


def _keep(entries: Sequence[Entry], by: str) -> Kept:
    for each in entries:
        if _is_kept(each.id) and record_with_id(each.id).act != each.act:
            raise Refused("this form was sent before with other words, and those are kept; open the page again")
    kept = append([as_before(each) for each in entries])[-1]
    supersede(by=by)
    return kept


SECRET = ("label", "place", "zone")
"""What a record of a label says that tells where to look."""


def secret_fields(record: Recorded, at: datetime) -> tuple[str, ...]:
    """Return which fields of a record nobody is shown on a page of records yet, for they tell where a label hangs.

    They are told once the exercise has ended; of a label outside any exercise, once it is off.
    """
    if isinstance(record.act, MarkerPlaced):
        return () if _may_tell(record.id, record.act, at) else SECRET
    if isinstance(record.act, Clash):
        sent: dict[str, Any] = json.loads(record.act.sent)
        if sent.get("kind") == "marker-placed":
            return ("sent",)
    return ()


def _may_tell(id: str, act: MarkerPlaced, at: datetime) -> bool:
    every = exercises(at)
    if act.exercise in every and act.exercise:
        return every[act.exercise].is_ended
    lone = every.get("")
    return not any(each.id == id for each in (lone.on if lone else ()))
