"""Aircraft: each by its manual, with who checked every value, its envelope, revisions, weighings and papers."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.safestring import SafeString, mark_safe
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from gyrewright.desk.access import Reach
from gyrewright.desk.access import reach as reach_of
from gyrewright.desk.book.record import Recorded
from gyrewright.desk.fold.checked import Checked, weighing_table
from gyrewright.desk.fold.values import Value
from gyrewright.desk.pages.entering import enter, form_id, form_named, opens_record, scene_of, status_of
from gyrewright.desk.pages.forms.aircraft import AIRCRAFT, WEIGHED
from gyrewright.desk.pages.forms.parts import PAPER
from gyrewright.desk.pages.upkeep import USUAL, aircraft_with_id, show_doubt
from gyrewright.desk.pages.visit import Visit
from gyrewright.desk.refusal import Refused
from gyrewright.desk.services import definitions, state
from gyrewright.desk.services.due import standing_of
from gyrewright.desk.services.entitling import allowed
from gyrewright.desk.services.records import new_id
from gyrewright.desk.services.speaking import voice_at
from gyrewright.desk.worded import picture_words
from gyrewright.errors import GyrewrightError
from gyrewright.finding import Verdict
from gyrewright.maintenance import papers_ending_this_month
from gyrewright.pictures.envelope import envelope
from gyrewright.pictures.frame import View
from gyrewright.pictures.speech import Speech
from gyrewright.pictures.svg import DESK, PHONE
from gyrewright.release.question import Aircraft
from gyrewright.words.voice import Voice, capital

GROUPS = (
    ("limits", "Limits"),
    ("loading", "Loading: stations, fuel, envelope"),
    ("tables", "Performance tables"),
    ("corrections", "Corrections and surfaces"),
    ("card", "Speeds, rotor, engine and what the card carries"),
)
TEXT_BYTES = 1_000_000
NO_PAGE = "no page named"


def _may(request: Visit, act: str, aircraft: str, route: str) -> bool:
    found = allowed(act, person=request.person, aircraft=aircraft)
    return reach_of(route=route, roles=request.roles) is not Reach.NONE and found.allowed is not False


@require_safe
def show_fleet(request: Visit) -> HttpResponse:
    """Show every aircraft: by which manual, how much of it is checked, and which papers end."""
    at = state.asking_at()
    rows = []
    for id in state.fleet_ids():
        try:
            rows.append(_row(state.machine(id, at).aircraft, at))
        except GyrewrightError as error:
            rows.append({"id": id, "name": id, "problem": str(error)})
    return render(request, "desk/aircraft.html", {"rows": rows})


def _row(aircraft: Aircraft, at: datetime) -> dict[str, Any]:
    definition = aircraft.definition
    found = definitions.checked_of(definition.id, at)
    papers = standing_of(aircraft, at=at, purpose=USUAL).papers if aircraft.records is not None else ()
    return {
        "id": definition.id,
        "name": definition.name,
        "definition": definition,
        "open": len(found.open),
        "count": len(found.values),
        "papers": [each for each in papers if each.finding.verdict > Verdict.GO],
        "ending": _ending(aircraft, at),
        "unread": len(definitions.readers(definition.id, at).lacking),
    }


def _ending(aircraft: Aircraft, at: datetime) -> list[str]:
    """Return what papers end this month, as sentences."""
    if aircraft.records is None or aircraft.records.papers is None:
        return []
    voice, on = voice_at(at), at.astimezone(state.zone()).date()
    found = papers_ending_this_month(aircraft.records.papers, on=on)
    return [capital(voice.word("caution", each.id, **dict(each.params))) for each in found]


# --- one aircraft -----------------------------------------------------------------------------------------------------


@require_safe
def show_aircraft(request: Visit, id: str) -> HttpResponse:
    """Show one aircraft by its manual."""
    at = state.asking_at()
    try:
        aircraft = aircraft_with_id(id, at)
    except Refused as refused:
        return show_doubt(request, id, at, refused)
    return render(request, "desk/aircraft-one.html", _page(request, aircraft, at))


def _page(request: Visit, aircraft: Aircraft, at: datetime) -> dict[str, Any]:
    definition, id = aircraft.definition, aircraft.definition.id
    found = definitions.checked_of(id, at)
    voice = voice_at(at)
    read = definitions.readers(id, at)
    papers = standing_of(aircraft, at=at, purpose=USUAL).papers if aircraft.records is not None else ()
    return {
        "definition": definition,
        "at": at,
        "pictures": _pictures(aircraft, voice),
        "groups": _groups(found, voice),
        "open": len(found.open),
        "count": len(found.values),
        "entered": found.entered,
        "entered_by": definition.entered_by
        or (voice.names.get(found.entered.by, found.entered.by) if found.entered else ""),
        "manual": voice.source(definition.manual),
        "read": read,
        "readers": [(voice.names.get(each, each), record) for each, record in read.done.items()],
        "lacking": voice.joined(voice.names.get(each, each) for each in read.lacking),
        "reads": request.person in read.lacking,
        "ack_id": new_id(),
        "empty": _empty(aircraft, voice),
        "weighings": _weighings(request, id, at, voice),
        "texts": _texts(request, id, at, voice),
        "papers": aircraft.records.papers if aircraft.records is not None else None,
        "paper_records": {each.act.name: each for each in definitions.counting(id, "aircraft-paper", at=at)},
        "against": [(each.finding.verdict, each.sentence) for each in papers if each.finding.verdict > Verdict.GO],
        "ending": _ending(aircraft, at),
        "may_verify": _may(request, definitions.VERIFY, id, "aircraft-verify"),
        "may_adopt": _may(request, "adopt a manual revision", id, "aircraft-revision"),
        "may_weigh": _may(request, WEIGHED.act, id, "aircraft-enter"),
        "may_paper": _may(request, PAPER.act, id, "aircraft-enter"),
    }


def _pictures(aircraft: Aircraft, voice: Voice) -> list[tuple[str, SafeString]]:
    """Return the envelope as two drawings, a wide and a narrow one."""
    speech = Speech(words=picture_words(voice.words.language), layer=voice.layer)
    out = []
    for name, width in (("wide", DESK), ("narrow", PHONE)):
        drawn = envelope(
            aircraft.definition, units=voice.preferred, view=View(width=width, speech=speech, heading=False)
        )
        # Every text of a drawing is escaped where it is written; see pictures.svg.
        out.append((name, mark_safe(drawn)))
    return out


def _groups(found: Checked, voice: Voice) -> list[dict[str, Any]]:
    rows: dict[str, list[dict[str, Any]]] = {}
    for value in found.values:
        check = found.checks.get(value.key)
        rows.setdefault(value.group, []).append(
            {
                "value": value,
                "label": capital(value.label),
                "by": voice.names.get(check.by, check.by) if check else "",
                "check": check,
            }
        )
    return [
        {
            "key": key,
            "title": title,
            "rows": rows[key],
            "open": sum(1 for each in rows[key] if each["check"] is None),
        }
        for key, title in GROUPS
        if key in rows
    ]


def _empty(aircraft: Aircraft, voice: Voice) -> dict[str, Any]:
    definition = aircraft.definition
    mass, arm = definition.empty_mass, definition.empty_arm
    return {
        "mass": mass.typed if mass.is_known else "",
        "arm": arm.typed if arm.is_known else "",
        "on": definition.weighed_on,
    }


def _weighings(request: Visit, id: str, at: datetime, voice: Voice) -> list[dict[str, Any]]:
    """Return the weighings that were entered, the newest first, each with what it gives."""
    records = sorted(definitions.counting(id, "aircraft-weighed", at=at), key=lambda each: each.act.weighed_on)
    return [
        {
            "record": each,
            "opens": opens_record(request, each),
            "act": each.act,
            "by": voice.names.get(each.by, each.by),
            "gives": weighing_table(each.act, each.by),
        }
        for each in reversed(records)
    ]


def _texts(request: Visit, id: str, at: datetime, voice: Voice) -> list[dict[str, Any]]:
    records: list[Recorded] = definitions.counting(id, "aircraft-defined", at=at)
    return [
        {
            "record": each,
            "opens": opens_record(request, each),
            "by": voice.names.get(each.by, each.by),
            "revision": each.act.manual_revision,
        }
        for each in reversed(records)
    ]


# --- acts -------------------------------------------------------------------------------------------------------------


@require_http_methods(["GET", "HEAD", "POST"])
def verify_values(request: Visit, id: str) -> HttpResponse:
    """Show the values of one page of the manual, blind, to be typed again from it; or take them in."""
    at = state.asking_at()
    aircraft = aircraft_with_id(id, at)
    found = definitions.checked_of(id, at)
    page = (request.POST if request.method == "POST" else request.GET).get("page", "")
    mine = [each for each in found.open if (each.page or NO_PAGE) == page]
    said, status = "", 200
    typed: dict[str, str] = {}
    if request.method == "POST":
        # The form says which value each of its fields was for: others may have been checked meanwhile.
        keys = {name.removeprefix("k."): str(key) for name, key in request.POST.items() if name.startswith("k.")}
        typed = {key: str(request.POST.get(f"v.{number}", "")).strip() for number, key in keys.items()}
        try:
            definitions.verify(id=form_id(request), aircraft=id, typed=typed, by=request.person)
            return redirect(f"{reverse('aircraft-verify', args=[id])}")
        except GyrewrightError as error:
            said, status = str(error), status_of(error)
    page_data = {
        "definition": aircraft.definition,
        "manual": voice_at(at).source(aircraft.definition.manual),
        "left": _pages(found.open),
        "page": page,
        "fields": [
            {"number": number, "value": each, "label": capital(each.label), "typed": typed.get(each.key, "")}
            for number, each in enumerate(mine)
        ],
        "said": said,
        "against": definitions.may_verify(id, by=request.person, at=at),
        "open": len(found.open),
        "count": len(found.values),
        "form_id": new_id(),
    }
    return render(request, "desk/aircraft-verify.html", page_data, status=status)


def _pages(values: tuple[Value, ...]) -> list[tuple[str, int]]:
    """Return the pages of the manual with how many values on each nobody has checked."""
    found: dict[str, int] = {}
    for each in values:
        found[each.page or NO_PAGE] = found.get(each.page or NO_PAGE, 0) + 1
    return list(found.items())


@require_http_methods(["GET", "HEAD", "POST"])
def adopt_revision(request: Visit, id: str) -> HttpResponse:
    """Show how a new text differs from the one that counts, and take it in once that has been seen."""
    at = state.asking_at()
    aircraft = aircraft_with_id(id, at)
    page: dict[str, Any] = {"definition": aircraft.definition, "text": "", "form_id": new_id()}
    if request.method != "POST":
        return render(request, "desk/aircraft-revision.html", page)
    text, status = request.POST.get("text", ""), 200
    try:
        text = _text(request)
        page["found"] = definitions.compare(aircraft=id, text=text)
        if request.POST.get("seen") == "yes":
            definitions.adopt(
                id=form_id(request),
                aircraft=id,
                text=text,
                why=request.POST.get("why", "").strip()[:400],
                by=request.person,
            )
            return redirect("aircraft-one", id=id)
    except GyrewrightError as error:
        page["said"], status = str(error), status_of(error)
    return render(request, "desk/aircraft-revision.html", page | {"text": text}, status=status)


def _text(request: Visit) -> str:
    """Return the text of an aircraft's file, from the file handed in or else from the field.

    Raises:
        Refused: There is none, it is too long, or it is no text.
    """
    file = request.FILES.get("file")
    if file is not None and file.size:
        if file.size > TEXT_BYTES:
            raise Refused(f"the file has {file.size:,} bytes; an aircraft's file has at most {TEXT_BYTES:,}")
        try:
            text: str = file.read().decode("utf-8")
        except UnicodeDecodeError:
            raise Refused("the file is no text in UTF-8; hand in the aircraft's file as it is written") from None
    else:
        text = request.POST.get("text", "")
    text = text.replace("\r\n", "\n")
    if not text.strip():
        raise Refused("hand in the aircraft's file, or paste its text")
    return text


@require_POST
def acknowledge_revision(request: Visit, id: str) -> HttpResponse:
    """Record that this person has read what the revision changed."""
    aircraft_with_id(id, state.asking_at())
    definitions.acknowledge(id=form_id(request), aircraft=id, by=request.person)
    return redirect("aircraft-one", id=id)


@require_http_methods(["GET", "HEAD", "POST"])
def enter_about_aircraft(request: Visit, id: str, name: str) -> HttpResponse:
    """Show a form about an aircraft as it is defined, or take it in."""
    aircraft = aircraft_with_id(id, state.asking_at())
    form = form_named(AIRCRAFT, name)
    scene = scene_of(request, form, id)
    called = f"{aircraft.definition.name} {id}"
    title = f"{called}: {form.title[:1].lower()}{form.title[1:]}"
    return enter(request, form, scene, title=title, back=reverse("aircraft-one", args=[id]), back_words=called)
