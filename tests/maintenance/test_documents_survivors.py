"""Papers: what each lacks, which of several counts, and which ends first."""

from __future__ import annotations

from datetime import date, datetime, timedelta, timezone

import pytest

from gyrewright.finding import BindsNext, Verdict
from gyrewright.maintenance import papers_ending_this_month
from gyrewright.maintenance.documents import papers
from gyrewright.maintenance.program import Program
from gyrewright.maintenance.records import Paper

ZONE = timezone(timedelta(hours=-7))
ON = date(2027, 6, 12)
DAY = timedelta(days=1)


def paper(name="insurance", expires_on=None, never=False, aboard=True):
    return Paper(name, expires_on, never, aboard, "", "")


def found(*held, asked=("insurance",), on=ON):
    return papers.judge(Program((), papers=asked), held, on, ZONE)


@pytest.mark.parametrize(
    ("held", "verdict", "why", "lacking"),
    [
        ((), Verdict.UNKNOWN, "no_record", ("paper:insurance",)),
        ((paper(expires_on=ON - DAY),), Verdict.STOP, "expired", ()),
        ((paper(expires_on=ON, aboard=False),), Verdict.STOP, "not_aboard", ()),
        ((paper(),), Verdict.UNKNOWN, "no_end", ("paper_end:insurance",)),
        ((paper(expires_on=ON, aboard=None),), Verdict.UNKNOWN, "aboard", ("paper_aboard:insurance",)),
        ((paper(never=True, aboard=None),), Verdict.UNKNOWN, "aboard", ("paper_aboard:insurance",)),
        ((paper(never=True, aboard=False),), Verdict.STOP, "not_aboard", ()),
        ((paper(aboard=False),), Verdict.STOP, "not_aboard", ()),
        ((paper(aboard=None),), Verdict.UNKNOWN, "no_end", ("paper_end:insurance",)),
    ],
)
def test_a_paper_that_does_not_count_says_what_it_lacks(held, verdict, why, lacking):
    (one,) = found(*held)
    assert (one.verdict, one.why, one.lacking, one.about) == (verdict, why, lacking, "insurance")
    assert one.params["paper"] == "insurance"


def test_an_expired_paper_says_since_when_and_who_renews_it():
    (one,) = found(paper(expires_on=ON - 3 * DAY))
    assert (one.value, one.limit, one.margin) == (ON, ON - 3 * DAY, -3)
    assert (one.params["until"], one.params["left_days"]) == (ON - 3 * DAY, -3)
    assert [(cure.id, cure.who) for cure in one.cures] == [("maintenance.renew_paper", "operator")]


def test_of_the_papers_that_count_the_one_that_ends_first_is_named_and_binds_at_the_end_of_its_day():
    held = (paper("registration", ON + 9 * DAY), paper(expires_on=ON), paper("certificate", never=True))
    (one,) = found(*held, asked=("insurance", "registration", "certificate"))
    assert (one.verdict, one.why, one.about) == (Verdict.GO, "go", "insurance")
    assert (one.value, one.limit, one.margin) == (ON, ON, 0)
    assert one.params == {"paper": "insurance", "until": ON, "left_days": 0, "count": 3}
    assert one.binds_next == BindsNext(at=datetime(2027, 6, 12, 23, 59, tzinfo=ZONE))
    assert found(paper(expires_on=ON + DAY))[0].margin == 1
    (never,) = found(paper(never=True))
    assert (never.verdict, never.why, never.params) == (Verdict.GO, "go_all", {"count": 1})


@pytest.mark.parametrize("order", [1, -1])
def test_of_several_of_one_name_the_one_that_ends_last_counts(order):
    old, new, ever = paper(expires_on=ON - DAY), paper(expires_on=ON + DAY), paper(never=True)
    assert found(*(old, new)[::order])[0].params["until"] == ON + DAY
    assert found(*(new, ever)[::order])[0].why == "go_all"
    assert found(*(paper(), old)[::order])[0].why == "expired"


def test_every_paper_that_lacks_is_named_beside_those_that_count():
    one, two, three = found(
        paper("radio", ON - DAY), paper("weighing", aboard=None, never=True), paper("certificate", never=True), asked=()
    )[:3]
    assert [(each.about, each.verdict) for each in (one, two)] == [
        ("radio", Verdict.STOP),
        ("weighing", Verdict.UNKNOWN),
    ]
    assert (three.verdict, three.why, three.lacking) == (Verdict.UNKNOWN, "no_list", ("papers_asked",))


@pytest.mark.parametrize(
    ("expires_on", "cautioned"),
    [
        (ON, True),
        (ON - DAY, False),
        (date(2027, 6, 30), True),
        (date(2027, 7, 1), False),
        (None, False),
    ],
)
def test_a_paper_that_ends_this_month_is_a_caution(expires_on, cautioned):
    held = (paper("registration", never=True), paper(expires_on=expires_on, never=expires_on is None))
    said = papers_ending_this_month(held, on=ON)
    assert [(one.id, dict(one.params)) for one in said] == (
        [("maintenance.ends_this_month", {"what": "insurance", "until": expires_on})] if cautioned else []
    )
