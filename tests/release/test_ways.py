"""What is offered, in which order, what is never offered, and what is said where nothing is."""

from dataclasses import replace
from datetime import datetime, timedelta
from functools import cache

import pytest

from gyrewright.finding import Verdict
from gyrewright.people.person import No
from gyrewright.release.search import KINDS, least_share
from gyrewright.release.ways import ways
from scenarios.fixture import Flight, Row, question

NOW = datetime.fromisoformat(Flight().asked_at)
TOO_LITTLE = Flight(fuel_l=25.0)
IN_G2 = Flight(aircraft="G2", seats={"left": "S1", "right": "I1"})
BEHIND = Row((NOW - timedelta(minutes=12)).isoformat(), wind=(90, 8, None))


@cache
def fleet():
    return question(Flight()).aircraft, question(IN_G2).aircraft


def kinds(offers):
    return [tuple(change.kind for change in offer.changes) for offer in offers]


def found(flight, **options):
    return ways(question(flight), fleet=fleet(), **options)


def test_a_flight_that_passes_needs_no_offer_and_is_told_when_else_it_could_start():
    passing = found(Flight())
    assert passing.asked.verdict is Verdict.GO
    assert passing.offers == ()
    assert passing.windows[0].start_at == NOW


def test_more_fuel_is_offered_as_little_as_needed_and_what_binds_is_named():
    first = found(TOO_LITTLE).offers[0]
    assert kinds([first]) == [("fuel",)]
    assert first.changes[0].params["fuel_l"] == 29.5
    assert first.changes[0].params["binds_low"] == "fuel.enough"
    assert first.answer.verdict is Verdict.GO_IF


def test_single_changes_come_before_pairs_and_small_kinds_before_large():
    offers = found(TOO_LITTLE).offers
    ranks = [(len(offer.changes), max(KINDS.index(change.kind) for change in offer.changes)) for offer in offers]
    assert ranks == sorted(ranks)
    assert ("fuel",) in kinds(offers)
    assert ("aircraft",) in kinds(offers)


def test_of_changes_alike_the_smaller_comes_first_and_then_the_one_that_leaves_more_margin():
    for flight in (TOO_LITTLE, replace(Flight(), observed=BEHIND), replace(TOO_LITTLE, observed=BEHIND)):
        alike = {}
        for offer in found(flight).offers:
            order = (sum(change.size for change in offer.changes), -least_share(offer.answer))
            alike.setdefault(kinds([offer])[0], []).append(order)
        assert alike
        assert all(orders == sorted(orders) for orders in alike.values())


def test_only_the_kinds_asked_for_are_looked_at():
    assert set(kinds(found(TOO_LITTLE, over=("fuel",)).offers)) == {("fuel",)}
    assert found(TOO_LITTLE, over=("runway",)).offers == ()


def test_a_pair_of_changes_is_offered_where_neither_alone_does():
    # The wind is behind on the runway asked for, and there is too little fuel.
    offers = found(replace(TOO_LITTLE, observed=BEHIND)).offers
    assert ("runway", "fuel") in kinds(offers)
    assert not {("runway",), ("fuel",)} & set(kinds(offers))
    pair = next(offer for offer in offers if kinds([offer]) == [("runway", "fuel")])
    assert pair.changes[0].params["runway"] == "09"
    assert pair.question.flight.runway.value == "09"


@pytest.mark.parametrize("flight", [Flight(), TOO_LITTLE, replace(Flight(), observed=BEHIND)])
def test_no_offer_survives_a_no(flight):
    asked = question(flight)
    for who in ("S1", "I1"):
        people = {**asked.people, who: replace(asked.people[who], noes=(No(NOW - timedelta(minutes=5)),))}
        refused = ways(replace(asked, people=people), fleet=fleet())
        assert (refused.offers, refused.windows, refused.needs) == ((), (), ())
        assert refused.stands_against == ("people.no",)


def test_a_no_of_somebody_named_on_the_release_counts_as_well():
    asked = question(replace(TOO_LITTLE, named=("E1",)))
    people = {**asked.people, "E1": replace(asked.people["E1"], noes=(No(NOW - timedelta(minutes=5)),))}
    assert ways(replace(asked, people=people), fleet=fleet()).offers == ()


def test_an_instructor_who_says_no_is_not_offered():
    asked = question(TOO_LITTLE)
    people = {**asked.people, "I2": replace(asked.people["I2"], noes=(No(NOW - timedelta(minutes=5)),))}
    offers = ways(replace(asked, people=people), fleet=fleet()).offers
    assert all("instructor" not in each for each in kinds(offers))


def test_readings_that_differ_are_a_fault_that_other_fuel_does_not_hide():
    apart = replace(
        TOO_LITTLE, fuel_l=None, extra=f'gauge = "25 L"\nstick = {{ value = "35 L", at = {NOW.isoformat()} }}'
    )
    offers = found(apart).offers
    assert all("fuel" not in each for each in kinds(offers))
    assert all(offer.question.definition.id == "G2" for offer in offers)


def test_an_open_defect_is_gone_round_by_nothing_but_another_aircraft():
    reported = (NOW - timedelta(hours=1)).isoformat()
    defect = f'defect = [{{ id = "d1", item = "rotor head", words = "rough", at = {reported}, by = "S1" }}]'
    broken = replace(Flight(), edits=(("g1-records.toml", "defect = []", defect),))
    asked = question(broken)
    alone = ways(asked, fleet=(asked.aircraft,))
    assert alone.offers == ()
    assert "maintenance.defect" in alone.stands_against
    offers = ways(asked, fleet=(asked.aircraft, fleet()[1])).offers
    assert offers
    assert all(offer.question.definition.id == "G2" for offer in offers)


def test_what_is_only_missing_is_told_apart_from_what_stands_against():
    silent = replace(Flight(), law={"restrictions_clear": ""}, edits=())
    nothing = found(silent)
    assert nothing.asked.verdict is Verdict.UNKNOWN
    assert nothing.offers == ()
    assert nothing.stands_against == ()
    assert "restrictions_clear" in nothing.fetch


def test_where_nothing_passes_the_checks_that_no_change_cures_are_named():
    nothing = ways(question(replace(Flight(), asked_at="2027-07-14T22:30:00-05:00")), fleet=())
    assert nothing.offers == ()
    assert {"light.before_sunset"} <= set(nothing.stands_against)


def test_a_check_that_one_change_hides_and_another_cures_is_not_named():
    # Too little fuel is cured by more of it; the wind behind by the other runway: neither stands against every way.
    asked = replace(TOO_LITTLE, observed=BEHIND)
    nothing = ways(question(asked), fleet=(), over=("fuel", "runway"))
    assert nothing.offers
    assert nothing.stands_against == ()


def test_every_offer_is_for_the_same_people_in_the_same_weather():
    asked = question(TOO_LITTLE)
    for offer in ways(asked, fleet=fleet()).offers:
        assert offer.question.people is asked.people
        assert offer.question.flight.observation == asked.flight.observation
        assert offer.question.pack is asked.pack
