"""People: who is here and what they may do today by their papers; one person's papers, roles, and own minimums."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_safe

from gyrewright.desk.access import Reach, sees_masses
from gyrewright.desk.access import reach as reach_of
from gyrewright.desk.book.reading import find_records
from gyrewright.desk.book.record import Recorded
from gyrewright.desk.fold.people import Known
from gyrewright.desk.fold.standing import standing
from gyrewright.desk.pages.entering import enter, form_named, opens_record, scene_of
from gyrewright.desk.pages.forms import people as forms
from gyrewright.desk.pages.forms.form import Form
from gyrewright.desk.pages.visit import Visit
from gyrewright.desk.refusal import NotAllowed
from gyrewright.desk.services import state
from gyrewright.desk.services.definitions import to_read
from gyrewright.desk.services.entitling import allowed
from gyrewright.desk.services.people import all_people
from gyrewright.desk.services.speaking import voice_at
from gyrewright.desk.services.standing import Standing, has_house, standing_of
from gyrewright.errors import UnknownName
from gyrewright.finding import Limit, Verdict
from gyrewright.people import Person
from gyrewright.words.voice import Voice, capital

GROUPS = (
    ("Instructors and examiners", frozenset(("instructor", "named instructor", "chief instructor", "examiner"))),
    ("Students", frozenset(("student",))),
    ("Pilots and owners", frozenset(("pilot", "owner"))),
    ("Maintenance", frozenset(("maintainer", "inspector"))),
    ("Others", frozenset()),
)
MARKS = ("withdrawn", "clash", "clash-settled")
LISTED = ("endorsement", "checkout", "authority", "landings")
_CORRECTED_BY = {each.kind: each.name for each in forms.PEOPLE.values() if each.fill is not None}


def reaches_person(request: Visit, person: str, at: datetime) -> bool:
    """Return whether a visitor may look at a person: everybody's page, one's own, or an examiner's applicant's."""
    if request.reach is Reach.ALL or request.person == person:
        return True
    tested = (each.act for each in state.flights(at).values() if each.act.examiner == request.person)
    return request.reach is Reach.OWN and any(person in (act.student, act.commander) for act in tested)


def person_reached(request: Visit, person: str, at: datetime) -> Known:
    """Return a person whom a visitor may look at.

    Raises:
        UnknownName: Nobody has this id, or the visitor does not reach them: whoever may not see does not learn.
    """
    known = all_people().get(person)
    if known is None or not reaches_person(request, person, at):
        raise UnknownName(f"the book knows nobody by the id {person!r}")
    return known


def may_enter(request: Visit, form: Form, person: str) -> bool:
    """Return whether a form about a person is offered to this visitor; its service has the last word."""
    is_self = request.person == person
    own = {"minimums", "tighter"}
    if form.name in own:
        return is_self
    if form.name == "name":
        return is_self or "manager" in request.roles
    if form.name in ("landings", "mass"):
        act = "enter a person's papers" if form.name == "landings" else "weigh a person"
        return is_self or bool(allowed(act, person=request.person, relations={"subject": person}).allowed)
    act = form.act or "copy an endorsement from paper"
    return allowed(act, person=request.person, relations={"subject": person}).allowed is True


# --- everybody --------------------------------------------------------------------------------------------------------


@require_safe
def show_people(request: Visit) -> HttpResponse:
    """Show everybody, or send on to one's own page where that is all one sees."""
    if request.reach is Reach.OWN:
        return redirect("person", id=request.person)
    at = state.asking_at()
    on = at.astimezone(state.zone()).date()
    voice = voice_at(at)
    left = dict(sorted(all_people().items(), key=lambda each: each[1].name.casefold()))
    groups = []
    for title, roles in GROUPS:
        mine = [id for id, known in left.items() if (known.roles_on(on) & roles if roles else True)]
        groups.append((title, [_line(left.pop(id), at, on, voice) for id in mine]))
    page = {
        "groups": [(title, rows) for title, rows in groups if rows],
        "on": on,
        "has_house": has_house(at),
        "may_add": reach_of(route="person-add", roles=request.roles) is not Reach.NONE,
    }
    return render(request, "desk/people.html", page)


def _line(known: Known, at: datetime, on: date, voice: Voice) -> dict[str, Any]:
    found = standing_of(known.id, at)
    return {
        "id": known.id,
        "name": known.name or known.id,
        "roles": ", ".join(sorted(known.roles_on(on))) or "no role today",
        "says": _gists(found, voice),
        "next": next((each for each in found.ends if not each.is_over), None),
        "soon": [each.sentence for each in found.ends if ends_this_month(each.until, on)],
    }


def ends_this_month(until: date, on: date) -> bool:
    """Return whether something ends in the month of a day, from that day on."""
    return on <= until and (until.year, until.month) == (on.year, on.month)


def _gists(found: Standing, voice: Voice) -> list[str]:
    """Return what somebody may do in few sentences: capacities that stand alike in the same aircraft together."""
    together: dict[tuple[tuple[str, ...], tuple[str, ...]], list[str]] = {}
    for capacity, rows in found.rows:
        if any(row.is_asked for row in rows):
            good = tuple(each.name for row in rows if row.verdict is Verdict.GO for each in row.aircraft)
            bad = tuple(each.name for row in rows if row.verdict is not Verdict.GO for each in row.aircraft)
            together.setdefault((good, bad), []).append(voice.word("capacity", capacity.name))
    out = []
    for (good, bad), words in together.items():
        to = f"To {'; to '.join(words)}"
        if not good:
            out.append(f"{to}: a reason against in every aircraft.")
        else:
            against = f" A reason against in {voice.joined(bad)}." if bad else ""
            out.append(f"{to}: no reason found against in {voice.joined(good)}.{against}")
    return out


# --- one person -------------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class _Look:
    request: Visit
    known: Known
    at: datetime
    on: date
    voice: Voice


@require_safe
def show_person(request: Visit, id: str) -> HttpResponse:
    """Show one person."""
    at = state.asking_at()
    known = person_reached(request, id, at)
    look = _Look(request, known, at, at.astimezone(state.zone()).date(), voice_at(at))
    return render(request, "desk/person.html", _page(look))


def _page(look: _Look) -> dict[str, Any]:
    request, known = look.request, look.known
    person = state.folk(look.at).people.get(known.id)
    is_self = request.person == known.id
    found = standing_of(known.id, look.at)
    lists = _lists(look)
    conflicts = [
        each for each in state.folk(look.at).conflicts if any(record.about == known.id for record in each.records)
    ]
    return {
        "known": known,
        "is_self": is_self,
        "title": f"{known.name or known.id}: {', '.join(sorted(known.roles_on(look.on))) or 'no role today'}",
        "on": look.on,
        "conflicts": conflicts,
        "rows": _standing(found, look.voice),
        "has_house": has_house(look.at),
        "ends": [
            {
                "ends": each,
                "days": (each.until - look.on).days,
                "is_soon": ends_this_month(each.until, look.on),
                "aircraft": look.voice.joined(each.aircraft),
            }
            for each in found.ends
        ],
        "papers": _papers(person, look.voice) if person else [],
        "unsaid": _unsaid(person) if person else (),
        "lists": lists,
        "own": [_limit(each, look.voice) for each in person.own_limits] if person else [],
        "word": person if person and person.fitness else None,
        "mass": _mass(person, look) if person else None,
        "contact": known.contact if is_self or "manager" in request.roles else "",
        "born_on": known.born_on if is_self or request.roles & forms.TEACHERS or "manager" in request.roles else None,
        "roles": [
            {"held": each, "is_now": each.holds(look.on), "aircraft": look.voice.joined(each.aircraft)}
            for each in sorted(known.roles, key=lambda each: (each.from_on, each.role))
        ],
        "may": {
            each.name.replace("-", "_"): True for each in forms.PEOPLE.values() if may_enter(request, each, known.id)
        },
        "others": _to_weigh(look) if is_self else [],
        "to_read": [(each.definition.id, each.definition.name) for each in to_read(known.id, look.at)],
    }


def _standing(found: Standing, voice: Voice) -> list[dict[str, Any]]:
    return [
        {
            "name": capital(voice.word("capacity", capacity.name)),
            "rows": [
                {
                    "row": row,
                    "verdict": row.verdict,
                    "aircraft": voice.joined(each.name for each in row.aircraft),
                }
                for row in rows
            ],
        }
        for capacity, rows in found.rows
    ]


def _papers(person: Person, voice: Voice) -> list[str]:
    """Return what is known of a person's papers as sentences; never a medical detail, only route and dates."""
    day, out = voice.day_of, []
    if person.certificate:
        issued = f", issued {day(person.certificate_on)}" if person.certificate_on else ""
        temporary = "temporary " if person.certificate_temporary else ""
        out.append(f"Holds a {temporary}{person.certificate} pilot certificate{issued}.")
    if person.certificate_valid is False:
        out.append("It is surrendered, suspended, revoked or expired.")
    if person.privileges:
        out.append(f"Uses {person.privileges} privileges.")
    if person.ratings is not None:
        out.append(f"Rated for {voice.joined(sorted(person.ratings))}." if person.ratings else "Holds no rating.")
    if person.review_on:
        scope = f", {person.review_scope} scope" if person.review_scope else ""
        out.append(f"Last flight review on {day(person.review_on)}{scope}.")
    medical = person.medical
    if medical.route:
        dates = [
            f"{words} {day(value)}"
            for words, value in (
                ("examined", medical.exam_on),
                ("until", medical.licence_until_on),
                ("course", medical.basicmed_course_on),
                ("examined", medical.basicmed_exam_on),
            )
            if value
        ]
        route = voice.word("medical", medical.route)
        out.append(f"Medical route: {route}{', ' if dates else ''}{', '.join(dates)}.")
    teaching = person.teaching
    if teaching.privileges:
        recent = f", recent experience shown {day(teaching.recent_on)}" if teaching.recent_on else ""
        out.append(f"Teaches under {teaching.privileges} privileges{recent}.")
    studies = person.studies
    if studies.last_lesson_on:
        out.append(f"Last lesson on {day(studies.last_lesson_on)}.")
    if studies.presolo_test_for:
        out.append(f"Written test before solo: {voice.joined(studies.presolo_test_for)}.")
    if studies.knowledge_test_on:
        out.append(f"Knowledge test on {day(studies.knowledge_test_on)}.")
    return out


def _unsaid(person: Person) -> tuple[str, ...]:
    """Return the lists that nobody has called complete: nothing in them is not the same as empty."""
    held: dict[str, object] = {
        "take-offs and landings": person.landings,
        "endorsements": person.endorsements,
        "check-outs": person.checkouts,
    }
    if person.roles & forms.TEACHERS:
        held |= {"instruction given": person.taught}
    return tuple(name for name, value in held.items() if value is None)


def _lists(look: _Look) -> dict[str, list[dict[str, Any]]]:
    """Return endorsements, check-outs, authorities and landings that count, each with its record."""
    records = find_records(about=look.known.id, kinds=(*LISTED, *MARKS))
    out: dict[str, list[dict[str, Any]]] = {each: [] for each in LISTED}
    for each in standing(records, at=look.at).records:
        if each.kind in out:
            out[each.kind].insert(0, _entry(each, look))
    out["landings"].sort(key=lambda each: each["act"].on, reverse=True)
    return out


def _entry(record: Recorded, look: _Look) -> dict[str, Any]:
    act, names = record.act, look.voice.names
    form = forms.PEOPLE[_CORRECTED_BY[record.kind]]
    giver = getattr(act, "given_by", "") or getattr(act, "checked_by", "")
    row = {
        "record": record,
        "opens": opens_record(look.request, record),
        "act": act,
        "giver": names.get(giver, giver),
        "by": names.get(record.by, record.by),
        "correct": form.name if may_enter(look.request, form, look.known.id) else "",
    }
    if record.kind == "endorsement":
        person = state.folk(look.at).people.get(look.known.id)
        mine = [
            each
            for each in (person.endorsements or () if person else ())
            if (each.what_for, each.given_by, each.given_on, each.make_model)
            == (act.what_for, act.given_by, act.given_on, act.make_model)
        ]
        row["limits"] = [_limit(each, look.voice) for each in mine[0].limits] if mine else []
        row["standing"] = mine[0].giver_in_standing if mine else None
    return row


def _limit(limit: Limit, voice: Voice) -> str:
    """Return a limit of a card as a person reads it."""
    counts = {"gust": ", gusts counted", "mean": ", mean wind"}.get(limit.counts, "")
    why = f" ({limit.scope})" if limit.scope else ""
    return f"{limit.of} {voice.word('sense', limit.sense.value, limit=limit.typed)}{counts}{why}"


def _mass(person: Person, look: _Look) -> dict[str, Any]:
    """Return when somebody was weighed; the number only for whom it is to be seen."""
    fact = person.mass
    sees = sees_masses(person=look.request.person, aboard=(person.id,), releasing="")
    return {
        "is_known": fact.is_known,
        "typed": fact.typed if sees else "",
        "origin": fact.origin.value,
        "at": fact.at,
        "by": look.voice.names.get(fact.by, fact.by),
    }


def _to_weigh(look: _Look) -> list[tuple[str, str]]:
    """Return whom this person may put on the scale, where they do not reach those people's own pages."""
    if (
        look.request.reach is Reach.ALL
        or not allowed("weigh a person", person=look.known.id, relations={"subject": ""}).allowed
    ):
        return []
    people: Mapping[str, Known] = all_people()
    found = [
        (id, known.name or id)
        for id, known in people.items()
        if id != look.known.id and known.roles_on(look.on) - {"visitor"}
    ]
    return sorted(found, key=lambda each: each[1])


# --- entering ---------------------------------------------------------------------------------------------------------


@require_http_methods(["GET", "HEAD", "POST"])
def add_person(request: Visit) -> HttpResponse:
    """Show the form for somebody new, or take it in and go to their page."""
    id = request.POST.get("person", "") or forms.new_person_id()
    if id in all_people() or not id.startswith("p-"):
        id = forms.new_person_id()
    scene = scene_of(request, forms.ADD, id)
    return enter(
        request,
        forms.ADD,
        scene,
        title="Somebody new",
        back=reverse("person", args=[id]),
        back_words="People",
        more={"up": reverse("people"), "hidden": {"person": id}},
    )


@require_http_methods(["GET", "HEAD", "POST"])
def enter_about_person(request: Visit, id: str, name: str) -> HttpResponse:
    """Show a form about a person, or take it in."""
    at = state.asking_at()
    known = person_reached(request, id, at)
    form = form_named(forms.PEOPLE, name)
    called = known.name or id
    if not may_enter(request, form, id):
        raise NotAllowed(f"{form.title.lower()}: that is not yours to enter about {called}; see who may do what")
    scene = scene_of(request, form, id)
    reach = reach_of(route="person", roles=request.roles)
    sees = reach is Reach.ALL or request.person == id
    back = reverse("person", args=[id if sees else request.person])
    title = f"{called}: {form.title[:1].lower()}{form.title[1:]}"
    return enter(request, form, scene, title=title, back=back, back_words=called)
