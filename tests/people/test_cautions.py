"""Cautions about people: each threshold, and what nobody has said."""

from dataclasses import replace
from datetime import date, timedelta

import pytest

from gyrewright.people.cautions import CautionRule, Ends, cautions, papers_ending, read_caution_rule, written_ends
from gyrewright.people.person import Authority, Insurance
from gyrewright.reading import Problems, section_of

RULE = CautionRule(slept_under_h=6.0, lessons_from=5, taught_over_h=5.0, lesson_over_days=14)
ON = date(2027, 7, 14)


def ids(people, moment, rule=RULE, **changes):
    changed = {
        **people,
        "I1": replace(people["I1"], **changes.get("I1", {})),
        "S2": replace(people["S2"], **changes.get("S2", {})),
    }
    found, lacking = cautions(
        changed, commander="I1", instructor="I1", student="S2", flight_on=ON, depart_at=moment(15), rule=rule
    )
    return [each.id for each in found], lacking


def test_a_rested_crew_with_a_recent_lesson_has_no_caution(people, moment):
    assert ids(people, moment, I1={"taught": ()}) == ([], ())


@pytest.mark.parametrize(("slept", "expected"), [(6.0, []), (5.9, ["people.sleep"])])
def test_sleep_under_the_threshold(people, moment, slept, expected):
    assert ids(people, moment, I1={"taught": (), "slept_h": slept})[0] == expected


@pytest.mark.parametrize(("before", "expected"), [(3, []), (4, ["people.long_day"])])
def test_the_fifth_lesson_of_the_day(people, moment, before, expected):
    assert ids(people, moment, I1={"taught": (), "lessons_today": before})[0] == expected


def test_many_lessons_and_many_hours_together_are_one(people, moment):
    taught = ((moment(8), moment(14)),)
    assert ids(people, moment, I1={"taught": taught, "lessons_today": 4})[0] == ["people.long_day"]
    assert ids(people, moment, I1={"taught": ((moment(8), moment(13)),)})[0] == []
    assert ids(people, moment, I1={"taught": ((moment(8), moment(13, 1)),)})[0] == ["people.long_day"]


def test_hours_out_of_the_window_do_not_count(people, moment):
    taught = ((moment(8, 0, 13), moment(15, 0, 13)),)
    assert ids(people, moment, I1={"taught": taught})[0] == []


@pytest.mark.parametrize(("days", "expected"), [(14, []), (15, ["people.rusty"])])
def test_days_since_the_last_lesson(people, moment, days, expected):
    studies = replace(people["S2"].studies, last_lesson_on=ON - timedelta(days=days))
    assert ids(people, moment, I1={"taught": ()}, S2={"studies": studies})[0] == expected


def test_fit_with_caution_is_one_for_each(people, moment):
    word = {"fitness": "fit with caution"}
    assert ids(people, moment, I1={"taught": (), **word}, S2=word)[0] == ["people.fit_with_caution"] * 2


def test_what_nobody_has_said_is_named_and_is_no_caution(people, moment):
    silent = {"taught": None, "slept_h": None, "lessons_today": None}
    studies = replace(people["S2"].studies, last_lesson_on=None)
    found, lacking = ids(people, moment, I1=silent, S2={"studies": studies})
    assert found == []
    assert set(lacking) == {"taught", "slept_h", "lessons_today", "last_lesson_on"}


def test_a_house_without_thresholds_asks_nothing(people, moment):
    assert ids(people, moment, CautionRule(), I1={"slept_h": 1.0})[0] == []


def test_a_document_that_ends_this_month():
    ends = [
        Ends("medical", "I1", date(2027, 7, 31)),
        Ends("insurance", "", date(2027, 8, 1)),
        Ends("review", "I1", date(2027, 7, 13)),
        Ends("authority", "I1", date(2028, 7, 31)),
        Ends("insurance", "", ON),
        Ends("medical", "I1", date(2027, 7, 31)),
    ]
    found = [(each.id, dict(each.params)) for each in papers_ending(ends, flight_on=ON)]
    assert found == [
        ("people.ends.medical", {"who": "I1", "until": date(2027, 7, 31)}),
        ("people.ends.insurance", {"until": ON}),
    ]


def test_the_last_days_that_are_written_on_papers(people):
    held = Authority("training in an experimental aircraft", "L1", date(2026, 1, 1), until_on=date(2027, 7, 31))
    endless = replace(held, id="L2", until_on=None)
    folk = {**people, "I1": replace(people["I1"], authorities=(held, endless))}
    insurer = Insurance("G1", until_on=date(2027, 12, 31))
    assert written_ends(folk, authority="L1", insurance=insurer) == (
        Ends("authority", "I1", date(2027, 7, 31)),
        Ends("insurance", "", date(2027, 12, 31)),
    )
    assert written_ends(folk, authority="L2", insurance=None) == ()
    assert written_ends(folk, authority="", insurance=Insurance("G1", none="nobody insures it")) == ()


def test_the_thresholds_are_the_houses():
    problems = Problems()
    text = 'slept_under = "6 h"\nlessons_from = 5\ntaught_over = "5 h"\nlesson_over = "14 days"'
    assert read_caution_rule(section_of(text, file="house.toml", problems=problems)) == RULE
    assert problems.found == []
