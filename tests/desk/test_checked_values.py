"""Which values of an aircraft's file count as checked against the page, as records come and go."""

from __future__ import annotations

import tomllib
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta

import pytest

from gyrewright.desk.book.kinds import aircraft as kinds
from gyrewright.desk.book.kinds import kind_of
from gyrewright.desk.book.record import Recorded
from gyrewright.desk.fold.checked import checked, weighing_table, with_weighing
from gyrewright.desk.fold.values import differences, split, values_of
from gyrewright.desk.services.demo import demo_text
from gyrewright.errors import OutOfRange

TEXT = demo_text("aircraft/dunlin.toml")
TABLE = tomllib.loads(TEXT)
AT = datetime(2027, 6, 1, 12, 0, tzinfo=UTC)
WIND = "limit wind, at_most (counts gust)"


def record(act, number, by="ada"):
    at = AT + timedelta(days=number)
    return Recorded(number, f"r{number}", kind_of(act).name, at, at, by, "N0-101D", "", act, None, False, "")


def text(number=1, revision="4", verified="Pell Arrowood", **changes):
    found = TEXT.replace('revision = "4"', f'revision = "{revision}"').replace('"Pell Arrowood"', f'"{verified}"', 1)
    found = found.replace('verified_by = "Pell Arrowood"', f'verified_by = "{verified}"')
    for old, new in changes.items():
        found = found.replace(old.replace("_", " "), new)
    return record(kinds.AircraftDefined(text=found, manual_revision=revision), number)


def typed(key, words, number, revision="4", by="bea"):
    return record(kinds.LimitVerified(key=key, typed=words, page="2-6", manual_revision=revision), number, by)


def wind(new):
    return replace(
        text(2),
        act=kinds.AircraftDefined(text=TEXT.replace('at_most = "35 kt"', f'at_most = "{new}"'), manual_revision="4"),
    )


def test_every_quantity_of_the_file_is_a_value_of_its_own_under_one_key():
    found = values_of(TABLE)
    keys = [each.key for each in found]
    assert len(keys) == len(set(keys))
    assert sum(1 for each in found if each.row is not None) == len(TABLE["limit"])
    assert {each.group for each in found} == {"limits", "loading", "tables", "corrections", "card"}
    by_key = {each.key: each for each in found}
    assert (by_key[WIND].text, by_key[WIND].page) == ("35 kt", "2-6")
    assert by_key["envelope, forward"].text == "340 kg, 2082 mm, 500 kg, 2082 mm"
    # Two masses, four altitudes, four temperatures.
    assert len(by_key["table take_off_distance, rows"].typed) == 32


def test_the_text_says_by_whom_it_was_checked_and_that_counts_at_first():
    found = checked([text()])
    assert found.open == ()
    assert found.table["manual"]["verified_by"] == "Pell Arrowood"
    assert {each["verified_by"] for each in found.table["limit"]} == {"Pell Arrowood"}


def test_a_changed_value_is_open_again_and_the_rest_stays_checked():
    found = checked([text(), wind("30 kt")])
    assert [each.key for each in found.open] == [WIND]
    # One open value, and nobody can say any more that the file as a whole was checked.
    assert found.table["manual"]["verified_by"] == ""
    row = next(each for each in found.table["limit"] if each["of"] == "wind")
    assert row["verified_by"] == ""


def test_changing_it_back_does_not_make_it_checked():
    assert [each.key for each in checked([text(), wind("30 kt"), replace(text(3), seq=3)]).open] == [WIND]


def test_typing_it_again_from_the_page_checks_it():
    found = checked([text(), wind("30 kt"), typed(WIND, "30 kt", 3)])
    assert found.open == ()
    assert found.checks[WIND].by == "bea"
    assert found.table["manual"]["verified_by"] == "Pell Arrowood, bea" or "bea" in found.table["manual"]["verified_by"]


@pytest.mark.parametrize("words", ["31 kt", "30", "30 kg", "", "30 kt, 31 kt"])
def test_something_else_typed_checks_nothing(words):
    assert [each.key for each in checked([text(), wind("30 kt"), typed(WIND, words, 3)]).open] == [WIND]


def test_the_same_in_another_unit_is_the_same():
    # 30 kt are 55.56 km/h exactly (1 kt is 1.852 km/h).
    assert checked([text(), wind("30 kt"), typed(WIND, "55.56 km/h", 3)]).open == ()


def test_a_new_revision_opens_everything_whatever_its_text_says():
    found = checked([text(), text(2, revision="5")])
    assert len(found.open) == len(found.values)
    again = checked([text(), text(2, revision="5"), typed(WIND, "35 kt", 3, revision="5")])
    assert len(again.open) == len(again.values) - 1
    stale = checked([text(), text(2, revision="5"), typed(WIND, "35 kt", 3, revision="4")])
    assert len(stale.open) == len(stale.values)


def test_a_line_of_values_is_compared_piece_by_piece_in_its_order():
    by_key = {each.key: each for each in values_of(TABLE)}
    line = by_key["envelope, forward"]
    assert line.is_typed("340 kg, 2082 mm\n500 kg, 2082 mm")
    assert not line.is_typed("500 kg, 2082 mm\n340 kg, 2082 mm")
    rows = by_key["table climb, rows"]
    assert rows.is_typed(" ".join(rows.typed))
    assert not rows.is_typed(" ".join(rows.typed[:-1]))
    assert split("1 2\n3,4", rows.dimensions) == ("1", "2", "3", "4")
    surfaces = by_key["surfaces, approved"]
    assert surfaces.is_typed("wet grass, dry grass, HARD")


def test_differences_name_what_changed_came_and_went():
    other = tomllib.loads(TEXT.replace('at_most = "35 kt"', 'at_most = "30 kt"').replace('burn = "17 L/h"', ""))
    other["limit"].append({"of": "visibility", "at_least": "5 km", "page": "2-9"})
    changed, same = differences(TABLE, other)
    assert {(each.label, each.old, each.new) for each in changed} == {
        ("wind, at most (gusts counted)", "35 kt", "30 kt"),
        ("visibility, at least", "", "5 km"),
        ("fuel, burn", "17 L/h", ""),
    }
    assert len(same) == len(values_of(TABLE)) - 2


# --- weighing ---

SCALES = (
    kinds.WeighedItem("nose wheel", "10.73 kg", "400 mm"),
    kinds.WeighedItem("both mains", "275.27 kg", "2480 mm"),
)


def test_the_scales_of_the_scenario_give_its_empty_mass_and_arm():
    # The scenario: 10.73 kg at 400 mm and 275.27 kg at 2480 mm are 286.0 kg at 2402 mm.
    made = weighing_table(kinds.AircraftWeighed(weighed_on=date(2027, 6, 1), readings=SCALES, signed_by="P"), "ada")
    assert (made["empty_mass"], made["empty_arm"]) == ("286.00 kg", "2402.0 mm")
    assert [each["reads"] for each in made["scale"]] == ["10.73 kg", "275.27 kg"]


def test_what_was_aboard_is_taken_off_with_its_arm():
    fuel = kinds.WeighedItem("usable fuel", "7.2 kg", "2150 mm")
    made = weighing_table(
        kinds.AircraftWeighed(weighed_on=date(2027, 6, 1), readings=SCALES, aboard=(fuel,), signed_by="P"), "ada"
    )
    # (286.0 x 2402 - 7.2 x 2150) / 278.8, by hand: 2408.5 mm.
    assert (made["empty_mass"], made["empty_arm"]) == ("278.80 kg", "2408.5 mm")
    assert "scale" not in made


def test_no_scale_and_more_aboard_than_weighed_are_refused():
    with pytest.raises(OutOfRange):
        weighing_table(kinds.AircraftWeighed(weighed_on=date(2027, 6, 1), readings=()), "ada")
    much = kinds.WeighedItem("lead", "300 kg", "2000 mm")
    with pytest.raises(OutOfRange):
        weighing_table(kinds.AircraftWeighed(weighed_on=date(2027, 6, 1), readings=SCALES, aboard=(much,)), "ada")


def test_the_newest_weighing_counts_wherever_it_stands():
    def weighed(on, mass):
        item = kinds.WeighedItem("all", mass, "2400 mm")
        return record(kinds.AircraftWeighed(weighed_on=on, readings=(item,), signed_by="P"), 5)

    newer, older = weighed(date(2027, 5, 1), "290 kg"), weighed(date(2020, 5, 1), "200 kg")
    assert with_weighing(TABLE, [older])["weighing"] == TABLE["weighing"]
    assert with_weighing(TABLE, [newer, older])["weighing"]["empty_mass"] == "290.00 kg"
    assert TABLE["weighing"]["empty_mass"] == "286.0 kg"
