"""Defects, deferrals, events, parts and papers."""

from __future__ import annotations

import pytest

from gyrewright.errors import DefinitionError
from gyrewright.finding import Verdict
from gyrewright.maintenance import fitted_twice, limits_in_force, papers_ending_this_month
from gyrewright.maintenance.parts import read_parts
from gyrewright.reading import Problems, section_of


def defect(acts="", item="radio", at="2027-06-10T10:00:00-07:00"):
    return f'[[defect]]\nid = "D1"\nitem = "{item}"\nwords = "dead"\nat = {at}\nby = "S1"\n{acts}'


def act(kind, by="M2", at="2027-06-11T10:00:00-07:00", **more):
    lines = ["[[defect.act]]", f'kind = "{kind}"', f'by = "{by}"', f"at = {at}"]
    lines += [f"{key} = {value}" for key, value in more.items()]
    return "\n".join(lines) + "\n"


DEFERRED = {
    "until": "2027-06-20",
    "required": "{ equipment_list = false, this_flight = false, directive = false }",
    "made_safe": '"deactivated"',
    "placard": '"RADIO INOPERATIVE"',
    "look_again": '"the plug is still out"',
}


def limiting(restriction):
    return act("assessed", **{"class": '"L"', "restriction": restriction})


def deferred_without(key):
    return act("deferred", **{name: value for name, value in DEFERRED.items() if name != key})


def with_(books, *texts, gone="defect"):
    return books["records"].replace(f"{gone} = []\n", "") + "".join(texts)


@pytest.mark.parametrize(
    ("acts", "verdict", "why"),
    [
        ("", Verdict.STOP, "open"),
        (act("assessed", by="I1", **{"class": '"N"'}), Verdict.STOP, "open"),
        (act("assessed", **{"class": '"G"'}), Verdict.STOP, "grounding"),
        (act("assessed", **{"class": '"L"'}), Verdict.JUDGE, "judge"),
        (
            act("assessed", **{"class": '"L"', "restriction": '{ also = "no radio airspace" }'}),
            Verdict.GO_IF,
            "restricted",
        ),
        (act("assessed", **{"class": '"L"', "restriction": "{ aboard_at_most = 1 }"}), Verdict.STOP, "broken_aboard"),
        (act("assessed", **{"class": '"L"', "restriction": "{ aboard_at_most = 2 }"}), Verdict.GO_IF, "restricted"),
        (
            act("assessed", **{"class": '"L"', "restriction": '{ not_for = ["instruction"] }'}),
            Verdict.STOP,
            "broken_purpose",
        ),
        (act("assessed", **{"class": '"N"'}), Verdict.GO, "noted"),
        (act("closed", by="I2"), Verdict.STOP, "void"),
        (act("closed", at="2027-06-12T09:00:00-07:00"), Verdict.STOP, "open"),
        (act("closed"), Verdict.GO, "none"),
        (act("closed", at="2027-06-12T07:50:00-07:00"), Verdict.GO, "none"),
        (act("closed", at="2027-06-12T07:50:01-07:00"), Verdict.STOP, "open"),
        (act("closed", at="2027-06-10T10:00:00-07:00"), Verdict.GO, "none"),
        (act("closed") + act("reopened", by="S1", at="2027-06-11T11:00:00-07:00"), Verdict.STOP, "open"),
        (act("reopened", by="S1") + act("closed", at="2027-06-11T11:00:00-07:00"), Verdict.GO, "none"),
        (act("deferred", **DEFERRED), Verdict.GO_IF, "deferred"),
        (act("deferred", by="I1", **DEFERRED), Verdict.STOP, "open"),
        (act("deferred", **(DEFERRED | {"until": "2027-06-11"})), Verdict.STOP, "expired"),
        (act("deferred", **(DEFERRED | {"until": "2027-06-12"})), Verdict.GO_IF, "deferred"),
        (act("deferred", **(DEFERRED | {"until": "2027-06-12T09:00:00-07:00"})), Verdict.GO_IF, "deferred"),
        (act("deferred", **(DEFERRED | {"until": "2027-06-12T08:59:00-07:00"})), Verdict.STOP, "expired"),
        (
            act(
                "deferred",
                **(DEFERRED | {"required": "{ equipment_list = false, this_flight = true, directive = false }"}),
            ),
            Verdict.STOP,
            "required",
        ),
        (
            act("deferred", **(DEFERRED | {"required": "{ equipment_list = false, directive = false }"})),
            Verdict.UNKNOWN,
            "unfinished",
        ),
        (
            act("deferred", **{key: value for key, value in DEFERRED.items() if key != "placard"}),
            Verdict.UNKNOWN,
            "unfinished",
        ),
        (
            act("deferred", **{key: value for key, value in DEFERRED.items() if key != "made_safe"}),
            Verdict.UNKNOWN,
            "unfinished",
        ),
        (deferred_without("look_again"), Verdict.JUDGE, "judge_deferral"),
    ],
)
def test_a_defect_is_what_entitled_people_made_of_it_until_now(asked, books, acts, verdict, why):
    answer = asked(records=with_(books, defect(acts)))
    found = answer.one("maintenance.defect")
    assert (answer.verdict, found.why) == (verdict, why)


def test_acts_are_taken_in_the_order_of_time_whatever_their_order_in_the_file(asked, books):
    first, second = act("closed"), act("reopened", by="S1", at="2027-06-11T11:00:00-07:00")
    for acts in (first + second, second + first):
        assert asked(records=with_(books, defect(acts))).one("maintenance.defect").why == "open"


@pytest.mark.parametrize("kind", ["closed", "assessed"])
def test_done_before_it_was_reported_is_one_clear_line(asked, books, kind):
    more = {"class": '"N"'} if kind == "assessed" else {}
    early = act(kind, at="2027-06-09T10:00:00-07:00", **more)
    with pytest.raises(DefinitionError, match=f"'D1' was {kind} on 2027-06-09.* before it was reported") as caught:
        asked(records=with_(books, defect(early)))
    assert len(caught.value.problems) == 1


def test_a_deferral_without_an_end_is_one_clear_line(asked, books):
    with pytest.raises(DefinitionError, match="a deferral has an end"):
        asked(records=with_(books, defect(act("deferred"))))


def test_a_restriction_by_day_holds_at_both_ends_and_at_the_edges(asked, books, local):
    day = act("assessed", **{"class": '"L"', "restriction": "{ day_only = true }"})
    records = with_(books, defect(day, item="landing lamp"))

    def why(depart, block_h):
        answer = asked(
            records=records,
            asked_at=local("2027-06-12T05:00"),
            depart_at=local(f"2027-06-12T{depart}"),
            block_h=block_h,
        )
        return answer.one("maintenance.day_only").why

    assert [why("05:19", 1.0), why("05:20", 1.0)] == ["start", "go_if"]
    assert [why("19:44", 1.0), why("19:45", 1.0), why("20:45", 0.1)] == ["go_if", "end", "start"]


def test_a_restrictions_limit_joins_the_stack_only_while_it_is_in_force(asked, books, local):
    acts = (
        act("assessed", **{"class": '"L"'})
        + '[[defect.act.restriction.limit]]\nof = "wind"\nat_most = "10 kt"\ncounts = "gust"\n'
    )
    answer = asked(records=with_(books, defect(acts)))
    given = answer.sheet.value("defects"), answer.sheet.value("entitled")
    (limit,) = limits_in_force(given[0], entitled=given[1], at=local("2027-06-12T08:00"))
    assert (limit.of, limit.typed) == ("wind", "10 kt")
    assert limits_in_force(given[0], entitled=given[1], at=local("2027-06-11T09:00")) == ()
    closed = asked(records=with_(books, defect(acts + act("closed", at="2027-06-12T07:00:00-07:00"))))
    assert limits_in_force(closed.sheet.value("defects"), entitled=given[1], at=local("2027-06-12T08:00")) == ()


def test_what_was_reported_after_the_question_is_not_known_yet(asked, books):
    assert asked(records=with_(books, defect(at="2027-06-12T07:51:00-07:00"))).verdict is Verdict.GO
    assert asked(records=with_(books, defect(at="2027-06-12T07:50:00-07:00"))).verdict is Verdict.STOP


# --- events ---

EVENT = """
[[event]]
id = "E1"
kind = "hard landing"
at = 2027-05-02T16:40:00-07:00
by = "N1"
words = "a bit firm"
{more}
"""
CLEARED = """
[[event.cleared]]
at = {at}
inspection = "{inspection}"
by = "M2"
signed_by = "{by}"
found = "nothing bent"
"""
AFTER = '[inspection_after]\n"hard landing" = "hard landing inspection"\n'


def cleared(by="M2", inspection="hard landing inspection", at="2027-06-11T09:00:00-07:00"):
    return CLEARED.format(by=by, inspection=inspection, at=at)


@pytest.mark.parametrize(
    ("more", "program", "why"),
    [
        ("", AFTER, "locked"),
        (cleared(by="I1"), AFTER, "not_cleared"),
        (cleared(inspection="walk-round"), AFTER, "not_cleared"),
        (cleared(at="2027-06-12T09:00:00-07:00"), AFTER, "locked"),
        (cleared(), "", "no_inspection_named"),
        (cleared(), AFTER, "none"),
        (cleared(by="I1") + cleared(), AFTER, "none"),
    ],
)
def test_an_event_locks_for_weeks_until_the_right_inspection_is_signed(asked, books, more, program, why):
    answer = asked(books["program"] + program, with_(books, EVENT.format(more=more), gone="event"))
    found = answer.one("maintenance.event")
    assert found.why == why
    assert (found.verdict is Verdict.GO) is (why == "none")


def test_no_student_flies_alone_within_a_day_of_an_event_lock(asked, books, local):
    records = with_(books, EVENT.format(more=cleared()), gone="event")
    program = books["program"] + AFTER
    given = {"purpose": "student alone", "aboard_count": 1}
    for depart, stops in (("2027-06-12T08:59", True), ("2027-06-12T09:00", False)):
        answer = asked(program, records, asked_at=local("2027-06-12T07:50"), depart_at=local(depart), **given)
        assert (answer.verdict is Verdict.STOP) is stops
    assert asked(program, records).verdict is Verdict.GO


def test_an_event_cleared_before_it_happened_is_one_clear_line(asked, books):
    early = cleared(at="2027-05-01T09:00:00-07:00")
    with pytest.raises(DefinitionError, match="'E1' was cleared before it happened"):
        asked(books["program"] + AFTER, with_(books, EVENT.format(more=early), gone="event"))


# --- parts ---

PART = '[[part]]\nname = "rotor bearing"\nserial = "RB-1"\n'
LIFE = """
[[task]]
id = "bearing"
name = "Rotor bearing"
kind = "life"
part = "rotor bearing"
clock = [{ meter = "tachometer", every = "1000 h" }]
"""


def fit(aircraft="G1", on="2026-01-01", **more):
    lines = ["[[part.fit]]", f'aircraft = "{aircraft}"', f"on = {on}"]
    return "\n".join(lines + [f"{key} = {value}" for key, value in more.items()]) + "\n"


ON_METER = {"meter": '"tachometer"', "meter_at": '"1100 h"'}


@pytest.mark.parametrize(
    ("own", "verdict"),
    [("898.9 h", Verdict.GO), ("899.0 h", Verdict.STOP), ("950 h", Verdict.STOP), ("0 h", Verdict.GO)],
)
def test_a_part_keeps_its_own_hours_when_it_moves(asked, books, own, verdict):
    # 100 h here since it came with its own; 1.0 h to fly and 0.1 h in hand.
    before = fit("G2", "2020-01-01", off="2025-12-01", own_off='"0 h"')
    records = books["records"] + PART + before + fit(own=f'"{own}"', **ON_METER)
    assert asked(books["program"] + LIFE, records).verdict is verdict


def test_a_part_without_a_record_or_without_its_own_hours_is_unknown(asked, books):
    program = books["program"] + LIFE
    for records in ("", PART + fit(), PART + fit(off="2026-05-01", own='"5 h"', **ON_METER)):
        assert asked(program, books["records"] + records).refused == {("maintenance.life", "bearing", "part")}


def parts(text, file="g1.toml"):
    problems = Problems()
    made = read_parts(section_of(text, file=file, problems=problems))
    problems.stop_if_any()
    return made


@pytest.mark.parametrize(
    ("text", "said"),
    [
        (PART + fit() + PART + fit("G2"), "'RB-1' has two records, fitted twice at once"),
        (PART + fit() + fit("G2", "2026-06-01"), "is fitted to G1 and to G2 at once from 2026-06-01"),
        (PART + fit(off="2026-07-01") + fit("G2", "2026-06-01"), "is fitted to G1 and to G2 at once"),
        (PART + fit(off="2025-07-01"), "2025-07-01 is before 2026-01-01, when it was fitted"),
        (PART + fit(own='"5 h"', meter_at='"1 h"'), "hours without a meter's name count for nothing"),
        (
            PART
            + fit(off="2026-05-01", own_off='"300 h"')
            + fit("G2", "2026-06-01", meter='"rotor"', meter_at='"1 h"', own='"200 h"'),
            "own hours never run back",
        ),
        (PART + fit(own='"5 days"', **ON_METER), "is not counted on a meter"),
    ],
)
def test_what_is_wrong_with_a_part_is_one_clear_line(text, said):
    with pytest.raises(DefinitionError, match=said) as caught:
        parts(text)
    assert len(caught.value.problems) == 1


def test_one_serial_number_fitted_in_two_aircrafts_books_is_a_problem():
    here, there = parts(PART + fit("G1")), parts(PART + fit("G2"))
    (problem,) = fitted_twice([("g1.toml", "G1", here), ("g2.toml", "G2", there)])
    assert str(problem).startswith(
        "g2.toml: part[RB-1]: rotor bearing 'RB-1' is fitted to G2 here and to G1 in g1.toml"
    )
    moved = parts(PART + fit("G1", off="2026-05-01") + fit("G2", "2026-06-01"))
    assert fitted_twice([("g1.toml", "G1", moved), ("g2.toml", "G2", moved)]) == ()


# --- papers ---


@pytest.mark.parametrize(
    ("lines", "why"),
    [
        ('expires_on = "never"\naboard = true', "go_all"),
        ("expires_on = 2027-06-12\naboard = true", "go"),
        ("expires_on = 2027-06-11\naboard = true", "expired"),
        ("expires_on = 2027-06-20\naboard = false", "not_aboard"),
        ("expires_on = 2027-06-20", "aboard"),
        ("aboard = true", "no_end"),
    ],
)
def test_a_paper_counts_through_its_day_when_it_is_aboard(asked, books, lines, why):
    records = books["records"].replace('expires_on = "never"\naboard = true', lines)
    found = asked(records=records).one("maintenance.paper")
    assert found.why == why
    assert (found.verdict is Verdict.GO) is why.startswith("go")


def test_a_paper_that_the_aircraft_must_carry_and_nobody_entered_is_unknown(asked, books):
    program = books["program"].replace('["airworthiness certificate"]', '["airworthiness certificate", "insurance"]')
    assert asked(program).refused == {("maintenance.paper", "insurance", "no_record")}
    assert asked(books["program"].replace('papers = ["airworthiness certificate"]\n', "")).refused == {
        ("maintenance.paper", "", "no_list")
    }


def test_the_house_says_whether_the_end_of_a_paper_is_a_caution(asked, books):
    ends = '[[paper]]\nname = "insurance"\nexpires_on = 2027-06-30\naboard = true\n'
    for house, count in ((books["house"], 0), (books["house"] + "cautions_ending_this_month = true\n", 1)):
        assert len(asked(records=books["records"] + ends, house=house).sheet.value("upkeep_cautions")) == count


def test_a_paper_ending_this_month_is_a_caution_and_its_renewal_ends_it(asked, books, day):
    ends = '[[paper]]\nname = "insurance"\nexpires_on = {on}\naboard = true\n'
    held = asked(records=books["records"] + ends.format(on="2027-06-30")).sheet.value("papers_held")
    assert [one.params["what"] for one in papers_ending_this_month(held, on=day)] == ["insurance"]
    renewed = books["records"] + ends.format(on="2027-06-30") + ends.format(on="2028-06-30")
    assert papers_ending_this_month(asked(records=renewed).sheet.value("papers_held"), on=day) == ()
