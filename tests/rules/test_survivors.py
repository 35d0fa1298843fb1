"""Evaluators asked by themselves, where no packaged text of the law reaches a branch that another country's may."""

from __future__ import annotations

from datetime import date

import pytest

from gyrewright.finding import Verdict
from gyrewright.rules.evaluators.instructor import instructor_in_date
from gyrewright.rules.registry import EVALUATORS
from gyrewright.rules.shapes import Inoperative

GO, JUDGE, UNKNOWN, STOP = Verdict.GO, Verdict.JUDGE, Verdict.UNKNOWN, Verdict.STOP
ON = date(2027, 6, 14)


def in_date(**given):
    asked = {"flight_on": ON, "instructor": "I1", "teaching_on": date(2022, 1, 1)} | given
    return instructor_in_date(**asked)


@pytest.mark.parametrize(
    ("given", "verdict", "lacking"),
    [
        ({"teaching_on": None}, UNKNOWN, ("teaching_on",)),
        ({"teaching_on": date(2027, 6, 15)}, STOP, ()),
        ({"months": 24, "teaching_recent_on": date(2025, 6, 1)}, GO, ()),
        ({"months": 24, "teaching_recent_on": date(2025, 5, 31)}, STOP, ()),
        ({"months": 24, "teaching_recent_on": ON}, GO, ()),
        ({"months": 24, "teaching_recent_on": date(2027, 6, 15)}, STOP, ()),
        ({"months": 24}, UNKNOWN, ("teaching_recent_on",)),
        # A text that knows only the printed end.
        ({}, UNKNOWN, ("teaching_printed_until_on",)),
        ({"teaching_printed_until_on": ON}, GO, ()),
        ({"teaching_printed_until_on": date(2027, 6, 13)}, STOP, ()),
        ({"teaching_renewed_on": date(2027, 6, 15), "teaching_printed_until_on": date(2027, 6, 13)}, STOP, ()),
        ({"teaching_renewed_on": date(2027, 5, 1)}, UNKNOWN, ("teaching_printed_until_on",)),
        ({"teaching_renewed_on": date(2027, 5, 1), "teaching_printed_until_on": date(2027, 4, 30)}, STOP, ()),
        ({"teaching_renewed_on": date(2027, 5, 1), "teaching_printed_until_on": date(2027, 5, 31)}, JUDGE, ()),
        # Renewed in good time, but until when is printed on a certificate that nobody has entered.
        (
            {"teaching_renewed_on": date(2027, 4, 1), "teaching_printed_until_on": date(2027, 5, 31)},
            UNKNOWN,
            ("teaching_printed_until_on",),
        ),
    ],
)
def test_an_instructor_is_in_date_by_the_printed_end_or_by_recent_experience(given, verdict, lacking):
    found = in_date(**given)
    assert (found.verdict, found.lacking) == (verdict, lacking)


@pytest.mark.parametrize(
    ("changes", "verdict", "why"),
    [
        ({}, GO, "go"),
        ({"required": None}, UNKNOWN, "unsure"),
        ({"required": True}, STOP, "required"),
        ({"removed": None, "deactivated": None}, UNKNOWN, "unsure"),
        ({"removed": False, "deactivated": False}, STOP, "connected"),
        ({"placarded": None}, UNKNOWN, "unsure"),
        ({"placarded": False}, STOP, "placard"),
        ({"decider_entitled": None}, UNKNOWN, "unsure"),
        ({"decider_entitled": False}, STOP, "decider"),
        ({"removed": True, "entered": None}, UNKNOWN, "unsure"),
        ({"removed": True, "entered": False}, STOP, "entry"),
        ({"removed": True, "entered": True}, GO, "go"),
        ({"removed": False, "deactivated": True, "entered": None}, GO, "go"),
    ],
)
def test_an_item_out_of_use_is_deferred_only_as_the_rule_says(changes, verdict, why):
    given = {
        "name": "lamp",
        "required": False,
        "removed": False,
        "deactivated": True,
        "placarded": True,
        "entered": True,
        "decided_by": "M1",
        "decider_entitled": True,
    } | changes
    found = EVALUATORS["inoperative items"].function(inoperative=(Inoperative(**given),))
    assert (found.verdict, found.why) == (verdict, why)
