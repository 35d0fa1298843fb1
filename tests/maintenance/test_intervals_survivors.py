"""A flight against what is left: no clock that stops or is not known hides behind one that passes."""

from __future__ import annotations

import pytest

from gyrewright.finding import BindsNext, Verdict, Whose

TWO = """
[[task]]
id = "rotor"
name = "rotor check"
kind = "inspection"
clock = [{ meter = "rotor", every = "25 h" }]
"""


def rotor(shows, done_at, read="2027-06-12T06:00:00-07:00"):
    return (
        f'[[meter]]\nname = "rotor"\n[[meter.reading]]\nat = {read}\nshows = "{shows} h"\n'
        f'[[done]]\ntask = "rotor"\non = 2027-01-01\nat = {{ rotor = "{done_at} h" }}\nsigned_by = "M1"\n'
    )


LANDINGS = """
[[task]]
id = "gear"
name = "gear"
kind = "inspection"
clock = [{ meter = "landings", every = "500 landings" }]
"""


def landings(shows):
    return (
        '[[meter]]\nname = "landings"\ncounts = "count"\n[[meter.reading]]\nat = 2027-06-12T06:00:00-07:00\n'
        f'shows = "{shows} landings"\n[[done]]\ntask = "gear"\non = 2027-01-01\nat = {{ landings = "500 landings" }}\n'
        'signed_by = "M1"\n'
    )


DATED = """
[[task]]
id = "hoses"
name = "hoses"
kind = "inspection"
clock = [{ no_later_than = LAST }]
"""


def whys(answer, id="maintenance.inspection"):
    return {(one.about, one.verdict, one.why) for one in answer.of(id)}


# --- an end left open -------------------------------------------------------------------------------------------------


def test_with_an_open_end_a_meter_read_too_long_ago_is_unknown_beside_one_that_passes(asked, books):
    records = books["records"] + rotor("100.0", "99.0", read="2027-06-01T06:00:00-07:00")
    assert whys(asked(books["program"] + TWO, records, block_h=None)) == {
        ("100h", Verdict.GO_IF, "open_h"),
        ("rotor", Verdict.UNKNOWN, "stale_reading"),
    }


def test_with_an_open_end_a_clock_that_is_over_stops_beside_one_that_passes(asked, books):
    records = books["records"] + rotor("130.0", "100.0")
    assert whys(asked(books["program"] + TWO, records, block_h=None)) == {
        ("100h", Verdict.GO_IF, "open_h"),
        ("rotor", Verdict.STOP, "over_h"),
    }


def test_with_an_open_end_a_date_counts_as_ever_and_landings_must_be_said(asked, books):
    program = books["program"] + LANDINGS + DATED.replace("LAST", "2027-06-11")
    records = books["records"] + landings("900")
    assert whys(asked(program, records, block_h=None)) == {
        ("100h", Verdict.GO_IF, "open_h"),
        ("gear", Verdict.UNKNOWN, "count"),
        ("hoses", Verdict.STOP, "over_on"),
    }
    assert whys(asked(program, records, block_h=None, counts={"landings": 8.0})) == {
        ("100h", Verdict.GO_IF, "open_h"),
        ("gear", Verdict.GO, "go_count"),
        ("hoses", Verdict.STOP, "over_on"),
    }


def test_with_an_open_end_what_has_no_evidence_is_unknown_beside_what_passes(asked, books):
    records = books["records"] + rotor("100.0", "99.0").partition("[[done]]")[0]
    assert whys(asked(books["program"] + TWO, records, block_h=None)) == {
        ("100h", Verdict.GO_IF, "open_h"),
        ("rotor", Verdict.UNKNOWN, "no_record"),
    }


def test_an_open_end_is_bound_by_the_meter_that_leaves_least(asked, books):
    answer = asked(books["program"] + TWO, books["records"] + rotor("100.0", "80.0"), block_h=None)
    found = answer.one("maintenance.inspection")
    (condition,) = found.conditions
    assert (found.about, found.verdict, condition.owner) == ("rotor", Verdict.GO_IF, "commander")
    assert condition.params == {"meter": "rotor", "at_h": 105.0, "longest_h": pytest.approx(4.9)}
    assert (found.params["flight_h"], found.params["longest_h"]) == (0.0, pytest.approx(4.9))


# --- a flight of known length -----------------------------------------------------------------------------------------


def test_every_clock_that_stops_is_named_and_of_those_that_pass_the_tightest(asked, books):
    program = books["program"] + TWO + LANDINGS + DATED.replace("LAST", "2027-06-30")
    records = books["records"] + rotor("130.0", "100.0") + landings("995")
    answer = asked(program, records, counts={"landings": 8.0})
    assert whys(answer) == {
        ("rotor", Verdict.STOP, "over_h"),
        ("gear", Verdict.STOP, "beyond_count"),
        ("100h", Verdict.GO, "go_h"),
        ("hoses", Verdict.GO, "go_on"),
    }
    over = answer.one("maintenance.inspection", "rotor")
    assert [cure.id for cure in over.cures] == ["maintenance.do_task"]
    assert (over.params["over_h"], over.params["longest_h"]) == (5.0, 0.0)
    beyond = answer.one("maintenance.inspection", "gear")
    assert [cure.id for cure in beyond.cures] == ["maintenance.do_task"]
    assert (beyond.value, beyond.limit, beyond.margin, beyond.dimension) == (1003.0, 1000.0, -3.0, "count")


def test_of_two_meters_the_one_that_the_flight_uses_up_most_is_shown(asked, books):
    for done_at, about in (("99.0", "rotor"), ("77.0", "rotor"), ("99.9", "rotor")):
        answer = asked(books["program"] + TWO, books["records"] + rotor("100.0", done_at))
        assert {one.about for one in answer.of("maintenance.inspection")} == {about}
    tight = books["records"].replace('"1190.0 h"', '"1102.0 h"')
    answer = asked(books["program"] + TWO, tight + rotor("100.0", "99.0"))
    assert {one.about for one in answer.of("maintenance.inspection")} == {"100h"}


def test_a_passing_clock_shows_what_the_plan_leaves_of_it(asked, books):
    booked = books["records"].replace("booking = []\n", "")
    booked += '[[booking]]\nat = 2027-06-12T07:00:00-07:00\nblock = "2.0 h"\n'
    found = asked(records=booked).one("maintenance.inspection")
    assert (found.verdict, found.why, found.dimension) == (Verdict.GO, "go_h", "time")
    assert (found.value, found.limit, found.margin) == pytest.approx((1203.1, 1290.0, 86.9))
    assert found.binds_next == BindsNext(share=pytest.approx(86.9 / 90.0), by="tachometer")
    told = {key: found.params[key] for key in found.params if key.endswith("_h")}
    assert told == pytest.approx(
        {
            "due_h": 1290.0,
            "latest_h": 1290.0,
            "now_h": 1200.0,
            "before_h": 2.0,
            "flight_h": 1.0,
            "allowance_h": 0.1,
            "longest_h": 87.9,
            "over_h": 0.0,
        }
    )
    ((layer,),) = (found.layers,)
    assert (layer.value, layer.margin, layer.passes, layer.binds) == (
        pytest.approx(1203.1),
        pytest.approx(86.9),
        True,
        True,
    )
    assert (layer.limit.whose, layer.limit.value, layer.limit.typed) == (Whose.MAKER, 1290.0, "100 h")


@pytest.mark.parametrize(
    ("done_at", "block_h", "why"),
    [("1101.1", 1.0, "go_h"), ("1101.0", 1.0, "beyond_h"), ("1100.0", 1.0, "beyond_h"), ("1099.9", 1.0, "over_h")],
)
def test_a_flight_must_end_with_the_houses_allowance_in_hand(asked, books, done_at, block_h, why):
    records = books["records"].replace('"1190.0 h"', f'"{done_at} h"')
    found = asked(records=records, block_h=block_h).one("maintenance.inspection")
    assert (found.verdict is Verdict.STOP, found.why) == (why != "go_h", why)


def test_a_shorter_flight_is_offered_only_where_some_time_is_left(asked, books):
    for done_at, cures in (
        ("1100.5", [("maintenance.fly_shorter", {"longest_h": pytest.approx(0.4)}), ("maintenance.do_task", None)]),
        ("1100.0", [("maintenance.do_task", None)]),
    ):
        records = books["records"].replace('"1190.0 h"', f'"{done_at} h"')
        found = asked(records=records).one("maintenance.inspection")
        assert [cure.id for cure in found.cures] == [id for id, _ in cures]
        if cures[0][1]:
            assert (found.cures[0].params, found.cures[0].who) == (cures[0][1], "commander")


# --- dates ------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("last", "verdict", "left"), [("2027-06-12", Verdict.GO, 0), ("2027-06-11", Verdict.STOP, -1)])
def test_a_date_passes_through_its_day(asked, books, last, verdict, left):
    answer = asked(books["program"] + DATED.replace("LAST", last))
    found = answer.one("maintenance.inspection", "hoses")
    assert (found.verdict, found.margin, found.params["left_days"]) == (verdict, left, left)
    (layer,) = found.layers
    assert (layer.passes, layer.margin, layer.binds) == (verdict is Verdict.GO, left, True)
    assert [cure.id for cure in found.cures] == ([] if verdict is Verdict.GO else ["maintenance.do_task"])


def test_of_two_dates_the_nearer_is_shown_and_it_binds_at_the_end_of_its_day(asked, books, local):
    later = DATED.replace("hoses", "belts").replace("LAST", "2027-07-30")
    found = asked(books["program"] + later + DATED.replace("LAST", "2027-06-30")).of("maintenance.inspection")
    (shown,) = [one for one in found if one.why == "go_on"]
    assert (shown.about, shown.binds_next) == ("hoses", BindsNext(at=local("2027-06-30T23:59")))


# --- what is not known ------------------------------------------------------------------------------------------------


def test_a_claim_without_a_signature_names_who_said_it_and_how_to_cure_it(asked, books):
    records = books["records"].replace('signed_by = "M1"', 'by = "P1"')
    found = asked(records=records).one("maintenance.inspection")
    assert (found.verdict, found.why, found.params["said_by"]) == (Verdict.UNKNOWN, "no_evidence", ("P1",))
    (cure,) = found.cures
    assert (cure.id, cure.who, cure.params) == ("maintenance.show_or_do", "maintainer", {"task": "100 h check"})
    assert found.lacking == ("done:100h",)


def test_a_reading_is_stale_only_beyond_what_the_house_lets_stand(asked, books, local):
    records = books["records"].replace("2027-06-12T06:00:00-07:00", "2027-06-05T07:50:00-07:00")
    assert asked(records=records).verdict is Verdict.GO
    found = asked(records=records, asked_at=local("2027-06-12T07:51")).one("maintenance.inspection")
    assert (found.verdict, found.why, found.lacking) == (
        Verdict.UNKNOWN,
        "stale_reading",
        ("meter_reading:tachometer",),
    )
    assert found.params["age_h"] == pytest.approx(7 * 24.0 + 1.0 / 60.0)


def test_landings_are_stale_too_although_their_number_is_said(asked, books):
    records = books["records"] + landings("900").replace("2027-06-12T06:00", "2027-06-01T06:00")
    found = asked(books["program"] + LANDINGS, records, counts={"landings": 1.0})
    assert ("gear", Verdict.UNKNOWN, "stale_reading") in whys(found)


# --- notices ----------------------------------------------------------------------------------------------------------

NOTICE = """
[[task]]
id = "SB1"
name = "Notice 1"
kind = "notice"
printed = "recommended"
areas = ["radio"]
clock = [{ no_later_than = LAST }]
"""


def decided(*decisions):
    return "".join(
        f'[[decision]]\ntask = "{task}"\non = {on}\nreason = "not fitted"\ndecided = "{said}"\nby = "{by}"\n'
        for task, on, said, by in decisions
    )


@pytest.mark.parametrize(
    ("last", "decisions", "verdict", "why"),
    [
        ("2027-06-30", [], Verdict.GO, "advised"),
        ("2027-06-11", [], Verdict.UNKNOWN, "undecided"),
        ("2027-06-11", [("SB1", "2027-05-01", "decline", "AM")], Verdict.GO, "declined"),
        ("2027-06-30", [("SB1", "2027-05-01", "decline", "AM")], Verdict.GO, "declined"),
        ("2027-06-11", [("SB2", "2027-05-01", "decline", "AM")], Verdict.UNKNOWN, "undecided"),
        (
            "2027-06-11",
            [("SB1", "2027-05-01", "follow", "AM"), ("SB1", "2027-05-02", "decline", "AM")],
            Verdict.GO,
            "declined",
        ),
        (
            "2027-06-11",
            [("SB1", "2027-05-02", "follow", "AM"), ("SB1", "2027-05-01", "decline", "AM")],
            Verdict.STOP,
            "over_on",
        ),
        (
            "2027-06-11",
            [("SB1", "2027-05-02", "follow", "AM"), ("SB1", "2027-05-02", "decline", "AM")],
            Verdict.STOP,
            "over_on",
        ),
    ],
)
def test_the_newest_decision_on_a_notice_counts_and_of_one_day_the_stricter(
    asked, books, last, decisions, verdict, why
):
    other = NOTICE.replace("SB1", "SB2").replace("LAST", "2027-12-31")
    answer = asked(books["program"] + NOTICE.replace("LAST", last) + other, books["records"] + decided(*decisions))
    found = answer.one("maintenance.notice", "SB1")
    assert (found.verdict, found.why) == (verdict, why)


def test_a_kind_of_task_of_which_all_are_finished_says_so(asked, books):
    records = books["records"] + '[[done]]\ntask = "SB1"\non = 2027-05-01\nsigned_by = "M1"\n'
    found = asked(books["program"] + NOTICE.replace("LAST", "2027-06-11"), records).one("maintenance.notice")
    assert (found.verdict, found.why, found.params) == (Verdict.GO, "none_open", {"count": 1})
    assert asked().of("maintenance.notice") == []


# --- the list of directives, and flights beyond -----------------------------------------------------------------------


@pytest.mark.parametrize(
    ("read_on", "verdict"),
    [
        ("2027-06-12", Verdict.GO),
        ("2027-06-13", Verdict.UNKNOWN),
        ("2027-04-13", Verdict.GO),
        ("2027-04-12", Verdict.UNKNOWN),
    ],
)
def test_the_list_of_directives_stands_for_its_days(asked, books, read_on, verdict):
    records = books["records"].replace("directives_read_on = 2027-06-01", f"directives_read_on = {read_on}")
    found = asked(records=records).one("maintenance.directive_list")
    assert found.verdict is verdict
    assert found.lacking == (() if verdict is Verdict.GO else ("directives_read_on",))


def test_a_house_that_sets_no_days_still_wants_no_reading_from_the_future(asked, books):
    house = books["house"].replace('directives_stand = "60 days"\n', "")
    for read_on, verdict in (("2001-01-01", Verdict.GO), ("2027-06-13", Verdict.UNKNOWN)):
        records = books["records"].replace("directives_read_on = 2027-06-01", f"directives_read_on = {read_on}")
        assert asked(records=records, house=house).one("maintenance.directive_list").verdict is verdict


def test_an_interval_flown_past_stops_the_purposes_that_the_house_names(asked, books):
    law = '[[variation]]\nname = "law"\nwhose = "law"\nlate = "subtracts"\n'
    text = 'papers = ["airworthiness certificate"]\n' + law
    text += (
        books["program"]
        .replace('papers = ["airworthiness certificate"]\n', "")
        .replace('every = "100 h"', 'every = "100 h", variations = ["law"]')
    )
    for was_due, count in (("1188.0", 1), ("1190.0", 0)):
        records = books["records"].replace(
            'at = { tachometer = "1190.0 h" }\n',
            f'at = {{ tachometer = "1190.0 h" }}\nwas_due = {{ tachometer = "{was_due} h" }}\n',
        )
        found = asked(text, records, purpose="test").of("maintenance.flown_past")
        assert [(one.verdict, one.why, one.about) for one in found] == [(Verdict.STOP, "stop", "100h")] * count
        assert [one.params["beyond"] for one in found] == [2.0] * count
        assert asked(text, records, purpose="private").of("maintenance.flown_past") == []


# --- one that does not fit by the houses allowance, beside one that just fits -----------------------------------------


def test_a_clock_that_fails_by_the_allowance_alone_is_not_hidden_by_a_tighter_one_that_fits(asked, books):
    # Fits by 0.05 h of 1.15; the rotor leaves 1.05, which holds the flight and not the 0.1 h in hand.
    records = books["records"].replace('"1190.0 h"', '"1101.15 h"') + rotor("100.0", "76.05")
    answer = asked(books["program"] + TWO, records)
    assert whys(answer) == {("100h", Verdict.GO, "go_h"), ("rotor", Verdict.STOP, "beyond_h")}
    booked = records.replace("booking = []\n", "").replace("76.05", "77.05").replace("1101.15", "1102.15")
    booked += '[[booking]]\nat = 2027-06-12T07:00:00-07:00\nblock = "1.0 h"\n'
    assert whys(asked(books["program"] + TWO, booked)) == {
        ("100h", Verdict.GO, "go_h"),
        ("rotor", Verdict.STOP, "beyond_h"),
    }


def test_with_an_open_end_each_clock_that_the_allowance_uses_up_stops(asked, books):
    records = books["records"].replace('"1190.0 h"', '"1100.05 h"') + rotor("100.0", "75.08")
    assert whys(asked(books["program"] + TWO, records, block_h=None)) == {
        ("100h", Verdict.STOP, "beyond_h"),
        ("rotor", Verdict.STOP, "beyond_h"),
    }


def test_two_dates_that_have_passed_are_both_named(asked, books):
    program = (
        books["program"]
        + DATED.replace("LAST", "2027-06-11")
        + DATED.replace("hoses", "belts").replace("LAST", "2027-06-10")
    )
    assert {one for one in whys(asked(program)) if one[1] is Verdict.STOP} == {
        ("hoses", Verdict.STOP, "over_on"),
        ("belts", Verdict.STOP, "over_on"),
    }
