"""How a comparison becomes a finding: sides and edges of limits, layers that are silent, unverified or only shown."""

from __future__ import annotations

import math
from datetime import UTC, datetime, timedelta

import numpy as np
import pytest

from gyrewright.air.course import Piece, course, minutes
from gyrewright.check import Aging, Comparison, check, compare
from gyrewright.fact import Doubt, Fact
from gyrewright.finding import BindsNext, Condition, Cure, Finding, Limit, Sense, Source, Verdict, Whose
from gyrewright.release import judge
from gyrewright.sheet import Plan, Sheet, recipe

DEPART = datetime(2027, 7, 14, 14, 0, tzinfo=UTC)
MASS = compare("loading.mass", "take-off mass", "mass_kg", "mass")
PAGE = Source("manual", "a manual", "2-3")


def limit(value, *, sense=Sense.AT_MOST, whose=Whose.MAKER, verified_by="I2", **more):
    return Limit("take-off mass", whose, sense, value, verified_by=verified_by, source=PAGE, **more)


def sheet(limits, *, recipes=(), doubtful=(), name="limits:take-off mass", **facts):
    known = {name: Fact(name, tuple(limits)), **{each: Fact(each, value) for each, value in facts.items()}}
    return Sheet({**known, **{each: Fact(each, doubt=Doubt.MISSING) for each in doubtful}}, Plan(recipes))


def found(*limits, comparison=MASS, **facts):
    return judge.judge(comparison, sheet(limits, **{"mass_kg": 400.0, **facts}))


# --- sides and edges --------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("sense", "below", "equal", "above"),
    [
        (Sense.AT_MOST, True, True, False),
        (Sense.AT_LEAST, False, True, True),
        (Sense.BELOW, True, False, False),
        (Sense.ABOVE, False, False, True),
    ],
)
def test_equality_passes_unless_the_text_says_below_or_above(sense, below, equal, above):
    one = limit(450.0, sense=sense)
    assert [judge.passes(one, value) for value in (449.9, 450.0, 450.1)] == [below, equal, above]
    assert judge.passes(one, np.array([449.9, 450.0, 450.1])).tolist() == [below, equal, above]


@pytest.mark.parametrize(("sense", "margin"), [(Sense.AT_MOST, 50.0), (Sense.BELOW, 50.0), (Sense.AT_LEAST, -50.0)])
def test_a_margin_counts_inwards_from_the_limit(sense, margin):
    assert judge.margin(limit(450.0, sense=sense), 400.0) == pytest.approx(margin)


def test_a_lower_limit_meets_the_lowest_value_and_an_upper_one_the_highest():
    both = compare("weather.temperature", "air temperature", "hottest", "temperature", lower="coldest", mean="mean")
    assert judge.compared(both, limit(1.0)) == "hottest"
    assert judge.compared(both, limit(1.0, sense=Sense.BELOW)) == "hottest"
    assert judge.compared(both, limit(1.0, sense=Sense.AT_LEAST)) == "coldest"
    assert judge.compared(both, limit(1.0, sense=Sense.ABOVE)) == "coldest"


def test_a_limit_on_the_mean_wind_meets_the_mean_and_one_on_gusts_the_gust():
    wind = compare("wind.total", "wind", "wind_m_s", "speed", mean="mean_wind_m_s")
    assert judge.compared(wind, limit(8.0, counts="mean")) == "mean_wind_m_s"
    assert judge.compared(wind, limit(8.0, counts="gust")) == "wind_m_s"
    assert judge.compared(wind, limit(8.0)) == "wind_m_s"
    assert judge.compared(MASS, limit(8.0, counts="mean")) == "mass_kg"


# --- one limit --------------------------------------------------------------------------------------------------------


def test_a_broken_limit_stops_and_a_kept_one_has_nothing_against_it():
    kept, broken = found(limit(450.0)), found(limit(450.0), mass_kg=450.1)
    assert (kept.verdict, kept.why, kept.value, kept.limit) == (Verdict.GO, "go", 400.0, 450.0)
    assert kept.margin == pytest.approx(50.0)
    assert (broken.verdict, broken.why, broken.value, broken.limit) == (Verdict.STOP, "stop", 450.1, 450.0)
    assert broken.margin == pytest.approx(-0.1)
    for each in (kept, broken):
        assert (each.id, each.dimension, each.source, each.working) == ("loading.mass", "mass", PAGE, "mass_kg")
        assert (each.inputs, each.params, each.cures) == (("mass_kg",), {"side": "upper"}, ())
        assert [(layer.binds, layer.value) for layer in each.layers] == [(True, each.value)]
        assert [layer.passes for layer in each.layers] == [each is kept]
    assert found(limit(300.0, sense=Sense.AT_LEAST)).params == {"side": "lower"}


def test_a_limit_that_nobody_checked_against_its_page_is_for_a_person_to_judge_unless_it_is_broken():
    assert (found(limit(450.0, verified_by="")).verdict, found(limit(450.0, verified_by="")).why) == (
        Verdict.JUDGE,
        "unverified",
    )
    assert found(limit(390.0, verified_by="")).verdict is Verdict.STOP
    both = found(limit(450.0), limit(440.0, whose=Whose.HOUSE, verified_by=""))
    assert both.verdict is Verdict.JUDGE
    assert found(limit(450.0), limit(440.0, whose=Whose.HOUSE)).verdict is Verdict.GO


def test_a_quantity_that_nobody_limits_and_nobody_must_limit_is_no_question():
    assert found() is None


def test_a_layer_that_must_speak_and_does_not_leaves_the_question_unknown():
    needed = compare("loading.mass", "take-off mass", "mass_kg", "mass", needed=(Whose.MAKER,), about="G1")
    one = found(limit(450.0, whose=Whose.HOUSE), comparison=needed)
    assert (one.verdict, one.why, one.lacking) == (Verdict.UNKNOWN, "unknown", ("limit:maker:take-off mass:G1",))
    assert (one.about, one.margin, one.limit) == ("G1", None, None)
    assert found(comparison=needed).verdict is Verdict.UNKNOWN
    assert found(limit(450.0), comparison=needed).verdict is Verdict.GO
    plain = compare("loading.mass", "take-off mass", "mass_kg", "mass", needed=(Whose.LAW, Whose.MAKER))
    assert found(comparison=plain).lacking == ("limit:law:take-off mass", "limit:maker:take-off mass")


def test_a_layer_that_says_it_gives_no_figure_has_spoken():
    needed = compare("loading.mass", "take-off mass", "mass_kg", "mass", needed=(Whose.MAKER,))
    one = found(limit(None), comparison=needed)
    assert (one.verdict, one.why, one.limit, one.margin) == (Verdict.GO, "no figure", None, None)
    assert (one.value, one.source, one.binds_next) == (400.0, PAGE, None)
    assert [(layer.margin, layer.value, layer.passes, layer.binds) for layer in one.layers] == [
        (None, None, True, False)
    ]
    assert found(limit(None), limit(390.0, whose=Whose.HOUSE), comparison=needed).verdict is Verdict.STOP


def test_limits_that_are_not_known_leave_the_question_unknown():
    one = judge.judge(MASS, sheet((), doubtful=("limits:take-off mass",), mass_kg=400.0))
    assert (one.verdict, one.lacking) == (Verdict.UNKNOWN, ("limits:take-off mass",))


def test_a_value_that_is_not_known_leaves_the_question_unknown_and_is_named_once():
    one = judge.judge(MASS, sheet((limit(450.0), limit(440.0, whose=Whose.HOUSE)), doubtful=("mass_kg",)))
    assert (one.verdict, one.why, one.lacking) == (Verdict.UNKNOWN, "unknown", ("mass_kg",))
    assert [(layer.passes, layer.margin, layer.binds) for layer in one.layers] == [(False, None, False)] * 2


def test_a_broken_limit_stops_even_where_another_value_is_not_known():
    wind = compare("wind.total", "take-off mass", "wind_m_s", "speed", mean="mean_wind_m_s")
    limits = (limit(8.0), limit(6.0, whose=Whose.HOUSE, counts="mean"))
    one = judge.judge(wind, sheet(limits, doubtful=("mean_wind_m_s",), wind_m_s=9.0))
    assert (one.verdict, one.limit) == (Verdict.STOP, 8.0)
    one = judge.judge(wind, sheet(limits, doubtful=("mean_wind_m_s",), wind_m_s=7.0))
    assert (one.verdict, one.lacking) == (Verdict.UNKNOWN, ("mean_wind_m_s",))


def test_what_grows_too_old_is_to_be_fetched_and_not_a_limit_broken():
    age = compare("loading.weighing", "take-off mass", "mass_kg", "days", about="ann", beyond=Verdict.UNKNOWN)
    kept, stale = found(limit(450.0), comparison=age), found(limit(390.0, verified_by=""), comparison=age)
    assert (kept.verdict, kept.why, kept.lacking) == (Verdict.GO, "go", ())
    assert (stale.verdict, stale.why, stale.lacking) == (Verdict.UNKNOWN, "stale", ("fresh:loading.weighing",))
    assert (stale.id, stale.about, stale.value, stale.limit, stale.margin) == ("loading.weighing", "ann", 400, 390, -10)
    assert [(layer.value, layer.passes, layer.binds) for layer in stale.layers] == [(400.0, False, True)]


# --- several ----------------------------------------------------------------------------------------------------------


def test_the_strictest_layer_binds_and_layers_stand_in_their_order():
    one = found(limit(430.0, whose=Whose.OWN), limit(420.0, whose=Whose.HOUSE), limit(450.0))
    assert [(layer.limit.whose, layer.binds) for layer in one.layers] == [
        (Whose.MAKER, False),
        (Whose.HOUSE, True),
        (Whose.OWN, False),
    ]
    assert (one.limit, one.margin) == (420.0, pytest.approx(20.0))
    assert [layer.margin for layer in one.layers] == pytest.approx([50.0, 20.0, 30.0])


def test_a_shown_figure_never_stops_and_binds_only_where_nothing_else_is_given():
    shown = limit(390.0, demonstrated=True)
    alone = found(shown)
    assert (alone.verdict, alone.limit, alone.layers[0].passes) == (Verdict.GO, 390.0, False)
    beside = found(shown, limit(450.0, whose=Whose.HOUSE))
    assert (beside.verdict, beside.limit) == (Verdict.GO, 450.0)
    assert found(shown, limit(395.0, whose=Whose.HOUSE)).limit == 395.0
    assert found(shown, limit(395.0, whose=Whose.HOUSE)).verdict is Verdict.STOP


def test_a_broken_layer_binds_before_a_kept_one_and_the_most_broken_before_the_others():
    one = found(limit(380.0), limit(350.0, whose=Whose.HOUSE), limit(410.0, whose=Whose.OWN))
    assert (one.verdict, one.limit, one.margin) == (Verdict.STOP, 350.0, pytest.approx(-50.0))


def test_in_a_band_the_nearer_side_binds():
    band = (limit(450.0), limit(380.0, sense=Sense.AT_LEAST))
    one = found(*band)
    assert (one.limit, one.margin, one.params["side"]) == (380.0, 20.0, "lower")
    assert one.binds_next == BindsNext(share=pytest.approx(20.0 / 70.0))
    other = found(*band, mass_kg=440.0)
    assert (other.limit, other.margin, other.params["side"]) == (450.0, 10.0, "upper")


def test_a_margin_is_told_as_a_share_of_the_limit():
    assert found(limit(450.0)).binds_next == BindsNext(share=pytest.approx(50.0 / 450.0))
    assert found(limit(-10.0), mass_kg=-15.0).binds_next == BindsNext(share=pytest.approx(0.5))


def test_a_share_of_a_temperature_is_one_of_degrees_celsius():
    warm = Comparison("weather.temperature", "t", "temperature", "limits:take-off mass", "air_k", "air_k")
    one = judge.judge(warm, sheet((limit(313.15),), air_k=303.15))
    assert one.binds_next == BindsNext(share=pytest.approx(0.25))


def test_against_a_limit_of_zero_a_broken_one_binds_first_and_a_kept_one_says_no_share():
    kept = found(limit(0.0), limit(50.0, whose=Whose.HOUSE), mass_kg=-5.0)
    assert (kept.verdict, kept.limit) == (Verdict.GO, 50.0)
    broken = found(limit(0.0), limit(1.0, whose=Whose.HOUSE), mass_kg=5.0)
    assert (broken.verdict, broken.limit) == (Verdict.STOP, 0.0)
    assert broken.binds_next.share is None
    assert found(limit(0.0), mass_kg=-5.0).binds_next.share is None
    assert math.isfinite(found(limit(50.0), mass_kg=-5.0).binds_next.share)


def test_only_its_signer_may_change_the_limit_of_an_endorsement_and_only_where_it_stops():
    endorsed = limit(390.0, whose=Whose.ENDORSEMENT, entered_by="I1")
    cure = Cure("people.change_limitation", "I1", {"who": "I1", "of": "take-off mass"})
    assert found(endorsed).cures == (cure,)
    assert found(endorsed, mass_kg=380.0).cures == ()
    assert found(limit(390.0, entered_by="I1")).cures == ()


# --- when a limit is met ----------------------------------------------------------------------------------------------


def wind_over(mean_limit, gust_limit):
    start = minutes(DEPART)
    gusts = course([Piece(start, start + 60.0, 5.0, 11.0, "TAF")], "wind")
    means = course([Piece(start, start + 60.0, 3.0, 6.0, "METAR")], "wind")
    wind = compare(
        "wind.total", "take-off mass", "wind_m_s", "speed", mean="mean_m_s", course="gusts", mean_course="means"
    )
    limits = [limit(gust_limit)] if gust_limit else [limit(mean_limit, counts="mean")]
    facts = {"wind_m_s": 4.0, "mean_m_s": 3.0, "gusts": gusts, "means": means, "depart_at": DEPART}
    return judge.judge(wind, sheet(limits, **facts)).binds_next


def test_the_moment_when_a_limit_is_first_met_is_read_off_the_course():
    assert wind_over(None, 8.0) == BindsNext(pytest.approx(0.5), DEPART + timedelta(minutes=30), "TAF")
    assert wind_over(4.0, None) == BindsNext(pytest.approx(0.25), DEPART + timedelta(minutes=20), "METAR")
    assert wind_over(None, 12.0) == BindsNext(pytest.approx(8.0 / 12.0), None, "")


def test_a_lower_limit_is_met_where_the_course_falls_below_it():
    start = minutes(DEPART)
    seen = course([Piece(start, start + 60.0, 9000.0, 3000.0, "TAF")], "visibility")
    sight = compare("weather.visibility", "take-off mass", "visibility_m", "length", course="seen")
    facts = {"visibility_m": 9000.0, "seen": seen, "depart_at": DEPART}
    one = judge.judge(sight, sheet((limit(6000.0, sense=Sense.AT_LEAST),), **facts))
    assert (one.binds_next.at, one.binds_next.by) == (DEPART + timedelta(minutes=30), "TAF")


def test_without_a_course_or_a_start_no_moment_is_told():
    wind = compare("wind.total", "take-off mass", "wind_m_s", "speed", course="gusts")
    assert judge.judge(wind, sheet((limit(8.0),), wind_m_s=4.0, depart_at=DEPART)).binds_next == BindsNext(0.5)
    gusts = course([Piece(0.0, 1e9, 5.0, 11.0, "TAF")], "wind")
    assert judge.judge(wind, sheet((limit(8.0),), wind_m_s=4.0, gusts=gusts)).binds_next == BindsNext(0.5)


# --- ages of readings -------------------------------------------------------------------------------------------------

STICK = Aging("fuel.stick_age", "age of stick reading", "stick_age_h")
WHEN = {"asked_at": DEPART - timedelta(hours=3), "depart_at": DEPART, "commander": "I1"}


def aged(age_h, *limits, doubtful=(), **facts):
    facts = {"stick_age_h": age_h, **WHEN, **facts}
    known = {key: value for key, value in facts.items() if key not in doubtful}
    return judge.age(STICK, sheet(limits, doubtful=doubtful, name="limits:age of stick reading", **known))


def test_a_fresh_reading_passes_until_it_grows_too_old():
    one = aged(0.5, limit(2.0), limit(1.0, whose=Whose.HOUSE), limit(None, whose=Whose.LAW))
    assert (one.verdict, one.why, one.value, one.limit, one.margin) == (Verdict.GO, "go", 0.5, 1.0, 0.5)
    assert one.holds_until == DEPART + timedelta(minutes=30)
    assert one.params == {"taken_at": DEPART - timedelta(minutes=30), "limit_h": 1.0, "age_h": 0.5}
    assert [(layer.limit.value, layer.margin, layer.passes, layer.binds) for layer in one.layers] == [
        (2.0, 1.5, True, False),
        (1.0, 0.5, True, True),
    ]
    assert (one.id, one.dimension, one.source, one.inputs) == ("fuel.stick_age", "time", PAGE, ("stick_age_h",))
    assert (one.working, one.lacking, one.conditions, one.cures) == ("stick_age_h", (), (), ())
    assert aged(1.0, limit(1.0)).verdict is Verdict.GO


def test_a_reading_that_can_still_be_renewed_before_the_start_is_a_condition_of_the_commander():
    one = aged(3.5, limit(2.0))
    fresh_from = DEPART - timedelta(hours=2)
    renew = Condition("fuel.stick_age.renew", "I1", DEPART, {"fresh_from": fresh_from, "depart_at": DEPART})
    assert (one.verdict, one.why, one.conditions, one.holds_until) == (Verdict.GO_IF, "go_if", (renew,), None)


@pytest.mark.parametrize("before_h", [2.0, 1.0, 0.0])
def test_a_reading_that_is_too_old_where_a_fresh_one_would_count_already_is_to_be_fetched(before_h):
    one = aged(3.5, limit(2.0), asked_at=DEPART - timedelta(hours=before_h))
    assert (one.verdict, one.why, one.lacking) == (Verdict.UNKNOWN, "stale", ("fresh:fuel.stick_age",))
    assert one.cures == (Cure("fuel.stick_age.fetch", "I1", {"limit_h": 2.0}),)
    assert (one.holds_until, one.conditions) == (None, ())


@pytest.mark.parametrize("name", ["stick_age_h", "asked_at", "depart_at", "commander"])
def test_an_age_that_cannot_be_told_is_unknown(name):
    one = aged(0.5, limit(2.0), doubtful=(name,))
    assert (one.verdict, one.why, one.lacking, one.inputs) == (Verdict.UNKNOWN, "unknown", (name,), ("stick_age_h",))


def test_an_age_whose_limits_are_not_known_is_unknown_and_one_without_any_figure_no_question():
    one = judge.age(STICK, sheet((), doubtful=("limits:age of stick reading",), stick_age_h=0.5, **WHEN))
    assert (one.verdict, one.lacking) == (Verdict.UNKNOWN, ("limits:age of stick reading",))
    assert aged(0.5) is None
    assert aged(0.5, limit(None)) is None


# --- checks -----------------------------------------------------------------------------------------------------------


@check("a.question")
def _question(doubled, person):
    if person == "nobody":
        return None
    passing = Finding("a.question", Verdict.GO, value=doubled)
    return (passing, Finding("a.question", Verdict.STOP, inputs=("own",))) if person == "two" else passing


def _doubled(number):
    return 2.0 * number


def asked_of(person, **more):
    return judge.ask(_question, sheet((), recipes=[recipe(_doubled, name="doubled")], person=person, **more))


def test_a_check_is_not_asked_where_a_fact_is_missing_and_names_every_one():
    (one,) = judge.ask(_question, sheet((), recipes=[recipe(_doubled, name="doubled")]))
    assert (one.id, one.verdict, one.why) == ("a.question", Verdict.UNKNOWN, "unknown")
    assert (one.lacking, one.inputs) == (("number", "person"), ("number", "person"))
    (one,) = asked_of("one")
    assert (one.verdict, one.lacking) == (Verdict.UNKNOWN, ("number",))


def test_one_checks_answer_is_never_given_to_another_nor_to_other_inputs():
    @check("b.question")
    def other(doubled, person):
        return Finding("b.question", Verdict.STOP, value=(doubled, person))

    one = sheet((), recipes=[recipe(_doubled, name="doubled")], person="one", number=1.0)
    for _ in range(2):
        assert [each.id for each in judge.ask(_question, one)] == ["a.question"]
        assert [each.value for each in judge.ask(other, one)] == [(2.0, "one")]
        assert [each.value for each in judge.ask(other, one.with_facts({"number": Fact("number", 2.0)}))] == [
            (4.0, "one")
        ]


def test_inputs_that_cannot_be_told_apart_by_value_are_asked_each_time():
    asked = []

    @check("c.question")
    def listing(things):
        asked.append(list(things))
        return Finding("c.question", Verdict.GO, value=len(things))

    things = ["a"]
    one = sheet((), things=things)
    assert judge.ask(listing, one)[0].value == 1
    things.append("b")
    assert judge.ask(listing, one)[0].value == 2
    assert (judge.ask(listing, one)[0].id, judge.ask(listing, one)[0].inputs) == ("c.question", ("things",))


def test_a_check_finds_nothing_one_thing_or_several_and_each_rests_on_the_facts_it_was_fed():
    assert asked_of("nobody", number=1.0) == ()
    (one,) = asked_of("one", number=1.0)
    assert (one.verdict, one.value, one.inputs) == (Verdict.GO, 2.0, ("number", "person"))
    first, second = asked_of("two", number=1.0)
    assert (first.inputs, second.inputs, second.verdict) == (("number", "person"), ("own",), Verdict.STOP)
