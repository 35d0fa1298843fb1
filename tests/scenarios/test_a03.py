"""A03: somebody else wants to wave the solo through, in a wind beyond what the student is endorsed for."""

from dataclasses import replace

import pytest

from gyrewright.finding import Verdict, Whose
from gyrewright.people.roles import who_may
from gyrewright.release.decide import decide
from gyrewright.release.ways import ways
from scenarios.fixture import KT, Flight, Row, against, all_against, answer, finding, question, verdict_of

GUSTY = Row("2027-07-17T09:50:00-05:00", wind=(300, 9, 16))
ALONE = Flight(
    asked_at="2027-07-17T10:00:00-05:00",
    purpose="student alone",
    seats={"front": "S2", "rear": "empty"},
    parts={"commander": "S2", "student": "S2", "instructor": "I2"},
    present=("I2",),
    observed=GUSTY,
)
WITH_I2 = Flight(
    asked_at="2027-07-17T10:00:00-05:00",
    seats={"front": "S2", "rear": "I2"},
    parts={"commander": "I2", "instructor": "I2", "student": "S2"},
    observed=GUSTY,
)


def test_spread_and_crosswind_in_the_gust_stop_the_solo():
    asked = answer(ALONE)
    assert verdict_of(asked) is Verdict.STOP
    assert against(asked) == {"wind.spread", "wind.crosswind"}
    spread, cross = finding(asked, "wind.spread"), finding(asked, "wind.crosswind")
    assert spread.value == pytest.approx(7.0 * KT)
    assert spread.limit == pytest.approx(5.0 * KT)
    # 16 kt from 30 degrees off the runway: 8.0 kt across, to the digit given.
    assert cross.value == pytest.approx(8.0 * KT, abs=0.05 * KT)
    assert cross.limit == pytest.approx(5.0 * KT)


def test_the_mean_wind_passes_and_is_shown_as_passing():
    mean = finding(answer(ALONE), "wind.total")
    assert mean.verdict is Verdict.GO
    assert mean.value == pytest.approx(9.0 * KT)
    assert mean.limit == pytest.approx(10.0 * KT)


def test_the_same_wind_is_inside_the_house_rules_with_an_instructor():
    asked = answer(WITH_I2)
    assert verdict_of(asked) is Verdict.GO
    spread, cross = finding(asked, "wind.spread"), finding(asked, "wind.crosswind")
    assert (spread.value, spread.limit) == (pytest.approx(7.0 * KT), pytest.approx(10.0 * KT))
    assert (cross.value, cross.limit) == (pytest.approx(8.0 * KT, abs=0.05 * KT), pytest.approx(12.0 * KT))


def test_dual_with_i2_is_offered_and_nothing_else():
    asked = question(ALONE)
    found = ways(asked, fleet=(asked.aircraft,))
    (offer,) = found.offers
    assert [(change.kind, change.params["person"]) for change in offer.changes] == [("dual", asked.people["I2"].name)]
    assert offer.answer.verdict is decide(offer.question).verdict is Verdict.GO
    assert dict(offer.question.flight.seats) == {"front": "S2", "rear": "I2"}
    assert dict(offer.question.flight.parts)["commander"] == "I2"


def test_the_endorsement_asks_for_its_giver_who_is_away():
    asked = answer(ALONE)
    assert all_against(asked) == {"wind.spread", "wind.crosswind", "people.present"}
    there = finding(asked, "people.present")
    assert (there.verdict, there.params["who"]) == (Verdict.STOP, ("I1",))
    assert "people.present" not in all_against(answer(replace(ALONE, present=("I1", "I2"))))


def test_the_limits_are_shown_as_the_endorsements_and_only_its_signer_may_change_them():
    asked = answer(ALONE)
    for id in ("wind.spread", "wind.crosswind"):
        found = finding(asked, id)
        assert next(layer for layer in found.layers if layer.binds).limit.whose is Whose.ENDORSEMENT
        assert [(cure.id, cure.who) for cure in found.cures] == [("people.change_limitation", "I1")]
    everybody = asked.situation.question.people
    assert who_may(everybody, "change a solo limitation", relations={"giver": "I1", "subject": "S2"}) == ("I1",)


def test_the_signers_new_limitation_lets_the_wind_pass_and_anothers_does_not():
    def limited(by, present):
        more = f"""
[[person.endorsement]]
what_for = "solo"
make_model = "Scenario tandem G1"
given_by = "{by}"
given_on = DAY_AGO_1
rests_on = DAY_AGO_1
limit = [
    {{ of = "wind", at_most = "12 kt", counts = "mean" }},
    {{ of = "gust spread", at_most = "8 kt" }},
    {{ of = "crosswind", at_most = "9 kt", counts = "gust" }},
]

[[person]]
id = "S3\""""
        edits = (("people.toml", '\n[[person]]\nid = "S3"', more),)
        return answer(replace(ALONE, present=present, edits=edits))

    assert limited("I1", ("I1",)).verdict is Verdict.GO
    assert all_against(limited("I2", ("I1", "I2"))) == {"wind.spread", "wind.crosswind"}


@pytest.mark.parametrize("changes", [{}, {"named": True}, {"aboard": True}])
def test_nothing_that_i2_says_waves_it_through(changes):
    flight = ALONE
    if changes.get("named"):
        flight = replace(flight, named=("I2",))
    if changes.get("aboard"):
        flight = replace(flight, seats={"front": "S2", "rear": "I2"})
    asked = answer(flight)
    assert asked.verdict is Verdict.STOP
    assert not any(each.verdict is Verdict.JUDGE for each in asked.findings)
