"""A person, page by page as their papers and their logbook lie on the table. No medical detail is asked for."""

from __future__ import annotations

from gyrewright.desk.opening.ask import Ask, Page, Rows
from gyrewright.people.person import ROLES

CERTIFICATES = ("student", "sport", "recreational", "private", "commercial", "airline transport")
PRIVILEGES = ("student sport", "student private", "sport", "private", "commercial")
CLASS = "rotorcraft gyroplane"
WIND = ("gust", "mean")

WHO = Page(
    "who",
    "Name, roles, mass",
    (
        Ask("name", "Name, as others here call them"),
        Ask("contact", "How to reach them"),
        Ask("born_on", "Born on", "day"),
        Ask("roles", "Roles here", "several", among=ROLES, is_wide=True),
        Ask("visitor_until", "From outside, only to look: last day", "day"),
        Ask("mass", "Mass, dressed to fly", hint="164 lb"),
        Ask("origin", "The mass was", "choice", among=("weighed", "stated")),
        Ask("weighed_at", "Read", "moment"),
    ),
    why="Roles say what somebody may do here, each from today on. A mass is seen by those aboard and whoever releases.",
    answers=frozenset(("mass", "born_on", "roles", "name")),
)
PAPERS = Page(
    "papers",
    "Pilot's papers",
    (
        Ask("certificate", "Pilot certificate", hint="as printed", among=CERTIFICATES),
        Ask("certificate_on", "Issued on", "day"),
        Ask("certificate_temporary", "Is it a temporary one?", "yes"),
        Ask("certificate_valid", "Does it stand: neither suspended nor revoked?", "yes"),
        Ask("privileges", "Privileges under which they act", among=PRIVILEGES),
        Ask("ratings", "Category and class held", "words", f"{CLASS}, or none", (CLASS,)),
        Ask("class_endorsements", "Categories and classes by endorsement", "words", "or none"),
        Ask("review_on", "Last flight review", "day"),
        Ask("review_scope", "The review serves", "choice", among=("full", "sport")),
        Ask("medical.route", "Medical route", "choice", among=("medical", "basicmed", "licence")),
        Ask("medical.exam_on", "Medical: examined on", "day"),
        Ask("medical.basicmed_course_on", "BasicMed: course on", "day"),
        Ask("medical.basicmed_exam_on", "BasicMed: examined on", "day"),
        Ask("medical.basicmed_history_clear", "BasicMed: is nothing asked for beforehand?", "yes"),
        Ask("medical.licence_until_on", "Driver's license: last day", "day"),
        Ask("medical.licence_conditions_met", "Are its conditions, and those of the rule, met?", "yes"),
    ),
    why="As seen on paper. A route and its dates are all that is ever kept of anybody's health.",
    answers=frozenset(
        (
            "certificate",
            "certificate_on",
            "certificate_temporary",
            "certificate_valid",
            "privileges",
            "ratings",
            "class_endorsements",
            "review",
            "medical",
        )
    ),
)
TEACHING = Page(
    "teaching",
    "As an instructor",
    (
        Ask("teaching.privileges", "Teaches under privileges", "choice", among=("sport", "full")),
        Ask("teaching.ratings", "Instructor ratings", "words", f"{CLASS}, or none"),
        Ask("teaching.on", "Instructor certificate of", "day"),
        Ask("teaching.printed_until_on", "Last day printed on it, if any", "day"),
        Ask("teaching.renewed_on", "Renewed on", "day"),
        Ask("teaching.recent_on", "Recent experience shown on", "day"),
        Rows(
            "teaching.period",
            "Periods in which it may be used",
            (Ask("from", "From", "day"), Ask("until", "Until", "day")),
            "from",
            spare=1,
        ),
    ),
    answers=frozenset(("teaching",)),
)
STUDIES = Page(
    "studies",
    "As a student",
    (
        Ask("studies.last_lesson_on", "Last lesson", "day"),
        Ask("studies.presolo_test_for", "Pre-solo written test passed for", "words", "make and model"),
        Ask("studies.presolo_errors_reviewed", "Its errors were gone through?", "yes"),
        Ask("studies.presolo_items", "Maneuvers taught before solo, as the logbook lists them", "words", is_wide=True),
        Ask("studies.knowledge_test_on", "Knowledge test", "day"),
        Ask("studies.test_report_presented", "Its report was shown?", "yes"),
        Ask("studies.areas_missed", "Areas missed in it", "whole"),
        Ask("studies.missed_areas_reviewed", "They were taught again?", "yes"),
        Ask("studies.test_training_on", "Training for the practical test", "day"),
        Ask("studies.test_endorsed_on", "Endorsed for it", "day"),
        Ask("studies.experience_complete", "Aeronautical experience complete?", "yes"),
        Ask("studies.claims_credit", "Is credit claimed?", "yes"),
    ),
    answers=frozenset(("studies",)),
)
LOGBOOK = Page(
    "logbook",
    "From the logbook",
    (
        Rows(
            "landings",
            "Recent take-offs and landings, a row for each day",
            (
                Ask("on", "On", "day"),
                Ask("aircraft", "Aircraft", hint="its registration"),
                Ask("aircraft_class", "Category and class", hint=CLASS),
                Ask("take_offs", "Take-offs", "whole"),
                Ask("landings", "Landings", "whole"),
                Ask("sole", "Alone at the controls?", "yes"),
                Ask("night", "By night?", "yes"),
                Ask("full_stop", "To a full stop?", "yes"),
            ),
            "on",
            spare=3,
        ),
        Rows(
            "endorsement",
            "Endorsements, as text and as numbers",
            (
                Ask("what_for", "For", hint="solo"),
                Ask("make_model", "Make and model"),
                Ask("place", "Place"),
                Ask("given_by", "Given by, id"),
                Ask("given_on", "Given on", "day"),
                Ask("rests_on", "Training it rests on", "day"),
                Ask("text", "As written", "long", is_wide=True),
                Ask("wind", "In its words: wind at most", hint="12 kt"),
                Ask("wind_counts", "that wind counts", "choice", among=WIND),
                Ask("gust_spread", "gust spread at most", hint="6 kt"),
                Ask("crosswind", "crosswind at most", hint="8 kt"),
                Ask("crosswind_counts", "that crosswind counts", "choice", among=WIND),
            ),
            "what_for",
            hint="The words are the giver's; the numbers are those that the words contain, and nothing else.",
            spare=1,
        ),
        Rows(
            "checkout",
            "Check-outs",
            (
                Ask("make_model", "Make and model"),
                Ask("aircraft", "Aircraft", hint="its registration"),
                Ask("on", "On", "day"),
                Ask("by", "By, id"),
            ),
            "make_model",
            spare=1,
        ),
        Rows(
            "authority",
            "Written authorities",
            (
                Ask("what_for", "For"),
                Ask("id", "Paper"),
                Ask("issued_on", "Issued on", "day"),
                Ask("until_on", "Last day", "day"),
                Ask("aircraft", "Aircraft", "words", "registrations"),
            ),
            "id",
            spare=1,
        ),
        Ask(
            "complete",
            "Nothing more counts in",
            "several",
            "what is entered above and before is all there is",
            ("landings", "taught", "endorsement", "checkout", "authority"),
            is_wide=True,
        ),
    ),
    why="What is new only: rows entered before stay. A list in which nothing was ever entered is unknown, not empty, "
    "until somebody says so.",
    answers=frozenset(("landings", "taught", "endorsement", "checkout", "authority")),
)
PAGES = (WHO, PAPERS, TEACHING, STUDIES, LOGBOOK)
