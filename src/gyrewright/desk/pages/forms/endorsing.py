"""What others write for somebody: endorsements, check-outs, authorities; and one's own minimums, as forms."""

from __future__ import annotations

from typing import Any

from gyrewright.desk.book.kinds import people as kinds
from gyrewright.desk.book.reading import find_records
from gyrewright.desk.book.record import Kept, Recorded
from gyrewright.desk.fold.standing import standing
from gyrewright.desk.pages.forms.fields import CHOICE, DAY, FLAG, LONG, SEVERAL, Field, Given, paper
from gyrewright.desk.pages.forms.form import Form, Scene
from gyrewright.desk.pages.forms.limit_card import card_fields, card_text
from gyrewright.desk.pages.forms.shared import TEACHERS, day, fleet, iso, models, today, words
from gyrewright.desk.refusal import Refused
from gyrewright.desk.services import papers, state
from gyrewright.limits import QUANTITIES

AUTHORITIES = ("training in an experimental aircraft",)
ENDORSEMENTS = ("solo", "solo night", "controlled airspace", "night", "fast aircraft", "practical test")


def _endorsing_fields(scene: Scene) -> tuple[Field, ...]:
    card = card_fields(scene.earlier.act.limits if scene.earlier is not None else "")
    return (
        Field("what_for", "For", CHOICE, choices=words(ENDORSEMENTS)),
        Field("other", "Or for something else", hint="in the words of its text"),
        Field("make_model", "Make and model", CHOICE, "left open, it holds for every one", models(scene)),
        Field("text", "Its text, as written", LONG, required=True, is_wide=True),
        Field("given_by", "Given by", CHOICE, choices=scene.persons(roles=TEACHERS), required=True, value=scene.by),
        Field("given_on", "Given on", DAY, required=True, value=today(scene)),
        Field("rests_on", "Rests on training of", DAY),
        Field("gave_training", "I gave the training that it rests on", FLAG),
        Field("valid_days", "Good for so many days", hint="where its text says so"),
        Field("for_flight_on", "For one day only", DAY),
        Field("place", "For one place only"),
        Field("lessons", "For these lessons only", hint="parted by commas"),
        Field("giver_present", "Its giver has to be on the field", FLAG),
        *card,
        paper(),
    )


def _endorse(scene: Scene, given: Given) -> Kept:
    days = given.text("valid_days")
    act = kinds.Endorsement(
        what_for=given.text("other") or given.text("what_for"),
        given_by=given.text("given_by"),
        given_on=day(given, "given_on"),
        text=given.text("text"),
        make_model=given.text("make_model"),
        place=given.text("place"),
        lessons=tuple(each.strip() for each in given.text("lessons").split(",") if each.strip()),
        rests_on=given.day("rests_on"),
        valid_days=given.whole("valid_days") if days else None,
        for_flight_on=given.day("for_flight_on"),
        giver_present=given.flag("giver_present"),
        limits=card_text(given, scene.earlier.act.limits if scene.earlier is not None else ""),
        photos=scene.earlier.act.photos if scene.earlier is not None else (),
        from_paper=given.text("from_paper"),
    )
    return papers.endorse(
        id=scene.id,
        person=scene.about,
        act=act,
        by=scene.by,
        gave_training=given.flag("gave_training"),
        corrects=scene.corrects,
    )


def _fill_endorsement(record: Recorded) -> dict[str, Any]:
    act: kinds.Endorsement = record.act
    is_usual = act.what_for in ENDORSEMENTS
    out = {name: getattr(act, name) for name in ("make_model", "text", "given_by", "place", "from_paper")}
    out |= {"what_for": act.what_for if is_usual else "", "other": "" if is_usual else act.what_for}
    out |= {"given_on": iso(act.given_on), "rests_on": iso(act.rests_on), "for_flight_on": iso(act.for_flight_on)}
    out |= {"lessons": ", ".join(act.lessons), "giver_present": "yes" if act.giver_present else ""}
    out |= {"valid_days": "" if act.valid_days is None else str(act.valid_days)}
    return out | {each.name: each.value for each in card_fields(act.limits)}


def _checkout_fields(scene: Scene) -> tuple[Field, ...]:
    return (
        Field("make_model", "Make and model", CHOICE, choices=models(scene), required=True),
        Field("aircraft", "On one aircraft only", CHOICE, "every one of that make where none is chosen", fleet(scene)),
        Field("on", "Flown on", DAY, required=True, value=today(scene)),
        Field("checked_by", "By", CHOICE, choices=scene.persons(roles=TEACHERS), required=True, value=scene.by),
        Field("configuration", "Covers", hint="what differs, parted by commas, such as: doors off"),
        paper(),
    )


def _check_out(scene: Scene, given: Given) -> Kept:
    act = kinds.Checkout(
        make_model=given.text("make_model"),
        on=day(given, "on"),
        checked_by=given.text("checked_by"),
        aircraft=given.text("aircraft"),
        configuration=tuple(each.strip() for each in given.text("configuration").split(",") if each.strip()),
        from_paper=given.text("from_paper"),
    )
    return papers.check_out(id=scene.id, person=scene.about, act=act, by=scene.by, corrects=scene.corrects)


def _fill_checkout(record: Recorded) -> dict[str, Any]:
    act: kinds.Checkout = record.act
    out = {name: getattr(act, name) for name in ("make_model", "aircraft", "checked_by", "from_paper")}
    return out | {"on": iso(act.on), "configuration": ", ".join(act.configuration)}


def _authority_fields(scene: Scene) -> tuple[Field, ...]:
    return (
        Field("what_for", "To do what", CHOICE, choices=words(AUTHORITIES), is_wide=True),
        Field("other", "Or something else", hint="in its own words"),
        Field("paper", "Its number", required=True),
        Field("issued_on", "Issued on", DAY, required=True),
        Field("until_on", "Until", DAY),
        Field("aircraft", "For", SEVERAL, "every aircraft where none is ticked", fleet(scene), is_wide=True),
    )


def _hold(scene: Scene, given: Given) -> Kept:
    act = kinds.Authority(
        what_for=given.text("other") or given.text("what_for"),
        paper=given.text("paper"),
        issued_on=day(given, "issued_on"),
        aircraft=given.several("aircraft"),
        until_on=given.day("until_on"),
        photos=scene.earlier.act.photos if scene.earlier is not None else (),
    )
    return papers.hold_authority(id=scene.id, person=scene.about, act=act, by=scene.by, corrects=scene.corrects)


def _fill_authority(record: Recorded) -> dict[str, Any]:
    act: kinds.Authority = record.act
    is_usual = act.what_for in AUTHORITIES
    return {
        "what_for": act.what_for if is_usual else "",
        "other": "" if is_usual else act.what_for,
        "paper": act.paper,
        "issued_on": iso(act.issued_on),
        "until_on": iso(act.until_on),
        "aircraft": act.aircraft,
    }


def _minimums_fields(scene: Scene) -> tuple[Field, ...]:
    return card_fields(_own_text(scene))


def _own_text(scene: Scene) -> str:
    records = find_records(about=scene.about, kinds=("minimums", "withdrawn", "clash", "clash-settled"))
    counting = [each for each in standing(records, at=scene.at).records if each.kind == "minimums"]
    return counting[-1].act.limits if counting else ""


def _set_minimums(scene: Scene, given: Given) -> Kept:
    limits = card_text(given, _own_text(scene))
    return papers.set_minimums(id=scene.id, person=scene.about, limits=limits, by=scene.by)


def _tightening_fields(scene: Scene) -> tuple[Field, ...]:
    known = state.folk(scene.at).people.get(scene.about)
    own = dict.fromkeys(limit.of for limit in known.own_limits if limit.value is not None) if known else {}
    return (
        Field("of", "Which of them", CHOICE, choices=words(tuple(own)), required=True),
        Field("less", "By how much", hint="such as 4 kt; always to the strict side", required=True),
        Field("why", "Why", hint="a word or two; no detail is asked for", required=True, is_wide=True),
    )


def _tighten(scene: Scene, given: Given) -> Kept:
    of = given.text("of")
    if of not in QUANTITIES:
        raise Refused("choose which of your own minimums")
    return papers.tighten(
        id=scene.id, person=scene.about, of=of, less=given.text("less"), why=given.text("why"), by=scene.by
    )


ENDORSED = Form(
    "endorsement", "An endorsement", "Enter the endorsement", _endorsing_fields, _endorse, "endorsement",
    _fill_endorsement,
    "As its giver wrote it, and as numbers. It counts in the logbook that it stands in; this is its record. Only"
    " whoever gave the training endorses, and nobody for themself.", "",
)  # fmt: skip
CHECKED = Form(
    "check-out", "A check-out", "Enter the check-out", _checkout_fields, _check_out, "checkout", _fill_checkout,
    "For a make and model: what is taught for one type can kill in another.", "check somebody out",
)  # fmt: skip
AUTHORITY = Form(
    "authority", "A written authority", "Enter it", _authority_fields, _hold, "authority", _fill_authority,
    "Such as the paper under which training in an experimental aircraft may be paid for.", "hold an authority",
)  # fmt: skip
MINIMUMS = Form(
    "minimums", "My own minimums", "These are my minimums", _minimums_fields, _set_minimums, "minimums", None,
    "Set ahead, and never on the day of a flight. They bind wherever you command, beside law, manual and house.",
    "change own minimums",
)  # fmt: skip
TIGHTER = Form(
    "tighter", "Tighter today", "Tighten it for today", _tightening_fields, _tighten, "today", None,
    "Today you ask for more than your own minimums do. Nobody asks why twice, and nobody loosens it today.",
    "tighten own minimums for today",
)  # fmt: skip
