"""Defects, deferrals, events and work: each verdict beside its reason, each condition beside its edge."""

from __future__ import annotations

import pytest

from gyrewright.finding import Verdict


def defect(acts="", at="2027-06-10T10:00:00-07:00"):
    return f'[[defect]]\nid = "D1"\nitem = "landing lamp"\nwords = "dead"\nat = {at}\nby = "S1"\n{acts}'


def act(kind, by="M2", at="2027-06-11T10:00:00-07:00", **more):
    lines = ["[[defect.act]]", f'kind = "{kind}"', f'by = "{by}"', f"at = {at}"]
    return "\n".join(lines + [f"{key} = {value}" for key, value in more.items()]) + "\n"


def limiting(restriction):
    return act("assessed", **{"class": '"L"', "restriction": restriction})


def deferred(**more):
    given = {
        "until": "2027-06-20",
        "required": "{ equipment_list = false, this_flight = false, directive = false }",
        "made_safe": '"deactivated"',
        "placard": '"LAMP INOPERATIVE"',
    }
    return act("deferred", **{key: value for key, value in (given | more).items() if value})


def with_(books, *texts, gone="defect"):
    return books["records"].replace(f"{gone} = []\n", "") + "".join(texts)


def told(found):
    return [(one.id, one.owner, dict(one.params)) for one in found.conditions]


# --- what an assessment restricts -------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("restriction", "conditions"),
    [
        ('{ not_for = ["test", "rental"] }', [("maintenance.not_for", "commander", {"purposes": ("rental", "test")})]),
        ("{ aboard_at_most = 2 }", [("maintenance.aboard_at_most", "commander", {"aboard": 2})]),
        ('{ also = "no radio airspace" }', [("maintenance.keep", "commander", {"words": "no radio airspace"})]),
    ],
)
def test_every_part_of_a_restriction_is_a_condition_of_the_commander_until_landing(
    asked, books, local, restriction, conditions
):
    found = asked(records=with_(books, defect(limiting(restriction)))).one("maintenance.defect")
    assert (found.verdict, found.why, told(found)) == (Verdict.GO_IF, "restricted", conditions)
    assert {one.until for one in found.conditions} == {local("2027-06-12T09:00")}
    assert found.params["assessor"] == "M2"
    assert found.params["class"] == "L"


def test_a_restrictions_own_limit_is_a_condition_too(asked, books):
    limit = '[[defect.act.restriction.limit]]\nof = "wind"\nat_most = "10 kt"\ncounts = "gust"\n'
    found = asked(records=with_(books, defect(act("assessed", **{"class": '"L"'}) + limit))).one("maintenance.defect")
    assert found.verdict is Verdict.GO_IF
    assert told(found) == [("maintenance.keep_limit", "commander", {"of": "wind", "typed": "10 kt"})]


def test_a_restriction_by_day_alone_leaves_its_condition_to_the_daylight(asked, books, local):
    answer = asked(records=with_(books, defect(limiting("{ day_only = true }"))))
    found, day = answer.one("maintenance.defect"), answer.one("maintenance.day_only")
    assert (found.verdict, found.why, found.conditions) == (Verdict.GO, "restricted", ())
    assert (day.verdict, day.why, day.value, day.limit) == (
        Verdict.GO_IF,
        "go_if",
        local("2027-06-12T09:00"),
        local("2027-06-12T20:44"),
    )
    (condition,) = day.conditions
    assert (condition.id, condition.owner, condition.until) == (
        "maintenance.down_by_sunset",
        "commander",
        local("2027-06-12T20:44"),
    )


@pytest.mark.parametrize(
    ("depart", "block_h", "why", "value"),
    [
        ("05:19", 1.0, "start", "05:19"),
        ("20:45", 0.1, "start", "20:45"),
        ("19:45", 1.0, "end", "20:45"),
        ("21:00", None, "start", "21:00"),
    ],
)
def test_a_flight_that_leaves_the_day_stops_and_may_be_flown_by_day(asked, books, local, depart, block_h, why, value):
    found = asked(
        records=with_(books, defect(limiting("{ day_only = true }"))),
        asked_at=local("2027-06-12T05:00"),
        depart_at=local(f"2027-06-12T{depart}"),
        block_h=block_h,
    ).one("maintenance.day_only")
    assert (found.verdict, found.why, found.conditions) == (Verdict.STOP, why, ())
    assert (found.value, found.limit) == (local(f"2027-06-12T{value}"), local("2027-06-12T20:44"))
    assert [cure.id for cure in found.cures] == ["maintenance.fly_by_day", "maintenance.close_defect"]


def test_daylight_is_no_question_where_nothing_is_carried_by_day_only(asked, books):
    for acts in ("", act("closed"), limiting("{ aboard_at_most = 2 }"), act("assessed", **{"class": '"N"'})):
        assert asked(records=with_(books, defect(acts))).of("maintenance.day_only") == []


# --- deferrals --------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("restriction", "why"),
    [("{ aboard_at_most = 1 }", "broken_aboard"), ('{ not_for = ["instruction"] }', "broken_purpose")],
)
def test_a_flight_that_breaks_what_a_deferral_restricts_stops(asked, books, restriction, why):
    found = asked(records=with_(books, defect(deferred(restriction=restriction)))).one("maintenance.defect")
    assert (found.verdict, found.why) == (Verdict.STOP, why)
    assert [cure.id for cure in found.cures] == ["maintenance.close_defect", "maintenance.defer_again"]


def test_what_a_deferral_restricts_and_what_must_be_looked_at_again_are_conditions(asked, books):
    acts = deferred(restriction="{ aboard_at_most = 2 }", look_again='"the plug is out"')
    found = asked(records=with_(books, defect(acts))).one("maintenance.defect")
    assert (found.verdict, found.why) == (Verdict.GO_IF, "deferred")
    assert told(found) == [
        ("maintenance.aboard_at_most", "commander", {"aboard": 2}),
        ("maintenance.look_again", "commander", {"what": "the plug is out"}),
    ]
    assert found.params["deferrer"] == "M2"


def test_a_deferral_that_restricts_nothing_is_for_the_commander_to_judge(asked, books):
    found = asked(records=with_(books, defect(deferred()))).one("maintenance.defect")
    assert (found.verdict, found.why, found.params["judge"]) == (Verdict.JUDGE, "judge_deferral", "commander")


def test_a_deferral_by_day_only_passes_with_the_condition_of_daylight(asked, books):
    answer = asked(records=with_(books, defect(deferred(restriction="{ day_only = true }"))))
    assert (answer.one("maintenance.defect").verdict, answer.one("maintenance.defect").why) == (Verdict.GO, "deferred")
    assert answer.one("maintenance.day_only").verdict is Verdict.GO_IF


def test_a_deferral_ends_on_its_last_day_counted_where_the_flight_starts(asked, books, local):
    records = with_(books, defect(deferred(until="2027-06-12", look_again='"the plug is out"')))
    for depart, block_h, why in (("22:00", 1.9, "deferred"), ("22:00", 2.1, "expired"), ("22:00", None, "deferred")):
        given = {"depart_at": local(f"2027-06-12T{depart}"), "block_h": block_h}
        assert asked(records=records, **given).one("maintenance.defect").why == why
    late = asked(records=records, depart_at=local("2027-06-13T08:00"), asked_at=local("2027-06-12T07:50"))
    assert (late.one("maintenance.defect").verdict, late.one("maintenance.defect").why) == (Verdict.STOP, "expired")


def test_a_deferral_to_an_hour_ends_at_the_hour_and_with_an_open_end_counts_from_the_start(asked, books, local):
    records = with_(books, defect(deferred(until="2027-06-12T09:00:00-07:00", look_again='"the plug is out"')))
    for depart, block_h, why in (
        ("08:00", 1.0, "deferred"),
        ("08:00", 1.01, "expired"),
        ("09:00", None, "deferred"),
        ("09:01", None, "expired"),
    ):
        given = {"depart_at": local(f"2027-06-12T{depart}"), "block_h": block_h}
        assert asked(records=records, **given).one("maintenance.defect").why == why


def test_a_flight_that_lands_before_it_starts_leaves_a_deferral_unknown(asked, books, local):
    records = with_(books, defect(deferred(look_again='"the plug is out"')))
    found = asked(records=records, land_at=local("2027-06-12T07:59")).one("maintenance.defect")
    assert (found.verdict, found.why, found.lacking) == (Verdict.UNKNOWN, "times", ("land_at",))


@pytest.mark.parametrize(
    ("gone", "lacking"),
    [("made_safe", ("deferral_made_safe",)), ("placard", ("deferral_placard",))],
)
def test_a_deferral_names_each_step_that_is_not_written(asked, books, gone, lacking):
    found = asked(records=with_(books, defect(deferred(**{gone: ""})))).one("maintenance.defect")
    assert (found.verdict, found.why, found.lacking) == (Verdict.UNKNOWN, "unfinished", lacking)
    neither = asked(records=with_(books, defect(deferred(required="{ directive = false }", **{gone: ""}))))
    assert set(neither.one("maintenance.defect").lacking) == {
        "deferral_equipment_list",
        "deferral_this_flight",
        *lacking,
    }


@pytest.mark.parametrize("question", ["equipment_list", "this_flight", "directive"])
def test_what_any_rule_requires_is_never_deferred(asked, books, question):
    answers = ", ".join(
        f"{one} = {'true' if one == question else 'false'}" for one in ("equipment_list", "this_flight", "directive")
    )
    found = asked(records=with_(books, defect(deferred(required=f"{{ {answers} }}")))).one("maintenance.defect")
    assert (found.verdict, found.why, found.params["by_what"]) == (Verdict.STOP, "required", question)


# --- several defects, and reports that come back ----------------------------------------------------------------------


def reports(*days, item="rotor brake", acts=()):
    out = []
    for number, day in enumerate(days):
        closed = acts[number] if number < len(acts) else ""
        lines = [
            f'id = "R{number}"',
            f'item = "{item}"',
            'symptom = "squeals"',
            f"at = {day}T10:00:00-07:00",
            'by = "S1"',
        ]
        out.append("[[defect]]\n" + "\n".join(lines) + "\n" + closed)
    return "".join(out)


def test_one_defect_that_is_not_known_yet_hides_no_other(asked, books):
    later, known = defect(at="2027-06-12T07:51:00-07:00"), defect().replace("D1", "D2")
    answer = asked(records=with_(books, later, known))
    assert [(one.about, one.verdict) for one in answer.of("maintenance.defect")] == [("D2", Verdict.STOP)]


def test_a_symptom_reported_too_often_stops_although_each_report_was_closed(asked, books):
    closings = [act("closed", at=f"2027-{day}T12:00:00-07:00") for day in ("05-01", "05-20", "06-11")]
    answer = asked(records=with_(books, reports("2027-05-01", "2027-05-20", "2027-06-11", acts=closings)))
    found = answer.one("maintenance.repeated")
    assert (found.verdict, found.why, found.value, found.limit) == (Verdict.STOP, "stop", 3, 3)
    assert found.params["closers"] == ("M2",)
    assert (found.params["times"], found.params["days"]) == (3, 60)
    assert [cure.id for cure in found.cures] == ["maintenance.look_into"]


def test_a_house_without_a_rule_on_repeats_is_not_asked_about_them(asked, books):
    closings = [act("closed", at=f"2027-{day}T12:00:00-07:00") for day in ("05-01", "05-20", "06-11")]
    records = with_(books, reports("2027-05-01", "2027-05-20", "2027-06-11", acts=closings))
    house = "".join(line for line in books["house"].splitlines(keepends=True) if not line.startswith("repeat_"))
    assert asked(records=records, house=house).of("maintenance.repeated") == []


# --- events -----------------------------------------------------------------------------------------------------------

EVENT = """
[[event]]
id = "{id}"
kind = "hard landing"
at = {at}
by = "N1"
words = "a bit firm"
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


def event(id="E1", at="2027-05-02T16:40:00-07:00"):
    return EVENT.format(id=id, at=at)


def cleared(by="M2", inspection="hard landing inspection", at="2027-06-11T09:00:00-07:00"):
    return CLEARED.format(by=by, inspection=inspection, at=at)


def test_an_event_locks_from_the_minute_it_is_known_and_hides_no_other(asked, books):
    program = books["program"] + AFTER
    later = event(at="2027-06-12T07:50:01-07:00")
    assert asked(program, with_(books, later, gone="event")).one("maintenance.event").why == "none"
    now = asked(program, with_(books, event(at="2027-06-12T07:50:00-07:00"), gone="event")).one("maintenance.event")
    assert (now.verdict, now.why, now.about) == (Verdict.STOP, "locked", "E1")
    both = asked(program, with_(books, later, event("E2"), gone="event")).of("maintenance.event")
    assert [(one.about, one.verdict) for one in both] == [("E2", Verdict.STOP)]


def test_a_clearing_that_does_not_count_is_named_and_one_still_to_come_is_not(asked, books):
    program = books["program"] + AFTER
    found = asked(program, with_(books, event() + cleared(by="I1"), gone="event")).one("maintenance.event")
    assert (found.verdict, found.why) == (Verdict.STOP, "not_cleared")
    assert (found.params["signer"], found.params["done"]) == ("I1", "hard landing inspection")
    assert [cure.params["inspection"] for cure in found.cures] == ["hard landing inspection"]
    later = cleared(by="I1", at="2027-06-12T07:51:00-07:00")
    assert asked(program, with_(books, event() + later, gone="event")).one("maintenance.event").why == "locked"


def test_alone_too_soon_names_the_hour_from_which_a_student_may_fly(asked, books, local):
    records = with_(books, event() + cleared(), gone="event")
    given = {"purpose": "student alone", "aboard_count": 1, "depart_at": local("2027-06-12T08:59")}
    found = asked(books["program"] + AFTER, records, **given).one("maintenance.event")
    free = local("2027-06-12T09:00")
    assert (found.verdict, found.why, found.value, found.limit) == (
        Verdict.STOP,
        "alone_too_soon",
        local("2027-06-12T08:59"),
        free,
    )
    assert (found.params["free_at"], found.params["wait_h"]) == (free, 24.0)
    house = books["house"].replace('alone_after_event = "24 h"\n', "")
    assert asked(books["program"] + AFTER, records, house, **given).one("maintenance.event").verdict is Verdict.GO


# --- work -------------------------------------------------------------------------------------------------------------

SIGNED = '{ by = "M2", at = 2027-06-11T12:00:00-07:00 }'
LOOKED = '{ by = "I1", at = 2027-06-11T13:00:00-07:00 }'


def work(id="W1", at="2027-06-11T10:00:00-07:00", areas="rotor", **more):
    given = {"signed": SIGNED, "second_look": LOOKED, "changes_handling": "false"} | more
    lines = [
        "[[work]]",
        f'id = "{id}"',
        'what = "blades balanced"',
        f'areas = ["{areas}"]',
        f"at = {at}",
        'by = ["M1"]',
    ]
    return "\n".join(lines + [f"{key} = {value}" for key, value in given.items() if value]) + "\n"


def of_work(asked, books, *texts, **given):
    return [
        (one.about, one.verdict, one.why)
        for one in asked(records=with_(books, *texts, gone="work"), **given).of("maintenance.work")
    ]


@pytest.mark.parametrize(
    ("more", "expected"),
    [
        ({}, [("", Verdict.GO, "none")]),
        ({"signed": ""}, [("W1", Verdict.STOP, "unsigned")]),
        ({"signed": '{ by = "S1", at = 2027-06-11T12:00:00-07:00 }'}, [("W1", Verdict.STOP, "signer")]),
        ({"signed": '{ by = "M2", at = 2027-06-12T07:51:00-07:00 }'}, [("W1", Verdict.STOP, "signer")]),
        ({"signed": '{ by = "M2", at = 2027-06-12T07:50:00-07:00 }'}, [("", Verdict.GO, "none")]),
        ({"second_look": ""}, [("W1", Verdict.STOP, "second_look")]),
        ({"second_look": '{ by = "M1", at = 2027-06-11T13:00:00-07:00 }'}, [("W1", Verdict.STOP, "same_eyes")]),
        ({"second_look": '{ by = "M2", at = 2027-06-11T13:00:00-07:00 }'}, [("W1", Verdict.STOP, "same_eyes")]),
        ({"second_look": "", "areas": "radio"}, [("", Verdict.GO, "none")]),
        ({"changes_handling": ""}, [("W1", Verdict.UNKNOWN, "handling")]),
        ({"changes_handling": "true"}, [("W1", Verdict.STOP, "check_flight")]),
        (
            {"signed": "", "second_look": "", "changes_handling": ""},
            [
                ("W1", Verdict.STOP, "unsigned"),
                ("W1", Verdict.STOP, "second_look"),
                ("W1", Verdict.UNKNOWN, "handling"),
            ],
        ),
    ],
)
def test_every_piece_of_work_is_signed_looked_at_and_flown(asked, books, more, expected):
    assert of_work(asked, books, work(**more)) == expected


def flown(by="I1", result="good", at="2027-06-11T14:00:00-07:00"):
    return work(changes_handling="true", check_flight=f'{{ by = "{by}", at = {at}, result = "{result}" }}')


CHECKED = {"purpose": "check flight", "aboard_count": 1, "commander": "I1"}


@pytest.mark.parametrize(
    ("text", "given", "verdict", "why"),
    [
        (flown(), {}, Verdict.GO, "none"),
        (flown(by="S1"), {}, Verdict.STOP, "check_flight"),
        (flown(at="2027-06-12T07:51:00-07:00"), {}, Verdict.STOP, "check_flight"),
        (flown(result="bad"), {}, Verdict.STOP, "check_flight_bad"),
        (flown(result="bad"), CHECKED, Verdict.STOP, "check_flight_bad"),
        (flown(result="bad", at="2027-06-12T07:50:00-07:00"), CHECKED, Verdict.STOP, "check_flight_bad"),
        (flown(result="bad", at="2027-06-12T07:51:00-07:00"), CHECKED, Verdict.GO_IF, "check_flight_now"),
        (work(changes_handling="true"), CHECKED, Verdict.GO_IF, "check_flight_now"),
        (work(changes_handling="true"), CHECKED | {"aboard_count": 2}, Verdict.STOP, "check_flight"),
        (work(changes_handling="true"), CHECKED | {"commander": "S1"}, Verdict.STOP, "check_flight"),
        (work(changes_handling="true"), CHECKED | {"purpose": "private"}, Verdict.STOP, "check_flight"),
    ],
)
def test_what_may_fly_otherwise_is_flown_first_by_somebody_entitled_alone(asked, books, text, given, verdict, why):
    ((_, *found),) = of_work(asked, books, text, **given)
    assert found == [verdict, why]


def test_work_that_is_not_done_yet_hides_no_other(asked, books):
    later = work(at="2027-06-12T07:50:01-07:00", signed="")
    assert of_work(asked, books, later) == [("", Verdict.GO, "none")]
    now = work(at="2027-06-12T07:50:00-07:00", signed="")
    assert of_work(asked, books, now) == [("W1", Verdict.STOP, "unsigned"), ("W1", Verdict.STOP, "same_eyes")]
    assert of_work(asked, books, later, work("W2", signed="")) == [("W2", Verdict.STOP, "unsigned")]


# --- what cures it, and what stands behind another --------------------------------------------------------------------


@pytest.mark.parametrize(
    ("acts", "cures"),
    [
        ("", [("maintenance.assess_defect", "M1, M2"), ("maintenance.close_defect", "M1, M2")]),
        (act("assessed", **{"class": '"G"'}), [("maintenance.close_defect", "M1, M2")]),
        (act("assessed", **{"class": '"L"'}), [("maintenance.close_defect", "M1, M2")]),
        (act("assessed", **{"class": '"N"'}), []),
        (limiting("{ aboard_at_most = 1 }"), [("maintenance.close_defect", "M1, M2")]),
        (limiting("{ aboard_at_most = 2 }"), []),
        (
            deferred(until="2027-06-11"),
            [("maintenance.close_defect", "M1, M2"), ("maintenance.defer_again", "M1, M2")],
        ),
        (
            deferred(required="{ equipment_list = true, this_flight = false, directive = false }"),
            [("maintenance.close_defect", "M1, M2"), ("maintenance.defer_again", "M1, M2")],
        ),
        (deferred(), [("maintenance.close_defect", "M1, M2"), ("maintenance.defer_again", "M1, M2")]),
        (
            deferred(placard=""),
            [("maintenance.close_defect", "M1, M2"), ("maintenance.defer_again", "M1, M2")],
        ),
    ],
)
def test_every_defect_says_who_may_cure_it(asked, books, acts, cures):
    found = asked(records=with_(books, defect(acts))).one("maintenance.defect")
    assert [(cure.id, cure.who) for cure in found.cures] == cures
    assert {cure.params["item"] for cure in found.cures} <= {"landing lamp"}


@pytest.mark.parametrize(
    ("text", "cure", "who", "params"),
    [
        (work(signed="", areas="radio"), "maintenance.sign_work", "M1, M2", {"signer": ""}),
        (
            work(signed='{ by = "S1", at = 2027-06-11T12:00:00-07:00 }'),
            "maintenance.sign_work",
            "M1, M2",
            {"signer": "S1"},
        ),
        (work(second_look=""), "maintenance.look_second", "I1, M1, M2", {"looker": ""}),
        (work(changes_handling="true"), "maintenance.fly_check", "I1", {}),
        (flown(result="bad"), "maintenance.sign_work", "M1, M2", {}),
    ],
)
def test_every_piece_of_work_says_who_may_cure_it(asked, books, text, cure, who, params):
    found = asked(records=with_(books, text, gone="work")).one("maintenance.work")
    assert [(one.id, one.who, one.params) for one in found.cures] == [(cure, who, {"what": "blades balanced"})]
    assert {name: found.params[name] for name in params} == params


def test_nobody_flies_a_check_flight_where_nobody_may(asked, books):
    entitled = {act: people for act, people in ENTITLED.items() if act != "fly a check flight"}
    ((_, *found),) = of_work(asked, books, work(changes_handling="true"), **CHECKED, entitled=entitled)
    assert found == [Verdict.STOP, "check_flight"]


ENTITLED = {
    "assess a defect": frozenset({"M1", "M2"}),
    "close a defect": frozenset({"M1", "M2"}),
    "defer a defect": frozenset({"M1", "M2"}),
    "sign work": frozenset({"M1", "M2"}),
    "second look": frozenset({"I1", "M1", "M2"}),
    "fly a check flight": frozenset({"I1"}),
}


def test_a_defect_by_day_only_binds_behind_others_that_are_open_closed_or_without_a_limit(asked, books, local):
    others = [
        defect().replace("D1", "D0"),
        defect(limiting("{ day_only = true }") + act("closed", at="2027-06-11T11:00:00-07:00")).replace("D1", "D2"),
        defect(limiting("{ aboard_at_most = 2 }")).replace("D1", "D3"),
    ]
    answer = asked(
        records=with_(books, *others, defect(limiting("{ day_only = true }"))), depart_at=local("2027-06-12T20:45")
    )
    found = answer.of("maintenance.day_only")
    assert [(one.about, one.verdict, one.why) for one in found] == [("D1", Verdict.STOP, "start")]


@pytest.mark.parametrize(
    ("day", "verdicts"), [("2027-06-11", []), ("2027-06-12", [Verdict.STOP]), ("2027-06-13", [Verdict.STOP])]
)
def test_a_deferral_until_sunset_ends_with_the_day_on_its_last_day(asked, books, local, day, verdicts):
    acts = deferred(until="2027-06-12", until_sunset="true")
    answer = asked(
        records=with_(books, defect(acts, at="2027-06-01T10:00:00-07:00").replace("2027-06-11T", "2027-06-02T")),
        asked_at=local("2027-06-11T05:00"),
        depart_at=local(f"{day}T20:30"),
        sunrise_at=local(f"{day}T05:20"),
        sunset_at=local(f"{day}T20:44"),
    )
    assert [one.verdict for one in answer.of("maintenance.day_only")] == verdicts
