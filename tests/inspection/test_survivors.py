"""Walk-rounds, answers, markers and what must be put back: the verdict beside each reason, the edge of each moment."""

from __future__ import annotations

from datetime import datetime, timedelta, timezone
from types import SimpleNamespace

import pytest

from gyrewright.finding import BindsNext, Condition, Cure, Verdict
from gyrewright.inspection import answers, holding, leftovers, pace
from gyrewright.inspection.lists import Restart
from gyrewright.inspection.walk import Accepted, Answer, Counted, Interruption, Judged, Keep, Marker, Touch, Walk
from gyrewright.inspection.walk_rules import Needed, WalkRules

ZONE = timezone(timedelta(hours=-7))
MIN = timedelta(minutes=1)
ENTITLED = {"walk round": frozenset({"I1", "I2"}), "assess a defect": frozenset({"M1", "M2"})}
DAILY = Needed("daily", frozenset({"full"}), None, "entitled", 0, timedelta(minutes=30), frozenset({"moved", "work"}))
EACH = Needed(
    "each",
    frozenset({"full", "short"}),
    timedelta(hours=2),
    "commander",
    2,
    timedelta(minutes=15),
    frozenset({"flown", "event"}),
)
RULES = WalkRules(
    needed=(EACH,),
    restarts=(Restart("away", "zone", 1.0 / 60.0, ""),),
    full=frozenset({"full"}),
    restore_reset_by=frozenset({"brake set"}),
    pace_share=0.5,
    pace_walks=3,
    same_readings=2,
)


def at(hour, minute=0, day=12):
    return datetime(2027, 6, day, hour, minute, tzinfo=ZONE)


ASKED, DEPART, LAND = at(8), at(8, 10), at(9, 10)


def walk(id="w1", **given):
    made = {
        "kind": "full",
        "list_id": "list",
        "revision": 1,
        "by": ("I1",),
        "began_at": at(7, 20),
        "ended_at": at(7, 50),
        "complete": True,
        "answers": (),
        "readings": (),
        "interruptions": (),
        "restored": (),
        "accepted": (),
        "where": "",
    } | given
    return Walk(id=id, **made)


# --- does a walk hold -------------------------------------------------------------------------------------------------


def holds(*walks, rules=RULES, needed=EACH, touches=(), markers=(), work=(), events=(), **given):
    plan = {"asked_at": ASKED, "depart_at": DEPART, "commander": "I1"} | given
    (found,) = holding.walk.judge(
        walks,
        touches,
        markers,
        WalkRules((needed,), rules.restarts),
        work,
        events,
        ENTITLED,
        plan["asked_at"],
        plan["depart_at"],
        plan["depart_at"].date(),
        plan["commander"],
    )
    return found


@pytest.mark.parametrize("doubt", ["unconfirmed", "old_list", "in_question"])
def test_a_finished_walk_in_doubt_is_unknown_however_much_time_is_left(doubt):
    found = holds(walk(doubt=doubt))
    assert (found.verdict, found.why) == (Verdict.UNKNOWN, doubt)
    found = holds(walk(doubt=doubt), depart_at=at(12))
    assert (found.verdict, found.why) == (Verdict.UNKNOWN, doubt)
    assert holds(walk(doubt=doubt), walk("w2")).verdict is Verdict.GO


def test_a_walk_that_holds_says_whose_it_is_and_until_when():
    found = holds(walk())
    assert (found.verdict, found.why, found.about) == (Verdict.GO, "go", "each")
    assert found.params == {"walk": "each", "by": ("I1",), "done_at": at(7, 50)}
    assert (found.binds_next, found.holds_until) == (BindsNext(at=at(9, 50)), at(9, 50))
    day = holds(walk(), needed=DAILY)
    assert (day.verdict, day.binds_next, day.holds_until) == (Verdict.GO, None, None)


@pytest.mark.parametrize(
    ("made", "given", "why"),
    [
        ({"complete": False}, {}, "unfinished"),
        ({"ended_at": None}, {}, "unfinished"),
        ({"ended_at": at(8, 0)}, {}, ""),
        ({"ended_at": at(8, 1)}, {}, "unfinished"),
        ({}, {"depart_at": at(9, 50), "asked_at": at(9, 45)}, ""),
        ({}, {"depart_at": at(9, 51), "asked_at": at(9, 45)}, "old"),
        ({}, {"touches": (Touch("flown", at(7, 49), ""),)}, ""),
        ({}, {"touches": (Touch("flown", at(7, 50), ""),)}, "ended"),
        ({}, {"touches": (Touch("flown", at(8, 0), ""),)}, "ended"),
        ({}, {"touches": (Touch("flown", at(8, 1), ""),)}, ""),
        ({}, {"touches": (Touch("refueled", at(7, 55), ""),)}, ""),
        ({}, {"events": (SimpleNamespace(at=at(7, 55)),)}, "ended"),
        ({}, {"work": (SimpleNamespace(at=at(7, 55)),)}, ""),
        ({"interruptions": (Interruption("away", at(7, 30), at(7, 31), "z", "nothing"),)}, {}, "interrupted"),
        ({"interruptions": (Interruption("away", at(7, 30), at(7, 31), "z", "stand"),)}, {}, "interrupted"),
        ({"interruptions": (Interruption("away", at(7, 30), at(7, 31), "z", "zone"),)}, {}, ""),
        ({"interruptions": (Interruption("away", at(7, 30), at(7, 30), "z", "nothing"),)}, {}, ""),
        ({"by": ("S1",)}, {}, "not_yours"),
        ({"by": ("I2",)}, {}, "not_yours"),
        ({"by": ("I2",), "accepted": (Accepted("I1", ASKED, ("a", "b")),)}, {}, ""),
        ({"by": ("I2",), "accepted": (Accepted("I1", ASKED + MIN, ("a", "b")),)}, {}, "not_yours"),
        ({"by": ("I2",), "accepted": (Accepted("I1", ASKED, ("a", "a")),)}, {}, "not_yours"),
        ({"by": ("I2",), "accepted": (Accepted("I3", ASKED, ("a", "b")),)}, {}, "not_yours"),
        ({"by": ("S1",), "accepted": (Accepted("I1", ASKED, ("a", "b")),)}, {}, "not_yours"),
        ({"kind": "other"}, {}, "none"),
        ({"began_at": at(8, 1), "ended_at": at(8, 2)}, {}, "none"),
    ],
)
def test_what_a_walk_lacks_is_unknown_until_it_is_made(made, given, why):
    found = holds(walk(**made), **given)
    if not why:
        assert (found.verdict, found.why) == (Verdict.GO, "go")
        return
    assert (found.verdict, found.why, found.lacking) == (Verdict.UNKNOWN, why, ("walk:each",))
    assert found.cures == (Cure("inspection.walk_round", "I1", {"walk": "each"}),)


def test_a_walk_of_the_day_holds_on_its_day_alone_and_ends_with_what_the_house_names():
    yesterday = walk(began_at=at(22, 0, 11), ended_at=at(22, 30, 11))
    assert holds(yesterday, needed=DAILY).why == "old"
    assert holds(walk(), needed=DAILY, touches=(Touch("moved", at(7, 55), ""),)).why == "ended"
    assert holds(walk(), needed=DAILY, work=(SimpleNamespace(at=at(7, 55)),)).why == "ended"
    assert holds(walk(), needed=DAILY, events=(SimpleNamespace(at=at(7, 55)),)).why == "go"


def test_of_several_walks_the_one_that_holds_counts_and_else_the_nearest_to_holding_is_named():
    good, old = walk("w1"), walk("w0", began_at=at(5), ended_at=at(5, 30))
    assert holds(old, good).why == holds(good, old).why == "go"
    running = walk("w2", began_at=at(7, 55), ended_at=None, complete=False)
    assert holds(old, running).why == holds(running, old).why == "unfinished"
    others = walk("w3", by=("I2",))
    assert holds(running, others, old).why == "not_yours"
    assert holds(good, walk("w4", began_at=at(7, 30), ended_at=at(7, 55))).params["done_at"] == at(7, 55)


@pytest.mark.parametrize(("minutes", "verdict"), [(15, Verdict.GO_IF), (14, Verdict.UNKNOWN)])
def test_a_walk_still_to_come_is_a_condition_where_there_is_time_for_it(minutes, verdict):
    found = holds(depart_at=ASKED + minutes * MIN)
    assert (found.verdict, found.why) == (verdict, "later" if verdict is Verdict.GO_IF else "none")
    if verdict is Verdict.GO_IF:
        condition = Condition("inspection.walk_first", "I1", ASKED + 15 * MIN, {"walk": "each"})
        assert (found.conditions, found.lacking) == ((condition,), ())


def test_a_walk_still_going_on_is_unknown_however_late_the_start():
    found = holds(walk(ended_at=None, complete=False), depart_at=at(15))
    assert (found.verdict, found.why, found.conditions) == (Verdict.UNKNOWN, "unfinished", ())


def test_without_a_rule_on_walks_nothing_is_cleared_and_each_rule_is_asked():
    def found(rules):
        given = ((), (), ENTITLED, ASKED, DEPART, DEPART.date(), "I1")
        return holding.walk.judge((walk(),), (), (), rules, *given)

    (none,) = found(WalkRules(()))
    assert (none.verdict, none.why, none.lacking) == (Verdict.UNKNOWN, "no_rule", ("walk_rules",))
    assert [one.about for one in found(WalkRules((DAILY, EACH)))] == ["daily", "each"]


def test_with_nobody_in_command_the_walk_is_the_commanders_to_make():
    found = holds(commander="")
    assert found.cures == (Cure("inspection.walk_round", "commander", {"walk": "each"}),)
    assert holds(walk(), commander="").why == "not_yours"


# --- answers ----------------------------------------------------------------------------------------------------------


def answered(*walks, defects=(), asked_at=ASKED, purpose="instruction", aboard=2):
    found = answers.answers.judge(walks, defects, ENTITLED, asked_at, DEPART, purpose, aboard)
    return () if found is None else found


def not_right(class_="G", **given):
    return Answer("K08", "not", class_, "nick", **given)


SKIPPED = Answer("K08", "could not look", "G", "dark")


def test_what_could_not_be_looked_at_is_the_commanders_to_look_at():
    (found,) = answered(walk(answers=(SKIPPED,)))
    assert (found.verdict, found.why, found.about, found.lacking) == (
        Verdict.UNKNOWN,
        "not_looked",
        "K08",
        ("item:K08",),
    )
    assert found.cures == (Cure("inspection.look", "commander", {"item": "K08"}),)
    assert found.params == {"item": "K08", "words": "dark", "walker": ("I1",), "at": at(7, 50)}
    assert answered(walk(answers=(SKIPPED,), ended_at=None))[0].params["at"] == at(7, 20)


@pytest.mark.parametrize(
    ("later", "looked"),
    [
        ({}, True),
        ({"ended_at": ASKED}, True),
        ({"ended_at": ASKED + MIN}, False),
        ({"ended_at": None}, False),
        ({"complete": False}, False),
        ({"kind": "short"}, False),
        ({"answers": (SKIPPED,)}, False),
        ({"answers": (Answer("K09", "could not look", "N"),)}, True),
        ({"began_at": at(6)}, False),
    ],
)
def test_only_a_finished_later_walk_of_the_same_kind_has_looked(later, looked):
    second = walk("w2", **({"began_at": at(7, 30), "ended_at": at(7, 55)} | later))
    found = [one for one in answered(walk(answers=(SKIPPED,)), second) if one.about == "K08"]
    assert (found == []) is looked


def test_a_walk_begun_after_the_question_says_nothing_yet():
    assert answered(walk(answers=(not_right(),), began_at=ASKED + MIN)) == ()
    assert len(answered(walk(answers=(not_right(),), began_at=ASKED))) == 1


@pytest.mark.parametrize(
    ("answer", "verdict", "why"),
    [
        (not_right(), Verdict.STOP, "grounding"),
        (not_right(""), Verdict.STOP, "grounding"),
        (not_right("N"), Verdict.GO, "noted"),
        (not_right("L"), Verdict.JUDGE, "judge"),
        (not_right("L", keep=Keep(aboard_at_most=2)), Verdict.GO_IF, "restricted"),
        (not_right("L", keep=Keep(aboard_at_most=1)), Verdict.STOP, "broken_aboard"),
        (not_right("L", keep=Keep(not_for=frozenset({"rental"}))), Verdict.GO_IF, "restricted"),
        (not_right("L", keep=Keep(not_for=frozenset({"instruction"}))), Verdict.STOP, "broken_purpose"),
        (not_right("L", keep=Keep(words="no radio airspace")), Verdict.GO_IF, "restricted"),
        (not_right("L", keep=Keep(day_only=True)), Verdict.GO, "restricted"),
        (not_right(small=True), Verdict.STOP, "small"),
        (not_right(small=True, judged=Judged("M1", ASKED, True, "shallow")), Verdict.GO, "judged_small"),
        (not_right(small=True, judged=Judged("M1", ASKED, False, "deep")), Verdict.STOP, "judged_no"),
        (not_right(small=True, judged=Judged("M1", ASKED + MIN, True, "shallow")), Verdict.STOP, "small"),
        (not_right(small=True, judged=Judged("I1", ASKED, True, "shallow")), Verdict.STOP, "small"),
        (not_right(judged=Judged("M1", ASKED, True, "shallow")), Verdict.STOP, "grounding"),
        (not_right("", small=True, judged=Judged("M1", ASKED, True, "shallow")), Verdict.GO, "judged_small"),
    ],
)
def test_what_was_found_means_what_the_class_of_the_item_says(answer, verdict, why):
    (found,) = answered(walk(answers=(answer,)))
    assert (found.verdict, found.why, found.about) == (verdict, why, "K08")
    if verdict in (Verdict.STOP, Verdict.JUDGE) and why != "judged_no":
        assert Cure("inspection.report_defect", "commander", {"item": "K08"}) in found.cures
    if why == "small":
        assert found.cures[0] == Cure("inspection.judge_small", "M1, M2", {"item": "K08"})


@pytest.mark.parametrize(
    ("keep", "conditions"),
    [
        (Keep(words="slow"), [Condition("inspection.keep", "commander", DEPART, {"words": "slow"})]),
        (Keep(aboard_at_most=2), [Condition("inspection.aboard_at_most", "commander", DEPART, {"aboard": 2})]),
        (
            Keep(not_for=frozenset({"test", "rental"})),
            [Condition("inspection.not_for", "commander", DEPART, {"purposes": ("rental", "test")})],
        ),
    ],
)
def test_each_part_of_what_must_be_kept_is_a_condition(keep, conditions):
    (found,) = answered(walk(answers=(not_right("L", keep=keep),)))
    assert list(found.conditions) == conditions


def test_a_report_takes_an_answer_over_only_by_its_own_number():
    book = (SimpleNamespace(id="D1"),)
    assert answered(walk(answers=(not_right(defect="D1"),)), defects=book) == ()
    assert len(answered(walk(answers=(not_right(defect="D2"),)), defects=book)) == 1
    assert len(answered(walk(answers=(not_right(defect="D2"), not_right(defect="D1"))), defects=book)) == 1


# --- by day only ------------------------------------------------------------------------------------------------------


def by_day(*given, depart_at=DEPART, land_at=LAND, defects=(), asked_at=ASKED):
    return answers.day_only.judge(given, defects, asked_at, depart_at, land_at, at(5, 20), at(20, 44))


DAY_ONLY = walk(answers=(not_right("L", keep=Keep(day_only=True)),))


@pytest.mark.parametrize(
    ("depart_at", "land_at", "verdict"),
    [
        (at(5, 20), at(6), Verdict.GO_IF),
        (at(5, 19), at(6), Verdict.STOP),
        (at(20), at(20, 44), Verdict.GO_IF),
        (at(20), at(20, 45), Verdict.STOP),
        (at(20), None, Verdict.GO_IF),
        (at(20, 44), None, Verdict.GO_IF),
        (at(20, 45), None, Verdict.STOP),
    ],
)
def test_what_limits_to_the_day_holds_from_sunrise_to_sunset(depart_at, land_at, verdict):
    (found,) = by_day(DAY_ONLY, depart_at=depart_at, land_at=land_at)
    assert (found.verdict, found.why) == (verdict, "go_if" if verdict is Verdict.GO_IF else "stop")
    assert (found.value, found.limit, found.about) == (land_at, at(20, 44), "K08")
    params = {"item": "K08", "sunset_at": at(20, 44), "sunrise_at": at(5, 20)}
    condition = Condition("inspection.down_by_sunset", "commander", at(20, 44), params)
    assert found.conditions == ((condition,) if verdict is Verdict.GO_IF else ())


def test_daylight_is_no_question_without_such_an_item():
    assert by_day(walk(answers=(not_right("L"), SKIPPED))) is None
    looked = walk(answers=(Answer("K08", "could not look", "L", keep=Keep(day_only=True)),))
    assert by_day(looked) is None
    assert by_day(DAY_ONLY, asked_at=at(7, 19)) is None
    assert len(by_day(DAY_ONLY, asked_at=at(7, 20))) == 1
    reported = walk(answers=(not_right("L", defect="D1", keep=Keep(day_only=True)),))
    assert by_day(reported, defects=(SimpleNamespace(id="D1"),)) is None
    assert len(by_day(reported, DAY_ONLY, defects=(SimpleNamespace(id="D1"),))) == 1
    behind = walk(answers=(not_right("L"), not_right("L", keep=Keep(day_only=True))))
    assert len(by_day(behind)) == 1


# --- pace -------------------------------------------------------------------------------------------------------------


def past(*minutes, by=("I1",), kind="full"):
    return [
        walk(f"h{number}", began_at=at(7, 0, number + 1), ended_at=at(7, took, number + 1), by=by, kind=kind)
        for number, took in enumerate(minutes)
    ]


def paced(*walks, rules=RULES, asked_at=ASKED, commander="I2"):
    found = pace.pace.judge(walks, rules, asked_at, commander)
    return () if found is None else found


@pytest.mark.parametrize(
    ("earlier", "took", "quick"),
    [
        ((20, 30, 40), 14, True),
        ((20, 30, 40), 15, False),
        ((20, 30, 40), 16, False),
        ((40, 30, 20, 30), 14, True),
        ((20, 30), 1, False),
        ((2, 30, 40), 14, True),
    ],
)
def test_a_walk_below_the_houses_share_of_ones_own_median_is_judged(earlier, took, quick):
    found = paced(*past(*earlier), walk(began_at=at(7, 50) - took * MIN))
    assert [(one.verdict, one.why) for one in found] == ([(Verdict.JUDGE, "quick")] if quick else [])
    if quick:
        (one,) = found
        assert (one.value, one.limit, one.about) == (took, 15.0, "full")
        assert one.params["usual_min"] == 30.0
        assert (one.params["walker"], one.params["judge"]) == (("I1",), "I2")
        assert (one.params["took_min"], one.params["walks"]) == (took, len(earlier))


def test_pace_is_ones_own_of_one_kind_and_of_finished_walks():
    quick = walk(began_at=at(7, 45))
    assert paced(*past(30, 30, 30, by=("I2",)), quick) == ()
    assert paced(*past(30, 30, 30, kind="short"), quick) == ()
    assert len(paced(*past(30, 30, 30, by=("I2", "I1")), quick)) == 1
    both = paced(*past(30, 30, 30, by=("I2", "I1")), walk(began_at=at(7, 45), by=("I1", "I2")))
    assert [one.params["walker"] for one in both] == [("I1",), ("I2",)]
    for unfinished in ({"complete": False}, {"ended_at": None}, {"ended_at": ASKED + MIN}):
        assert paced(*past(30, 30, 30), walk(**({"began_at": at(7, 58)} | unfinished))) == ()
    assert len(paced(*past(30, 30, 30), walk(began_at=at(7, 59), ended_at=ASKED))) == 1
    short = [walk(f"s{n}", began_at=at(7, 0, n), ended_at=at(7, 30, n), complete=False) for n in (1, 2, 3)]
    assert paced(*short, quick) == ()


def test_time_away_is_no_time_spent_looking():
    away = Interruption("away", at(7, 25), at(7, 40), "z", "zone")
    assert [one.why for one in paced(*past(30, 30, 30), walk(interruptions=(away,)))] == []
    away = Interruption("away", at(7, 25), at(7, 41), "z", "zone")
    assert [one.why for one in paced(*past(30, 30, 30), walk(interruptions=(away,)))] == ["quick"]


def test_a_house_without_a_rule_on_pace_judges_none():
    rules = WalkRules((EACH,), same_readings=2)
    assert paced(*past(30, 30, 30), walk(began_at=at(7, 49)), rules=rules) == ()


READINGS = (("F10", "52 mm"), ("D01", "2.0 bar"))


@pytest.mark.parametrize(
    ("before", "now", "rules", "same"),
    [
        (READINGS, READINGS, RULES, True),
        (READINGS, (("F10", "51 mm"), ("D01", "2.0 bar")), RULES, False),
        (READINGS[:1], READINGS[:1], RULES, False),
        (READINGS, READINGS, WalkRules((EACH,)), False),
        ((), (), RULES, False),
    ],
)
def test_readings_that_repeat_the_last_walks_to_the_letter_are_judged(before, now, rules, same):
    earlier = walk("w0", began_at=at(7, 0, 11), ended_at=at(7, 30, 11), readings=before)
    found = paced(walk(readings=now), earlier, rules=rules)
    assert [(one.verdict, one.why) for one in found] == ([(Verdict.JUDGE, "same")] if same else [])
    if same:
        assert found[0].about == "full"
        assert (found[0].params["count"], found[0].params["last_at"]) == (2, at(7, 30, 11))
        assert found[0].params["judge"] == "I2"
        assert paced(walk(readings=now), earlier, commander="")[0].params["judge"] == "commander"


def test_readings_are_held_against_the_walk_before_and_not_against_an_older_one():
    older = walk("w0", began_at=at(7, 0, 10), ended_at=at(7, 30, 10), readings=READINGS)
    other = (("F10", "51 mm"), ("D01", "2.0 bar"))
    last = walk("w9", began_at=at(7, 0, 11), ended_at=at(7, 30, 11), readings=other)
    assert paced(older, last, walk(readings=READINGS)) == ()
    assert paced(walk(readings=READINGS)) == ()


# --- markers ----------------------------------------------------------------------------------------------------------


OFF_AT, PLACED_AT = at(6, 40), at(6, 10)


def marker(number=1, by="I1", taken="I1", seen="S2", when=OFF_AT, placed_at=PLACED_AT):
    return Marker(
        number=number,
        placed_by=by,
        placed_at=placed_at,
        removed=Counted(taken, when) if taken else None,
        confirmed=Counted(seen, when) if seen else None,
    )


def marked(*markers, walks=(), asked_at=ASKED, commander="I1"):
    return leftovers.marker.judge(markers, walks, RULES, asked_at, DEPART, commander)


def test_a_marker_that_is_on_stops_and_its_placer_counts_them():
    found = marked(marker(3, by="I2", taken=""), marker(1, taken="", seen=""), marker(2), walks=(walk(),))
    assert (found.verdict, found.why, found.value, found.limit) == (Verdict.STOP, "on", 2, 0)
    assert found.params == {"count": 2, "numbers": ("1", "3"), "placers": ("I1", "I2")}
    assert found.cures == (Cure("inspection.count_markers", "I1, I2", {"count": 2}),)


def test_a_marker_is_on_from_when_it_was_placed_and_off_from_when_two_saw_it():
    on = marker(taken="", seen="", placed_at=ASKED)
    assert marked(on, walks=(walk(),)).verdict is Verdict.STOP
    assert marked(on, walks=(walk(),), asked_at=ASKED - MIN).verdict is Verdict.GO
    late = marker(when=ASKED)
    assert marked(late, walks=(walk(),)).why == "no_inspection"
    assert marked(late, walks=(walk(),), asked_at=ASKED - MIN).why == "on"


@pytest.mark.parametrize(
    ("made", "why"),
    [
        ({}, "go"),
        ({"began_at": at(6, 40)}, "go"),
        ({"began_at": at(6, 39)}, "no_inspection"),
        ({"kind": "short"}, "no_inspection"),
        ({"complete": False}, "no_inspection"),
        ({"ended_at": None}, "no_inspection"),
        ({"ended_at": ASKED}, "go"),
        ({"ended_at": ASKED + MIN}, "no_inspection"),
    ],
)
def test_after_the_last_marker_a_full_real_walk_is_made(made, why):
    found = marked(marker(1, when=at(6, 20)), marker(2), walks=(walk(**made),))
    if why == "go":
        assert (found.verdict, found.why, found.params) == (Verdict.GO, "go", {"count": 2})
        return
    assert (found.verdict, found.why, found.lacking) == (Verdict.UNKNOWN, why, ("walk:full",))
    assert found.cures == (Cure("inspection.walk_round", "I1", {"walk": "full"}),)
    assert found.params == {"last_at": at(6, 40)}


def test_without_markers_there_is_nothing_to_count():
    assert (marked().verdict, marked().why) == (Verdict.GO, "go")


# --- what must be put back --------------------------------------------------------------------------------------------


def put_back(*walks, items=("cap", "tie"), touches=(), asked_at=ASKED, depart_at=DEPART, commander="I1", rules=RULES):
    return leftovers.restore.judge(walks, touches, items, rules, asked_at, depart_at, commander)


def with_back(*done, **given):
    return walk(restored=done, **given)


BOTH = (("cap", at(7, 49)), ("tie", at(7, 49)))


@pytest.mark.parametrize(
    ("walks", "touches", "left"),
    [
        ((with_back(*BOTH),), (), ()),
        ((with_back(BOTH[0]),), (), ("tie",)),
        ((), (), ("cap", "tie")),
        ((with_back(*BOTH),), (Touch("brake set", at(7, 49), ""),), ()),
        ((with_back(*BOTH),), (Touch("brake set", at(7, 50), ""),), ("cap", "tie")),
        ((with_back(*BOTH),), (Touch("refueled", at(7, 50), ""),), ()),
        ((with_back(*BOTH),), (Touch("brake set", ASKED + MIN, ""),), ()),
        ((with_back(*BOTH),), (Touch("brake set", ASKED, ""),), ("cap", "tie")),
        ((with_back(("cap", ASKED), ("tie", ASKED + MIN)),), (), ("tie",)),
        ((with_back(*BOTH), walk("w2", began_at=at(7, 55), ended_at=None)), (), ("cap", "tie")),
        ((with_back(*BOTH), walk("w2", began_at=ASKED + MIN, ended_at=None)), (), ()),
        ((with_back(("cap", at(7, 20)), ("tie", at(7, 19))),), (), ("tie",)),
        (
            (with_back(*BOTH, interruptions=(Interruption("brake set", at(7, 40), at(7, 50), "z", "walk"),)),),
            (),
            ("cap", "tie"),
        ),
        ((with_back(*BOTH, interruptions=(Interruption("away", at(7, 40), at(7, 50), "z", "walk"),)),), (), ()),
    ],
)
def test_what_is_not_put_back_since_the_last_thing_that_undoes_it_is_named(walks, touches, left):
    found = put_back(*walks, touches=touches)
    assert found.params == {"items": left, "count": len(left), "of": 2}
    if not left:
        assert (found.verdict, found.why) == (Verdict.GO, "go")
        return
    assert (found.verdict, found.why) == (Verdict.UNKNOWN, "left")
    assert found.lacking == tuple(f"restored:{item}" for item in left)
    assert [(cure.id, cure.who) for cure in found.cures] == [("inspection.put_back", "I1")]


@pytest.mark.parametrize(("minutes", "verdict"), [(30, Verdict.GO_IF), (29, Verdict.UNKNOWN)])
def test_what_can_still_be_put_back_before_the_start_is_a_condition(minutes, verdict):
    rules = WalkRules((EACH, DAILY))
    found = put_back(walk(), rules=rules, depart_at=ASKED + minutes * MIN)
    assert found.verdict is verdict
    if verdict is Verdict.GO_IF:
        assert found.conditions == (Condition("inspection.restore_first", "I1", ASKED + minutes * MIN, {"count": 2}),)
    assert put_back(walk(), rules=WalkRules(()), depart_at=at(20)).verdict is Verdict.UNKNOWN
