"""Whose act counts: by what its doer was entitled to on its day where the books say it, else by the roles of today."""

from __future__ import annotations

from datetime import datetime, timedelta

import pytest

from gyrewright.maintenance.defects import read_defects, repeats, state_of
from gyrewright.maintenance.events import read_events
from gyrewright.maintenance.house import read_house
from gyrewright.maintenance.work import read_work
from gyrewright.people.roles import acts_of
from gyrewright.reading import Problems, section_of

AT = datetime.fromisoformat("2027-06-12T10:00:00-07:00")
NOW = {name: frozenset({"M1"}) for name in ("close a defect", "event inspection", "sign work", "second look")}


def read(text, reader):
    problems = Problems()
    section = section_of(text, file="books", problems=problems)
    found = reader(section)
    section.finish()
    problems.stop_if_any()
    return found


def defect(by, then=""):
    return f"""
[[defect]]
id = "1"
item = "brake"
at = 2027-06-01T08:00:00-07:00
by = "S1"
[[defect.act]]
kind = "closed"
at = 2027-06-01T09:00:00-07:00
by = "{by}"
{then}
"""


@pytest.mark.parametrize(
    ("by", "then", "name"),
    [
        ("M1", "", "closed"),
        ("M1", "entitled_to = []", "open"),
        ("I2", "", "open"),
        ("I2", 'entitled_to = ["close a defect"]', "closed"),
        ("I2", 'entitled_to = ["assess a defect"]', "open"),
    ],
)
def test_what_held_on_the_day_of_a_closing_goes_before_the_roles_of_today(by, then, name):
    (one,) = read(defect(by, then), read_defects)
    assert state_of(one, entitled=NOW, at=AT).name == name


@pytest.mark.parametrize(("then", "cleared"), [("", True), ("entitled_to = []", False)])
def test_the_same_holds_for_whoever_signs_an_event_inspection(then, cleared):
    text = f"""
[[event]]
id = "1"
kind = "hard landing"
at = 2027-06-01T08:00:00-07:00
by = "S1"
[[event.cleared]]
at = 2027-06-01T09:00:00-07:00
inspection = "hard landing inspection"
signed_by = "M1"
found = "nothing"
{then}
"""
    (one,) = read(text, read_events)
    assert (one.cleared(inspection="hard landing inspection", entitled=NOW, at=AT) is not None) is cleared


@pytest.mark.parametrize(("then", "good"), [("", True), (", entitled_to = []", False)])
def test_and_for_signatures_under_work(then, good):
    text = f"""
[[work]]
id = "1"
what = "push-rod end"
areas = ["controls"]
at = 2027-06-01T08:00:00-07:00
by = ["M2"]
signed = {{ by = "M1", at = 2027-06-01T09:00:00-07:00{then} }}
"""
    (one,) = read(text, read_work)
    assert one.is_signed(entitled=NOW, at=AT) is good


def reports(*rows):
    return "".join(
        f"""
[[defect]]
id = "{id}"
item = "{item}"
at = 2027-06-0{id}T08:00:00-07:00
by = "S1"
like = "{like}"
"""
        for id, item, like in rows
    )


def test_reports_found_to_be_alike_are_one_run_through_any_chain_and_a_ring_ends():
    found = read(reports(("1", "brake", "3"), ("2", "left gear", "1"), ("3", "wheel", "2")), read_defects)
    (run,) = repeats(found, times=3, days=60, at=AT + timedelta(days=1))
    assert [each.id for each in run] == ["1", "2", "3"]
    found = read(reports(("1", "brake", ""), ("2", "left gear", "1"), ("3", "wheel", "2")), read_defects)
    assert len(repeats(found, times=3, days=60, at=AT)) == 1
    found = read(reports(("1", "brake", ""), ("2", "left gear", "9"), ("3", "wheel", "2")), read_defects)
    assert repeats(found, times=3, days=60, at=AT) == ()


def test_a_house_may_write_when_its_manager_is_told_and_when_an_item_is_asked_about():
    text = 'manager_told_after = "24 h"\nitem_asked_after = 200\n'
    house = read(text, read_house)["maintenance_house"].value
    assert (house.manager_told_after_h, house.item_asked_after) == (24.0, 200)
    house = read("repeat_times = 3\nrepeat_days = 60\n", read_house)["maintenance_house"].value
    assert (house.manager_told_after_h, house.item_asked_after) == (None, None)


def test_what_roles_may_is_read_from_the_table():
    assert "close a defect" in acts_of(frozenset({"maintainer"}))
    assert "close a third report" not in acts_of(frozenset({"maintainer"}))
    assert "close a third report" in acts_of(frozenset({"student", "inspector"}))
    assert "close a defect" not in acts_of(frozenset())
