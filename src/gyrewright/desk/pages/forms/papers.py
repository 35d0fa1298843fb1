"""What a person's papers say, landings and the scale, as forms."""

from __future__ import annotations

from typing import Any

from gyrewright.desk.book.kinds import people as kinds
from gyrewright.desk.book.record import Kept, Recorded
from gyrewright.desk.pages.forms.fields import CHOICE, DAY, SEVERAL, Field, Given, moment, paper, yes_no
from gyrewright.desk.pages.forms.form import Form, Scene
from gyrewright.desk.pages.forms.shared import GYROPLANE, TEACHERS, day, fleet, iso, models, said, words
from gyrewright.desk.services import papers

CERTIFICATES = ("student", "sport", "recreational", "private", "commercial", "airline transport")
PRIVILEGES = ("student sport", "student private", "sport", "private")
ROUTES = (("medical", "medical certificate"), ("basicmed", "BasicMed"), ("licence", "driver's license"))
LISTS = ("landings", "taught", "endorsement", "checkout", "authority")


def _papers_fields(scene: Scene) -> tuple[Field, ...]:
    roles = scene.people[scene.about].roles_on(scene.at.astimezone(scene.zone).date())
    out = [
        Field("certificate", "Pilot certificate", CHOICE, choices=words(CERTIFICATES)),
        Field("certificate_on", "Issued on", DAY),
        Field("certificate_temporary", "Temporary", CHOICE, choices=yes_no()),
        Field("certificate_valid", "Valid: neither surrendered, suspended nor revoked", CHOICE, choices=yes_no()),
        Field("privileges", "Privileges used", CHOICE, choices=words(PRIVILEGES)),
        Field("ratings", f"Holds the rating {GYROPLANE}", CHOICE, choices=yes_no()),
        Field("review_on", "Last flight review", DAY),
        Field("review_scope", "Review covers", CHOICE, choices=words(("full", "sport"))),
        Field(
            "route",
            "Medical route",
            CHOICE,
            "the route and its dates, never a detail",
            ROUTES,
        ),
        Field("exam_on", "Medical: examined on", DAY),
        Field("licence_until_on", "Driver's license until", DAY),
        Field("licence_conditions_met", "Its conditions are met", CHOICE, choices=yes_no()),
        Field("basicmed_course_on", "BasicMed: course on", DAY),
        Field("basicmed_exam_on", "BasicMed: examined on", DAY),
        Field("basicmed_history_clear", "BasicMed: nothing bars it", CHOICE, choices=yes_no()),
    ]
    if roles & TEACHERS:
        out += [
            Field("teaching_privileges", "Teaches under", CHOICE, choices=words(("sport", "full"))),
            Field("teaching_on", "Instructor certificate issued", DAY),
            Field("teaching_printed_until_on", "Printed end", DAY),
            Field("teaching_renewed_on", "Renewed on", DAY),
            Field("teaching_recent_on", "Recent experience shown on", DAY),
        ]
    if "student" in roles:
        out += [
            Field("last_lesson_on", "Last lesson", DAY),
            Field("presolo_test_for", "Written test before solo, for", SEVERAL, choices=models(scene)),
            Field("presolo_errors_reviewed", "Its errors were gone through", CHOICE, choices=yes_no()),
            Field("knowledge_test_on", "Knowledge test passed on", DAY),
            Field("areas_missed", "Areas missed in it", hint="a whole number"),
            Field("missed_areas_reviewed", "They were gone through", CHOICE, choices=yes_no()),
            Field("experience_complete", "Experience complete for the test", CHOICE, choices=yes_no()),
        ]
    return (*out, paper())


def _enter_papers(scene: Scene, given: Given) -> Kept:
    missed = given.text("areas_missed")
    medical = kinds.Medical(
        route=given.text("route"),  # type: ignore[arg-type]
        exam_on=given.day("exam_on"),
        licence_until_on=given.day("licence_until_on"),
        licence_conditions_met=given.said("licence_conditions_met"),
        basicmed_course_on=given.day("basicmed_course_on"),
        basicmed_exam_on=given.day("basicmed_exam_on"),
        basicmed_history_clear=given.said("basicmed_history_clear"),
    )
    teaching = kinds.Teaching(
        privileges=given.text("teaching_privileges"),  # type: ignore[arg-type]
        ratings=(GYROPLANE,) if given.text("teaching_privileges") else None,
        on=given.day("teaching_on"),
        printed_until_on=given.day("teaching_printed_until_on"),
        renewed_on=given.day("teaching_renewed_on"),
        recent_on=given.day("teaching_recent_on"),
    )
    studies = kinds.Studies(
        last_lesson_on=given.day("last_lesson_on"),
        presolo_test_for=given.several("presolo_test_for") or None,
        presolo_errors_reviewed=given.said("presolo_errors_reviewed"),
        knowledge_test_on=given.day("knowledge_test_on"),
        areas_missed=given.whole("areas_missed") if missed else None,
        missed_areas_reviewed=given.said("missed_areas_reviewed"),
        experience_complete=given.said("experience_complete"),
    )
    rated = given.said("ratings")
    act = kinds.Standing(
        certificate=given.text("certificate"),
        certificate_on=given.day("certificate_on"),
        certificate_temporary=given.said("certificate_temporary"),
        certificate_valid=given.said("certificate_valid"),
        privileges=given.text("privileges"),
        ratings=None if rated is None else (GYROPLANE,) if rated else (),
        review_on=given.day("review_on"),
        review_scope=given.text("review_scope"),  # type: ignore[arg-type]
        medical=medical if medical != kinds.Medical() else None,
        teaching=teaching if teaching != kinds.Teaching() else None,
        studies=studies if studies != kinds.Studies() else None,
        from_paper=given.text("from_paper"),
    )
    return papers.enter_papers(id=scene.id, person=scene.about, act=act, by=scene.by)


def _complete_fields(scene: Scene) -> tuple[Field, ...]:
    choices = tuple((each, _LISTS[each]) for each in LISTS)
    return (Field("complete", "Complete from here on", SEVERAL, choices=choices, required=True, is_wide=True),)


_LISTS = {
    "landings": "take-offs and landings",
    "taught": "instruction given",
    "endorsement": "endorsements",
    "checkout": "check-outs",
    "authority": "written authorities",
}


def _say_complete(scene: Scene, given: Given) -> Kept:
    act = kinds.ListsComplete(complete=given.several("complete"))  # type: ignore[arg-type]
    return papers.say_complete(id=scene.id, person=scene.about, act=act, by=scene.by)


def _landing_fields(scene: Scene) -> tuple[Field, ...]:
    return (
        Field("on", "On", DAY, required=True),
        Field("take_offs", "Take-offs", hint="a whole number", required=True),
        Field("landings", "Landings", hint="a whole number", required=True),
        Field("aircraft", "Aircraft", CHOICE, "another where none is chosen", fleet(scene)),
        Field("aircraft_class", "Category and class", CHOICE, choices=words((GYROPLANE,)), required=True),
        Field("sole", "Alone at the controls", CHOICE, choices=yes_no(), required=True),
        Field("night", "In the hours that count as night", CHOICE, choices=yes_no()),
        Field("full_stop", "To a full stop", CHOICE, choices=yes_no()),
        paper(),
    )


def _enter_landings(scene: Scene, given: Given) -> Kept:
    act = kinds.Landings(
        on=day(given, "on"),
        aircraft_class=given.text("aircraft_class"),
        take_offs=given.whole("take_offs"),
        landings=given.whole("landings"),
        aircraft=given.text("aircraft"),
        sole=given.said("sole"),
        night=given.said("night"),
        full_stop=given.said("full_stop"),
        from_paper=given.text("from_paper"),
    )
    return papers.enter_landings(id=scene.id, person=scene.about, act=act, by=scene.by, corrects=scene.corrects)


def _fill_landings(record: Recorded) -> dict[str, Any]:
    act: kinds.Landings = record.act
    return {
        "on": iso(act.on),
        "take_offs": str(act.take_offs),
        "landings": str(act.landings),
        "aircraft": act.aircraft,
        "aircraft_class": act.aircraft_class,
        "sole": said(act.sole),
        "night": said(act.night),
        "full_stop": said(act.full_stop),
        "from_paper": act.from_paper,
    }


def _mass_fields(scene: Scene) -> tuple[Field, ...]:
    is_own = scene.by == scene.about
    words = "Your mass, dressed to fly" if is_own else "What the scale shows, dressed to fly"
    return (
        Field("mass", words, hint="such as 74 kg or 163 lb", required=True),
        moment("done_at", "Read at" if not is_own else "Said at", now=scene.at, zone=scene.zone),
    )


def _weigh(scene: Scene, given: Given) -> Kept:
    return papers.weigh(
        id=scene.id,
        person=scene.about,
        mass=given.text("mass"),
        origin="stated" if scene.by == scene.about else "weighed",
        by=scene.by,
        done_at=given.moment("done_at"),
    )


PAPERS = Form(
    "papers", "Papers, as I have seen them", "This is what they say", _papers_fields, _enter_papers, "standing", None,
    "Write what the papers in hand say, and leave the rest empty: what is not written stays as it was. No medical"
    " detail belongs here, only the route and its dates.", "enter a person's papers",
)  # fmt: skip
COMPLETE = Form(
    "complete", "Lists are complete", "They are complete", _complete_fields, _say_complete, "lists-complete", None,
    "A list that nobody has called complete is not known, however much stands in it. One called complete with nothing"
    " in it is empty.", "enter a person's papers",
)  # fmt: skip
LANDINGS = Form(
    "landings", "Take-offs and landings", "Enter them", _landing_fields, _enter_landings, "landings", _fill_landings,
    "Those made elsewhere, or before this book began. What is flown here is counted from its own entry.", "",
)  # fmt: skip
MASS = Form(
    "mass", "On the scale, dressed to fly", "This is what it shows", _mass_fields, _weigh, "person-weighed", None,
    "Seen by the person and by those who sit in the same aircraft, and by whoever releases it.", "",
)  # fmt: skip
