"""On questions drawn at random decide and the ways agree: on every alternative, offer, window, edge and open end."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kit import agree

SEEDS = st.integers(0, 100_000)


def wrong(said):
    return [each for each in said if each]


@settings(max_examples=25)
@given(SEEDS)
def test_every_alternative_of_a_grid_has_the_verdict_of_decide_and_a_binding_check_that_decide_fails_by(seed):
    assert wrong(agree.cells(seed, 6)) == []


@settings(max_examples=12)
@given(SEEDS)
def test_every_offer_asked_again_has_the_verdict_it_stated_and_goes_round_nothing(seed):
    assert wrong(agree.offers(seed)) == []


@settings(max_examples=20)
@given(SEEDS)
def test_every_window_passes_inside_and_fails_a_minute_outside_by_the_named_check(seed):
    assert wrong(agree.starts(seed)) == []


@settings(max_examples=30)
@given(SEEDS)
def test_every_edge_of_fuel_and_load_passes_a_step_inside_and_fails_a_step_beyond_by_the_named_check(seed):
    assert wrong(agree.edges(seed)) == []


@settings(max_examples=40)
@given(SEEDS)
def test_every_open_end_passes_until_then_and_fails_a_minute_longer_by_the_named_check(seed):
    assert wrong(agree.ends(seed)) == []


@pytest.mark.parametrize("seed", [213, 218, 232, 239])
def test_seeds_on_which_they_once_did_not_agree(seed):
    # Acts still to come were asked as if they were numbers.
    assert wrong([*agree.cells(seed, 6), *agree.starts(seed)]) == []
