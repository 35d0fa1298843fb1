"""An invented country judges with the same evaluators and other data; nothing of one law reaches the other."""

from dataclasses import replace
from datetime import date, timedelta

import pytest

from gyrewright.finding import Verdict
from gyrewright.rules import checks_in_force, limits_in_force, packaged, read_pack

ON = date(2027, 6, 14)
GO, STOP = Verdict.GO, Verdict.STOP


@pytest.fixture(scope="module")
def velmark():
    return read_pack(packaged("velmark"))


def test_another_reserve_by_day_and_by_night(velmark, us, shapes):
    def reserve(pack, light):
        limits = limits_in_force(pack, ON, replace(shapes["flight"], light=light))
        return [round(each.value * 60) for each in limits if each.of == "reserve"]

    assert [reserve(velmark, light) for light in ("day", "night")] == [[45], [60]]
    assert [reserve(us, light) for light in ("day", "night")] == [[20], [20]]


def test_another_recency_asks_a_passenger_only_and_changed_at_new_year(ask, shapes):
    four = {"commander_landings": (shapes["Landing"](date(2026, 12, 20), take_offs=4, landings=4),)}
    given = {"name": "velmark"}
    assert ask("velmark.recency", four, on=date(2026, 12, 31), **given) == ()
    carrying = {**four, "passenger": "P1"}
    assert ask("velmark.recency", carrying, on=date(2026, 12, 31), **given)[0].verdict is GO
    assert ask("velmark.recency", carrying, on=date(2027, 1, 1), **given)[0].verdict is STOP
    assert ask("velmark.recency", carrying, on=date(2027, 1, 2), **given)[0].verdict is STOP
    assert ask("us.61.57.day", four, on=date(2027, 1, 1))[0].verdict is GO


def test_another_inspection_clock_ends_on_the_same_day_of_the_month(ask):
    done = {"condition_inspection_on": date(2026, 12, 14)}
    assert ask("velmark.inspection", done, on=ON, name="velmark")[0].verdict is GO
    assert ask("velmark.inspection", done, on=ON + timedelta(days=1), name="velmark")[0].verdict is STOP
    assert ask("us.91.319.condition", done, on=ON + timedelta(days=1))[0].verdict is GO
    leap = {"condition_inspection_on": date(2027, 8, 31)}
    assert ask("velmark.inspection", leap, on=date(2028, 2, 29), name="velmark")[0].verdict is GO
    assert ask("velmark.inspection", leap, on=date(2028, 3, 1), name="velmark")[0].verdict is STOP


def test_another_night_begins_at_sunset(ask, shapes):
    late = {"land_at": shapes["at"](21), "night_flight_authorized": False}
    assert ask("velmark.night", late, name="velmark")[0].verdict is STOP
    assert ask("us.91.319.night", late) == ()


def test_other_hours_of_teaching(ask, shapes):
    taught = {"instructor_taught": ((shapes["at"](0), shapes["at"](6)),)}
    assert ask("velmark.teaching", taught, name="velmark")[0].verdict is STOP
    assert ask("us.61.195.hours", taught)[0].verdict is GO


def test_a_hearsay_of_that_country_passes_unconfirmed(ask):
    (found,) = ask("velmark.briefing", name="velmark")
    assert found.unconfirmed


def test_switching_packs_never_mixes_them(velmark, us, shapes):
    for purpose in ("instruction", "student alone", "private", "test"):
        flight = replace(shapes["flight"], purpose=purpose)
        ours = {check.id for check in checks_in_force(us, ON, flight)}
        theirs = {check.id for check in checks_in_force(velmark, ON, flight)}
        assert ours
        assert theirs
        assert not ours & theirs
        assert all(id.startswith("rule.velmark.") for id in theirs)
        assert {check.id for check in checks_in_force(us, ON, flight)} == ours


def test_both_packs_judge_with_the_same_evaluators(velmark, us):
    assert {rule.evaluator for rule in velmark.rules} - {rule.evaluator for rule in us.rules} == {
        "same day months later"
    }
