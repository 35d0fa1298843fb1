from datetime import date

import pytest

from gyrewright.errors import DefinitionError
from gyrewright.maintenance.meters import read_meters
from gyrewright.maintenance.records import read_records
from gyrewright.reading import Problems, section_of


def read(text):
    problems = Problems()
    meters = read_meters(section_of(text, file="books.toml", problems=problems))
    problems.stop_if_any()
    return meters


def reading(at, shows, **more):
    lines = [f"[[meter.reading]]\nat = {at}T08:00:00Z\nshows = {shows!r}"]
    lines += [f"{key} = {value!r}" for key, value in more.items()]
    return "\n".join(lines) + "\n"


AIRFRAME = '[[meter]]\nname = "airframe"\n'


def test_a_correction_points_at_the_old_entry_and_takes_its_place():
    text = (
        AIRFRAME
        + reading("2027-06-10", "484.1 h")
        + reading("2027-06-11", "478.3 h", id="a")
        + reading("2027-06-11", "487.3 h", corrects="a")
    )
    meter = read(text)["airframe"]
    assert meter.latest.total == pytest.approx(487.3)
    assert [one.total for one in meter.corrected] == [478.3]


def test_a_replaced_meter_counts_on_from_the_old_one():
    change = '[[meter.replaced]]\nat = 2025-07-08T12:00:00Z\nold_shows = "640.0 h"\nnew_shows = "0.0 h"\n'
    text = AIRFRAME + reading("2025-07-01", "638.5 h") + reading("2027-06-11", "273.2 h") + change
    totals = [one.total for one in read(text)["airframe"].readings]
    assert totals == pytest.approx([638.5, 913.2])


def test_two_replacements_add_up_in_the_order_of_time_whatever_the_order_in_the_file():
    later = '[[meter.replaced]]\nat = 2026-01-01T00:00:00Z\nold_shows = "50.0 h"\nnew_shows = "5.0 h"\n'
    first = '[[meter.replaced]]\nat = 2025-01-01T00:00:00Z\nold_shows = "100.0 h"\nnew_shows = "0.0 h"\n'
    text = AIRFRAME + reading("2027-01-01", "25.0 h") + later + first
    assert read(text)["airframe"].latest.total == pytest.approx(170.0)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        (AIRFRAME + reading("2027-06-10", "487.3 h") + reading("2027-06-11", "478.3 h"), "airframe runs backwards"),
        (
            AIRFRAME
            + reading("2025-07-01", "650.0 h")
            + '[[meter.replaced]]\nat = 2025-07-08T12:00:00Z\nold_shows = "640.0 h"\nnew_shows = "0.0 h"\n',
            "airframe runs backwards",
        ),
        (AIRFRAME + reading("2027-06-10", "487.3 h", corrects="x"), "corrects 'x', but no reading has that id"),
        (
            AIRFRAME + reading("2027-06-10", "1.0 h", id="a") + reading("2027-06-11", "2.0 h", id="a"),
            "id 'a' is used twice",
        ),
        (AIRFRAME + AIRFRAME, "'airframe' is written twice"),
        (AIRFRAME + "[[meter.reading]]\nat = 2027-06-10T08:00:00Z\nshows = 487.3\n", "has no unit"),
    ],
)
def test_what_is_wrong_with_a_meter_is_one_clear_line(text, said):
    with pytest.raises(DefinitionError, match=said) as caught:
        read(text)
    assert len(caught.value.problems) == 1
    assert caught.value.problems[0].file == "books.toml"


def books(lines):
    problems = Problems()
    records = read_records(section_of('aircraft = "G1"\n' + AIRFRAME + lines, file="books.toml", problems=problems))
    problems.stop_if_any()
    return records


def test_hours_without_a_meters_name_are_one_clear_line():
    with pytest.raises(DefinitionError, match=r"'396.0 h' does not say which meter; write at = \{ airframe") as caught:
        books('[[done]]\ntask = "100h"\non = 2027-01-01\nat = "396.0 h"\nsigned_by = "M1"\n')
    assert len(caught.value.problems) == 1


def test_a_meter_that_the_aircraft_does_not_have_is_one_clear_line():
    with pytest.raises(DefinitionError, match="'tach' is no meter of this aircraft; use one of: airframe"):
        books('[[done]]\ntask = "100h"\non = 2027-01-01\nat = { tach = "396.0 h" }\nsigned_by = "M1"\n')


def test_what_was_entered_later_than_asked_does_not_count_yet():
    from gyrewright.maintenance.records import until_day

    text = reading("2027-06-10", "487.3 h") + reading("2027-06-14", "490.0 h")
    assert until_day(books(text).history, date(2027, 6, 13)).meters["airframe"].latest.total == pytest.approx(487.3)
