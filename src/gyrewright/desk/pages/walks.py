"""Walk-round at the desk: each aircraft's walks, what waits for a person, what one walk says, a phone's saved file."""

from __future__ import annotations

import uuid
from datetime import datetime
from typing import Any

from django.conf import settings
from django.core.files.uploadedfile import UploadedFile
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_POST, require_safe

from gyrewright.desk.access import Reach
from gyrewright.desk.access import reach as reach_of
from gyrewright.desk.fold.walks import Act
from gyrewright.desk.pages.visit import Visit
from gyrewright.desk.refusal import Refused, TooLarge
from gyrewright.desk.services import phones, state, walks
from gyrewright.desk.services.entitling import allowed
from gyrewright.desk.services.erasing import keep_photo
from gyrewright.desk.services.handover import hand_over
from gyrewright.desk.services.people import all_people
from gyrewright.desk.services.records import new_id
from gyrewright.desk.services.walk_lists import adopt_items, lists_of, own_items
from gyrewright.desk.services.walk_today import odd_but_right
from gyrewright.desk.services.walk_told import WalkTold, said_of_pace, told_walk
from gyrewright.errors import GyrewrightError, UnknownName
from gyrewright.inspection.answers import JUDGE_SMALL
from gyrewright.inspection.walk import Walk

TEACHES = frozenset(("instructor", "named instructor", "chief instructor", "manager"))
"""Who sees how a walk went beside its walker's earlier ones; the walker sees it too."""


def _names() -> dict[str, str]:
    return {id: known.name or id for id, known in all_people().items()}


def _id(request: Visit) -> str:
    return request.POST.get("id") or new_id()


@require_safe
def show_walks(request: Visit) -> HttpResponse:
    """Show every aircraft with its walks of today and yesterday, and what waits for a person."""
    at = state.asking_at()
    names = _names()
    page = {
        "rows": [_aircraft(id, at, names) for id in state.fleet_ids()],
        "questions": [_question(each, names) for id in state.fleet_ids() for each in walks.questions_of(id)],
        "person": request.person,
        "may_walk": reach_of(route="walk-page", roles=request.roles) is not Reach.NONE,
        "may_key_in": reach_of(route="walk-paper", roles=request.roles) is not Reach.NONE,
        "may_change": reach_of(route="walk-settle", roles=request.roles) is not Reach.NONE,
        "id": new_id(),
    }
    return render(request, "desk/walks.html", page)


def _aircraft(id: str, at: datetime, names: dict[str, str]) -> dict[str, Any]:
    row: dict[str, Any] = {"id": id, "name": id}
    try:
        definition = state.machine(id, at).aircraft.definition
        row["name"] = definition.name
        row["lists"] = [{"id": each.id, "name": each.name} for each in lists_of(id, at)]
        row["walks"] = [_brief(each, names) for each in walks.walks_of(id, at) if walks.is_recent(each.began_at, at)]
        row["out"] = [
            {"name": each.out.name, "holder": names.get(each.out.holder, each.out.holder), "at": each.out.opened_at}
            for each in phones.out_with(id, at)
        ]
        row["odd"] = [{"item": item, "words": each.act.words} for item, each in odd_but_right(id, at).items()]
        row["has_own"] = bool(own_items(id, at))
    except GyrewrightError as error:
        row["problem"] = str(error)
    return row


def _brief(walk: Walk, names: dict[str, str]) -> dict[str, Any]:
    found = [each for each in walk.answers if each.answer == "not"]
    unseen = [each for each in walk.answers if each.answer != "not"]
    return {
        "id": walk.id,
        "kind": walk.kind,
        "by": [names.get(each, each) for each in walk.by],
        "began_at": walk.began_at,
        "ended_at": walk.ended_at,
        "found": [each.item for each in found],
        "unseen": [each.item for each in unseen],
        "doubt": walk.doubt,
    }


def _question(each: walks.Question, names: dict[str, str]) -> dict[str, Any]:
    row: dict[str, Any] = {"kind": each.kind, "aircraft": each.aircraft, "walk": each.walk, "item": each.item}
    row["answers"] = [_answer(one, names) for one in each.answers]
    if each.clash is not None:
        row |= {"record": each.clash.id, "at": each.clash.entered_at, "by": names.get(each.clash.by, each.clash.by)}
    if each.signature is not None:
        signer = each.signature.act.signer
        row |= {
            "signature": each.signature.act.id,
            "signer": signer,
            "signer_name": names.get(signer, signer),
            "by": names.get(each.signature.by, each.signature.by),
            "at": each.signature.at,
        }
    return row


def _answer(one: Act, names: dict[str, str]) -> dict[str, Any]:
    return {
        "id": one.act.id,
        "item": one.act.item,
        "answer": one.act.answer,
        "words": one.act.words,
        "readings": ", ".join(one.act.readings.values()),
        "by": names.get(one.person, one.person),
        "at": one.at,
        "photos": one.act.photos,
    }


def _seen_walk(request: Visit, id: uuid.UUID, at: datetime) -> tuple[str, Walk]:
    """Return a walk that this visitor may see.

    Raises:
        UnknownName: There is none, or it is not theirs to see.
    """
    aircraft, walk = walks.walk_with_id(str(id), at)
    is_own = request.person in walk.by or aircraft in request.aircraft
    if request.reach is not Reach.ALL and not is_own:
        raise UnknownName(f"no walk-round has the id {str(id)!r}")
    return aircraft, walk


@require_safe
def show_walk(request: Visit, id: uuid.UUID) -> HttpResponse:
    """Show what one walk says."""
    at = state.asking_at()
    aircraft, walk = _seen_walk(request, id, at)
    told = told_walk(aircraft, walk, at)
    names = _names()
    sees_pace = request.person in walk.by or bool(TEACHES & request.roles)
    spots = walks.spots_for(aircraft, walk, at)
    can_accept = (
        walk.complete
        and request.person not in walk.by
        and allowed("walk round", person=request.person, aircraft=aircraft).allowed
        and not any(one.by == request.person for one in walk.accepted)
    )
    page = {
        "told": told,
        "walk": walk,
        "name": state.machine(aircraft, at).aircraft.definition.name,
        "by": [names.get(each, each) for each in walk.by],
        "found": [_found(each, told, names) for each in walk.answers],
        "held": [each for each in told.readings if each.is_held],
        "other": [each for each in told.readings if not each.is_held],
        "history": [_answer(one, names) for one in told.history],
        "changed": _changed(told, names),
        "breaks": _breaks(told),
        "signed": _signed(told, names),
        "accepted": [{"by": names.get(one.by, one.by), "at": one.at, "spots": one.spots} for one in walk.accepted],
        "pace": _pace(told, names) if sees_pace else [],
        "spots": [{"id": item, "name": told.names.get(item, "")} for item in spots] if can_accept else [],
        "may_judge": allowed(JUDGE_SMALL, person=request.person, aircraft=aircraft).allowed,
        "answers": _by_item(told),
        "id": new_id(),
    }
    return render(request, "desk/walk.html", page)


def _found(answer: Any, told: WalkTold, names: dict[str, str]) -> dict[str, Any]:
    photos = [
        photo
        for one in (told.phone.answers if told.phone else ())
        if one.act.item == answer.item and one.act.answer == answer.answer
        for photo in one.act.photos
    ]
    judge = names.get(answer.judged.by, answer.judged.by) if answer.judged else ""
    return {"said": answer, "name": told.names.get(answer.item, ""), "photos": photos, "judge": judge}


def _changed(told: WalkTold, names: dict[str, str]) -> list[dict[str, Any]]:
    changed = told.phone.changed if told.phone else []
    return [
        {"before": _answer(before, names), "after": _answer(after, names)}
        for before, after in changed
        if before.act.answer != after.act.answer or before.act.readings != after.act.readings
    ]


def _breaks(told: WalkTold) -> list[dict[str, Any]]:
    if told.phone is not None:
        acts = [one.act for one in told.phone.breaks]
        return [{"on": act.on, "from": act.from_, "to": act.to, "restarted": act.restarted} for act in acts]
    known = told.walk.interruptions
    return [{"on": (act.on,), "from": act.from_, "to": act.to, "restarted": act.restarted} for act in known]


def _signed(told: WalkTold, names: dict[str, str]) -> list[dict[str, Any]]:
    if told.phone is None:
        return []
    return [
        {
            "who": names.get(one.act.signer, one.act.signer),
            "how": one.act.how,
            "stands": told.phone.stands(one),
            "by": names.get(one.by, one.by),
            "at": one.at,
        }
        for one in told.phone.signed
    ]


def _pace(told: WalkTold, names: dict[str, str]) -> list[str]:
    zone = state.zone()
    return [line for pace in told.paces for line in said_of_pace(pace, names.get(pace.person, pace.person), zone)]


def _by_item(told: WalkTold) -> list[dict[str, Any]]:
    if told.phone is None:
        return []
    return [
        {
            "item": item,
            "name": told.names.get(item, ""),
            "answers": told.phone.live.get(item, ()),
        }
        for item in told.phone.asked
    ]


# --- acts ---


@require_POST
def confirm(request: Visit) -> HttpResponse:
    """Say whether a signature in one's own name is one's own."""
    walks.confirm(
        id=_id(request),
        aircraft=request.POST.get("aircraft", ""),
        walk=request.POST.get("walk", ""),
        signature=request.POST.get("signature", ""),
        is_mine=request.POST.get("mine") == "yes",
        by=request.person,
    )
    return redirect("walk")


@require_POST
def settle(request: Visit) -> HttpResponse:
    """Say which of two answers is true."""
    walks.settle(
        id=_id(request),
        aircraft=request.POST.get("aircraft", ""),
        walk=request.POST.get("walk", ""),
        item=request.POST.get("item", ""),
        true=request.POST.get("true", ""),
        by=request.person,
    )
    return redirect("walk")


@require_POST
def accept(request: Visit, id: uuid.UUID) -> HttpResponse:
    """Take another's walk for one's own, with what was looked at again."""
    _seen_walk(request, id, state.asking_at())
    walks.accept(id=_id(request), walk=str(id), seen=tuple(request.POST.getlist("seen")), by=request.person)
    return redirect("walk-one", id=id)


@require_POST
def judge(request: Visit, id: uuid.UUID) -> HttpResponse:
    """Judge whether something small may fly."""
    _seen_walk(request, id, state.asking_at())
    walks.judge_item(
        id=_id(request),
        walk=str(id),
        item=request.POST.get("item", ""),
        may=request.POST.get("may") == "yes",
        reason=request.POST.get("reason", ""),
        by=request.person,
    )
    return redirect("walk-one", id=id)


@require_POST
def odd(request: Visit, aircraft: str) -> HttpResponse:
    """Say what looks odd on this aircraft and is right."""
    walks.say_odd_but_right(
        id=_id(request),
        aircraft=aircraft,
        item=request.POST.get("item", "").strip().upper(),
        words=request.POST.get("words", ""),
        photos=tuple(keep_photo(content=file.read(), person=request.person) for file in request.FILES.getlist("photo")),
        by=request.person,
    )
    return redirect("walk")


@require_POST
def own(request: Visit, aircraft: str) -> HttpResponse:
    """Take in items from the aircraft's own manual."""
    state.machine(aircraft, state.asking_at())
    adopt_items(id=_id(request), aircraft=aircraft, text=_text_of(request), by=request.person)
    return redirect("walk")


@require_POST
def take_file(request: Visit) -> HttpResponse:
    """Take in the file that a phone has saved of what it could not hand over."""
    reply = hand_over(_content_of(request), by=request.person, is_live=False)
    results = reply["results"]
    page = {
        "count": len(results),
        "kept": sum(each["outcome"] == "kept" for each in results),
        "again": sum(each["outcome"] == "again" for each in results),
        "says": [each["says"] for each in results if each["says"]],
    }
    return render(request, "desk/walk-file.html", page)


def _content_of(request: Visit) -> bytes:
    file = request.FILES.get("file")
    if not isinstance(file, UploadedFile):
        raise Refused("choose the file that the phone saved")
    if (file.size or 0) > settings.BODY_BYTES:
        raise TooLarge(f"at most {settings.BODY_BYTES / 1e6:,.0f} MB are taken in at once; nothing was kept")
    return file.read()


def _text_of(request: Visit) -> str:
    file = request.FILES.get("file")
    content = file.read() if isinstance(file, UploadedFile) else request.POST.get("text", "").encode()
    try:
        return content.decode("utf-8")
    except UnicodeDecodeError:
        raise Refused("this file is no text; take the file of items as it was written") from None
