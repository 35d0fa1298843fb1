"""Clocks that must not run out unseen: parts without a date, work from the future, tolerances, and what is over."""

from __future__ import annotations

from datetime import date

import pytest

from gyrewright import maintenance
from gyrewright.finding import Whose
from gyrewright.maintenance.clocks import Words, work_out_all
from gyrewright.reading import Problems, section_of

ON = date(2027, 6, 12)
BOOKS = """
aircraft = "A"
[[meter]]
name = "airframe"
[[meter.reading]]
at = 2027-06-12T08:00:00Z
shows = "500.0 h"
"""


def found(program, books="", *, on=ON, words=None, **more):
    problems = Problems()
    made = maintenance.read_program(section_of(program, file="program.toml", problems=problems))
    records = maintenance.read_records(section_of(BOOKS + books, file="books.toml", problems=problems))
    problems.stop_if_any()
    (one,) = work_out_all(made, records.history, on=on, words=words or Words(), **more)
    return one


def task(clock, **more):
    lines = ["[[task]]", 'id = "t"', 'name = "the task"', f"clock = [{clock}]"]
    return "\n".join(lines + [f"{key} = {value}" for key, value in ({"kind": '"inspection"'} | more).items()]) + "\n"


def done(on="2027-05-01", at="", **more):
    lines = ["[[done]]", 'task = "t"', f"on = {on}"] + ([f'at = {{ airframe = "{at} h" }}'] if at else [])
    return "\n".join(lines + [f"{key} = {value}" for key, value in ({"signed_by": '"M1"'} | more).items()]) + "\n"


HOURS = '{ meter = "airframe", every = "25 h" }'
MONTHS = '{ every = "3 months" }'
CLAIM = '[[done]]\ntask = "t"\non = 2027-06-01\nby = "P1"\n'


# --- whose entry counts -----------------------------------------------------------------------------------------------


@pytest.mark.parametrize("clock", [HOURS, MONTHS])
def test_what_does_not_apply_by_a_signed_entry_is_finished_on_every_clock(clock):
    entry = '[[done]]\ntask = "t"\nnot_applicable = "serial numbers from 200 up"\nsigned_by = "{by}"\n'
    assert found(task(clock), entry.format(by="M1")).state == "finished"
    assert found(task(clock), entry.format(by="")).state == "no evidence"
    entitled = {"inspect": frozenset({"M1"})}
    assert found(task(clock, act='"inspect"'), entry.format(by="I1"), entitled=entitled).state == "no evidence"


def test_that_another_task_does_not_apply_does_not_finish_this_one():
    other = '[[task]]\nid = "o"\nname = "other"\nkind = "inspection"\nclock = [{ every = "9 months" }]\n'
    problems = Problems()
    made = maintenance.read_program(
        section_of(task(MONTHS, satisfied_by='["o"]') + other, file="p.toml", problems=problems)
    )
    entry = '[[done]]\ntask = "o"\nnot_applicable = "later serial numbers"\nsigned_by = "M1"\n'
    records = maintenance.read_records(section_of(BOOKS + entry, file="b.toml", problems=problems))
    problems.stop_if_any()
    states = {one.task.id: one.state for one in work_out_all(made, records.history, on=ON, words=Words())}
    assert states == {"t": "no evidence", "o": "finished"}


@pytest.mark.parametrize("clock", [HOURS, MONTHS])
def test_a_signature_counts_only_from_somebody_entitled(clock):
    text = task(clock, act='"inspect"')
    entry = done(at="490.0")
    assert found(text, entry, entitled={"inspect": frozenset({"M1"})}).state == "in date"
    for entitled in ({"inspect": frozenset({"M2"})}, {}):
        one = found(text, entry, entitled=entitled)
        assert (one.state, one.said_by) == ("no evidence", "somebody")
    assert found(text, entry).state == "in date"


def test_a_claim_beside_an_entry_that_is_over_is_no_evidence_and_leaves_one_in_date_alone():
    assert found(task(HOURS), done(at="490.0") + CLAIM).state == "in date"
    over = found(task(HOURS), done(at="470.0") + CLAIM)
    assert (over.state, over.lacking, over.said_by) == ("no evidence", ("done:t",), "P1")
    same_day = found(task(HOURS), done(on="2027-06-01", at="470.0") + CLAIM)
    assert same_day.state == "no evidence"


# --- meters -----------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("at", "state", "remaining"), [("475.1", "in date", 0.1), ("475.0", "in date", 0.0), ("474.9", "over", -0.1)]
)
def test_an_interval_on_a_meter_holds_through_its_end_and_not_beyond(at, state, remaining):
    one = found(task(HOURS), done(at=at))
    assert (one.state, one.remaining) == (state, pytest.approx(remaining))
    assert (one.unit, one.now) == ("h", 500.0)


def test_a_meter_that_has_no_reading_leaves_the_clock_unclear():
    one = found(task('{ meter = "rotor", every = "25 h" }'), done(at="490.0"))
    assert (one.state, one.lacking) == ("unclear", ("meter_reading:rotor",))
    one = found(task('{ meter = "rotor", every = "25 h" }'), '[[meter]]\nname = "rotor"\n' + done(at="490.0"))
    assert (one.state, one.lacking) == ("unclear", ("meter_reading:rotor",))


def test_an_entry_that_names_another_meter_is_no_evidence_for_this_one():
    assert found(task(HOURS), done()).state == "no evidence"
    rotor = '[[meter]]\nname = "rotor"\n[[meter.reading]]\nat = 2027-06-12T08:00:00Z\nshows = "50.0 h"\n'
    one = found(task('{ meter = "rotor", every = "25 h" }'), rotor + done(at="490.0"))
    assert (one.state, one.lacking) == ("no evidence", ("done:t",))


def test_of_several_entries_the_one_latest_on_the_meter_counts():
    one = found(task(HOURS), done(at="490.0") + done(on="2027-01-01", at="440.0"))
    assert (one.state, one.binding.due) == ("in date", 515.0)


def test_the_working_of_a_clock_on_a_meter_says_each_step():
    late = found(SUBTRACTS.format(more="") + task(LAYERED), done(at="470.0", was_due='{ airframe = "469.0 h" }'))
    assert late.working == (
        ("done at", 470.0, "h"),
        ("had been due at", 469.0, "h"),
        ("interval", 50.0, "h"),
        ("due at", 519.0, "h"),
        ("now", 500.0, "h"),
        ("remaining", 19.0, "h"),
    )
    assert found(task('{ meter = "airframe", first = "510 h" }')).working[0] == ("first at", 510.0, "h")
    assert found(task('{ meter = "airframe", at = "510 h" }')).working[0] == ("to be done by", 510.0, "h")


SUBTRACTS = '[[variation]]\nname = "v"\nwhose = "law"\nlate = "subtracts"\n{more}\n'
LAYERED = '{ meter = "airframe", every = "50 h", variations = ["v"] }'


@pytest.mark.parametrize(
    ("at", "was_due", "more", "beyond_by", "beyond"),
    [
        ("470.0", "469.0", "", "", 1.0),
        ("469.0", "469.0", "", "", 0.0),
        ("468.0", "469.0", "", "", 0.0),
        ("470.0", "469.0", "", "AM", 0.0),
        ("479.0", "469.0", 'over = "10 h"', "", 0.0),
        ("480.0", "469.0", 'over = "10 h"', "", 1.0),
    ],
)
def test_what_was_flown_beyond_all_that_was_allowed_is_kept(at, was_due, more, beyond_by, beyond):
    given = {"was_due": f'{{ airframe = "{was_due} h" }}'} | ({"beyond_by": f'"{beyond_by}"'} if beyond_by else {})
    one = found(SUBTRACTS.format(more=more) + task(LAYERED), done(at=at, **given))
    assert one.beyond == pytest.approx(beyond)


# --- going over -------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("more", "purpose", "no_over", "latest"),
    [
        ('over = "10 h"', "private", frozenset(), 520.0),
        ('over = "10 h"', "", frozenset(), 520.0),
        ('over = "10 h"', "private", frozenset({"private"}), 510.0),
        ('over = "10 h"', "private", frozenset({"instruction"}), 520.0),
        ('over = "10 h"\nover_for = ["ferry"]', "private", frozenset(), 510.0),
        ('over = "10 h"\nover_for = ["ferry"]', "ferry", frozenset(), 520.0),
        ('over = "10 h"\nover_for = ["ferry"]', "ferry", frozenset({"ferry"}), 510.0),
        ('over = "3 months"', "private", frozenset(), 510.0),
        ("", "private", frozenset(), 510.0),
    ],
)
def test_an_interval_is_flown_over_only_by_whom_and_for_what_it_says(more, purpose, no_over, latest):
    text = f'[[variation]]\nname = "v"\nwhose = "maker"\n{more}\n' + task(LAYERED)
    one = found(text, done(at="460.0"), words=Words(purpose), no_over=no_over)
    assert (one.binding.due, one.binding.latest) == (510.0, latest)


@pytest.mark.parametrize(
    ("more", "purpose", "no_over", "latest"),
    [
        ('over = "10 days"', "private", frozenset(), date(2027, 6, 21)),
        ('over = "10 days"', "private", frozenset({"private"}), date(2027, 6, 11)),
        ('over = "10 days"\nover_for = ["ferry"]', "private", frozenset(), date(2027, 6, 11)),
        ('over = "10 h"', "private", frozenset(), date(2027, 6, 11)),
        ("", "private", frozenset(), date(2027, 6, 11)),
    ],
)
def test_a_date_is_flown_over_only_by_whom_and_for_what_it_says(more, purpose, no_over, latest):
    text = f'[[variation]]\nname = "v"\nwhose = "maker"\n{more}\n' + task('{ every = "3 months", variations = ["v"] }')
    one = found(text, done("2027-03-11"), words=Words(purpose), no_over=no_over)
    assert (one.binding.due, one.binding.latest) == (date(2027, 6, 11), latest)
    assert one.state == ("in date" if latest >= ON else "over")


def test_the_layer_with_the_earliest_end_binds_and_at_the_same_end_the_law_before_the_maker():
    text = "".join(
        f'[[variation]]\nname = "{name}"\nwhose = "{whose}"\n{more}\n'
        for name, whose, more in (("m", "maker", ""), ("l", "law", ""), ("o", "maker", 'over = "5 h"'))
    ) + task('{ meter = "airframe", every = "50 h", variations = ["o", "m", "l"] }')
    one = found(text, done(at="460.0"))
    assert [layer.variation.name for layer in one.layers] == ["o", "m", "l"]
    assert (one.binding.variation.whose, one.binding.latest) == (Whose.LAW, 510.0)


def test_a_rule_for_other_flights_does_not_bear_and_with_nothing_left_is_not_asked():
    text = '[[variation]]\nname = "v"\nwhose = "law"\n{when}\n' + task(LAYERED)
    for when, words, state in (
        ('purpose = ["test"]', Words("private"), "not asked"),
        ('purpose = ["test"]', Words("test"), "in date"),
        ('purpose = ["test"]', Words(), "in date"),
        ("aboard = [2]", Words(aboard=1), "not asked"),
        ("aboard = [2]", Words(aboard=2), "in date"),
        ("aboard = [2]", Words(), "in date"),
        ('lesson = ["circuits"]', Words(lesson="upper work"), "not asked"),
        ('lesson = ["circuits"]', Words(lesson="circuits"), "in date"),
        ('lesson = ["circuits"]', Words(), "in date"),
        ('configuration = ["doors"]', Words(configuration=frozenset()), "not asked"),
        ('configuration = ["doors"]', Words(configuration=frozenset({"doors"})), "in date"),
        ('configuration = ["doors"]', Words(), "in date"),
    ):
        assert found(text.replace("{when}", when), done(at="460.0"), words=words).state == state, (when, words)


# --- dates ------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("on", "state", "remaining"), [(date(2027, 8, 1), "in date", 0.0), (date(2027, 8, 2), "over", -1.0)]
)
def test_an_interval_by_the_calendar_holds_through_its_last_day(on, state, remaining):
    one = found(task(MONTHS), done("2027-05-01"), on=on)
    assert (one.state, one.remaining, one.unit) == (state, remaining, "days")
    assert one.working == (
        ("done on", date(2027, 5, 1), "date"),
        ("interval", 3.0, "months"),
        ("due", date(2027, 8, 1), "date"),
        ("now", on, "date"),
        ("remaining", remaining, "days"),
    )


def test_work_entered_for_a_later_day_than_asked_about_clears_nothing():
    one = found(task(MONTHS), done("2027-06-13"))
    assert (one.state, one.lacking) == ("unclear", ("done_later:t",))
    assert found(task(MONTHS), done("2027-06-12")).state == "in date"


def test_when_it_had_been_due_must_be_known_where_a_rule_by_the_calendar_asks_for_it():
    two = SUBTRACTS.format(more="") + '[[variation]]\nname = "w"\nwhose = "maker"\n'
    text = two + task('{ every = "3 months", variations = ["w", "v"] }')
    one = found(text, done("2027-05-01"))
    assert (one.state, one.lacking) == ("unclear", ("was_due:t",))
    assert found(text, done("2027-05-01", was_due_on="2027-05-03")).state == "in date"


def test_when_it_had_been_due_must_be_known_where_a_rule_on_a_meter_asks_for_it():
    two = SUBTRACTS.format(more="") + '[[variation]]\nname = "w"\nwhose = "maker"\n'
    text = two + task('{ meter = "airframe", every = "50 h", variations = ["w", "v"] }')
    one = found(text, done(at="460.0"))
    assert (one.state, one.lacking) == ("unclear", ("was_due:t",))


@pytest.mark.parametrize(
    ("on", "more", "beyond_by", "beyond"),
    [
        ("2027-05-04", "", "", 1.0),
        ("2027-05-03", "", "", 0.0),
        ("2027-05-04", "", "AM", 0.0),
        ("2027-05-13", 'over = "10 days"', "", 0.0),
        ("2027-05-14", 'over = "10 days"', "", 1.0),
        ("2027-05-04", 'over = "10 h"', "", 1.0),
    ],
)
def test_days_beyond_all_that_was_allowed_are_kept(on, more, beyond_by, beyond):
    text = SUBTRACTS.format(more=more) + task('{ every = "3 months", variations = ["v"] }')
    given = {"was_due_on": "2027-05-03"} | ({"beyond_by": f'"{beyond_by}"'} if beyond_by else {})
    one = found(text, done(on, **given))
    assert one.beyond == beyond
    assert one.working[1] == ("had been due on", date(2027, 5, 3), "date")


def test_a_deadline_by_date_is_over_the_day_after_until_it_is_done():
    text = task("{ no_later_than = 2027-06-11 }")
    one = found(text)
    assert (one.state, one.working[0]) == ("over", ("to be done by", date(2027, 6, 11), "date"))
    assert found(text, done("2027-06-12")).state == "finished"
    assert found(task("{ no_later_than = 2027-06-12 }")).state == "in date"


# --- parts ------------------------------------------------------------------------------------------------------------


def part(serial="1", made="", fitted="2020-06-13", aircraft="A", **more):
    lines = ["[[part]]", 'name = "bearing"', f'serial = "{serial}"'] + ([f"made_on = {made}"] if made else [])
    lines += ["[[part.fit]]", f'aircraft = "{aircraft}"', f"on = {fitted}"]
    return "\n".join(lines + [f"{key} = {value}" for key, value in more.items()]) + "\n"


METERED = {"meter": '"airframe"', "meter_at": '"100 h"', "own": '"50 h"'}
SINCE_MADE = task('{ every = "7 years", since = "made" }', part='"bearing"', kind='"life"')
SINCE_FITTED = task('{ every = "7 years", since = "fitted" }', part='"bearing"', kind='"life"')
LIFE = task('{ meter = "airframe", every = "500 h" }', part='"bearing"', kind='"life"')


def test_a_life_by_the_calendar_runs_from_the_day_it_says():
    books = part(made="2020-06-11")
    assert found(SINCE_MADE, books).state == "over"
    one = found(SINCE_FITTED, books)
    assert (one.state, one.binding.due, one.working[0]) == (
        "in date",
        date(2027, 6, 13),
        ("fitted on", date(2020, 6, 13), "date"),
    )
    assert found(SINCE_MADE, part(made="2020-06-12")).working[:2] == (
        ("made on", date(2020, 6, 12), "date"),
        ("life", 84.0, "months"),
    )


@pytest.mark.parametrize(
    "books",
    [
        "",
        part(),
        part(made="2026-01-01") + part("2"),
        part() + part("2", made="2026-01-01"),
        part(made="2026-01-01", aircraft="B"),
    ],
    ids=["no part", "no date", "one of two without", "the other without", "on another aircraft"],
)
def test_one_part_without_a_date_leaves_the_life_of_all_without_evidence(books):
    one = found(SINCE_MADE, books)
    assert (one.state, one.lacking) == ("no evidence", ("part:bearing",))


def test_of_several_parts_the_oldest_binds():
    one = found(SINCE_MADE, part(made="2026-01-01") + part("2", made="2021-01-01"))
    assert one.binding.due == date(2028, 1, 1)


def test_the_own_hours_of_a_part_count_from_where_it_was_fitted():
    one = found(LIFE, part(**METERED))
    assert (one.state, one.binding.due, one.remaining) == ("in date", 550.0, 50.0)
    assert one.working[:3] == (("fitted at", 100.0, "h"), ("its own then", 50.0, "h"), ("life", 500.0, "h"))
    assert found(LIFE, part(**METERED) + part("2", **(METERED | {"own": '"101 h"'}))).state == "over"
    assert found(LIFE, part("2", **(METERED | {"own": '"101 h"'})) + part(**METERED)).state == "over"


@pytest.mark.parametrize(
    "books",
    ["", part(), part(**METERED) + part("2"), part("2") + part(**METERED), part(aircraft="B", **METERED)],
    ids=["no part", "no hours", "one of two without", "the other without", "on another aircraft"],
)
def test_one_part_without_its_own_hours_leaves_the_life_of_all_without_evidence(books):
    one = found(LIFE, books)
    assert (one.state, one.lacking) == ("no evidence", ("part:bearing",))


def test_hours_on_another_meter_are_no_hours_of_this_one():
    rotor = '[[meter]]\nname = "rotor"\n[[meter.reading]]\nat = 2027-06-12T08:00:00Z\nshows = "120.0 h"\n'
    books = rotor + part(**(METERED | {"meter": '"rotor"'}))
    assert found(LIFE, books).state == "no evidence"
    assert found(LIFE, books + part("2", **METERED)).state == "no evidence"


@pytest.mark.parametrize("order", [("2027-04-01", "2027-05-01"), ("2027-05-01", "2027-04-01")])
def test_of_several_entries_by_the_calendar_the_newest_counts(order):
    assert found(task(MONTHS), "".join(done(on) for on in order)).binding.due == date(2027, 8, 1)


# --- shares -----------------------------------------------------------------------------------------------------------

SHARED = task('{ meter = "airframe", every = "50 h", share = "leaded fuel", above = "30 %" }')


@pytest.mark.parametrize(
    ("at", "share", "state", "lacking"),
    [
        ("440.0", "", "unclear", ("share:leaded fuel",)),
        ("440.0", "30 %", "not asked", ()),
        ("440.0", "31 %", "over", ()),
        ("460.0", "31 %", "in date", ()),
        ("460.0", "", "in date", ()),
    ],
)
def test_a_clock_for_a_share_runs_only_above_it_and_without_it_never_clears_what_is_over(at, share, state, lacking):
    books = done(at=at) + (f'[shares]\n"leaded fuel" = "{share}"\n' if share else "")
    one = found(SHARED, books)
    assert (one.state, one.lacking) == (state, lacking)
