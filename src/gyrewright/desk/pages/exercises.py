"""Walk-round exercises with markers: the instructor's page, the student's page, and counting by two.

Where a label hangs is on no page of its student before the exercise has ended, in whatever role they come.
"""

from __future__ import annotations

import uuid
from collections.abc import Callable
from typing import Any

from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from gyrewright.desk.access import Reach
from gyrewright.desk.pages.reporting import status_of
from gyrewright.desk.pages.signer import signer_of
from gyrewright.desk.pages.visit import Visit
from gyrewright.desk.refusal import Refused
from gyrewright.desk.services import exercises, state
from gyrewright.desk.services.entitling import allowed
from gyrewright.desk.services.exercise import INSTRUCTS, Exercise
from gyrewright.desk.services.people import all_people
from gyrewright.desk.services.places import walk_list
from gyrewright.desk.services.records import new_id
from gyrewright.desk.services.teaching import by_zone, of_student, total
from gyrewright.errors import GyrewrightError, UnknownName
from gyrewright.inspection.labels import places_for, shipped_labels


@require_http_methods(["GET", "HEAD", "POST"])
def show_exercises(request: Visit) -> HttpResponse:
    """Show the exercises that this visitor sets up or takes part in, or set one up."""
    at = state.asking_at()
    said, status = "", 200
    if request.method == "POST":
        try:
            kept = exercises.open_exercise(
                id=request.POST.get("id") or new_id(),
                aircraft=request.POST.get("aircraft", ""),
                student=request.POST.get("student", ""),
                by=request.person,
            )
            return redirect("exercise", id=kept.record.id)
        except GyrewrightError as error:
            said, status = str(error), status_of(error)
    every = exercises.exercises(at)
    reached = [
        each for id, each in every.items() if id and (request.reach is Reach.ALL or each.student == request.person)
    ]
    mine = of_student(every.values(), request.person)
    page = {
        "going": [each for each in reached if not each.is_ended or each.on],
        "past": [each for each in reversed(reached) if each.is_ended and not each.on],
        "lone": every[""] if "" in every and request.reach is Reach.ALL else None,
        "mine": total(mine),
        "my_zones": by_zone(mine),
        "names": _names(),
        "fleet": [each.definition for each in state.fleet(at)],
        "people": sorted((each.name, id) for id, each in state.folk(at).people.items() if id != request.person),
        "may_set_up": bool(allowed(exercises.SET_UP, person=request.person, relations={"subject": ""}).allowed),
        "given": request.POST,
        "said": said,
        "id": request.POST.get("id") or new_id(),
    }
    return render(request, "desk/exercises.html", page, status=status)


def _names() -> dict[str, str]:
    return {id: known.name or id for id, known in all_people().items()}


@require_safe
def show_exercise(request: Visit, id: uuid.UUID) -> HttpResponse:
    """Show one exercise, to each person as much as they may be told."""
    return _shown(request, exercises.exercise_with_id(str(id), state.asking_at()))


def _shown(request: Visit, exercise: Exercise, said: str = "", status: int = 200) -> HttpResponse:
    at = state.asking_at()
    labels = shipped_labels()
    by_list = walk_list()
    tells = exercise.tells_places(person=request.person, roles=request.roles)
    is_student = request.person == exercise.student
    is_instructor = tells and not is_student and not exercise.is_ended
    sees_finds = is_student or request.person == exercise.by or bool(request.roles & INSTRUCTS)
    sees_score = exercise.is_ended and sees_finds
    past = of_student(exercises.exercises(at).values(), exercise.student)
    page: dict[str, Any] = {
        "exercise": exercise,
        "definition": state.machine(exercise.aircraft, at).aircraft.definition,
        "names": _names(),
        "zone_names": {each.id: each.name for each in by_list.zones},
        "tells": tells,
        "is_student": is_student,
        "is_instructor": is_instructor,
        "may_write": not exercise.is_ended and (is_student or request.person == exercise.by),
        "sees_finds": sees_finds,
        "sees_score": sees_score,
        "past": total(past) if sees_score else None,
        "past_zones": by_zone(past) if sees_score else (),
        "counters": _counters(request, exercise),
        "may_take_off": [each.id for each in exercise.on if each.removed is None and each.placed_by == request.person],
        "given": request.POST,
        "said": said,
    }
    if is_instructor:
        page |= {
            "labels": labels,
            "zones": places_for(labels, [(each.id, each.name) for each in by_list.zones if each.id not in "RMZ"]),
            "closed": (*labels.closed_zones, *labels.closed_items),
        }
    return render(request, "desk/exercise.html", page, status=status)


def _counters(request: Visit, exercise: Exercise) -> list[tuple[str, str]]:
    """Return who may count the labels that were taken off, by name: whoever is logged in first."""
    if not exercise.uncounted:
        return []
    placers = {each.placed_by for each in exercise.uncounted}
    people = state.folk(state.asking_at()).people
    found = [
        (person.name, id)
        for id, person in people.items()
        if id not in placers
        and allowed(exercises.COUNT, person=id, aircraft=exercise.aircraft, relations={"planner": ""}).allowed
    ]
    return sorted(found, key=lambda each: (each[1] != request.person, each[0]))


@sensitive_post_parameters("password")
@require_POST
def act_on(request: Visit, id: uuid.UUID, act: str) -> HttpResponse:
    """Take in what is done in an exercise.

    Raises:
        UnknownName: There is no such act.
    """
    if act not in _ACTS:
        raise UnknownName(f"nothing is done in an exercise under {act!r}")
    exercise = exercises.exercise_with_id(str(id), state.asking_at())
    try:
        _ACTS[act](request, exercise)
    except GyrewrightError as error:
        return _shown(request, exercise, str(error), status_of(error))
    return redirect("exercise", id=exercise.id)


def _number(request: Visit, name: str) -> int | None:
    text = request.POST.get(name, "").strip()
    if not text:
        return None
    if not (text.isascii() and text.isdigit() and len(text) < 6):
        raise Refused(f"{text!r} is no number; write it in figures")
    return int(text)


def _place(request: Visit, exercise: Exercise) -> None:
    given = {name: request.POST.get(name, "").strip()[:200] for name in ("words", "own", "zone", "place")}
    exercises.place_marker(
        id=request.POST.get("id", ""),
        exercise=exercise.id,
        number=_number(request, "number") or 0,
        label=given["own"] or given["words"],
        zone=given["zone"],
        place=given["place"],
        is_beside=request.POST.get("beside") == "yes",
        by=request.person,
    )


def _find(request: Visit, exercise: Exercise) -> None:
    exercises.find_marker(
        id=request.POST.get("id", ""),
        exercise=exercise.id,
        number=_number(request, "number"),
        words=request.POST.get("words", "").strip()[:1000],
        by=request.person,
    )


def _off(request: Visit, exercise: Exercise) -> None:
    exercises.take_off(id=request.POST.get("id", ""), marker=request.POST.get("marker", ""), by=request.person)


def _count(request: Visit, exercise: Exercise) -> None:
    who = signer_of(request, request.POST.get("who", "") or request.person)
    markers = [each.id for each in exercise.uncounted]
    exercises.count_off(id=request.POST.get("id", ""), markers=markers, counted=_number(request, "counted"), by=who)


def _end(request: Visit, exercise: Exercise) -> None:
    said = {each.id: request.POST.get(f"there.{each.id}", "") for each in exercise.beside_labels}
    judged = {id: word == "yes" for id, word in said.items() if word in ("yes", "no")}
    exercises.end_exercise(id=request.POST.get("id", ""), exercise=exercise.id, judged=judged, by=request.person)


_ACTS: dict[str, Callable[[Visit, Exercise], None]] = {
    "place": _place,
    "find": _find,
    "off": _off,
    "count": _count,
    "end": _end,
}


@require_POST
def act_on_lone(request: Visit, act: str) -> HttpResponse:
    """Take off or count a label that hangs outside any exercise, such as one that came from a file."""
    id, marker = request.POST.get("id", ""), request.POST.get("marker", "")
    if act == "off":
        exercises.take_off(id=id, marker=marker, by=request.person)
    elif act == "count":
        exercises.count_off(id=id, markers=[marker], counted=_number(request, "counted"), by=request.person)
    else:
        raise UnknownName(f"nothing is done with a label under {act!r}")
    return redirect("exercises")
