"""Phones that are out with a walk-round: named, UNKNOWN until they report, and never cleared by a missing list."""

from __future__ import annotations

from datetime import datetime, timedelta, timezone

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gyrewright.errors import DefinitionError
from gyrewright.finding import Cure, Verdict, worst
from gyrewright.inspection import state
from gyrewright.inspection.phones import Phone, phone
from gyrewright.inspection.walk import read_walks
from gyrewright.reading import Problems, section_of

ZONE = timezone(timedelta(hours=-7))
ASKED = datetime(2027, 6, 12, 8, 0, tzinfo=ZONE)
ROW = """
[[phone]]
id = "5f0c"
name = "May's phone"
holder = "sunde"
opened_at = 2027-06-12T06:12:00-07:00
"""


def at(hour, minute=0):
    return datetime(2027, 6, 12, hour, minute, tzinfo=ZONE)


def read(text):
    problems = Problems()
    top = section_of(text, file="books.toml", problems=problems)
    book = read_walks(top)
    top.finish()
    problems.stop_if_any()
    return book


def test_a_phone_that_has_not_reported_is_named_and_the_aircraft_is_unknown():
    (found,) = phone.judge(read(ROW).phones, ASKED)
    assert found.verdict is Verdict.UNKNOWN
    assert found.params == {"phone": "May's phone", "holder": "sunde", "opened_at": at(6, 12)}
    assert found.lacking == ("phone:May's phone",)
    assert found.cures == (Cure("inspection.hand_over", "sunde", {"phone": "May's phone"}),)


def test_every_phone_that_is_out_is_named_the_first_opened_first():
    several = tuple(Phone(id, id.upper(), "sunde", at(hour)) for id, hour in (("b", 7), ("a", 7), ("c", 6)))
    assert [each.about for each in phone.judge(several, ASKED)] == ["c", "a", "b"]


def test_where_every_phone_has_reported_nothing_is_held_back():
    (found,) = phone.judge((), ASKED)
    assert (found.verdict, found.why) == (Verdict.GO, "go")


@pytest.mark.parametrize(("opened", "verdict"), [(at(8), Verdict.UNKNOWN), (at(8, 1), Verdict.GO)])
def test_the_moment_asked_about_counts(opened, verdict):
    (found,) = phone.judge((Phone("p", "P", "sunde", opened),), ASKED)
    assert found.verdict is verdict


def test_a_list_that_is_missing_or_lost_is_not_an_empty_one():
    facts = {text: state.facts(read(text), None, restore_items=())["phones"] for text in ("walk = []", "phone = []")}
    assert [fact.is_known for fact in facts.values()] == [False, True]
    lost = state.facts(read('phone = []\nphones_unknown = "put back from a copy"'), None, restore_items=())["phones"]
    assert not lost.is_known
    assert lost.why == "put back from a copy"
    assert not state.facts(None, None, restore_items=())["phones"].is_known


@pytest.mark.parametrize(
    ("text", "said"),
    [
        (ROW.replace('holder = "sunde"\n', ""), "holder: is missing"),
        (ROW.replace("opened_at = 2027-06-12T06:12:00-07:00\n", ""), "opened_at: is missing"),
        (ROW + 'heard = "x"\n', "heard"),
    ],
)
def test_what_is_wrong_in_a_row_is_one_clear_line(text, said):
    with pytest.raises(DefinitionError, match=said) as caught:
        read(text)
    assert len(caught.value.problems) == 1


ROWS = st.lists(
    st.builds(
        Phone,
        st.sampled_from(["a", "b"]),
        st.just("x"),
        st.just("sunde"),
        st.integers(0, 600).map(lambda minutes: at(3) + timedelta(minutes=minutes)),
    ),
    max_size=5,
)


@given(ROWS, ROWS)
def test_one_phone_more_never_clears_an_aircraft(some, more):
    few, all_ = (worst(phone.judge(tuple(each), ASKED)) for each in (some, some + more))
    assert all_ >= few
