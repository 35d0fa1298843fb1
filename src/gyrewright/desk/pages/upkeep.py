"""Upkeep: what is next due on each aircraft, on which clock; what stands open; meters, parts, work, what was done."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date, datetime
from typing import Any

from django.http import HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_safe

from gyrewright.desk.access import Reach
from gyrewright.desk.access import reach as reach_of
from gyrewright.desk.book.reading import find_records
from gyrewright.desk.fold.standing import standing
from gyrewright.desk.pages.acts_told import told_act
from gyrewright.desk.pages.entering import enter, form_named, opens_record, scene_of
from gyrewright.desk.pages.forms import upkeep as forms
from gyrewright.desk.pages.forms.form import Form
from gyrewright.desk.pages.rulers import rulers_of
from gyrewright.desk.pages.visit import Visit
from gyrewright.desk.refusal import Refused
from gyrewright.desk.services import state
from gyrewright.desk.services.definitions import in_question
from gyrewright.desk.services.due import NextDue, decision_on, house_of, next_due, standing_of
from gyrewright.desk.services.entitling import allowed
from gyrewright.desk.services.matters import matters_of
from gyrewright.desk.services.people import all_people
from gyrewright.desk.services.speaking import voice_at
from gyrewright.errors import GyrewrightError, UnknownName
from gyrewright.finding import Verdict
from gyrewright.limits import PURPOSES
from gyrewright.maintenance import Records
from gyrewright.maintenance.clocks import NO_EVIDENCE, OVER, UNCLEAR
from gyrewright.maintenance.parts import Fit, Part
from gyrewright.maintenance.work import Work
from gyrewright.release.question import Aircraft
from gyrewright.words.numbers import digits
from gyrewright.words.tell import Told
from gyrewright.words.voice import Voice, capital

USUAL = "instruction"
"""The purpose that is asked about where none is chosen: it is the strictest for most."""
LATELY = 8
NBSP = "\u00a0"
QUICK = (forms.METERS, forms.DONE, forms.WORK, forms.TOUCHED)

KINDS = tuple(each.kind for each in forms.UPKEEP.values())
"""The kinds of record that the page lists as entered lately."""
_CORRECTED_BY = {each.kind: each.name for each in forms.UPKEEP.values() if each.fill is not None}


def purpose_of(request: Visit) -> str:
    """Return the purpose of flights that a page asks about."""
    chosen = request.GET.get("for", "")
    return chosen if chosen in PURPOSES else USUAL


def aircraft_with_id(id: str, at: datetime) -> Aircraft:
    """Return an aircraft of the operation.

    Raises:
        UnknownName: The operation has none of this id.
    """
    if id not in state.fleet_ids():
        raise UnknownName(f"the operation has no aircraft {id!r}")
    return state.machine(id, at).aircraft


def show_doubt(request: Visit, id: str, at: datetime, refused: Refused) -> HttpResponse:
    """Show that nothing can be said about an aircraft whose own file is in question, and where that is settled."""
    conflicts = in_question(id, at)
    if not conflicts:
        raise refused
    return render(request, "desk/aircraft-doubt.html", {"id": id, "problem": str(refused), "conflicts": conflicts})


def may_enter(request: Visit, form: Form, aircraft: str) -> bool:
    """Return whether a form is offered to this visitor: the table of acts has the last word when it is handed in."""
    found = allowed(form.act, person=request.person, aircraft=aircraft).allowed
    return reach_of(route="upkeep-enter", roles=request.roles) is not Reach.NONE and found is not False


@require_safe
def show_upkeep(request: Visit) -> HttpResponse:
    """Show every aircraft with what binds it next."""
    at = state.asking_at()
    purpose = purpose_of(request)
    rows = []
    for id in state.fleet_ids():
        try:
            rows.append(_row(state.machine(id, at).aircraft, at, purpose))
        except GyrewrightError as error:
            rows.append({"id": id, "name": id, "problem": str(error)})
    page = {
        "rows": rows,
        "purpose": purpose,
        "purposes": PURPOSES,
        "title": _title(rows),
        "may_exercise": reach_of(route="exercises", roles=request.roles) is not Reach.NONE,
        "may_learn": reach_of(route="teaches", roles=request.roles) is not Reach.NONE,
    }
    return render(request, "desk/upkeep.html", page)


def _title(rows: list[dict[str, Any]]) -> str:
    late = [row["name"] for row in rows if row.get("is_late")]
    if not rows:
        return "No aircraft has been entered yet"
    if not late:
        return "Nothing is over"
    return f"{_joined(late)}: something is over, or nobody can show it"


def _joined(texts: list[str]) -> str:
    *most, last = texts
    return f"{', '.join(most)} and {last}" if most else last


def _row(aircraft: Aircraft, at: datetime, purpose: str) -> dict[str, Any]:
    definition = aircraft.definition
    found = next_due(aircraft, at=at, purpose=purpose)
    binding = [each for each in found if each.binds]
    late = [each for each in binding if not each.is_in_date]
    ahead = [each for each in binding if each.is_in_date]
    on = at.astimezone(state.zone()).date()
    is_known = aircraft.program is not None and aircraft.records is not None
    against = []
    if is_known:
        against = [
            each for each in standing_of(aircraft, at=at, purpose=purpose).open if each.finding.verdict > Verdict.GO
        ]
    return {
        "id": definition.id,
        "name": definition.name,
        "is_known": is_known,
        "is_late": bool(late),
        "late": [_due(each) for each in late],
        "next": _due(ahead[0]) if ahead else None,
        "near": sum(1 for each in ahead[1:] if each.is_near(on)),
        "against": [each.sentence for each in against],
    }


# --- one aircraft -----------------------------------------------------------------------------------------------------


@require_safe
def show_aircraft_upkeep(request: Visit, id: str) -> HttpResponse:
    """Show one aircraft's upkeep."""
    at = state.asking_at()
    try:
        aircraft = aircraft_with_id(id, at)
    except Refused as refused:
        return show_doubt(request, id, at, refused)
    return render(request, "desk/upkeep-aircraft.html", _page(request, aircraft, at))


def _page(request: Visit, aircraft: Aircraft, at: datetime) -> dict[str, Any]:
    id, purpose = aircraft.definition.id, purpose_of(request)
    machine = state.machine(id, at)
    names = {each: known.name or each for each, known in all_people().items()}
    voice = voice_at(at)
    page: dict[str, Any] = {
        "definition": aircraft.definition,
        "at": at,
        "purpose": purpose,
        "purposes": PURPOSES,
        "conflicts": [each for each in machine.tables.conflicts if any(one.about == id for one in each.records)],
        "names": names,
        "quick": [each for each in QUICK if may_enter(request, each, id)],
        "may": {each.name.replace("-", "_"): True for each in forms.UPKEEP.values() if may_enter(request, each, id)},
        "lately": _lately(request, aircraft, at, names),
    }
    program, records = aircraft.program, aircraft.records
    if program is None or records is None:
        lacks = "its program has" if program is None else "its books have"
        return page | {"title": f"nobody can say what is due: {lacks} not been entered", "is_known": False}
    found = next_due(aircraft, at=at, purpose=purpose)
    on = at.astimezone(voice.zone).date()
    binding = [each for each in found if each.binds]
    stands = standing_of(aircraft, at=at, purpose=purpose)
    return page | {
        "is_known": True,
        "title": _headline(binding),
        "near": _together([each for each in binding if each.is_near(on)], with_ruler=True),
        "later": _together([each for each in binding if not each.is_near(on)], with_ruler=False),
        "later_count": sum(1 for each in binding if not each.is_near(on)),
        "notices": [_notice(each, records, names) for each in found if each.due.task.kind == "notice"],
        "open": [_open(each) for each in stands.open],
        "matters": matters_of(id, at),
        "books": [_open(each) for each in stands.books],
        "work": [_work(each, voice) for each in _recent_work(records)],
        "house_areas": ", ".join(sorted(house_of(at).second_look_areas)),
        "meters": _meters(machine.tables.books, records, names),
        "parts": [_part(each, records, id, voice) for each in records.history.parts],
        "shares": [(name, voice.quantity("share", value)) for name, value in records.history.shares.items()],
        "directives_read_on": records.directives_read_on,
    }


def _together(found: list[NextDue], *, with_ruler: bool) -> list[dict[str, Any]]:
    """Return clocks for a template; those of one meter that come due together stand under one ruler."""
    groups: dict[tuple[object, ...], list[NextDue]] = {}
    for each in found:
        binding = each.due.binding
        alone = not each.is_in_date or binding is None or len(each.due.layers) > 1
        key = (
            (each.due.task.id, each.due.clock)
            if alone
            else (each.due.clock.meter, binding and binding.due, each.due.now)
        )
        groups.setdefault(key, []).append(each)
    return [
        {
            "lead": _due(several[0], with_ruler=with_ruler),
            "each": [_due(each) for each in several],
            "names": "; ".join([several[0].due.task.name, *(_lower(each.due.task.name) for each in several[1:])]),
        }
        for several in groups.values()
    ]


def _headline(binding: list[NextDue]) -> str:
    late = [each for each in binding if not each.is_in_date]
    if late:
        first = late[0]
        word = {OVER: "is over", NO_EVIDENCE: "has no evidence", UNCLEAR: "is not clear"}[first.due.state]
        rest = f", and {len(late) - 1} more" if len(late) > 1 else ""
        return f"{_lower(first.due.task.name)} {word}{rest}"
    if not binding:
        return "its program asks for nothing"
    first = binding[0]
    return f"{_lower(first.due.task.name)} is next, {first.told.left.replace(' ', NBSP)}"


def _lower(name: str) -> str:
    return name[:1].lower() + name[1:] if name[1:2].islower() else name


def _due(each: NextDue, *, with_ruler: bool = False) -> dict[str, Any]:
    """Return one clock for a template: its mark, words, working, and ruler."""
    due, told, voice = each.due, each.told, each.told.voice
    return {
        "id": due.task.id,
        "name": due.task.name,
        "kind": due.task.kind,
        "clock": f"{due.clock.meter} meter" if due.clock.meter else "calendar",
        "verdict": told.finding.verdict if told.finding.verdict > Verdict.GO else None,
        "sentence": told.sentence,
        "left": told.left if each.is_in_date else "",
        "is_permitted": each.is_in_date and due.remaining is not None and due.remaining < 0.0,
        "rulers": rulers_of(told) if with_ruler and told.finding.layers else (),
        "working": _working(each, voice),
        "source": capital(voice.source(told.finding.source)),
        "expected": voice.day_of(each.expected_on) if each.expected_on and each.is_in_date and due.unit == "h" else "",
        "said_by": [voice.names.get(one, one) for one in due.said_by.split(", ") if one],
    }


def _working(each: NextDue, voice: Voice) -> list[str]:
    """Return the steps by which a clock was worked out, and what each layer says."""
    out = [f"{what} {_amount(value, unit, voice)}" for what, value, unit in each.due.working]
    if len(each.due.layers) > 1:
        for layer in each.due.layers:
            bears = " binds" if layer is each.due.binding else "" if layer.bears else " does not bear on these flights"
            name = layer.variation.name or voice.word("layer", layer.variation.whose.value)
            out.append(f"{name}: until {_amount(layer.latest, each.due.unit, voice)}{',' if bears else ''}{bears}")
    return out


def _amount(value: float | date, unit: str, voice: Voice) -> str:
    if isinstance(value, date):
        return voice.day_of(value)
    return f"{digits(value, 1)} {unit}"


def _notice(each: NextDue, records: Records, names: Mapping[str, str]) -> dict[str, Any]:
    decision = decision_on(records, each.due.task.id)
    return _due(each) | {
        "printed": each.due.task.printed,
        "binds": each.binds,
        "decision": decision,
        "decided_by": names.get(decision.by, decision.by) if decision else "",
    }


def _open(told: Told) -> dict[str, Any]:
    verdict = told.finding.verdict
    return {
        "id": told.finding.id,
        "about": told.finding.about,
        "verdict": verdict if verdict > Verdict.GO_IF else None,
        "sentence": told.sentence,
        "is_open": verdict > Verdict.GO or bool(told.finding.about),
    }


def _recent_work(records: Records) -> list[Work]:
    return sorted(records.work or (), key=lambda each: each.at, reverse=True)[:LATELY]


def _work(each: Work, voice: Voice) -> dict[str, Any]:
    def said(signed: Any) -> str:
        return f"{voice.names.get(signed.by, signed.by)}, {voice.moment(signed.at)}" if signed else ""

    return {
        "id": each.id,
        "what": each.what,
        "areas": ", ".join(sorted(each.areas)),
        "by": voice.joined(sorted(voice.names.get(one, one) for one in each.by)),
        "at": each.at,
        "signed": said(each.signed),
        "second_look": said(each.second_look),
        "check_flight": said(each.check_flight),
        "result": each.check_flight.result if each.check_flight else "",
        "changes_handling": each.changes_handling,
    }


def _meters(books: Mapping[str, Any], records: Records, names: Mapping[str, str]) -> list[dict[str, Any]]:
    rows = {row["name"]: row for row in books.get("meter", ())}
    out = []
    for name, meter in sorted(records.history.meters.items()):
        latest = meter.latest
        unit = "h" if meter.counts == "hours" else ""
        out.append(
            {
                "name": name,
                "latest": latest,
                "total": f"{digits(latest.total, 1)} {unit}".strip() if latest else "",
                "runs_on": latest is not None and abs(latest.total - latest.shows) > 1e-9,
                "by": names.get(latest.by, latest.by) if latest else "",
                "corrected": [(each, names.get(each.by, each.by)) for each in meter.corrected],
                "replaced": [
                    {**each, "by": names.get(each["by"], each["by"])} for each in rows.get(name, {}).get("replaced", ())
                ],
            }
        )
    return out


def _part(part: Part, records: Records, aircraft: str, voice: Voice) -> dict[str, Any]:
    fit = part.fitted_to(aircraft)
    return {
        "name": part.name,
        "serial": part.serial,
        "number": part.number,
        "made_on": part.made_on,
        "is_on": fit is not None,
        "own": _own_now(fit, records),
        "meter": fit.meter if fit else "",
        "stays": [
            {
                "aircraft": each.aircraft,
                "on": each.on,
                "off": each.off,
                "own": _hours(each.own),
                "own_off": _hours(each.own_off),
                "is_elsewhere": each.aircraft != aircraft,
            }
            for each in part.fits
        ],
    }


def _own_now(fit: Fit | None, records: Records) -> str:
    """Return what a fitted part has had by now: its own when it came on, and what its meter has run since."""
    if fit is None or fit.own is None or fit.meter_at is None:
        return ""
    meter = records.history.meters.get(fit.meter)
    if meter is None or meter.latest is None:
        return ""
    return _hours(fit.own + meter.latest.total - fit.meter_at)


def _hours(value: float | None) -> str:
    return "" if value is None else f"{digits(value, 1)} h"


def _lately(request: Visit, aircraft: Aircraft, at: datetime, names: Mapping[str, str]) -> list[dict[str, Any]]:
    """Return what was entered last about an aircraft's upkeep, the newest first, as sentences."""
    id = aircraft.definition.id
    records = find_records(about=id, kinds=(*KINDS, "withdrawn", "clash", "clash-settled"))
    counting = [each for each in standing(records, at=at).records if each.kind in KINDS]
    counting.sort(key=lambda each: each.seq, reverse=True)
    tasks = {task.id: task.name for task in aircraft.program.tasks} if aircraft.program else {}
    return [
        {
            "record": each,
            "opens": opens_record(request, each),
            "sentence": capital(told_act(each, names, tasks)),
            "by": names.get(each.by, each.by),
            "correct": _CORRECTED_BY.get(each.kind, "")
            if each.kind in _CORRECTED_BY and may_enter(request, forms.UPKEEP[_CORRECTED_BY[each.kind]], id)
            else "",
        }
        for each in counting[:LATELY]
    ]


# --- entering ---------------------------------------------------------------------------------------------------------


@require_http_methods(["GET", "HEAD", "POST"])
def enter_upkeep(request: Visit, id: str, name: str) -> HttpResponse:
    """Show a form of upkeep, or take it in."""
    at = state.asking_at()
    aircraft = aircraft_with_id(id, at)
    form = form_named(forms.UPKEEP, name)
    scene = scene_of(request, form, id)
    called = f"{aircraft.definition.name} {id}"
    back, back_words = reverse("upkeep-aircraft", args=[id]), called
    if form is forms.DONE and not scene.chosen.get("task") and scene.earlier is None:
        if request.method == "POST":
            raise Refused("say first which task was done")
        page = {"tasks": forms.pick_tasks(scene), "id": id, "back": back, "back_words": back_words, "form": form}
        return render(request, "desk/enter-task.html", page)
    title = f"{called}: {_lower(form.title)}"
    if form is forms.DONE:
        task = scene.earlier.act.task if scene.earlier is not None else scene.chosen["task"]
        known = aircraft.program.named(task) if aircraft.program is not None else None
        title = f"{called}: {_lower(known.name if known else task)} was done"
    return enter(request, form, scene, title=title, back=back, back_words=back_words)
